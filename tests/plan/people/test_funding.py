"""What funders are told: the figures against their targets, and nothing about single people."""

from dataclasses import replace
from fractions import Fraction
from typing import Any

import pytest
from plan.people_support import (
    ROW,
    answers,
    cents,
    funder,
    group,
    mark,
    marks,
    member,
    pick_up,
    programme,
    question,
    session,
)

from opsreport.money import Money
from opsreport.plan.people.funding import _without_cost, one_decimal, percent
from opsreport.plan.people_model import FunderReport, Measure
from opsreport.plan.people_plan import plan_people
from opsreport.programme import Programme
from opsreport.sheets import NarrativeRow

HALF = Fraction(1, 2)


def reports(book: Programme, costs: dict[str, Money] | None = None) -> dict[str, FunderReport]:
    plan = plan_people(book, costs if costs is not None else {})
    return {report.funder: report for report in plan.funders}


def measures(report: FunderReport) -> dict[str, Measure]:
    return {measure.measure: measure for measure in report.measures}


def values(report: FunderReport) -> dict[str, Any]:
    return {measure.measure: measure.value for measure in report.measures}


SESSIONS = [session(f"{name}{i}", name, 10 * i) for name in "AB" for i in range(1, 5)]


def two_groups(people: int = 12, **given: Any) -> Programme:
    """F and G pay half of A each, G pays B; one of A is in B too; nobody comes to the last."""
    members = [member(f"a{i}", "A", f"H{i // 2}", age_band="5–7" if i % 2 else "under 5") for i in range(people)]
    members += [member(f"b{i}", "B", age_band="8–10") for i in range(people)]
    members.append(member("a0", "B", "H0"))
    grid = [
        *marks({f"a{i}": "PPPA" for i in range(people)}, [f"A{i}" for i in range(1, 5)]),
        *marks({f"b{i}": "PPAA" for i in range(people)}, [f"B{i}" for i in range(1, 5)]),
        mark("B1", "a0", "P"),
    ]
    groups = [group("A", funders=(("F", HALF), ("G", HALF))), group("B", funders=(("g", Fraction(1)),))]
    return programme(groups, members, SESSIONS, grid, **given)


def test_figures_against_targets() -> None:
    paid = [
        funder(
            "F", sessions_target=5, people_target=10, completion_target=Fraction(4, 5), kits_target=8,
            budget=cents(50000), small_count=0,
        ),
        funder("G", small_count=0),
    ]  # fmt: skip
    kits = [pick_up("A1", f"H{i}", "collected") for i in range(6)] + [pick_up("B1", "b0", "passed on")]
    found = reports(two_groups(funders=paid, pick_ups=kits), {"A1": cents(1001), "B4": cents(300)})
    assert [(m.measure, m.target, m.value, m.shown) for m in found["F"].measures] == [
        ("sessions", 5, 4, "4"),
        ("people", 10, 12, "12"),
        ("households", None, 6, "6"),
        ("contacts", None, 36, "36"),
        ("completion", 0.8, 1.0, "100%"),
        ("completers", None, 12, "12"),
        ("contact_hours", None, "36", "36"),
        ("kits", 8, 24, "24"),  # A1 recorded, the packed ones of three sessions without a record
        ("cost", "500.00", "5.01", "$5.01"),
        ("cost_held", None, "5.01", "$5.01"),
        ("cost_to_come", None, "0.00", "$0.00"),
        ("in_kind", None, "0.00", "$0.00"),
    ]
    # of G too: 24 people and 18 households, a0 of both groups once; 5.00 + 3.00 of the cost
    names = ("sessions", "people", "households", "contacts", "completers")
    assert [values(found["G"])[name] for name in names] == [8, 24, 18, 61, 12]
    assert (values(found["G"])["cost"], values(found["G"])["kits"]) == ("8.00", 24 + 1 + 3 * 13)
    words = "Kits: recorded in Pick-ups; for {} delivered sessions without a record the kits packed count."
    assert [words.format(many) in found[name].notes for name, many in (("F", 3), ("G", 6))] == [True, True]
    assert values(found["G"])["completion"] == 0.5
    assert found["F"].groups == (("A", HALF),)


