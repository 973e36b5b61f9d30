"""Cells and the declared sheets made into rows and findings: headings, required, ranges, unique ids.

Every cell is judged by itself, so that one bad cell never hides the next; a row with a bad cell gives no
record, but its id still counts as known.
"""

import re
from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from fractions import Fraction
from typing import Any, Final

from opsreport.findings import NOWHERE, Finding, Place, column_letters, in_order
from opsreport.kinds import How, Unreadable, id_text, mixed_or_decimal
from opsreport.reading.cell_reader import BAD, Known, Reader, column_values, cut, say_unread, shown
from opsreport.reading.people_sheets import answers, long_marks, wide_marks
from opsreport.reading.saying import maybe
from opsreport.reading.shapes import (
    HEADING_ROWS,
    ElsewherePlace,
    Table,
    blank,
    find_table,
    is_total,
    only_filled,
    repeated_headings,
    starred,
)
from opsreport.reading.workbook import Cell, Faulty, Sheet, Workbook
from opsreport.sheets import (
    APART,
    FINDINGS,
    GUIDE,
    ROWS_OF,
    SHEETS,
    Column,
    CountRow,
    RowPlace,
    Rows,
    Settings,
    SheetSpec,
)
from opsreport.words import clean, fold, heading_key, nearest

_COPY: Final = re.compile(r"\s*\(\d+\)$")
_EXTRA: Final = "extra"


def read_rows(workbook: Workbook) -> tuple[Rows, list[Finding]]:
    """Every sheet's good rows, and every finding of the cells, in the order of the workbook."""
    found, findings = _match_sheets(workbook)
    findings += [Finding(NOWHERE, code, seen) for code, seen in workbook.ignored]
    findings += _hidden(found.values())
    tables: dict[str, Table] = {}
    for name, sheet in found.items():
        spec = SHEETS[name]
        table = find_table(sheet, spec)
        if isinstance(table, Table):
            tables[name] = table
            findings += _heading_findings(table)
        else:
            place = Place(sheet.order, sheet.name)
            details = {"missing": ", ".join(table), "near": _near_headings(sheet, table)}
            findings.append(Finding(place, "headings-missing", sheet.name, details, spec.families))
    settings, unsaid, unread = _read_settings(tables.get("Settings"))
    if "Settings" in found and "Settings" not in tables:
        unsaid = frozenset().union(*_ASKS_FOR.values())
    findings += unread
    how = _how(settings, unsaid)
    known = Known()
    records: dict[str, Any] = {}
    for name, spec in SHEETS.items():
        if name in tables and spec.shape != "settings":
            records[ROWS_OF[name]], unread = _read_table(tables[name], how, known)
            findings += unread
    rows = Rows(
        settings=settings,
        **records,
        present=frozenset(found),
        headed=frozenset(tables),
        known=known.ids,
        spoiled={sheet: frozenset(ids) for sheet, ids in known.spoiled.items()},
    )
    return rows, in_order(findings)


def _hidden(sheets: Iterable[Sheet]) -> Iterator[Finding]:
    """Notes that what is hidden is read like the rest."""
    for sheet in sheets:
        if sheet.hidden:
            yield Finding(Place(sheet.order, sheet.name), "sheet-hidden", sheet.name)
        filled = [
            row for row in sheet.hidden_rows
            if row <= len(sheet.rows) and not all(map(blank, sheet.rows[row - 1]))
        ]  # fmt: skip
        if filled:
            seen = f"row {filled[0]}" if len(filled) == 1 else f"rows {filled[0]} to {filled[-1]}"
            details = {"count": "1 row is" if len(filled) == 1 else f"{len(filled)} rows are"}
            yield Finding(Place(sheet.order, sheet.name, filled[0]), "rows-hidden", seen, details)


