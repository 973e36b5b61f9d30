"""The search for the cheapest packs, held against brute force and an integer programme written apart from it."""

import dataclasses
import datetime as dt
import itertools
import random
from fractions import Fraction

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

from opsreport.plan.buying import packs as packing
from opsreport.plan.buying.asking import AskedFood
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


def test_much_of_what_goes_bad_sooner_is_nothing_for_a_later_demand() -> None:
    """Three cheap packs, the least of them, are far more than both demands take, but good for the first only."""
    day = dt.date(2027, 3, 2).toordinal()
    demands = [Demand(Fraction(5), day, day + 2), Demand(Fraction(5), day + 10, day + 12)]
    short = Choice(0, Fraction(40), 1, 3, 1, day + 5, day, 2)
    lasting = Choice(0, Fraction(10), 200, 1, 1, day + 30, day, 2)
    found = cheapest(demands, [short, lasting], 3)
    assert found is not None
    assert (found.cost, found.packs) == (203, ((0, 3), (1, 1)))


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


# --- its parts, worked by hand ---

DAY = 100
"""Of the first demand below; one a week."""


def problem(
    amounts: list[int], packs: list[tuple[int, int, int]], keeps_open: int | None, *, any_order: bool = False
) -> packing.Problem:  # fmt: skip
    """Demands a week apart, each good for two more days; packs of all of them come before the first, as (size, price,
    last good day)."""
    demands = [Demand(Fraction(amount), DAY + 7 * k, DAY + 7 * k + 2) for k, amount in enumerate(amounts)]
    choices = [Choice(0, Fraction(size), price, 1, 1, day, DAY, len(amounts)) for size, price, day in packs]
    return packing.Problem(demands, choices, keeps_open, any_order=any_order)


def sealed(through: int, size: int, packs: int) -> packing._Entry:
    return packing._Entry(through, True, size, 0, packs * size)


def rest(through: int, size: int, amount: int, opened: int = 0) -> packing._Entry:
    return packing._Entry(through, False, size, opened, amount)


def test_what_a_pack_outlasts_is_the_last_use_by_day_not_after_it() -> None:
    its = problem([1, 1], [(1, 1, 200)], None)
    assert [its.outlasts(day) for day in (101, 102, 103, 108, 109, 110)] == [0, 102, 102, 102, 109, 109]


def test_a_rest_keeps_its_days_from_its_opening_or_its_pack_s_own_where_these_are_fewer() -> None:
    """Opened packs are good for 10 days with that of opening: one opened on day 100 through day 109, on which the
    second demand's use-by falls; one opened on day 99 through 108 is gone, a sealed one stays as it is."""
    its = problem([1, 1, 1], [(5, 1, 200)], 10)
    there = (rest(105, 5, 1, 100), rest(200, 5, 2, 99), rest(200, 5, 3, 100), sealed(200, 5, 2))
    assert its.aged(1, there) == (rest(109, 5, 3), sealed(200, 5, 2))
    assert its.aged(2, there) == (sealed(200, 5, 2),)
    today = (rest(200, 5, 2, 107), sealed(200, 5, 2))
    assert its.aged(1, today) == today
    assert problem([1, 1], [(5, 1, 200)], None).aged(1, there) == there


def test_the_soonest_expiring_is_packed_first_and_what_is_left_of_a_pack_is_opened_that_day() -> None:
    """6 of a pack of 4 good through day 109 and of one of 5: 4 and 2 parts of 20, so 20 and 8; 3 are left opened."""
    its = problem([6, 1], [(4, 1, 109), (5, 1, 200)], 9)
    after, parts = its.packed(0, (sealed(109, 4, 1), sealed(200, 5, 2)))
    assert after == (rest(200, 5, 3, DAY), sealed(200, 5, 1))
    assert (its.size_parts, parts) == (20, 4 * 5 + 2 * 4)
    with_rest, _ = its.packed(0, (rest(101, 4, 3), sealed(109, 4, 1), sealed(200, 5, 1)))
    assert with_rest == (rest(200, 5, 3, DAY),), "what is good through day 101 is not good through 102"


