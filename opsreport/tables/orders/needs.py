"""What every session needs of every ingredient, where it comes from, and how many more kits there is room for."""

from collections import defaultdict
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from opsreport.plan.model import FoodPlan
from opsreport.programme import Programme
from opsreport.tables.naming import head_line
from opsreport.tables.orders.amounts import larger_words
from opsreport.tables.orders.figures import figures
from opsreport.tables.orders.heads import planned_sessions, total
from opsreport.tables.orders.room import room_table
from opsreport.tables.table import Column, Document, Row, Table, Value

_SOURCES: Final = ("From stock", "Ordered before", "To buy", "Short", "To shop for")
_AMOUNTS: Final = (
    *(Column(heading, "amount", 11) for heading in ("Needed", *_SOURCES)),
    Column("Unit", width=6),
    Column("Needed, in larger units", width=22),
)
_EMPTY: Final = "No session still to come needs any food."


@dataclass(slots=True)
class _Covered:
    """One food of one session: what it needs, and what each source gives."""

    unit: str = ""
    needed: Fraction = Fraction(0)
    sources: dict[str, Fraction] = field(default_factory=lambda: dict.fromkeys(_SOURCES, Fraction(0)))


def needs(programme: Programme, food: FoodPlan) -> Document:
    """Needs by ingredient, then by ingredient and session, each equal to its five sources together; then room, which is
    not known of several workbooks that order together."""
    covered = _covered(food)
    order = {name: place for place, name in enumerate(planned_sessions(food))}
    keys = sorted(covered, key=lambda key: (key[0].casefold(), key[0], order.get(key[1], len(order)), key[1]))
    intro = (
        "Amounts are as bought, packing loss included. Needed is From stock, Ordered before, To buy, Short "
        "and To shop for together.",
    )
    return Document(
        "orders/needs",
        f"Needs by ingredient and session{'' if food.pooled else ', and room for more'}",
        "the coordinator",
        (
            _by_food(programme, covered, keys, intro),
            _by_session(programme, food, covered, keys),
            figures(programme, food),
            *([] if food.pooled else [room_table(programme, food)]),
        ),
        head_line(programme),
        landscape=True,
    )


def _covered(food: FoodPlan) -> dict[tuple[str, str], _Covered]:
    """By ingredient and session; every amount of the plan is in it once."""
    found: dict[tuple[str, str], _Covered] = defaultdict(_Covered)

    def give(name: str, session: str, unit: str, source: str, amount: Fraction) -> None:
        entry = found[name, session]
        entry.unit = entry.unit or unit
        entry.sources[source] += amount

    for need in food.needs:
        entry = found[need.food, need.session]
        entry.unit = need.unit
        entry.needed += need.amount
    for use in food.stock_use:
        source = "From stock" if use.source == "stock" else "Ordered before"
        give(use.food, use.session, use.unit, source, use.amount)
    for purchase in food.purchases:
        for session, amount in purchase.used:
            give(purchase.food, session, purchase.base_unit, "To buy", amount)
    for short in food.shortages:
        give(short.food, short.session, short.unit, "Short", short.amount)
    for shop in food.shopping:
        give(shop.food, shop.session, shop.unit, "To shop for", shop.amount)
    return found


def _by_food(
    programme: Programme,
    covered: dict[tuple[str, str], _Covered],
    keys: list[tuple[str, str]],
    intro: tuple[str, ...],
) -> Table:
    by_food: dict[str, list[_Covered]] = defaultdict(list)
    for key in keys:
        by_food[key[0]].append(covered[key])
    rows = []
    for name, entries in by_food.items():
        sums = [total(entry.sources[source] for entry in entries) for source in _SOURCES]
        needed = total(entry.needed for entry in entries)
        unit = entries[0].unit
        rows.append(_row(programme, (name, len(entries)), needed, sums, unit))
    columns = (Column("Ingredient", width=24), Column("Sessions", "count", 9), *_AMOUNTS)
    return Table("By ingredient", "Needs by ingredient, all sessions", columns, tuple(rows), intro=intro, empty=_EMPTY)


def _by_session(
    programme: Programme,
    food: FoodPlan,
    covered: dict[tuple[str, str], _Covered],
    keys: list[tuple[str, str]],
) -> Table:
    sessions = planned_sessions(food)
    rows = []
    for name, session in keys:
        entry, planned = covered[name, session], sessions.get(session)
        first = (
            name,
            session,
            planned.group if planned else "",
            planned.packing_day if planned else None,
            planned.day if planned else None,
        )
        rows.append(_row(programme, first, entry.needed, list(entry.sources.values()), entry.unit))
    columns = (
        Column("Ingredient", width=24),
        Column("Session", "code", 9),
        Column("Group", "code", 9),
        Column("Packing day", "date", 16),
        Column("Session day", "date", 16),
        *_AMOUNTS,
    )
    return Table("By session", "Needs by ingredient and session", columns, tuple(rows), empty=_EMPTY)


def _row(programme: Programme, first: tuple[Value, ...], needed: Fraction, sources: list[Fraction], unit: str) -> Row:
    """A row of amounts; one that lacks something needs an eye."""
    short = sources[_SOURCES.index("Short")]
    words = larger_words(needed, unit, programme.measures)
    return Row((*first, needed, *sources, unit, words), "warning" if short else "")
