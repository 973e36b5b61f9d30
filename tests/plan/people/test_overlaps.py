"""Documents laid over one another: who is seen where, counted by hand."""

from fractions import Fraction

import numpy as np
from plan.people_support import THREE_QUARTERS, group, marks, member, programme, session

from opsreport.plan.people.ledger import keep_ledger
from opsreport.plan.people.overlaps import Overlaps, possible

SESSIONS = [session("A1", "A", 1), session("A2", "A", 8, minutes=90), session("A3", "A", 15), session("B1", "B", 1)]
GRID = {"p": "PP.", "q": "P..", "r": ".PP", "s": "..P"}


def overlaps(*documents: str) -> Overlaps:
    """documents: their sessions, separated by spaces. p and q share a household; t is in B, and visits A3."""
    people = [member("p", "A", "H"), member("q", "A", "H"), member("r", "A"), member("s", "A"), member("t", "B")]
    grid = (*marks(GRID, ["A1", "A2", "A3"]), *marks({"t": "P"}, ["B1"]), *marks({"t": "P"}, ["A3"]))
    book = programme([group("A"), group("B")], people, SESSIONS, grid)
    return Overlaps(keep_ledger(book), THREE_QUARTERS, [frozenset(each.split()) for each in documents])


def test_who_is_seen_in_which_documents() -> None:
    """Document 0 counts A1 and A2, document 1 A2 and A3: p and r came to A2, q to A1 only, s and t to A3 only."""
    found = overlaps("A1 A2", "A2 A3", "B1")
    assert found.people.counts() == {(0, (0,)): 1, (0, (0, 1)): 2, (0, (1,)): 2, (1, (2,)): 1}
    assert found.homes.counts() == {(0, (0, 1)): 2, (0, (1,)): 2, (1, (2,)): 1}  # H is seen in both
    of = found.people.of == found.ledger.roll.people.index("t")
    assert found.people.counts(of) == {(0, (1,)): 1, (1, (2,)): 1}


def test_parts_and_who_completed_them() -> None:
    """Three quarters of two sessions are both: p did of A1 and A2, r of A2 and A3; t visited only."""
    found = overlaps("A1 A2", "A2 A3", "B1", "B1")
    assert [(part.group, part.documents, part.needed) for part in found.parts] == [
        (0, (0,), 2), (0, (1,), 2), (1, (2, 3), 1),
    ]  # fmt: skip
    assert list(found.completers().values()) == [1, 1, 1]
    nobody = np.zeros(len(found.ledger.roll.people), bool)
    assert list(found.completers(nobody).values()) == [0, 0, 0]


def test_contacts_by_documents_and_minutes() -> None:
    assert overlaps("A1 A2", "A2 A3", "B1").contacts() == {
        (0, (0,), Fraction(60)): 2,
        (0, (0, 1), Fraction(90)): 2,
        (0, (1,), Fraction(60)): 3,
        (1, (2,), Fraction(60)): 1,
    }


def test_where_somebody_could_be_seen() -> None:
    """Nobody could be seen in a part alone whose sessions the others count too."""
    apart = overlaps("A1", "A2")
    assert possible(apart.parts, ()) == [(0, (0,)), (0, (0, 1)), (0, (1,))]
    within = overlaps("A1", "A1 A2")
    assert possible(within.parts, ()) == [(0, (0, 1)), (0, (1,))]


def test_documents_of_nothing() -> None:
    found = overlaps("", "A1")
    assert (found.people.counts(), len(found.parts)) == ({(0, (1,)): 2}, 1)
    assert overlaps("").people.counts() == {}
