"""Orders beside what is ordered already, and what could come earlier with an order that is too small."""

import pytest
from plan.food_support import planned, programme_of

from opsreport.money import Money
from opsreport.plan.buying.additions import forward_words
from opsreport.plan.model import Forward

HEAD = "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due | Price"
SHOP = "Supplier | Lead days | Delivery days | Minimum order | Delivery fee\nshop | 1 | Mon | {} | 5"


def ordered(*rows: str, minimum: int = 0) -> dict[str, str]:
    return {"Orders": "\n".join([HEAD, *rows]), "Suppliers": SHOP.format(minimum)}


def test_a_number_that_is_placed_is_not_used_again_and_the_order_is_an_addition() -> None:
    _, plan = planned(ordered("shop-20270111 | shop | rice | 3 | 250 | g | @2027-01-11 | 4.00"))
    assert [(order.order, order.urgent) for order in plan.orders] == [("shop-20270111-2", False)]
    assert {row.order for row in plan.purchases} == {"shop-20270111-2"}
    assert plan.traces[0].packs[0].order == "shop-20270111-2"
    (addition,) = plan.additions
    assert (addition.order, addition.to, addition.goods) == ("shop-20270111-2", ("shop-20270111",), 1200)
    assert addition.fee_saved == 500


def test_what_came_of_an_order_counts_with_what_is_still_to_come() -> None:
    """Three packs for 4.00 each, one of them here already: 12.00."""
    sheets = ordered("PO 7 | shop | rice | 3 | 250 | g | @2027-01-11 | 4.00 | 1")
    sheets["Orders"] = sheets["Orders"].replace(HEAD, f"{HEAD} | Received")
    assert [each.goods for each in planned(sheets)[1].additions] == [1200]


def test_a_second_addition_is_told_apart_from_the_first() -> None:
    rows = [f"{name} | shop | rice | 1 | 250 | g | @2027-01-11 | 4.00" for name in ("SHOP-20270111", "shop-20270111-2")]
    _, plan = planned(ordered(*rows))
    assert [order.order for order in plan.orders] == ["shop-20270111-3"]
    assert plan.additions[0].to == ("SHOP-20270111", "shop-20270111-2")


def test_an_own_number_is_left_alone_and_still_an_addition() -> None:
    _, plan = planned(ordered("PO 7 | shop | rice | 1 | 250 | g | @2027-01-11 | 4.00"))
    assert [(each.order, each.to) for each in plan.additions] == [("shop-20270111", ("PO 7",))]


def test_no_addition_for_another_day_another_supplier_or_what_has_come() -> None:
    rows = (
        "a | shop | rice | 1 | 250 | g | @2027-01-18 | 4.00",
        "b | mill | rice | 1 | 250 | g | @2027-01-11 | 4.00",
    )
    assert planned(ordered(*rows))[1].additions == ()


def test_the_minimum_counts_with_what_is_ordered_for_the_same_delivery() -> None:
    row = "PO 7 | shop | rice | {} | 250 | g | @2027-01-11 | 4.00"
    _, enough = planned(ordered(row.format(3), minimum=14))
    assert [each.below_minimum for each in enough.additions] == [False]
    assert enough.forwards == ()
    _, too_few = planned(ordered(row.format(1), minimum=14))
    assert [each.below_minimum for each in too_few.additions] == [True]
    assert [each.order for each in too_few.forwards] == ["shop-20270111"]


def test_a_delivery_placed_twice_is_paid_once() -> None:
    rows = [f"{name} | shop | rice | 1 | 250 | g | @2027-01-11 | 4.00" for name in ("PO 7", "PO 8")]
    assert planned(ordered(*rows))[1].budget.committed == 800 + 500
    apart = [rows[0], rows[1].replace("2027-01-11", "2027-01-18")]
    assert planned(ordered(*apart))[1].budget.committed == 800 + 1000


def test_an_urgent_order_below_its_minimum_names_what_could_come_with_it() -> None:
    """Lead of 9 days: 11 January is urgent, 18 January is not. Each packs one pack at 2.00, the fee is 5.00."""
    changed = {
        "Suppliers": "Supplier | Lead days | Delivery days | Minimum order | Delivery fee\nshop | 9 | Mon | 4 | 5",
        "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price | Keeps\n"
        "shop | bean mix | 200 | g | 2.00 | {}",
    }
    programme, plan = planned({**changed, "Packs": changed["Packs"].format(30)})
    assert [(order.order, order.urgent, order.below_minimum) for order in plan.orders] == [
        ("shop-20270111", True, True), ("shop-20270118", False, True),
    ]  # fmt: skip
    first, last = plan.forwards
    assert (first.later, first.foods, first.goods, first.saves, first.enough) == (
        "shop-20270118", ("bean mix",), 200, 500, True,
    )  # fmt: skip
    assert forward_words(first, programme) == (
        "bring forward bean mix ($2.00 of goods) from shop-20270118, which is then enough and saves $5.00 of delivery"
    )
    assert forward_words(last, programme).startswith("nothing can be brought forward: no later order")
    for keeps, foods in ((7, ("bean mix",)), (6, ())):
        _, plan = planned({**changed, "Packs": changed["Packs"].format(keeps)})
        assert plan.forwards[0].foods == foods, "needed through 18 January, a week after the first delivery"
    programme, plan = planned({**changed, "Packs": changed["Packs"].format(3)})
    assert forward_words(plan.forwards[0], programme).startswith("nothing of shop-20270118")


