"""One food: its needs in order, what covers them, and what does not."""

import datetime as dt
from fractions import Fraction

import pytest
from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.buying.food_buying import FoodBuying, order_id
from opsreport.plan.buying.market import Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.options import FoodOptions
from opsreport.plan.model import NeedOf

F = Fraction
MONDAY = dt.date(2027, 1, 4)
D = dt.date.fromisoformat


def buying(packs: str, *needs: tuple[str, str, int]) -> FoodBuying:
    """Pearl onions, kept 10 days, 4 once opened, for needs (session, packing day, grams) good two days longer."""
    rows, _ = read(
        term(
            {
                "Ingredients": "Ingredient | State | Keeps | Keeps open\npearl onion | dry | 10 | 4",
                "Suppliers": "Supplier | Lead days | Delivery days\nshop | 1 | Mon;Thu",
                "Packs": f"Supplier | Ingredient | Item | Pack amount | Pack unit | Price | From | Until\n{packs}",
            }
        ),
        MONDAY,
    )
    market = Market(build_programme(rows, MONDAY))
    wanted = [
        NeedOf("pearl onion", session, D(day), D(day) + dt.timedelta(days=2), F(grams), "g")
        for session, day, grams in needs
    ]
    options = FoodOptions(market, "pearl onion", [Open(need, need.amount) for need in wanted])
    way = options.cheapest()
    assert way is not None
    return FoodBuying(options, way)


def rows_of(found: FoodBuying) -> list[tuple[str, int, dict[str, Fraction], Fraction]]:
    """(arrives, packs, used by session, left over) of every purchase."""
    return [(str(row.arrives), row.packs, dict(row.used), row.left_over) for row in found.purchases()]


BAG = "shop | pearl onion | B | 500 | g | 3.00"
SACK = "shop | pearl onion | S | 2 | kg | 8.00"


def test_each_need_from_the_last_delivery_before_it() -> None:
    found = buying(BAG, ("s1", "2027-01-12", 300), ("s2", "2027-01-19", 400))
    assert rows_of(found) == [("2027-01-11", 1, {"s1": F(300)}, F(200)), ("2027-01-18", 1, {"s2": F(400)}, F(100))]
    assert dict(found.way.goods) == {("shop", D("2027-01-11")): 300, ("shop", D("2027-01-18")): 300}
    assert found.options.in_time == [True, True]


def test_a_rest_serves_the_next_session_while_it_keeps() -> None:
    """Opened on Tuesday it is good through Friday: for Wednesday's packing, which needs it to Friday, not for more."""
    near = buying(BAG, ("s1", "2027-01-12", 300), ("s2", "2027-01-13", 200))
    assert rows_of(near) == [("2027-01-11", 1, {"s1": F(300), "s2": F(200)}, F(0))]
    far = buying(BAG, ("s1", "2027-01-12", 300), ("s2", "2027-01-15", 200))
    assert [row[1] for row in rows_of(far)] == [1, 1]


def test_the_larger_pack_where_it_is_cheaper() -> None:
    found = buying(f"{BAG}\n{SACK}", ("s1", "2027-01-12", 1400))
    assert [(row.item, row.packs, row.cost) for row in found.purchases()] == [("S", 1, 800)]


def test_needs_that_no_delivery_or_no_price_covers_are_told_apart() -> None:
    early = buying(BAG, ("s1", "2027-01-04", 300))
    assert tuple(map(len, (early.options.covered, early.options.uncovered, early.options.unoffered))) == (0, 1, 0)
    unpriced = buying(f"{BAG} | @2027-03-01 |", ("s1", "2027-01-12", 300))
    assert tuple(map(len, (unpriced.options.covered, unpriced.options.uncovered, unpriced.options.unoffered))) == (
        0,
        0,
        1,
    )


def test_an_order_number_says_supplier_and_day() -> None:
    assert order_id("shop", MONDAY) == "shop-20270104"


def test_a_plan_that_does_not_cover_is_never_believed() -> None:
    found = buying(BAG, ("s1", "2027-01-12", 300))
    found.options.covered = [Open(found.options.covered[0].need, F(3000))]
    with pytest.raises(RuntimeError, match="uncovered"):
        found.purchases()
