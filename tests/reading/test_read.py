"""Sheets, headings and rows: what is read, what is skipped with a note, what is refused."""

import datetime as dt
import io
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from support import CORE, book, opened, read, said, term, written

from opsreport.checking.check import check_rows
from opsreport.kinds import Amount, NeedAnswer
from opsreport.reading.read import read_rows
from opsreport.reading.workbook import open_workbook
from opsreport.rules import Severity

WORKBOOKS = Path(__file__).parents[2] / "workbooks"


@pytest.mark.parametrize("name", ["fennelbridge-spring-2027.xlsx", "four-sheets.xlsx"])
def test_the_demo_reads_without_an_error(name: str) -> None:
    rows, findings = read_rows(open_workbook(WORKBOOKS / name))
    assert [f for f in (*findings, *check_rows(rows)) if f.severity is Severity.ERROR] == []


def test_sheet_names_and_headings_match_without_case_accents_spaces_or_breaks() -> None:
    sheets = {
        " SESSIONS ": "séssion | Group* | DATE | Reci\\npes",
        "enrolment": CORE["Enrolment"],
        "Recipes": CORE["Recipes"],
        "Stóck": CORE["Stock"],
    }
    assert said(book(sheets)) == [(" SESSIONS ", "headings-missing")]
    sheets[" SESSIONS "] = "séssion | Group* |   DATE | recipes \ns1 | g1 | @2027-03-04 | soup"
    assert said(book(sheets)) == []


def test_headings_may_stand_below_a_title_but_not_below_row_20() -> None:
    assert said(term(Stock="Counted on Friday\n\n" + CORE["Stock"])) == []
    assert said(term(Stock="\n" * 19 + CORE["Stock"])) == []
    assert said(term(Stock="\n" * 20 + CORE["Stock"])) == [("Stock", "headings-missing")]


def test_missing_headings_are_named() -> None:
    findings = read(term(Sessions="Session | Date | Recipes\ns1 | @2027-03-04 | soup"))[1]
    assert "missing: Group." in findings[0].message


def test_blank_total_and_title_rows_are_skipped_and_quoted() -> None:
    rows, findings = read(
        term(Stock="Ingredient | Amount | Unit\nShelf 1 | |\n\nonion | 2 |\n\npotato | 1 |\nTotal: | 3 |")
    )
    assert [row.ingredient for row in rows.stock] == ["onion", "potato"]
    assert [(str(f.place), f.code, f.seen) for f in findings] == [
        ("Stock!A2", "row-skipped", "Shelf 1"),
        ("Stock!A7", "row-skipped", "Total:; 3"),
    ]


def test_a_closure_may_be_a_day_alone() -> None:
    rows, findings = read(term(Closures="Date | Until | What\n@2027-03-15 | |\nHolidays | |"))
    assert [row.day for row in rows.closures] == [dt.date(2027, 3, 15)]
    assert [(str(f.place), f.code) for f in findings] == [("Closures!A3", "row-skipped")]


def test_recipes_are_filled_down_but_never_across_a_skipped_row() -> None:
    head = "Recipe | Servings | Ingredient | Amount | Unit\n"
    rows, findings = read(term(Recipes=head + "soup | 4 | onion | 1 |\n\n | | carrot | 2 |\n | | salt | to taste |"))
    assert [(row.recipe, row.ingredient) for row in rows.recipes] == [
        ("soup", "onion"), ("soup", "carrot"), ("soup", "salt"),
    ]  # fmt: skip
    assert rows.recipes[2].amount == Amount(None, None, "to taste")
    assert findings == []
    assert said(term(Recipes=head + "soup | 4 | onion | 1 |\nsalad | | | |\n | | carrot | 2 |")) == [
        ("Recipes!A3", "row-skipped"),
        ("Recipes!A4", "cell-missing"),
    ]


def test_every_cell_of_a_row_is_judged() -> None:
    assert said(term(Sessions="Session | Group | Date | Recipes | Kits\ns1 | g1 | 3/4/26 | soop, salad | many")) == [
        ("Sessions!C2", "date-ambiguous"),
        ("Sessions!D2", "list-separator"),
        ("Sessions!E2", "number-unreadable"),
    ]


