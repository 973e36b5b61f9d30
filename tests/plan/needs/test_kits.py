"""Who needs what: kits, tables, batches, swaps and variants, from small workbooks."""

import datetime as dt
from dataclasses import replace
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import read, term

from opsreport.findings import Finding
from opsreport.joining import build_programme
from opsreport.kinds import Share
from opsreport.plan.needs.kits import (
    SessionKits,
    batches_for,
    delivered_kits,
    kits_of_meetings,
    kits_of_sessions,
    meetings,
    spare_kits,
)
from opsreport.programme import Group, Programme

F = Fraction
MONDAY = dt.date(2027, 1, 4)
PLAIN = "Setting | Value\nSpare kits | 0\nDemo kits | 0"
SESSION = "Session | Group | Date | Recipes\ns1 | g1 | @2027-01-14 | soup"
SOUP = "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 |\nsoup | | milk | 1 | cup"


def programme(**sheets: str) -> Programme:
    """A good workbook's programme on a Monday; no spare or demo kit unless Settings says so."""
    rows, _ = read(term({"Settings": PLAIN, "Sessions": SESSION, "Recipes": SOUP, **sheets}), MONDAY)
    return build_programme(rows, MONDAY)


def kits(**sheets: str) -> tuple[SessionKits, list[Finding]]:
    planned, findings = kits_of_sessions(programme(**sheets))
    return planned[0], findings


def told(found: SessionKits) -> list[tuple[int, str, str]]:
    """(kits, holders, swaps) by variant."""
    return [
        (kind.kits, " ".join(kind.holders), "; ".join(f"{food} > {instead}" for food, instead in kind.swaps))
        for kind in found.kinds
    ]


def counts(**sheets: str) -> list[int]:
    return [kind.kits for kind in kits(**sheets)[0].kinds]


def codes(findings: list[Finding]) -> list[tuple[str, str]]:
    return [(str(finding.place), finding.code) for finding in findings]


# --- which sessions count ---


@pytest.mark.parametrize(
    ("row", "needs_food"),
    [
        ("s1 | g1 | @2027-01-14 | soup | planned |", True),
        ("s1 | g1 | @2027-01-14 | soup | |", True),
        ("s1 | g1 | @2027-01-14 | soup | cancelled |", False),
        ("s1 | g1 | @2027-01-14 | soup | delivered |", False),
        ("s1 | g1 | @2027-01-03 | soup | planned |", False),  # past
        ("s1 | g1 | @2027-01-05 | soup | planned |", True),  # packed today
        ("s1 | g1 | @2027-01-04 | soup | planned |", False),  # already packed: last Friday
        ("s1 | g1 | @2027-01-04 | soup | planned | @2027-01-04", True),
        ("s1 | g1 | @2027-01-14 | soup | planned | @2027-01-01", False),  # already packed
        ("s1 | other | @2027-01-14 | soup | planned |", False),  # nobody in the group
    ],
)
def test_which_sessions_need_food(row: str, needs_food: bool) -> None:
    found = meetings(programme(Sessions=f"Session | Group | Date | Recipes | Status | Packing date\n{row}"))
    assert bool(found) is needs_food


def test_sessions_stand_by_packing_day_then_date_then_id() -> None:
    rows = "Session | Group | Date | Recipes | Packing date\n" + "\n".join(
        ["c | g1 | @2027-01-14 | soup |", "b | g1 | @2027-01-14 | soup |", "a | g1 | @2027-01-15 | soup | @2027-01-13",
         "d | g1 | @2027-01-21 | soup | @2027-01-06"]
    )  # fmt: skip
    assert [meeting.session.session for meeting in meetings(programme(Sessions=rows))] == ["d", "b", "c", "a"]


