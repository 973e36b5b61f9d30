"""Needs that protect less than they seem to, foods said to hold less than they may, words that mean a need."""

import datetime as dt

import pytest
from support import read, term

from opsreport.findings import Finding
from opsreport.rules import Severity

AS_OF = dt.date(2027, 3, 1)
RECIPE = "Recipe | Servings | Ingredient | Amount | Unit"


def found(code: str, sheets: dict[str, str]) -> list[Finding]:
    return [finding for finding in read(term(sheets), AS_OF)[1] if finding.code == code]


def who_must_not(needs: str, *foods: str, more: str = "") -> dict[str, str]:
    """One person's needs and a recipe of these foods."""
    lines = "\n".join(f"soup | {'' if n else 4} | {food} | 10 | g" for n, food in enumerate(foods))
    sheets = {"Enrolment": f"Participant | Group | Needs\np1 | g1 | {needs}", "Recipes": f"{RECIPE}\n{lines}"}
    return {**sheets, **({"Swaps": f"Ingredient | Need | Use instead\n{more}"} if more else {})}


@pytest.mark.parametrize(
    ("needs", "foods", "alike"),
    [
        ("no tomato", ("canned tomatoes", "tomato paste", "onion"), "canned tomatoes, tomato paste"),
        ("no garlic", ("garlic powder", "garlic"), "garlic powder"),
        ("no onions", ("green onion", "onion powder"), "green onion, onion powder"),
        ("no apple", ("applesauce", "pineapple juice"), "applesauce"),
        ("no mushroom", ("cremini mushroom", "portobello mushroom"), "cremini mushroom, portobello mushroom"),
        ("no pork", ("our pork pie", "pork tenderloin"), "our pork pie"),  # a tag that nobody gave it
        ("no pumpkin", ("Pumpkin-seeds, toasted",), "Pumpkin-seeds, toasted"),
        ("no tomato; no canned tomatoes", ("canned tomatoes", "tomato paste"), "tomato paste"),
    ],
)
def test_a_need_of_one_food_names_the_foods_of_like_name(needs: str, foods: tuple[str, ...], alike: str) -> None:
    (finding,) = [each for each in found("need-of-one-food", who_must_not(needs, *foods)) if alike in each.message]
    assert finding.severity is Severity.WARNING
    assert str(finding.place) == "Enrolment!C2"
    assert f"type {finding.seen}; no {alike.split(', ')[0]}" in finding.fix


@pytest.mark.parametrize(
    ("needs", "foods"),
    [
        ("no tomato", ("tomato", "onion")),
        ("no tomato; no tomato paste", ("tomato paste",)),
        ("no pea", ("peanut",)),  # the beginning of a word is looked for from four letters on
        ("no milk", ("almond milk",)),  # an allergen, not a food of that name
        ("vegetarian", ("our vegetarian stew",)),
        ("no alcohol", ("alcohol-free vanilla",)),
        ("none", ("garlic powder",)),
    ],
)
def test_other_needs_say_nothing_about_names(needs: str, foods: tuple[str, ...]) -> None:
    assert found("need-of-one-food", who_must_not(needs, *foods)) == []


def test_a_substitute_of_like_name_is_named_too() -> None:
    sheets = who_must_not(
        "no tomato", "tomato", more="tomato | no tomato | tomato sauce\ntomato sauce | no egg | salsa"
    )
    assert [finding.details["foods"] for finding in found("need-of-one-food", sheets)] == ["tomato sauce, salsa"]


@pytest.mark.parametrize(
    ("row", "dropped"),
    [
        ("peanut butter | sesame |", "peanut"),
        ("peanut butter | none |", "peanut"),
        ("all-purpose flour | gluten |", "wheat"),
        ("chicken breast | | local", "meat"),
    ],
)
def test_less_than_the_catalogue_lists_is_said(row: str, dropped: str) -> None:
    sheets = {"Ingredients": f"Ingredient | Contains | Tags\n{row}"}
    (finding,) = found("contains-dropped", sheets)
    assert dropped in finding.message
    assert dropped in finding.fix


@pytest.mark.parametrize("row", ["peanut butter | peanut; sesame", "all-purpose flour | wheat", "moon dust | none"])
def test_as_much_as_the_catalogue_lists_needs_no_word(row: str) -> None:
    assert found("contains-dropped", {"Ingredients": f"Ingredient | Contains\n{row}"}) == []


def test_a_substitute_of_which_nobody_said_what_it_holds_is_asked_about() -> None:
    sheets = who_must_not("no milk", "whole milk", more="whole milk | no milk | white drink")
    sheets["Ingredients"] = "Ingredient | State | Contains\nwhite drink | liquid |"
    assert [str(finding.place) for finding in found("contains-blank", sheets)] == ["Ingredients!C2"]


@pytest.mark.parametrize(
    ("words", "meant"),
    [
        ("coeliac", "Did you mean no gluten?"),
        ("celiac disease", "Did you mean no gluten?"),
        ("lactose intolerant", "Did you mean no milk?"),
        ("dairy intolerance", "Did you mean no dairy?"),
        ("allergic to eggs", "Did you mean no eggs?"),
        ("severe peanut allergy", "Did you mean no peanut?"),
        ("does not eat pork", "Did you mean no pork?"),
        ("none known", "Did you mean none?"),
        ("no known allergies", "Did you mean none?"),
        ("plant-based", "Did you mean vegan?"),
        ("no penut", "Did you mean no peanut?"),
        ("no mlik", "Did you mean no milk?"),
        ("no wheet", "Did you mean no wheat?"),
        ("no eg", "Did you mean no egg?"),
        ("vegen", "Did you mean vegan?"),
        ("halal", "no word for halal: ask the household"),
        ("pescatarian", "no word for pescatarian: ask the household"),
    ],
)
def test_words_that_mean_a_need_get_what_to_type(words: str, meant: str) -> None:
    (finding,) = found("need-unknown", {"Enrolment": f"Participant | Group | Needs\np1 | g1 | {words}"})
    assert meant in finding.fix


@pytest.mark.parametrize("words", ["keto", "low salt", "no shallaa", "celeriax soup diet", "no nectaryan"])
def test_what_is_no_near_miss_gets_no_proposal(words: str) -> None:
    (finding,) = found("need-unknown", {"Enrolment": f"Participant | Group | Needs\np1 | g1 | {words}"})
    assert "Did you mean" not in finding.fix


def test_a_food_of_the_workbook_without_its_no_is_told_truly() -> None:
    """The workbook has it, so it cannot be said that it matches nothing."""
    sheets = {
        "Enrolment": "Participant | Group | Needs\np1 | g1 | zorb rice",
        "Ingredients": "Ingredient | Contains\nzorb rice | none",
    }
    (finding,) = found("need-unknown", sheets)
    assert "zorb rice is neither an allergen or a diet, nor no and an ingredient or a tag" in finding.message
    assert "Did you mean no zorb rice?" in finding.fix
