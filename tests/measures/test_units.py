"""Household measures against what is published, and the figures that carry a food from one dimension to another.

Sources stand beside each check: NIST Handbook 44 App. C (HB 44), NIST SP 811 and SP 430, 21 CFR 101.9(b)(5)(viii),
New South Wales Health's standard cup and spoon sets, USDA's equivalents table and nutrient database (SR28).
"""

import re
import shutil
from fractions import Fraction
from typing import get_args

import gnu_units
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import said, term

from opsreport.foods import catalogue_entry
from opsreport.measures.units import (
    BASE_OF,
    DIMENSION,
    Bridge,
    MeasureSet,
    NoBridge,
    Quantity,
    factors,
    mixed,
    plural,
    to_buy,
    unit_named,
    unit_spellings,
    up_to_whole,
)

F = Fraction
MEASURES: tuple[MeasureSet, ...] = get_args(MeasureSet)


def in_base(amount: str, unit: str, measures: MeasureSet = "US") -> Fraction:
    return Quantity(F(amount), unit).in_base(measures)


@pytest.mark.parametrize(
    ("unit", "size"),
    [
        ("gal", "3785.411784"),  # 231 cubic inches of 2.54 cm: HB 44 App. C
        ("qt", "946.352946"),  # HB 44 App. C
        ("pt", "473.176473"),  # HB 44 App. C; the liquid pint
        ("cup", "236.5882365"),  # HB 44 App. C
        ("fl oz", "29.5735295625"),  # SP 811 prints 29.57353
        ("tbsp", "14.78676478125"),  # SP 811 prints 14.78676
        ("tsp", "4.92892159375"),  # SP 811 prints 4.928922
        ("dash", "0.61611519921875"),  # 1/8 tsp: common practice, no source
        ("lb", "453.59237"),  # HB 44 App. C
        ("oz", "28.349523125"),  # HB 44 App. C
        ("kg", "1000"),
        ("L", "1000"),
        ("g", "1"),
        ("mL", "1"),
    ],
)
def test_us_measures_are_exact(unit: str, size: str) -> None:
    assert in_base("1", unit) == F(size)


def test_a_gallon_is_231_cubic_inches() -> None:
    """HB 44 App. C."""
    assert in_base("1", "gal") == 231 * F("2.54") ** 3


@pytest.mark.parametrize("measures", MEASURES)
def test_the_dry_pint_and_quart_are_never_meant(measures: MeasureSet) -> None:
    """HB 44 App. C, bushel = 2150.42 cubic inches; from memory, recomputed."""
    dry_pint = F("2150.42") * F("2.54") ** 3 / 64
    assert abs(dry_pint - F("550.6104713575")) < F(1, 10**9)
    assert dry_pint / in_base("1", "pt", measures) > F("1.14")
    assert 2 * dry_pint / in_base("1", "qt", measures) > F("1.14")


@pytest.mark.parametrize(
    ("one", "of", "times"),
    [
        ("tbsp", "tsp", 3), ("cup", "tbsp", 16), ("cup", "tsp", 48), ("cup", "fl oz", 8), ("pt", "cup", 2),
        ("qt", "cup", 4), ("gal", "cup", 16), ("gal", "fl oz", 128), ("lb", "oz", 16),
    ],
)  # fmt: skip
def test_the_ladder_of_kitchen_measures(one: str, of: str, times: int) -> None:
    """NIST SP 430, household table."""
    assert in_base("1", one) == in_base(str(times), of)


@pytest.mark.parametrize(
    ("amount", "unit", "printed"),
    [
        ("1", "tsp", "4.9"), ("1", "tbsp", "15"), ("1", "fl oz", "30"), ("1/4", "cup", "59"), ("1/2", "cup", "118"),
        ("1", "cup", "237"), ("1", "pt", "473"), ("1", "qt", "946"),
    ],
)  # fmt: skip
def test_the_metric_column_rounds_as_printed(amount: str, unit: str, printed: str) -> None:
    """NIST SP 430, household table."""
    places = len(printed.partition(".")[2])
    assert round(in_base(amount, unit), places) == F(printed)


@pytest.mark.parametrize(
    ("amount", "unit", "printed"),
    [
        ("1", "tsp", "203"), ("1", "tbsp", "67.6"), ("1", "fl oz", "33.8"), ("1/4", "cup", "16.9"),
        ("1/2", "cup", "8.45"), ("1", "cup", "4.23"), ("1", "pt", "2.11"), ("1", "qt", "1.06"),
    ],
)  # fmt: skip
def test_a_litre_in_household_measures_rounds_as_printed(amount: str, unit: str, printed: str) -> None:
    """NIST SP 430, household table, inverted."""
    places = len(printed.partition(".")[2])
    assert round(1000 / in_base(amount, unit), places) == F(printed)


