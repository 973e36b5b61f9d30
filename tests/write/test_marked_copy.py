"""The marked copy, opened by another library than the one that reads workbooks: every finding at its cells."""

import datetime as dt
import io
import shutil
import subprocess
import zipfile
from pathlib import Path

import openpyxl
import pytest
from openpyxl.comments import Comment
from openpyxl.worksheet.datavalidation import DataValidation
from support import CORE, written

from opsreport.findings import Finding
from opsreport.reading.workbook import open_workbook
from opsreport.run import Asked, check, mark
from opsreport.sheets import FINDINGS
from opsreport.write.marked_copy import marked_copy, marked_name, marked_path

SOFFICE = shutil.which("soffice") or shutil.which("libreoffice")
ASKED = Asked(dt.date(2027, 2, 8))
WRONG = {
    **CORE,
    "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | 2027-11-31 | soup\ns2 | g1 | @2027-03-11 | soop",
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 | jug\n | | onion | 2 | jug\n"
    " | | onion | 1 |\n | | onion | 3 | jug\n | | onion | 3-4 |",
    "Stock": "Ingredient | Amount | Unit | Place\nonion | 2 | | '=1+1\nonion | #N/A | | shelf",
    "O'Odd": "a | b\n1 | 2",
}  # fmt: skip


def put(folder: Path, sheets: dict[str, str] = WRONG, name: str = "term.xlsx") -> Path:
    path = folder / name
    path.write_bytes(written(sheets))
    return path


def marked(path: Path) -> tuple[openpyxl.Workbook, tuple[Finding, ...]]:
    findings = check(path, ASKED)
    return openpyxl.load_workbook(io.BytesIO(marked_copy(open_workbook(path), findings))), findings


def test_every_cell_with_a_finding_says_so_and_no_other(tmp_path: Path) -> None:
    path = put(tmp_path)
    before = path.read_bytes()
    book, findings = marked(path)
    said = {
        (page.title, cell.coordinate): cell.comment.text
        for page in book.worksheets
        for row in page.iter_rows()
        for cell in row
        if cell.comment
    }
    expected = {(each.place.sheet, each.place.cell) for found in findings for each in found.each if each.place.cell}
    assert set(said) == expected
    assert {("Recipes", "E2"), ("Recipes", "E3"), ("Recipes", "E5")} <= expected
    for found in findings:
        for each in found.each:
            if each.place.cell:
                assert (
                    f"{each.severity.value.capitalize()}: {each.message}\n{each.fix}"
                    in said[each.place.sheet, each.place.cell]
                )
                assert book[each.place.sheet][each.place.cell].fill.fill_type == "solid"
    assert book["Sessions"]["A1"].fill.fill_type is None
    assert path.read_bytes() == before


@pytest.mark.parametrize(("paper", "code"), [("A4", 9), ("Letter", 1)])
def test_the_first_sheet_prints_on_the_workbooks_paper(paper: str, code: int, tmp_path: Path) -> None:
    sheets = {**WRONG, "Settings": f"{WRONG.get('Settings', 'Setting | Value')}\nPaper | {paper}"}
    copy, _ = marked(put(tmp_path, sheets))
    assert copy.worksheets[0].page_setup.paperSize == code


def test_the_first_sheet_links_to_every_cell(tmp_path: Path) -> None:
    book, findings = marked(put(tmp_path))
    page = book.worksheets[0]
    assert page.title == FINDINGS
    assert book.active is page
    links = [cell.hyperlink.location for row in page.iter_rows() for cell in row if cell.hyperlink]
    assert "'Recipes'!E2:E3" in links
    assert "'Recipes'!E5" in links
    assert "'O''Odd'!A1" in links
    assert len(links) == sum(len(finding.cells) or 1 for finding in findings)
    said = {cell.value for cell in page["C"]}
    assert {finding.message for finding in findings} <= said


