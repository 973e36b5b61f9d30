"""Programmes joined to buy together, and each one's part taken out again, to the gram and to the cent."""

import datetime as dt
from fractions import Fraction

import pytest
from support import read, term

from opsreport.joining import build_programme
from opsreport.measures.units import Quantity
from opsreport.money import Money
from opsreport.plan.buying.costs import share_costs
from opsreport.plan.buying.netting import net
from opsreport.plan.buying.orders import buy
from opsreport.plan.buying.placed import ToNote, to_note
from opsreport.plan.buying.pooling import (
    Joined,
    Place,
    Sharing,
    join,
    parts_of,
    place_of,
    shortages_of_all,
    split_by_place,
    with_part,
)
from opsreport.plan.food_plan import plan_kits
from opsreport.plan.model import FoodPlan, PlannedSession
from opsreport.programme import Programme

MONDAY = dt.date(2027, 2, 8)
SHEETS = {
    "Settings": "Setting | Value\nSpare kits | 0\nDemo kits | 0",
    "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | stew",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | rice mix | 300 | g",
    "Stock": "Ingredient | Amount | Unit",
    "Suppliers": "Supplier | Lead days | Delivery days\nMill | 2 | Mon; Tue; Wed",
    "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price\nMill | rice mix | R1 | 1 | kg | 10.00",
}


def planned(**more: str) -> tuple[Programme, FoodPlan]:
    rows, _ = read(term({**SHEETS, **more}), MONDAY)
    programme = build_programme(rows, MONDAY)
    return programme, plan_kits(programme)[0]


def place(name: str, **more: str) -> Place:
    programme, kits = planned(**more)
    return place_of(name, programme, kits, net(programme, kits.needs))


def bought(places: list[Place], kits: dict[str, tuple[PlannedSession, ...]] | None = None) -> tuple[Joined, FoodPlan]:
    """kits: of the places that are short."""
    joined = join(places, "all")
    plan = buy(joined.programme, joined.still_open)
    costs = share_costs(joined.programme, plan.purchases, plan.orders)
    short = shortages_of_all(joined, plan.uncovered, (kits or {}).__getitem__)
    return joined, FoodPlan(
        purchases=plan.purchases, orders=plan.orders, shortages=short, shopping=plan.shopping, costs=costs
    )  # fmt: skip


def test_one_pack_for_three_places_is_shared_to_the_cent() -> None:
    """3 x 300 g of one pack of 1 kg at 10.00: by largest remainder 3.34, 3.33 and 3.33, worked by hand."""
    places = [place(name) for name in ("a", "b", "c")]
    joined, whole = bought(places)
    lines, shares = split_by_place(joined.programme, ["a", "b", "c"], whole.purchases, whole.orders)
    assert [(share.place, share.cost) for share in shares] == [("a", 334), ("b", 333), ("c", 333)]
    assert [(line.place, line.packs, line.shared, line.used) for line in lines] == [
        (name, 0, Fraction(300), Fraction(300)) for name in ("a", "b", "c")
    ]
    parts = parts_of([each.name for each in places], joined.names, whole, shares)
    assert [part.purchases[0].cost for part in parts] == [334, 333, 333]
    assert [(part.orders[0].goods, part.orders[0].total) for part in parts] == [(334, 334), (333, 333), (333, 333)]
    assert [part.purchases[0].used for part in parts] == [(("s1", Fraction(300)),)] * 3
    assert [part.costs.sessions for part in parts] == [{"s1": 334}, {"s1": 333}, {"s1": 333}]


def test_whole_packs_stay_whole_where_they_can() -> None:
    """2.5 kg and 0.3 kg of packs of 1 kg: two whole ones, and half a kilogram of a shared one."""
    large = SHEETS["Recipes"].replace("300", "2500")
    joined, whole = bought([place("a", Recipes=large), place("b")])
    lines, _ = split_by_place(joined.programme, ["a", "b"], whole.purchases, whole.orders)
    assert sum(row.packs for row in whole.purchases) == 3
    assert [(line.place, line.packs, line.shared) for line in lines] == [("a", 2, 500), ("b", 0, 300)]


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
    assert {finding.code for finding in joined.findings} == {"pool-supplier-differs"}
    assert {finding.details["heading"]: finding.details["said"] for finding in joined.findings} == {
        "Lead days": "2 in a; 3 in b",
        "Delivery days": "Mon, Tue, Wed in a; Tue, Wed, Thu in b",
        "Delivery fee": "$0.00 in a; $4.00 in b",
    }
    _, whole = bought([place("a"), south])
    assert [(order.supplier, order.fee) for order in whole.orders] == [("Mill", 400)]


