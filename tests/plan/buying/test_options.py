"""One food: the cheapest way at prices of deliveries, and every way below a cost."""

import dataclasses
import datetime as dt
from fractions import Fraction
from itertools import product

from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.buying.food_buying import FoodBuying
from opsreport.plan.buying.market import Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.options import WHOLE, FoodOptions, Prices, Way, learn
from opsreport.plan.model import NeedOf

MONDAY = dt.date(2027, 1, 4)
D = dt.date.fromisoformat
NONE = Prices({}, {})


def options(
    packs: str, *needs: tuple[str, int], keeps: str = "30", keeps_open: str = "", suppliers: str = ""
) -> FoodOptions:  # fmt: skip
    """Pearl onions for needs (packing day, grams) good two days longer; shop comes on Mondays, farm on Thursdays.
    suppliers: more of them."""
    rows, _ = read(
        term(
            {
                "Ingredients": f"Ingredient | State | Keeps | Keeps open\npearl onion | dry | {keeps} | {keeps_open}",
                "Suppliers": "Supplier | Lead days | Delivery days\nshop | 1 | Mon\nfarm | 1 | Thu" + suppliers,
                "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Sold by | Minimum | Keeps\n"
                + packs,
            }
        ),
        MONDAY,
    )
    market = Market(build_programme(rows, MONDAY))
    wanted = [
        NeedOf("pearl onion", f"s{number}", D(day), D(day) + dt.timedelta(days=2), Fraction(grams), "g")
        for number, (day, grams) in enumerate(needs)
    ]
    return FoodOptions(market, "pearl onion", [Open(need, need.amount) for need in wanted])


BAG = "shop | pearl onion | B | 500 | g | 3.00"
NET = "farm | pearl onion | N | 400 | g | 2.00"
NEEDS = (("2027-01-12", 300), ("2027-01-19", 700))


def test_a_delivery_with_a_price_is_used_for_two_needs() -> None:
    food = options(BAG, *NEEDS)
    way = food.cheapest()
    assert way is not None
    assert [day.isoformat() for (_, day), _ in way.goods] == ["2027-01-11", "2027-01-18"]
    each = Prices(dict.fromkeys(food.deliveries, 50 * WHOLE), {})
    joined = food.cheapest(prices=each)
    assert joined is not None
    assert [(day.isoformat(), cost) for (_, day), cost in joined.goods] == [("2027-01-11", 600)]
    assert joined.bound == food.at_prices(joined, each) == 650 * WHOLE


