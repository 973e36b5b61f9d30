"""Every kit of a session: packed against what became of it, demo kits apart."""

from dataclasses import replace
from fractions import Fraction

from plan.people_support import group, member, no_kits, pick_up, programme, session

from opsreport.kinds import Share
from opsreport.plan.people.attendance import attend


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
