"""The shelf over the weeks: first expired first out, and what an opened pack has left."""

import datetime as dt
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st

from opsreport.plan.buying.shelf import FOREVER, Holding, Rest, use

F = Fraction
START = dt.date(2027, 1, 4)


def day(number: int) -> dt.date:
    """Day 1 is Mon 4 Jan 2027."""
    return START + dt.timedelta(days=number - 1)


def holding(
    name: str, through: int | None, sealed: str = "1", size: str = "100", keeps_open: int | None = None, there: int = 1,
    rests: tuple[tuple[int, str], ...] = (),
) -> Holding:  # fmt: skip
    last = FOREVER if through is None else day(through)
    opened = [Rest(day(number), F(amount)) for number, amount in rests]
    return Holding(name, day(there), last, keeps_open, F(size), F(sealed), opened)


def taken(
    holdings: list[Holding], amount: str, on: int, use_by: int | None = None, **given: bool
) -> list[tuple[str, str]]:
    found = use(holdings, F(amount), day(on), day(use_by or on), **given)
    return [(holding.name, str(part)) for holding, part in found]


def test_the_earliest_expiry_leaves_first_whatever_arrived_first() -> None:
    """Definition: WHO good distribution practices, Annex 5. X expires on day 3, Y on day 10."""
    x, y = holding("X", 3, there=2), holding("Y", 10)
    assert taken([y, x], "80", 2) == [("X", "80")]
    assert taken([y, x], "80", 5) == [("Y", "80")]
    assert (x.left, y.left) == (20, 20)


def test_first_in_first_out_would_answer_otherwise() -> None:
    """Neither the day of arrival nor the name decides: the one that expires first leaves, though it came last."""
    x, y = holding("A arrived last", 3, there=2), holding("B arrived first", 10, there=1)
    assert taken([x, y], "80", 2)[0][0] == "A arrived last"
    names_turned = [holding("B arrived last", 3, there=2), holding("A arrived first", 10, there=1)]
    assert taken(names_turned, "80", 2) == [("B arrived last", "80")]


def test_a_lot_is_good_through_its_day_and_no_longer() -> None:
    assert taken([holding("X", 5)], "10", 2, 5) == [("X", "10")]
    assert taken([holding("X", 4)], "10", 2, 5) == []


def test_what_is_not_there_yet_is_not_used() -> None:
    assert taken([holding("X", 9, there=3)], "10", 2) == []
    assert taken([holding("X", 9, there=3)], "10", 3) == [("X", "10")]


def test_undated_food_is_used_last() -> None:
    lots = [holding("undated", None), holding("dated", 30)]
    assert taken(lots, "150", 2) == [("dated", "100"), ("undated", "50")]


def test_opened_before_sealed_at_equal_date_then_by_name() -> None:
    lots = [
        holding("b", 9), holding("c", 9, sealed="0", rests=((1, "30"),)), holding("a", 9),
        holding("d", 8),
    ]  # fmt: skip
    assert taken(lots, "260", 2) == [("d", "100"), ("c", "30"), ("a", "100"), ("b", "30")]


def test_as_listed_keeps_the_order_of_the_holdings() -> None:
    lots = [holding("late", 30), holding("soon", 9)]
    assert taken(lots, "120", 2, as_listed=True) == [("late", "100"), ("soon", "20")]


def test_no_more_is_taken_than_asked_and_no_more_than_is_there() -> None:
    lot = holding("X", 9, sealed="3", size="40")
    assert taken([lot], "50", 2) == [("X", "50")]
    assert (lot.sealed, [rest.amount for rest in lot.rests], lot.left) == (1, [30], 70)
    assert taken([lot], "999", 2) == [("X", "70")]
    assert lot.left == 0
    assert lot.rests == []


def test_a_pack_opened_to_the_last_leaves_no_rest() -> None:
    lot = holding("X", 9, sealed="2", size="40")
    taken([lot], "40", 2)
    assert (lot.sealed, lot.rests) == (1, [])


def test_a_rest_is_limited_from_the_day_after_opening() -> None:
    """Keeps open 3: opened on day 2, the rest is good through day 4 (the day of opening is day 1)."""

    def rest(on: int, use_by: int) -> list[tuple[str, str]]:
        lot = holding("X", 30, keeps_open=3)
        taken([lot], "40", 2)
        return taken([lot], "10", on, use_by)

    assert rest(4, 4) == [("X", "10")]
    assert rest(3, 4) == [("X", "10")]
    assert rest(3, 5) == []
    assert rest(5, 5) == []


def test_on_the_day_of_opening_the_pack_is_as_good_as_sealed() -> None:
    lot = holding("X", 30, keeps_open=3)
    assert taken([lot], "40", 2, 20) == [("X", "40")]
    assert taken([lot], "40", 2, 20) == [("X", "40")]


def test_opening_never_makes_a_pack_keep_longer() -> None:
    lot = holding("X", 4, keeps_open=30)
    taken([lot], "40", 2)
    assert taken([lot], "40", 3, 5) == []
    assert taken([lot], "40", 3, 4) == [("X", "40")]


def test_sealed_packs_of_a_lot_outlast_its_rest() -> None:
    lot = holding("X", 30, sealed="2", keeps_open=2)
    taken([lot], "40", 2)
    assert taken([lot], "50", 9, 9) == [("X", "50")]
    assert (lot.sealed, [rest.amount for rest in lot.rests]) == (0, [60, 50])  # the spoilt rest, and a new one


def test_the_part_of_a_pack_received_is_a_part_of_one() -> None:
    lot = holding("X", None, sealed="5/2", size="40")
    assert lot.left == 100
    assert taken([lot], "100", 2) == [("X", "100")]
    assert lot.left == 0


LOTS = st.lists(
    st.tuples(st.integers(1, 12), st.fractions(0, 3, max_denominator=2), st.sampled_from([30, 100]), st.integers(1, 6)),
    min_size=1, max_size=4,
)  # fmt: skip
NEEDS = st.lists(st.tuples(st.integers(1, 12), st.integers(0, 3), st.fractions(1, 150, max_denominator=4)), max_size=5)


@settings(max_examples=60, deadline=None)
@given(LOTS, NEEDS)
def test_nothing_is_made_and_nothing_is_lost(
    lots: list[tuple[int, Fraction, int, int]], needs: list[tuple[int, int, Fraction]]
) -> None:  # fmt: skip
    shelf = [
        holding(f"{number}", through, str(sealed), str(size), keeps_open)
        for number, (through, sealed, size, keeps_open) in enumerate(lots)
    ]
    before = sum(one.left for one in shelf)
    used = F(0)
    for on, margin, amount in sorted(needs):
        there = sum(one.left for one in shelf if one.sealed_through >= day(on + margin))
        parts = use(shelf, amount, day(on), day(on + margin))
        took = sum((part for _, part in parts), F(0))
        assert took <= min(amount, there)
        assert all(part > 0 and one.sealed_through >= day(on + margin) for one, part in parts)
        assert len({id(one) for one, _ in parts}) == len(parts)
        used += took
    assert before - used == sum(one.left for one in shelf)