@pytest.mark.parametrize(
    ("row", "active"),
    [
        ("p1 | g1 | none | | | |", True),
        ("p1 | g1 | none | | @2027-01-14 | |", True),  # Joined <= date
        ("p1 | g1 | none | | @2027-01-15 | |", False),
        ("p1 | g1 | none | | | @2027-01-14 |", True),  # date <= Left
        ("p1 | g1 | none | | | @2027-01-13 |", False),
        ("p1 | g1 | none | waiting | | |", False),
        ("p1 | g1 | none | withdrawn | | @2027-01-14 |", True),  # still counts up to Left
        ("p1 | g1 | none | withdrawn | | @2027-01-13 |", False),
        ("p1 | g1 | none | withdrawn | | |", False),
    ],
)
def test_active_on_the_date_bounds_included(row: str, active: bool) -> None:
    found = meetings(programme(Enrolment=f"Participant | Group | Needs | Status | Joined | Left\n{row}"))
    assert bool(found) is active


def test_a_session_of_an_empty_group_has_no_spare_or_demo_kit_either() -> None:
    sheet = "Participant | Group | Needs | Left\np1 | g1 | none | @2027-01-13"
    planned, _ = kits_of_sessions(programme(Enrolment=sheet, Settings="Setting | Value\nDemo kits | 3"))
    assert planned == []


# --- batches ---


@pytest.mark.parametrize(
    ("servings", "recipe", "step", "batches"),
    [
        (None, "4", "1", "1"), (None, "4", "1/2", "1"), ("4", "4", "1", "1"), ("5", "4", "1", "2"), ("1", "4",
        "1", "1"),
        ("8", "4", "1", "2"), ("9", "4", "1", "3"), ("1", "4", "1/2", "1/2"), ("2", "4", "1/2", "1/2"),
        ("3", "4", "1/2", "1"), ("5", "4", "1/2", "3/2"), ("1", "4", "1/4", "1/4"), ("1", "100", "1/4", "1/4"),
        ("6", "4", "3/2", "3/2"), ("7", "4", "3/2", "3"),
    ],
)  # fmt: skip
def test_batches_are_the_smallest_multiple_of_the_step(
    servings: str | None, recipe: str, step: str, batches: str
) -> None:
    assert batches_for(None if servings is None else F(servings), F(recipe), F(step)) == F(batches)


@settings(max_examples=60, deadline=None)
@given(
    st.fractions(min_value="1/8", max_value=40, max_denominator=8), st.integers(1, 12),
    st.sampled_from([F(1), F(1, 2), F(1, 3), F(2)]),
)  # fmt: skip
def test_batches_feed_everyone_and_one_step_less_would_not(servings: Fraction, recipe: int, step: Fraction) -> None:
    batches = batches_for(servings, F(recipe), step)
    assert (batches / step).denominator == 1
    assert batches * recipe >= servings
    assert batches == step or (batches - step) * recipe < servings


def test_the_largest_servings_of_the_household_decide() -> None:
    sheet = (
        "Participant | Group | Household | Servings | Needs\n"
        "p1 | g1 | h1 | 3 | none\np2 | g1 | h1 | 9 | none\np3 | g1 | h1 | | none\np4 | g1 | h2 | 2 | none\n"
        "p5 | g1 | h3 | | none"
    )
    found, _ = kits(Enrolment=sheet)
    assert {holder: kind.batches["soup"] for kind in found.kinds for holder in kind.holders} == {
        "h1": 3,
        "h2": 1,
        "h3": 1,
    }


def test_servings_of_someone_not_active_do_not_count() -> None:
    sheet = (
        "Participant | Group | Household | Servings | Needs | Left\np1 | g1 | h1 | 3 | none |\n"
        "p2 | g1 | h1 | 9 | none | @2027-01-13"
    )
    assert [dict(kind.batches) for kind in kits(Enrolment=sheet)[0].kinds] == [{"soup": 1}]


def test_batches_stand_before_x2() -> None:
    sessions = SESSION.replace("soup", "soup x2")
    assert [dict(kind.batches) for kind in kits(Sessions=sessions)[0].kinds] == [{"soup": 1}]


