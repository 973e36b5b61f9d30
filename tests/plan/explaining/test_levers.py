"""What could be spent less on; each saving is the difference to a plan made accordingly."""

import pytest
from plan.food_support import SHEETS, planned, settings

from opsreport.money import Currency, Money
from opsreport.plan.explaining.levers import lever_words
from opsreport.plan.model import FoodPlan, Lever


def levers(sheets: dict[str, str]) -> dict[str, Lever]:
    return {lever.kind: lever for lever in planned(sheets)[1].budget.levers}


def goods(plan: FoodPlan) -> int:
    return sum(row.cost for row in plan.purchases)


def test_what_is_paid_for_what_is_left_over() -> None:
    """Two packs at 2.00 for 400 g of 500 g: a fifth of 4.00 lies in what is left."""
    assert levers({})["another pack"] == Lever("another pack", saves=80, food="bean mix", supplier="shop")  # type: ignore[arg-type]


def test_no_smaller_pack_is_asked_for_where_one_is_listed() -> None:
    packs = f"{SHEETS['Packs']}\nshop | bean mix | 50 | g | 1.90"
    assert "another pack" not in levers({"Packs": packs})


SPARE = {
    "Settings": settings().replace("Spare kits | 0", "Spare kits | 1"),
    "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 100 | g | 0.90",
}


def test_spare_kits_save_the_packs_that_a_plan_without_them_leaves_off() -> None:
    lever = levers(SPARE)["spare kits"]
    without = planned({**SPARE, "Settings": settings()})[1]
    assert (lever.kits, lever.saves) == (2, goods(planned(SPARE)[1]) - goods(without))
    assert lever.saves == 180


def test_spare_kits_save_nothing_where_no_pack_less_is_needed() -> None:
    assert "spare kits" not in levers({**SPARE, "Packs": SPARE["Packs"].replace("100 | g", "5 | kg")})


SWAP = {
    "Ingredients": "Ingredient | Contains\nbean mix | none\npea mix | soy",
    "Swaps": "Ingredient | Need | Use instead | Ratio | Unit\nbean mix | no bean mix | pea mix | 1/2 | g",
    "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | 2.00\n"
    "shop | pea mix | 50 | g | 0.30",
}


def test_a_swap_for_everyone_saves_the_difference() -> None:
    """400 g of bean mix in two packs for 4.00; 200 g of pea mix in four packs for 1.20."""
    assert levers(SWAP)["swap"] == Lever("swap", saves=280, food="bean mix", instead="pea mix")  # type: ignore[arg-type]
    recipes = "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | pea mix | 50 | g"
    assert goods(planned(SWAP)[1]) - goods(planned({**SWAP, "Recipes": recipes})[1]) == 280


@pytest.mark.parametrize(("keeps", "saves"), [("", 310), ("5", 280)])
def test_a_substitute_that_expires_is_bought_for_each_packing_day(keeps: str, saves: int) -> None:
    """200 g in packs of 80 g at 0.30: three for both weeks together, two for each; bean mix costs 4.00."""
    sheets = {
        **SWAP,
        "Ingredients": f"Ingredient | Contains | Keeps\nbean mix | none |\npea mix | soy | {keeps}",
        "Packs": SWAP["Packs"].replace("50 | g", "80 | g"),
    }
    assert levers(sheets)["swap"].saves == saves


@pytest.mark.parametrize(("terms", "saves"), [("3 | 0", 220), ("1 | 7", 190), ("3 | 7", 130), ("4 | 4", 280)])
def test_a_substitute_is_bought_as_it_is_sold(terms: str, saves: int) -> None:
    """Four packs at 0.30 are needed: six are sold by threes, seven are the least, nine are the least of both."""
    packs = SWAP["Packs"].replace("Price\n", "Price | Sold by | Minimum\n").replace("2.00\n", "2.00 | 1 | 0\n")
    assert levers({**SWAP, "Packs": f"{packs} | {terms}"})["swap"].saves == saves


def test_what_a_swap_leaves_out_for_everyone_is_saved_whole() -> None:
    sheets = {**SWAP, "Swaps": "Ingredient | Need | Use instead\nbean mix | no bean mix | leave out"}
    assert levers(sheets)["swap"] == Lever("swap", saves=400, food="bean mix")  # type: ignore[arg-type]


def test_a_substitute_pays_for_the_packing_loss_too() -> None:
    """1 of 100 g is lost: 101 g each week take 202 g, five packs of 50 g at 0.30; bean mix costs 4.00."""
    assert levers({**SWAP, "Settings": settings("Packing loss | 1%")})["swap"].saves == 250


@pytest.mark.parametrize(
    "change",
    [
        # someone must not get the substitute
        {"Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h2 | no soy"},
        # nobody sells it
        {"Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | 2.00"},
        # it costs as much, or more
        {"Packs": SWAP["Packs"].replace("0.30", "1.00")},
        {"Packs": SWAP["Packs"].replace("0.30", "1.01")},
    ],
)
def test_no_swap_that_harms_cannot_be_had_or_costs_more(change: dict[str, str]) -> None:
    assert "swap" not in levers({**SWAP, **change})


def test_the_largest_stands_first_and_reads_with_its_money() -> None:
    _, plan = planned(SWAP)
    found = plan.budget.levers
    assert [lever.kind for lever in found] == ["swap", "another pack"]
    assert lever_words(found[0], Currency("USD")) == "pea mix instead of bean mix, for everyone: $2.80"
    assert planned({"Stock": "Ingredient | Amount | Unit\nbean mix | 900 | g"})[1].budget.levers == ()


@pytest.mark.parametrize(
    ("lever", "words"),
    [
        (
            Lever("another pack", Money(80), food="rice", supplier="shop"),
            "what is left over of rice: ask shop for a smaller pack, as Packs lists none: $0.80",
        ),
        (Lever("swap", Money(100), food="rice", instead="pasta"), "pasta instead of rice, for everyone: $1.00"),
        (Lever("swap", Money(100), food="rice"), "no rice, for everyone: $1.00"),
        (Lever("spare kits", Money(1), kits=3), "none of the 3 spare kits: $0.01"),
    ],
)
def test_a_lever_in_words(lever: Lever, words: str) -> None:
    assert lever_words(lever, Currency("USD")) == words
