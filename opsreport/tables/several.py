"""The page that leads to every workbook of a run: what became of each, what to order first, what it costs."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from opsreport.money import Currency, Money
from opsreport.shown import day_words
from opsreport.tables.naming import counted
from opsreport.tables.table import Column, Document, Facts, Part, Prose, Row, Table, money_cell


@dataclass(frozen=True, slots=True)
class Told:
    """What became of one workbook of several, small enough to be handed from process to process.

    source: as asked for. name: of its folder, '' where it has none. status: as alone, 0 to 2. refusal: why it could
    not be used. not_written: families that its errors stop. first: (order, order-by day, urgent) of the first
    order. cost: of all orders with delivery and tax. files: how many were written.
    """

    source: str
    name: str
    status: int
    refusal: str = ""
    programme: str = ""
    currency: str = ""
    errors: int = 0
    warnings: int = 0
    notes: int = 0
    short: int = 0
    not_written: tuple[str, ...] = ()
    first: tuple[str, dt.date, bool] | None = None
    cost: Money | None = None
    files: int = 0


def index_of_all(told: Sequence[Told], as_of: str, together: Told | None = None) -> Document:
    """One line a workbook, those that need a hand named above, and a link to each start page.

    together: the orders for all of them, where they order together.
    """
    refused = [each for each in told if not each.name]
    faulty = [each for each in told if each.not_written]
    parts: list[Part] = [
        Facts(
            (
                ("Workbooks", str(len(told))),
                ("Written", counted(len(told) - len(refused), "folder")),
                ("Not used", counted(len(refused), "workbook") if refused else "none"),
            )
        )
    ]
    if refused:
        sentences = tuple(f"{each.source}: {each.refusal}" for each in refused)
        parts.append(Prose(sentences, "Not used: nothing was written for these", "warning"))
    if faulty:
        sentences = tuple(f"{each.source}: no {' and no '.join(each.not_written)}." for each in faulty)
        parts.append(Prose(sentences, "Documents are missing, because of errors in the workbook", "warning"))
    parts.append(_table([*((together,) if together else ()), *told], together is not None))
    first = ((together.source, f"{together.name}/index.html"),) if together else ()
    links = first + tuple((each.programme or each.name, f"{each.name}/index.html") for each in told if each.name)
    return Document("index", "All workbooks", "the coordinator", tuple(parts), as_of, links=links)


def _table(told: Sequence[Told], together: bool) -> Table:
    currencies = {each.currency for each in told if each.cost is not None}
    alike = len(currencies) <= 1
    columns = (
        Column("Workbook", width=26),
        Column("First to order", "code", 22),
        Column("By", "date", 16),
        Column("Orders", "money" if alike else "text", 14),
        Column("Short", "count", 8),
        Column("Errors", "count", 8),
        Column("Warnings", "count", 9),
        Column("Notes", "count", 8),
    )
    rows = tuple(_row(each, alike, with_all=together and number > 0) for number, each in enumerate(told))
    notes = (*_NOTES, "Each workbook's Orders is its share of the orders for all.") if together else _NOTES
    return Table("Workbooks", "Every workbook", columns, rows, notes=notes)


_NOTES = (
    "Orders is the cost of all orders with delivery and tax. Short counts foods that sessions lack and no "
    "delivery covers.",
)


def _row(each: Told, alike: bool, with_all: bool) -> Row:
    if not each.name:
        return Row((each.source, "not used", None, None, None, None, None, None), "warning")
    order, by, urgent = each.first or ("", None, False)
    shown = f"URGENT: {order}" if urgent else order or ("with all" if with_all else "nothing")
    cells = (
        each.source, shown, by, _cost(each, alike), each.short, each.errors, each.warnings, each.notes,
    )  # fmt: skip
    return Row(cells, "warning" if each.errors or urgent else "")


def _cost(each: Told, alike: bool) -> int | str | None:
    """Money as a cell; in words where the workbooks' currencies differ."""
    if each.cost is None or alike:
        return None if each.cost is None else money_cell(each.cost)
    return cost_words(each)


def cost_words(each: Told) -> str:
    """The cost of all orders as a sentence says it; '' where nothing was planned."""
    return "" if each.cost is None else Currency(each.currency).shown(each.cost)


def told_line(each: Told) -> str:
    """What a terminal says of one workbook."""
    if not each.name:
        return f"{each.source}: not used. {each.refusal}"
    parts = [counted(each.errors, "error"), counted(each.warnings, "warning"), counted(each.notes, "note")]
    if each.not_written:
        parts.append(f"no {' and no '.join(each.not_written)}")
    return f"{each.source} → {each.name}/: {'; '.join([*parts, *_ordered(each)])}"


def together_line(all_: Told) -> str:
    """What a terminal says of the orders of all workbooks."""
    found = [counted(all_.warnings, "warning")] if all_.warnings else []
    return f"Orders for all: {'; '.join([*_ordered(all_), *found]) or 'nothing to order'} ({all_.name}/)"


def _ordered(each: Told) -> list[str]:
    """The first order, and what all of them cost."""
    parts = []
    if each.first is not None:
        order, by, urgent = each.first
        parts.append(f"first to order{' (urgent, telephone)' if urgent else ''}: {order}, by {day_words(by)}")
    if each.cost:
        parts.append(f"orders {cost_words(each)}")
    return parts
