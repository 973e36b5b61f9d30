"""What to order by when, and what arrives when, whether ordered now or before."""

import datetime as dt
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

from opsreport.plan.buying.additions import forward_words
from opsreport.plan.buying.placed import to_note
from opsreport.plan.model import FoodPlan, Order, Purchase
from opsreport.programme import OnOrder, Programme
from opsreport.shown import day_words
from opsreport.tables.naming import head_line, listed
from opsreport.tables.orders.amounts import pack_words
from opsreport.tables.orders.heads import order_paths, supplier_name
from opsreport.tables.orders.purchase_orders import KEPT
from opsreport.tables.shelf_words import to_fetch_words
from opsreport.tables.table import Column, Document, Row, Table, Total, Value, money_cell


def order_calendar(programme: Programme, food: FoodPlan) -> Document:
    """The coordinator's list of orders and deliveries, urgent orders first.

    Where several workbooks order together, what to order stands in that of all, the rest in each one's own.
    """
    to_order = [] if food.pooled == "part" else [_to_order(programme, food)]
    of_one = [] if food.pooled == "all" else [_overdue(programme), _rows_to_copy(programme, food)]
    return Document(
        "orders/order-calendar",
        "Order calendar",
        "the coordinator",
        (*to_order, _arrivals(programme, food), *of_one),
        head_line(programme),
        landscape=True,
    )


def _urgent_first(food: FoodPlan) -> list[Order]:
    def rank(order: Order) -> tuple[Any, ...]:
        return (not order.urgent, order.order_by, order.arrives, order.supplier, order.order)

    return sorted(food.orders, key=rank)


def _to_order(programme: Programme, food: FoodPlan) -> Table:
    orders = _urgent_first(food)
    columns = (
        Column("Order by", "date", 16),
        Column("Before", "code", 8),
        Column("Order", width=22),
        Column("Supplier", width=22),
        Column("Arrives", "date", 16),
        Column("Lines", "count", 6),
        Column("Goods", "money", 11),
        Column("Delivery", "money", 10),
        Column("Tax", "money", 9),
        Column("Total", "money", 11, "[Goods]+[Delivery]+[Tax]"),
        Column("Look out", width=40),
    )
    rows = []
    paths = order_paths(food.orders)
    for order in orders:
        supplier = programme.suppliers[order.supplier]
        remarks = order_remarks(programme, food, order)
        rows.append(
            Row(
                (
                    order.order_by,
                    supplier.cut_off,
                    order.order,
                    supplier_name(programme, order.supplier),
                    order.arrives,
                    sum(row.order == order.order for row in food.purchases),
                    money_cell(order.goods),
                    money_cell(order.fee),
                    money_cell(order.tax),
                    money_cell(order.total),
                    "; ".join(remarks),
                ),
                "warning" if remarks else "",
                links_to=f"{paths[order.order]}.html",
            )
        )
    totals = (
        Total("goods", "All orders", "Goods", sum(order.goods for order in orders), "SUM([Goods])"),
        Total("fees", "All orders", "Delivery", sum(order.fee for order in orders), "SUM([Delivery])"),
        Total("tax", "All orders", "Tax", sum(order.tax for order in orders), "SUM([Tax])"),
        Total("total", "All orders", "Total", sum(order.total for order in orders), "SUM([Total])"),
    )
    return Table(
        "To order",
        "What to order, and by when",
        columns,
        tuple(rows),
        totals=totals if rows else (),
        notes=("Once placed, each workbook notes its own part: the rows for it are in its own order calendar.",)
        if food.pooled and rows
        else (),
        empty="There is nothing to order: no session lacks anything that a supplier offers.",
    )


def order_remarks(programme: Programme, food: FoodPlan, order: Order) -> list[str]:
    """What must be settled before an order is sent: telephone, money, what it adds to, what it lacks."""
    shown = programme.currency.shown
    said = []
    if order.order in food.budget.on_hold:
        said.append("ON HOLD: over the budget")
    if order.urgent:
        said.append(f"URGENT: telephone today, send it only when they agree to {day_words(order.arrives)}")
    for each in food.additions:
        if each.order == order.order:
            once = f", which would save {shown(each.fee_saved)}" if each.fee_saved > 0 else ""
            less = "; below the minimum order even together" if each.below_minimum else ""
            said.append(f"IN ADDITION to {listed(each.to)}, placed before: ask for one delivery charge{once}{less}")
    together = any(each.order == order.order and not each.below_minimum for each in food.additions)
    if order.below_minimum and not together:
        minimum = shown(programme.suppliers[order.supplier].minimum_order)
        mends = [forward_words(each, programme) for each in food.forwards if each.order == order.order]
        said.append("; ".join([f"below the minimum order of {minimum}: ask whether it will be taken", *mends]))
    return said


