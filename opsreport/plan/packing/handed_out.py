"""What became of the kits of delivered sessions, and what of those left over can go back on the shelf."""

from collections import Counter, defaultdict
from dataclasses import dataclass
from fractions import Fraction

from opsreport.plan.model import PlannedSession
from opsreport.plan.needs.amounts import past_sessions
from opsreport.plan.needs.kits import Meeting, kits_of_meetings, members_on
from opsreport.programme import Programme


@dataclass(frozen=True, slots=True)
class HandedOut:
    """One session's kits. packed = collected + passed_on + left + discarded + unknown; short: not packed at all.

    extra: spare and demo kits among those packed, which no household has a row for.
    """

    session: str
    packed: int
    collected: int
    passed_on: int
    left: int
    discarded: int
    short: int
    extra: int

    @property
    def unknown(self) -> int:
        """Kits of which nobody wrote what became of them; below 0 where more were written than were packed."""
        return self.packed - self.collected - self.passed_on - self.left - self.discarded


@dataclass(frozen=True, slots=True)
class Returned:
    """Whole pieces of one food from kits that were left, by session."""

    session: str
    food: str
    pieces: Fraction
    unit: str


def handed_out(programme: Programme) -> tuple[tuple[HandedOut, ...], tuple[Returned, ...]]:
    """Sessions of kits format with a row in Pick-ups, by date; then what their left kits hold in whole pieces.

    Only food kept on the shelf and handed out in whole pieces goes back: what was measured was opened.
    """
    fates: dict[str, set[tuple[str, str]]] = defaultdict(set)
    for row in programme.pick_ups:
        fates[row.session].add((row.household, row.kit))
    sessions = [
        session for session in programme.sessions.values()
        if session.session in fates and programme.groups[session.group].kits
    ]  # fmt: skip
    sessions.sort(key=lambda session: (session.day, session.session))
    meetings = [
        Meeting(session, programme.groups[session.group], session.day, members_on(programme, session))
        for session in sessions
    ]
    packed = past_sessions(programme, kits_of_meetings(programme, meetings))
    told = []
    back: list[Returned] = []
    for planned in packed:
        count = Counter(kit for _, kit in fates[planned.session])
        told.append(
            HandedOut(
                planned.session, planned.kits - count["short"], count["collected"], count["passed on"], count["left"],
                count["discarded"], count["short"], sum(variant.spare + variant.demo for variant in planned.variants),
            )
        )  # fmt: skip
        left = {household for household, kit in fates[planned.session] if kit == "left"}
        back += _returned(programme, planned, left)
    return tuple(told), tuple(back)


def _returned(programme: Programme, planned: PlannedSession, left: set[str]) -> list[Returned]:
    pieces: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    for variant in planned.variants:
        number = len(left & set(variant.holders))
        for line in variant.lines:
            if number and line.whole and programme.foods.by_name[line.food].place_kept == "shelf":
                pieces[line.food, line.shown.unit] += line.shown.amount * number
    return [Returned(planned.session, food, amount, unit) for (food, unit), amount in sorted(pieces.items())]
