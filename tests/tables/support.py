"""One small programme and its food plan, built by hand, for the tests of every document.

Planned on Mon 8 Feb 2027. Three sessions: E1 and E2 of Elder Row (kits), T1 of Tollgate (table). Lentils come
from stock and from two orders, milk on an urgent order; spinach is partly short and on an order below its
minimum, nobody offers saffron or onions, and rice was ordered before.
"""

import dataclasses
import datetime as dt
from fractions import Fraction
from typing import Any

from opsreport.findings import Place
from opsreport.foods import Food, Foods, Need, name_key
from opsreport.measures.units import Bridge, Quantity, factors
from opsreport.money import Currency, Money
from opsreport.plan.model import (
    BudgetPlan,
    BudgetWeek,
    Buying,
    Costs,
    FoodPlan,
    KitLine,
    Lever,
    LotLeft,
    NeedOf,
    Order,
    PlannedSession,
    Purchase,
    Room,
    Scoop,
    ScoopPlan,
    Shortage,
    StockUse,
    Surplus,
    SwapMade,
    ToShop,
    Trace,
    TraceKits,
    TraceNeed,
    Variant,
)
from opsreport.programme import Calendar, Group, Lot, Member, Offer, OnOrder, Programme, Session, Supplier
from opsreport.sheets import FunderRow, RowPlace, Settings, spec_of

AS_OF = dt.date(2027, 2, 8)
NAMES = ("Nadia Brightwell", "Tomas Reyle")
"""Pick-up names: on the roster only."""
CODES = ("P001", "P002", "H01", "H02")
NEEDS = ("no peanut", "dairy")


def day(text: str) -> dt.date:
    """`0211` is 11 Feb 2027."""
    return dt.date(2027, int(text[:2]), int(text[2:]))


def settings(**given: Any) -> Settings:
    defaults = {column.name: column.default for column in spec_of(Settings).columns}
    usual = {
        "programme": "Fennelbridge Kits",
        "term": "Spring 2027",
        "contact": "555-0100",
        "currency": Currency("USD"),
        "budget": Money(50000),
    }
    return Settings(place=RowPlace(1, "Settings", 1, {}), **(defaults | usual | given))


def place(sheet: str, row: int) -> Place:
    return Place(0, sheet, row, 1)


def session(name: str, group: str, on: str) -> Session:
    return Session(
        name,
        group,
        day(on),
        "17:45",
        Fraction(60),
        "Soup",
        (("lentil soup", Fraction(1)),),
        "planned",
        None,
        None,
        "",
        "",
        place("Sessions", 2),
    )


def member(who: str, household: str, need: str, name: str) -> Member:
    return Member(
        who,
        "ER",
        household,
        Fraction(4),
        True,
        (Need(need, frozenset({("allergen", need.removeprefix("no "))})),),
        "active",
        None,
        None,
        name,
        {},
        place("Enrolment", 2),
    )


CUP = factors("US")["cup"]
FOODS = (
    Food("red lentils", True, storage="shelf", bridge=Bridge({"cup": 192 / CUP})),
    Food("milk", True, state="liquid", storage="chill", contains=("milk",)),
    Food("spinach", True, state="whole", storage="chill", edible_share=Fraction(72, 100)),
    Food("saffron", True, storage="shelf"),
    Food("onion", True, state="whole", storage="cool", bridge=Bridge({}, Fraction(110)), each_is="medium"),
    Food("rice", True, storage="shelf", bridge=Bridge({"cup": 185 / CUP})),
)
OFFERS = (
    Offer(
        "Marrowby",
        "red lentils",
        "M-1010",
        Quantity(Fraction(5), "lb"),
        Fraction("2267.96185"),
        Money(795),
        1,
        0,
        None,
        None,
        None,
        None,
        False,
        place("Packs", 2),
    ),
    Offer(
        "Marrowby",
        "milk",
        "=M-20",
        Quantity(Fraction(1, 2), "gal"),
        Fraction("1892.705892"),
        Money(310),
        2,
        0,
        14,
        None,
        None,
        None,
        False,
        place("Packs", 3),
    ),
    Offer(
        "Öst & Co",
        "spinach",
        "",
        Quantity(Fraction(29, 2), "oz"),
        Fraction("411.0680653125"),
        Money(299),
        1,
        0,
        5,
        None,
        None,
        None,
        False,
        place("Packs", 4),
    ),
)


