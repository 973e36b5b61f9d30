"""Amounts in the words of a kitchen: exact or marked with how far off, and in a measure that suits their size."""

import re
from fractions import Fraction
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsreport.measures.kitchen import enough_words, kitchen_words, scale_words
from opsreport.measures.units import DIMENSION, MeasureSet, Quantity, factors, unit_named

F = Fraction
MEASURES: tuple[MeasureSet, ...] = get_args(MeasureSet)


def words(amount: str, unit: str, measures: MeasureSet | None = "US") -> str:
    return kitchen_words(Quantity(F(amount), unit), measures)


def value(text: str, measures: MeasureSet) -> Fraction:
    """What words say, read again: mixed numbers and decimals with a unit, `+` or a space between them [base unit]."""
    bare = re.sub(r"^≈ | \(.*\)$", "", text).replace(",", "")
    total = F(0)
    for number, unit in re.findall(r"([0-9./]+(?: [0-9]+/[0-9]+)?)(?: ([A-Za-z][A-Za-z ]*[a-zA-Z]|[gL]))?", bare):
        known = unit_named(unit.removesuffix(" +")) if unit else "each"
        assert known is not None, unit
        total += sum((F(part) for part in number.split()), F(0)) * factors(measures)[known]
    return total


@pytest.mark.parametrize(
    ("cups", "written"),
    [
        ("1/16", "1 tbsp"), ("1/8", "2 tbsp"), ("1/6", "2 tbsp + 2 tsp"), ("1/4", "1/4 cup"), ("1/3", "1/3 cup"),
        ("3/8", "6 tbsp"), ("1/2", "1/2 cup"), ("2/3", "2/3 cup"), ("3/4", "3/4 cup"), ("1", "1 cup"),
    ],
)  # fmt: skip
def test_parts_of_a_cup_as_the_table_of_equivalents_has_them(cups: str, written: str) -> None:
    """USDA equivalents table: 1/16 cup is 1 tbsp, 1/8 is 2, 1/6 is 2 tbsp + 2 tsp, 3/8 is 6 tbsp."""
    assert words(cups, "cup") == written


@pytest.mark.parametrize(
    ("amount", "unit", "written"),
    [
        ("3/2", "tsp", "1 1/2 tsp"), ("10", "tsp", "3 tbsp + 1 tsp"), ("24", "tsp", "1/2 cup"), ("3", "tsp", "1 tbsp"),
        ("4", "tsp", "1 tbsp + 1 tsp"), ("7/8", "cup", "3/4 cup + 2 tbsp"), ("65", "tsp", "1 1/3 cups + 1 tsp"),
        ("1/3", "tsp", "1/3 tsp"), ("2", "tbsp", "2 tbsp"), ("1", "dash", "1 dash"), ("12", "pinch", "3/4 tsp"),
        ("1/16", "tsp", "1 pinch"), ("3/16", "tsp", "1/8 tsp + 1 pinch"), ("3/32", "tsp", "1 pinch + 1 smidgen"),
        ("0", "tsp", "0 tsp"), ("1/100", "tsp", "less than 1 smidgen"), ("12", "cup", "12 cups"),
        ("2", "dash", "1/4 tsp"), ("3/2", "dash", "1/8 tsp + 1 pinch"), ("1/2", "dash", "1/2 dash"),
        ("2", "pinch", "1/8 tsp"), ("2", "smidgen", "1 pinch"), ("1", "smidgen", "1 smidgen"),
    ],
)  # fmt: skip
def test_cups_and_spoons(amount: str, unit: str, written: str) -> None:
    """Common practice, no source: cups from a quarter on, tablespoons below, teaspoons below one of those."""
    assert words(amount, unit) == written


