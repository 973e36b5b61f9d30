"""How large tables are printed that must keep to one page: as large as fits."""

import math
from bisect import bisect_left
from collections.abc import Iterator, Sequence
from typing import Final, NamedTuple

from opsreport.tables.table import Document, Paper, Row, Table, Value
from opsreport.write.text_width import lines_of, text_width

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
    needs = [_needs(table) for table in tables]
    halves = range(int(2 * LARGEST), math.ceil(2 * tables[0].one_page) - 1, -1)

    def fits(half: int) -> bool:
        return sum(_height(*each, half / 2, width) for each in zip(tables, needs, strict=True)) <= height

    place = bisect_left(halves, True, key=fits)
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


class _Needs(NamedTuple):
    """What a column's words ask for [of the type's size]. least: it cannot do with less than its longest word.
    whole: on one line, those of every row."""

    least: float
    whole: float


def _height(table: Table, needs: Sequence[_Needs], size: float, width: float) -> float:
    """A table's height in type of a size, on the safe side [points]."""

    def lines(texts: Sequence[str], scale: float, *, bold: bool = False) -> float:
        room = width / (size * scale)
        return sum((lines_of(text, room, bold=bold) * _LINE * scale + _GAP) * size for text in texts)

    columns = _column_widths(table, [each.least for each in needs], width / size)
    headings = [lines_of(column.heading, room, bold=True) for column, room in zip(table.columns, columns, strict=True)]
    rows = [max(headings) * _LINE, *_row_lines(table, needs, columns, width / size)]
    lowest = _WRITE_IN if any(column.style == "write-in" for column in table.columns) else 0
    return (
        lines([table.title], _TITLE, bold=True)
        + lines(table.intro, 1)
        + sum(max((row + _PADDING[1]) * size, lowest) + _RULES for row in rows)
        + lines(table.notes, _NOTE)
        + 2 * _GAP * size
    )


def _row_lines(table: Table, needs: Sequence[_Needs], columns: Sequence[float], width: float) -> Iterator[float]:
    """Height of what stands in each row [of the type's size]. columns: their room for words; width: of the table."""
    tight = [
        (number, columns[number], column.style, dict[tuple[type, Value, bool], float]())
        for number, column in enumerate(table.columns)
        if column.style == "boxes" or needs[number].whole > columns[number]
    ]
    for row in table.rows:
        if _alone(row):
            yield lines_of(str(row.cells[0] or ""), width - _PADDING[0], bold=True) * _LINE
            continue
        bold = row.emphasis in ("heading", "warning")
        highest = _LINE
        for number, room, style, known in tight:
            value = row.cells[number]
            key = (type(value), value, bold)
            if key not in known:
                if style == "boxes" and isinstance(value, int):
                    known[key] = -(-value // max(int(room / _BOX), 1)) * _BOX
                else:
                    known[key] = lines_of(_words(value), room, bold=bold) * _LINE
            highest = max(highest, known[key])
        yield highest


def _needs(table: Table) -> list[_Needs]:
    """By column."""
    rows = [row for row in table.rows if not _alone(row)]
    found = []
    for number, column in enumerate(table.columns):
        words = set(column.heading.split())
        if column.style != "boxes":
            words.update(*(_words(row.cells[number]).split() for row in rows if row.emphasis != "heading"))
        least = max((text_width(word, bold=True) for word in words), default=0.0) + _PADDING[0]
        found.append(
            _Needs(least, max((_whole(text) for text in {_words(row.cells[number]) for row in rows}), default=0))
        )
    return found


def _whole(text: str) -> float:
    """Width on one line, bold or not, whichever is wider; endless where it holds several [of the type's size]."""
    return math.inf if "\n" in text else max(text_width(text), text_width(text, bold=True))


def _alone(row: Row) -> bool:
    """Whether it is a heading that runs on over the empty cells beside it."""
    return row.emphasis == "heading" and not any(row.cells[1:])


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