def programme(**given: Any) -> Programme:
    """The programme; any attribute may be given instead."""
    foods = {food.name: food for food in FOODS}
    groups = (
        Group("ER", "Elder Row", funders=(("Harbour", Fraction(1)),)),
        Group("TL", "Tollgate", kits=False, people_per_table=4),
    )
    sessions = (session("E1", "ER", "0211"), session("E2", "ER", "0225"), session("T1", "TL", "0211"))
    suppliers = (
        Supplier(
            "Marrowby",
            "Marrowby Wholesale",
            "orders@marrowby.example",
            "FFK-2207",
            3,
            cut_off="14:00",
            minimum_order=Money(2000),
            delivery_fee=Money(450),
            free_from=Money(10000),
            tax=Fraction(33, 400),
        ),
        Supplier("Öst & Co", minimum_order=Money(1000)),
    )
    funder = FunderRow(
        place=RowPlace(20, "Funders", 2, {}),
        funder="Harbour",
        name="Harbour Fund",
        start=day("0101"),
        end=day("0630"),
        sessions_target=None,
        people_target=None,
        completion_target=None,
        kits_target=None,
        budget=None,
        small_count=None,
    )
    usual: dict[str, Any] = {
        "settings": settings(),
        "as_of": AS_OF,
        "groups": {group.group: group for group in groups},
        "members": tuple(map(member, CODES[:2], CODES[2:], NEEDS, NAMES)),
        "sessions": {each.session: each for each in sessions},
        "recipes": {},
        "foods": Foods(foods, {name_key(name): name for name in foods}),
        "base_units": {name: "mL" if name == "milk" else "g" for name in foods},
        "suppliers": {supplier.supplier: supplier for supplier in suppliers},
        "offers": OFFERS,
        "lots": tuple(
            Lot(
                lot.food,
                lot.lot,
                Quantity(lot.on_hand, lot.unit),
                lot.on_hand,
                lot.good_through,
                None,
                lot.location,
                False,
                None,
                lot.held,
                place("Stock", lot.row),
            )
            for lot in LOTS
        ),
        "on_order": (
            on_order("PO-7", "rice", "0210", 2, 2),
            on_order("PO-6", "onion", "0205", 1, 3),
            on_order("PO-5", "rice", "0210", 0, 4),
        ),
        "swaps": (),
        "tools": (),
        "calendar": Calendar(frozenset(range(5))),
        "attendance": (),
        "pick_ups": (),
        "questions": (),
        "surveys": (),
        "funders": (funder,),
        "present": frozenset(),
    }
    return Programme(**(usual | given))


def on_order(name: str, food: str, due: str, packs: int, row: int) -> OnOrder:
    """Packs of 1 kg still to come."""
    return OnOrder(
        name,
        "Marrowby",
        food,
        "M-9",
        Fraction(packs),
        Quantity(Fraction(1), "kg"),
        Fraction(1000),
        day(due),
        None,
        place("Orders", row),
    )


def lot(
    row: int,
    food: str,
    name: str,
    on_hand: int,
    used: int = 0,
    good: str = "",
    held: bool = False,
    expired: bool = False,
    undated: bool = False,
) -> LotLeft:
    unit = "mL" if food == "milk" else "g"
    return LotLeft(
        food,
        name,
        "bay 4",
        Fraction(on_hand),
        Fraction(used),
        Fraction(on_hand - used),
        unit,
        day(good) if good else None,
        held,
        expired,
        undated,
        row,
    )


LOTS = (
    lot(2, "red lentils", "L1", 500, 500, "0630"),
    lot(3, "red lentils", "L2", 900, held=True, good="0630"),
    lot(4, "spinach", "", 300, good="0201", expired=True),
    lot(5, "milk", "", 200, undated=True),
    dataclasses.replace(lot(6, "rice", "R1", 1500, 250, "0220"), unused_by=day("0220")),
    lot(7, "onion", "", 220),
)


def need(food: str, session: str, amount: Fraction | int, packing: str, use_by: str) -> NeedOf:
    unit = "mL" if food == "milk" else "g"
    return NeedOf(food, session, day(packing), day(use_by), Fraction(amount), unit)


def kit_line(food: str, amount: int, unit: str, base: int) -> KitLine:
    scoops = ScoopPlan((Scoop(f"1 {unit}", Fraction(amount)),)) if unit == "cup" else ScoopPlan()
    return KitLine(food, Quantity(Fraction(amount), unit), Fraction(base), "mL" if food == "milk" else "g", scoops)


def planned(name: str, group: str, on: str, packing: str) -> PlannedSession:
    """8 plain kits (1 spare, 1 demo) and 2 with a swap."""
    lines = (kit_line("red lentils", 1, "cup", 192), kit_line("spinach", 100, "g", 100))
    batches = {"lentil soup": Fraction(1)}
    plain = Variant("A", 8, ("H03", "H04", "H05", "H06", "H07", "H08"), 1, 1, batches, (), (), lines)
    swapped = Variant("B", 2, ("H01", "H02"), 0, 0, batches, NEEDS, (SwapMade("milk", "rice"),), lines)
    return PlannedSession(name, group, day(on), day(packing), (plain, swapped))