def test_a_pace_is_told_of_what_grows_session_by_session() -> None:
    """2 of 4 sessions are over: 2 of 5 promised ones are 40%, a pace of 80%. Completion and cost have none."""
    sessions = [session(f"A{at}", "A", 10 * at, "delivered" if at < 3 else "planned") for at in range(1, 5)]
    people = [member(f"a{at}", "A") for at in range(12)]
    grid = marks({f"a{at}": "PP" for at in range(12)}, ["A1", "A2"])
    paid = funder(
        "F", sessions_target=5, people_target=16, completion_target=Fraction(4, 5), kits_target=48, budget=cents(1000)
    )
    book = programme([group("A", funders=(("F", Fraction(1)),))], people, sessions, grid, funders=[paid], small=0)
    found = measures(reports(book, {"A1": cents(250)})["F"])
    assert {name: (found[name].share, found[name].pace) for name in ("sessions", "people", "kits", "cost")} == {
        "sessions": (Fraction(2, 5), Fraction(4, 5)),
        "people": (Fraction(3, 4), Fraction(3, 2)),
        "kits": (HALF, Fraction(1)),
        "cost": (Fraction(1, 4), None),
    }
    assert found["completion"].pace is None


def test_narratives_are_a_funders_own_and_those_of_all() -> None:
    rows = [
        NarrativeRow(place=ROW, funder=name, heading=heading, text=heading)
        for name, heading in (("g", "of G"), ("", "of all"), ("F", "of F"))
    ]
    found = reports(replace(two_groups(funders=[funder(name) for name in "FGX"]), narratives=tuple(rows)))
    assert found["F"].narratives == (("of all", "of all"), ("of F", "of F"))
    assert found["G"].narratives == (("of G", "of G"), ("of all", "of all"))
    boxes = reports(two_groups(funders=[funder("F")]))["F"].narratives
    assert boxes
    assert {text for _, text in boxes} == {""}


def test_a_funder_without_a_name_goes_by_its_code() -> None:
    named = replace(funder("F"), name="Fern Fund")
    assert [report.name for report in reports(two_groups(funders=[named, funder("G")])).values()] == ["Fern Fund", "G"]


def test_sessions_whose_minutes_nobody_wrote_down_are_told() -> None:
    words = "Contact hours leave out {} sessions whose minutes nobody wrote down."
    book = two_groups(funders=[funder("F"), funder("G")])
    for without in (["A1", "A2"], []):
        sessions = {
            name: replace(each, minutes=None if name in without else 60) for name, each in book.sessions.items()
        }
        report = reports(replace(book, sessions=sessions))["F"]
        assert (words.format(2) in report.notes) == bool(without)
        assert any("Contact hours" in note for note in report.notes) == bool(without)


def test_a_budget_of_nothing_is_no_target() -> None:
    report = reports(two_groups(funders=[funder("F", budget=cents(0))]), {"A1": cents(1001)})["F"]
    assert (measures(report)["cost"].target, measures(report)["cost"].share) == ("0.00", None)


def test_period_is_inclusive_and_completers_are_held_to_it() -> None:
    found = reports(two_groups(funders=[funder("G", 20, 30, small_count=0)]), {"A1": cents(1000), "B3": cents(70)})
    assert found["G"].sessions == ("A2", "B2", "A3", "B3")
    figures = values(found["G"])
    # two sessions each: A came to both, B to one of two; 0.75 × 2 needs both
    assert (figures["people"], figures["completers"], figures["contacts"], figures["cost"]) == (
        24,
        12,
        36,
        "0.70",
    )


def test_sessions_planned_are_those_from_the_first_to_the_last_day() -> None:
    """A meets on days 10, 20, 30 and 40."""
    periods = {"F": (10, 40), "G": (11, 39), "H": (20, 20)}
    groups = [group("A", funders=tuple((name, Fraction(1, 3)) for name in periods))]
    book = programme(groups, (), SESSIONS[:4], funders=[funder(name, *days) for name, days in periods.items()])
    assert {name: report.planned for name, report in reports(book).items()} == {"F": 4, "G": 2, "H": 1}


