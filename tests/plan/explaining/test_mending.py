"""What would mend a shortage: each choice on offer is one that a run made accordingly takes."""

import datetime as dt
from fractions import Fraction
from typing import Any

import pytest
from plan.food_support import planned, settings

from opsreport.plan.explaining.mending import mend_words
from opsreport.plan.model import Mend

F = Fraction
D = dt.date.fromisoformat
ONE = "Session | Group | Date | Recipes | Packing date\nw1 | g1 | @2027-01-08 | stew | @2027-01-05"
LATE = {"Sessions": ONE, "Suppliers": "Supplier | Lead days | Delivery days\nshop | 2 | Wed; Thu; Fri"}
"""Packed on Tuesday the 5th, the day after planning; the shop comes on Wednesday at the soonest."""


def mends(sheets: dict[str, str]) -> dict[str, Mend]:
    return {mend.kind: mend for mend in planned(sheets)[1].mends}


def test_a_later_packing_day_that_some_delivery_is_in_time_for() -> None:
    mend = mends(LATE)["packing day"]
    assert (mend.day, mend.order_by, mend.supplier) == (D("2027-01-06"), D("2027-01-04"), "shop")
    moved = {**LATE, "Sessions": ONE.replace("@2027-01-05", "@2027-01-06")}
    assert planned(moved)[1].shortages == ()


def test_what_must_be_there_a_day_earlier_moves_packing_a_day_further() -> None:
    """The shop comes on Wednesday the 6th, so with a day to take it in kits are packed on the 7th; corner comes on the
    5th, too late for packing that day, on the 4th not at all."""
    mend = mends({**LATE, "Settings": settings("Receive lead | 1")})
    assert (mend["packing day"].day, mend["packing day"].order_by) == (D("2027-01-07"), D("2027-01-04"))
    others = {
        "Suppliers": "Supplier | Lead days | Delivery days\nshop | 2 | Wed\ncorner | 1 |",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | 2\n"
        "corner | rice | 1 | kg | 2",
        "Ingredients": "Ingredient | Storage | Contains\nbean mix | shelf | none\nrice | shelf | none",
    }
    assert mends({**LATE, **others})["supplier"].day == D("2027-01-05")
    assert "supplier" not in mends({**LATE, **others, "Settings": settings("Receive lead | 1")})


def test_no_later_day_than_the_session_and_none_that_is_closed() -> None:
    assert "packing day" not in mends({**LATE, "Closures": "Date | Until\n@2027-01-06 | @2027-01-08"})
    closed = {**LATE, "Closures": "Date | What\n@2027-01-06 | packing"}
    assert mends(closed)["packing day"].day == D("2027-01-07")
    last = {**LATE, "Closures": "Date | Until | What\n@2027-01-06 | @2027-01-07 | packing"}
    assert mends(last)["packing day"].day == D("2027-01-08")  # of the session itself


def test_another_supplier_that_comes_in_time() -> None:
    sheets = {
        **LATE,
        "Suppliers": "Supplier | Lead days | Delivery days\nshop | 2 | Wed\ncorner | 1 |\n"
        "far | 9 |\ndairy | 1 |\nnobody | 1 |",
        "Ingredients": "Ingredient | Storage | Contains\nbean mix | shelf | none\nrice | shelf | none\n"
        "milk | chill | milk",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | 2\n"
        "corner | rice | 1 | kg | 2\nfar | rice | 1 | kg | 2\ndairy | milk | 1 | L | 2",
    }
    (mend,) = [mend for mend in planned(sheets)[1].mends if mend.kind == "supplier"]
    assert (mend.supplier, mend.day, mend.order_by) == ("corner", D("2027-01-05"), D("2027-01-04"))
    assert "corner" in mend_words(mend)


def test_nobody_is_asked_for_food_that_would_not_keep() -> None:
    """Brought on the 5th for a session on the 8th: mince that keeps 1 day is asked of nobody, 3 days of corner."""
    sheets = {
        **LATE,
        "Suppliers": "Supplier | Lead days | Delivery days\nshop | 2 | Wed\ncorner | 1 |",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | 2\n"
        "corner | milk | 1 | L | 2",
    }
    chilled = "Ingredient | Storage | Contains | Keeps\nbean mix | chill | none | {}\nmilk | chill | milk | 5"
    kinds = {days: set(mends({**sheets, "Ingredients": chilled.format(days)})) for days in (1, 3)}
    assert "supplier" in kinds[3]
    assert kinds[1].isdisjoint({"supplier", "pack"})
    further = {**sheets, "Sessions": ONE.replace("@2027-01-08", "@2027-01-09")}
    kinds = {days: set(mends({**further, "Ingredients": chilled.format(days)})) for days in (2, 3)}
    assert ("supplier" in kinds[2], "supplier" in kinds[3]) == (False, True)  # 4 days from the 5th on


