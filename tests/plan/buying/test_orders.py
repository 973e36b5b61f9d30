"""What is bought, from whom and when, with prices, days, closures, keeping and ties; small workbooks in, orders out.

Joint decisions over delivery fees and minimum orders are not looked at here: each food is bought on its own.
"""

import datetime as dt
from fractions import Fraction

import pytest
from support import read, term

from opsreport.joining import build_programme
from opsreport.measures.units import factors
from opsreport.plan.buying.orders import order_id
from opsreport.plan.food_plan import plan_food
from opsreport.plan.model import FoodPlan
from opsreport.rules import Severity

F = Fraction
MONDAY = dt.date(2027, 1, 4)
SETTINGS = "Setting | Value\nPacking lead | 0\nKeep margin | 0\nSpare kits | 0\nDemo kits | 0"
WEEKS = "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-11 | stew\nw3 | g1 | @2027-01-18 | stew"
ONE_WEEK = "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-11 | stew"
STEW = "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | {} | g"
NO_STOCK = "Ingredient | Amount | Unit"
D = dt.date.fromisoformat


def pack_row(head: str, row: str) -> str:
    """A row under Supplier, Ingredient and `head`; where it lacks the first two, the shop's bean mix."""
    return row if row.count("|") > head.count("|") else f"shop | bean mix | {row}"


def planned(
    packs: str, grams: int = 100, sessions: str = WEEKS, suppliers: str = "shop | 1 |", as_of: dt.date = MONDAY,
    settings: str = "", **sheets: str,
) -> FoodPlan:  # fmt: skip
    """One kit a session of `grams` bean mix, nothing in stock.

    packs: headings after Supplier and Ingredient, then rows (see `pack_row`); suppliers: rows under `heads`,
    Supplier | Lead days | Delivery days where not given.
    """
    heads = sheets.pop("heads", "Supplier | Lead days | Delivery days")
    head, *rows = packs.split("\n")
    given = {
        "Settings": f"{SETTINGS}\n{settings}".rstrip(),
        "Sessions": sessions,
        "Enrolment": "Participant | Group | Needs\np1 | g1 | none",
        "Recipes": STEW.format(grams),
        "Stock": NO_STOCK,
        "Suppliers": f"{heads}\n{suppliers}",
        "Packs": "\n".join([f"Supplier | Ingredient | {head}", *(pack_row(head, row) for row in rows)]),
        **sheets,
    }
    rows_, findings = read(term(given), as_of)
    assert [finding.message for finding in findings if finding.severity is Severity.ERROR] == []
    food, _ = plan_food(build_programme(rows_, as_of))
    return food


def bought(food: FoodPlan) -> list[tuple[str, int, str]]:
    """(item, packs, arrival) of each row."""
    return [(row.item, row.packs, row.arrives.isoformat()) for row in food.purchases]


PLAIN = "Item | Pack amount | Pack unit | Price"


# --- covering ---


def test_buying_covers_and_does_not_match() -> None:
    """Packs of 1, 2, 3, 4, 5 kg at 20, 10, 4, 50, 100; 5 kg wanted: 3 + 3 for 8, not 2 + 3 for 14.

    A programming textbook's example: from memory, recomputed.
    """
    rows = "\n".join(f"{kg} | {kg} | kg | {price}" for kg, price in [(1, 20), (2, 10), (3, 4), (4, 50), (5, 100)])
    food = planned(f"{PLAIN}\n{rows}", 5000, ONE_WEEK)
    assert bought(food) == [("3", 2, "2027-01-11")]
    assert food.buying.cost == 800
    assert [(row.base, row.left_over, row.used) for row in food.purchases] == [(6000, 1000, (("w2", 5000),))]


def test_a_pack_lasts_into_the_next_week() -> None:
    food = planned(f"{PLAIN}\nbag | 200 | g | 2")
    assert bought(food) == [("bag", 1, "2027-01-11")]
    assert food.purchases[0].used == (("w2", 100), ("w3", 100))


