"""One worksheet filled from the top: text over its width, typed cells, rows as high as their words need."""

import datetime as dt
import math
from collections.abc import Sequence
from itertools import zip_longest
from typing import Any, Final

from opsreport.shown import day_words
from opsreport.tables.table import NUMBERS, Column, Style, Value
from opsreport.write import boxes, clean, cut
from opsreport.write.one_page import PAPER
from opsreport.write.sheet_looks import UNWRAPPED, Formats, Look
from opsreport.write.text_width import measured

MOST_COLUMNS: Final = 16_384
MOST_CHARACTERS: Final = 32_767
LINE: Final = 15.0
"""Height of a line of body text [points]."""
_TALLEST_ROW: Final = 409.0
"""A spreadsheet takes no taller row [points]."""
MARGINS: Final = (0.5, 0.75)
"""In print, left and right, above and below [in]."""
_WIDEST: Final = (min(high for _, high in PAPER.values()) - 2 * MARGINS[0]) * 72
"""Columns together on a sheet that lies on its side, so that it is printed at its size on either paper. Where Excel's
usual type is missing, columns are up to a quarter wider, and three quarters of the size are left [points]."""
_LEAST_WORDS: Final = 16
"""A column of words is made no narrower than that to fit a page [characters]."""
_NARROWEST: Final = 64
"""Sentences above and below a narrow table run at least this wide [characters]."""


class Page:
    """One worksheet; `row` is the next free row, 0-based, `height` what stands above it [points].

    repeated_row: the row that heads every printed page. breaks: rows that begin a printed page.
    heights: of the rows above [points]. groups: first row and row after the last of what stays on one printed page.
    """

    def __init__(self, sheet: Any, formats: Formats, tables: Sequence[tuple[Column, ...]]) -> None:
        """tables: columns of the tables that stand on it; each column is as wide as the widest of them asks for."""
        self.sheet = sheet
        self.formats = formats
        self.row = 0
        self.height = 0.0
        self.repeated_row = 0
        self.breaks: list[int] = []
        self.heights: list[float] = []
        self.groups: list[tuple[int, int]] = []
        stacks = [list(filter(None, columns)) for columns in zip_longest(*tables)]
        self.widths = _narrowed(stacks, [max(map(_width, columns)) for columns in stacks])
        if len(self.widths) > MOST_COLUMNS:
            raise ValueError(f"{len(self.widths)} columns are more than a sheet holds")
        while sum(self.widths) < _NARROWEST:
            self.widths.append(max(min(16.0, _NARROWEST - sum(self.widths)), 3.0))
        plain = formats.of()
        for column, width in enumerate(self.widths):
            sheet.set_column(column, column, width, plain)

    def text(self, row: int, column: int, text: str, look: Any) -> None:
        """A text cell: never a formula, a number or a link, whatever it starts with."""
        self.sheet.put(row, column, self.words(text, look))

    def words(self, text: str, look: Any) -> str:
        """The same without a place."""
        return str(self.sheet.string(cut(clean(text), MOST_CHARACTERS), look))

    def link(self, row: int, text: str, cell: str, look: Any) -> None:
        """The row's first cell, written anew as a link to a cell of this workbook: `'Why'!A7`."""
        _done(self.sheet.write_url(row, 0, f"internal:{cell}", look, cut(clean(text), MOST_CHARACTERS)))

    def blank(self, column: int, look: Any) -> None:
        """An empty cell of the page's row that still has its lines and its ground."""
        self.sheet.put(self.row, column, self.sheet.blank(look))

    def across(self, first: int, last: int, text: str, *looks: Look) -> int:
        """Text over the columns first to last of the page's row; the number of lines that it takes there.

        What fits on one line runs on over the empty cells beside it; only what does not, or has a frame, joins cells.
        """
        lines = lines_in(text, sum(self.widths[first : last + 1]) * 11 / _font_size(looks))
        framed = any("left" in look for look in looks)
        if last > first and (framed or lines > 1):
            look = self.formats.of(*looks)
            _done(self.sheet.merge_range(self.row, first, self.row, last, "", look))
        else:
            look = self.formats.of(*looks, UNWRAPPED)
        self.text(self.row, first, text, look)
        return lines

    def line(self, text: str, *looks: Look) -> None:
        """A line of text over the whole width, as high as it needs to be."""
        lines = self.across(0, len(self.widths) - 1, text, *looks)
        self.end_row(lines * LINE * _font_size(looks) / 11 + 3)

    def value(self, column: int, value: Value, style: Style, look: Any, formula: str = "") -> None:
        """One typed cell of the page's row; as `cell` makes it."""
        self.sheet.put(self.row, column, self.cell(value, style, look, formula))

    def cell(self, value: Value, style: Style, look: Any, formula: str = "") -> str:
        """One typed cell without a place; numbers stay numbers, dates dates, text text.

        formula: live, without `=`, whose result is `value`; '' for none.
        """
        if isinstance(value, str):
            return self.words(value, look)
        if value is None:
            return str(self.sheet.blank(look))
        if style == "boxes" and isinstance(value, int):
            return self.words(boxes(value), look)
        if isinstance(value, dt.date):
            return str(self.words(day_words(value), look) if value.year < 1900 else self.sheet.day(value, look))
        number = value / self.formats.minor_units if style == "money" else value
        exact: int | float = number if isinstance(number, int) else float(number)
        return str(self.sheet.formula(formula, look, exact) if formula else self.sheet.number(exact, look))

    def cells(self, cells: Sequence[str]) -> None:
        """All cells of the page's row."""
        self.sheet.put_row(self.row, cells)

    def end_row(self, height: float) -> None:
        self.sheet.set_row(self.row, min(height, _TALLEST_ROW))
        self.heights.append(min(height, _TALLEST_ROW))
        self.height += height
        self.row += 1

    @property
    def points_wide(self) -> float:
        return points_wide(self.widths)

    def all_breaks(self, room: float) -> list[int]:
        """Rows that begin a printed page: those asked for, and groups that the page before has no room for.

        Args:
            room: height of a printed page, at the sheet's own scale [points].
        """
        repeated = self.heights[self.repeated_row]
        ends = dict(self.groups)
        found, used = set(self.breaks), 0.0
        for row, height in enumerate(self.heights):
            whole = sum(self.heights[row : ends.get(row, row + 1)])
            if row in found or used + (whole if whole + repeated <= room else height) > room:
                if row in ends and row:
                    found.add(row)
                used = repeated
            used += height
        return sorted(found)


