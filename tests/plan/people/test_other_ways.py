"""How one document's hidden figures could be otherwise: every way is tried out on the programme itself."""

from collections.abc import Mapping
from fractions import Fraction

import pytest
from plan.people_support import funder, group, marks, member, programme, session

from opsreport.plan.people.other_ways import Guest, ways_of
from opsreport.plan.people.sites import MEASURES, FunderPart, Visit, site_of
from opsreport.plan.people_plan import plan_people

SESSIONS = ("s1", "s2", "s3", "s4")


def part_of(grid: Mapping[str, str], homes: Mapping[str, str], small: int = 10) -> tuple[FunderPart, list[Guest]]:
    """A funder's part of a workbook with one group of four sessions, and whom it counts. grid: marks by participant."""
    members = [member(who, "A", homes.get(who, "")) for who in grid]
    sessions = [session(name, "A", at) for at, name in enumerate(SESSIONS, 1)]
    book = programme(
        [group("A", funders=(("F", Fraction(1)),))], members, sessions,
        marks(grid, SESSIONS), funders=[funder("F")], small=small, report_by=(),
    )  # fmt: skip
    site = site_of("w", book, plan_people(book, {}))
    number = {home: at for at, home in enumerate(sorted({one.home for one in site.came}))}
    return site.funders[0], [Guest(one.visits[0], number[one.home], alone=True) for one in site.came]


def figures(part: FunderPart, guests: list[Guest]) -> dict[str, int]:
    visits = [guest.visit for guest in guests]
    counts = (
        len(visits),
        sum(v.completer for v in visits),
        part.households,
        sum(v.contacts for v in visits),
        part.kits,
    )
    return dict(zip(MEASURES, counts, strict=True))


def shown(part: FunderPart) -> dict[str, str]:
    """What it prints, kits apart."""
    return {m.measure: m.shown for m in part.report.measures if m.measure in MEASURES[:4]}


def test_every_way_is_a_programme_that_prints_the_same() -> None:
    """Three people of two households, who came 4, 3 and 1 times. All programmes of two to four people of two or three
    households whose document looks the same are tried: no way leads to figures that none of them has."""
    grid, homes = {"a": "PPPP", "b": "PPPA", "c": "PAAA"}, {"a": "H1", "b": "H1", "c": "H2"}
    part, guests = part_of(grid, homes)
    here = figures(part, guests)
    possible = set()
    rows = ("PAAA", "PPAA", "PPPA", "PPPP")
    for many in (2, 3, 4):
        for number in range(4**many):
            other = {f"x{at}": rows[number // 4**at % 4] for at in range(many)}
            for shared in range(many):
                its, they = part_of(other, {f"x{at}": f"h{max(at, shared)}" for at in range(many)})
                if shown(its) == shown(part):
                    there = figures(its, they)
                    possible.add(tuple(there[measure] - here[measure] for measure in MEASURES[:4]))
    ways = {way[:4] for way in ways_of(part, guests, here) if not way[4]}
    assert ways - possible == set()
    assert {(1, 0, 0, 1), (-1, -1, 0, -4), (0, -1, 0, -1)} <= ways


@pytest.mark.parametrize(
    ("homes", "moves"),
    [({}, {-1}), ({"a": "H", "b": "H", "c": "H"}, {1}), ({"a": "H", "b": "H"}, {-1, 1})],
)  # fmt: skip
def test_as_many_households_more_or_fewer_as_people_can_move(homes: Mapping[str, str], moves: set[int]) -> None:
    """Three people: who are alone can only move together, those of one household only apart."""
    part, guests = part_of({"a": "PPPP", "b": "PPPA", "c": "PAAA"}, homes)
    ways = ways_of(part, guests, figures(part, guests))
    assert {way[2] for way in ways if (way[:2], way[3:]) == ((0, 0), (0, 0))} == moves


def test_what_is_shown_does_not_change_and_a_small_count_stays_small() -> None:
    """30 who came to all but one of four sessions, and 10 once: 11 who did not complete would look otherwise."""
    part, guests = part_of({f"a{at}": "PPPA" for at in range(30)} | {f"b{at}": "PAAA" for at in range(10)}, {})
    assert part.hidden == {"completers", "contacts"}
    ways = ways_of(part, guests, figures(part, guests))
    assert {(*way[:3], way[4]) for way in ways} == {(0, 0, 0, 0), (0, 1, 0, 0)}
    plain, all_of_them = part_of({f"a{at}": "PPPA" for at in range(30)}, {})
    assert ways_of(plain, all_of_them, figures(plain, all_of_them)) == frozenset()


def test_who_is_counted_elsewhere_too_is_not_taken_away() -> None:
    part, guests = part_of({"a": "PPPP", "b": "PPPP"}, {})
    lone = [Guest(guest.visit, guest.home, alone=False) for guest in guests]
    assert not any(way[0] < 0 for way in ways_of(part, lone, figures(part, lone)))
    assert Visit("A", 4, True) == guests[0].visit
