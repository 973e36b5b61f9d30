"""Where every pack bought goes: which sessions use it, and what is left over."""

from opsreport.plan.model import FoodPlan, Purchase
from opsreport.programme import Programme
from opsreport.tables.naming import head_line
from opsreport.tables.orders.amounts import pack_words
from opsreport.tables.orders.heads import planned_sessions
from opsreport.tables.table import Column, Document, Row, Table


def where_packs_go(programme: Programme, food: FoodPlan) -> Document:
    """One table: a line for each row of an order, and under it the sessions that use it."""
    columns = (
        Column("Ingredient", width=20),
        Column("Order", "code", 20),
        Column("Packs", "count", 7),
        Column("Pack", width=11),
        Column("Arrives", "date", 15),
        Column("Good through", "date", 15),
        Column("Session", "code", 8),
        Column("Group", "code", 7),
        Column("Packing day", "date", 15),
        Column("Session day", "date", 15),
        Column("Bought", "amount", 10),
        Column("Used", "amount", 10),
        Column("Left over", "amount", 10),
        Column("Unit", width=6),
    )
    rows = [row for purchase in food.purchases for row in _rows(food, purchase)]
    table = Table(
        "Where packs go",
        "Where every pack goes",
        columns,
        tuple(rows),
        intro=("A line in bold is a row of an order; the sessions that use it stand under it.",) if rows else (),
        notes=("Good through says “not known” where the workbook has no number of days that the food keeps.",)
        if any(purchase.good_through is None for purchase in food.purchases)
        else (),
        empty="No packs are bought.",
    )
    return Document(
        "orders/where-packs-go",
        "Where every pack goes",
        "the coordinator",
        (table,),
        head_line(programme),
        landscape=True,
    )


def _rows(food: FoodPlan, purchase: Purchase) -> list[Row]:
    """The purchase as a heading with its amount and rest, then its uses in order of packing."""
    sessions = planned_sessions(food)
    order = list(sessions)
    heading = Row(
        (
            purchase.food,
            purchase.order,
            purchase.packs,
            pack_words(purchase.size),
            purchase.arrives,
            purchase.good_through or "not known",
            "",
            "",
            None,
            None,
            purchase.base,
            None,
            purchase.left_over,
            purchase.base_unit,
        ),
        "heading",
    )
    uses = sorted(purchase.used, key=lambda use: order.index(use[0]))
    return [
        heading,
        *(
            Row(
                (
                    purchase.food,
                    purchase.order,
                    None,
                    "",
                    None,
                    None,
                    name,
                    sessions[name].group,
                    sessions[name].packing_day,
                    sessions[name].day,
                    None,
                    amount,
                    None,
                    purchase.base_unit,
                )
            )
            for name, amount in uses
        ),
    ]
