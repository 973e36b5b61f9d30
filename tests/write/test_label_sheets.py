"""Labels on a page: begun sheets, copies, pieces, and every text whole and escaped."""

import re
from fractions import Fraction
from typing import Literal

import pytest

from opsreport.tables.label_stock import INCH, STOCKS
from opsreport.tables.table import Label, Labels
from opsreport.write.label_sheets import label_sheets, stock_style

ONE = Label("Kit A", ("one",), "Contains: milk", ("foot",))


def classes(page: str) -> list[str]:
    return re.findall(r'class="(sheet|label blank|label cut|label|piece)(?: h\d+)?"', page)


def test_a_begun_sheet_leaves_its_first_labels_blank() -> None:
    page = label_sheets(Labels("L", "L", (ONE,) * 9, start=4), "Letter")
    assert classes(page) == ["sheet", *["label blank"] * 3, *["label"] * 7, "sheet", *["label"] * 2]
    assert classes(label_sheets(Labels("L", "L", (ONE,), start=11), "Letter")) == ["sheet", "label"]


def test_copies_and_pieces_cut_from_a_label() -> None:
    bag = Label("cumin", ("1 tsp",), "", copies=5)
    page = label_sheets(Labels("L", "L", (bag,), pieces=4), "A4")
    assert classes(page) == ["sheet", "label cut", *["piece"] * 4, "label cut", "piece"]


def test_nothing_to_print_is_said_and_no_sheet_is_begun() -> None:
    assert classes(label_sheets(Labels("L", "L", (), start=4), "A4")) == []
    assert "No labels to print." in label_sheets(Labels("L", "L", ()), "A4")


def test_text_is_escaped() -> None:
    page = label_sheets(Labels("L", "L", (Label("<b>", ("a & b",), "<i>", ("<u>",)),)), "Letter")
    assert "&lt;b&gt;" in page
    assert "a &amp; b" in page
    assert not re.search(r"<[bui]>", page)


LETTER, A4 = (Fraction("215.9"), Fraction("279.4")), (Fraction(210), Fraction(297))
"""Wide and high [mm]: 8 1/2 × 11 in (ANSI/ASME Y14.1); ISO 216."""


@pytest.mark.parametrize(("paper", "size"), [("Letter", LETTER), ("A4", A4)])
def test_the_grid_fills_the_paper_evenly(paper: Literal["Letter", "A4"], size: tuple[Fraction, Fraction]) -> None:
    stock = STOCKS[paper]
    across = 2 * stock.side + stock.columns * stock.width + (stock.columns - 1) * stock.gap
    assert abs(across - size[0]) <= Fraction(1, 100)
    assert abs(2 * stock.top + stock.rows * stock.height - size[1]) <= Fraction(1, 100)
    assert stock.corner(stock.labels) == stock.corner(0) == (stock.side, stock.top)
    assert f"{float(stock.width):.4f}mm" in stock_style(paper)


def test_sizes_are_those_asked_for() -> None:
    assert (STOCKS["Letter"].width, STOCKS["Letter"].height) == (4 * INCH, 2 * INCH)
    assert (round(STOCKS["A4"].width), round(STOCKS["A4"].height)) == (99, 68)
