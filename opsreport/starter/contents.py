"""What stands in the cells of a workbook to fill in: the example, defaults, an earlier workbook's lasting sheets."""

import datetime as dt
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from typing import Any, Final

from opsreport import kinds
from opsreport.contract import default_words
from opsreport.kinds import CellValue, Kind
from opsreport.reading.shapes import Table, blank, find_table, is_total, only_filled
from opsreport.reading.workbook import Cell, Faulty, Sheet, Workbook
from opsreport.sheets import GUIDE, SHEETS, Column, SheetSpec
from opsreport.starter.columns import columns_of
from opsreport.starter.columns import table as table_of
from opsreport.starter.example import EXAMPLE
from opsreport.words import heading_key

KEPT: Final = (
    "Settings", "Groups", "Recipes", "Methods", "Ingredients", "Suppliers", "Packs", "Swaps", "Tools", "Questions",
    "Funders",
)  # fmt: skip
"""Sheets that outlive a term."""
CLEARED: Final = ("Term", "Term from", "Term until", "As of")
"""Settings that do not."""


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


def example_of(spec: SheetSpec) -> Contents:
    heading, *lines = table_of(EXAMPLE[spec.name])
    if spec.shape == "settings":
        return settings_with({name: as_typed(value, _setting(name).kind) for name, value in lines})
    columns = columns_of(spec)
    if unknown := set(heading) - {column.heading for column in columns}:
        raise ValueError(f"{spec.name} has no {unknown}")
    rows = [dict(zip(heading, line, strict=True)) for line in lines]
    return Contents(
        rows=tuple(tuple(as_typed(row.get(column.heading, ""), column.kind) for column in columns) for row in rows)
    )


def _setting(heading: str) -> Column:
    return next(column for column in SHEETS["Settings"].columns if column.heading == heading)


def as_typed(text: str, kind: Kind[Any]) -> Typed:
    """What a cell of this kind holds once someone has typed `text` into it."""
    if not text:
        return Typed()
    if kind is kinds.date:
        return Typed(dt.date.fromisoformat(text))
    if kind is kinds.time_text:
        return Typed(dt.time.fromisoformat(text))
    if number_format(kind) == "@":
        return Typed(text)
    if re.fullmatch(r"[0-9.]+%", text):
        return Typed(float(text[:-1]) / 100, "0%")
    if re.fullmatch(r"[0-9]+", text):
        return Typed(int(text))
    return Typed(float(text)) if re.fullmatch(r"[0-9]+\.[0-9]+", text) else Typed(text)


def settings_with(given: Mapping[str, Typed]) -> Contents:
    """Every setting with what is given, else its default."""
    return Contents(
        rows=tuple(
            (Typed(column.heading), given.get(column.heading, _default_typed(column)))
            for column in SHEETS["Settings"].columns
        )
    )


def _default_typed(column: Column) -> Typed:
    return Typed() if column.default is None else as_typed(default_words(column), column.kind)


def number_format(kind: Kind[Any]) -> str:
    """The format of a column's cells: text where a spreadsheet would make `1/2` into a day, or `007` into 7."""
    if kind.number_format != "General":
        return kind.number_format
    numeric = kind.choices or kind in (kinds.number, kinds.share_or_number, kinds.answer)
    return "General" if numeric else "@"


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
    plain = settings_with({name: cells[1] for name, cells in typed.items() if not blank(cells[1].value)})
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
