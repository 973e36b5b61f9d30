"""An order for several places, split: what each gets of it and what each pays."""

from collections.abc import Sequence
from fractions import Fraction

from opsreport.money import Money
from opsreport.plan.buying.pooling import PlaceLine, PlaceShare
from opsreport.plan.model import FoodPlan, Order
from opsreport.programme import Programme
from opsreport.tables.naming import head_line
from opsreport.tables.table import (
    Column,
    Document,
    Part,
    Row,
    Table,
    Total,
    day_words,
    decimal_words,
    money_cell,
)


def by_place(
    programme: Programme, food: FoodPlan, lines: Sequence[PlaceLine], shares: Sequence[PlaceShare]
) -> Document:
    """Where every order's packs go, place by place, and who pays what of it."""
    parts: list[Part] = [_of_each_place(food, shares), _shares_of_all(food, shares)]
    for order in food.orders:
        parts.append(_lines(order, [line for line in lines if line.order == order.order]))
    return Document(
        "orders/by-place", "Every order by place", "the coordinator and each place", tuple(parts),
        head_line(programme, contact=False),
    )  # fmt: skip


def _of_each_place(food: FoodPlan, shares: Sequence[PlaceShare]) -> Table:
    columns = (Column("Place", width=24), Column("Pays", "money", 13))
    paid: dict[str, int] = {}
    for share in shares:
        paid[share.place] = paid.get(share.place, 0) + share.cost
    rows = tuple(Row((place, money_cell(Money(cost)))) for place, cost in paid.items())
    return Table("Each place", "What each place pays in all", columns, rows, totals=_all_orders(food))


def _all_orders(food: FoodPlan) -> tuple[Total, ...]:
    total = sum(order.total for order in food.orders)
    return (Total("total", "All orders", "Pays", total, "SUM([Pays])"),) if food.orders else ()


def _shares_of_all(food: FoodPlan, shares: Sequence[PlaceShare]) -> Table:
    columns = (Column("Order", "code", 24), Column("Place", width=24), Column("Pays", "money", 13))
    rows = tuple(Row((share.order, share.place, money_cell(share.cost))) for share in shares)
    notes = (
        "Goods go by what each place uses of each pack, delivery and tax by goods; the shares add up to the cent.",
    )
    title = "What each place pays of each order"
    return Table("What each pays", title, columns, rows, notes=notes, totals=_all_orders(food))


def _lines(order: Order, lines: Sequence[PlaceLine]) -> Table:
    columns = (
        Column("Place", width=24),
        Column("Item code", "code", 12),
        Column("What", width=26),
        Column("Whole packs", "count", 8),
        Column("And of a shared pack", width=16),
        Column("In all", width=14),
    )
    rows = tuple(
        Row(
            (each.place, each.item, each.food, each.packs, _words(each.opened, each.unit), _words(each.used, each.unit))
        )
        for each in sorted(lines, key=lambda each: (each.place, each.food, each.item))
    )
    notes = (
        "A shared pack goes to one of its places, is weighed out there, and the rest goes on in a closed, labelled "
        "container; cold food stays cold on the way.",
    )
    title = f"{order.order}, delivered {day_words(order.arrives)}: what each place gets"
    return Table(order.order, title, columns, rows, notes=notes)


def _words(amount: Fraction, unit: str) -> str:
    return "" if not amount else decimal_words(amount) if unit == "each" else f"{decimal_words(amount)} {unit}"
