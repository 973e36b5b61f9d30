"""Type as large as keeps a table to a page."""

import datetime as dt

import pytest

from opsreport.money import Currency
from opsreport.tables.table import Column, Document, Paper, Prose, Row, Table
from opsreport.write.one_page import LARGEST, USUAL, print_sizes

COLUMNS = (Column("Food", width=30), Column("In", "boxes", 6))


def page(rows: int, **more: float) -> Table:
    return Table("T", "Kits", COLUMNS, (Row(("rolled oats", 1)),) * rows, **more)


def sizes(*parts: Table | Prose, size: str = "Letter") -> dict[int, float]:
    return print_sizes(Document("x", "X", "", parts), Paper(size, Currency("USD"), dt.date(2027, 3, 1)))  # type: ignore[arg-type]


def test_as_large_as_fits_and_the_usual_size_where_nothing_does() -> None:
    found = [sizes(page(rows, one_page=7))[0] for rows in (5, 30, 36, 500)]
    assert LARGEST == found[0] > found[1] > found[2] >= 7
    assert found[3] == sizes(page(36, one_page=found[2] + 0.5))[0] == USUAL


def test_the_first_page_has_less_room_and_rows_to_write_in_need_more() -> None:
    first, later = sizes(page(30, one_page=7)), sizes(Prose(("words",)), page(30, one_page=7))
    assert first[0] < later[1]
    column = (Column("Food", width=30), Column("Name", "write-in", 12))
    written = Table("T", "Kits", column, (Row(("rolled oats", None)),) * 30, one_page=7)
    assert sizes(Prose(("words",)), written)[1] == USUAL


def test_only_rows_whose_words_need_several_lines_are_higher() -> None:
    def wordy(*long: int) -> dict[int, float]:
        rows = tuple(Row(("rolled oats " * (9 if number in long else 1), 1)) for number in range(20))
        return sizes(Table("T", "Kits", COLUMNS, rows, one_page=7))

    assert wordy()[0] == sizes(page(20, one_page=7))[0]
    assert wordy()[0] > wordy(3, 4, 19)[0] > wordy(*range(0, 20, 2))[0]


def test_a_lower_page_holds_less() -> None:
    assert sizes(page(32, one_page=7), size="A4")[0] > sizes(page(32, one_page=7))[0]


def test_what_follows_on_the_page_counts_and_has_its_size() -> None:
    alone = sizes(page(20, one_page=7))
    together = sizes(page(20, one_page=7), page(6), page(30, page_break=True))
    assert together[0] == together[1] < alone[0]
    assert 2 not in together


@pytest.mark.parametrize("part", [page(5), Prose(("words",))])
def test_other_parts_have_their_usual_size(part: Table | Prose) -> None:
    assert sizes(part) == {}
