"""A Document as .xlsx: one sheet a table, typed cells, live formulas with their values, set up for print."""

import datetime as dt
import io
import re
import textwrap
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import partial
from typing import Any, Final

from opsreport.findings import column_letters
from opsreport.shown import day_words
from opsreport.tables.table import (
    Column,
    Document,
    Facts,
    Labels,
    Paper,
    Prose,
    Row,
    Style,
    Table,
    Total,
    Value,
)
from opsreport.write import clean, cut

MOST_ROWS: Final = 1_048_576
MOST_COLUMNS: Final = 16_384
MOST_CHARACTERS: Final = 32_767
LONGEST_NAME: Final = 31
_LONGEST_HEADER: Final = 200
"""Of 255 units, the rest being left to the codes around the text."""

_PAPERS: Final = {"Letter": 1, "A4": 9}
_RIGHT: Final[frozenset[Style]] = frozenset({"count", "amount", "money", "percent", "number"})
_LINE: Final = 15.0
"""Height of a line of body text [points]."""
_TALLEST_ROW: Final = 409.0
"""A spreadsheet takes no taller row [points]."""
_NARROWEST: Final = 64
"""Sentences above and below a narrow table run at least this wide [characters]."""
_WIDEST_UPRIGHT: Final = 150
"""A wider sheet lies on its side in print, whatever the document does [characters]."""
_TALLEST_FROZEN: Final = 260.0
"""Above a heading lower than this nothing is frozen, or a small screen could not scroll [points]."""

Look = Mapping[str, Any]
Looks = Sequence[Look]

_GREY, _WASH, _RULE = "#595959", "#EDEDED", "#A6A6A6"
_LOOKS: Final[Mapping[str, Look]] = {
    "title": {"bold": True, "font_size": 17},
    "subtitle": {"bold": True, "font_size": 13},
    "quiet": {"font_color": _GREY},
    "plain": {},
    "bold": {"bold": True},
    "warning": {"align": "left", "indent": 1, "left": 5, "right": 1},
    "caution": {"align": "left", "indent": 1, "left": 6, "right": 6},
    "heading": {"bold": True, "bg_color": _WASH, "top": 1, "bottom": 2, "valign": "bottom"},
    "total": {"bold": True},
    "first total": {"bold": True, "top": 1},
    "cell": {"bottom": 1, "bottom_color": _RULE},
}
_FRAMES: Final = {"plain": 0, "warning": 1, "caution": 6}
"""Line style around sentences: none, thin (thick at the left), double."""
_EMPHASIS: Final[Mapping[str, Look]] = {
    "": {},
    "heading": {"bold": True, "bg_color": _WASH, "top": 1},
    "warning": {"bold": True, "pattern": 18, "fg_color": "#000000", "bg_color": "#FFFFFF"},
    "quiet": {"font_color": _GREY, "italic": True},
}


def xlsx_bytes(document: Document, paper: Paper) -> bytes:
    """The document as a workbook; one document and paper always give the same bytes.

    Raises:
        ValueError: a formula names no column or total, or a table outgrows a sheet: our mistake.
    """
    import xlsxwriter  # 0.15 s, not wanted by a run that only checks

    file = io.BytesIO()
    workbook = xlsxwriter.Workbook(file, {"in_memory": True})
    workbook.set_properties(
        {
            "title": cut(clean(document.title), _LONGEST_HEADER),
            "created": dt.datetime.combine(paper.as_of, dt.time()),
        }
    )
    formats = _Formats(workbook, paper)
    sections = _sections(document)
    for section, name in zip(sections, sheet_names([section.name for section in sections]), strict=True):
        page = _Page(workbook.add_worksheet(name), formats, section.table)
        _fill(page, section, document, first=section is sections[0])
        _set_up_print(page, document, paper)
    workbook.close()
    return file.getvalue()


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
class _Section:
    """One sheet: a table and the lines above and below it."""

    name: str
    table: Table | None
    above: list[Facts | Prose]
    below: list[Facts | Prose] = field(default_factory=list)


