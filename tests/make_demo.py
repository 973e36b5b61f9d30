"""Write the demo workbooks: `python tests/make_demo.py [FOLDER]`, without FOLDER into `workbooks`.

The same tables give the same bytes, on any day and any machine: the document's dates are pinned, and the
zip is packed anew, uncompressed, with fixed times.
"""

import datetime as dt
import io
import re
import sys
import zipfile
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import demo_data as data
from openpyxl import Workbook
from openpyxl.styles import Alignment, Font, PatternFill
from openpyxl.utils import get_column_letter
from openpyxl.worksheet.properties import PageSetupProperties
from openpyxl.worksheet.worksheet import Worksheet

Value = str | int | float | dt.date | dt.time | None
Row = list[str]

DEMO_NAME = "fennelbridge-spring-2027.xlsx"
LEAST_NAME = "four-sheets.xlsx"
SAVED = dt.datetime(2027, 2, 8, 8, 30)
WIDEST_COLUMN = 44  # characters


@dataclass(frozen=True)
class Page:
    """One sheet: its name, its heading row and rows, and the title a person put above them, if any."""

    name: str
    rows: list[Row]
    title: str = ""


def table(text: str) -> list[Row]:
    """Cells of a `|` table, heading row first, all rows equally long; an empty line is a row of blanks."""
    rows = [[cell.strip() for cell in line.split("|")] for line in text.strip("\n").split("\n")]
    width = len(rows[0])
    for row in rows:
        if len(row) > width:
            raise ValueError(f"more cells than headings: {row}")
    return [row + [""] * (width - len(row)) for row in rows]


def typed(cell: str) -> tuple[Value, str]:
    """What goes into a cell and its number format, told by its look.

    `2027-02-08`, `17:45`, `5%`, `$4.50`, `12`, `0.25`; anything else, `1 1/2` and `½` among it, stays text.
    """
    if not cell:
        return None, "General"
    if re.fullmatch(r"\d{4}-\d\d-\d\d", cell):
        return dt.date.fromisoformat(cell), "yyyy-mm-dd"
    if re.fullmatch(r"\d\d:\d\d", cell):
        return dt.time.fromisoformat(cell), "hh:mm"
    if re.fullmatch(r"\d+%", cell):
        return int(cell[:-1]) / 100, "0%"
    if re.fullmatch(r"\$[\d,]+\.\d\d", cell):
        return float(cell[1:].replace(",", "")), '"$"#,##0.00'
    if re.fullmatch(r"0|[1-9]\d*", cell):
        return int(cell), "General"
    if re.fullmatch(r"\d+\.\d+", cell):
        return float(cell), "General"
    return cell, "General"


def enrolment_rows() -> list[Row]:
    """The Enrolment sheet: its table without Marks, the last column."""
    return [row[:-1] for row in table(data.ENROLMENT)]


def members() -> list[dict[str, str]]:
    """One mapping a member, by heading."""
    heading, *rows = table(data.ENROLMENT)
    return [dict(zip(heading, row, strict=True)) for row in rows if row[0]]


def attendance_rows() -> list[Row]:
    """One row a participant who has joined, one column a delivered session; two groups make one row."""
    sessions = [session for group in data.DELIVERED.values() for session in group]
    marks: dict[str, dict[str, str]] = {}
    for member in members():
        if set(member["Marks"]) != {"-"}:
            row = marks.setdefault(member["Participant"], {})
            for session, mark in zip(data.DELIVERED[member["Group"]], member["Marks"], strict=True):
                row[session] = data.MARKS[mark]
    rows = [[who, *(row.get(session, "") for session in sessions)] for who, row in marks.items()]
    return [["Participant", *sessions], *rows]


def pick_up_rows() -> list[Row]:
    """One row a kit made for a household active on the day; the after-school group keeps no such list."""
    heading, *exceptions = table(data.KITS_NOT_COLLECTED)
    told = {(session, household): (kit, reason) for session, household, kit, reason in exceptions}
    made: dict[tuple[str, str], None] = {}  # an ordered set
    for group in ("PB", "ER", "ON", "GP"):
        for place, session in enumerate(data.DELIVERED[group]):
            for member in members():
                if member["Group"] == group and member["Marks"][place] != "-":
                    made[session, member["Household"]] = None
    if unused := set(told) - set(made):
        raise ValueError(f"no such kits: {unused}")
    return [heading, *([*kit, *told.get(kit, ("collected", ""))] for kit in made)]


def survey_rows() -> list[Row]:
    """Two rows a participant, before and after, one column a question; a form not given in has no row."""
    spelled = {".": "", "y": "yes", "n": "no"}
    questions = [row[0] for row in table(data.QUESTIONS)[1:]]
    rows = [["Participant", "When", *questions]]
    for who, *forms in table(data.ANSWERS)[1:]:
        for when, answers in zip(("before", "after"), forms, strict=True):
            if answers:
                rows.append([who, when, *(spelled.get(answer, answer) for answer in answers)])
    return rows


