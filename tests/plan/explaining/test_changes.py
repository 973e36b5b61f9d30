"""What changed between two runs of one small term; unsafe kits above all."""

import datetime as dt
import json
from collections.abc import Mapping

import pytest
from plan.food_support import MONDAY, SHEETS, planned, settings

from opsreport.plan.explaining.changes import changes
from opsreport.plan.explaining.earlier import earlier_plan
from opsreport.plan.explaining.notices import change_notices
from opsreport.plan.model import Changes, Plan
from opsreport.write.json_file import plan_json

D = dt.date.fromisoformat
TUESDAY = D("2027-01-05")


def between(
    before: Mapping[str, str], now: Mapping[str, str], first: dt.date = MONDAY, second: dt.date = MONDAY
) -> Changes:
    """What changed from a run with some sheets to one with others."""
    return chain((before, first), (now, second))


def chain(*runs: tuple[Mapping[str, str], dt.date]) -> Changes:
    """The last run's changes since the one before it, each having looked back at its own predecessor."""
    last = None
    earlier = None
    for sheets, day in runs:
        programme, plan = planned(sheets, day)
        last = None if earlier is None else changes(programme, plan, earlier)
        told = plan_json(Plan(programme.as_of, programme.currency.code, plan, None, changes=last), [])
        earlier = earlier_plan(json.loads(told))
    assert last is not None
    return last


def test_nothing_changed() -> None:
    found = between({}, {})
    cost = found.cost_now
    assert found == Changes(since=MONDAY, cost_before=cost, cost_now=cost, all_before=cost, all_now=cost)


# --- safety ---

WEDNESDAY = "Session | Group | Date | Recipes | Packing date\nw1 | g1 | @2027-01-06 | stew | @2027-01-04"
PACKED = {
    "Sessions": WEDNESDAY,
    "Stock": "Ingredient | Amount | Unit\nbean mix | 900 | g\npea mix | 900 | g",
    "Ingredients": "Ingredient | Contains\nbean mix | soy\npea mix | none",
    "Swaps": "Ingredient | Need | Use instead\nbean mix | no soy | pea mix",
}
"""Packed on Monday for Wednesday."""
NEED = {"Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h2 | no soy"}


def test_an_allergy_that_came_in_after_packing_names_the_kit_to_pull() -> None:
    found = between(PACKED, {**PACKED, **NEED}, second=TUESDAY)
    (pulled,) = found.pull
    assert (pulled.kit, pulled.holder, pulled.foods, pulled.instead) == ("w1-A", "h2", ("bean mix",), ("pea mix",))
    assert (pulled.packed, pulled.day, pulled.needs) == (MONDAY, D("2027-01-06"), ("no soy",))
    (finding,) = change_notices(planned({**PACKED, **NEED}, TUESDAY)[0], found)
    assert (finding.code, str(finding.place)) == ("packed-kit-against-need", "Enrolment!D3")
    assert "w1-A" in finding.message
    assert "bean mix: pea mix" in finding.fix


def test_a_kit_that_was_packed_with_the_swap_stays() -> None:
    assert between({**PACKED, **NEED}, {**PACKED, **NEED}, second=TUESDAY).pull == ()


def test_on_the_packing_day_itself_the_kit_may_be_packed_already() -> None:
    assert [pulled.kit for pulled in between(PACKED, {**PACKED, **NEED}).pull] == ["w1-A"]


def test_a_session_that_is_over_cancelled_or_not_yet_packed_pulls_nothing() -> None:
    now = {**PACKED, **NEED}
    assert between(PACKED, now, second=D("2027-01-07")).pull == ()
    cancelled = {**now, "Sessions": WEDNESDAY.replace("Packing date", "Status").replace("@2027-01-04", "cancelled")}
    assert between(PACKED, cancelled, second=TUESDAY).pull == ()
    later = {"Sessions": WEDNESDAY.replace("@2027-01-04", "@2027-01-06")}
    assert between({**PACKED, **later}, {**now, **later}, second=TUESDAY).pull == ()


def test_a_run_in_between_does_not_make_a_packed_kit_forgotten() -> None:
    """Monday's run packs; Tuesday's knows no need yet and has nothing left to pack; the need comes in after it."""
    found = chain((PACKED, MONDAY), (PACKED, TUESDAY), ({**PACKED, **NEED}, TUESDAY))
    assert [pulled.kit for pulled in found.pull] == ["w1-A"]
    again = chain((PACKED, MONDAY), ({**PACKED, **NEED}, TUESDAY), ({**PACKED, **NEED}, D("2027-01-06")))
    assert [pulled.kit for pulled in again.pull] == ["w1-A"]


