"""Branch and price beside two other ways to the optimum: trying every plan, and a plain programme for HiGHS."""

import dataclasses
import datetime as dt
import random
from collections import defaultdict
from fractions import Fraction
from itertools import product

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.buying.alone import alone_way
from opsreport.plan.buying.effort import USUAL
from opsreport.plan.buying.exchange import more_than_any
from opsreport.plan.buying.market import Market
from opsreport.plan.buying.master import Master
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.options import FoodOptions
from opsreport.plan.buying.orders import buy
from opsreport.plan.buying.topping_up import whole_cost
from opsreport.plan.buying.tree import Limits, Tree
from opsreport.plan.model import NeedOf
from opsreport.programme import Programme

MONDAY = dt.date(2027, 1, 4)
EVERYTHING = Limits(parts=1_000, at_prices=100_000, steps=10**9)


def drawn(seed: int, foods: int, weeks: int, *, minimums: bool) -> tuple[Programme, list[Open]]:
    """A term with two suppliers, fees, free delivery, and minimum orders where asked for."""
    r = random.Random(seed)
    packs, ingredients, needs = [], [], []
    for number in range(foods):
        food = f"food {number}"
        ingredients.append(f"{food} | dry | {r.choice(['', '', 9, 16])}")
        for supplier in r.sample("ab", r.choice([1, 2])):
            size = r.choice([200, 300, 500])
            cents = size * r.randint(60, 140) // 100
            packs.append(f"{supplier} | {food} | {number}{supplier} | {size} | g | {cents / 100:.2f}")
        for week in range(1, weeks + 1):
            if r.random() < 0.7:
                day = MONDAY + dt.timedelta(weeks=week, days=r.choice([1, 3]))
                grams = Fraction(r.randint(80, 500))
                needs.append(NeedOf(food, f"s{week}", day, day + dt.timedelta(days=2), grams, "g"))
    low, high = (r.randint(2, 6), r.randint(4, 9)) if minimums else (0, 0)
    rows, _ = read(
        term(
            {
                "Ingredients": "\n".join(["Ingredient | State | Keeps", *ingredients]),
                "Suppliers": "Supplier | Lead days | Delivery days | Delivery fee | Free delivery from | Minimum order"
                f"\na | 1 | Mon | {r.randint(1, 4)} | {r.choice(['', r.randint(6, 14)])} | {low}"
                f"\nb | 1 | Wed | {r.randint(1, 3)} | {r.choice(['', r.randint(5, 12)])} | {high}",
                "Packs": "\n".join(["Supplier | Ingredient | Item | Pack amount | Pack unit | Price", *packs]),
                "Sessions": "\n".join(
                    ["Session | Group | Date | Recipes"]
                    + [f"s{week} | g1 | @{MONDAY + dt.timedelta(weeks=week, days=4)} | soup" for week in range(1, 5)]
                ),
            }
        ),
        MONDAY,
    )
    return build_programme(rows, MONDAY), [Open(need, need.amount) for need in needs]


def options_of(programme: Programme, still_open: list[Open]) -> list[FoodOptions]:
    by_food: dict[str, list[Open]] = defaultdict(list)
    for each in still_open:
        by_food[each.need.food].append(each)
    market = Market(programme, {each.need.packing_day for each in still_open})
    return [FoodOptions(market, food, its) for food, its in sorted(by_food.items())]


