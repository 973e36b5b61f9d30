"""Every kit of a session: packed against what became of it, demo kits apart."""

from dataclasses import replace
from fractions import Fraction

import pytest
from plan.people_support import group, mark, member, no_kits, pick_up, programme, session

from opsreport.kinds import Share
from opsreport.plan.people.attendance import attend
from opsreport.plan.people.kits_given import KitsGiven


def test_kits_reconciled_by_hand() -> None:
    """Siblings share a kit; two households and one person on their own make 3, 1 spare, 2 demo. Of these 4 five are
    recorded at s1 (one too many), three at s2, nothing at s3."""
    people = [
        member("a", "A", "H1"),
        member("b", "A", "H1"),
        member("c", "A", "H2"),
        member("d", "A"),
        member("e", "A", left=2),
    ]
    kits = group("A", spare=Share(number=Fraction(1)), demo=2)
    held = [session("s1", "A", 5), session("s2", "A", 6), session("s3", "A", 7)]
    fates = [
        *(pick_up("s1", who, "collected") for who in ("H1", "H2", "d")), pick_up("s1", "x", "passed on"),
        pick_up("s1", "y", "discarded"), pick_up("s2", "H1", "collected"), pick_up("s2", "H2", "left"),
        pick_up("s2", "d", "left"), pick_up("s2", "d", "left"),
    ]  # fmt: skip
    found = attend(programme([kits], people, held, pick_ups=fates), no_kits)
    rows = [
        (k.packed, k.spare, k.demo, k.collected, k.passed_on, k.left, k.discarded, k.unaccounted)
        for k in found.kits.sessions
    ]
    assert rows == [
        (3, 1, 2, 3, 1, 0, 1, -1),
        (3, 1, 2, 1, 0, 2, 0, 1),
        (3, 1, 2, None, None, None, None, None),
    ]
    assert found.totals.kits_distributed == 5 + 3  # s3 has no record, so its kits packed count


def test_a_kit_for_each_participant_and_tables_without() -> None:
    people = [member("a", "A", "H"), member("b", "A", "H"), member("c", "T")]
    groups = [group("A", kit_for_participant=True), group("T", kits=False)]
    held = [session("a1", "A", 1), session("t1", "T", 1)]
    found = attend(programme(groups, people, held), no_kits)
    assert [(k.session, k.packed) for k in found.kits.sessions] == [("a1", 2)]
    stated = programme(groups, people, [replace(held[0], kits=9), held[1]])
    assert attend(stated, lambda each: each.kits or 0).totals.kits_distributed == 9


@pytest.mark.parametrize(
    ("sessions", "words"),
    [
        ("s", "kits of delivered sessions; nobody recorded what became of them"),
        ("t", "none were packed"),
        ("p", "recorded in Pick-ups"),
        ("ap", "recorded in Pick-ups and Attendance"),
        ("as", "recorded in Attendance; for 1 delivered session without a record the kits packed count"),
        ("asu", "recorded in Attendance; for 2 delivered sessions without a record the kits packed count"),
    ],
)
def test_where_the_number_of_kits_comes_from(sessions: str, words: str) -> None:
    """s and u are delivered without a record, t is a session at tables."""
    kits = KitsGiven({}, {"a": "Attendance", "p": "Pick-ups"}, frozenset("su"), ())
    assert kits.source(sessions) == words


def test_kits_written_in_attendance_count_once_a_household() -> None:
    """a and b share H1, one of them with `yes` and one with `kit only`; d has `no`; a session with only `no` gave
    none; one without any word gave the kits packed, of two households."""
    people = [member("a", "A", "H1"), member("b", "A", "H1"), member("d", "A", "H2")]
    held = [session(name, "A", at) for at, name in enumerate(("s1", "s2", "s3"), 1)]
    grid = [
        mark("s1", "a", "P", kit=True), mark("s1", "b", "K"), mark("s1", "d", "P", kit=False),
        mark("s2", "a", "P", kit=False), mark("s3", "a", "P"),
    ]  # fmt: skip
    found = attend(programme([group("A")], people, held, grid), no_kits)
    assert dict(found.kits.by_session) == {"s1": 1, "s2": 0, "s3": 2}
    assert (found.kits.source(["s1", "s2"]), found.kits.packed) == ("recorded in Attendance", {"s3"})
    each = attend(programme([group("A", kit_for_participant=True)], people, held, grid), no_kits)
    assert dict(each.kits.by_session) == {"s1": 2, "s2": 0, "s3": 3}