def test_on_orders_for_all_stands_only_what_all_say_of_themselves() -> None:
    said = SHEETS["Settings"] + "\nTerm | Spring\nContact | {}\nSpent so far | 100.00\nBudget | 200.00"
    joined = join([place("a", Settings=said.format("Ann")), place("b", Settings=said.format("Bea"))], "all")
    settings = joined.programme.settings
    assert (settings.programme, settings.term, settings.contact) == ("all", "Spring", "")
    assert (settings.spent, settings.budget) == (None, None), "each has money of its own"


def test_a_food_by_another_name_is_the_same_food() -> None:
    """The second workbook says that its `grain` is also called rice mix."""
    other = {sheet: SHEETS[sheet].replace("rice mix", "grain") for sheet in ("Recipes", "Packs")}
    named = "Ingredient | Also called | Contains\ngrain | rice mix | none"
    joined = join([place("a"), place("b", **other, Ingredients=named)], "all")
    assert joined.names["b", "grain"] == "rice mix"
    assert {each.need.food for each in joined.still_open} == {"rice mix"}


@pytest.mark.parametrize(
    ("first", "second", "used"),
    [
        ("10.00 |", "11.00 |", 1100),  # nobody says when they asked: the dearer
        ("11.00 |", "10.00 |", 1100),
        ("10.00 | @2027-02-01", "11.00 | @2027-01-01", 1000),  # asked for last
        ("11.00 | @2027-01-01", "10.00 | @2027-02-01", 1000),
        ("10.00 | @2027-02-01", "11.00 | @2027-02-01", 1100),  # on the same day: the dearer
        ("10.00 | @2027-02-01", "11.00 |", 1000),  # a day is later than none
    ],
)
def test_the_price_asked_for_last_is_used_else_the_dearer(first: str, second: str, used: int) -> None:
    head = "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Priced\nMill | rice mix | R1 | 1 | kg | "
    joined = join([place("a", Packs=head + first), place("b", Packs=head + second)], "all")
    assert [(offer.food, offer.price) for offer in joined.programme.offers] == [("rice mix", used)]
    (finding,) = joined.findings
    assert (finding.code, finding.seen) == ("pool-price-differs", "Mill R1 rice mix")
    said = "; ".join(f"${price.split(' ')[0]} in {name} (Packs!F2)" for name, price in (("a", first), ("b", second)))
    assert finding.details == {"said": said, "used": f"${used // 100}.00"}


@pytest.mark.parametrize(
    ("terms_a", "terms_b", "together"),
    [
        ("2 | 20.00 | 3.00 | 50.00 | 2%", "1 | 10.00 | 4.00 | 60.00 | 5%", (2, 2000, 400, 6000, Fraction(5, 100))),
        ("1 | 10.00 | 4.00 | 60.00 | 5%", "2 | 20.00 | 3.00 | 50.00 | 2%", (2, 2000, 400, 6000, Fraction(5, 100))),
        ("2 | 20.00 | 3.00 | 50.00 | 2%", "2 | 20.00 | 3.00 | | 2%", (2, 2000, 300, None, Fraction(2, 100))),
        ("2 | 20.00 | 3.00 | | 2%", "2 | 20.00 | 3.00 | 50.00 | 2%", (2, 2000, 300, None, Fraction(2, 100))),
    ],
)
def test_the_terms_that_hold_for_all_are_the_dearest_of_each(
    terms_a: str, terms_b: str, together: tuple[object, ...]
) -> None:
    head = "Supplier | Lead days | Minimum order | Delivery fee | Free delivery from | Tax\nMill | "
    joined = join([place("a", Suppliers=head + terms_a), place("b", Suppliers=head + terms_b)], "all")
    mill = joined.programme.suppliers["Mill"]
    assert (mill.lead_days, mill.minimum_order, mill.delivery_fee, mill.free_from, mill.tax) == together
    assert {finding.code for finding in joined.findings} == {"pool-supplier-differs"}
    money = {"Minimum order", "Delivery fee", "Free delivery from"}

    def words(terms: str) -> dict[str, str]:
        return {
            heading: f"${said}" if said and heading in money else said or "never"
            for heading, said in zip(head.splitlines()[0].split(" | ")[1:], terms.split(" | "), strict=True)
        }

    a, b = (words(terms.replace("| |", "|  |")) for terms in (terms_a, terms_b))
    assert {finding.details["heading"]: finding.details["said"] for finding in joined.findings} == {
        heading: f"{a[heading]} in a; {b[heading]} in b" for heading in a if a[heading] != b[heading]
    }