def read_counts(workbook: Workbook, settings: Settings) -> tuple[tuple[CountRow, ...], list[Finding]]:
    """The rows of a workbook's Counts sheet, read as the programme's own workbook is; and what is wrong there.

    Findings: sheet-missing, headings-missing, and those of its cells. Other sheets are left alone.
    """
    spec = APART["Counts"]
    found = [sheet for sheet in workbook.sheets if heading_key(sheet.name) == heading_key(spec.name)]
    if not found:
        details = {"headings": ", ".join(starred(spec)[0]), "near": ""}
        return (), [Finding(Place(0, spec.name), "sheet-missing", spec.name, details, spec.families)]
    table = find_table(found[0], spec)
    if not isinstance(table, Table):
        details = {"missing": ", ".join(table), "near": _near_headings(found[0], table)}
        place = Place(found[0].order, found[0].name)
        return (), [Finding(place, "headings-missing", found[0].name, details, spec.families)]
    rows, findings = _read_table(table, _how(settings), Known())
    return tuple(rows), in_order([*_heading_findings(table), *findings])


def _how(settings: Settings, unsaid: frozenset[str] = frozenset()) -> How:
    """How cells are read, as Settings says. unsaid: codes that need not be said, since the setting is at fault."""
    return How(
        date_order=settings.date_order, decimal_comma=settings.decimal_comma, currency=settings.currency,
        measures=settings.measures, x_is_present=settings.x_means == "present", unsaid=unsaid,
    )  # fmt: skip


def _match_sheets(workbook: Workbook) -> tuple[dict[str, Sheet], list[Finding]]:
    """The workbook's sheets by their names in the contract; missing, doubled and unknown ones said."""
    names = {heading_key(name): name for name in SHEETS}
    found: dict[str, Sheet] = {}
    findings: list[Finding] = []
    unknown: list[Sheet] = []
    sheets = [sheet for sheet in workbook.sheets if sheet.name not in (FINDINGS, GUIDE)]
    keyed = [(sheet, heading_key(sheet.name)) for sheet in sheets]
    for sheet, key in keyed:
        if key in names and names[key] not in found:
            found[names[key]] = sheet
    for sheet, key in keyed:
        name = names.get(key) or names.get(_COPY.sub("", key))
        if name is None or (name not in found and key not in names):
            unknown.append(sheet)
        elif found[name] is not sheet:
            details = {"other": found[name].name, "sheet": name}
            place = Place(sheet.order, sheet.name)
            findings.append(Finding(place, "sheet-twice", sheet.name, details, SHEETS[name].families))
    missing = [name for name, spec in SHEETS.items() if spec.core and name not in found]
    for name in missing:
        spec = SHEETS[name]
        near = nearest(name, [sheet.name for sheet in unknown], 75)
        details = {
            "headings": ", ".join(starred(spec)[0]),
            "near": f" Sheet {near} may be it: rename it." if near else "",
        }
        findings.append(Finding(Place(0, name), "sheet-missing", name, details, spec.families))
    for sheet in unknown:
        near = nearest(sheet.name, [name for name in SHEETS if name not in found], 75)
        details = {"near": f" If it is meant as {near}, rename it." if near else ""}
        findings.append(Finding(Place(sheet.order, sheet.name), "sheet-unknown", sheet.name, details, frozenset()))
    return found, findings


def _near_headings(sheet: Sheet, missing: Sequence[str]) -> str:
    """Texts near the top of a sheet that may be meant as its missing headings."""
    texts = [cell for row in sheet.rows[:HEADING_ROWS] for cell in row if isinstance(cell, str) and not blank(cell)]
    pairs = [(near, heading) for heading in missing if (near := nearest(heading, texts, 75))]
    return "".join(f" {shown(near)} may be meant as {heading}: rename it." for near, heading in pairs)


