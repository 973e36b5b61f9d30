"""The search for the cheapest packs, held against brute force and an integer programme written apart from it."""

import datetime as dt
import itertools
import random
from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from opsreport.plan.buying.packs import NEVER, Choice, Demand, cheapest
from opsreport.plan.buying.shelf import FOREVER, Holding, use

Problem = tuple[list[Demand], list[Choice], int | None]


def covers(problem: Problem, counts: tuple[int, ...]) -> bool:
    """Whether so many packs of each choice meet every demand, worked through on the shelf."""
    demands, choices, keeps_open = problem
    holdings = [
        Holding(
            f"{int(choice.size * 1000):09}/{number:03}",
            dt.date.fromordinal(choice.arrives),
            FOREVER if choice.through == NEVER else dt.date.fromordinal(choice.through),
            keeps_open,
            choice.size,
            Fraction(count),
        )
        for number, (choice, count) in enumerate(zip(choices, counts, strict=True))
        if count
    ]
    for demand in demands:
        day, use_by = dt.date.fromordinal(demand.day), dt.date.fromordinal(demand.use_by)
        if sum(part for _, part in use(holdings, demand.amount, day, use_by)) < demand.amount:
            return False
    return True


def brute_force(problem: Problem) -> int | None:
    """Least cost over every combination of packs."""
    demands, choices, _ = problem
    total = sum(demand.amount for demand in demands)
    ranges = []
    for choice in choices:
        most = max(-(-total // choice.size), choice.least) + choice.step
        ranges.append([0, *range(choice.least, int(most) + 1, choice.step)])
    costs = []
    for counts in itertools.product(*ranges):
        cost = sum(count * choice.price for count, choice in zip(counts, choices, strict=True))
        if (not costs or cost < min(costs)) and covers(problem, counts):
            costs.append(cost)
    return min(costs, default=None)


def random_problem(seed: int, demands: int, offers: int, *, rests: bool, most: int = 9) -> Problem:
    """Weekly demands and a few packs, some with gaps in their delivery, some short-lived."""
    source = random.Random(seed)
    start = dt.date(2027, 1, 4).toordinal()
    gap = source.choice([7, 7, 2])
    wanted = [
        Demand(Fraction(source.randint(1, most), source.choice([1, 1, 2])), start + gap * k, start + gap * k + 2)
        for k in range(demands)
    ]
    choices = []
    for number in range(offers):
        size = Fraction(source.choice([1, 2, 3, 5, 8]))
        price = int(size * 10) + source.randint(-3, 6)
        least, step = source.choice([(1, 1), (1, 1), (2, 2), (3, 1)])
        keeps = source.choice([3, 9, 10, 17, NEVER])
        days = [k for k in range(demands) if source.random() < 0.75 or (number == 0)]
        for position, k in enumerate(days):
            following = days[position + 1] if position + 1 < len(days) else demands
            serves = following if least <= step else demands
            arrives = start + gap * k - source.choice([0, 1])
            through = NEVER if keeps == NEVER else arrives + keeps
            choices.append((k, Choice(k, size, max(price, 1), least, step, through, arrives, serves)))
    keeps_open = source.choice([5, 8, 15, None]) if rests else None
    return wanted, [choice for _, choice in sorted(choices, key=lambda pair: pair[0])], keeps_open


@pytest.mark.parametrize("seed", range(50))
def test_no_combination_of_packs_is_cheaper(seed: int) -> None:
    problem = random_problem(seed, demands=3, offers=2, rests=seed % 2 == 1, most=5)
    found = cheapest(*problem)
    best = brute_force(problem)
    assert (found is None) == (best is None)
    if found is not None:
        counts = dict(found.packs)
        assert covers(problem, tuple(counts.get(number, 0) for number in range(len(problem[1]))))
        assert found.cost == found.bound == best


def test_a_pack_of_its_own_where_the_rest_of_the_last_one_would_not_keep() -> None:
    """Two demands before the next delivery: the opened rest of the first pack is too old for the second."""
    day = dt.date(2027, 3, 2).toordinal()
    demands = [Demand(Fraction(2125), day, day + 3), Demand(Fraction(2975), day + 1, day + 4)]
    choices = [Choice(0, Fraction(5100), 1080, 1, 1, day + 730, day, 2)]
    found = cheapest(demands, choices, 3)
    assert found is not None
    assert found.packs == ((0, 2),)


def plain_programme(problem: Problem) -> float:
    """The same problem without rests as an integer programme: packs per choice, amounts from choice to demand."""
    demands, choices, _ = problem
    arcs = [
        (c, d)
        for c, choice in enumerate(choices)
        for d, demand in enumerate(demands)
        if choice.arrives <= demand.day and choice.through >= demand.use_by
    ]
    n, steps = len(choices), [choice.step for choice in choices]
    # per choice: steps above the least, and whether any is bought; then one amount an arc
    width = 2 * n + len(arcs)
    rows, low, high = [], [], []
    for d, demand in enumerate(demands):
        row = np.zeros(width)
        for a, (_, to) in enumerate(arcs):
            row[2 * n + a] = to == d
        rows.append(row)
        low.append(float(demand.amount))
        high.append(np.inf)
    total = float(sum(demand.amount for demand in demands))
    for c, choice in enumerate(choices):
        row = np.zeros(width)
        row[c], row[n + c] = float(choice.size) * steps[c], float(choice.size) * choice.least
        for a, (source, _) in enumerate(arcs):
            row[2 * n + a] = -float(source == c)
        rows.append(row)
        low.append(0.0)
        high.append(np.inf)
        link = np.zeros(width)
        link[c], link[n + c] = -1, total
        rows.append(link)
        low.append(0.0)
        high.append(np.inf)
    cost = np.concatenate(
        [
            [choice.price * choice.step for choice in choices],
            [choice.price * choice.least for choice in choices],
            np.zeros(len(arcs)),
        ]
    )
    whole = np.concatenate([np.ones(2 * n), np.zeros(len(arcs))])
    most = np.concatenate([np.full(n, np.inf), np.ones(n), np.full(len(arcs), np.inf)])
    answer = milp(cost, constraints=LinearConstraint(np.array(rows), low, high), integrality=whole,
                  bounds=Bounds(np.zeros(width), most), options={"mip_rel_gap": 0})  # fmt: skip
    return float("inf") if answer.x is None else round(float(answer.fun))


@pytest.mark.parametrize("seed", range(40))
def test_an_integer_programme_written_plainly_finds_nothing_cheaper(seed: int) -> None:
    problem = random_problem(1000 + seed, demands=6, offers=3, rests=False)
    found = cheapest(*problem)
    assert (float("inf") if found is None else found.cost) == plain_programme(problem)
