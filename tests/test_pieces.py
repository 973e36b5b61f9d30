"""Pieces on paper: cans and apples first, in whole ones, their weight second; and counts typed back."""

import datetime as dt
from fractions import Fraction
from pathlib import Path

import pytest
from plan.food_support import programme_of
from support import opened, read, term, written

from opsreport.joining import build_programme
from opsreport.pieces import Piece
from opsreport.plan.needs.amounts import plan_sessions
from opsreport.plan.needs.kits import kits_of_sessions
from opsreport.reading.read import read_counts
from opsreport.recount import _improbable, counted_foods
from opsreport.tables.shelf_words import rounded_words, there_words, to_fetch_words, to_take_words

F = Fraction
TINS = "Ingredient | Contains | Grams each\nbean tin | none | 425"
PACKS = "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean tin | 12 | tins | 9"
RECIPES = "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | {}"
CANS = {"Recipes": RECIPES.format("bean tin | 1 | can"), "Ingredients": TINS, "Packs": PACKS}


def test_cans_are_fetched_as_cans() -> None:
    """16 cans of 425 g are 6.8 kg, 14 lb 15.86 oz; an amount that is no whole number is rounded up."""
    programme = programme_of(CANS)
    assert to_fetch_words(programme, "bean tin", F(6800)) == "16 cans, ≈ 15 lb"
    assert to_take_words(programme, "bean tin", F(6801)) == "17 cans, 6.8 kg (≈ 15 lb)".replace("6.8", "≈ 6.8")
    assert there_words(programme, "bean tin", F(425)) == "1 can (425 g)"
    assert there_words(programme, "bean tin", F(0)) == "0"
    assert there_words(programme, "bean tin", F(26)) == "26 g (≈ 0.9 oz)"
    assert there_words(programme, "bean tin", F(900)) == "≈ 2 cans (900 g)"


def test_a_food_without_any_weight_is_counted_in_its_word() -> None:
    programme = programme_of({**CANS, "Ingredients": "Ingredient | Contains\nbean tin | none"})
    assert to_fetch_words(programme, "bean tin", F(16)) == "16 cans"
    assert there_words(programme, "bean tin", F(3)) == "3 cans"


@pytest.mark.parametrize(
    ("line", "pack", "pieces"),
    [
        ("apple | 2 |", "apple | 10 | lb", Piece("each", 182 / F("0.9"))),  # every recipe counts it
        ("apple | 2 | cups", "apple | 12 | each", Piece("each", 182 / F("0.9"))),  # it is sold by count
        ("apple | 2 | cups", "apple | 10 | lb", None),
        ("fresh ginger | 1 | tbsp", "fresh ginger | 1 | lb", None),
        ("fresh parsley | 8 | sprigs", "fresh parsley | 100 | g", None),  # nobody counts 63 sprigs
        ("garlic | 2 | cloves", "garlic | 1 | lb", Piece("clove", 3 / F("0.87"))),
        ("whole milk | 1 | cup", "whole milk | 1 | gal", None),
    ],
)  # fmt: skip
def test_what_is_counted_is_what_somebody_counts(line: str, pack: str, pieces: Piece | None) -> None:
    packs = f"Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | {pack} | 9"
    programme = programme_of({"Recipes": RECIPES.format(line), "Packs": packs})
    assert programme.pieces.get(line.partition(" |")[0]) == pieces


@pytest.mark.parametrize(
    ("grams", "words"),
    [
        ("0.84", "≈ 0.8 g"), ("4.5", "4.5 g"), ("47.4", "≈ 47 g"), ("101.1", "≈ 100 g"), ("428", "428 g"),
        ("428.6", "≈ 430 g"), ("1011", "≈ 1.01 kg"),
    ],
)  # fmt: skip
def test_grams_as_a_kitchen_scale_shows_them(grams: str, words: str) -> None:
    assert rounded_words(F(grams), "g") == words


# --- counts typed back ---


def recounted(counts: str, tmp_path: Path) -> list[tuple[str, str]]:
    """Codes and messages about a count of 16 cans for two sessions' kits."""
    rows, _ = read(
        term(
            {
                **CANS,
                "Recipes": CANS["Recipes"].replace("stew", "soup"),
                "Settings": "Setting | Value\nSpare kits | 7\nDemo kits | 0\nPacking lead | 0",
            }
        )
    )
    programme = build_programme(rows, dt.date(2027, 1, 4))
    count_rows, _ = read_counts(
        opened(written({"Counts": f"Ingredient | Counted | Unit\nbean tin | {counts}"})), rows.settings
    )
    counted, findings = counted_foods(programme, count_rows)
    kits, _ = kits_of_sessions(programme)
    asked = _improbable(programme, count_rows, counted, plan_sessions(programme, kits))
    return [(finding.code, finding.message) for finding in (*findings, *asked)]


def test_a_unit_typed_beside_the_number_goes_before_the_printed_one(tmp_path: Path) -> None:
    ((code, message),) = recounted("15 each | g", tmp_path)
    assert code == "count-own-unit"
    assert message.startswith("15 each of bean tin was counted, as typed; the Unit beside it says g.")


def test_fifteen_grams_of_cans_are_asked_about(tmp_path: Path) -> None:
    ((code, message),) = recounted("15 | g", tmp_path)
    assert code == "count-improbable"
    assert message.startswith("Only 15 g of bean tin was counted, where 8 cans, 3.4 kg")


@pytest.mark.parametrize("counts", ["15 | can", "15 |", "6 | kg", "0 | g", "0 |"])
def test_what_may_be_right_is_not(counts: str, tmp_path: Path) -> None:
    assert recounted(counts, tmp_path) == []
