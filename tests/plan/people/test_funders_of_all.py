"""Funders of several workbooks: people once, sums by hand, what may be told and what not."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from plan.people_support import answers, cents, funder, group, marks, member, pick_up, programme, question, session

from opsreport.money import Currency
from opsreport.plan.people.funders_of_all import FunderOfAll, add_up
from opsreport.plan.people.sites import Site, site_of
from opsreport.plan.people_model import Measure
from opsreport.plan.people_plan import plan_people
from opsreport.programme import Programme
from opsreport.sheets import FunderRow
from opsreport.tables.reports.funder_of_all import funder_of_all
from opsreport.tables.table import Prose


def book(
    grid: Mapping[str, str], homes: Mapping[str, str] | None = None, funders: Sequence[FunderRow] = (funder("F"),),
    minutes: int = 60, small: int = 0, **more: Any,
) -> Programme:  # fmt: skip
    """A workbook with a group A, paid by its funders in equal shares, of two sessions. grid: marks by participant."""
    shares = tuple((row.funder, Fraction(1, len(funders))) for row in funders)
    settings: dict[str, Any] = {"programme": "Kitchens", "report_by": ()} | more
    members = [member(who, "A", (homes or {}).get(who, "")) for who in grid]
    return programme(
        [replace(group("A", funders=shares), name="Ash Lane")], members,
        [session("s1", "A", 1, minutes=minutes), session("s2", "A", 8, minutes=minutes)],
        marks(grid, ("s1", "s2")), funders=funders, small=small, **settings,
    )  # fmt: skip


def site(name: str, of: Programme, costs: Mapping[str, int] | None = None) -> Site:
    return site_of(name, of, plan_people(of, {session: cents(cost) for session, cost in (costs or {}).items()}))


def shown(measures: Sequence[Measure]) -> dict[str, str]:
    return {measure.measure: measure.shown for measure in measures}


def the_funder(*books: Programme) -> FunderOfAll:
    (found,) = add_up([site(f"w{at}", of) for at, of in enumerate(books)]).funders
    return found


NORTH = book({"P1": "PP", "P2": "PA", "P3": "AA"}, {"P1": "H1", "P2": "H1"},
             pick_ups=[pick_up("s1", "H1", "collected")])  # fmt: skip
SOUTH = book({"P1": "AP", "P9": "PP"}, {"P1": "H1"}, minutes=90,
             pick_ups=[pick_up("s1", "H1", "passed on"), pick_up("s2", "P9", "collected")])  # fmt: skip


def test_people_are_counted_once_and_the_rest_adds_up() -> None:
    """P1 of H1 comes to both and completes the first; P2 lives in H1 too; P9 alone. 3 contacts of an hour and 3 of an
    hour and a half. One kit is recorded in the north; for the second session the two packed count."""
    found = the_funder(NORTH, SOUTH)
    assert shown(found.measures) == {
        "sessions": "4", "people": "3", "households": "2", "contacts": "6", "completion": "66.7%", "completers": "2",
        "contact_hours": "7.5", "kits": "5",
    }  # fmt: skip
    north, south = (shown(line.report.measures) for line in found.lines)
    assert (north["people"], north["households"], north["completers"], north["kits"]) == ("2", "1", "1", "3")
    assert (south["people"], south["households"], south["completers"], south["kits"]) == ("2", "2", "1", "2")
    assert [line.groups for line in found.lines] == [(("Ash Lane", Fraction(1)),)] * 2


@pytest.mark.parametrize("other", [{"programme": "Gardens"}, {"programme": ""}])
def test_of_other_programmes_nobody_is_the_same(other: dict[str, str]) -> None:
    apart = book({"P1": "AP", "P9": "PP"}, {"P1": "H1"}, **other)
    assert shown(the_funder(NORTH, apart).measures)["people"] == "4"


def test_a_funder_of_one_workbook_has_its_own_report_only() -> None:
    assert add_up([site("a", NORTH), site("b", book({"P7": "PP"}, funders=[funder("G")]))]).funders == ()


def trust(code: str, *days: int) -> FunderRow:
    return replace(funder(code, *days), name="Larkmere Trust")


def test_funders_go_by_name_and_where_a_workbook_has_two_of_a_name_by_code() -> None:
    one, other = book({"P1": "PP"}, funders=[trust("F")]), book({"P2": "PP"}, funders=[trust("L")])
    (found,) = add_up([site("a", one), site("b", other)]).funders
    assert (found.name, len(found.lines)) == ("Larkmere Trust", 2)
    other = book({"P2": "PP"}, funders=[replace(funder("L"), name="larkmere  TRUST")])
    (found,) = add_up([site("a", one), site("b", other)]).funders
    assert (found.name, len(found.lines)) == ("Larkmere Trust", 2), "as the first spells it"
    two = book({"P3": "PP"}, funders=[trust("F", 1, 3), trust("L", 4, 9)])
    assert add_up([site("a", one), site("b", two)]).funders == ()
    both = add_up([site("a", two), site("b", two)]).funders
    assert [[line.report.funder for line in each.lines] for each in both] == [["F", "F"], ["L", "L"]]


def test_money_is_added_by_currency() -> None:
    """12.50 and 1.25 dollars, 3 euros."""
    euros = book({"P5": "PP"}, currency=Currency("EUR"))
    sites = [site("a", NORTH, {"s1": 1250}), site("b", SOUTH, {"s2": 125}), site("c", euros, {"s1": 300})]
    (found,) = add_up(sites).funders
    assert [(code, shown(of)["cost"]) for code, of in found.money] == [("USD", "$13.75"), ("EUR", "€3.00")]


def test_money_that_one_workbook_does_not_know_is_not_known_of_all() -> None:
    stopped = site_of("b", SOUTH, plan_people(SOUTH, None))
    (found,) = add_up([site("a", NORTH, {"s1": 1250}), stopped]).funders
    assert shown(found.money[0][1])["cost"] == "not available"


def many(prefix: str, number: int, marks: str = "PP") -> dict[str, str]:
    return {f"{prefix}{at}": marks for at in range(number)}


def test_what_one_workbook_hides_is_not_told_by_the_sum() -> None:
    """40 of one and 8 of another: 48 would tell the 8."""
    found = the_funder(book(many("a", 40), small=10), book(many("b", 8), small=10))
    assert shown(found.measures)["people"] == shown(found.measures)["contacts"] == "hidden"


def test_what_several_hide_is_told_where_each_could_be_another() -> None:
    """8, 7 and 6 of three workbooks, all at both sessions: one more here and one less there would look the same."""
    found = the_funder(*(book(many(str(number), number), small=10) for number in (8, 7, 6)))
    told = shown(found.measures)
    assert (told["people"], told["completers"], told["contacts"], told["households"]) == ("21", "21", "42", "21")
    assert [shown(line.report.measures)["people"] for line in found.lines] == ["1–10"] * 3
    assert told["contact_hours"] == "hidden"  # how long a session lasts, differs


def test_the_sum_of_several_is_not_told_where_it_leaves_them_no_room() -> None:
    """10 and 10 of two that hide up to 10: whoever knows 20 knows both."""
    found = the_funder(*(book(many(prefix, 10), small=10) for prefix in "ab"))
    assert shown(found.measures)["people"] == "hidden"


def test_a_small_sum_is_not_told() -> None:
    found = the_funder(*(book(many(prefix, 4), small=10) for prefix in "ab"))
    assert shown(found.measures)["people"] == "hidden"


def of_household(people: Mapping[str, str]) -> dict[str, str]:
    return {who: f"h{who}" for who in people}


@pytest.mark.parametrize(("shared", "told"), [(0, "60"), (3, "hidden"), (12, "48"), (25, "hidden")])
def test_how_many_are_in_both_is_not_told_where_they_are_few(shared: int, told: str) -> None:
    """30 in each of two workbooks: 3 in both are few; with 25 in both, 5 in one only would be."""
    one = many("s", shared) | many("a", 30 - shared)
    other = many("s", shared) | many("b", 30 - shared)
    found = the_funder(*(book(people, of_household(people), small=10) for people in (one, other)))
    assert shown(found.measures)["people"] == told
    assert found.sums == ({} if told != "hidden" else {"people": 60, "households": 60, "completers": 60})


def test_the_attendance_of_all_is_hidden_beside_the_funders_documents() -> None:
    """40 in each: of one 8 completers, which its funder's document hides; who are not is not told either."""
    plain, few = book(many("a", 40), small=10), book(many("b", 8) | many("c", 32, "PA"), small=10)
    attendance = add_up([site("a", plain), site("b", few)]).attendance
    assert attendance is not None
    assert [(line.people, line.completers) for line in attendance.sites] == [(40, 40), (40, "hidden")]
    assert (attendance.all.people, attendance.all.completers, attendance.all.completion) == (80, 40, None)
    assert attendance.shown["completers"] == 1


