"""Files made to hurt: each is refused or read with one clear sentence, in 10 s of CPU time and 1 GiB of memory."""

import io
import os
import re
import resource
import subprocess
import sys
import zipfile
from collections.abc import Callable
from html.parser import HTMLParser
from pathlib import Path

import openpyxl
import pytest
from support import CORE, as_ods, written

SECONDS = 10
BYTES = 1 << 30
SHEET = "xl/worksheets/sheet{}.xml"


def limited() -> None:
    resource.setrlimit(resource.RLIMIT_CPU, (SECONDS, SECONDS))
    resource.setrlimit(resource.RLIMIT_AS, (BYTES, BYTES))
    resource.setrlimit(resource.RLIMIT_CORE, (0, 0))


def run(*words: str | Path) -> subprocess.CompletedProcess[str]:
    """The command in a process of its own, under the limits. One pool of memory for all threads, so that the limit is
    on what is used, not on what threads set aside."""
    return subprocess.run(
        [sys.executable, "-m", "opsreport", *map(str, words)],
        check=False, capture_output=True, text=True, encoding="utf-8", preexec_fn=limited, timeout=120,
        env={**os.environ, "PYTHONUTF8": "1", "OPENBLAS_NUM_THREADS": "1", "MALLOC_ARENA_MAX": "1"},
    )  # fmt: skip


def repacked(content: bytes, **parts: Callable[[bytes], bytes] | bytes) -> bytes:
    """The file with parts changed or added; `sheet1` is the first sheet."""
    named = {SHEET.format(key[5:]) if re.fullmatch(r"sheet\d+", key) else key: value for key, value in parts.items()}
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(content)) as old,
        zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as new,
    ):
        for name in old.namelist():
            change = named.pop(name, old.read(name))
            new.writestr(name, change(old.read(name)) if callable(change) else change)
        for name, added in named.items():
            assert isinstance(added, bytes)
            new.writestr(name, added)
    return out.getvalue()


def rows(*filled: bytes) -> Callable[[bytes], bytes]:
    """Another sheetData for a sheet's XML."""
    data = b"<sheetData>" + b"".join(filled) + b"</sheetData>"
    return lambda xml: re.sub(rb"<sheetData.*</sheetData>", lambda _: data, xml, flags=re.DOTALL)


def letters(column: int) -> str:
    return openpyxl.utils.get_column_letter(column)


def text_cells(row: int, columns: int) -> bytes:
    cells = (f'<c r="{letters(at)}{row}" t="inlineStr"><is><t>h{at}</t></is></c>' for at in range(1, columns + 1))
    return f'<row r="{row}">{"".join(cells)}</row>'.encode()


def numbered(row: int, columns: int) -> bytes:
    cells = "".join(f'<c r="{letters(at)}{row}"><v>{at}</v></c>' for at in range(1, columns + 1))
    return f'<row r="{row}">{cells}</row>'.encode()


GOOD = written(CORE)
EXPANDING = (
    b'<!DOCTYPE x [<!ENTITY a "aaaaaaaaaa">'
    + b"".join(b'<!ENTITY %c "%s">' % (98 + n, b"&%c;" % (97 + n) * 10) for n in range(9))
    + b"]>"
)
HEADED = (
    b'<row r="1"><c r="A1" t="inlineStr"><is><t>Ingredient</t></is></c>'
    b'<c r="B1" t="inlineStr"><is><t>Amount</t></is></c></row>'
)
ODS = as_ods(CORE)


def declared(xml: bytes) -> bytes:
    start, _, rest = xml.partition(b"?>")
    return start + b"?>" + EXPANDING + rest.replace(b"<v>", b"<v>&j;", 1).replace(b"<text:p>", b"<text:p>&j;", 1)


