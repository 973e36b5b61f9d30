"""Which days get an entry, in which order, under which lasting uid."""

import datetime as dt

from opsreport.money import Money
from opsreport.plan.model import FoodPlan, Order, Plan, PlannedSession, Variant
from opsreport.tables.calendar_entries import calendar_entries

MONDAY = dt.date(2026, 3, 9)
NOUGHT = Money(0)


def session(name: str, day: dt.date = MONDAY, kits: int = 1) -> PlannedSession:
    return PlannedSession(name, "tue", day, MONDAY, (Variant("A", kits, (), 0, 0, {}, (), (), ()),))


def plan(food: FoodPlan | None) -> Plan:
    return Plan(dt.date(2026, 2, 20), "USD", food, None)


def test_one_day_in_the_order_of_work() -> None:
    order = Order("PO-1", "Bright", MONDAY, MONDAY, False, NOUGHT, NOUGHT, NOUGHT, NOUGHT, False)
    food = FoodPlan(sessions=(session("s1", kits=2), session("s2")), orders=(order,))
    entries = calendar_entries(plan(food), "spring")
    assert [entry.uid.partition("-")[0] for entry in entries] == [
        "order", "delivery", "packing", "session", "session",
    ]  # fmt: skip
    assert entries[2].summary == "Pack 3 kits"
    assert entries[2].description == "s1 (tue): 2 kits\ns2 (tue): 1 kit"


def test_moved_session_keeps_its_uid() -> None:
    before, after = (
        calendar_entries(plan(FoodPlan(sessions=(session("s1", day),))), "spring")[-1]
        for day in (MONDAY, MONDAY + dt.timedelta(days=2))
    )
    assert (before.uid, before.day) != (after.uid, after.day)
    assert before.uid == after.uid


def test_uids_differ_between_programmes_and_sessions() -> None:
    food = plan(FoodPlan(sessions=(session("s1"), session("s2"))))
    uids = [entry.uid for term in ("spring", "autumn") for entry in calendar_entries(food, term)]
    assert len(set(uids)) == len(uids) == 6


def test_stopped_food_gives_no_entries() -> None:
    assert calendar_entries(plan(None), "spring") == ()
