"""Programmes joined to buy together, and each one's part taken out again, to the gram and to the cent."""

import datetime as dt
from fractions import Fraction

from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.buying.costs import share_costs
from opsreport.plan.buying.netting import net
from opsreport.plan.buying.orders import buy
from opsreport.plan.buying.pooling import Joined, Place, join, parts_of, split_by_place
from opsreport.plan.food_plan import plan_kits
from opsreport.plan.model import FoodPlan

MONDAY = dt.date(2027, 2, 8)
SHEETS = {
    "Settings": "Setting | Value\nSpare kits | 0\nDemo kits | 0",
    "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | stew",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | rice mix | 300 | g",
    "Stock": "Ingredient | Amount | Unit",
    "Suppliers": "Supplier | Lead days | Delivery days\nMill | 2 | Mon; Tue; Wed",
    "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price\nMill | rice mix | R1 | 1 | kg | 10.00",
}


def place(name: str, **more: str) -> Place:
    rows, _ = read(term({**SHEETS, **more}), MONDAY)
    programme = build_programme(rows, MONDAY)
    kits, _ = plan_kits(programme)
    return Place(name, programme, kits, net(programme, kits.needs))


def bought(places: list[Place]) -> tuple[Joined, FoodPlan]:
    joined = join(places, "all")
    plan = buy(joined.programme, joined.sessions, joined.still_open)
    costs = share_costs(joined.programme, plan.purchases, plan.orders)
    return joined, FoodPlan(purchases=plan.purchases, orders=plan.orders, shortages=plan.shortages, costs=costs)


def test_one_pack_for_three_places_is_shared_to_the_cent() -> None:
    """3 x 300 g of one pack of 1 kg at 10.00: by largest remainder 3.34, 3.33 and 3.33, worked by hand."""
    places = [place(name) for name in ("a", "b", "c")]
    joined, whole = bought(places)
    lines, shares = split_by_place(joined.programme, ["a", "b", "c"], whole.purchases, whole.orders)
    assert [(share.place, share.cost) for share in shares] == [("a", 334), ("b", 333), ("c", 333)]
    assert [(line.place, line.packs, line.opened, line.used) for line in lines] == [
        (name, 0, Fraction(300), Fraction(300)) for name in ("a", "b", "c")
    ]
    parts = parts_of(places, joined.names, whole)
    assert [part.purchases[0].cost for part in parts] == [334, 333, 333]
    assert [part.purchases[0].used for part in parts] == [(("s1", Fraction(300)),)] * 3
    assert [part.costs.sessions for part in parts] == [{"s1": 334}, {"s1": 333}, {"s1": 333}]
    assert {part.orders for part in parts} == {()}


def test_whole_packs_stay_whole_where_they_can() -> None:
    """2.5 kg and 0.3 kg of packs of 1 kg: two whole ones, and half a kilogram of a shared one."""
    large = SHEETS["Recipes"].replace("300", "2500")
    joined, whole = bought([place("a", Recipes=large), place("b")])
    lines, _ = split_by_place(joined.programme, ["a", "b"], whole.purchases, whole.orders)
    assert sum(row.packs for row in whole.purchases) == 3
    assert [(line.place, line.packs, line.opened) for line in lines] == [("a", 2, 500), ("b", 0, 300)]


def test_days_and_terms_that_hold_for_all() -> None:
    south = place(
        "b",
        Suppliers="Supplier | Lead days | Delivery days | Delivery fee\nmill | 3 | Tue; Wed; Thu | 4.00",
        Settings=SHEETS["Settings"] + "\nReceive lead | 1",
        Closures="Date | What\n@2027-03-02 | deliveries",
        Packs=SHEETS["Packs"].replace("Mill", "mill"),
    )
    joined = join([place("a"), south], "all")
    mill = joined.programme.suppliers["Mill"]
    assert list(joined.programme.suppliers) == ["Mill"]
    assert (mill.lead_days, mill.delivery_days, mill.delivery_fee) == (3, (1, 2), 400)
    assert joined.programme.settings.receive_lead == 1
    assert not joined.programme.calendar.can_receive(dt.date(2027, 3, 2))
    assert [finding.code for finding in joined.findings] == ["pool-supplier-differs"]
    _, whole = bought([place("a"), south])
    assert [(order.supplier, order.fee) for order in whole.orders] == [("Mill", 400)]


def test_a_food_by_another_name_is_the_same_food() -> None:
    """The second workbook says that its `grain` is also called rice mix."""
    other = {sheet: SHEETS[sheet].replace("rice mix", "grain") for sheet in ("Recipes", "Packs")}
    named = "Ingredient | Also called | Contains\ngrain | rice mix | none"
    joined = join([place("a"), place("b", **other, Ingredients=named)], "all")
    assert joined.names["b", "grain"] == "rice mix"
    assert {each.need.food for each in joined.still_open} == {"rice mix"}
