"""Number formats by style and value; every format made once."""

import datetime as dt
import io
import re
from fractions import Fraction

import pytest
import xlsxwriter

from opsreport.money import Currency
from opsreport.places import templates_folder
from opsreport.tables.table import Paper, Style, Value
from opsreport.write.sheet_looks import INK, LOOKS, RULE, SOFT, WASH, Formats


def formats(currency: str = "USD") -> Formats:
    return Formats(xlsxwriter.Workbook(io.BytesIO()), Paper("A4", Currency(currency), dt.date(2026, 11, 20)))


@pytest.mark.parametrize(
    ("style", "value", "live", "expected"),
    [
        ("text", "words", False, ""),
        ("date", dt.date(2026, 11, 20), False, ""),
        ("count", 1200, False, "#,##0"),
        ("percent", 0.5, False, "0%"),
        ("amount", 3, False, "#,##0"),
        ("amount", Fraction(5, 2), False, "#,##0.0"),
        ("amount", Fraction(1, 3), False, "#,##0.000"),
        ("amount", Fraction(1, 8), False, "#,##0.000"),
        ("amount", 2.25, False, "#,##0.00"),
        ("amount", Fraction(99_999, 100_000), False, "#,##0"),
        ("amount", Fraction(5, 2), True, "#,##0.0##"),
        ("amount", Fraction(25, 2), True, "#,##0.0#"),
        ("amount", 315, True, "#,##0.0"),
        ("amount", Fraction(3_401_943, 1000), True, "#,##0"),
        ("number", 7, False, "#,##0"),
        ("number", 0.25, False, "0.000"),
        ("number", 12.5, False, "0.00"),
        ("number", 123.4, False, "#,##0.0"),
        ("number", 0.0001, False, '"< 0.001"'),
        ("number", -0.0001, False, '"≈ 0"'),
    ],
)
def test_number_format_of_a_value(style: Style, value: Value, live: bool, expected: str) -> None:
    assert formats().number_format(style, value, live) == expected


@pytest.mark.parametrize(
    ("currency", "digits"), [("USD", "#,##0.00"), ("JPY", "#,##0"), ("KWD", "#,##0.000")]
)  # ISO 4217: 2, 0 and 3 decimals
def test_money_has_its_currencys_decimals(currency: str, digits: str) -> None:
    number_format = formats(currency).number_format("money", 100, live=False)
    positive, negative = number_format.split(";")
    assert positive.endswith(f'"{digits}')
    assert negative == f"-{positive}"


def test_a_look_is_one_format_whatever_its_words_order() -> None:
    made = formats()
    assert made.of(LOOKS["bold"], LOOKS["quiet"]) is made.of(LOOKS["quiet"], LOOKS["bold"])
    assert made.of(LOOKS["bold"]) is not made.of(LOOKS["title"])


def test_tokens_are_those_of_the_pages() -> None:
    style, theme = ((templates_folder() / name).read_text("utf-8") for name in ("style.css", "theme.xml"))
    tokens = dict(re.findall(r"--(\w+): (#\w{6})", style.partition("@media")[0]))
    assert tuple(tokens[name].upper() for name in ("ink", "soft", "rule", "wash")) == (INK, SOFT, RULE, WASH)
    offered = {f"#{colour}" for colour in re.findall(r'srgbClr val="(\w{6})"', theme)}
    assert {colour.upper() for colour in tokens.values()} <= offered
