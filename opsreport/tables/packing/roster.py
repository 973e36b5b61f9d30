"""Pick-up roster: who collects which kit, and nothing else about them."""

from collections import Counter, defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Final

from opsreport.plan.model import PlannedSession
from opsreport.plan.needs.kits import members_on
from opsreport.shown import day_words
from opsreport.tables.packing.cautions import cold_caution
from opsreport.tables.packing.day import Kits, PackingDay, counted
from opsreport.tables.table import Column, Document, Part, Prose, Row, Table

SPARE: Final = "Spare, given to:"
DEMO: Final = "Demo, instructor"
NO_NAME: Final = "Kit without a name, given to:"
NO_PLACE: Final = "Place to be agreed"
ASK_FIRST: Final = (
    "ASK FIRST: nobody has asked them yet what they must not get. Ask before you hand the kit over, show the label, "
    "and tell the coordinator."
)
_BLANK_LINES: Final = 2
_COLUMNS: Final = (
    Column("Collected by", width=28),
    Column("Kit", "code", 9),
    Column("Bags", "count", 6),
    Column("Cold", "code", 6),
    Column("Collected", "boxes", 9),
    Column("Time", "write-in", 12),
    Column("Name, where blank", "write-in", 18),
)


def roster(day: PackingDay) -> Document:
    """By place, a page a session, by the name or code that is called out."""
    groups = day.programme.groups
    handed_out = [session for session in day.sessions if groups[session.group].kits]
    handed_out.sort(key=lambda session: groups[session.group].pick_up_place.casefold())
    waiting = _kits_of_households(day)
    parts: list[Part] = [_table(day, session, waiting) for session in handed_out]
    together = [session for session in day.sessions if not groups[session.group].kits]
    if together:
        parts.append(
            Prose(
                tuple(
                    f"Session {session.session}, {day_words(session.day)}: "
                    f"{counted(session.kits, 'table box')}, taken to the session; nobody collects them."
                    for session in together
                ),
                "Cooked together",
            )
        )
    reader = "whoever hands out the kits; not for the notice board"
    return day.document("roster", "Pick-up roster", reader, parts)


Waiting = Mapping[tuple[str, str], Sequence[str]]
"""By household and place, the codes of the kits that wait there: several groups, or several of one household."""


def _table(day: PackingDay, session: PlannedSession, waiting: Waiting) -> Table:
    group = day.programme.groups[session.group]
    place = group.pick_up_place or NO_PLACE
    variants = day.kits_of(session)
    rows = sorted(_holder_rows(day, session, variants, waiting), key=lambda row: str(row.cells[0]).casefold())
    leads = {0: "on the day of the session", 1: "the day before the session"}
    lead = leads.get(group.pick_up_lead, f"{group.pick_up_lead} days before the session")
    return Table(
        f"Session {session.session}",
        f"{place}: {group.name or group.group}, session {session.session} on {day_words(session.day)}",
        _COLUMNS,
        (*rows, *_unnamed_rows(variants), *[Row(("", "", None, "", 1, None, None))] * _BLANK_LINES),
        intro=(
            f"Handed out {lead}{', ' + group.pick_up_time if group.pick_up_time else ''}. "
            f"{counted(session.kits, 'kit')} in all.",
            *_too_few(variants),
            "Hand out the kit with exactly this code: kits with another letter are not the same. "
            "Two bags means one of them is cold: take it from the fridge when it is called for.",
            *((ASK_FIRST,) if _to_ask(day, session) else ()),
            *((cold_caution(day.programme),) if any(kits.cold for kits in variants) else ()),
        ),
        notes=(
            f"Packed {session.kits} = collected ____ + passed on ____ + left ____ + discarded ____ + not known ____. "
            "Type what became of each kit into Pick-ups.",
            "Left over: cold bags back into the fridge at once; discard cold food that was out longer than said above. "
            "What is unopened and in date goes back on the shelf: kits-handed-out lists it for Stock.",
            "Collect this sheet back, and shred it once it has been typed in.",
        ),
        page_break=True,
        one_page=8.5,
    )


def _holder_rows(
    day: PackingDay, session: PlannedSession, variants: Sequence[Kits], waiting: Waiting
) -> Iterable[Row]:  # fmt: skip
    names, ask = called_out(day, session), _to_ask(day, session)
    for kits in variants:
        households = _households(kits)
        for holder in kits.variant.holders:
            others = list(waiting[households.get(holder, holder), kits.place])
            others.remove(kits.code)
            marks = [f"also {', '.join(others)}" if others else "", "ASK FIRST" if holder in ask else ""]
            yield _row(" · ".join([names[holder], *(mark for mark in marks if mark)]), kits)


def _kits_of_households(day: PackingDay) -> Waiting:
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for kits in day.kits:
        if kits.group.kits:
            households, place, code = _households(kits), kits.place, kits.code
            for holder in kits.variant.holders:
                found[households.get(holder, holder), place].append(code)
    return found


def _households(kits: Kits) -> dict[str, str]:
    """The households of those for whom kits are, where that is a participant: by participant."""
    members = members_on(kits.programme, kits.meeting) if kits.group.kit_for_participant else ()
    return {member.participant: member.household for member in members}


def _to_ask(day: PackingDay, session: PlannedSession) -> set[str]:
    """Holders of kits of whom somebody was never asked about needs."""
    for_participant = day.programme.groups[session.group].kit_for_participant
    members = members_on(day.programme, day.programme.sessions[session.session])
    return {member.participant if for_participant else member.household for member in members if not member.asked}


def _row(who: str, kits: Kits) -> Row:
    return Row((who, kits.code, 2 if kits.cold else 1, "COLD" if kits.cold else "", 1, None, None))


def called_out(day: PackingDay, session: PlannedSession) -> dict[str, str]:
    """By holder of a kit: the pick-up name where there is one, else the code; with both where names are the same."""
    holders = [holder for variant in session.variants for holder in variant.holders]
    group = day.programme.groups[session.group]
    found: dict[str, list[str]] = {holder: [] for holder in holders}
    for member in members_on(day.programme, day.programme.sessions[session.session]):
        code = member.participant if group.kit_for_participant else member.household
        if code in found and member.pick_up_name and member.pick_up_name not in found[code]:
            found[code].append(member.pick_up_name)
    shown = {holder: " or ".join(names) or holder for holder, names in found.items()}
    same = Counter(shown.values())
    return {holder: f"{name} ({holder})" if same[name] > 1 else name for holder, name in shown.items()}


def _unnamed_rows(variants: Sequence[Kits]) -> Iterable[Row]:
    """Kits for nobody in particular: stated beyond the households, spare and demo ones."""
    for kits in variants:
        spare, demo = kits.variant.spare, kits.variant.demo
        without = kits.count - spare - demo - len(kits.variant.holders)
        for words, number in ((NO_NAME, without), (SPARE, spare), (DEMO, demo)):
            for _ in range(number):
                yield _row(words, kits)


def _too_few(variants: Sequence[Kits]) -> Iterable[str]:
    for kits in variants:
        short = len(kits.variant.holders) - (kits.count - kits.variant.spare - kits.variant.demo)
        if short > 0:
            few = counted(short, "kit")
            yield f"{kits.code}: {few} fewer than there are lines, as the session's Kits cell says."
