"""The quick worksheet beside the library's own: a document written with either reads back alike, cell for cell."""

import datetime as dt
import io
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any

import openpyxl
import pytest
from xlsxwriter.format import Format
from xlsxwriter.worksheet import Worksheet

from opsreport.money import Currency
from opsreport.tables.table import Column, Document, Facts, Paper, Prose, Row, Table, Total
from opsreport.write import quick_sheet
from opsreport.write.quick_sheet import QuickSheet
from opsreport.write.xlsx import xlsx_bytes

A4 = Paper("A4", Currency("EUR"), dt.date(2027, 2, 8))
COLUMNS = (
    Column("Food", "text", 10),
    Column("On", "date"),
    Column("Packs", "count"),
    Column("Price", "money", formula="[Packs]*(1+([Packs]<9))"),
    Column("Share", "percent"),
    Column("Statistic", "number"),
    Column("Boxes", "boxes"),
    Column("Mark", "mark"),
    Column("Signed", "write-in"),
)
ROWS = (
    Row(("a group", "", "", "", "", "", "", "", ""), "heading"),
    Row(("=1+1 <b> & 'c'", dt.date(1900, 2, 28), 3, 601, Fraction(1, 3), 0.0001, 3, "P", None)),
    Row(("  outer spaces ", dt.date(1900, 3, 1), -12345678, 2, Fraction(2, 7), 1 / 3, 30, "A", ""), "warning"),
    Row(("carrot", dt.date(1899, 12, 31), 10**15 + 1, None, 1, -2.5e-9, None, ".", None), "quiet"),
    Row(("words that do not fit into so narrow a column and so run over several lines",
         dt.date(2027, 2, 8), 0, "ask", None, 12, 1, "E", None), leads_to=("Why", "carrot")),
)  # fmt: skip
TOTALS = (
    Total("all", "All", "Price", 603, "SUM([Price])"),
    Total("packs", "All", "Packs", 3),
    Total("twice", "Twice & more", "Price", 1206, "{all}*2"),
)
WHY = Table("Why", "Why", COLUMNS[:2], (Row(("carrot", None), "heading"), Row(("a line", None))), folds=True)
DOCUMENT = Document(
    "orders/x", "Title", "the coordinator",
    (
        Facts((("Deliver on", "Tue 24 Nov 2026"), ("To", "a " * 200)), "Facts"),
        Prose(("One.", "Two, longer than a line. " * 9), "Look", "warning"),
        Table("Lines", "Lines", COLUMNS, ROWS, ("Intro.",), ("Note.",), TOTALS),
        Table("Lines", "None", COLUMNS, ()),
        WHY,
    ),
    head="Head",
)  # fmt: skip


class OwnSheet(Worksheet):  # type: ignore[misc]
    """The library's own sheet under the quick one's calls: a cell without a place is a call still to be made."""

    all_written = True

    def __init__(self) -> None:
        super().__init__()
        self.waiting: list[Callable[[int, int], int]] = []

    def later(self, write: Callable[..., int], *given: object) -> str:
        self.waiting.append(lambda row, col: write(row, col, *given))
        return str(len(self.waiting))

    def string(self, text: str, look: Format) -> str:
        return self.later(self.write_string, text, look)

    def number(self, number: float, look: Format) -> str:
        return self.later(self.write_number, number, look)

    def blank(self, look: Format) -> str:
        return self.later(self.write_blank, None, look)

    def day(self, day: dt.date, look: Format) -> str:
        return self.later(self.write_datetime, day, look)

    def formula(self, formula: str, look: Format, value: float) -> str:
        return self.later(self.write_formula, f"={formula}", look, value)

    def put(self, row: int, col: int, cell: str) -> None:
        assert self.waiting[int(cell) - 1](row, col) == 0

    def put_row(self, row: int, cells: Sequence[str]) -> None:
        for col, cell in enumerate(cells):
            self.put(row, col, cell)


class ForgetfulSheet(QuickSheet):
    """As if a later library asked for its rows by another way."""

    def _write_rows(self) -> None:
        pass


def looks(sheet: Any) -> dict[str, object]:
    """Everything that a reader sees of a sheet."""
    cells = {
        cell.coordinate: (
            cell.value, cell.data_type, cell.number_format, repr(cell.font), repr(cell.fill), repr(cell.border),
            repr(cell.alignment), cell.hyperlink and cell.hyperlink.location,
        )
        for row in sheet.iter_rows() for cell in row
    }  # fmt: skip
    heights = {row: size.height for row, size in sheet.row_dimensions.items()}
    return {
        **cells,
        "heights": heights,
        "joined": sorted(map(str, sheet.merged_cells.ranges)),
        "size": sheet.dimensions,
    }


@pytest.mark.parametrize("values", [False, True])
def test_the_same_cells_as_the_librarys_own_sheet_writes(monkeypatch: pytest.MonkeyPatch, values: bool) -> None:
    quick = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(DOCUMENT, A4)), data_only=values)
    monkeypatch.setattr(quick_sheet, "QuickSheet", OwnSheet)
    own = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(DOCUMENT, A4)), data_only=values)
    assert quick.sheetnames == own.sheetnames == ["Lines", "Why"]
    for name in own.sheetnames:
        assert looks(quick[name]) == looks(own[name])


def test_rows_that_the_library_no_longer_asks_for_are_a_mistake_not_an_empty_sheet(
    monkeypatch: pytest.MonkeyPatch,
) -> None:
    monkeypatch.setattr(quick_sheet, "QuickSheet", ForgetfulSheet)
    with pytest.raises(ValueError, match="left rows out"):
        xlsx_bytes(DOCUMENT, A4)


def test_marks_side_by_side_are_shaded_by_the_same_rules() -> None:
    marks = [Column(f"s{number}", "mark") for number in range(5)]
    columns = (Column("Participant", "code"), *marks[:3], Column("Rate", "percent"), *marks[3:])
    rows = (Row(("p1", "P", "A", "E", Fraction(2, 3), "V", ".")),)
    document = Document("reports/x", "Marks", "the coordinator", (Table("Marks", "Marks", columns, rows),))
    sheet = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(document, A4))).active
    ranges = {str(cells.sqref): len(cells.rules) for cells in sheet.conditional_formatting}
    assert ranges == {"B5:D5": 4, "F5:G5": 4}
