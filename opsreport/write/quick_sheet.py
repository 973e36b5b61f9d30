"""A worksheet of xlsxwriter whose cells are kept as XML from the start, instead of as objects.

It writes the same cells. A cell is made apart from its place, so that one that comes again is not made again, and costs
a fifth: it is neither packed into a record nor taken out of it, and no argument is looked at twice. Rows and cells that
follow each other do not say where they stand, which is a third of a sheet's packed bytes (ISO/IEC 29500-1, 18.3.1.4 and
18.3.1.73: `r` is optional). It fills in for steps of the library (`set_row`, `_write_rows`, `_assemble_xml_file`, the
shared strings' count); where one of them no longer asks for the rows, `all_written` says so.
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
_TEXT: Final = ' t="s"><v>'
"""What only a cell of text has in it: no formula holds a bare `>`."""

Cell = str
"""A cell without its place: the XML that follows it."""


class QuickSheet(Worksheet):  # type: ignore[misc]
    """Cells by row and column, both 0-based, as XML; what joined cells and links need stays with the library."""

    def __init__(self) -> None:
        super().__init__()
        self._quick: dict[int, list[Cell]] = {}
        self._pixels: dict[int, int] = {}
        self._next_row = 1
        self._texts = 0

    @property
    def all_written(self) -> bool:
        """Whether the library has asked for every row; once the workbook is closed."""
        return not self._quick

    # --- cells, without a place ---

    def string(self, text: str, look: Format) -> Cell:
        index = self.str_table._get_shared_string_index(text)
        self._texts += 1
        return f"{_look(look)}{_TEXT}{index}</v></c>"

    def number(self, number: float, look: Format) -> Cell:
        return f"{_look(look)}><v>{number:.16G}</v></c>"

    def blank(self, look: Format) -> Cell:
        return f"{_look(look)}/>"

    def day(self, day: dt.date, look: Format) -> Cell:
        return self.number(day.toordinal() - _NO_DAY + (day >= _MARCH), look)

    def formula(self, formula: str, look: Format, value: float) -> Cell:
        """formula: of functions that every spreadsheet has had from the first; the library's own marks later ones."""
        return f"{_look(look)}><f>{escape(formula, quote=False)}</f><v>{value}</v></c>"

    # --- their places ---

    def put(self, row: int, col: int, cell: Cell) -> None:
        """One cell of a row; "" takes it away."""
        cells = self._quick.setdefault(row, [])
        cells += [""] * (col + 1 - len(cells))
        cells[col] = cell

    def put_row(self, row: int, cells: Sequence[Cell]) -> None:
        """A whole row, from its first column on."""
        self._quick[row] = list(cells)

    def write_url(self, row: int, col: int, *given: Any) -> int:
        self.put(row, col, "")
        return int(super().write_url(row, col, *given))

    def set_row(self, row: int, height: float) -> None:
        self._pixels[row] = int(height * 4 / 3 + 0.5)

    # --- steps of the library ---

    def _assemble_xml_file(self) -> None:
        rows = self._quick.keys() | self._pixels.keys()
        last = max(map(len, self._quick.values()), default=1) - 1
        if rows and (self._check_dimensions(min(rows), 0) or self._check_dimensions(max(rows), last)):
            raise ValueError(f"{max(rows) + 1} rows or {last + 1} columns are more than a sheet holds")
        self.str_table.count -= self._texts  # counted where they are written, which may be often
        super()._assemble_xml_file()

    def _write_rows(self) -> None:
        first, last = self.dim_rowmin, self.dim_rowmax  # type: ignore[has-type]
        for row in range(first, last + 1):
            cells, pixels = self._quick.pop(row, None), self._pixels.get(row)
            if cells:
                self._write_quick(row, cells, pixels)
            else:
                if pixels is not None:
                    self.set_row_pixels(row, pixels)
                self.dim_rowmin = self.dim_rowmax = row
                super()._write_rows()
        self.dim_rowmin, self.dim_rowmax = first, last

    def _xml_start_tag_unencoded(self, tag: str, attributes: Sequence[tuple[str, Any]] = ()) -> None:
        super()._xml_start_tag_unencoded(tag, self._unplaced(attributes) if tag == "row" else attributes)

    def _xml_empty_tag_unencoded(self, tag: str, attributes: Sequence[tuple[str, Any]] = ()) -> None:
        super()._xml_empty_tag_unencoded(tag, self._unplaced(attributes) if tag == "row" else attributes)

    def _escape_attributes(self, attribute: Any) -> Any:
        """The library finds out by an error that a number needs no escaping."""
        return attribute if isinstance(attribute, int) else super()._escape_attributes(attribute)

    def _unplaced(self, attributes: Sequence[tuple[str, Any]]) -> list[tuple[str, Any]]:
        """What a row says of itself; its number only after a gap."""
        follows = self._follows(dict(attributes)["r"])
        return [(name, value) for name, value in attributes if not (follows and name == "r")]

    def _follows(self, number: int) -> bool:
        """Whether a row, 1-based, stands right below the one written last."""
        follows = number == self._next_row
        self._next_row = number + 1
        return follows

    def _write_quick(self, row: int, cells: list[Cell], pixels: int | None) -> None:
        """A row's cells from left to right, the library's own among them; only one after a gap says where it stands."""
        place = "" if self._follows(row + 1) else f' r="{row + 1}"'
        height = "" if pixels in (None, self.original_row_height) else f' ht="{pixels * 0.75:.16g}" customHeight="1"'
        self.fh.write(f"<row{place}{height}>")
        own = self.table.get(row, {})
        if not own and "" not in cells:
            self._write_line(f"<c{'<c'.join(cells)}")
        else:
            self._write_parted(row, cells, own)
        self.fh.write("</row>")

    def _write_parted(self, row: int, cells: list[Cell], own: dict[int, Any]) -> None:
        """The same of a row with gaps, or with cells of the library."""
        next_to = 0
        for col in range(max(len(cells), max(own, default=-1) + 1)):
            if col < len(cells) and cells[col]:
                place = "" if col == next_to else f' r="{column_letters(col + 1)}{row + 1}"'
                self._write_line(f"<c{place}{cells[col]}")
            elif col in own:
                self._write_cell(row, col, own[col])
            else:
                continue
            next_to = col + 1

    def _write_line(self, line: str) -> None:
        self.str_table.count += line.count(_TEXT)
        self.fh.write(line)


def _look(look: Format) -> str:
    number = look.xf_index
    return f' s="{look._get_xf_index() if number is None else number}"'