def test_what_comes_forward_is_of_the_next_order_not_of_a_later_one() -> None:
    """Greens keep 3 days and are packed every week; bean mix keeps, and is packed on 18 January only."""
    _, plan = planned(
        {
            "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-11 | salad\n"
            "w3 | g1 | @2027-01-18 | salad; stew\nw4 | g1 | @2027-01-25 | salad",
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g\n"
            "salad | 4 | greens | 100 | g",
            "Ingredients": "Ingredient | Storage | Contains\nbean mix | shelf | none\ngreens | chill | none",
            "Suppliers": "Supplier | Lead days | Delivery days | Minimum order | Delivery fee\nshop | 9 | Mon | 6 | 5",
            "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price | Keeps\n"
            "shop | bean mix | 200 | g | 3.00 | 30\nshop | greens | 200 | g | 2.00 | 3",
        }
    )
    assert [(order.order, order.goods) for order in plan.orders] == [
        ("shop-20270111", 200), ("shop-20270118", 500), ("shop-20270125", 200),
    ]  # fmt: skip
    first, second, last = plan.forwards
    assert (first.later, first.foods, first.goods, first.saves) == ("shop-20270118", ("bean mix",), 300, 0)
    assert (first.enough, first.rest_too_small) == (False, True)  # 2.00 + 3.00 and 2.00 are both below 6.00
    assert (second.later, second.foods) == ("shop-20270125", ())
    assert (last.later, last.foods) == ("", ())


def test_only_sessions_that_a_row_is_for_say_how_long_it_must_keep() -> None:
    """Bean mix of the 18th keeps 10 days, so from the 11th on to the 21st; what 1 February needs comes on the 25th."""
    _, plan = planned(
        {
            "Sessions": "Session | Group | Date | Recipes\nw2 | g1 | @2027-01-11 | salad\n"
            "w3 | g1 | @2027-01-18 | salad; stew\nw4 | g1 | @2027-01-25 | salad\nw5 | g1 | @2027-02-01 | stew",
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g\n"
            "salad | 4 | greens | 100 | g",
            "Ingredients": "Ingredient | Storage | Contains\nbean mix | shelf | none\ngreens | chill | none",
            "Suppliers": "Supplier | Lead days | Delivery days | Minimum order | Delivery fee\nshop | 9 | Mon | 6 | 5",
            "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price | Keeps\n"
            "shop | bean mix | 200 | g | 3.00 | 10\nshop | greens | 200 | g | 2.00 | 3",
        }
    )
    beans = [(row.order, [session for session, _ in row.used]) for row in plan.purchases if row.food == "bean mix"]
    assert beans == [("shop-20270118", ["w3"]), ("shop-20270125", ["w5"])]
    assert (plan.forwards[0].later, plan.forwards[0].foods) == ("shop-20270118", ("bean mix",))


@pytest.mark.parametrize(
    ("forward", "words"),
    [
        (Forward("a"), "nothing can be brought forward: no later order goes to this supplier"),
        (
            Forward("a", "b"),
            "nothing of b, the next order, can be brought forward: it would not keep, or costs more",
        ),
        (
            Forward("a", "b", ("rice", "beans"), Money(250), Money(1), enough=True, rest_too_small=False),
            "bring forward rice, beans ($2.50 of goods) from b, which is then enough and saves $0.01 of delivery",
        ),
        (
            Forward("a", "b", ("rice",), Money(250), Money(0), enough=False, rest_too_small=True),
            "bring forward rice ($2.50 of goods) from b, which is still not enough; "
            "what is left of it is then below the minimum itself",
        ),
    ],
)
def test_what_could_come_forward_in_words(forward: Forward, words: str) -> None:
    assert forward_words(forward, programme_of()) == words


def test_nothing_comes_forward_at_a_price_that_does_not_hold_yet() -> None:
    """Lead of 9 open days: Monday 18 January is to be ordered by Tuesday 5, from which day on its pack is sold; what
    comes on the 11th should have been ordered before."""
    _, plan = planned(
        {
            "Suppliers": "Supplier | Lead days | Delivery days | Minimum order | Delivery fee\nshop | 9 | Mon | 4 | 5",
            "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Keeps | From | Until\n"
            "shop | bean mix | old | 200 | g | 2.00 | 30 | | @2027-01-04\n"
            "shop | bean mix | new | 200 | g | 1.00 | 30 | @2027-01-05 |",
        }
    )
    assert [(row.order, row.item) for row in plan.purchases] == [("shop-20270111", "old"), ("shop-20270118", "new")]
    assert [(each.later, each.foods) for each in plan.forwards] == [("shop-20270118", ()), ("", ())]
