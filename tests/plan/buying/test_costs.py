"""What the orders cost by session, group and funder, to the cent."""

import datetime as dt
from collections.abc import Mapping
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import read, term

from opsreport.joining import build_programme
from opsreport.measures.units import Quantity
from opsreport.money import Money
from opsreport.plan.buying.costs import NOBODY, funder_parts, share_costs
from opsreport.plan.model import Costs, Order, Purchase
from opsreport.programme import Programme

F = Fraction
DAY = dt.date(2027, 1, 11)
SESSIONS = "Session | Group | Date | Recipes\n" + "\n".join(
    ["late | g2 | @2027-01-25 | soup", "b | g1 | @2027-01-18 | soup", "a | g1 | @2027-01-18 | soup",
    "z | g1 | @2027-01-11 | soup"]
)  # fmt: skip
GROUPS = "Group | Funders\ng1 | city 60%; trust 40%\ng2 |"
FUNDERS = "Funder | From | Until\ntrust | @2027-01-01 | @2027-12-31\ncity | @2027-01-01 | @2027-12-31"


def programme(**sheets: str) -> Programme:
    given_ = {"Sessions": SESSIONS, "Groups": GROUPS, "Funders": FUNDERS, **sheets}
    rows, _ = read(term(given_), dt.date(2027, 1, 4))
    return build_programme(rows, dt.date(2027, 1, 4))


KNOWN = programme()


def row(used: Mapping[str, int | Fraction], cost: int, order: str = "o1", left_over: int = 0) -> Purchase:
    total = sum(used.values()) + left_over
    return Purchase(
        order, "shop", "", "onion", 1, Quantity(F(total), "g"), F(total), "g", Money(cost), Money(cost), DAY, None,
        tuple((name, F(amount)) for name, amount in used.items()), F(left_over),
    )  # fmt: skip


def order(goods: int, fee: int = 0, tax: int = 0, name: str = "o1") -> Order:
    return Order(name, "shop", DAY, DAY, False, Money(goods), Money(fee), Money(tax), Money(goods + fee + tax), False)


def shares(rows: list[Purchase], orders: list[Order], known: Programme = KNOWN) -> Costs:
    return share_costs(known, rows, orders)


def test_goods_fall_on_the_sessions_by_the_amount_used() -> None:
    assert shares([row({"z": 100, "a": 300}, 800)], [order(800)]).sessions == {"z": 200, "a": 600}


def test_what_is_left_over_goes_with_them() -> None:
    assert shares([row({"z": 100, "a": 300}, 800, left_over=600)], [order(800)]).sessions == {"z": 200, "a": 600}


def test_fee_and_tax_fall_in_proportion_to_goods() -> None:
    """Goods 2.00 and 6.00 of an order: 5.00 of fee and 0.80 of tax are 1.25 + 0.20 and 3.75 + 0.60."""
    assert shares([row({"z": 1}, 200), row({"a": 1}, 600)], [order(800, 500, 80)]).sessions == {"z": 345, "a": 1035}


def test_goods_fee_and_tax_are_split_one_by_one() -> None:
    """Three equal sessions, one cent a column: the first gets all; of 3 cents together each would get one."""
    rows = [row({"z": 1, "a": 1, "b": 1}, 1)]
    assert shares(rows, [order(1, 1, 1)]).sessions == {"z": 3, "a": 0, "b": 0}


def test_ties_go_by_session_date_then_id() -> None:
    rows = [row({"late": 1, "b": 1, "a": 1, "z": 1}, 3)]
    assert shares(rows, [order(3)]).sessions == {"z": 1, "a": 1, "b": 1, "late": 0}
    assert list(shares(rows, [order(3)]).sessions) == ["z", "a", "b", "late"]


def test_shares_of_several_rows_are_added_before_they_are_rounded() -> None:
    """Half a cent twice is one cent: a session gets what it uses, not each row's rounding."""
    rows = [row({"a": 1, "b": 1}, 1), row({"a": 1, "b": 1}, 1)]
    assert shares(rows, [order(2)]).sessions == {"a": 1, "b": 1}


def test_each_order_is_split_on_its_own() -> None:
    rows = [row({"z": 1}, 100, "o1"), row({"a": 1}, 900, "o2")]
    assert shares(rows, [order(100, 500, 0, "o1"), order(900, 0, 9, "o2")]).sessions == {"z": 600, "a": 909}


def test_groups_and_funders() -> None:
    costs = shares([row({"z": 1, "a": 1, "late": 1}, 303)], [order(303)])
    assert costs.groups == {"g1": 202, "g2": 101}
    assert costs.funders == {"trust": 81, "city": 121, NOBODY: 101}
    assert list(costs.funders) == ["trust", "city", NOBODY]
    assert NOBODY == ""


def test_a_funders_odd_cent_goes_to_the_larger_remainder() -> None:
    assert funder_parts(KNOWN, "g1", Money(101)) == {"city": 61, "trust": 40}
    assert funder_parts(KNOWN, "g1", Money(1)) == {"city": 1, "trust": 0}
    assert funder_parts(KNOWN, "g2", Money(7)) == {NOBODY: 7}


def test_a_funder_named_alone_pays_all() -> None:
    known = programme(Groups="Group | Funders\ng1 | trust\ng2 | trust")
    assert shares([row({"z": 1, "late": 2}, 300)], [order(300)], known).funders == {"trust": 300}


def test_no_orders_cost_nothing() -> None:
    assert shares([], []) == Costs()


USED = st.dictionaries(st.sampled_from(["z", "a", "b", "late"]), st.integers(1, 50), min_size=1)


@settings(max_examples=60, deadline=None)
@given(
    st.lists(st.tuples(USED, st.integers(1, 5000), st.sampled_from(["o1", "o2"])), min_size=1, max_size=6),
    st.integers(0, 999), st.integers(0, 999),
)  # fmt: skip
def test_every_column_adds_up_to_the_cent(rows: list[tuple[dict[str, int], int, str]], fee: int, tax: int) -> None:
    purchases = [row(used, cost, name) for used, cost, name in rows]
    goods = {name: sum(r.cost for r in purchases if r.order == name) for name in sorted({r.order for r in purchases})}
    orders = [order(sum_, fee, tax, name) for name, sum_ in goods.items()]
    costs = shares(purchases, orders)
    total = sum(one.total for one in orders)
    for column in (costs.sessions, costs.groups, costs.funders):
        assert sum(column.values()) == total
        assert all(type(part) is int and part >= 0 for part in column.values())
    for name, cost in costs.sessions.items():
        exact = F(0)
        for one in orders:
            its = sum((r.cost * amount / sum(a for _, a in r.used) for r in purchases if r.order == one.order
                       for session, amount in r.used if session == name), F(0))  # fmt: skip
            exact += its / one.goods * one.total
        assert abs(cost - exact) < 3 * len(orders)


@pytest.mark.parametrize("cost", [0, 1, 2, 99, 100, 12345])
def test_funders_of_a_group_add_up(cost: int) -> None:
    assert sum(funder_parts(KNOWN, "g1", Money(cost)).values()) == cost