def test_a_workbooks_people_beside_those_of_a_funder_are_hidden_where_few_others_came() -> None:
    """A funder pays for the group of 40; 3 more came to another."""
    people = many("a", 40) | many("x", 3)
    members = [member(who, "A" if who[0] == "a" else "B") for who in people]
    few = programme(
        [group("A", funders=(("F", Fraction(1)),)), group("B")], members,
        [session("s1", "A", 1), session("s2", "B", 1)],
        [*marks(many("a", 40, "P"), ("s1",)), *marks(many("x", 3, "P"), ("s2",))], funders=[funder("F")], report_by=(),
    )  # fmt: skip
    attendance = add_up([site("a", few), site("b", book(many("b", 40), small=10))]).attendance
    assert attendance is not None
    assert [line.people for line in (*attendance.sites, attendance.all)] == ["hidden", 40, 40]


def test_a_document_linked_to_another_funders_tells_no_sum_of_what_it_hides() -> None:
    """F and G share the groups of three workbooks, G alone has the fourth: 21 and 30 would tell its 9."""
    both = [funder("F"), funder("G")]
    books = [book(many(str(n), n), funders=both, small=10) for n in (8, 7, 6)]
    alone = book(many("z", 9), funders=[funder("G")], small=10)
    found = add_up([site(str(at), of) for at, of in enumerate((*books, alone))]).funders
    assert [shown(each.measures)["people"] for each in found] == ["hidden", "hidden"]
    same = add_up([site(str(at), of) for at, of in enumerate(books)]).funders
    assert [shown(each.measures)["people"] for each in same] == ["21", "21"]


