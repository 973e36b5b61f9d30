"""Styles: a page carries the rules that its elements and classes ask for, and no others."""

import re

import pytest

from opsreport.places import templates_folder
from opsreport.tables.table import Column, Style, Table
from opsreport.write.page_style import css_text, page_style, shape, shapes_of, size_class

KITS = Table("T", "T", (Column("Kit"), Column("Kits", "count"), Column("Here", "mark")), ())
SHEET = (templates_folder() / "style.css").read_text("utf-8")


def test_a_rule_stands_where_something_is_its_own() -> None:
    assert "summary" not in page_style("<main><p>Words</p></main>", {})
    assert "summary{" in page_style("<details><summary>Words</summary></details>", {})
    assert ".facts{" not in page_style('<dl class="fact">', {})
    assert ".facts{" in page_style('<dl class="facts">', {})


def test_conditions_hold_what_stood_in_them() -> None:
    style = page_style('<body><header class="page-head"></header><p class="screen-only">Words</p></body>', {})
    printed = style[style.index("@media print{") :]
    assert ".screen-only{display:none}" in printed
    assert "#161616" in style[style.index("@media screen and (prefers-color-scheme:dark){") :]
    assert style.count("{") == style.count("}")


def test_every_rule_of_the_sheet_can_be_asked_for() -> None:
    """With every class and element that the sheet names, nothing of it is lost."""
    plain = re.sub(r"/\*.*?\*/", "", SHEET, flags=re.S)
    classes = " ".join(set(re.findall(r"\.([a-z][\w-]*)", plain)))
    names = (
        "a b body dd details div dl dt h1 h2 h3 header html i li main p section summary table tbody td th thead tr ul"
    )
    whole = page_style("".join(f"<{name}>" for name in names.split()) + f'<p class="{classes}">', {})
    assert whole.count("{") == plain.count("{")


@pytest.mark.parametrize(
    ("style", "rule"),
    [
        ("money", "}.t1 tr>:nth-child(2){text-align:right;white-space:nowrap}"),
        ("date", "@media print,(min-width:40rem){.t1 tr>:nth-child(2){white-space:nowrap}}"),
        ("write-in", ".t1 td:nth-child(2){border:1px"),
    ],
)
def test_a_column_s_style_is_said_once(style: Style, rule: str) -> None:
    table = Table("T", "T", (Column("A"), Column("B", style)), ())
    assert rule in page_style("<table><tbody><tr><td>", shapes_of([(table, False)]))
    assert rule not in page_style(
        "<table><tbody><tr><td>", shapes_of([(Table("U", "U", (Column("A"), Column("B")), ()), False)])
    )


def test_tables_with_the_same_columns_share_their_rules() -> None:
    """Whatever stands over the cells that name their rows."""
    other = Table("U", "U", (Column("Kit of Monday", width=3), *KITS.columns[1:]), ())
    shapes = shapes_of((table, False) for table in (KITS, other, Table("V", "V", KITS.columns[:1], ())))
    assert [shape(table, False, shapes) for table in (KITS, other)] == ["t1", "t1"]
    assert list(shapes.values()) == ["t1", "t2"]


def test_columns_of_sentences_say_how_wide_they_ask_to_be() -> None:
    """And all do where the table keeps to a page."""
    told = Table("T", "T", (Column("Kit", width=8), Column("What is in it", width=40)), ())
    flowing = page_style("<table><thead><th>", shapes_of([(told, False)]))
    fitted = page_style("<table><thead><th>", shapes_of([(told, True)]))
    asked = [re.findall(r"\.t1 th:nth-child\((\d)\)\{--\w:(\d+)\}", style) for style in (flowing, fitted)]
    assert [sorted(each) for each in asked] == [[("2", "40")], [("1", "8"), ("2", "40")]]


def test_columns_side_by_side_share_a_rule() -> None:
    styles: tuple[Style, ...] = ("text", "count", "count", "count", "text", "count", "money")
    table = Table("T", "T", tuple(Column(f"C{number}", style) for number, style in enumerate(styles)), ())
    style = page_style("<table><tbody><tr><td>", shapes_of([(table, False)]))
    where = ("(n+2):nth-child(-n+4)", "(6)", "(7)")
    assert ",".join(f".t1 tr>:nth-child{cells}" for cells in where) + "{text-align:right" in style


def test_a_cell_set_below_others_is_told_by_its_heading() -> None:
    """The first names its row, unless it is a number."""
    first = Table("U", "U", (Column('"Kits"', "count"),), ())
    style = page_style("<table><tbody><tr><td>", shapes_of([(KITS, False), (first, False)]))
    phone = style[style.index("@media screen and (max-width:40rem){.") :]
    assert '.t1 td:nth-child(2)::before{content:"Kits"}' in phone
    assert '.t2 td:nth-child(1)::before{content:"\\22 Kits\\22 "}' in phone
    assert ".t1 td:nth-child(1)::before" not in style


def test_tokens_are_named_only_where_they_change() -> None:
    style = page_style("<h1>Words</h1>", {})
    assert "h1{font-size:1.75rem" in style
    assert re.findall(r"(--\w+):(#\w+)", style) == [("--a", "#1d4f73"), ("--a", "#9cc7e8")]  # the accent of the focus


def test_a_heading_that_looks_like_a_token_is_left_as_it_is() -> None:
    table = Table("T", "T", (Column("A"), Column("--ink")), ())
    style = page_style("<table><tbody><tr><td>", shapes_of([(table, False)]))
    assert 'td:nth-child(2)::before{content:"--ink"}' in style
    assert "var(--ink)" not in style


def test_sizes_of_labels() -> None:
    assert ".h15{font-size:7.5pt}" in page_style(f'<p class="label {size_class(7.5)}">', {})


def test_sizes_of_tables_that_keep_to_a_page_are_for_paper() -> None:
    style = page_style(f'<section class="one-page {size_class(12.5, "f")}">', {})
    assert style.endswith("@media print{.f25{font-size:12.5pt}}")


def test_text_of_a_style_ends_neither_itself_nor_the_style() -> None:
    assert css_text('a "b" \\ </style>\n·') == r'"a \22 b\22  \5c  \3c \2f style\3e  ·"'