def test_what_places_say_differently_of_one_food_is_told_and_the_careful_one_counts() -> None:
    head = (
        "Ingredient | Grams per cup | Grams each | Edible share | Contains | Keeps | Keeps open | Storage\nrice mix | "
    )
    joined = join(
        [
            place("a", Ingredients=head + "180 | | 100% | none | 5 | | shelf"),
            place("b", Ingredients=head + "190 | 12.5 | 90% | soy; milk | 7 | 3 | chill"),
            place("c", Ingredients=head + "190 | 12.5 | 90% | soy; milk | | 4 | chill"),
        ],
        "all",
    )
    assert {finding.code for finding in joined.findings} == {"pool-ingredient-differs"}
    assert {finding.details["heading"]: finding.details["said"] for finding in joined.findings} == {
        "Grams per cup": "180 in a; 190 in b and c",
        "Grams each": "nothing in a; 12.5 in b and c",
        "Edible share": "100% in a; 90% in b and c",
        "Contains": "nothing in a; milk, soy in b and c",
        "Keeps": "5 in a; 7 in b; nothing in c",
        "Keeps open": "nothing in a; 3 in b; 4 in c",
        "Storage": "shelf in a; chill in b and c",
    }
    food = joined.programme.foods.by_name["rice mix"]
    assert (food.keeps, food.keeps_open, sorted(food.contains)) == (5, 3, ["milk", "soy"])


@pytest.mark.parametrize(
    ("of_a", "of_b", "together"),
    [
        ("shelf", "chill", "chill"), ("chill", "shelf", "chill"), ("cool", "", "cool"), ("", "freeze", "freeze"),
        ("freeze", "chill", "freeze"), ("", "", None),
    ],
)  # fmt: skip
def test_food_is_kept_as_cold_as_any_place_keeps_it(of_a: str, of_b: str, together: str | None) -> None:
    """Else nothing about cold food would stand on its orders."""
    head = "Ingredient | Contains | Storage\nrice mix | none | "
    joined = join([place("a", Ingredients=head + of_a), place("b", Ingredients=head + of_b)], "all")
    assert joined.programme.foods.by_name["rice mix"].storage == together


def test_where_orders_go_and_on_whose_account_is_told_where_it_differs() -> None:
    head = "Supplier | Order to | Account | Cut-off\nMill | "
    joined = join(
        [place("a", Suppliers=head + "mill@a | 77 |"), place("b", Suppliers=head + "mill@a | | 11:00")], "all"
    )
    assert {finding.details["heading"]: finding.details["said"] for finding in joined.findings} == {
        "Account": "77 in a; nothing in b",
        "Cut-off": "nothing in a; 11:00 in b",
    }


@pytest.mark.parametrize(
    ("cans", "size"), [("1 1/2", Quantity(Fraction(600), "g")), ("2", Quantity(Fraction(2), "can"))]
)
def test_a_part_of_a_shared_pack_is_noted_in_pieces_where_it_is_whole_ones(cans: str, size: Quantity) -> None:
    """Of a case of 8 cans of 400 g at 16.00 two places take the same: half of it each pays."""
    more = {
        "Recipes": f"Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean tin | {cans} | can",
        "Ingredients": "Ingredient | Contains | Grams each\nbean tin | none | 400",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nMill | bean tin | 8 | can | 16.00",
    }
    joined, whole = bought([place("a", **more), place("b", **more)])
    (row,) = parts_of(["a", "b"], joined.names, whole, ())[0].purchases
    assert to_note(planned(**more)[0], row) == [ToNote(1, size, Money(800))]


def test_of_many_that_say_the_same_three_are_named_and_the_others_counted() -> None:
    dear = SHEETS["Packs"].replace("10.00", "11.00")
    (finding,) = join([place("x", Packs=dear), *map(place, "abcde"), place("y", Packs=dear)], "all").findings
    assert (
        finding.details["said"]
        == "$11.00 in x (Packs!F2) and y (Packs!F2); $10.00 in a (Packs!F2), b (Packs!F2), c (Packs!F2) and 2 more"
    )