def _heading_findings(table: Table) -> list[Finding]:
    """Headings that cannot be read, stand twice or nearly say another, columns without one, one note of columns not
    read."""
    reader = Reader(table.sheet, table.spec.families, How())
    faulty = _faulty_headings(table)
    for column, fault in faulty.items():
        reader.read(fault, id_text, table.heading_row, column)
    twice = set()
    for column, first in repeated_headings(table):
        twice.add(column)
        seen = shown(table.cell(table.heading_row, column))
        reader.say(table.heading_row, column, "heading-twice", seen,
                   first=f"{column_letters(first)}{table.heading_row}")  # fmt: skip
    absent = [column.heading for column in table.spec.columns if column.heading not in table.columns]
    meant = {}
    for column, cell in ({} if table.wide else table.others).items():
        near = nearest(heading_key(shown(cell)), absent, 80)
        if near and column not in twice:
            meant[column] = near
            reader.say(table.heading_row, column, "heading-near", shown(cell), near=near)
    unread = {} if table.spec.extra or table.wide else table.others
    say_unread(reader, table, [column for column in unread if column not in twice and column not in meant])
    if table.spec.shape != "settings":  # a line beside a setting says what it is
        _say_nameless(reader, table, {*table.columns.values(), *table.others, *faulty})
    return reader.findings


def _faulty_headings(table: Table) -> dict[int, Faulty]:
    """Cells of the heading row that show an error or have no saved result, by column."""
    cells = enumerate(table.sheet.rows[table.heading_row - 1], 1)
    return {column: cell for column, cell in cells if isinstance(cell, Faulty)}


def _say_nameless(reader: Reader, table: Table, headed: Container[int]) -> None:
    """One note of the cells that stand under no heading: beside the table, or under a merged heading's second half."""
    widest = max(map(len, table.sheet.rows))
    nameless = [column for column in range(1, widest + 1) if column not in headed]
    seen: dict[int, tuple[int, Cell]] = {}
    for row in range(table.heading_row + 1, len(table.sheet.rows) + 1):
        cells = table.sheet.rows[row - 1]
        for column in nameless:
            if column <= len(cells) and column not in seen and not blank(cells[column - 1]):
                seen[column] = (row, cells[column - 1])
    if seen:
        first = min(seen)
        named = ", ".join(column_letters(column) for column in sorted(seen))
        reader.say(seen[first][0], first, "column-nameless", shown(seen[first][1]), columns=cut(named))


# --- settings ---

_FIRST_READ: Final = ("date_order", "decimal_comma", "currency", "measures", "x_means")
_ASKS_FOR: Final[Mapping[str, frozenset[str]]] = {
    "date_order": frozenset({"date-ambiguous", "date-order"}),
    "decimal_comma": frozenset({"number-comma"}),
    "currency": frozenset({"money-other-currency", "money-decimals"}),
}
"""By setting: codes of what cells are refused for that may be right once it is corrected."""


def _read_settings(table: Table | None) -> tuple[Settings, frozenset[str], list[Finding]]:
    """The settings, and codes that a faulty one brings about; a bad or missing one is its default. Those that others
    are read by come first."""
    spec = SHEETS["Settings"]
    values: dict[str, Any] = {column.name: column.default for column in spec.columns}
    if table is None:
        return Settings(place=RowPlace(0, "Settings", 0, {}), **values), frozenset(), []
    sheet = table.sheet
    reader = Reader(sheet, spec.families, How())
    by_key = {heading_key(name): column for column in spec.columns for name in (column.heading, *column.also)}
    name_column, value_column = table.columns["Setting"], table.columns["Value"]
    rows: dict[str, int] = {}
    for row, _ in table.records():
        named = table.cell(row, name_column)
        if blank(named):
            if not blank(table.cell(row, value_column)):
                reader.say(row, name_column, "cell-missing", "blank", heading="Setting", example=": Currency")
            continue
        key = heading_key(shown(named))
        if key not in by_key:
            if not isinstance(named, Faulty):
                near = nearest(key, [column.heading for column in spec.columns], 70)
                reader.say(row, name_column, "setting-unknown", shown(named), near=maybe(near))
            else:
                reader.read(named, spec.columns[0].kind, row, name_column)
        elif by_key[key].heading in rows:
            first = f"{column_letters(name_column)}{rows[by_key[key].heading]}"
            reader.say(row, name_column, "setting-twice", shown(named), first=first)
        else:
            rows[by_key[key].heading] = row
    for column in sorted(spec.columns, key=lambda column: column.name not in _FIRST_READ):
        row = rows.get(column.heading, 0)
        cell = table.cell(row, value_column) if row else None
        if blank(cell):
            continue
        value = reader.read(cell, column.kind, row, value_column)
        if value is not BAD:
            value = reader.ranged(value, cell, column, row, value_column)
        if value is BAD:
            reader.how.unsaid |= _ASKS_FOR.get(column.name, frozenset())
            continue
        values[column.name] = value
        if column.name in _FIRST_READ and column.name != "x_means":
            setattr(reader.how, column.name, value)
    columns = dict.fromkeys((column.heading for column in spec.columns), value_column)
    place = ElsewherePlace(sheet.order, sheet.name, table.heading_row, columns, rows)
    return Settings(place=place, **values), reader.how.unsaid, reader.findings


