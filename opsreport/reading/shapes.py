"""Sheets that are not one record a row made so: settings, wide attendance and surveys; places are kept.

A `Table` is what stands under a heading row: which column holds what, and which rows are records.
"""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

from opsreport.findings import Place
from opsreport.reading.workbook import Cell, Faulty, Sheet
from opsreport.sheets import RowPlace, SheetSpec
from opsreport.words import clean, heading_key

HEADING_ROWS: Final = 20
TOTALS: Final = ("total", "totals", "sum")
LONG: Final[Mapping[str, tuple[str, ...]]] = {
    "attendance": ("Session", "Participant", "Mark"),
    "surveys": ("Participant", "Question"),
}
WIDE: Final[Mapping[str, tuple[str, ...]]] = {
    "attendance": ("Participant",),
    "surveys": ("Participant", "When"),
}


@dataclass(frozen=True, slots=True)
class ElsewherePlace(RowPlace):
    """A record whose cells stand in several rows. rows: by heading, where it is not the record's own row."""

    rows: Mapping[str, int] = field(default_factory=dict)

    def at(self, heading: str) -> Place:
        row = self.rows.get(heading, self.row)
        return Place(self.sheet_order, self.sheet, row, self.columns.get(heading, 0))


@dataclass(frozen=True)
class Table:
    """One sheet's table. Rows and columns are 1-based.

    heading_row: where its headings stand. columns: by heading as the contract writes it. others: further
    headings as typed, by column. wide: one column a session or question. records: rows that are records.
    """

    sheet: Sheet
    spec: SheetSpec
    heading_row: int
    columns: Mapping[str, int]
    others: Mapping[int, Cell]
    wide: bool
    first: int

    def cell(self, row: int, column: int) -> Cell:
        return cell_at(self.sheet, row, column)

    def records(self) -> Iterator[tuple[int, Sequence[Cell]]]:
        """Rows below the headings that are not blank, with their cells."""
        for row in range(self.heading_row + 1, len(self.sheet.rows) + 1):
            cells = self.sheet.rows[row - 1]
            if not all(map(blank, cells)):
                yield row, cells


def blank(cell: Cell) -> bool:
    """Whether nothing that could be seen stands in a cell."""
    if not isinstance(cell, str):
        return cell is None
    return not cell or not ("!" <= cell[0] <= "~" or clean(cell))


def cell_at(sheet: Sheet, row: int, column: int) -> Cell:
    """A cell by its 1-based place; None beyond the sheet's end."""
    if row > len(sheet.rows):
        return None
    cells = sheet.rows[row - 1]
    return cells[column - 1] if 0 < column <= len(cells) else None


def is_total(cell: Cell) -> bool:
    """Whether a row's first cell says that it is a totals row."""
    return isinstance(cell, str) and heading_key(cell).rstrip(":") in TOTALS


def only_filled(cells: Sequence[Cell]) -> int:
    """The column of a row's only filled cell; 0 where several are filled."""
    only = 0
    for column, cell in enumerate(cells, 1):
        if not blank(cell):
            if only:
                return 0
            only = column
    return only


def _spellings(spec: SheetSpec) -> dict[str, str]:
    """Each column's heading by every key that means it."""
    found = {}
    for column in spec.columns:
        for heading in (*column.also, column.heading):
            found[heading_key(heading)] = column.heading
    if spec.shape == "settings":
        return {"setting": "Setting", "value": "Value"}
    if spec.shape == "surveys":
        found |= {"before": "Before", "after": "After"}
    return found


def starred(spec: SheetSpec) -> tuple[tuple[str, ...], ...]:
    """The headings that a heading row must hold; any one of the sets, the first before the others."""
    if spec.shape == "settings":
        return (("Setting", "Value"),)
    if spec.shape in LONG:
        return (LONG[spec.shape], WIDE[spec.shape])
    return (tuple(column.heading for column in spec.columns if column.starred),)


def find_table(sheet: Sheet, spec: SheetSpec) -> Table | tuple[str, ...]:
    """The table of a sheet, or the headings that the likeliest heading row lacks."""
    spellings = _spellings(spec)
    lacking = starred(spec)[-1]
    fewest = len(lacking) + 1
    for row in range(1, min(HEADING_ROWS, len(sheet.rows)) + 1):
        cells = sheet.rows[row - 1]
        keys = {heading_key(cell) for cell in cells if isinstance(cell, str)}
        named = {spellings[key] for key in keys if key in spellings}
        for wanted in starred(spec):
            missing = tuple(heading for heading in wanted if heading not in named)
            if not missing:
                wide = spec.shape in WIDE and wanted == WIDE[spec.shape]
                return _table(sheet, spec, row, spellings if not wide else _wide_spellings(spec), wide)
            if len(missing) < fewest and len(missing) < len(wanted):
                fewest, lacking = len(missing), missing
    return lacking


def _wide_spellings(spec: SheetSpec) -> dict[str, str]:
    return {heading_key(heading): heading for heading in WIDE[spec.shape]}


def _table(sheet: Sheet, spec: SheetSpec, row: int, spellings: Mapping[str, str], wide: bool) -> Table:
    columns: dict[str, int] = {}
    others: dict[int, Cell] = {}
    first = 0
    for column, cell in enumerate(sheet.rows[row - 1], 1):
        if blank(cell) or isinstance(cell, Faulty):
            continue
        first = first or column
        heading = spellings.get(heading_key(cell)) if isinstance(cell, str) else None
        if heading is not None and heading not in columns:
            columns[heading] = column
        else:
            others[column] = cell
    return Table(sheet, spec, row, columns, others, wide, first)


def repeated_headings(table: Table) -> list[tuple[int, int]]:
    """Columns whose heading stands further left already: (its column, the first's)."""
    seen: dict[str, int] = {}
    found = []
    for column, cell in enumerate(table.sheet.rows[table.heading_row - 1], 1):
        if blank(cell) or isinstance(cell, Faulty):
            continue
        key = heading_key(cell) if isinstance(cell, str) else repr(cell)
        if key in seen:
            found.append((column, seen[key]))
        seen.setdefault(key, column)
    return found