SWAPS = "Ingredient | Need | Use instead | Ratio | Unit\nbean mix | no bean mix | pea mix | 1/2 | g"
PEAS = {
    **LATE,
    "Ingredients": "Ingredient | Contains\nbean mix | none\npea mix | soy",
    "Swaps": SWAPS,
}


def test_a_swap_that_is_in_the_pantry_with_the_amount_it_takes() -> None:
    """200 g are missing; half as much pea mix stands for it."""
    mend = mends({**PEAS, "Stock": "Ingredient | Amount | Unit\npea mix | 100 | g"})["swap"]
    assert (mend.instead, mend.amount, mend.unit) == ("pea mix", 100, "g")
    assert mend_words(mend) == "use pea mix from the pantry instead: 100 g"


def test_the_amount_of_a_swap_is_of_the_substitute_as_bought() -> None:
    """100 g without the half that is peeled off are 200 g; bean mix has nothing to peel."""
    ingredients = "Ingredient | Contains | Edible share\nbean mix | none | 100%\npea mix | soy | 50%"
    stock = {"Stock": "Ingredient | Amount | Unit\npea mix | 250 | g"}
    assert mends({**PEAS, **stock, "Ingredients": ingredients})["swap"].amount == 200


def test_no_swap_that_is_too_little_out_of_date_on_hold_or_unsafe() -> None:
    for stock in ("pea mix | 99 | g | |", "pea mix | 100 | g | @2027-01-07 |", "pea mix | 100 | g | | yes"):
        assert "swap" not in mends({**PEAS, "Stock": f"Ingredient | Amount | Unit | Best before | Hold\n{stock}"})
    needy = "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h2 | no soy"
    stock = {"Stock": "Ingredient | Amount | Unit\npea mix | 500 | g"}
    assert "swap" in mends({**PEAS, **stock})
    assert "swap" not in mends({**PEAS, **stock, "Enrolment": needy})


def test_each_substitute_of_the_food_itself_is_offered_once() -> None:
    """Lentils stand in for rice only, pea mix in two rows; rows that leave beans out are one mend together."""
    sheets = {
        **LATE,
        "Ingredients": "Ingredient | Contains\nbean mix | none\npea mix | none\nlentils | none\nrice | none",
        "Swaps": f"{SWAPS}\nrice | no rice | lentils | 1 | g\nbean mix | vegan | pea mix | 1 | g\n"
        "bean mix | no soy | leave out | |\nbean mix | no milk | leave out | |",
        "Stock": "Ingredient | Amount | Unit\npea mix | 900 | g\nlentils | 900 | g",
    }
    found = [(mend.instead, mend.amount) for mend in planned(sheets)[1].mends if mend.kind in ("swap", "leave out")]
    assert found == [("pea mix", 100), ("", 0)]


def test_part_of_the_need_takes_its_part_of_the_substitute() -> None:
    sheets = {**PEAS, "Stock": "Ingredient | Amount | Unit\npea mix | 100 | g\nbean mix | 150 | g"}
    assert mends(sheets)["swap"].amount == 25


def test_a_closed_week_is_a_conflict_that_names_the_closed_days() -> None:
    """Leaf mix keeps 4 days; the session is on Thu 14 January, packed on it; Mon 11 to Thu 14 nothing comes."""
    sheets = {
        "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-14 | stew",
        "Ingredients": "Ingredient | Storage | Contains | Keeps\nbean mix | chill | none | 4",
        "Closures": "Date | Until | What\n@2027-01-11 | @2027-01-14 | deliveries",
    }
    _, plan = planned(sheets)
    (conflict,) = plan.conflicts
    assert (conflict.arrives, conflict.through, conflict.use_by) == (D("2027-01-08"), D("2027-01-12"), D("2027-01-14"))
    assert [day.day for day in conflict.closed] == [11, 12, 13, 14]
    later = {**sheets, "Closures": sheets["Closures"].replace("@2027-01-14", "@2027-01-20")}
    assert [day.day for day in planned(later)[1].conflicts[0].closed] == [11, 12, 13, 14]
    kinds = [mend.kind for mend in plan.mends]
    assert kinds == ["pack", "frozen"]  # no day to come on; a pack for longer, or frozen
    assert plan.mends[0].days == 6
    longer = {**sheets, "Ingredients": sheets["Ingredients"].replace("4", "6")}
    assert planned(longer)[1].shortages == ()


def test_a_day_between_deliveries_is_offered() -> None:
    sheets = {
        "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-14 | stew",
        "Ingredients": "Ingredient | Storage | Contains | Keeps\nbean mix | chill | none | 2",
        "Suppliers": "Supplier | Lead days | Delivery days\nshop | 1 | Mon",
    }
    found = mends(sheets)
    assert found["delivery day"].day == D("2027-01-14")
    assert found["delivery day"].order_by == D("2027-01-13")
    asked = {**sheets, "Suppliers": sheets["Suppliers"].replace("Mon", "Mon; Thu")}
    assert planned(asked)[1].shortages == ()


