"""Small workbooks for tests, typed as tables.

`book(Sessions="Session | Date\\ns1 | 3/4/26")` is a workbook with one sheet. A cell is what a person types
into an unformatted spreadsheet: `12` and `0.5` are numbers, `TRUE` a yes-no, `75%` a percent cell, `#N/A` an
error, `=1/3` a formula without a saved result. `@2027-03-04` is a real date (`@17:30` a time), `'12` the text
12, `7[000]` a number with that format, `\\n` inside a cell a line break; anything else is text, so
`2027-03-04` alone is a date typed as text.
"""

import datetime as dt
import io
import re
import tempfile
import zipfile
from pathlib import Path
from xml.sax.saxutils import escape

from openpyxl import Workbook as Written
from openpyxl.cell.cell import Cell

from opsreport.checking.check import check_rows
from opsreport.findings import Finding, in_order
from opsreport.reading.read import read_rows
from opsreport.reading.workbook import Workbook, open_workbook
from opsreport.rules import Severity
from opsreport.sheets import Rows

SESSIONS = "Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | soup"
ENROLMENT = "Participant | Group | Needs\np1 | g1 | none"
RECIPES = "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 |"
STOCK = "Ingredient | Amount | Unit\nonion | 2 |"
CORE = {"Sessions": SESSIONS, "Enrolment": ENROLMENT, "Recipes": RECIPES, "Stock": STOCK}


def type_into(cell: Cell, typed: str) -> None:
    """Put what is typed into a cell, as its look says."""
    typed = typed.replace("\\n", "\n")
    if not typed:
        return
    if typed.startswith("'"):
        cell.value = typed[1:]
        cell.data_type = "s"
    elif re.fullmatch(r"@\d{4}-\d\d-\d\d", typed):
        cell.value = dt.date.fromisoformat(typed[1:])
    elif re.fullmatch(r"@\d{4}-\d\d-\d\dT\d\d:\d\d", typed):
        cell.value = dt.datetime.fromisoformat(typed[1:])
    elif re.fullmatch(r"@\d\d:\d\d", typed):
        cell.value = dt.time.fromisoformat(typed[1:])
    elif typed in ("TRUE", "FALSE"):
        cell.value = typed == "TRUE"
    elif (formatted := re.fullmatch(r"(-?[\d.]+)\[(.+)\]", typed)) is not None:
        cell.value = float(formatted[1])
        cell.number_format = formatted[2]
    elif re.fullmatch(r"\d+(\.\d+)?%", typed):
        cell.value = float(typed[:-1]) / 100
        cell.number_format = "0%"
    elif re.fullmatch(r"-?(0|[1-9]\d*)", typed):
        cell.value = int(typed)
    elif re.fullmatch(r"-?\d+\.\d+", typed):
        cell.value = float(typed)
    else:
        cell.value = typed  # a leading = is a formula and #N/A an error, as openpyxl sees it


def written(sheets: dict[str, str]) -> bytes:
    """An .xlsx file with these sheets."""
    file = Written()
    file.remove(file.worksheets[0])
    for name, text in sheets.items():
        sheet = file.create_sheet(name)
        for row, line in enumerate(text.split("\n"), 1):
            for column, typed in enumerate(line.split("|"), 1):
                type_into(sheet.cell(row, column), typed.strip())
    if not sheets:
        file.create_sheet("Empty")
    out = io.BytesIO()
    file.save(out)
    return out.getvalue()


