"""The workbook a person starts from: what stands in it, what reading it back says, what it keeps of an earlier one."""

import datetime as dt
import io
import shutil
import subprocess
from collections.abc import Mapping
from fractions import Fraction
from pathlib import Path

import openpyxl
import pytest
from openpyxl.workbook import Workbook as Written
from openpyxl.worksheet.datavalidation import DataValidation
from openpyxl.worksheet.worksheet import Worksheet
from support import CORE, book, opened, read, said, written

from opsreport.findings import Finding, column_letters
from opsreport.reading.read import read_rows
from opsreport.reading.workbook import Sheet, Unusable, Workbook, open_workbook
from opsreport.rules import Severity
from opsreport.run import Asked, build
from opsreport.sheets import GUIDE, ROWS_OF, SHEETS, Rows
from opsreport.starter.columns import columns_of, note_of, tabs
from opsreport.starter.contents import CLEARED, KEPT, carried_over
from opsreport.starter.example import EXAMPLE
from opsreport.starter.starter import starter_bytes, write_starter
from opsreport.words import heading_key
from opsreport.write.folder import Unwritable

SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
DEMO = Path(__file__).resolve().parent.parent / "workbooks" / "fennelbridge-spring-2027.xlsx"
FIRST_SHEET: set[tuple[str, str]] = set()
"""All that reading a starter may say: that the first sheet is for people."""
PLANNED = dt.date(2027, 2, 1)


def loaded(content: bytes) -> Written:
    return openpyxl.load_workbook(io.BytesIO(content))


def validations(sheet: Worksheet) -> dict[str, DataValidation]:
    """The drop-down below each heading."""
    found = {}
    for column in range(1, sheet.max_column + 1):
        cell = sheet.cell(2, column)
        for validation in sheet.data_validations.dataValidation:
            if cell.coordinate in validation.sqref:
                found[str(sheet.cell(1, column).value)] = validation
    return found


def lasting(rows: Rows) -> Mapping[str, list[tuple[object, ...]]]:
    """Records without their places, of the sheets that are kept."""
    return {
        name: [
            tuple(getattr(record, column.name) for column in SHEETS[name].columns)
            for record in getattr(rows, ROWS_OF[name])
        ]
        for name in KEPT
        if name != "Settings"
    }


def records(rows: Rows) -> Mapping[str, object]:
    """Everything read, without places."""
    return {
        name: [
            tuple(getattr(record, column.name) for column in spec.columns)
            for record in ([rows.settings] if name == "Settings" else getattr(rows, ROWS_OF[name]))
        ]
        for name, spec in SHEETS.items()
    }


def spoken(findings: list[Finding]) -> set[tuple[str, str]]:
    return {(str(finding.place), finding.code) for finding in findings}


# --- the empty one ---


def test_every_sheet_stands_there_the_needed_ones_first_and_coloured_by_group() -> None:
    sheets = loaded(starter_bytes()).worksheets
    assert [sheet.title for sheet in sheets[:5]] == [GUIDE, "Sessions", "Enrolment", "Recipes", "Stock"]
    assert sorted(sheet.title for sheet in sheets) == sorted([GUIDE, *SHEETS])
    colours = {sheet.title: str(getattr(sheet.sheet_properties.tabColor, "rgb", "")) for sheet in sheets}
    groups = [{colours[spec.name] for spec in specs} for _, _, specs in tabs()]
    assert [len(group) for group in groups] == [1, 1, 1, 1]
    assert len(set.union(*groups)) == 4


@pytest.mark.parametrize("name", SHEETS)
def test_every_heading_stands_with_its_note_its_style_and_stays_in_sight(name: str) -> None:
    sheet = loaded(starter_bytes())[name]
    columns = columns_of(SHEETS[name])
    assert [sheet.cell(1, at).value for at in range(1, len(columns) + 1)] == [c.heading for c in columns]
    for at, column in enumerate(columns, 1):
        cell = sheet.cell(1, at)
        assert cell.comment is not None
        assert cell.comment.text == note_of(SHEETS[name], column)
        assert column.meaning in cell.comment.text
        assert cell.comment.text.startswith("*") == column.starred
        assert (cell.fill.start_color.rgb == "FF404040") == column.starred
        width = sheet.column_dimensions[column_letters(at)].width
        assert width >= max(map(len, column.heading.split())) or width == 13  # as wide as the column before it
    assert sheet.freeze_panes == "B2"
    assert sheet.print_title_rows == "$1:$1"
    assert sheet.page_setup.fitToHeight == 0


