"""Deliveries on an earlier day, so that their packs are used up before others."""

import datetime as dt

import pytest
from plan.food_support import planned, settings

from opsreport.plan.model import FoodPlan

D = dt.date.fromisoformat

SESSIONS = "Session | Group | Date | Recipes\nw1 | g1 | @2027-01-13 | dip\nw2 | g1 | @2027-01-20 | stew"
RECIPES = (
    "Recipe | Servings | Ingredient | Amount | Unit\ndip | 4 | bean mix | 50 | g\ndip | | herb paste | 5 | g\n"
    "stew | 4 | bean mix | 150 | g"
)
PACKS = (
    "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Keeps | Until\n"
    "corner | bean mix | small | 100 | g | 1.00 | 12 |\n"
    "farm | bean mix | large | 300 | g | 2.50 | 12 | @2027-01-11\n"
    "corner | herb paste | bunch | 10 | g | 0.40 | {paste} |"
)


def plan(fee: str = "", paste: str = "9", packs: str = PACKS, free: str = "") -> FoodPlan:
    """Two kits take 100 g of beans on Wed 13 Jan and 300 g a week later; a tub once begun is good for that day.

    The farm comes on Mondays, to the old price only on 11 Jan, the corner shop on every day. All tubs are good for 12
    days. A corner tub that comes on Tue 12 Jan goes bad a day after the farm's, which is then begun for the first
    session and is no good for the second; one that comes on Mon 11 Jan as well is used first.
    """
    _, its = planned(
        {
            "Sessions": SESSIONS,
            "Recipes": RECIPES,
            "Ingredients": "Ingredient | Storage | Contains | Keeps open\nbean mix | chill | none | 1\n"
                           "herb paste | chill | none |",
            "Suppliers": "Supplier | Lead days | Delivery days | Delivery fee | Free delivery from\n"
                         f"corner | 1 | Mon; Tue; Wed; Thu; Fri | {fee} | {free}\nfarm | 1 | Mon | |",
            "Packs": packs.format(paste=paste),
            "Settings": settings("Receive lead | 1"),
        },
        D("2027-01-04"),
    )  # fmt: skip
    return its


def bought(its: FoodPlan) -> set[tuple[str, int, str]]:
    return {(row.item, row.packs, row.arrives.isoformat()) for row in its.purchases}


def test_a_tub_that_comes_a_day_sooner_spares_two_others() -> None:
    """Small 1.00, large 2.50, paste 0.40; with the small tub a day later three more small ones at 3.00 are needed for
    the second session. The paste, of a supplier without a fee, comes as late as it can."""
    its = plan()
    assert bought(its) == {("large", 1, "2027-01-11"), ("small", 1, "2027-01-11"), ("bunch", 1, "2027-01-12")}
    assert its.buying.cost == its.buying.lower_bound == 100 + 250 + 40
    used = {row.item: dict(row.used) for row in its.purchases}
    assert used["small"] == {"w1": 100}
    assert used["large"] == {"w2": 300}


def test_all_that_comes_for_one_fee_comes_on_the_same_day() -> None:
    its = plan(fee="4")
    assert bought(its) == {("large", 1, "2027-01-11"), ("bunch", 1, "2027-01-11"), ("small", 1, "2027-01-11")}
    assert its.buying.cost == its.buying.lower_bound == 100 + 250 + 40 + 400


@pytest.mark.parametrize(("paste", "large"), [("1", 0), ("2", 1)])
def test_not_where_something_else_of_the_delivery_would_not_keep(paste: str, large: int) -> None:
    """Paste that is good for one day after it came cannot come on Mon 11 Jan for Wed 13 Jan. A plan without the farm's
    tub is then the best; that no order of use does with less is not claimed."""
    its = plan(fee="4", paste=paste)
    assert [row.packs for row in its.purchases if row.item == "large"] == [1] * large
    assert its.buying.lower_bound <= its.buying.cost
    if not large:
        assert its.buying.cost > 100 + 250 + 40 + 400


def test_not_to_a_day_on_which_the_price_does_not_hold_yet() -> None:
    """The corner's small tub is sold from Mon 11 Jan on, so not for a delivery of that day: of the farm's tub nothing
    would be left for the second session, and four small ones are bought."""
    rows = PACKS.replace("Keeps | Until", "Keeps | Until | From").replace("12 |\nfarm", "12 | | @2027-01-11\nfarm")
    its = plan(packs=rows)
    assert "large" not in {item for item, _, _ in bought(its)}
    assert sum(packs for item, packs, _ in bought(its) if item == "small") == 4
    assert its.buying.cost == 400 + 40


def test_packs_that_reach_free_delivery_come_on_the_other_day_too() -> None:
    """The corner's 1.40 lack 0.40 to free delivery: a second bunch at 0.40 instead of the fee of 4.00."""
    its = plan(fee="4", free="1.80")
    assert bought(its) == {("large", 1, "2027-01-11"), ("bunch", 2, "2027-01-11"), ("small", 1, "2027-01-11")}
    assert its.buying.cost == 100 + 250 + 2 * 40
