"""What the packing papers say so that nobody is harmed: cold and raw food, dates, notes of swaps, who must be asked."""

import datetime as dt
from typing import Any

import pytest
from support import term

from opsreport.checking.check import check_rows
from opsreport.findings import Finding
from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.reading.read import read_rows
from opsreport.tables.packing import kit_documents
from opsreport.tables.table import Document, Facts, Labels, Prose, Table

AS_OF = dt.date(2027, 3, 1)
RECIPE = "Recipe | Servings | Ingredient | Amount | Unit | Supplied"
SWAPS = "Ingredient | Need | Use instead | Note"
ENROL = "Participant | Group | Household | Needs | Status | Name"


def recipe(*lines: str) -> dict[str, str]:
    """One recipe of `ingredient | amount | unit | supplied` lines."""
    rows = "\n".join(f"soup | {'' if n else 4} | {line}" for n, line in enumerate(lines))
    return {"Recipes": f"{RECIPE}\n{rows}"}


def people(*rows: str) -> dict[str, str]:
    return {"Enrolment": "\n".join((ENROL, *rows))}


def planned(sheets: dict[str, str]) -> tuple[dict[str, Document], list[Finding]]:
    """The documents of the kits by the end of their path, and what planning says."""
    rows, unread = read_rows(term({"Settings": "Setting | Value\nSpare kits | 0\nDemo kits | 0", **sheets}))
    programme = build_programme(rows, AS_OF)
    plan, told = plan_food(programme)
    documents = kit_documents(programme, plan)
    found = [*unread, *check_rows(rows, AS_OF), *told]
    return {document.path.partition("-03-03-")[2]: document for document in documents}, found


def text(document: Document) -> str:
    """All that a document says, a line a cell, label or sentence."""
    said: list[str] = []
    for part in document.parts:
        if isinstance(part, Table):
            said += [part.title, *part.intro, *(str(cell) for row in part.rows for cell in row.cells), *part.notes]
        elif isinstance(part, Labels):
            for label in part.labels:
                said += [label.head, *label.marks, *label.lines, label.contains, *label.foot]
        elif isinstance(part, Prose):
            said += part.sentences
        else:
            assert isinstance(part, Facts)
    return "\n".join(said)


# --- allergens that nobody listed ---


def test_food_of_which_nobody_said_what_it_holds_is_never_called_without() -> None:
    papers, _ = planned({**recipe("white drink | 100 | mL"), "Ingredients": "Ingredient | State\nwhite drink | liquid"})
    for name in ("labels", "checklists", "recipe-cards", "instructor", "stations"):
        assert "not known" in text(papers[name]).casefold(), name
        assert "no allergen on record" not in text(papers[name])


def test_where_nothing_is_listed_the_reader_is_sent_to_the_packages() -> None:
    papers, _ = planned(recipe("onion | 1 |"))
    for name in ("labels", "checklists", "recipe-cards"):
        assert "Allergens: nothing listed in our records; read the packages" in text(papers[name]), name
    assert "nothing listed; read the packages" in text(papers["instructor"])


# --- dates and cold ---

BEANS = recipe("canned black beans | 200 | g")


def test_beans_out_of_an_opened_can_are_kept_cold_and_dated() -> None:
    """Keeps open 3 (catalogue), opened on Wed 3 March: day 1 is the 3rd, so good through Fri 5 March; FDA Food Code
    3-501.17 counts the day of opening as day 1. The margin of one day after Thu 4 March is the same day."""
    papers, _ = planned(BEANS)
    assert "s1-A\nKEEP COLD\n" in text(papers["labels"])
    assert "Use by Fri 5 Mar 2027." in text(papers["labels"])
    assert "KEEP COLD: opened" in text(papers["checklists"])
    stations = text(papers["stations"])
    assert "KEEP COLD once opened" in stations
    assert "cold food, after the rest" in stations
    assert "\nCOLD\n" in text(papers["roster"])


