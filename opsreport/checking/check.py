"""Rules between columns, rows and sheets: one function a rule, all listed in CHECKS.

Rules see good rows only; what a sheet names counts as known even where its row is bad, so that one slip
is one finding.
"""

import dataclasses
import datetime as dt
import re
from collections import defaultdict
from collections.abc import Callable, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final

from opsreport.checking.needs_check import NEEDS_CHECKS, food_names
from opsreport.checking.second_look import LOOKS, LOOKS_ON_A_DAY
from opsreport.findings import NOWHERE, Finding, in_order
from opsreport.foods import Foods, build_foods, catalogue_entry, name_key
from opsreport.joining import base_unit, quantity_of, uses_of
from opsreport.kinds import day_shown, mixed_or_decimal, weekday_words
from opsreport.marks import LongMarks, Marks, WideMarks
from opsreport.measures.numerals import ascii_numerals, number
from opsreport.measures.units import Bridge, NoBridge, Quantity, mixed
from opsreport.reading.saying import did_you_mean, maybe, said_at
from opsreport.sheets import AttendanceRow, EnrolmentRow, GroupRow, QuestionRow, Rows, SessionRow
from opsreport.shown import decimal_words
from opsreport.words import fold, heading_key, nearest

MOST_MEANT: Final = 3
"""Foods that are offered for one word; more than that are no help."""
A_YEAR: Final = dt.timedelta(days=366)
"""How far a session may be from the others: a day more is a typing slip."""


def _unknown(rows: Rows, sheet: str, pairs: Iterable[tuple[Any, str]], heading: str, code: str) -> Iterator[Finding]:
    """Names that no row of `sheet` has, wherever they stand; each is looked up once. None where the sheet itself is
    missing or has no heading row: that is said of it already."""
    if sheet not in rows.headed:
        return
    known = rows.known.get(sheet, {})
    options = [known[key] for key in sorted(known)]
    near: dict[str, str | None] = {"": None}
    for row, name in pairs:
        if name not in near:
            near[name] = None if fold(name) in known else did_you_mean(name, options)
        suggestion = near[name]
        if suggestion is not None:
            yield said_at(row, heading, code, name, near=suggestion)