def test_a_row_of_the_order_in_full() -> None:
    food = planned(f"{PLAIN}\nbag | 2 | lb | 3.40", 1000, ONE_WEEK)
    row = food.purchases[0]
    pound = factors("US")["lb"]
    assert (row.order, row.supplier, row.item, row.food) == ("shop-20270111", "shop", "bag", "bean mix")
    assert (row.packs, str(row.size), row.base, row.base_unit) == (2, "2 lb", 4 * pound, "g")
    assert (row.price, row.cost, row.good_through) == (340, 680, None)
    assert row.left_over == 4 * pound - 1000
    order = food.orders[0]
    assert (order.order, order.supplier, order.arrives, order.order_by) == (
        "shop-20270111",
        "shop",
        D("2027-01-11"),
        D("2027-01-08"),
    )
    assert (order.goods, order.fee, order.tax, order.total, order.urgent, order.below_minimum) == (
        680,
        0,
        0,
        680,
        False,
        False,
    )
    assert order_id("shop", D("2027-01-11")) == "shop-20270111"


def test_three_thirds_of_a_pack_are_one() -> None:
    recipes = "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 1/3 | cup"
    sessions = WEEKS + "\nw4 | g1 | @2027-01-25 | stew"
    food = planned(f"{PLAIN}\nbag | 1 | cup | 2", sessions=sessions, Recipes=recipes)
    assert [(row.packs, row.left_over) for row in food.purchases] == [(1, 0)]


# --- ties, in their order ---


@pytest.mark.parametrize("turned", [False, True])
@pytest.mark.parametrize(
    ("packs", "grams", "chosen"),
    [
        # less left over, in share of packs: 100 of 300 is a third of a pack, 100 of 250 two fifths
        (["a | 300 | g | 5 |", "b | 250 | g | 5 |"], 200, "b"),
        (["a | 400 | g | 6 |", "b | 200 | g | 3 |"], 200, "b"),
        # what is preferred, where as much is left over
        (["a | 200 | g | 5 |", "b | 200 | g | 5 | yes"], 200, "b"),
        # fewer packs
        (["a | 100 | g | 2 |", "b | 200 | g | 4 |"], 200, "b"),
        # preferred comes before fewer
        (["a | 100 | g | 2 | yes", "b | 200 | g | 4 |"], 200, "a"),
        # least left over comes before preferred
        (["a | 300 | g | 5 | yes", "b | 200 | g | 5 |"], 200, "b"),
        # item id at last
        (["b | 200 | g | 5 |", "a | 200 | g | 5 |"], 200, "a"),
    ],
)  # fmt: skip
def test_ties(packs: list[str], grams: int, chosen: str, turned: bool) -> None:
    rows = "\n".join(packs[::-1] if turned else packs)
    food = planned(f"{PLAIN} | Preferred\n{rows}", grams, ONE_WEEK)
    assert {row.item for row in food.purchases} == {chosen}


def test_the_cheapest_comes_before_every_tie_rule() -> None:
    food = planned(f"{PLAIN} | Preferred\na | 200 | g | 5 | yes\nb | 300 | g | 4.99 |", 200, ONE_WEEK)
    assert bought(food) == [("b", 1, "2027-01-11")]


def test_a_later_delivery_before_an_earlier() -> None:
    assert bought(planned(f"{PLAIN}\nbag | 100 | g | 2")) == [("bag", 1, "2027-01-11"), ("bag", 1, "2027-01-18")]
    # a pack of 200 must come for the first; the second of 150 a week may wait
    assert bought(planned(f"{PLAIN}\nbag | 200 | g | 2", 150)) == [("bag", 1, "2027-01-11"), ("bag", 1, "2027-01-18")]


def test_a_later_delivery_before_the_suppliers_name() -> None:
    food = planned(
        f"{PLAIN}\nalpha | bean mix | x | 200 | g | 2\nbeta | bean mix | x | 200 | g | 2", 100, ONE_WEEK,
        suppliers="alpha | 1 | Thu\nbeta | 1 | Fri",
    )  # fmt: skip
    assert [(row.supplier, row.arrives) for row in food.purchases] == [("beta", D("2027-01-08"))]


def test_the_suppliers_name_before_the_items() -> None:
    food = planned(
        f"{PLAIN}\nbeta | bean mix | a | 200 | g | 2\nalpha | bean mix | b | 200 | g | 2", 100, ONE_WEEK,
        suppliers="alpha | 1 |\nbeta | 1 |",
    )  # fmt: skip
    assert [(row.supplier, row.item) for row in food.purchases] == [("alpha", "b")]


# --- delivery days, leads, closures ---