def test_a_grant_draws_goods_to_a_delivery() -> None:
    food = options(f"{BAG}\n{NET}", ("2027-01-12", 400))
    cheap, drawn = food.cheapest(), food.cheapest(prices=Prices({}, {("shop", D("2027-01-11")): WHOLE // 2}))
    assert cheap is not None
    assert drawn is not None
    assert [name for (name, _), _ in cheap.goods] == ["farm"]
    assert [name for (name, _), _ in drawn.goods] == ["shop"]


def test_no_way_without_the_only_delivery_in_time() -> None:
    food = options(BAG, ("2027-01-12", 300), keeps="3")
    assert food.cheapest(frozenset({("shop", D("2027-01-11"))})) is None


def test_parts_of_a_plan_that_spoil_each_other_are_looked_for_longer() -> None:
    """Hundreds of packs, opened ones good for three days: each part's own packs are opened for another part."""
    food = options(
        "shop | pearl onion | C | 4932 | g | 10.95\nshop | pearl onion | D | 9864 | g | 20.40\n"
        "farm | pearl onion | T | 411 | g | 1.19",
        ("2027-01-12", 184_950), ("2027-01-19", 89_598), ("2027-01-20", 125_766), keeps="500", keeps_open="3",
    )  # fmt: skip
    way = food.cheapest(most_steps=2_000)
    assert way is not None
    assert food.covers(way.packs)


LATE = "\nlate | 5 | Tue; Fri"
"""Of its deliveries only that on Tuesday 5 January is before the needs of that week; it is past its order-by day."""


def test_packs_of_one_urgent_delivery_are_used_for_the_needs_that_they_were_bought_for() -> None:
    """Opened ones keep for the day. Cheapest for 4, 8 and 8 are two of 2, and twice one of 6 and one of 2. Whichever
    size is used up first is used up too soon; used need by need they do."""
    food = options(
        "late | pearl onion | S | 6 | g | 12.16\nlate | pearl onion | T | 2 | g | 6.00",
        ("2027-01-06", 4), ("2027-01-07", 8), ("2027-01-08", 8), keeps_open="1", suppliers=LATE,
    )  # fmt: skip
    assert {option.delivery for option in food.options} == {("late", D("2027-01-05"))}
    way = food.cheapest()
    assert way is not None
    assert way.cost == way.bound == 2 * 1216 + 4 * 600
    bunches = food.bunches(way.packs)
    assert bunches is not None
    assert [(bunch.offer.item, bunch.packs) for bunch in bunches] == [("T", 2), ("T", 1), ("S", 1), ("T", 1), ("S", 1)]
    rows = FoodBuying(food, way).purchases()
    assert [(row.item, row.packs, row.used, row.turns) for row in rows] == [
        ("T", 4, (("s0", 4), ("s1", 2), ("s2", 2)), ((0, 2), (1, 1), (3, 1))),
        ("S", 2, (("s1", 6), ("s2", 6)), ((2, 1), (4, 1))),
    ]
    at_prices = food.cheapest(prices=NONE)
    assert at_prices is not None
    assert food.covers(at_prices.packs)


def test_packs_of_one_urgent_delivery_that_go_bad_sooner_are_used_first_all_the_same() -> None:
    """Need by need 4 and 8 are one S and one L; but L goes bad sooner, so half of it would be lost on the first."""
    food = options(
        "late | pearl onion | S | 4 | g | 1.00 | | | 20\nlate | pearl onion | L | 8 | g | 1.50 | | | 10",
        ("2027-01-06", 4), ("2027-01-07", 8), keeps_open="1", suppliers=LATE,
    )  # fmt: skip
    way = food.cheapest()
    assert way is not None
    assert way.bound == 100 + 150 < way.cost
    assert food.covers(way.packs)
    assert not food.has_spare(way.packs)


def test_no_pack_is_bought_in_urgency_to_spare_another_for_what_can_be_had_in_time() -> None:
    """V for 6 January keeps only days. With it, B would do for the 19th, for which shop comes in time."""
    food = options(
        "late | pearl onion | B | 10 | g | 1.20 | | |\nlate | pearl onion | V | 10 | g | 1.30 | | | 4\n"
        "shop | pearl onion | R | 10 | g | 9.00 | | |",
        ("2027-01-06", 4), ("2027-01-19", 8), keeps_open="1", suppliers="\nlate | 20 | Tue",
    )  # fmt: skip
    way = food.cheapest()
    assert way is not None
    assert [(food.options[number].offer.item, count) for number, count in way.packs] == [("B", 1), ("R", 1)]


def test_no_way_without_the_only_pack() -> None:
    food = options(BAG, ("2027-01-12", 300))
    assert food.cheapest(without=frozenset({food.options[0].pack})) is None


def test_every_way_is_what_trying_all_finds() -> None:
    """Every number of packs of every option: of those that cover and cost at most 18.00, the least cost for each sum of
    goods at deliveries, goods above 4.00 at one of them not told apart."""
    food = options(f"{BAG}\n{NET} | 2", *NEEDS)
    watched = dict.fromkeys(sorted(food.deliveries), 10_000) | {("shop", D("2027-01-18")): 400}
    found = food.every_way(NONE, 1800 * WHOLE, 100_000, frozenset(), watched, spare=True)
    assert found is not None
    tried: dict[tuple[int, ...], int] = {}
    for counts in product(range(5), repeat=len(food.options)):
        packs = tuple((number, count) for number, count in enumerate(counts) if count)
        if any(count % food.options[number].offer.sold_by for number, count in packs):
            continue
        costs = {number: count * food.options[number].offer.price for number, count in packs}
        cost = sum(costs.values())
        if cost <= 1800 and food.covers(packs):
            sums = tuple(
                min(sum(costs[n] for n in costs if food.options[n].delivery == delivery), most)
                for delivery, most in watched.items()
            )
            tried[sums] = min(tried.get(sums, cost), cost)
    listed = {sums: way.cost for sums, way in found[0]}
    assert all(tried[sums] == cost for sums, cost in listed.items())
    assert len(listed) > 5
    spare = {sums: cost for sums, cost in tried.items() if sums not in listed}
    assert all(
        any(cost > its and all(a >= b for a, b in zip(sums, less, strict=True)) for less, its in listed.items())
        for sums, cost in spare.items()
    ), "only what buys more than enough is left out"


def test_a_closed_delivery_is_in_no_way() -> None:
    food = options(BAG, *NEEDS)
    closed = frozenset({("shop", D("2027-01-18"))})
    found = food.every_way(NONE, 10_000 * WHOLE, 1_000, closed, {}, spare=True)
    assert found is not None
    assert [(way.goods, way.bound) for _, way in found[0]] == [
        (((("shop", D("2027-01-11")), 600),), 600 * WHOLE)
    ]  # fmt: skip


def test_listing_is_given_up_beyond_its_steps() -> None:
    assert options(BAG, *NEEDS).every_way(NONE, 10_000 * WHOLE, 3, frozenset(), {}, spare=True) is None


def test_every_way_that_costs_as_much_as_is_asked_for_but_none_that_costs_more() -> None:
    food = options(BAG, *NEEDS)
    for most, found in ((600 * WHOLE, [600]), (600 * WHOLE - 1, [])):
        listed = food.every_way(NONE, most, 1_000, frozenset(), {}, spare=True)
        assert listed is not None
        assert [way.cost for _, way in listed[0]] == found


def test_a_pack_that_is_good_through_the_very_day_it_is_needed_to_will_do() -> None:
    """Comes on Monday 11 and keeps for 3 days: for a packing on Tuesday 12 that is used until Thursday 14."""
    food = options(BAG, ("2027-01-12", 300), keeps="3")
    assert {option.arrives for option in food.options} == {D("2027-01-11")}
    assert food.cheapest() is not None
    assert options(BAG, ("2027-01-12", 300), keeps="2").options == []


def test_a_purchase_that_could_be_left_out_or_be_a_step_smaller() -> None:
    """300 g and 700 g: two bags of 500 g are needed, three are not; of nets sold by two, three steps of 800 g are not.
    A bag beside two nets is one too many only if the nets come first."""
    food = options(f"{BAG}\n{NET} | 2", *NEEDS)
    number = {(each.offer.item, each.arrives.isoformat()): at for at, each in enumerate(food.options)}
    early_bag, late_bag = number["B", "2027-01-11"], number["B", "2027-01-18"]
    early_net, late_net = number["N", "2027-01-07"], number["N", "2027-01-14"]
    spare = {
        packs: food.has_spare(packs)
        for packs in (
            ((early_bag, 2),), ((early_bag, 3),), ((early_bag, 1), (late_bag, 1)), ((early_bag, 1), (late_bag, 2)),
            ((early_bag, 2), (late_bag, 1)), ((early_net, 4),), ((early_net, 6),), ((early_net, 2), (early_bag, 1)),
            ((early_bag, 1), (late_net, 2)), ((early_bag, 2), (late_net, 2)), ((early_net, 2), (late_net, 2)),
        )
    }  # fmt: skip
    assert [packs for packs, its in spare.items() if its] == [
        ((early_bag, 3),), ((early_bag, 1), (late_bag, 2)), ((early_bag, 2), (late_bag, 1)), ((early_net, 6),),
        ((early_bag, 2), (late_net, 2)),
    ]  # fmt: skip


def test_a_way_is_learnt_once_for_its_goods_with_what_stands_in_for_it() -> None:
    """The work: of each way that is new its steps and one; a known one costs none."""
    day, ties = ("shop", D("2027-01-11")), (Fraction(0), 0, 0, 0)
    one, other = (Way((), ((day, cost),), cost, ties, 0, steps) for cost, steps in ((300, 0), (400, 7)))
    known: list[Way] = []
    assert [learn(known, one), learn(known, one), learn(known, other)] == [1, 0, 8]
    assert known == [one, other]
    third = dataclasses.replace(one, goods=((day, 500),), steps=2, in_order=False, instead=other)
    fresh: list[Way] = []
    assert [learn(fresh, third), learn(fresh, third), learn(known, third)] == [3 + 8, 0, 3]
    assert fresh == [other, third]


def test_a_purchase_to_spare_is_found_beside_one_that_is_not() -> None:
    """What comes on the 11th keeps for 7 days, so not until the 21st: of two bags then one is enough for 300 g, while
    both of the 18th are needed for 700 g."""
    food = options(BAG, *NEEDS, keeps="7")
    number = {each.arrives.isoformat(): at for at, each in enumerate(food.options)}
    early, late = number["2027-01-11"], number["2027-01-18"]
    assert food.has_spare(((early, 2), (late, 2)))
    assert not food.has_spare(((early, 1), (late, 2)))


def test_the_smallest_purchase_is_the_minimum_in_whole_sales() -> None:
    sold = {"1 |": 1, "3 |": 3, "1 | 5": 5, "2 | 5": 6, "2 | 4": 4, "3 | 2": 3}
    for terms, least in sold.items():
        (option,) = options(f"{BAG} | {terms}", ("2027-01-12", 300)).options
        assert option.least == least


def test_dearer_packs_bring_goods_to_a_delivery_with_none_to_spare() -> None:
    food = options(f"{BAG}\nshop | pearl onion | C | 250 | g | 2.00", ("2027-01-12", 1000))
    way, monday = food.cheapest(), ("shop", D("2027-01-11"))
    assert way is not None
    assert way.cost == 600
    for least, cost in ((601, 700), (700, 700), (701, 800), (800, 800)):
        dearer = food.with_goods(way, monday, least)
        assert dearer is not None
        assert dict(dearer.goods)[monday] == dearer.cost == cost
        assert not food.has_spare(dearer.packs)
    assert food.with_goods(way, monday, 801) is None
    assert food.with_goods(way, ("shop", D("2027-01-04")), 1) is None


def test_no_small_pack_is_bought_in_urgency_beside_one_that_does_without_it() -> None:
    """One pail does for 6 January. What a cup beside it leaves over would spare R on the 19th, for which shop comes in
    time."""
    food = options(
        "late | pearl onion | cup | 5 | g | 0.10\nlate | pearl onion | pail | 24 | g | 1.00\n"
        "shop | pearl onion | R | 4 | g | 9.00",
        ("2027-01-06", 20), ("2027-01-19", 8), suppliers="\nlate | 20 | Tue",
    )  # fmt: skip
    for way in (food.cheapest(), food.cheapest(prices=NONE)):
        assert way is not None
        assert {food.options[number].offer.item: count for number, count in way.packs} == {"pail": 1, "R": 1}
