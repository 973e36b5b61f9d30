"""A Document as .xlsx: a sheet a table, or for all of one name; typed cells, live formulas with their values, print."""

import datetime as dt
import io
import itertools
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache
from typing import Any, Final

from opsreport.findings import column_letters
from opsreport.places import templates_folder
from opsreport.shown import day_words
from opsreport.tables.table import (
    NUMBERS,
    Chart,
    Column,
    Document,
    Facts,
    Labels,
    Paper,
    Picture,
    Prose,
    Row,
    Table,
    Total,
    Value,
)
from opsreport.write import SHOWN_ALIKE, boxes, clean, cut
from opsreport.write.one_page import PAPER
from opsreport.write.sheet_looks import (
    AFTER_NUMBERS,
    EMPHASIS,
    FRAMES,
    INK,
    LOOKS,
    MARKS,
    RULE,
    UNWRAPPED,
    CellPlace,
    Formats,
    Look,
)
from opsreport.write.sheet_page import LINE, MARGINS, Page, lines_in

MOST_ROWS: Final = 1_048_576
LONGEST_NAME: Final = 31
_LONGEST_HEADER: Final = 200
"""Of 255 units, the rest being left to the codes around the text."""

_PAPERS: Final = {"Letter": 1, "A4": 9}
_SMALLEST_UPRIGHT: Final = {True: 0.95, False: 0.76}
"""A sheet that would be printed smaller on an upright page lies on its side, for documents that lie and for those that
stand [of its size]."""
_SAFE: Final = 0.95
"""Part of a printed page that is counted on."""
_CHART_ROWS: Final = 19
"""Rows that a chart covers."""
_LIKE_A_NUMBER: Final = re.compile(r"\W*\d[\d.,:/ eE+-]*\W*")
"""Text in which a spreadsheet may see a number, and mark the cell for it."""
_GREYS: Final = (INK, RULE, "#BFBFBF")
_TALLEST_FROZEN: Final = 260.0
"""Above a heading lower than this nothing is frozen, or a small screen could not scroll [points]."""


def xlsx_bytes(document: Document, paper: Paper) -> bytes:
    """The document as a workbook; one document and paper always give the same bytes.

    Raises:
        ValueError: a formula names no column or total, or a table outgrows a sheet: our mistake.
    """
    from opsreport.write.quick_book import QuickBook  # 0.15 s, not wanted by a run that only checks
    from opsreport.write.quick_sheet import QuickSheet

    workbook = QuickBook()
    workbook.use_custom_theme(io.StringIO(_theme()))
    workbook.set_properties(
        {
            "title": cut(clean(document.title), _LONGEST_HEADER),
            "created": dt.datetime.combine(paper.as_of, dt.time()),
        }
    )
    formats = Formats(workbook, paper)
    sections = _sections(document)
    pages = []
    for section, name in zip(sections, sheet_names([section.name for section in sections]), strict=True):
        page = Page(
            workbook.add_worksheet(name, QuickSheet), formats, [block.table.columns for block in section.blocks]
        )
        _fill(page, section, document, first=section is sections[0])
        _set_up_print(page, document, paper)
        pages.append(page)
    _link(sections, pages)
    content = workbook.packed()
    if not all(page.sheet.all_written for page in pages):
        raise ValueError("the spreadsheet writer left rows out")
    return content


@cache
def _theme() -> str:
    """Our tokens as the colours and fonts that a spreadsheet offers."""
    return (templates_folder() / "theme.xml").read_text("utf-8")


def sheet_names(wanted: Iterable[str]) -> list[str]:
    """Sheet names a spreadsheet accepts, as near to `wanted` as may be, all different.

    Source: Excel's rules: 1 to 31 characters, none of \\ / ? * : [ ], no apostrophe first or last,
        unique without regard to case, 'History' reserved.
    """
    taken = {"history"}
    names = []
    for want in wanted:
        plain = " ".join(re.sub(r"[\\/?*:\[\]]", "-", clean(want)).split()).strip("' ") or "Sheet"
        name, number = _shorten(plain, LONGEST_NAME), 1
        while name.casefold() in taken:
            number += 1
            ending = f" ({number})"
            name = _shorten(plain, LONGEST_NAME - len(ending)) + ending
        taken.add(name.casefold())
        names.append(name)
    return names