def test_a_supplier_and_a_food_that_all_describe_alike_are_not_told_of() -> None:
    assert join([place("a"), place("b")], "all").findings == ()


def test_a_supplier_of_one_place_keeps_its_days() -> None:
    suppliers = SHEETS["Suppliers"] + "\nFarm | 2 | Thu; Fri"
    farm = join([place("a"), place("b", Suppliers=suppliers)], "all").programme.suppliers["Farm"]
    assert farm.delivery_days == (3, 4)


def test_places_whose_delivery_days_never_meet_go_by_the_first() -> None:
    head = "Supplier | Order days | Delivery days\nMill | "
    places = [place("a", Suppliers=head + "Mon; Tue | Tue"), place("b", Suppliers=head + "Tue; Wed | Wed; Thu")]
    mill = join(places, "all").programme.suppliers["Mill"]
    assert (mill.order_days, mill.delivery_days) == ((1,), (1,))


def test_the_loss_and_the_lead_of_the_most_careful_place_count() -> None:
    settings = [
        SHEETS["Settings"] + f"\nPacking loss | {loss}\nReceive lead | {lead}" for loss, lead in (("4%", 0), ("2%", 2))
    ]
    for order in (settings, settings[::-1]):
        joined = join([place(name, Settings=said) for name, said in zip("ab", order, strict=True)], "all")
        assert joined.programme.settings.packing_loss == Fraction(4, 100)
        assert joined.programme.settings.receive_lead == 2


def test_a_pack_used_up_by_one_place_alone_is_whole() -> None:
    """Exactly 2 kg of packs of 1 kg, and 1 kg: nothing is opened for anybody."""
    recipes = [SHEETS["Recipes"].replace("300", amount) for amount in ("2000", "1000")]
    places = [place(name, Recipes=recipe) for name, recipe in zip("ab", recipes, strict=True)]
    joined, whole = bought(places)
    lines, shares = split_by_place(joined.programme, ["a", "b"], whole.purchases, whole.orders)
    assert [(line.place, line.packs, line.shared) for line in lines] == [("a", 2, 0), ("b", 1, 0)]
    rows = [part.purchases[0] for part in parts_of(["a", "b"], joined.names, whole, shares)]
    assert [(row.packs, row.shared) for row in rows] == [(2, 0), (1, 0)]


def test_each_place_is_told_what_is_missing_for_its_own_sessions_by_its_own_names() -> None:
    """Two places whose names begin alike; the second calls rice mix grain, needs a spice that nobody offers, and meets
    before anything comes as well: 300 g missing then."""
    recipes = SHEETS["Recipes"].replace("rice mix", "grain") + "\nstew | | spice | 2 | g"
    other = {
        "Recipes": recipes, "Packs": SHEETS["Packs"].replace("rice mix", "grain"),
        "Ingredients": "Ingredient | Also called | Contains\ngrain | rice mix | none\nspice | | none",
        "Sessions": SHEETS["Sessions"] + "\ns0 | g1 | @2027-02-09 | stew",
    }  # fmt: skip
    _, kits = planned(**other)
    joined, whole = bought([place("a"), place("ab", **other)], {"ab": kits.sessions})
    one, two = parts_of(["a", "ab"], joined.names, whole, ())
    assert (one.shortages, one.shopping) == ((), ())
    assert [(each.food, each.session, each.amount) for each in two.shortages] == [("grain", "s0", 300)]
    assert [(each.food, each.session, each.amount) for each in two.shopping] == [("spice", "s0", 2), ("spice", "s1", 2)]
    assert [(row.food, row.used, row.packs, row.base, row.left_over, row.cost) for row in two.purchases] == [
        ("grain", (("s1", Fraction(300)),), 0, 300, 0, 500)
    ]
    assert [(row.food, row.used) for row in one.purchases] == [("rice mix", (("s1", Fraction(300)),))]
    assert (one.costs.groups, two.costs.groups, two.costs.sessions) == ({"g1": 500}, {"g1": 500}, {"s1": 500})


def test_a_place_s_part_of_several_packs_is_what_it_uses_and_the_whole_ones_for_it_alone() -> None:
    """2.5 kg and 0.3 kg of three packs of 1 kg at 10.00: 30.00 in the ratio of 25 to 3 is 26.79 and 3.21, by hand."""
    places = [place("a", Recipes=SHEETS["Recipes"].replace("300", "2500")), place("b")]
    joined, whole = bought(places)
    rows = [part.purchases[0] for part in parts_of([each.name for each in places], joined.names, whole, ())]
    assert [(row.packs, row.shared, row.base, row.cost) for row in rows] == [(2, 500, 2500, 2679), (0, 300, 300, 321)]


