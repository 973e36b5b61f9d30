"""The cells of one sheet read by its declared columns, each by itself, and what is wrong with them."""

import dataclasses
import datetime as dt
from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Any, Final

from opsreport.findings import Finding, Place
from opsreport.kinds import How, Kind, Share, Unreadable, mixed_or_decimal
from opsreport.reading.shapes import Table, blank
from opsreport.reading.workbook import Cell, Faulty, Sheet
from opsreport.rules import Family
from opsreport.sheets import Column
from opsreport.words import fold

_LONGEST_SEEN: Final = 200


class _Bad:
    """Stands for the value of a cell that has its finding already."""


BAD: Final = _Bad()


def shown(cell: Cell) -> str:
    """A cell as the person sees it, for a finding."""
    if isinstance(cell, Faulty):
        return cut(cell.text)
    if isinstance(cell, str):
        return cut(cell.strip())
    if isinstance(cell, bool):
        return "TRUE" if cell else "FALSE"
    if isinstance(cell, float):
        return format(cell, ".15g")
    if isinstance(cell, dt.datetime):
        return cell.isoformat(" ", "minutes") if cell.time() != dt.time() else cell.date().isoformat()
    if isinstance(cell, dt.date):
        return cell.isoformat()
    return "" if cell is None else str(cell)


def cut(text: str) -> str:
    """A text at the length at which a finding quotes it."""
    return text if len(text) <= _LONGEST_SEEN else text[: _LONGEST_SEEN - 1] + "…"


@dataclass
class Known:
    """What has been read so far: the ids of each sheet, by their folded form, and those of bad rows."""

    ids: dict[str, dict[str, str]] = field(default_factory=dict)
    spoiled: dict[str, set[str]] = field(default_factory=dict)


class Reader:
    """Reads the cells of one sheet and keeps what is wrong with them."""

    def __init__(self, sheet: Sheet, families: frozenset[Family], how: How) -> None:
        self.sheet = sheet
        self.families = families
        self.how = dataclasses.replace(how, number_format=self._number_format, notes=[])
        self.findings: list[Finding] = []
        self.row = self.column = 0

    def _number_format(self) -> str:
        return self.sheet.number_format(self.row, self.column)

    def say(self, row: int, column: int, code: str, seen: str, **details: str) -> None:
        place = Place(self.sheet.order, self.sheet.name, row, column)
        self.findings.append(Finding(place, code, seen, details, self.families))

    def read(self, cell: Cell, kind: Kind[Any], row: int, column: int) -> Any:
        """The value of a cell that is not blank, or BAD once its finding stands."""
        if isinstance(cell, Faulty):
            code = "cell-error" if cell.kind == "error" else "cell-unsaved"
            self.say(row, column, code, shown(cell))
            return BAD
        self.row, self.column = row, column
        try:
            value = kind.read(cell, self.how)
        except Unreadable as fault:
            self.how.notes.clear()
            if fault.code not in self.how.unsaid:
                self.say(row, column, fault.code, shown(cell), **fault.details)
            return BAD
        if self.how.notes:
            for code, details in self.how.notes:
                self.say(row, column, code, **{"seen": shown(cell), **details})
            self.how.notes.clear()
        return value

    def ranged(self, value: Any, cell: Cell, column: Column, row: int, at: int) -> Any:
        """The value, or BAD where it is outside the column's range."""
        if _in_range(value, column):
            return value
        self.say(row, at, "out-of-range", shown(cell), heading=column.heading, range=_range_words(column))
        return BAD


def _in_range(value: Any, column: Column) -> bool:
    """Whether a value is within its column's bounds; one that is no number always is."""
    bare = value.number if isinstance(value, Share) else value
    if not isinstance(bare, int | Fraction) or isinstance(bare, bool):
        return True
    if column.least is not None and bare < column.least:
        return False
    if column.above is not None and bare <= column.above:
        return False
    return column.most is None or bare <= column.most