def test_the_earliest_day_between_deliveries_is_that_from_which_the_food_just_keeps() -> None:
    """Food that keeps 2 days for Thu 14 January may come on Tue 12, not on Mon 11."""
    sheets = {
        "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-14 | stew",
        "Ingredients": "Ingredient | Storage | Contains | Keeps\nbean mix | chill | none | 2",
        "Suppliers": "Supplier | Lead days | Delivery days\nshop | 1 | Fri",
    }
    closed = "Date | Until | What\n@2027-01-{} | @2027-01-14 | deliveries"
    found = mends({**sheets, "Closures": closed.format(13)})["delivery day"]
    assert (found.day, found.order_by) == (D("2027-01-12"), D("2027-01-11"))
    assert "delivery day" not in mends({**sheets, "Closures": closed.format(12)})


def test_a_day_between_deliveries_is_ordered_today_at_the_earliest() -> None:
    """Planned on Mon 4 January for Wed 6 January: the mill's keeps longer; two working days are just enough."""
    sheets = {
        "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-06 | stew",
        "Ingredients": "Ingredient | Storage | Contains\nbean mix | chill | none",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price | Keeps\n"
        "shop | bean mix | 250 | g | 2.00 | 1\nmill | bean mix | 250 | g | 2.00 | 2",
    }
    suppliers = (
        "Supplier | Lead days | Order days | Delivery days\nshop | 0 | Mon; Tue; Wed | Mon\nmill | {} | {} | Fri"
    )
    week = "Mon; Tue; Wed; Thu; Fri"
    for lead, asked, by in ((2, "mill", "2027-01-04"), (3, "shop", "2027-01-06")):
        found = mends({**sheets, "Suppliers": suppliers.format(lead, week)})["delivery day"]
        assert (found.supplier, found.day, found.order_by) == (asked, D("2027-01-06"), D(by))


def test_a_frozen_food_on_offer_is_named() -> None:
    sheets = {
        "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-14 | stew",
        "Ingredients": "Ingredient | Storage | Contains | Keeps\nbean mix | chill | none | 2\n"
        "frozen bean mix | freeze | none | 90",
        "Suppliers": "Supplier | Lead days | Delivery days\nshop | 1 | Mon",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | 2.00\n"
        "shop | frozen bean mix | 250 | g | 2.00",
    }
    assert mends(sheets)["frozen"].instead == "frozen bean mix"


def test_a_plain_shortage_is_no_conflict() -> None:
    _, plan = planned(LATE)
    assert plan.shortages
    assert plan.conflicts == ()


def test_nothing_short_needs_no_mend() -> None:
    _, plan = planned()
    assert plan.mends == plan.conflicts == ()


@pytest.mark.parametrize(
    ("mend", "words"),
    [
        (
            {"kind": "packing day", "day": D("2027-01-07"), "supplier": "shop", "order_by": D("2027-01-05")},
            "pack on Thu 7 Jan 2027: shop then brings it in time (order by Tue 5 Jan 2027)",
        ),
        (
            {"kind": "packing day", "day": D("2027-01-07"), "supplier": "shop"},
            "pack on Thu 7 Jan 2027: shop then brings it in time",
        ),
        (
            {"kind": "delivery day", "day": D("2027-01-07"), "supplier": "shop", "order_by": D("2027-01-05")},
            "ask shop for a delivery on Thu 7 Jan 2027 (order by Tue 5 Jan 2027)",
        ),
        (
            {"kind": "supplier", "day": D("2027-01-07"), "supplier": "mill", "days": 1},
            "ask mill, who delivers on Thu 7 Jan 2027, for it, to keep at least 1 days",
        ),
        (
            {"kind": "supplier", "day": D("2027-01-07"), "supplier": "mill"},
            "ask mill, who delivers on Thu 7 Jan 2027, for it",
        ),
        ({"kind": "swap", "instead": "peas", "amount": F(400), "unit": "g"}, "use peas from the pantry instead: 400 g"),
        ({"kind": "leave out"}, "leave it out, as a row of Swaps does"),
        ({"kind": "frozen", "instead": "frozen beans"}, "order frozen beans instead"),
        ({"kind": "frozen"}, "buy it frozen, where the recipe allows"),
        (
            {"kind": "pack", "day": D("2027-01-07"), "days": 9},
            "find a pack that keeps at least 9 days from Thu 7 Jan 2027",
        ),
    ],
)
def test_a_mend_in_words(mend: dict[str, Any], words: str) -> None:
    assert mend_words(Mend("beans", "w1", **mend)) == words
