"""SHEETS made into a workbook to fill in: headings with notes, drop-downs, formats, print set-up.

Everything a sheet looks like follows from its declaration; only the words of the first sheet and the short
example are written here.
"""

import datetime as dt
import io
import textwrap
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any, Final

from opsreport.findings import column_letters
from opsreport.kinds import CellValue
from opsreport.reading.workbook import Workbook, open_workbook
from opsreport.sheets import GUIDE, SHEETS, Column, SheetSpec
from opsreport.starter.columns import columns_of, note_of, setting_meaning, tabs
from opsreport.starter.contents import Contents, Typed, carried_over, example_of, number_format, settings_with
from opsreport.starter.example import EXAMPLE
from opsreport.starter.looks import (
    DARK,
    FONT,
    FURTHER,
    FURTHER_WIDTH,
    HEADING,
    MEANING_WIDTH,
    QUIET,
    Look,
    column_look,
    heading_look,
    lines_of,
    note_size,
    offer,
    width,
)
from opsreport.words import fold, heading_key
from opsreport.write import clean, cut
from opsreport.write.folder import Unwritable, put_file, refuse_taken
from opsreport.write.sheet_looks import RULE, WASH

ROWS_WITH_LISTS: Final = 5_000
"""Rows of a sheet that have drop-downs."""

_MOST_CHARACTERS: Final = 32_767
_START_WIDTH: Final = 112
"""What a line of the first sheet holds [characters]."""
_CREATED: Final = dt.datetime(2027, 1, 1)

_STEPS: Final = (
    "Fill in {core} first (green tabs): they are enough to start, the rest may wait.",
    "One row is one record, from the second row down. Leave the headings as they are; add your own to the right.",
    "Columns with a dark heading are needed, others are not. Point at a heading to read what it means.",
    "Leave blank what you do not know. Nothing is guessed: a blank mark is no absence, blank Needs are not “none”.",
    "Cells with an arrow offer what may stand there. Part several entries in one cell by semicolons.",
    "Type dates as dates (2027-03-04), amounts as 2, 0.5 or 1 1/2, and the unit in its own column.",
    "Call a group, recipe, ingredient or participant the same everywhere. Participants are codes, not names.",
    "Settings holds what is true for the whole programme, and works as it is. Give it your programme's name.",
    "Save, then run   opsreport check FILE.xlsx   which names each cell to mend and says how.",
    "Then run   opsreport build FILE.xlsx   which writes orders, packing lists and reports in a folder beside it.",
)


def write_starter(file: Path, *, example: bool = False, keep: Path | None = None) -> tuple[str, ...]:
    """Write a new workbook to fill in, whole or not at all, never over something.

    Args:
        file: the .xlsx file to write.
        example: fill it with the short example.
        keep: an earlier workbook whose lasting sheets are carried over.
    Returns:
        What was carried over and what was not, in sentences; none without `keep`.
    Raises:
        Unwritable: something stands there already, or the disk refuses; nothing was written.
        Unusable: `keep` cannot be opened.
    """
    if file.suffix.lower() != ".xlsx":
        raise Unwritable(f"{file.name} does not end in .xlsx; name the new workbook so.")
    refuse_taken(file)
    earlier = None if keep is None else open_workbook(keep)
    put_file(starter_bytes(example=example, keep=earlier), file)
    return () if earlier is None else carried_over(earlier).told


def starter_bytes(*, example: bool = False, keep: Workbook | None = None) -> bytes:
    """The workbook as .xlsx; the same words always give the same bytes.

    Raises:
        ValueError: an example and an earlier workbook together.
    """
    if example and keep is not None:
        raise ValueError("an example or an earlier workbook, not both")
    if example:
        return _workbook_bytes({name: example_of(SHEETS[name]) for name in EXAMPLE}, _EXAMPLE_SAID)
    if keep is not None:
        return _workbook_bytes(carried_over(keep).contents, _KEPT_SAID)
    return _workbook_bytes({}, "")


_KEPT_SAID: Final = "What lasts was carried over from an earlier workbook; the sheets of the new term are empty."
_EXAMPLE_SAID: Final = "This one is filled with a short invented example. Build it as it is, or type over it."


