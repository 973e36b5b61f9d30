"""Styles: a page carries the rules that its elements and classes ask for, and no others."""

import re

import pytest

from opsreport.places import templates_folder
from opsreport.write.page_style import column_classes, page_style

SHEET = (templates_folder() / "style.css").read_text("utf-8")


def test_a_rule_stands_where_something_is_its_own() -> None:
    assert "summary" not in page_style("<main><p>Words</p></main>")
    assert "summary{" in page_style("<details><summary>Words</summary></details>")
    assert ".facts{" not in page_style('<dl class="fact">')
    assert ".facts{" in page_style('<dl class="facts">')


def test_conditions_hold_what_stood_in_them() -> None:
    style = page_style('<body><header class="page-head"></header><p class="screen-only">Words</p></body>')
    printed = style[style.index("@media print{") :]
    assert ".screen-only{display:none}" in printed
    assert "--paper:#161616" in style[style.index("@media screen and (prefers-color-scheme:dark){") :]
    assert style.count("{") == style.count("}")


def test_every_rule_of_the_sheet_can_be_asked_for() -> None:
    """With every class and element that the sheet names, nothing of it is lost."""
    plain = re.sub(r"/\*.*?\*/", "", SHEET, flags=re.S)
    classes = " ".join(set(re.findall(r"\.([a-z][\w-]*)", plain)))
    names = "a b body dd details dl dt h1 h2 h3 header html i li main p summary table tbody td th thead tr ul"
    whole = page_style("".join(f"<{name}>" for name in names.split()) + f'<p class="{classes}">')
    assert whole.count("{") == plain.count("{")


@pytest.mark.parametrize(
    ("style", "rule"),
    [
        ("money", ".r2 tr>:nth-child(2):not([colspan]){text-align:right}"),
        ("date", ".d2 tbody>tr>:nth-child(2):not([colspan]){white-space:nowrap"),
        ("write-in", ".w2 tbody>tr>:nth-child(2):not([colspan]){border:1px"),
    ],
)
def test_a_column_s_style_is_said_once(style: str, rule: str) -> None:
    classes = column_classes(["text", style])  # type: ignore[list-item]
    assert len(classes) == 1
    assert rule in page_style(f'<table class="{classes[0]}"><tbody><tr><td></td></tr></tbody></table>')
    assert rule not in page_style("<table><tbody><tr><td></td></tr></tbody></table>")


def test_columns_of_words_need_no_class() -> None:
    assert column_classes(["text", "boxes", "mark"]) == []
