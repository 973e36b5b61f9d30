"""Several funders' documents side by side; tests/test_small_counts_attack.py looks for what these cases miss."""

from dataclasses import replace
from fractions import Fraction
from itertools import combinations_with_replacement
from types import SimpleNamespace

import pytest
from plan.people_support import funder, group, marks, member, programme, session, shown

from opsreport.plan.people.funder_counts import _completers_stay_open, _known, smalls
from opsreport.plan.people.hiding import Known
from opsreport.plan.people_model import FunderReport
from opsreport.plan.people_plan import plan_people

HALF = Fraction(1, 2)
SESSIONS = [session(f"A{i}", "A", 10 * i) for i in range(1, 5)]


def reports(late: int, small: tuple[int, int] = (10, 10)) -> list[FunderReport]:
    """F counts the first three sessions, G all four, to the last of which `late` new people come."""
    people = [member(f"p{i}", "A", age_band="old" if i % 2 else "young") for i in range(40 + late)]
    grid = {f"p{i}": "PPPP" if i < 40 else "AAAP" for i in range(40 + late)}
    book = programme(
        [group("A", funders=(("F", HALF), ("G", HALF)))], people, SESSIONS, marks(grid, [s.session for s in SESSIONS]),
        funders=[funder("F", 1, 30, small_count=small[0]), funder("G", 1, 100, small_count=small[1])],
        report_by=("Age band",),
    )  # fmt: skip
    return list(plan_people(book, {}).funders)


def test_a_few_more_people_in_a_longer_period() -> None:
    """40 and 43 would tell of the 3: the shorter period's people are hidden, its breakdown with them."""
    first, second = reports(3)
    assert (shown(first)["people"], shown(second)["people"]) == ("hidden", "43")
    assert shown(first)["households"] == "hidden"
    assert all(row.people != "20" for row in first.breakdowns.get("Age band", ()))


@pytest.mark.parametrize("late", [0, 30])
def test_nobody_or_many_more(late: int) -> None:
    first, second = reports(late)
    assert (shown(first)["people"], shown(second)["people"]) == ("40", str(40 + late))
    assert (shown(first)["contacts"], shown(second)["contacts"]) == ("120", str(160 + late))
    assert (shown(first)["households"], shown(second)["households"]) == ("40", str(40 + late))
    kits = 40 + late  # packed for every household of the group at each session, as nobody recorded any
    assert (shown(first)["kits"], shown(second)["kits"]) == (str(3 * kits), str(4 * kits))


def test_the_larger_small_count_holds_for_both() -> None:
    first, second = reports(0, (4, 10))
    assert (first.small_count, second.small_count) == (10, 10)
    assert any("Another report" in note for note in first.notes)


def test_linked_small_counts() -> None:
    """Through one another: a is part of b, b of c; d stands apart, and an empty one is part of nothing."""
    a, b, c, d = (frozenset(name) for name in ("x", "xy", "xyz", "q"))
    assert smalls([1, 5, 2, 9, 7], [a, b, c, d, frozenset()]) == [5, 5, 5, 9, 7]


def test_the_same_sessions_say_the_same() -> None:
    people = [member(f"p{i}", "A") for i in range(30)]
    grid = {f"p{i}": "PPPP" if i < 4 else "PAAA" for i in range(30)}
    rows = [funder("F"), replace(funder("G"), small_count=3)]
    book = programme(
        [group("A", funders=(("F", HALF), ("G", HALF)))], people, SESSIONS, marks(grid, [s.session for s in SESSIONS]),
        funders=rows,
    )  # fmt: skip
    first, second = plan_people(book, {}).funders
    assert shown(first) == shown(second)
    assert shown(first)["completers"] == "1–10"


@pytest.mark.parametrize(("held", "needed"), [(1, 1), (2, 1), (2, 2), (3, 2), (3, 3), (4, 3), (2, 3)])
def test_contacts_leave_a_hidden_number_of_completers_open_where_trying_all_finds_more_and_fewer(
    held: int, needed: int
) -> None:
    """Up to four people, each at one session or more: with as many people and contacts, how many can have come `needed`
    times?"""
    for people in range(1, 5):
        every = list(combinations_with_replacement(range(1, held + 1), people))
        for times in every:
            contacts, completers = sum(times), sum(each >= needed for each in times)
            could_be = {sum(each >= needed for each in other) for other in every if sum(other) == contacts}
            counts = SimpleNamespace(
                people=range(people), completers=range(completers), contacts=contacts, least_presents=needed,
                sessions=range(held),
            )  # fmt: skip
            told, hidden = SimpleNamespace(counts=counts), SimpleNamespace(shows_people=True, shows_completers=False)
            open_ = _completers_stay_open(told, hidden)  # type: ignore[arg-type]
            assert open_ == (min(could_be) < completers < max(could_be)), (times, could_be)
            for is_shown in (False, True):
                seen = SimpleNamespace(shows_people=is_shown, shows_completers=is_shown)
                assert _completers_stay_open(told, seen)  # type: ignore[arg-type]


def test_what_other_documents_say_of_a_count() -> None:
    """At least what a part has, at most what a whole has; secret where it lies a small number below a whole."""
    assert _known(20, [5, 8], [40, 31], 10) == Known(8, 31, secret=False)
    assert _known(20, [], [40, 30], 10) == Known(0, 30, secret=True)
    assert _known(20, [], [20], 10) == Known(0, 20, secret=False)
    assert _known(1, [], [2], 10) == Known(0, 2, secret=True)
    assert _known(0, [], [3], 10) == Known(0, 3, secret=False), "a nought needs no hiding"
    assert _known(20, [20], [], 10) == Known(20, None, secret=False)
