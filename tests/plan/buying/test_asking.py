"""A food asked again at other prices, beside the plain search that forgets everything in between."""

import itertools
import random
from collections.abc import Sequence
from fractions import Fraction

import numpy as np
import pytest
from plan.buying.test_packs import covers
from plan.drawn_terms import drawn
from scipy.optimize import Bounds, LinearConstraint, milp

from opsreport.plan.buying.asking import AskedFood, Sums, Watched
from opsreport.plan.buying.market import Market
from opsreport.plan.buying.options import WHOLE, FoodOptions, Prices
from opsreport.plan.buying.packs import NEVER, Choice, Demand, cheapest

KEEPS_OPEN = (None, 3, 8)


def random_food(r: random.Random, keeps_open: int | None) -> tuple[list[Demand], list[Choice]]:
    """Three weekly demands, two packs at one delivery before each."""
    count = 3
    demands = [Demand(r.randint(1, 5), 100 + 7 * k, 102 + 7 * k) for k in range(count)]
    keeps = NEVER if r.random() < 0.5 else r.choice([4, 9, 16])
    choices = [
        Choice(
            k, r.randint(1, 7), r.randint(1, 20), step, step, min(98 + 7 * k + keeps, NEVER), 98 + 7 * k, count,
            delivery=k,
        )
        for k in range(count)
        for step in (1, r.choice([1, 2]))
    ]  # fmt: skip
    return demands, choices


def repriced(r: random.Random, choices: list[Choice]) -> list[Choice]:
    setups, shares = [r.randint(0, 40) for _ in range(4)], [r.randint(3, 10) for _ in range(4)]
    return [
        Choice(
            c.demand, c.size, c.price * shares[c.delivery], c.least, c.step, c.through, c.arrives, c.serves,
            c.preferred, c.delivery, setups[c.delivery],
        )
        for c in choices
    ]  # fmt: skip


@pytest.mark.parametrize("seed", range(12))
def test_the_same_cost_as_a_search_that_remembers_nothing(seed: int) -> None:
    r = random.Random(seed)
    keeps_open = KEEPS_OPEN[seed % 3]
    demands, choices = random_food(r, keeps_open)
    asked = AskedFood(demands, choices, keeps_open)
    for _ in range(4):
        priced = repriced(r, choices)
        numbers = sorted(r.sample(range(len(priced)), r.randint(len(priced) - 2, len(priced))))
        mine = [priced[number] for number in numbers]
        found, plain = asked.cheapest(numbers, mine, 20_000), cheapest(demands, mine, keeps_open, 20_000)
        assert (found is None) == (plain is None)
        if found is not None and plain is not None:
            assert (found.cost, found.bound) == (plain.cost, plain.cost)
            setups = {mine[place].delivery: mine[place].setup for place, _ in found.packs}
            assert found.cost == sum(mine[place].price * count for place, count in found.packs) + sum(setups.values())


