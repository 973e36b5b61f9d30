"""The demo workbooks are current, and hold what the tests that read them rely on."""

import datetime as dt
import subprocess
import sys
from collections import Counter
from collections.abc import Iterator
from functools import cache
from pathlib import Path
from typing import Any

import pytest
from make_demo import DEMO_NAME, LEAST_NAME, make
from openpyxl import Workbook, load_workbook

Records = list[dict[str, Any]]

HERE = Path(__file__).resolve().parent
WORKBOOKS = HERE.parent / "workbooks"
AS_OF = dt.date(2027, 2, 8)
HEADINGS = {  # a required heading of each sheet, by which its heading row is known
    "Settings": "Setting",
    "Groups": "Group",
    "Sessions": "Session",
    "Enrolment": "Participant",
    "Recipes": "Recipe",
    "Methods": "Recipe",
    "Ingredients": "Ingredient",
    "Swaps": "Use instead",
    "Suppliers": "Supplier",
    "Packs": "Pack amount",
    "Stock": "Amount",
    "Orders": "Order",
    "Tools": "Tool",
    "Closures": "Date",
    "Attendance": "Participant",
    "Pick-ups": "Kit",
    "Questions": "Question",
    "Surveys": "When",
    "Funders": "Funder",
}

# What a label of the demo's foods says, from common knowledge rather than from the catalogue, so that one is
# a witness to the other. A food with a swap, or that serves as one, and no entry here holds nothing of note.
CONTAINS = {
    "rolled oats": {"oats"},
    "granola": {"oats", "wheat"},
    "whole wheat flour": {"wheat"},
    "pearl barley": {"barley"},
    "whole wheat pasta": {"wheat"},
    "naan": {"wheat"},
    "soy sauce": {"soy", "wheat"},
    "tamari": {"soy"},
    "firm tofu": {"soy"},
    "soy yogurt": {"soy"},
    "sesame oil": {"sesame"},
    "sesame seed": {"sesame"},
    "peanut butter": {"peanut"},
    "walnut": {"tree nuts"},
    "sliced almonds": {"tree nuts"},
    "honey": {"honey"},
    "butter": {"milk"},
    "plain yogurt": {"milk"},
    "whole milk": {"milk"},
    "cheddar": {"milk"},
    "feta": {"milk"},
    "egg": {"egg"},
    "mayonnaise": {"egg", "mustard"},
    "mustard": {"mustard"},
    "curry powder": {"mustard"},
    "celery": {"celery"},
    "vegetable broth": {"celery"},
    "ham slice": {"meat", "pork"},
    "ground turkey": {"meat"},
    "sliced turkey breast": {"meat"},
    "canned tuna in water": {"fish"},
    "vanilla extract": {"alcohol"},
    "mushroom": {"mushroom"},
}
ALSO_NAMED = {"oats": "rolled oats", "chickpeas": "canned chickpeas", "chopped tomatoes": "canned tomatoes"}
COVERS = {
    "nuts": {"peanut", "tree nuts"},
    "dairy": {"milk"},
    "gluten": {"wheat", "barley", "rye", "oats"},
    "shellfish": {"crustacean shellfish", "molluscs"},
    "vegetarian": {"meat", "fish", "shellfish", "gelatin"},
    "vegan": {"meat", "fish", "shellfish", "gelatin", "milk", "egg", "honey"},
}


@cache
def opened(path: Path) -> Workbook:
    return load_workbook(path)


def records(path: Path, sheet: str) -> Records:
    """The rows of a sheet by heading, without blank rows, the totals row and remarks in the first cell."""
    rows = list(opened(path)[sheet].values)
    top = next(r for r, row in enumerate(rows) if HEADINGS[sheet] in row)
    found = [dict(zip(map(str, rows[top]), row, strict=True)) for row in rows[top + 1 :]]
    return [row for row in found if len(filled(row)) > 1 and next(iter(row.values())) != "Total"]


def filled(row: dict[str, Any]) -> list[Any]:
    return [value for value in row.values() if value is not None]


@pytest.fixture(scope="module")
def demo() -> dict[str, Records]:
    return {sheet: records(WORKBOOKS / DEMO_NAME, sheet) for sheet in HEADINGS}


