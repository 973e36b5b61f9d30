"""Who is one person in several workbooks, and which unions may be told."""

from collections.abc import Mapping

import pytest

from opsreport.plan.people.sites import Came, Site
from opsreport.plan.people.who_is_who import Unions, homes_once, people_once
from opsreport.plan.people_model import Totals


def site(*came: Came, programme: str = "Kitchens") -> Site:
    return Site("w", programme, "", 10, Totals(), came)


def came(person: str, household: str = "", **told: str) -> Came:
    return Came(person, household, completer=False, told=told)


def test_one_person_in_two_workbooks_is_one_and_brings_the_households_together() -> None:
    """P1 of h1 is in both; so P2 and P3, of h1 in either workbook, are of one household, and P4 of another."""
    sites = [site(came("P1", "h1"), came("P2", "h1")), site(came("p1", "h1"), came("P3", "h1"), came("P4"))]
    people, apart = people_once(sites)
    homes = homes_once(sites, people)
    assert sorted([at for at, _ in rows] for rows in people) == [[0], [0, 1], [1], [1]]
    assert sorted(sorted(one.person for _, one in rows) for rows in homes) == [["P1", "P2", "P3", "p1"], ["P4"]]
    assert apart == 0


@pytest.mark.parametrize(
    "other",
    [site(came("P1", "h1"), programme="Gardens"), site(came("P1", "h2")), site(came("P1")),
     site(came("P1", "h1", town="ash"))],
)  # fmt: skip
def test_who_differs_is_counted_apart(other: Site) -> None:
    people, apart = people_once([site(came("P1", "h1", town="oak")), other])
    assert (len(people), apart) == (2, 1)


@pytest.mark.parametrize(
    "both", [site(came("P1", "h1"), programme=""), site(came("P1")), site(came("P1"), programme="")]
)
def test_nobody_is_known_again_without_a_household_or_in_a_programme_without_a_name(both: Site) -> None:
    people, apart = people_once([both, both])
    assert (len(people), apart) == (2, 1)


def lists(**many: int) -> dict[int, set[str]]:
    """So many things in each choice of lists: `ab=3` are three in a and b."""
    found: dict[int, set[str]] = {}
    for places, number in many.items():
        found |= {len(found) + at: set(places) for at in range(number)}
    return found


@pytest.mark.parametrize(
    ("seen", "told"),
    [
        (lists(a=20, b=20), True),
        (lists(a=20, b=20, ab=3), False),
        (lists(a=20, b=20, ab=11), True),
        (lists(a=3, b=20, ab=11), False),  # b alone and those in both tell of the 3
        (lists(a=20, b=20, c=20, ab=6, bc=6), True),  # nobody can tell 6 and 6 from 5 and 7
        (lists(ab=20, bc=20), False),  # nobody is in one only, beside whom others could be
        (lists(ab=20, bc=20, abc=3), False),
    ],
)
def test_what_is_few_beside_the_lists_own_numbers_is_not_told(seen: Mapping[int, set[str]], told: bool) -> None:
    assert Unions(10).accept(seen) is told
    assert Unions(0).accept(seen), "where no count is small, all is told"


def test_two_unions_are_held_to_each_other() -> None:
    """12 in both lists of the one, 15 of the other: three of them are in the other only."""
    unions = Unions(10)
    assert unions.accept(lists(ab=12, a=30, b=30))
    assert not unions.accept(lists(ab=15, a=30, b=30))
    assert unions.accept(lists(ab=12, a=40, b=30))


def test_how_many_are_in_several_is_a_sum_like_another() -> None:
    unions = Unions(10)
    assert not unions.accept_sum(dict.fromkeys(range(4), 1))
    assert unions.accept_sum(dict.fromkeys(range(11), 1))
