"""Packing days, order-by days, delivery days, and the last day on which food is good."""

import datetime as dt
from fractions import Fraction

import pytest

from opsreport.findings import NOWHERE
from opsreport.measures.units import Quantity
from opsreport.plan.dates import (
    delivery_days,
    lot_good_through,
    on_order_good_through,
    opened_limit,
    order_by,
    packing_day,
)
from opsreport.programme import Calendar, Group, Lot, OnOrder, Session, Supplier

D = dt.date.fromisoformat
MON, TUE, WED, THU, FRI, SAT, SUN = range(7)
WEEKDAYS = frozenset({MON, TUE, WED, THU, FRI})
EVERY_DAY = frozenset(range(7))


def days(*isos: str) -> frozenset[dt.date]:
    return frozenset(D(iso) for iso in isos)


def session(day: str, packing_date: str = "") -> Session:
    packed = D(packing_date) if packing_date else None
    return Session("s", "g", D(day), "", None, "", (), "planned", packed, None, "", "", NOWHERE)


def lot(best_before: str = "", opened: str = "") -> Lot:
    return Lot(
        "milk", "", Quantity(Fraction(1), "L"), Fraction(1000), D(best_before) if best_before else None,
        D(opened) if opened else None, "", False, None, False, NOWHERE,
    )  # fmt: skip


def on_order(due: str, best_before: str = "") -> OnOrder:
    return OnOrder(
        "o", "s", "milk", "", Fraction(1), Quantity(Fraction(1), "L"), Fraction(1000), D(due),
        D(best_before) if best_before else None, NOWHERE,
    )  # fmt: skip


# --- order-by ---


def test_order_by_counts_the_suppliers_days_back() -> None:
    """Delivery Wed 25 Nov 2026, lead 3, nothing closed before it: Fri 20 Nov."""
    assert order_by(D("2026-11-25"), Supplier("s", lead_days=3), Calendar(WEEKDAYS)) == D("2026-11-20")


def test_order_by_with_deliveries_on_two_days() -> None:
    """Deliveries on Tue and Fri only: for packing on Wed 25 Nov 2026, Tue 24 Nov, ordered Thu 19 Nov."""
    supplier = Supplier("s", lead_days=3, delivery_days=(TUE, FRI))
    calendar = Calendar(WEEKDAYS)
    last = delivery_days(supplier, calendar, D("2026-11-01"), D("2026-11-25"))[-1]
    assert last == D("2026-11-24")
    assert order_by(last, supplier, calendar) == D("2026-11-19")


@pytest.mark.parametrize(
    ("arrives", "lead", "order_days", "closed", "by"),
    [
        ("2026-11-25", 0, WEEKDAYS, (), "2026-11-25"),  # lead 0: the delivery day itself
        ("2026-11-28", 0, WEEKDAYS, (), "2026-11-28"),
        ("2026-11-25", 1, WEEKDAYS, (), "2026-11-24"),
        ("2026-11-23", 1, WEEKDAYS, (), "2026-11-20"),  # over the weekend
        ("2026-11-22", 1, WEEKDAYS, (), "2026-11-20"),
        ("2026-11-25", 5, WEEKDAYS, (), "2026-11-18"),
        ("2026-11-25", 3, EVERY_DAY, (), "2026-11-22"),
        ("2026-11-25", 2, (WED,), (), "2026-11-11"),  # one order day a week
        ("2026-11-25", 1, (WED,), (), "2026-11-18"),  # never the delivery day itself
        ("2026-11-25", 3, WEEKDAYS, ("2026-11-23",), "2026-11-19"),  # a closed day does not count
        ("2026-11-25", 3, WEEKDAYS, ("2026-11-25",), "2026-11-20"),  # the delivery day is not counted anyway
        ("2026-11-25", 1, WEEKDAYS, ("2026-11-24", "2026-11-23", "2026-11-20"), "2026-11-19"),
        ("2027-01-04", 2, WEEKDAYS, ("2026-12-31", "2027-01-01"), "2026-12-29"),
    ],
)  # fmt: skip
def test_order_by(arrives: str, lead: int, order_days: tuple[int, ...], closed: tuple[str, ...], by: str) -> None:
    supplier = Supplier("s", lead_days=lead, order_days=tuple(order_days))
    assert order_by(D(arrives), supplier, Calendar(WEEKDAYS, days(*closed))) == D(by)


def test_a_day_closed_for_packing_only_counts_for_orders() -> None:
    calendar = Calendar(WEEKDAYS, closed_for_packing=days("2026-11-24"))
    assert order_by(D("2026-11-25"), Supplier("s", lead_days=1), calendar) == D("2026-11-24")


def test_order_days_need_not_be_open_days() -> None:
    """They are the supplier's working days, not the kitchen's."""
    supplier = Supplier("s", lead_days=1, order_days=(SAT,))
    assert order_by(D("2026-11-25"), supplier, Calendar(WEEKDAYS)) == D("2026-11-21")