def _sections(document: Document) -> list[_Section]:
    """Lines stand above the table they precede; those after the last table stand below it."""
    sections: list[_Section] = []
    waiting: list[Facts | Prose] = []
    for part in document.parts:
        if isinstance(part, Facts | Prose):
            waiting.append(part)
            continue
        table = label_table(part) if isinstance(part, Labels) else part
        sections.append(_Section(table.sheet, table, waiting))
        waiting = []
    if not sections:
        return [_Section(document.title, None, waiting)]
    sections[-1].below = waiting
    return sections


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
                label.head,
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


# --- looks ---


class _Formats:
    """A workbook's formats, each made once."""

    def __init__(self, workbook: Any, paper: Paper) -> None:
        self._workbook = workbook
        self._made: dict[frozenset[tuple[str, Any]], Any] = {}
        currency = paper.currency
        self.minor_units = 10**currency.decimals
        digits = "#,##0" + ("." + "0" * currency.decimals if currency.decimals else "")
        sign = currency.sign if len(currency.sign) == 1 else f"{currency.sign} "
        self._money = f'"{sign}"{digits};-"{sign}"{digits}'
        self._cells: dict[tuple[object, ...], Any] = {}

    def cell(self, key: tuple[object, ...], style: Style, value: Value, live: bool, looks: Callable[[], Looks]) -> Any:
        """The format of a table's cell: that of `style` over `looks`, which `key` stands for; each found once."""
        number_format = self._number(style, value, live) if style in _RIGHT else ""
        full = (*key, style, number_format)
        if full not in self._cells:
            self._cells[full] = self.of(*looks(), self.style(style, value, live))
        return self._cells[full]

    def of(self, *looks: Look) -> Any:
        """The format with these properties, later ones winning."""
        merged: dict[str, Any] = {
            "font_name": "Arial",
            "font_size": 11,
            "valign": "vcenter",
            "text_wrap": True,
        }
        for look in looks:
            merged |= look
        key = frozenset(merged.items())
        if key not in self._made:
            self._made[key] = self._workbook.add_format(merged)
        return self._made[key]

    def style(self, style: Style, value: Value, live: bool) -> Look:
        """How a column's style looks for one value; `live`: the value may change under the format."""
        if style in _RIGHT:
            number_format = self._number(style, value, live)
            return {"align": "right", "num_format": number_format, "text_wrap": False}
        if style == "date":
            return {"align": "left", "num_format": "ddd d mmm yyyy", "text_wrap": False}
        if style == "code":
            return {"num_format": "@"}
        if style == "write-in":
            return {"border": 1}
        return {}

    def _number(self, style: Style, value: Value, live: bool) -> str:
        if style == "money":
            return self._money
        if style == "percent":
            return "0%"
        if style == "count":
            return "#,##0"
        if live:
            return "#,##0.0##"
        if style == "amount":
            places = _places(value, 3)
            return "#,##0" + ("." + "0" * places if places else "")
        return _statistic(value)


def _places(value: Value, most: int) -> int:
    """Decimals needed to show `value`, at most `most`."""
    if not isinstance(value, int | float | Fraction):
        return 0
    scaled = round(abs(Fraction(value)) * 10**most)
    return next((places for places in range(most) if scaled % 10 ** (most - places) == 0), most)


def _statistic(value: Value) -> str:
    """Number format of a statistic: three decimals below 1, two below 100, else one; tiny ones said so."""
    if not isinstance(value, float | Fraction):
        return "#,##0"
    number = float(value)
    size = abs(number)
    if 0 < size < 0.0005:
        return '"< 0.001"' if number > 0 else '"≈ 0"'
    return "0.000" if size < 1 else "0.00" if size < 100 else "#,##0.0"


# --- one sheet ---