def active(member: dict[str, Any], day: dt.datetime) -> bool:
    since, until = member["Joined"] or day, member["Left"] or day
    return member["Status"] == "active" and since <= day <= until


def planned(demo: dict[str, Records]) -> Iterator[dict[str, Any]]:
    return (s for s in demo["Sessions"] if s["Status"] == "planned")


def covered(need: str) -> set[str]:
    word = need.strip().removeprefix("no ")
    return COVERS.get(word, {word})


def lines(demo: dict[str, Records]) -> dict[str, list[dict[str, Any]]]:
    """Recipe lines by recipe, the id filled down, the ingredient by its plain name."""
    by_recipe: dict[str, list[dict[str, Any]]] = {}
    recipe = ""
    for row in demo["Recipes"]:
        recipe = row["Recipe"] or recipe
        named = ALSO_NAMED.get(row["Ingredient"], row["Ingredient"])
        by_recipe.setdefault(recipe, []).append({**row, "Ingredient": named})
    return by_recipe


def test_committed_workbooks_are_what_the_script_writes(tmp_path: Path) -> None:
    for path in make(tmp_path):
        assert (WORKBOOKS / path.name).read_bytes() == path.read_bytes(), "run python tests/make_demo.py"


def test_the_script_writes_into_the_folder_it_is_given(tmp_path: Path) -> None:
    script = [sys.executable, str(HERE / "make_demo.py"), str(tmp_path / "new")]
    told = subprocess.run(script, capture_output=True, text=True, check=True)
    assert [Path(line).name for line in told.stdout.splitlines()] == [DEMO_NAME, LEAST_NAME]
    for name in (DEMO_NAME, LEAST_NAME):
        assert (tmp_path / "new" / name).read_bytes() == (WORKBOOKS / name).read_bytes()


def test_size_of_the_demo(demo: dict[str, Records]) -> None:
    sizes = {sheet: len(rows) for sheet, rows in demo.items()}
    assert sizes["Groups"] == 6
    assert sizes["Sessions"] == 6 * 8 + 2
    assert len({m["Household"] for m in demo["Enrolment"]}) == 60
    assert len({m["Participant"] for m in demo["Enrolment"]}) == 92
    assert sizes["Enrolment"] == 93  # one is in two groups
    assert len(lines(demo)) == 10
    assert len({line["Ingredient"] for of_one in lines(demo).values() for line in of_one}) == 84
    assert sizes["Suppliers"] == 3
    assert sizes["Funders"] == 2
    assert sizes["Questions"] == 5


def test_every_sheet_has_its_own_look(demo: dict[str, Records]) -> None:
    book = opened(WORKBOOKS / DEMO_NAME)
    titled = {sheet for sheet, heading in HEADINGS.items() if heading not in next(book[sheet].values)}
    assert titled == {"Sessions", "Enrolment", "Swaps", "Packs", "Stock"}
    assert book.sheetnames == [*HEADINGS, "Notes"]
    assert next(book["Funders"].iter_rows(min_row=book["Funders"].max_row, values_only=True))[0] == "Total"
    assert {cell.number_format for cell in book["Packs"]["F"][3:-1]} == {'"$"#,##0.00'}
    assert not any(cell.data_type in "fe" for sheet in book for row in sheet for cell in row)


