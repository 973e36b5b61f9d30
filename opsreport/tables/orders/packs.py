"""Where every pack bought goes: which sessions use it, what is left over, and why it is bought."""

from fractions import Fraction
from typing import Final

from opsreport.plan.model import FoodPlan, Purchase
from opsreport.programme import Programme
from opsreport.shown import decimal_words
from opsreport.tables.naming import head_line
from opsreport.tables.orders.amounts import pack_words
from opsreport.tables.orders.heads import planned_sessions
from opsreport.tables.orders.trace import SHEET, trace_table
from opsreport.tables.table import Column, Document, Row, Table

_COLUMNS: Final = (
    Column("Ingredient", width=20),
    Column("Order", "code", 20),
    Column("Packs", "count", 6),
    Column("Pack", width=9),
    Column("Arrives", "date", 15),
    Column("Good through", "date", 15),
    Column("Bought", "amount", 10),
    Column("Used", "amount", 10),
    Column("Left over", "amount", 10),
    Column("Unit", width=5),
    Column("Sessions that use it", width=44),
)


def where_packs_go(programme: Programme, food: FoodPlan) -> Document:
    """A line for each row of an order, with the sessions that use it; then why each food is bought, which each of
    several workbooks says of itself."""
    traced = food.pooled != "all"
    rows = tuple(_row(food, purchase) for purchase in food.purchases)
    table = Table(
        "Where packs go",
        "Where every pack goes",
        _COLUMNS,
        rows,
        intro=(
            "Sessions stand in the order in which they are packed; their amounts are rounded.",
            *(("The first cell leads to the working: which kits of which recipes need the food.",) if traced else ()),
        )
        if rows
        else (),
        notes=("Good through says “not known” where the workbook has no number of days that the food keeps.",)
        if any(purchase.good_through is None for purchase in food.purchases)
        else (),
        empty="No packs are bought.",
    )
    return Document(
        "orders/where-packs-go",
        f"Where every pack goes{', and why' if traced else ''}",
        "the coordinator",
        (table, *([trace_table(programme, food)] if traced else [])),
        head_line(programme),
        landscape=True,
    )


def _pack(purchase: Purchase) -> str:
    """`5 lb`; `5 lb, and part of one` where others share it."""
    pack = pack_words(purchase.size, purchase.words)
    if not purchase.shared:
        return pack
    return f"{pack}, and part of one" if purchase.packs else f"part of one: {pack}"


def _row(food: FoodPlan, purchase: Purchase) -> Row:
    sessions = planned_sessions(food)
    order = list(sessions)
    uses = sorted(purchase.used, key=lambda use: order.index(use[0]))
    unit = purchase.base_unit
    words = [f"{name} {decimal_words(amount, 0 if amount >= 10 else 1).removeprefix('≈ ')}" for name, amount in uses]
    return Row(
        (
            purchase.food,
            purchase.order,
            purchase.packs or None,
            _pack(purchase),
            purchase.arrives,
            purchase.good_through or "not known",
            purchase.base,
            sum((amount for _, amount in uses), Fraction(0)),
            purchase.left_over,
            unit,
            ", ".join(words),
        ),
        leads_to=None if food.pooled == "all" else (SHEET, purchase.food),
    )