@pytest.mark.parametrize(
    ("supplier", "closures", "settings", "arrives", "by"),
    [
        ("shop | 1 |", "", "", "2027-01-11", "2027-01-08"),
        ("shop | 0 |", "", "", "2027-01-11", "2027-01-11"),
        ("shop | 3 | Tue; Fri", "", "", "2027-01-08", "2027-01-05"),
        ("shop | 3 | Tue; Fri", "@2027-01-08 | deliveries", "", "2027-01-05", None),
        ("shop | 1 | Tue; Fri", "@2027-01-08 | all", "", "2027-01-05", "2027-01-04"),
        ("shop | 1 | Tue; Fri", "@2027-01-08 | packing", "", "2027-01-08", "2027-01-07"),
        ("shop | 2 |", "@2027-01-08 | deliveries", "", "2027-01-11", "2027-01-06"),
        ("shop | 1 |", "", "Receive lead | 1", "2027-01-08", "2027-01-07"),
        ("shop | 1 |", "", "Receive lead | 4", "2027-01-07", "2027-01-06"),
        ("shop | 1 |", "", "Open days | Mon;Tue;Wed;Thu;Fri;Sat;Sun", "2027-01-11", "2027-01-08"),
        ("shop | 1 | Sat", "", "", None, None),  # never on a day that is not open
        ("shop | 1 | Sat", "", "Open days | Mon;Sat", "2027-01-09", "2027-01-08"),
    ],
)
def test_the_last_delivery_in_time(
    supplier: str, closures: str, settings: str, arrives: str | None, by: str | None
) -> None:
    food = planned(
        f"{PLAIN}\nbag | 100 | g | 2", 100, ONE_WEEK, supplier, settings=settings, Closures=f"Date | What\n{closures}"
    )
    found = [(order.arrives.isoformat(), order.order_by.isoformat()) for order in food.orders if not order.urgent]
    if arrives is None:
        assert food.orders == ()
        assert [(row.session, row.amount) for row in food.shortages] == [("w2", 100)]
    elif by is None:
        assert [(order.arrives.isoformat(), order.urgent) for order in food.orders] == [(arrives, True)]
    else:
        assert found == [(arrives, by)]


def test_a_price_holds_by_order_by_day() -> None:
    """A cheaper price from Tue 5 Jan on an order-by day of Fri 8 Jan holds; one until Thu 7 Jan does not."""
    head = f"{PLAIN} | From | Until"
    rows = ["now | 100 | g | 5 | |", "from | 100 | g | 4 | @2027-01-08 |", "gone | 100 | g | 1 | | @2027-01-07"]
    food = planned("\n".join([head, *rows]), 100, ONE_WEEK, "shop | 1 | Mon")
    assert bought(food) == [("from", 1, "2027-01-11")]


def test_a_price_that_ends_is_still_had_by_an_earlier_delivery() -> None:
    """Monday would cost more, since its order-by day is Friday: the delivery of Fri 8 Jan, ordered Thu 7."""
    head = f"{PLAIN} | From | Until"
    food = planned(f"{head}\ndear | 100 | g | 5 | |\ncheap | 100 | g | 4 | | @2027-01-07", 100, ONE_WEEK)
    assert bought(food) == [("cheap", 1, "2027-01-08")]


def test_the_first_and_last_day_of_a_price_are_its_own() -> None:
    head = f"{PLAIN} | From | Until"
    food = planned(
        f"{head}\nday | 100 | g | 1 | @2027-01-08 | @2027-01-08\nany | 100 | g | 5 | |", 100, ONE_WEEK, "shop | 1 | Mon"
    )
    assert bought(food) == [("day", 1, "2027-01-11")]


def test_more_is_bought_while_it_is_cheap() -> None:
    head = f"{PLAIN} | From | Until"
    rows = ["cheap | 100 | g | 4 | | @2027-01-11", "dear | 100 | g | 5 | @2027-01-12 |"]
    food = planned("\n".join([head, *rows]), 100)
    assert bought(food) == [("cheap", 1, "2027-01-11"), ("cheap", 1, "2027-01-12")]
    assert food.buying.cost == 800


# --- sale multiples and minima ---


@pytest.mark.parametrize(
    ("sold_by", "minimum", "grams", "packs"),
    [
        (1, 0, 250, 3), (4, 0, 250, 4), (2, 0, 250, 4), (2, 0, 200, 2), (1, 5, 250, 5), (2, 5, 250, 6), (3, 3, 350, 6),
        (1, 2, 250, 3),
    ],
)  # fmt: skip
def test_packs_are_a_multiple_of_the_sale_and_at_least_the_minimum(
    sold_by: int, minimum: int, grams: int, packs: int
) -> None:
    food = planned(f"{PLAIN} | Sold by | Minimum\nbag | 100 | g | 2 | {sold_by} | {minimum}", grams, ONE_WEEK)
    assert [row.packs for row in food.purchases] == [packs]
    assert food.buying.cost == 200 * packs


