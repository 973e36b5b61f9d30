"""A choice of groups and days against a plain count; tests/plan/test_people.py has one by hand."""

import random
from fractions import Fraction

import pytest
from plan.people.test_attendance import random_programme
from plan.people_support import day, group, member, no_kits, programme, session

from opsreport.kinds import Share
from opsreport.plan.people.attendance import attend
from opsreport.plan.people.counts import count, flagged


@pytest.mark.parametrize("seed", range(20))
def test_against_a_plain_count(seed: int) -> None:
    book = random_programme(seed)
    rng = random.Random(seed)
    start, end = sorted((rng.randint(1, 30), rng.randint(1, 30)))
    ledger = attend(book, no_kits).ledger
    found = count(ledger, Share(of_all=Fraction(1, 2)), {"A", "C"}, (day(start), day(end)))
    held = {
        s.session: s
        for s in book.sessions.values()
        if s.status == "delivered" and s.group in "AC" and day(start) <= s.day <= day(end)
    }
    last = {(row.session, row.participant): row.mark.mark for row in book.attendance if row.mark}
    present = [key for key, letter in last.items() if letter == "present" and key[0] in held]
    assert {s.session for s in found.sessions} == set(held)
    assert found.contacts == len(present)
    assert {ledger.roll.people[at] for at in found.people} == {who for _, who in present}
    done = set()
    for m in {(m.participant, m.group): m for m in reversed(book.members)}.values():
        own = sum(who == m.participant and held[s].group == m.group and m.active_on(held[s].day) for s, who in present)
        if own and own >= Fraction(1, 2) * sum(s.group == m.group for s in held.values()):
            done.add(m.participant)
    assert {ledger.roll.people[at] for at in found.completers} == done


def test_flagged() -> None:
    import numpy as np

    assert flagged(np.array([3, 1, 3]), 5).tolist() == [1, 3]


def test_what_a_completer_needs_at_least_is_the_least_of_the_groups_that_met() -> None:
    """Half of 4 sessions is 2, half of 6 is 3, of one it is that one; a group that did not meet has no say."""
    sessions = [
        session(f"{name}{at}", name, at) for name, many in (("A", 4), ("B", 6), ("D", 1)) for at in range(1, many + 1)
    ]
    ledger = attend(programme([group(name) for name in "ABCD"], [member("p", "A")], sessions, ()), no_kits).ledger
    half = Share(of_all=Fraction(1, 2))
    assert [count(ledger, half, set(names)).least_presents for names in ("A", "B", "AB", "BC", "AD")] == [2, 3, 2, 3, 1]
