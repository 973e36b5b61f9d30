"""What stands in Orders charged to sessions, worked by hand to the cent."""

import datetime as dt

from hypothesis import given, settings
from hypothesis import strategies as st
from plan.food_support import SHEETS, planned
from plan.food_support import settings as settings_of

from opsreport.plan.buying.placed import PlacedCosts, charge_placed, placed_orders

D = dt.date.fromisoformat
HELD = (
    "Session | Group | Date | Recipes | Status\n"
    "d1 | g1 | @2027-01-04 | stew | delivered\nd2 | g1 | @2027-01-06 | stew | delivered\n"
    "d3 | g1 | @2027-01-07 | stew | cancelled\nw2 | g1 | @2027-01-11 | stew |\nw3 | g1 | @2027-01-18 | stew |"
)
"""Two sessions held and two to come, each of two kits with 100 g: 200 g a session."""
ORDERS = "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Received | Price"


def charged(*orders: str, stock: str = "", suppliers: str = "", sessions: str = HELD) -> PlacedCosts:
    sheets = {
        "Sessions": sessions,
        "Orders": "\n".join([ORDERS, *orders]),
        "Stock": "Ingredient | Amount | Unit | Source | Value" + (f"\n{stock}" if stock else ""),
        "Suppliers": suppliers or SHEETS["Suppliers"],
    }
    programme, plan = planned(sheets, D("2027-01-08"))
    return charge_placed(programme, plan.stock_use)


def test_sessions_held_since_it_was_due_take_it_the_earliest_first() -> None:
    """500 g at 5.00 came on the 4th: 200 g each go to d1 and d2, and the 100 g left over with them."""
    found = charged("o1 | shop | bean mix | 5 | 100 | g | @2027-01-04 | 5 | 1.00")
    assert found == PlacedCosts({"d1": 250, "d2": 250}, {}, 0, 0)  # type: ignore[dict-item, arg-type]


def test_sessions_that_are_packed_and_still_to_be_held_take_it_as_those_that_were_held() -> None:
    """w1 of the 9th was packed on the 7th: of 400 g at 4.00, which came on the 6th, it takes as much as d2."""
    head, *rows = HELD.split("\n")
    sessions = [f"{head} | Packing date", *(f"{row} |" for row in rows), "w1 | g1 | @2027-01-09 | stew | | @2027-01-07"]
    order = "o1 | shop | bean mix | 4 | 100 | g | @2027-01-06 | 4 | 1.00"
    assert charged(order, sessions="\n".join(sessions)).received == {"d2": 200, "w1": 200}


def test_what_was_due_later_is_not_for_earlier_sessions() -> None:
    """300 g came on the 5th, after d1: d2 takes 200 g, w2 the 100 g that lie on the shelf, a third of 3.00."""
    found = charged(
        "o1 | shop | bean mix | 3 | 100 | g | @2027-01-05 | 3 | 1.00", stock="bean mix | 100 | g | bought |"
    )
    assert found.received == {"d2": 200, "w2": 100}


def test_what_one_row_covers_is_not_taken_from_the_next() -> None:
    """200 g at 2.00 for d1, then 200 g at 3.00: d1 is served, so d2 takes all of these."""
    rows = (
        "o1 | shop | bean mix | 2 | 100 | g | @2027-01-03 | 2 | 1.00",
        "o2 | shop | bean mix | 2 | 100 | g | @2027-01-04 | 2 | 1.50",
    )
    assert charged(*rows).received == {"d1": 200, "d2": 300}
    assert charged(*reversed(rows)).received == {"d1": 200, "d2": 300}


def test_donated_food_on_the_shelf_is_no_sign_of_bought_food() -> None:
    row = "o1 | shop | bean mix | 2 | 100 | g | @2027-01-08 | 2 | 1.00"
    assert charged(row, stock="bean mix | 200 | g | donated | 5.00") == PlacedCosts({}, {}, 200, 0)  # type: ignore[arg-type]
    assert charged(row, stock="bean mix | 200 | g | bought |").received == {"w2": 200}


def test_packs_to_come_fall_on_the_sessions_that_the_plan_gives_them_to() -> None:
    """600 g are due on the 9th: w2 and w3 take 200 g each and share what is left over; what is late is for nobody."""
    coming = "o1 | shop | bean mix | 6 | 100 | g | @2027-01-09 | | 1.01"
    late = "o2 | shop | bean mix | 1 | 100 | g | @2027-01-05 | | 0.70"
    assert charged(coming, late) == PlacedCosts({}, {"w2": 303, "w3": 303}, 70, 0)  # type: ignore[dict-item, arg-type]


def test_fee_and_tax_go_with_the_goods() -> None:
    """3.00 of goods, a third of them here, 0.40 of fee and 10% of tax: 3.70, of which 1.23 for what came."""
    found = charged(
        "o1 | shop | bean mix | 3 | 100 | g | @2027-01-06 | 1 | 1.00",
        suppliers="Supplier | Lead days | Tax | Delivery fee\nshop | 1 | 10% | 0.40",
    )
    assert (found.received, found.coming, found.unassigned) == ({"d2": 123}, {}, 247)  # the rest is overdue


def test_a_row_without_a_price_is_told() -> None:
    found = charged("o1 | shop | bean mix | 2 | 99 | g | @2027-01-04 | 2 |")
    assert found == PlacedCosts({}, {}, 0, 1)  # type: ignore[arg-type]


def test_a_food_of_no_session_is_for_nobody() -> None:
    assert charged("o1 | shop | onion | 2 | 1 | kg | @2027-01-04 | 2 | 1.00").unassigned == 200


rows = st.lists(
    st.tuples(st.integers(1, 9), st.integers(1, 12), st.integers(0, 9), st.integers(1, 400)), min_size=1, max_size=6
)


@settings(deadline=None, max_examples=25)
@given(rows, st.integers(0, 3))
def test_sessions_and_nobody_add_up_to_what_stands_in_orders(of: list[tuple[int, int, int, int]], orders: int) -> None:
    written = [
        f"o{at % (orders + 1)} | shop | bean mix | {packs} | 70 | g | @2027-01-{day:02d} | {min(came, packs)} | "
        f"{price // 100}.{price % 100:02d}"
        for at, (packs, day, came, price) in enumerate(of)
    ]
    sheets = {
        "Settings": settings_of("Spent so far | 0"), "Sessions": HELD, "Orders": "\n".join([ORDERS, *written]),
        "Suppliers": "Supplier | Lead days | Tax | Delivery fee\nshop | 1 | 7% | 0.41",
    }  # fmt: skip
    programme, plan = planned(sheets, D("2027-01-08"))
    found = charge_placed(programme, plan.stock_use)
    everything = sum(found.received.values()) + sum(found.coming.values()) + found.unassigned
    assert everything == plan.budget.spent + plan.budget.committed
    assert everything == sum(row.came + row.coming for order in placed_orders(programme) for row in order)