def test_notes_say_meaning_what_may_be_typed_what_blank_means_and_an_example() -> None:
    spec = SHEETS["Sessions"]
    notes = {column.heading: note_of(spec, column) for column in spec.columns}
    assert notes["Status"].split("\n") == [
        "Where it stands.",
        "Allowed: planned, delivered, cancelled.",
        "Blank: planned.",
        "Example: delivered",
    ]
    assert notes["Date"].split("\n") == [
        "* Required: every row needs it.",
        "The day it is held.",
        "A real date, or text as 2027-03-04.",
        "Example: 2027-01-25",
    ]
    assert "Must be in Sessions." in notes["Replaces"]
    for name in ("Attendance", "Surveys"):  # the other layout is told once
        told = ["Instead, one row" in note_of(SHEETS[name], column) for column in columns_of(SHEETS[name])]
        assert told == [True, False, False, False]


def test_reading_it_back_finds_nothing_but_the_first_sheet() -> None:
    rows, findings = read(opened(starter_bytes()), PLANNED)
    assert spoken(findings) <= {*FIRST_SHEET, ("", "nothing-to-plan")}
    assert {finding.severity for finding in findings} <= {Severity.NOTE, Severity.WARNING}
    assert rows.present == frozenset(SHEETS)
    assert all(not found for name, found in records(rows).items() if name != "Settings")
    for column in SHEETS["Settings"].columns:
        assert getattr(rows.settings, column.name) == column.default


def test_every_setting_stands_with_its_default_and_what_it_means() -> None:
    sheet = loaded(starter_bytes())["Settings"]
    assert [sheet.cell(row, 1).value for row in range(2, sheet.max_row + 1)] == [
        column.heading for column in SHEETS["Settings"].columns
    ]
    assert sheet["C1"].value is None  # a heading would be a column that is not read
    by_name = {sheet.cell(row, 1).value: row for row in range(2, sheet.max_row + 1)}
    assert sheet.cell(by_name["Measures"], 3).value == (
        "How large the cups and spoons are. Allowed: US, label, metric, Australian. Blank: US."
    )
    assert sheet.cell(by_name["Completion"], 2).value == 0.75
    assert sheet.cell(by_name["Completion"], 2).number_format == "0%"


def test_columns_are_formatted_as_a_whole() -> None:
    made = loaded(starter_bytes())
    assert made["Sessions"].column_dimensions["C"].number_format == "yyyy-mm-dd"
    assert made["Packs"].column_dimensions["F"].number_format == "#,##0.00"
    assert made["Recipes"].column_dimensions["D"].number_format == "@"  # 1/2 stays what was typed
    assert made["Sessions"].column_dimensions["A"].number_format == "@"  # and so do 1-2 and 007
    assert all(sheet.max_row <= 60 for sheet in made.worksheets)
    assert len(starter_bytes()) < 150_000


OFFERED = [
    ("Sessions", "Group", "Groups!$A$2"),
    ("Enrolment", "Group", "Groups!$A$2"),
    ("Sessions", "Recipes", "Recipes!$A$2"),
    ("Sessions", "Replaces", "Sessions!$A$2"),
    ("Methods", "Recipe", "Recipes!$A$2"),
    ("Recipes", "Ingredient", "Ingredients!$A$2"),
    ("Stock", "Ingredient", "Ingredients!$A$2"),
    ("Packs", "Ingredient", "Ingredients!$A$2"),
    ("Orders", "Ingredient", "Ingredients!$A$2"),
    ("Swaps", "Ingredient", "Ingredients!$A$2"),
    ("Swaps", "Use instead", "Ingredients!$A$2"),
    ("Packs", "Supplier", "Suppliers!$A$2"),
    ("Orders", "Supplier", "Suppliers!$A$2"),
    ("Groups", "Funders", "Funders!$A$2"),
    ("Narratives", "Funder", "Funders!$A$2"),
    ("Attendance", "Session", "Sessions!$A$2"),
    ("Attendance", "Participant", "Enrolment!$A$2"),
    ("Pick-ups", "Session", "Sessions!$A$2"),
    ("Pick-ups", "Household", "Enrolment!$C$2"),
    ("Surveys", "Participant", "Enrolment!$A$2"),
    ("Surveys", "Question", "Questions!$A$2"),
]