class _Book:
    """The workbook being written, with its formats, each made once."""

    def __init__(self, workbook: Any, paper: int) -> None:
        self.workbook = workbook
        self.paper = paper
        self._made: dict[frozenset[tuple[str, Any]], Any] = {}

    def look(self, *looks: Look) -> Any:
        merged = {key: value for look in (FONT, *looks) for key, value in look.items()}
        key = frozenset(merged.items())
        if key not in self._made:
            self._made[key] = self.workbook.add_format(merged)
        return self._made[key]

    def page(self, name: str, colour: str, landscape: bool = True) -> Any:
        page = self.workbook.add_worksheet(name)
        page.set_tab_color(colour)
        page.set_paper(self.paper)
        if landscape:
            page.set_landscape()
        page.fit_to_pages(1, 0)
        page.set_margins(left=0.5, right=0.5, top=0.6, bottom=0.7)
        page.set_footer("&L&A&RPage &P of &N")
        return page


def _workbook_bytes(contents: Mapping[str, Contents], said: str) -> bytes:
    import xlsxwriter  # slow to load, wanted here only

    file = io.BytesIO()
    workbook = xlsxwriter.Workbook(file, {"in_memory": True})
    workbook.set_properties({"title": "Workbook of the term", "created": _CREATED})
    filled = {"Settings": settings_with({}), **contents}
    book = _Book(workbook, 9 if _is_a4(filled["Settings"]) else 1)
    _start_page(book, said)
    for _, colour, specs in tabs():
        for spec in specs:
            _fill(book, book.page(spec.name, colour), spec, filled.get(spec.name, Contents()))
    workbook.close()
    return file.getvalue()


def _is_a4(settings: Contents) -> bool:
    return any(fold(str(row[0].value)) == "paper" and fold(str(row[1].value)) == "a4" for row in settings.rows)


def _start_page(book: _Book, said: str) -> None:
    """How to begin, then every sheet with a link and what a row of it is."""
    page = book.page(GUIDE, DARK, landscape=False)
    page.hide_gridlines(2)
    page.set_column(0, 0, 5, book.look())
    page.set_column(1, 1, 17, book.look())
    page.set_column(2, 2, 90, book.look())
    row = 0

    def across(text: str, look: Any, size: float = 11) -> None:
        nonlocal row
        page.merge_range(row, 1, row, 2, "", look)
        page.write_string(row, 1, text, look)
        page.set_row(row, len(textwrap.wrap(text, round(_START_WIDTH * 11 / size))) * size * 1.4 + 5)
        row += 1

    across("Start here", book.look({"bold": True, "font_size": 17, "valign": "vcenter"}), 17)
    if said:
        across(said, book.look({"text_wrap": True, "italic": True}))
    core = [spec.name for spec in SHEETS.values() if spec.core]
    for number, step in enumerate(_STEPS, 1):
        page.write_number(row, 0, number, book.look({"bold": True, "align": "right", "indent": 1}))
        across(step.format(core=f"{', '.join(core[:-1])} and {core[-1]}"), book.look({"text_wrap": True}))
    for title, colour, specs in tabs():
        page.set_row(row, 8)
        row += 1
        across(title, book.look({"bold": True, "bg_color": WASH, "bottom": 2, "bottom_color": colour}))
        for spec in specs:
            rule = {"bottom": 1, "bottom_color": RULE}
            link = book.look(rule, {"font_color": "#1F4E9E", "underline": 1})
            page.write_url(row, 1, f"internal:'{spec.name}'!A2", link, spec.name)
            page.write_string(row, 2, spec.meaning, book.look(rule, {"text_wrap": True}))
            page.set_row(row, len(textwrap.wrap(spec.meaning, 88)) * 15 + 3)
            row += 1
    page.activate()


