"""Workbooks read back with another library: values, formulas, print set-up, names."""

import datetime as dt
import io
import itertools
from fractions import Fraction

import openpyxl
import pytest

from opsreport.money import Currency
from opsreport.tables.table import (
    Chart,
    Column,
    Document,
    Facts,
    Label,
    Labels,
    Paper,
    Prose,
    Row,
    Table,
    Total,
    Value,
)
from opsreport.write.sheet_page import MOST_COLUMNS
from opsreport.write.xlsx import MOST_ROWS, sheet_names, xlsx_bytes

LETTER = Paper("Letter", Currency("USD"), dt.date(2026, 11, 20))
ORDER = Table(
    "Order",
    "Lines",
    (
        Column("Item", "code"),
        Column("Packs", "count"),
        Column("Price", "money"),
        Column("Cost", "money", formula="[Packs]*[Price]"),
    ),
    (Row(("A-1", 3, 250, 750)), Row(("0042", 2, 125, 250)), Row(("free", 1, "ask", "ask"))),
    totals=(
        Total("goods", "Goods", "Cost", 1000, "SUM([Cost])"),
        Total("fee", "Fee", "Cost", 500),
        Total("total", "Total", "Cost", 1500, "{goods}+{fee}"),
    ),
    notes=("Call before substituting.",),
)
DOCUMENT = Document(
    "orders/po-1",
    "Purchase order PO-1",
    "the supplier",
    (Facts((("Deliver on", "Tue 24 Nov 2026"),)), Prose(("Below the minimum.",), "Look", "warning"), ORDER),
    head="Fennelbridge Cooks, R&Grains",
)


def opened(document: Document, paper: Paper = LETTER, values: bool = False) -> openpyxl.Workbook:
    return openpyxl.load_workbook(io.BytesIO(xlsx_bytes(document, paper)), data_only=values)


def rows(sheet: openpyxl.worksheet.worksheet.Worksheet) -> list[list[object]]:
    filled = ([cell for cell in row if cell is not None] for row in sheet.iter_rows(values_only=True))
    return [row for row in filled if row]


def one_cell(value: Value, style: str, paper: Paper = LETTER) -> openpyxl.cell.cell.Cell:
    table = Table("T", "Figures", (Column("X", style),), (Row((value,)),))  # type: ignore[arg-type]
    sheet = opened(Document("x", "Figures", "", (table,)), paper).worksheets[0]
    heading = next(cell for (cell,) in sheet.iter_rows(max_col=1) if cell.value == "X")
    return sheet.cell(heading.row + 1, 1)


def test_same_document_same_bytes() -> None:
    assert xlsx_bytes(DOCUMENT, LETTER) == xlsx_bytes(DOCUMENT, LETTER)


def test_values_stand_without_recalculation() -> None:
    assert rows(opened(DOCUMENT, values=True).worksheets[0]) == [
        ["Purchase order PO-1"],
        ["Fennelbridge Cooks, R&Grains"],
        ["For the supplier"],
        ["Deliver on", "Tue 24 Nov 2026"],
        ["Look"],
        ["Below the minimum."],
        ["Lines"],
        ["Item", "Packs", "Price", "Cost"],
        ["A-1", 3, 2.5, 7.5],
        ["0042", 2, 1.25, 2.5],
        ["free", 1, "ask", "ask"],
        ["Goods", 10],
        ["Fee", 5],
        ["Total", 15],
        ["Call before substituting."],
    ]


def test_formulas_are_live_and_name_the_right_cells() -> None:
    sheet = opened(DOCUMENT).worksheets[0]
    found = {cell.coordinate: cell.value for row in sheet.iter_rows() for cell in row if cell.data_type == "f"}
    top = next(cell.row for (cell,) in sheet.iter_rows(max_col=1) if cell.value == "A-1")
    goods = top + 3
    assert found == {
        f"D{top}": f"=B{top}*C{top}",
        f"D{top + 1}": f"=B{top + 1}*C{top + 1}",
        f"D{goods}": f"=SUM(D{top}:D{top + 2})",
        f"D{goods + 2}": f"=D{goods}+D{goods + 1}",
    }


def test_formula_that_names_nothing_is_refused() -> None:
    table = Table("T", "T", (Column("A", "count", formula="[Nowhere]*2"),), (Row((1,)),))
    with pytest.raises(ValueError, match="Nowhere"):
        xlsx_bytes(Document("x", "T", "", (table,)), LETTER)


