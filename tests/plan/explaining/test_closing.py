"""Stock and Orders at the end of a day, of two weeks of 200 g."""

import datetime as dt
from fractions import Fraction

import pytest
from plan.food_support import MONDAY, planned, settings

from opsreport.measures.units import Quantity
from opsreport.money import Money
from opsreport.plan.explaining.closing import Closing, OnShelf, Placed, closing

D = dt.date.fromisoformat
FIRST, SECOND = D("2027-01-11"), D("2027-01-18")
"""Days of packing."""
STOCK = "Ingredient | Amount | Unit | Lot | Best before | Opened | Place | Source | Value | Hold | Packs"
ORDERS = "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Received"


def closed(day: dt.date, sheets: dict[str, str] | None = None) -> Closing:
    return closing(*planned(sheets), day)


def grams(amount: int) -> Quantity:
    return Quantity(Fraction(amount), "g")


def keeps_open(days: int) -> str:
    return f"Ingredient | Storage | Contains | Keeps open\nbean mix | shelf | none | {days}"


def test_what_is_left_of_a_lot_keeps_its_place_its_date_and_its_part_of_the_value() -> None:
    """Of 300 g worth 3.00, 200 g are packed on the 11th."""
    lot = "bean mix | 300 | g | L1 | @2027-06-01 | | bin 2 | donated | 3.00 | |"
    before, after = (closed(day, {"Stock": f"{STOCK}\n{lot}"}) for day in (MONDAY, FIRST))
    stands = OnShelf("bean mix", grams(300), "L1", D("2027-06-01"), None, "bin 2", True, Money(300), changed=False)
    assert before.stock == (stands,)
    assert before.packed == ()
    assert after.stock[0] == OnShelf("bean mix", grams(100), "L1", D("2027-06-01"), None, "bin 2", True, Money(100))
    assert after.packed == ("w2",)


def test_an_opened_pack_stands_apart_from_those_that_are_sealed() -> None:
    """Four packs of 150 g: 200 g open two of them. Once opened they keep 2 days, so the next week takes the others."""
    sheets = {"Ingredients": keeps_open(2), "Stock": f"{STOCK}\nbean mix | 600 | g | L1 | | | | | | | 4"}
    found = closed(FIRST, sheets)
    assert found.stock == (
        OnShelf("bean mix", grams(100), "L1", None, FIRST),
        OnShelf("bean mix", grams(300), "L1", None, None, packs=2),
    )
    assert found.orders == ()
    last = closed(SECOND, sheets).stock
    assert last[1:] == (OnShelf("bean mix", grams(100), "L1", None, SECOND),)


def test_what_was_ordered_and_is_due_has_come() -> None:
    """A bag for the 8th, two for the 18th: on the 11th 50 g of the first are left; on the 18th the second week is
    packed too."""
    rows = "A7 | shop | bean mix | 1 | 250 | g | @2027-01-08 |\nA8 | shop | bean mix | 2 | 250 | g | @2027-01-18 |"
    first, second, third = (closed(day, {"Orders": f"{ORDERS}\n{rows}"}) for day in (D("2027-01-08"), FIRST, SECOND))
    came = Placed("A7", "shop", "bean mix", "", Fraction(1), grams(250), D("2027-01-08"), Fraction(1), None, None)
    coming = Placed(
        "A8", "shop", "bean mix", "", Fraction(2), grams(250), SECOND, Fraction(0), None, None, changed=False
    )
    assert first.orders == second.orders == (came, coming)
    assert first.stock == (OnShelf("bean mix", grams(250), "A7", None, None),)
    assert second.stock == (OnShelf("bean mix", grams(50), "A7", None, None),)
    assert [row.received for row in third.orders] == [1, 2]
    assert third.stock == (
        OnShelf("bean mix", grams(100), "A8", None, None), OnShelf("bean mix", grams(250), "A8", None, None)
    )  # fmt: skip


def test_what_was_due_before_and_never_came_stays_as_it_is() -> None:
    sheets = {"Orders": f"{ORDERS}\nA7 | shop | bean mix | 3 | 250 | g | @2026-12-30 | 1"}
    (row, *_) = closed(FIRST, sheets).orders
    assert (row.order, row.packs, row.received, row.changed) == ("A7", 3, 1, False)


def test_what_may_not_be_used_stays_as_it_is() -> None:
    rows = "bean mix | 300 | g | L1 | | | | | | yes |\nbean mix | 300 | g | L2 | @2027-01-01 | | | | | |"
    found = closed(SECOND, {"Stock": f"{STOCK}\n{rows}"})
    assert [(row.lot, row.quantity, row.hold, row.changed) for row in found.stock[:2]] == [
        ("L1", grams(300), True, False), ("L2", grams(300), False, False),
    ]  # fmt: skip


@pytest.mark.parametrize(("loss", "left"), [("0%", 100), ("7%", 86), ("33.35%", 34)])
def test_a_rest_is_rounded_up_to_a_gram(loss: str, left: int) -> None:
    """300 g less 200 g with the loss: 100, 86 and 33.3 g."""
    stock = f"{STOCK}\nbean mix | 300 | g | | | | | | | |"
    sheets = {"Settings": settings(f"Packing loss | {loss}"), "Stock": stock}
    assert closed(FIRST, sheets).stock[0].quantity == grams(left)
