"""The command: a count sheet written, typed into, read back; the answer on the terminal and as a document."""

import datetime as dt
from pathlib import Path

import pytest
from openpyxl import load_workbook
from support import CORE, opened, read, term, written

from opsreport.cli import main
from opsreport.joining import build_programme
from opsreport.money import Currency
from opsreport.plan.food_plan import plan_food
from opsreport.reading.read import read_counts
from opsreport.recount import counted_foods
from opsreport.tables.packing import packing_documents
from opsreport.tables.table import Paper
from opsreport.write.xlsx import xlsx_bytes

AS_OF = dt.date(2027, 3, 1)
SHEETS = {
    **CORE,
    "Settings": "Setting | Value\nSpare kits | 1\nAs of | @2027-03-01",
    "Groups": "Group | Name\ng1 | Elder Row",
    "Sessions": "Session | Group | Date | Recipes\nS1 | g1 | @2027-03-04 | bread",
    "Enrolment": (
        "Participant | Group | Household | Needs | Pick-up name\np1 | g1 | H-d | none | Ilse Marrow\n"
        "p2 | g1 | H-c | none |\np3 | g1 | H-b | no cornmeal |\np4 | g1 | H-a | dairy | Pavel Stroud"
    ),
    "Recipes": (
        "Recipe | Servings | Ingredient | Amount | Unit\nbread | 4 | all-purpose flour | 300 | g\n"
        "bread | | butter | 1 | tbsp"
    ),
    "Swaps": (
        "Ingredient | Need | Use instead | Ratio\nbutter | dairy | olive oil | 3/4\n"
        "all-purpose flour | wheat | cornmeal | 1"
    ),
    "Stock": (
        "Ingredient | Amount | Unit | Lot | Best before | Hold\nall-purpose flour | 4 | lb | F2 | @2027-12-01 |\n"
        "all-purpose flour | 1 | lb | F1 | @2027-06-01 |\nbutter | 1 | lb | B1 | @2027-04-01 |\n"
        "olive oil | 500 | mL | | |\ncornmeal | 700 | g | P1 | @2027-12-01 |\n"
        "butter | 9 | lb | B9 | @2027-04-01 | yes"
    ),
}  # fmt: skip


@pytest.fixture
def workbook(tmp_path: Path) -> Path:
    file = tmp_path / "book.xlsx"
    file.write_bytes(written(SHEETS))
    return file


def count_sheet(tmp_path: Path, typed: dict[tuple[str, str], object]) -> Path:
    """The pull list's spreadsheet with counts typed in, by food and lot."""
    rows, _ = read(opened(written(SHEETS)), AS_OF)
    programme = build_programme(rows, AS_OF)
    plan, _ = plan_food(programme)
    pull = next(each for each in packing_documents(programme, plan) if each.path.endswith("pull-list"))
    file = tmp_path / "counts.xlsx"
    file.write_bytes(xlsx_bytes(pull, Paper("Letter", Currency("USD"), AS_OF)))
    book = load_workbook(file)
    left = dict(typed)
    for row in book["Counts"].iter_rows():
        key = (row[0].value, row[1].value or "")
        if key in left:
            row[5].value = left.pop(key)
    assert not left
    book.save(file)
    return file


