"""A purchase order a supplier and delivery day, with the sheet to check the delivery against."""

import datetime as dt
from fractions import Fraction
from typing import Final

from opsreport.money import Currency
from opsreport.plan.model import Addition, FoodPlan, Order, Purchase
from opsreport.programme import Programme, Supplier
from opsreport.sheets import Storage
from opsreport.tables.naming import head_line, in_local_degrees, listed
from opsreport.tables.orders.amounts import pack_words
from opsreport.tables.orders.heads import order_paths, supplier_name
from opsreport.tables.table import (
    Column,
    Document,
    Facts,
    Part,
    Prose,
    Row,
    Table,
    Total,
    day_words,
    decimal_words,
    money_cell,
)

KEPT: Final[dict[Storage, str]] = {
    "chill": "refrigerator",
    "freeze": "freezer",
    "cool": "cool place",
    "shelf": "shelf",
}
"""Where a delivery goes, the coldest care first."""

_COLD_CAUTION: Final = (
    "Refrigerated food that needs the cold for safety is at 41 °F (5 °C) or below when it arrives, and "
    "frozen food is frozen solid; refuse what is not, and write it on the delivery note.",
    "Put cold food away before anything else is counted, and keep it at 41 °F (5 °C) or below. Where your local food "
    "code differs, follow that.",
    "Source: FDA Food Code, 3-202.11 (receiving) and 3-501.16 (holding).",
)


def purchase_orders(programme: Programme, food: FoodPlan) -> list[Document]:
    """One document an order, in the plan's order: urgent ones first, then by order-by day.

    Raises:
        ValueError: a purchase that belongs to no order: our mistake, never dropped quietly.
    """
    rows: dict[str, list[Purchase]] = {order.order: [] for order in food.orders}
    for purchase in food.purchases:
        if purchase.order not in rows:
            raise ValueError(f"{purchase.food} is bought on order {purchase.order!r}, which is no order")
        rows[purchase.order].append(purchase)
    paths = order_paths(food.orders)
    last_uses = {(need.food, need.session): need.use_by_at_least for need in food.needs}
    return [
        _purchase_order(programme, food, order, rows[order.order], paths[order.order], last_uses)
        for order in food.orders
    ]


def _purchase_order(
    programme: Programme,
    food: FoodPlan,
    order: Order,
    rows: list[Purchase],
    path: str,
    last_uses: dict[tuple[str, str], dt.date],
) -> Document:
    cold = any(programme.foods.by_name[row.food].storage in ("chill", "freeze") for row in rows)
    addition = next((each for each in food.additions if each.order == order.order), None)
    parts: list[Part] = [
        *_on_hold(programme, food, order),
        *([_in_addition(addition)] if addition else []),
        _facts(programme, order),
        _lines(programme, order, rows),
        _arrival(programme, order, rows, last_uses),
    ]
    if cold:
        parts.append(
            Prose(tuple(in_local_degrees(line, programme) for line in _COLD_CAUTION), "Cold food on arrival", "caution")
        )
    return Document(
        path,
        f"Purchase order {order.order}" + (f", in addition to {listed(addition.to)}" if addition else ""),
        supplier_name(programme, order.supplier),
        tuple(parts),
        head_line(programme, contact=False),
        leaves=True,
    )


def _on_hold(programme: Programme, food: FoodPlan, order: Order) -> list[Prose]:
    """That it must wait for money, where it no longer fits under the cap."""
    budget = food.budget
    if order.order not in budget.on_hold or budget.cap is None:
        return []
    first = budget.on_hold[0]
    why = "with it" if order.order == first else f"from order {first} on"
    sentences = (
        f"Do not send this order yet: {why}, what is spent, ordered and planned goes over the budget of "
        f"{programme.currency.shown(budget.cap)}.",
        "Nothing was cut. Orders → What the orders cost shows what could be spent less on.",
    )
    return [Prose(sentences, "ON HOLD: over the budget", "warning")]


def _in_addition(addition: Addition) -> Prose:
    """To the supplier: what is ordered already stays, and both come together."""
    numbers = listed(addition.to)
    return Prose(
        (
            f"In addition to order {numbers}, which stands as it was placed: this order does not replace it.",
            "Please deliver both together, and charge one delivery.",
        ),
        f"ADDITION to order {numbers}",
        "warning",
    )


def _facts(programme: Programme, order: Order) -> Facts:
    """Whom, when and where; what nobody wrote down is left out. Our own last day to order is not the supplier's."""
    supplier, settings = programme.suppliers[order.supplier], programme.settings
    pairs = (
        ("Order number", order.order),
        ("Prepared", day_words(programme.as_of)),
        ("Sent on", "_" * 20),
        ("To", supplier_name(programme, order.supplier)),
        ("Send to", supplier.order_to),
        ("Our account", supplier.account),
        ("Deliver on", day_words(order.arrives)),
        ("Deliver to", settings.programme),
        ("Delivery address", settings.deliver_to or "_" * 40),
        ("Contact", settings.contact),
    )
    return Facts(tuple((label, text) for label, text in pairs if text))


