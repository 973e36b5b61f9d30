"""Whom planned kits may harm although each is right for those it is made for; food opened too early."""

import datetime as dt

import pytest
from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.rules import Severity

AS_OF = dt.date(2027, 3, 1)
SWAPS = "Ingredient | Need | Use instead"


def recipe(*lines: str) -> dict[str, str]:
    """One recipe of `ingredient | amount | unit | supplied` lines."""
    rows = "\n".join(f"soup | {'' if n else 4} | {line}" for n, line in enumerate(lines))
    return {"Recipes": f"Recipe | Servings | Ingredient | Amount | Unit | Supplied\n{rows}"}


def people(*rows: str) -> dict[str, str]:
    return {"Enrolment": "\n".join(("Participant | Group | Household | Needs | Status", *rows))}


def said(sheets: dict[str, str], code: str) -> list[tuple[str, str]]:
    """Place and message of every finding of planning with this code, a warning."""
    programme = build_programme(read(term(sheets), AS_OF)[0], AS_OF)
    found = [finding for finding in plan_food(programme)[1] if finding.code == code]
    assert all(finding.severity is Severity.WARNING for finding in found)
    return [(str(finding.place), finding.message) for finding in found]


# --- who lives with those a kit is made for ---

PEANUTS = recipe("peanut butter | 50 | g")


@pytest.mark.parametrize("sibling", ["p2 | g2 | H1 | no peanut", "p2 | g1 | H1 | no peanut | waiting"])
def test_a_housemate_whose_needs_do_not_count_is_named(sibling: str) -> None:
    sheets = {**PEANUTS, **people("p1 | g1 | H1 | none", sibling, "p3 | g1 | H3 | none")}
    ((place, message),) = said(sheets, "housemate-need-not-met")
    assert place == "Enrolment!D3"
    assert "Household H1 carries home peanut butter, which p2 must not get (no peanut)" in message


def test_kits_for_participants_name_each_housemate_once() -> None:
    sheets = {
        **PEANUTS,
        **people("p1 | g1 | H1 | none", "p2 | g1 | H1 | no peanut", "p3 | g1 | H1 | none"),
        "Groups": "Group | Kit for\ng1 | participant",
        "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | soup\ns2 | g1 | @2027-03-11 | soup",
        "Swaps": f"{SWAPS}\npeanut butter | no peanut | leave out",
    }
    assert [place for place, _ in said(sheets, "housemate-need-not-met")] == ["Enrolment!D3"]


def test_a_household_whose_kit_meets_the_need_is_not_named() -> None:
    sheets = {
        **PEANUTS,
        **people("p1 | g1 | H1 | no peanut", "p2 | g2 | H1 | no peanut"),
        "Swaps": f"{SWAPS}\npeanut butter | no peanut | leave out",
    }
    assert said(sheets, "housemate-need-not-met") == []


# --- what recipes take from home ---

HOME = recipe("onion | 1 |", "walnut | 30 | g | home", "milk | to taste |")


def test_food_from_home_is_held_against_the_needs_of_those_who_cook() -> None:
    sheets = {**HOME, **people("p1 | g1 | H1 | no nuts; no milk", "p2 | g1 | H2 | none")}
    assert [place for place, _ in said(sheets, "home-food-against-need")] == ["Enrolment!D2", "Enrolment!D2"]
    sheets["Swaps"] = f"{SWAPS}\nwalnut | nuts | leave out\nmilk | no milk | oat milk"
    assert [place for place, _ in said(sheets, "home-food-against-need")] == ["Enrolment!D2"]  # who knows oat milk?
    sheets["Ingredients"] = "Ingredient | Contains\noat milk | gluten"
    assert said(sheets, "home-food-against-need") == []


# --- tables of one room ---

TABLES = {
    "Groups": "Group | Format | People per table\ng1 | table | 2",
    **recipe("butter | 50 | g"),
    "Swaps": f"{SWAPS}\nbutter | no milk | tahini",
}


def test_an_allergen_that_a_swap_brings_into_the_room_is_said() -> None:
    sheets = {**TABLES, **people("p1 | g1 | H1 | no milk", "p2 | g1 | H2 | no sesame", "p3 | g1 | H3 | none")}
    ((place, message),) = said(sheets, "swap-against-need-in-room")
    assert place == "Enrolment!D3"
    assert "tahini, given at a table of session s1 instead of butter, is what p2" in message


def test_a_swap_that_harms_nobody_in_the_room_needs_no_word() -> None:
    sheets = {**TABLES, **people("p1 | g1 | H1 | no milk", "p2 | g1 | H2 | no egg", "p3 | g1 | H3 | none")}
    assert said(sheets, "swap-against-need-in-room") == []


# --- dates ---

BEANS = recipe("canned black beans | 200 | g")


def test_food_opened_so_early_that_it_is_no_longer_good_is_said() -> None:
    sheets = {**BEANS, "Ingredients": "Ingredient | Keeps open\ncanned black beans | 1"}
    assert [place for place, _ in said(sheets, "opened-before-session")] == ["Sessions!A2"]


def test_food_that_is_still_good_on_the_day_needs_no_word() -> None:
    sheets = {**BEANS, "Ingredients": "Ingredient | Keeps open\ncanned black beans | 2"}
    assert said(sheets, "opened-before-session") == []
