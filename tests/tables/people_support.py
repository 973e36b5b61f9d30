"""A small people's plan built by hand, and what a document prints, for the tests of the reports."""

import dataclasses
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from plan.people_support import day, funder, marks, member, programme, question, session

from opsreport.plan.people_model import (
    BreakdownRow,
    FunderReport,
    GroupAttendance,
    Measure,
    MemberAttendance,
    Outcome,
    PeoplePlan,
    SessionAttendance,
    Totals,
)
from opsreport.programme import Group, Programme
from opsreport.tables.table import Document, Facts, Labels, Picture, Table, Value

CODES = ("KID-7", "KID-8", "KID-9")


def outcome(**given: Any) -> Outcome:
    """A scale question of 18 pairs on which 14 improved, unless said otherwise."""
    usual: dict[str, Any] = {
        "question": "Q1",
        "text": "How sure are you?",
        "kind": "scale",
        "theme": "Cooking",
        "n": 18,
        "unmatched": 3,
        "before": 2.5,
        "after": 3.1,
        "change": 0.6,
        "low": 0.2,
        "high": 1.0,
        "before_low": None,
        "before_high": None,
        "effect": 0.75,
        "p": 0.004,
        "test": "wilcoxon",
        "improved": 14,
        "same": 2,
        "worse": 2,
        "note": "",
        "p_holm": 0.008,
    }
    return Outcome(**(usual | given))


def yes_no(**given: Any) -> Outcome:
    """Of 20 people 8 said yes before and 14 after."""
    usual: dict[str, Any] = {
        "question": "Q2",
        "text": "Beans last week?",
        "kind": "yes-no",
        "theme": "Eating",
        "n": 20,
        "before": 0.4,
        "after": 0.7,
        "change": 0.3,
        "low": 0.48,
        "high": 0.85,
        "before_low": 0.22,
        "before_high": 0.61,
        "effect": None,
        "p": 0.109375,
        "test": "mcnemar",
        "improved": 8,
        "same": 10,
        "worse": 2,
    }
    return outcome(**(usual | given))


GROUP = GroupAttendance(
    planned=3,
    delivered=2,
    expected=5,
    present=2,
    absent=1,
    excused=1,
    not_recorded=1,
    rate=0.5,
    contacts=3,
    people=301,
    households=211,
    completers=17,
    contact_hours=Fraction(9, 2),
    own_sessions_completers=19,
)

REPORT = FunderReport(
    funder="F/1",
    name="Larch Trust",
    start=day(1),
    end=day(60),
    groups=(("PB", Fraction(1, 2)),),
    small_count=10,
    measures=(
        Measure("sessions", 4, 2, "2", Fraction(1, 2), Fraction(3, 4)),
        Measure("people", 400, 1301, "1,301", Fraction(1301, 400), Fraction(5)),
        Measure("households", None, None, "hidden"),
        Measure("completion", 0.75, 0.6, "60%", Fraction(4, 5)),
        Measure("completers", None, None, "1–10"),
        Measure("kits", 20, None, "1–10"),
        Measure("cost", "250.00", "125.00", "$125.00", Fraction(1, 2)),
        Measure("cost_held", None, "25.00", "$25.00"),
        Measure("cost_to_come", None, "100.00", "$100.00"),
    ),
    sessions=("PB-1", "PB-2"),
    breakdowns={"Age band": (BreakdownRow("5–7", "1,281", "hidden"), BreakdownRow("8–10", "20", "1–10"))},
    outcomes=(
        outcome(improved=None, worse=None, same=14, unmatched=None),
        yes_no(before=None, before_low=None, before_high=None, change=None, p=None, improved=None, worse=None),
    ),
    hidden_outcomes=2,
    notes=("Counts from 1 to 10 are hidden, and enough others that they cannot be worked out.",),
    planned=3,
    narratives=(("What went well", "The soup."), ("What comes next", "")),
)


def people_plan(**given: Any) -> PeoplePlan:
    """One group of three, two delivered sessions; figures that could be read nowhere else."""
    usual: dict[str, Any] = {
        "groups": {"PB": GROUP},
        "sessions": (
            SessionAttendance("PB-1", "PB", day(4), 3, 1, 1, 1, 0, 1, None),
            SessionAttendance("PB-2", "PB", day(11), 2, 1, 0, 0, 1, 2, 12),
        ),
        "members": (
            MemberAttendance("KID-7", "PB", "PP", 2, 2, True),
            MemberAttendance("KID-8", "PB", "A.", 0, 2, False),
            MemberAttendance("KID-9", "PB", "EV", 0, 1, False),
        ),
        "totals": Totals(3, 2, 3, 299, 207, 17, Fraction(9, 2), 12, "recorded in Pick-ups", 1),
        "outcomes": (outcome(), yes_no()),
        "funders": (REPORT,),
    }
    return PeoplePlan(**(usual | given))


def small_programme(**given: Any) -> Programme:
    """The programme behind that plan; as of the 20th day of the term."""
    built = programme(
        [Group("PB", name="Parkside", site="Park School", funders=(("F/1", Fraction(1, 2)),))],
        [member(code, "PB") for code in CODES],
        [session("PB-1", "PB", 4), session("PB-2", "PB", 11), session("PB-3", "PB", 25, "planned")],
        marks({"KID-7": "PP", "KID-8": "A.", "KID-9": "EP"}, ["PB-1", "PB-2"]),
        questions=[question("Q1", "scale", theme="Cooking"), question("Q2", "yes-no", theme="Eating")],
        funders=[funder("F/1", sessions_target=4)],
        programme="Cook Well",
        term="Spring 2027",
        contact="office@example.org",
    )
    return dataclasses.replace(built, **({"as_of": day(20)} | given))


def table(document: Document, sheet: str) -> Table:
    """The document's table on a sheet."""
    return next(part for part in document.parts if isinstance(part, Table) and part.sheet == sheet)


def cells(document: Document, sheet: str) -> list[tuple[Value, ...]]:
    return [row.cells for row in table(document, sheet).rows]


def totals(document: Document, sheet: str) -> dict[str, Value]:
    return {total.under: total.value for total in table(document, sheet).totals}


def printed(document: Document) -> list[Value]:
    """Everything that a document says, value by value."""
    return [document.title, document.head, document.path, document.reader, *_parts(document)]


def _parts(document: Document) -> Iterator[Value]:
    for part in document.parts:
        if isinstance(part, Facts):
            yield from (text for pair in part.pairs for text in pair)
        elif isinstance(part, Table):
            yield from (part.title, part.sheet, part.empty, *part.intro, *part.notes)
            yield from (column.heading for column in part.columns)
            yield from (value for row in part.rows for value in row.cells)
            yield from (value for total in part.totals for value in (total.label, total.value))
        elif isinstance(part, Picture):
            yield from (part.title, part.axis, *part.notes)
            yield from (words for row in part.rows for words in (row.label, row.words))
        elif not isinstance(part, Labels):
            yield from (part.title, *part.sentences)


def words(document: Document) -> str:
    """All of it in one text."""
    return "\n".join(str(value) for value in printed(document))
