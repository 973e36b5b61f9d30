"""A copy of the workbook in which every faulty cell is coloured and says why; alone in knowing openpyxl.

What the file library cannot carry over is missing from the copy, never from the workbook itself: drawings,
charts, macros, links to other files, drop-downs that only newer programs write, sizes of comment boxes. A
workbook that it cannot open (an .ods file is one) is copied as values.
"""

import datetime as dt
import io
import re
import textwrap
import warnings
import zipfile
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final
from xml.sax.saxutils import escape

from opsreport.findings import Finding, by_sheet
from opsreport.kinds import CellValue
from opsreport.reading.workbook import Cell, Faulty, Sheet, Workbook, open_workbook
from opsreport.rules import Severity
from opsreport.sheets import FINDINGS
from opsreport.words import heading_key
from opsreport.write import clean, cut
from opsreport.write.folder import Unwritable

if TYPE_CHECKING:
    import openpyxl
    from openpyxl.worksheet.worksheet import Worksheet

MOST_CELLS: Final = 300_000
"""Cells of a workbook that is copied; the library takes 50 times the file in memory."""
_MOST_COMMENTS: Final = 3_000
"""Cells that get a comment; programs grow slow with more. Further ones are coloured and linked to."""
_MOST_LINKS: Final = 60
"""Further ranges of one finding that the first sheet links to, `_BESIDE` of them a row."""
_BESIDE: Final = 6
_WIDTHS: Final = (14, 10, 58, 50, *[11] * _BESIDE)
_FONT: Final = "Calibri"

_SAYS: Final = "opsreport says:"
_ENDING: Final = "-marked"
_COLOURS: Final = {Severity.ERROR: "FFF2B8B0", Severity.WARNING: "FFFBE2A0", Severity.NOTE: "FFD3E3F1"}
_WORST_FIRST: Final = tuple(Severity)
_TITLE: Final = "What to look at in this workbook"
_LEADS: Final = (
    "Each line leads to its cells, which are coloured and carry the same words as a comment.",
    "This is a copy: correct the workbook itself, or go on with the copy. This sheet is not read.",
)
_VALUES_ONLY: Final = "It holds values only: formats, formulas and drop-downs are in the workbook itself."

_OUTWARD: Final = re.compile(r"\[\d+\]|\||\b(WEBSERVICE|HYPERLINK|RTD|CALL|REGISTER\.ID|EXEC|DDE)\s*\(", re.IGNORECASE)
"""A formula that reaches out of the workbook: the copy holds its saved result instead."""
_FIXED: Final = dt.datetime(2000, 1, 1)
_ZIPPED: Final = (1980, 1, 1, 0, 0, 0)


def marked_name(stem: str) -> str:
    """The copy's name in a run's folder."""
    return re.sub(r'[\\/:*?"<>|]', "_", f"{stem}{_ENDING}.xlsx")


def marked_path(source: Path) -> Path:
    """A free name beside the workbook: `term-marked.xlsx`, `term-marked-2.xlsx`, …"""
    stem = re.sub(rf"{_ENDING}(-\d+)?$", "", source.stem) or source.stem
    number = 1
    while True:
        path = source.with_name(f"{stem}{_ENDING}{f'-{number}' if number > 1 else ''}.xlsx")
        if not path.exists() and not path.is_symlink():
            return path
        number += 1


def marked_or_nothing(source: Path, findings: Sequence[Finding]) -> bytes | None:
    """The marked copy of a file, for a run's folder; None where it is too large to be copied."""
    try:
        return marked_copy(open_workbook(source), findings)
    except Unwritable:
        return None


def marked_copy(workbook: Workbook, findings: Sequence[Finding]) -> bytes:
    """The workbook as .xlsx with every finding at its cells, and a first sheet that leads to them.

    The same workbook and findings always give the same bytes.

    Raises:
        Unwritable: it is too large to be copied.
    """
    if sum(len(row) for sheet in workbook.sheets for row in sheet.rows) > MOST_CELLS:
        raise Unwritable(f"{workbook.path.name} is too large for a marked copy (over {MOST_CELLS:,} cells).")
    opened = _opened(workbook)
    book, pages = opened or _values_only(workbook)
    for page in pages.values():
        _unmark(page)
    _mark(pages, findings)
    _put_findings(book, pages, findings, values_only=opened is None)
    out = io.BytesIO()
    created = book.properties.created
    book.save(out)
    results = {} if opened is None else _results(workbook, book)
    return _settled(out.getvalue(), created or _FIXED, results)


