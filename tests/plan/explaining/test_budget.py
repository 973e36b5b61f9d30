"""The term's money against its cap, in three currencies, to the minor unit."""

import datetime as dt

import pytest
from plan.food_support import MONDAY, planned, settings

from opsreport.plan.model import BudgetPlan, InKind, Surplus

D = dt.date.fromisoformat
ORDERS = "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Received | Price"


def budget(sheets: dict[str, str]) -> BudgetPlan:
    return planned(sheets)[1].budget


def test_planned_orders_by_week_of_their_order_by_day() -> None:
    """Delivered on Mondays the 11th and 18th, ordered on the Fridays before; 2.00 each."""
    found = budget({"Settings": settings("Budget | 5.00", "Spent so far | 0.50")})
    assert (found.cap, found.spent, found.committed, found.planned, found.left) == (500, 50, 0, 400, 50)
    assert [(week.monday, week.planned, week.left) for week in found.weeks] == [
        (MONDAY, 200, 250),
        (D("2027-01-11"), 200, 50),
    ]
    assert found.on_hold == ()


def test_the_first_order_that_breaks_the_cap_and_all_after_it_are_on_hold_and_none_is_cut() -> None:
    for cap, held in (("4.00", ()), ("3.99", ("shop-20270118",)), ("1.99", ("shop-20270111", "shop-20270118"))):
        _, plan = planned({"Settings": settings(f"Budget | {cap}")})
        assert plan.budget.on_hold == held
        assert [order.order for order in plan.orders] == ["shop-20270111", "shop-20270118"]
        assert sum(row.packs for row in plan.purchases) == 2


def test_what_is_spent_already_is_no_longer_there_for_orders() -> None:
    """Two orders of 2.00: with 0.01 of 4.00 spent only the first fits."""
    for spent, held in (("0.00", ()), ("0.01", ("shop-20270118",)), ("2.01", ("shop-20270111", "shop-20270118"))):
        assert budget({"Settings": settings("Budget | 4.00", f"Spent so far | {spent}")}).on_hold == held


def test_what_is_on_order_is_promised_before_any_new_order() -> None:
    """Three packs at 1.50 as agreed, one of them here: 1.50 spent, 3.00 committed, with 10 % tax and a fee of 0.40."""
    sheets = {
        "Settings": settings("Budget | 9.00"),
        "Suppliers": "Supplier | Lead days | Tax | Delivery fee\nshop | 1 | 10% | 0.40",
        "Orders": f"{ORDERS}\no1 | shop | bean mix | 3 | 50 | g | @2027-01-13 | 1 | 1.50",
    }
    found = budget(sheets)
    assert found.spent + found.committed == 450 + 45 + 40
    assert found.spent == 178  # a third of 5.35, to the cent
    assert [(week.monday, week.committed) for week in found.weeks if week.committed] == [(D("2027-01-11"), 357)]
    assert found.weeks[0].left == 900 - 535 - found.weeks[0].planned


def test_a_price_that_orders_lacks_is_that_of_the_same_pack() -> None:
    orders = f"{ORDERS}\no1 | shop | bean mix | 1 | 250 | g | @2027-01-08 | |\no2 | shop | bean mix | 1 | 99 | g | "
    found = budget({"Orders": orders + "@2027-01-08 | |"})
    assert found.committed == 200
    assert found.unpriced == ("Orders!G3",)


def test_donated_lots_count_by_the_part_used() -> None:
    """90 of 120 g go into the kits of a lot worth 10.01: three quarters, 7.5075, is 7.51."""
    stock = "Ingredient | Amount | Unit | Lot | Source | Value | Best before\n"
    lots = [
        "bean mix | 90 | g | a | donated | 10.01 | @2027-01-11",
        "bean mix | 200 | g | c | bought | 9.00 | @2027-01-18",
        "bean mix | 50 | g | b | donated | | @2027-01-12",
    ]
    found = budget({"Stock": stock + "\n".join(lots)})
    assert found.in_kind == (InKind("bean mix", "a", 90, "g", 1001), InKind("bean mix", "b", 50, "g", None))  # type: ignore[arg-type]
    part = budget({"Stock": stock + "bean mix | 800 | g | a | donated | 10.01 |"})
    assert [lot.value for lot in part.in_kind] == [501]  # half of it, 5.005, rounded half up


@pytest.mark.parametrize(
    ("currency", "price", "cap", "planned_", "held"),
    [("JPY", "201", "401", 402, 1), ("USD", "2.01", "4.01", 402, 1), ("KWD", "2.001", "4.001", 4002, 1),
    ("KWD", "2.001", "4.002", 4002, 0)],
)  # fmt: skip
def test_minor_units_are_the_currencys_own(currency: str, price: str, cap: str, planned_: int, held: int) -> None:
    """ISO 4217: no decimals for the yen, two for the dollar, three for the dinar."""
    packs = f"Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 250 | g | {price}"
    found = budget({"Settings": settings(f"Currency | {currency}", f"Budget | {cap}"), "Packs": packs})
    assert (found.planned, len(found.on_hold)) == (planned_, held)


def test_without_a_cap_nothing_is_left_and_nothing_waits() -> None:
    found = budget({})
    assert (found.cap, found.left, found.on_hold) == (None, None, ())
    assert [week.left for week in found.weeks] == [None, None]


def test_whole_packs_on_order_that_nobody_needs_are_only_a_question() -> None:
    """600 g come, 400 g are needed: of two packs of 300 g both are touched; of four of 150 g one is spare."""
    for size, packs, spare in ((300, 2, 0), (150, 4, 1), (50, 12, 4)):
        orders = f"{ORDERS}\no1 | shop | bean mix | {packs} | {size} | g | @2027-01-08 | |"
        _, plan = planned({"Orders": orders})
        assert [row.packs for row in plan.surplus] == [spare] * bool(spare)
        assert plan.purchases == ()
    none_needed = f"{ORDERS}\no1 | shop | rice mix | 2 | 1 | kg | @2027-01-08 | |"
    _, plan = planned({"Orders": none_needed, "Ingredients": "Ingredient | Contains\nbean mix | none\nrice mix | none"})
    assert plan.surplus == (Surplus("o1", "shop", "rice mix", "", D("2027-01-08"), 2, True, "Orders!G2"),)


@pytest.mark.parametrize(
    ("due", "received", "spare"),
    [
        ("2027-01-04", "", [(2, True)]),
        ("2027-01-03", "", []),
        ("2027-01-08", "1", [(1, False)]),
        ("2027-01-08", "2", []),
    ],
)
def test_what_is_still_to_come_from_the_planning_day_on_can_be_spare(
    due: str, received: str, spare: list[tuple[int, bool]]
) -> None:
    """Two packs of what nobody needs, planned on 4 January; what has come is no longer on order."""
    _, plan = planned(
        {
            "Orders": f"{ORDERS}\no1 | shop | rice mix | 2 | 1 | kg | @{due} | {received} |",
            "Ingredients": "Ingredient | Contains\nbean mix | none\nrice mix | none",
        }
    )
    assert [(row.packs, row.all) for row in plan.surplus] == spare


def test_a_supplier_that_only_orders_name_has_no_fee_and_no_tax() -> None:
    assert budget({"Orders": f"{ORDERS}\no1 | corner | bean mix | 2 | 50 | g | @2027-01-08 | | 1.50"}).committed == 300
