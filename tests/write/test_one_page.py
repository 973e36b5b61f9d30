"""Type as large as keeps a table to a page."""

import datetime as dt

import pytest

from opsreport.money import Currency
from opsreport.tables.table import Column, Document, Paper, Prose, Row, Table
from opsreport.write.one_page import LARGEST, SMALLEST, print_sizes

COLUMNS = (Column("Food", width=30), Column("In", "boxes", 6))


def page(rows: int, **more: bool) -> Table:
    return Table("T", "Kits", COLUMNS, (Row(("rolled oats", 1)),) * rows, **more)


def sizes(*parts: Table | Prose, size: str = "Letter") -> dict[int, float]:
    return print_sizes(Document("x", "X", "", parts), Paper(size, Currency("USD"), dt.date(2027, 3, 1)))  # type: ignore[arg-type]


def test_as_large_as_fits_never_below_the_smallest() -> None:
    found = [sizes(page(rows, one_page=True))[0] for rows in (5, 30, 36, 500)]
    assert found[0] == LARGEST > found[1] > found[2] > found[3] == SMALLEST


def test_a_lower_page_holds_less() -> None:
    assert sizes(page(45, one_page=True), size="A4")[0] > sizes(page(45, one_page=True))[0]


def test_what_follows_on_the_page_counts_and_has_its_size() -> None:
    alone = sizes(page(30, one_page=True))
    together = sizes(page(30, one_page=True), page(10), page(30, page_break=True))
    assert together[0] == together[1] < alone[0]
    assert 2 not in together


@pytest.mark.parametrize("part", [page(5), Prose(("words",))])
def test_other_parts_have_their_usual_size(part: Table | Prose) -> None:
    assert sizes(part) == {}
