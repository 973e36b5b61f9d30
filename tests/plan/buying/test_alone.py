"""What each session would cost, bought for on its own by the rules that hold for the orders of all."""

import random

import pytest
from plan.buying.test_deliveries import PACKS, SUPPLIERS, plan, sessions
from plan.buying.test_options import options

from opsreport.plan.buying.alone import session_by_session
from opsreport.plan.buying.orders import buy

BOTH = "{0} | thing | 1 | each | {1}\n{0} | other | 1 | each | {2}"
FROM_EITHER = PACKS + BOTH.format("a", "1.00", "9.00") + "\n" + BOTH.format("b", "9.00", "1.00")


def alone(kits: list[int], suppliers: str, packs: str) -> int:
    return plan(Sessions=sessions(kits), Suppliers=SUPPLIERS + suppliers, Packs=packs).buying.session_by_session_cost


def test_a_small_order_that_nobody_would_take_goes_to_another_supplier() -> None:
    """b asks for 50.00: a session alone buys its 2 x 9.00 from a, and so does each of two."""
    suppliers = "a | 0 | Wed | Wed | 0 | 0\nb | 0 | Wed | Wed | 0 | {}"
    assert alone([2], suppliers.format("50.00"), FROM_EITHER) == 200 + 1800
    assert alone([2, 2], suppliers.format("50.00"), FROM_EITHER) == 2 * (200 + 1800)
    assert alone([2], suppliers.format("0"), FROM_EITHER) == 200 + 200


def test_an_order_of_just_the_minimum_will_do() -> None:
    """b asks for 4.00, which is what two sessions' worth of both costs there, and a session's is not."""
    suppliers = "a | 0 | Wed | Wed | 0 | 0\nb | 0 | Wed | Wed | 0 | {}"
    packs = PACKS + BOTH.format("a", "9.00", "9.00") + "\n" + BOTH.format("b", "1.00", "1.00")
    assert alone([2], suppliers.format("4.00"), packs) == 2 * 2 * 100
    assert alone([2], suppliers.format("4.01"), packs) == 2 * 2 * 900


def test_a_minimum_that_nothing_else_avoids_is_left_unreached() -> None:
    only_b = PACKS + "a | thing | 1 | each | 1.00\nb | other | 1 | each | 1.00"
    assert alone([2], "a | 0 | Wed | Wed | 0 | 0\nb | 0 | Wed | Wed | 3.00 | 50.00", only_b) == 200 + 200 + 300


def test_one_delivery_is_asked_for_where_a_second_costs_more_than_it_saves() -> None:
    """From both: 2.00 + 2.00 and two fees; from a alone: 2.00 + 18.00 and one."""
    fees = "a | 0 | Wed | Wed | {0}\nb | 0 | Wed | Wed | {0}"
    assert alone([2], fees.format("10.00"), FROM_EITHER) == 400 + 2000
    assert alone([2], fees.format("17.00"), FROM_EITHER) == 2000 + 1700


def test_free_delivery_is_reached_with_packs_beyond_need_where_that_is_cheaper() -> None:
    packs = PACKS + BOTH.format("v", "1.00", "1.00")
    assert alone([2, 2], "v | 0 | Wed | Wed | 5.00 | 0 | 6.00", packs) == 2 * 600


@pytest.mark.parametrize("seed", range(60))
def test_a_term_of_one_session_costs_the_same_alone(seed: int) -> None:
    """Two foods, three suppliers with fees: the plan of the one session, which is proven."""
    r = random.Random(seed)
    suppliers = "\n".join(f"{name} | 0 | Wed | Wed | {r.randint(0, 6)} | 0" for name in "abc")
    packs = PACKS + "\n".join(BOTH.format(name, f"{r.randint(1, 5)}.00", f"{r.randint(1, 5)}.00") for name in "abc")
    buying = plan(Sessions=sessions([r.randint(1, 4)]), Suppliers=SUPPLIERS + suppliers, Packs=packs).buying
    assert buying.cost == buying.lower_bound == buying.session_by_session_cost


def test_a_plan_costs_no_more_than_its_sessions_alone() -> None:
    """Drawn needs of one week, packs of two sizes that come on its Monday and keep a day once opened: what suits each
    session does for all, if each begins the packs that were bought for it."""
    for seed in range(40):
        r = random.Random(seed)
        large, small = r.choice([(12, 6), (6, 4), (5, 3), (10, 4), (12, 5)])
        price = r.randint(500, 900)
        food = options(
            f"shop | pearl onion | L | {large} | g | {price / 100:.2f}\n"
            f"shop | pearl onion | S | {small} | g | {r.randint(price * small // large * 4 // 5, price) / 100:.2f}",
            *((f"2027-01-{day}", r.randint(1, 50)) for day in (12, 13, 14)), keeps_open="1",
        )  # fmt: skip
        buying = buy(food.market.programme, food.covered).buying
        assert buying.lower_bound <= buying.cost <= buying.session_by_session_cost


def test_what_single_needs_buy_is_one_way_for_all_where_it_does_together() -> None:
    food = options("shop | pearl onion | L | 500 | g | 3.00", ("2027-01-12", 300), ("2027-01-13", 400))
    _, bought = session_by_session(food.market.programme, food.covered)
    way = food.joined(bought["pearl onion"])
    assert way is not None
    assert (way.cost, [count for _, count in way.packs]) == (600, [2])
    assert food.without_spare(way).packs == way.packs
    assert food.joined(bought["pearl onion"][:1]) is None
    to_spare = options("shop | pearl onion | L | 500 | g | 3.00", ("2027-01-12", 100), ("2027-01-13", 400))
    _, bought = session_by_session(to_spare.market.programme, to_spare.covered)
    joined = to_spare.joined(bought["pearl onion"])
    assert joined is not None
    assert (joined.cost, to_spare.without_spare(joined).cost) == (600, 300)