def opened(content: bytes, name: str = "book.xlsx") -> Workbook:
    """A file's bytes opened as the package opens a file."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / name
        path.write_bytes(content)
        return open_workbook(path)


def book(sheets: dict[str, str] | None = None, **more: str) -> Workbook:
    """An opened workbook with these sheets only; `Pick_ups` is the sheet Pick-ups."""
    named = {name.replace("_", "-"): text for name, text in more.items()}
    return opened(written({**(sheets or {}), **named}))


def term(sheets: dict[str, str] | None = None, **more: str) -> Workbook:
    """The same, with a good sheet for each of the four that are needed and not given."""
    named = {name.replace("_", "-"): text for name, text in more.items()}
    return opened(written({**CORE, **(sheets or {}), **named}))


def read(workbook: Workbook, as_of: dt.date | None = None) -> tuple[Rows, list[Finding]]:
    """Rows and every finding of reading and checking."""
    rows, findings = read_rows(workbook)
    return rows, in_order([*findings, *check_rows(rows, as_of)])


def said(workbook: Workbook, as_of: dt.date | None = None, notes: bool = True) -> list[tuple[str, str]]:
    """(place, code) of every finding, in order; with notes or without."""
    return [
        (str(finding.place), finding.code)
        for finding in read(workbook, as_of)[1]
        if notes or finding.severity is not Severity.NOTE
    ]


_ODS = """<?xml version="1.0" encoding="UTF-8"?><office:document-content office:version="1.2"
 xmlns:office="urn:oasis:names:tc:opendocument:xmlns:office:1.0"
 xmlns:table="urn:oasis:names:tc:opendocument:xmlns:table:1.0"
 xmlns:text="urn:oasis:names:tc:opendocument:xmlns:text:1.0"><office:body><office:spreadsheet>{}
</office:spreadsheet></office:body></office:document-content>"""
_ODS_KIND = "application/vnd.oasis.opendocument.spreadsheet"


def _ods_cell(typed: str) -> str:
    """What is typed as a cell of an .ods file; formats are left out."""
    typed = typed.replace("\\n", "\n")
    if not typed:
        return "<table:table-cell/>"
    shown = "".join(f"<text:p>{escape(line)}</text:p>" for line in typed.removeprefix("'").split("\n"))
    if re.fullmatch(r"@\d{4}-\d\d-\d\d(T\d\d:\d\d)?", typed):
        kind = f'date" office:date-value="{typed[1:]}{":00" if "T" in typed else ""}'
    elif re.fullmatch(r"@\d\d:\d\d", typed):
        kind = f'time" office:time-value="PT{typed[1:3]}H{typed[4:]}M00S'
    elif typed in ("TRUE", "FALSE"):
        kind = f'boolean" office:boolean-value="{typed.lower()}'
    elif re.fullmatch(r"\d+(\.\d+)?%", typed):
        kind = f'percentage" office:value="{float(typed[:-1]) / 100}'
    elif re.fullmatch(r"-?(0|[1-9]\d*)(\.\d+)?", typed):
        kind = f'float" office:value="{typed}'
    elif typed == "#N/A":
        kind = 'string" table:formula="of:=NA()" office:string-value="'
    elif typed.startswith("="):
        return f'<table:table-cell table:formula="of:{escape(typed)}"/>'
    else:
        kind = "string"
    return f'<table:table-cell office:value-type="{kind}">{shown}</table:table-cell>'


def as_ods(sheets: dict[str, str]) -> bytes:
    """The same sheets as an .ods file."""
    tables = []
    for name, text in sheets.items():
        rows = (
            f"<table:table-row>{''.join(_ods_cell(typed.strip()) for typed in line.split('|'))}</table:table-row>"
            for line in text.split("\n")
        )
        tables.append(f'<table:table table:name="{escape(name)}">{"".join(rows)}</table:table>')
    out = io.BytesIO()
    manifest = "urn:oasis:names:tc:opendocument:xmlns:manifest:1.0"
    with zipfile.ZipFile(out, "w") as file:
        file.writestr("mimetype", _ODS_KIND)
        file.writestr("content.xml", _ODS.format("".join(tables)))
        file.writestr(
            "META-INF/manifest.xml",
            f'<manifest:manifest xmlns:manifest="{manifest}"><manifest:file-entry manifest:full-path="/" '
            f'manifest:media-type="{_ODS_KIND}"/></manifest:manifest>',
        )
    return out.getvalue()