@pytest.mark.parametrize(("name", "heading", "source"), OFFERED)
def test_ids_are_offered_from_the_sheet_that_holds_them(name: str, heading: str, source: str) -> None:
    made = loaded(starter_bytes())
    validation = validations(made[name])[heading]
    assert validation.type == "list"
    start, _, last = str(validation.formula1).rpartition(":")
    assert start == source
    assert int(last.rpartition("$")[2]) >= 1000
    assert validation.errorStyle in ("warning", "information")
    lists = ("Recipes", "Funders")
    assert not (validation.showErrorMessage and heading in lists)
    sheet, cell = source.split("!")
    assert made[sheet][cell.replace("$", "").replace("2", "1")].value in (heading, "Ingredient", "Recipe", "Session",
                                                                          "Funder")  # fmt: skip


def test_no_other_ids_are_offered() -> None:
    made = loaded(starter_bytes())
    found = {
        (name, heading)
        for name in SHEETS
        for heading, validation in validations(made[name]).items()
        if "!" in str(validation.formula1)
    }
    assert found == {(name, heading) for name, heading, _ in OFFERED}


def test_words_to_choose_from_are_offered_and_others_let_through() -> None:
    made = loaded(starter_bytes())
    for name, spec in SHEETS.items():
        if spec.shape == "settings":
            continue
        offered = validations(made[name])
        for column in columns_of(spec):
            if column.kind.choices:
                validation = offered[column.heading]
                assert validation.formula1 == f'"{",".join(column.kind.choices)}"'
                assert validation.errorStyle in ("warning", "information")
    settings = made["Settings"]
    rows = {settings.cell(row, 1).value: f"B{row}" for row in range(2, settings.max_row + 1)}
    sources = {str(validation.sqref): validation.formula1 for validation in settings.data_validations.dataValidation}
    chosen = {column.heading: column.kind.choices for column in SHEETS["Settings"].columns if column.kind.choices}
    assert sources == {rows[name]: f'"{",".join(words)}"' for name, words in chosen.items()}


def test_the_first_sheet_says_how_to_begin_and_leads_to_every_other() -> None:
    sheet = loaded(starter_bytes())[GUIDE]
    steps = [row for row in range(1, sheet.max_row + 1) if isinstance(sheet.cell(row, 1).value, int)]
    assert 8 <= len(steps) <= 12
    words = " ".join(str(sheet.cell(row, 2).value) for row in steps)
    for needed in ("Sessions, Enrolment, Recipes and Stock", "opsreport check", "opsreport build", "blank", "dates"):
        assert needed in words
    links = {cell.value for row in sheet.iter_rows() for cell in row if cell.hyperlink}
    assert links == set(SHEETS)


@pytest.mark.parametrize("example", [False, True])
def test_the_same_bytes_every_time(example: bool) -> None:
    assert starter_bytes(example=example) == starter_bytes(example=example)


# --- the example ---


def test_the_example_fills_every_sheet_and_finds_nothing() -> None:
    rows, findings = read(opened(starter_bytes(example=True)), PLANNED)
    assert spoken(findings) <= FIRST_SHEET
    assert set(EXAMPLE) == set(SHEETS)
    assert all(records(rows).values())
    assert len(rows.groups) == 2
    assert len({row.household for row in rows.enrolment}) == 5
    assert len({row.recipe for row in rows.recipes}) == 2
    assert rows.settings.as_of == PLANNED
    assert len([row for row in rows.sessions if row.day > PLANNED]) == 3
    assert Fraction(3, 2) in {row.amount.value for row in rows.recipes}


def test_the_example_builds_whatever_day_it_is(tmp_path: Path) -> None:
    file = tmp_path / "example.xlsx"
    write_starter(file, example=True)
    outcome = build(file, tmp_path / "out", Asked(today=dt.date(2031, 5, 5)))
    assert spoken(list(outcome.findings)) <= FIRST_SHEET
    assert any(name.startswith("orders/order-") for name in outcome.files)
    assert any(name.endswith("checklists.html") for name in outcome.files)
    assert "reports/funder-Aldermoor.html" in outcome.files


# --- what is kept of an earlier one ---


def by_heading(sheet: Sheet) -> list[dict[str, object]]:
    """Rows that are not blank as typed, by heading; the heading row is the first with more than one cell."""
    filled = [
        [(None if cell == "" else cell) for cell in row]
        for row in sheet.rows
        if any(cell not in ("", None) for cell in row)
    ]
    start = next(at for at, row in enumerate(filled) if sum(cell is not None for cell in row) > 1)
    headings = [heading_key(str(cell or "")) for cell in filled[start]]
    return [
        {heading: cell for heading, cell in zip(headings, row, strict=False) if heading and cell is not None}
        for row in filled[start + 1 :]
    ]


