"""Orders beside what is ordered already, and what could come earlier with an order that is too small."""

from plan.food_support import planned

from opsreport.plan.buying.additions import forward_words

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
        "a | shop | rice | 1 | 250 | g | @2027-01-25 | 4.00",
        "b | mill | rice | 1 | 250 | g | @2027-01-11 | 4.00",
    )
    assert planned(ordered(*rows))[1].additions == ()


def test_the_minimum_counts_with_what_is_ordered_for_the_same_delivery() -> None:
    """Rice worth 3 x 4.00 is placed, bean mix for 4.00 comes on the same day: 16.00, or 8.00 with one pack of rice."""
    row = "PO 7 | shop | rice | {} | 250 | g | @2027-01-11 | 4.00"
    _, enough = planned(ordered(row.format(3), minimum=14))
    assert [each.below_minimum for each in enough.orders] == [False]
    assert enough.forwards == ()
    _, too_few = planned(ordered(row.format(1), minimum=14))
    assert [each.below_minimum for each in too_few.orders] == [True]
    assert [each.order for each in too_few.forwards] == ["shop-20270111"]


def test_the_order_placed_pays_the_delivery_of_what_is_added() -> None:
    """Both weeks at once, as without the order placed; 5.00 less. The plan's cost is that of its orders."""
    _, plan = planned(ordered("PO 7 | shop | rice | 3 | 250 | g | @2027-01-11 | 4.00"))
    assert [(order.goods, order.fee, order.total) for order in plan.orders] == [(400, 0, 400)]
    assert plan.buying.cost == plan.buying.lower_bound == 400
    assert sum(plan.costs.sessions.values()) == 400
    assert plan.budget.committed == 1200 + 500


def test_a_delivery_that_is_paid_already_is_chosen_before_one_that_is_not() -> None:
    """Food for the 18th comes on the 11th, with what is placed, though it could come fresher on the 18th for 5.00."""
    rows = [
        "w2 | g1 | @2027-01-11 | stew", "w3 | g1 | @2027-01-18 | stew",
    ]  # fmt: skip
    for due in ("2027-01-11", "2027-01-18"):
        sheets = ordered(f"PO 7 | shop | rice | 3 | 250 | g | @{due} | 4.00")
        sheets["Sessions"] = "\n".join(["Session | Group | Date | Recipes", rows[1]])
        _, plan = planned(sheets)
        assert [(order.arrives.isoformat(), order.fee) for order in plan.orders] == [(due, 0)]


def test_a_delivery_placed_twice_is_paid_once() -> None:
    rows = [f"{name} | shop | rice | 1 | 250 | g | @2027-01-11 | 4.00" for name in ("PO 7", "PO 8")]
    assert planned(ordered(*rows))[1].budget.committed == 800 + 500
    apart = [rows[0], rows[1].replace("2027-01-11", "2027-01-18")]
    assert planned(ordered(*apart))[1].budget.committed == 800 + 1000


def test_free_delivery_of_both_together_is_told_and_not_counted() -> None:
    """12.00 are placed, 4.00 more make delivery free from 15.00: what was charged for the first is to be asked back."""
    sheets = ordered("PO 7 | shop | rice | 3 | 250 | g | @2027-01-11 | 4.00")
    sheets["Suppliers"] = (
        "Supplier | Lead days | Delivery days | Delivery fee | Free delivery from\nshop | 1 | Mon | 5 | 15"
    )
    _, plan = planned(sheets)
    assert [order.fee for order in plan.orders] == [0]
    assert plan.additions[0].fee_saved == 1000
    assert plan.budget.committed == 1200 + 500


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
    programme, plan = planned({**changed, "Packs": changed["Packs"].format(3)})
    assert forward_words(plan.forwards[0], programme).startswith("nothing of shop-20270118")
