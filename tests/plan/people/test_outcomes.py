"""Outcomes: published figures, enumeration, and a statistics library to compare with."""

import random
from dataclasses import replace
from fractions import Fraction

import numpy as np
import pytest
from plan.people_support import answers, programme, question
from scipy import stats

from opsreport.plan.people.chance import doubled_ranks
from opsreport.plan.people.outcomes import adjusted, compare_all, gather, read_answer
from opsreport.plan.people_model import Outcome


def outcome(before: object, after: object, kind: str = "number", **asked: object) -> Outcome:
    book = programme(questions=[question("q", kind, **asked)], surveys=answers("q", before, after))  # type: ignore[arg-type]
    found = compare_all(gather(book))
    return found[0]


SLEEP = (
    ["0.7", "-1.6", "-0.2", "-1.2", "-0.1", "3.4", "3.7", "0.8", "0.0", "2.0"],
    ["1.9", "0.8", "1.1", "0.1", "-0.1", "4.4", "5.5", "1.6", "4.6", "3.4"],
)


def test_sleep() -> None:
    """Source: Student, Biometrika 6 (1908); interval and standardised change recomputed."""
    found = outcome(*SLEEP)
    assert (found.n, found.improved, found.same, found.worse) == (10, 9, 1, 0)
    assert [found.before, found.after, found.change] == pytest.approx([0.75, 2.33, 1.58], abs=1e-12)
    assert [found.low, found.high] == pytest.approx([0.7001142, 2.4598858], abs=1e-6)
    assert found.effect == pytest.approx(1.2845576, abs=1e-6)
    assert found.change is not None
    assert found.effect is not None
    assert found.change / found.effect == pytest.approx(1.2299955, abs=1e-6)  # the SD of changes
    assert found.effect * 10**0.5 == pytest.approx(4.0621277, abs=1e-6)  # t with 9 degrees of freedom


def test_standardised_change_is_not_that_of_average_variances() -> None:
    """A library's paired d divides by the root of the mean variance before and after; ours by the SD of changes."""
    before, after = ([float(text) for text in texts] for texts in SLEEP)
    other = 1.58 / ((np.var(before, ddof=1) + np.var(after, ddof=1)) / 2) ** 0.5
    assert outcome(*SLEEP).effect == pytest.approx(1.2845576, abs=1e-6)
    assert outcome(*SLEEP).effect != pytest.approx(other, abs=0.4)


def test_signed_rank_of_sleep() -> None:
    """One zero dropped, one tie; rank sums 45 and 0. Derived by enumeration of 2^9 signs."""
    assert outcome(*SLEEP).p == 1 / 256
    changes = [round(10 * (float(y) - float(x))) for x, y in zip(*SLEEP, strict=True)]
    assert sum(doubled_ranks([abs(change) for change in changes if change])) == 2 * 45
    assert min(changes) == 0


MAIZE = (6, 8, 14, 16, 23, 24, 28, 29, 41, -48, 49, 56, 60, -67, 75)


def test_maize() -> None:
    """Source: Fisher, Design of Experiments (Darwin's data); SciPy manual (24, p); the rest recomputed."""
    found = outcome([0] * 15, MAIZE)
    assert found.p == 169 / 4096
    assert [found.low, found.high] == pytest.approx([0.0311933, 41.8354733], abs=1e-6)
    assert found.effect == pytest.approx(0.5546080, abs=1e-6)
    assert found.effect * 15**0.5 == pytest.approx(2.1479875, abs=1e-6)  # t with 14 degrees of freedom
    assert (found.improved, found.worse) == (13, 2)
    ranks = doubled_ranks([abs(change) for change in MAIZE])
    assert sum(rank for rank, change in zip(ranks, MAIZE, strict=True) if change < 0) == 2 * 24


def test_ties_and_zeros_together() -> None:
    """Rank sums 29 and 7, exact p 0.1640625. Derived by enumeration."""
    changes = (1, 1, 2, -1, 3, -2, 2, 4, 0, 0)
    assert outcome([5] * 10, [5 + change for change in changes]).p == 0.1640625
    ranks = doubled_ranks([abs(change) for change in changes if change])
    assert sum(ranks) == 2 * 36


