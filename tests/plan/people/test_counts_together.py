"""Counts of several documents together; tests/test_small_counts_attack.py looks for what these cases miss."""

import random
from collections import Counter
from fractions import Fraction

import pytest
from plan.people_support import funder, group, mark, marks, member, programme, session, shown

from opsreport.plan.people.breakdowns import breakdown_columns
from opsreport.plan.people.counts import Told, count
from opsreport.plan.people.counts_together import CountsTogether
from opsreport.plan.people.ledger import keep_ledger
from opsreport.plan.people.overlaps import Overlaps
from opsreport.plan.people_plan import plan_people


def several(funders: dict[str, str], people: dict[str, str]) -> dict[str, dict[str, str]]:
    """What is shown by funder. funders: groups that each pays for, letter by letter, then the quarter.
    people: marks at four sessions of a group, by group, separated by spaces; `20*PPPP` for twenty alike."""
    members, grid, sessions = [], [], []
    for name, rows in people.items():
        held = [session(f"{name}{i}", name, 10 * i) for i in range(1, 5)]
        sessions += held
        all_rows = [row for text in rows.split() for row in [text.split("*")[1]] * int(text.split("*")[0])]
        members += [member(f"{name}-{i}", name) for i in range(len(all_rows))]
        grid += marks({f"{name}-{i}": row for i, row in enumerate(all_rows)}, [each.session for each in held])
    periods = {"1": (1, 25), "2": (26, 100)}
    paying = {name: [each for each, of in funders.items() if name in of] for name in people}
    book = programme(
        [group(name, funders=tuple((each, Fraction(1, len(of))) for each in of)) for name, of in paying.items()],
        members, sessions, grid, funders=[funder(name, *periods.get(of[-1], (1, 100))) for name, of in funders.items()],
    )  # fmt: skip
    return {report.funder: shown(report) for report in plan_people(book, {}).funders}


@pytest.mark.parametrize("rest", ["3*PPPP 17*PPAA", "17*PPPP 3*PPAA"])
@pytest.mark.parametrize("funders", [{"F": "AB", "G": "A"}, {"F": "AB", "G": "A", "H": "B"}])
def test_completers_of_the_rest(funders: dict[str, str], rest: str) -> None:
    """28 less 25 completers are the 3 of group B; 42 less 25 of 20 leave 3 who did not complete."""
    found = several(funders, {"A": "25*PPPP 15*PPAA", "B": rest})
    assert "hidden" in (found["F"]["completers"], found["G"]["completers"])


def test_two_quarters_and_both() -> None:
    """32 and 30 people, 60 in both quarters: 2 came in each of them."""
    found = several({"F": "A1", "G": "A2", "H": "A"}, {"A": "30*PPAA 2*PPPP 28*AAPP"})
    assert "hidden" in [found[name]["people"] for name in "FGH"]
    assert "hidden" in [found[name]["households"] for name in "FGH"]


def test_each_of_three_groups_paid_by_two() -> None:
    """(A + B) + (B + C) − (A + C) is twice the 3 of B."""
    found = several({"F": "AB", "G": "BC", "H": "AC"}, {"A": "40*PPPP", "B": "3*PPPP", "C": "30*PPPP"})
    for name in ("people", "households", "contacts", "completers", "kits"):
        assert "hidden" in [found[each][name] for each in "FGH"], name


def test_two_groups_that_are_few_together() -> None:
    """(A + B + C) − C is the 8 of A and B, though nobody can tell the 4 of either."""
    found = several({"F": "ABC", "G": "C"}, {"A": "4*PPPP", "B": "4*PPPP", "C": "40*PPPP"})
    for name in ("people", "households", "contacts", "completers", "kits"):
        assert "hidden" in [found[each][name] for each in "FG"], name


def test_a_group_that_only_four_documents_tell_together() -> None:
    """(X + A + B) − (A + C) − (B + C) + 2 C is the 8 of X, whom no two documents tell."""
    people = {"X": "8*PPPP", "A": "40*PPPP", "B": "50*PPPP", "C": "30*PPPP"}
    found = several({"F": "XAB", "G": "AC", "H": "BC", "I": "C"}, people)
    for name in ("people", "households", "contacts", "completers", "kits"):
        assert "hidden" in [found[each][name] for each in "FGHI"], name


def test_kits_are_hidden_with_the_households() -> None:
    """28 kits at four sessions would tell 7 households."""
    found = several({"F": "A"}, {"A": "7*PPPP"})["F"]
    assert (found["households"], found["kits"]) == ("1–10", "hidden")


