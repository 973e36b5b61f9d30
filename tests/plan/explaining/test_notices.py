"""Every warning on the plan itself, earned by a small workbook, at the cell behind it."""

import datetime as dt
from collections.abc import Mapping

import pytest
from support import read, term

from opsreport.findings import Finding
from opsreport.joining import build_programme
from opsreport.plan.explaining.notices import notices
from opsreport.plan.food_plan import plan_food
from opsreport.rules import Severity

MONDAY = dt.date(2027, 1, 4)
SHEETS = {
    "Settings": "Setting | Value\nSpare kits | 0\nDemo kits | 0",
    "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-01-14 | stew",
    "Enrolment": "Participant | Group | Needs\np1 | g1 | none",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 100 | g",
    "Stock": "Ingredient | Amount | Unit",
    "Ingredients": "Ingredient | Storage | Keeps\nbean mix | shelf | 30",
    "Suppliers": "Supplier | Lead days | Minimum order\nshop | 2 | 1",
    "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nshop | bean mix | 100 | g | 2",
}
"""A term about which nothing needs saying."""


def told(sheets: Mapping[str, str] | None = None) -> list[Finding]:
    rows, findings = read(term({**SHEETS, **(sheets or {})}), MONDAY)
    assert [finding.message for finding in findings if finding.severity is Severity.ERROR] == []
    _, notices = plan_food(build_programme(rows, MONDAY))
    return notices


def test_a_good_term_needs_no_word() -> None:
    assert told() == []


def sessions(row: str, heads: str = "") -> dict[str, str]:
    return {"Sessions": f"Session | Group | Date | Recipes{heads}\n{row}"}


CASES: list[tuple[str, dict[str, str], str, str]] = [
    # nobody belongs to the group that day
    ("session-without-members", sessions("s1 | empty | @2027-01-14 | stew"), "Sessions!A2", "s1"),
    ("session-without-members", {"Enrolment": "Participant | Group | Needs | Left\n"
    "p1 | g1 | none | @2027-01-13"}, "Sessions!A2", "s1"),
    ("session-without-members", sessions("s1 | empty | @2027-01-04 | stew"), "Sessions!A2", "s1"),  # today
    # every day on which it could still be packed is closed
    ("packing-day-past", {**sessions("s1 | g1 | @2027-01-07 | stew"),
    "Closures": "Date | What\n@2027-01-04 | packing\n@2027-01-05 | packing\n@2027-01-06 | packing"},
    "Sessions!A2", "Thu 7 Jan 2027"),
    # a Saturday, and a day closed for packing
    ("packing-day-closed", sessions("s1 | g1 | @2027-01-14 | stew | @2027-01-09", " | Packing date"),
    "Sessions!E2", "Sat 9 Jan 2027"),
    (
        "packing-day-closed",
        {**sessions("s1 | g1 | @2027-01-14 | stew | @2027-01-13", " | Packing date"),
        "Closures": "Date | What\n@2027-01-13 | packing"},
        "Sessions!E2", "Wed 13 Jan 2027",
    ),
    # packed today, nothing there
    ("shortage", sessions("s1 | g1 | @2027-01-05 | stew"), "Sessions!A2", "100"),
    ("no-pack-on-offer", {"Packs": SHEETS["Packs"].replace("bean mix", "other mix")}, "", "bean mix"),
    # a price of 5 November 2026 is 60 days old on 4 January, one of the 4th is 61
    ("prices-old", {"Packs": SHEETS["Packs"].replace("Price", "Price | Priced") + " | @2026-11-04"}, "Packs!E2",
    "Wed 4 Nov 2026"),
    # 2.00 for one pack of the only order; the cap is a cent less
    ("budget-broken", {"Settings": SHEETS["Settings"] + "\nBudget | 1.99"}, "", "shop-20270113"),
    # lead of nine working days
    ("order-urgent", {"Suppliers": "Supplier | Lead days\nshop | 9"}, "", "shop-20270105"),
    ("order-below-minimum", {"Suppliers": "Supplier | Lead days | Minimum order\n"
    "shop | 2 | 2.01"}, "", "shop-20270113"),
    ("chilled-without-keeps", {"Ingredients": "Ingredient | Storage\nbean mix | chill"}, "", "bean mix"),
]  # fmt: skip


@pytest.mark.parametrize(("code", "sheets", "place", "seen"), CASES)
def test_what_is_said_where(code: str, sheets: dict[str, str], place: str, seen: str) -> None:
    found = told(sheets)
    assert [(str(finding.place), finding.code, finding.seen) for finding in found] == [(place, code, seen)]
    assert found[0].severity is Severity.WARNING
    assert seen in found[0].message
    assert "{" not in found[0].message + found[0].fix