def test_in_any_order_each_size_may_be_begun_first() -> None:
    """3 of two packs of 4 and 5: 1 left of the four and a whole five, or 2 left of the five and a whole four; or a part
    of both, which leaves less of whole packs and is no better."""
    its = problem([3, 9], [(4, 1, 109), (5, 1, 109)], 9, any_order=True)
    found = its.packings(0, (sealed(109, 4, 1), sealed(109, 5, 1)))
    assert found is not None
    assert set(found) == {
        ((rest(109, 4, 1, DAY), sealed(109, 5, 1)), 3 * 5), ((rest(109, 5, 2, DAY), sealed(109, 4, 1)), 3 * 4),
    }  # fmt: skip


def test_in_any_order_a_rest_goes_before_sealed_packs_that_keep_as_long() -> None:
    its = problem([3, 9], [(4, 1, 109), (5, 1, 109)], 9, any_order=True)
    assert its.packings(0, (rest(102, 5, 3), sealed(109, 4, 1))) == [((sealed(109, 4, 1),), 3 * 4)]


def test_in_any_order_only_a_rest_that_outlasts_a_sealed_pack_may_stay_behind() -> None:
    """A pack of 4 good through day 102 and one of 5 through 109, with a rest: of one that goes bad as soon as the first
    all is used, and then either pack for what lacks; one that lasts longer may be left instead."""
    its = problem([6, 9], [(4, 1, 102), (5, 1, 109)], 9, any_order=True)
    packs = (sealed(102, 4, 1), sealed(109, 5, 1))
    found = its.packings(0, (rest(102, 5, 2), *packs))
    assert found is not None
    assert dict(found) == {(sealed(109, 5, 1),): 2 * 4 + 4 * 5, (rest(109, 5, 1, DAY),): 2 * 4 + 4 * 4}
    three = problem([3, 9], [(4, 1, 109), (5, 1, 109)], 9, any_order=True)
    alike = (sealed(109, 4, 1), sealed(109, 5, 1))
    for amount, left in ((4, ((rest(109, 5, 1), *alike),)), (3, (alike,))):
        assert three.packings(0, (rest(109, 5, amount), *alike)) == [(its, 3 * 4) for its in left]
    five = problem([3, 9, 1], [(4, 1, 109), (5, 1, 116)], 9, any_order=True)
    found = five.packings(0, (rest(116, 5, 3), sealed(109, 4, 1), sealed(116, 5, 1)))
    assert found is not None
    assert {inventory for inventory, _ in found} == {
        (sealed(109, 4, 1), sealed(116, 5, 1)), (rest(109, 4, 1, DAY), rest(116, 5, 3), sealed(116, 5, 1)),
        (sealed(109, 4, 1), rest(116, 5, 3), rest(116, 5, 2, DAY)),
    }  # fmt: skip


def test_in_order_there_is_one_way_to_pack() -> None:
    its = problem([3, 9], [(4, 1, 109), (5, 1, 109)], 9)
    there = (sealed(109, 4, 1), sealed(109, 5, 1))
    for each in (its, packing.Problem(its.demands, its.choices, 9)):
        assert each.packings(0, there) == [its.packed(0, there)]


def test_more_of_a_pack_is_wanted_from_the_demand_that_begins_one_more_than_there_are() -> None:
    """In any order, packs of 4 for 3, 3 and 5: begun are 1, 2 and, as the third begins two, 4. Of those that go bad
    sooner only the first demand has any use."""
    its = problem([3, 3, 5], [(4, 1, 300), (4, 1, 102), (5, 1, 300)], 10, any_order=True)
    assert [its.wanted_from(0, 0, (sealed(116, 4, packs),) if packs else ()) for packs in range(5)] == [
        1, 2, 3, 3, NEVER,
    ]  # fmt: skip
    assert its.wanted_from(1, 0, (sealed(116, 4, 1),)) == 3
    assert its.wanted_from(0, 0, (sealed(116, 5, 9), rest(116, 4, 3))) == 1, "only sealed ones of its size count"
    assert its.wanted_from(0, 0, (sealed(102, 4, 1),)) == 2, "what is gone by the second demand does not count there"
    assert its.wanted_from(0, 0, (sealed(102, 4, 2),)) == 2, "nor do two"
    assert its.wanted_from(0, 1, ()) == 1
    assert its.wanted_from(0, 1, (sealed(102, 4, 1),)) == NEVER
    assert its.wanted_from(1, 1, ()) == NEVER