def plainly(demands: list[Demand], choices: list[Choice], keeps_open: int) -> int | None:
    """The least cost as an integer programme that opens each pack on whichever day it likes: packs by choice, those of
    them opened on each day, amounts from these to each demand, and whether anything comes with a delivery."""
    variables = itertools.count()
    buy = [next(variables) for _ in choices]
    some = [next(variables) for _ in choices]
    used = {delivery: next(variables) for delivery in {choice.delivery: None for choice in choices}}
    rows: list[tuple[dict[int, float], float]] = []
    served: list[dict[int, float]] = [{} for _ in demands]
    opened_packs: list[int] = []
    for number, choice in enumerate(choices):
        opened = []
        for start in range(choice.demand, len(demands)):
            first = next(variables)
            opened.append(first)
            row = {first: float(choice.size)}
            for k in range(start, len(demands)):
                limit = choice.through if k == start else min(choice.through, demands[start].day + keeps_open - 1)
                if demands[k].use_by <= limit:
                    amount = next(variables)
                    served[k][amount] = 1.0
                    row[amount] = -1.0
            rows.append((row, 0.0))
        opened_packs += opened
        rows.append(({buy[number]: float(choice.step), some[number]: float(choice.least - choice.step)}
                     | dict.fromkeys(opened, -1.0), 0.0))  # fmt: skip
        rows.append(({buy[number]: -1.0, some[number]: 100.0}, 0.0))
        rows.append(({buy[number]: 1.0, some[number]: -1.0}, 0.0))
        rows.append(({some[number]: -1.0, used[choice.delivery]: 1.0}, 0.0))
    rows += [(row, float(demand.amount)) for row, demand in zip(served, demands, strict=True)]
    width = next(variables)
    cost, whole = np.zeros(width), np.zeros(width)
    for number, choice in enumerate(choices):
        cost[buy[number]], cost[some[number]] = choice.price * choice.step, choice.price * (choice.least - choice.step)
        cost[used[choice.delivery]] = choice.setup
    whole[[*buy, *some, *used.values(), *opened_packs]] = 1
    most = np.full(width, np.inf)
    most[[*some, *used.values()]] = 1
    matrix = np.zeros((len(rows), width))
    for place, (row, _) in enumerate(rows):
        for column, value in row.items():
            matrix[place, column] = value
    found = milp(
        cost, constraints=LinearConstraint(matrix, [least for _, least in rows], np.inf), integrality=whole,
        bounds=Bounds(0, most), options={"mip_rel_gap": 0},
    )  # fmt: skip
    return None if found.x is None else round(float(found.fun))


@pytest.mark.parametrize("seed", range(40))
def test_in_any_order_of_use_nothing_is_cheaper_than_a_plain_programme(seed: int) -> None:
    """Never dearer than with the soonest expiring first, and exactly what the programme finds."""
    r = random.Random(seed)
    keeps_open = r.choice([3, 8, 10])
    demands, choices = random_food(r, keeps_open)
    choices = repriced(r, choices)
    numbers = range(len(choices))
    found = AskedFood(demands, choices, keeps_open, any_order=True).cheapest(numbers, choices, 50_000)
    in_order = AskedFood(demands, choices, keeps_open).cheapest(numbers, choices, 50_000)
    assert (found and found.cost) == plainly(demands, choices, keeps_open)
    if found is not None and in_order is not None:
        assert found.settled
        assert found.cost == found.bound <= in_order.cost