def test_a_need_without_a_swap_still_names_the_kit() -> None:
    need = {"Enrolment": NEED["Enrolment"].replace("no soy", "no bean mix")}
    (pulled,) = between(PACKED, {**PACKED, **need}, second=TUESDAY).pull
    assert pulled.instead == ("",)


def test_a_kit_for_each_participant_is_told_apart() -> None:
    groups = {"Groups": "Group | Kit for\ng1 | participant"}
    (pulled,) = between({**PACKED, **groups}, {**PACKED, **groups, **NEED}, second=TUESDAY).pull
    assert pulled.holder == "p2"


def test_a_table_for_someone_whose_need_no_table_meets() -> None:
    groups = {"Groups": "Group | Format | People per table\ng1 | table | 4"}
    (pulled,) = between({**PACKED, **groups}, {**PACKED, **groups, **NEED}, second=TUESDAY).pull
    assert (pulled.kit, pulled.holder, pulled.foods) == ("w1-A", "", ("bean mix",))
    assert between({**PACKED, **groups, **NEED}, {**PACKED, **groups, **NEED}, second=TUESDAY).pull == ()


# --- kits and needs ---


def test_a_late_enrolment_changes_kits_needs_orders_and_cost() -> None:
    """A third household from the second week on: 100 g more there, so the second order grows by nothing or a pack."""
    joined = "Participant | Group | Household | Needs | Joined\np1 | g1 | h1 | none |\np2 | g1 | h2 | none |\n"
    later = {"Enrolment": f"{joined}p3 | g1 | h3 | none | @2027-01-12\np4 | g1 | h4 | none | @2027-01-12"}
    found = between({}, later)
    assert [(kit.session, kit.what, kit.before, kit.now) for kit in found.kits] == [("w3", "changed", 2, 4)]
    assert [(need.food, need.before, need.now) for need in found.needs] == [("bean mix", 400, 600)]
    assert [(row.what, row.order, row.before, row.now, row.cost) for row in found.orders] == [
        ("raise", "shop-20270118", 1, 2, 200)
    ]
    assert (found.cost_before, found.cost_now) == (400, 600)


@pytest.mark.parametrize(
    ("row", "what"),
    [("w3 | g1 | @2027-01-18 | stew | cancelled", "cancelled"), ("w4 | g1 | @2027-01-18 | stew |", "gone")],
)
def test_a_session_that_falls_away(row: str, what: str) -> None:
    now = f"Session | Group | Date | Recipes | Status\nw2 | g1 | @2027-01-11 | stew |\n{row}"
    found = between({}, {"Sessions": now})
    assert ("w3", what, 2, None) in [(kit.session, kit.what, kit.before, kit.now) for kit in found.kits]


def test_what_was_packed_since_is_no_less_need() -> None:
    found = between({}, {}, second=D("2027-01-12"))
    assert [(kit.session, kit.what) for kit in found.kits] == [("w2", "packed")]
    assert found.needs == ()


def test_a_day_moved_and_other_contents_are_said() -> None:
    moved = "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-12 | stew\nw3 | g1 | @2027-01-18 | stew"
    assert between({}, {"Sessions": moved}).kits[0].differs == ("session day", "packing day")
    recipes = "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 101 | g"
    assert [kit.differs for kit in between({}, {"Recipes": recipes}).kits] == [("contents",), ("contents",)]


def test_a_need_that_turns_one_kit_into_another_sort_is_a_change_though_the_number_stays() -> None:
    """Two plain kits and one with a swap, then one and two: every sort was there before."""
    sheets = {
        "Ingredients": "Ingredient | Contains\nbean mix | soy\npea mix | none",
        "Swaps": "Ingredient | Need | Use instead\nbean mix | no soy | pea mix",
    }
    people = "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h2 | {}\np3 | g1 | h3 | no soy"
    found = between({**sheets, "Enrolment": people.format("none")}, {**sheets, "Enrolment": people.format("no soy")})
    assert [(kit.session, kit.before, kit.now, kit.differs) for kit in found.kits] == [
        ("w2", 3, 3, ("how many of each sort",)),
        ("w3", 3, 3, ("how many of each sort",)),
    ]


# --- orders ---

ORDERS = "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due"


def test_an_order_entered_as_placed_is_not_ordered_again() -> None:
    found = between({}, {"Orders": f"{ORDERS}\nA7 | shop | bean mix | 1 | 250 | g | @2027-01-11"})
    assert [(row.what, row.order, row.before, row.now, row.placed) for row in found.orders] == [
        ("placed", "shop-20270111", 1, 0, "A7")
    ]


