"""One worksheet: joined cells only where words need them, rows high enough for what stands in them."""

import datetime as dt
import io
import textwrap

import openpyxl
import pytest
import xlsxwriter
from hypothesis import given
from hypothesis import strategies as st

from opsreport.money import Currency
from opsreport.tables.table import Column, Paper
from opsreport.write.quick_sheet import QuickSheet
from opsreport.write.sheet_looks import LOOKS, Formats
from opsreport.write.sheet_page import LINE, Page, lines_in

MONDAY = dt.date(2026, 11, 23)


def page_with(*lines: tuple[str, str]) -> openpyxl.worksheet.worksheet.Worksheet:
    """A sheet of two columns with lines of text, each under a look, read back."""
    file = io.BytesIO()
    workbook = xlsxwriter.Workbook(file)
    formats = Formats(workbook, Paper("Letter", Currency("USD"), dt.date(2026, 11, 20)))
    page = Page(workbook.add_worksheet("S", QuickSheet), formats, [(Column("A", width=20), Column("B", width=44))])
    for text, look in lines:
        page.line(text, LOOKS[look])
    workbook.close()
    return openpyxl.load_workbook(io.BytesIO(file.getvalue())).worksheets[0]


def test_a_short_line_runs_on_over_the_empty_cells_beside_it() -> None:
    sheet = page_with(("Short.", "plain"))
    assert not sheet.merged_cells.ranges
    assert not sheet["A1"].alignment.wrap_text
    assert sheet["B1"].value is None


def test_a_long_line_wraps_over_joined_cells() -> None:
    sheet = page_with(("word " * 60, "plain"))
    assert [str(cells) for cells in sheet.merged_cells.ranges] == ["A1:B1"]
    assert sheet["A1"].alignment.wrap_text
    assert sheet.row_dimensions[1].height >= 5 * LINE


def test_a_frame_goes_round_the_whole_line_however_short() -> None:
    assert [str(cells) for cells in page_with(("Short.", "warning")).merged_cells.ranges] == ["A1:B1"]


@pytest.mark.parametrize(
    ("text", "width", "lines"),
    [
        ("", 10, 1),
        ("one two", 10, 1),
        ("one two three", 10, 2),
        ("one\ntwo", 10, 2),
        ("one\n\ntwo", 10, 3),
        ("x" * 25, 10.2, 3),
        ("a " + "x" * 10, 10.2, 2),
    ],
)
def test_lines_in_a_cell(text: str, width: float, lines: int) -> None:
    assert lines_in(text, width) == lines


@given(st.lists(st.text("abc", min_size=1, max_size=30), min_size=1, max_size=20), st.integers(4, 40))
def test_never_fewer_lines_than_the_standard_library_fills(words: list[str], room: int) -> None:
    text = " ".join(words)
    assert lines_in(text, room * 1.02 + 0.001) >= len(textwrap.wrap(text, room, break_on_hyphens=False))


def test_a_column_is_as_wide_as_the_widest_of_the_tables_on_its_sheet_asks_for() -> None:
    workbook = xlsxwriter.Workbook(io.BytesIO())
    formats = Formats(workbook, Paper("Letter", Currency("USD"), dt.date(2026, 11, 20)))
    narrow, wide = (Column("A", width=30), Column("B", width=10)), (Column("A", width=8), Column("B", width=40))
    alone = [Page(workbook.add_worksheet(), formats, [columns]).widths for columns in (narrow, wide)]
    assert Page(workbook.add_worksheet(), formats, [narrow, wide]).widths == [alone[0][0], alone[1][1]]


def page_of(*columns: Column) -> Page:
    workbook = xlsxwriter.Workbook(io.BytesIO())
    return Page(workbook.add_worksheet("S"), Formats(workbook, Paper("Letter", Currency("USD"), MONDAY)), [columns])


def test_columns_of_words_are_narrowed_till_the_sheet_is_printed_at_three_quarters() -> None:
    """On Letter on its side 10 in, 720 points, are left between the margins."""
    numbers = (Column("Amount", "amount", 12),) * 5
    wide = page_of(Column("Question", width=60), *numbers, Column("Note", width=80))
    assert 720 / wide.points_wide >= 0.75
    assert {round(width) for width in wide.widths[1:6]} == {round(width) for width in page_of(*numbers).widths[:5]}
    room = page_of(Column("Question", width=30), *numbers, Column("Note", width=20))
    assert (room.widths[0], room.widths[6]) == (34, 23)


def test_a_column_is_never_narrower_than_its_heading_s_longest_word() -> None:
    page = page_of(*(Column("Characteristically", width=60) for _ in range(9)))
    assert min(page.widths) > len("Characteristically")
    numbers = page_of(*(Column("Amount", "amount", 30) for _ in range(9)))
    assert min(numbers.widths) >= 30