# --- the copy ---

Pages = Mapping[int, "Worksheet"]
"""The copy's sheets by the workbook's order."""


def _opened(workbook: Workbook) -> "tuple[openpyxl.Workbook, Pages] | None":
    """The workbook with all that the library knows of it; None where it cannot open it."""
    import openpyxl

    try:
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            book = openpyxl.load_workbook(workbook.path, rich_text=True, keep_links=False)
        pages = {sheet.order: book[sheet.name] for sheet in workbook.sheets}
        with zipfile.ZipFile(workbook.path) as parts:
            if "docProps/core.xml" not in parts.namelist():
                book.properties.created = _FIXED
    except Exception:  # whatever it trips over: the values can still be shown
        return None
    for name in [name for name, defined in book.defined_names.items() if _OUTWARD.search(defined.value or "")]:
        del book.defined_names[name]
    for sheet in workbook.sheets:
        _keep_inside(pages[sheet.order], sheet)
    return book, pages


def _keep_inside(page: "Worksheet", sheet: Sheet) -> None:
    """Formulas that reach out of the workbook become what they last showed."""
    for cell in _filled(page):
        if cell.data_type == "f" and _OUTWARD.search(str(getattr(cell.value, "text", cell.value))):
            _type(cell, _value_at(sheet, cell.row, cell.column))


def _values_only(workbook: Workbook) -> "tuple[openpyxl.Workbook, Pages]":
    import openpyxl

    book = openpyxl.Workbook()
    book.remove(book.worksheets[0])
    book.properties.created = _FIXED
    pages = {}
    for sheet in workbook.sheets:
        page = pages[sheet.order] = book.create_sheet(re.sub(r"[\[\]:*?/\\]", "_", clean(sheet.name))[:31] or "Sheet")
        widths: dict[int, int] = {}
        for row, cells in enumerate(sheet.rows, 1):
            for column, value in enumerate(cells, 1):
                if value not in (None, ""):
                    cell = page.cell(row, column)
                    _type(cell, value)
                    number_format = sheet.number_format(row, column)
                    if isinstance(value, int | float) and number_format:
                        cell.number_format = number_format
                    widths[column] = max(widths.get(column, 8), min(len(str(cell.value)) + 2, 40))
        for column, width in widths.items():
            page.column_dimensions[page.cell(1, column).column_letter].width = width
    return book, pages


def _type(cell: Any, value: Cell) -> None:
    """Put a value into a cell; text stays text whatever it begins with."""
    if isinstance(value, str | Faulty):
        cell.value = cut(clean(value.text if isinstance(value, Faulty) else value), 32_767)
        cell.data_type = "s"
    else:
        cell.value = value


def _value_at(sheet: Sheet, row: int, column: int) -> Cell:
    cells = sheet.rows[row - 1] if row <= len(sheet.rows) else []
    return cells[column - 1] if column <= len(cells) else None


def _filled(page: "Worksheet") -> Iterator[Any]:
    return (cell for row in page.iter_rows() for cell in row if getattr(cell, "value", None) is not None)


# --- at the cells ---


def _unmark(page: "Worksheet") -> None:
    """Take away what an earlier run put there: its comments, its colours."""
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    for cell in (cell for row in page.iter_rows() for cell in row):
        comment = cell.comment
        kept, marked, _ = comment.text.partition(_SAYS) if comment else ("", "", "")
        if comment and marked:
            cell.comment = Comment(kept.rstrip(), comment.author) if kept.strip() else None
            if cell.fill.fgColor.rgb in _COLOURS.values():
                cell.fill = PatternFill()


