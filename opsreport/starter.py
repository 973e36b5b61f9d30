"""SHEETS made into a workbook to fill in: headings with notes, drop-downs, formats, print set-up.

Everything a sheet looks like follows from its declaration; only the words of the first sheet and the short
example are written here.
"""

import dataclasses
import datetime as dt
import io
import re
import textwrap
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any, Final

from opsreport import kinds
from opsreport.contract import default_words, range_words
from opsreport.findings import column_letters
from opsreport.kinds import CellValue, Kind
from opsreport.reading.shapes import Table, blank, find_table, is_total, only_filled
from opsreport.reading.workbook import Cell, Faulty, Sheet, Workbook, open_workbook
from opsreport.rules import ALL_FAMILIES, FOOD, PEOPLE
from opsreport.sheets import GUIDE, SHEETS, Column, SheetSpec
from opsreport.starter_example import EXAMPLE
from opsreport.words import fold, heading_key
from opsreport.write import clean, cut
from opsreport.write.folder import Unwritable, put_file, refuse_taken

OFFERED_ROWS: Final = 2_000
"""Rows of a sheet whose ids are offered in other sheets."""
ROWS_WITH_LISTS: Final = 5_000
"""Rows of a sheet that have drop-downs."""
KEPT: Final = (
    "Settings", "Groups", "Recipes", "Methods", "Ingredients", "Suppliers", "Packs", "Swaps", "Tools", "Questions",
    "Funders",
)  # fmt: skip
"""Sheets that outlive a term."""
CLEARED: Final = ("Term", "Term from", "Term until", "As of")
"""Settings that do not."""

_CREATED: Final = dt.datetime(2027, 1, 1)
_MOST_CHARACTERS: Final = 32_767
_START_WIDTH: Final = 112
"""What a line of the first sheet holds [characters]."""
_LONGEST_OFFER: Final = 255
"""A spreadsheet takes no longer list of words written into a drop-down [characters]."""

Look = Mapping[str, Any]
_FONT: Final[Look] = {"font_name": "Arial", "font_size": 11, "valign": "top"}
_GREY, _WASH, _DARK, _RULE = "#595959", "#EDEDED", "#404040", "#A6A6A6"
_TABS: Final = (
    ("Always needed", "#2E7D32", None),
    ("For the whole programme", "#6D6D6D", ALL_FAMILIES),
    ("For orders and packing", "#C77700", FOOD),
    ("For reports", "#3B5BA5", PEOPLE),
)
"""Groups of sheets in the order of the tabs: name, colour of the tab, the families that rest on them (None: core)."""

