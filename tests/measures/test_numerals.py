"""Numbers as people type them: exact, and refused where they could mean two things."""

import unicodedata
from fractions import Fraction

import pytest

from opsreport.measures.numerals import Numeral, ascii_numerals, exact, holds_range, number, number_or_range


@pytest.mark.parametrize(
    ("text", "value", "plain"),
    [
        ("2", "2", True), ("0.25", "1/4", True), (".5", "1/2", True), ("3/4", "3/4", True), ("4/3", "4/3", True),
        ("1 1/2", "3/2", True), ("1-1/2", "3/2", True), ("1- 1/2", "3/2", True), ("1 / 2", "1/2", True),
        ("-2", "-2", True), ("- 1 1/2", "-3/2", True), ("1,200", "1200", False), ("1,200.5", "2401/2", False),
        ("12,345,678", "12345678", False),
    ],
)  # fmt: skip
def test_numbers_with_a_decimal_point(text: str, value: str, plain: bool) -> None:
    assert number(text, decimal_comma=False) == Numeral(Fraction(value), plain)


@pytest.mark.parametrize(
    ("text", "value", "plain"),
    [
        ("1,5", "3/2", True), ("0,25", "1/4", True), ("1.200,5", "2401/2", False), ("1,200", "6/5", False),
        ("1.25", "5/4", True), ("1.200.000,25", "4800001/4", False), ("3/4", "3/4", True),
    ],
)  # fmt: skip
def test_numbers_with_a_decimal_comma(text: str, value: str, plain: bool) -> None:
    """`1,200` is read as 1.2, with a note, as elsewhere it would be a thousand and more."""
    assert number(text, decimal_comma=True) == Numeral(Fraction(value), plain)


@pytest.mark.parametrize(
    "text", ["", "a", "1/0", "1 1/0", "1 2/2", "1 3/2", "1,20", "0,200", "1,2000", "12,34,567", "1.2.3", "--1", "1,5"]
)
def test_what_is_no_number_with_a_decimal_point(text: str) -> None:
    assert number(text, decimal_comma=False) is None


@pytest.mark.parametrize("text", ["1.200", "1.200.000", "1,2,3", "1 2/2"])
def test_what_could_be_two_numbers_with_a_decimal_comma(text: str) -> None:
    assert number(text, decimal_comma=True) is None


def test_a_number_has_forty_characters_at_most() -> None:
    assert number("7" * 40, decimal_comma=False) == Numeral(Fraction("7" * 40))
    assert number("7" * 41, decimal_comma=False) is None


@pytest.mark.parametrize(
    ("text", "value"),
    [("3-4", "4"), ("3 - 4", "4"), ("3 to 4", "4"), ("1/2 or 3/4", "3/4"), ("1-2 1/2", "5/2"), ("0.5 to 1", "1")],
)
def test_of_a_range_the_upper_number_counts(text: str, value: str) -> None:
    assert number_or_range(text, decimal_comma=False) == Numeral(Fraction(value), plain=False)


@pytest.mark.parametrize("text", ["4-3", "3-3", "3 to", "to 4", "3-4-5", "1 to x"])
def test_what_is_no_range(text: str) -> None:
    assert number_or_range(text, decimal_comma=False) is None


def test_a_mixed_number_is_no_range() -> None:
    assert number_or_range("1-1/2", decimal_comma=False) == Numeral(Fraction(3, 2))
    assert [holds_range(text) for text in ("1-1/2 cups", "3-4 cloves", "3–4 cloves", "2 to 3", "4-3", "7 cups")] == [
        False, True, True, True, False, False,
    ]  # fmt: skip
    assert holds_range("1,5-2 cups"), "a comma that parts decimals"
    assert holds_range("1,200.5-1,300 g"), "one that parts thousands"


def test_a_range_has_eighty_characters_at_most() -> None:
    longest = f"{'1' * 38} to {'2' * 38}"
    assert number_or_range(longest, decimal_comma=False) == Numeral(Fraction("2" * 38), plain=False)
    assert number_or_range(f"1{longest}", decimal_comma=False) is None


@pytest.mark.parametrize(
    ("value", "meant"),
    [
        (2, "2"), (0.1, "1/10"), (1 / 3, "1/3"), (2 / 3, "2/3"), (1 / 96, "1/96"), (5 + 1 / 7, "36/7"),
        (0.333333333333, "333333333333/1000000000000"), (0.3333333333333, "3333333333333/10000000000000"),
        (-1 / 3, "-1/3"), (1.1 + 2.2, "33/10"), (1e-7, "1/10000000"), (123456.789, "123456789/1000"),
    ],
)  # fmt: skip
def test_what_a_cells_binary_number_stands_for(value: float, meant: str) -> None:
    """1/3 has 15 digits in a cell; so many 3s as somebody would type, 12 or 13, are a decimal."""
    assert exact(value) == Fraction(meant)


@pytest.mark.parametrize("sign", "½⅓⅔¼¾⅕⅖⅗⅘⅙⅚⅛⅜⅝⅞")
def test_one_sign_fractions_in_plain_signs(sign: str) -> None:
    """Source: the numeric values of the Unicode Character Database, as Python has them."""
    value = Fraction(unicodedata.numeric(sign)).limit_denominator(10)
    assert ascii_numerals(sign) == f"{value.numerator}/{value.denominator}"
    assert ascii_numerals(f"1{sign}") == f"1 {value.numerator}/{value.denominator}"


@pytest.mark.parametrize(
    ("text", "plain"),
    [("٣", "3"), ("１／２", "1/2"), ("3–4", "3-4"), ("−2", "-2"), ("1⁄2", "1/2"), ("2 cups", "2 cups"), ("＋", "+")],
)
def test_other_scripts_digits_dashes_and_slashes(text: str, plain: str) -> None:
    assert ascii_numerals(text) == plain
