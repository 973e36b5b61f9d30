"""The same mistake in many cells is one finding with its cells; different mistakes stay apart."""

import datetime as dt
import json
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st
from support import CORE, book, read, term, written

from opsreport.findings import Finding, Place, cell_ranges, column_letters, finding_objects, gathered
from opsreport.rules import PEOPLE, RULES
from opsreport.run import Asked, check

RECIPES = "Recipe | Servings | Ingredient | Amount | Unit"


def at(*cells: tuple[int, int]) -> list[Place]:
    return [Place(1, "Stock", row, column) for row, column in cells]


@pytest.mark.parametrize(
    ("places", "ranges"),
    [
        ([], []),
        ([Place(1, "Stock")], []),
        (at((4, 3)), ["C4"]),
        (at((4, 0)), ["A4"]),
        (at((12, 3), (4, 3), (5, 3), (6, 3)), ["C4:C6", "C12"]),
        (at((7, 2), (7, 3), (7, 4)), ["B7:D7"]),
        (at((7, 2), (8, 2), (7, 3), (8, 3)), ["B7:C8"]),
        (at((7, 2), (7, 4)), ["B7", "D7"]),
        (at((2, 26), (2, 27)), ["Z2:AA2"]),
        (at((4, 3), (4, 3)), ["C4"]),
    ],
)
def test_cells_that_adjoin_are_one_range(places: list[Place], ranges: list[str]) -> None:
    assert cell_ranges(places) == ranges


@given(st.sets(st.tuples(st.integers(1, 9), st.integers(1, 9))))
def test_ranges_hold_each_cell_once(cells: set[tuple[int, int]]) -> None:
    letters = {column_letters(column): column for column in range(1, 10)}
    held = []
    for range_ in cell_ranges(at(*cells)):
        start, _, end = range_.partition(":")
        end = end or start
        held += [
            (row, column)
            for row in range(int(start[1:]), int(end[1:]) + 1)
            for column in range(letters[start[0]], letters[end[0]] + 1)
        ]
    assert sorted(held) == sorted(cells)


def test_four_hundred_rows_are_one_finding() -> None:
    lines = "\n".join("soup | 4 | onion | 1 | cupfull" for _ in range(400))
    (finding,) = [
        each for each in gathered(read(term(Recipes=f"{RECIPES}\n{lines}"))[1]) if each.code == "unit-unknown"
    ]
    assert finding.as_dict() == {
        "severity": "error", "code": "unit-unknown", "sheet": "Recipes", "cell": "E2",
        "message": finding.each[0].message, "fix": finding.each[0].fix, "cells": ["E2:E401"],
    }  # fmt: skip
    assert finding_objects([finding]) == [finding.as_dict()]
    assert len(finding.each) == 400
    assert finding.where == "Recipes!E2:E401"


@pytest.mark.parametrize(("rows", "objects"), [(1, 1), (100, 100), (101, 1)])
def test_programs_are_told_each_cell_of_a_mistake_that_is_not_everywhere(rows: int, objects: int) -> None:
    lines = "\n".join("soup | 4 | onion | 1 | cupfull" for _ in range(rows))
    found = [each for each in gathered(read(term(Recipes=f"{RECIPES}\n{lines}"))[1]) if each.code == "unit-unknown"]
    told = finding_objects(found)
    assert [each["cell"] for each in told] == [f"E{row}" for row in range(2, 2 + objects)]
    assert all(("cells" in each) == (rows > 100) for each in told)


def test_other_values_codes_and_sheets_stay_apart() -> None:
    workbook = term(
        Recipes=f"{RECIPES}\nsoup | 4 | onion | 1 | cupfull\nsoup | | onion | 1 | jug\nsoup | | onion | 1 | cupfull",
        Stock="Ingredient | Amount | Unit\nonion | 1 | cupfull\nonion | x | jug",
    )
    assert [(each.where, each.code) for each in gathered(read(workbook)[1])] == [
        ("Recipes!E2, E4", "unit-unknown"),
        ("Recipes!E3", "unit-unknown"),
        ("Stock!C2", "unit-unknown"),
        ("Stock!B3", "amount-unreadable"),
        ("Stock!C3", "unit-unknown"),
    ]


