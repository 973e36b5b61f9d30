"""What a careful colleague would ask about a workbook that reads well: warnings and a note, each with its reason.

Nothing here stops a document. One function a question, all listed in LOOKS and LOOKS_ON_A_DAY.
"""

import datetime as dt
import re
from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator
from fractions import Fraction
from itertools import combinations, pairwise
from typing import Final

from opsreport.findings import Finding
from opsreport.foods import Food, Foods
from opsreport.joining import quantity_of
from opsreport.kinds import mixed_or_decimal
from opsreport.measures.units import BASE_OF, SEALED_WORDS, MeasureSet, NoBridge, Quantity
from opsreport.reading.saying import did_you_mean, said_at
from opsreport.sheets import EnrolmentRow, PackRow, Rows, SessionRow
from opsreport.words import fold

APART: Final = dt.timedelta(days=56)
"""Eight weeks without any other session: longer than a break between them, so probably a typing slip."""
HALF_A_YEAR: Final = dt.timedelta(days=183)
STALE: Final = dt.timedelta(days=14)
"""How long a count of the shelf is believed."""
PRICES_APART: Final = 3
"""Times the cheapest price by weight that makes another supplier's doubtful."""
KEEPS_SHORT: Final = 14
"""Days once opened, up to which it matters which packs are opened."""
LARGEST_HOUSEHOLD: Final = 12
LARGEST_BATCH: Final = 100
"""People that one household, one batch of a recipe feeds. All seven: common practice, no source."""


# --- sessions and who comes ---


