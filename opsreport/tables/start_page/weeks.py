"""The term at a glance, one row a week."""

import datetime as dt
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Final, Literal

from opsreport.plan.model import Plan
from opsreport.programme import Programme
from opsreport.rules import Family
from opsreport.shown import day_words
from opsreport.tables.naming import counted, listed
from opsreport.tables.table import Column, Row, Table

_MOST_WEEKS: Final = 80
"""Beyond this many weeks, those without an entry are left out."""


@dataclass(slots=True)
class _Week:
    """What happens in a week, in words."""

    sessions: list[str]
    kits: int
    orders: list[str]
    deliveries: list[str]
    packing: list[str]


def term_table(programme: Programme, plan: Plan, known: frozenset[Family]) -> Table:
    """One row a week, from the first session or errand to the last."""
    weeks: dict[dt.date, _Week] = {}

    def week(day: dt.date) -> _Week:
        return weeks.setdefault(_monday(day), _Week([], 0, [], [], []))

    for session in sorted(programme.sessions.values(), key=lambda each: (each.day, each.session)):
        said = {"planned": "", "delivered": " ✓", "cancelled": " (cancelled)"}[session.status]
        if session.status == "planned" and session.day < programme.as_of:
            said = " (held?)"
        week(session.day).sessions.append(session.session + said)
    food = plan.food
    if food is not None and Family.PACKING in known:
        kits: dict[dt.date, int] = {}
        for planned in food.sessions:
            week(planned.day).kits += planned.kits
            kits[planned.packing_day] = kits.get(planned.packing_day, 0) + planned.kits
        for day in sorted(kits):
            week(day).packing.append(f"{_weekday(day)}: {counted(kits[day], 'kit')}")
    if food is not None and Family.ORDERS in known:
        for day, number in sorted(Counter(order.order_by for order in food.orders).items()):
            week(day).orders.append(f"{_weekday(day)}: {counted(number, 'order')}")
        for day, number in sorted(Counter(order.arrives for order in food.paid).items()):
            week(day).deliveries.append(f"{_weekday(day)}: {counted(number, 'order')}")
    now = _monday(programme.as_of)
    return Table(
        "Term at a glance",
        "The term at a glance",
        (
            Column("Week of", "date", 16),
            Column("Sessions", width=36),
            Column("Kits for them", "count", 8),
            Column("Place orders", width=18),
            Column("Take in", width=18),
            Column("Pack", width=18),
        ),
        tuple(_week_row(monday, weeks.get(monday), past=monday < now) for monday in _mondays(weeks)),
        notes=("✓ delivered.",) if any(s.status == "delivered" for s in programme.sessions.values()) else (),
        empty="The workbook has no session.",
    )


def _week_row(monday: dt.date, week: _Week | None, *, past: bool) -> Row:
    emphasis: Literal["", "quiet"] = "quiet" if past else ""
    if week is None:
        return Row((monday, "", None, "", "", ""), emphasis)
    return Row(
        (
            monday, listed(week.sessions), week.kits or None,
            "\n".join(week.orders), "\n".join(week.deliveries), "\n".join(week.packing),
        ),
        emphasis,
    )  # fmt: skip


def _monday(day: dt.date) -> dt.date:
    return day - dt.timedelta(days=day.weekday())


def _mondays(weeks: Iterable[dt.date]) -> list[dt.date]:
    """Every Monday from the first week to the last; only weeks with an entry where these are very many."""
    held = sorted(weeks)
    if not held:
        return []
    number = (held[-1] - held[0]).days // 7 + 1
    return held if number > _MOST_WEEKS else [held[0] + dt.timedelta(weeks=each) for each in range(number)]


def _weekday(day: dt.date) -> str:
    """`Thu 11`: the week is known."""
    return " ".join(day_words(day).split()[:2])