def test_one_cell_is_a_finding_of_six_keys() -> None:
    (finding,) = gathered([Finding(Place(1, "Stock", 2, 3), "unit-unknown", "jug", {"near": "cup"})])
    assert list(finding.as_dict()) == ["severity", "code", "sheet", "cell", "message", "fix"]
    assert finding.each == (finding,)


def test_people_who_were_not_asked_are_one_finding_that_names_them() -> None:
    rows = "\n".join(f"p{number} | g1 |" for number in range(1, 11))
    workbook = term(Enrolment=f"Participant | Group | Needs\n{rows}")
    (finding,) = gathered(read(workbook)[1])
    assert finding.where == "Enrolment!C2:C11"
    assert finding.message == "Not asked about needs: p1, p2, p3, p4, p5 and 5 others (no answer)."
    assert finding.each[9].message == "Not asked about needs: p10 (no answer)."


def test_people_in_the_same_two_groups_are_one_finding_that_names_them() -> None:
    rows = "\n".join(f"p{number} | g{group} | none" for group in (1, 2) for number in range(1, 9))
    sessions = "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | soup\ns2 | g2 | @2027-03-05 | soup"
    workbook = term(Enrolment=f"Participant | Group | Needs\n{rows}", Sessions=sessions)
    (finding,) = gathered(read(workbook)[1])
    assert finding.where == "Enrolment!B10:B17"
    assert finding.message.startswith("Active in groups g1 and g2 at once: p1, p2, p3, p4, p5 and 3 others.")


def test_families_are_never_mixed() -> None:
    place = Place(1, "Stock", 2, 1)
    both = [Finding(place, "cell-error", "#N/A"), Finding(place.at(2), "cell-error", "#N/A", families=PEOPLE)]
    assert len(gathered(both)) == 2


def test_what_may_vary_is_said_in_the_message_only() -> None:
    for rule in RULES.values():
        for name in rule.varies:
            assert f"{{{name}}}" in rule.message
            assert f"{{{name}}}" not in rule.fix


def test_order_does_not_matter() -> None:
    findings = read(book(Stock="Ingredient | Amount | Unit\nonion | x | jug\nonion | y | jug\nonion | x | jug"))[1]
    assert [each.as_dict() for each in gathered(findings)] == [each.as_dict() for each in gathered(findings[::-1])]
    json.dumps([each.as_dict() for each in gathered(findings)])


def test_a_misspelt_food_is_said_once_where_it_is_wrong(tmp_path: Path) -> None:
    """Not at each household that must not get something, and not a second time as a name that nobody knows."""
    people = [f"p{number} | g1 | h{number} | no milk" for number in range(5)]
    sheets = {
        "Recipes": f"{RECIPES}\nsoup | 4 | buter | 1 | tbsp",
        "Enrolment": "\n".join(["Participant | Group | Household | Needs", *people]),
    }
    path = tmp_path / "term.xlsx"
    path.write_bytes(written({**CORE, **sheets}))
    found = check(path, Asked(today=dt.date(2027, 3, 1)))
    (finding,) = [each for each in found if "buter" in each.message and each.place.cell]
    assert (finding.code, finding.where, finding.severity) == ("unknown-food-for-need", "Recipes!C2", "error")
    assert "household h0, h1, h2, h3, h4" in finding.message
    assert "Did you mean butter?" in finding.fix
    path.write_bytes(
        written({**CORE, **sheets, "Enrolment": "Participant | Group | Household | Needs\np0 | g1 | h0 |"})
    )
    found = check(path, Asked(today=dt.date(2027, 3, 1)))
    assert [each.code for each in found if each.where == "Recipes!C2"] == ["ingredient-unknown"]
