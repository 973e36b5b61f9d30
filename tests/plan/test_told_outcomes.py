"""Outcomes for funders: what follows from an average and its interval is hidden with what it gives away."""

import itertools
from collections.abc import Sequence

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan.people_support import answers, programme, question

from opsreport.plan.outcomes import compare_all, gather
from opsreport.plan.people_model import Outcome
from opsreport.plan.told_outcomes import rest_tells, safe_outcome


def outcome(changes: Sequence[int], kind: str = "number") -> Outcome:
    before = ["n"] * len(changes) if kind == "yes-no" else [5] * len(changes)
    after = ["y" if c else "n" for c in changes] if kind == "yes-no" else [5 + c for c in changes]
    return compare_all(gather(programme(questions=[question("q", kind)], surveys=answers("q", before, after))))[0]


def test_an_interval_that_gives_the_counts_away() -> None:
    """17 up by one and 3 the same: nobody got worse, so sum and sum of squares, both 17, leave no other answer."""
    told = safe_outcome(outcome([1] * 17 + [0] * 3), 10)
    assert (told.improved, told.same, told.worse, told.p) == (None, None, 0, None)
    assert (told.low, told.high, told.effect) == (None, None, None)
    assert told.change == 0.85


def test_an_interval_that_leaves_it_open() -> None:
    told = safe_outcome(outcome([2] * 20 + [1] * 20 + [0] * 8 + [-1] * 12 + [3] * 9), 10)
    assert told.same is None
    assert told.low is not None
    assert told.seen == ()


@settings(max_examples=60, deadline=None)
@given(st.lists(st.integers(-1, 2), min_size=6, max_size=12), st.integers(1, 4))
def test_another_reading_of_what_is_told(changes: list[int], small: int) -> None:
    """By trying all: where the interval is told, other changes of as many people agree with all that is shown."""
    true = outcome(changes)
    told = safe_outcome(true, small)
    shown = (told.improved, told.same, told.worse)
    if None not in shown or told.change is None:
        return
    readings: list[tuple[int, int, int]] = []
    for other in itertools.combinations_with_replacement(range(-3, 5), len(changes)):
        sides = tuple(sum((c > 0) - (c < 0) == sign for c in other) for sign in (1, 0, -1))
        agrees = sum(other) == sum(changes) and all(s is None or s == o for s, o in zip(shown, sides, strict=True))
        if agrees and (told.low is None or sum(c * c for c in other) == sum(c * c for c in changes)):
            readings.append(sides)  # type: ignore[arg-type]
    for at, value in enumerate(shown):
        assert value is not None or len({reading[at] for reading in readings}) > 1


@pytest.mark.parametrize(
    ("part", "whole", "tells"),
    [
        ([1] * 20 + [0] * 20, [1] * 40 + [0] * 40, False),
        ([1] * 20 + [0] * 20, [1] * 23 + [0] * 40, True),  # 3 more improved
        ([1] * 20 + [0] * 20, [1] * 20 + [0] * 20 + [-1] * 2, True),  # a rest of 2
    ],
)
def test_what_two_outcomes_tell_of_the_rest(part: list[int], whole: list[int], tells: bool) -> None:
    assert rest_tells(outcome(part), outcome(whole), 10) is tells


def test_yes_and_no_of_the_rest() -> None:
    assert rest_tells(outcome([1] * 20 + [0] * 20, "yes-no"), outcome([1] * 22 + [0] * 40, "yes-no"), 10)