def _lines(programme: Programme, order: Order, rows: list[Purchase]) -> Table:
    """What is ordered, live from the packs to the total."""
    currency = programme.currency
    supplier = programme.suppliers[order.supplier]
    columns = (
        Column("Item code", "code", 12),
        Column("What", width=26),
        Column("Packs", "count", 7),
        Column("Pack", width=12),
        Column("Sold by", "count", 8),
        Column("Price", "money", 10),
        Column("Cost", "money", 11, "[Packs]*[Price]"),
    )
    cells = tuple(
        Row(
            (
                row.item,
                row.food,
                row.packs,
                pack_words(row.size, row.words),
                row.sold_by,
                money_cell(row.price),
                money_cell(row.cost),
            )
        )
        for row in rows
    )
    totals = (
        Total("goods", "Goods", "Cost", money_cell(order.goods), "SUM([Cost])"),
        Total("fee", "Delivery fee", "Cost", money_cell(order.fee), _fee(supplier, currency)),
        Total(
            "tax",
            f"Tax at {decimal_words(supplier.tax * 100)}%",
            "Cost",
            money_cell(order.tax),
            f"ROUND({{goods}}*{_exactly(supplier.tax)},{currency.decimals})",
        ),
        Total("total", "Total", "Cost", money_cell(order.total), "{goods}+{fee}+{tax}"),
    )
    notes = [
        f"Prices in {currency.code}. Packs are single packs; Sold by is how many packs go in the smallest sale.",
        "No substitutes, please, unless we have agreed on them first. Tell us before the delivery what cannot come, "
        "so that we can buy it elsewhere.",
    ]
    if supplier.free_from is not None:
        notes.append(
            f"Delivery is free from {currency.shown(supplier.free_from)} of goods, else "
            f"{currency.shown(supplier.delivery_fee)}."
        )
    whom = f" to {programme.settings.contact}" if programme.settings.contact.strip() else ""
    notes.append(f"Please confirm this order, its prices and the day of delivery{whom}.")
    notes.append("Ordered by ______________________________   Date ________________")
    return Table("Order", "What we order", columns, cells, notes=tuple(notes), totals=totals)


def _fee(supplier: Supplier, currency: Currency) -> str:
    """The delivery fee, live where enough goods make it free; '' where it is always the same."""
    if supplier.free_from is None:
        return ""
    least, fee = (
        _exactly(Fraction(money, 10**currency.decimals)) for money in (supplier.free_from, supplier.delivery_fee)
    )
    return f"IF({{goods}}>={least},0,{fee})"


def _exactly(rate: Fraction) -> str:
    """A number in a formula: `0.0825`; `1/30` where decimals never end."""
    decimals = 0
    while (rate * 10**decimals).denominator != 1 and decimals < 12:
        decimals += 1
    scaled = rate * 10**decimals
    if scaled.denominator != 1:
        return f"{rate.numerator}/{rate.denominator}"
    digits = f"{scaled.numerator:0{decimals + 1}d}"
    return f"{digits[:-decimals]}.{digits[-decimals:]}" if decimals else digits


def _arrival(
    programme: Programme, order: Order, rows: list[Purchase], last_uses: dict[tuple[str, str], dt.date]
) -> Table:
    """What to count and read when the delivery comes, in the order in which it is put away."""
    care = list(KEPT)
    foods = programme.foods.by_name
    columns = (
        Column("Goes to", width=13),
        Column("What", width=24),
        Column("Pack", width=12),
        Column("Packs", "count", 7),
        Column("Good until at least", "date", 16),
        Column("Received", "write-in", 10),
        Column("Best before", "write-in", 14),
        Column("Temperature", "write-in", 12),
    )

    def good_until(row: Purchase) -> dt.date | None:
        uses = [last_uses.get((row.food, session)) for session, _ in row.used]
        return max((use for use in uses if use is not None), default=None)

    cells = []
    for row in sorted(rows, key=lambda row: care.index(foods[row.food].place_kept)):
        kept = foods[row.food].place_kept
        needs_cold = kept in ("chill", "freeze")
        reading = None if needs_cold else "no need"
        cells.append(
            Row(
                (KEPT[kept], row.food, pack_words(row.size, row.words), row.packs, good_until(row), None, None, reading)
            )
        )
    return Table(
        "On arrival",
        "On arrival (ours, not part of the order): count, look at dates, cold food first",
        columns,
        tuple(cells),
        intro=(
            f"Delivery of {day_words(order.arrives)} from {supplier_name(programme, order.supplier)}, order "
            f"{order.order}. For whoever takes the delivery in: keep this page, and send the supplier only the order "
            "itself.",
            "A pack with a date before Good until at least will not last for the sessions that it is for.",
        ),
        page_break=True,
    )
