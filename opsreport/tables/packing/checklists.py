"""Kit checklists: one page a sort of kit, to hold beside an open bag."""

from collections.abc import Iterable
from fractions import Fraction
from itertools import groupby
from typing import Final

from opsreport.measures.kitchen import kitchen_words
from opsreport.measures.units import mixed
from opsreport.plan.model import KitLine
from opsreport.shown import day_words
from opsreport.tables.packing.cautions import DEFER, LABELS
from opsreport.tables.packing.day import Kits, PackingDay, allergen_words, boxes, contains_words, counted, is_cold
from opsreport.tables.packing.stations import packing_order
from opsreport.tables.packing.words import kit_words
from opsreport.tables.shelf_words import rounded_words
from opsreport.tables.table import Column, Document, Row, Table

_COLUMNS: Final = (
    Column("In the kit", width=22),
    Column("Amount", width=14),
    Column("As bought", width=10),
    Column("Look for", width=22),
    Column("In", "boxes", 16),
)
_OVERVIEW: Final = (
    Column("Kit", "code", 10),
    Column("Kits", "count", 6),
    Column("What is in it", width=64),
    Column("All closed", "boxes", 8),
)


def checklists(day: PackingDay) -> Document:
    """What is packed at a glance, then one page a session and variant, in the order a bag is filled."""
    pages = [_overview(day), *(_page(kits) for kits in day.kits)]
    return day.document("checklists", "Kit checklists", "whoever checks and closes the kits", pages)


def _overview(day: PackingDay) -> Table:
    """The day's kits under their sessions."""
    rows = []
    for _, its in groupby(day.kits, key=lambda kits: kits.session.session):
        of_session = list(its)
        rows.append(Row((session_words(of_session[0]), *[None] * (len(_OVERVIEW) - 1)), "heading"))
        for kits in of_session:
            mark = batches_mark(kits)
            held = f"{mark} {difference_words(kits)}" if kits.exchanges else f"the standard kit {mark}"
            rows.append(Row((kits.code, kits.count, held.strip(), 1), "warning" if kits.exchanges else ""))
    return Table("Kits", "Kits of the day", _OVERVIEW, tuple(rows), one_page=8)


def _page(kits: Kits) -> Table:
    foods = kits.programme.foods.by_name
    lines = sorted(kits.variant.lines, key=lambda line: packing_order(foods[line.food], kits.opened))
    rows = []
    for line in lines:
        food = foods[line.food]
        marks = [
            "COLD" if is_cold(food) else "KEEP COLD: opened" if line.food in kits.opened else "",
            _instead_words(line),
            f"contains {allergen_words([food])}" if allergen_words([food]) else "",
            _blended_words(kits, line),
        ]
        rows.append(
            Row(
                (
                    line.food,
                    kit_words(kits.programme, line),
                    rounded_words(line.base, line.base_unit),
                    " · ".join(mark for mark in marks if mark),
                    1,
                ),
                "warning" if line.instead_of else "",
            )
        )
    rows += [
        Row((exchange.food, "NONE", "", f"LEFT OUT: {exchange.note or 'nothing instead'}", 1), "warning")
        for exchange in kits.exchanges
        if not exchange.instead
    ]
    rows += _count_rows(kits)
    return Table(
        "Checklists",
        f"{kits.code}: {kits.counted}",
        _COLUMNS,
        tuple(rows),
        intro=tuple(_intro(kits)),
        notes=(
            "Close a kit only when every line is in it. Cold food goes into its own bag at the last moment.",
            DEFER,
        ),
        page_break=True,
        one_page=7,
    )


def _instead_words(line: KitLine) -> str:
    if not line.instead_of:
        return ""
    return f"INSTEAD OF {', '.join(line.instead_of)}{f': {line.note}' if line.note else ''}"


def _blended_words(kits: Kits, line: KitLine) -> str:
    """Where a blended food is: all of it in its blend's bag, or how much there and how much in a bag of its own."""
    if not line.mixes:
        return ""
    if line.beside is None:
        return "in its blend bag"
    measures = kits.programme.measures
    blended = [part for blend in kits.variant.blends for part in blend.parts if part.food == line.food]
    each = [kitchen_words(part.shown.times(Fraction(1, kits.count)), measures) for part in blended]
    return f"{' and '.join(each)} in its blend bag, {kit_words(kits.programme, line.beside)} in its own bag"


def difference_words(kits: Kits) -> str:
    """How a sort of kit differs from the standard one."""
    if not kits.exchanges:
        return "Standard kit: nothing swapped, nothing left out."
    return f"NOT the standard kit: {'; '.join(exchange.words for exchange in kits.exchanges)}."


def batches_mark(kits: Kits) -> str:
    """`× 2` where a kit makes two batches of every recipe; '' where one, or not alike many."""
    numbers = set(kits.variant.batches.values())
    return f"× {mixed(numbers.pop())}" if len(numbers) == 1 and numbers != {Fraction(1)} else ""


def making_words(kits: Kits) -> str:
    """`Bean soup × 2, Flatbread`: how many batches of each recipe a kit makes, where it is not one."""
    times = [(recipe, factor * kits.variant.batches.get(recipe, 1)) for recipe, factor in kits.meeting.dishes]
    return ", ".join(recipe if number == 1 else f"{recipe} × {number}" for recipe, number in times)


def session_words(kits: Kits) -> str:
    """`Session ER8, Tue 2 Mar 2027 · Elder Row families · picked up at School hall`."""
    where = kits.place
    return " · ".join(
        part
        for part in (
            f"Session {kits.session.session}, {day_words(kits.session.day)}",
            kits.group_words,
            f"{'picked up at' if kits.group.kits else 'cooked at'} {where}" if where else "",
        )
        if part
    )


def _intro(kits: Kits) -> Iterable[str]:
    yield session_words(kits)
    yield f"Makes {making_words(kits)}"
    yield difference_words(kits)
    if kits.cold:
        yield f"COLD: {', '.join(food.name for food in kits.cold)}."
    yield f"{contains_words(kits.foods)}. {LABELS}"


def _count_rows(kits: Kits) -> Iterable[Row]:
    """How many kits, and a box for each: ticked when the kit is closed and labelled."""
    spare, demo = kits.variant.spare, kits.variant.demo
    yield Row((f"{kits.code} closed and labelled", *[None] * (len(_COLUMNS) - 1)), "heading")
    for number, words in (
        (kits.count - spare - demo, "for the group"),
        (spare, "spare"),
        (demo, "demo"),
    ):
        if number:
            yield Row((counted(number, kits.unit), words, "", "", boxes(number)))