def test_settings_decide_how_the_other_sheets_read() -> None:
    rows, findings = read(term(
        Settings="Setting | Value\nBudget | €1.000,50\nCurrency | EUR\nDate order | day first\nDecimal comma | yes",
        Sessions="Session | Group | Date | Recipes\ns1 | g1 | 3/4/27 | soup",
        Recipes="Recipe | Servings | Ingredient | Amount\nsoup | 4 | onion | 1,5",
    ))  # fmt: skip
    assert rows.settings.budget == 100050
    assert rows.sessions[0].day == dt.date(2027, 4, 3)
    assert rows.recipes[0].amount.value == Fraction(3, 2)
    assert [(str(f.place), f.code) for f in findings] == [("Settings!B2", "read-as")]


def test_enrolment_keeps_further_columns() -> None:
    rows, findings = read(term(Enrolment="Participant | Group | Needs | Home language\np1 | g1 | no egg | Hindi"))
    assert rows.enrolment[0].extra == {"Home language": "Hindi"}
    assert rows.enrolment[0].needs == NeedAnswer(True, ("no egg",))
    assert findings == []


def test_ids_are_unique_without_case_and_a_person_may_be_in_several_groups() -> None:
    assert said(term(Enrolment="Participant | Group | Needs\np1 | g1 | none\np1 | g2 | none")) == [
        ("Enrolment!B3", "group-without-sessions"), ("Enrolment!B3", "member-of-two-groups"),
    ]  # fmt: skip


def test_the_number_7_is_the_id_007_only_where_its_format_says_so() -> None:
    sheets = {
        "Sessions": "Session | Group | Date | Recipes | Status\ns1 | g1 | @2027-03-04 | soup | delivered",
        "Enrolment": "Participant | Group | Needs\n'007 | g1 | none",
    }
    assert said(term(sheets, Attendance="Participant | s1\n7 | y")) == [("Attendance!A2", "participant-unknown")]
    assert said(term(sheets, Attendance="Participant | s1\n7[000] | y")) == []


DELIVERED = {
    "Sessions": "Session | Group | Date | Recipes | Status\n"
    "s1 | g1 | @2027-03-04 | soup | delivered\ns2 | g1 | @2027-03-11 | soup | delivered"
}


def test_wide_attendance_keeps_filled_marks_with_their_cells() -> None:
    rows, findings = read(term(DELIVERED, Attendance="Participant | s2 | Name | s1\np1 | y | Ada | \np2 | | |"))
    assert [(row.session, row.participant, str(row.place.at("Mark"))) for row in rows.attendance] == [
        ("s2", "p1", "Attendance!B2")
    ]
    assert [(str(f.place), f.code, f.seen) for f in findings] == [("Attendance!C1", "columns-unknown", "Name")]


def test_long_attendance_with_kits() -> None:
    text = "Session | Participant | Mark | Kit\ns1 | p1 | kit only | yes\ns2 | p1 | | no\ns1 | p1 | x |"
    rows, findings = read(term(DELIVERED, Attendance=text))
    assert [(row.session, row.mark and row.mark.kit_only, row.kit) for row in rows.attendance] == [
        ("s1", True, True),
        ("s2", None, False),
    ]
    assert [(str(f.place), f.code) for f in findings] == [("Attendance!C4", "row-twice")]


def test_a_mark_is_read_once_a_cell_and_x_as_settings_say() -> None:
    rows, _ = read(term(
        DELIVERED, Settings="Setting | Value\nx means | absent", Attendance="Participant | s1 | s2\np1 | x | ✓"
    ))  # fmt: skip
    assert [row.mark and row.mark.mark for row in rows.attendance] == ["absent", "present"]


QUESTIONS = "Question | Text | Kind | Lowest | Highest\nq1 | Sure? | scale | 1 | 5\nq2 | Did you? | yes-no | |"


@pytest.mark.parametrize(
    "surveys",
    [
        "Participant | When | q1 | q2\np1 | before | 2 | no\np1 | after | 4 |",
        "Participant | Question | Before | After\np1 | q1 | 2 | 4\np1 | q2 | no |",
    ],
)
def test_surveys_are_the_same_wide_or_long(surveys: str) -> None:
    rows, findings = read(term(Questions=QUESTIONS, Surveys=surveys))
    assert {(row.participant, row.question, row.when, row.answer) for row in rows.surveys} == {
        ("p1", "q1", "before", "2"), ("p1", "q1", "after", "4"), ("p1", "q2", "before", "no"),
    }  # fmt: skip
    assert findings == []