def _shorten(text: str, most: int) -> str:
    return text.encode("utf-16-le")[: 2 * most].decode("utf-16-le", "ignore").strip("' ") or "Sheet"


# --- what goes on which sheet ---


@dataclass(slots=True)
class _Block:
    """A table and the lines above it. heading_row: where its headings stand once it is written, 0-based."""

    table: Table
    above: list[Facts | Prose]
    heading_row: int = 0


@dataclass(slots=True)
class _Section:
    """One sheet: its tables, each with the lines above it, and the lines below the last."""

    name: str
    blocks: list[_Block]
    below: list[Facts | Prose] = field(default_factory=list)


def _sections(document: Document) -> list[_Section]:
    """Lines stand above the table they precede; those after the last table stand below it. Tables that name the same
    sheet stand on it one below the other."""
    sections: dict[str, _Section] = {}
    waiting: list[Facts | Prose] = []
    for part in document.parts:
        if isinstance(part, Picture):
            continue
        if isinstance(part, Facts | Prose):
            waiting.append(part)
            continue
        table = (part.merge or label_table(part)) if isinstance(part, Labels) else part
        sections.setdefault(table.sheet, _Section(table.sheet, [])).blocks.append(_Block(table, waiting))
        waiting = []
    if not sections:
        return [_Section(document.title, [], waiting)]
    list(sections.values())[-1].below = waiting
    return list(sections.values())


def label_table(labels: Labels) -> Table:
    """Labels as rows, a column a line, so that a label program can take them from the workbook."""
    lines = max((len(label.lines) for label in labels.labels), default=0)
    feet = max((len(label.foot) for label in labels.labels), default=0)
    columns = (
        Column("First line", width=26),
        *(Column(f"Line {number}", width=26) for number in range(1, lines + 1)),
        Column("Contains", width=32),
        *(Column(f"Last line {number}", width=24) for number in range(1, feet + 1)),
    )
    rows = tuple(
        Row(
            (
                " · ".join((label.head, *label.marks)),
                *label.lines,
                *[""] * (lines - len(label.lines)),
                label.contains,
                *label.foot,
                *[""] * (feet - len(label.foot)),
            )
        )
        for label in labels.labels
    )
    return Table(labels.sheet, labels.title, columns, rows, empty="No labels to print.")


def _fill(page: Page, section: _Section, document: Document, first: bool) -> None:
    """Title, head, what stands above each table, the table, what stands below the last.

    The headings of a table by itself head every printed page; else it is the document's title.
    """
    alone = len(section.blocks) == 1
    if first:
        page.line(document.title, LOOKS["title"])
        if document.head:
            page.line(document.head, LOOKS["quiet"])
        if document.reader:
            page.line(f"For {document.reader}", LOOKS["quiet"])
        page.end_row(6)
    elif not alone:
        page.line(document.title, LOOKS["quiet"])
    for number, block in enumerate(section.blocks):
        table = block.table
        if number:
            page.end_row(LINE)
            if table.page_break:
                page.breaks.append(page.row)
        if not first and not number:
            page.line(table.title, LOOKS["title"])
        for part in block.above:
            _putlines_in(page, part)
        if number or (first and table.title != document.title):
            page.line(table.title, LOOKS["subtitle"])
        for sentence in table.intro:
            page.line(sentence)
        block.heading_row = page.row
        _put_table(page, table, alone=alone)
        for note in table.notes:
            page.line(note, LOOKS["quiet"])
    if not section.blocks:
        for part in section.below:
            _putlines_in(page, part)
        return
    for part in section.below:
        page.end_row(6)
        _putlines_in(page, part)


def _putlines_in(page: Page, part: Facts | Prose) -> None:
    """Labelled lines or sentences over the whole width, a little space after them."""
    title = [(part.title, LOOKS["bold"])] if part.title else []
    if isinstance(part, Prose):
        lines = [*title, *((sentence, LOOKS["plain"]) for sentence in part.sentences)]
        frame = FRAMES[part.kind]
        for number, (text, look) in enumerate(lines, 1):
            edges = {"top": frame * (number == 1), "bottom": frame * (number == len(lines))}
            page.line(text, look, LOOKS[part.kind], edges if frame else {})
        page.end_row(6)
        return
    for text, look in title:
        page.line(text, look)
    longest = min(max((len(label) for label, _ in part.pairs), default=0) + 1, 34)
    split = 1
    while sum(page.widths[:split]) < longest and split < len(page.widths) - 1:
        split += 1
    for label, text in part.pairs:
        tallest = max(
            page.across(0, split - 1, label, LOOKS["quiet"]),
            page.across(split, len(page.widths) - 1, text, LOOKS["bold"]),
        )
        page.end_row(tallest * LINE + 2)
    page.end_row(6)