def test_totals_with_one_label_share_a_line() -> None:
    totals = (Total("k", "All", "Kits", 5), Total("c", "All", "Cost", 100), Total("x", "More", "Cost", 1))
    columns = (Column("Day"), Column("Kits", "count"), Column("Cost", "money"))
    table = Table("T", "T", columns, (Row(("a", 5, 100)),), totals=totals)
    assert rows(opened(Document("x", "T", "", (table,))).worksheets[0])[-2:] == [
        ["All", 5, 1],
        ["More", 0.01],
    ]


def test_totals_of_an_empty_table_are_plain_numbers() -> None:
    table = Table("T", "T", ORDER.columns, (), totals=(Total("g", "Goods", "Cost", 0, "SUM([Cost])"),))
    assert rows(opened(Document("x", "T", "", (table,))).worksheets[0])[-2:] == [
        ["Nothing to list."],
        ["Goods", 0],
    ]


@pytest.mark.parametrize(
    ("value", "style", "stored", "number_format"),
    [
        (1240, "money", 12.4, '"$"#,##0.00;-"$"#,##0.00'),
        (Fraction(7, 3), "amount", pytest.approx(7 / 3, rel=1e-15), "#,##0.000"),
        (Fraction(5), "amount", 5, "#,##0"),
        (Fraction(1, 2), "amount", 0.5, "#,##0.0"),
        (Fraction(7, 8), "percent", 0.875, "0%"),
        (12, "count", 12, "#,##0"),
        (0.0412, "number", 0.0412, "0.000"),
        (0.00002, "number", 0.00002, '"< 0.001"'),
        (dt.date(2026, 11, 24), "date", dt.datetime(2026, 11, 24), "ddd d mmm yyyy"),
        (dt.date(1899, 12, 31), "date", "Sun 31 Dec 1899", "ddd d mmm yyyy"),
        (3, "boxes", "☐ ☐ ☐", "General"),
        (None, "write-in", None, "General"),
        ("1–10", "count", "1–10", "#,##0"),
    ],
)
def test_cells_keep_their_type(value: Value, style: str, stored: object, number_format: str) -> None:
    cell = one_cell(value, style)
    assert (cell.value, cell.number_format) == (stored, number_format)


def test_money_has_its_currency_s_decimals() -> None:
    yen = one_cell(1240, "money", Paper("A4", Currency("JPY"), dt.date(2026, 11, 20)))
    dinar = one_cell(1240, "money", Paper("A4", Currency("KWD"), dt.date(2026, 11, 20)))
    assert (yen.value, yen.number_format) == (1240, '"¥"#,##0;-"¥"#,##0')
    assert (dinar.value, dinar.number_format) == (1.24, '"KWD "#,##0.000;-"KWD "#,##0.000')


def test_write_in_cell_has_a_border_all_round() -> None:
    border = one_cell(None, "write-in").border
    assert {side.style for side in (border.left, border.right, border.top, border.bottom)} == {"thin"}


@pytest.mark.parametrize("start", ["=1+1", "+1+1", "-1+1", "@SUM(A1)", "\t=1+1", "\r=1+1", "\0=1+1", "{=1}"])
def test_text_is_never_a_formula(start: str) -> None:
    """OWASP CSV injection; ASVS 5, 1.2.10; CWE-1236: text stays a string cell."""
    cell = one_cell(start, "text")
    assert cell.data_type == "s"
    assert str(cell.value).strip().endswith(start.strip("\t\r\0"))


def test_negative_number_stays_a_number() -> None:
    """The harmless minus: -5 is no text."""
    cell = one_cell(-5, "count")
    assert (cell.data_type, cell.value) == ("n", -5)


def test_links_stay_text() -> None:
    assert one_cell("https://example.org", "text").hyperlink is None


def test_odd_characters_go_and_long_texts_are_cut() -> None:
    """Excel's specifications and limits: 32,767 characters a cell."""
    assert one_cell("a\x01b\ud800c\x0b", "text").value == "abc"
    assert one_cell("_x0041_", "text").value in (
        "_x0041_",
        "_x005F_x0041_",
    )  # the reader may leave it escaped
    long = one_cell("x" * 40_000, "text").value
    assert len(long) == 32_767
    assert long.endswith("…")
    assert len(one_cell("😀" * 20_000, "text").value.encode("utf-16-le")) // 2 <= 32_767


