"""What a document is, before any file format: titled tables of typed cells with styled columns."""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final, Literal

from opsreport.money import Currency, Money
from opsreport.shown import day_words, decimal_words, share_words

Value = str | int | float | Fraction | dt.date | None
"""A cell. Money is minor units under the style `money`; shares are 0 to 1 under `percent`."""

Style = Literal["text", "code", "date", "count", "amount", "money", "percent", "number", "boxes", "write-in", "mark"]
"""How a column shows: `date` weekday and day; `count` whole; `amount` exact, at most 3 decimals shown;
`number` a statistic; `boxes` that many boxes to tick; `write-in` an empty cell with a line to write on; `mark` an
attendance mark, shaded so that a page of them reads as a picture."""


NUMBERS: Final[frozenset[Style]] = frozenset({"count", "amount", "money", "percent", "number"})
"""Styles of numbers, which end at the right of their column."""
NAMING: Final[frozenset[Style]] = frozenset({"text", "code", "date"})
"""Styles whose first cell names its row."""


@dataclass(frozen=True, slots=True)
class Column:
    """heading: as printed, with the unit where the column has one. width: in characters, about.
    formula: live in a spreadsheet, from the other columns of its row by heading: `[Packs]*[Price]`;
    the row's value is its result and is stored with it. money is written there in whole currency."""

    heading: str
    style: Style = "text"
    width: int = 12
    formula: str = ""


@dataclass(frozen=True, slots=True)
class Total:
    """A line under a table: `value` under the column `under`, in its style.

    formula: live, from columns `[Cost]` (their whole range) and earlier totals `{goods}` by name; ''
    """

    name: str
    label: str
    under: str
    value: Value
    formula: str = ""


@dataclass(frozen=True, slots=True)
class Row:
    """One row. emphasis: `heading` starts a group of rows, `warning` needs an eye, `quiet` is past. leads_to: the
    sheet and first cell of a heading row of the same document to which its first cell leads. links_to: path with
    ending of the document to which its first words lead, on a page only."""

    cells: tuple[Value, ...]
    emphasis: Literal["", "heading", "warning", "quiet"] = ""
    leads_to: tuple[str, str] | None = None
    links_to: str = ""


@dataclass(frozen=True, slots=True)
class Table:
    """One table. sheet: its sheet's name in a workbook (made valid by the writer); tables of one name share a sheet.

    intro: sentences before it. notes: sentences after it. empty: what to say where it has no rows.
    page_break: starts a page in print. large: in large print. one_page: keeps to one page in print, with the
    tables up to the next that starts a page, where type of so many points or more lets it [points]; 0: flows on.
    chart: drawn from the table's own cells where a workbook can. folds: on a page each group folds out under its
    heading row, of which the first cell and the last words are shown; every row begins such a group.
    """

    sheet: str
    title: str
    columns: tuple[Column, ...]
    rows: tuple[Row, ...]
    intro: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    totals: tuple[Total, ...] = ()
    empty: str = "Nothing to list."
    page_break: bool = False
    large: bool = False
    one_page: float = 0
    chart: "Chart | None" = None
    folds: bool = False


@dataclass(frozen=True, slots=True)
class Chart:
    """A spreadsheet's own chart of a table: bars or lines of some columns over another, all by heading.

    axis: what the values are, with their unit.
    """

    kind: Literal["bar", "line"]
    title: str
    over: str
    values: tuple[str, ...]
    axis: str


@dataclass(frozen=True, slots=True)
class PictureRow:
    """One line of a picture, on its axis: an interval around a dot, or a way from an open dot to a full one.

    start, end: the interval's ends, or nothing. open, full: dots. words: what the line shows, for who cannot see it.
    """

    label: str
    words: str
    start: float | None = None
    end: float | None = None
    open: float | None = None
    full: float | None = None


@dataclass(frozen=True, slots=True)
class Picture:
    """A drawing for a page; a workbook leaves it out, as its figures stand in the tables beside it.

    axis: what is measured, with its unit. least, most: the ends of the axis. zero: where a line of no change stands.
    percent: the axis counts shares.
    """

    title: str
    axis: str
    rows: tuple[PictureRow, ...]
    least: float
    most: float
    zero: float | None = None
    percent: bool = False
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Facts:
    """Labelled lines at the head of a document or between tables: ('Deliver on', 'Tue 24 Nov 2026')."""

    pairs: tuple[tuple[str, str], ...]
    title: str = ""


@dataclass(frozen=True, slots=True)
class Prose:
    """Sentences. kind `warning` stands out, `caution` is food safety."""

    sentences: tuple[str, ...]
    title: str = ""
    kind: Literal["plain", "warning", "caution"] = "plain"


@dataclass(frozen=True, slots=True)
class Label:
    """One sticker: a large first line with marks framed beside it, then lines, then what it contains.

    copies: how many alike.
    """

    head: str
    lines: tuple[str, ...]
    contains: str
    foot: tuple[str, ...] = ()
    copies: int = 1
    marks: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Labels:
    """Stickers for one sheet size; on their grid in print, as rows of `merge` in a workbook.

    merge: a field a column, for a word processor's mail merge; None: a column a line. intro: said on the
    screen only. start: the label of the first sheet to begin with, 1 the first. pieces: small labels cut
    from each sticker. outlined: with a frame and a ruler, to try a printer.
    """

    sheet: str
    title: str
    labels: tuple[Label, ...]
    merge: Table | None = None
    intro: tuple[str, ...] = ()
    start: int = 1
    pieces: int = 1
    outlined: bool = False


Part = Table | Facts | Prose | Labels | Picture


@dataclass(frozen=True, slots=True)
class Document:
    """One document, written as .xlsx and .html under the same name.

    path: folder and name without an ending, `orders/needs`. reader: whom it is for, in words.
    head: programme, term, as-of line and contact, printed at the top of every page's first lines.
    landscape: how it prints. links: (text, path with ending) shown on the page only. leaves: sent to somebody
    outside, or written alone, so without a way back to the start page.
    """

    path: str
    title: str
    reader: str
    parts: tuple[Part, ...]
    head: str = ""
    landscape: bool = False
    links: tuple[tuple[str, str], ...] = ()
    leaves: bool = False


@dataclass(frozen=True, slots=True)
class Paper:
    """What every document of a run shares: paper, currency, language of dates."""

    size: Literal["Letter", "A4"]
    currency: Currency
    as_of: dt.date
    extra: Mapping[str, str] = field(default_factory=dict)


def money_cell(money: Money) -> int:
    """Money as a cell's value: minor units, under the style `money`."""
    return int(money)


__all__ = [
    "Chart", "Column", "Document", "Facts", "Label", "Labels", "Paper", "Part", "Picture", "PictureRow", "Prose",
    "Row", "Style", "Table", "Total",
    "Value", "day_words", "decimal_words", "money_cell", "share_words",
]  # fmt: skip