def test_what_stood_in_the_workbook_stands_in_the_copy(tmp_path: Path) -> None:
    path = put(tmp_path)
    book = openpyxl.load_workbook(path)
    book["Sessions"]["C2"].comment = Comment("Ask the site", "Ana")
    book["Sessions"]["B2"].comment = Comment("Only mine", "Ana")
    book["Sessions"].column_dimensions["D"].width = 33
    book["Stock"]["B2"].number_format = "0.00"
    choices = DataValidation("list", formula1='"planned,delivered"')
    choices.add("E2:E9")
    book["Sessions"].add_data_validation(choices)
    book["Sessions"]["C2"].font = openpyxl.styles.Font(bold=True)
    book.save(path)
    copy, _ = marked(path)
    sessions = copy["Sessions"]
    assert sessions["C2"].comment.text.startswith("Ask the site\n\nopsreport says:\nError: ")
    assert (sessions["C2"].comment.author, sessions["B2"].comment.text) == ("Ana", "Only mine")
    assert sessions["C2"].font.bold
    assert sessions.column_dimensions["D"].width == 33
    assert copy["Stock"]["B2"].number_format == "0.00"
    (kept,) = sessions.data_validations.dataValidation
    assert (kept.formula1, str(kept.sqref)) == ('"planned,delivered"', "E2:E9")
    values = [[cell.value for cell in row] for row in openpyxl.load_workbook(path)["Recipes"].iter_rows()]
    assert [[cell.value for cell in row] for row in copy["Recipes"].iter_rows()] == values


def test_text_never_becomes_a_formula(tmp_path: Path) -> None:
    sheets = {**WRONG, "Sessions": "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | '=1+1"}
    book, _ = marked(put(tmp_path, sheets))
    typed = {
        (page.title, cell.coordinate): cell.value
        for page in book.worksheets
        for row in page.iter_rows()
        for cell in row
        if cell.data_type == "f"
    }
    assert typed == {}
    assert book["Stock"]["D2"].value == book["Sessions"]["D2"].value == "=1+1"


def with_formulas(path: Path) -> Path:
    """A workbook whose formulas have saved results, as a spreadsheet program would have left them."""
    import xlsxwriter

    book = xlsxwriter.Workbook(path)
    for name, text in CORE.items():
        page = book.add_worksheet(name)
        for row, line in enumerate(text.split("\n")):
            for column, typed in enumerate(line.split("|")):
                page.write(row, column, typed.strip().lstrip("@"))
    page = book.get_worksheet_by_name("Stock")
    assert page is not None
    day = book.add_format({"num_format": "yyyy-mm-dd"})
    page.write_row(0, 3, ["Best before", "Place", "Value", "Hold"])
    page.write_formula(1, 1, "=1/3", None, 1 / 3)
    page.write_formula(1, 3, "=DATE(2027,6,1)", day, 46539)
    page.write_formula(1, 4, '="a & "&"b"', None, "a & b")
    page.write_formula(1, 5, "=[1]Prices!A1", None, 4.5)
    page.write_formula(1, 6, "=1=2", None, False)
    page.write_formula(2, 0, "=cmd|'/c calc'!A0", None, "onion")
    page.write_formula(2, 1, "=1/0", None, "#DIV/0!")
    book.close()
    return path


def test_a_copy_reads_as_its_workbook_does(tmp_path: Path) -> None:
    path = with_formulas(tmp_path / "term.xlsx")
    findings = check(path, ASKED)
    assert "cell-error" in [finding.code for finding in findings]
    copy = mark(path, findings)
    assert [each.as_dict() for each in check(copy, ASKED)] == [each.as_dict() for each in findings]
    own, others = open_workbook(copy), open_workbook(path)
    assert [sheet.rows for sheet in own.sheets if sheet.name != FINDINGS] == [sheet.rows for sheet in others.sheets]


def test_formulas_stay_but_none_reaches_out(tmp_path: Path) -> None:
    book, _ = marked(with_formulas(tmp_path / "term.xlsx"))
    stock = book["Stock"]
    assert [stock[cell].value for cell in ("B2", "F2", "A3")] == ["=1/3", 4.5, "onion"]