class _Page:
    """One worksheet filled from the top; `row` is the next free row, 0-based."""

    def __init__(self, sheet: Any, formats: _Formats, table: Table | None) -> None:
        self.sheet = sheet
        self.formats = formats
        self.row = 0
        self.height = 0.0
        self.heading_row: int | None = None
        self.widths = [_width(column) for column in table.columns] if table else []
        if len(self.widths) > MOST_COLUMNS:
            raise ValueError(f"{len(self.widths)} columns are more than a sheet holds")
        for column, width in enumerate(self.widths):
            sheet.set_column(column, column, width, formats.of())
        while sum(self.widths) < _NARROWEST:
            spare = min(16.0, _NARROWEST - sum(self.widths))
            sheet.set_column(len(self.widths), len(self.widths), max(spare, 3.0), formats.of())
            self.widths.append(max(spare, 3.0))

    def text(self, row: int, column: int, text: str, look: Any) -> None:
        """A text cell: never a formula, a number or a link, whatever it starts with."""
        _done(self.sheet.write_string(row, column, cut(clean(text), MOST_CHARACTERS), look))

    def across(self, row: int, first: int, last: int, text: str, look: Any) -> None:
        """Text over the columns first to last of one row."""
        if last > first:
            _done(self.sheet.merge_range(row, first, row, last, "", look))
        self.text(row, first, text, look)

    def line(self, text: str, *looks: Look) -> None:
        """A line of text over the whole width, as high as it needs to be."""
        look = self.formats.of(*looks)
        size = next((look_["font_size"] for look_ in reversed(looks) if "font_size" in look_), 11)
        self.across(self.row, 0, len(self.widths) - 1, text, look)
        self.end_row(_lines(text, sum(self.widths) * 11 / size) * _LINE * size / 11 + 3)

    def end_row(self, height: float) -> None:
        self.sheet.set_row(self.row, min(height, _TALLEST_ROW))
        self.height += height
        self.row += 1


def _fill(page: _Page, section: _Section, document: Document, first: bool) -> None:
    """Title, head, what stands above, the table, what stands below."""
    table = section.table
    if first:
        page.line(document.title, _LOOKS["title"])
        if document.head:
            page.line(document.head, _LOOKS["quiet"])
        if document.reader:
            page.line(f"For {document.reader}", _LOOKS["quiet"])
        page.end_row(6)
    elif table:
        page.line(table.title, _LOOKS["title"])
    for part in section.above:
        _put_lines(page, part)
    if table:
        if first and table.title != document.title:
            page.line(table.title, _LOOKS["subtitle"])
        for sentence in table.intro:
            page.line(sentence)
        _put_table(page, table)
        for note in table.notes:
            page.line(note, _LOOKS["quiet"])
    for part in section.below:
        page.end_row(6)
        _put_lines(page, part)


def _put_lines(page: _Page, part: Facts | Prose) -> None:
    """Labelled lines or sentences over the whole width, a little space after them."""
    title = [(part.title, _LOOKS["bold"])] if part.title else []
    if isinstance(part, Prose):
        lines = [*title, *((sentence, _LOOKS["plain"]) for sentence in part.sentences)]
        frame = _FRAMES[part.kind]
        for number, (text, look) in enumerate(lines, 1):
            edges = {"top": frame * (number == 1), "bottom": frame * (number == len(lines))}
            page.line(text, look, _LOOKS[part.kind], edges if frame else {})
        page.end_row(6)
        return
    for text, look in title:
        page.line(text, look)
    longest = min(max((len(label) for label, _ in part.pairs), default=0) + 1, 34)
    split = 1
    while sum(page.widths[:split]) < longest and split < len(page.widths) - 1:
        split += 1
    room, label_room = sum(page.widths[split:]), sum(page.widths[:split])
    for label, text in part.pairs:
        page.across(page.row, 0, split - 1, label, page.formats.of(_LOOKS["quiet"]))
        page.across(page.row, split, len(page.widths) - 1, text, page.formats.of(_LOOKS["bold"]))
        page.end_row(max(_lines(text, room), _lines(label, label_room)) * _LINE + 2)
    page.end_row(6)