@pytest.mark.parametrize(
    ("amount", "unit", "written"),
    [
        ("3/7", "cup", "≈ 1/3 cup + 1 1/2 tbsp (0.3% under)"), ("1/100", "cup", "≈ 1/2 tsp (4.2% over)"),
        ("0.667", "cup", "≈ 2/3 cup (less than 0.1% under)"), ("100/3", "g", "≈ 33 g (1% under)"),
        ("500/3", "g", "≈ 167 g (0.2% over)"), ("4000/3", "g", "≈ 1.333 kg (less than 0.1% under)"),
        ("1.3", "lb", "≈ 1 lb 4 3/4 oz (0.2% under)"), ("5/7", "each", "≈ 3/4 (5% over)"),
        ("0.3", "lb", "≈ 4 3/4 oz (1% under)"), ("33.3", "oz", "≈ 2 lb 1 1/4 oz (0.2% under)"),
        ("31.9", "oz", "≈ 2 lb (0.3% over)"), ("9.963", "g", "≈ 10 g (0.4% over)"),
        ("10.06", "g", "≈ 10 g (0.6% under)"),
    ],
)  # fmt: skip
def test_what_is_not_exact_says_by_how_much(amount: str, unit: str, written: str) -> None:
    """Worked by hand: 3/7 cup is 20.571 tsp, 1/3 cup and 1 1/2 tbsp are 20.5."""
    assert words(amount, unit) == written


@pytest.mark.parametrize(
    ("amount", "unit", "written"),
    [
        ("1250", "g", "1.25 kg"), ("999.5", "g", "999.5 g"), ("62.5", "mL", "62.5 mL"), ("2000", "mL", "2 L"),
        ("1000", "g", "1 kg"), ("999", "g", "999 g"),
        ("1.25", "g", "1.25 g"), ("5/2", "lb", "2 1/2 lb"), ("28", "oz", "28 oz"), ("1.5625", "lb", "1 lb 9 oz"),
        ("3", "clove", "3 cloves"), ("2", "leaf", "2 leaves"), ("2", "each", "2"), ("5/2", "each", "2 1/2"),
    ],
)  # fmt: skip
def test_weights_metric_amounts_and_pieces(amount: str, unit: str, written: str) -> None:
    assert words(amount, unit) == written


@pytest.mark.parametrize(
    ("amount", "unit", "written"),
    [
        ("4", "tsp", "1 tbsp"), ("10", "tsp", "2 1/2 tbsp"), ("1/2", "cup", "1/2 cup"), ("7", "tsp", "1 tbsp + 3 tsp"),
        ("1/5", "cup", "2 1/2 tbsp"),
    ],
)  # fmt: skip
def test_an_australian_tablespoon_is_four_teaspoons(amount: str, unit: str, written: str) -> None:
    """New South Wales Health: tablespoon 20 mL, teaspoon 5 mL, cup 250 mL."""
    assert words(amount, unit, "Australian") == written


@pytest.mark.parametrize(
    ("teaspoons", "written"),
    [
        ("28", "≈ 1/2 cup + 1 1/2 tbsp (1.8% over)"), ("31", "≈ 1/2 cup + 2 1/2 tbsp (1.6% over)"),
        ("19", "1/3 cup + 1 tbsp"), ("27", "1/2 cup + 1 tbsp"),
    ],
)  # fmt: skip
def test_spoons_beside_a_cup_are_less_than_a_quarter_of_it(teaspoons: str, written: str) -> None:
    """1/3 cup and 4 or 5 tbsp would be exact, but 4 tbsp are 1/4 cup: 28.5 / 28 is 1.8% over, 31.5 / 31 1.6%."""
    assert words(teaspoons, "tsp") == written


@pytest.mark.parametrize(
    ("teaspoons", "written"),
    [
        ("7/16", "3/8 tsp + 1 pinch"), ("9/16", "≈ 1/2 tsp (11.1% under)"), ("1/2", "1/2 tsp"),
        ("15/16", "≈ 1 tsp (6.7% over)"),
    ],
)  # fmt: skip
def test_a_pinch_stands_beside_less_than_half_a_teaspoon_only(teaspoons: str, written: str) -> None:
    """A pinch is 1/16 tsp: 1 of 9 sixteenths is 11.1%, 1 of 15 is 6.7%."""
    assert words(teaspoons, "tsp") == written