def nothing_to_plan(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """A workbook without sessions, such as one just begun."""
    if "Sessions" in rows.headed and not rows.sessions and not rows.spoiled.get("Sessions"):
        filled = {"Sessions": rows.sessions, "Enrolment": rows.enrolment, "Recipes": rows.recipes}
        empty = [sheet for sheet, its_rows in filled.items() if not its_rows]
        yield Finding(NOWHERE, "nothing-to-plan", ", ".join(empty), {})


# --- what names what ---


def unknown_groups(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Groups of Sessions and Enrolment that Groups, where it has rows, does not list."""
    if rows.known.get("Groups"):
        meeting = {fold(row.group) for row in rows.sessions} | rows.spoiled.get("Sessions", frozenset())
        for rows_of in (rows.sessions, rows.enrolment):
            named: list[tuple[Any, str]] = [(row, row.group) for row in rows_of]
            for finding in _unknown(rows, "Groups", named, "Group", "group-unknown"):
                idle = fold(finding.seen) not in meeting
                effect = "no session is for it, so who belongs to it gets nothing" if idle else "defaults are used"
                yield dataclasses.replace(finding, details={**finding.details, "effect": effect})


def unknown_suppliers(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Suppliers of Packs and Orders that Suppliers, where it has rows, does not list."""
    if rows.known.get("Suppliers"):
        named: list[tuple[Any, str]] = [(row, row.supplier) for row in rows.packs]
        named += [(row, row.supplier) for row in rows.orders]
        yield from _unknown(rows, "Suppliers", named, "Supplier", "supplier-unknown")


def never_taken_in(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Suppliers that come on days only on which the kitchen is never open."""
    opened = rows.settings.open_days
    for row in rows.suppliers:
        days = row.order_days if row.delivery_days is None else row.delivery_days
        if not set(days) & set(opened):
            heading = "Order days" if row.delivery_days is None else "Delivery days"
            names = {"supplier": row.supplier, "open": weekday_words(opened)}
            yield said_at(row, heading, "supplier-never-taken-in", weekday_words(days), **names)


def unknown_recipes(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Recipes of Sessions and Methods that are nowhere written."""
    dishes = [(row, dish.recipe) for row in rows.sessions for dish in row.recipes]
    yield from _unknown(rows, "Recipes", dishes, "Recipes", "recipe-unknown")
    steps = [(row, row.recipe) for row in rows.methods]
    yield from _unknown(rows, "Recipes", steps, "Recipe", "recipe-unknown")


def unknown_people(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Participants, sessions, questions and households that other sheets name and no row enters."""
    marks = _marks_to_look_up(rows)
    people = [(row, row.participant) for row in marks]
    yield from _unknown(rows, "Enrolment", people, "Participant", "participant-unknown")
    held = [(row, row.session) for row in marks]
    yield from _unknown(rows, "Sessions", held, "Session", "session-unknown")
    answers = [(row, row.participant) for row in rows.surveys]
    yield from _unknown(rows, "Enrolment", answers, "Participant", "participant-unknown")
    asked = [(row, row.question) for row in rows.surveys]
    yield from _unknown(rows, "Questions", asked, "Question", "question-unknown")
    kits = [(row, row.session) for row in rows.pick_ups]
    yield from _unknown(rows, "Sessions", kits, "Session", "session-unknown")
    if rows.surveys and "Questions" not in rows.present:
        questions = ", ".join(dict.fromkeys(row.question for row in rows.surveys))
        yield said_at(rows.surveys[0], "Question", "questions-missing", questions)
    households = {fold(row.household): row.household for row in rows.enrolment} | dict(rows.known.get("Enrolment", {}))
    if "Enrolment" in rows.headed and not rows.spoiled.get("Enrolment"):
        for pick_up in rows.pick_ups:
            if fold(pick_up.household) not in households:
                near = did_you_mean(pick_up.household, [households[key] for key in sorted(households)])
                yield said_at(pick_up, "Household", "household-unknown", pick_up.household, near=near)


def _marks_to_look_up(rows: Rows) -> Sequence[AttendanceRow]:
    """Records that name every session and participant of Attendance that may be unknown: of marks in columns few."""
    marks = rows.attendance
    if isinstance(marks, WideMarks):
        return list(marks.first_records())
    if isinstance(marks, LongMarks):
        sessions, people = rows.known.get("Sessions", {}), rows.known.get("Enrolment", {})
        unknown = (
            {name for name in marks.sessions if fold(name) not in sessions},
            {name for name in marks.people if fold(name) not in people},
        )
        return list(marks.naming(*unknown)) if any(unknown) else ()
    return marks


def unknown_funders(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Funders of Groups and Narratives that Funders, where it has rows, does not list."""
    if rows.known.get("Funders"):
        named = [(row, share.funder) for row in rows.groups for share in row.funders]
        yield from _unknown(rows, "Funders", named, "Funders", "funder-unknown")
        told = [(row, row.funder) for row in rows.narratives]
        yield from _unknown(rows, "Funders", told, "Funder", "funder-unknown")


def replaced_sessions(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Replaces must name a cancelled session."""
    named = [(row, row.replaces) for row in rows.sessions]
    yield from _unknown(rows, "Sessions", named, "Replaces", "replaces-unknown")
    by_id = {fold(row.session): row for row in rows.sessions}
    for row in rows.sessions:
        other = by_id.get(fold(row.replaces)) if row.replaces else None
        if other is not None and other.status != "cancelled":
            yield said_at(row, "Replaces", "replaces-not-cancelled", row.replaces)


def report_columns(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Report by must name columns of Enrolment."""
    if not rows.enrolment:
        return
    first = rows.enrolment[0]
    columns = [*first.place.columns, *first.extra]
    for named in rows.settings.report_by:
        if heading_key(named) not in {heading_key(column) for column in columns}:
            yield said_at(rows.settings, "Report by", "report-by-unknown", named, near=did_you_mean(named, columns))


# --- foods ---


def unknown_ingredients(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Foods that neither Ingredients nor the catalogue knows."""
    naming: list[Any] = [*rows.recipes, *rows.packs, *rows.stock, *rows.orders, *rows.swaps]
    named: list[tuple[Any, str, str]] = [(row, row.ingredient, "Ingredient") for row in naming]
    named += [(row, row.instead, "Use instead") for row in rows.swaps if row.instead is not None]
    listed = food_names(rows, foods)
    near: dict[str, str] = {}
    for row, name, heading in named:
        food = foods.find(name)
        if food is not None and (food.listed or food.name in foods.unread):
            continue
        if name not in near:
            near[name] = _near_food(name, listed)
        yield said_at(row, heading, "ingredient-unknown", name, near=near[name])


def _that_begin(written: str, names: Sequence[str]) -> list[str]:
    """Names that go on after the same first word, one a food, where they are few: bare `coriander` is leaf or seed."""
    found: dict[str, str] = {}
    for name in names:
        if name_key(name).startswith(f"{name_key(written)} "):
            entry = catalogue_entry(name)
            found.setdefault(entry.ingredient if entry is not None else name, name)
    return list(found.values()) if len(found) <= MOST_MEANT else []


def _near_food(written: str, names: Sequence[str]) -> str:
    """A name misspelt, or the longest name among other words: `juice of 1 lemon`, `1 med onion`."""
    several = _that_begin(written, names)
    if len(several) > 1:
        return maybe(" or ".join(several))
    if near := nearest(written, names, 85):
        return maybe(near)
    bare = re.findall(r"[^\W\d_]+", written)
    words = f" {' '.join(map(name_key, bare))} "
    held = [name for name in names if f" {name_key(name)} " in words]
    if held:
        found = max(held, key=lambda name: len(name_key(name)))
        return f" Did you mean {found}? Amounts, sizes and preparation have columns of their own."
    return did_you_mean(written, names)


# --- amounts ---


def amounts_and_units(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """A unit without an amount, and a unit in an amount that contradicts the one beside it."""
    stated: list[tuple[Any, str, str]] = [(row, "Amount", "Unit") for row in (*rows.recipes, *rows.stock, *rows.tools)]
    stated += [(row, "Pack amount", "Pack unit") for row in (*rows.packs, *rows.orders)]
    for row, heading, unit_heading in stated:
        if row.amount.value is None:
            if row.unit is not None and not row.amount.words:
                yield said_at(row, heading, "amount-missing", row.unit)
        elif row.amount.unit is not None and row.unit is not None and row.amount.unit != row.unit:
            yield said_at(
                row, heading, "unit-contradicts", row.amount.words, own=row.amount.unit, unit=row.unit,
                unit_column=unit_heading,
            )  # fmt: skip


def ounces_of_liquids(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """`oz` of a liquid may be fluid or weight."""
    stated: list[tuple[Any, str]] = [(row, "Unit") for row in (*rows.recipes, *rows.stock)]
    stated += [(row, "Pack unit") for row in (*rows.packs, *rows.orders)]
    for row, heading in stated:
        food = foods.find(row.ingredient)
        quantity = quantity_of(row.amount, row.unit)
        if food is not None and food.state == "liquid" and quantity is not None and quantity.unit == "oz":
            named = "Amount" if heading == "Unit" else "Pack amount"
            at = heading if row.unit else named
            yield said_at(row, at, "ounces-of-liquid", str(quantity), ingredient=row.ingredient)


def missing_bridges(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Amounts that no figure carries to the unit in which the food is counted."""
    for name, uses in uses_of(rows, foods).items():
        if not uses or name in foods.unread:
            continue
        bridge = foods.by_name[name].bridge
        base = base_unit(foods, name, tuple(quantity for quantity, _ in uses))
        for quantity, place in uses:
            try:
                bridge.convert(quantity, base, rows.settings.measures)
            except NoBridge:
                details = {
                    "ingredient": name,
                    "base": {"g": "grams", "mL": "millilitres"}.get(base, "pieces"),
                    "cells": _bridge_cells(bridge, quantity, [other for other, _ in uses], base),
                }
                yield Finding(place, "bridge-missing", str(quantity), details)


def count_words(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Count words for something else than the piece whose weight is used: a head of garlic is no clove.

    What a piece is, the catalogue says; with a weight of the workbook's own, or none, the first word that is used.
    """
    for name, uses in uses_of(rows, foods).items():
        food = foods.by_name[name]
        counts = [(quantity, place) for quantity, place in uses if quantity.dimension == "count"]
        first = next((quantity.unit for quantity, _ in counts if quantity.unit != "each"), "each")
        piece = food.piece_words or {"each", first}
        grams = food.bridge.grams_each
        for quantity, place in counts:
            word = quantity.unit
            if word in piece or word in food.bridge.grams_by_word:
                continue
            number = mixed(quantity.amount)
            taken = f"{number} {'piece' if quantity.amount == 1 else 'pieces'}"
            if grams is not None:
                taken += f" of {decimal_words(grams, 1)} g"
            is_what = food.each_is or (first if first != "each" else "")
            taken += f" (one is: {is_what})" if is_what else ""
            yield Finding(place, "count-word", str(quantity), {"ingredient": name, "taken": taken, "word": word})


def _bridge_cells(bridge: Bridge, quantity: Quantity, uses: Sequence[Quantity], base: str) -> str:
    dimensions = {quantity.dimension} | ({use.dimension for use in uses} if base != "g" else set())
    cells = []
    if "volume" in dimensions and not bridge.grams_per_ml:
        cells.append("Ingredients!Grams per cup")
    if "count" in dimensions and bridge.grams_each is None and quantity.unit not in bridge.grams_by_word:
        cells.append("Ingredients!Grams each")
    return " and ".join(cells)


def recipe_servings(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Servings stand once a recipe, or always the same."""
    spoiled = rows.spoiled.get("Recipes", frozenset())
    first: dict[str, Fraction] = {}
    start: dict[str, Any] = {}
    for row in rows.recipes:
        key = fold(row.recipe)
        start.setdefault(key, row)
        if row.servings is None:
            continue
        if first.setdefault(key, row.servings) != row.servings:
            yield said_at(
                row, "Servings", "servings-twice", mixed_or_decimal(row.servings),
                first=mixed_or_decimal(first[key]), recipe=row.recipe,
            )  # fmt: skip
    for key, row in start.items():
        if key not in first and key not in spoiled:
            yield said_at(row, "Servings", "servings-missing", row.recipe)


def chilled_lots(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Chilled stock needs a date to be used."""
    for row in rows.stock:
        food = foods.find(row.ingredient)
        dated = row.best_before is not None or (
            row.opened is not None and food is not None and food.keeps_open is not None
        )
        if food is not None and food.place_kept == "chill" and not dated and row.amount.value:
            yield said_at(row, "Best before", "chilled-without-date", row.ingredient)


# --- groups and who pays ---


def tables_have_people(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Table format needs People per table."""
    for row in rows.groups:
        if row.format == "table" and row.people_per_table is None:
            yield said_at(row, "People per table", "people-per-table-missing", row.group)


def funder_shares_total(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Several funders have shares, and shares total 100%."""
    for row in rows.groups:
        parts = [share.part for share in row.funders]
        seen = "; ".join(
            share.funder + (f" {mixed_or_decimal(share.part * 100)}%" if share.part is not None else "")
            for share in row.funders
        )
        stated = [part for part in parts if part is not None]
        if len(parts) > 1 and len(stated) < len(parts):
            yield said_at(row, "Funders", "funder-share-missing", seen)
        elif stated and sum(stated) != 1:
            total = f"{mixed_or_decimal(sum(stated, Fraction(0)) * 100)}%"
            yield said_at(row, "Funders", "funder-shares-total", seen, total=total, proposed=_equal_shares(row))


def _equal_shares(row: GroupRow) -> str:
    """What to type where equal shares were cut off: `33%` three times."""
    parts = {share.part for share in row.funders}
    exact = Fraction(1, len(row.funders))
    if len(parts) > 1 or any(part is None or abs(part - exact) > Fraction(1, 100) for part in parts):
        return "Correct the percentages."
    return f"Type {'; '.join(f'{share.funder} {mixed(exact * 100)}%' for share in row.funders)}"


def funders_have_sessions(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """A funder's period holds a session of a group that it pays for; not asked where one of those cannot be read."""
    faulty = any(rows.spoiled.get(sheet) for sheet in ("Groups", "Sessions"))
    if faulty or "Sessions" not in rows.headed or rows.lacks_headings("Groups"):
        return
    groups: dict[str, set[str]] = {}
    for group in rows.groups:
        for share in group.funders:
            groups.setdefault(fold(share.funder), set()).add(fold(group.group))
    for row in rows.funders:
        paid = groups.get(fold(row.funder), set())
        if not any(row.start <= session.day <= row.end and fold(session.group) in paid for session in rows.sessions):
            yield said_at(row, "Funder", "funder-without-sessions", row.funder)


# --- dates ---


def dates_in_order(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Until and Left are not before From and Joined; who withdrew has a last day."""
    spans: list[tuple[Any, dt.date | None, dt.date | None]] = [
        *((row, row.price_from, row.price_until) for row in rows.packs),
        *((row, row.start, row.end) for row in rows.funders),
        *((row, row.day, row.until) for row in rows.closures),
    ]
    for row, start, end in spans:
        if start is not None and end is not None and end < start:
            yield said_at(row, "Until", "until-before-from", end.isoformat(), first=start.isoformat())
    for member in rows.enrolment:
        if member.joined is not None and member.left is not None and member.left < member.joined:
            yield said_at(
                member, "Left", "left-before-joined", member.left.isoformat(), first=member.joined.isoformat()
            )
        if member.status == "withdrawn" and member.left is None:
            yield said_at(member, "Left", "withdrawn-without-left", member.participant)


def far_dates(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Sessions more than a year away from where most sessions are; so too their packing dates."""
    days = sorted(row.day for row in rows.sessions)
    if len(days) < 2:
        return
    stretches: list[list[dt.date]] = [[days[0]]]
    for day in days[1:]:
        if day - stretches[-1][-1] > A_YEAR:
            stretches.append([])
        stretches[-1].append(day)
    most = max(map(len, stretches))
    main = [stretch for stretch in stretches if len(stretch) == most]
    for row in rows.sessions:
        if len(main) > 1 or not main[0][0] <= row.day <= main[0][-1]:
            yield said_at(row, "Date", "date-far", row.day.isoformat())
        elif row.packing_date is not None and abs(row.packing_date - row.day) > A_YEAR:
            yield said_at(row, "Packing date", "date-far", row.packing_date.isoformat())


def late_packing(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Kits that would be packed after their session."""
    for row in rows.sessions:
        if row.packing_date is not None and row.packing_date > row.day:
            details = {"session": row.session, "day": row.day.isoformat()}
            yield said_at(row, "Packing date", "packing-date-late", row.packing_date.isoformat(), **details)


def past_sessions(rows: Rows, as_of: dt.date) -> Iterator[Finding]:
    """Sessions before the planning date that are still planned."""
    for row in rows.sessions:
        if row.status == "planned" and row.day < as_of:
            yield said_at(row, "Date", "session-past", row.day.isoformat(), session=row.session)


def overdue_orders(rows: Rows, as_of: dt.date) -> Iterator[Finding]:
    """Orders due before the planning date and not all received."""
    for row in rows.orders:
        if row.due < as_of and row.received < row.packs:
            yield said_at(row, "Due", "order-overdue", row.due.isoformat(), order=row.order)


def received_packs(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """No more packs came than were ordered."""
    for row in rows.orders:
        if row.received > row.packs:
            yield said_at(
                row,
                "Received",
                "received-too-many",
                mixed_or_decimal(row.received),
                packs=mixed_or_decimal(row.packs),
            )


# --- attendance and surveys ---


def marks_count(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Marks belong to delivered sessions and to members of the session's group who were active that day."""
    sessions = {fold(row.session): row for row in rows.sessions}
    members: dict[tuple[str, str], EnrolmentRow] = {
        (fold(row.participant), fold(row.group)): row for row in rows.enrolment
    }
    known = rows.known.get("Enrolment", {})
    spoiled = rows.spoiled.get("Enrolment", frozenset())
    folded: dict[str, str] = {}
    undelivered: set[str] = set()
    empty: set[str] = set()
    peopled = {group for _, group in members}
    groups = {key: fold(row.group) for key, row in sessions.items()}
    marks = rows.attendance
    for row in _marks_to_look_at(marks, sessions, members) if isinstance(marks, Marks) else marks:
        if row.mark is None:
            continue
        session_id = folded.get(row.session) or folded.setdefault(row.session, fold(row.session))
        person = folded.get(row.participant) or folded.setdefault(row.participant, fold(row.participant))
        session = sessions.get(session_id)
        if session is None:
            continue
        if session.status != "delivered":
            if session_id not in undelivered:
                undelivered.add(session_id)
                yield said_at(row, "Mark", "mark-not-delivered", row.session, status=session.status)
            continue
        member = members.get((person, groups[session_id]))
        if peopled and groups[session_id] not in peopled and not spoiled:
            if session_id not in empty:
                empty.add(session_id)
                yield said_at(row, "Mark", "marks-of-nobody", row.session, group=session.group)
        elif member is None:
            if person in known and person not in spoiled:
                yield said_at(
                    row, "Mark", "mark-other-group", row.participant, group=session.group, session=row.session
                )
        elif not _active(member, session):
            day = day_shown(session.day)
            yield said_at(row, "Mark", "mark-not-active", row.participant, session=row.session, day=day)


def _marks_to_look_at(
    marks: Marks, sessions: Mapping[str, SessionRow], members: Mapping[tuple[str, str], EnrolmentRow]
) -> Iterator[AttendanceRow]:
    """The marks without those of members who are active from the first day to the last."""
    number = {fold(name): at for at, name in enumerate(marks.participants) if name is not None}
    certain: dict[str, set[int]] = defaultdict(set)
    for (person, group), member in members.items():
        if person in number and member.status == "active" and not (member.joined or member.left):
            certain[group].add(number[person])
    doubtful: dict[str, Container[int]] = {}
    for named in marks.session_names():
        session = sessions.get(fold(named))
        if session is None:
            continue
        if session.status != "delivered":
            doubtful[named] = range(len(marks.participants))
        else:
            doubtful[named] = _AllBut(certain[fold(session.group)])
    return marks.records_where(doubtful)


@dataclass(frozen=True, slots=True)
class _AllBut:
    """Every number but these."""

    numbers: Container[int]

    def __contains__(self, number: object) -> bool:
        return number not in self.numbers


def _active(member: EnrolmentRow, session: SessionRow) -> bool:
    if member.status == "waiting" or (member.status == "withdrawn" and member.left is None):
        return False
    after = member.joined is None or member.joined <= session.day
    return after and (member.left is None or session.day <= member.left)


def question_scales(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """A scale has two ends, the lower one first."""
    for row in rows.questions:
        missing = [name for name, end in (("Lowest", row.lowest), ("Highest", row.highest)) if end is None]
        if row.kind == "scale" and missing:
            yield said_at(row, missing[0], "scale-without-ends", row.question, missing=" and ".join(missing))
        elif (ends := _swapped_ends(row)) is not None:
            low, high = map(mixed_or_decimal, ends)
            yield said_at(row, "Lowest", "scale-ends-swapped", low, highest=high)


def _swapped_ends(question: QuestionRow) -> tuple[Fraction, Fraction] | None:
    """Lowest and Highest where they are not in this order; None where they are, or one is blank."""
    low, high = question.lowest, question.highest
    return (low, high) if low is not None and high is not None and low >= high else None


YES_ANSWERS: Final = ("y", "yes", "x", "✓", "✔", "1", "true")
NO_ANSWERS: Final = ("n", "no", "0", "false")


def survey_answers(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Answers are of their question's kind and inside its ends; others count as missing."""
    questions = {fold(row.question): row for row in rows.questions}
    for row in rows.surveys:
        question = questions.get(fold(row.question))
        if question is None or _swapped_ends(question) is not None:
            continue
        if question.kind == "yes-no":
            if fold(row.answer) not in (*YES_ANSWERS, *NO_ANSWERS):
                yield said_at(row, "Answer", "answer-unreadable", row.answer, wanted="yes or no")
            continue
        value = answer_value(row.answer, rows.settings.decimal_comma)
        if value is None:
            yield said_at(row, "Answer", "answer-unreadable", row.answer, wanted="a number")
        elif (question.lowest is not None and value < question.lowest) or (
            question.highest is not None and value > question.highest
        ):
            yield said_at(row, "Answer", "answer-outside", row.answer, range=_ends(question))


def answer_value(answer: str, decimal_comma: bool) -> Fraction | None:
    """The number that an answer is, or None."""
    found = number(ascii_numerals(answer), decimal_comma)
    return None if found is None else found.value


def _ends(question: QuestionRow) -> str:
    low, high = question.lowest, question.highest
    if low is None or high is None:
        only = low if high is None else high
        return f"{'from' if high is None else 'up to'} {mixed_or_decimal(only or Fraction(0))}"
    return f"{mixed_or_decimal(low)} to {mixed_or_decimal(high)}"


CHECKS: Final[tuple[Callable[[Rows, Foods], Iterable[Finding]], ...]] = (
    nothing_to_plan,
    unknown_groups,
    unknown_suppliers,
    never_taken_in,
    unknown_recipes,
    unknown_people,
    unknown_funders,
    replaced_sessions,
    report_columns,
    unknown_ingredients,
    *NEEDS_CHECKS,
    amounts_and_units,
    ounces_of_liquids,
    missing_bridges,
    count_words,
    recipe_servings,
    chilled_lots,
    tables_have_people,
    funder_shares_total,
    funders_have_sessions,
    dates_in_order,
    far_dates,
    late_packing,
    received_packs,
    marks_count,
    question_scales,
    survey_answers,
)
CHECKS_ON_A_DAY: Final[tuple[Callable[[Rows, dt.date], Iterable[Finding]], ...]] = (
    past_sessions,
    overdue_orders,
)
"""Rules that depend on the planning date."""


def check_rows(rows: Rows, as_of: dt.date | None = None) -> list[Finding]:
    """Every finding between columns, rows and sheets, those of `second_look.py` too, in the order of the workbook.

    Args:
        rows: as read.
        as_of: the planning date; None: that of Settings, and without one the rules that need it are left out.
    """
    foods = build_foods(rows)
    findings = [finding for check in (*CHECKS, *LOOKS) for finding in check(rows, foods)]
    day = as_of or rows.settings.as_of
    if day is not None:
        findings += [finding for check in (*CHECKS_ON_A_DAY, *LOOKS_ON_A_DAY) for finding in check(rows, day)]
    return in_order(findings)
