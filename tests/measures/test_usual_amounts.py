"""The short cut for usual amounts against the long way that it saves."""

import unicodedata
from fractions import Fraction

import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from opsreport.kinds import Amount, Notes, Unreadable
from opsreport.kinds.amounts import amount_typed, amount_typed_otherwise
from opsreport.measures.units import unit_spellings
from opsreport.measures.usual_amounts import _VULGAR, usual_amount

NUMBERS = st.one_of(
    st.integers(0, 10**10).map(str),
    st.tuples(st.integers(0, 10**6), st.integers(0, 10**8)).map(lambda parts: f"{parts[0]}.{parts[1]}"),
    st.tuples(st.integers(0, 99), st.sampled_from(" -/"), st.integers(0, 99), st.integers(0, 99)).map(
        lambda parts: f"{parts[0]}{parts[1]}{parts[2]}/{parts[3]}"
    ),
    st.tuples(st.integers(0, 99), st.integers(0, 99)).map(lambda parts: f"{parts[0]}/{parts[1]}"),
    st.tuples(st.sampled_from(("", "1", "12 ", "3-")), st.sampled_from([*_VULGAR, "⅟", "↉", "⅑", "٣"])).map("".join),
)
UNITS = st.sampled_from(["", "x", "cupful", "lb 4 oz", *unit_spellings(), "Tbsp.", "fl. oz.", "t.", "T", "Cups", "#"])
AMOUNTS = st.one_of(
    st.tuples(NUMBERS, st.sampled_from(("", " ", "  ", "-")), UNITS, st.sampled_from(("", " ", "."))).map("".join),
    st.text("0123456789./- ½⅔cupTtslboz#,x()", max_size=14),
    st.text(max_size=8),
)


def otherwise(cell: str, decimal_comma: bool) -> tuple[Amount, Notes] | None:
    """The long way's answer; None where it refuses."""
    try:
        return amount_typed_otherwise(cell, decimal_comma, "US")
    except Unreadable:
        return None


@settings(max_examples=1_000)
@given(AMOUNTS, st.booleans())
@example("1/0 cup", False)
@example("1.200 kg", True)
@example("2 3/2 cups", False)
def test_what_the_short_cut_reads_the_long_way_reads_alike(cell: str, decimal_comma: bool) -> None:
    usual = usual_amount(cell, decimal_comma)
    if usual is not None:
        assert amount_typed(cell, decimal_comma, "US") == otherwise(cell, decimal_comma)


@pytest.mark.parametrize(
    ("cell", "value", "unit"),
    [
        ("2", "2", None), ("0.25", "1/4", None), ("1 1/2", "3/2", None), ("1-1/2 c", "3/2", "cup"),
        ("3/4 cup", "3/4", "cup"), ("½ tsp", "1/2", "tsp"), ("1½ T", "3/2", "tbsp"), ("1 ⅔ cups", "5/3", "cup"),
        ("400g", "400", "g"), ("12.5 fl oz", "25/2", "fl oz"), ("2 t", "2", "tsp"), ("5#", "5", "lb"),
        ("3 Tbsp.", "3", "tbsp"), ("6 cloves", "6", "clove"), ("4/3 cup", "4/3", "cup"),
    ],
)  # fmt: skip
def test_usual_amounts_take_the_short_cut(cell: str, value: str, unit: str | None) -> None:
    assert usual_amount(cell, decimal_comma=False) == (Fraction(value), unit)


@pytest.mark.parametrize("sign", _VULGAR)
def test_one_sign_fractions_are_what_unicode_says(sign: str) -> None:
    """Source: the numeric values of the Unicode Character Database, as Python has them."""
    value = Fraction(unicodedata.numeric(sign)).limit_denominator(10)
    assert usual_amount(f"{sign} cup", decimal_comma=False) == (value, "cup")
    assert usual_amount(f"2{sign}", decimal_comma=False) == (2 + value, None)


@pytest.mark.parametrize("cell", ["1.200", "0.5 cup", "12.5 g"])
def test_a_point_is_left_to_the_long_way_where_a_comma_parts_decimals(cell: str) -> None:
    assert usual_amount(cell, decimal_comma=True) is None


@pytest.mark.parametrize(
    "cell", ["", "cup", "3-4 cups", "1 lb 4 oz", "2 (15 oz) cans", "6 x 400 g", "1,200", " 2", "2 cup ", "1/0", "2 5/4",
             "2 cupfuls", "-2", "1e3"],
)  # fmt: skip
def test_anything_to_judge_is_left_to_the_long_way(cell: str) -> None:
    assert usual_amount(cell, decimal_comma=False) is None