def test_marking_a_copy_again_leaves_no_old_mark(tmp_path: Path) -> None:
    path = put(tmp_path)
    first = mark(path, check(path, ASKED))
    book = openpyxl.load_workbook(first)
    book["Recipes"]["E2"].value = "each"
    book.save(first)
    second = mark(first, check(first, ASKED))
    assert (first.name, second.name) == ("term-marked.xlsx", "term-marked-2.xlsx")
    copy = openpyxl.load_workbook(second)
    assert copy.sheetnames.count(FINDINGS) == 1
    assert copy["Recipes"]["E2"].comment is None
    assert copy["Recipes"]["E2"].fill.fill_type is None
    assert copy["Recipes"]["E3"].comment.text.count("opsreport says:") == 1


def test_a_sheet_of_theirs_with_that_name_is_kept(tmp_path: Path) -> None:
    book, _ = marked(put(tmp_path, {**WRONG, FINDINGS: "mine | yours\n1 | 2"}))
    assert book[FINDINGS]["A1"].value == "mine"
    assert book.worksheets[0]["A1"].value == "What to look at in this workbook"


def test_the_same_bytes_whatever_the_hour(tmp_path: Path) -> None:
    path = put(tmp_path)
    content = marked_copy(open_workbook(path), check(path, ASKED))
    with zipfile.ZipFile(io.BytesIO(content)) as parts:
        assert {part.date_time for part in parts.infolist()} == {(1980, 1, 1, 0, 0, 0)}
        core = parts.read("docProps/core.xml").decode()
    times = [each.partition("<")[0] for each in core.split('"dcterms:W3CDTF">')[1:]]
    assert len(times) == 2
    assert times[0] == times[1]


def test_names_are_free_and_fit_every_disk(tmp_path: Path) -> None:
    source = tmp_path / "term.ods"
    assert marked_path(source).name == "term-marked.xlsx"
    (tmp_path / "term-marked.xlsx").touch()
    assert marked_path(source).name == marked_path(tmp_path / "term-marked.xlsx").name == "term-marked-2.xlsx"
    assert marked_name("spring: 2027") == "spring_ 2027-marked.xlsx"


@pytest.mark.skipif(SOFFICE is None, reason="LibreOffice (soffice) is not installed")
def test_libreoffice_opens_it_and_an_ods_is_copied_as_values(tmp_path: Path) -> None:
    def converted(path: Path, form: str) -> Path:
        assert SOFFICE is not None
        subprocess.run(
            [SOFFICE, f"-env:UserInstallation={(tmp_path / 'profile').as_uri()}", "--headless", "--norestore",
             "--convert-to", form, "--outdir", str(tmp_path / form), str(path)],
            check=True, capture_output=True, timeout=300,
        )  # fmt: skip
        return tmp_path / form / f"{path.stem}.{form}"

    path = put(tmp_path)
    findings = check(path, ASKED)
    ods = converted(path, "ods")
    same = [finding.as_dict() for finding in findings if finding.code != "cell-error"]
    assert [each.as_dict() for each in check(ods, ASKED) if each.code != "cell-error"] == same
    from_ods = mark(ods, check(ods, ASKED))
    assert from_ods == ods.with_name("term-marked.xlsx")
    for copy in (mark(path, findings), from_ods):
        seen = openpyxl.load_workbook(converted(copy, "xlsx"))
        assert seen.sheetnames[0] == FINDINGS
        assert "no such day as 2027-11-31" in seen["Sessions"]["C2"].comment.text
        assert seen["Sessions"]["C2"].fill.fill_type == "solid"
        assert seen["Stock"]["D2"].value == "=1+1"
        assert seen["Stock"]["D2"].data_type == "s"
        links = [cell.hyperlink.location for row in seen[FINDINGS].iter_rows() for cell in row if cell.hyperlink]
        assert any("Recipes" in link and "E5" in link for link in links if link)
