"""What to do next, by date: order, take in, buy, pack, and ask for marks that are missing."""

import datetime as dt
from collections import Counter
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Final, Literal

from opsreport.plan.model import FoodPlan, Plan
from opsreport.programme import Programme
from opsreport.rules import Family
from opsreport.shown import day_words
from opsreport.tables.naming import counted, group_words, listed
from opsreport.tables.orders.heads import order_paths
from opsreport.tables.orders.order_calendar import order_remarks
from opsreport.tables.table import Column, Row, Table

_ORDER, _RECEIVE, _BUY, _PACK, _CHASE = range(5)
_KINDS: Final = {
    _ORDER: ("order", "orders", "to place"),
    _RECEIVE: ("delivery", "deliveries", "to take in"),
    _BUY: ("shopping list", "shopping lists", "to buy from"),
    _PACK: ("packing day", "packing days", "to pack for"),
    _CHASE: ("list of marks", "lists of marks", "to complete"),
}
"""One of what a rank holds, several of it, and what is to be done with it."""
_SOON: Final = dt.timedelta(days=7)
"""What is to be done within this time stands at the top of the page, the rest at its end."""


@dataclass(frozen=True, slots=True)
class ToDo:
    """One thing to do on or by a day. rank: orders things of one day. page: of the document that it is done by."""

    day: dt.date
    rank: int
    what: str
    detail: str
    emphasis: Literal["", "warning"] = ""
    page: str = ""


def all_to_do(programme: Programme, plan: Plan, known: frozenset[Family]) -> list[ToDo]:
    """By day; on one day orders first, then deliveries, shopping, packing, marks."""
    found: list[ToDo] = []
    if plan.food is not None and Family.ORDERS in known:
        found += [
            *_to_order(programme, plan.food),
            *_to_receive(programme, plan.food),
            *_to_buy(plan.food),
        ]
    if plan.food is not None and Family.PACKING in known:
        found += _to_pack(programme, plan.food)
    if Family.REPORTS in known:
        found += _to_chase(programme, plan)
    return sorted(found, key=lambda todo: (todo.day, todo.rank))


def first_day_words(todo: Sequence[ToDo]) -> str:
    """What the first day on which something is to be done holds: `2 orders to place, 1 delivery to take in`."""
    number = Counter(each.rank for each in todo if each.day == todo[0].day)
    return ", ".join(
        f"{counted(number[rank], one, many)} {words}" for rank, (one, many, words) in _KINDS.items() if number[rank]
    )


def next_table(todo: Sequence[ToDo], as_of: dt.date, known: frozenset[Family], *, for_all: bool = False) -> Table:
    """What is due within a week; where nothing is, the first day on which something is.

    for_all: whether these are orders for several workbooks.
    """
    missing = [family.value for family in Family if family not in known]
    notes = [f"Without {listed(missing)}, which could not be worked out."] if missing else []
    if for_all:
        notes = ["What to pack, whom to ask, and reports are in each workbook's own folder."]
    soon, later = _split(todo, as_of)
    if later:
        notes.append(f"{counted(len(later), 'thing')} to do after that: see Later in the term, below.")
    empty = "Nothing waits to be ordered, received, packed or recorded."
    return _table("What to do next", soon, tuple(notes), empty)


def later_table(todo: Sequence[ToDo], as_of: dt.date) -> list[Table]:
    """The rest, where there is any."""
    _, later = _split(todo, as_of)
    return [_table("Later in the term", later, (), "")] if later else []


def _split(todo: Sequence[ToDo], as_of: dt.date) -> tuple[list[ToDo], list[ToDo]]:
    last = max(as_of + _SOON, todo[0].day) if todo else as_of
    return [each for each in todo if each.day <= last], [each for each in todo if each.day > last]


def _table(title: str, todo: Sequence[ToDo], notes: tuple[str, ...], empty: str) -> Table:
    return Table(
        title,
        title,
        (
            Column("On or by", "date", 16),
            Column("What", width=34),
            Column("Details", width=50),
            Column("Done", "boxes", 6),
        ),
        tuple(Row((each.day, each.what, each.detail, 1), each.emphasis, links_to=each.page) for each in todo),
        notes=notes,
        empty=empty,
    )


def _supplier(programme: Programme, supplier: str) -> str:
    known = programme.suppliers.get(supplier)
    return (known.name if known else "") or supplier