def test_only_one_of_two_like_sheets_is_read() -> None:
    rows, findings = read(term({"Stock (2)": "Ingredient | Amount\ncarrot | 1"}))
    assert [row.ingredient for row in rows.stock] == ["onion"]
    assert [f.code for f in findings] == ["sheet-twice"]


def test_text_is_cleaned_and_ids_kept_as_typed() -> None:
    rows, _ = read(term(Stock="Ingredient | Amount | Lot\n  red\u00a0 onion\u200b | 2 | “A”"))
    assert (rows.stock[0].ingredient, rows.stock[0].lot) == ("red onion", '"A"')


def test_what_is_hidden_is_read_like_the_rest_and_said() -> None:
    file = openpyxl.load_workbook(io.BytesIO(written(CORE)))
    file["Stock"].sheet_state = "hidden"
    file["Enrolment"].row_dimensions[2].hidden = True
    file["Enrolment"].row_dimensions[9].hidden = True
    out = io.BytesIO()
    file.save(out)
    rows, findings = read(opened(out.getvalue()))
    assert (len(rows.stock), len(rows.enrolment)) == (1, 1)
    assert [(str(f.place), f.code, f.seen) for f in findings] == [
        ("Enrolment!A2", "rows-hidden", "row 2"), ("Stock", "sheet-hidden", "Stock"),
    ]  # fmt: skip


def test_a_heading_that_shows_an_error_is_one() -> None:
    """What stands below it would be lost; the marks of a session, where its heading is a formula never saved."""
    sheets = {
        "Sessions": "Session | Group | Date | Recipes | Status\ns1 | g1 | @2027-03-04 | soup | delivered",
        "Attendance": "Participant | =Sessions!A2 | #REF!\np1 | y | y",
    }
    assert said(term(sheets)) == [("Attendance!B1", "cell-unsaved"), ("Attendance!C1", "cell-error")]


def test_headings_printed_again_further_down_are_skipped() -> None:
    rows, findings = read(term(Stock="Ingredient | Amount\nonion | 2\nINGREDIENT | Amount\npotato | 3"))
    assert [row.ingredient for row in rows.stock] == ["onion", "potato"]
    assert [(str(f.place), f.code) for f in findings] == [("Stock!A3", "row-skipped")]


def test_cells_alike_are_read_alike_but_by_their_own_formats_and_each_mistake_is_said() -> None:
    """Numbers of 1 and a mark for yes are not taken for each other, a share with its sign not for one without."""
    ingredients = "\n".join(
        ("Ingredient | Edible share | Grams per cup | Keeps", "a | 0.5[0%] | 5 | 1", "b | 0.5 | 5 | 1",
         "c | 0.5[0%] | -5 | TRUE", "d | 0.5 | -5 | 1.5", "e | | 5 | 1.5")
    )  # fmt: skip
    rows, findings = read(term(Ingredients=ingredients))
    assert [(row.ingredient, row.edible_share, row.grams_per_cup, row.keeps) for row in rows.ingredients] == [
        ("a", Fraction(1, 2), 5, 1), ("b", Fraction(1, 2), 5, 1)
    ]  # fmt: skip
    assert [(str(f.place), f.code) for f in findings] == [
        ("Ingredients!B3", "read-as"), ("Ingredients!C4", "out-of-range"), ("Ingredients!D4", "number-unreadable"),
        ("Ingredients!B5", "read-as"), ("Ingredients!C5", "out-of-range"), ("Ingredients!D5", "number-not-whole"),
        ("Ingredients!D6", "number-not-whole"),
    ]  # fmt: skip


def test_rows_that_begin_alike_are_records_unless_nothing_else_stands_in_them() -> None:
    stock = "Ingredient | Amount | Unit\nonion | 2 | g\nonion | |\nonion | 3 | g\nTotal | 5 |\nonion | 4 | g"
    rows, findings = read(term(Stock=stock))
    assert [row.place.row for row in rows.stock] == [2, 4, 6]
    assert [(str(f.place), f.code) for f in findings] == [("Stock!A3", "row-skipped"), ("Stock!A5", "row-skipped")]
