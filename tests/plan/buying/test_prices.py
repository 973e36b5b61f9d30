"""What prices of deliveries prove, worked by hand."""

import datetime as dt
from fractions import Fraction

from opsreport.money import Money
from opsreport.plan.buying.options import WHOLE, Way
from opsreport.plan.buying.prices import DualPrices, State, bound_in_parts, state_costs
from opsreport.programme import Supplier

DAY = ("v", dt.date(2027, 1, 6))


def supplier(minimum: int = 0, free_from: int | None = None) -> Supplier:
    return Supplier(
        supplier="v", name="v", order_to="", account="", lead_days=0, order_days=(), delivery_days=(), cut_off="",
        minimum_order=Money(minimum), delivery_fee=Money(500), tax=Fraction(0),
        free_from=None if free_from is None else Money(free_from),
    )  # fmt: skip


def way(bound: int) -> Way:
    return Way((), (), 0, (Fraction(0), 0, 0, 0), bound * WHOLE, 0)


def test_a_fee_shared_by_two_foods_is_proven_whole() -> None:
    prices = DualPrices({"a": {DAY: 200 * WHOLE}, "b": {DAY: 300 * WHOLE}}, {})
    ways = {"a": way(1200), "b": way(800)}
    assert bound_in_parts(prices, ways, {"v": supplier()}, minimums=True) == 2000 * WHOLE


def test_what_foods_pay_beyond_the_fee_comes_off() -> None:
    prices = DualPrices({"a": {DAY: 200 * WHOLE}, "b": {DAY: 400 * WHOLE}}, {})
    assert bound_in_parts(prices, {"a": way(1200)}, {"v": supplier()}, minimums=True) == 1100 * WHOLE


def test_a_grant_is_worth_the_minimum_only_where_minimums_hold() -> None:
    prices = DualPrices({"a": {DAY: 700 * WHOLE}}, {DAY: WHOLE // 10})
    assert bound_in_parts(prices, {"a": way(1200)}, {"v": supplier(2000)}, minimums=True) == 1200 * WHOLE
    assert bound_in_parts(prices, {"a": way(1200)}, {"v": supplier(2000)}, minimums=False) == 1000 * WHOLE


def test_free_delivery_limits_what_a_fee_proves() -> None:
    prices = DualPrices({"a": {DAY: 500 * WHOLE}}, {DAY: WHOLE // 10})
    assert bound_in_parts(prices, {"a": way(1200)}, {"v": supplier(0, 3000)}, minimums=True) == 1000 * WHOLE
    assert DualPrices({}, {DAY: WHOLE // 10}).of("a").share == {DAY: WHOLE - WHOLE // 10}


def test_a_delivery_whose_state_is_known_costs_what_that_state_costs() -> None:
    prices, terms = DualPrices({"a": {DAY: 200 * WHOLE}}, {DAY: WHOLE // 10}), {"v": supplier(1000, 3000)}
    its = {State.UNUSED: 0, State.PAID: (500 + 100 - 200) * WHOLE, State.FREE: (300 - 200) * WHOLE}
    assert state_costs(prices, terms, {}, minimums=True) == {DAY: its}
    for state, cost in its.items():
        assert bound_in_parts(prices, {"a": way(1200)}, terms, {DAY: state}, minimums=True) == 1200 * WHOLE + cost


def test_a_delivery_asked_for_anyhow_costs_no_food_anything() -> None:
    prices = DualPrices({"a": {DAY: 200 * WHOLE}}, {})
    assert prices.where({DAY: State.PAID | State.FREE}).setup == {"a": {}}
    assert prices.where({DAY: State.UNUSED | State.FREE}) == prices
