"""What a partial build leaves out for its faults, so that the rest can be written (`build --partial`).

Safety decides the grain. Where needs or allergens are in doubt, nobody who may be meant gets a kit: the
household goes, or the session where people cook together, or, where it cannot be told who is meant, the
whole of orders and packing as without `--partial`. So do faults of Settings and of whole sheets.
"""

import dataclasses
from collections.abc import Sequence
from dataclasses import dataclass, field
from typing import Any, Final

from opsreport.findings import Finding, gathered
from opsreport.foods import Foods, build_foods, name_key
from opsreport.joining import build_programme
from opsreport.kinds import How, Unreadable, id_text
from opsreport.plan.food_plan import unsafe_kits
from opsreport.plan.model import LeftOut
from opsreport.programme import Programme
from opsreport.reading.cell_reader import shown
from opsreport.reading.shapes import Table, blank, find_table
from opsreport.reading.workbook import Cell, Faulty, Workbook
from opsreport.rules import FOOD, PEOPLE, Family
from opsreport.sheets import ROWS_OF, SHEETS, Rows
from opsreport.words import fold, heading_key

_HOLDERS: Final = {
    "Groups": ("Group",),
    "Enrolment": ("Participant", "Household", "Group"),
    "Recipes": ("Recipe",),
    "Methods": ("Recipe",),
    "Ingredients": ("Ingredient", "Also called"),
    "Suppliers": ("Supplier",),
}
"""Cells that say what a row is about; where one of them is the faulty one, nobody can tell."""
_BY_CELL: Final = ("Attendance", "Surveys")
"""Sheets of which a faulty cell is not read, and the rest of its row is."""


@dataclass(frozen=True, slots=True)
class Part:
    """What one family is built from. stopping: faults that stop it all the same; told: unsafe kits, left out."""

    programme: Programme
    stopping: tuple[Finding, ...] = ()
    left_out: tuple[LeftOut, ...] = ()
    told: tuple[Finding, ...] = ()


class _CannotTell(Exception):  # noqa: N818 - never leaves this file
    """Whom or what a fault concerns cannot be told."""


@dataclass
class _Out:
    """What goes, as folded ids; rows by sheet. why: in words, each with the fault or the reason behind it."""

    groups: set[str] = field(default_factory=set)
    sessions: set[str] = field(default_factory=set)
    households: set[str] = field(default_factory=set)
    recipes: set[str] = field(default_factory=set)
    foods: set[str] = field(default_factory=set)
    suppliers: set[str] = field(default_factory=set)
    rows: dict[str, set[int]] = field(default_factory=dict)
    why: dict[tuple[str, str], Finding | str] = field(default_factory=dict)

    def say(self, kind: str, name: str, why: Finding | str) -> None:
        self.why.setdefault((kind, name), why)


def people_part(workbook: Workbook, rows: Rows, findings: Sequence[Finding], programme: Programme) -> Part:
    """The reports without the rows that are faulty."""
    return _part(workbook, rows, findings, programme, PEOPLE)


def food_part(workbook: Workbook, rows: Rows, findings: Sequence[Finding], programme: Programme) -> Part:
    """Orders and packing without what is faulty, all that rests on it, and whoever a kit might harm."""
    part = _part(workbook, rows, findings, programme, FOOD)
    if part.stopping:
        return part
    unsafe = unsafe_kits(part.programme)
    if not unsafe:
        return part
    out = _Out()
    for finding in unsafe:
        session = part.programme.sessions[finding.details["session"]]
        if part.programme.groups[session.group].kits:
            out.households.add(fold(finding.details["household"]))
            out.say("household", finding.details["household"], finding)
        else:
            out.sessions.add(fold(session.session))
            out.say("session", session.session, finding)
    kept = _without_stated(part.programme, out)
    programme = dataclasses.replace(
        part.programme,
        members=tuple(each for each in part.programme.members if fold(each.household) not in out.households),
        sessions={name: each for name, each in part.programme.sessions.items() if fold(name) not in kept},
    )
    still = tuple(unsafe_kits(programme))
    return Part(programme, still, (*part.left_out, *_listed(out, FOOD)), tuple(unsafe))


