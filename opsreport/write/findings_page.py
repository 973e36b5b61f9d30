"""Findings as a document: what is wrong, where, and what to do, sheet by sheet."""

from collections.abc import Iterable, Sequence
from typing import Final, Literal

from opsreport.findings import Finding, by_sheet, in_order, stopped
from opsreport.rules import Family, Severity
from opsreport.tables.table import Column, Document, Facts, Part, Prose, Row, Table

_EMPHASIS: Final[dict[Severity, Literal["", "warning", "quiet"]]] = {
    Severity.ERROR: "warning",
    Severity.WARNING: "",
    Severity.NOTE: "quiet",
}
_COLUMNS: Final = (
    Column("Cells", "code", 10),
    Column("Severity", width=9),
    Column("What is wrong", width=46),
    Column("What to do", width=40),
    Column("Code", "code", 18),
)


def findings_document(
    findings: Iterable[Finding], head: str = "", partly: frozenset[Family] = frozenset()
) -> Document:  # fmt: skip
    """The findings in workbook order, one table a sheet, with what they stop said first.

    partly: families that a partial build writes in spite of them.
    """
    ordered = in_order(findings)
    parts: list[Part] = [Facts(_counts(ordered, partly)), *_stops(ordered, partly)]
    if not ordered:
        parts.append(Prose(("The workbook was read whole and nothing in it needs a look.",)))
    parts += [
        Table(found[0].place.sheet or "Workbook", title, _COLUMNS, tuple(_row(finding) for finding in found))
        for title, found in by_sheet(ordered)
    ]
    return Document("findings", "What to look at in the workbook", "the coordinator", tuple(parts), head)


def _row(finding: Finding) -> Row:
    cells = (finding.cells_shown, finding.severity.value, finding.message, finding.fix, finding.code)
    return Row(cells, _EMPHASIS[finding.severity])


def _counts(findings: Sequence[Finding], partly: frozenset[Family]) -> tuple[tuple[str, str], ...]:
    meaning = {
        Severity.ERROR: (
            "Errors",
            "left out, with what rests on them" if partly else "documents that rest on them are not written",
        ),
        Severity.WARNING: ("Warnings", "written all the same; have a look"),
        Severity.NOTE: ("Notes", "read, though not as plainly written"),
    }
    pairs = []
    for severity, (name, said) in meaning.items():
        number = sum(finding.severity is severity for finding in findings)
        pairs.append((name, f"{number}: {said}" if number else "none"))
    return tuple(pairs)


def _stops(findings: Sequence[Finding], partly: frozenset[Family]) -> list[Prose]:
    """What is missing until the errors are put right."""
    families = stopped(findings) - partly
    if not families:
        return []
    names = [family.value for family in Family if family in families]
    listed = f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else names[0]
    sentence = f"Not written until the errors below are put right: {listed}."
    return [Prose((sentence,), "Documents are missing", "warning")]