def test_in_order_more_of_a_pack_is_wanted_until_all_demands_are_covered() -> None:
    """3, 3 and 5 of packs that outlast them all: 3 are needed for the first, 6 for two, 11 for all."""
    its = problem([3, 3, 5], [(1, 1, 300)], None)
    assert [its.wanted_from(0, 0, (sealed(116, 1, packs),) if packs else ()) for packs in (0, 2, 3, 5, 6, 10, 11)] == [
        1, 1, 2, 2, 3, 3, NEVER,
    ]  # fmt: skip


def test_in_order_more_of_a_pack_is_wanted_only_for_demands_that_it_is_good_for() -> None:
    """Opened packs keep for the day: of packs of 4 that are good for the first demand alone, its 3 and what is left of
    one opened for it, so two; for the second demand none."""
    its = problem([3, 3], [(4, 1, 102), (4, 1, 300)], 1)
    assert [its.wanted_from(0, 0, (sealed(102, 4, packs),) if packs else ()) for packs in range(4)] == [
        1,
        2,
        NEVER,
        NEVER,
    ]
    assert its.wanted_from(1, 0, ()) == NEVER


def test_where_steps_run_out_each_block_is_bought_for_on_its_own() -> None:
    """5 a week: a pack of 4 for 4.00 and one of 1 for 1.50 make 5.50; of one choice alone five single ones, 7.50. The
    second week's pack comes later and is 0.10 dearer."""
    demands = [Demand(Fraction(5), DAY + 7 * k, DAY + 7 * k + 2) for k in range(2)]
    choices = [
        Choice(k, Fraction(size), price + 10 * k, 1, 1, NEVER, DAY + 7 * k, 2)
        for k in range(2) for size, price in ((4, 400), (1, 150))
    ]  # fmt: skip
    its = packing.Problem(demands, choices, None)
    by_blocks = packing.without_proof(its, 900, 1_000)
    assert by_blocks is not None
    assert (by_blocks.packs, by_blocks.cost, by_blocks.bound) == (((0, 2), (1, 2)), 1_100, 900)
    by_one = packing.without_proof(its, 900, 0)
    assert by_one is not None
    assert (by_one.packs, by_one.cost, by_one.bound) == (((1, 10),), 1_500, 900)


def test_where_steps_run_out_for_one_demand_one_choice_covers_it() -> None:
    """5 of packs of 4 for 4.00 and of 1 for 1.50: five single ones for 7.50; a pack of each would be 5.50."""
    choices = [Choice(0, Fraction(size), price, 1, 1, NEVER, DAY, 1) for size, price in ((4, 400), (1, 150))]
    found = cheapest([Demand(Fraction(5), DAY, DAY + 2)], choices, None, most_steps=1)
    assert found is not None
    assert (found.packs, found.cost, found.settled, found.steps) == (((1, 5),), 750, False, 2)
    assert found.bound <= 550


def test_a_block_has_no_packs_that_come_after_it() -> None:
    """The second week's are cheaper, but come too late for the first."""
    demands = [Demand(Fraction(5), DAY + 7 * k, DAY + 7 * k + 2) for k in range(2)]
    choices = [
        Choice(0, Fraction(5), 500, 1, 1, DAY + 2, DAY, 2), Choice(1, Fraction(5), 300, 1, 1, NEVER, DAY + 7, 2),
    ]  # fmt: skip
    for steps in (0, 1_000):
        found = packing.without_proof(packing.Problem(demands, choices, None), 700, steps)
        assert found is not None
        assert (found.packs, found.cost) == (((0, 1), (1, 1)), 800)


def test_one_choice_for_a_demand_buys_its_least_its_steps_and_a_setup_once() -> None:
    """5 of packs of 2: three, but by twos four; at least six of another; a third goes bad before."""
    demand = [Demand(Fraction(5), DAY, DAY + 2)]

    def bought(*choices: Choice) -> tuple[tuple[tuple[int, int], ...], int] | None:
        found = packing._by_one_choice(packing.Problem(demand, choices, None), 0)
        return found and (found.packs, found.cost)

    by_two = Choice(0, Fraction(2), 100, 2, 2, DAY + 2, DAY, 1, setup=50)
    six = Choice(0, Fraction(2), 70, 6, 1, DAY + 2, DAY, 1)
    bad = Choice(0, Fraction(5), 1, 1, 1, DAY + 1, DAY, 1)
    assert bought(by_two, bad) == (((0, 4),), 450)
    assert bought(by_two, six, bad) == (((1, 6),), 420)
    assert bought(bad) is None