def test_the_minimum_is_per_delivery() -> None:
    """Two weeks of 250 g in packs of 100 g, at least 3 a delivery: five once, or three twice; five cost less."""
    food = planned(f"{PLAIN} | Minimum\nbag | 100 | g | 2 | 3", 250)
    assert sum(row.packs for row in food.purchases) == 5
    assert food.buying.cost == 1000
    assert [row.packs for row in planned(f"{PLAIN} | Minimum | Keeps\nbag | 100 | g | 2 | 3 | 2", 250).purchases] == [
        3,
        3,
    ]


# --- keeping ---


@pytest.mark.parametrize(
    ("keeps", "rows"),
    [(7, [("bag", 1, "2027-01-11")]), (6, [("bag", 1, "2027-01-11"), ("bag", 1, "2027-01-18")])],
)
def test_a_pack_is_good_through_arrival_and_the_days_it_keeps(keeps: int, rows: list[object]) -> None:
    food = planned(f"{PLAIN} | Keeps\nbag | 200 | g | 2 | {keeps}")
    assert bought(food) == rows
    assert food.purchases[0].good_through == D("2027-01-11") + dt.timedelta(days=keeps)


def test_the_packs_own_days_come_before_the_foods() -> None:
    sheet = {"Ingredients": "Ingredient | Keeps\nbean mix | 3"}
    assert len(planned(f"{PLAIN} | Keeps\nbag | 200 | g | 2 | 9", **sheet).purchases) == 1
    assert len(planned(f"{PLAIN} | Keeps\nbag | 200 | g | 2 |", **sheet).purchases) == 2


def test_food_that_would_not_keep_until_the_session_is_not_bought_too_early() -> None:
    """Delivered on Thursdays only: four days before the session, and it keeps three; the other pack keeps four."""
    food = planned(f"{PLAIN} | Keeps\nbag | 100 | g | 2 | 3\nbox | 100 | g | 9 | 4", 100, ONE_WEEK, "shop | 1 | Thu")
    assert bought(food) == [("box", 1, "2027-01-07")]
    short = planned(f"{PLAIN} | Keeps\nbag | 100 | g | 2 | 3", 100, ONE_WEEK, "shop | 1 | Thu")
    assert [(row.session, row.amount, row.full_kits_possible) for row in short.shortages] == [("w2", 100, 0)]


def test_the_margin_after_the_session_counts() -> None:
    for margin, packs in [(0, 1), (1, 0)]:
        settings = SETTINGS.replace("Keep margin | 0", f"Keep margin | {margin}")
        food = planned(f"{PLAIN} | Keeps\nbag | 100 | g | 2 | 0", 100, ONE_WEEK, Settings=settings)
        assert len(food.purchases) == packs


@pytest.mark.parametrize(("keeps_open", "packs"), [(8, [1]), (7, [1, 1])])
def test_an_opened_remainder_keeps_its_own_days(keeps_open: int, packs: list[int]) -> None:
    """Opened Mon 11 Jan, day 1; Mon 18 Jan is day 8."""
    food = planned(f"{PLAIN}\nbag | 200 | g | 2", Ingredients=f"Ingredient | Keeps open\nbean mix | {keeps_open}")
    assert [row.packs for row in food.purchases] == packs
    assert sum(row.left_over for row in food.purchases) == 200 * (len(packs) - 1)


def test_short_lived_remainders_make_small_packs_worth_their_price() -> None:
    """One pack of 200 for 3.00 would do; opened it is lost by the next week: two of 100 at 2.00 cost less than two."""
    food = planned(
        f"{PLAIN}\nbag | 200 | g | 3\nsachet | 100 | g | 2", Ingredients="Ingredient | Keeps open\nbean mix | 3"
    )
    assert [(row.item, row.packs) for row in food.purchases] == [("sachet", 1), ("sachet", 1)]
    assert food.buying.cost == 400