@pytest.mark.parametrize(
    ("keeps_open", "use_by"),
    [
        ("2", "Use by Thu 4 Mar 2027: opened for this kit, canned black beans keeps no longer."),
        ("4", "Use by Fri 5 Mar"),
    ],
)
def test_the_date_is_the_earliest_of_margin_and_opened_food(keeps_open: str, use_by: str) -> None:
    sheets = {**BEANS, "Ingredients": f"Ingredient | Keeps open\ncanned black beans | {keeps_open}"}
    papers, found = planned(sheets)
    assert use_by in text(papers["labels"])
    assert [each for each in found if each.code == "opened-before-session"] == []


@pytest.mark.parametrize(
    ("line", "row"),
    [
        ("canned black beans | 1 | can", "canned black beans | 425 | 3 |"),  # a whole can
        ("canned black beans | 2 |", "canned black beans | 425 | 3 | whole"),
        ("rolled oats | 1 | cup", "rolled oats | | |"),  # keeps for months once opened
        ("peanut | 30 | g", "peanut | | 7 |"),  # goes into a bag, dry
    ],
)
def test_what_stays_sealed_or_dry_is_not_cold(line: str, row: str) -> None:
    sheets = {**recipe(line), "Ingredients": f"Ingredient | Grams each | Keeps open | Per kit\n{row}"}
    papers, _ = planned(sheets)
    assert "KEEP COLD" not in text(papers["labels"])
    assert "Use by Fri 5 Mar 2027." in text(papers["labels"])


def test_raw_meat_is_called_raw_and_hands_are_washed_there() -> None:
    papers, _ = planned(recipe("chicken breast | 500 | g", "ham slice | 2 |"))
    tables = [part for part in papers["stations"].parts if isinstance(part, Table)]
    cold = [part for part in tables if part.sheet.startswith("Cold")]
    ((chicken, its_station),) = [
        (str(row.cells[0]), part)
        for part in cold
        for row in part.rows
        if str(row.cells[0]).startswith("chicken breast")
    ]
    (ham,) = [str(row.cells[0]) for part in cold for row in part.rows if str(row.cells[0]).startswith("ham slice")]
    assert "RAW · COLD · bag by itself" in chicken
    assert "RAW" not in ham
    assert any("Wash hands" in line for line in its_station.intro)


# --- swaps ---


def test_the_note_of_a_swap_stands_wherever_the_swap_does() -> None:
    sheets = {
        **recipe("egg | 2 |", "butter | 50 | g"),
        **people("p1 | g1 | H1 | no egg; no milk"),
        "Swaps": f"{SWAPS}\negg | no egg | applesauce | 1/4 cup for each egg\n"
        "butter | no milk | leave out | fry in the oil from home",
    }
    sheets["Swaps"] = sheets["Swaps"].replace("Use instead | Note", "Use instead | Note | Ratio | Unit")
    sheets["Swaps"] = sheets["Swaps"].replace("each egg\n", "each egg | 1/4 | cup\n")
    papers, _ = planned(sheets)
    for name in ("stations", "checklists", "recipe-cards", "instructor"):
        assert "1/4 cup for each egg" in text(papers[name]), name
    for name in ("checklists", "recipe-cards", "instructor"):
        assert "fry in the oil from home" in text(papers[name]), name


def test_one_row_must_serve_all_that_a_food_conflicts_on() -> None:
    sheets = {
        **recipe("our pesto | 50 | g"),
        "Ingredients": "Ingredient | Contains\nour pesto | milk; soy",
        **people("p1 | g1 | H1 | no milk", "p2 | g1 | H1 | no soy"),
        "Swaps": f"{SWAPS}\nour pesto | no milk | onion |",
    }
    found = [each for each in planned(sheets)[1] if each.code == "need-without-swap"]
    assert [str(each.place) for each in found] == ["Enrolment!D2", "Enrolment!D3"]
    for each in found:
        assert "Need no milk; no soy, Use instead" in each.fix
        assert "one row must serve all of it" in each.message