def _put_table(page: _Page, table: Table) -> None:
    """Heading row, rows and totals."""
    if page.row + len(table.rows) + len(table.totals) + len(table.notes) + 2 > MOST_ROWS:
        raise ValueError(f"{table.title}: {len(table.rows)} rows are more than a sheet holds")
    page.heading_row = page.row
    for index, column in enumerate(table.columns):
        align = {"align": "right"} if column.style in _RIGHT else _after(table, index)
        page.text(page.row, index, column.heading, page.formats.of(_LOOKS["heading"], align))
    tallest = max((_lines(column.heading, page.widths[index]) for index, column in enumerate(table.columns)), default=1)
    if page.height < _TALLEST_FROZEN:
        page.sheet.freeze_panes(page.row + 1, 0)
    page.end_row(tallest * _LINE + 4)
    first = page.row
    places = {column.heading: index for index, column in enumerate(table.columns)}
    roomy = any(column.style in ("write-in", "boxes") for column in table.columns)
    for row in table.rows:
        _put_row(page, table, row, places)
        lines = _row_lines(page, table, row)
        page.end_row(max(24.0, lines * _LINE + 9) if roomy else lines * _LINE + 3)
    if not table.rows:
        page.line(table.empty, _LOOKS["quiet"], {"italic": True})
    else:
        page.sheet.ignore_errors(
            {"number_stored_as_text": f"A{first + 1}:{column_letters(len(table.columns))}{page.row}"}
        )
    _put_totals(page, table, first, places)


def _beside_number(table: Table, index: int) -> bool:
    """Whether a column of words stands right of one of numbers."""
    return index > 0 and table.columns[index - 1].style in _RIGHT and table.columns[index].style not in _RIGHT


def _after(table: Table, index: int) -> Look:
    """Room between a column of words and the numbers that end right beside it."""
    return {"align": "left", "indent": 1} if _beside_number(table, index) else {}


def _put_row(page: _Page, table: Table, row: Row, places: Mapping[str, int]) -> None:
    alone = row.emphasis == "heading" and not any(value not in (None, "") for value in row.cells[1:])
    for index, (value, column) in enumerate(zip(row.cells, table.columns, strict=True)):
        style, formula = column.style, ""
        if alone:  # it runs on over the empty cells beside it
            value = day_words(value) if isinstance(value, dt.date) else value or None
            style = "text"
        elif column.formula and value is not None and not isinstance(value, str):
            formula = _filled(
                column.formula, lambda heading: f"{column_letters(places[heading] + 1)}{page.row + 1}", {}
            )
        key = (_beside_number(table, index), index == 0, row.emphasis, alone)
        look = page.formats.cell(key, style, value, bool(formula), partial(_cell_looks, table, index, row, alone))
        _put_value(page, index, value, style, look, formula)


def _cell_looks(table: Table, index: int, row: Row, alone: bool) -> Looks:
    """What a cell's place asks for, before its style."""
    looks: list[Look] = [_LOOKS["cell"], _EMPHASIS[row.emphasis], _after(table, index)]
    if alone:
        looks.append({"text_wrap": False})
    elif row.emphasis == "warning" and index == 0:
        looks.append({"left": 5})
    return looks


def _put_value(page: _Page, column: int, value: Value, style: Style, look: Any, formula: str = "") -> None:
    """One typed cell on the page's row; numbers stay numbers, dates dates, text text."""
    if style == "boxes" and isinstance(value, int):
        page.text(page.row, column, " ".join("☐" * value), look)
    elif value is None:
        _done(page.sheet.write_blank(page.row, column, None, look))
    elif isinstance(value, str):
        page.text(page.row, column, value, look)
    elif isinstance(value, dt.date):
        if value.year < 1900:
            page.text(page.row, column, day_words(value), look)
        else:
            _done(page.sheet.write_datetime(page.row, column, value, look))
    else:
        number = value / page.formats.minor_units if style == "money" else value
        exact: int | float = number if isinstance(number, int) else float(number)
        if formula:
            _done(page.sheet.write_formula(page.row, column, f"={formula}", look, exact))
        else:
            _done(page.sheet.write_number(page.row, column, exact, look))


