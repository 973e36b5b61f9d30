"""A recount against trying every choice of households, spare and demo kits."""

import datetime as dt
import itertools
from collections.abc import Iterator
from fractions import Fraction
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.needs.amounts import plan_sessions
from opsreport.plan.needs.kits import kits_of_sessions
from opsreport.plan.packing.filling import Filled, Limit, fill
from opsreport.plan.packing.recount import Claim, Counted, KitSort, Recount, allocated, limits_of, recount

DAY = dt.date(2027, 3, 3)
FOODS = ("flour", "milk", "beans")


def later(days: int) -> dt.date:
    return DAY + dt.timedelta(days=days)


@st.composite
def days(draw: st.DrawFn) -> tuple[list[KitSort], list[Counted]]:
    sorts = []
    for number in range(draw(st.integers(1, 3))):
        has_swaps = draw(st.booleans())
        on = later(draw(st.integers(1, 2)))
        claims = [
            Claim(
                has_swaps, draw(st.booleans()), later(-draw(st.integers(0, 1))), on, f"S{number}", f"h{number}{place}"
            )
            for place in range(draw(st.integers(0, 3)))
        ]
        takes = {
            food: draw(st.fractions(min_value=Fraction(1, 3), max_value=3, max_denominator=3))
            for food in draw(st.sets(st.sampled_from(FOODS), min_size=1))
        }
        extra = (0, 0) if has_swaps else (draw(st.integers(0, 1)), draw(st.integers(0, 1)))
        ranked = tuple(sorted(claims, key=lambda claim: claim.precedence))
        sorts.append(KitSort(f"S{number}-A", f"S{number}", on, takes, ranked, *extra, has_swaps))
    counted = draw(
        st.lists(
            st.builds(
                Counted,
                st.sampled_from(FOODS),
                st.fractions(min_value=0, max_value=7, max_denominator=3),
                st.sampled_from((None, later(0), later(1), later(2))),
            ),
            max_size=4,
        )
    )
    return sorts, counted


def can_be_handed_out(sorts: list[KitSort], kits: list[int], counted: list[Counted]) -> bool:
    """Lots handed to one kit after the other, those that need it good longest first."""
    lots = [[each.food, each.good_through or dt.date.max, each.amount] for each in counted]
    known = {each.food for each in counted}
    order = sorted(range(len(sorts)), key=lambda place: sorts[place].use_by, reverse=True)
    for place in order:
        for food, amount in sorts[place].takes.items():
            wanted = amount * kits[place]
            for lot in lots:
                if lot[0] == food and lot[1] >= sorts[place].use_by:  # type: ignore[operator]
                    part = min(wanted, lot[2])  # type: ignore[type-var]
                    lot[2] -= part  # type: ignore[operator]
                    wanted -= part  # type: ignore[operator]
            if wanted and food in known:
                return False
    return True


def choices(sorts: list[KitSort], counted: list[Counted], swaps_first: bool) -> Iterator[tuple[object, ...]]:
    """Every choice that can be handed out, as what it is judged by: the greatest is the best."""
    queue = sorted((claim for sort in sorts for claim in sort.claims), key=lambda claim: claim.precedence)
    owner = {claim.holder: place for place, sort in enumerate(sorts) for claim in sort.claims}
    for picked in itertools.product((True, False), repeat=len(queue)):
        households = [0] * len(sorts)
        for claim, yes in zip(queue, picked, strict=True):
            households[owner[claim.holder]] += yes
        for spare in itertools.product(*(range(sort.spare + 1) for sort in sorts)):
            for demo in itertools.product(*(range(sort.demo + 1) for sort in sorts)):
                kits = [sum(each) for each in zip(households, spare, demo, strict=True)]
                if can_be_handed_out(sorts, kits, counted):
                    served = sum(picked)
                    swaps = sum(yes for claim, yes in zip(queue, picked, strict=True) if claim.has_swaps)
                    first = (swaps, served) if swaps_first else (served, swaps)
                    yield (*first, picked, sum(spare), spare, sum(demo), demo)


@settings(deadline=None, max_examples=150)
@given(days(), st.booleans())
def test_no_choice_is_better(day: tuple[list[KitSort], list[Counted]], swaps_first: bool) -> None:
    sorts, counted = day
    limits = [limit for _, _, limit in limits_of(sorts, counted)]
    (households, spare, demo), proven = allocated(sorts, limits, swaps_first=swaps_first)
    assert proven
    served = {claim.holder for sort, number in zip(sorts, households, strict=True) for claim in sort.claims[:number]}
    queue = sorted((claim for sort in sorts for claim in sort.claims), key=lambda claim: claim.precedence)
    picked = tuple(claim.holder in served for claim in queue)
    swaps = sum(claim.has_swaps for claim in queue if claim.holder in served)
    first = (swaps, len(served)) if swaps_first else (len(served), swaps)
    found = (*first, picked, sum(spare), tuple(spare), sum(demo), tuple(demo))
    assert found == max(choices(sorts, counted, swaps_first))


