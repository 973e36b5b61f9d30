"""Exchanges among known ways, on tables small enough to see through."""

import dataclasses
import datetime as dt
import random
from collections.abc import Iterable
from fractions import Fraction
from itertools import product

import pytest
from plan.buying.test_prices import supplier

from opsreport.plan.buying.exchange import Exchange, more_than_any
from opsreport.plan.buying.options import Way

DAYS = [("v", dt.date(2027, 1, 6 + 7 * week)) for week in range(3)]


def way(*goods: int) -> Way:
    """A way with so much goods from each delivery."""
    its = tuple((day, cost) for day, cost in zip(DAYS, goods, strict=True) if cost)
    return Way((), its, sum(goods), (Fraction(0), 0, 0, 0), 0, 0)


KNOWN = {
    "a": [way(300, 0, 0), way(0, 280, 0), way(0, 0, 270)],
    "b": [way(0, 300, 0), way(310, 0, 0), way(0, 0, 290)],
    "c": [way(0, 0, 300), way(0, 300, 0), way(150, 0, 160)],
}


TERMS = [(0, None), (700, None), (0, 850), (400, 850), (0, 0), (300, 0)]
"""Minimum and free delivery from [cents]; the fee is 5.00."""


def paid(ways: Iterable[Way], minimum: int, free_from: int | None) -> int:
    """Goods and fees of a plan, an order below its minimum for 100.00 more, read off the terms."""
    total = 0
    for day in DAYS:
        goods = sum(dict(its.goods).get(day, 0) for its in ways)
        fee = 0 if free_from is not None and goods >= free_from else 500
        total += goods and goods + fee + (10_000 if goods < minimum else 0)
    return total


@pytest.mark.parametrize(("minimum", "free_from"), TERMS)
def test_no_choice_of_known_ways_is_cheaper(minimum: int, free_from: int | None) -> None:
    first = {food: ways[0] for food, ways in KNOWN.items()}
    exchange = Exchange({"v": supplier(minimum, free_from)}, KNOWN, first, 10_000)
    assert exchange.cost() == paid(first.values(), minimum, free_from)
    found = exchange.improve()
    least = min(paid(ways, minimum, free_from) for ways in product(*KNOWN.values()))
    assert exchange.cost() == paid(found.values(), minimum, free_from) == least


def test_what_comes_for_nothing_pays_its_fee_and_has_a_minimum() -> None:
    """Day 0 brings a for nothing, day 1 for 4.00, and b must come on day 1 for 3.00; each fee is 5.00."""
    gift, bought, other = Way((), ((DAYS[0], 0),), 0, (Fraction(0), 0, 0, 0), 0, 0), way(0, 400, 0), way(0, 300, 0)
    known = {"a": [gift, bought], "b": [other]}
    exchange = Exchange({"v": supplier(0, None)}, known, {"a": gift, "b": other}, 10_000)
    assert exchange.cost() == 500 + 300 + 500
    assert exchange.improve()["a"] == bought
    assert exchange.cost() == 700 + 500
    below = Exchange({"v": supplier(100, None)}, known, {"a": gift, "b": other}, 10_000)
    assert below.cost() == 10_000 + 500 + 300 + 500


def test_more_than_any_plan_is_more_than_twice_what_one_costs() -> None:
    assert more_than_any({food: ways[0] for food, ways in KNOWN.items()}) == 2 * (300 + 300 + 300) + 1


def drawn_ways(r: random.Random) -> dict[str, list[Way]]:
    return {
        food: [way(*(r.choice([0, 0, 100, 130, 170, 260]) for _ in DAYS)) for _ in range(4)] for food in "abcde"
    }  # fmt: skip


@pytest.mark.parametrize("seed", range(30))
def test_in_the_end_no_food_alone_can_do_better_and_the_whole_is_no_dearer(seed: int) -> None:
    r = random.Random(seed)
    known, (minimum, free_from) = drawn_ways(r), r.choice(TERMS)
    first = {food: ways[0] for food, ways in known.items()}
    found = Exchange({"v": supplier(minimum, free_from)}, known, first, 10_000).improve()
    cost = paid(found.values(), minimum, free_from)
    assert cost <= paid(first.values(), minimum, free_from)
    for food, ways in known.items():
        assert found[food] in ways
        for other in ways:
            assert cost <= paid((found | {food: other}).values(), minimum, free_from)


def test_most_exchanges_end_with_the_best_that_trying_all_finds() -> None:
    """Of sixty drawn cases two thirds; each of the others is a local best, a few with an order below its minimum."""
    best, dearer = 0, 0
    for seed in range(60):
        r = random.Random(seed)
        known, (minimum, free_from) = drawn_ways(r), r.choice(TERMS)
        first = {food: ways[0] for food, ways in known.items()}
        found = Exchange({"v": supplier(minimum, free_from)}, known, first, 10_000).improve()
        least = min(paid(ways, minimum, free_from) for ways in product(*known.values()))
        cost = paid(found.values(), minimum, free_from)
        best += cost == least
        dearer += cost - least
    assert best >= 43
    assert dearer <= 66_800


def test_a_delivery_is_given_up_by_all_that_share_it_where_one_alone_would_gain_nothing() -> None:
    """Two foods at the first day, a third at the second: each that moves pays 1.00 more, and both save the fee."""
    known = {"a": [way(300, 0, 0), way(0, 400, 0)], "b": [way(300, 0, 0), way(0, 400, 0)], "c": [way(0, 300, 0)]}
    first = {food: ways[0] for food, ways in known.items()}
    exchange = Exchange({"v": supplier()}, known, first, 10_000)
    assert exchange.cost() == 900 + 1000
    assert exchange.improve() == {food: ways[-1] for food, ways in known.items()}
    assert exchange.cost() == 1100 + 500


def test_a_way_that_needs_another_order_of_use_is_taken_for_the_one_that_does_without() -> None:
    cheap, plain = way(100, 0, 0), way(0, 300, 0)
    otherwise = dataclasses.replace(cheap, in_order=False, instead=plain)
    exchange = Exchange({"v": supplier()}, {"a": [otherwise, plain]}, {"a": otherwise}, 10_000)
    assert exchange.improve() == {"a": plain}


def test_two_foods_are_drawn_together_from_two_orders_to_one_that_is_too_small_without_both() -> None:
    """At least 11.00, which the second day's order of 3.00 has with 4.00 of each; what is left on the first and the
    third day is enough. Each of the two pays 1.00 more there, and gains nothing without the other."""
    known = {
        "a": [way(300, 0, 0), way(0, 400, 0)], "b": [way(0, 0, 300), way(0, 400, 0)],
        "c": [way(0, 300, 0)], "d": [way(1_100, 0, 0)], "e": [way(0, 0, 1_100)],
    }  # fmt: skip
    exchange = Exchange({"v": supplier(1_100)}, known, {food: ways[0] for food, ways in known.items()}, 10_000)
    assert exchange.cost() == 1_400 + 300 + 1_400 + 3 * 500 + 10_000
    assert exchange.improve() == {food: ways[-1] for food, ways in known.items()}
    assert exchange.cost() == 3 * (1_100 + 500)
