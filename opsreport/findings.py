"""What is wrong in a workbook, where, and what to do: one record a fault."""

import dataclasses
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from opsreport.rules import ALL_FAMILIES, RULES, Family, Rule, Severity

_MOST_RANGES: Final = 8
"""Ranges of cells that a line for a reader lists."""
_MOST_OBJECTS: Final = 100
"""Cells of one mistake, up to which programs are told each by itself."""
_MOST_NAMES: Final = 6
"""People, households or sessions that one sentence names."""


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
    slips: where one mistake was made in several cells, one finding a cell; else empty.
    """

    place: Place
    code: str
    seen: str = ""
    details: Mapping[str, str] = field(default_factory=dict)
    families: frozenset[Family] = ALL_FAMILIES
    slips: tuple["Finding", ...] = ()

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

    @property
    def each(self) -> tuple["Finding", ...]:
        """One finding a cell."""
        return self.slips or (self,)

    @property
    def cells(self) -> list[str]:
        """Every cell of the mistake, `C4:C9` where they adjoin; empty where it stands in none."""
        return cell_ranges(each.place for each in self.each)

    @property
    def cells_shown(self) -> str:
        """The cells for a reader: `C4:C9, C12`, shortened where they are many."""
        return _shortened(self.cells, _MOST_RANGES, "more")

    @property
    def where(self) -> str:
        """Sheet and cells: `Sessions!C4:C9, C12`; empty where it is of the whole workbook."""
        return f"{self.place.sheet}!{self.cells_shown}" if self.place.cell else self.place.sheet

    def as_dict(self) -> dict[str, str | list[str]]:
        """As one object of JSON; `cells` only where it stands in several."""
        return {
            "severity": self.severity.value,
            "code": self.code,
            "sheet": self.place.sheet,
            "cell": self.place.cell,
            "message": self.message,
            "fix": self.fix,
            **({"cells": self.cells} if self.slips else {}),
        }


def finding_objects(findings: Iterable[Finding]) -> list[dict[str, str | list[str]]]:
    """The finding objects of plan.json and of `check --json`: one a cell. A mistake in very many cells is one object,
    at its first cell, with all of them as `cells`."""
    return [
        one.as_dict()
        for finding in findings
        for one in (finding.each if len(finding.each) <= _MOST_OBJECTS else (finding,))
    ]


def in_order(findings: Iterable[Finding]) -> list[Finding]:
    """Findings in the order of the workbook's sheets, rows and columns, each once, none beside one that says more."""
    given = list(findings)
    graver = {(f.place, f.rule.instead_of) for f in given if f.rule.instead_of}
    milder = {(f.place, f.code): f.details for f in given if (f.place, f.code) in graver}
    unique = {(f.place, f.code, f.message): f for f in given if (f.place, f.code) not in graver}
    return [_with_near(unique[key], milder) for key in sorted(unique)]


def _with_near(finding: Finding, milder: Mapping[tuple[Place, str], Mapping[str, str]]) -> Finding:
    """A finding with what the one whose place it takes would have suggested."""
    near = milder.get((finding.place, finding.rule.instead_of), {}).get("near")
    return finding if near is None else dataclasses.replace(finding, details={**finding.details, "near": near})


def gathered(findings: Iterable[Finding]) -> list[Finding]:
    """The same mistake in many cells as one finding with its cells, in the order of the first cells.

    The same: one code, one sheet, the same text seen and the same said of it, but for the details that a
    rule lets vary, such as whose row it is.
    """
    alike: dict[object, list[Finding]] = {}
    for finding in in_order(findings):
        alike.setdefault(_mistake(finding), []).append(finding)
    return [same[0] if len(same) == 1 else _as_one(same) for same in alike.values()]


def _mistake(finding: Finding) -> object:
    fixed = tuple((name, said) for name, said in finding.details.items() if name not in finding.rule.varies)
    return finding.place.sheet_order, finding.place.sheet, finding.code, finding.seen, fixed, finding.families


def _as_one(same: Sequence[Finding]) -> Finding:
    details = dict(same[0].details)
    for name in same[0].rule.varies:
        if name in details:
            details[name] = _shortened(list(dict.fromkeys(each.details[name] for each in same)), _MOST_NAMES, "others")
    return dataclasses.replace(same[0], details=details, slips=tuple(same))


def _shortened(names: Sequence[str], most: int, others: str) -> str:
    if len(names) <= most:
        return ", ".join(names)
    return f"{', '.join(names[: most - 1])} and {len(names) - most + 1:,} {others}"


def cell_ranges(places: Iterable[Place]) -> list[str]:
    """Cells of one sheet in A1 form, those that adjoin as one range, column by column; rows are their first cell."""
    columns: dict[int, list[int]] = {}
    for place in sorted(places):
        if place.row:
            columns.setdefault(place.column or 1, []).append(place.row)
    blocks: dict[tuple[int, int], list[list[int]]] = {}  # (first row, last row) -> [first column, last column] each
    for column in sorted(columns):
        for rows in _runs(columns[column]):
            beside = blocks.setdefault(rows, [])
            if beside and beside[-1][1] == column - 1:
                beside[-1][1] = column
            else:
                beside.append([column, column])
    found = sorted((first, top, last, bottom) for (top, bottom), each in blocks.items() for first, last in each)
    return [_range(*corners) for corners in found]


def _runs(numbers: Sequence[int]) -> list[tuple[int, int]]:
    """[4, 5, 5, 9] -> [(4, 5), (9, 9)]."""
    runs: list[tuple[int, int]] = []
    for number in numbers:
        if runs and number <= runs[-1][1] + 1:
            runs[-1] = (runs[-1][0], number)
        else:
            runs.append((number, number))
    return runs


def _range(first: int, top: int, last: int, bottom: int) -> str:
    start, end = f"{column_letters(first)}{top}", f"{column_letters(last)}{bottom}"
    return start if start == end else f"{start}:{end}"


def by_sheet(findings: Iterable[Finding]) -> list[tuple[str, list[Finding]]]:
    """Findings under the title of their sheet, in the order of the workbook."""
    sheets: dict[tuple[int, str], list[Finding]] = {}
    for finding in in_order(findings):
        sheets.setdefault((finding.place.sheet_order, finding.place.sheet), []).append(finding)
    return [(f"Sheet {sheet}" if sheet else "The workbook as a whole", found) for (_, sheet), found in sheets.items()]


def stopped(findings: Iterable[Finding]) -> frozenset[Family]:
    """Families that some error stops."""
    return frozenset(family for finding in findings for family in finding.stops)
