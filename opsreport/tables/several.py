"""The page that leads to every workbook of a run: what became of each, what to order first, what it costs."""

import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

from opsreport.money import Currency, Money
from opsreport.plan.people.attendance_of_all import Combined, Printed
from opsreport.plan.people.funders_of_all import add_up
from opsreport.plan.people.sites import Site
from opsreport.shown import day_words
from opsreport.tables.naming import counted, file_names
from opsreport.tables.reports.funder_of_all import ALL, ONE_PERSON, funder_of_all
from opsreport.tables.table import Column, Document, Facts, Part, Prose, Row, Table, Value, money_cell

ATTENDANCE_OF_ALL = "attendance"
"""The document that counts everyone of all workbooks once."""
FUNDERS_OF_ALL = "funders"
"""The folder of documents for funders whom several workbooks name."""


@dataclass(frozen=True, slots=True)
class Told:
    """What became of one workbook of several, small enough to be handed from process to process.

    source: as asked for. name: of its folder, '' where it has none. status: as alone, 0 to 2. refusal: why it could
    not be used. as_of: its planning date, where it was used. not_written: families that its errors stop. first: (order,
    order-by day, urgent) of the first order. cost: of all orders with delivery and tax. files: how many were written.
    site: its attendance and its funders; None where errors or --partial leave them out. apart: why it orders by itself
    where the others order together. first_error, remedy: the first error with its cell, and what to do.
    """

    source: str
    name: str
    status: int
    refusal: str = ""
    as_of: dt.date | None = None
    programme: str = ""
    currency: str = ""
    errors: int = 0
    first_error: str = ""
    remedy: str = ""
    warnings: int = 0
    notes: int = 0
    short: int = 0
    not_written: tuple[str, ...] = ()
    first: tuple[str, dt.date, bool] | None = None
    cost: Money | None = None
    files: int = 0
    site: Site | None = None
    apart: str = ""


def index_of_all(
    told: Sequence[Told], as_of: str, together: Told | None = None, of_all: Sequence[Document] = ()
) -> Document:  # fmt: skip
    """One line a workbook that leads to its start page, those that need a hand named above.

    together: the orders for all of them, where they order together. of_all: documents of all workbooks.
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
        sentences = tuple(_hand_line(each) for each in refused)
        parts.append(Prose(sentences, "Not used: nothing was written for these", "warning"))
    if faulty:
        sentences = tuple(_hand_line(each) for each in faulty)
        parts.append(Prose(sentences, "Documents are missing, because of errors in the workbook", "warning"))
    if apart := tuple(f"{each.source}: {each.apart}." for each in told if each.apart):
        parts.append(Prose(apart, "Not in the orders for all: these have orders in their own folders", "warning"))
    parts.append(_table(told, together))
    links = tuple((document.title, f"{document.path}.{form}") for document in of_all for form in ("html", "xlsx"))
    return Document("index", "All workbooks", "the coordinator", tuple(parts), as_of, links=links)


def _table(told: Sequence[Told], together: Told | None) -> Table:
    alike = not _is_coded(told)
    columns = (
        Column("Workbook", width=26),
        Column("Programme", width=30),
        Column("First to order", "code", 22),
        Column("By", "date", 16),
        Column("Orders", "money" if alike else "text", 14),
        Column("Short", "count", 8),
        Column("Errors", "count", 8),
        Column("Warnings", "count", 9),
        Column("Notes", "count", 8),
    )
    first = () if together is None else (_row(together, alike, ""),)
    rows = (*first, *(_row(each, alike, "with all" if together else "nothing") for each in told))
    notes = (*_NOTES, _SHARE) if together else _NOTES
    return Table("Workbooks", "Every workbook", columns, rows, notes=notes)


_NOTES = (
    "Orders is the cost of all orders with delivery and tax. Short counts foods that sessions lack and no "
    "delivery covers.",
)

_SHARE = "Each workbook's Orders is its share of the orders for all, where it has no order of its own."


def _is_coded(told: Sequence[Told]) -> bool:
    """Whether money is told with its currency's code, since a sign may be that of several."""
    return len({each.currency for each in told if each.cost is not None}) > 1


def _row(each: Told, alike: bool, without: str) -> Row:
    """without: what stands where the workbook has no order of its own, though nothing stops it."""
    if not each.name:
        return Row((each.source, None, "not used", None, None, None, None, None, None), "warning")
    order, by, urgent = each.first or ("", None, False)
    shown = f"URGENT: {order}" if urgent else order or ("not planned" if each.cost is None else without)
    cells = (
        each.source, each.programme or None, shown, by, _cost(each, alike), each.short, each.errors, each.warnings,
        each.notes,
    )  # fmt: skip
    return Row(cells, "warning" if each.errors or urgent else "", links_to=f"{each.name}/index.html")


def _cost(each: Told, alike: bool) -> int | str | None:
    """Money as a cell; in words where the workbooks' currencies differ."""
    if each.cost is None or alike:
        return None if each.cost is None else money_cell(each.cost)
    return _cost_words(each, coded=True).replace(" ", "\N{NO-BREAK SPACE}")


def documents_of_all(told: Sequence[Told], as_of: str) -> list[Document]:
    """The attendance of all workbooks, where several delivered sessions, and a document for each funder whom several of
    them name."""
    found = add_up([each.site for each in told if each.site is not None])
    documents = []
    if found.attendance is not None:
        names = [each.name for each in told if each.site is not None and each.site.totals.sessions_delivered]
        documents.append(_attendance_of_all(names, found.attendance, as_of))
    missing = tuple(each.name or each.source for each in told if each.site is None)
    names = file_names([funder.name for funder in found.funders])
    for funder, name in zip(found.funders, names, strict=True):
        documents.append(funder_of_all(funder, f"{FUNDERS_OF_ALL}/{name}", as_of, missing))
    return documents


