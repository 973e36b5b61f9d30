"""An order for several places, split: what each gets of it and what each pays."""

from collections.abc import Sequence

from opsreport.money import Money
from opsreport.plan.buying.pooling import PlaceLine, PlaceShare
from opsreport.plan.model import FoodPlan, Order
from opsreport.programme import Programme
from opsreport.tables.naming import head_line
from opsreport.tables.orders.amounts import pack_words
from opsreport.tables.shelf_words import there_words, to_fetch_words
from opsreport.tables.table import (
    Column,
    Document,
    Part,
    Row,
    Table,
    Total,
    day_words,
    money_cell,
)


def by_place(
    programme: Programme, food: FoodPlan, lines: Sequence[PlaceLine], shares: Sequence[PlaceShare]
) -> Document:
    """Where every order's packs go, place by place, and who pays what of it."""
    parts: list[Part] = [*_shares_of_all(food, shares)]
    for order in food.orders:
        parts.append(_lines(programme, order, [line for line in lines if line.order == order.order]))
    return Document(
        "orders/by-place", "Every order by place", "the coordinator and each place", tuple(parts),
        head_line(programme, contact=False),
    )  # fmt: skip


def _shares_of_all(food: FoodPlan, shares: Sequence[PlaceShare]) -> list[Table]:
    """What each place pays in all, and of each order."""
    paid: dict[str, int] = {}
    for share in shares:
        paid[share.place] = paid.get(share.place, 0) + share.cost
    total = sum(order.total for order in food.orders)
    totals = (Total("total", "All orders", "Pays", total, "SUM([Pays])"),) if shares else ()
    place, pays = Column("Place", width=24), Column("Pays", "money", 13)
    notes = (
        "Goods go by what each place uses of each pack, delivery and tax by goods; the shares add up to the cent.",
    )
    return [
        Table(
            "What each pays", "What each place pays", (place, pays),
            tuple(Row((name, money_cell(Money(cost)))) for name, cost in sorted(paid.items())), totals=totals,
        ),
        Table(
            "What each pays", "What each place pays of each order", (Column("Order", "code", 24), place, pays),
            tuple(Row((share.order, share.place, money_cell(share.cost))) for share in shares),
            notes=notes, totals=totals,
        ),
    ]  # fmt: skip


def _lines(programme: Programme, order: Order, lines: Sequence[PlaceLine]) -> Table:
    columns = (
        Column("Place", width=16),
        Column("Item code", "code", 10),
        Column("What", width=21),
        Column("Pack", width=11),
        Column("Whole packs", "count", 7),
        Column("And of a shared pack", width=15),
        Column("In all", width=20),
    )
    rows = tuple(
        Row(
            (
                each.place, each.item, each.food, pack_words(each.size, each.words), each.packs or None,
                to_fetch_words(programme, each.food, each.shared) if each.shared else "",
                there_words(programme, each.food, each.used),
            )
        )
        for each in sorted(lines, key=lambda each: (each.place, each.food, each.item))
    )  # fmt: skip
    notes = (
        "A shared pack goes to one of its places, is weighed or counted out there, and the rest goes on in a closed, "
        "labelled container; cold food stays cold on the way.",
    )
    title = f"{order.order}, delivered {day_words(order.arrives)}"
    return Table(order.order, title, columns, rows, notes=notes)
