"""How many more kits there is room for; on random terms held against planning again without buying more."""

import datetime as dt
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan.food_support import planned

from opsreport.plan.model import FoodPlan, Room

F = Fraction


def rooms(sheets: dict[str, str] | None = None) -> dict[str, Room]:
    return {room.session: room for room in planned(sheets)[1].room}


def test_what_is_left_of_the_packs_makes_room() -> None:
    """Packs of 250 g, a week apart: 50 g are left after the first session, too little for a kit of 100 g; 100 g after
    both, one kit for the second."""
    assert rooms() == {"w2": Room("w2", "A", 0, ("bean mix",)), "w3": Room("w3", "A", 1, ("bean mix",))}


def test_stock_makes_room_too_and_lots_on_hold_do_not() -> None:
    more = {"Stock": "Ingredient | Amount | Unit | Hold\nbean mix | 750 | g |\nbean mix | 9000 | g | yes"}
    assert {name: room.kits for name, room in rooms(more).items()} == {"w2": 3, "w3": 3}


def test_the_scarcest_foods_are_named() -> None:
    sheets = {
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g\n"
        "stew | | rice mix | 100 | g\nstew | | oil mix | 10 | g",
        "Ingredients": "Ingredient | Contains\nbean mix | none\nrice mix | none\noil mix | none",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 200 | g | 2.00\n"
        "shop | rice mix | 400 | g | 2.00\nshop | oil mix | 500 | g | 2.00",
    }
    assert rooms(sheets)["w2"] == Room("w2", "A", 0, ("bean mix", "rice mix"))


def test_what_must_be_shopped_for_leaves_no_room() -> None:
    assert rooms({"Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | other | 1 | g | 1"})[
        "w2"
    ] == Room("w2", "A", 0, ("bean mix",))


def test_a_further_kit_is_one_batch_without_swaps() -> None:
    """The commonest kit is a double one; a late enrolment is counted as a single one, of 100 g."""
    sheets = {
        "Enrolment": "Participant | Group | Household | Servings | Needs\np1 | g1 | h1 | 8 | none\n"
        "p2 | g1 | h2 | 8 | none\np3 | g1 | h3 | 4 | none",
        "Stock": "Ingredient | Amount | Unit\nbean mix | 1350 | g",
    }
    found = rooms(sheets)["w2"]
    assert (found.variant, found.kits) == ("B", 3)


@settings(max_examples=25, deadline=None)
@given(
    st.integers(10, 120),
    st.lists(st.tuples(st.integers(1, 400), st.sampled_from(["", "@2027-01-12", "@2027-02-01"])), max_size=3),
    st.sampled_from(["", "2", "5", "9"]),
    st.sampled_from(["", "1", "4"]),
)
def test_a_plan_made_with_these_kits_buys_nothing_more_and_with_one_more_it_does(
    grams: int, lots: list[tuple[int, str]], keeps: str, keeps_open: str
) -> None:
    """With `room` further kits in a session the replay is told by the planner itself: all that was bought is put on
    order, and planning again with the further households needs no purchase; with one household more it does."""
    sheets = {
        "Recipes": f"Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | {grams} | g",
        "Stock": "\n".join(
            [
                "Ingredient | Amount | Unit | Lot | Best before",
                *(f"bean mix | {amount} | g | L{number} | {best}" for number, (amount, best) in enumerate(lots)),
            ]
        ),
        "Ingredients": f"Ingredient | Contains | Keeps | Keeps open\nbean mix | none | {keeps} | {keeps_open}",
    }
    _, plan = planned(sheets)
    sheets["Orders"] = orders_of(plan)
    for room in plan.room:
        assert room.kits is not None
        assert not again(sheets, room.session, room.kits).purchases
        assert again(sheets, room.session, room.kits + 1).purchases


def orders_of(plan: FoodPlan) -> str:
    rows = [
        f"o{number} | shop | bean mix | {row.packs} | 250 | g | @{row.arrives.isoformat()} | "
        + (f"@{row.good_through.isoformat()}" if row.good_through else "")
        for number, row in enumerate(plan.purchases)
    ]
    return "\n".join(["Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Best before", *rows])


def again(sheets: dict[str, str], session: str, more: int) -> FoodPlan:
    kits = {"w2": "", "w3": ""} | {session: str(2 + more)}
    given_ = "Session | Group | Date | Recipes | Kits\n" + "\n".join(
        f"{name} | g1 | @{day} | stew | {kits[name]}" for name, day in (("w2", "2027-01-11"), ("w3", "2027-01-18"))
    )
    return planned({**sheets, "Sessions": given_}, dt.date(2027, 1, 4))[1]


@pytest.mark.parametrize("amount", [1, 99, 100, 101, 250])
def test_room_by_hand(amount: int) -> None:
    """Stock of 400 g and `amount` more, all needed and nothing bought: a kit for every 100 g of it."""
    sheets = {"Stock": f"Ingredient | Amount | Unit\nbean mix | {400 + amount} | g"}
    assert rooms(sheets)["w3"].kits == amount // 100