# --- how many kits ---

SIX = "Participant | Group | Household | Needs\n" + "\n".join(f"p{n} | g1 | h{n // 2} | none" for n in range(6))


def test_one_kit_a_household_or_a_participant() -> None:
    assert counts(Enrolment=SIX) == [3]
    assert counts(Enrolment=SIX, Groups="Group | Kit for\ng1 | participant") == [6]
    assert counts(Enrolment="Participant | Group | Household | Needs\np1 | g1 | | none\np2 | g1 | | none") == [2]


@pytest.mark.parametrize(
    ("share", "kits_", "spare"),
    [
        (Share(of_all=F(1, 20)), 1, 1), (Share(of_all=F(1, 20)), 20, 1), (Share(of_all=F(1, 20)), 21, 2),
        (Share(of_all=F(0)), 20, 0), (Share(number=F(2)), 20, 2), (Share(of_all=F(1, 20)), 0, 0), (Share(), 9, 0),
    ],
)  # fmt: skip
def test_spare_kits_are_a_percentage_rounded_up_or_a_number(share: Share, kits_: int, spare: int) -> None:
    assert spare_kits(Group("g", spare=share), kits_) == spare


def test_a_spare_percentage_is_of_all_kits_before_spare_and_demo() -> None:
    """3 of 6 kits are swapped: half of all six are 3 spare ones, all standard."""
    enrolment = SIX.replace("h0 | none", "h0 | no milk")
    found, _ = kits(
        Enrolment=enrolment,
        Groups="Group | Kit for | Spare kits | Demo kits\ng1 | participant | 50% | 2",
        Swaps="Ingredient | Need | Use instead\nmilk | no milk | leave out",
    )
    assert [(kind.count, kind.spare, kind.demo) for kind in found.kinds] == [(4, 3, 2), (2, 0, 0)]


def test_usual_spare_and_demo_kits() -> None:
    """5 % rounded up and one demo kit, where Settings says nothing."""
    assert counts(Enrolment=SIX, Settings="Setting | Value\nPaper | A4") == [5]


def test_a_group_overrides_settings() -> None:
    groups = "Group | Spare kits | Demo kits\ng1 | 2 | 0"
    assert counts(Enrolment=SIX, Settings="Setting | Value\nSpare kits | 50%\nDemo kits | 9", Groups=groups) == [5]


def test_spare_and_demo_kits_are_standard_at_one_batch() -> None:
    sheet = "Participant | Group | Servings | Needs\np1 | g1 | 12 | none"
    found, _ = kits(Enrolment=sheet, Settings="Setting | Value\nSpare kits | 1\nDemo kits | 1")
    assert [(kind.kits, kind.batches["soup"], kind.holders) for kind in found.kinds] == [(2, 1, ()), (1, 3, ("p1",))]


def test_stated_kits_replace_the_count_of_those_without_swaps() -> None:
    """10 stated at one batch each; the swapped one stays; spare (half of all 11, up) and demo are added."""
    found, _ = kits(
        Sessions="Session | Group | Date | Recipes | Kits\ns1 | g1 | @2027-01-14 | soup | 10",
        Enrolment="Participant | Group | Servings | Needs\np1 | g1 | 12 | none\np2 | g1 | 8 | no milk\n"
        "p3 | g1 | | none",
        Swaps="Ingredient | Need | Use instead\nmilk | no milk | leave out",
        Settings="Setting | Value\nSpare kits | 50%\nDemo kits | 1",
    )
    assert [(k.count, k.spare, k.demo, k.batches["soup"], k.holders) for k in found.kinds] == [
        (10, 6, 1, 1, ("p1", "p3")), (1, 0, 0, 2, ("p2",)),
    ]  # fmt: skip


def test_no_kits_stated_is_none() -> None:
    sessions = "Session | Group | Date | Recipes | Kits\ns1 | g1 | @2027-01-14 | soup | 0"
    assert counts(Sessions=sessions, Enrolment=SIX) == []