def test_a_substitute_that_is_against_another_need_is_named() -> None:
    sheets = {
        **recipe("whole milk | 100 | mL"),
        **people("p1 | g1 | H1 | no milk; no soy"),
        "Swaps": f"{SWAPS}\nwhole milk | no milk | soy milk |",
    }
    (found,) = [each for each in planned(sheets)[1] if each.code == "need-without-swap"]
    assert "What Swaps gives instead (soy milk) is against a need too." in found.message


# --- people ---

PEANUTS = recipe("peanut butter | 50 | g")
HOME = recipe("onion | 1 |", "walnut | 30 | g | home", "milk | to taste |")


def test_the_card_says_what_to_leave_out_of_the_food_from_home() -> None:
    sheets = {**HOME, **people("p1 | g1 | H1 | no nuts; no milk", "p2 | g1 | H2 | none")}
    papers, _ = planned(sheets)
    assert text(papers["recipe-cards"]).count("your home: leave it out where somebody must not have it") == 2
    sheets["Ingredients"] = "Ingredient | Contains\noat milk | gluten"
    sheets["Swaps"] = f"{SWAPS}\nwalnut | nuts | leave out |\nmilk | no milk | oat milk |"
    assert "somebody must not have it, oat milk instead" in text(planned(sheets)[0]["recipe-cards"])
    sheets |= people("p1 | g1 | H1 | no milk", "p2 | g1 | H2 | no milk; no soy")
    sheets["Swaps"] = f"{SWAPS}\nmilk | no milk | soy milk |\nmilk | no milk | rice milk |"
    assert "milk instead" not in text(planned(sheets)[0]["recipe-cards"])  # one card, two answers: neither
    unharmed = {**HOME, **people("p1 | g1 | H1 | no egg")}
    assert "must not have it" not in text(planned(unharmed)[0]["recipe-cards"])


def test_whoever_was_never_asked_is_asked_first() -> None:
    sheets = {**PEANUTS, **people("p1 | g1 | H1 | | | Ida Moor", "p2 | g1 | H2 | none")}
    papers, _ = planned(sheets)
    roster = text(papers["roster"])
    assert "H1 · ASK FIRST" in roster
    assert "H2 · ASK FIRST" not in roster
    assert "ASK FIRST what they must not get, before anything is tasted or handed out: Ida Moor (p1)." in text(
        papers["instructor"]
    )
    asked = planned({**PEANUTS, **people("p1 | g1 | H1 | none")})[0]
    assert "ASK FIRST" not in text(asked["roster"]) + text(asked["instructor"])


TABLES: dict[str, Any] = {
    "Groups": "Group | Format | People per table\ng1 | table | 2",
    **recipe("butter | 50 | g"),
    "Swaps": f"{SWAPS}\nbutter | no milk | tahini |",
}


def test_the_instructor_reads_who_sits_at_the_special_table() -> None:
    sheets = {**TABLES, **people("p1 | g1 | H1 | no milk | | Ida Moor", "p2 | g1 | H2 | none", "p3 | g1 | H3 | none")}
    papers, found = planned(sheets)
    instructor = text(papers["instructor"])
    assert "At the table of s1-B and no other: Ida Moor (p1)." in instructor
    assert "no milk" not in instructor
    assert "Ida" not in "".join(text(papers[name]) for name in ("stations", "checklists", "labels", "recipe-cards"))
    assert [each for each in found if each.code == "swap-against-need-in-room"] == []


# --- blends ---


def test_a_checklist_parts_what_is_in_the_blend_from_what_is_beside_it() -> None:
    sheets = {
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit | Mix\n"
        "soup | 4 | all-purpose flour | 2 | cup | dry mix\nsoup | | all-purpose flour | 1/2 | cup |\n"
        "soup | | salt | 1 | tsp | dry mix"
    }
    checklist = text(planned(sheets)[0]["checklists"])
    assert "2 cups in its blend bag, 1/2 cup in its own bag" in checklist