def test_as_much_of_each_sort_for_as_long_is_no_less() -> None:
    """By sort a rest stands for no sealed pack, nor one opened on another day, nor a pack for one of another size."""
    two, one = (sealed(109, 99, 2),), (sealed(109, 99, 1),)
    assert packing._holds(two, one, by_sort=True)
    assert not packing._holds(one, two, by_sort=True)
    assert not packing._holds((sealed(108, 99, 2),), one, by_sort=True), "not for as long"
    assert packing._holds((rest(109, 99, 50, 100),), (rest(102, 99, 50, 100),), by_sort=True)
    for other in (sealed(109, 99, 1), sealed(109, 98, 1), rest(109, 99, 99), rest(109, 99, 99, 99)):
        assert packing._holds((other,), (rest(109, 99, 50, 100),), by_sort=False)
        assert not packing._holds((other,), (rest(109, 99, 50, 100),), by_sort=True)


def test_a_cheaper_state_that_holds_as_much_beats_a_dearer_one() -> None:
    front = packing.Front(rests_matter=False)
    front.keep(500, 1, (sealed(109, 1, 3),))
    assert front.beats(501, 1, (sealed(109, 1, 3),))
    assert front.beats(501, 1, (sealed(102, 1, 3),))
    assert not front.beats(500, 1, (sealed(109, 1, 3),)), "as dear: ties are still to be settled"
    assert not front.beats(501, 1, (sealed(109, 1, 4),))
    assert not front.beats(501, 1, (sealed(116, 1, 3),))
    assert not front.beats(501, 2, (sealed(109, 1, 3),)), "before another demand"
    front.keep(400, 1, (sealed(109, 1, 5),))
    assert [state[0] for state in front.states[1]] == [400], "the other need not be remembered"
    front.keep(300, 1, (sealed(109, 1, 4),))
    assert [state[0] for state in front.states[1]] == [400, 300]


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        ((3, 20, 97, True), (4, 20, 98, True)),  # 6 of packs of 3 leave nothing, of 4 half a pack
        ((3, 20, 97, True), (3, 20, 98, False)),  # preferred
        ((6, 40, 97, False), (3, 20, 98, False)),  # one pack for two
        ((3, 20, 98, False), (3, 20, 97, False)),  # a later delivery
        ((4, 19, 97, False), (6, 40, 98, True)),  # a cent, before all else
    ],
)
def test_ties_go_by_what_is_left_over_then_preferred_then_fewer_then_later_packs(
    better: tuple[int, int, int, bool], worse: tuple[int, int, int, bool]
) -> None:
    """6 of packs (size, price, day of arrival, preferred)."""
    demand = [Demand(Fraction(6), DAY, DAY + 2)]
    for order in ([better, worse], [worse, better]):
        choices = [
            Choice(0, Fraction(size), price, 1, 1, NEVER, arrives, 1, preferred=best)
            for size, price, arrives, best in order
        ]
        found = cheapest(demand, choices, None)
        assert found is not None
        assert [number for number, _ in found.packs] == [order.index(better)]


def test_of_packs_that_are_alike_the_first_is_bought() -> None:
    alike = Choice(0, Fraction(3), 20, 1, 1, NEVER, 98, 1)
    found = cheapest([Demand(Fraction(6), DAY, DAY + 2)], [alike, alike], None)
    assert found is not None
    assert found.packs == ((0, 2),)
    assert found.ties == (0, 0, 2, -2 * 98)


def test_in_any_order_single_ones_may_go_beside_a_pack_that_is_begun() -> None:
    """3 of five single ones and a pack of 4: none, one, two or three of it; none of these leaves more of both."""
    its = problem([3, 9], [(1, 1, 109), (4, 1, 109)], 9, any_order=True)
    found = its.packings(0, (sealed(109, 1, 5), sealed(109, 4, 1)))
    assert found is not None
    left = {(rest(109, 4, 4 - taken, DAY), sealed(109, 1, 2 + taken)) for taken in (1, 2, 3)}
    assert {inventory for inventory, _ in found} == {(sealed(109, 1, 2), sealed(109, 4, 1)), *left}
    parts = {sum(entry.amount for entry in inventory if entry.size == 1): shares for inventory, shares in found}
    assert parts == {2: 3 * 4, 3: 2 * 4 + 1, 4: 4 + 2, 5: 3}