def test_spare_and_demo_kits_go_to_earlier_sorts_where_as_many_are_packed_either_way() -> None:
    """A kit of the earlier sort takes 2 of the food, one of the later sort 1."""
    large, small = ({"flour": Fraction(amount)} for amount in (2, 1))
    spare = [KitSort("S1-A", "S1", later(1), large, (), 2, 0), KitSort("S1-B", "S1", later(1), small, (), 1, 0)]
    demo = [KitSort("S1-A", "S1", later(1), large, (), 0, 2), KitSort("S1-B", "S1", later(1), small, (), 0, 1)]
    for food, kits in ((2, [1, 0]), (3, [1, 1]), (4, [2, 0]), (5, [2, 1])):
        limit = Limit((Fraction(2), Fraction(1)), Fraction(food))
        assert allocated(spare, [limit]) == (([0, 0], kits, [0, 0]), True)
        assert allocated(demo, [limit]) == (([0, 0], [0, 0], kits), True)


SHEETS = {
    "Settings": "Setting | Value\nSpare kits | 1",
    "Sessions": "Session | Group | Date | Recipes\nS1 | g1 | @2027-03-04 | bread",
    "Enrolment": (
        "Participant | Group | Household | Servings | Needs | Joined\n"
        "p1 | g1 | H-d | 8 | none | @2027-01-10\np2 | g1 | H-c | 4 | none | @2027-01-10\n"
        "p3 | g1 | H-b | 4 | none | @2027-01-03\np4 | g1 | H-a | 4 | dairy | @2027-02-01"
    ),
    "Recipes": (
        "Recipe | Servings | Ingredient | Amount | Unit | Scale\nbread | 4 | all-purpose flour | 300 | g |\n"
        "bread | | butter | 20 | g |\nbread | | lemon | 2 | | session"
    ),
    "Swaps": "Ingredient | Need | Use instead\nbutter | dairy | olive oil",
}  # fmt: skip


def day_of(*counted: tuple[str, int], pick_ups: str = "") -> Recount:
    more = {"Pick-ups": f"Session | Household | Kit\n{pick_ups}"} if pick_ups else {}
    rows, _ = read(term({**SHEETS, **more}), dt.date(2027, 3, 1))
    programme = build_programme(rows, dt.date(2027, 3, 1))
    sessions = plan_sessions(programme, kits_of_sessions(programme)[0])
    return recount(programme, DAY, sessions, [Counted(food, Fraction(amount)) for food, amount in counted])


def packed(found: Recount) -> list[tuple[str, int, int, int]]:
    return [(each.sort.code, each.households, each.spare, each.demo) for each in found.sorts]


def served(found: Recount) -> list[str]:
    return [claim.holder for each in found.sorts for claim in each.served]


def test_enough_of_everything_fills_every_kit() -> None:
    found = day_of(("all-purpose flour", 2100))
    assert packed(found) == [("S1-A", 2, 1, 1), ("S1-B", 1, 0, 0), ("S1-C", 1, 0, 0)]
    assert (found.packed, found.planned, found.foods_short) == (6, 6, ())
    assert found.uncounted == ("butter", "olive oil", "lemon")


def test_demo_kits_give_up_first_then_spare_ones() -> None:
    assert [each[1:] for each in packed(day_of(("all-purpose flour", 2099)))] == [(2, 1, 0), (1, 0, 0), (1, 0, 0)]
    assert [each[1:] for each in packed(day_of(("all-purpose flour", 1500)))] == [(2, 0, 0), (1, 0, 0), (1, 0, 0)]


def test_swaps_before_standard_then_the_longest_here() -> None:
    assert served(day_of(("all-purpose flour", 600))) == ["H-b", "H-a"]
    assert served(day_of(("all-purpose flour", 300))) == ["H-a"]


def test_who_went_short_before_comes_before_who_joined_earlier() -> None:
    found = day_of(("all-purpose flour", 600), pick_ups="S0 | H-c | short")
    assert served(found) == ["H-c", "H-a"]