def _put_table(page: Page, table: Table, *, alone: bool) -> None:
    """Heading row, rows and totals. alone: on its sheet, where the headings stay in sight and head every page."""
    if page.row + len(table.rows) + len(table.totals) + len(table.notes) + 2 > MOST_ROWS:
        raise ValueError(f"{table.title}: {len(table.rows)} rows are more than a sheet holds")
    if alone:
        page.repeated_row = page.row
    for index, column in enumerate(table.columns):
        align = {"align": "right"} if column.style in NUMBERS else _after(table, index)
        page.text(page.row, index, column.heading, page.formats.of(LOOKS["heading"], align))
    tallest = max(
        (lines_in(column.heading, page.widths[index]) for index, column in enumerate(table.columns)), default=1
    )
    if alone and page.height < _TALLEST_FROZEN:
        page.sheet.freeze_panes(page.row + 1, 0)
    page.end_row(tallest * LINE + 4)
    first = page.row
    places = {column.heading: index for index, column in enumerate(table.columns)}
    _put_rows(page, table, places)
    if not table.rows:
        page.line(table.empty, LOOKS["quiet"], {"italic": True})
    else:
        texts = {value for row in table.rows for value in row.cells if isinstance(value, str)}
        if any(map(_LIKE_A_NUMBER.fullmatch, texts)):
            page.sheet.ignore_errors(
                {"number_stored_as_text": f"A{first + 1}:{column_letters(len(table.columns))}{page.row}"}
            )
        _shade_marks(page, table, first, page.row - 1)
    last = page.row - 1
    _put_totals(page, table, first, places)
    if table.chart is not None and any(_is_drawn(row.cells[places[table.chart.values[0]]]) for row in table.rows):
        _put_chart(page, table, table.chart, first, last)


def _shade_marks(page: Page, table: Table, first: int, last: int) -> None:
    """Attendance marks shaded by what they are, so that a mark that is corrected there changes its shade too."""
    for are_marks, side_by_side in itertools.groupby(
        range(len(table.columns)), lambda index: table.columns[index].style == "mark"
    ):
        left, *_, right = [index for index in side_by_side for _ in range(2)]
        for mark, look in MARKS.items() if are_marks else ():
            rule = {"type": "cell", "criteria": "==", "value": f'"{mark}"', "format": page.formats.of(look)}
            page.sheet.conditional_format(first, left, last, right, rule)


def _is_drawn(value: Value) -> bool:
    return isinstance(value, int | float | Fraction)


def _put_chart(page: Page, table: Table, chart: Chart, first: int, last: int) -> None:
    """A chart of the table's own cells below it, in greys; a heading row is a label without a bar."""
    places = {column.heading: index for index, column in enumerate(table.columns)}
    shares = table.columns[places[chart.values[0]]].style == "percent"
    drawn = page.formats.chart(chart.kind)
    name = page.sheet.get_name()
    for heading, grey in zip(chart.values, _GREYS, strict=False):
        drawn.add_series(
            {
                "name": heading,
                "categories": [name, first, places[chart.over], last, places[chart.over]],
                "values": [name, first, places[heading], last, places[heading]],
                "fill": {"color": grey},
                "line": {"color": grey},
            }
        )
    drawn.set_title({"name": cut(clean(chart.title), _LONGEST_HEADER), "name_font": {"size": 12}})
    values: dict[str, Any] = {"name": chart.axis, "min": 0} | ({"num_format": "0%", "max": 1} if shares else {})
    values |= {"major_gridlines": {"visible": True, "line": {"color": RULE, "width": 0.5}}}
    drawn.set_x_axis(values if chart.kind == "bar" else {})
    drawn.set_y_axis({"reverse": True, "major_gridlines": {"visible": False}} if chart.kind == "bar" else values)
    drawn.set_legend({"position": "bottom"} if len(chart.values) > 1 else {"none": True})
    drawn.set_size({"width": 640, "height": 20 * (_CHART_ROWS - 1)})
    page.sheet.insert_chart(page.row, 0, drawn, {"description": chart.title})
    for _ in range(_CHART_ROWS):
        page.end_row(LINE)