def test_stock_comes_off_before_anything_is_bought() -> None:
    food = planned(f"{PLAIN}\nbag | 100 | g | 2", Stock="Ingredient | Amount | Unit\nbean mix | 130 | g")
    assert bought(food) == [("bag", 1, "2027-01-18")]
    assert food.purchases[0].used == (("w3", 70),)


# --- urgent, short, to shop for ---

SOON = "Session | Group | Date | Recipes\nw1 | g1 | @2027-01-07 | stew"


def test_what_can_only_come_late_is_urgent_and_the_earliest_first() -> None:
    """Session Thu 7 Jan, lead 5: all deliveries are past their order-by day; the first after today is Tue 5 Jan."""
    food = planned(f"{PLAIN}\nbag | 100 | g | 2", 100, SOON, "shop | 5 |")
    assert [(order.arrives, order.urgent) for order in food.orders] == [(D("2027-01-05"), True)]
    assert food.orders[0].order_by < MONDAY
    assert food.shortages == ()


def test_urgent_only_where_no_other_delivery_covers() -> None:
    food = planned(
        f"{PLAIN}\nfar | bean mix | x | 100 | g | 1\nnear | bean mix | x | 100 | g | 9", 100, SOON,
        suppliers="far | 5 |\nnear | 1 |",
    )  # fmt: skip
    assert [(row.supplier, row.cost) for row in food.purchases] == [("near", 900)]
    assert [order.urgent for order in food.orders] == [False]


def test_no_delivery_on_the_planning_date_itself_is_urgent() -> None:
    """Packed today: a delivery of today cannot be telephoned for."""
    today = "Session | Group | Date | Recipes\nw1 | g1 | @2027-01-04 | stew"
    food = planned(f"{PLAIN}\nbag | 100 | g | 2", 100, today, "shop | 1 |")
    assert food.orders == ()
    assert [(row.session, row.amount) for row in food.shortages] == [("w1", 100)]
    food = planned(f"{PLAIN}\nbag | 100 | g | 2", 100, today, "shop | 0 |")
    assert [(order.arrives, order.urgent) for order in food.orders] == [(MONDAY, False)]


def test_an_order_placed_today_is_not_urgent() -> None:
    food = planned(f"{PLAIN}\nbag | 100 | g | 2", 100, SOON, "shop | 3 | Thu")
    assert [(order.order_by, order.urgent) for order in food.orders] == [(MONDAY, False)]


def test_an_urgent_delivery_must_be_good_for_the_session() -> None:
    """Keeps 1 day: of the deliveries past their order-by day the first good enough is Wed 6 Jan."""
    food = planned(f"{PLAIN} | Keeps\nbag | 100 | g | 2 | 1", 100, SOON, "shop | 5 |")
    assert [(order.arrives, order.urgent) for order in food.orders] == [(D("2027-01-06"), True)]


def test_what_an_urgent_pack_has_left_serves_later_needs() -> None:
    sessions = SOON + "\nw2 | g1 | @2027-01-18 | stew"
    food = planned(f"{PLAIN}\nbag | 200 | g | 2", 100, sessions, "shop | 5 |")
    assert [(row.arrives, row.packs, row.used) for row in food.purchases] == [
        (D("2027-01-05"), 1, (("w1", 100), ("w2", 100)))
    ]


def test_a_shortage_says_how_many_full_kits_are_left() -> None:
    """Nine kits of 100 g, 350 g in stock, no delivery by then: 550 g are short, three kits full."""
    food = planned(
        f"{PLAIN}\nbag | 100 | g | 2", 100, "Session | Group | Date | Recipes | Kits\nw1 | g1 | @2027-01-04 | stew | 9",
        "shop | 1 |", Stock="Ingredient | Amount | Unit\nbean mix | 350 | g",
    )  # fmt: skip
    assert [(row.food, row.session, row.amount, row.unit, row.full_kits_possible) for row in food.shortages] == [
        ("bean mix", "w1", 550, "g", 3)
    ]


def test_full_kits_are_counted_smallest_first() -> None:
    """Kits of 100, 100 and 300 g, 250 g there: both small ones; with 100 g one; one without it is always full."""
    people = (
        "Participant | Group | Servings | Needs\np1 | g1 | 4 | none\np2 | g1 | 4 | none\n"
        "p3 | g1 | 12 | none\np4 | g1 | 4 | no bean mix"
    )
    for there, full in [(250, 3), (100, 2), (99, 1), (499, 3)]:
        food = planned(
            f"{PLAIN}\nbag | 100 | g | 2", 100, "Session | Group | Date | Recipes\n"
            "w1 | g1 | @2027-01-04 | stew", "shop | 1 |",
            Stock=f"Ingredient | Amount | Unit\n"
            f"bean mix | {there} | g", Enrolment=people, Ingredients="Ingredient\nbean mix",
            Swaps="Ingredient | Need | Use instead\nbean mix | no bean mix | leave out",
        )  # fmt: skip
        assert [(row.amount, row.full_kits_possible) for row in food.shortages] == [(500 - there, full)], there


