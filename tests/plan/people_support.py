"""Small programmes built straight from records, for the tests of what concerns people."""

import datetime as dt
from collections.abc import Mapping, Sequence
from fractions import Fraction
from typing import Any

from opsreport.findings import NOWHERE
from opsreport.foods import Foods
from opsreport.kinds import Mark, Share
from opsreport.money import Currency, Money
from opsreport.plan.people_model import FunderReport
from opsreport.programme import Calendar, Group, Member, Programme, Session
from opsreport.sheets import (
    AttendanceRow,
    FunderRow,
    PickUpRow,
    QuestionRow,
    RowPlace,
    Settings,
    SurveyRow,
    spec_of,
)

ROW = RowPlace(0, "", 0, {})
TERM = dt.date(2027, 1, 1)
THREE_QUARTERS = Share(of_all=Fraction(3, 4))
MARKS = {
    "P": Mark("present"),
    "A": Mark("absent"),
    "E": Mark("excused"),
    "K": Mark("absent", kit_only=True),
    ".": None,
}


def day(number: int) -> dt.date:
    """The so-manyth day of the term, from 1."""
    return TERM + dt.timedelta(days=number - 1)


def settings(**given: Any) -> Settings:
    defaults = {column.name: column.default for column in spec_of(Settings).columns}
    return Settings(place=ROW, **(defaults | {"currency": Currency("USD")} | given))


def group(name: str, **given: Any) -> Group:
    return Group(name, **given)


def member(
    who: str,
    group: str,
    household: str = "",
    *,
    joined: int | None = None,
    left: int | None = None,
    status: Any = "active",
    pick_up_name: str = "",
    **extra: str,
) -> Member:
    """joined, left: days of the term. extra: further columns, `age_band` for Age band."""
    return Member(
        who, group, household or who, None, True, (), status,
        None if joined is None else day(joined), None if left is None else day(left), pick_up_name,
        {name.replace("_", " ").capitalize(): value for name, value in extra.items()}, NOWHERE,
    )  # fmt: skip


def session(
    name: str,
    group: str,
    on: int,
    status: Any = "delivered",
    *,
    minutes: Fraction | int | None = 60,
    replaces: str = "",
) -> Session:
    length = None if minutes is None else Fraction(minutes)
    return Session(name, group, day(on), "", length, "", (), status, None, None, replaces, "", NOWHERE)


def marks(grid: Mapping[str, str], sessions: Sequence[str]) -> tuple[AttendanceRow, ...]:
    """grid: a letter a session (P, A, E, K kit only, . not recorded) by participant."""
    return tuple(
        AttendanceRow(place=ROW, session=name, participant=who, mark=MARKS[letter], kit=None)
        for who, letters in grid.items()
        for name, letter in zip(sessions, letters, strict=True)
    )


def mark(session: str, who: str, letter: str, kit: bool | None = None) -> AttendanceRow:
    return AttendanceRow(place=ROW, session=session, participant=who, mark=MARKS[letter], kit=kit)


def pick_up(session: str, household: str, kit: Any) -> PickUpRow:
    return PickUpRow(place=ROW, session=session, household=household, kit=kit, reason="")


def question(name: str, kind: Any = "number", **given: Any) -> QuestionRow:
    defaults: dict[str, Any] = {"lowest": None, "highest": None, "better": "higher", "theme": ""}
    return QuestionRow(place=ROW, question=name, text=name, kind=kind, **(defaults | given))


def answers(
    name: str, before: Mapping[str, str] | Sequence[Any], after: Mapping[str, str] | Sequence[Any]
) -> tuple[SurveyRow, ...]:
    """One question's answers, by participant or in the order of people 0, 1, 2 …"""
    rows = []
    for when, given in (("before", before), ("after", after)):
        pairs = given.items() if isinstance(given, Mapping) else enumerate(given)
        for who, answer in pairs:
            rows.append(
                SurveyRow(
                    place=ROW,
                    participant=str(who),
                    question=name,
                    when=when,
                    answer=str(answer),  # type: ignore[arg-type]
                )
            )
    return tuple(rows)


def funder(name: str, first: int = 1, last: int = 100, **given: Any) -> FunderRow:
    defaults: dict[str, Any] = dict.fromkeys(
        ("sessions_target", "people_target", "completion_target", "kits_target", "budget", "small_count")
    )
    return FunderRow(place=ROW, funder=name, name="", start=day(first), end=day(last), **(defaults | given))


def programme(
    groups: Sequence[Group] = (),
    members: Sequence[Member] = (),
    sessions: Sequence[Session] = (),
    attendance: Sequence[AttendanceRow] = (),
    *,
    pick_ups: Sequence[PickUpRow] = (),
    questions: Sequence[QuestionRow] = (),
    surveys: Sequence[SurveyRow] = (),
    funders: Sequence[FunderRow] = (),
    completion: Share = THREE_QUARTERS,
    small: int = 10,
    **setting: Any,
) -> Programme:
    return Programme(
        settings=settings(completion=completion, small_count=small, **setting),
        as_of=TERM,
        groups={each.group: each for each in groups},
        members=tuple(members),
        sessions={each.session: each for each in sessions},
        recipes={},
        foods=Foods({}, {}),
        base_units={},
        suppliers={},
        offers=(),
        lots=(),
        on_order=(),
        swaps=(),
        tools=(),
        calendar=Calendar(frozenset(range(5))),
        attendance=tuple(attendance),
        pick_ups=tuple(pick_ups),
        questions=tuple(questions),
        surveys=tuple(surveys),
        funders=tuple(funders),
        present=frozenset(),
    )


def no_kits(_: Session) -> int:
    return 0


def cents(amount: int) -> Money:
    return Money(amount)


def shown(report: FunderReport) -> dict[str, str]:
    """What a funder's document prints, by measure."""
    return {measure.measure: measure.shown for measure in report.measures}