def _part(
    workbook: Workbook, rows: Rows, findings: Sequence[Finding], programme: Programme, families: frozenset[Family]
) -> Part:  # fmt: skip
    faults = [finding for finding in findings if finding.stops & families]
    if not faults:
        return Part(programme)
    tables = _tables(workbook)
    out = _Out()
    try:
        for fault in faults:
            _leave_out(out, rows, tables, fault, families)
    except _CannotTell:
        return Part(programme, tuple(faults))
    left = _reduced(rows, build_foods(rows), out, families)
    return Part(build_programme(left, programme.as_of), (), tuple(_listed(out, families)))


def _tables(workbook: Workbook) -> dict[int, Table]:
    """The tables by their sheets' order."""
    specs = {heading_key(name): spec for name, spec in SHEETS.items()}
    found = {}
    for sheet in workbook.sheets:
        spec = specs.get(heading_key(sheet.name))
        table = find_table(sheet, spec) if spec else None
        if isinstance(table, Table):
            found[sheet.order] = table
    return found


# --- one fault ---


def _leave_out(
    out: _Out, rows: Rows, tables: dict[int, Table], fault: Finding, families: frozenset[Family]
) -> None:  # fmt: skip
    """Enter what goes because of one fault."""
    place = fault.place
    table = tables.get(place.sheet_order)
    if table is None or place.row <= table.heading_row or table.spec.name == "Settings":
        raise _CannotTell
    name = table.spec.name
    if name in _BY_CELL:
        out.say("cell", str(place), fault)
        return
    out.rows.setdefault(name, set()).add(place.row)
    if name == "Sessions":
        session = _words(table.cell(place.row, table.columns["Session"]))
        out.sessions |= {fold(session)} - {""}
        out.say("session", session or f"of row {place.row}", fault)
        return
    if name not in _HOLDERS or (name == "Methods" and fault.code == "recipe-unknown"):
        out.say("row", f"{place.row} of {name}", fault)
        return
    if name == "Enrolment" and not place.column:
        raise _CannotTell  # said once for all: there is no such column
    faulty = [heading for heading in _HOLDERS[name] if place.column and table.columns.get(heading) == place.column]
    if faulty and fault.code not in ("id-twice", "row-twice"):
        raise _CannotTell
    about = _about(table, place.row, _HOLDERS[name][0])
    if name == "Groups":
        out.groups.add(fold(about))
        out.say("group", about, fault)
    elif name in ("Recipes", "Methods"):
        out.recipes.add(fold(about))
        out.say("recipe", about, fault)
    elif name == "Suppliers":
        out.suppliers.add(fold(about))
        out.say("supplier", about, fault)
    elif name == "Ingredients":
        also = table.cell(place.row, table.columns.get("Also called", 0))
        out.foods |= {name_key(part) for part in (about, *_words(also).split(";")) if part.strip()}
        out.say("food", about, fault)
    elif families & FOOD:
        _leave_out_household(out, rows, table, fault, about)
    else:
        out.say("participant", about, fault)


def _leave_out_household(out: _Out, rows: Rows, table: Table, fault: Finding, participant: str) -> None:
    """Everyone who may share a kit with a person whose row is faulty; their whole group where it cooks at tables."""
    row = fault.place.row
    household = _id(table, row, "Household") or participant
    codes = {household, *(each.household or each.participant for each in rows.enrolment if _same(each, participant))}
    for code in codes:
        out.households.add(fold(code))
        out.say("household", code, fault)
    group = _about(table, row, "Group")
    if any(fold(each.group) == fold(group) and each.format == "table" for each in rows.groups):
        out.groups.add(fold(group))
        out.say("group", group, fault)


def _same(row: Any, participant: str) -> bool:
    return fold(row.participant) == fold(participant)


def _about(table: Table, row: int, heading: str) -> str:
    """What a row is about; recipes are written once and filled down."""
    column = table.columns.get(heading, 0)
    filled = heading == "Recipe"
    while filled and row > table.heading_row + 1 and blank(table.cell(row, column)):
        row -= 1
    about = _id(table, row, heading)
    if not about:
        raise _CannotTell
    return about


def _id(table: Table, row: int, heading: str) -> str:
    """A cell's id as the rows have it; '' where it is blank."""
    column = table.columns.get(heading, 0)
    cell = table.cell(row, column)
    if blank(cell):
        return ""
    if isinstance(cell, Faulty):
        raise _CannotTell
    try:
        return str(id_text.read(cell, How(number_format=lambda: table.sheet.number_format(row, column))))
    except Unreadable:
        raise _CannotTell from None


def _words(cell: Cell) -> str:
    return "" if blank(cell) else shown(cell).strip()


# --- the rest ---


