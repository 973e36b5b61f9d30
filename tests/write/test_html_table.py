"""Rows of a table in a page: values in words, cells that say what they are, links that lead on."""

import datetime as dt
import re
from fractions import Fraction

import pytest

from opsreport.money import Currency
from opsreport.tables.table import Column, Row, Style, Table, Total, Value
from opsreport.write.html_table import class_names, head_line, row_groups, row_lines, show, totals

USD = Currency("USD")
COLUMNS = (Column("Kit", "code"), Column("Kits", "count"), Column("Done", "boxes"), Column("Here", "mark"))


@pytest.mark.parametrize(
    ("value", "style", "words"),
    [
        (None, "text", ""),
        (0, "count", "0"),
        (1234, "count", "1,234"),
        (2027, "text", "2027"),
        (123456, "money", "$1,234.56"),
        (Fraction(7, 3), "amount", "≈ 2.333"),
        (Fraction(5, 2), "amount", "2.5"),
        (0.1, "amount", "0.1"),
        (Fraction(7, 8), "percent", "88%"),
        (0.00001, "number", "< 0.001"),
        (-0.00001, "number", "≈ 0"),
        (0.0412, "number", "0.041"),
        (-1.529, "number", "−1.53"),
        (1234.56, "number", "1,234.6"),
        (34, "number", "34"),
        (dt.date(2026, 11, 24), "date", "Tue 24 Nov 2026"),
        ("1–10", "count", "1–10"),
    ],
)
def test_values_in_words(value: Value, style: Style, words: str) -> None:
    assert show(value, style, Currency("USD")) == words


def lines(*rows: Row) -> list[str]:
    return re.split(r"(?<=.)(?=<tr)", str(row_lines(rows, COLUMNS, USD, lambda row: row.links_to)))


def test_a_line_a_row_and_its_first_cell_names_it() -> None:
    assert lines(Row(("A", 1400, 2, "P")), Row(("B", None, None, "·"), "warning")) == [
        "<tr><th>A<td>1,400<td>☐ ☐<td class=p>P",
        "<tr class=warning><th>B<td><td><td>·",
    ]


def test_an_empty_first_cell_names_nothing_and_an_empty_last_one_stays_empty() -> None:
    assert lines(Row(("", 1, 1, "")), Row(("", 1, 1, ""))) == ["<tr><td><td>1<td>☐<td>", "<tr><td><td>1<td>☐<td></tr>"]


def test_a_heading_alone_runs_over_the_table() -> None:
    assert lines(Row(("s1", None, "", None), "heading"), Row(("s2", 3, None, None), "heading")) == [
        "<tr class=heading><th scope=rowgroup colspan=4>s1",
        "<tr class=heading><th>s2<td>3<td><td></tr>",
    ]


def test_text_is_escaped_and_its_line_breaks_stay() -> None:
    assert lines(Row(("<b>\n&", None, None, "<"))) == ["<tr><th>&lt;b&gt;<br>&amp;<td><td><td>&lt;"]
    assert head_line([Column("<i>")]) == "<tr><th>&lt;i&gt;"


def test_the_first_words_of_a_row_lead_on() -> None:
    columns = (Column("By", "date"), Column("What"))
    (line,) = str(row_lines([Row((None, "Go"), links_to='a"b')], columns, USD, lambda row: row.links_to)).split("\n")
    assert line == '<tr><td><td><a href="a&#34;b">Go</a>'


def test_totals_stand_under_their_columns() -> None:
    columns = (Column("Kit"), Column("Kits", "count"), Column("Cost", "money"))
    table = Table("T", "T", columns, (), totals=(Total("k", "All", "Kits", 2), Total("c", "All", "Cost", 250)))
    assert totals(table, USD) == "<tr><th scope=row colspan=1 class=right>All<td class=right>2<td class=right>$2.50"
    first = Table("T", "T", columns, (), totals=(Total("k", "All", "Kit", "x"),))
    assert totals(first, USD) == "<tr><td>x<th scope=row>All<td>"


def test_rows_stand_in_groups_under_their_headings() -> None:
    rows = (Row((1,)), Row((2,), "heading"), Row((3,)), Row((4,), "heading"))
    groups = row_groups(Table("T", "T", (Column("A"),), rows))
    assert [[row.cells[0] for row in group] for group in groups] == [[1], [2, 3], [4]]


def test_class_names_are_quoted_only_where_they_must_be() -> None:
    assert [class_names(names) for names in ([], ["", "a"], ["a", "b"])] == ["", " class=a", ' class="a b"']