@pytest.mark.parametrize(
    ("measures", "unit", "size"),
    [
        # 21 CFR 101.9(b)(5)(viii) names these; its pint, quart and gallon follow by the ladder, not by rule
        ("label", "tsp", "5"), ("label", "tbsp", "15"), ("label", "cup", "240"), ("label", "fl oz", "30"),
        ("label", "pt", "480"), ("label", "qt", "960"), ("label", "gal", "3840"),
        # New South Wales Health, standard metric cup and spoon sets
        ("Australian", "cup", "250"), ("Australian", "tbsp", "20"), ("Australian", "tsp", "5"),
        # Canadian cups and spoons; New Zealand spoons
        ("metric", "cup", "250"), ("metric", "tbsp", "15"), ("metric", "tsp", "5"),
        # neither set redefines the US ounce, pint, quart and gallon
        ("metric", "fl oz", "29.5735295625"), ("metric", "pt", "473.176473"), ("metric", "qt", "946.352946"),
        ("metric", "gal", "3785.411784"), ("Australian", "fl oz", "29.5735295625"),
        ("Australian", "pt", "473.176473"), ("Australian", "qt", "946.352946"), ("Australian", "gal", "3785.411784"),
    ],
)  # fmt: skip
def test_label_metric_and_australian_measures(measures: MeasureSet, unit: str, size: str) -> None:
    assert in_base("1", unit, measures) == F(size)


def test_an_ounce_weighs_the_same_in_every_set() -> None:
    """The label's 28 g is a rounding for labels (21 CFR 101.9), not a measure in the kitchen."""
    assert {in_base("1", "oz", measures) for measures in MEASURES} == {F("28.349523125")}


def test_the_parts_of_an_australian_cup_are_fractions_of_it() -> None:
    """New South Wales Health sells an 80 mL and a 60 mL cup as third and quarter: not the fractions of 250."""
    assert in_base("1/3", "cup", "Australian") == F(250, 3)
    assert in_base("1/4", "cup", "Australian") == F("62.5")
    assert in_base("1/2", "cup", "Australian") == 125
    assert in_base("1/2", "tsp", "Australian") == F("2.5")
    assert in_base("1/4", "tsp", "Australian") == F("1.25")


@pytest.mark.parametrize(("measures", "spoons"), [("Australian", 4), ("metric", 3), ("US", 3), ("label", 3)])
def test_teaspoons_of_a_tablespoon(measures: MeasureSet, spoons: int) -> None:
    """Follows from HB 44, 21 CFR 101.9 and New South Wales Health."""
    assert in_base("1", "tbsp", measures) == in_base(str(spoons), "tsp", measures)


@pytest.mark.parametrize("measures", MEASURES)
def test_going_round_by_the_quart_loses_nothing(measures: MeasureSet) -> None:
    """NIST's card for cooks prints cup 240, pint 480, quart 950, gallon 3840 mL: no set of factors."""
    sizes = factors(measures)
    for unit in ("cup", "pt", "qt", "gal", "tsp"):
        there = in_base("7/3", unit, measures) / sizes["qt"]
        assert Quantity(there, "qt").in_base(measures) / sizes[unit] == F(7, 3)
    assert 950 not in sizes.values()
    assert sizes["gal"] == 4 * sizes["qt"] == 8 * sizes["pt"]


@pytest.mark.parametrize(
    ("cups", "spoons"),
    [
        ("1/16", "1 tbsp"), ("1/8", "2 tbsp"), ("1/6", "2 tbsp 2 tsp"), ("1/4", "4 tbsp"), ("1/3", "5 tbsp 1 tsp"),
        ("3/8", "6 tbsp"), ("1/2", "8 tbsp"), ("2/3", "10 tbsp 2 tsp"), ("3/4", "12 tbsp"),
    ],
)  # fmt: skip
def test_parts_of_a_cup_in_spoons(cups: str, spoons: str) -> None:
    """USDA equivalents table."""
    found = sum((in_base(amount, unit) for amount, unit in re.findall(r"(\d+) (\w+)", spoons)), F(0))
    assert found == in_base(cups, "cup")