def test_costs_that_nobody_can_say() -> None:
    report = plan_people(two_groups(funders=[funder("F")]), None).funders[0]
    assert measures(report)["cost"] == Measure("cost", None, None, "not available")


@pytest.mark.parametrize(("without", "said"), [(3, "none of the 3 sessions"), (1, "2 of the 3 sessions"), (0, "")])
def test_of_how_many_sessions_the_food_cost_is_known(without: int, said: str) -> None:
    found = _without_cost(without, 3)
    assert said in "".join(found)
    assert bool(found) == bool(said)


def test_shares_of_all_funders_add_up_to_the_cent() -> None:
    third = Fraction(1, 3)
    groups = [group("A", funders=tuple((name, third) for name in "FGH"))]
    book = programme(groups, (), [session("A1", "A", 1)], funders=[funder(name) for name in "FGH"])
    found = reports(book, {"A1": cents(1000)})
    assert [values(report)["cost"] for report in found.values()] == ["3.34", "3.33", "3.33"]


def test_a_funder_that_no_group_names() -> None:
    report = reports(two_groups(funders=[funder("X")]))["X"]
    assert values(report)["people"] == 0
    assert measures(report)["completion"].shown == "–"
    assert "No group names this funder" in report.notes[0]


def test_small_counts_and_what_follows_from_them() -> None:
    """1 to 10 hidden, and rates with them. Source: CMS cell-size suppression policy (2017, 2024)."""
    report = reports(two_groups(10, funders=[funder("F")]))["F"]
    shown = {name: (measure.value, measure.shown) for name, measure in measures(report).items()}
    assert shown["people"] == (None, "1–10")
    assert shown["households"] == (None, "1–10")
    assert shown["completers"] == (None, "1–10")
    assert shown["completion"] == (None, "hidden")
    assert shown["contacts"] == (None, "hidden")
    assert shown["contact_hours"] == (None, "hidden")
    assert shown["sessions"] == (4, "4")


def test_few_who_did_not_complete_hide_the_rate() -> None:
    """12 of 15, with 3 left. Source: CMS policy, counts of excluded people."""
    members = [member(f"p{i}", "A") for i in range(15)]
    grid = marks({f"p{i}": "PPPA" if i < 12 else "PAAA" for i in range(15)}, [f"A{i}" for i in range(1, 5)])
    groups = [group("A", funders=(("F", Fraction(1)),))]
    book = programme(groups, members, SESSIONS[:4], grid, funders=[funder("F", small_count=5)])
    shown = {name: measure.shown for name, measure in measures(reports(book)["F"]).items()}
    assert (shown["people"], shown["completers"], shown["completion"]) == ("15", "hidden", "hidden")


def test_breakdowns() -> None:
    """Blanks are not stated. Source: form FNS-759 asks for age, gender and so on of each participant."""
    book = two_groups(24, funders=[funder("G")], report_by=("age band",))
    book = replace(book, members=tuple(replace(m, extra={}) if m.participant > "b20" else m for m in book.members))
    report = reports(book)["G"]
    assert [(row.value, row.people) for row in report.breakdowns["age band"]] == [
        ("under 5", "hidden"),
        ("5–7", "12"),
        ("8–10", "14"),
        ("not stated", "1–10"),
    ]


@pytest.mark.parametrize("heading", ["Participant", "Household", "Name", "Pick-up name", "Child's name", "Code"])
def test_nobody_is_named(heading: str) -> None:
    book = two_groups(24, funders=[funder("G")], report_by=(heading,))
    report = reports(book)["G"]
    assert report.breakdowns == {}
    assert any(heading in note for note in report.notes)