def test_placing_an_order_costs_nothing_more_and_a_late_household_what_it_costs() -> None:
    """At 2.00 a pack: both orders to place; then one is placed at that price; then a household more takes a pack."""
    placed = {"Orders": f"{ORDERS}\nA7 | shop | bean mix | 1 | 250 | g | @2027-01-11"}
    found = between({}, placed)
    assert (found.cost_before, found.cost_now) == (400, 200)
    assert found.all_before == found.all_now == 400
    people = f"{SHEETS['Enrolment']}\np3 | g1 | h3 | none\np4 | g1 | h4 | none"
    assert (more := between({}, {**placed, "Enrolment": people})).all_now is not None
    assert (more.all_before, more.all_now) == (400, 800)


def test_an_earlier_run_that_tells_no_money_spent_is_compared_by_its_orders_only() -> None:
    programme, plan = planned()
    told = json.loads(plan_json(Plan(programme.as_of, "USD", plan, None), []))
    del told["budget"]
    earlier = earlier_plan(told)
    assert earlier is not None
    found = changes(programme, plan, earlier)
    assert (found.all_before, found.all_now, found.cost_before) == (None, None, 400)


def test_more_for_a_day_on_which_something_is_placed_may_raise_that() -> None:
    orders = {"Orders": f"{ORDERS}\nA7 | shop | bean mix | 1 | 50 | g | @2027-01-11"}
    households = "\n".join(f"p{n} | g1 | h{n} | none" for n in range(9))
    found = between(orders, {**orders, "Enrolment": f"Participant | Group | Household | Needs\n{households}"})
    assert {row.placed for row in found.orders if row.order == "shop-20270111"} == {"A7"}
    assert {row.what for row in found.orders} == {"raise"}


def test_an_order_entered_for_another_day_is_placed_as_well() -> None:
    """Two packs on Friday the 8th are all that the Mondays after need; nothing placed stands on these days."""
    found = between({}, {"Orders": f"{ORDERS}\nA7 | shop | bean mix | 2 | 250 | g | @2027-01-08"})
    assert [(row.what, row.order, row.now, row.placed) for row in found.orders] == [
        ("placed", "shop-20270111", 0, ""), ("placed", "shop-20270118", 0, ""),
    ]  # fmt: skip


def test_fewer_packs_are_a_cut_unless_the_others_are_placed() -> None:
    """Four households need two packs a week, two need one; or one of the two for the 11th is on order."""
    households = "\n".join(f"p{n} | g1 | h{n} | none" for n in range(1, 5))
    four = {"Enrolment": f"Participant | Group | Household | Needs\n{households}"}
    assert [(row.what, row.order, row.before, row.now) for row in between(four, {}).orders] == [
        ("cut", "shop-20270111", 2, 1), ("cut", "shop-20270118", 2, 1),
    ]  # fmt: skip
    ordered = {"Orders": f"{ORDERS}\nA7 | shop | bean mix | 1 | 250 | g | @2027-01-11"}
    assert [
        (row.what, row.order, row.before, row.now, row.placed) for row in between(four, {**four, **ordered}).orders
    ] == [("placed", "shop-20270111", 2, 1, "A7")]


def test_what_is_no_longer_needed_is_dropped_and_what_nobody_placed_in_time_is_past() -> None:
    less = {"Stock": "Ingredient | Amount | Unit\nbean mix | 200 | g"}
    assert [(row.what, row.order) for row in between({}, less).orders] == [("drop", "shop-20270111")]
    enough = {"Stock": "Ingredient | Amount | Unit\nbean mix | 400 | g"}
    assert [(row.what, row.order) for row in between({}, enough, second=D("2027-01-12")).orders] == [
        ("past", "shop-20270111"), ("drop", "shop-20270118"),
    ]  # fmt: skip


# --- prices and cost ---


@pytest.mark.parametrize(("price", "moved"), [("2.20", False), ("2.21", True), ("1.80", False), ("1.79", True)])
def test_a_price_that_moved_by_more_than_a_tenth_is_a_warning_with_both_totals(price: str, moved: bool) -> None:
    packs = f"Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | {price}"
    found = between({}, {"Packs": packs})
    assert bool(found.prices) == moved
    findings = change_notices(planned({"Packs": packs})[0], found)
    assert [(finding.code, str(finding.place)) for finding in findings] == [("price-moved", "Packs!E2")] * moved
    if moved:
        assert "$4.00" in findings[0].message
        assert f"${2 * float(price):.2f}" in findings[0].message


def test_another_currency_compares_no_money() -> None:
    found = between({}, {"Settings": settings("Currency | EUR")})
    assert (found.cost_before, found.cost_now, found.prices) == (None, None, ())