def test_table_beyond_a_sheet_is_refused() -> None:
    """Excel's specifications and limits: 1,048,576 rows, 16,384 columns."""
    assert (MOST_ROWS, MOST_COLUMNS) == (2**20, 2**14)
    tall = Table("T", "T", (Column("A"),), (Row(("a",)),) * MOST_ROWS)
    wide = Table("T", "T", tuple(Column(f"C{n}") for n in range(MOST_COLUMNS + 1)), ())
    for table in (tall, wide):
        with pytest.raises(ValueError, match="more than a sheet holds"):
            xlsx_bytes(Document("x", "T", "", (table,)), LETTER)


def test_sheet_names_are_valid_and_unique() -> None:
    """Excel's rules: 1 to 31 characters, none of \\ / ? * : [ ], no apostrophe first or last, unique
    without regard to case, 'History' reserved (the last two from memory)."""
    assert sheet_names(["Needs", "needs", "History", "'a/b?'", "", "[x]:*\\", "  "]) == [
        "Needs",
        "needs (2)",
        "History (2)",
        "a-b-",
        "Sheet",
        "-x----",
        "Sheet (2)",
    ]


def test_long_names_that_agree_in_31_characters_stay_apart() -> None:
    first, second = sheet_names(
        ["Bright and Sons Wholesale Grocers of Mill", "Bright and Sons Wholesale Grocers of Ash"]
    )
    assert (first, second) == ("Bright and Sons Wholesale Groce", "Bright and Sons Wholesale G (2)")
    assert all(len(name.encode("utf-16-le")) <= 62 for name in sheet_names(["😀" * 40, "😀" * 41]))


@pytest.mark.parametrize(("size", "code"), [("Letter", 1), ("A4", 9)])
def test_print_set_up(size: str, code: int) -> None:
    document = Document("x", "Order & more", "", (ORDER,), "Fennelbridge R&G")
    sheet = opened(document, Paper(size, Currency(), dt.date(2026, 1, 1))).worksheets[0]  # type: ignore[arg-type]
    heading = next(cell.row for (cell,) in sheet.iter_rows(max_col=1) if cell.value == "Item")
    assert int(sheet.page_setup.paperSize) == code
    assert sheet.page_setup.orientation == "portrait"
    assert (sheet.page_setup.fitToWidth or 1, sheet.page_setup.fitToHeight) == (1, 0)
    assert sheet.sheet_properties.pageSetUpPr.fitToPage
    assert sheet.print_title_rows == f"${heading}:${heading}"
    assert sheet.freeze_panes == f"A{heading + 1}"
    assert sheet.oddFooter.right.text == "Page &P of &N"
    assert sheet.oddFooter.left.text == "Order && more"
    assert sheet.oddHeader.left.text == "Fennelbridge R&&\u200bG"  # a bare &G would ask for a picture