def _range_words(column: Column) -> str:
    part = column.kind.name == "percent"

    def bound(value: Fraction) -> str:
        return f"{mixed_or_decimal(value * 100)}%" if part else mixed_or_decimal(value)

    words = []
    if column.above is not None:
        words.append(f"above {bound(column.above)}")
    if column.least is not None:
        words.append(f"{bound(column.least)} or more")
    if column.most is not None:
        words.append(f"{bound(column.most)} or less")
    return " and ".join(words)


def column_values(table: Table, reader: Reader, column: Column, rows: Sequence[tuple[int, bool]]) -> list[Any]:
    """One column's values, a row each: read, in range, filled down; BAD where a finding stands."""
    at = table.columns.get(column.heading, 0)
    if not at:
        return [column.default] * len(rows)
    lines = table.sheet.rows
    try:
        cells = [lines[row - 1][at - 1] for row, _ in rows]
    except IndexError:  # a row that is shorter than others
        cells = [table.cell(row, at) for row, _ in rows]
    alike = _ReadAlike(column, reader.how)
    if set(map(type, cells)) <= _REMEMBERED:
        values = list(map(alike.__getitem__, cells))
    else:
        values = [alike[cell] if type(cell) in _REMEMBERED else _UNREAD for cell in cells]
    above: Any = None
    for number, (row, broken) in enumerate(rows) if column.fill_down else ():
        above = None if broken else above
        if values[number] is _UNREAD:
            values[number] = _value(reader, column, cells[number], row, at, above)
        above = values[number]
    for number in [number for number, value in enumerate(values) if value is _UNREAD]:
        values[number] = _value(reader, column, cells[number], rows[number][0], at)
    return values


def _value(reader: Reader, column: Column, cell: Cell, row: int, at: int, above: Any = None) -> Any:
    """A cell's value, said where something is to be said. above: what fills it where it is blank; None: nothing."""
    if not blank(cell):
        value = reader.read(cell, column.kind, row, at)
        return value if value is BAD else reader.ranged(value, cell, column, row, at)
    if above is not None:
        return above
    if not column.required:
        return column.default
    example = "" if column.kind.name in _ANY_WORDS else f": {column.kind.example}"
    reader.say(row, at, "cell-missing", "blank", heading=column.heading, example=example)
    return BAD


_ANY_WORDS: Final = ("id", "text")
"""Kinds whose example says nothing of what belongs in one column."""
_REMEMBERED: Final = frozenset({str, float, type(None)})
"""Types of cells that are equal only where they read alike."""
_UNREAD: Final = object()
"""Stands for the value of a cell that must be read at its place."""


class _ReadAlike(dict[Any, Any]):
    """The values of one column's cells, by the cell: read once without a word, alike wherever they stand; `_UNREAD`
    where that depends on the place, or something is to be said."""

    def __init__(self, column: Column, how: How) -> None:
        super().__init__()
        self._column = column
        self._how = dataclasses.replace(how, number_format=self._asked, notes=[])
        self._placed = False

    def _asked(self) -> str:
        self._placed = True
        return ""

    def __missing__(self, cell: Cell) -> Any:
        self[cell] = value = self._read(cell)
        return value

    def _read(self, cell: Cell) -> Any:
        if blank(cell):
            free = not (self._column.fill_down or self._column.required)
            return self._column.default if free else _UNREAD
        if isinstance(cell, Faulty):
            return _UNREAD
        self._placed = False
        try:
            value = self._column.kind.read(cell, self._how)
        except Unreadable:
            value = _UNREAD
        quiet = not (self._placed or self._how.notes)
        self._how.notes.clear()
        return value if quiet and _in_range(value, self._column) else _UNREAD


def repeats(names: Sequence[str | None]) -> bool:
    """Whether a name stands twice, without case."""
    folded = [fold(name) for name in names if name is not None]
    return len(set(folded)) < len(folded)


def say_unread(reader: Reader, table: Table, columns: Sequence[int]) -> None:
    if columns:
        named = ", ".join(shown(table.cell(table.heading_row, column)) for column in columns)
        reader.say(table.heading_row, columns[0], "columns-unknown", cut(named))
