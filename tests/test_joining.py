"""Ids join whatever their case and outer spaces: one reference in other letters, and the programme is the same."""

import datetime as dt

import pytest
from support import book, read

from opsreport.joining import build_programme
from opsreport.programme import Programme

SHEETS = {
    "Groups": "Group | Funders\ng1 | lark 60%; reed 40%",
    "Sessions": "Session | Group | Date | Recipes | Status | Replaces\n"
    "s1 | g1 | @2027-03-04 | soup | cancelled |\ns2 | g1 | @2027-03-11 | soup | delivered | s1",
    "Enrolment": "Participant | Group | Household | Needs\np1 | g1 | h1 | no onion\np2 | g1 | h1 | none",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 100 | g\nsoup | | carrot | 100 | g",
    "Methods": "Recipe | Step | Text\nsoup | 1 | Stir.",
    "Suppliers": "Supplier | Lead days\nmarket | 3",
    "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nmarket | carrot | 1 | kg | 2",
    "Stock": "Ingredient | Amount | Unit\ncarrot | 50 | g",
    "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
    "o1 | market | onion | 1 | 1 | kg | @2027-03-08",
    "Swaps": "Ingredient | Need | Use instead\nonion | no onion | carrot",
    "Attendance": "Session | Participant | Mark\ns2 | p1 | present",
    "Pick-ups": "Session | Household | Kit\ns2 | h1 | collected",
    "Questions": "Question | Text | Kind\nq1 | Sure? | yes-no",
    "Surveys": "Participant | Question | Before | After\np1 | q1 | no | yes",
    "Funders": "Funder | From | Until\nlark | @2027-01-01 | @2027-06-30\nreed | @2027-01-01 | @2027-06-30",
    "Narratives": "Funder | Heading | Text\nlark | Thanks | Thank you.",
}
REFERENCES = [
    ("Groups", "lark 60%"), ("Sessions", "g1"), ("Sessions", "soup"), ("Sessions", "delivered | s1"),
    ("Enrolment", "g1"), ("Enrolment", "no onion"), ("Recipes", "soup | |"), ("Methods", "soup"),
    ("Packs", "market"), ("Packs", "carrot"), ("Stock", "carrot"), ("Orders", "market"), ("Orders", "onion"),
    ("Swaps", "onion"), ("Swaps", "no onion"), ("Swaps", "carrot"), ("Attendance", "s2"), ("Attendance", "p1"),
    ("Pick-ups", "s2"), ("Pick-ups", "h1"), ("Surveys", "p1"), ("Surveys", "q1"), ("Narratives", "lark"),
]  # fmt: skip


def joined(sheets: dict[str, str]) -> Programme:
    rows, findings = read(book(sheets), dt.date(2027, 3, 1))
    assert [(str(finding.place), finding.code) for finding in findings if finding.stops] == []
    return build_programme(rows, dt.date(2027, 3, 1))


def told(programme: Programme) -> dict[str, object]:
    """What a programme says, needs by what they cover."""
    return {
        "groups": programme.groups,
        "sessions": programme.sessions,
        "members": [
            (each.participant, each.group, each.household, [need.covers for need in each.needs])
            for each in programme.members
        ],
        "recipes": programme.recipes,
        "suppliers": programme.suppliers,
        "food": (programme.offers, programme.lots, programme.on_order),
        "swaps": [(swap.food, swap.need.covers, swap.instead) for swap in programme.swaps],
        "marks": [(row.session, row.participant, row.mark) for row in programme.attendance],
        "pick-ups": [(row.session, row.household, row.kit) for row in programme.pick_ups],
        "surveys": [(row.participant, row.question, row.when, row.answer) for row in programme.surveys],
        "narratives": [row.funder.strip().casefold() for row in programme.narratives],
    }


@pytest.mark.parametrize(("sheet", "reference"), REFERENCES)
def test_a_reference_in_other_letters_means_the_same(sheet: str, reference: str) -> None:
    head, _, rows = SHEETS[sheet].partition("\n")
    assert reference in rows
    other = rows.replace(reference, f"\u00a0{reference.upper()}")
    assert told(joined({**SHEETS, sheet: f"{head}\n{other}"})) == told(joined(SHEETS))