@pytest.mark.parametrize(
    ("width", "lies", "orientation"),
    [
        (60, True, "portrait"),
        (110, True, "landscape"),
        (110, False, "portrait"),
        (160, False, "landscape"),
    ],
)
def test_a_sheet_lies_where_it_would_shrink(width: int, lies: bool, orientation: str) -> None:
    columns = (Column("A", width=width // 2), Column("B", width=width // 2))
    document = Document("x", "X", "", (Table("T", "T", columns, ()),), landscape=lies)
    assert opened(document).worksheets[0].page_setup.orientation == orientation


def test_one_sheet_a_table_with_what_precedes_it() -> None:
    parts = (
        Prose(("First.",)),
        ORDER,
        Facts((("Second", "fact"),)),
        Table("order", "Again", (Column("A"),), ()),
        Labels("Labels", "Stickers", (Label("Kit A", ("one", "two"), "Contains: milk", ("foot",)),)),
        Prose(("Last.",)),
    )
    book = opened(Document("x", "All", "", parts))
    assert book.sheetnames == ["Order", "order (2)", "Labels"]
    assert rows(book["order (2)"]) == [["Again"], ["Second", "fact"], ["A"], ["Nothing to list."]]
    assert rows(book["Labels"]) == [
        ["Stickers"],
        ["First line", "Line 1", "Line 2", "Contains", "Last line 1"],
        ["Kit A", "one", "two", "Contains: milk", "foot"],
        ["Last."],
    ]


def test_document_without_a_table_has_one_sheet() -> None:
    book = opened(Document("x", "Nothing: yet", "", (Prose(("All is well.",)),)))
    assert book.sheetnames == ["Nothing- yet"]
    assert rows(book.worksheets[0]) == [["Nothing: yet"], ["All is well."]]


def test_tables_that_name_one_sheet_stand_on_it_each_on_a_printed_page_of_its_own() -> None:
    columns = (Column("Food", width=30), Column("Packs", "count"), Column("Twice", "count", formula="[Packs]*2"))
    first = Table("Cards", "Soup", columns, (Row(("beans", 2, 4)), Row(("rice", 1, 2))))
    second = Table("Cards", "Salad", columns, (Row(("greens", 3, 6)),), intro=("Wash them.",), page_break=True)
    sheet = opened(Document("x", "All", "", (first, ORDER, second)))["Cards"]
    assert rows(sheet) == [
        ["All"], ["Soup"], ["Food", "Packs", "Twice"], ["beans", 2, "=B5*2"], ["rice", 1, "=B6*2"],
        ["Salad"], ["Wash them."], ["Food", "Packs", "Twice"], ["greens", 3, "=B12*2"],
    ]  # fmt: skip
    assert [(each.id, sheet.cell(each.id + 1, 1).value) for each in sheet.row_breaks.brk] == [(8, "Salad")]
    assert sheet.page_setup.fitToHeight == 0  # as many pages as the breaks ask for, each as wide as the paper
    assert (sheet.freeze_panes, sheet.print_title_rows) == (None, "$1:$1")


def test_every_sheet_has_a_row_that_heads_its_printed_pages() -> None:
    """The headings of a table by itself, else the document's title: never one table's over the rows of another."""
    columns = (Column("Food", width=30), Column("Packs", "count"))
    parts = [
        Table(sheet, title, columns, (Row(("beans", 2)),))
        for sheet, title in (("One", "Soup"), ("Several", "Salad"), ("Several", "Fruit"))
    ]
    book = opened(Document("x", "All of it", "Fennelbridge", tuple(parts)))
    headed = {sheet.title: sheet[sheet.print_title_rows.replace("$", "").split(":")[0]] for sheet in book}
    assert {name: row[0].value for name, row in headed.items()} == {"One": "Food", "Several": "All of it"}
    assert [sheet.page_setup.fitToWidth for sheet in book] == [1, 1]
    alone = opened(Document("x", "Only words", "", (Prose(("All is well.",)),))).worksheets[0]
    assert alone.print_title_rows == "$1:$1"


@pytest.mark.parametrize(("value", "charts"), [(3.5, 1), ("hidden", 0)])
def test_a_chart_of_the_cells_under_their_headings(value: Value, charts: int) -> None:
    """A heading row is a label without a bar; where no figure is shown, nothing is drawn."""
    table = Table(
        "T", "Means", (Column("Question"), Column("Before", "number"), Column("After", "number")),
        (Row(("Cooking", None, None), "heading"), Row(("How sure?", value, value))),
        chart=Chart("bar", "Means before and after", "Question", ("Before", "After"), "mean answer"),
    )  # fmt: skip
    sheet = opened(Document("x", "Outcomes", "", (table,))).worksheets[0]
    heading = next(cell.row for (cell,) in sheet.iter_rows(max_col=1) if cell.value == "Question")
    drawn = sheet._charts
    assert len(drawn) == charts
    for chart in drawn:
        assert [series.val.numRef.f for series in chart.series] == [
            f"T!${column}${heading + 1}:${column}${heading + 2}" for column in "BC"
        ]


def test_a_heading_and_its_rows_stay_on_one_printed_page() -> None:
    """Where the page before has no room for all of them they begin the next."""
    rows = tuple(
        Row(("food", *[None] * 2), "heading") if number % 9 == 0 else Row((f"kit {number}", "1 cup", 1))
        for number in range(90)
    )
    columns = (Column("Kit", width=30), Column("Amount", width=60), Column("Done", "boxes", 20))
    sheet = opened(Document("x", "X", "", (Table("T", "T", columns, rows),)))["T"]
    breaks = [each.id for each in sheet.row_breaks.brk]
    heads = [cell.row for cell in sheet["A"] if cell.value == "food"]
    assert breaks
    assert all(each + 1 in heads for each in breaks)
    wide = sum(column.width * 7 + 5 for column in columns) * 0.75  # points, as Excel counts them
    scale = min(540 / wide, 1)
    for first, last in itertools.pairwise([0, *breaks, sheet.max_row]):
        high = sum(sheet.row_dimensions[row].height or 15 for row in range(first + 1, last + 1))
        assert high * scale <= (11 - 1.5) * 72