LENTILS = Fraction("2267.96185")
MILK = Fraction("1892.705892")
SPINACH = Fraction("411.0680653125")
PURCHASES = (
    Purchase(
        "Marrowby-20270209",
        "Marrowby",
        "=M-20",
        "milk",
        4,
        OFFERS[1].size,
        4 * MILK,
        "mL",
        Money(310),
        Money(1240),
        day("0209"),
        day("0223"),
        (("E1", Fraction(4000)), ("T1", Fraction(1000))),
        4 * MILK - 5000,
        sold_by=2,
    ),
    Purchase(
        "Marrowby-20270209",
        "Marrowby",
        "M-1010",
        "red lentils",
        1,
        OFFERS[0].size,
        LENTILS,
        "g",
        Money(795),
        Money(795),
        day("0209"),
        None,
        (("T1", Fraction(2000, 3)), ("E1", Fraction(1420))),
        LENTILS - 1420 - Fraction(2000, 3),
    ),
    Purchase(
        "Öst & Co-20270210",
        "Öst & Co",
        "",
        "spinach",
        2,
        OFFERS[2].size,
        2 * SPINACH,
        "g",
        Money(299),
        Money(598),
        day("0210"),
        day("0215"),
        (("E1", Fraction(800)),),
        2 * SPINACH - 800,
    ),
    Purchase(
        "Marrowby-20270223",
        "Marrowby",
        "M-1010",
        "red lentils",
        13,
        OFFERS[0].size,
        13 * LENTILS,
        "g",
        Money(795),
        Money(10335),
        day("0223"),
        None,
        (("E2", Fraction(1920)),),
        13 * LENTILS - 1920,
    ),
)
ORDERS = (
    Order(
        "Marrowby-20270209",
        "Marrowby",
        day("0204"),
        day("0209"),
        True,
        Money(2035),
        Money(450),
        Money(168),
        Money(2653),
        False,
    ),
    Order(
        "Öst & Co-20270210",
        "Öst & Co",
        day("0208"),
        day("0210"),
        False,
        Money(598),
        Money(0),
        Money(0),
        Money(598),
        True,
    ),
    Order(
        "Marrowby-20270223",
        "Marrowby",
        day("0218"),
        day("0223"),
        False,
        Money(10335),
        Money(0),
        Money(853),
        Money(11188),
        False,
    ),
)


def food_plan(**given: Any) -> FoodPlan:
    """The plan; any part may be given instead."""
    usual: dict[str, Any] = {
        "sessions": (
            planned("E1", "ER", "0211", "0210"),
            planned("T1", "TL", "0211", "0210"),
            planned("E2", "ER", "0225", "0224"),
        ),
        "needs": (
            need("red lentils", "E1", 1920, "0210", "0212"),
            need("red lentils", "E2", 1920, "0224", "0226"),
            need("red lentils", "T1", Fraction(2000, 3), "0210", "0212"),
            need("milk", "E1", 4000, "0210", "0212"),
            need("milk", "T1", 1000, "0210", "0212"),
            need("spinach", "E1", 1000, "0210", "0212"),
            need("saffron", "E1", 2, "0210", "0212"),
            need("saffron", "T1", 1, "0210", "0212"),
            need("rice", "E2", 750, "0224", "0226"),
            need("rice", "T1", 250, "0210", "0212"),
            need("onion", "E2", 500, "0224", "0226"),
        ),
        "stock_use": (
            StockUse("red lentils", "stock", "L1", "E1", Fraction(500), "g", 2),
            StockUse("rice", "stock", "R1", "T1", Fraction(250), "g", 6),
            StockUse("rice", "ordered", "PO-7", "E2", Fraction(750), "g", 2),
        ),
        "lots": LOTS,
        "purchases": PURCHASES,
        "orders": ORDERS,
        "shortages": (Shortage("spinach", "E1", Fraction(200), "g", 8),),
        "shopping": (
            ToShop("saffron", "E1", Fraction(2), "g"),
            ToShop("saffron", "T1", Fraction(1), "g"),
            ToShop("onion", "E2", Fraction(500), "g"),
        ),
        "buying": Buying(Money(13418), Money(13418), Money(14000)),
        "costs": Costs(
            {"E1": Money(2500), "T1": Money(751), "E2": Money(11188)},
            {"ER": Money(13688), "TL": Money(751)},
            {"Harbour": Money(13688), "": Money(751)},
        ),
        "budget": BudgetPlan(
            cap=Money(50000),
            planned=Money(14439),
            weeks=(BudgetWeek(day("0208"), Money(0), Money(14439), Money(35561)),),
            levers=(Lever("another pack", Money(120), food="milk", supplier="Marrowby"),),
        ),
        "room": (Room("E1", "A", 0, ("spinach",)), Room("T1", "A", None, ())),
        "surplus": (Surplus("PO-7", "Marrowby", "rice", "", day("0222"), 1, False, "Orders!G2"),),
        "traces": (
            Trace(
                "onion",
                "g",
                Fraction(500),
                (TraceNeed((), Fraction(250), False, Fraction(0), (), (TraceKits("E2", "E2-A", 2, Fraction(500)),)),),
                (),
                (),
                (),
                (("E2", Fraction(500)),),
            ),
        ),
    }
    return FoodPlan(**(usual | given))


def renamed(plan: FoodPlan, **orders: str) -> FoodPlan:
    """The plan with other order ids, `first="A/1"` for the first order and so on."""
    places = ("first", "second", "third")
    names = {plan.orders[places.index(place)].order: name for place, name in orders.items()}
    return dataclasses.replace(
        plan,
        orders=tuple(dataclasses.replace(o, order=names.get(o.order, o.order)) for o in plan.orders),
        purchases=tuple(dataclasses.replace(p, order=names.get(p.order, p.order)) for p in plan.purchases),
    )
