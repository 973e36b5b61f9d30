"""Instructor sheets: what the lesson needs, and what each sort of kit has instead."""

from collections.abc import Iterable
from typing import Final

from opsreport.measures.kitchen import kitchen_words
from opsreport.plan.model import PlannedSession
from opsreport.shown import day_words, decimal_words
from opsreport.tables.packing.cautions import DEFER, HANDS, LABELS
from opsreport.tables.packing.checklists import difference_words, making_words
from opsreport.tables.packing.day import PackingDay, allergen_words, called, counted, unasked
from opsreport.tables.packing.recipe_cards import cards_of, counted_batches
from opsreport.tables.packing.roster import called_out
from opsreport.tables.packing.words import kit_words
from opsreport.tables.shelf_words import bought_words
from opsreport.tables.table import Column, Document, Row, Table

_VARIANTS: Final = (
    Column("Kit", "code", 10),
    Column("Kits", "count", 6),
    Column("Makes", width=20),
    Column("What it has instead", width=34),
    Column("Contains", width=26),
)
_SUPPLIES: Final = (
    Column("Food", width=26),
    Column("Each", width=18),
    Column("For", width=18),
    Column("As bought, in all", width=22),
    Column("There", "boxes", 7),
)
_HOME: Final = (Column("Recipe", width=26), Column("Food", width=26), Column("Amount, one batch", width=20))
_SCALING: Final = (
    Column("For kits", width=14),
    Column("Recipe", width=20),
    Column("Makes", width=12),
    Column("Mind", width=56),
)
_WHO: Final = (Column("Who", width=40), Column("Kit", "code", 12), Column("Has it", "boxes", 8))
_CAUTIONS: Final = (Column("Recipe", width=22), Column("Step", "amount", 6), Column("Take care", width=56))


def instructor_sheets(day: PackingDay) -> Document:
    """A page a session: the lesson, its kits, the demonstration's amounts, what people bring, cautions.

    Names stand only where someone must be asked first, or sit at a table of their own, and on a page of who has which
    kit; what someone must not have is never beside a name.
    """
    tables = [table for session in day.sessions for table in _tables(day, session)]
    return day.document("instructor", "Instructor sheets", "the instructor", tables)


def _tables(day: PackingDay, session: PlannedSession) -> Iterable[Table]:
    variants = day.kits_of(session)
    yield Table(
        "Lessons",
        f"Session {session.session}, {day_words(session.day)}",
        _VARIANTS,
        tuple(
            Row(
                (
                    kits.code,
                    kits.count,
                    making_words(kits),
                    difference_words(kits),
                    allergen_words(kits.foods) or "nothing listed; read the packages",
                ),
                "warning" if kits.exchanges else "",
            )
            for kits in variants
        ),
        intro=tuple(_intro(day, session)),
        notes=(HANDS, f"Kits are packed in a room that handles every food listed. {LABELS}", DEFER),
        page_break=True,
        one_page=9.5,
    )
    yield from _supplies(day, session)
    yield from _from_home(day, session)
    yield from _scaling(day, session)
    yield from _cautions(day, session)
    yield from _who(day, session)


def _intro(day: PackingDay, session: PlannedSession) -> Iterable[str]:
    meeting, group = day.programme.sessions[session.session], day.programme.groups[session.group]
    yield " · ".join(
        part
        for part in (
            group.name or group.group,
            group.site,
            f"starts {meeting.start}" if meeting.start else "",
            f"{decimal_words(meeting.minutes)} minutes" if meeting.minutes is not None else "",
            f"Lesson: {meeting.lesson}" if meeting.lesson else "",
        )
        if part
    )
    unit = "kit" if group.kits else "table box"
    spare = sum(variant.spare for variant in session.variants)
    demo = sum(variant.demo for variant in session.variants)
    yield f"{counted(session.kits, unit)}, of which {spare} spare and {demo} for the demonstration."
    for kits in day.kits_of(session):
        if kits.variant.seated:
            names = called(day.programme, session, kits.variant.seated)
            where = "the tables" if kits.count > 1 else "the table"
            yield f"At {where} of {kits.code} and no other: {', '.join(names)}."
    if asking := unasked(day.programme, session):
        names = called(day.programme, session, asking)
        yield f"ASK FIRST what they must not get, before anything is tasted or handed out: {', '.join(names)}."


def _supplies(day: PackingDay, session: PlannedSession) -> Iterable[Table]:
    """What the instructor's own boxes hold: the demo kits and what is packed once a session."""
    measures = day.programme.measures
    rows = [
        Row(
            (
                line.food,
                kit_words(day.programme, line),
                f"{kits.code}, {counted(kits.variant.demo, 'demo ' + kits.unit)}",
                bought_words(line.base * kits.variant.demo, line.base_unit, measures),
                1,
            )
        )
        for kits in day.kits_of(session)
        if kits.variant.demo
        for line in kits.variant.lines
    ]
    rows += [
        Row(
            (
                line.food,
                kit_words(day.programme, line),
                "once, for everyone",
                bought_words(line.base, line.base_unit, measures),
                1,
            )
        )
        for line in session.once
    ]
    if rows:
        yield Table(
            "Demonstration",
            f"Session {session.session}: for the demonstration",
            _SUPPLIES,
            tuple(rows),
        )


def _from_home(day: PackingDay, session: PlannedSession) -> Iterable[Table]:
    measures = day.programme.measures
    rows = []
    for name, _ in day.programme.sessions[session.session].dishes:
        recipe = day.programme.recipes.get(name)
        for line in recipe.lines if recipe else ():
            if not line.is_packed:
                measured = kitchen_words(line.quantity, measures) if line.quantity is not None else ""
                amount = line.range_words or measured or line.words or "to taste"
                rows.append(Row((name, line.food, amount)))
    if rows:
        yield Table(
            "From home",
            f"Session {session.session}: not in the kits",
            _HOME,
            tuple(rows),
            intro=("People use their own; bring some for the demonstration.",),
        )


def _scaling(day: PackingDay, session: PlannedSession) -> Iterable[Table]:
    """What to mind where a kit makes more or less than one batch."""
    rows = [
        Row((card.codes, card.recipe.recipe, counted_batches(card.times), note))
        for card in cards_of(day.kits_of(session))
        for note in card.scaling
    ]
    if rows:
        yield Table(
            "Scaling",
            f"Session {session.session}: more or less than one batch",
            _SCALING,
            tuple(rows),
            intro=("Amounts are multiplied as they stand; nothing here has changed them.",),
        )


def _who(day: PackingDay, session: PlannedSession) -> Iterable[Table]:
    """Who has which kit: a page of its own, by name and code of the kit, with no word of what is in it."""
    names = called_out(day, session)
    rows = [
        Row((names[holder], kits.code, 1))
        for kits in day.kits_of(session)
        if kits.group.kits
        for holder in kits.variant.holders
    ]
    if rows:
        yield Table(
            "Who has which kit",
            f"Session {session.session}: who has which kit",
            _WHO,
            tuple(sorted(rows, key=lambda row: str(row.cells[0]).casefold())),
            notes=("Keep this page out of sight; collect it back, and shred it.",),
            page_break=True,
            one_page=9.5,
        )


def _cautions(day: PackingDay, session: PlannedSession) -> Iterable[Table]:
    rows = [
        Row((name, step.number, step.caution))
        for name, _ in day.programme.sessions[session.session].dishes
        if name in day.programme.recipes
        for step in day.programme.recipes[name].steps
        if step.caution
    ]
    if rows:
        yield Table("Say aloud", f"Session {session.session}: say aloud", _CAUTIONS, tuple(rows))