def test_full_kits_carry_the_packing_loss() -> None:
    """Ten kits of 100 g at 10 % loss need 1100 g: of 1090 g nine are sure."""
    food = planned(
        f"{PLAIN}\nbag | 100 | g | 2", 100, "Session | Group | Date | Recipes | Kits\n"
        "w1 | g1 | @2027-01-04 | stew | 10",
        "shop | 1 |", settings="Packing loss | 10%", Stock="Ingredient | Amount | Unit\nbean mix | 1090 | g",
    )  # fmt: skip
    assert [(row.amount, row.full_kits_possible) for row in food.shortages] == [(10, 9)]


ONCE = (
    "Recipe | Servings | Ingredient | Amount | Unit | Scale\nstew | 4 | bean mix | 100 | g |\n"
    "stew | | bean mix | 200 | g | session"
)


def test_full_kits_leave_what_the_session_needs_once() -> None:
    food = planned(
        f"{PLAIN}\nbag | 100 | g | 2", 100, "Session | Group | Date | Recipes | Kits\nw1 | g1 | @2027-01-04 | stew | 5",
        "shop | 1 |", Recipes=ONCE, Stock="Ingredient | Amount | Unit\nbean mix | 450 | g",
    )  # fmt: skip
    assert [(row.amount, row.full_kits_possible) for row in food.shortages] == [(250, 2)]


def test_what_is_needed_once_takes_its_loss_before_kits_are_full() -> None:
    """Needed once 200 g and 5 kits of 100 g, at 10 % loss 770 g; with 765 g, 220 + 4 × 110 = 660 and not 770."""
    food = planned(
        f"{PLAIN}\nbag | 100 | g | 2", 100, "Session | Group | Date | Recipes | Kits\nw1 | g1 | @2027-01-04 | stew | 5",
        "shop | 1 |", settings="Packing loss | 10%", Recipes=ONCE, Stock="Ingredient | Amount | Unit\n"
        "bean mix | 765 | g",
    )  # fmt: skip
    assert [(row.amount, row.full_kits_possible) for row in food.shortages] == [(5, 4)]


def test_what_nobody_sells_is_on_the_shopping_list() -> None:
    food = planned(f"{PLAIN}\nshop | other thing | x | 100 | g | 2")
    assert [(row.food, row.session, row.amount, row.unit) for row in food.shopping] == [
        ("bean mix", "w2", 100, "g"), ("bean mix", "w3", 100, "g"),
    ]  # fmt: skip
    assert food.shortages == food.orders == ()


def test_a_price_that_does_not_hold_is_no_offer() -> None:
    food = planned(f"{PLAIN} | From | Until\nbag | 100 | g | 2 | | @2026-12-31")
    assert [row.session for row in food.shopping] == ["w2", "w3"]
    assert food.shortages == ()
    later = planned(f"{PLAIN} | From | Until\nbag | 100 | g | 2 | @2027-01-12 |")
    assert [row.session for row in later.shopping] == ["w2"]
    assert bought(later) == [("bag", 1, "2027-01-18")]


# --- orders: fees, minimum, tax ---

HEADS = "Supplier | Lead days | Delivery days | Minimum order | Delivery fee | Free delivery from | Tax"


def orders(supplier: str, price: str = "2", sessions: str = WEEKS) -> list[tuple[int, int, int, int, bool]]:
    food = planned(f"{PLAIN}\nbag | 100 | g | {price}", 100, sessions, supplier, heads=HEADS)
    return [(order.goods, order.fee, order.tax, order.total, order.below_minimum) for order in food.orders]