# --- tables ---


def tables(people: int, seats: int, conflicts: int, demo: str = "") -> list[tuple[int, str]]:
    rows = [f"p{n} | g1 | {'no milk' if n < conflicts else 'none'}" for n in range(people)]
    found, findings = kits(
        Groups=f"Group | Format | People per table | Demo kits | Spare kits\ng1 | table | {seats} | {demo} | 50%",
        Enrolment="\n".join(["Participant | Group | Needs", *rows]),
        Swaps="Ingredient | Need | Use instead\nmilk | no milk | leave out",
        Settings="Setting | Value\nDemo kits | 7",
    )
    assert findings == []
    assert all(kind.batches == {"soup": 1} for kind in found.kinds)
    return [(kind.kits, "swapped" if kind.swaps else "standard") for kind in found.kinds]


@pytest.mark.parametrize(
    ("people", "seats", "conflicts", "expected"),
    [
        (12, 4, 0, [(3, "standard")]), (13, 4, 0, [(4, "standard")]), (1, 4, 0, [(1, "standard")]),
        (12, 4, 1, [(2, "standard"), (1, "swapped")]), (12, 4, 5, [(2, "swapped"), (1, "standard")]),
        (12, 4, 12, [(3, "swapped")]), (13, 4, 4, [(3, "standard"), (1, "swapped")]),
    ],
)  # fmt: skip
def test_tables_for_everyone_and_apart_for_conflicts(
    people: int, seats: int, conflicts: int, expected: list[tuple[int, str]]
) -> None:
    """One batch a table; no spare kits, and demo kits only where the group sets them."""
    assert tables(people, seats, conflicts) == expected


def test_a_table_group_gets_demo_kits_as_set() -> None:
    assert tables(12, 4, 0, demo="2") == [(5, "standard")]


def test_tables_with_conflicts_have_the_union_of_their_swaps() -> None:
    found, _ = kits(
        Groups="Group | Format | People per table\ng1 | table | 4",
        Enrolment="Participant | Group | Needs\np1 | g1 | no milk\np2 | g1 | no onion\np3 | g1 | none\n"
        "p4 | g1 | none\np5 | g1 | none",
        Swaps="Ingredient | Need | Use instead\nmilk | no milk | leave out\nonion | no onion | leave out",
    )
    assert told(found) == [(1, "", ""), (1, "", "onion > leave out; milk > leave out")]
    assert found.kinds[1].needs == ("no milk", "no onion")


# --- swaps ---

ONE_NEED = "Participant | Group | Household | Needs\np1 | g1 | h1 | {}\np2 | g1 | h2 | none\np3 | g1 | h3 | none"
FOODS = "Ingredient | Contains\noat drink | gluten\nsoy drink | soy\nrice drink | none"


def swapped(need: str, *rows: str, recipes: str = SOUP) -> tuple[list[str], list[tuple[str, str]]]:
    """Swaps of the household with the need, and what was found."""
    found, findings = kits(
        Enrolment=ONE_NEED.format(need), Swaps="\n".join(["Ingredient | Need | Use instead", *rows]), Ingredients=FOODS,
        Recipes=recipes,
    )  # fmt: skip
    return [swaps for _, holders, swaps in told(found) if "h1" in holders.split()], codes(findings)


def test_the_first_row_that_serves_and_fits() -> None:
    assert swapped("no milk", "milk | no milk | soy drink", "milk | no milk | oat drink") == (["milk > soy drink"], [])
    # soy would not do for this household, so the next row
    assert swapped("no milk; no soy", "milk | no milk | soy drink", "milk | no milk | oat drink") == (
        ["milk > oat drink"],
        [],
    )


def test_a_row_for_another_need_does_not_serve() -> None:
    assert swapped("no milk", "milk | no gluten | oat drink", "milk | no milk | rice drink") == (
        ["milk > rice drink"],
        [],
    )
    assert swapped("no milk", "milk | no gluten | oat drink")[1] == [("Enrolment!D2", "need-without-swap")]