@pytest.mark.parametrize(
    "sheets",
    [
        # what is not planned, or past, needs nobody
        sessions("s1 | empty | @2027-01-14 | stew | cancelled", " | Status"),
        sessions("s1 | empty | @2027-01-03 | stew"),
        # the packing day moves off a closed day by itself
        {"Closures": "Date | What\n@2027-01-13 | packing"},
        {**sessions("s1 | g1 | @2027-01-14 | stew | @2027-01-13", " | Packing date"),
        "Closures": "Date | What\n@2027-01-13 | deliveries"},
        {"Suppliers": "Supplier | Lead days | Minimum order\nshop | 2 | 2"},
        {"Ingredients": "Ingredient | Storage | Keeps\nbean mix | chill | 5"},
        {"Ingredients": "Ingredient | Storage\nbean mix | freeze"},
        {"Packs": SHEETS["Packs"].replace("Price", "Price | Priced") + " | @2026-11-05"},
        {"Settings": SHEETS["Settings"] + "\nBudget | 2.00"},
    ],
)  # fmt: skip
def test_what_needs_no_word(sheets: dict[str, str]) -> None:
    assert told(sheets) == []


def test_the_words_of_a_shortage() -> None:
    found = told(
        {
            **sessions("s1 | g1 | @2027-01-05 | stew | 9", " | Kits"),
            "Stock": "Ingredient | Amount | Unit\nbean mix | 350 | g",
        }
    )[0]
    assert {key: found.details[key] for key in ("ingredient", "session", "unit", "kits")} == {
        "ingredient": "bean mix", "session": "s1", "unit": "g", "kits": "3 full kits are",
    }  # fmt: skip


def test_one_word_a_food_for_all_its_sessions() -> None:
    sheets = sessions("s1 | g1 | @2027-01-14 | stew\ns2 | g1 | @2027-01-21 | stew")
    found = told({**sheets, "Packs": SHEETS["Packs"].replace("bean mix", "other mix")})
    assert [(finding.code, finding.seen, finding.details["sessions"]) for finding in found] == [
        ("no-pack-on-offer", "bean mix", "s1, s2")
    ]


@pytest.mark.parametrize(
    ("cap", "over", "waits"),
    [
        ("6.49", "$0.01", "it waits"),
        ("4.49", "$2.01", "it and the order after it wait"),
        ("2.49", "$4.01", "it and the 2 after it wait"),
    ],
)
def test_a_broken_cap_is_told_with_all_its_money(cap: str, over: str, waits: str) -> None:
    """0.50 is spent, and three weeks take a pack at 2.00 each: 6.50."""
    dates = "\n".join(f"s{at} | g1 | @2027-01-{day} | stew" for at, day in enumerate((14, 21, 28), 1))
    (found,) = told({**sessions(dates), "Settings": f"{SHEETS['Settings']}\nBudget | {cap}\nSpent so far | 0.50"})
    assert found.details == {"cap": f"${cap}", "total": "$6.50", "over": over, "waits": waits, "levers": ""}


def test_an_order_can_be_both_urgent_and_too_small() -> None:
    found = told({"Suppliers": "Supplier | Lead days | Minimum order\nshop | 9 | 50"})
    assert [finding.code for finding in found] == ["order-urgent", "order-below-minimum"]
    assert found[1].details["minimum"] == "$50.00"
    assert found[1].details["goods"] == "$2.00"
    assert found[0].details["order_by"] == "Wed 23 Dec 2026"


def test_food_that_cannot_keep_is_a_conflict_beside_the_shortage_with_its_choices() -> None:
    """Packed Wed 13 January for the 14th, good through the 15th; a farm comes on Mondays, its leaf keeps 3 days."""
    found = told(
        {
            "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | leaf mix | 100 | g",
            "Ingredients": "Ingredient | Storage | Keeps | Contains\nleaf mix | chill | 3 | none",
            "Suppliers": "Supplier | Lead days | Delivery days\nfarm | 2 | Mon",
            "Packs": "Supplier | Ingredient | Pack amount | Pack unit | Price\nfarm | leaf mix | 100 | g | 2",
        }
    )
    assert [finding.code for finding in found] == ["shortage", "delivery-conflict"]
    assert all(str(finding.place) == "Sessions!A2" and "{" not in finding.message + finding.fix for finding in found)
    conflict = found[1]
    assert (conflict.details["arrives"], conflict.details["through"]) == ("Mon 11 Jan 2027", "Thu 14 Jan 2027")
    assert conflict.details["use_by"] == "Fri 15 Jan 2027"
    for words in ("Ask farm for a delivery on Wed 13 Jan 2027", "keeps at least 4 days", "frozen"):
        assert words in conflict.fix


def test_an_order_without_any_price_is_a_note() -> None:
    sheets = {
        "Settings": SHEETS["Settings"] + "\nBudget | 50",
        "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
        "o1 | shop | bean mix | 1 | 99 | g | @2027-01-08",
    }
    (found,) = told(sheets)
    assert (found.code, found.seen, found.severity) == ("order-without-price", "Orders!G2", Severity.NOTE)


ELSEWHERE = ["delivery-conflict", "order-without-price"]
"""Codes with a test of their own above."""


def test_every_code_of_the_plans_notices_is_earned_here() -> None:
    listed = (notices.__doc__ or "").partition("Findings:")[2].strip().rstrip(".").replace("\n", " ")
    assert sorted({*(code for code, _, _, _ in CASES), *ELSEWHERE}) == sorted(" ".join(listed.split()).split(", "))