def test_a_place_s_own_plan_is_its_kits_and_stock_and_its_part() -> None:
    """Of 10.00, a delivery of 5.00 and a tax of 1.00 two fifths, which the one funder pays; of a gift of 300 g worth
    9.00 all is used."""
    more = {
        "Stock": "Ingredient | Amount | Unit | Source | Value\nrice mix | 300 | g | donated | 9.00",
        "Recipes": SHEETS["Recipes"].replace("300", "500"),
        "Groups": "Group | Funders\ng1 | Fund",
        "Funders": "Funder | From | Until\nFund | @2027-01-01 | @2027-12-31",
    }
    supplied = SHEETS["Suppliers"].replace("days\n", "days | Delivery fee | Tax\n") + " | 5.00 | 10%"
    programme, kits = planned(**more, Suppliers=supplied)
    netted = net(programme, kits.needs)
    joined, whole = bought([place_of("a", programme, kits, netted), place("b", Suppliers=supplied)])
    _, shares = split_by_place(joined.programme, ["a", "b"], whole.purchases, whole.orders)
    part, _ = parts_of(["a", "b"], joined.names, whole, shares)
    plan = with_part(programme, kits, netted, part)
    assert (plan.sessions, plan.needs, plan.stock_use, plan.lots) == (
        kits.sessions, kits.needs, netted.uses, netted.lots,
    )  # fmt: skip
    assert [(row.base, row.used) for row in plan.purchases] == [(200, (("s1", Fraction(200)),))]
    assert (plan.orders, plan.costs.sessions, plan.costs.funders) == ((), {"s1": 640}, {"Fund": 640})
    assert [(order.goods, order.fee, order.tax, order.total) for order in plan.shared] == [(400, 200, 40, 640)]
    assert plan.paid == plan.shared
    assert plan.costs.in_kind == {"s1": 900}


def test_kits_that_can_be_filled_all_the_same_are_counted_from_the_places_that_are_short_each_asked_once() -> None:
    """Two kits of 300 g and a lot of 450 g: one can be filled, and 150 g are missing. Another place has no lot, and
    two sessions; a third is short of nothing."""
    early = "Session | Group | Date | Recipes\ns1 | g1 | @2027-02-09 | stew"
    short = {
        "Sessions": early,
        "Enrolment": "Participant | Group | Needs\np1 | g1 | none\np2 | g1 | none",
        "Stock": "Ingredient | Amount | Unit\nrice mix | 450 | g",
    }
    twice = early + "\ns2 | g1 | @2027-02-09 | stew"
    asked: list[str] = []
    kits = {"a": planned(**short)[1].sessions, "b": planned(Sessions=twice)[1].sessions}

    def kits_of(name: str) -> tuple[PlannedSession, ...]:
        asked.append(name)
        return kits[name]

    joined = join([place("a", **short), place("b", Sessions=twice), place("c")], "all")
    found = shortages_of_all(joined, buy(joined.programme, joined.still_open).uncovered, kits_of)
    assert sorted((each.session, each.amount, each.full_kits_possible) for each in found) == [
        ("a/s1", 150, 1), ("b/s1", 300, 0), ("b/s2", 300, 0),
    ]  # fmt: skip
    assert sorted(asked) == ["a", "b"]


def test_what_takes_part_holds_no_person_and_no_recipe() -> None:
    taking = place("a")
    programme = taking.programme
    assert (programme.members, programme.recipes, programme.lots, programme.attendance) == ((), {}, (), ())
    assert [(each.kits, [variant.holders for variant in each.variants]) for each in taking.sessions] == [(1, [()])]


def test_equal_foods_and_packs_of_places_are_kept_once_and_others_apart() -> None:
    sharing = Sharing()
    dearer = SHEETS["Packs"].replace("10.00", "11.00")
    one, two, three = (
        sharing.shared(place(name, **more)).programme for name, more in (("a", {}), ("b", {}), ("c", {"Packs": dearer}))
    )
    assert one.foods.by_name["rice mix"] is two.foods.by_name["rice mix"] is three.foods.by_name["rice mix"]
    assert one.offers[0] is two.offers[0]
    assert [each.offers[0].price for each in (two, three)] == [1000, 1100]