def test_in_any_order_the_longer_lived_of_one_size_is_kept() -> None:
    """Of packs of 4, one good through day 109 and one through 102, for 6: the shorter-lived goes first, and the other
    or a pack of 5 is begun. The five used up and one of the shorter-lived leaves less."""
    its = problem([6, 9, 9], [(4, 1, 109), (4, 1, 102), (5, 1, 109)], 9, any_order=True)
    found = its.packings(0, (sealed(102, 4, 1), sealed(109, 4, 1), sealed(109, 5, 1)))
    assert found is not None
    assert {inventory for inventory, _ in found} == {
        (rest(109, 4, 2, DAY), sealed(109, 5, 1)), (rest(109, 5, 3, DAY), sealed(109, 4, 1)),
    }  # fmt: skip


@pytest.mark.parametrize(("keeps_open", "packs", "cost"), [(3, ((0, 2),), 20), (None, ((1, 1),), 19)])
def test_two_small_packs_for_a_larger_one_only_where_its_rest_would_not_keep(
    keeps_open: int | None, packs: tuple[tuple[int, int], ...], cost: int
) -> None:
    """3 a week: a pack of 6 at 0.19 is cheaper than two of 3 at 0.10, unless what is opened is good for three days."""
    demands = [Demand(Fraction(3), DAY + 7 * k, DAY + 7 * k + 2) for k in range(2)]
    choices = [Choice(0, Fraction(size), price, 1, 1, NEVER, DAY, 2) for size, price in ((3, 10), (6, 19))]
    found = cheapest(demands, choices, keeps_open)
    assert found is not None
    assert (found.packs, found.cost) == (packs, cost)


@pytest.mark.parametrize(
    ("large", "limit"),
    [
        ({}, 2),  # three of 2 for 30 are one of 6 for 29
        ({"price": 30}, None), ({"size": Fraction(5)}, None), ({"through": DAY + 5}, None), ({"least": 2}, None),
        ({"step": 2}, None), ({"delivery": 1}, None), ({"serves": 2}, None), ({"size": Fraction(2)}, None),
        ({"through": DAY + 9}, 2),  # outlasts all that is needed
    ],
)  # fmt: skip
def test_fewer_than_make_up_a_multiple_on_sale_beside_it(large: dict[str, object], limit: int | None) -> None:
    demand = [Demand(Fraction(30), DAY + 7 * k, DAY + 7 * k + 2) for k in range(2)]
    small = Choice(0, Fraction(2), 10, 1, 1, NEVER, DAY, 1, delivery=0)
    other = Choice(0, Fraction(6), 29, 1, 1, NEVER, DAY, 1, delivery=0)
    its = packing.Problem(demand, [small, dataclasses.replace(other, **large)], None)  # type: ignore[arg-type]
    assert its.most_packs == [limit, None]


def test_what_must_still_be_paid_at_the_least() -> None:
    """4 and 6 of packs of 2 at 0.10 and of 3 at 0.16: ten are five of 2; 7 lack beside 3 that are there, and one pack
    of 3 with two of 2 is cheaper than four. By demand all are 0.05 each, or, where only packs of 3 last, the later ones
    0.10, and what is there spares these first."""
    its = problem([4, 6], [(2, 10, 300), (3, 16, 300)], None)
    assert [its.to_come(0, there) for there in (0, 1, 2, 3, 9, 10, 11)] == [50, 46, 40, 36, 10, 0, 0]
    assert [its.to_come(1, there) for there in (0, 5, 6)] == [None, None, 0], "nothing comes after the first"
    assert [its._by_demand(0, there) for there in (0, 1, 9, 10)] == [50, 45, 5, 0]
    dear = problem([4, 6], [(2, 10, 102), (3, 30, 300)], None)
    assert [dear._by_demand(0, there) for there in (0, 5, 6, 8)] == [20 + 60, 20 + 10, 20, 10]
    assert problem([4], [(2, 10, 101)], None).to_come(0, 0) == 20, "dates ignored"
    assert packing.Problem([Demand(Fraction(4), DAY, DAY)], [], None).to_come(0, 0) is None


