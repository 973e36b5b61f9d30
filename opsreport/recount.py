"""A packing day counted again: what was really there, which kits can be full, who goes short."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Final

from opsreport.findings import Finding, in_order, stopped
from opsreport.joining import build_programme, quantity_of
from opsreport.measures.units import NoBridge, Quantity
from opsreport.plan.dates import lot_good_through
from opsreport.plan.model import PlannedSession
from opsreport.plan.needs.amounts import plan_sessions
from opsreport.plan.needs.kits import SessionKits, kits_of_sessions
from opsreport.plan.packing.recount import Counted, Recount, recount
from opsreport.plan.packing.stopgaps import Stopgap, stopgaps
from opsreport.programme import Lot, Programme
from opsreport.reading.read import read_counts
from opsreport.reading.workbook import Unusable, open_workbook
from opsreport.rules import FOOD, Severity
from opsreport.run import Asked, read_and_check
from opsreport.sheets import CountRow, Rows
from opsreport.shown import day_words
from opsreport.tables.recount import recount_document
from opsreport.tables.shelf_words import to_take_words
from opsreport.tables.table import Paper
from opsreport.words import fold, heading_key
from opsreport.write.files import both_formats
from opsreport.write.folder import put_in_place, refuse_others

LEAST_LIKELY: Final = Fraction(1, 50)
"""Of what the day needs: below this a counted weight is asked about. Common practice, no source."""


@dataclass(frozen=True, slots=True)
class Recounted:
    """What a recount found and wrote. findings: errors of either file stop it, then the rest is None."""

    findings: tuple[Finding, ...]
    programme: Programme
    found: Recount | None = None
    gaps: tuple[Stopgap, ...] = ()
    folder: Path | None = None
    kept: Path | None = None


def recount_day(
    source: Path, day: dt.date, counts: Path | None, target: Path | None, asked: Asked, *, swaps_first: bool = False
) -> Recounted:
    """Read the workbook and the counts, see what can be packed, write it.

    Args:
        source: the workbook; never changed.
        counts: the count sheet typed back; None: the workbook's own Counts sheet.
        target: the folder to write; None: beside the workbook, named after it and the day.
        swaps_first: kits with swaps before any standard one, though fewer households may be served.
    Raises:
        Unusable: a file is no workbook, there is no count, or nothing is packed that day.
        Unwritable: the folder cannot be written, or holds other files; what stood there stands unchanged.
    """
    if target is not None:
        refuse_others(target, "recount-*")
    rows, as_of, findings = read_and_check(source, asked)
    programme = build_programme(rows, min(as_of, day))
    kits, unsafe = kits_of_sessions(programme) if not stopped(findings) & FOOD else ([], [])
    count_rows, said = _count_rows(source, counts, rows)
    counted, misfits = counted_foods(programme, count_rows)
    told = in_order([*_errors([*findings, *unsafe], stopping=True), *_worth_saying([*said, *misfits])])
    if _errors(told):
        return Recounted(tuple(told), programme)
    sessions = plan_sessions(programme, _packed_on(day, kits))
    if not counted:
        raise Unusable("Nothing is counted: the column Counted is blank on every row.")
    told = in_order([*told, *_improbable(programme, count_rows, counted, sessions)])
    found = recount(programme, day, sessions, counted, swaps_first=swaps_first)
    gaps = stopgaps(programme, sessions, counted, found)
    document = recount_document(programme, found, gaps)
    files = both_formats(((document,), Paper(programme.settings.paper, programme.currency, day)))
    folder = target or source.with_name(f"{source.stem}-recount-{day.isoformat()}")
    return Recounted(tuple(told), programme, found, gaps, folder, put_in_place(files, folder))


def _packed_on(day: dt.date, kits: Sequence[SessionKits]) -> list[SessionKits]:
    today = [each for each in kits if each.meeting.packing_day == day]
    if not today:
        days = sorted({each.meeting.packing_day for each in kits})
        others = ", ".join(day_words(each) for each in days[:6])
        raise Unusable(
            f"Nothing is packed on {day_words(day)}."
            + (f" Packing days from then on: {others}{' …' if len(days) > 6 else ''}." if days else "")
        )
    return today


def _count_rows(source: Path, counts: Path | None, rows: Rows) -> tuple[tuple[CountRow, ...], list[Finding]]:
    cells = open_workbook(source if counts is None else counts)
    if counts is None and not any(heading_key(sheet.name) == "counts" for sheet in cells.sheets):
        raise Unusable(f"{source.name} has no sheet Counts; name the count sheet typed back with --counts.")
    return read_counts(cells, rows.settings)


def counted_foods(programme: Programme, rows: Iterable[CountRow]) -> tuple[list[Counted], list[Finding]]:
    """What was counted, in base units, with the last good day of the row or of its lot in Stock.

    A food with no count at all is not in it; where only some of its rows are counted, the others are asked for.
    Findings: count-of-unknown, count-unit, count-of-held, count-in-part.
    """
    lots: dict[tuple[str, str], Lot] = {(lot.food, fold(lot.lot)): lot for lot in programme.lots if lot.lot}
    counted, findings = [], []
    blank: list[tuple[str, CountRow]] = []

    def say(row: CountRow, heading: str, code: str, seen: str, **details: str) -> None:
        findings.append(Finding(row.place.at(heading), code, seen, details, frozenset()))

    for row in rows:
        food, quantity = programme.foods.find(row.ingredient), _as_typed(row)
        if food is None:
            say(row, "Ingredient", "count-of-unknown", row.ingredient)
            continue
        if quantity is None:
            blank.append((food.name, row))
            continue
        if row.unit is not None and quantity.unit != row.unit:
            say(row, "Counted", "count-own-unit", str(quantity), ingredient=food.name, unit=row.unit)
        base = programme.base_units[food.name]
        try:
            amount = food.bridge.convert(quantity, base, programme.measures)
        except NoBridge:
            say(row, "Counted", "count-unit", f"{quantity.amount} {quantity.unit}", ingredient=food.name, base=base)
            continue
        lot = lots.get((food.name, fold(row.lot)))
        if lot is not None and lot.hold:
            say(row, "Lot", "count-of-held", row.lot, ingredient=food.name)
            continue
        through = row.good_through or (lot_good_through(lot, food.keeps_open) if lot is not None else None)
        counted.append(Counted(food.name, amount, through))
    known = {each.food for each in counted}
    for name, row in blank:
        if name in known:
            say(row, "Counted", "count-in-part", row.lot or "without a name", ingredient=name)
    return counted, findings


def _as_typed(row: CountRow) -> Quantity | None:
    """What was counted: a unit written beside the number goes before the one printed on the sheet."""
    return quantity_of(row.counted, row.counted.unit or row.unit)


def _improbable(
    programme: Programme, rows: Iterable[CountRow], counted: Iterable[Counted], sessions: Sequence[PlannedSession]
) -> Iterable[Finding]:
    """Foods of which a weight or volume was counted, and hardly any of what the day needs: pieces, or kg typed as g?"""
    needed: dict[str, Fraction] = defaultdict(Fraction)
    for session in sessions:
        for variant in session.variants:
            for line in variant.lines:
                needed[line.food] += line.base * variant.kits
    there: dict[str, Fraction] = defaultdict(Fraction)
    for each in counted:
        there[each.food] += each.amount
    for row in rows:
        food, quantity = programme.foods.find(row.ingredient), _as_typed(row)
        if food is None or quantity is None or quantity.dimension == "count" or not quantity.amount:
            continue
        if there[food.name] < LEAST_LIKELY * needed[food.name]:
            details = {"ingredient": food.name, "needed": to_take_words(programme, food.name, needed[food.name])}
            yield Finding(row.place.at("Counted"), "count-improbable", str(quantity), details, frozenset())


def _errors(findings: Iterable[Finding], *, stopping: bool = False) -> list[Finding]:
    """Errors; `stopping`: only those on which packing rests."""
    return [
        finding for finding in findings
        if finding.severity is Severity.ERROR and (not stopping or finding.stops & FOOD)
    ]  # fmt: skip


def _worth_saying(findings: Iterable[Finding]) -> list[Finding]:
    return [finding for finding in findings if finding.severity is not Severity.NOTE]