def test_approval_ratings() -> None:
    """Source: Agresti, Categorical Data Analysis (1990) 350, the table; p and intervals recomputed."""
    before = ["y"] * 944 + ["n"] * 656
    after = ["y"] * 794 + ["n"] * 150 + ["y"] * 86 + ["n"] * 570
    found = outcome(before, after, "yes-no")
    assert [found.before, found.after, found.change] == pytest.approx([0.59, 0.55, -0.04], abs=1e-12)
    assert found.p == pytest.approx(3.7159361e-05, abs=1e-9)
    assert [found.before_low, found.before_high] == pytest.approx([0.5657130, 0.6138559], abs=1e-7)
    assert [found.low, found.high] == pytest.approx([0.5255324, 0.5742281], abs=1e-7)
    assert (found.improved, found.same, found.worse) == (86, 1364, 150)
    assert found.improved is not None
    assert found.worse is not None
    less, changed = found.worse - found.improved, found.worse + found.improved
    assert less**2 / changed == pytest.approx(17.3559, abs=1e-4)  # chi-squared; not the 34.71 that circulates
    assert (less - 1) ** 2 / changed == pytest.approx(16.8178, abs=1e-4)  # corrected for continuity
    assert found.test == "mcnemar"
    assert found.effect is None


def test_ten_equal_changes() -> None:
    found = outcome([1] * 10, [3] * 10)
    assert (found.change, found.low, found.high, found.effect, found.improved) == (2, None, None, None, 10)
    assert found.p == 2 / 2**10
    assert found.note == "all changes are equal"


def test_one_pair_and_none() -> None:
    one = outcome([1], [3])
    assert (one.n, one.change, one.low, one.effect, one.note) == (1, 2, None, None, "one matched pair")
    none = outcome([], [3])
    assert (none.n, none.unmatched, none.before, none.p, none.note) == (0, 1, None, None, "no matched pairs")
    yes = outcome(["y"], ["n"], "yes-no")
    assert (yes.low, yes.before_low, yes.p, yes.worse) == (None, None, 1, 1)
    assert outcome(["y"], [], "yes-no").note == "no matched pairs"


def test_all_changes_zero() -> None:
    for found in (outcome([1, 2, 3], [1, 2, 3]), outcome(["y", "n"], ["y", "n"], "yes-no")):
        assert (found.p, found.change, found.note) == (None, 0, "all changes are zero")
        assert found.same == found.n


def test_only_matched_pairs_count() -> None:
    """Before for 12 people, after for 10, 9 in both."""
    before = {f"p{i}": "1" for i in range(12)}
    after = {f"p{i}": "2" for i in range(3, 13)}
    found = outcome(before, after)
    assert (found.n, found.unmatched) == (9, 4)


def test_lower_is_better() -> None:
    rising = outcome([1, 2, 3], [2, 3, 3], better="lower")
    assert (rising.improved, rising.same, rising.worse) == (0, 1, 2)
    assert outcome(["y", "y", "n"], ["n", "n", "n"], "yes-no", better="lower").improved == 2


def test_what_cannot_be_read_is_missing() -> None:
    scale = question("q", "scale", lowest=Fraction(1), highest=Fraction(5))
    given = ("1", " 5 ", "4½", "0", "6", "", "often", "2,5")
    read = [read_answer(answer, scale, decimal_comma=False) for answer in given]
    assert read == [1, 5, Fraction(9, 2), *[None] * 5]
    assert read_answer("2,5", scale, decimal_comma=True) == Fraction(5, 2)
    yes = question("q", "yes-no")
    words = ["y", "Yes", "x", "✓", "✔", "1", "TRUE", "1.0"]
    assert {read_answer(word, yes, decimal_comma=False) for word in words} == {Fraction(1)}
    assert {read_answer(word, yes, decimal_comma=False) for word in ["n", "No", "0", "FALSE"]} == {Fraction(0)}
    assert read_answer("maybe", yes, decimal_comma=False) is None