def _mark(pages: Pages, findings: Sequence[Finding]) -> None:
    """Colour every cell with findings by the worst of them, and say them in its comment."""
    from openpyxl.comments import Comment
    from openpyxl.styles import PatternFill

    fills = {severity: PatternFill("solid", fgColor=colour) for severity, colour in _COLOURS.items()}
    cells: dict[tuple[int, int, int], list[Finding]] = {}
    for finding in (each for found in findings for each in found.each if each.place.cell):
        place = finding.place
        if place.sheet_order in pages:
            corner = _corner(pages[place.sheet_order], place.row, place.column or 1)
            cells.setdefault((place.sheet_order, *corner), []).append(finding)
    for number, (where, found) in enumerate(sorted(cells.items(), key=lambda each: each[0])):
        order, row, column = where
        cell = pages[order].cell(row, column)
        cell.fill = fills[min((finding.severity for finding in found), key=_WORST_FIRST.index)]
        if number < _MOST_COMMENTS:
            before = cell.comment
            said = [f"{finding.severity.value.capitalize()}: {finding.message}\n{finding.fix}" for finding in found]
            text = cut(clean(f"{_SAYS}\n" + "\n\n".join(said)), 2_000)
            lines = sum(1 + len(line) // 45 for line in text.split("\n"))
            cell.comment = Comment(
                f"{before.text.rstrip()}\n\n{text}" if before else text, before.author if before else "opsreport",
                height=min(40 + 18 * (lines + (before.text.count("\n") + 2 if before else 0)), 400), width=320,
            )  # fmt: skip


def _corner(page: "Worksheet", row: int, column: int) -> tuple[int, int]:
    """The cell that shows: of merged cells the first."""
    for merged in page.merged_cells.ranges:
        if merged.min_row <= row <= merged.max_row and merged.min_col <= column <= merged.max_col:
            return merged.min_row, merged.min_col
    return row, column


# --- the sheet of findings ---


def _put_findings(book: "openpyxl.Workbook", pages: Pages, findings: Sequence[Finding], values_only: bool) -> None:
    """A first sheet: every finding under its sheet, a line for each range of cells that it leads to."""
    from openpyxl.styles import Alignment, Font, PatternFill

    own = book[FINDINGS] if FINDINGS in book.sheetnames else None
    if own is not None and own["A1"].value == _TITLE:
        book.remove(own)
    page = book.create_sheet(FINDINGS, 0)
    wrapped = Alignment(wrap_text=True, vertical="top")
    fills = {severity: PatternFill("solid", fgColor=colour) for severity, colour in _COLOURS.items()}

    def line(*texts: str, **looks: Any) -> int:
        row = page.max_row + 1 if page["A1"].value else 1
        for column, text in enumerate(texts, 1):
            cell = page.cell(row, column)
            _type(cell, text)
            cell.alignment = looks.get("alignment", wrapped)
            cell.font = looks.get("font", Font(name=_FONT))
        if "alignment" not in looks:
            lines = (len(textwrap.wrap(text, int(width))) for text, width in zip(texts, _WIDTHS, strict=False))
            page.row_dimensions[row].height = 15.0 * max(lines, default=1) + 1
        return row

    plain = Alignment(vertical="top")
    line(_TITLE, font=Font(name=_FONT, bold=True, size=15), alignment=plain)
    for lead in (*_LEADS, *([_VALUES_ONLY] if values_only else [])):
        line(lead, font=Font(name=_FONT, color="FF555555"), alignment=plain)
    heads = ("Go to", "How bad", "What is wrong", "What to do", "Also in", *[""] * (_BESIDE - 1))
    headings = line(*heads, font=Font(name=_FONT, bold=True, color="FFFFFFFF"))
    for cell in page[headings]:
        cell.fill = PatternFill("solid", fgColor="FF333333")
    for title, found in by_sheet(findings):
        row = line(title, font=Font(name=_FONT, bold=True, size=12), alignment=Alignment(vertical="bottom"))
        page.row_dimensions[row].height = 26
        for finding in found:
            first, *more = finding.cells or [""]
            row = line(first, finding.severity.value, finding.message, finding.fix, *more[:_BESIDE])
            page.cell(row, 2).fill = fills[finding.severity]
            _link(page.cell(row, 1), pages, finding, first)
            for start in range(0, min(len(more), _MOST_LINKS), _BESIDE):
                row = row if not start else line("", "", "", "", *more[start : start + _BESIDE])
                for column, cells in enumerate(more[start : start + _BESIDE], 5):
                    _link(page.cell(row, column), pages, finding, cells)
            if len(more) > _MOST_LINKS:
                line("", "", f"… and {len(more) - _MOST_LINKS:,} more ranges, coloured on the sheet")
    if not findings:
        line("Nothing in this workbook needs a look.", alignment=plain)
    for letter, width in zip("ABCDEFGHIJ", _WIDTHS, strict=True):
        page.column_dimensions[letter].width = width
    page.freeze_panes = page.cell(headings + 1, 1)
    page.sheet_view.showGridLines = False
    page.page_setup.orientation = "landscape"
    page.page_setup.fitToHeight = 0
    page.page_setup.paperSize = page.PAPERSIZE_A4 if _is_on_a4(book) else page.PAPERSIZE_LETTER
    page.sheet_properties.pageSetUpPr.fitToPage = True
    page.print_title_rows = f"{headings}:{headings}"
    for other in book.worksheets:
        other.sheet_view.tabSelected = other is page
    book.active = 0


def _is_on_a4(book: "openpyxl.Workbook") -> bool:
    """Whether the workbook's Settings say so."""
    rows = (row for page in book.worksheets if heading_key(page.title) == "settings" for row in page.values)
    return any(
        heading_key(str(row[0])) == "paper" and str(row[1]).strip().casefold() == "a4" for row in rows if len(row) > 1
    )


def _link(cell: Any, pages: Pages, finding: Finding, cells: str) -> None:
    """A link within the workbook, to the cells or to the sheet."""
    from openpyxl.styles import Font
    from openpyxl.worksheet.hyperlink import Hyperlink

    page = pages.get(finding.place.sheet_order)
    if page is None:
        return
    if not cells:
        _type(cell, "the sheet")
    name = page.title.replace("'", "''")
    cell.hyperlink = Hyperlink(ref=cell.coordinate, location=f"'{name}'!{cells or 'A1'}")
    cell.font = Font(name=_FONT, color="FF0B4F9E", underline="single")


# --- the file ---

_FORMULA: Final = re.compile(rb'<c r="([A-Z]{1,3})(\d{1,7})"([^>]*)>(<f[^>]*(?:/>|>[^<]*</f>))<v\s*(?:/>|></v>)</c>')


def _results(workbook: Workbook, book: "openpyxl.Workbook") -> dict[str, Sheet]:
    """Each sheet as it was read, by the name of its part in the copy."""
    read = {sheet.name: sheet for sheet in workbook.sheets}
    parts = {f"xl/worksheets/sheet{number}.xml": page.title for number, page in enumerate(book.worksheets, 1)}
    return {part: read[title] for part, title in parts.items() if title in read and title != FINDINGS}


def _settled(content: bytes, created: dt.datetime, results: Mapping[str, Sheet]) -> bytes:
    """The file with formulas' saved results, which the library drops, and without the hour of writing."""
    out = io.BytesIO()
    stamp = created.replace(microsecond=0, tzinfo=None).isoformat().encode() + b"Z"
    with zipfile.ZipFile(io.BytesIO(content)) as made, zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as settled:
        for name in made.namelist():
            part = made.read(name)
            if name == "docProps/core.xml":
                part = re.sub(rb"(<dcterms:modified[^>]*>)[^<]*", rb"\g<1>" + stamp, part)
            elif name in results:
                part = _with_results(part, results[name])
            about = zipfile.ZipInfo(name, _ZIPPED)
            about.compress_type = zipfile.ZIP_DEFLATED
            settled.writestr(about, part)
    return out.getvalue()


def _with_results(part: bytes, sheet: Sheet) -> bytes:
    from openpyxl.utils import column_index_from_string
    from openpyxl.utils.datetime import to_excel

    def filled(found: re.Match[bytes]) -> bytes:
        value = _value_at(sheet, int(found[2]), column_index_from_string(found[1].decode()))
        kind, text = _result(value, to_excel)
        if not text:
            return found[0]
        start = b'<c r="%s%s"%s%s>%s' % (found[1], found[2], found[3], kind, found[4])
        return start + b"<v>" + escape(clean(text)).encode("utf-8", "replace") + b"</v></c>"

    return _FORMULA.sub(filled, part)


def _result(value: Cell, serial: Any) -> tuple[bytes, str]:
    """A saved result as the file states it: its kind and its text; no text where there is none."""
    if isinstance(value, Faulty):
        return (b' t="e"', value.text) if value.kind == "error" else (b"", "")
    if isinstance(value, bool):
        return b' t="b"', str(int(value))
    if isinstance(value, str):
        return b' t="str"', value
    if value is None:
        return b"", ""
    number: CellValue = value if isinstance(value, int | float) else serial(value)
    return b"", repr(number)