@pytest.mark.parametrize(
    ("part", "times", "whole"),
    [
        ("1/3 cup", 3, "1 cup"),  # common practice, no source: a third of a thing three times is the thing
        ("1/8 tsp", 2, "1/4 tsp"),  # common practice, no source
        ("1/16 cup", 1, "1 tbsp"),  # NIST SP 430, household table: 16 tbsp to the cup
        ("1/3 tbsp", 3, "3 tsp"),  # NIST SP 430, household table: 3 tsp to the tbsp
    ],
)
def test_plain_kitchen_sums_are_exact(part: str, times: int, whole: str) -> None:
    (amount, unit), (total, of) = part.split(), whole.split()
    assert sum((in_base(amount, unit) for _ in range(times)), F(0)) == in_base(total, of)


def test_dash_pinch_and_smidgen_are_parts_of_the_sets_own_teaspoon() -> None:
    """1/8, 1/16, 1/32 of a teaspoon: common practice, no source."""
    for measures in MEASURES:
        spoon = in_base("1", "tsp", measures)
        parts = [in_base("1", unit, measures) for unit in ("dash", "pinch", "smidgen")]
        assert parts == [spoon / 8, spoon / 16, spoon / 32]


@pytest.mark.parametrize(
    ("words", "unit"),
    [
        ("T tb tbs Tbsp tbsp tblsp tablespoon Tablespoons TBSP. T.", "tbsp"),
        ("t ts tsp tspn teaspoon Teaspoons TSP tsp. t.", "tsp"),
        ("c C cup Cups CUP. c.", "cup"),
        ("oz OZ oz. ounce Ounces", "oz"),
        ("lb lbs LB lb. # pound Pounds", "lb"),
        ("pt pint Pints", "pt"), ("qt quart Quarts", "qt"), ("gal gallon Gallons", "gal"),
        ("mL ml ML milliliter millilitres", "mL"), ("L l liter Litres", "L"),
        ("g G gram grams", "g"), ("kg KG kilogram kilo", "kg"),
        ("each ea pc pcs piece Pieces EA.", "each"),
        ("dash dashes", "dash"), ("pinch Pinches", "pinch"), ("smidgen smidgens", "smidgen"),
        ("clove Cloves", "clove"), ("bunch bunches", "bunch"), ("leaf leaves", "leaf"), ("stalk stalks", "stalk"),
        ("head heads", "head"), ("can cans", "can"), ("slice slices", "slice"), ("sprig sprigs", "sprig"),
        ("stick sticks", "stick"), ("packet packets", "packet"), ("ear ears", "ear"),
    ],
)  # fmt: skip
def test_usual_spellings(words: str, unit: str) -> None:
    """Case decides only where one letter stands alone; `#` and `c` are common practice, no source."""
    assert {word: unit_named(word) for word in words.split()} == dict.fromkeys(words.split(), unit)


@pytest.mark.parametrize("words", ["fl oz", "FL OZ", "fl. oz.", "floz", "fluid ounce", "Fluid  Ounces", " fl oz "])
def test_fluid_ounces_are_not_ounces(words: str) -> None:
    assert unit_named(words) == "fl oz"
    assert DIMENSION["fl oz"] == "volume"
    assert DIMENSION["oz"] == "weight"


def test_a_capital_t_is_not_a_small_one() -> None:
    assert (unit_named("T"), unit_named("t")) == ("tbsp", "tsp")
    assert in_base("1", "tbsp") != in_base("1", "tsp")


@pytest.mark.parametrize(
    "word",
    [
        "", ".", "TT", "tt", "cupful", "No. 10", "#10", "No. 303", "imperial pint", "imp pt", "UK pint",
        "dry pint", "dry qt", "dessertspoon", "stone", "mg", "cc", "handful", "metric cup", "oz fl", "gill", "cup tsp",
    ],
)  # fmt: skip
def test_what_is_no_unit_is_refused(word: str) -> None:
    """A can's number alone holds a range of weights (Kansas State extension, 2009), so it is no unit either."""
    assert unit_named(word) is None


@pytest.mark.parametrize("unit", ["imperial pint", "imp. pint", "UK pint"])
def test_imperial_measures_are_refused_by_name(unit: str) -> None:
    recipes = f"Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 | {unit}"
    assert ("Recipes!E2", "unit-imperial") in said(term(Recipes=recipes))


def test_every_spelling_offered_is_read() -> None:
    assert [word for word in unit_spellings() if unit_named(word) not in DIMENSION] == []
    assert [unit for unit in DIMENSION if unit_named(unit) != unit] == []


def test_a_retail_can_is_its_label_weight() -> None:
    """14 1/2, 15, 15 1/2, 28, 29 oz, net: common practice, no source. Taken literally, as weight ounces."""
    grams = [in_base(ounces, "oz") / F("28.349523125") for ounces in ("14.5", "15", "15.5", "28", "29")]
    assert grams == [F("14.5"), 15, F("15.5"), 28, 29]


