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
from pathlib import Path

from openpyxl import Workbook as Written
from openpyxl.cell.cell import Cell

from opsreport.check import check_rows
from opsreport.findings import Finding, in_order
from opsreport.read import read_rows
from opsreport.rules import Severity
from opsreport.sheets import Rows
from opsreport.workbook import Workbook, open_workbook

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
