"""A worksheet of xlsxwriter whose cells are kept as XML from the start, instead of as objects.

It takes the same calls and writes the same cells. A cell costs a third: it is neither packed into a record nor taken
out of it again, and no argument is looked at twice. Rows and cells that follow each other do not say where they stand,
which is a third of a sheet's packed bytes (ISO/IEC 29500-1, 18.3.1.4 and 18.3.1.73: `r` is optional). It fills in for
three steps of the library (`_write_rows`, `_assemble_xml_file`, the shared strings); where one of them no longer asks
for the rows, `all_written` says so.
"""

import datetime as dt
from collections.abc import Sequence
from html import escape
from typing import Any, Final

from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from opsreport.findings import column_letters

_NO_DAY: Final = dt.date(1899, 12, 31).toordinal()
_MARCH: Final = dt.date(1900, 3, 1)
"""From then on a spreadsheet's days are one more than they were, as it knows a 29 February 1900."""


class QuickSheet(Worksheet):  # type: ignore[misc]
    """Cells by row and column, both 0-based, as XML; what joined cells and links need stays with the library.

    Every call returns 0, as the library's own does where a cell was taken.
    """

    def __init__(self) -> None:
        super().__init__()
        self._quick: dict[int, dict[int, str]] = {}
        self._next_row = 1

    @property
    def all_written(self) -> bool:
        """Whether the library has asked for every row; once the workbook is closed."""
        return not self._quick

    def write_string(self, row: int, col: int, string: str, cell_format: Format) -> int:
        index = self.str_table._get_shared_string_index(string)
        return self._put(row, col, cell_format, f' t="s"><v>{index}</v></c>')

    def write_number(self, row: int, col: int, number: float, cell_format: Format) -> int:
        return self._put(row, col, cell_format, f"><v>{number:.16G}</v></c>")

    def write_blank(self, row: int, col: int, blank: None, cell_format: Format) -> int:
        return self._put(row, col, cell_format, "/>")

    def write_datetime(self, row: int, col: int, date: dt.date, cell_format: Format) -> int:
        return self.write_number(row, col, date.toordinal() - _NO_DAY + (date >= _MARCH), cell_format)

    def write_formula(self, row: int, col: int, formula: str, cell_format: Format, value: float) -> int:
        """formula: of functions that every spreadsheet has had from the first; the library's own marks later ones."""
        text = escape(formula.removeprefix("="), quote=False)
        return self._put(row, col, cell_format, f"><f>{text}</f><v>{value}</v></c>")

    def write_url(self, row: int, col: int, *given: Any) -> int:
        self._quick.get(row, {}).pop(col, None)
        return int(super().write_url(row, col, *given))

    def _put(self, row: int, col: int, cell_format: Format, ending: str) -> int:
        cell = f' s="{cell_format._get_xf_index()}"{ending}'
        if row in self._quick:
            self._quick[row][col] = cell
        else:
            self._quick[row] = {col: cell}
        return 0

    def _assemble_xml_file(self) -> None:
        for row, cells in self._quick.items():
            if cells and (self._check_dimensions(row, min(cells)) or self._check_dimensions(row, max(cells))):
                raise ValueError(f"row {row + 1} is more than a sheet holds")
        super()._assemble_xml_file()

    def _write_rows(self) -> None:
        first, last = self.dim_rowmin, self.dim_rowmax  # type: ignore[has-type]
        for row in range(first, last + 1):
            cells = self._quick.pop(row, None)
            if cells:
                self._write_row(row, None, self.row_info.get(row))
                self._write_quick(row, cells)
                self._xml_end_tag("row")
            else:
                self.dim_rowmin = self.dim_rowmax = row
                super()._write_rows()
        self.dim_rowmin, self.dim_rowmax = first, last

    def _xml_start_tag_unencoded(self, tag: str, attributes: Sequence[tuple[str, Any]] = ()) -> None:
        super()._xml_start_tag_unencoded(tag, self._unplaced(attributes) if tag == "row" else attributes)

    def _xml_empty_tag_unencoded(self, tag: str, attributes: Sequence[tuple[str, Any]] = ()) -> None:
        super()._xml_empty_tag_unencoded(tag, self._unplaced(attributes) if tag == "row" else attributes)

    def _unplaced(self, attributes: Sequence[tuple[str, Any]]) -> list[tuple[str, Any]]:
        """What a row says of itself; its number only after a gap."""
        number = dict(attributes)["r"]
        follows = number == self._next_row
        self._next_row = number + 1
        return [(name, value) for name, value in attributes if not (follows and name == "r")]

    def _write_quick(self, row: int, cells: dict[int, str]) -> None:
        """A row's cells from left to right, the library's own among them; only one after a gap says where it stands."""
        own = self.table.get(row, {})
        next_to = 0
        for col in sorted({**cells, **own}):
            if col not in cells:
                self._write_cell(row, col, own[col])
            elif col == next_to:
                self.fh.write(f"<c{cells[col]}")
            else:
                self.fh.write(f'<c r="{column_letters(col + 1)}{row + 1}"{cells[col]}')
            next_to = col + 1
