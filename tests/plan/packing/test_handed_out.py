"""Packed = collected + passed on + left + discarded + not known; what goes back is whole and from the shelf."""

import datetime as dt
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.packing.handed_out import HandedOut, Returned, handed_out

AS_OF = dt.date(2027, 3, 10)
SHEETS = {
    "Sessions": "Session | Group | Date | Recipes | Status\nS1 | g1 | @2027-03-04 | soup | delivered",
    "Enrolment": "Participant | Group | Household | Servings | Needs\n"
    "p1 | g1 | H1 | 4 | none\np2 | g1 | H2 | 8 | none\np3 | g1 | H3 | 4 | none\np4 | g1 | H4 | 4 | none",
    "Recipes": (
        "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | canned tomatoes | 2 | can\n"
        "soup | | red lentils | 1 | cup\nsoup | | onion | 1 |"
    ),
    "Ingredients": "Ingredient | State | Storage | Grams each | Per kit\ncanned tomatoes | whole | shelf | 411 | whole",
}  # fmt: skip


def told(*rows: str) -> tuple[tuple[HandedOut, ...], tuple[Returned, ...]]:
    found, _ = read(term({**SHEETS, "Pick-ups": "Session | Household | Kit\n" + "\n".join(rows)}), AS_OF)
    return handed_out(build_programme(found, AS_OF))


def test_every_kit_is_accounted_for() -> None:
    (kits,), _ = told("S1 | H1 | collected", "S1 | H2 | left", "S1 | H3 | passed on")
    assert (kits.packed, kits.collected, kits.left, kits.passed_on, kits.discarded) == (6, 1, 1, 1, 0)
    assert (kits.unknown, kits.extra) == (3, 2)  # H4, one spare and one demo kit


def test_a_kit_that_was_short_was_not_packed() -> None:
    (kits,), _ = told("S1 | H1 | short", "S1 | H2 | collected")
    assert (kits.packed, kits.short, kits.unknown) == (5, 1, 4)


def test_whole_pieces_from_the_shelf_go_back_and_nothing_else() -> None:
    _, back = told("S1 | H1 | left", "S1 | H2 | left", "S1 | H3 | discarded")
    assert back == (Returned("S1", "canned tomatoes", Fraction(6), "can"),)


def test_kits_of_one_sort_left_by_two_households_go_back_together() -> None:
    """Kits for 4 hold 2 cans, the one for 8 holds 4."""
    assert told("S1 | H1 | left", "S1 | H3 | left")[1] == (Returned("S1", "canned tomatoes", Fraction(4), "can"),)
    _, back = told("S1 | H1 | left", "S1 | H2 | left", "S1 | H3 | left")
    assert back == (Returned("S1", "canned tomatoes", Fraction(8), "can"),)


def test_without_pick_ups_nothing_is_said() -> None:
    found, _ = read(term(SHEETS), AS_OF)
    assert handed_out(build_programme(found, AS_OF)) == ((), ())


@settings(deadline=None, max_examples=20)
@given(st.lists(st.sampled_from(("collected", "left", "passed on", "discarded", "short")), max_size=4))
def test_the_loop_closes_whatever_was_written(fates: list[str]) -> None:
    sessions, _ = told(*(f"S1 | H{number} | {fate}" for number, fate in enumerate(fates, 1)))
    for kits in sessions:
        counted = kits.collected + kits.passed_on + kits.left + kits.discarded
        assert kits.packed + kits.short == 6
        assert counted + kits.unknown == kits.packed
        assert kits.unknown == 6 - len(fates)
