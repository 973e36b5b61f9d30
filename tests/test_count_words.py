"""Count words: what one of them weighs, and what is said where nobody knows.

Outside values: USDA National Nutrient Database SR28, table WEIGHT: garlic clove 3 g edible of 87 % (11215), broccoli
bunch 608 g and stalk 151 g (11090), cabbage leaf 23 g (11109).
"""

from fractions import Fraction
from typing import Any

import pytest
from plan.food_support import planned
from support import CORE, read, term

from opsreport.foods import build_foods, catalogue_entry
from opsreport.joining import build_programme
from opsreport.rules import Severity

F = Fraction
RECIPE = "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | {}"
PACKS = "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | {} | 1.00"


def said(recipe: str, pack: str = "", **sheets: str) -> list[tuple[str, str]]:
    """Cells and messages of the findings about count words; no error beside them."""
    given = {"Recipes": RECIPE.format(recipe), "Stock": "Ingredient | Amount | Unit", **sheets}
    if pack:
        given["Packs"] = PACKS.format(pack)
    _, findings = read(term(given))
    assert [finding.message for finding in findings if finding.severity is Severity.ERROR] == []
    return [(str(finding.place), finding.message) for finding in findings if finding.code == "count-word"]


def test_a_head_of_garlic_is_not_taken_quietly_for_a_clove() -> None:
    ((cell, message),) = said("garlic | 2 | cloves", "garlic | 1 | head")
    assert cell == "Packs!C2"
    # 3 g / 0.87 = 3.45 g as bought
    assert message.startswith("1 head of garlic is taken as 1 piece of ≈ 3.4 g (one is: clove)")


@pytest.mark.parametrize(
    "recipe",
    [
        "fresh parsley | 1 | bunch",
        "celery | 1 | head",
        "butter | 1 | packet",
        "carrot | 1 | bunch",
        "onion | 2 | slices",
    ],
)
def test_words_for_another_piece_than_the_catalogues_are_told(recipe: str) -> None:
    assert len(said(recipe)) == 1


@pytest.mark.parametrize(
    "recipe",
    [
        "garlic | 2 | cloves", "garlic | 2 |", "celery | 2 | stalks", "celery | 2 | sticks",
        "fresh parsley | 8 | sprigs",
        "butter | 1 | stick", "green cabbage | 1 | head", "spinach | 1 | bunch", "corn on the cob | 2 | ears",
        "white bread | 2 | slices", "canned refried beans | 1 | can", "frozen spinach | 1 | packet",
        "broccoli | 1 | bunch", "green cabbage | 3 | leaves", "own thing | 1 | bunch",
    ],
)  # fmt: skip
def test_words_for_the_piece_itself_or_with_a_weight_of_their_own_are_not(recipe: str) -> None:
    assert said(recipe, Ingredients="Ingredient | Contains\nown thing | none") == []


def test_every_sheet_with_amounts_is_looked_at() -> None:
    sheets = {
        "Stock": "Ingredient | Amount | Unit\ngarlic | 2 | head",
        "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
        "o1 | shop | garlic | 1 | 3 | head | @2027-03-01",
    }
    assert [cell for cell, _ in said("garlic | 2 | cloves", **sheets)] == ["Stock!B2", "Orders!E2"]


@pytest.mark.parametrize("grams", ["", "5"])
def test_two_words_for_one_own_piece_are_told_at_the_second(grams: str) -> None:
    own = f"Ingredient | Contains | Grams each\nown thing | none | {grams}"
    ((cell, message),) = said("own thing | 2 | cloves", "own thing | 1 | head", Ingredients=own)
    assert cell == "Packs!C2"
    assert f"taken as 1 piece{' of 5 g' if grams else ''} (one is: clove)" in message


def test_a_weight_of_the_word_settles_it() -> None:
    own = "Ingredient | Other pieces\ngarlic | head 50 g; bulb 1 g"
    _, findings = read(term(Ingredients=own))
    assert [finding.code for finding in findings if finding.severity is Severity.ERROR] == ["piece-unreadable"]
    own = "Ingredient | Other pieces\ngarlic | head 50 g"
    assert said("garlic | 2 | cloves", "garlic | 1 | head", Ingredients=own) == []
    rows, _ = read(term({"Recipes": RECIPE.format("garlic | 2 | cloves"), "Ingredients": own}))
    garlic = build_foods(rows).find("garlic")
    assert garlic is not None
    assert (garlic.bridge.counted("head"), garlic.bridge.counted("clove")) == (50, 3 / F("0.87"))