def sheet_named(workbook: Workbook, name: str) -> Sheet:
    return next(sheet for sheet in workbook.sheets if sheet.name == name)


def test_the_demo_hands_on_what_lasts_cell_by_cell() -> None:
    old = open_workbook(DEMO)
    new = opened(starter_bytes(keep=old))
    for name in KEPT:
        if name != "Settings":
            assert by_heading(sheet_named(new, name)) == by_heading(sheet_named(old, name)), name
    before, _ = read_rows(old)
    after, findings = read_rows(new)
    assert lasting(after) == lasting(before)
    assert all(lasting(after).values())
    assert not any(getattr(after, ROWS_OF[name]) for name in SHEETS if name not in KEPT)
    for column in SHEETS["Settings"].columns:
        expected = column.default if column.heading in CLEARED else getattr(before.settings, column.name)
        assert getattr(after.settings, column.name) == expected
    assert {finding.code for finding in findings if finding.severity is not Severity.NOTE} == set()
    notes = {row["setting"]: row.get("notes") for row in by_heading(sheet_named(new, "Settings"))}
    assert notes["Packing lead"] == "online group: see Groups"
    assert notes["As of"] is None  # it was about the day


def test_what_was_kept_is_told() -> None:
    told = carried_over(open_workbook(DEMO)).told
    assert told[0].startswith("Carried over: Groups (6 rows), ")
    assert "Notes" in told[1]
    assert told[-1] == (
        "Empty, for the new term: Sessions, Enrolment, Stock, Orders, Closures, Attendance, Pick-ups, Surveys, "
        "Narratives."
    )


def test_cells_come_as_typed_wherever_their_columns_stood() -> None:
    old = book(
        Packs="Price list\n\nMine | PRICE * | Supplier | Ingredient | Pack amount | Pack unit | Item\n"
        'a | 2["$"0.00] | mill | oats | \'1 1/2 | lb | 7[000]\n| oops | =1+1 | #N/A | 1.5 | lb |\n'
        "Total | 9\n\nremember the jack",
        Settings="Setting | Value | Why\nPaper | A4 | posters\nAs of | @2027-01-04 | then\nColour | blue |",
        Groups="nothing | of ours",
    )
    assert starter_bytes(keep=old) == starter_bytes(keep=old)
    new = loaded(starter_bytes(keep=old))
    packs = new["Packs"]
    headings = {packs.cell(1, at).value: at for at in range(1, packs.max_column + 1)}
    assert packs.cell(2, headings["Price"]).value == 2
    assert packs.cell(2, headings["Price"]).number_format == '"$"0.00'
    assert packs.cell(2, headings["Item"]).number_format == "000"
    assert packs.cell(2, headings["Pack amount"]).value == "1 1/2"
    assert packs.cell(2, headings["Mine"]).value == "a"
    assert packs.cell(3, headings["Price"]).value == "oops"
    assert packs.cell(3, headings["Supplier"]).value == "=1+1"
    assert packs.cell(3, headings["Supplier"]).data_type == "s"  # never a formula out of someone's text
    assert packs.cell(3, headings["Ingredient"]).value == "#N/A"
    assert [packs.cell(4, at).value for at in (1, headings["Price"], headings["Mine"])] == ["Total", 9, None]
    assert packs.cell(5, 1).value == "remember the jack"
    settings = {row[0].value: [cell.value for cell in row[1:]] for row in new["Settings"].iter_rows(min_row=2)}
    assert settings["Paper"][0] == "A4"
    assert settings["Paper"][2] == "posters"
    assert settings["As of"][0] is None
    assert settings["Colour"][0] == "blue"
    assert new["Packs"].page_setup.paperSize == 9
    assert any("Groups was not carried over" in sentence for sentence in carried_over(old).told)


def test_a_kept_starter_is_a_starter_again() -> None:
    once = opened(starter_bytes(keep=open_workbook(DEMO)))
    assert starter_bytes(keep=once) == starter_bytes(keep=open_workbook(DEMO))
    assert not any(GUIDE in sentence for sentence in carried_over(once).told)


def test_an_example_and_an_earlier_one_exclude_each_other() -> None:
    with pytest.raises(ValueError, match="not both"):
        starter_bytes(example=True, keep=book(CORE))


# --- the file ---