def test_a_row_serves_every_need_that_its_own_covers() -> None:
    assert swapped("no milk", "milk | vegan | rice drink") == (["milk > rice drink"], [])
    assert swapped("dairy", "milk | no milk | rice drink") == (["milk > rice drink"], [])
    assert swapped("vegan", "milk | no milk | rice drink") == (["milk > rice drink"], [])


def test_a_substitute_is_swapped_again_where_it_must_be() -> None:
    rows = ("milk | no milk | oat drink", "oat drink | gluten | rice drink")
    assert swapped("no milk; gluten", *rows) == (["milk > rice drink"], [])
    assert swapped("no milk", *rows) == (["milk > oat drink"], [])


def test_swaps_that_lead_back_are_no_way_out() -> None:
    rows = ("milk | no milk | oat drink", "oat drink | gluten | milk")
    assert swapped("no milk; gluten", *rows)[1] == [("Enrolment!D2", "need-without-swap")]


def test_ratios_multiply_along_the_way() -> None:
    found, _ = kits(
        Enrolment=ONE_NEED.format("no milk; gluten"),
        Swaps="Ingredient | Need | Use instead | Ratio\nmilk | no milk | oat drink | 1/2\n"
        "oat drink | gluten | rice drink | 3",
        Ingredients=FOODS,
    )
    assert {kind.replacements["milk"].ratio for kind in found.kinds if kind.swaps} == {F(3, 2)}


def test_a_conflict_without_a_swap_is_an_error_at_the_need() -> None:
    _, findings = kits(Enrolment=ONE_NEED.format("no soy; no milk"))
    assert codes(findings) == [("Enrolment!D2", "need-without-swap")]
    assert {key: findings[0].details[key] for key in ("household", "ingredient", "recipe", "need")} == {
        "household": "h1", "ingredient": "milk", "recipe": "soup", "need": "no milk",
    }  # fmt: skip


@pytest.mark.parametrize(
    ("rows", "why"),
    [
        ([], ""),
        (["milk | gluten | rice drink"], ""),
        (["milk | no milk | soy drink"], " What Swaps gives instead (soy drink) is against a need too."),
        (
            ["milk | no milk | soy drink", "milk | dairy | soy drink", "milk | no milk | soy milk"],
            " What Swaps gives instead (soy drink, soy milk) is against a need too.",
        ),
        (
            ["milk | no milk | soy drink", "milk | no milk | mystery drink"],
            " Nobody knows what Swaps gives instead (mystery drink) holds besides: say it in Ingredients.",
        ),
    ],
)
def test_why_no_row_of_swaps_serves(rows: list[str], why: str) -> None:
    swaps = "\n".join(["Ingredient | Need | Use instead", *rows])
    _, findings = kits(Enrolment=ONE_NEED.format("no milk; no soy"), Swaps=swaps, Ingredients=FOODS)
    assert [finding.details["why"] for finding in findings if finding.code == "need-without-swap"] == [why]


def test_the_finding_stands_at_the_member_whose_need_it_is() -> None:
    sheet = "Participant | Group | Household | Needs\np1 | g1 | h1 | none\np2 | g1 | h1 | no milk"
    assert codes(kits(Enrolment=sheet)[1]) == [("Enrolment!D3", "need-without-swap")]


def test_the_same_unmet_need_is_said_of_every_household() -> None:
    sheet = "\n".join(["Participant | Group | Servings | Needs", *(f"p{n} | g1 | 4 | no milk" for n in (1, 2, 3))])
    assert codes(kits(Enrolment=sheet)[1]) == [(f"Enrolment!D{row}", "need-without-swap") for row in (2, 3, 4)]