def demo_pages() -> list[Page]:
    """All sheets of the demo, in the order of the tabs."""
    return [
        Page("Settings", table(data.SETTINGS)),
        Page("Groups", table(data.GROUPS)),
        Page("Sessions", table(data.SESSIONS), "Spring 2027: six groups, eight weeks"),
        Page("Enrolment", enrolment_rows(), "Who is enrolled (codes only, outside the office)"),
        Page("Recipes", table(data.RECIPES)),
        Page("Methods", table(data.METHODS)),
        Page("Ingredients", table(data.INGREDIENTS)),
        Page("Swaps", table(data.SWAPS), "What we use instead"),
        Page("Suppliers", table(data.SUPPLIERS)),
        Page("Packs", table(data.PACKS), "Price list, all suppliers"),
        Page("Stock", table(data.STOCK), "Counted Thursday and Friday, 4 and 5 February"),
        Page("Orders", table(data.ORDERS)),
        Page("Tools", table(data.TOOLS)),
        Page("Closures", table(data.CLOSURES)),
        Page("Attendance", attendance_rows()),
        Page("Pick-ups", pick_up_rows()),
        Page("Questions", table(data.QUESTIONS)),
        Page("Surveys", survey_rows()),
        Page("Funders", table(data.FUNDERS)),
        Page("Notes", table(data.NOTES)),
    ]


def least_pages() -> list[Page]:
    """The four sheets that are enough to start."""
    return [
        Page("Sessions", table(data.LEAST_SESSIONS)),
        Page("Enrolment", table(data.LEAST_ENROLMENT)),
        Page("Recipes", table(data.LEAST_RECIPES)),
        Page("Stock", table(data.LEAST_STOCK)),
    ]


def fill(sheet: Worksheet, page: Page) -> None:
    """Type the page into its sheet: title and a blank row, where it has one, heading row, rows."""
    top = 1
    if page.title:
        sheet.cell(1, 1, page.title).font = Font(bold=True, size=14)
        top = 3
    for r, row in enumerate(page.rows, start=top):
        for c, text in enumerate(row, start=1):
            value, shown = typed(text)
            if value is not None:
                cell = sheet.cell(r, c, value)
                cell.number_format = shown
                cell.alignment = Alignment(vertical="top", wrap_text=len(text) > WIDEST_COLUMN)
    for c, column in enumerate(zip(*page.rows, strict=True), start=1):
        sheet.cell(top, c).font = Font(bold=True)
        sheet.cell(top, c).fill = PatternFill("solid", fgColor="E2EFDA")
        sheet.column_dimensions[get_column_letter(c)].width = min(max(map(len, column)), WIDEST_COLUMN) + 2
    sheet.freeze_panes = f"B{top + 1}"
    sheet.page_setup.orientation = "landscape"
    sheet.page_setup.fitToHeight = 0
    sheet.sheet_properties.pageSetUpPr = PageSetupProperties(fitToPage=True)
    sheet.print_title_rows = f"{top}:{top}"


def packed(book: Workbook) -> bytes:
    """The workbook's file with nothing in it that depends on when or where it was saved."""
    book.properties.created = SAVED
    saved = io.BytesIO()
    book.save(saved)
    out = io.BytesIO()
    with zipfile.ZipFile(saved) as parts, zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as fixed:
        for name in sorted(parts.namelist(), key=lambda part: (part != "[Content_Types].xml", part)):
            content = parts.read(name)
            if name == "docProps/core.xml":  # openpyxl stamps the hour of saving
                pinned = rb"\g<1>" + SAVED.isoformat().encode() + b"Z"
                content = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", pinned, content)
            entry = zipfile.ZipInfo(name, (1980, 1, 1, 0, 0, 0))
            entry.create_system = 3  # the same on every machine
            fixed.writestr(entry, content)
    return out.getvalue()


def book_of(pages: Iterable[Page]) -> Workbook:
    """A workbook with these sheets."""
    book = Workbook()
    book.remove(book.worksheets[0])
    book.properties.creator = "Fennelbridge Family Kitchen"
    for page in pages:
        fill(book.create_sheet(page.name), page)
    return book


def make(folder: Path) -> list[Path]:
    """Write both workbooks into the folder and return their paths."""
    folder.mkdir(parents=True, exist_ok=True)
    written = []
    for name, pages in ((DEMO_NAME, demo_pages()), (LEAST_NAME, least_pages())):
        path = folder / name
        path.write_bytes(packed(book_of(pages)))
        written.append(path)
    return written


if __name__ == "__main__":
    here = Path(__file__).resolve().parent
    for made in make(Path(sys.argv[1]) if len(sys.argv) > 1 else here.parent / "workbooks"):
        print(made)
