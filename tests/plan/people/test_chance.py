"""Intervals and tests of change: published figures, enumeration, and statistics libraries to compare with."""

import functools
import itertools
import math
from collections.abc import Callable
from typing import Any
from unittest import mock

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from plan.people_support import answers, programme, question
from scipy import stats

from opsreport.plan.people.chance import holm, mcnemar_p, signed_rank_p, student, wilson
from opsreport.plan.people.outcomes import compare_all, gather


@pytest.mark.parametrize(
    ("up", "down", "p"), [(121, 59, 0.000004), (70, 59, 0.378688), (30, 60, 0.002060), (10, 10, 1)]
)
def test_discordant_pairs(up: int, down: int, p: float) -> None:
    """Source: online calculator values kept in the statsmodels tests."""
    assert mcnemar_p(up, down) == pytest.approx(p, abs=1e-6)


@pytest.mark.parametrize(("yes", "n", "low", "high"), [(81, 263, 0.2553, 0.3662), (0, 20, 0, 0.1611)])
def test_wilson(yes: int, n: int, low: float, high: float) -> None:
    """Source: Newcombe, Statistics in Medicine 17 (1998) 857-872, Table I; the second row from memory."""
    assert wilson(yes, n) == pytest.approx((low, high), abs=5e-5)


@pytest.mark.parametrize(("yes", "n", "low", "high"), [(81, 263, 0.2527, 0.3676), (0, 20, 0, 0.1684)])
def test_wilson_is_not_clopper_pearson(yes: int, n: int, low: float, high: float) -> None:
    """Source: as above, from memory."""
    exact = stats.binomtest(yes, n).proportion_ci(method="exact")
    assert (exact.low, exact.high) == pytest.approx((low, high), abs=5e-5)
    assert wilson(yes, n)[1] < high - 1e-3


def enumerated(changes: list[int]) -> float:
    changed = [c for c in changes if c]
    ranks = stats.rankdata([abs(c) for c in changed])
    seen = sum(r for r, c in zip(ranks, changed, strict=True) if c > 0)
    away = abs(seen - sum(ranks) / 2)
    sums = [sum(r for r, up in zip(ranks, signs, strict=True) if up)
            for signs in itertools.product((0, 1), repeat=len(ranks))]  # fmt: skip
    return sum(abs(s - sum(ranks) / 2) >= away - 1e-9 for s in sums) / 2 ** len(ranks)


@given(st.lists(st.integers(-4, 4), min_size=1, max_size=9).filter(any))
def test_signed_rank_equals_enumeration(changes: list[int]) -> None:
    assert signed_rank_p(changes) == (enumerated(changes), False)


@pytest.mark.parametrize("n", [12, 40, 200, 1000])
def test_signed_rank_of_more_people(n: int) -> None:
    rng = np.random.default_rng(n)
    sizes = rng.permutation(np.arange(1, n + 1)) * rng.choice((-1, 1), n, p=(0.46, 0.54))
    found, approximate = signed_rank_p([int(size) for size in sizes])
    exact = stats.wilcoxon(sizes, method="exact").pvalue if n < 500 else stats.wilcoxon(sizes).pvalue
    assert not approximate
    assert found == pytest.approx(exact, rel=1e-9 if n < 500 else 1e-2)


def test_signed_rank_of_a_great_many_people() -> None:
    rng = np.random.default_rng(5)
    changes = [int(c) for c in rng.integers(-4, 5, 3000)]
    found, approximate = signed_rank_p(changes)
    assert approximate
    assert found == pytest.approx(stats.wilcoxon(changes, method="asymptotic", correction=True).pvalue, rel=1e-9)
    surveys = answers("q", [0] * 3000, changes)
    assert (
        compare_all(gather(programme(questions=[question("q")], surveys=surveys)))[0].note == "p from the normal curve"
    )


@given(st.integers(0, 60), st.integers(0, 60))
def test_shares_against_a_library(up: int, down: int) -> None:
    n = up + down
    if not n:
        assert mcnemar_p(up, down) is None
        return
    assert mcnemar_p(up, down) == pytest.approx(stats.binomtest(up, n).pvalue, rel=1e-9)
    interval = stats.binomtest(up, n).proportion_ci(method="wilson")
    assert wilson(up, n) == pytest.approx((interval.low, interval.high), abs=1e-12)
    assert math.isclose(wilson(up, n)[0], 1 - wilson(down, n)[1], abs_tol=1e-12)


@pytest.mark.parametrize(
    ("degrees", "point"),
    [(1, 12.706), (2, 4.303), (3, 3.182), (4, 2.776), (9, 2.262), (10, 2.228), (30, 2.042), (120, 1.980)],
)
def test_student_in_a_printed_table(degrees: int, point: float) -> None:
    """Source: Student's t, 97.5% points, as printed in statistical tables (from memory)."""
    assert student(degrees) == pytest.approx(point, abs=5e-4)


def test_student_beside_a_library() -> None:
    for degrees in (*range(1, 200), 999, 1000, 12_345):
        assert student(degrees) == pytest.approx(stats.t.ppf(0.975, degrees), rel=1e-11)


def test_holm_worked_by_hand() -> None:
    """0.01, 0.04, 0.03, 0.005: times 3, 1, 2 and 4 by size, never below the one before. Derived."""
    assert holm([0.01, 0.04, 0.03, 0.005], 4) == pytest.approx([0.03, 0.06, 0.06, 0.02])
    assert holm([0.6, 0.7], 2) == [1.0, 1.0]
    assert holm([0.01], 3) == pytest.approx([0.03])


@pytest.fixture(scope="module")
def library() -> Callable[[str], Any]:
    """A part of statsmodels, imported once and only where it is asked for."""
    return functools.cache(lambda part: pytest.importorskip(f"statsmodels.stats.{part}"))


@settings(deadline=None)
@given(chances=st.lists(st.floats(0, 1), min_size=1, max_size=8))
def test_holm_beside_a_library(library: Callable[[str], Any], chances: list[float]) -> None:
    """It collects garbage at every call, which alone would take ten seconds."""
    with mock.patch("gc.collect"):
        expected = library("multitest").multipletests(chances, method="holm")[1]
    assert holm(chances, len(chances)) == pytest.approx(expected, abs=1e-12)


@settings(deadline=None)
@given(up=st.integers(0, 80), down=st.integers(0, 80))
def test_mcnemar_and_wilson_beside_statsmodels(library: Callable[[str], Any], up: int, down: int) -> None:
    tables, proportion = library("contingency_tables"), library("proportion")
    if up + down:
        expected = tables.mcnemar([[3, down], [up, 4]], exact=True).pvalue
        assert mcnemar_p(up, down) == pytest.approx(min(1.0, expected), abs=1e-12)
        assert wilson(up, up + down) == pytest.approx(
            proportion.proportion_confint(up, up + down, method="wilson"), abs=1e-12
        )
