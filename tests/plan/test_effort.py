"""Efforts are limits of work, each larger than the one before."""

from opsreport.plan.effort import EFFORTS, USUAL


def test_each_effort_allows_more_work() -> None:
    short, usual, long = (EFFORTS[name] for name in ("short", "usual", "long"))
    assert (short.steps, short.rounds, short.turns) < (usual.steps, usual.rounds, usual.turns)
    assert (usual.steps, usual.rounds, usual.turns) < (long.steps, long.rounds, long.turns)
    assert usual == USUAL