def test_what_was_asked_before_changes_nothing() -> None:
    programme, still_open = drawn(6, 6, 4, 3)
    market = Market(programme, {lacking.need.packing_day for lacking in still_open})
    for food in {lacking.need.food for lacking in still_open}:
        its = [lacking for lacking in still_open if lacking.need.food == food]
        fresh, used = FoodOptions(market, food, its), FoodOptions(market, food, its)
        r = random.Random(food)
        for _ in range(5):
            prices = Prices(
                {each: r.randrange(900 * WHOLE) for each in sorted(fresh.deliveries)},
                {each: r.randrange(WHOLE // 2, WHOLE) for each in sorted(fresh.deliveries)},
            )
            way = used.cheapest(prices=prices)
        assert fresh.cheapest(prices=prices) == way


def test_a_bound_where_the_steps_run_out() -> None:
    r = random.Random(1)
    demands, choices = random_food(r, 3)
    found, whole = (
        AskedFood(demands, choices, 3).cheapest(range(len(choices)), choices, 2),
        cheapest(demands, choices, 3),
    )
    assert found is not None
    assert whole is not None
    assert found.bound <= whole.cost <= found.cost
    assert (found.settled, found.steps) == (False, 2 * 2)


def test_as_many_states_as_a_search_takes_are_enough() -> None:
    demands, choices = random_food(random.Random(1), 3)
    numbers = range(len(choices))
    whole = AskedFood(demands, choices, 3).cheapest(numbers, choices, 20_000)
    assert whole is not None
    enough, too_few = (AskedFood(demands, choices, 3).cheapest(numbers, choices, whole.steps - n) for n in (0, 1))
    assert enough == whole
    assert too_few is not None
    assert not too_few.settled


@pytest.mark.parametrize("seed", range(9))
def test_every_sum_of_goods_is_what_trying_all_finds(seed: int) -> None:
    """Up to three steps of every pack: what covers, and costs no more than half of that does at prices, is no cheaper
    than something listed with no more goods at two of the deliveries, above 30 at the second not told apart."""
    r = random.Random(seed)
    keeps_open = KEEPS_OPEN[seed % 3]
    demands, goods = random_food(r, keeps_open)
    choices = repriced(r, goods)
    most_of = {0: NEVER, 2: 30}

    def cost_and_sums(counts: Sequence[int]) -> tuple[int, Sums]:
        bought = [(choice, its.price, many) for choice, its, many in zip(choices, goods, counts, strict=True) if many]
        setups = {choice.delivery: choice.setup for choice, _, _ in bought}
        at = [sum(price * many for choice, price, many in bought if choice.delivery == each) for each in most_of]
        sums = tuple(min(its, limit) for its, limit in zip(at, most_of.values(), strict=True))
        return sum(choice.price * many for choice, _, many in bought) + sum(setups.values()), sums

    tried: dict[Sums, int] = {}
    for steps in itertools.product(range(4), repeat=len(choices)):
        counts = tuple(many * choice.step for many, choice in zip(steps, choices, strict=True))
        cost, sums = cost_and_sums(counts)
        if cost < tried.get(sums, cost + 1) and covers((demands, choices, keeps_open), counts):
            tried[sums] = cost
    most = sorted(tried.values())[len(tried) // 2]
    watched = {
        number: Watched(list(most_of).index(choice.delivery), most_of[choice.delivery])
        for number, choice in enumerate(choices)
        if choice.delivery in most_of
    }
    asked = AskedFood(demands, goods, keeps_open)
    found = asked.every_sum(range(len(choices)), choices, watched, 2, most, 100_000)
    assert found is not None
    listed: dict[Sums, int] = {}
    for sums, bought in found[0]:
        counts = tuple(dict(bought.packs).get(number, 0) for number in range(len(choices)))
        assert covers((demands, choices, keeps_open), counts)
        assert cost_and_sums(counts) == (bought.cost, sums)
        listed.setdefault(sums, bought.cost)
    assert [bought.cost for _, bought in found[0]] == sorted(bought.cost for _, bought in found[0])
    assert max(listed.values()) <= most
    for sums, cost in tried.items():
        no_more = [its for other, its in listed.items() if all(a <= b for a, b in zip(other, sums, strict=True))]
        assert cost > most or min(no_more) <= cost, "only what buys more than enough is left out"
    assert asked.every_sum(range(len(choices)), choices, watched, 2, most, found[1]) == found
    assert asked.every_sum(range(len(choices)), choices, watched, 2, most, found[1] - 1) is None
    dearest = found[0][-1][1].cost
    for limit in (dearest, dearest - 1):
        fewer = asked.every_sum(range(len(choices)), choices, watched, 2, limit, found[1])
        assert fewer is not None
        assert fewer[0] == [its for its in found[0] if its[1].cost <= limit]


def test_the_ties_of_a_plan_count_what_is_left_over_what_is_preferred_and_how_early_it_comes() -> None:
    """5 of packs of 3: two, of which a third of one is left over; both preferred; on day 98."""
    demand = [Demand(Fraction(5), 100, 102)]
    choice = Choice(0, Fraction(3), 10, 1, 1, NEVER, 98, 1, preferred=True, delivery=0, setup=7)
    found = AskedFood(demand, [choice], None).cheapest([0], [choice], 100)
    assert found is not None
    assert (found.packs, found.cost, found.ties) == (((0, 2),), 27, (Fraction(1, 3), -2, 2, -2 * 98))


@pytest.mark.parametrize(
    ("keeps_open", "any_order", "most"), [(None, False, 305), (3, False, 767), (3, True, 384), (8, True, 384)]
)
def test_forty_drawn_foods_are_asked_in_so_few_states(keeps_open: int | None, any_order: bool, most: int) -> None:
    """What the bounds and the comparison of states are for: without one of them more are opened."""
    steps = 0
    for seed in range(40):
        r = random.Random(seed)
        demands, choices = random_food(r, keeps_open)
        choices = repriced(r, choices)
        asked = AskedFood(demands, choices, keeps_open, any_order=any_order)
        found = asked.cheapest(range(len(choices)), choices, 50_000)
        steps += 0 if found is None else found.steps
    assert steps <= most