def tried(programme: Programme, still_open: list[Open]) -> int | None:
    """The least cost of all plans in which every order reaches its minimum and no pack could be left out."""
    ways = []
    for food in options_of(programme, still_open):
        most = [-(-sum(d.amount for d in food.demands) // option.offer.base) for option in food.options]
        covering = [
            counts
            for counts in product(*(range(each + 1) for each in most))
            if food.covers(tuple((n, c) for n, c in enumerate(counts) if c))
        ]
        least = set(covering)
        goods = []
        for counts in covering:
            fewer = (tuple(c - (n == m) for n, c in enumerate(counts)) for m, its in enumerate(counts) if its)
            if not any(less in least for less in fewer):
                its = defaultdict(int)
                for option, count in zip(food.options, counts, strict=True):
                    if count:
                        its[option.delivery] += count * option.offer.price
                goods.append(dict(its))
        ways.append(goods)
    best = None
    for plan in product(*ways):
        total: dict[tuple[str, dt.date], int] = defaultdict(int)
        for its in plan:
            for delivery, cost in its.items():
                total[delivery] += cost
        cost = 0
        for (name, _), its in total.items():
            supplier = programme.suppliers[name]
            if its < supplier.minimum_order:
                break
            cost += its + (supplier.delivery_fee if supplier.free_from is None or its < supplier.free_from else 0)
        else:
            best = cost if best is None else min(best, cost)
    return best


@pytest.mark.parametrize("seed", [1, 12, 26, 30, 36, 45, 49])
@pytest.mark.parametrize("minimums", [False, True])
def test_no_plan_that_can_be_tried_is_cheaper(seed: int, minimums: bool) -> None:
    """What is bought costs no more than the cheapest of all plans, and the bound is at most that."""
    programme, still_open = drawn(seed, 3, 3, minimums=minimums)
    plan, least = buy(programme, still_open), tried(programme, still_open)
    assert not plan.shopping
    if least is None:
        assert any(order.below_minimum for order in plan.orders)
        return
    assert not any(order.below_minimum for order in plan.orders)
    assert plan.buying.lower_bound <= plan.buying.cost <= least
    assert plan.buying.lower_bound == plan.buying.cost


def programmed(programme: Programme, still_open: list[Open]) -> float:
    """The least cost by a plain integer programme: whole packs, what each need takes of them, a state a delivery."""
    cost, most, whole = list[float](), list[float](), list[int]()
    rows: list[tuple[dict[int, float], float, float]] = []
    goods: dict[tuple[str, dt.date], dict[int, float]] = defaultdict(dict)

    def variable(price: float, highest: float, *, is_whole: bool) -> int:
        cost.append(price)
        most.append(highest)
        whole.append(int(is_whole))
        return len(cost) - 1

    for food in options_of(programme, still_open):
        taken: list[dict[int, float]] = [{} for _ in food.demands]
        for option in food.options:
            size, price = float(option.offer.base), float(option.offer.price)
            packs = variable(price, 60, is_whole=True)
            goods[option.delivery][packs] = price
            given = {packs: -size}
            for k, demand in enumerate(food.demands):
                if k >= option.k and option.through.toordinal() >= demand.use_by:
                    part = variable(0, float(demand.amount), is_whole=False)
                    taken[k][part] = given[part] = 1.0
            rows.append((given, -np.inf, 0))
        for demand, parts in zip(food.demands, taken, strict=True):
            rows.append((parts, float(demand.amount), np.inf))
    for (name, _), its in goods.items():
        supplier = programme.suppliers[name]
        paid = variable(float(supplier.delivery_fee), 1, is_whole=True)
        free = variable(0, float(supplier.free_from is not None), is_whole=True)
        rows.append(({paid: 1, free: 1}, -np.inf, 1))
        rows.append((its | {paid: -1e6, free: -1e6}, -np.inf, 0))
        rows.append((its | {paid: -float(supplier.minimum_order), free: -float(supplier.free_from or 0)}, 0, np.inf))
    matrix = np.zeros((len(rows), len(cost)))
    for number, (row, _, _) in enumerate(rows):
        for column, value in row.items():
            matrix[number, column] = value
    found = milp(
        cost,
        integrality=whole,
        bounds=Bounds(0, most),
        constraints=LinearConstraint(matrix, [row[1] for row in rows], [row[2] for row in rows]),
        options={"mip_rel_gap": 0},
    )
    assert found.success
    return float(found.fun)


@pytest.mark.parametrize("seed", range(4))
def test_a_plain_integer_programme_finds_nothing_cheaper(seed: int) -> None:
    """Six foods, four weeks, no minimum orders; the programme may buy packs beyond need, as may buying."""
    programme, still_open = drawn(seed, 6, 4, minimums=False)
    buying = buy(programme, still_open).buying
    assert round(programmed(programme, still_open)) == buying.cost == buying.lower_bound


def test_the_search_ends_with_its_work_and_tells_what_is_left() -> None:
    programme, still_open = drawn(2, 6, 4, minimums=False)
    least = buy(programme, still_open).buying.cost
    given_up = buy(programme, still_open, dataclasses.replace(USUAL, parts=1)).buying
    assert given_up.lower_bound < least <= given_up.cost


# --- the parts of all plans by themselves, from every food alone on ---


def looked_into(programme: Programme, still_open: list[Open], limits: Limits = EVERYTHING) -> Tree:
    foods = {options.food: options for options in options_of(programme, still_open)}
    alone = {food: alone_way(options) for food, options in foods.items()}
    none = more_than_any(alone)
    master = Master(programme.suppliers, list(foods), none, minimums=True)
    known = {food: [way] for food, way in alone.items()}
    tree = Tree(programme.suppliers, foods, master, known, alone, none, 0, any_order=False)
    tree.search(limits)
    if tree.cost < none:
        assert all(foods[food].covers(way.packs) for food, way in tree.ways.items())
        assert whole_cost(programme.suppliers, foods, tree.ways) == tree.cost
    return tree


@pytest.mark.parametrize("seed", range(100, 120))
def test_by_itself_it_finds_what_a_plain_integer_programme_finds(seed: int) -> None:
    programme, still_open = drawn(seed, 6, 4, minimums=False)
    tree = looked_into(programme, still_open)
    assert tree.cost == tree.bound == round(programmed(programme, still_open))


def test_with_minimums_nothing_is_cheaper_than_a_programme_that_may_buy_beyond_need() -> None:
    """Proven each time, that there is no plan as well; the programme reaches a minimum by packs that nobody needs."""
    alike = 0
    for seed in range(100, 120):
        programme, still_open = drawn(seed, 5, 4, minimums=True)
        tree, least = looked_into(programme, still_open), round(programmed(programme, still_open))
        assert tree.bound == tree.cost >= least
        alike += tree.cost == least
    assert alike >= 19


@pytest.mark.parametrize("seed", [1, 12, 26])
@pytest.mark.parametrize("minimums", [False, True])
def test_by_itself_it_finds_nothing_dearer_than_trying_all(seed: int, minimums: bool) -> None:
    programme, still_open = drawn(seed, 3, 3, minimums=minimums)
    tree, least = looked_into(programme, still_open), tried(programme, still_open)
    assert least is not None
    assert tree.cost == tree.bound <= least


def test_what_is_left_open_keeps_its_bound() -> None:
    """After one part, with no work left, or with one state a food at prices no more is claimed than is so."""
    for seed in range(100, 110):
        programme, still_open = drawn(seed, 6, 4, minimums=False)
        whole = looked_into(programme, still_open)
        for limits in (Limits(1, 100_000, 10**9), Limits(1_000, 100_000, 0), Limits(1_000, 1, 10**9)):
            tree = looked_into(programme, still_open, limits)
            assert tree.bound <= whole.cost <= tree.cost