def test_a_food_nobody_knows_is_no_safe_food() -> None:
    recipes = SOUP + "\nsoup | | mystery mix | 1 | oz"
    assert codes(kits(Enrolment=ONE_NEED.format("no soy"), Recipes=recipes)[1]) == [
        ("Recipes!C4", "unknown-food-for-need")
    ]
    assert kits(Enrolment=ONE_NEED.format("none"), Recipes=recipes)[1] == []


def test_a_substitute_nobody_knows_serves_only_the_needs_of_its_row() -> None:
    """The coordinator says by the row that it holds no milk; whether it holds soy nobody says."""
    assert swapped("no milk", "milk | no milk | mystery drink") == (["milk > mystery drink"], [])
    rows = ["milk | no milk | mystery drink", "milk | no milk | rice drink"]
    assert swapped("no milk; no soy", *rows) == (["milk > rice drink"], [])
    assert swapped("no milk; no soy", rows[0])[1] == [("Enrolment!D2", "need-without-swap")]
    assert swapped("no milk; no soy", "milk | no milk; no soy | mystery drink")[0] == ["milk > mystery drink"]


def test_what_is_not_packed_does_not_conflict() -> None:
    recipes = (
        "Recipe | Servings | Ingredient | Amount | Unit | Supplied\nsoup | 4 | onion | 1 | | \n"
        "soup | | milk | 1 | cup | home"
    )
    assert swapped("no milk", recipes=recipes) == ([""], [])
    taste = SOUP.replace("milk | 1 | cup", "milk | to taste |")
    assert swapped("no milk", recipes=taste) == ([""], [])


def test_a_kit_meets_the_needs_of_all_its_members_active_that_day() -> None:
    sheet = (
        "Participant | Group | Household | Needs | Left\np1 | g1 | h1 | no milk |\np2 | g1 | h1 | no onion |\n"
        "p3 | g1 | h2 | no milk | @2027-01-13\np4 | g1 | h2 | none |"
    )
    found, _ = kits(
        Enrolment=sheet,
        Swaps="Ingredient | Need | Use instead\nmilk | no milk | leave out\nonion | no onion | leave out",
    )
    assert told(found) == [(1, "h2", ""), (1, "h1", "onion > leave out; milk > leave out")]


def test_once_a_session_lines_conflict_with_the_needs_of_all() -> None:
    recipes = (
        "Recipe | Servings | Ingredient | Amount | Unit | Scale\nsoup | 4 | onion | 1 | |\n"
        "soup | | milk | 1 | cup | session"
    )
    found, findings = kits(
        Enrolment=ONE_NEED.format("no milk"), Recipes=recipes, Swaps="Ingredient | Need | Use instead\n"
        "milk | no milk | rice drink",
        Ingredients=FOODS,
    )  # fmt: skip
    assert found.once["milk"].food == "rice drink"
    assert told(found) == [(3, "h1 h2 h3", "")]
    assert findings == []
    assert codes(kits(Enrolment=ONE_NEED.format("no milk"), Recipes=recipes)[1]) == [
        ("Enrolment!D2", "need-without-swap")
    ]


# --- variants ---


def test_kits_alike_are_one_variant_the_commonest_first() -> None:
    sheet = "\n".join(
        ["Participant | Group | Servings | Needs", "p1 | g1 | 4 | no milk", "p2 | g1 | 4 | dairy", "p3 | g1 | 8 | none",
         "p4 | g1 | 4 | none", "p5 | g1 | 3 | no soy", "p6 | g1 | 2 | none", "p7 | g1 | 4 | no onion"]
    )  # fmt: skip
    found, findings = kits(
        Enrolment=sheet,
        Swaps="Ingredient | Need | Use instead\nmilk | no milk | leave out\nonion | no onion | leave out",
    )
    assert findings == []
    assert told(found) == [
        (3, "p4 p5 p6", ""),
        (2, "p1 p2", "milk > leave out"),
        (1, "p3", ""),  # more batches before fewer
        (1, "p7", "onion > leave out"),
    ]
    assert [kind.needs for kind in found.kinds] == [(), ("dairy", "no milk"), (), ("no onion",)]