def _link(sections: Sequence[_Section], pages: Sequence[Page]) -> None:
    """The first cells of rows that lead to a heading row of another sheet, made links to it."""
    headings: dict[tuple[str, str], str] = {}
    leading: list[tuple[Page, int, Row]] = []
    for block, page in (
        (block, page) for section, page in zip(sections, pages, strict=True) for block in section.blocks
    ):
        sheet = page.sheet.get_name().replace("'", "''")
        for number, row in enumerate(block.table.rows, block.heading_row + 1):
            if row.leads_to is not None:
                leading.append((page, number, row))
            elif block.table.folds and row.emphasis == "heading":
                headings[block.table.sheet, str(row.cells[0])] = f"'{sheet}'!A{number + 1}"
    for page, number, row in leading:
        if row.leads_to in headings:
            look = page.formats.of(LOOKS["cell"], EMPHASIS[row.emphasis], {"underline": 1})
            page.link(number, str(row.cells[0]), headings[row.leads_to], look)


def _beside_number(table: Table, index: int) -> bool:
    """Whether a column of words stands right of one of numbers."""
    return index > 0 and table.columns[index - 1].style in NUMBERS and table.columns[index].style not in NUMBERS


def _after(table: Table, index: int) -> Look:
    return AFTER_NUMBERS if _beside_number(table, index) else {}


def _put_rows(page: Page, table: Table, places: Mapping[str, int]) -> None:
    """The table's rows; a value that comes again in a column is made a cell once."""
    roomy = any(column.style in ("write-in", "boxes") for column in table.columns)
    kinds: dict[tuple[str, bool], list[_CellsAlike]] = {}
    heads: list[int] = []
    for row in table.rows:
        alone = row.emphasis == "heading" and not any(value not in (None, "") for value in row.cells[1:])
        if row.emphasis == "heading":
            heads.append(page.row)
        kind = (row.emphasis, alone)
        if kind not in kinds:
            kinds[kind] = [_CellsAlike(page, table, index, *kind, places) for index in range(len(table.columns))]
        lines = 1
        cells: list[str] = []
        for value, alike in zip(row.cells, kinds[kind], strict=True):
            known = alike.known.get(value) if type(value) in SHOWN_ALIKE else None
            cell, takes = known or alike.made(value)
            cells.append(cell)
            if takes > lines:
                lines = takes
        page.cells(cells)
        page.end_row(max(24.0, lines * LINE + 9) if roomy else lines * LINE + 3)
    page.groups += itertools.pairwise([*heads, page.row] if heads else [])


_ROW: Final = "\0"
"""Stands for the number of the row in a column's formula."""


class _CellsAlike:
    """The cells of one column in rows of one emphasis, each with the lines that it takes.

    known: those of values that came before.
    """

    __slots__ = ("_alone", "_column", "_formula", "_looks", "_page", "_place", "_single", "_width", "known")

    def __init__(
        self, page: Page, table: Table, index: int, emphasis: str, alone: bool, places: Mapping[str, int]
    ) -> None:
        """alone: whether the first cell runs on over the empty ones beside it. places: of columns, by heading."""
        self.known: dict[Value, tuple[str, int]] = {}
        self._page = page
        self._column = table.columns[index]
        self._width = page.widths[index]
        self._alone = alone
        self._single = emphasis == "heading"
        self._formula = _filled(self._column.formula, lambda heading: column_letters(places[heading] + 1) + _ROW, {})
        self._place: CellPlace = (emphasis, alone, _beside_number(table, index), index == 0)
        self._looks: dict[str, Any] = {}

    def made(self, value: Value) -> tuple[str, int]:
        """A value as a cell of the page's row."""
        page, column = self._page, self._column
        shown, style, formula = value, column.style, ""
        if self._alone:
            shown, style = day_words(value) if isinstance(value, dt.date) else value or None, "text"
        elif column.formula and value is not None and not isinstance(value, str):
            formula = self._formula.replace(_ROW, str(page.row + 1))
        number_format = page.formats.number_format(style, shown, bool(formula))
        if number_format not in self._looks:
            self._looks[number_format] = page.formats.cell(self._place, style, number_format)
        made = page.cell(shown, style, self._looks[number_format], formula), self._lines(shown, style)
        if type(value) in SHOWN_ALIKE and not formula:
            self.known[value] = made
        return made

    def _lines(self, shown: Value, style: str) -> int:
        if self._single:
            return 1
        text = boxes(shown) if style == "boxes" and isinstance(shown, int) else shown
        return lines_in(text, self._width) if isinstance(text, str) else 1


