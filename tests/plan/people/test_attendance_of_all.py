"""Several workbooks' attendance together: who is one person, and what may be printed."""

import dataclasses
import random
from collections.abc import Mapping
from fractions import Fraction

import pytest
from plan.people_support import group, marks, member, programme, session

from opsreport.plan.people.attendance_of_all import Combined, combine, combine_beside
from opsreport.plan.people.hiding import HIDDEN
from opsreport.plan.people.sites import MEASURES, Came, Site, site_of
from opsreport.plan.people.who_is_who import Unions, homes_once, people_once
from opsreport.plan.people_model import Totals
from opsreport.plan.people_plan import uncharged_people

SESSIONS = ("s1", "s2")


def site(
    name: str,
    grid: Mapping[str, str],
    homes: Mapping[str, str] | None = None,
    called: str = "Kitchens",
    small: int = 0,
    **extra: Mapping[str, str],
) -> Site:
    """One workbook with a group of two sessions. grid: marks by participant. extra: a further column by participant."""
    members = [
        member(who, "G", (homes or {}).get(who, ""), **{key: column.get(who, "") for key, column in extra.items()})
        for who in grid
    ]
    book = programme(
        [group("G")], members, [session("s1", "G", 1), session("s2", "G", 8)], marks(grid, SESSIONS),
        small=small, programme=called,
    )  # fmt: skip
    return site_of(name, book, uncharged_people(book))


def heads(found: Combined) -> list[tuple[object, ...]]:
    """People, households and completers, of each and then of all."""
    return [(line.people, line.households, line.completers) for line in (*found.sites, found.all)]


def test_the_same_codes_in_one_programme_are_one_person() -> None:
    """P1 and P2 live in H1. P1 comes to both, and completes the second; P3 comes to neither session."""
    north = site("north", {"P1": "PA", "P2": "PP", "P3": "AA"}, {"P1": "H1", "P2": "H1"})
    south = site("south", {"p1": "PP", "P9": "P."}, {"p1": "h1"})
    found = combine([north, south])
    assert heads(found) == [(2, 1, 1), (2, 2, 1), (3, 2, 2)]
    assert (found.joined, found.apart) == (1, 0)
    assert (found.all.contacts, found.all.contact_hours, found.all.sessions_delivered) == (6, 6, 4)
    assert found.all.completion == Fraction(2, 3)


@pytest.mark.parametrize(
    "south",
    [
        site("south", {"P1": "PP"}, {"P1": "H1"}, called="Gardens"),  # another programme
        site("south", {"P1": "PP"}, {"P1": "H2"}),  # another household
        site("south", {"P1": "PP"}),  # no household
        site("south", {"P1": "PP"}, {"P1": "H1"}, age_band={"P1": "60+"}),  # another age
    ],
)
def test_a_code_alone_makes_nobody_the_same(south: Site) -> None:
    north = site("north", {"P1": "PP"}, {"P1": "H1"}, age_band={"P1": "18-59"})
    found = combine([north, south])
    assert heads(found) == [(1, 1, 1), (1, 1, 1), (2, 2, 2)]
    assert (found.joined, found.apart) == (0, 1)


def test_codes_without_a_programme_or_a_household_are_counted_apart() -> None:
    nameless = [site(name, {"P1": "PP"}, {"P1": "H1"}, called="") for name in "ab"]
    homeless = [site(name, {"P1": "PP"}) for name in "ab"]
    assert combine(nameless).all.people == combine(homeless).all.people == 2


def test_what_one_leaves_open_contradicts_nothing() -> None:
    north = site("north", {"P1": "PP"}, {"P1": "H1"}, age_band={"P1": "60+"})
    assert combine([north, site("south", {"P1": "PP"}, {"P1": "H1"})]).all.people == 1


def made(name: str, people: Mapping[str, bool], small: int) -> Site:
    """A workbook in which so named people came once, each a household, and completed or not."""
    came = tuple(Came(who, f"h{who}", done, {}) for who, done in people.items())
    totals = Totals(
        1, 1, len(people), len(people), len(people), sum(people.values()), Fraction(len(people)), len(people)
    )
    return Site(name, "Kitchens", "", small, totals, came)


def test_small_counts_are_hidden_and_so_is_what_they_follow_from() -> None:
    """7 in one of three: of 7 + 40 + 50 = 97 another must be hidden too, and what rests on it."""
    parts = [("a", 7), ("b", 40), ("c", 50)]
    found = combine([made(name, {f"{name}{n}": True for n in range(many)}, 10) for name, many in parts])
    assert [line.people for line in (*found.sites, found.all)] == ["1–10", "hidden", 50, 97]
    assert [line.contacts for line in (*found.sites, found.all)] == ["1–10", "hidden", 50, 97]
    assert [line.contact_hours for line in found.sites] == [None, None, 50]
    assert [line.completion for line in found.sites] == [None, None, 1]


def test_of_workbooks_that_share_people_a_small_difference_hides_both() -> None:
    """40 and 45 with 38 of them the same: 2 and 7 would follow from 47 together."""
    shared = {f"p{n}": True for n in range(38)}
    one = made("a", shared | {"a1": True, "a2": True}, 10)
    other = made("b", shared | {f"b{n}": True for n in range(7)}, 10)
    found = combine([one, other])
    assert [line.people for line in (*found.sites, found.all)] == ["hidden", "hidden", 47]
    assert found.joined == 38


def test_no_small_count_follows_by_subtraction() -> None:
    """Random workbooks: whatever may be printed of people, completers and households, the plain difference of the
    total and all other printed parts is never a small count."""
    chance = random.Random(7)
    small = 5
    for _ in range(200):
        books = [
            made(name, {f"{name}{n}": chance.random() < 0.7 for n in range(chance.choice((0, 3, 6, 9, 20, 40)))}, small)
            for name in "abcd"
        ]
        found = combine(books)
        for figure in ("people", "completers", "households", "contacts", "kits"):
            everything, *each = [getattr(line, figure) for line in (found.all, *found.sites)]
            printed = [value for value in each if isinstance(value, int)]
            assert not any(1 <= value <= small for value in printed)
            if isinstance(everything, int) and len(printed) == len(each) - 1:
                assert not 1 <= everything - sum(printed) <= small


@pytest.mark.parametrize(("last", "shown"), [("PA", False), ("PP", True)])
def test_few_who_did_not_complete_hide_the_completers_of_all_beside_funders_documents(last: str, shown: bool) -> None:
    """Of ten people nine complete, and one does not; or all ten."""
    north = site("north", {**{f"P{number}": "PP" for number in range(4)}, "P4": last}, small=3)
    south = site("south", {f"Q{number}": "PP" for number in range(5)}, small=3)
    sites = [dataclasses.replace(each, open=frozenset(MEASURES)) for each in (north, south)]
    people, apart = people_once(sites)
    found = combine_beside(sites, people, homes_once(sites, people), apart, (Unions(3), Unions(3)))
    assert found.all.completers == (10 if shown else HIDDEN)
    assert found.all.people == 10
