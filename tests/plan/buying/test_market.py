"""What can be had, on which delivery days, at which price."""

import datetime as dt

from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.buying.market import Market

MONDAY = dt.date(2027, 1, 4)
D = dt.date.fromisoformat


def market(packs: str = "shop | onion | 1 | kg | 2.00", **sheets: str) -> Market:
    """A shop with two days' lead that delivers on Tuesdays and Fridays; the session is on 4 March."""
    rows, _ = read(
        term(
            {
                "Suppliers": "Supplier | Lead days | Delivery days\nshop | 2 | Tue;Fri",
                "Packs": f"Supplier | Ingredient | Pack amount | Pack unit | Price | From | Until | Keeps\n{packs}",
                **sheets,
            }
        ),
        MONDAY,
    )
    return Market(build_programme(rows, MONDAY))


def test_the_latest_delivery_in_time_is_asked_for() -> None:
    shop = market()
    (offer,) = shop.offers["onion"]
    assert shop.regular_days(offer, MONDAY, D("2027-01-14"))[-1] == D("2027-01-12")
    assert shop.regular_days(offer, D("2027-01-12"), D("2027-01-14")) == []


def test_what_can_no_longer_be_ordered_in_time_is_urgent() -> None:
    """Tuesday 5 January would have had to be ordered on Thursday 31 December."""
    shop = market()
    (offer,) = shop.offers["onion"]
    assert shop.regular_days(offer, dt.date.min, D("2027-01-07")) == []
    assert shop.urgent(offer, D("2027-01-07"), D("2027-01-08")) == D("2027-01-05")


def test_a_price_holds_by_order_by_day() -> None:
    """Friday 15 January is ordered on Wednesday 13."""
    shop = market("shop | onion | 1 | kg | 2.00 | | @2027-01-13 |")
    (offer,) = shop.offers["onion"]
    assert shop.regular_days(offer, MONDAY, D("2027-01-31"))[-1] == D("2027-01-15")


def test_an_urgent_delivery_is_at_the_price_of_the_planning_date() -> None:
    shop = market("shop | onion | 1 | kg | 2.00 | @2027-01-05 | |")
    (offer,) = shop.offers["onion"]
    assert shop.urgent(offer, D("2027-01-07"), D("2027-01-08")) is None


def test_good_through_counts_from_the_arrival() -> None:
    shop = market("shop | onion | 1 | kg | 2.00 | | | 3")
    (offer,) = shop.offers["onion"]
    assert shop.through(offer, D("2027-01-08")) == D("2027-01-11")


def test_a_food_is_offered_unless_no_price_holds_for_any_delivery_in_time() -> None:
    assert market().is_offered("onion", D("2027-01-14"))
    assert market().is_offered("onion", D("2027-01-04")), "no delivery so early: a shortage, not a thing to shop for"
    assert not market("shop | onion | 1 | kg | 2.00 | @2027-02-01 | |").is_offered("onion", D("2027-01-14"))
    assert not market().is_offered("leek", D("2027-01-14"))


def test_a_delivery_for_a_packing_day_comes_so_many_days_before_as_receiving_takes() -> None:
    shop = market(Settings="Setting | Value\nReceive lead | 3")
    assert shop.deadline(D("2027-01-14")) == D("2027-01-11")


def test_what_is_to_be_ordered_on_the_planning_date_can_still_be_ordered() -> None:
    """With a day's lead, Tuesday 5 January is ordered on Monday 4."""
    shop = market(Suppliers="Supplier | Lead days | Delivery days\nshop | 1 | Tue;Fri")
    (offer,) = shop.offers["onion"]
    assert shop.regular_days(offer, dt.date.min, D("2027-01-07")) == [D("2027-01-05")]
    assert shop.urgent(offer, D("2027-01-07"), D("2027-01-08")) is None


def test_of_urgent_deliveries_the_earliest_with_all_that_comes_on_it() -> None:
    """The shop comes on Tuesday 5 January, the mill on Wednesday 6; both should have been ordered last year."""
    shop = market(
        "shop | onion | 1 | kg | 2.00\nmill | onion | 2 | kg | 1.00\nshop | onion | 3 | kg | 4.00",
        Suppliers="Supplier | Lead days | Delivery days\nshop | 2 | Tue\nmill | 3 | Wed",
    )
    found = shop.urgent_offers("onion", D("2027-01-07"), D("2027-01-08"))
    assert {(offer.supplier, offer.base, arrives) for offer, arrives in found} == {
        ("shop", 1000, D("2027-01-05")), ("shop", 3000, D("2027-01-05")),
    }  # fmt: skip
    assert {offer.supplier for offer, _ in shop.urgent_offers("onion", D("2027-01-06"), D("2027-01-08"))} == {"shop"}
    assert shop.urgent_offers("onion", D("2027-01-04"), D("2027-01-08")) == []


def test_of_deliveries_between_which_nothing_is_packed_the_last_stands_for_all_at_whose_price_it_is_no_dearer() -> None:
    """Packed on Thursdays 7 and 14 January. Tuesday 5 and Wednesday 6 come for the first; for the second Friday 8,
    Monday 11, Tuesday 12 and Wednesday 13, at a price that holds up to Sunday 10 only for those to be ordered by then:
    with a day's lead up to Monday."""
    week = "Supplier | Lead days | Delivery days\nshop | 1 | Mon;Tue;Wed;Fri"
    rows, _ = read(
        term(
            {
                "Suppliers": week,
                "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Until\n"
                "shop | onion | old | 1 | kg | 2.00 | @2027-01-10\nshop | onion | new | 1 | kg | 2.50 |",
            }
        ),
        MONDAY,
    )
    shop = Market(build_programme(rows, MONDAY), [D("2027-01-07"), D("2027-01-14")])
    days = [day.isoformat()[8:] for day, _ in shop.asked["shop"] if day < D("2027-01-15")]
    assert days == ["06", "11", "13"]
    stands_for = {day: [each.isoformat()[8:] for each, _ in its] for (_, day), its in shop.stands_for.items()}
    assert [stands_for[D(f"2027-01-{day}")] for day in days] == [["05"], ["08"], ["12"]]
    new, old = shop.offers["onion"]
    assert shop.earlier_days(new, D("2027-01-11")) == [D("2027-01-08")]
    assert shop.earlier_days(old, D("2027-01-13")) == []
    every = Market(build_programme(rows, MONDAY))
    assert not every.stands_for