@pytest.mark.parametrize(("large", "packs", "cost"), [(68, ((0, 1), (1, 1)), 67), (66, ((2, 1),), 66)])
def test_a_setup_is_paid_once_for_all_that_comes_with_a_delivery(
    large: int, packs: tuple[tuple[int, int], ...], cost: int
) -> None:
    """For 5: packs of 3 and 2 at 0.10 and 0.07 that come together for 0.50, or one of 5 that comes by itself."""
    demand = [Demand(Fraction(5), DAY, DAY + 2)]
    choices = [
        Choice(0, Fraction(3), 10, 1, 1, NEVER, DAY, 1, delivery=0, setup=50),
        Choice(0, Fraction(2), 7, 1, 1, NEVER, DAY, 1, delivery=0, setup=50),
        Choice(0, Fraction(5), large, 1, 1, NEVER, DAY, 1, delivery=1),
    ]
    for found in (cheapest(demand, choices, None), AskedFood(demand, choices, None).cheapest(range(3), choices, 99)):
        assert found is not None
        assert (found.packs, found.cost) == (packs, cost)


def test_a_setup_is_paid_for_each_delivery() -> None:
    """One pack a week, neither good for the other week."""
    demands = [Demand(Fraction(1), DAY + 7 * k, DAY + 7 * k + 2) for k in range(2)]
    choices = [
        Choice(k, Fraction(1), 10 + k, 1, 1, DAY + 7 * k + 3, DAY + 7 * k, k + 1, delivery=k, setup=50)
        for k in range(2)
    ]  # fmt: skip
    found = cheapest(demands, choices, None)
    assert found is not None
    assert (found.packs, found.cost) == (((0, 1), (1, 1)), 10 + 11 + 2 * 50)


def test_of_several_multiples_on_sale_the_least_counts() -> None:
    """Two of 2 are one of 4, three are one of 6; one is the most, whichever stands first."""
    demand = [Demand(Fraction(30), DAY, DAY + 2)]
    its = [Choice(0, Fraction(size), price, 1, 1, NEVER, DAY, 1) for size, price in ((2, 10), (4, 19), (6, 29))]
    assert packing.Problem(demand, its, None).most_packs == [1, None, None]
    assert packing.Problem(demand, its[::-1], None).most_packs == [None, None, 1]


def test_opened_packs_matter_where_a_rest_may_be_too_old_for_a_later_day() -> None:
    """Opened on day 100, three days last through 102: enough for what is used by then, and for one packing day."""

    def demands(*days: tuple[int, int]) -> list[Demand]:
        return [Demand(Fraction(1), day, use_by) for day, use_by in days]

    assert packing.opened_matter(demands((100, 102), (101, 103)), 3)
    assert not packing.opened_matter(demands((100, 102), (101, 102)), 3)
    assert not packing.opened_matter(demands((100, 103), (100, 104)), 3)
    assert not packing.opened_matter(demands((100, 102), (101, 103)), None)
    assert not packing.opened_matter([], 3)


def test_where_nothing_is_needed_nothing_is_bought() -> None:
    found = cheapest([], [], None)
    assert found is not None
    assert (found.packs, found.cost, found.bound, found.steps, found.ties) == ((), 0, 0, 0, (0, 0, 0, 0))


@pytest.mark.parametrize("seed", range(12))
def test_large_amounts_whose_bound_is_rounded_cost_what_an_integer_programme_finds(seed: int) -> None:
    """Thousands of grams, in packs without a common measure."""
    r = random.Random(seed)
    demands = [Demand(Fraction(r.randint(1_500, 4_000)), DAY + 7 * k, DAY + 7 * k + 2) for k in range(2)]
    choices = [
        Choice(k, Fraction(size), size // 10 + r.randint(-5, 15), 1, 1, NEVER, DAY + 7 * k, 2)
        for k in range(2) for size in sorted(r.sample(range(151, 900), 3))
    ]  # fmt: skip
    found = cheapest(demands, choices, None)
    assert found is not None
    assert found.cost == found.bound == plain_programme((demands, choices, None))


@pytest.mark.parametrize(
    ("demands", "offers", "rests", "most"), [(6, 3, False, 1_900), (9, 4, False, 11_247), (5, 3, True, 3_978)]
)
def test_forty_drawn_terms_are_settled_in_so_few_states(demands: int, offers: int, rests: bool, most: int) -> None:
    """What the bounds, the limits and the comparison of states are for: without one of them more are opened."""
    drawn = (cheapest(*random_problem(1000 + seed, demands, offers, rests=rests)) for seed in range(40))
    assert sum(found.steps for found in drawn if found is not None) <= most