# --- sheets of one record a row, and those made so ---


def _read_table(table: Table, how: How, known: Known) -> tuple[Sequence[Any], list[Finding]]:
    """One sheet's records and findings; its ids are entered as known."""
    reader = Reader(table.sheet, table.spec.families, how)
    rows = _record_rows(table, reader)
    if table.spec.shape == "attendance":
        marks, repeats = wide_marks(table, reader, rows, known) if table.wide else long_marks(table, reader, rows)
        if not repeats:
            return marks, reader.findings
        records = list(marks)
    elif table.spec.shape == "surveys":
        records = answers(table, reader, rows, known)
    else:
        records = _plain(table, reader, rows, known)
    return tuple(_without_repeats(table.spec, reader, records, known)), reader.findings


def _record_rows(table: Table, reader: Reader) -> list[tuple[int, bool]]:
    """Rows that are records, each with whether a skipped row stands between it and the one before."""
    rows: list[tuple[int, bool]] = []
    broken = False
    width = len(table.columns) + len(table.others)
    headings = [heading_key(shown(cell)) for cell in table.sheet.rows[table.heading_row - 1]]
    usual: set[str] = set()  # first cells that are neither a total nor a heading
    for row, cells in enumerate(table.sheet.rows[table.heading_row :], table.heading_row + 1):
        if table.first == 1 and len(cells) > 1 and cells[0] in usual and not blank(cells[1]):
            rows.append((row, broken))
            broken = False
            continue
        if all(map(blank, cells)):
            continue
        first = cells[table.first - 1] if table.first <= len(cells) else None
        alone = only_filled(cells)
        titled = alone and alone <= table.first and width > 1 and not _complete_alone(table, cells[alone - 1])
        if is_total(first) or titled or _is_headings(headings, cells):
            quoted = "; ".join(shown(cell) for cell in cells if not blank(cell))
            reader.say(row, alone or table.first, "row-skipped", cut(quoted))
            broken = True
            continue
        rows.append((row, broken))
        broken = False
        if isinstance(first, str) and not blank(first) and heading_key(first) not in headings:
            usual.add(first)
    return rows


def _is_headings(headings: Sequence[str], cells: Sequence[Cell]) -> bool:
    """Whether a row says the headings again, as pasted or printed tables do. headings: their keys, by column."""
    if not isinstance(first := next(cell for cell in cells if not blank(cell)), str):
        return False
    if (key := heading_key(first)) not in headings or key not in headings[: cells.index(first) + 1]:
        return False
    again = [column for column, cell in enumerate(cells, 1) if not blank(cell)]
    return len(again) > 1 and all(
        column <= len(headings) and isinstance(cells[column - 1], str)
        and heading_key(shown(cells[column - 1])) == headings[column - 1]
        for column in again
    )  # fmt: skip


def _complete_alone(table: Table, cell: Cell) -> bool:
    """Whether a row's only cell is a whole record: a day in Closures, a participant without any mark."""
    if table.wide:
        return True
    wanted = starred(table.spec)[0]
    if len(wanted) > 1 or table.columns.get(wanted[0]) != table.first:
        return False
    kind = next(column.kind for column in table.spec.columns if column.heading == wanted[0])
    if kind is id_text or isinstance(cell, Faulty):
        return isinstance(cell, Faulty)
    try:
        kind.read(cell, How())
    except Unreadable:
        return not isinstance(cell, str) or any(sign.isdigit() for sign in cell)
    return kind.name == "date"