_STEPS: Final = (
    "Fill in {core} first (green tabs). They are enough to start; others may stay empty.",
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


def _table(text: str) -> list[list[str]]:
    return [[cell.strip() for cell in line.split("|")] for line in text.strip("\n").split("\n")]


_EXAMPLE_SETTINGS: Final[Mapping[str, str]] = {row[0]: row[1] for row in _table(EXAMPLE["Settings"])}


@dataclass(frozen=True, slots=True)
class Typed:
    """A cell as typed, and its own number format where it has one."""

    value: CellValue = None
    number_format: str = ""


@dataclass(frozen=True, slots=True)
class Contents:
    """What stands on a sheet. further: headings right of the declared ones; rows: cells under all of them."""

    further: tuple[Typed, ...] = ()
    rows: tuple[tuple[Typed, ...], ...] = ()


@dataclass(frozen=True, slots=True)
class Carried:
    """What an earlier workbook hands on. contents: by sheet; told: sentences for the person who asked."""

    contents: Mapping[str, Contents]
    told: tuple[str, ...]


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
        return _workbook_bytes({name: _example(SHEETS[name]) for name in EXAMPLE}, _EXAMPLE_SAID)
    if keep is not None:
        return _workbook_bytes(carried_over(keep).contents, _KEPT_SAID)
    return _workbook_bytes({}, "")


_EXAMPLE_SAID: Final = "This one is filled with a short invented example. Build it as it is, or type over it."
_KEPT_SAID: Final = "What lasts was carried over from an earlier workbook; the sheets of the new term are empty."


# --- which sheets, in which columns ---


def tabs() -> Iterator[tuple[str, str, list[SheetSpec]]]:
    """Groups of sheets in the order of the tabs: what they are for, their colour, the sheets."""
    for title, colour, families in _TABS:
        chosen = (spec for spec in SHEETS.values() if (None if spec.core else spec.families) == families)
        yield title, colour, list(chosen)


def columns_of(spec: SheetSpec) -> tuple[Column, ...]:
    """The headings that a sheet starts with, as columns."""
    if spec.shape == "settings":
        first = spec.columns[0]
        blank_column = dataclasses.replace(first, kind=kinds.text, default="", starred=True, refers="")
        return (
            dataclasses.replace(blank_column, heading="Setting", meaning="What is set; leave the names as they are."),
            dataclasses.replace(
                blank_column, heading="Value", meaning="What holds for your programme; blank: as the third column says."
            ),
        )
    if spec.shape == "surveys":
        of = {column.name: column for column in spec.columns}
        answers = (
            dataclasses.replace(
                of["answer"], heading=when.capitalize(), meaning=f"The answer {when} the term.", starred=False,
                required=False, default="",
            )
            for when in ("before", "after")
        )  # fmt: skip
        return (of["participant"], of["question"], *answers)
    if spec.shape == "attendance":
        return tuple(dataclasses.replace(c, required=c.required and c.name != "mark") for c in spec.columns)
    return spec.columns


def offered_range(spec: SheetSpec, column: Column) -> str:
    """The cells whose values a column's cells may name, as a drop-down's source; '' where none are."""
    source = _source(spec, column)
    if source is None:
        return ""
    named, heading = source
    headings = [other.heading for other in columns_of(SHEETS[named])]
    letters = column_letters(headings.index(heading) + 1)
    return f"={named}!${letters}$2:${letters}${OFFERED_ROWS + 1}"


def _source(spec: SheetSpec, column: Column) -> tuple[str, str] | None:
    """The sheet and heading whose values a column names, declared or by the same heading."""
    if column.refers:
        return column.refers, SHEETS[column.refers].columns[0].heading
    for kind, named in ((kinds.instead, "Ingredients"), (kinds.funder_shares, "Funders")):
        if column.kind is kind:
            return named, SHEETS[named].columns[0].heading
    if column.kind.name != "id" or column.unique:
        return None
    others = [
        (other, theirs)
        for other in SHEETS.values() for theirs in other.columns
        if theirs.heading == column.heading and theirs.kind.name == "id" and other is not spec
    ]  # fmt: skip
    own = [other.name for other, theirs in others if theirs.unique]
    earlier = [other.name for other, _ in others if other.order < spec.order]
    return next(((name, column.heading) for name in (*own, *earlier)), None)


# --- words ---


def note_of(spec: SheetSpec, column: Column) -> str:
    """What the note on a heading says: meaning, what may be typed, what a blank cell means, an example."""
    lines = []
    if column.fill_down:
        lines.append("* Required; a blank cell repeats the one above.")
    elif column.required:
        lines.append("* Required: every row needs it.")
    elif column.starred:
        lines.append("* The heading is required; a cell may be blank.")
    lines.append(column.meaning)
    kind = column.kind
    if kind.choices:
        lines.append(f"Allowed: {', '.join(kind.choices)}.")
    elif kind is not kinds.text:
        lines.append(kind.meaning)
    if bounds := range_words(column):
        lines.append(bounds)
    source = _source(spec, column)
    if column.refers:
        lines.append(f"Must be in {column.refers}.")
    elif source is not None:
        also = " The built-in catalogue is known too." if source[0] == "Ingredients" else ""
        lines.append(f"Offered from {source[0]}.{also}")
    if spec.shape != "settings" and not column.required:
        lines.append(_when_blank(column))
    if example := _example_cell(spec, column):
        lines.append(f"Example: {example}")
    if column.heading == columns_of(spec)[0].heading and spec.shape in _WIDE:
        lines.append(_WIDE[spec.shape])
    return "\n".join(line for line in lines if line)


_WIDE: Final = {
    "attendance": "Instead, one row a participant is read too: Participant, then one column a session, headed by its "
    "code.",
    "surveys": "Instead, one row a participant and time is read too: Participant, When, then one column a question, "
    "headed by its code.",
}


def setting_meaning(column: Column) -> str:
    """What stands right of a setting: its meaning, what may be typed, what a blank value means."""
    default = default_words(column)
    parts = [column.meaning]
    if column.kind.choices:
        parts.append(f"Allowed: {', '.join(column.kind.choices)}.")
    elif not default and (example := _EXAMPLE_SETTINGS.get(column.heading)):
        parts.append(f"For example {example}.")
    if default:
        parts.append(f"Blank: {default}.")
    return " ".join(parts)


def _when_blank(column: Column) -> str:
    """What a blank cell means, unless the meaning says so itself."""
    default = default_words(column)
    if default and default != "see meaning":
        return f"Blank: {default}."
    if column.meaning == "Overrides Settings.":
        return "Blank: as in Settings."
    said = default or "blank" in column.meaning.casefold() or "default" in column.meaning.casefold()
    return "" if said else "May be blank."


def _example_cell(spec: SheetSpec, column: Column) -> str:
    """What the example holds under a heading, or under the one whose values it names; else the kind's example."""
    if spec.shape == "settings":
        return {"Setting": "Currency", "Value": "USD"}[column.heading]
    source = _source(spec, column)
    for name, heading in ((spec.name, column.heading), *([source] if source else ())):
        headings, *rows = _table(EXAMPLE[name])
        if heading in headings:
            at = headings.index(heading)
            if found := next((row[at] for row in rows if row[at]), ""):
                return found
    return "" if column.kind is kinds.text else column.kind.example


# --- what stands in the cells ---


def _example(spec: SheetSpec) -> Contents:
    heading, *lines = _table(EXAMPLE[spec.name])
    if spec.shape == "settings":
        return _settings({name: _as_typed(value, _setting(name).kind) for name, value in lines})
    columns = columns_of(spec)
    if unknown := set(heading) - {column.heading for column in columns}:
        raise ValueError(f"{spec.name} has no {unknown}")
    rows = [dict(zip(heading, line, strict=True)) for line in lines]
    return Contents(
        rows=tuple(tuple(_as_typed(row.get(column.heading, ""), column.kind) for column in columns) for row in rows)
    )


def _setting(heading: str) -> Column:
    return next(column for column in SHEETS["Settings"].columns if column.heading == heading)


def _as_typed(text: str, kind: Kind[Any]) -> Typed:
    """What a cell of this kind holds once someone has typed `text` into it."""
    if not text:
        return Typed()
    if kind is kinds.date:
        return Typed(dt.date.fromisoformat(text))
    if kind is kinds.time_text:
        return Typed(dt.time.fromisoformat(text))
    if _number_format(kind) == "@":
        return Typed(text)
    if re.fullmatch(r"[0-9.]+%", text):
        return Typed(float(text[:-1]) / 100, "0%")
    if re.fullmatch(r"[0-9]+", text):
        return Typed(int(text))
    return Typed(float(text)) if re.fullmatch(r"[0-9]+\.[0-9]+", text) else Typed(text)


def _settings(given: Mapping[str, Typed]) -> Contents:
    """Every setting with what is given, else its default."""
    return Contents(
        rows=tuple(
            (Typed(column.heading), given.get(column.heading, _default_typed(column)))
            for column in SHEETS["Settings"].columns
        )
    )


def _default_typed(column: Column) -> Typed:
    return Typed() if column.default is None else _as_typed(default_words(column), column.kind)


# --- an earlier workbook's lasting sheets ---


def carried_over(earlier: Workbook) -> Carried:
    """The lasting sheets of an earlier workbook, cell by cell as typed, under the declared headings."""
    contents: dict[str, Contents] = {}
    told = []
    for name in KEPT:
        sheet = next((sheet for sheet in earlier.sheets if heading_key(sheet.name) == heading_key(name)), None)
        if sheet is None:
            continue
        table = find_table(sheet, SHEETS[name])
        if isinstance(table, Table):
            contents[name] = _kept_settings(table) if name == "Settings" else _kept(table)
        else:
            told.append(f"Sheet {sheet.name} was not carried over: its heading row lacks {', '.join(table)}.")
    carried = [f"{name} ({_rows(len(contents[name].rows))})" for name in contents if name != "Settings"]
    if "Settings" in contents:
        carried.append(f"Settings (without {', '.join(CLEARED[:-1])} and {CLEARED[-1]})")
    if carried:
        told.insert(0, f"Carried over: {', '.join(carried)}.")
    ours = {heading_key(name) for name in SHEETS}
    others = [sheet.name for sheet in earlier.sheets if heading_key(sheet.name) not in {*ours, heading_key(GUIDE)}]
    if others:
        told.append(f"Not carried over, being no sheets that are read: {', '.join(others)}.")
    told.append(f"Empty, for the new term: {', '.join(name for name in SHEETS if name not in KEPT)}.")
    return Carried(contents, tuple(told))


def _rows(count: int) -> str:
    return f"{count} row{'' if count == 1 else 's'}"


def _kept(table: Table) -> Contents:
    """Every row that is not blank; a line of text on its own and the word of a totals row stay first in their row."""
    columns = columns_of(table.spec)
    places = [*(table.columns.get(column.heading, 0) for column in columns), *table.others]
    rows = []
    for row, cells in table.records():
        alone = only_filled(cells)
        total = table.first <= len(cells) and is_total(cells[table.first - 1])
        if total or 0 < alone <= table.first:
            first = table.first if total else alone
            rest = (Typed() if at == first else _cell(table.sheet, row, at) for at in places[1:])
            rows.append((_cell(table.sheet, row, first), *rest))
        else:
            rows.append(tuple(_cell(table.sheet, row, at) for at in places))
    return Contents(_further(table), tuple(rows))


def _kept_settings(table: Table) -> Contents:
    """Every setting in the declared order, with what was typed beside it; unknown ones last."""
    name_at, value_at = table.columns["Setting"], table.columns["Value"]
    known = {heading_key(name): c.heading for c in SHEETS["Settings"].columns for name in (c.heading, *c.also)}
    typed: dict[str, tuple[Typed, ...]] = {}
    more = []
    for row, _ in table.records():
        cells = tuple(_cell(table.sheet, row, at) for at in (name_at, value_at, *table.others))
        heading = known.get(heading_key(str(cells[0].value or "")), "")
        if heading and heading not in typed:
            typed[heading] = cells
        else:
            more.append(cells)
    plain = _settings({name: cells[1] for name, cells in typed.items() if not blank(cells[1].value)})
    rows = []
    for name, value in plain.rows:
        heading = str(name.value)
        beside = typed.get(heading, ())[2:]
        rows.append((name, Typed() if heading in CLEARED else value, *(() if heading in CLEARED else beside)))
    return Contents(_further(table), (*rows, *more))


def _further(table: Table) -> tuple[Typed, ...]:
    return tuple(_cell(table.sheet, table.heading_row, at) for at in table.others)


def _cell(sheet: Sheet, row: int, at: int) -> Typed:
    """A cell of an earlier workbook as typed; what has no value keeps the words it shows."""
    cells: Sequence[Cell] = sheet.rows[row - 1]
    cell = cells[at - 1] if 0 < at <= len(cells) else None
    if isinstance(cell, Faulty):
        return Typed(cell.text)
    if blank(cell) or isinstance(cell, str):
        return Typed(cell or None)
    shown = sheet.number_format(row, at)
    return Typed(cell, "0%" if shown == "%" else shown)


# --- the file ---


class _Book:
    """The workbook being written, with its formats, each made once."""

    def __init__(self, workbook: Any, paper: int) -> None:
        self.workbook = workbook
        self.paper = paper
        self._made: dict[frozenset[tuple[str, Any]], Any] = {}

    def look(self, *looks: Look) -> Any:
        merged = {key: value for look in (_FONT, *looks) for key, value in look.items()}
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
    filled = {"Settings": _settings({}), **contents}
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
    page = book.page(GUIDE, _DARK, landscape=False)
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
        across(title, book.look({"bold": True, "bg_color": _WASH, "bottom": 2, "bottom_color": colour}))
        for spec in specs:
            rule = {"bottom": 1, "bottom_color": _RULE}
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
        page.set_column(at, at, _width(spec, column), book.look(_column_look(column.kind)))
        page.write_string(0, at, column.heading, book.look(_heading_look(column)))
        note = note_of(spec, column)
        page.write_comment(0, at, note, _note_size(note))
        if not settings:
            _offer(page, spec, column, range(1, ROWS_WITH_LISTS + 1), at)
    beside = len(columns) + settings  # the settings' meanings, under no heading: such a column is nobody's
    for at, heading in enumerate(contents.further, beside):
        page.set_column(at, at, _FURTHER_WIDTH, book.look(_FURTHER))
        _write(page, 0, at, heading, book, {**_HEADING, "italic": True})
    page.set_row(0, max(_lines(column.heading, _width(spec, column)) for column in columns) * 15 + 7)
    if settings:
        page.set_column(len(columns), len(columns), _MEANING_WIDTH, book.look(_QUIET))
        page.write_blank(0, len(columns), None, book.look(_HEADING))
    for row, cells in enumerate(contents.rows, 1):
        kinds_here = [column.kind for column in columns]
        if settings and (setting := _setting_named(cells[0].value)) is not None:
            kinds_here[1] = setting.kind
            page.write_string(row, len(columns), setting_meaning(setting), book.look(_QUIET))
            _offer(page, spec, setting, range(row, row + 1), 1)
        lines = 1
        for at, typed in enumerate(cells):
            own = at < len(columns)
            look = _column_look(kinds_here[at]) if own else _FURTHER
            look = {**look, "align": "left", "indent": 0} if settings else look
            _write(page, row, at if own else at + settings, typed, book, look)
            if look.get("text_wrap") and isinstance(typed.value, str):
                lines = max(lines, _lines(typed.value, _width(spec, columns[at]) if own else _FURTHER_WIDTH))
        if lines > 1:
            page.set_row(row, min(lines * 15, 400))
    _set_up(page, columns, settings)


def _set_up(page: Any, columns: Sequence[Column], settings: bool) -> None:
    """What holds for the whole sheet: the heading stays in sight and is printed on every page."""
    page.freeze_panes(1, 1)
    page.repeat_rows(0)
    page.hide_gridlines(0)
    texts = [column_letters(at) for at, c in enumerate(columns, 1) if settings or _number_format(c.kind) == "@"]
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


# --- looks ---

_HEADING: Final[Look] = {"bold": True, "text_wrap": True, "valign": "bottom", "bg_color": _WASH, "top": 1, "bottom": 2}
_REQUIRED: Final[Look] = {"bg_color": _DARK, "font_color": "#FFFFFF"}
_QUIET: Final[Look] = {"font_color": _GREY, "text_wrap": True}
_FURTHER: Final[Look] = {"text_wrap": True}
_FURTHER_WIDTH, _MEANING_WIDTH = 24.0, 92.0
_WIDE_KINDS: Final = ("text", "list of recipes", "list of needs", "list of funders", "list", "list of allergens")


def _number_format(kind: Kind[Any]) -> str:
    """The format of a column's cells: text where a spreadsheet would make `1/2` into a day, or `007` into 7."""
    if kind.number_format != "General":
        return kind.number_format
    numeric = kind.choices or kind in (kinds.number, kinds.share_or_number, kinds.answer)
    return "General" if numeric else "@"


def _column_look(kind: Kind[Any]) -> Look:
    wrap = {"text_wrap": True} if kind.name in _WIDE_KINDS else {}
    right = {"align": "right", "indent": 1} if _is_quantity(kind) else {}
    return {"num_format": _number_format(kind), **wrap, **right}


def _is_quantity(kind: Kind[Any]) -> bool:
    return kind.number_format != "General" or kind.name in ("amount", "number", "percent or number")


def _heading_look(column: Column) -> Look:
    right = {"align": "right", "indent": 1} if _is_quantity(column.kind) else {}
    return {**_HEADING, **right, **(_REQUIRED if column.required or column.starred else {})}


def _width(spec: SheetSpec, column: Column) -> float:
    """Width in characters: what its kind usually holds, never less than the heading's longest word."""
    if spec.shape == "settings":
        return {"Setting": 20, "Value": 40}[column.heading]
    kind = column.kind
    usual = {"date": 13, "id": 16, "text": 24, "amount": 10, "money": 11, "time": 9, "whole number": 9, "days": 9}
    width = 30 if kind.name.startswith("list of") else usual.get(kind.name, 12)
    sentence = kind is kinds.text and column.required and not column.unique and column.heading == "Text"
    return max(56 if sentence else width, max(map(len, column.heading.split())) * 1.2 + 3)


def _lines(text: str, width: float) -> int:
    return len(textwrap.wrap(text, max(int(width), 1)))


def _note_size(note: str) -> Mapping[str, Any]:
    """A note as large as what it says [pixels]."""
    lines = sum(len(textwrap.wrap(line, 42)) or 1 for line in note.split("\n"))
    return {"width": 270, "height": lines * 16 + 14, "font_name": "Arial", "font_size": 9, "color": "#FFFBE6"}


# --- drop-downs ---


def _offer(page: Any, spec: SheetSpec, column: Column, rows: range, at: int) -> None:
    """A drop-down where values come from a list or from another sheet; every other value may be typed.

    A value outside a list of words that alone may stand there is asked about, and one that its kind reads
    though the list does not offer it (`✓`, `tbs`) is remarked upon. An id that must be on another
    sheet is asked about; one that may be defined nowhere or in the catalogue passes, as do cells of several entries.
    """
    source: list[str] | str = offered_range(spec, column) or list(column.kind.choices)
    if not source or (isinstance(source, list) and len(",".join(source)) > _LONGEST_OFFER):
        return
    several = column.kind.name.startswith("list")
    closed = bool(column.refers) or " or " in column.kind.name
    named = _source(spec, column)
    said = f"It is not in {named[0]} yet." if named else f"Usual here: {', '.join(column.kind.choices)}."
    refused = page.data_validation(
        rows.start, at, rows.stop - 1, at,
        {
            "validate": "list",
            "source": source,
            "error_type": "warning" if closed else "information",
            "error_title": "Not in the list",
            "error_message": cut(said, _LONGEST_OFFER - 30),
            "show_error": not several and (not named or bool(column.refers)),
        },
    )  # fmt: skip
    if refused:
        raise ValueError(f"the drop-down of {spec.name} {column.heading} was refused ({refused})")
