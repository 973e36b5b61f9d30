"""Deliveries for which something is ordered already."""

import datetime as dt

from plan.buying.test_additions import ordered
from plan.food_support import programme_of

from opsreport.plan.buying.open_deliveries import open_deliveries, supplier_of, with_deliveries_apart
from opsreport.plan.dates import delivery_days

D = dt.date.fromisoformat
ROWS = (
    "b | shop | rice | 3 | 250 | g | @2027-01-11 | 4.00",
    "a | shop | rice | 1 | 250 | g | @2027-01-11 | 2.50",
    "c | shop | rice | 1 | 250 | g | @2027-01-18 |",
    "d | unheard of | rice | 1 | 250 | g | @2027-01-11 | 9.00",
)


def test_orders_are_gathered_by_delivery_with_their_goods() -> None:
    """What nobody says the price of counts as nothing; a supplier that sells nothing here is left alone."""
    placed = open_deliveries(programme_of(ordered(*ROWS)))
    assert placed.numbers == {("shop", D("2027-01-11")): ("a", "b"), ("shop", D("2027-01-18")): ("c",)}
    assert placed.goods == {("shop", D("2027-01-11")): 1450, ("shop", D("2027-01-18")): 0}


def test_fee_and_minimum_with_and_without_what_is_placed() -> None:
    programme = programme_of(ordered(ROWS[0], minimum=14))
    placed, shop = open_deliveries(programme), programme.suppliers["shop"]
    there, elsewhere = D("2027-01-11"), D("2027-01-18")
    assert [placed.fee(shop, day, 100) for day in (there, elsewhere)] == [0, 500]
    assert [placed.is_enough(shop, there, goods) for goods in (199, 200)] == [False, True]
    assert [placed.is_enough(shop, elsewhere, goods) for goods in (1399, 1400)] == [False, True]


def test_such_a_delivery_is_a_suppliers_of_its_own() -> None:
    programme = programme_of(ordered(ROWS[0], minimum=14))
    apart = with_deliveries_apart(programme, open_deliveries(programme))
    shop, other = (apart.suppliers[name] for name in sorted(apart.suppliers) if supplier_of(name) == "shop")
    span = (D("2027-01-04"), D("2027-01-25"))
    days = [delivery_days(each, apart.calendar, *span) for each in (shop, other)]
    assert days == [[D("2027-01-04"), D("2027-01-18"), D("2027-01-25")], [D("2027-01-11")]]
    assert sorted(days[0] + days[1]) == delivery_days(programme.suppliers["shop"], programme.calendar, *span)
    assert (other.delivery_fee, other.minimum_order, shop.delivery_fee, shop.minimum_order) == (0, 200, 500, 1400)
    assert [supplier_of(offer.supplier) for offer in apart.offers] == ["shop", "shop"]