def _plain(table: Table, reader: Reader, rows: Sequence[tuple[int, bool]], known: Known) -> list[Any]:
    """Records of a sheet that is one record a row."""
    spec = table.spec
    by_name = {column.name: column_values(table, reader, column, rows) for column in spec.columns}
    identity = _identity(spec)
    columns = table.columns
    extras = table.others if spec.extra else {}
    records = []
    ids = known.ids.setdefault(spec.name, {})
    spoiled = known.spoiled.setdefault(spec.name, set())
    bad = {index for column in by_name.values() for index, value in enumerate(column) if value is BAD}
    for index, ((row, _), *cells) in enumerate(zip(rows, *by_name.values(), strict=True)):
        values = dict(zip(by_name, cells, strict=True))
        named = values[identity.name] if identity is not None else BAD
        if isinstance(named, str):
            ids.setdefault(fold(named), named)
        if index in bad:
            spoiled.add(fold(named) if isinstance(named, str) else "")
            continue
        place = RowPlace(table.sheet.order, table.sheet.name, row, columns)
        if spec.extra:
            values[_EXTRA] = {clean(shown(heading)): _extra_text(table.cell(row, at)) for at, heading in extras.items()}
        records.append(spec.record(place=place, **values))
    return records


def _extra_text(cell: Cell) -> str:
    return "" if isinstance(cell, Faulty) else clean(shown(cell))


def _identity(spec: SheetSpec) -> Column | None:
    """The column by which other sheets name a sheet's records."""
    wanted = {"Enrolment": "Participant", "Recipes": "Recipe"}.get(spec.name)
    return next((column for column in spec.columns if column.unique or column.heading == wanted), None)


def _without_repeats(spec: SheetSpec, reader: Reader, records: Iterable[Any], known: Known) -> Iterable[Any]:
    """Records whose key stands for the first time; a finding for each further one, whose id is one of a bad row."""
    names = [column.name for column in spec.columns if column.heading in spec.key]
    if not names:
        yield from _repeated_rows(spec, reader, records)
        return
    unique = next((column for column in spec.columns if column.unique), None)
    seen: dict[tuple[object, ...], Any] = {}
    heading = spec.key[0] if len(names) == 1 or spec.shape == "rows" else spec.columns[-1].heading
    if spec.shape == "attendance":
        heading = "Mark"
    folded: dict[str, str] = {}
    for record in records:
        key = []
        for name in names:
            value = getattr(record, name)
            if isinstance(value, str):
                if value not in folded:
                    folded[value] = fold(value)
                value = folded[value]
            key.append(value)
        before = seen.setdefault(tuple(key), record)
        if before is record:
            yield record
            continue
        place, first = record.place.at(heading), before.place.at(heading)
        typed = ", ".join(_key_words(getattr(record, name)) for name in names)
        if unique is not None and len(names) == 1:
            reader.say(place.row, place.column, "id-twice", typed, heading=unique.heading, first=first.cell)
            known.spoiled.setdefault(spec.name, set()).add(fold(typed))
        else:
            reader.say(place.row, place.column, "row-twice", typed, first=str(first.row))


def _repeated_rows(spec: SheetSpec, reader: Reader, records: Iterable[Any]) -> Iterable[Any]:
    """Every record; a warning for each whose cells all stand in an earlier one, since it may be pasted twice."""
    seen: dict[tuple[object, ...], int] = {}
    for record in records:
        values = (getattr(record, column.name) for column in spec.columns)
        key = tuple(fold(value) if isinstance(value, str) else value for value in values)
        first = seen.setdefault(key, record.place.row)
        if first != record.place.row:
            place = record.place.at(spec.columns[0].heading)
            reader.say(place.row, place.column, "row-repeated", _key_words(key[0]), first=str(first))
        yield record


def _key_words(value: object) -> str:
    return mixed_or_decimal(value) if isinstance(value, Fraction) else str(value)
