"""Outcomes for funders: what follows from an average and its interval is hidden with what it gives away."""

import itertools
import math
import random
from collections.abc import Sequence
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan.people_support import answers, programme, question
from scipy import stats

from opsreport.plan.people.outcomes import compare_all, gather
from opsreport.plan.people.told_outcomes import printed_statistic, safe_outcome
from opsreport.plan.people_model import Outcome


def outcome(changes: Sequence[int], kind: str = "number") -> Outcome:
    before = ["n"] * len(changes) if kind == "yes-no" else [5] * len(changes)
    after = ["y" if c else "n" for c in changes] if kind == "yes-no" else [5 + c for c in changes]
    return compare_all(gather(programme(questions=[question("q", kind)], surveys=answers("q", before, after))))[0]


def test_an_interval_that_gives_the_counts_away() -> None:
    """16 up by one, one by two, 3 the same, nobody worse: sum 18 and squares 20 leave no other answer, the sum alone
    does (15 by one or more, one of them by three)."""
    told = safe_outcome(outcome([1] * 16 + [2] + [0] * 3), 10)
    assert (told.improved, told.same, told.worse, told.p) == (None, None, 0, None)
    assert (told.low, told.high, told.effect) == (None, None, None)
    assert told.change == 0.9


def test_an_average_that_gives_the_counts_away() -> None:
    """17 up by one and 3 the same on two answers: nobody can have gone further, so the sum tells all."""
    told = safe_outcome(outcome([1] * 17 + [0] * 3), 10)
    assert (told.before, told.after, told.change, told.improved, told.same) == (None, None, None, None, None)


def test_an_average_between_two_answers_that_one_person_moved_each_way() -> None:
    """One up from 1 to 2, one down from 2 to 1, 13 stay with 2: only one answered 1 before and one after, so no more
    can have moved either way, and the average of 0 would tell that somebody did."""
    asked = question("q", "scale", lowest=Fraction(1), highest=Fraction(2))
    rows = answers("q", [1, 2, *[2] * 13], [2, 1, *[2] * 13])
    told = safe_outcome(compare_all(gather(programme(questions=[asked], surveys=rows)))[0], 5)
    assert (told.improved, told.same, told.worse) == (None, None, None)
    assert (told.before, told.after, told.change, told.low) == (None, None, None, None)


def test_a_hidden_count_is_not_nought() -> None:
    """31, 6 and 1 on a scale of 1 to 5: with 1 or more on each side nothing else has the sum 42 and squares 68 of
    printed n 38, change 1.105 and standardised change 1.45; another reading with nobody worse is none."""
    before = [3] * 20 + [2] * 18
    after = [was + by for was, by in zip(before, [2] * 12 + [1] * 19 + [0] * 6 + [-1], strict=True)]
    asked = question("q", "scale", lowest=Fraction(1), highest=Fraction(5))
    told = safe_outcome(compare_all(gather(programme(questions=[asked], surveys=answers("q", before, after))))[0], 10)
    assert (told.change, told.improved, told.same, told.worse) == (1.11, 31, None, None)
    assert (told.low, told.high, told.effect) == (None, None, None)


def test_cells_hold_no_more_than_is_printed() -> None:
    told = safe_outcome(outcome([1] * 20 + [0] * 12), 5)
    assert (told.before, told.after, told.change, told.low) == (5.0, 5.62, 0.625, 0.448)


def test_an_interval_that_leaves_it_open() -> None:
    told = safe_outcome(outcome([2] * 20 + [1] * 20 + [0] * 8 + [-1] * 12 + [3] * 9), 10)
    assert told.same is None
    assert told.low is not None
    assert told.seen == ()


@pytest.mark.parametrize(
    ("yes_before", "yes_after", "is_told"),
    [
        (3, 13, False),  # 3 said yes before
        (4, 14, True),
        (7, 17, False),  # 3 said no after
        (6, 16, True),
        (17, 7, False),
        (13, 3, False),
        (0, 10, True),
        (10, 20, True),
    ],
)
def test_shares_of_few_people_are_not_told_though_the_sides_are_many(
    yes_before: int, yes_after: int, is_told: bool
) -> None:
    """Of 20 people 10 changed their answer, all the same way; counts up to 3 are hidden."""
    before, after = (["y"] * yes + ["n"] * (20 - yes) for yes in (yes_before, yes_after))
    asked = programme(questions=[question("q", "yes-no")], surveys=answers("q", before, after))
    told = safe_outcome(compare_all(gather(asked))[0], 3)
    shown = (yes_before / 20, yes_after / 20) if is_told else (None, None)
    assert (told.before, told.after) == shown
    assert [figure is not None for figure in (told.improved, told.low, told.p)] == [is_told] * 3
    assert told.n == 20


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


