"""Marks in columns: small cases by hand; people.py's tests hold the counts against a plain count."""

import dataclasses
import pickle

import numpy as np
import pytest
from plan.people_support import group, mark, member, programme, session

from opsreport.plan.people.ledger import ABSENT, NOT_RECORDED, PRESENT, by_mark, different, distinct, keep_ledger

HELD = (session("b", "A", 2), session("a", "A", 1), session("c", "B", 1))


def test_the_roll() -> None:
    """Groups in their order, members group by group, sessions by date; the last of two marks counts."""
    people = [member("q", "B"), member("p", "A", "H"), member("p", "B"), member("p", "A")]
    seen = [
        mark("b", "p", "A"),
        mark("c", "p", "P"),
        mark("b", "stranger", "P"),
        mark("b", "p", "P"),
        mark("b", "p", "."),
    ]
    ledger = keep_ledger(programme([group("A"), group("B")], people, HELD, seen))
    roll = ledger.roll
    assert [s.session for s in roll.sessions] == ["a", "c", "b"]
    assert [(m.participant, m.group) for m in roll.members] == [("p", "A"), ("q", "B"), ("p", "B")]
    assert roll.first.tolist() == [0, 2, 3]
    assert roll.at.tolist() == [0, 0, 1]
    assert ledger.pairs.code.tolist() == [0, 1, 0, 1]
    presents = ledger.presents
    shown = zip(presents.session.tolist(), presents.person.tolist(), presents.member.tolist(), strict=True)
    assert sorted((roll.sessions[s].session, roll.people[p], m) for s, p, m in shown) == [
        ("b", "p", 0), ("b", "stranger", -1), ("c", "p", 2),
    ]  # fmt: skip
    # in B nobody wrote p's household, but A has it: one home
    homes = {roll.homes[at] for at in presents.home.tolist()}
    assert homes == {"H", "stranger"}


def test_it_is_kept_with_its_programme_and_not_handed_on() -> None:
    """A changed programme, or one sent to a helper, has a ledger of its own."""
    book = programme([group("A")], [member("p", "A")], HELD, [mark("b", "p", "P")])
    kept = keep_ledger(book)
    assert keep_ledger(book) is kept
    assert pickle.loads(pickle.dumps(book)).kept == {}
    other = dataclasses.replace(book, attendance=())
    assert len(kept.presents.person) == 1 + len(keep_ledger(other).presents.person)


def test_nothing_at_all() -> None:
    ledger = keep_ledger(programme())
    assert len(ledger.pairs.code) == len(ledger.presents.person) == len(ledger.handed) == 0
    assert ledger.roll.member_of(np.array([0]), np.array([0])).tolist() == [-1]


def test_kits_of_no_group() -> None:
    """Where no group is left to read, a kit that stands in Attendance is nobody's."""
    ledger = keep_ledger(programme(attendance=[mark("a", "p", "P", kit=True)]))
    assert len(ledger.handed) == 0


@pytest.mark.parametrize("seed", range(5))
def test_different_things(seed: int) -> None:
    rng = np.random.default_rng(seed)
    groups, things = rng.integers(0, 4, 50), rng.integers(0, 9, 50)
    counted = [len({int(t) for g, t in zip(groups, things, strict=True) if g == number}) for number in range(5)]
    assert different(groups, things, 5).tolist() == counted
    assert distinct(things).tolist() == sorted({int(thing) for thing in things})


def test_who_was_expected_at_which_session() -> None:
    """From the day of joining to that of leaving, both included; whoever comes on another day visits."""
    held = [session(f"s{at}", "A", at) for at in range(1, 5)]
    people = [
        member("p", "A", joined=2, left=3),
        member("q", "A", joined=4),
        member("r", "A", left=1),
        member("s", "A"),
    ]
    ledger = keep_ledger(programme([group("A")], people, held, [mark("s1", "p", "P"), mark("s1", "s", "A")]))
    assert ledger.pairs.active.reshape(4, 4).tolist() == [
        [False, True, True, False], [False, False, False, True], [True, False, False, False], [True] * 4,
    ]  # fmt: skip
    assert (ledger.presents.session.tolist(), ledger.presents.member.tolist()) == ([0], [-1])
    assert ledger.pairs.code.reshape(4, 4)[:, 0].tolist() == [PRESENT, NOT_RECORDED, NOT_RECORDED, ABSENT]


def test_marks_are_counted_for_those_without_any_too() -> None:
    counted = by_mark(np.array([0, 2, 0, 0]), np.array([1, 3, 1, 0]), 4)
    assert counted.tolist() == [[1, 2, 0, 0], [0, 0, 0, 0], [0, 0, 0, 1], [0, 0, 0, 0]]
    assert by_mark(np.array([], int), np.array([], int), 2).tolist() == [[0] * 4] * 2