def test_a_count_typed_into_the_printed_sheet_is_answered(
    workbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    counts = count_sheet(tmp_path, {("all-purpose flour", "F1"): 454, ("all-purpose flour", "F2"): 500})
    before = workbook.read_bytes()
    words = ["recount", str(workbook), "--day", "2027-03-03", "--counts", str(counts), "--out", str(tmp_path / "out")]
    assert main(words) == 0
    said = capsys.readouterr().out
    assert "3 of 6 kits can be full: 3 of 4 for households and tables, 0 of 1 spare, 0 of 1 demo." in said
    assert "First to run out: all-purpose flour: 954 g" in said
    assert "846 g" in said  # 1800 g for six kits, 954 g there
    assert "cornmeal instead of all-purpose flour, as Swaps allows, fills 1 more kit (for S1-B)." in said
    assert workbook.read_bytes() == before
    assert sorted(file.name for file in (tmp_path / "out").iterdir()) == [
        "recount-2027-03-03.html",
        "recount-2027-03-03.xlsx",
    ]


def test_no_stopgap_for_a_kit_whose_household_must_not_get_it(workbook: Path, tmp_path: Path) -> None:
    """The standard kits are also H-b's, who must not get barley: no kit of theirs may be filled with it."""
    counts = count_sheet(tmp_path, {("all-purpose flour", "F1"): 0, ("all-purpose flour", "F2"): 0})
    out = tmp_path / "out"
    words = ["recount", str(workbook), "--day", "2027-03-03", "--counts", str(counts), "--out", str(out)]
    assert main(words) == 0
    book = load_workbook(out / "recount-2027-03-03.xlsx")
    (row,) = [row for row in book["Stopgaps"].iter_rows(values_only=True) if row[1] == "cornmeal"]
    assert row[4:6] == ("S1-B", "S1-A")


def test_no_names_and_no_needs_and_short_households_apart_from_their_kit(workbook: Path, tmp_path: Path) -> None:
    counts = count_sheet(tmp_path, {("all-purpose flour", "F1"): 300, ("all-purpose flour", "F2"): 0})
    out = tmp_path / "out"
    main(["recount", str(workbook), "--day", "2027-03-03", "--counts", str(counts), "--out", str(out)])
    page = (out / "recount-2027-03-03.html").read_text("utf-8")
    assert not [words for words in ("Ilse", "Pavel", "dairy", "no cornmeal") if words in page]
    book = load_workbook(out / "recount-2027-03-03.xlsx")
    rows = [row[:4] for row in book["Pick-ups"].iter_rows(values_only=True) if row[2] == "short"]
    assert rows == [("S1", code, "short", "could not be packed") for code in ("H-b", "H-c", "H-d")]
    assert not [row for row in rows if any("S1-" in str(cell) for cell in row)]


def test_the_rows_it_offers_are_read_as_pick_ups() -> None:
    rows, findings = read(
        term({**SHEETS, "Pick-ups": "Session | Household | Kit | Reason\nS1 | H-c | short | flour ran out"})
    )
    assert [row.kit for row in rows.pick_ups] == ["short"]
    assert not [finding for finding in findings if finding.place.sheet == "Pick-ups"]


def test_a_counts_sheet_of_the_workbook_itself(
    workbook: Path, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    words = ["recount", str(workbook), "--day", "2027-03-03", "--out", str(tmp_path / "out")]
    assert main(words) == 2
    assert "no sheet Counts" in capsys.readouterr().err
    workbook.write_bytes(written({**SHEETS, "Counts": "Ingredient | Counted | Unit\nbutter | 2 | tbsp"}))
    assert main(words) == 0
    assert "First to run out: butter" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("row", "code"),
    [
        ("saffron threads | 5 | g | ", "count-of-unknown"),
        ("olive oil | 2 | each | ", "count-unit"),
        ("butter | 2 | lb | B9", "count-of-held"),
        ("butter | 1 | lb | B1\nbutter | | | B2", "count-in-part"),
        ("butter | lots | lb | B1", "amount-unreadable"),
        ("butter | -1 | lb | B1", "amount-negative"),
    ],
)
def test_what_is_wrong_with_a_count(row: str, code: str) -> None:
    rows, _ = read(opened(written(SHEETS)), AS_OF)
    counts, said = read_counts(opened(written({"Counts": f"Ingredient | Counted | Unit | Lot\n{row}"})), rows.settings)
    _, misfits = counted_foods(build_programme(rows, AS_OF), counts)
    assert [finding.code for finding in (*said, *misfits)] == [code]


def test_a_count_in_other_units_and_lots_keeps_its_date() -> None:
    rows, _ = read(opened(written(SHEETS)), AS_OF)
    sheet = (
        "Ingredient | Counted | Unit | Lot | Good through\nButter | 1 1/2 | lb | b1 |\n"
        "olive oil | 1 | cup | | @2027-03-09"
    )
    counts, said = read_counts(opened(written({"Counts": sheet})), rows.settings)
    counted, misfits = counted_foods(build_programme(rows, AS_OF), counts)
    assert [*said, *misfits] == []
    assert [(each.food, float(round(each.amount, 3)), each.good_through) for each in counted] == [
        ("butter", 680.389, dt.date(2027, 4, 1)),
        ("olive oil", 216.0, dt.date(2027, 3, 9)),
    ]


@pytest.mark.parametrize(
    ("change", "words", "status", "said"),
    [
        (
            {},
            ["--day", "2027-03-02"],
            2,
            "Nothing is packed on Tue 2 Mar 2027. Packing days from then on: Wed 3 Mar 2027.",
        ),
        ({"Counts": "Ingredient | Counted\nbutter |"}, ["--day", "2027-03-03"], 2, "Nothing is counted"),
        ({"Counts": "Ingredient | How many\nbutter | 3"}, ["--day", "2027-03-03"], 1, "missing: Counted"),
        (
            {"Swaps": "Ingredient | Need | Use instead\nbutter | egg | olive oil"},
            ["--day", "2027-03-03"],
            1,
            "must not get",
        ),
    ],
)
def test_what_cannot_be_answered_is_said_in_a_sentence(
    change: dict[str, str], words: list[str], status: int, said: str, workbook: Path, tmp_path: Path,
    capsys: pytest.CaptureFixture[str],
) -> None:  # fmt: skip
    usual = {"Counts": "Ingredient | Counted | Unit\nbutter | 3 | tbsp"}
    workbook.write_bytes(written({**SHEETS, **usual, **change}))
    assert main(["recount", str(workbook), *words, "--out", str(tmp_path / "out")]) == status
    printed = capsys.readouterr()
    assert said in printed.out + printed.err
    assert not (tmp_path / "out").exists()
