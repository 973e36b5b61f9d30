"""The page that leads to every workbook of a run: what became of each, what to order first, what it costs."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass

from opsreport.money import Currency, Money
from opsreport.plan.people.sites import Combined, Printed, Site
from opsreport.shown import day_words
from opsreport.tables.naming import counted
from opsreport.tables.table import Column, Document, Facts, Part, Prose, Row, Table, Value, money_cell

ATTENDANCE_OF_ALL = "attendance"
"""The document that counts everyone of all workbooks once."""


@dataclass(frozen=True, slots=True)
class Told:
    """What became of one workbook of several, small enough to be handed from process to process.

    source: as asked for. name: of its folder, '' where it has none. status: as alone, 0 to 2. refusal: why it could
    not be used. not_written: families that its errors stop. first: (order, order-by day, urgent) of the first
    order. cost: of all orders with delivery and tax. files: how many were written. site: its attendance; None where
    errors or --partial leave it out, or no session was delivered.
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
    site: Site | None = None


def index_of_all(
    told: Sequence[Told], as_of: str, together: Told | None = None, attendance: bool = False
) -> Document:  # fmt: skip
    """One line a workbook, those that need a hand named above, and a link to each start page.

    together: the orders for all of them, where they order together. attendance: whether there is that of all.
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
    first = [(together.source, f"{together.name}/index.html")] if together else []
    if attendance:
        first += [("Attendance of all workbooks", f"{ATTENDANCE_OF_ALL}.{form}") for form in ("html", "xlsx")]
    links = (*first, *((each.programme or each.name, f"{each.name}/index.html") for each in told if each.name))
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


def attendance_of_all(told: Sequence[Told], found: Combined, as_of: str) -> Document:
    """The attendance of every workbook and of all together, small counts hidden. told: those it is of, in order."""
    columns = (
        Column("Workbook", width=28),
        Column("Sessions planned", "count", 9),
        Column("Delivered", "count", 9),
        Column("People", "count", 10),
        Column("Households", "count", 11),
        Column("Contacts", "count", 10),
        Column("Contact hours", "amount", 10),
        Column("Kits given out", "count", 10),
        Column("Completers", "count", 11),
        Column("Completers of people", "percent", 11),
    )
    rows = [_attended(each.name, line) for each, line in zip(told, found.sites, strict=True)]
    rows.append(Row(_attended("Together, each once", found.all).cells, "heading"))
    parts = (
        Table("Attendance", "Attendance of each workbook and together", columns, tuple(rows)),
        Prose(_who_is_who(found), "Who is counted once"),
        Prose(_what_is_hidden(found), "What is hidden"),
    )
    title = "Attendance of all workbooks"
    return Document(ATTENDANCE_OF_ALL, title, "the coordinator and funders", parts, as_of, landscape=True)


def _attended(name: str, line: Printed) -> Row:
    hours: Value = "hidden" if line.contact_hours is None else line.contact_hours
    rate: Value = line.completion if line.completion is not None or line.people == 0 else "hidden"
    return Row(
        (
            name, line.sessions_planned, line.sessions_delivered, line.people, line.households, line.contacts, hours,
            line.kits, line.completers, rate,
        )
    )  # fmt: skip


def _who_is_who(found: Combined) -> tuple[str, ...]:
    few = 1 <= found.joined <= found.small
    joined = f"from 1 to {found.small} people" if few else counted(found.joined, "person", "people")
    return (
        f"In several workbooks and counted once here: {joined}.",
        "Somebody is one person in two workbooks where Programme in Settings, Participant and Household are the same "
        "in both, Household is a code of its own, and Name and further columns of Enrolment do not differ. Who "
        "completed in any workbook is a completer.",
        f"Codes that stand in several workbooks and are counted apart, as one of these differs: {found.apart:,}.",
        "Where each workbook gives out its codes anew, two people can have the same code, household and details: give "
        "the workbooks different Programme names, and nobody is joined.",
    )


def _what_is_hidden(found: Combined) -> tuple[str, ...]:
    return (
        f"Counts of people from 1 to {found.small} are hidden, and others that would tell them; so are contacts, "
        "hours, kits and households of workbooks whose people are hidden. The largest Small count of any was used.",
        "Each workbook's own reports were hidden by themselves: who has them beside this page could subtract. Hand out "
        "one or the other.",
    )


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
