"""What one workbook hands over: who came how often for whom, and what may stand beside its funders' documents."""

from fractions import Fraction
from typing import Any

import pytest
from plan.people_support import funder, group, marks, member, pick_up, programme, session

from opsreport.plan.people.sites import MEASURES, Came, Site, Visit, site_of
from opsreport.plan.people_plan import plan_people
from opsreport.programme import Programme

F, G = (("F", Fraction(1)),), (("G", Fraction(1)),)


def made(book: Programme) -> Site:
    return site_of("w", book, plan_people(book, {}))


def by_code(site: Site) -> dict[str, Came]:
    return {one.person: one for one in site.came}


def test_visits_are_told_by_funder() -> None:
    """P1 comes to both groups, P2 once to a group that F pays for, V visits it. F pays until the second session."""
    book = programme(
        [group("A", funders=F), group("B", funders=F), group("C")],
        [member("P1", "A", "H1"), member("P1", "B", "H1"), member("P2", "A"), member("V", "C"), member("N", "A")],
        [session("a1", "A", 1), session("a2", "A", 2), session("b1", "B", 2), session("c1", "C", 3)],
        [*marks({"P1": "PP", "P2": "PA", "V": "P.", "N": "AA"}, ("a1", "a2")), *marks({"P1": "P"}, ("b1",)),
         *marks({"V": "P"}, ("c1",))],
        funders=[funder("F", 1, 2)], small=0, report_by=(), pick_ups=[pick_up("a1", "H1", "collected")],
    )  # fmt: skip
    site = made(book)
    assert {who: one.visits for who, one in by_code(site).items()} == {
        "P1": {0: Visit("", 3, True)}, "P2": {0: Visit("A", 1, False)}, "V": {0: Visit("", 1, False)},
    }  # fmt: skip
    (part,) = site.funders
    assert (part.households, part.meetings) == (3, {"A": (2, 2), "B": (1, 1)})
    assert part.groups == (("A", Fraction(1)), ("B", Fraction(1)))


def test_who_is_on_their_own_has_no_household_to_be_known_by() -> None:
    book = programme(
        [group("A")], [member("P1", "A", "H1"), member("P2", "A"), member("P3", "A", "p3")], [session("a1", "A", 1)],
        marks(dict.fromkeys(("P1", "P2", "P3"), "P"), ("a1",)), small=0,
    )  # fmt: skip
    assert {who: one.household for who, one in by_code(made(book)).items()} == {"P1": "h1", "P2": "", "P3": ""}


def test_somebody_whom_no_funder_pays_for_has_no_visit() -> None:
    book = programme(
        [group("A", funders=F), group("B")], [member("P1", "B")], [session("b1", "B", 1)], marks({"P1": "P"}, ("b1",)),
        funders=[funder("F")], small=0,
    )  # fmt: skip
    assert by_code(made(book))["P1"].visits == {}


def two_groups(of_a: int, of_b: int, absent: int = 0, **paid: Any) -> Site:
    """Groups A and B of two sessions each, with so many who come always and, of A, some who come once."""
    people = {f"a{at}": "PP" for at in range(of_a)} | {f"x{at}": "PA" for at in range(absent)}
    others = {f"b{at}": "PP" for at in range(of_b)}
    return made(programme(
        [group("A", funders=paid.get("A", F)), group("B", funders=paid.get("B", ()))],
        [*(member(who, "A") for who in people), *(member(who, "B") for who in others)],
        [session(f"{letter}{at}", letter.upper(), at) for letter in "ab" for at in (1, 2)],
        [*marks(people, ("a1", "a2")), *marks(others, ("b1", "b2"))], funders=[funder("F"), funder("G")], report_by=(),
    ))  # fmt: skip


@pytest.mark.parametrize(
    ("site", "open_"),
    [
        (two_groups(20, 20), set(MEASURES)),
        (two_groups(20, 20, B=G), set(MEASURES)),
        (two_groups(20, 3), set()),  # three of whom the funder's document tells nothing
        (two_groups(20, 3, B=G), set()),  # which G's document hides
        (two_groups(20, 20, absent=3), set(MEASURES) - {"completers", "contacts"}),  # the document hides who completed
        (two_groups(20, 0), set(MEASURES)),
        (two_groups(3, 20, A=(), B=F), set()),  # nobody pays for the three
    ],
)
def test_what_may_stand_beside_the_funders_documents(site: Site, open_: set[str]) -> None:
    assert site.open == open_