def test_the_last_readable_answer_counts() -> None:
    rows = [*answers("q", {"p": "1"}, {"p": "2"}), *answers("q", {"p": "3"}, {"p": "?"})]
    found = compare_all(gather(programme(questions=[question("q")], surveys=rows)))[0]
    assert (found.before, found.after) == (3, 2)


@pytest.mark.parametrize("seed", range(20))
def test_interval_against_a_paired_t(seed: int) -> None:
    rng = random.Random(seed)
    n = rng.randint(2, 30)
    before = [rng.randint(1, 50) / 10 for _ in range(n)]
    after = [rng.randint(1, 50) / 10 for _ in range(n)]
    found = outcome(before, after)
    interval = stats.ttest_rel(after, before).confidence_interval()
    assert (found.low, found.high) == pytest.approx((interval.low, interval.high), rel=1e-9, abs=1e-9)
    deviation = np.std(np.subtract(after, before), ddof=1)
    assert found.effect == pytest.approx((np.mean(after) - np.mean(before)) / deviation)


def test_who_dropped_out() -> None:
    """The before answers of those who answered after, and of those who did not; all told apart from unmatched."""
    rows = answers("q", {"a": "1", "b": "2", "c": "5", "d": "7"}, {"a": "2", "b": "2", "e": "9"})
    found = compare_all(gather(programme(questions=[question("q")], surveys=rows)))[0]
    assert (found.n, found.unmatched, found.stayed_n, found.dropped_n) == (2, 3, 2, 2)
    assert (found.before, found.dropped_before) == (1.5, 6.0)
    assert [(s.before, s.after, s.people) for s in found.seen] == [(1, 2, 1), (2, 2, 1)]


@pytest.mark.parametrize(
    ("low", "high", "better", "said"),
    [
        (0.1, 2, "higher", "better"),
        (-2, -0.1, "higher", "worse"),
        (-2, -0.1, "lower", "better"),
        (-1, 1, "higher", "open"),
        (0, 2, "higher", "open"),
        (-2, 0, "higher", "open"),
    ],
)
def test_what_an_interval_allows(low: float, high: float, better: str, said: str) -> None:
    found = replace(outcome([1, 2, 3], [2, 4, 5]), low=low, high=high, change=(low + high) / 2, better=better)  # type: ignore[arg-type]
    assert found.direction == said


@pytest.mark.parametrize(
    ("p", "change", "said"),
    [(0.049, 0.2, "better"), (0.049, -0.2, "worse"), (0.05, 0.2, "open"), (None, 0.2, "open"), (0.01, None, "")],
)
def test_what_a_test_of_yes_and_no_allows(p: float | None, change: float | None, said: str) -> None:
    """Beyond doubt is p below 0.05; the interval of a yes-no question is that of the share after, and says nothing."""
    found = replace(outcome([1, 2, 3], [2, 4, 5]), kind="yes-no", p=p, change=change, low=0.1, high=0.2)
    assert found.direction == said


@pytest.mark.parametrize(("low", "high", "n"), [(None, 2.0, 3), (0.1, None, 3), (0.1, 2.0, 1)])
def test_without_an_interval_or_of_one_person_nothing_is_said(low: float | None, high: float | None, n: int) -> None:
    assert replace(outcome([1, 2, 3], [2, 4, 5]), low=low, high=high, n=n).direction == ""
    assert replace(outcome([1, 2, 3], [2, 4, 5]), low=0.1, high=2.0, n=2).direction == "better"


def test_tests_that_are_hidden_count_in_the_adjustment() -> None:
    """Holm: of three tests the smallest p is taken three times, the next twice; untested questions do not count."""
    found = [replace(outcome([1, 2, 3], [2, 4, 5]), p=p) for p in (0.04, None, 0.01)]
    assert [each.p_holm for each in adjusted(found, hidden=1)] == [pytest.approx(0.08), None, pytest.approx(0.03)]
    assert [each.p_holm for each in adjusted(found)] == [pytest.approx(0.04), None, pytest.approx(0.02)]
