"""The document of a funder whose groups are in several workbooks: each workbook's figures, and all together.

Every figure is hidden in the plan already, beside the document that each workbook has for this funder.
"""

from collections.abc import Iterable
from typing import Final

from opsreport.plan.people.funders_of_all import MONEY, FunderOfAll
from opsreport.plan.people_model import Measure
from opsreport.shown import period_words
from opsreport.tables.naming import counted, listed
from opsreport.tables.reports.definitions import TITLE, completer_words, counts_and_costs, outcome_definitions
from opsreport.tables.reports.funder import MEASURE_NAMES, delivered, hidden_words, shares_words
from opsreport.tables.reports.outcomes import HIDDEN, outcome_parts
from opsreport.tables.table import Column, Document, Facts, Part, Picture, Prose, Row, Table, Value

ALL: Final = "Together, each once"
ONE_PERSON: Final = (
    "Somebody is one person in two workbooks where Programme in Settings, Participant and Household are the same in "
    "both, Household is a code of its own, and Name and further columns of Enrolment do not differ. Who completed in "
    "any workbook is a completer."
)
_COUNTS: Final = (
    "sessions", "people", "households", "contacts", "contact_hours", "kits", "completers", "completion"
)  # fmt: skip


def funder_of_all(funder: FunderOfAll, path: str, as_of: str, missing: tuple[str, ...]) -> Document:
    """One funder's document. path: without an ending. missing: workbooks of the run that have no figures."""
    told = funder.outcomes
    outcomes = outcome_parts(
        told.questions,
        told.outcomes,
        title="What changed for people, before and after, all workbooks together",
        empty="No outcome of several workbooks can be told.",
        hiding=True,
        tested=len(told.questions),
    )
    said = [part for part in outcomes if isinstance(part, Picture) or part.sheet == "Outcomes in words"]
    parts: list[Part] = [
        _facts(funder),
        _delivered(funder),
        _money(funder),
        *said,
        _questions(funder),
        _workbooks(funder),
        *(part for part in outcomes if part not in said),
        _notes(funder),
        Prose(_who_is_who(funder), "Who is counted once"),
        Prose(tuple(_hidden(funder, missing)), "What is not shown, and why"),
        Prose((*counts_and_costs(_completers(funder)), *outcome_definitions()), TITLE),
    ]
    return Document(
        path, f"Report to {funder.name}: all workbooks", funder.name, tuple(parts), as_of, landscape=True, leaves=True
    )


def _facts(funder: FunderOfAll) -> Facts:
    reports = [line.report for line in funder.lines]
    first, last = min(report.start for report in reports), max(report.end for report in reports)
    delivered, planned = sum(len(each.sessions) for each in reports), sum(each.planned for each in reports)
    return Facts(
        (
            ("Workbooks", str(len(reports))),
            ("Period", period_words(first, last)),
            ("Sessions", f"{delivered:,} delivered of {planned:,} planned in the period"),
        )
    )


def _delivered(funder: FunderOfAll) -> Table:
    """A line a workbook as in its own document, and all together."""
    columns = (Column("Workbook", width=28), *(Column(MEASURE_NAMES[name], "count", 12) for name in _COUNTS))
    rows = [Row((line.name, *_cells(line.report.measures))) for line in funder.lines]
    rows.append(Row((ALL, *_cells(funder.measures)), "heading"))
    notes = tuple(
        f"{MEASURE_NAMES[name]}: the workbooks' own numbers add up to {number:,}; whoever is in several is in it for "
        "each of them."
        for name, number in funder.sums.items()
    )
    return Table("Delivered", "What was delivered", columns, tuple(rows), notes=notes)


def _cells(measures: Iterable[Measure]) -> Iterable[Value]:
    by_name = {measure.measure: measure for measure in measures}
    return [delivered(by_name[name]) for name in _COUNTS]


