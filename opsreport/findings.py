"""What is wrong in a workbook, where, and what to do: one record a fault."""

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Final

from opsreport.rules import ALL_FAMILIES, RULES, Family, Rule, Severity


def column_letters(column: int) -> str:
    """1 -> A, 28 -> AB; 0 -> ''."""
    letters = ""
    while column:
        column, digit = divmod(column - 1, 26)
        letters = chr(65 + digit) + letters
    return letters


@dataclass(frozen=True, order=True, slots=True)
class Place:
    """A cell, a row (column 0), a sheet (row 0 too) or the whole workbook (no sheet). 1-based."""

    sheet_order: int = 0
    sheet: str = ""
    row: int = 0
    column: int = 0

    @property
    def cell(self) -> str:
        """`C4`; empty where the place is no single cell or row."""
        if not self.row:
            return ""
        return f"{column_letters(self.column or 1)}{self.row}"

    def __str__(self) -> str:
        return f"{self.sheet}!{self.cell}" if self.cell else self.sheet

    def at(self, column: int) -> "Place":
        """The same row at another column."""
        return Place(self.sheet_order, self.sheet, self.row, column)


NOWHERE: Final = Place()


@dataclass(frozen=True, slots=True)
class Finding:
    """One fault at one place.

    place: the cell, as sheet and 1-based row and column.
    code: a key of RULES, never renamed once published.
    seen: what the person typed, as typed.
    details: what the sentences need, by name.
    families: documents that rest on the place.
    """

    place: Place
    code: str
    seen: str = ""
    details: Mapping[str, str] = field(default_factory=dict)
    families: frozenset[Family] = ALL_FAMILIES

    @property
    def rule(self) -> Rule:
        return RULES[self.code]

    @property
    def severity(self) -> Severity:
        return self.rule.severity

    @property
    def message(self) -> str:
        return self.rule.message.format(seen=self.seen, **self.details)

    @property
    def fix(self) -> str:
        return self.rule.fix.format(seen=self.seen, **self.details)

    @property
    def stops(self) -> frozenset[Family]:
        """The families that must not be written because of it."""
        if self.severity is not Severity.ERROR:
            return frozenset()
        return self.families if self.rule.families is None else self.rule.families

    def as_dict(self) -> dict[str, str]:
        """The finding object of plan.json and of `check --json`."""
        return {
            "severity": self.severity.value,
            "code": self.code,
            "sheet": self.place.sheet,
            "cell": self.place.cell,
            "message": self.message,
            "fix": self.fix,
        }


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings in the order of the workbook's sheets, rows and columns, each once."""
    unique = {(f.place, f.code, f.message): f for f in findings}
    return [unique[key] for key in sorted(unique)]


def stopped(findings: Iterable[Finding]) -> frozenset[Family]:
    """Families that some error stops."""
    return frozenset(family for finding in findings for family in finding.stops)