def test_eight_weeks_of_one_session_a_week(demo: dict[str, Records]) -> None:
    first = dt.datetime(2027, 1, 11)
    met: dict[str, list[int]] = {}
    for session in demo["Sessions"]:
        if not session["Replaces"]:
            met.setdefault(session["Group"], []).append((session["Date"] - first).days // 7)
    assert met == {group: list(range(8)) for group in ("PB", "ER", "TL", "SH", "ON", "GP")}
    weekdays = {(s["Group"], s["Date"].weekday()) for s in demo["Sessions"] if not s["Replaces"]}
    assert weekdays == {("PB", 0), ("ER", 1), ("TL", 2), ("SH", 3), ("ON", 3), ("GP", 4)}


def test_sessions_before_the_planning_date_are_delivered_and_none_after_it(demo: dict[str, Records]) -> None:
    assert {s["Setting"]: s["Value"] for s in demo["Settings"]}["As of"] == dt.datetime(2027, 2, 8)
    for session in demo["Sessions"]:
        if session["Status"] != "cancelled":
            past = session["Date"].date() < AS_OF
            assert session["Status"] == ("delivered" if past else "planned"), session["Session"]


def test_both_cancelled_sessions_are_made_up(demo: dict[str, Records]) -> None:
    cancelled = {s["Session"] for s in demo["Sessions"] if s["Status"] == "cancelled"}
    replaced = {s["Replaces"]: s["Session"] for s in demo["Sessions"] if s["Replaces"]}
    assert cancelled == {"PB6", "GP2"}
    assert replaced == {"PB6": "PB6b", "GP2": "GP2b"}


def test_ids_that_sheets_share_are_known(demo: dict[str, Records]) -> None:
    groups = {g["Group"] for g in demo["Groups"]}
    recipes = set(lines(demo))
    suppliers = {s["Supplier"] for s in demo["Suppliers"]}
    sessions = {s["Session"] for s in demo["Sessions"]}
    assert {s["Group"] for s in demo["Sessions"]} == {m["Group"] for m in demo["Enrolment"]} == groups
    dishes = {d.strip().removesuffix(" x2") for s in demo["Sessions"] for d in s["Recipes"].split(";")}
    assert dishes == {m["Recipe"] for m in demo["Methods"]} == recipes
    assert {p["Supplier"] for p in demo["Packs"]} == suppliers
    assert {o["Supplier"] for o in demo["Orders"]} == suppliers
    assert {p["Session"] for p in demo["Pick-ups"]} <= sessions
    assert set(demo["Attendance"][0]) - {"Participant"} <= sessions


def test_a_pack_for_all_that_is_bought_but_three(demo: dict[str, Records]) -> None:
    home = {i["Ingredient"] for i in demo["Ingredients"] if i["Family cupboard"]}
    bought = {line["Ingredient"] for of_one in lines(demo).values() for line in of_one if line["Supplied"] != "home"}
    instead = {s["Use instead"] for s in demo["Swaps"]} - {"leave out"}
    packed = {p["Ingredient"] for p in demo["Packs"]}
    assert (bought | instead) - home - packed == {"fresh dill", "unsweetened coconut", "imitation vanilla"}


def test_stock_has_a_lot_of_every_sort(demo: dict[str, Records]) -> None:
    week = [dt.datetime(2027, 2, 8) + dt.timedelta(days=day) for day in range(7)]
    lots = demo["Stock"]
    assert [lot["Lot"] for lot in lots if lot["Best before"] and lot["Best before"] < week[0]] == ["C-12"]
    assert [lot["Lot"] for lot in lots if lot["Best before"] in week] == ["Y-15"]
    assert [lot["Lot"] for lot in lots if lot["Hold"]] == ["PB-2"]
    assert [lot["Ingredient"] for lot in lots if lot["Opened"]] == [
        "white rice",
        "rolled oats",
        "soy sauce",
        "curry powder",
        "frozen corn",
    ]
    assert all((lot["Value"] is not None) == (lot["Source"] == "donated") for lot in lots)
    assert all(dt.timedelta(0) <= week[0] - lot["Counted"] <= dt.timedelta(days=14) for lot in lots)


def test_nothing_on_order_is_overdue_and_one_came_in_part(demo: dict[str, Records]) -> None:
    coming = [order for order in demo["Orders"] if (order["Received"] or 0) < order["Packs"]]
    assert all(order["Due"].date() >= AS_OF for order in coming)
    assert [(o["Order"], o["Item"]) for o in coming if o["Received"]] == [("FFK-072", "M-1101")]
    here = [order for order in demo["Orders"] if order not in coming]
    assert {order["Order"] for order in here} == {"FFK-061", "FFK-062", "FFK-066", "FFK-067"}
    assert all(order["Due"].date() < AS_OF for order in here)


def test_every_conflict_of_a_planned_session_has_a_swap(demo: dict[str, Records]) -> None:
    swaps = [(s["Ingredient"], covered(s["Need"]), s["Use instead"]) for s in demo["Swaps"]]

    def fits(ingredient: str, needs: set[str]) -> bool:
        conflict = CONTAINS.get(ingredient, set()) & needs
        return not conflict or any(
            conflict <= serves and (instead == "leave out" or fits(instead, needs))
            for replaced, serves, instead in swaps
            if replaced == ingredient
        )

    unsafe = []
    conflicts = Counter[str]()
    recipes = lines(demo)
    for session in planned(demo):
        present = [m for m in demo["Enrolment"] if m["Group"] == session["Group"] and active(m, session["Date"])]
        kits: dict[str, set[str]] = {}
        for member in present:  # all tables of a session are taken as one kit, stricter than the rule
            kit = session["Group"] if session["Group"] == "SH" else member["Household"]
            if session["Group"] == "TL":
                kit = member["Participant"]
            answers = [need for need in (member["Needs"] or "none").split(";") if need != "none"]
            kits.setdefault(kit, set()).update(*map(covered, answers))
        dishes = [dish.strip().removesuffix(" x2") for dish in session["Recipes"].split(";")]
        for kit, needs in kits.items():
            for line in (line for dish in dishes for line in recipes[dish]):
                if CONTAINS.get(line["Ingredient"], set()) & needs:
                    conflicts[kit] += 1
                    if not fits(line["Ingredient"], needs) or line["Scale"] == "session":
                        unsafe.append((session["Session"], kit, line["Ingredient"], needs))
    assert unsafe == []
    assert len(conflicts) >= 25


def test_attendance_is_marked_for_members_of_the_day_only(demo: dict[str, Records]) -> None:
    days = {s["Session"]: (s["Group"], s["Date"]) for s in demo["Sessions"]}
    marks = Counter[str]()
    for row in demo["Attendance"]:
        for session, mark in row.items():
            if session != "Participant" and mark is not None:
                group, day = days[session]
                member = next(
                    m for m in demo["Enrolment"] if (m["Participant"], m["Group"]) == (row["Participant"], group)
                )
                assert (member["Joined"] or day) <= day <= (member["Left"] or day), (
                    row["Participant"],
                    session,
                )
                marks[mark] += 1
    assert set(marks) == {"y", "x", "✓", "late", "n", "absent", "kit only", "excused"}
    assert len(demo["Attendance"][0]) - 1 == 24


def test_matched_pairs(demo: dict[str, Records]) -> None:
    answered: dict[str, Counter[str]] = {q["Question"]: Counter() for q in demo["Questions"]}
    for question, forms in answered.items():
        forms.update(row["Participant"] for row in demo["Surveys"] if row[question] is not None)
    assert {q: sum(1 for n in forms.values() if n == 2) for q, forms in answered.items()} == {
        "Q1": 38,
        "Q2": 39,
        "Q3": 39,
        "Q4": 38,
        "Q5": 39,
    }
    assert sum(1 for n in answered["Q2"].values() if n == 1) == 5
    for asked in demo["Questions"]:
        if asked["Kind"] != "yes-no":
            answers = [row[asked["Question"]] for row in demo["Surveys"] if row[asked["Question"]] is not None]
            assert all(asked["Lowest"] <= answer <= asked["Highest"] for answer in answers)


def test_pick_ups_tell_of_every_kind_of_end(demo: dict[str, Records]) -> None:
    ends = Counter(p["Kit"] for p in demo["Pick-ups"])
    assert {end: n for end, n in ends.items() if end != "collected"} == {
        "passed on": 6,
        "left": 7,
        "discarded": 3,
    }
    kits = {(p["Session"], p["Household"]) for p in demo["Pick-ups"]}
    assert len(kits) == len(demo["Pick-ups"])


def test_the_least_workbook() -> None:
    path = WORKBOOKS / LEAST_NAME
    assert opened(path).sheetnames == ["Sessions", "Enrolment", "Recipes", "Stock"]
    assert [s["Date"] for s in records(path, "Sessions")] == [
        dt.datetime(2027, 3, 11),
        dt.datetime(2027, 3, 18),
    ]
    assert len({m["Household"] for m in records(path, "Enrolment")}) == 6
    assert len({row["Recipe"] for row in records(path, "Recipes") if row["Recipe"]}) == 2
    assert len(records(path, "Stock")) == 3