@pytest.mark.parametrize(("minutes", "shown_"), [(60, True), (90, False), (Fraction(121, 2), False)])
def test_hours_would_tell_a_short_list(minutes: Fraction, shown_: bool) -> None:
    """105 contacts in 105 hours say nothing; in 107.5 hours they say 5 contacts of an hour and a half; half a minute
    more each tells as much."""
    sessions = [session("A1", "A", 1), session("A2", "A", 8), session("B1", "B", 1, minutes=minutes)]
    people = [member(f"a{at}", "A") for at in range(50)] + [member(f"b{at}", "B") for at in range(5)]
    grid = (
        *marks({f"a{at}": "PP" for at in range(50)}, ["A1", "A2"]), *marks({f"b{at}": "P" for at in range(5)}, ["B1"])
    )  # fmt: skip
    groups = [group(name, funders=(("F", Fraction(1)),)) for name in "AB"]
    (report,) = plan_people(programme(groups, people, sessions, grid, funders=[funder("F")]), {}).funders
    assert (shown(report)["contacts"] == "105", shown(report)["contact_hours"] == "105") == (shown_, shown_)


def test_a_column_that_three_documents_tell_together_is_left_out_of_one() -> None:
    """Of 5 to 7 years are 20 of A, 3 of B and 15 of C: 23 + 18 - 35 is twice the 3. The document with fewest people
    goes without the column first, the one with most keeps it."""
    ages = {"A": (20, 20), "B": (3, 20), "C": (15, 15)}
    people = [
        member(f"{name}{band}{at}", name, age_band=band)
        for name, counts in ages.items()
        for band, many in zip(("5–7", "8–10"), counts, strict=True)
        for at in range(many)
    ]
    sessions = [session(f"{name}1", name, 1) for name in ages]
    grid = [each for one in people for each in marks({one.participant: "P"}, [f"{one.group}1"])]
    paid = {"A": "FH", "B": "FG", "C": "GH"}
    groups = [group(name, funders=tuple((each, Fraction(1, 2)) for each in paid[name])) for name in ages]
    book = programme(groups, people, sessions, grid, funders=[funder(name) for name in "FGH"], report_by=("Age band",))
    found = {report.funder: report for report in plan_people(book, {}).funders}
    assert not found["G"].breakdowns
    assert any("No breakdown by Age band" in note for note in found["G"].notes)
    assert [(row.value, row.people) for row in found["H"].breakdowns["Age band"]][:2] == [("5–7", "35"), ("8–10", "35")]


def test_a_column_is_told_where_whoever_knows_the_kinds_of_people_can_subtract() -> None:
    """F counts 30 people at sessions of A and B, G the 25 of A among them. Of the five of B, three live in Oak: 13 of F
    in Oak and 10 of G tell that, and are told apart from others only where both print the column."""
    people = {f"a{at}": ("A", "Oak" if at < 10 else "Ash") for at in range(25)}
    people |= {f"b{at}": ("B", "Oak" if at < 3 else "Ash") for at in range(5)}
    both = (("F", Fraction(1, 2)), ("G", Fraction(1, 2)))
    book = programme(
        [group("A", funders=both), group("B", funders=(("F", Fraction(1)),))],
        [member(who, letter, town=town) for who, (letter, town) in people.items()],
        [session("A1", "A", 1), session("B1", "B", 1)],
        [mark(f"{letter}1", who, "P") for who, (letter, _) in people.items()], report_by=("Town",), small=4,
    )  # fmt: skip
    ledger = keep_ledger(book)
    (column,), _ = breakdown_columns(book, ledger.roll)
    told = [Told(count(ledger, book.settings.completion, names), {}, (), {}, 4) for names in ({"A", "B"}, {"A"})]
    together = CountsTogether(told, Overlaps(ledger, book.settings.completion, [each.sessions for each in told]))
    wide = {"Ash": ("17", "17"), "Oak": ("13", "13")}
    assert together.tells_column(column, {0: wide, 1: {"Ash": ("15", "15"), "Oak": ("10", "10")}})
    assert not together.tells_column(column, {0: wide})


def test_so_much_is_shown_in_thirty_drawn_programmes() -> None:
    """Of two or three funders, 73 reports in all; tests/test_small_counts_attack.py sees that it is not too much."""
    seen: Counter[str] = Counter()
    for seed in range(30):
        r = random.Random(seed)
        documents = r.sample(["A", "AB", "BC", "AC", "ABC", "B", "A1", "A2", "AB1"], r.randint(2, 3))
        people = {
            name: " ".join(
                f"{r.choice([2, 5, 12, 20, 30])}*{''.join(r.choice('PPPA') for _ in range(4))}" for _ in range(3)
            )
            for name in "ABC"
        }
        for report in several(dict(zip("FGH", documents, strict=False)), people).values():
            seen.update(name for name, value in report.items() if value.replace(",", "").replace(".", "").isdigit())
    least = {"people": 69, "households": 69, "contacts": 59, "completers": 60, "contact_hours": 59, "kits": 69}
    assert {name: seen[name] >= many for name, many in least.items()} == dict.fromkeys(least, True)