def _attendance_of_all(names: Sequence[str], found: Combined, as_of: str) -> Document:
    """The attendance of every workbook and of all together, small counts hidden. names: those it is of, in order."""
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
    rows = [_attended(name, line) for name, line in zip(names, found.sites, strict=True)]
    rows += _together(found)
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


def _together(found: Combined) -> list[Row]:
    """All workbooks, and of how many each figure is where that is not all of them."""
    rows = [Row(_attended(ALL, found.all).cells, "heading")]
    shown, every = found.shown, len(found.sites)
    if any(many < every for many in shown.values()):
        of = (f"{shown[measure]} of {every}" for measure in _BESIDE)
        rows.append(Row(("Workbooks that show theirs", None, None, *of, None), "quiet"))
    return rows


_BESIDE: Final = ("people", "households", "contacts", "contacts", "kits", "completers")
"""What each count of the attendance of all rests on, in the order of its columns."""


def _who_is_who(found: Combined) -> tuple[str, ...]:
    if found.joined is None:
        joined = "not told"
    elif 1 <= found.joined <= found.small:
        joined = f"from 1 to {found.small} people"
    else:
        joined = counted(found.joined, "person", "people")
    every = found.shown.get("people", len(found.sites)) == len(found.sites)
    return (
        f"In several {'workbooks' if every else 'of the workbooks that show their people'} and counted once here: "
        f"{joined}.",
        ONE_PERSON,
        f"Codes that stand in several workbooks and are counted apart, as one of these differs: {found.apart:,}.",
        "Where each workbook gives out its codes anew, two people can have the same code, household and details: give "
        "the workbooks different Programme names, and nobody is joined.",
    )


def _what_is_hidden(found: Combined) -> tuple[str, ...]:
    if not found.small:
        return ("Nothing: Small count is 0 in every workbook.",)
    if found.shown:
        return (
            f"A workbook's figure is hidden, and in no figure of all, where its reports to funders hide something of "
            f"it, or where a count from 1 to {found.small} would follow from them and its figures here. Below the "
            "figures of all stands of how many workbooks each is. The largest Small count of any was used.",
            "So nothing that those reports hide follows from this page, and nothing small from them together. Each "
            "workbook's own attendance and outcomes hide nothing: they stay with you.",
        )
    return (
        f"Counts of people from 1 to {found.small} are hidden, and others that would tell them; so are contacts, "
        "hours, kits and households of workbooks whose people are hidden. The largest Small count of any was used.",
        "No workbook has a report to a funder beside this page. Each workbook's own attendance and outcomes hide "
        "nothing: they stay with you.",
    )


def _cost_words(each: Told, *, coded: bool = False) -> str:
    """The cost of all orders as a sentence says it; '' where nothing was planned."""
    return "" if each.cost is None else Currency(each.currency).shown(each.cost, coded=coded)


def told_lines(told: Sequence[Told], together: Told | None = None) -> list[str]:
    """What a terminal says of the workbooks, a line each, and of the orders for all of them."""
    coded = _is_coded(told)
    lines = [_told_line(each, coded) for each in told]
    if together is not None:
        found = [counted(together.warnings, "warning")] if together.warnings else []
        ordered = "; ".join([*_ordered(together, coded), *found]) or "nothing to order"
        lines.append(f"Orders for all: {ordered} ({together.name}/)")
    return lines


def _told_line(each: Told, coded: bool) -> str:
    if not each.name:
        return f"{each.source}: not used. {each.refusal}"
    parts = [counted(each.errors, "error"), counted(each.warnings, "warning"), counted(each.notes, "note")]
    parts += _not_written(each)
    if each.apart:
        parts.append(f"not in the orders for all, as {each.apart}")
    return f"{each.source} → {each.name}/: {'; '.join([*parts, *_ordered(each, coded)])}"


def hand_lines(told: Sequence[Told]) -> list[str]:
    """The workbooks that need a hand, all together; nothing where none does."""
    needing = [each for each in told if each.status]
    heading = [f"Need a hand: {len(needing)} of {counted(len(told), 'workbook')}"] if needing else []
    return [*heading, *(f"  {_hand_line(each)}" for each in needing)]


def _hand_line(each: Told) -> str:
    """Why a workbook needs a hand, and what to do."""
    if not each.name:
        return f"{each.source}: {each.refusal}"
    missing = "".join(f"{words}. " for words in _not_written(each))
    more = f" And {counted(each.errors - 1, 'more error')}: {each.name}/findings.html." if each.errors > 1 else ""
    return f"{each.source}: {missing}{each.first_error} → {each.remedy}{more}"


def _not_written(each: Told) -> list[str]:
    return [f"no {' and no '.join(each.not_written)}"] if each.not_written else []


def _ordered(each: Told, coded: bool) -> list[str]:
    """The first order, and what all of them cost."""
    parts = []
    if each.first is not None:
        order, by, urgent = each.first
        parts.append(f"first to order{' (urgent, telephone)' if urgent else ''}: {order}, by {day_words(by)}")
    if each.cost:
        parts.append(f"orders {_cost_words(each, coded=coded)}")
    return parts
