"""One food's plan gone through again with more, with less, and with fewer packs."""

from fractions import Fraction

from plan.food_support import planned

from opsreport.plan.explaining.replay import Replay, most_that, replays

F = Fraction


def replay(sheets: dict[str, str] | None = None) -> Replay:
    return replays(*planned(sheets))["bean mix"]


def test_what_is_planned_is_covered_and_what_is_left_is_counted() -> None:
    """400 g in two packs of 250 g: 100 g are left."""
    assert replay().left == 100
    assert replay().covers({})


def test_more_is_covered_up_to_what_is_left() -> None:
    assert replay().covers({"w3": F(100)})
    assert replay().covers({"w2": F(50)})
    assert not replay().covers({"w2": F(51)})  # the second pack comes a week later
    assert not replay().covers({"w3": F(100) + F(1, 10**9)})


def test_what_comes_too_late_does_not_serve_an_earlier_session() -> None:
    """The second session's packs come by themselves a week later, since the food keeps only three days."""
    again = replay({"Ingredients": "Ingredient | Storage | Contains | Keeps\nbean mix | chill | none | 3"})
    assert [row.arrives.isoformat() for row in again.purchases] == ["2027-01-11", "2027-01-18"]
    assert again.covers({"w2": F(50)})
    assert not again.covers({"w2": F(51)})


def test_fewer_packs_are_enough_where_less_is_needed() -> None:
    again = replay()
    assert sum(row.packs for row in again.purchases) == 2
    assert [row.arrives.isoformat() for row in again.purchases] == ["2027-01-11", "2027-01-18"]
    assert not again.covers({}, {1: 1})
    assert again.covers({"w2": F(-100), "w3": F(-50)}, {1: 1})
    assert not again.covers({"w2": F(-100), "w3": F(-50)}, {0: 1})  # the later pack comes too late for w2


def test_packs_of_one_row_that_have_several_turns_are_left_off_from_the_last() -> None:
    """Opened cans keep for the day. One urgent delivery brings 4 g for Wednesday (2 + 2), 8 g for Thursday and 8 g for
    Friday (6 + 2 each); without Friday's session its can of either size can go."""
    days = ("w1 | g1 | @2027-01-06 | dip", "w2 | g1 | @2027-01-07 | stew", "w3 | g1 | @2027-01-08 | stew")
    again = replay(
        {
            "Sessions": "Session | Group | Date | Recipes\n" + "\n".join(days),
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\ndip | 4 | bean mix | 2 | g\n"
                       "stew | 4 | bean mix | 4 | g",
            "Ingredients": "Ingredient | Storage | Contains | Keeps open\nbean mix | shelf | none | 1",
            "Suppliers": "Supplier | Lead days | Delivery days\nshop | 5 | Tue; Fri",
            "Packs": "Supplier | Ingredient | Item | Pack amount | Pack unit | Price\n"
                     "shop | bean mix | large | 6 | g | 12.16\nshop | bean mix | small | 2 | g | 6.00",
        }
    )  # fmt: skip
    assert [(row.item, row.packs) for row in again.purchases] == [("small", 4), ("large", 2)]
    assert again.covers({})
    assert again.covers({"w3": F(-8)}, {0: 1, 1: 1})
    assert not again.covers({"w2": F(-8)}, {0: 1, 1: 2})
    assert not again.covers({"w3": F(-8)}, {0: 2, 1: 1})


def test_what_was_short_before_may_stay_short_but_not_get_shorter() -> None:
    again = replay({"Sessions": "Session | Group | Date | Recipes\nw1 | g1 | @2027-01-04 | stew"})
    assert again.covers({})
    assert again.covers({"w1": F(-10)})
    assert not again.covers({"w1": F(1)})


def test_looking_twice_gives_the_same() -> None:
    again = replay({"Stock": "Ingredient | Amount | Unit | Opened\nbean mix | 90 | g | @2027-01-03"})
    assert [again.covers({"w3": F(90)}) for _ in range(3)] == [again.covers({"w3": F(90)})] * 3


def test_the_most_that_fits_takes_few_looks() -> None:
    for limit in range(12):
        assert most_that(lambda number, limit=limit: number <= limit, 9) == min(limit, 9)
    looked: list[int] = []
    assert most_that(lambda number: not looked.append(number) and number <= 777_777, 10**9) == 777_777
    assert len(looked) < 40
    assert most_that(lambda _number: True, -3) == 0
