"""How large tables are printed that must keep to one page: as large as fits."""

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import Final

from opsreport.tables.table import Document, Paper, Row, Table, Value
from opsreport.write.text_width import Measured, lines_of, measured

LARGEST: Final = 14.0
USUAL: Final = 11.0
"""Type of tables that keep to one page, at most, and of what will not fit on one [points]."""
PAPER: Final = {"Letter": (8.5, 11.0), "A4": (8.27, 11.69)}
"""Width and height [in]."""
MARGINS: Final = (1.0, 1.35)
"""Left and right together, above and below together, as templates/base.html sets them [in]."""
_POINTS: Final = 72
"""[points an inch]"""
_SAFE: Final = 0.97
"""Part of a page that is counted on."""
_LINE: Final = 1.25
_TITLE: Final = 1.4
_NOTE: Final = 0.85
_GAP: Final = 0.35
_PADDING: Final = (0.9, 0.36)
_BOX: Final = 1.35
_CHARACTER: Final = 0.6
"""Line height, titles, notes, space between parts, padding of a cell across and down, a box to tick, a column's width a
character, as style.css sets them under `.one-page` [of the type's size]."""
_AROUND_HEAD: Final = 30.0
"""What stands around the lines of a document's head [points]."""
_WRITE_IN: Final = 24.0
"""Height of a row with room to write [points]."""
_RULES: Final = 2.0
"""Lines above and below a row [points]."""


def print_sizes(document: Document, paper: Paper) -> dict[int, float]:
    """By a part's place: the type's size of tables that keep to one page, with those that follow on it [points]."""
    wide, high = PAPER[paper.size][:: -1 if document.landscape else 1]
    room = ((wide - MARGINS[0]) * _POINTS, (high - MARGINS[1]) * _POINTS * _SAFE)
    sizes: dict[int, float] = {}
    for first, tables in _pages(document):
        high = room[1] - (_head_height(document, room[0]) if first == 0 else 0)
        sizes |= dict.fromkeys(range(first, first + len(tables)), _size(tables, room[0], high))
    return sizes


def _size(tables: Sequence[Table], width: float, height: float) -> float:
    """The largest size at which tables together are no higher, to the half point; else the usual one [points]."""
    fits = [_Fit(table, width) for table in tables]
    halves = range(int(2 * LARGEST), math.ceil(2 * tables[0].one_page) - 1, -1)
    place = bisect_left(halves, True, key=lambda half: sum(fit.height(half / 2) for fit in fits) <= height)
    return halves[place] / 2 if place < len(halves) else USUAL


def _head_height(document: Document, width: float) -> float:
    """Height of a document's title and the lines under it [points]."""
    lines = (
        (document.title, 19.25, 1.2, True),
        (document.head, 11, 1.45, False),
        (f"For {document.reader}", 9.625, 1.45, False),
    )
    heights = [lines_of(text, width / size, bold=bold) * size * line for text, size, line, bold in lines]
    return sum(heights) + _AROUND_HEAD


def _pages(document: Document) -> Iterator[tuple[int, list[Table]]]:
    """The place of each table that keeps to a page, and the tables on that page."""
    for first, part in enumerate(document.parts):
        if isinstance(part, Table) and part.one_page:
            tables = [part]
            for other in document.parts[first + 1 :]:
                if not isinstance(other, Table) or other.page_break or other.one_page:
                    break
                tables.append(other)
            yield first, tables


class _Fit:
    """A table measured once, to be tried at many sizes of type on a page so wide [points]."""

    def __init__(self, table: Table, width: float) -> None:
        self._table, self._width = table, width
        self._least = _least_widths(table)
        narrow = self._rooms(LARGEST)
        self._headings = [measured(column.heading, bold=True) for column in table.columns]
        rows = [_tight(table, row, narrow) for row in table.rows]
        self._rows = [row for row in rows if row]
        self._plain = len(rows) - len(self._rows)
        self._lowest = _WRITE_IN if any(column.style == "write-in" for column in table.columns) else 0

    def height(self, size: float) -> float:
        """The table's height in type of a size, on the safe side [points]."""

        def lines(texts: Sequence[str], scale: float, *, bold: bool = False) -> float:
            room = self._width / (size * scale)
            return sum((lines_of(text, room, bold=bold) * _LINE * scale + _GAP) * size for text in texts)

        def row_height(words: float) -> float:
            return max((words + _PADDING[1]) * size, self._lowest) + _RULES

        rooms = self._rooms(size)
        headings = max(text.lines(room) for text, room in zip(self._headings, rooms, strict=False)) * _LINE
        rows = [headings, *(max([_LINE, *(_high(cell, rooms[at]) for at, cell in row)]) for row in self._rows)]
        return (
            lines([self._table.title], _TITLE, bold=True)
            + lines(self._table.intro, 1)
            + self._plain * row_height(_LINE)
            + sum(map(row_height, rows))
            + lines(self._table.notes, _NOTE)
            + 2 * _GAP * size
        )

    def _rooms(self, size: float) -> list[float]:
        """Room for words in each column, and in a whole row; less of it, the larger the type [of the type's size]."""
        there = self._width / size
        return [*_column_widths(self._table, self._least, there), there - _PADDING[0]]


def _tight(table: Table, row: Row, narrow: Sequence[float]) -> list[tuple[int, Measured | int]]:
    """What of a row may take more than a line of words, with the place of its room: boxes, and words too long for the
    least room."""
    if row.emphasis == "heading" and not any(row.cells[1:]):
        whole = measured(str(row.cells[0] or ""), bold=True)
        return [(len(narrow) - 1, whole)] if whole.width > narrow[-1] else []
    bold = row.emphasis in ("heading", "warning")
    found: list[tuple[int, Measured | int]] = []
    for at, (value, column) in enumerate(zip(row.cells, table.columns, strict=True)):
        if column.style == "boxes" and isinstance(value, int):
            found.append((at, value))
        elif (words := measured(_words(value), bold=bold)).width > narrow[at]:
            found.append((at, words))
    return found


def _high(cell: Measured | int, room: float) -> float:
    """Height of words, or of so many boxes [of the type's size]."""
    return -(-cell // max(int(room / _BOX), 1)) * _BOX if isinstance(cell, int) else cell.lines(room) * _LINE


def _least_widths(table: Table) -> list[float]:
    """What each column cannot do with less than: its longest word [of the type's size]."""
    found = []
    for number, column in enumerate(table.columns):
        texts = {column.heading}
        if column.style != "boxes":
            texts.update(_words(row.cells[number]) for row in table.rows if row.emphasis != "heading")
        found.append(max(measured(text, bold=True).longest_word for text in texts) + _PADDING[0])
    return found


def _column_widths(table: Table, least: Sequence[float], there: float) -> list[float]:
    """Room for words in each column, shared out as a browser does it [of the type's size]."""
    wanted = [column.width * _CHARACTER for column in table.columns]
    most = [max(pair) for pair in zip(wanted, least, strict=True)]
    if there >= sum(most):
        found = [each * there / sum(most) for each in most]
    else:
        part = max(there - sum(least), 0) / (sum(most) - sum(least) or 1)
        found = [low + (high - low) * part for low, high in zip(least, most, strict=True)]
    return [each - _PADDING[0] for each in found]


def _words(value: Value) -> str:
    return "" if value is None else str(value)