def test_a_column_of_names_under_another_heading() -> None:
    book = two_groups(24, funders=[funder("G")], report_by=("Contact",))
    named = tuple(
        replace(m, extra={"Contact": "Maria Lopez"}, pick_up_name="maria lopez") if m.participant == "a3" else m
        for m in book.members
    )
    report = reports(replace(book, members=named))["G"]
    assert report.breakdowns == {}
    assert "Maria" not in repr(report)
    many = tuple(replace(m, extra={"Contact": f"somebody {i}"}) for i, m in enumerate(book.members))
    assert reports(replace(book, members=many))["G"].breakdowns == {}


def test_no_code_stands_in_a_report() -> None:
    book = two_groups(24, funders=[funder("G")], report_by=("Age band",))
    text = repr(reports(book)["G"])
    assert not any(f"'{m.participant}'" in text or f"'{m.household}'" in text for m in book.members)


def surveyed(kind: str, before: list[Any], after: list[Any], small: int = 5) -> FunderReport:
    members = [member(f"{i}", "A") for i in range(len(before))] + [member("other", "B")]
    groups = [group("A", funders=(("F", Fraction(1)),)), group("B")]
    rows = [*answers("q", before, after), *answers("q", {"other": "1"}, {"other": "1"})]
    return reports(
        programme(groups, members, questions=[question("q", kind)], surveys=rows, funders=[funder("F")], small=small)
    )["F"]


def test_outcomes_of_enough_people_only() -> None:
    few = surveyed("number", [1, 2, 3, 4, 5], [2, 3, 4, 5, 6])
    assert (few.outcomes, few.hidden_outcomes) == ((), 1)
    enough = surveyed("number", [1] * 20, [2] * 10 + [1] * 10)
    assert [(o.n, o.improved, o.same, o.worse) for o in enough.outcomes] == [(20, 10, 10, 0)]


@pytest.mark.parametrize(
    ("joined", "left", "counts"),
    [
        (None, None, True), (30, None, True), (31, None, False), (None, 20, True), (None, 19, False),
        (25, 26, True), (20, 20, True), (30, 30, True), (1, 19, False), (31, 40, False),
    ],
)  # fmt: skip
def test_answers_of_members_on_some_day_of_the_period(joined: int | None, left: int | None, counts: bool) -> None:
    """The period is day 20 to 30, both included; 10 others were members throughout."""
    members = [member(f"{at}", "A") for at in range(10)] + [member("10", "A", joined=joined, left=left)]
    (report,) = reports(
        programme(
            [group("A", funders=(("F", Fraction(1)),))], members, questions=[question("q")],
            surveys=answers("q", [1] * 11, [2] * 11), funders=[funder("F", 20, 30)], small=0,
        )
    ).values()  # fmt: skip
    assert [outcome.n for outcome in report.outcomes] == [11 if counts else 10]


def test_small_counts_within_an_outcome() -> None:
    told = surveyed("number", [1] * 20, [2] * 17 + [1] * 3).outcomes[0]
    assert (told.n, told.improved, told.same, told.worse) == (20, None, None, 0)
    assert told.p is None
    share = surveyed("yes-no", ["n"] * 10 + ["y"] * 10, ["y"] * 18 + ["n"] * 2).outcomes[0]
    # with the share before and the counts of changes, the share after could be worked out: all go together
    assert (share.before, share.after, share.low, share.change, share.p) == (None, None, None, None, None)
    assert (share.improved, share.same, share.worse) == (None, None, None)
    assert share.improved is share.same is share.worse is None
    clear = surveyed("yes-no", ["n"] * 10 + ["y"] * 10, ["y"] * 20).outcomes[0]
    assert (clear.after, clear.change, clear.improved, clear.same) == (1.0, 0.5, 10, 10)


def test_shown_figures() -> None:
    assert [percent(Fraction(*share)) for share in ((2, 3), (3, 4), (1, 1), (1, 800))] == [
        "66.7%", "75%", "100%", "0.1%",
    ]  # fmt: skip
    assert [percent(Fraction(1, parts)) for parts in (2000, 2001)] == ["0.1%", "0%"]  # half up
    assert [one_decimal(Fraction(*hours)) for hours in ((45, 2), (1200, 1), (1, 3))] == [
        "22.5",
        "1,200",
        "0.3",
    ]
