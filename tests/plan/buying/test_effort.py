"""Efforts are limits of work, each larger than the one before."""

from dataclasses import astuple

from plan.drawn_terms import drawn

from opsreport.plan.buying.effort import EFFORTS, USUAL
from opsreport.plan.buying.orders import buy


def test_each_effort_allows_more_work() -> None:
    less, usual, more = (astuple(EFFORTS[name]) for name in ("short", "usual", "long"))
    for smaller, larger in ((less, usual), (usual, more)):
        assert all(a <= b for a, b in zip(smaller, larger, strict=True))
        assert smaller != larger
    assert EFFORTS["usual"] == USUAL


def test_more_effort_never_proves_less_and_the_same_effort_buys_the_same() -> None:
    programme, still_open = drawn(8, 4, 4, 7)
    plans = [buy(programme, still_open, EFFORTS[name]) for name in ("short", "usual", "usual")]
    short, usual, again = (plan.buying for plan in plans)
    assert (usual, plans[1].purchases, plans[1].orders) == (again, plans[2].purchases, plans[2].orders)
    assert not any(order.below_minimum for plan in plans for order in plan.orders)
    assert short.lower_bound <= usual.lower_bound <= usual.cost <= short.cost
