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
    assert "--paper:#161616" in style[style.index("@media screen and (prefers-color-scheme:dark){") :]
    assert style.count("{") == style.count("}")


def test_every_rule_of_the_sheet_can_be_asked_for() -> None:
    """With every class and element that the sheet names, nothing of it is lost."""
    plain = re.sub(r"/\*.*?\*/", "", SHEET, flags=re.S)
    classes = " ".join(set(re.findall(r"\.([a-z][\w-]*)", plain)))
    names = "a b body dd details dl dt h1 h2 h3 header html i li main p section summary table tbody td th thead tr ul"
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
    assert rule in page_style("<table><tbody><tr><td>", shapes_of([table]))
    assert rule not in page_style(
        "<table><tbody><tr><td>", shapes_of([Table("U", "U", (Column("A"), Column("B")), ())])
    )


def test_tables_with_the_same_columns_share_their_rules() -> None:
    """Whatever stands over the cells that name their rows."""
    other = Table("U", "U", (Column("Kit of Monday", width=3), *KITS.columns[1:]), ())
    shapes = shapes_of([KITS, other, Table("V", "V", KITS.columns[:1], ())])
    assert [shape(table, shapes) for table in (KITS, other)] == ["t1", "t1"]
    assert list(shapes.values()) == ["t1", "t2"]


def test_a_cell_set_below_others_is_told_by_its_heading() -> None:
    """The first names its row, unless it is a number."""
    first = Table("U", "U", (Column('"Kits"', "count"),), ())
    style = page_style("<table><tbody><tr><td>", shapes_of([KITS, first]))
    phone = style[style.index("@media screen and (max-width:40rem){.") :]
    assert '.t1 td:nth-child(2)::before{content:"Kits"}' in phone
    assert '.t2 td:nth-child(1)::before{content:"\\22 Kits\\22 "}' in phone
    assert ".t1 td:nth-child(1)::before" not in style


def test_tokens_are_named_only_where_they_change() -> None:
    style = page_style("<h1>Words</h1>", {})
    assert "h1{font-size:1.75rem" in style
    assert "--hatch" not in style
    assert style.count("--ink:") == 2
    assert "--rule" not in style


def test_sizes_of_labels() -> None:
    assert ".h15{font-size:7.5pt}" in page_style(f'<p class="label {size_class(7.5)}">', {})


def test_text_of_a_style_ends_neither_itself_nor_the_style() -> None:
    assert css_text('a "b" \\ </style>\n·') == r'"a \22 b\22  \5c  \3c \2f style\3e  ·"'