def points_wide(widths: Sequence[float]) -> float:
    """Width of columns so many characters wide [points]. Source: a column of n characters is 7 n + 5 pixels, 96 an
    inch, in Excel's usual type."""
    return sum(7 * width + 5 for width in widths) * 0.75


def _narrowed(stacks: Sequence[Sequence[Column]], widths: list[float]) -> list[float]:
    """Columns of words made narrower, their words on more lines, where the sheet on its side would else be printed
    smaller than can well be read. stacks: the columns that stand in each of the sheet's."""
    over = (points_wide(widths) - _WIDEST) / (7 * 0.75)
    spare = [
        max(width - max(_LEAST_WORDS, *map(_heading_width, columns)), 0.0)
        if all(column.style == "text" for column in columns)
        else 0.0
        for width, columns in zip(widths, stacks, strict=True)
    ]
    at_hand = sum(spare)
    if over <= 0 or not at_hand:
        return widths
    part = min(over / at_hand, 1.0)
    return [math.floor(width - room * part) for width, room in zip(widths, spare, strict=True)]


def _font_size(looks: tuple[Look, ...]) -> float:
    return next((float(look["font_size"]) for look in reversed(looks) if "font_size" in look), 11.0)


def lines_in(text: str, width: float) -> int:
    """Lines that `text` takes in a cell `width` characters wide, on the safe side: bold type, whole words."""
    room = max(int(width / 1.02), 1)
    if len(text) <= room and "\n" not in text:
        return 1
    return sum(1 if len(part) <= room else _lines_of_words(part.split(), room) for part in text.split("\n"))


def _lines_of_words(words: list[str], room: int) -> int:
    """Lines of `room` characters that words fill one after the other; a longer word is broken."""
    lines, used = 1, 0
    for word in words:
        if used and used + 1 + len(word) <= room:
            used += 1 + len(word)
            continue
        lines += (used > 0) + max(len(word) - 1, 0) // room
        used = (len(word) - 1) % room + 1
    return lines


def _width(column: Column) -> float:
    """Width in characters, never less than the heading's longest word in bold."""
    return float(min(max(round(column.width * 1.1) + _aside(column), _heading_width(column)), 120))


def _heading_width(column: Column) -> int:
    """Width that the heading's longest word takes in bold type of 11 points, a little on the safe side [characters]."""
    return math.ceil(measured(column.heading, bold=True).longest_word * 11 / (7 * 0.75) * 1.04) + _aside(column)


def _aside(column: Column) -> int:
    return 2 if column.style in NUMBERS else 1


def _done(code: Any) -> None:
    """The file library reports a refused cell by a number: a document with a hole is worse than none."""
    if code:
        raise ValueError(f"a cell was refused by the spreadsheet writer ({code})")
