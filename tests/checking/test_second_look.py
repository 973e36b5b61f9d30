"""Each question of a careful colleague: a workbook that earns it, and one so like it that does not."""

import datetime as dt
import re
from pathlib import Path

import pytest
from support import read, term

import opsreport
from opsreport.rules import RULES, Severity

AS_OF = dt.date(2027, 3, 1)
SESSIONS = "Session | Group | Date | Start | Minutes | Recipes | Status"
ENROL = "Participant | Group | Needs"
STOCK = "Ingredient | Amount | Source | Value | Best before | Opened | Counted | Packs"
PACKS = "Supplier | Ingredient | Pack amount | Pack unit | Price"
WEEKLY = "".join(f"\ns{n} | g1 | @2027-03-{4 + 7 * n:02d} | | | soup |" for n in range(4))
SOUP = "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 |"


def two(first: str, second: str) -> dict[str, str]:
    """Two sessions of one group: `date | start | minutes | recipes | status`."""
    return {"Sessions": f"{SESSIONS}\ns1 | g1 | {first}\ns2 | g1 | {second}"}


def enrolled(*rows: str, more: str = "") -> dict[str, str]:
    return {"Enrolment": "\n".join((f"{ENROL}{more}", *rows))}


def lot(cells: str) -> dict[str, str]:
    return {"Stock": f"{STOCK}\nonion | 2 | {cells}"}


def on_order(best_before: str) -> dict[str, str]:
    """Packs gives the pack 30 days, Ingredients the food 7."""
    head = "Order | Supplier | Ingredient | Item | Packs | Pack amount | Pack unit | Due | Best before"
    return {
        "Ingredients": "Ingredient | Contains | Keeps\nonion | none | 7",
        "Packs": f"{PACKS} | Item | Keeps\nNear | onion | 5 | each | 4 | N5 | 30\nNear | onion | 5 | each | 3 | N6 |",
        "Orders": f"{head}\no1 | Near | onion | N5 | 1 | 5 | each | @2027-03-02 {best_before}",
    }


def sour_cream(lot: str) -> dict[str, str]:
    """Sold in tubs of 32 oz; the catalogue has no days for it once opened, so 9 are given."""
    return {
        "Ingredients": "Ingredient | Contains | Keeps open\nsour cream | milk | 9",
        "Packs": f"{PACKS}\nNear | sour cream | 32 | oz | 4",
        "Stock": f"Ingredient | Amount | Unit | Packs | Best before\nsour cream | {lot} | @2027-04-01",
    }


BOUNDS = {"Settings": "Setting | Value\nTerm from | @2027-03-01\nTerm until | @2027-06-30"}
TWO_GROUPS = f"{SESSIONS}\ns1 | g1 | @2027-03-04 | | | soup |\ns2 | g2 | @2027-03-05 | | | soup |"