def test_a_need_typed_in_large_and_small_letters_is_one_need_of_a_variant() -> None:
    found, _ = kits(
        Enrolment="Participant | Group | Needs\np1 | g1 | NO MILK\np2 | g1 | no milk\np3 | g1 | No Milk",
        Swaps="Ingredient | Need | Use instead\nmilk | no milk | leave out",
    )
    assert [(kind.holders, kind.needs) for kind in found.kinds] == [(("p1", "p2", "p3"), ("no milk",))]


def test_variants_are_the_same_however_the_rows_stand() -> None:
    head = "Participant | Group | Needs"
    rows = ["p1 | g1 | no milk", "p2 | g1 | dairy", "p3 | g1 | none", "p4 | g1 | none"]
    swaps = "Ingredient | Need | Use instead\nmilk | no milk | leave out"
    one, other = (
        kits(Enrolment="\n".join([head, *order]), Swaps=swaps)[0].kinds for order in (rows, list(reversed(rows)))
    )
    assert [(kind.holders, kind.needs) for kind in one] == [(kind.holders, kind.needs) for kind in other]


def test_equal_variants_stand_by_their_swaps_in_text_order() -> None:
    sheet = "Participant | Group | Needs\np1 | g1 | no onion\np2 | g1 | no milk"
    swaps = "Ingredient | Need | Use instead\nonion | no onion | leave out\nmilk | no milk | leave out"
    assert [holders for _, holders, _ in told(kits(Enrolment=sheet, Swaps=swaps)[0])] == ["p2", "p1"]


# --- kits of a delivered session ---


def test_kits_of_a_delivered_session_leave_out_spare_and_demo() -> None:
    sessions = "Session | Group | Date | Recipes | Status\ns1 | g1 | @2027-01-04 | soup | delivered"
    found = programme(Sessions=sessions, Enrolment=SIX, Settings="Setting | Value\nDemo kits | 4\nSpare kits | 50%")
    assert delivered_kits(found, found.sessions["s1"]) == 3
    table = programme(Sessions=sessions, Enrolment=SIX, Groups="Group | Format | People per table\ng1 | table | 3")
    assert delivered_kits(table, table.sessions["s1"]) == 0


def test_kits_of_a_session_are_worked_out_once_whatever_the_day_they_are_packed_on() -> None:
    found = programme()
    [meeting] = meetings(found)
    early, late = (replace(meeting, packing_day=meeting.packing_day + dt.timedelta(days)) for days in (-1, 1))
    [one], [other] = kits_of_meetings(found, [early]), kits_of_meetings(found, [late])
    assert one.kinds is other.kinds
    assert (one.meeting, other.meeting) == (early, late)


def test_one_row_may_serve_two_needs_that_a_food_offends_against_together() -> None:
    """Soy sauce holds soy and wheat: a row for either alone would not do."""
    foods = "Ingredient | State | Contains\nsoy sauce | liquid | soy; wheat; gluten\nsalt water | liquid | none"
    recipe = "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | soy sauce | 1 | tbsp"
    rows = ["soy sauce | soy | leave out", "soy sauce | gluten | leave out"]
    swaps = "\n".join(["Ingredient | Need | Use instead", *rows])
    enrolment = "Participant | Group | Household | Needs\np1 | g1 | h1 | soy; gluten"
    sessions = "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | stew"
    sheets = {"Ingredients": foods, "Recipes": recipe, "Enrolment": enrolment, "Sessions": sessions}
    (unmet,) = kits(**sheets, Swaps=swaps)[1]
    assert unmet.code == "need-without-swap"
    assert unmet.details["why"] == " Swaps has a row for a part of that only: one row must serve all of it."
    found, findings = kits(**sheets, Swaps=f"{swaps}\nsoy sauce | soy; gluten | salt water")
    assert codes(findings) == []
    assert [swaps for _, holders, swaps in told(found) if "h1" in holders.split()] == ["soy sauce > salt water"]