def _money(funder: FunderOfAll) -> Table:
    """Food cost and in-kind value; a line of sums for each currency."""
    several = len(funder.money) > 1
    rows = [_money_row(line.name, line.currency, line.report.measures) for line in funder.lines]
    for code, measures in funder.money:
        cells = _money_row(f"Together, {code}" if several else "Together", code, measures).cells
        rows.append(Row(cells, "heading"))
    return Table(
        "Food cost",
        "Food cost and in-kind value",
        (
            Column("Workbook", width=28),
            Column("Currency", "code", 10),
            *(Column(MEASURE_NAMES[name], "count", 20) for name in MONEY),
        ),
        tuple(rows),
        notes=("Sums in different currencies are never added.",) if several else (),
    )


def _money_row(name: str, currency: str, measures: Iterable[Measure]) -> Row:
    shown = {measure.measure: measure.shown for measure in measures}
    return Row((name, currency, *(shown[each] for each in MONEY)))


def _questions(funder: FunderOfAll) -> Table:
    """Of how many workbooks each outcome is, and why nothing is told of the other questions."""
    told = funder.outcomes
    rows = [
        Row((question.text or question.question, f"{inside} of {asked} workbooks that ask it"))
        for question, (inside, asked) in zip(told.questions, told.workbooks, strict=True)
    ]
    return Table(
        "Questions",
        "Which questions are put together",
        (Column("Question", width=48), Column("Put together", width=72)),
        (*rows, *(Row((question, f"no: {why}")) for question, why in told.apart)),
        notes=("Left out are workbooks whose own report does not tell of the question, as too few answered.",),
        empty="No question was asked.",
    )


def _workbooks(funder: FunderOfAll) -> Table:
    return Table(
        "Workbooks",
        "The workbooks, and what is paid for in each",
        (
            Column("Workbook", width=28),
            Column("Programme", width=30),
            Column("From", "date", 16),
            Column("Until", "date", 16),
            Column("Groups and the funder's share", width=60),
        ),
        tuple(
            Row((line.name, line.programme, line.report.start, line.report.end, shares_words(line.groups)))
            for line in funder.lines
        ),
        notes=("What was promised, people by age or place, and the cells that figures come from stand in the report of "
               "each workbook.",),
    )  # fmt: skip


def _notes(funder: FunderOfAll) -> Table:
    """What the workbooks' own documents remark, each remark once."""
    said: dict[str, list[str]] = {}
    for line in funder.lines:
        for note in line.report.notes:
            said.setdefault(note, []).append(line.name)
    rows = tuple(Row((note, listed(names))) for note, names in said.items())
    columns = (Column("Remark", width=90), Column("Workbooks", width=40))
    return Table("Remarks", "What the workbooks' own reports remark", columns, rows, empty="Nothing.")


def _who_is_who(funder: FunderOfAll) -> tuple[str, ...]:
    said = [ONE_PERSON]
    if funder.outcomes.outcomes:
        said.append("Outcomes: somebody who answered both before and after in several workbooks is in them for each.")
    return tuple(said)


def _hidden(funder: FunderOfAll, missing: tuple[str, ...]) -> Iterable[str]:
    if missing:
        yield f"Without figures, because of errors or as left out: {listed(missing)}."
    if not funder.small and all(measure.shown != HIDDEN for measure in funder.measures):
        yield "Nothing had to be hidden."
        return
    yield (
        "Each workbook's line says what its own report to this funder says. What is hidden there does not follow from "
        "the figures of all, whoever has all these reports beside this one, and the attendance of all workbooks."
    )
    yield (
        f"A figure of all is “{HIDDEN}” where it is small, where it would tell a small count of a workbook, or where "
        "it would tell that a few people are in several workbooks or in one only."
    )
    yield hidden_words(funder.small)


def _completers(funder: FunderOfAll) -> str:
    """What makes a completer; workbook by workbook where their settings differ."""
    rules: dict[str, list[str]] = {}
    for line in funder.lines:
        rules.setdefault(completer_words(line.completion), []).append(line.name)
    if len(rules) == 1:
        return next(iter(rules))
    return "; ".join(f"{rule} ({counted(len(names), 'workbook')}: {listed(names)})" for rule, names in rules.items())