def test_the_stopper_is_the_food_that_allows_fewest_full_kits() -> None:
    found = day_of(("all-purpose flour", 1000), ("butter", 45), ("olive oil", 100))
    first, second = found.foods_short
    assert (first.food, first.kits_possible, first.missing) == ("butter", 3, Fraction(75))
    assert (second.food, second.kits_possible, second.missing) == ("all-purpose flour", 3, Fraction(1100))
    assert [(each.alone, each.stopper) for each in found.sorts] == [(2, "butter"), (1, ""), (1, "")]


def test_of_foods_that_allow_as_many_kits_the_scarcest_stands_first() -> None:
    """Either is enough for 3 kits. 900 of 2,100 g of flour is 43%, 45 of 120 g of butter 38%, 55 g 46%."""
    for butter, first in ((45, "butter"), (55, "all-purpose flour")):
        found = day_of(("all-purpose flour", 900), ("butter", butter), ("olive oil", 100)).foods_short
        assert [each.kits_possible for each in found] == [3, 3]
        assert found[0].food == first


@settings(deadline=None, max_examples=60)
@given(st.integers(0, 2200), st.integers(0, 130), st.integers(0, 40))
def test_the_stopper_agrees_with_counting_every_choice_of_kits(flour: int, butter: int, oil: int) -> None:
    """For each food alone: the most full kits among all choices, and how much is missing for all of them."""
    there = {"all-purpose flour": flour, "butter": butter, "olive oil": oil}
    found = day_of(*there.items())
    sorts = [each.sort for each in found.sorts]
    short = {}
    for food, amount in there.items():
        needed = sum(sort.takes.get(food, 0) * sort.kits for sort in sorts)
        choices = itertools.product(*(range(sort.kits + 1) for sort in sorts))
        fits = [
            kits
            for kits in choices
            if sum(sort.takes.get(food, 0) * n for sort, n in zip(sorts, kits, strict=True)) <= amount
        ]
        if needed > amount:
            short[food] = (max(sum(kits) for kits in fits), needed - amount)
    assert {each.food: (each.kits_possible, each.missing) for each in found.foods_short} == short
    if short:
        assert found.foods_short[0].kits_possible == min(kits for kits, _ in short.values())


def test_what_a_session_needs_once_waits_for_the_kits() -> None:
    found = day_of(("lemon", 100))
    assert [(session, food) for session, food, _, _ in found.once_short] == [("S1", "lemon")]
    assert found.packed == found.planned


@pytest.mark.parametrize("good_through", [dt.date(2027, 3, 4), None])
def test_food_that_will_not_last_does_not_count(good_through: dt.date | None) -> None:
    rows, _ = read(term(SHEETS), dt.date(2027, 3, 1))
    programme = build_programme(rows, dt.date(2027, 3, 1))
    sessions = plan_sessions(programme, kits_of_sessions(programme)[0])
    found = recount(programme, DAY, sessions, [Counted("butter", Fraction(1000), good_through)])
    assert found.packed == (1 if good_through else 6)


@pytest.mark.parametrize("standard", [2, 3, 4])
def test_one_kit_with_swaps_goes_before_all_standard_ones_where_that_is_asked(standard: int) -> None:
    """Flour for the one kit with swaps or for every standard kit, and for nothing beside."""
    plain = tuple(Claim(False, False, DAY, later(1), "S1", f"h{at}") for at in range(standard))
    swaps = (Claim(True, False, DAY, later(1), "S1", "x"),)
    sorts = [
        KitSort("S1-A", "S1", later(1), {"flour": Fraction(1)}, plain),
        KitSort("S1-B", "S1", later(1), {"flour": Fraction(standard)}, swaps, has_swaps=True),
    ]
    limits = [Limit((Fraction(1), Fraction(standard)), Fraction(standard))]
    assert allocated(sorts, limits, swaps_first=True)[0][0] == [0, 1]
    assert allocated(sorts, limits)[0][0] == [standard, 0]


@pytest.mark.parametrize("cut_short", [None, 1, 2, 3])
def test_one_search_cut_short_leaves_the_whole_unproven(cut_short: int | None, monkeypatch: pytest.MonkeyPatch) -> None:
    """Searches for households, for spare and for demo kits, in this order, as nothing is scarce."""
    calls = itertools.count(1)

    def counted(*given: Any) -> Filled | None:
        found = fill(*given)
        return found and Filled(found.kits, next(calls) != cut_short)

    monkeypatch.setattr("opsreport.plan.packing.recount.fill", counted)
    sorts = [KitSort("S1-A", "S1", later(1), {"flour": Fraction(1)}, (), 1, 1)]
    assert allocated(sorts, [Limit((Fraction(1),), Fraction(9))]) == (([0], [1], [1]), cut_short is None)
