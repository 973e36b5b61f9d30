"""Closing stock: the rows that Stock and Orders should have at the end of a day, to check and copy."""

from collections.abc import Sequence
from typing import Final

from opsreport.measures.units import mixed
from opsreport.plan.explaining.closing import Closing, OnShelf, Placed
from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.tables.naming import counted, head_line, listed
from opsreport.tables.table import Column, Document, Facts, Prose, Row, Table, Value, money_cell

_STOCK: Final = (
    Column("Ingredient", width=24),
    Column("Amount", "code", 9),
    Column("Unit", width=8),
    Column("Lot", "code", 18),
    Column("Best before", "date", 16),
    Column("Opened", "date", 16),
    Column("Place", width=12),
    Column("Counted", "write-in", 11),
    Column("Source", width=9),
    Column("Value", "money", 9),
    Column("Hold", width=6),
    Column("Packs", "count", 7),
)
_ORDERS: Final = (
    Column("Order", "code", 20),
    Column("Supplier", "code", 14),
    Column("Ingredient", width=22),
    Column("Item", "code", 10),
    Column("Packs", "code", 7),
    Column("Pack amount", "code", 9),
    Column("Pack unit", width=8),
    Column("Due", "date", 16),
    Column("Received", "code", 9),
    Column("Best before", "date", 16),
    Column("Price", "money", 9),
)
_CAUTION: Final = (
    "This is what should be there, not what is; of deliveries, those that stand in Orders. Count it; where it differs, "
    "type what you counted, and the day in Counted. Read the date on each package: it goes before the one here. Cold "
    "food without any date is not planned with.",
    "Throw out what is past its date, and cold food that was too warm; follow labels and your local food code.",
)


def closing_document(programme: Programme, found: Closing) -> Document:
    """What the day was taken to be, then both sheets with their own headings."""
    stock = [_lot(programme, row) for row in found.stock]
    orders = [_order(row) for row in found.orders]
    return Document(
        f"closing-stock-{found.day.isoformat()}",
        f"Closing stock, {day_words(found.day)}",
        "the coordinator",
        (
            Facts((("Packed by then", listed(found.packed) or "nothing"), ("In short", closing_words(found)))),
            Prose(_CAUTION, "Before it is copied", "caution"),
            _table("Stock", "Rows for Stock: all that should be on the shelf", _STOCK, stock),
            _table("Orders", "Rows for Orders: what came, and what is to come", _ORDERS, orders),
        ),
        head_line(programme),
        landscape=True,
        leaves=True,
    )


def closing_words(found: Closing) -> str:
    """`61 rows of Stock, 12 of them changed or new; 9 of Orders, 5 of them`."""
    changed = [sum(row.changed for row in rows) for rows in (found.stock, found.orders)]
    return (
        f"{counted(len(found.stock), 'row')} of Stock, {changed[0]} of them changed or new; "
        f"{counted(len(found.orders), 'row')} of Orders, {changed[1]} of them changed or new"
    )


def _table(name: str, title: str, columns: tuple[Column, ...], rows: Sequence[Row]) -> Table:
    intro = (f"Copy the rows over those of the sheet {name} in the workbook: the columns are the same.",)
    return Table(
        name, title, columns, tuple(rows), intro=intro if rows else (), empty=f"{name} is empty then.",
        page_break=name == "Orders",
    )  # fmt: skip


def _lot(programme: Programme, row: OnShelf) -> Row:
    """Cold food without a date stands out: the next run does not use it."""
    value = None if row.value is None else money_cell(row.value)
    undated = row.best_before is None and row.opened is None
    cold = programme.foods.by_name[row.food].place_kept == "chill"
    cells: tuple[Value, ...] = (
        row.food, mixed(row.quantity.amount), row.quantity.unit, row.lot, row.best_before, row.opened, row.location,
        None, "donated" if row.donated else "", value, "yes" if row.hold else "", row.packs if row.packs > 1 else None,
    )  # fmt: skip
    return Row(cells, "warning" if cold and undated else "" if row.changed else "quiet")


def _order(row: Placed) -> Row:
    cells: tuple[Value, ...] = (
        row.order, row.supplier, row.food, row.item, mixed(row.packs), mixed(row.size.amount), row.size.unit, row.due,
        mixed(row.received) if row.received else "", row.best_before,
        None if row.price is None else money_cell(row.price),
    )  # fmt: skip
    return Row(cells, "" if row.changed else "quiet")