def _put_totals(page: _Page, table: Table, first: int, places: Mapping[str, int]) -> None:
    """Lines under the table; totals in a row with one label share a line."""
    last = first + len(table.rows)
    styles = {column.heading: column.style for column in table.columns}
    cells: dict[str, str] = {}

    def whole_column(heading: str) -> str:
        letters = column_letters(places[heading] + 1)
        return f"{letters}{first + 1}:{letters}{last}"

    for number, line in enumerate(total_lines(table.totals)):
        bold = _LOOKS["total" if number else "first total"]
        columns = [places[total.under] for total in line]
        label_end = min(columns) - 1
        for index in range(len(table.columns)):
            _done(page.sheet.write_blank(page.row, index, None, page.formats.of(bold)))
        if label_end >= 0:
            look = page.formats.of(bold, {"align": "right"})
            page.across(page.row, 0, label_end, line[0].label, look)
        else:
            spare = next((at for at in range(max(columns) + 2) if at not in columns), 0)
            page.text(page.row, spare, line[0].label, page.formats.of(bold, {"text_wrap": False}))
        for total, column in zip(line, columns, strict=True):
            formula = ""
            if total.formula and (table.rows or "[" not in total.formula):
                formula = _filled(total.formula, whole_column, cells)
            style = styles[total.under]
            look = page.formats.of(bold, page.formats.style(style, total.value, bool(formula)))
            _put_value(page, column, total.value, style, look, formula)
            cells[total.name] = f"{column_letters(column + 1)}{page.row + 1}"
        page.end_row(_LINE + 3)
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
    try:
        filled = re.sub(r"\[([^\]]+)\]", lambda found: column(found[1]), formula.removeprefix("="))
        return re.sub(r"\{([^}]+)\}", lambda found: totals[found[1]], filled)
    except KeyError as unknown:
        raise ValueError(f"formula {formula!r} names {unknown}, which is not there") from None


def _set_up_print(page: _Page, document: Document, paper: Paper) -> None:
    """Paper, one page wide, repeated heading row, head and page numbers on every page."""
    sheet = page.sheet
    sheet.set_paper(_PAPERS[paper.size])
    if document.landscape or sum(page.widths) > _WIDEST_UPRIGHT:
        sheet.set_landscape()
    sheet.fit_to_pages(1, 0)
    sheet.set_margins(left=0.5, right=0.5, top=0.75, bottom=0.75)
    if page.heading_row is not None:
        sheet.repeat_rows(page.heading_row)
    if document.head:
        sheet.set_header(f"&L{_header_text(document.head)}")
    sheet.set_footer(f"&L{_header_text(document.title)}&RPage &P of &N")
    sheet.hide_gridlines(2)


def _header_text(text: str) -> str:
    """Text for a header or footer, where & starts a code; a break keeps `&G` from asking for a picture."""
    plain = cut(" ".join(clean(text).split()), _LONGEST_HEADER)
    return cut(re.sub(r"&(?=[G\[])", "&\u200b", plain).replace("&", "&&"), _LONGEST_HEADER)


# --- sizes ---


def _width(column: Column) -> float:
    """Width in characters, never less than the heading's longest word in bold."""
    longest = max((len(word) for word in column.heading.split()), default=0)
    aside = 2 if column.style in _RIGHT else 1
    return min(max(column.width * 1.1, longest * 1.25) + aside, 120.0)


def _lines(text: str, width: float) -> int:
    """Lines that `text` takes in a cell `width` wide, on the safe side: bold type, whole words."""
    room = max(int(width / 1.02), 1)
    if len(text) <= room and "\n" not in text:
        return 1
    return sum(
        1 if len(part) <= room else len(textwrap.wrap(part, room, break_on_hyphens=False)) or 1
        for part in text.split("\n")
    )


def _row_lines(page: _Page, table: Table, row: Row) -> int:
    if row.emphasis == "heading":
        return 1
    texts = (
        (" ".join("☐" * value) if column.style == "boxes" and isinstance(value, int) else value, width)
        for value, column, width in zip(row.cells, table.columns, page.widths, strict=False)
    )
    return max((_lines(text, width) for text, width in texts if isinstance(text, str)), default=1)


def _done(code: Any) -> None:
    """The file library reports a refused cell by a number: a document with a hole is worse than none."""
    if code:
        raise ValueError(f"a cell was refused by the spreadsheet writer ({code})")