def _fill(book: _Book, page: Any, spec: SheetSpec, contents: Contents) -> None:
    """One sheet: headings with notes, columns with formats and drop-downs, what stands in the cells."""
    columns = columns_of(spec)
    settings = spec.shape == "settings"
    page.set_comments_author("opsreport")
    for at, column in enumerate(columns):
        page.set_column(at, at, width(spec, column), book.look(column_look(column.kind)))
        page.write_string(0, at, column.heading, book.look(heading_look(column)))
        note = note_of(spec, column)
        page.write_comment(0, at, note, note_size(note))
        if not settings:
            offer(page, spec, column, range(1, ROWS_WITH_LISTS + 1), at)
    beside = len(columns) + settings  # the settings' meanings, under no heading: such a column is nobody's
    for at, heading in enumerate(contents.further, beside):
        page.set_column(at, at, FURTHER_WIDTH, book.look(FURTHER))
        _write(page, 0, at, heading, book, {**HEADING, "italic": True})
    page.set_row(0, max(lines_of(column.heading, width(spec, column)) for column in columns) * 15 + 7)
    if settings:
        page.set_column(len(columns), len(columns), MEANING_WIDTH, book.look(QUIET))
        page.write_blank(0, len(columns), None, book.look(HEADING))
    for row, cells in enumerate(contents.rows, 1):
        kinds_here = [column.kind for column in columns]
        if settings and (setting := _setting_named(cells[0].value)) is not None:
            kinds_here[1] = setting.kind
            page.write_string(row, len(columns), setting_meaning(setting), book.look(QUIET))
            offer(page, spec, setting, range(row, row + 1), 1)
        lines = 1
        for at, typed in enumerate(cells):
            own = at < len(columns)
            look = column_look(kinds_here[at]) if own else FURTHER
            look = {**look, "align": "left", "indent": 0} if settings else look
            _write(page, row, at if own else at + settings, typed, book, look)
            if look.get("text_wrap") and isinstance(typed.value, str):
                lines = max(lines, lines_of(typed.value, width(spec, columns[at]) if own else FURTHER_WIDTH))
        if lines > 1:
            page.set_row(row, min(lines * 15, 400))
    _set_up(page, columns, settings)


def _set_up(page: Any, columns: Sequence[Column], settings: bool) -> None:
    """What holds for the whole sheet: the heading stays in sight and is printed on every page."""
    page.freeze_panes(1, 1)
    page.repeat_rows(0)
    page.hide_gridlines(0)
    texts = [column_letters(at) for at, c in enumerate(columns, 1) if settings or number_format(c.kind) == "@"]
    if texts:
        page.ignore_errors({"number_stored_as_text": " ".join(f"{at}2:{at}{ROWS_WITH_LISTS}" for at in texts)})
    page.set_selection(1, int(settings), 1, int(settings))


def _setting_named(cell: CellValue) -> Column | None:
    key = heading_key(str(cell or ""))
    return next(
        (c for c in SHEETS["Settings"].columns if key in map(heading_key, (c.heading, *c.also))),
        None,
    )


def _write(page: Any, row: int, column: int, typed: Typed, book: _Book, look: Look) -> None:
    """One cell, as typed: text is text whatever it starts with; a number wears its own format."""
    value = typed.value
    if isinstance(value, str):
        refused = page.write_string(row, column, cut(clean(value), _MOST_CHARACTERS), book.look(look))
    elif isinstance(value, bool):
        refused = page.write_boolean(row, column, value, book.look(look, {"num_format": "General"}))
    elif isinstance(value, int | float):
        plain = "General" if look.get("num_format") == "@" else look.get("num_format", "General")
        own = book.look(look, {"num_format": typed.number_format or plain})
        refused = page.write_number(row, column, value, own)
    elif value is not None:
        refused = _write_time(page, row, column, typed, book, look)
    else:
        return
    if refused:
        raise ValueError(f"a cell was refused by the spreadsheet writer ({refused})")


def _write_time(page: Any, row: int, column: int, typed: Typed, book: _Book, look: Look) -> int:
    value = typed.value
    day = isinstance(value, dt.date)
    if isinstance(value, dt.date) and value.year < 1900:
        return int(page.write_string(row, column, value.isoformat(), book.look(look)))
    usual = "yyyy-mm-dd" if day else "hh:mm"
    own = book.look(look, {"num_format": typed.number_format or usual})
    return int(page.write_datetime(row, column, value, own))
