"""The relaxation over known ways and the best choice among them, on the table of the exchanges."""

import dataclasses
import random
from itertools import product

import pytest
from plan.buying.test_exchange import DAYS, KNOWN, TERMS, drawn_ways, paid, way
from plan.buying.test_prices import supplier

from opsreport.plan.buying.master import Master
from opsreport.plan.buying.options import WHOLE
from opsreport.plan.buying.prices import State, bound_in_parts


def master(minimum: int, free_from: int | None) -> Master:
    made = Master({"v": supplier(minimum, free_from)}, list(KNOWN), 10_000, minimums=True)
    for food, ways in KNOWN.items():
        for its in ways:
            assert made.add(food, its)
            assert not made.add(food, its)
    return made


@pytest.mark.parametrize(("minimum", "free_from"), TERMS)
def test_the_best_choice_is_the_cheapest_of_all(minimum: int, free_from: int | None) -> None:
    start = {food: ways[0] for food, ways in KNOWN.items()}
    found = master(minimum, free_from).best(100, start, below=True)
    assert found is not None
    least = min(paid(ways, minimum, free_from) for ways in product(*KNOWN.values()))
    assert paid(found.values(), minimum, free_from) == least


def test_the_prices_of_one_delivery_are_its_fee_shared_among_the_foods() -> None:
    """Nothing else can be had: all of the 5.00 is charged, to two foods together or to one."""
    for foods in (["a"], ["a", "b"]):
        made = Master({"v": supplier()}, foods, 10_000, minimums=True)
        for food in foods:
            made.add(food, way(300, 0, 0))
        prices = made.dual_prices()
        assert sum(prices.setup[food][DAYS[0]] for food in foods) == 500 * WHOLE
        assert not any(prices.grant.values())


def test_a_dive_ends_with_one_way_a_food_and_lets_go_of_all() -> None:
    made = master(700, None)
    before = made.dual_prices()
    assert made.hold_states()
    ways = made.hold_ways()
    assert {food: way in KNOWN[food] for food, way in ways.items()} == dict.fromkeys(KNOWN, True)
    assert made.dual_prices() == before


def test_a_delivery_that_may_not_be_used_is_in_no_plan_and_can_be_again() -> None:
    made = master(0, None)
    before = made.dual_prices()
    made.allow({DAYS[0]: State.UNUSED, DAYS[1]: State.PAID})
    made.dual_prices()
    ways = made.hold_ways()
    used = {delivery for way in ways.values() for delivery, _ in way.goods}
    assert DAYS[0] not in used
    assert len(ways) == len(KNOWN)
    made.allow({})
    assert made.dual_prices() == before


def test_deliveries_taken_by_half_are_decided_until_none_is() -> None:
    """Each food can use two of three deliveries: two fees are needed, and halves of all three are the relaxation."""
    made = Master({"v": supplier()}, ["a", "b", "c"], 10_000, minimums=True)
    for food, goods in (("a", (300, 0, 0)), ("a", (0, 300, 0)), ("b", (0, 300, 0)), ("b", (0, 0, 300)),
                        ("c", (300, 0, 0)), ("c", (0, 0, 300))):  # fmt: skip
        made.add(food, way(*goods))
    made.dual_prices()
    first = made.undecided({})
    assert first is not None
    states = {first[0]: first[1]}
    assert first[1] == State.UNUSED
    made.allow(states)
    made.dual_prices()
    assert made.undecided(states) is None


def test_prices_are_whole_and_never_below_nothing() -> None:
    prices = master(400, 850).dual_prices()
    parts = [part for its in prices.setup.values() for part in its.values()] + list(prices.grant.values())
    assert all(isinstance(part, int) and part >= 0 for part in parts)
    assert max(prices.grant.values()) < WHOLE


def test_what_an_order_lacks_to_its_minimum_is_paid_by_nine_tenths_and_so_much_is_granted() -> None:
    """Goods of 3.00 or 9.00, at least 7.00: each cent of 4.00 that lack costs 0.9, cheaper than to buy a cent more."""
    made = Master({"v": supplier(700)}, ["a"], 10_000, minimums=True)
    for goods in (300, 900):
        made.add("a", way(goods, 0, 0))
    assert made.dual_prices().grant == {DAYS[0]: WHOLE * 9 // 10}


def test_drawn_choices_and_what_prices_prove_of_them() -> None:
    """Five foods of up to four ways: the best choice is what trying all finds, where each order reaches its minimum; so
    it is with orders below it allowed. Prices never prove more, and together nine tenths of it; nearly every dive ends
    with a plan."""
    proven = optimum = dives = 0
    for seed in range(30):
        r = random.Random(seed)
        known, (minimum, free_from) = drawn_ways(r), r.choice(TERMS)
        suppliers = {"v": supplier(minimum, free_from)}
        made = Master(suppliers, list(known), 10_000, minimums=True)
        assert made.add_all(known)
        assert not made.add_all(known)
        least = min(paid(ways, minimum, free_from) for ways in product(*known.values()))
        start = {food: ways[0] for food, ways in known.items()}
        found = made.best(1_000, start, below=True)
        assert found is not None
        assert paid(found.values(), minimum, free_from) == least
        within = made.best(1_000, start, below=False)
        if least >= 10_000:
            assert within is None
            continue
        assert within is not None
        assert paid(within.values(), minimum, free_from) == least
        prices = made.dual_prices()
        cheapest = {}
        for food, ways in known.items():
            own = prices.of(food)
            priced = [
                sum(own.setup.get(day, 0) + its * own.share.get(day, WHOLE) for day, its in each.goods) for each in ways
            ]
            cheapest[food] = dataclasses.replace(ways[0], bound=min(priced))
        bound = bound_in_parts(prices, cheapest, suppliers, minimums=True)
        assert bound <= least * WHOLE
        assert made.hold_states()
        ways = made.hold_ways()
        assert not ways or all(ways[food] in its for food, its in known.items())
        proven, optimum, dives = proven + bound, optimum + least, dives + bool(ways)
    assert proven > 46_247 * WHOLE
    assert optimum == 50_210
    assert dives > 24