def test_cloves_are_ordered_in_heads_by_weight() -> None:
    """Two sessions of two kits with 6 cloves: 24 cloves of 3/0.87 g are 82.8 g, two heads of 50 g."""
    sheets = {
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | garlic | 6 | cloves",
        "Ingredients": "Ingredient | Other pieces | Keeps\ngarlic | head 50 g | 90",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | garlic | 1 | head | 0.45",
    }
    _, plan = planned(sheets)
    assert sum(row.packs for row in plan.purchases) == 2
    sheets["Packs"] = sheets["Packs"].replace("head", "clove")
    _, plan = planned(sheets)
    assert sum(row.packs for row in plan.purchases) == 24


def test_whole_pieces_are_of_the_word_that_the_recipe_counts_in() -> None:
    """Half a bunch of broccoli a kit is one bunch, not four stalks: 608 g / 0.78."""
    broccoli = "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | broccoli | {}"
    _, plan = planned({"Recipes": broccoli.format("1/2 | bunch"), "Packs": PACKS.format("broccoli | 1 | bunch")})
    line = plan.sessions[0].variants[0].lines[0]
    assert (line.base, line.shown.amount, line.shown.unit, line.whole) == (608 / F("0.78"), 1, "bunch", True)
    both = broccoli.format("1 | bunch") + "\n| | broccoli | 1 | stalk"
    _, plan = planned({"Recipes": both, "Packs": PACKS.format("broccoli | 1 | bunch")})
    line = plan.sessions[0].variants[0].lines[0]
    # 608 + 151 edible grams are 5.03 stalks
    assert (line.shown.amount, line.shown.unit, line.base) == (6, "each", 6 * 151 / F("0.78"))


def test_catalogue_pieces_are_the_published_ones() -> None:
    found: dict[str, Any] = {
        name: entry.other_pieces
        for name in ("broccoli", "green cabbage", "garlic")
        if (entry := catalogue_entry(name)) is not None
    }
    assert found == {
        "broccoli": (("bunch", 608 / F("0.78")),),
        "green cabbage": (("leaf", 23 / F("0.8")),),
        "garlic": (),
    }


# --- counts and nothing else ---


def base_of(sheets: dict[str, str], food: str) -> str:
    rows, findings = read(term({**CORE, **sheets}))
    assert [finding.message for finding in findings if finding.severity is Severity.ERROR] == []
    programme = build_programme(rows, rows.sessions[0].day)
    known = programme.foods.find(food)
    assert known is not None
    return programme.base_units[known.name]


@pytest.mark.parametrize("food", ["chickpeas", "canned tomatoes", "black beans", "canned coconut milk"])
def test_one_can_and_nothing_else_needs_no_weight(food: str) -> None:
    """The catalogue knows what a cup of them weighs, and no can."""
    assert base_of({"Recipes": RECIPE.format(f"{food} | 1 | can")}, food) == "each"


def test_packs_and_stock_in_cans_need_none_either() -> None:
    sheets = {
        "Recipes": RECIPE.format("chickpeas | 1 | can"), "Packs": PACKS.format("chickpeas | 12 | tins"),
        "Stock": "Ingredient | Amount | Unit\nchickpeas | 3 |",
    }  # fmt: skip
    assert base_of(sheets, "chickpeas") == "each"


@pytest.mark.parametrize("pack", ["2 | lb", "3 | cups"])
def test_one_weight_or_volume_among_them_still_asks_for_the_cans(pack: str) -> None:
    sheets = {"Recipes": RECIPE.format("chickpeas | 1 | can"), "Packs": PACKS.format(f"chickpeas | {pack}")}
    _, findings = read(term(sheets))
    (asked,) = [finding for finding in findings if finding.code == "bridge-missing"]
    assert (str(asked.place), "Grams each" in asked.fix) == ("Recipes!D2", True)


def test_with_a_weight_of_a_piece_counts_are_grams_as_ever() -> None:
    assert base_of({"Recipes": RECIPE.format("onion | 1 |")}, "onion") == "g"
    own = "Ingredient | Other pieces\nchickpeas | can 425 g"
    assert base_of({"Recipes": RECIPE.format("chickpeas | 1 | can"), "Ingredients": own}, "chickpeas") == "g"