REFUSED = {
    "zip bomb": (repacked(GOOD, sheet1=lambda xml: xml + b" " * (100 << 20)), "too large"),
    "many small parts": (repacked(GOOD, **{f"xl/media/{n}.png": b"" for n in range(6000)}), "too large"),
    "entity expansion": (repacked(GOOD, sheet1=declared), "damaged"),
    "entity expansion, .ods": (repacked(ODS, **{"content.xml": declared}), "damaged"),
    "a cell at each end": (
        repacked(GOOD, sheet4=rows(HEADED, b'<row r="1048576"><c r="XFD1048576"><v>1</v></c></row>')), "too large",
    ),
    "every cell of an .ods": (
        repacked(ODS, **{"content.xml": lambda xml: xml.replace(
            b"</table:table>",
            b'<table:table-row table:number-rows-repeated="1000000"><table:table-cell office:value-type="float" '
            b'office:value="1" table:number-columns-repeated="16384"/></table:table-row></table:table>', 1)}),
        "too large",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", REFUSED)
def test_what_would_fill_the_machine_is_refused_in_one_sentence(what: str, tmp_path: Path) -> None:
    content, why = REFUSED[what]
    file = tmp_path / ("book.ods" if "ods" in what else "book.xlsx")
    file.write_bytes(content)
    done = run("check", file)
    assert (done.returncode, done.stdout) == (2, "")
    (line,) = done.stderr.splitlines()
    assert why in line
    assert line.endswith(".")


BLANK_ROWS = b"".join(b'<row r="%d"/>' % row for row in range(3, 1 << 20))
BLANK_CELLS = b"".join(b'<row r="%d"><c r="A%d" s="0"/></row>' % (row, row) for row in range(3, 1 << 20))
ONION = b'<row r="2"><c r="A2" t="inlineStr"><is><t>onion</t></is></c><c r="B2"><v>2</v></c></row>'
LAST = b'<row r="1048576"><c r="A1048576" t="inlineStr"><is><t>potato</t></is></c><c r="B1048576"><v>1</v></c></row>'
FORMULAS = """Ingredient | Amount | Lot
onion | 2 | =cmd|'/c calc'!A0
onion | 3 | =WEBSERVICE("http://example.invalid/")""".replace("cmd|", "cmd\x01")
LINK = b'<externalLink xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"/>'

READ = {
    "16,384 columns": (
        repacked(GOOD, sheet4=rows(
            HEADED.replace(b"</row>", b"") + text_cells(1, 16384)[len(b'<row r="1">'):].split(b"</c>", 2)[2],
            *(numbered(row, 16384) for row in range(3, 40)), ONION)),
        "note", "Not read, and left alone: h3, h4",
    ),
    "16,384 sessions": (
        repacked(written({**CORE, "Attendance": "Participant\np1"}),
                 sheet5=rows(text_cells(1, 16384).replace(b"<t>h1<", b"<t>Participant<", 1),
                             b'<row r="2"><c r="A2" t="inlineStr"><is><t>p1</t></is></c>'
                             + numbered(2, 16384)[len(b'<row r="2"><c r="A2"><v>1</v></c>'):])),
        "note", "Not read, and left alone: h2, h3",
    ),
    "1,048,576 blank rows": (repacked(GOOD, sheet4=rows(HEADED, ONION, BLANK_ROWS)), "", ""),
    "1,048,576 blank cells": (repacked(GOOD, sheet4=rows(HEADED, ONION, BLANK_CELLS)), "", ""),
    "a record in the last row": (repacked(GOOD, sheet4=rows(HEADED, ONION, LAST)), "", ""),
    "macros": (repacked(GOOD, **{"xl/vbaProject.bin": b"\0"}), "note", "The workbook carries macros; none was run."),
    "links to programs": (
        repacked(GOOD, **{"xl/externalLinks/externalLink1.xml": LINK}),
        "note", "The workbook has links to other files or programs; they were not followed",
    ),
    "formulas that call out": (
        written({**CORE, "Stock": FORMULAS.replace("\x01", "!")}), "error", "has no saved result.",
    ),
    "odd sheet names": (
        written({**CORE, "<b>&amp;": "a", "=1+1": "b", "..": "c", "'": "d", "📋 é\u202eabc": "e"}),
        "note", "Sheet <b>&amp; is no sheet that is read",
    ),
}  # fmt: skip


@pytest.mark.parametrize("what", READ)
def test_what_is_only_odd_is_read_and_said(what: str, tmp_path: Path) -> None:
    content, severity, sentence = READ[what]
    file = tmp_path / ("book.xlsm" if what == "macros" else "book.xlsx")
    file.write_bytes(content)
    done = run("check", file, "--as-of", "2027-03-01")
    assert done.stderr == ""
    assert done.returncode == (1 if severity == "error" else 0), done.stdout
    assert sentence in done.stdout
    assert severity in done.stdout


# --- nothing typed becomes a formula or HTML ---

MARK = "harmful"
STARTS = ("=", "+", "-", "@", "\t=", "\r=", "\n+")
PAGE = f'<script>{MARK}()</script><{MARK} onload="x">"\'><img src=x onerror={MARK}>&lt;b&gt;]]>--></title>{{{{7*7}}}}'


CODE = f'<script>{MARK}()<{MARK} onload="x">"\'><img src=x onerror={MARK}>{{{{7*7}}}}'
"""The same without the signs that part the entries of a list."""


def hostile(number: int, page: str = PAGE) -> str:
    """A text that would start a formula in a sheet and a script in a page."""
    return f"{STARTS[number % len(STARTS)]}1+{MARK}{number}!A1 {page}"


def poisoned() -> bytes:
    """A workbook that builds every document, each of whose texts is hostile: ids, names, notes, headings."""
    ids = {
        name: hostile(at, CODE)
        for at, name in enumerate(("s1", "g1", "p1", "h1", "soup", "food", "shop", "fund", "q1"))
    }
    spoken = iter(range(100, 1000))

    def free() -> str:
        return hostile(next(spoken))

    sheets: dict[str, list[list[object]]] = {
        "Settings": [["Setting", "Value"], ["Programme", free()], ["Term", free()], ["Contact", free()],
                     ["Report by", "Language"], ["Small count", 0]],
        "Groups": [["Group", "Name", "Site", "Pick-up place", "Funders", free()],
                   [ids["g1"], free(), free(), free(), ids["fund"], free()]],
        "Sessions": [["Session", "Group", "Date", "Start", "Lesson", "Recipes", "Status", "Note"],
                     [ids["s1"], ids["g1"], "2027-03-04", free(), free(), "soup", "delivered", free()],
                     ["s2" + CODE, ids["g1"], "2027-03-18", free(), free(), "soup", "planned", free()]],
        "Enrolment": [["Participant", "Group", "Household", "Needs", "Name", "Pick-up name", "Age band", "Language"],
                      [ids["p1"], ids["g1"], ids["h1"], "none", free(), free(), free(), free()],
                      ["p2", ids["g1"], ids["h1"], "no onion", free(), free(), free(), free()]],
        "Recipes": [["Recipe", "Servings", "Ingredient", "Amount", "Unit", "Preparation", "Mix"],
                    ["soup", 4, ids["food"], 1, "cup", free(), ""], ["soup", None, "onion", 2, None, free(), free()],
                    ["soup", None, "salt", "to taste", None, free(), ""]],
        "Methods": [["Recipe", "Step", "Text", "Caution"], ["soup", 1, free(), free()]],
        "Ingredients": [["Ingredient", "Grams per cup", "Contains", "Container", "Tags"],
                        [ids["food"], 200, "none", free(), hostile(99, CODE)]],
        "Suppliers": [["Supplier", "Name", "Order to", "Account"], [ids["shop"], free(), free(), free()]],
        "Packs": [["Supplier", "Ingredient", "Item", "Pack amount", "Pack unit", "Price"],
                  [ids["shop"], ids["food"], free(), 1, "lb", 3], [ids["shop"], "onion", free(), 5, "each", 4]],
        "Stock": [["Ingredient", "Amount", "Unit", "Lot", "Place", "Source"],
                  [ids["food"], 30, "g", free(), free(), "donated"]],
        "Orders": [["Order", "Supplier", "Ingredient", "Item", "Packs", "Pack amount", "Pack unit", "Due"],
                   [free(), ids["shop"], ids["food"], free(), 1, 20, "g", "2027-03-16"]],
        "Swaps": [["Ingredient", "Need", "Use instead", "Note"], ["onion", "no onion", "leave out", free()]],
        "Tools": [["Tool", "Amount", "Unit"], [free(), 1, "cup"], [free(), 1, "tsp"]],
        "Closures": [["Date", "Why"], ["2027-03-09", free()]],
        "Attendance": [["Session", "Participant", "Mark"], [ids["s1"], ids["p1"], "y"], [ids["s1"], "p2", "y"]],
        "Pick-ups": [["Session", "Household", "Kit", "Reason"], [ids["s1"], ids["h1"], "left", free()]],
        "Questions": [["Question", "Text", "Kind", "Lowest", "Highest", "Theme"],
                      [ids["q1"], free(), "scale", 1, 5, free()]],
        "Surveys": [["Participant", "Question", "Before", "After"], [ids["p1"], ids["q1"], 2, 4],
                    ["p2", ids["q1"], free(), 4]],
        "Funders": [["Funder", "Name", "From", "Until"], [ids["fund"], free(), "2027-01-01", "2027-12-31"]],
        "=" + MARK: [[free()]],
    }  # fmt: skip
    file = openpyxl.Workbook()
    file.remove(file.worksheets[0])
    for name, lines in sheets.items():
        sheet = file.create_sheet(name)
        for row, line in enumerate(lines, 1):
            for column, typed in enumerate(line, 1):
                cell = sheet.cell(row, column)
                cell.value = typed  # type: ignore[assignment]
                if isinstance(typed, str):
                    cell.data_type = "s"
    out = io.BytesIO()
    file.save(out)
    return out.getvalue()


class Page(HTMLParser):
    """Every element, attribute and text of a page."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.elements: set[str] = set()
        self.attributes: list[tuple[str, str]] = []
        self.scripts: list[str] = []
        self.text: list[str] = []
        self.inside = ""
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.elements.add(tag)
        self.attributes += [(name, value or "") for name, value in attrs]
        self.inside = tag

    def handle_endtag(self, tag: str) -> None:
        self.inside = ""

    def handle_data(self, data: str) -> None:
        (self.scripts if self.inside in ("script", "style") else self.text).append(data)


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    top = tmp_path_factory.mktemp("hostile")
    (top / "book.xlsx").write_bytes(poisoned())
    done = run("build", top / "book.xlsx", "--as-of", "2027-03-01", "--out", top / "out")
    assert done.returncode in (0, 1), done.stderr
    return top / "out"


def test_no_cell_of_any_output_is_a_formula_made_of_input(folder: Path) -> None:
    files = sorted(folder.rglob("*.xlsx"))
    seen = 0
    for path in files:
        for sheet in openpyxl.load_workbook(path):
            for cell in (cell for row in sheet.iter_rows() for cell in row):
                shown = str(cell.value or "")
                assert not (cell.data_type == "f" and MARK in shown), (path.name, cell.coordinate)
                assert not (cell.hyperlink is not None and MARK in str(cell.hyperlink.target)), path.name
                seen += MARK in shown and cell.data_type == "s"
    assert len(files) > 10
    assert seen > 50


def test_no_page_of_any_output_reads_input_as_html(folder: Path) -> None:
    pages = sorted(folder.rglob("*.html"))
    seen = 0
    for path in pages:
        page = Page(path.read_text(encoding="utf-8"))
        assert MARK not in page.elements, path.name
        assert "img" not in page.elements or not any(value == "x" for _, value in page.attributes), path.name
        assert not any(name.startswith("on") and MARK in value for name, value in page.attributes), path.name
        assert not any(
            name in ("href", "src") and value.lstrip().startswith("javascript") for name, value in page.attributes
        )
        styles = "".join(page.scripts)
        assert f"<{MARK}" not in styles, path.name
        assert f"{MARK}(" not in styles, path.name
        seen += sum(f"<{MARK}" in text for text in page.text)
    assert len(pages) > 10
    assert seen > 50


def test_no_name_of_any_output_comes_out_of_the_folder(folder: Path) -> None:
    for path in folder.rglob("*"):
        assert folder in path.resolve().parents
        assert re.fullmatch(r"[\w.\- ]+", path.name), path.name