def _to_order(programme: Programme, food: FoodPlan) -> Iterable[ToDo]:
    paths = order_paths(food.orders)
    for order in food.orders:
        lines = sum(purchase.order == order.order for purchase in food.purchases)
        known = programme.suppliers.get(order.supplier)
        details = [
            f"{counted(lines, 'line')}, {programme.currency.shown(order.total)}",
            f"arrives {day_words(order.arrives)}",
            *([f"to {known.order_to}"] if known and known.order_to else []),
            *([f"before {known.cut_off}"] if known and known.cut_off else []),
            *order_remarks(programme, food, order),
        ]
        name = f"{order.order} with {_supplier(programme, order.supplier)}"
        page = f"{paths[order.order]}.html"
        if order.urgent:
            details.insert(0, f"it was due on {day_words(order.order_by)}, so ask whether it can still come")
            yield ToDo(programme.as_of, _ORDER, f"Telephone order {name}", "; ".join(details), "warning", page)
        else:
            waits = order.order in food.budget.on_hold
            what = f"Settle the money, then place order {name}" if waits else f"Place order {name}"
            yield ToDo(order.order_by, _ORDER, what, "; ".join(details), "warning" if waits else "", page)


def _to_receive(programme: Programme, food: FoodPlan) -> Iterable[ToDo]:
    paths = order_paths(food.orders)
    for order in food.orders:
        name = f"{order.order} from {_supplier(programme, order.supplier)}"
        lines = sum(purchase.order == order.order for purchase in food.purchases)
        page = f"{paths[order.order]}.html"
        yield ToDo(order.arrives, _RECEIVE, f"Take in order {name}", f"check {counted(lines, 'line')}", page=page)
    for order in food.shared:
        name = f"{order.order} from {_supplier(programme, order.supplier)}"
        lines = sum(purchase.order == order.order for purchase in food.purchases)
        details = f"{counted(lines, 'line')}, {programme.currency.shown(order.total)}; ordered together with others"
        page = "orders/order-calendar.html"
        yield ToDo(order.arrives, _RECEIVE, f"Take in your part of order {name}", details, page=page)
    coming: dict[tuple[dt.date, str, str], list[str]] = {}
    for row in programme.on_order:
        if row.packs > 0:
            coming.setdefault((row.due, row.order, row.supplier), []).append(row.food)
    for (due, order_name, supplier), foods in coming.items():
        name = f"{order_name} from {_supplier(programme, supplier)}"
        what = listed(list(dict.fromkeys(foods)), 5)
        if due < programme.as_of:
            late = (
                f"it was due on {day_words(due)}; not counted on until you give a new date or what was received: {what}"
            )
            yield ToDo(programme.as_of, _RECEIVE, f"Ask after order {name}", late, "warning")
        else:
            yield ToDo(due, _RECEIVE, f"Take in order {name}", f"already ordered: {what}")


def _to_buy(food: FoodPlan) -> Iterable[ToDo]:
    """Shopping, by the packing day that needs it."""
    packed = {session.session: session.packing_day for session in food.sessions}
    days: dict[dt.date, list[str]] = {}
    for row in food.shopping:
        if row.session in packed:
            days.setdefault(packed[row.session], []).append(row.food)
    for day, foods in days.items():
        each = list(dict.fromkeys(foods))
        what = f"Buy {counted(len(each), 'food')} from the shopping list"
        yield ToDo(day, _BUY, what, listed(each, 5), page="orders/shopping-list.html")


def _to_pack(programme: Programme, food: FoodPlan) -> Iterable[ToDo]:
    days: dict[dt.date, list[str]] = {}
    kits: dict[dt.date, int] = {}
    for session in food.sessions:
        kits[session.packing_day] = kits.get(session.packing_day, 0) + session.kits
        days.setdefault(session.packing_day, []).append(
            f"{session.session} ({group_words(programme, session.group)}): {counted(session.kits, 'kit')}"
        )
    for day, sessions in days.items():
        page = f"packing/{day.isoformat()}-pull-list.html"
        yield ToDo(day, _PACK, f"Pack {counted(kits[day], 'kit')}", "; ".join(sessions), page=page)


def _to_chase(programme: Programme, plan: Plan) -> Iterable[ToDo]:
    """Marks that are missing, group by group, and past sessions nobody has said anything of."""
    today = programme.as_of
    past = [
        session.session
        for session in programme.sessions.values()
        if session.status == "planned" and session.day < today
    ]
    if past:
        yield ToDo(today, _CHASE, "Say which past sessions were held", f"still planned: {listed(past)}")
    sessions = plan.people.sessions if plan.people else ()
    if sessions and not programme.attendance:
        detail = f"{counted(len(sessions), 'delivered session')}, and no mark in the workbook"
        yield ToDo(today, _CHASE, "Enter who came", detail)
        return
    groups: dict[str, list[str]] = {}
    for session in sessions:
        if session.not_recorded:
            groups.setdefault(session.group, []).append(
                f"{session.session}: {session.not_recorded:,} of {session.expected:,}"
            )
    for group, missing in groups.items():
        what = f"Ask {group_words(programme, group)} for missing marks"
        yield ToDo(today, _CHASE, what, listed(missing), page="reports/attendance.html")