LOOKED_AT: list[tuple[str, str, dict[str, str], dict[str, str]]] = [
    ("session-outside-term", "Sessions!C2",
     {**BOUNDS, "Sessions": f"{SESSIONS}\ns1 | g1 | @2027-07-01 | | | soup |"},
     {**BOUNDS, "Sessions": f"{SESSIONS}\ns1 | g1 | @2027-06-30 | | | soup |"}),
    ("session-outside-term", "Sessions!C6",
     {"Sessions": f"{SESSIONS}{WEEKLY}\ns9 | g1 | @2027-08-12 | | | soup |"},
     {"Sessions": f"{SESSIONS}{WEEKLY}\ns9 | g1 | @2027-05-20 | | | soup |"}),
    ("sessions-at-one-time", "Sessions!D3",
     two("@2027-03-04 | 17:00 | 90 | soup |", "@2027-03-04 | 18:00 | | soup |"),
     two("@2027-03-04 | 17:00 | 60 | soup |", "@2027-03-04 | 18:00 | | soup |")),
    ("sessions-at-one-time", "Sessions!C3",
     two("@2027-03-04 | | | soup |", "@2027-03-04 | | | soup |"),
     two("@2027-03-04 | | | soup |", "@2027-03-04 | | | soup | cancelled")),
    ("member-of-two-groups", "Enrolment!B3",
     {"Sessions": TWO_GROUPS, **enrolled("p1 | g1 | none |", "p1 | g2 | none |", more=" | Left")},
     {"Sessions": TWO_GROUPS,
      **enrolled("p1 | g1 | none | | @2027-03-10", "p1 | g2 | none | @2027-03-11 |", more=" | Joined | Left")}),
    ("seats-exceeded", "Groups!B2",
     {"Groups": "Group | Seats\ng1 | 1", **enrolled("p1 | g1 | none", "p2 | g1 | none")},
     {"Groups": "Group | Seats\ng1 | 1",
      **enrolled("p1 | g1 | none | | @2027-03-05", "p2 | g1 | none | @2027-03-06 |", more=" | Joined | Left")}),
    ("group-without-sessions", "Enrolment!B3",
     enrolled("p1 | g1 | none", "p2 | g-1 | none"),
     enrolled("p1 | g1 | none", "p2 | G1 | none")),
    ("participant-several", "Enrolment!A2", enrolled("p1 & p2 | g1 | none"), enrolled("p1-p2 | g1 | none")),
    ("ids-differ-by-zeros", "Enrolment!A3",
     enrolled("'007 | g1 | none", "7 | g1 | none"),
     enrolled("'007 | g1 | none", "70 | g1 | none")),
    ("servings-odd", "Enrolment!D2",
     enrolled("p1 | g1 | none | 40", more=" | Servings"),
     enrolled("p1 | g1 | none | 9", more=" | Servings")),
    ("servings-odd", "Recipes!B2", {"Recipes": SOUP.replace("4", "400")}, {"Recipes": SOUP.replace("4", "40")}),
    ("servings-differ", "Enrolment!D3",
     enrolled("p1 | g1 | none | 4 | h1", "p2 | g1 | none | 5 | h1", more=" | Servings | Household"),
     enrolled("p1 | g1 | none | 4 | h1", "p2 | g1 | none | | h1", more=" | Servings | Household")),
    ("recipe-unused", "Recipes!A3", {"Recipes": f"{SOUP}\nstew | 4 | carrot | 1 |"}, {"Recipes": SOUP}),
    ("price-far-apart", "Packs!E3",
     {"Packs": f"{PACKS}\nNear | onion | 5 | lb | 4\nFar | onion | 5 | oz | 4"},
     {"Packs": f"{PACKS}\nNear | onion | 5 | lb | 4\nFar | onion | 5 | lb | 11.99\nNear | onion | 5 | oz | 4"}),
    ("donated-without-value", "Stock!D2", lot("donated | | | | |"), lot("donated | 3 | | | |")),
    ("stock-long-ago", "Stock!E2", lot("| | @2026-06-30 | |"), lot("| | @2026-12-31 | |")),
    ("stock-long-ago", "Stock!F2", lot("| | | @2026-02-27 |"), lot("| | | @2027-02-27 |")),
    ("count-stale", "Stock!G2", lot("| | | | @2027-02-14"), lot("| | | | @2027-02-15")),
    ("count-to-come", "Stock!G2", lot("| | | | @2027-03-02"), lot("| | | | @2027-03-01")),
    ("order-keeps-otherwise", "Orders!I2", on_order("|"), on_order("| @2027-03-20")),
    ("stock-in-one-pack", "Stock!D2", sour_cream("64 | oz |"), sour_cream("64 | oz | 1")),
    ("stock-in-one-pack", "Stock!D2", sour_cream("4 | lb |"), sour_cream("63 | oz |")),
    ("opened-in-packs", "Stock!H2", lot("| | | @2027-02-27 | | 2"), lot("| | | @2027-02-27 | | 1")),
]  # fmt: skip


@pytest.mark.parametrize(("code", "place", "odd", "like"), LOOKED_AT)
def test_each_question(code: str, place: str, odd: dict[str, str], like: dict[str, str]) -> None:
    findings = read(term(odd), AS_OF)[1]
    (finding,) = [finding for finding in findings if finding.code == code]
    assert str(finding.place) == place
    assert finding.severity is (Severity.NOTE if code == "stock-in-one-pack" else Severity.WARNING)
    assert finding.seen in finding.message
    assert finding.fix.endswith((".", "?"))
    assert [finding for finding in findings if finding.severity is Severity.ERROR] == []
    assert code not in [finding.code for finding in read(term(like), AS_OF)[1]]


def test_every_question_has_its_pair() -> None:
    source = (Path(opsreport.__file__).parent / "checking" / "second_look.py").read_text(encoding="utf-8")
    asked = {code for code in re.findall(r'"([a-z]+(?:-[a-z]+)+)"', source) if code in RULES}
    assert {code for code, *_ in LOOKED_AT} == asked


def test_a_group_of_another_name_is_suggested() -> None:
    findings = read(term(enrolled("p1 | g1 | none", "p2 | g-1 | none")), AS_OF)[1]
    assert [finding.fix for finding in findings if finding.code == "group-without-sessions"] == [
        "Add its sessions, or correct the group. Did you mean g1?"
    ]


def test_a_price_is_compared_by_weight_with_the_cheapest_supplier() -> None:
    packs = f"{PACKS}\nNear | onion | 5 | lb | 4\nFar | onion | 80 | oz | 14"
    (finding,) = [f for f in read(term(Packs=packs), AS_OF)[1] if f.code == "price-far-apart"]
    assert finding.message == "$14.00 for onion is 3.5 times the price of Near (row 2) per gram."