def _rows_to_copy(programme: Programme, food: FoodPlan) -> Table:
    """The orders as rows of the Orders sheet: its own headings, in its own order."""
    in_part = food.pooled == "part"
    columns = (
        Column("Order", "code", 22),
        Column("Supplier", "code", 16),
        Column("Ingredient", width=24),
        Column("Item", "code", 12),
        Column("Packs", "count", 8),
        Column("Pack amount", "code", 12),
        Column("Pack unit", width=10),
        Column("Due", "date", 16),
        Column("Received", "code", 9),
        Column("Best before", "date", 16),
        *((Column("Price", "money", 10),) if in_part else ()),
    )
    orders = [order.order for order in (food.shared if in_part else _urgent_first(food))]
    rows = []
    for row in sorted((row for row in food.purchases if row.order in orders), key=lambda row: orders.index(row.order)):
        for each in to_note(programme, row):
            cells: tuple[Value, ...] = (
                row.order, row.supplier, row.food, row.item, each.packs, str(each.size.amount), each.size.unit,
                row.arrives, None, each.best_before, *((money_cell(each.price),) if in_part else ()),
            )  # fmt: skip
            rows.append(Row(cells))
    shared = "What comes of a pack that is shared stands there as a pack of its own. " if in_part else ""
    return Table(
        "Rows for Orders",
        "Once placed: rows for the Orders sheet",
        columns,
        tuple(rows),
        intro=(
            "When an order is placed, copy its rows from this sheet of the spreadsheet to the Orders sheet of the "
            f"workbook: the columns are the same. {shared}What stands there is never ordered again.",
        )
        if rows
        else (),
        empty="Nothing is to be ordered.",
        page_break=True,
    )


def _arrivals(programme: Programme, food: FoodPlan) -> Table:
    """Packs by delivery: those to order now, and those ordered before and still to come."""
    columns = (
        Column("What", width=26),
        Column("Item code", "code", 12),
        Column("Packs", "amount", 8),
        Column("Pack", width=38 if food.pooled == "part" else 12),
        Column("Goes to", width=13),
    )
    waits = "your part of an order for all" if food.pooled == "part" else "to be ordered"
    coming: list[tuple[Purchase | OnOrder, dt.date, str]] = [(row, row.arrives, waits) for row in food.purchases]
    coming += [
        (row, row.due, "already ordered") for row in programme.on_order if row.packs > 0 and row.due >= programme.as_of
    ]
    deliveries: dict[tuple[dt.date, str, str, str], list[Row]] = {}
    for row, arrives, words in sorted(coming, key=lambda each: (each[0].item, each[0].food)):
        delivery = (arrives, supplier_name(programme, row.supplier), row.order, words)
        inside = deliveries.setdefault(delivery, [])
        inside += [
            Row((row.food, row.item, packs, pack, _goes_to(programme, row.food)))
            for packs, pack in _arriving(programme, row)
        ]
    rows: list[Row] = []
    for (arrives, supplier, order, words), inside in sorted(deliveries.items(), key=lambda each: each[0]):
        heading = f"{day_words(arrives)}: {supplier}, order {order}, {words}"
        rows += [Row((heading, None, None, None, None), "heading"), *inside]
    return Table(
        "What arrives", "What arrives, and when", columns, tuple(rows), empty="No delivery is expected."
    )  # fmt: skip


def _arriving(programme: Programme, row: Purchase | OnOrder) -> Iterator[tuple[Fraction | int | None, str]]:
    """Packs of a row with their size, and in words what comes of shared ones."""
    pack = pack_words(row.size)
    if row.packs:
        yield row.packs, pack
    if isinstance(row, Purchase) and row.shared:
        yield None, f"{to_fetch_words(programme, row.food, row.shared)} of a shared {pack}"


def _goes_to(programme: Programme, food: str) -> str:
    return KEPT[programme.foods.by_name[food].place_kept]


def _overdue(programme: Programme) -> Table:
    """Ordered before, due before the planning date, not marked as received: not counted on."""
    columns = (
        Column("Was due", "date", 16),
        Column("From", width=22),
        Column("Order", "code", 22),
        Column("Item code", "code", 12),
        Column("What", width=24),
        Column("Packs", "amount", 8),
        Column("Pack", width=12),
    )
    late = sorted(
        (row for row in programme.on_order if row.packs > 0 and row.due < programme.as_of),
        key=lambda row: (row.due, row.order, row.place.row),
    )
    rows = tuple(
        Row(
            (
                row.due,
                supplier_name(programme, row.supplier),
                row.order,
                row.item,
                row.food,
                row.packs,
                pack_words(row.size),
            ),
            "warning",
        )
        for row in late
    )
    notes = (
        "These packs are not counted on. Ask the supplier; write a new Due date, or what came under "
        "Received, on the Orders sheet, and plan again.",
    )
    return Table(
        "Overdue",
        "Ordered before and overdue",
        columns,
        rows,
        notes=notes if rows else (),
        empty="Nothing ordered before is overdue.",
    )