def test_the_file_is_written_whole_and_nothing_beside_it(tmp_path: Path) -> None:
    assert write_starter(tmp_path / "term.xlsx") == ()
    assert [path.name for path in tmp_path.iterdir()] == ["term.xlsx"]
    assert (tmp_path / "term.xlsx").read_bytes() == starter_bytes()
    (tmp_path / "old.xlsx").write_bytes(written({"Groups": "Group | Name\ng1 | One"}))
    told = write_starter(tmp_path / "next.xlsx", keep=tmp_path / "old.xlsx")
    assert told[0] == "Carried over: Groups (1 row)."
    assert ("Groups!A2", "group-unknown") not in said(open_workbook(tmp_path / "next.xlsx"))


def test_nothing_is_ever_overwritten(tmp_path: Path) -> None:
    taken = tmp_path / "term.xlsx"
    taken.write_bytes(b"mine")
    (tmp_path / "gone.xlsx").symlink_to(tmp_path / "nowhere")
    (tmp_path / "folder.xlsx").mkdir()
    for file in (taken, tmp_path / "gone.xlsx", tmp_path / "folder.xlsx"):
        with pytest.raises(Unwritable, match="there already") as refusal:
            write_starter(file)
        assert file.name in refusal.value.sentence
    assert taken.read_bytes() == b"mine"
    assert len(list(tmp_path.iterdir())) == 3


def test_one_that_appears_meanwhile_is_not_overwritten(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "term.xlsx"
    real = Path.hardlink_to

    def late(self: Path, target: Path) -> None:
        file.write_bytes(b"theirs")
        real(self, target)

    monkeypatch.setattr(Path, "hardlink_to", late)
    with pytest.raises(Unwritable, match="there already"):
        write_starter(file)
    assert file.read_bytes() == b"theirs"
    assert [path.name for path in tmp_path.iterdir()] == ["term.xlsx"]


def test_a_disk_without_links_does_as_well(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def refused(self: Path, target: Path) -> None:
        raise PermissionError(1, "Operation not permitted")

    monkeypatch.setattr(Path, "hardlink_to", refused)
    write_starter(tmp_path / "term.xlsx")
    assert [path.name for path in tmp_path.iterdir()] == ["term.xlsx"]


@pytest.mark.parametrize("name", ["term.ods", "term", "missing/term.xlsx"])
def test_other_refusals_are_one_sentence(tmp_path: Path, name: str) -> None:
    with pytest.raises(Unwritable) as refusal:
        write_starter(tmp_path / name)
    assert refusal.value.sentence
    assert list(tmp_path.iterdir()) == []


def test_an_earlier_one_that_cannot_be_opened_stops_it(tmp_path: Path) -> None:
    (tmp_path / "old.xlsx").write_bytes(b"no workbook")
    with pytest.raises(Unusable):
        write_starter(tmp_path / "term.xlsx", keep=tmp_path / "old.xlsx")
    assert not (tmp_path / "term.xlsx").exists()


# --- through a spreadsheet program ---


def resaved(file: Path, form: str, folder: Path) -> Path:
    """The file opened and saved by LibreOffice."""
    assert SOFFICE is not None
    subprocess.run(
        [SOFFICE, f"-env:UserInstallation={(folder / 'profile').as_uri()}", "--headless", "--norestore",
         "--convert-to", form, "--outdir", str(folder / form), str(file)],
        check=True, capture_output=True, timeout=300,
    )  # fmt: skip
    return folder / form / f"{file.stem}.{form}"


@pytest.mark.skipif(SOFFICE is None, reason="LibreOffice (soffice) is not installed")
@pytest.mark.parametrize("form", ["xlsx", "ods"])
def test_a_spreadsheet_program_saves_it_without_loss(tmp_path: Path, form: str) -> None:
    file = tmp_path / "example.xlsx"
    write_starter(file, example=True)
    again = resaved(file, form, tmp_path)
    before, _ = read_rows(open_workbook(file))
    after, findings = read_rows(open_workbook(again))
    assert records(after) == records(before)
    assert spoken(findings) <= FIRST_SHEET
    assert build(again, tmp_path / "out", Asked(today=PLANNED)).plan.food is not None
    if form == "xlsx":
        made, saved = openpyxl.load_workbook(file), openpyxl.load_workbook(again)
        for name in SHEETS:
            own, theirs = validations(made[name]), validations(saved[name])
            assert {heading: str(one.formula1) for heading, one in theirs.items()} == {
                heading: str(one.formula1) for heading, one in own.items()
            }
            assert all(theirs[heading].errorStyle == own[heading].errorStyle for heading in own)
            assert saved[name]["A1"].comment is not None