def _reduced(rows: Rows, foods: Foods, out: _Out, families: frozenset[Family]) -> Rows:
    """The rows without what goes, and without what rests on it."""
    gone = {name: out.rows.get(name, set()) for name in SHEETS}
    left: dict[str, Any] = {
        ROWS_OF[name]: tuple(row for row in getattr(rows, ROWS_OF[name]) if row.place.row not in gone[name])
        for name, spec in SHEETS.items()
        if spec.shape != "settings" and name not in _BY_CELL and gone[name]
    }
    rows = dataclasses.replace(rows, **left)
    unsafe = out.foods | {found.name for name in out.foods if (found := foods.find(name)) is not None}

    def holds(written: str | None) -> bool:
        food = foods.find(written) if written else None
        return written is not None and (name_key(written) in unsafe or (food is not None and food.name in unsafe))

    recipes = out.recipes | {fold(row.recipe) for row in rows.recipes if holds(row.ingredient)}
    stated = {fold(row.group) for row in rows.enrolment if fold(row.household or row.participant) in out.households}
    sessions = tuple(
        row
        for row in rows.sessions
        if fold(row.session) not in out.sessions
        and fold(row.group) not in out.groups
        and not any(fold(dish.recipe) in recipes for dish in row.recipes)
        and not (row.kits is not None and fold(row.group) in stated)
    )
    for row in rows.sessions:
        if row not in sessions and fold(row.session) not in out.sessions:
            out.say("session", row.session, "resting on what is left out")
    return dataclasses.replace(
        rows,
        sessions=sessions,
        enrolment=tuple(
            row
            for row in rows.enrolment
            if fold(row.group) not in out.groups
            and not (families & FOOD and fold(row.household or row.participant) in out.households)
        ),
        packs=tuple(row for row in rows.packs if fold(row.supplier) not in out.suppliers),
        swaps=tuple(row for row in rows.swaps if not holds(row.instead)),
    )


def _without_stated(programme: Programme, out: _Out) -> set[str]:
    """Sessions to leave out: those entered, and those whose stated number of kits may count who is left out."""
    groups = {each.group for each in programme.members if fold(each.household) in out.households}
    gone = set(out.sessions)
    for name, session in programme.sessions.items():
        if session.kits is not None and session.group in groups:
            gone.add(fold(name))
            out.say("session", name, "its stated number of kits may count a household that is left out")
    return gone


# --- in words ---

_WORDS: Final = {
    "household": (
        "Household {}: no kit is packed for it, and it must not be given a spare one",
        "Households {}: no kits are packed for them, and they must not be given spare ones",
    ),
    "group": ("Group {} and its sessions", "Groups {} and their sessions"),
    "recipe": ("Recipe {} and the sessions that make it", "Recipes {} and the sessions that make them"),
    "food": ("Whatever holds {}", "Whatever holds {}"),
    "session": ("Session {}", "Sessions {}"),
    "participant": ("Participant {}", "Participants {}"),
    "supplier": ("The packs of supplier {}", "The packs of suppliers {}"),
    "row": ("Row {}", "Rows {}"),
    "cell": ("Cell {}", "Cells {}"),
}
"""What is left out, one and several; households first, since somebody will ask for their kits."""


def _listed(out: _Out, families: frozenset[Family]) -> list[LeftOut]:
    """Everything that goes; the same mistake is said once, with all that it concerns."""
    mistakes = gathered(why for why in out.why.values() if isinstance(why, Finding))
    behind = {_key(slip): f"{found.where}: {found.message}" for found in mistakes for slip in found.each}
    names: dict[tuple[str, str], list[str]] = {}
    for (kind, name), why in out.why.items():
        names.setdefault((kind, behind[_key(why)] if isinstance(why, Finding) else why), []).append(name)
    order = list(_WORDS)
    return [
        LeftOut(_WORDS[kind][len(each) > 1].format(", ".join(each)), why, families)
        for (kind, why), each in sorted(names.items(), key=lambda item: order.index(item[0][0]))
    ]


def _key(finding: Finding) -> object:
    return finding.place, finding.code, finding.message


def together(*parts: Part) -> tuple[LeftOut, ...]:
    """What the parts go without, what is the same in both once."""
    found: dict[tuple[str, str], frozenset[Family]] = {}
    for each in (each for part in parts for each in part.left_out):
        found[each.what, each.why] = found.get((each.what, each.why), frozenset()) | each.families
    return tuple(LeftOut(what, why, families) for (what, why), families in found.items())