def _put_totals(page: Page, table: Table, first: int, places: Mapping[str, int]) -> None:
    """Lines under the table; totals in a row with one label share a line."""
    last = first + len(table.rows)
    styles = {column.heading: column.style for column in table.columns}
    cells: dict[str, str] = {}

    def whole_column(heading: str) -> str:
        letters = column_letters(places[heading] + 1)
        return f"{letters}{first + 1}:{letters}{last}"

    for number, line in enumerate(total_lines(table.totals)):
        bold = LOOKS["total" if number else "first total"]
        columns = [places[total.under] for total in line]
        label_end = min(columns) - 1
        for index in range(len(table.columns)):
            page.blank(index, page.formats.of(bold))
        if label_end >= 0:
            look = page.formats.of(bold, {"align": "right", "text_wrap": False})  # runs on to the left
            page.text(page.row, label_end, line[0].label, look)
        else:
            spare = next((at for at in range(max(columns) + 2) if at not in columns), 0)
            page.text(page.row, spare, line[0].label, page.formats.of(bold, UNWRAPPED))
        for total, column in zip(line, columns, strict=True):
            formula = ""
            if total.formula and (table.rows or "[" not in total.formula):
                formula = _filled(total.formula, whole_column, cells)
            style = styles[total.under]
            number_format = page.formats.number_format(style, total.value, bool(formula))
            look = page.formats.of(bold, page.formats.style(style, number_format))
            page.value(column, total.value, style, look, formula)
            cells[total.name] = f"{column_letters(column + 1)}{page.row + 1}"
        page.end_row(LINE + 3)
    page.end_row(6)


def total_lines(totals: Iterable[Total]) -> list[list[Total]]:
    """Totals by printed line: neighbours with one label under different columns stand side by side."""
    lines: list[list[Total]] = []
    for total in totals:
        line = lines[-1] if lines else []
        if line and line[0].label == total.label and total.under not in {other.under for other in line}:
            line.append(total)
        else:
            lines.append([total])
    return lines


def _filled(formula: str, column: Callable[[str], str], totals: Mapping[str, str]) -> str:
    """A formula with its [Heading] and {total} replaced by cells."""
    if not formula:
        return ""
    try:
        filled = re.sub(r"\[([^\]]+)\]", lambda found: column(found[1]), formula.removeprefix("="))
        return re.sub(r"\{([^}]+)\}", lambda found: totals[found[1]], filled)
    except KeyError as unknown:
        raise ValueError(f"formula {formula!r} names {unknown}, which is not there") from None


def _set_up_print(page: Page, document: Document, paper: Paper) -> None:
    """Paper, one page wide; headings or title, head and page numbers on every page."""
    sheet = page.sheet
    sheet.set_paper(_PAPERS[paper.size])
    wide, high = PAPER[paper.size]
    if (wide - 2 * MARGINS[0]) * 72 / page.points_wide < _SMALLEST_UPRIGHT[document.landscape]:
        sheet.set_landscape()
        wide, high = high, wide
    sheet.fit_to_pages("1", 0)  # the number 1 the library leaves out, and some readers then know of no width
    scale = min((wide - 2 * MARGINS[0]) * 72 / page.points_wide, 1)
    sheet.set_h_pagebreaks(page.all_breaks(_SAFE * (high - 2 * MARGINS[1]) * 72 / scale))
    sheet.set_margins(left=MARGINS[0], right=MARGINS[0], top=MARGINS[1], bottom=MARGINS[1])
    sheet.repeat_rows(page.repeated_row)
    if document.head:
        sheet.set_header(f"&L{_header_text(document.head)}")
    sheet.set_footer(f"&L{_header_text(document.title)}&RPage &P of &N")
    sheet.hide_gridlines(2)


def _header_text(text: str) -> str:
    """Text for a header or footer, where & starts a code; a break keeps `&G` from asking for a picture."""
    plain = cut(" ".join(clean(text).split()), _LONGEST_HEADER)
    return cut(re.sub(r"&(?=[G\[])", "&\u200b", plain).replace("&", "&&"), _LONGEST_HEADER)