def test_a_supplier_closed_for_good_does_not_hang() -> None:
    assert order_by(D("2026-11-25"), Supplier("s", lead_days=1, order_days=()), Calendar(WEEKDAYS)) < D("2026-11-25")


# --- deliveries ---


def test_deliveries_come_on_the_suppliers_days_that_are_open_and_not_closed() -> None:
    supplier = Supplier("s", delivery_days=(TUE, FRI, SAT))
    calendar = Calendar(WEEKDAYS, closed_for_deliveries=days("2026-11-20"), closed_for_packing=days("2026-11-24"))
    found = delivery_days(supplier, calendar, D("2026-11-17"), D("2026-11-27"))
    assert found == [D("2026-11-17"), D("2026-11-24"), D("2026-11-27")]
    assert delivery_days(supplier, calendar, D("2026-11-24"), D("2026-11-24")) == [D("2026-11-24")]
    assert delivery_days(supplier, calendar, D("2026-11-25"), D("2026-11-24")) == []


# --- packing days ---


@pytest.mark.parametrize(
    ("day", "lead", "closed", "packed"),
    [
        ("2026-11-25", 1, (), "2026-11-24"),
        ("2026-11-25", 0, (), "2026-11-25"),
        ("2026-11-25", 2, (), "2026-11-23"),
        ("2026-11-23", 1, (), "2026-11-20"),  # Sunday: moved earlier
        ("2026-11-29", 1, (), "2026-11-27"),  # Saturday: moved earlier
        ("2026-11-25", 1, ("2026-11-24",), "2026-11-23"),
        ("2026-11-24", 1, ("2026-11-23",), "2026-11-20"),
        ("2026-11-25", 1, ("2026-11-24", "2026-11-23", "2026-11-20"), "2026-11-19"),
    ],
)  # fmt: skip
def test_packing_day_is_moved_earlier_to_an_open_day(day: str, lead: int, closed: tuple[str, ...], packed: str) -> None:
    calendar = Calendar(WEEKDAYS, closed_for_packing=days(*closed))
    assert packing_day(session(day), Group("g", packing_lead=lead), calendar) == D(packed)


def test_a_day_closed_for_deliveries_only_is_a_packing_day() -> None:
    calendar = Calendar(WEEKDAYS, closed_for_deliveries=days("2026-11-24"))
    assert packing_day(session("2026-11-25"), Group("g", packing_lead=1), calendar) == D("2026-11-24")


@pytest.mark.parametrize("given", ["2026-11-20", "2026-11-22", "2026-11-25"])
def test_a_packing_date_is_taken_as_given(given: str) -> None:
    assert packing_day(session("2026-11-25", given), Group("g"), Calendar(WEEKDAYS)) == D(given)


def test_no_open_day_at_all_leaves_the_lead() -> None:
    assert packing_day(session("2026-11-25"), Group("g"), Calendar(frozenset())) == D("2026-11-24")


# --- how long food is good ---


@pytest.mark.parametrize(
    ("opened", "keeps_open", "through"),
    [
        # FDA Food Code 3-501.17: at most 7 days, the day of preparation being day 1 (day-1 rule from memory)
        ("2027-01-04", 7, "2027-01-10"),  # a Monday: the Sunday after is day 7
        ("2027-01-04", 1, "2027-01-04"),
        ("2027-01-04", 2, "2027-01-05"),
    ],
)
def test_the_day_of_opening_is_day_one(opened: str, keeps_open: int, through: str) -> None:
    assert opened_limit(D(opened), keeps_open) == D(through)
    assert lot_good_through(lot(opened=opened), keeps_open) == D(through)


def test_without_a_figure_nothing_limits_what_is_opened() -> None:
    assert opened_limit(D("2027-01-04"), None) is None
    assert lot_good_through(lot(opened="2027-01-04"), None) is None


@pytest.mark.parametrize(
    ("best_before", "opened", "through"),
    [
        ("2027-01-08", "2027-01-04", "2027-01-08"),  # Food Code 3-501.17: never later than the maker's own date
        ("2027-02-08", "2027-01-04", "2027-01-10"),
        ("2027-02-08", "", "2027-02-08"),
        ("", "", None),
    ],
)
def test_a_lot_is_good_through_the_earlier_of_its_dates(best_before: str, opened: str, through: str | None) -> None:
    assert lot_good_through(lot(best_before, opened), 7) == (D(through) if through else None)


def test_what_is_on_order_keeps_from_its_due_day() -> None:
    assert on_order_good_through(on_order("2027-01-04"), 7) == D("2027-01-11")
    assert on_order_good_through(on_order("2027-01-04"), 0) == D("2027-01-04")
    assert on_order_good_through(on_order("2027-01-04"), None) is None
    assert on_order_good_through(on_order("2027-01-04", "2027-01-06"), 7) == D("2027-01-06")
    assert on_order_good_through(on_order("2027-01-04", "2027-03-06"), 7) == D("2027-03-06")