@pytest.mark.parametrize(("grams", "said"), [
    ("2", "2 g (≈ 0.1 oz)"), ("1.4", "≈ 1 g"), ("28", "28 g (≈ 1 oz)"), ("450", "450 g (≈ 15.9 oz)"),
    ("455", "455 g (≈ 1 lb)"), ("480", "480 g (≈ 1 lb 1 oz)"), ("907", "≈ 905 g (≈ 2 lb)"),
])  # fmt: skip
def test_pounds_beside_grams(grams: str, said: str) -> None:
    """453.59237 g a pound, 28.349523125 g an ounce: 480 g are 16.93 oz, 450 g 15.87 oz, 1.4 g 0.049 oz."""
    assert scale_words(F(grams), "US") == said


def test_without_measures_the_unit_stays() -> None:
    assert words("24", "tsp", None) == "24 tsp"
    assert words("1/16", "cup", None) == "less than 1/8 cup"


@settings(max_examples=500)
@given(st.fractions(F(1, 60), 40, max_denominator=60), st.sampled_from(sorted(DIMENSION)), st.sampled_from(MEASURES))
def test_words_are_exact_or_as_far_off_as_they_say(amount: Fraction, unit: str, measures: MeasureSet) -> None:
    quantity = Quantity(amount, unit)
    text = kitchen_words(quantity, measures)
    exact = quantity.in_base(measures)
    if text.startswith("less than"):
        assert exact < value(text.removeprefix("less than "), measures)
        return
    assert "0.667" not in text or unit in ("kg", "L")
    if not text.startswith("≈"):
        assert value(text, measures) == exact
        return
    said = re.search(r"\((less than )?([0-9.]+)% (over|under)\)$", text)
    assert said is not None
    off = (value(text, measures) / exact - 1) * 100
    assert (off > 0) == (said[3] == "over")
    assert abs(off) < F(1, 10) if said[1] else abs(abs(off) - F(said[2])) <= F(1, 20)


@settings(max_examples=500)
@given(st.fractions(F(1, 8), 200, max_denominator=24), st.sampled_from(MEASURES))
def test_a_spoonful_in_words_is_never_far_off(amount: Fraction, measures: MeasureSet) -> None:
    """Within half an eighth of a teaspoon, or 4%."""
    quantity = Quantity(amount, "tsp")
    text = kitchen_words(quantity, measures)
    limit = max(F(1, 25), F(1, 16) / amount)
    assert abs(value(text, measures) / quantity.in_base(measures) - 1) <= limit


@pytest.mark.parametrize(
    ("grams", "words"),
    [
        ("0.4", "less than 1 g"), ("0.5", "≈ 1 g"), ("61", "61 g"), ("60.75", "≈ 61 g"), ("99.4", "≈ 99 g"),
        ("99.6", "≈ 100 g"), ("100", "100 g"), ("102.4", "≈ 100 g"), ("102.5", "≈ 105 g"), ("1250", "1,250 g"),
    ],
)  # fmt: skip
def test_weights_as_a_kitchen_scale_is_read(grams: str, words: str) -> None:
    """To 1 g below 100 g, to 5 g from there on."""
    assert scale_words(F(grams), "metric") == words


@pytest.mark.parametrize(
    ("measures", "said"),
    [("US", "≈ 125 g (≈ 4.4 oz)"), ("label", "≈ 125 g (≈ 4.4 oz)"), ("metric", "≈ 125 g"), ("Australian", "≈ 125 g")],
)  # fmt: skip
def test_ounces_stand_beside_grams_where_people_use_them(measures: MeasureSet, said: str) -> None:
    assert scale_words(F("125.4"), measures) == said


@pytest.mark.parametrize(
    ("mL", "said"), [("236.5882365", "1 cup"), ("237", "1 1/4 cups"), ("30", "3 tbsp"), ("1", "1/4 tsp")]
)  # fmt: skip
def test_enough_is_never_too_little(mL: str, said: str) -> None:  # noqa: N803 - the unit's own sign
    assert enough_words(F(mL), "US") == said
