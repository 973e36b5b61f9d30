"""What nobody delivers: shortages to settle first, then the list to go shopping with."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable

from opsreport.plan.explaining.mending import mend_words
from opsreport.plan.model import FoodPlan, ToShop
from opsreport.programme import Programme
from opsreport.shown import amount_words
from opsreport.tables.naming import head_line
from opsreport.tables.orders.amounts import in_kitchen_words, shop_words
from opsreport.tables.orders.heads import planned_sessions, total
from opsreport.tables.table import Column, Document, Row, Table


def shopping_list(programme: Programme, food: FoodPlan) -> Document:
    """Shortages above, then by packing day what no supplier offers."""
    return Document(
        "orders/shopping-list",
        "Shopping list",
        "the coordinator and whoever shops",
        (_shortages(programme, food), _to_shop(programme, food)),
        head_line(programme),
        landscape=True,
    )


def _shortages(programme: Programme, food: FoodPlan) -> Table:
    sessions = planned_sessions(food)
    place = {name: number for number, name in enumerate(sessions)}
    mends: dict[tuple[str, str], list[str]] = defaultdict(list)
    for mend in food.mends:
        mends[mend.food, mend.session].append(mend_words(mend))
    columns = (
        Column("Packing day", "date", 16),
        Column("Session", "code", 9),
        Column("Group", "code", 9),
        Column("Session day", "date", 16),
        Column("Ingredient", width=24),
        Column("Missing", "amount", 11),
        Column("Unit", width=6),
        Column("In a shop", width=12),
        Column("In a kitchen", width=22),
        Column("Full kits still possible", "count", 14),
        Column("What would mend it", width=44),
    )
    rows = []
    for short in sorted(
        food.shortages, key=lambda row: (place.get(row.session, len(place)), row.food.casefold(), row.food)
    ):
        planned, known = sessions.get(short.session), programme.foods.by_name[short.food]
        rows.append(
            Row(
                (
                    planned.packing_day if planned else None,
                    short.session,
                    planned.group if planned else "",
                    planned.day if planned else None,
                    short.food,
                    short.amount,
                    short.unit,
                    shop_words(short.amount, short.unit, programme.measures),
                    in_kitchen_words(known, short.amount, short.unit, programme.measures),
                    short.full_kits_possible,
                    "\n".join(mends.get((short.food, short.session), ())) or "buy it in a shop, or change the recipe",
                ),
                "warning",
            )
        )
    intro = (
        "No supplier can bring these in time and so that they keep. Nothing was chosen for you: take one of the "
        "choices, or buy them in a shop.",
    )
    return Table(
        "Short",
        "Short: nothing covers these",
        columns,
        tuple(rows),
        intro=intro if rows else (),
        empty="Nothing is short.",
    )


def _shares(parts: Iterable[ToShop]) -> str:
    """What each session takes, rounded: `s1 66 g; s2 2.5 g`."""
    return "; ".join(
        f"{shop.session} {amount_words(shop.amount, shop.unit, 0 if shop.amount >= 10 else 1)}" for shop in parts
    )


def _to_shop(programme: Programme, food: FoodPlan) -> Table:
    """One row a packing day and ingredient, with each session's part of it."""
    sessions = planned_sessions(food)
    together: dict[tuple[dt.date, str], list[ToShop]] = defaultdict(list)
    for shop in food.shopping:
        together[sessions[shop.session].packing_day, shop.food].append(shop)
    columns = (
        Column("For packing on", "date", 16),
        Column("Ingredient", width=24),
        Column("Amount", "amount", 11),
        Column("Unit", width=6),
        Column("In a shop", width=12),
        Column("In a kitchen", width=22),
        Column("For", width=26),
        Column("Bought", "write-in", 14),
        Column("Price", "write-in", 12),
    )
    rows = []
    order = list(sessions)
    for day, name in sorted(together, key=lambda key: (key[0], key[1].casefold(), key[1])):
        parts = sorted(together[day, name], key=lambda shop: order.index(shop.session))
        amount, unit = total(shop.amount for shop in parts), parts[0].unit
        users = parts[0].session if len(parts) == 1 else _shares(parts)
        known = programme.foods.by_name[name]
        rows.append(
            Row(
                (
                    day,
                    name,
                    amount,
                    unit,
                    shop_words(amount, unit, programme.measures),
                    in_kitchen_words(known, amount, unit, programme.measures),
                    users,
                    None,
                    None,
                )
            )
        )
    notes = (
        "Amounts are as bought. In a shop and In a kitchen are rounded up, so that they are enough.",
        "To have an ingredient ordered next time, give it a row on the Packs sheet.",
    )
    return Table(
        "To shop for",
        "To shop for: no pack on offer",
        columns,
        tuple(rows),
        notes=notes if rows else (),
        empty="There is nothing to shop for: some supplier offers every ingredient that must be bought.",
    )