def test_the_order_of_workbooks_decides_nothing() -> None:
    asked = {"questions": [question("Q")], "surveys": answers("Q", {"P1": "1", "P9": "3"}, {"P1": "4", "P9": "3"})}
    books = [NORTH, SOUTH, book({"P1": "PP", "P9": "AP"}, {"P1": "H1"}, **asked), book({"P9": "PP"}, **asked)]
    sites = [site(f"w{at}", of) for at, of in enumerate(books)]
    first, second = add_up(sites), add_up(sites[::-1])
    assert first.funders[0].measures == second.funders[0].measures
    assert first.funders[0].outcomes.outcomes == second.funders[0].outcomes.outcomes != ()
    assert first.attendance is not None
    assert second.attendance is not None
    assert first.attendance.all == second.attendance.all


def test_what_the_workbooks_small_count_hides_is_not_said_to_be_shown() -> None:
    """The funder hides nothing, the workbooks hide counts up to 5: that one of few is in both is not told."""
    books = (
        book({"P1": "PP", "P2": "PP", "P3": "PP"}, {"P1": "H1"}, funders=[funder("F", small_count=0)], small=5),
        book({"P1": "PP", "P8": "PP", "P9": "PP"}, {"P1": "H1"}, funders=[funder("F", small_count=0)], small=5),
    )
    found = the_funder(*books)
    assert (found.small, shown(found.measures)["people"]) == (0, "hidden")
    prose = [part for part in funder_of_all(found, "f", "", ()).parts if isinstance(part, Prose)]
    (why,) = (part.sentences for part in prose if part.title == "What is not shown, and why")
    assert "Nothing had to be hidden." not in why
    assert any("that a few people are in several workbooks" in sentence for sentence in why)