# --- against libraries that are not this one ---


def test_a_thousand_random_conversions_agree_with_gnu_units() -> None:
    """A table made by GNU Units 2.22 (tests/gnu_units.py): another programme with its own definitions."""
    table = gnu_units.rows()
    assert len(table) == 1_000
    for row in table:
        ours = Quantity(F(row["amount"]), row["unit"]).in_base("US") / factors("US")[row["to"]]
        assert float(ours) == pytest.approx(float(row["result"]), rel=1e-13), row


@pytest.mark.skipif(shutil.which("units") is None, reason="GNU units is not installed")
def test_the_table_is_what_gnu_units_answers() -> None:
    wanted = gnu_units.cases(1_000)
    rows = gnu_units.rows()
    assert [(F(row["amount"]), row["unit"], row["to"]) for row in rows] == wanted
    answers = [float(answer) for answer in gnu_units.asked(wanted[:100])]
    assert [float(row["result"]) for row in rows[:100]] == pytest.approx(answers, rel=1e-13)


def test_pints_own_registry_agrees_with_gnu_units_and_so_with_ours() -> None:
    """Pint's default definitions stand apart from the package's measures file: the same thousand conversions."""
    import pint

    registry = pint.UnitRegistry()
    theirs = {"tsp": "teaspoon", "tbsp": "tablespoon", "fl oz": "fluid_ounce", "pt": "pint", "qt": "quart",
              "gal": "gallon", "oz": "ounce", "lb": "pound"}  # fmt: skip
    for row in gnu_units.rows():
        one, other = (theirs.get(row[key], row[key]) for key in ("unit", "to"))
        found = registry.Quantity(float(F(row["amount"])), one).to(other).magnitude
        assert found == pytest.approx(float(row["result"]), rel=1e-12), row


# --- bridges ---

CUP, TBSP, TSP = (factors("US")[unit] for unit in ("cup", "tbsp", "tsp"))
SALT = Bridge({"cup": 292 / CUP, "tbsp": 18 / TBSP, "tsp": 6 / TSP})


@pytest.mark.parametrize(
    ("amount", "unit", "grams"),
    [("1", "cup", "292"), ("1", "tbsp", "18"), ("1", "tsp", "6"), ("48", "tsp", "288"), ("1", "qt", "1168"),
     ("1", "dash", "3/4"), ("1", "pinch", "3/8"), ("8", "fl oz", "292")],
)  # fmt: skip
def test_a_spoon_measures_with_its_own_figure(amount: str, unit: str, grams: str) -> None:
    """USDA SR28, table salt: cup 292, tbsp 18, tsp 6.0 g; 48 × 6.0 is not 292, and need not be."""
    assert SALT.convert(Quantity(F(amount), unit), "g", "US") == F(grams)


@pytest.mark.parametrize(
    ("known", "unit", "figure"),
    [
        ("cup tbsp tsp", "tsp", "tsp"), ("cup tbsp", "tsp", "tbsp"), ("cup", "tsp", "cup"),
        ("cup tbsp", "dash", "tbsp"), ("cup tsp", "pinch", "tsp"), ("cup tsp", "smidgen", "tsp"),
        ("cup tbsp tsp", "tbsp", "tbsp"), ("cup tsp", "tbsp", "tsp"), ("cup", "tbsp", "cup"),
        ("cup tbsp tsp", "cup", "cup"), ("tbsp tsp", "cup", "tbsp"), ("tsp", "cup", "tsp"),
        ("tbsp tsp", "qt", "tbsp"), ("cup tbsp tsp", "mL", "cup"), ("cup tbsp tsp", "L", "cup"), ("", "cup", None),
    ],
)  # fmt: skip
def test_the_nearest_figure_serves_where_a_measure_has_none(known: str, unit: str, figure: str | None) -> None:
    bridge = Bridge({word: F(1) for word in known.split()})  # type: ignore[misc]
    assert bridge.figure_for(unit) == figure


def test_pieces_weigh_what_one_weighs() -> None:
    """USDA SR28: egg, large, shelled 50 g, 12 % refuse in shell: 50 / 0.88 g as bought."""
    egg = Bridge({}, F(50) / F("0.88"))
    assert egg.convert(Quantity(F(3), "each"), "g", "US") == F(150) / F("0.88")
    assert egg.convert(Quantity(F(3), "clove"), "g", "US") == F(150) / F("0.88")


