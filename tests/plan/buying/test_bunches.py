"""The order in which bought packs are used: by date, and among equal dates as covers."""

import dataclasses
import datetime as dt
from fractions import Fraction

import pytest
from plan.food_support import planned, settings
from plan.food_support import programme_of as programme

from opsreport.plan.buying.bunches import Bunch, holdings_of, in_order_of_use
from opsreport.plan.buying.market import Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.model import NeedOf

D = dt.date.fromisoformat
ARRIVE = D("2027-01-08")


def can_bunches(keeps: str) -> tuple[Market, list[Bunch]]:
    """A can of 400 g and one of 250 g, both come on Fri 8 Jan; `keeps`: days of the 250 g can, the other has none."""
    its = programme(
        {"Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Keeps\n"
                  f"shop | bean mix | large | 400 | g | 2.00 |\nshop | bean mix | small | 250 | g | 1.50 | {keeps}"}
    )  # fmt: skip
    return Market(its), [Bunch(offer, ARRIVE, 1) for offer in its.offers]


def needs(*rows: tuple[str, int]) -> list[Open]:
    return [Open(NeedOf("bean mix", day, D(day), D(day), Fraction(grams), "g"), Fraction(grams)) for day, grams in rows]


TWO = needs(("2027-01-11", 400), ("2027-01-18", 250))
"""Of a can begun on Mon 11 Jan, opened food being good for 3 days, nothing is left for Mon 18 Jan."""


def items(bunches: list[Bunch] | None) -> list[str] | None:
    return bunches and [bunch.offer.item for bunch in bunches]


def test_of_equal_dates_the_can_that_comes_out_even_goes_first() -> None:
    """400 g on the first day: by the usual order, small before large, a part of the large can would be lost."""
    market, bunches = can_bunches("")
    assert items(in_order_of_use(market, 3, bunches, TWO, choose=True)) == ["large", "small"]
    assert in_order_of_use(market, 3, bunches, TWO, choose=False) is None
    assert items(in_order_of_use(market, None, bunches, TWO, choose=True)) == ["small", "large"]


@pytest.mark.parametrize(("keeps", "found"), [("20", None), ("", ["large", "small"])])
def test_what_goes_bad_sooner_is_used_first_whatever_that_costs(keeps: str, found: list[str] | None) -> None:
    market, bunches = can_bunches(keeps)
    assert items(in_order_of_use(market, 3, bunches, TWO, choose=True)) == found


def test_of_thirty_bunches_with_one_date_not_every_order_is_made() -> None:
    market, (large, _) = can_bunches("")
    many = [Bunch(large.offer, ARRIVE - dt.timedelta(days=number), 1) for number in range(30)]
    assert len(in_order_of_use(market, 3, many, TWO, choose=True) or ()) == 30
    assert in_order_of_use(market, 3, many[:1], TWO, choose=True) is None


def test_the_shelf_takes_equal_dates_in_the_order_given() -> None:
    market, bunches = can_bunches("")
    names = [holding.name for holding in holdings_of(market, 3, bunches)]
    assert names == sorted(names)
    assert [holding.size for holding in holdings_of(market, 3, bunches[::-1])] == [250, 400]


def test_a_plan_uses_the_even_can_first_and_buys_no_third() -> None:
    """Two kits of 200 g on Mon 11 Jan, and of 125 g a week later; a large and a small can are all that is bought, and
    room for more kits is worked out in the same order of use."""
    _, plan = planned(
        {
            "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-11 | stew\nw3 | g1 | @2027-01-18 | dip",
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 200 | g\n"
                       "dip | 4 | bean mix | 125 | g",
            "Ingredients": "Ingredient | Storage | Contains | Keeps open\nbean mix | shelf | none | 3",
            "Suppliers": "Supplier | Lead days | Delivery days | Delivery fee\nshop | 1 | Fri | 9",
            "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price\n"
                     "shop | bean mix | large | 400 | g | 2.00\nshop | bean mix | small | 250 | g | 1.50",
        }
    )  # fmt: skip
    rows = sorted(plan.purchases, key=lambda row: row.turns)
    assert [(row.item, row.packs, row.used) for row in rows] == [
        ("large", 1, (("w2", 400),)),
        ("small", 1, (("w3", 250),)),
    ]
    assert plan.buying.cost == plan.buying.lower_bound == 350 + 900
    assert {row.session: row.kits for row in plan.room} == {"w2": 0, "w3": 0}


def test_what_is_bought_is_there_once_it_is_received_and_keeps_from_its_arrival() -> None:
    its = programme(
        {
            "Settings": settings("Receive lead | 2"),
            "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Keeps\n"
                     "shop | bean mix | large | 400 | g | 2.00 | 20",
        }
    )  # fmt: skip
    (holding,) = holdings_of(Market(its), 3, [Bunch(its.offers[0], ARRIVE, 5)])
    assert (holding.there, holding.sealed_through) == (D("2027-01-10"), D("2027-01-28"))
    assert (holding.size, holding.sealed, holding.keeps_open) == (400, 5, 3)


def test_the_usual_order_is_by_date_then_size_then_arrival() -> None:
    """Nothing is opened for long, so the first order that covers is the usual one."""
    market, (large, small) = can_bunches("20")
    sooner, later = (dataclasses.replace(large, arrives=D(day)) for day in ("2027-01-06", "2027-01-08"))
    undated = [dataclasses.replace(small, offer=dataclasses.replace(small.offer, keeps=None)), later, sooner, small]
    found = in_order_of_use(market, None, undated, needs(("2027-01-11", 100)), choose=True)
    assert found == [small, undated[0], sooner, later]


def test_what_covers_all_needs_but_one_does_not_cover_them() -> None:
    market, bunches = can_bunches("")
    enough = needs(("2027-01-11", 400), ("2027-01-18", 250))
    assert in_order_of_use(market, None, bunches, enough, choose=True) is not None
    for short in (needs(("2027-01-11", 401), ("2027-01-18", 250)), needs(("2027-01-11", 400), ("2027-01-18", 251))):
        assert in_order_of_use(market, None, bunches, short, choose=True) is None
    assert in_order_of_use(market, None, bunches, needs(("2027-01-07", 1)), choose=True) is None, "not there yet"


def test_each_need_begins_the_cans_that_come_out_even() -> None:
    """Twice 650 g out of two cans of each size, of which nothing keeps: neither size can go first."""
    market, (large, small) = can_bunches("")
    bunches = [dataclasses.replace(bunch, packs=2) for bunch in (large, small)]
    found = in_order_of_use(market, 3, bunches, needs(("2027-01-11", 650), ("2027-01-18", 650)), choose=True)
    assert found is not None
    assert sorted((bunch.offer.item, bunch.packs) for bunch in found[:2]) == [("large", 1), ("small", 1)]
    assert sorted((bunch.offer.item, bunch.packs) for bunch in found[2:]) == [("large", 1), ("small", 1)]
    assert in_order_of_use(market, 3, bunches, needs(("2027-01-11", 650), ("2027-01-18", 651)), choose=True) is None


def test_what_leaves_least_is_not_begun_where_a_later_need_wants_it() -> None:
    """For 240 g first the small can leaves least, but only the large one has something left for the next day."""
    market, bunches = can_bunches("")
    found = in_order_of_use(
        market, 2, bunches, needs(("2027-01-11", 240), ("2027-01-12", 160), ("2027-01-18", 250)), choose=True
    )
    assert items(found) == ["large", "small"]