@pytest.mark.parametrize(
    ("supplier", "price", "order"),
    [
        ("shop | 1 | | | 5 | |", "2", (200, 500, 0, 700, False)),
        ("shop | 1 | | | 5 | 2 |", "2", (200, 0, 0, 200, False)),  # free from its own sum on
        ("shop | 1 | | | 5 | 2.01 |", "2", (400, 0, 0, 400, False)),  # one bag more is less than the fee
        ("shop | 1 | | | 5 | 7.01 |", "2", (200, 500, 0, 700, False)),  # three more are not
        ("shop | 1 | | 2 | | |", "2", (200, 0, 0, 200, False)),
        ("shop | 1 | | 2.01 | | |", "2", (200, 0, 0, 200, True)),
        ("shop | 1 | | | 5 | | 10%", "2", (200, 500, 20, 720, False)),  # tax on goods, not on the fee
        ("shop | 1 | | | | | 5%", "0.10", (10, 0, 1, 11, False)),  # half a cent goes up
        ("shop | 1 | | | | | 5%", "0.09", (9, 0, 0, 9, False)),
        ("shop | 1 | | | | | 8.25%", "1.99", (199, 0, 16, 215, False)),
    ],
)
def test_fee_minimum_and_tax_of_an_order(supplier: str, price: str, order: tuple[object, ...]) -> None:
    assert orders(supplier, price, ONE_WEEK) == [order]


def test_each_delivery_has_its_own_order_and_fee() -> None:
    """What keeps three days cannot come for both weeks at once."""
    head = f"{PLAIN} | Keeps"
    food = planned(f"{head}\nbag | 100 | g | 2 | 3", 100, WEEKS, "shop | 1 | | | 5 | |", heads=HEADS)
    assert [(order.goods, order.fee, order.total) for order in food.orders] == [(200, 500, 700)] * 2


def test_one_order_a_supplier_and_day_for_all_foods_taxed_as_one() -> None:
    recipes = (
        "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g\nstew | | rice mix | 100 | g"
    )
    food = planned(
        f"{PLAIN}\nbag | 100 | g | 0.05\nshop | rice mix | x | 100 | g | 0.05", 100, ONE_WEEK, "shop | 1 | | | | | 10%",
        heads=HEADS, Recipes=recipes,
    )  # fmt: skip
    assert [(order.goods, order.tax) for order in food.orders] == [(10, 1)]
    assert [row.food for row in food.purchases] == ["bean mix", "rice mix"]


def test_orders_stand_urgent_first_then_by_order_by_day() -> None:
    sessions = SOON + "\nw2 | g1 | @2027-01-18 | stew\nw3 | g1 | @2027-01-25 | stew"
    food = planned(f"{PLAIN}\nbag | 100 | g | 2", 100, sessions, "shop | 5 |")
    assert [order.urgent for order in food.orders] == [True, False, False]
    assert [order.order_by for order in food.orders] == sorted(order.order_by for order in food.orders)


# --- how good it is ---


def test_cost_bound_and_each_session_alone() -> None:
    """200 g for 3.00 serves both weeks; each alone would buy it and pay the fee; tax is not counted."""
    food = planned(f"{PLAIN}\nbag | 200 | g | 3", 100, WEEKS, "shop | 1 | | | 5 | | 10%", heads=HEADS)
    assert (food.buying.cost, food.buying.session_by_session_cost) == (800, 1600)
    assert food.buying.lower_bound <= food.buying.cost
    assert food.orders[0].total == 830


def test_alone_means_after_stock_and_with_ones_own_fee_only_once() -> None:
    recipes = (
        "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g\nstew | | rice mix | 100 | g"
    )
    food = planned(
        f"{PLAIN}\nbag | 100 | g | 3\n"
        f"shop | rice mix | x | 100 | g | 1", 100, WEEKS, "shop | 1 | | | 5 | |", heads=HEADS,
        Recipes=recipes, Stock="Ingredient | Amount | Unit\nbean mix | 100 | g",
    )  # fmt: skip
    assert food.buying.session_by_session_cost == (100 + 500) + (400 + 500)


def test_without_fees_the_bound_is_the_cost() -> None:
    food = planned(f"{PLAIN}\nbag | 300 | g | 3\nbox | 100 | g | 1.20", 250)
    assert food.buying.lower_bound == food.buying.cost == 300 + 2 * 120


def test_nothing_to_buy_costs_nothing() -> None:
    food = planned(f"{PLAIN}\nbag | 100 | g | 2", Stock="Ingredient | Amount | Unit\nbean mix | 200 | g")
    assert food.purchases == food.orders == ()
    assert (food.buying.cost, food.buying.lower_bound, food.buying.session_by_session_cost) == (0, 0, 0)