def test_a_missing_figure_is_said_and_not_guessed() -> None:
    for bridge, quantity, base in [
        (Bridge(), Quantity(F(1), "cup"), "g"),
        (Bridge({}, F(50)), Quantity(F(1), "cup"), "g"),
        (Bridge({"cup": F(1)}), Quantity(F(1), "each"), "g"),
        (Bridge({"cup": F(1)}), Quantity(F(1), "oz"), "mL"),
        (Bridge({"cup": F(1)}, F(2)), Quantity(F(1), "cup"), "each"),
        (Bridge({"cup": F(1)}, F(2)), Quantity(F(1), "g"), "each"),
    ]:
        with pytest.raises(NoBridge):
            bridge.convert(quantity, base, "US")  # type: ignore[arg-type]


def test_an_amount_already_in_its_base_needs_no_figure() -> None:
    assert Bridge().convert(Quantity(F(2), "lb"), "g", "US") == F("907.18474")
    assert Bridge().convert(Quantity(F(2), "cup"), "mL", "label") == 480
    assert Bridge().convert(Quantity(F(2), "bunch"), "each", "US") == 2
    assert not Bridge().weighs()
    assert Bridge({"tsp": F(1)}).weighs()
    assert Bridge({}, F(1)).weighs()


@pytest.mark.parametrize(
    ("food", "column", "grams"),
    [
        ("all-purpose flour", "grams_per_cup", "125"), ("granulated sugar", "grams_per_cup", "200"),
        ("granulated sugar", "grams_per_tsp", "4.2"), ("table salt", "grams_per_cup", "292"),
        ("table salt", "grams_per_tbsp", "18"), ("table salt", "grams_per_tsp", "6"), ("onion", "grams_per_cup", "160"),
        ("carrot", "grams_per_cup", "128"), ("banana", "grams_per_cup", "150"), ("broccoli", "grams_per_cup", "91"),
    ],
)  # fmt: skip
def test_household_weights_of_the_catalogue(food: str, column: str, grams: str) -> None:
    """USDA SR28, WEIGHT table."""
    assert getattr(catalogue_entry(food), column) == F(grams)


@pytest.mark.parametrize("measures", MEASURES)
@settings(max_examples=50, deadline=None)
@given(amount=st.fractions(min_value=0, max_value=1000, max_denominator=96), data=st.data())
def test_there_and_back_loses_nothing(measures: MeasureSet, amount: Fraction, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(sorted(DIMENSION)))
    there = Quantity(amount, unit).in_base(measures)
    back = there / Quantity(F(1), unit).in_base(measures)
    assert type(there) is Fraction
    assert back == amount
    assert BASE_OF[Quantity(amount, unit).dimension] in ("g", "mL", "each")


# --- words and rounding ---


@pytest.mark.parametrize(
    ("amount", "unit", "words"),
    [
        ("7/3", "cup", "2 1/3 cups"), ("1/2", "cup", "1/2 cup"), ("1", "cup", "1 cup"), ("0", "cup", "0 cup"),
        ("3/2", "cup", "1 1/2 cups"), ("3", "tbsp", "3 tbsp"), ("2", "leaf", "2 leaves"), ("1", "leaf", "1 leaf"),
        ("2", "bunch", "2 bunches"), ("5", "clove", "5 cloves"), ("250", "mL", "250 mL"), ("3", "oz", "3 oz"),
    ],
)  # fmt: skip
def test_mixed_numbers_and_plurals(amount: str, unit: str, words: str) -> None:
    assert str(Quantity(F(amount), unit)) == words


@settings(max_examples=50, deadline=None)
@given(st.fractions(min_value=0, max_value=500))
def test_a_mixed_number_is_the_amount(amount: Fraction) -> None:
    assert sum((F(part) for part in mixed(amount).split()), F(0)) == amount


def test_plural_from_more_than_one() -> None:
    assert (plural("can", F(1)), plural("can", F(9, 8))) == ("can", "cans")


@settings(max_examples=50, deadline=None)
@given(st.fractions(min_value=0, max_value=10**6))
def test_whole_pieces_cover_and_no_piece_is_spare(amount: Fraction) -> None:
    pieces = up_to_whole(amount)
    assert pieces.denominator == 1
    assert pieces - 1 < amount <= pieces


def test_as_bought_is_edible_over_the_share() -> None:
    """Gisslen, Professional Cooking: 10 lb of Brussels sprouts wanted at 80 % are 12.5 lb as bought."""
    assert to_buy(F(10), F("0.8")) == F("12.5")
    assert to_buy(F(10), F(1)) == 10
    for share in (F(0), F(-1, 2), F(101, 100)):
        with pytest.raises(ValueError, match="outside 0 to 1"):
            to_buy(F(10), share)


def test_times_keeps_the_unit() -> None:
    assert Quantity(F(2, 3), "cup").times(3) == Quantity(F(2), "cup")