def sessions_outside_term(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Sessions outside the term that Settings gives; without it, sessions far from all others."""
    start, end = rows.settings.term_from, rows.settings.term_until
    held = [row for row in rows.sessions if row.status != "cancelled"]
    if start is not None or end is not None:
        words = f"{f'from {start}' if start else ''} {f'until {end}' if end else ''}".strip()
        for row in held:
            if (start is not None and row.day < start) or (end is not None and row.day > end):
                yield said_at(row, "Date", "session-outside-term", row.day.isoformat(), session=row.session, term=words)
        return
    days = sorted({row.day for row in held})
    if len(days) < 4:
        return
    gaps = [
        dt.timedelta.max,
        *(after - before for before, after in pairwise(days)),
        dt.timedelta.max,
    ]
    alone = {day for day, before, after in zip(days, gaps, gaps[1:], strict=False) if min(before, after) > APART}
    others = [day for day in days if day not in alone]
    for row in held:
        if row.day in alone and others:
            words = f"the others are from {others[0]} until {others[-1]}"
            yield said_at(row, "Date", "session-outside-term", row.day.isoformat(), session=row.session, term=words)


def _minute(start: str) -> int | None:
    clock = re.fullmatch(r"([0-9]{2}):([0-9]{2})", start)
    return None if clock is None else int(clock[1]) * 60 + int(clock[2])


def _at_one_time(first: SessionRow, second: SessionRow) -> bool:
    one, other = _minute(first.start), _minute(second.start)
    if one is None or other is None:
        return fold(first.start) == fold(second.start)
    earlier, later, minutes = (one, other, first.minutes) if one <= other else (other, one, second.minutes)
    return later == earlier or later < earlier + (minutes or 0)


def sessions_at_one_time(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Two sessions of a group on one day whose times are the same, overlap or are both blank."""
    by_day: dict[tuple[str, dt.date], list[SessionRow]] = {}
    for row in rows.sessions:
        if row.status != "cancelled":
            by_day.setdefault((fold(row.group), row.day), []).append(row)
    for held in by_day.values():
        for first, second in combinations(held, 2):
            if _at_one_time(first, second):
                at = "Start" if second.start else "Date"
                when = f"{second.day.isoformat()} {second.start}".strip()
                yield said_at(second, at, "sessions-at-one-time", when, group=second.group, session=second.session,
                              other=first.session)  # fmt: skip


def _at_once(first: EnrolmentRow, second: EnrolmentRow) -> bool:
    start = max(first.joined or dt.date.min, second.joined or dt.date.min)
    return start <= min(first.left or dt.date.max, second.left or dt.date.max)


def members_of_two_groups(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """People who are active in several groups at once."""
    by_person: dict[str, list[EnrolmentRow]] = {}
    for row in rows.enrolment:
        if row.status == "active":
            by_person.setdefault(fold(row.participant), []).append(row)
    for enrolled in by_person.values():
        second = next((row for n, row in enumerate(enrolled) for other in enrolled[:n] if _at_once(row, other)), None)
        if second is not None:
            groups = " and ".join(dict.fromkeys(row.group for row in enrolled))
            yield said_at(second, "Group", "member-of-two-groups", second.group, groups=groups,
                          participant=second.participant)  # fmt: skip


def seats_taken(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """More active members than a group has seats, counted where it is fullest."""
    seated = {fold(group.group): group for group in rows.groups if group.seats is not None}
    by_group: dict[str, list[EnrolmentRow]] = {key: [] for key in seated}
    for row in rows.enrolment if seated else ():
        if row.status == "active" and (members := by_group.get(fold(row.group))) is not None:
            members.append(row)
    for key, group in seated.items():
        members = by_group[key]
        starts = {row.joined or dt.date.min for row in members}
        most = max((sum((row.joined or dt.date.min) <= day <= (row.left or dt.date.max) for row in members)
                    for day in starts), default=0)  # fmt: skip
        if group.seats is not None and most > group.seats:
            yield said_at(group, "Seats", "seats-exceeded", str(group.seats), group=group.group, members=str(most))


def groups_without_sessions(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Groups with members that never meet: often one group under two names."""
    if not rows.sessions or rows.spoiled.get("Sessions"):
        return
    meeting = {fold(row.group): row.group for row in rows.sessions}
    listed = rows.known.get("Groups", {})
    told: set[str] = set()
    for row in rows.enrolment:
        key = fold(row.group)
        if key not in meeting and key not in told and row.status == "active" and (not listed or key in listed):
            told.add(key)
            yield said_at(row, "Group", "group-without-sessions", row.group,
                          near=did_you_mean(row.group, meeting.values()))  # fmt: skip


# --- codes of people ---

_TWO_PEOPLE: Final = re.compile(r"\s(?:and|&|\+|/)\s|\S\s*[&,]\s*\S")


def people_in_one_row(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Participant codes that read like two people: they count as one and get one kit."""
    for row in rows.enrolment:
        if _TWO_PEOPLE.search(row.participant):
            yield said_at(row, "Participant", "participant-several", row.participant)


def codes_that_differ_by_zeros(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """`007` and `7` are two people."""
    first: dict[str, str] = {}
    for row in rows.enrolment:
        if row.participant.isdecimal():
            other = first.setdefault(row.participant.lstrip("0"), row.participant)
            if other != row.participant:
                yield said_at(row, "Participant", "ids-differ-by-zeros", row.participant, other=other)


# --- servings ---


def servings_that_make_no_sense(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Households and batches that feed nobody or a crowd; a household that states two Servings for one kit."""
    first: dict[tuple[str, str], EnrolmentRow] = {}
    for row in rows.enrolment:
        if row.servings is None or row.status == "withdrawn":
            continue
        if not _feeds(row.servings, LARGEST_HOUSEHOLD):
            shown = mixed_or_decimal(row.servings)
            yield said_at(row, "Servings", "servings-odd", shown, whom=f"the household of {row.participant}")
        if row.household:
            other = first.setdefault((fold(row.household), fold(row.group)), row)
            stated = other.servings
            if stated is not None and stated is not row.servings and stated != row.servings:
                shown = mixed_or_decimal(row.servings)
                yield said_at(row, "Servings", "servings-differ", shown, household=row.household,
                              first=mixed_or_decimal(stated), row=str(other.place.row))  # fmt: skip
    for line in rows.recipes:
        if line.servings is not None and not _feeds(line.servings, LARGEST_BATCH):
            shown = mixed_or_decimal(line.servings)
            yield said_at(line, "Servings", "servings-odd", shown, whom=f"a batch of {line.recipe}")


def _feeds(servings: Fraction, most: int) -> bool:
    """Whether so many servings feed somebody, and no crowd; compared in whole numbers, which is quick."""
    return servings.denominator <= servings.numerator <= most * servings.denominator


# --- food, packs and stock ---


def recipes_never_used(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Recipes that no session makes; not asked where a session cannot be read, or misspells what may be one of them."""
    used = {fold(dish.recipe) for row in rows.sessions for dish in row.recipes}
    if not used or rows.spoiled.get("Sessions") or not used <= rows.known.get("Recipes", {}).keys():
        return
    for row in rows.recipes:
        key = fold(row.recipe)
        if key not in used:
            used.add(key)
            yield said_at(row, "Recipe", "recipe-unused", row.recipe)


def prices_far_apart(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """A supplier's cheapest pack of a food that costs three times another's by weight, volume or piece."""
    cheapest: dict[tuple[str, str], dict[str, tuple[Fraction, PackRow]]] = {}
    for row in rows.packs:
        food, quantity = foods.find(row.ingredient), quantity_of(row.amount, row.unit)
        if food is None or quantity is None or not row.price:
            continue
        try:
            base, size = "g", food.bridge.convert(quantity, "g", rows.settings.measures)
        except NoBridge:
            base, size = BASE_OF[quantity.dimension], quantity.in_base(rows.settings.measures)
        by_supplier = cheapest.setdefault((food.name, base), {})
        found = (row.price / size, row)
        by_supplier[fold(row.supplier)] = min(by_supplier.get(fold(row.supplier), found), found, key=lambda one: one[0])
    for (name, base), offers in cheapest.items():
        least, cheap = min(offers.values(), key=lambda one: one[0])
        for price, row in offers.values():
            if price >= PRICES_APART * least:
                times = mixed_or_decimal(Fraction(round(price / least * 10), 10))
                seen = rows.settings.currency.shown(row.price)
                per = {"g": "gram", "mL": "millilitre"}.get(base, "piece")
                yield said_at(row, "Price", "price-far-apart", seen, ingredient=name, times=times, per=per,
                              other=cheap.supplier, row=str(cheap.place.row))  # fmt: skip


def donated_without_value(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Donated lots that in-kind reports cannot count."""
    for row in rows.stock:
        if row.source == "donated" and row.value is None and row.amount.value:
            yield said_at(row, "Value", "donated-without-value", row.ingredient)


def stock_long_ago(rows: Rows, as_of: dt.date) -> Iterator[Finding]:
    """Lots opened, or best before, more than half a year ago: a year mistyped, or food from before last term."""
    for row in rows.stock:
        for heading, day in (("Best before", row.best_before), ("Opened", row.opened)):
            if day is not None and day < as_of - HALF_A_YEAR and row.amount.value:
                yield said_at(row, heading, "stock-long-ago", day.isoformat(), heading=heading,
                              ingredient=row.ingredient)  # fmt: skip


def orders_that_keep_otherwise(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Packs still to come that Packs gives other days than Ingredients does, by which they are counted on."""
    packs: dict[tuple[str, str], list[PackRow]] = defaultdict(list)
    for pack in rows.packs:
        if (known := foods.find(pack.ingredient)) is not None:
            packs[fold(pack.supplier), known.name].append(pack)
    for row in rows.orders:
        food = foods.find(row.ingredient)
        if row.best_before is not None or row.packs <= row.received or food is None:
            continue
        its = packs.get((fold(row.supplier), food.name), [])
        same = [pack for pack in its if row.item and fold(pack.item) == fold(row.item)]
        same = same or [pack for pack in its if (pack.amount.value, pack.unit) == (row.amount.value, row.unit)]
        days = {food.keeps if pack.keeps is None else pack.keeps for pack in same}
        keeps = days.pop() if len(days) == 1 else food.keeps
        if keeps is not None and keeps != food.keeps:
            yield said_at(row, "Best before", "order-keeps-otherwise", row.order, ingredient=row.ingredient,
                          date=(row.due + dt.timedelta(days=keeps)).isoformat())  # fmt: skip


def lots_of_several_packs(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Sealed lots of food that keeps only days once opened, of as much as several packs on offer hold."""
    measures = rows.settings.measures
    sizes: dict[str, set[Fraction]] = defaultdict(set)
    for pack in rows.packs:
        food, size = foods.find(pack.ingredient), quantity_of(pack.amount, pack.unit)
        if food is not None and size is not None and size.unit not in SEALED_WORDS:
            sizes[food.name].add(_in_base(food, size, measures))
    for row in rows.stock:
        food, quantity = foods.find(row.ingredient), quantity_of(row.amount, row.unit)
        if food is None or quantity is None or row.packs is not None or row.opened is not None:
            continue
        if food.keeps_open is None or food.keeps_open > KEEPS_SHORT or quantity.unit in SEALED_WORDS:
            continue
        whole = [_in_base(food, quantity, measures) / size for size in sizes[food.name] if size]
        packs = min((number for number in whole if number > 1 and number.denominator == 1), default=None)
        if packs is not None:
            yield said_at(row, "Packs", "stock-in-one-pack", str(quantity), ingredient=food.name,
                          days=str(food.keeps_open), packs=str(packs))  # fmt: skip


def _in_base(food: Food, quantity: Quantity, measures: MeasureSet) -> Fraction:
    """In grams where they can be told, else in the base of its own dimension."""
    try:
        return food.bridge.convert(quantity, "g", measures)
    except NoBridge:
        return quantity.in_base(measures)


def opened_in_packs(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Lots that are opened and stand in several packs, of which one is opened at a time."""
    for row in rows.stock:
        if row.opened is not None and (row.packs or 1) > 1:
            yield said_at(row, "Packs", "opened-in-packs", str(row.packs), ingredient=row.ingredient)


def counts_gone_stale(rows: Rows, as_of: dt.date) -> Iterator[Finding]:
    """Lots counted more than two weeks ago, or on a day still to come."""
    for row in rows.stock:
        if row.counted is not None and row.amount.value:
            if row.counted < as_of - STALE:
                days = (as_of - row.counted).days
                yield said_at(row, "Counted", "count-stale", row.counted.isoformat(), ingredient=row.ingredient,
                              days=str(days))  # fmt: skip
            elif row.counted > as_of:
                yield said_at(row, "Counted", "count-to-come", row.counted.isoformat(), ingredient=row.ingredient)


LOOKS: Final[tuple[Callable[[Rows, Foods], Iterable[Finding]], ...]] = (
    sessions_outside_term,
    sessions_at_one_time,
    members_of_two_groups,
    seats_taken,
    groups_without_sessions,
    people_in_one_row,
    codes_that_differ_by_zeros,
    servings_that_make_no_sense,
    recipes_never_used,
    prices_far_apart,
    donated_without_value,
    lots_of_several_packs,
    opened_in_packs,
    orders_that_keep_otherwise,
)
LOOKS_ON_A_DAY: Final[tuple[Callable[[Rows, dt.date], Iterable[Finding]], ...]] = (stock_long_ago, counts_gone_stale)
"""Those that depend on the planning date."""