@pytest.mark.parametrize(("unmatched", "shown"), [(0, 0), (1, None), (5, None), (6, 6)])
def test_few_unmatched_are_not_told_and_none_are(unmatched: int, shown: int | None) -> None:
    assert safe_outcome(replace(outcome([1] * 20 + [0] * 12), unmatched=unmatched), 5).unmatched == shown


def told_by_trying(before: list[int], after: list[int], small: int, shown: Sequence[int | None], sign: int) -> str:
    """What may be told of changes beside the counts shown, by trying all changes of as many people, in steps as large
    as the least between two answers.

    Another reading has the same sum of changes, of people whose answers before had the same sum, within what was
    answered; counts shown as they are, those hidden 1 or more, one of them small. Each hidden count must be another one
    in some reading, by no more than three in those who improved and those who got worse. With the interval, the squares
    too print the same (Student's t by scipy).
    """
    answered = sorted({*before, *after})
    step = min((b - a for a, b in itertools.pairwise(answered)), default=1)
    before, after = ([(each - answered[0]) // step for each in its] for its in (before, after))
    n, most = len(before), max(before + after)
    true = np.array(after) - np.array(before)
    others = np.array(list(itertools.combinations_with_replacement(range(-most, most + 1), n)))
    ups, downs = np.maximum(others, 0).sum(axis=1), np.maximum(-others, 0).sum(axis=1)
    fits = (others.sum(axis=1) == true.sum()) & (downs <= sum(before)) & (ups <= n * most - sum(before))
    its, was = (
        np.stack([(sign * each > 0), each == 0, (sign * each < 0)], axis=-1).sum(axis=-2) for each in (others, true)
    )
    hidden = np.array([value is None for value in shown])
    fits &= np.where(hidden, its >= 1, its == was).all(axis=1) & (hidden & (its <= small)).any(axis=1)
    fits &= (np.abs(its - was)[:, [0, 2]] <= 3).all(axis=1)

    def printed(squares: int) -> list[float]:
        mean = sign * true.sum() / n
        deviation = math.sqrt(max(squares - n * mean**2, 0) / (n - 1))
        half = float(stats.t.ppf(0.975, n - 1)) * deviation / math.sqrt(n)
        return (
            [printed_statistic(x) for x in (step * (mean - half), step * (mean + half), mean / deviation)]
            if deviation > 1e-9
            else []
        )

    squares = (others**2).sum(axis=1)
    alike = [each for each in set(squares[fits].tolist()) if printed(each) == printed(int((true**2).sum()))]
    for told, readings in (("interval", fits & np.isin(squares, alike)), ("average", fits)):
        if (its[readings] != was).any(axis=0)[hidden].all():
            return told
    return "nothing"


@pytest.mark.parametrize("better", ["higher", "lower"])
def test_as_much_is_told_as_trying_all_leaves_open(better: str) -> None:
    """Five to eight people on a scale of three or four; never more, and never less."""
    seen = dict.fromkeys(("interval", "average", "nothing"), 0)
    for seed in range(300):
        r = random.Random(seed)
        n, top, small = r.randint(5, 8), r.choice([3, 4]), r.randint(1, 3)
        before = [r.randint(1, top) for _ in range(n)]
        after = [r.choice([was, r.randint(1, top)]) for was in before]
        asked = question("q", "scale", lowest=Fraction(1), highest=Fraction(top), better=better)
        true = compare_all(gather(programme(questions=[asked], surveys=answers("q", before, after))))[0]
        told = safe_outcome(true, small)
        shown = (told.improved, told.same, told.worse)
        if true.low is None or None not in shown:
            continue
        level = "interval" if told.low is not None else "average" if told.change is not None else "nothing"
        assert level == told_by_trying(before, after, small, shown, 1 if better == "higher" else -1)
        assert (told.p, told.high is None, told.effect is None) == (None, told.low is None, told.low is None)
        seen[level] += 1
    assert min(seen.values()) > 10


@pytest.mark.parametrize(
    ("value", "shown"),
    [(-0.0004, "0.0"), (0.9996, "1.0"), (-0.9994, "-0.999"), (1.006, "1.01"), (-99.994, "-99.99"), (100.06, "100.1")],
)
def test_a_statistic_is_printed_shorter_the_larger_it_is_and_nought_has_no_sign(value: float, shown: str) -> None:
    assert str(printed_statistic(value)) == shown
