"""Who needs what: kits and tables, their batches, swaps and variants.

An unsafe kit is never planned quietly: a food that conflicts and has no swap is an error at the cell
that states the need.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from fractions import Fraction

from opsreport.findings import Finding
from opsreport.foods import Atom, Food, Need
from opsreport.measures.units import up_to_whole
from opsreport.plan.dates import packing_day
from opsreport.programme import Group, Line, Member, Programme, Session, Swap, once
from opsreport.words import fold

LEAVE_OUT = "leave out"


@dataclass(frozen=True, slots=True)
class Meeting:
    """A session that needs food, with the members active on its date."""

    session: Session
    group: Group
    packing_day: dt.date
    members: tuple[Member, ...]


@dataclass(frozen=True, slots=True)
class Replacement:
    """What a food becomes in a kit. food None: left out. unit: of the substitute, where it differs.
    passed: the foods given up on the way, the first and what would have stood for it; empty where nothing
    had to change. note: of the rows of Swaps that led there."""

    food: str | None
    ratio: Fraction = Fraction(1)
    unit: str | None = None
    passed: tuple[str, ...] = ()
    note: str = ""


@dataclass(frozen=True, slots=True)
class KitKind:
    """Kits of one session that are all alike.

    holders: the codes they are made for. count: how many of them, spare and demo kits apart (they
    differ from the holders only where the session states its Kits). batches: by recipe, before `x2`.
    needs: those that caused a swap, as typed. replacements: by packed food. home: (food, instead) of what recipes take
    from home and a holder must not get. seated: whose needs the tables meet.
    """

    holders: tuple[str, ...]
    count: int
    batches: Mapping[str, Fraction]
    needs: tuple[str, ...] = ()
    swaps: tuple[tuple[str, str], ...] = ()
    replacements: Mapping[str, Replacement] = field(default_factory=dict)
    spare: int = 0
    demo: int = 0
    home: tuple[tuple[str, str], ...] = ()
    seated: tuple[str, ...] = ()

    @property
    def kits(self) -> int:
        return self.count + self.spare + self.demo


@dataclass(frozen=True, slots=True)
class SessionKits:
    """All kits of a session, the commonest first. once: what foods needed once a session become."""

    meeting: Meeting
    kinds: tuple[KitKind, ...]
    once: Mapping[str, Replacement]


def meetings(programme: Programme) -> list[Meeting]:
    """The sessions that need food, by packing day, date and id: those planned, on or after the planning
    date, not yet packed, of a group with an active member."""
    found = []
    for session in programme.sessions.values():
        if session.status != "planned" or session.day < programme.as_of:
            continue
        group = programme.groups[session.group]
        day = packing_day(session, group, programme.calendar)
        members = members_on(programme, session)
        if day >= programme.as_of and members:
            found.append(Meeting(session, group, day, members))
    return sorted(found, key=lambda meeting: (meeting.packing_day, meeting.session.day, meeting.session.session))


def members_on(programme: Programme, session: Session) -> tuple[Member, ...]:
    """A session's group members active on its date."""
    members = programme.members_by_group.get(session.group, ())
    return tuple(member for member in members if member.active_on(session.day))


def batches_for(servings: Fraction | None, recipe_servings: Fraction, kit_step: Fraction) -> Fraction:
    """Batches of a recipe that feed `servings` people: the smallest multiple of the step that does.

    At least one step; 1 where no servings are stated.
    """
    if servings is None:
        return Fraction(1)
    return max(up_to_whole(servings / recipe_servings / kit_step), Fraction(1)) * kit_step


def spare_kits(group: Group, kits: int) -> int:
    """Spare kits of a session of `kits` kits: a percentage rounded up, or a number."""
    share = group.spare
    exact = share.of_all * kits if share.of_all is not None else (share.number or Fraction(0))
    return int(up_to_whole(exact))


def kits_of_sessions(programme: Programme) -> tuple[list[SessionKits], list[Finding]]:
    """Every session's kits, by packing day, date and id.

    Findings: need-without-swap, unknown-food-for-need.
    """
    swapper = _Swapper(programme)
    planned = [session_kits(programme, meeting, swapper) for meeting in meetings(programme)]
    return planned, swapper.findings


def delivered_kits(programme: Programme, session: Session) -> int:
    """How many kits a session of kits format has for its households, spare and demo kits apart."""
    group = programme.groups[session.group]
    if not group.kits:
        return 0
    meeting = Meeting(session, group, session.day, members_on(programme, session))
    return sum(kind.count for kits in kits_of_meetings(programme, [meeting]) for kind in kits.kinds)


def kits_of_meetings(programme: Programme, meetings: Sequence[Meeting]) -> list[SessionKits]:
    """The kits of sessions of any day, as they are (or were) packed for their members; conflicts are not said."""
    known = _kits_known(programme)
    return [known.of(meeting) for meeting in meetings]


class _KitsKnown:
    """Kits of sessions of any day, each worked out once; the day on which they are packed does not change them."""

    def __init__(self, programme: Programme) -> None:
        self._programme = programme
        self._swapper = _Swapper(programme)
        self._known: dict[str, SessionKits] = {}

    def of(self, meeting: Meeting) -> SessionKits:
        name = meeting.session.session
        if name not in self._known:
            self._known[name] = session_kits(self._programme, meeting, self._swapper)
        return replace(self._known[name], meeting=meeting)


@once
def _kits_known(programme: Programme) -> _KitsKnown:
    return _KitsKnown(programme)


def replacement_for(programme: Programme, food: str, needs: Iterable[Need]) -> Replacement | None:
    """What a food becomes for someone with these needs; None: no swap serves them."""
    covers = frozenset(atom for need in needs for atom in need.covers)
    return _Swapper(programme).fitting(programme.foods.by_name[food], covers)


@dataclass(frozen=True, slots=True)
class _Holder:
    """Someone a kit is made for, and everyone whose needs it must meet."""

    code: str
    members: tuple[Member, ...]
    servings: Fraction | None

    @property
    def needs(self) -> tuple[Need, ...]:
        return tuple(dict.fromkeys(need for member in self.members for need in member.needs))


class _Swapper:
    """Replaces what conflicts, for one programme; keeps every conflict that has no swap."""

    def __init__(self, programme: Programme) -> None:
        self.foods = programme.foods
        self.by_food: dict[str, list[Swap]] = defaultdict(list)
        for swap in programme.swaps:
            self.by_food[swap.food].append(swap)
        self.findings: list[Finding] = []

    def fitting(self, food: Food, covers: frozenset[Atom], trail: tuple[str, ...] = ()) -> Replacement | None:
        """What `food` becomes for needs that cover `covers`; None: nothing serves.

        The first row that covers all that the food conflicts on and whose substitute, swapped again
        where it must be, fits. A food already on the trail is never come back to. For a substitute of which
        nobody knows what it holds the row speaks, so it fits for needs that the row covers and for no others.
        """
        conflict = food.atoms & covers
        if not conflict:
            return Replacement(food.name)
        if food.name in trail:
            return None
        for swap in self.by_food[food.name]:
            if not conflict <= swap.need.covers:
                continue
            if swap.instead is None:
                return Replacement(None, passed=(food.name,), note=swap.note)
            instead = self.foods.by_name[swap.instead]
            if not instead.listed and not covers <= swap.need.covers:
                continue
            further = self.fitting(instead, covers, (*trail, food.name))
            if further is not None:
                passed = (food.name, *further.passed)
                unit, note = further.unit or swap.unit, _together((swap.note, further.note))
                return Replacement(further.food, swap.ratio * further.ratio, unit, passed, note)
        return None

    def _why(self, food: Food, needs: Sequence[Need]) -> str:
        """Why the rows that Swaps has for a food do not serve; nothing where it has none for these needs."""
        conflict = food.atoms & frozenset(atom for need in needs for atom in need.covers)
        rows = [swap for swap in self.by_food[food.name] if conflict & swap.need.covers]
        whole = [swap.instead for swap in rows if conflict <= swap.need.covers and swap.instead]
        unknown = [name for name in whole if not self.foods.by_name[name].listed]
        if unknown:
            named = ", ".join(dict.fromkeys(unknown))
            return f" Nobody knows what Swaps gives instead ({named}) holds besides: say it in Ingredients."
        if whole:
            return f" What Swaps gives instead ({', '.join(dict.fromkeys(whole))}) is against a need too."
        if rows:
            return " Swaps has a row for a part of that only: one row must serve all of it."
        return ""

    def replace(self, lines: Sequence[tuple[str, Line]], holder: _Holder, session: Session) -> dict[str, Replacement]:
        """What the food of each (recipe, line) becomes for a holder, by food; conflicts are kept as findings."""
        needs = holder.needs
        covers = frozenset(atom for need in needs for atom in need.covers)
        found: dict[str, Replacement] = {}
        for recipe, line in lines:
            food = self.foods.by_name[line.food]
            if needs and not food.listed:
                self._say_unknown(holder, line, recipe, session)
            replacement = self.fitting(food, covers)
            if replacement is None:
                in_conflict = [need for need in needs if need.covers & food.atoms]
                self._say_unmet(holder, in_conflict, food, recipe, session)
            else:
                found[food.name] = replacement
        return found

    def from_home(self, programme: Programme, holder: _Holder, session: Session) -> tuple[tuple[str, str], ...]:
        """(food, instead) of what recipes take from home, or list to taste, and the holder must not get.

        instead: LEAVE_OUT where a row of Swaps says so, '' where none says anything. Nothing of it is packed.
        """
        covers = frozenset(atom for need in holder.needs for atom in need.covers)
        foods = [self.foods.by_name[line.food] for _, line in lines_from_home(programme, session)]
        found = {food.name: self.fitting(food, covers) for food in foods if food.atoms & covers}
        return tuple((name, "" if made is None else made.food or LEAVE_OUT) for name, made in found.items())

    def _say_unknown(self, holder: _Holder, line: Line, recipe: str, session: Session) -> None:
        """Once where the food is named, whoever would get it."""
        for household in dict.fromkeys(member.household for member in holder.members if member.needs):
            details = {"household": household, "recipe": recipe, "session": session.session, "near": ""}
            self.findings.append(Finding(line.named, "unknown-food-for-need", line.food, details))

    def _say_unmet(
        self, holder: _Holder, needs: Sequence[Need], food: Food, recipe: str, session: Session
    ) -> None:  # fmt: skip
        """At each member whose need is not met."""
        for member in holder.members:
            named = [need.text for need in needs if need in member.needs]
            if named:
                details = {
                    "household": member.household, "ingredient": food.name, "recipe": recipe,
                    "need": "; ".join(named), "session": session.session, "why": self._why(food, needs),
                    "row": "; ".join(dict.fromkeys(need.text for need in needs)),
                }  # fmt: skip
                self.findings.append(Finding(member.needs_place, "need-without-swap", "; ".join(named), details))


def session_lines(programme: Programme, session: Session) -> list[tuple[str, Fraction, Line]]:
    """Every packed recipe line of a session, with its recipe and how often that is made, in order."""
    return [
        (recipe, times, line)
        for recipe, times in session.dishes
        if recipe in programme.recipes
        for line in programme.recipes[recipe].lines
        if line.is_packed
    ]


def lines_from_home(programme: Programme, session: Session) -> list[tuple[str, Line]]:
    """Every recipe line of a session of which nothing is packed, with its recipe, in order."""
    return [
        (recipe, line)
        for recipe, _ in session.dishes
        if recipe in programme.recipes
        for line in programme.recipes[recipe].lines
        if not line.is_packed
    ]


def session_kits(programme: Programme, meeting: Meeting, swapper: _Swapper) -> SessionKits:
    """One session's kits or tables, gathered into kinds, spare and demo kits added to the standard ones."""
    lines = session_lines(programme, meeting.session)
    per_kit = [(recipe, line) for recipe, _, line in lines if not line.once_a_session]
    per_session = [(recipe, line) for recipe, _, line in lines if line.once_a_session]
    gather = _household_kinds if meeting.group.kits else _table_kinds
    kinds = gather(programme, meeting, per_kit, swapper)
    everyone = _Holder(meeting.session.session, meeting.members, None)
    once = swapper.replace(per_session, everyone, meeting.session)
    return SessionKits(meeting, tuple(sorted(kinds, key=_commonest_first)), once)


def _commonest_first(kind: KitKind) -> tuple[int, Fraction, tuple[str, ...]]:
    """Commonest, then more batches, then swaps in text order."""
    swaps = tuple(f"{food} {instead}" for food, instead in sorted(kind.swaps))
    return (-kind.kits, -sum(kind.batches.values(), Fraction(0)), swaps)


def _one_batch(programme: Programme, session: Session) -> dict[str, Fraction]:
    return {recipe: Fraction(1) for recipe, _ in session.dishes if recipe in programme.recipes}


def _kind_for(
    programme: Programme, holder: _Holder, lines: Sequence[tuple[str, Line]], session: Session, swapper: _Swapper
) -> KitKind:  # fmt: skip
    """The kind of kit that one holder gets."""
    replacements = swapper.replace(lines, holder, session)
    changed = {food: found for food, found in replacements.items() if found.passed}
    swaps = tuple((food, found.food or LEAVE_OUT) for food, found in changed.items())
    home = swapper.from_home(programme, holder, session)
    given_up = {food for found in changed.values() for food in found.passed}
    swapped = frozenset(atom for food in given_up for atom in programme.foods.by_name[food].atoms)
    causing = tuple(need.text for need in holder.needs if need.covers & swapped)
    batches = {
        recipe: batches_for(holder.servings, programme.recipes[recipe].servings, programme.settings.kit_step)
        for recipe in _one_batch(programme, session)
    }
    return KitKind((holder.code,), 1, batches, causing, swaps, replacements, home=home)


def _kinds_of(
    programme: Programme, holders: Iterable[_Holder], lines: Sequence[tuple[str, Line]], session: Session,
    swapper: _Swapper,
) -> list[KitKind]:  # fmt: skip
    """The kinds of kit that holders get, in their order; those with the same needs and servings, of whom nothing is to
    be said, share one."""
    kinds: list[tuple[KitKind, list[str]]] = []
    alike: dict[tuple[tuple[Need, ...], Fraction | None], list[str]] = {}
    for holder in holders:
        key = holder.needs, holder.servings
        if key in alike:
            alike[key].append(holder.code)
            continue
        said, codes = len(swapper.findings), [holder.code]
        kinds.append((_kind_for(programme, holder, lines, session, swapper), codes))
        if len(swapper.findings) == said:
            alike[key] = codes
    return [replace(kind, holders=tuple(codes), count=len(codes)) for kind, codes in kinds]


def _gathered(kinds: Iterable[KitKind]) -> list[KitKind]:
    """Kinds with the same batches and the same swaps made one."""
    alike: dict[object, list[KitKind]] = defaultdict(list)
    for kind in kinds:
        alike[tuple(kind.batches.items()), frozenset(kind.swaps)].append(kind)
    return [
        replace(
            same[0],
            holders=tuple(sorted(code for kind in same for code in kind.holders)),
            count=sum(kind.count for kind in same),
            needs=_each_once(need for kind in same for need in kind.needs),
            spare=sum(kind.spare for kind in same),
            demo=sum(kind.demo for kind in same),
            home=_homes(same),
            replacements={
                food: found if (note := _together(_notes(same, food))) == found.note else replace(found, note=note)
                for food, found in same[0].replacements.items()
            },
        )
        for same in alike.values()
    ]


def _homes(kinds: Iterable[KitKind]) -> tuple[tuple[str, str], ...]:
    return tuple(sorted({each for kind in kinds for each in kind.home}))


def _notes(kinds: Iterable[KitKind], food: str) -> list[str]:
    return [kind.replacements[food].note for kind in kinds if food in kind.replacements]


def _together(notes: Iterable[str]) -> str:
    """Notes one after the other, each once."""
    return "; ".join(dict.fromkeys(note for note in notes if note))


def _each_once(needs: Iterable[str]) -> tuple[str, ...]:
    """Needs in order of text, however the rows stand; one that is typed in large and small letters once, in small."""
    return tuple({fold(need): need for need in sorted(set(needs), key=lambda need: (fold(need), need))}.values())


def _household_kinds(
    programme: Programme, meeting: Meeting, lines: Sequence[tuple[str, Line]], swapper: _Swapper
) -> list[KitKind]:  # fmt: skip
    """Kits format: one kit a household (or participant), then spare and demo kits, standard at one batch."""
    session, group = meeting.session, meeting.group
    by_code: dict[str, list[Member]] = defaultdict(list)
    for member in meeting.members:
        by_code[member.participant if group.kit_for_participant else member.household].append(member)
    holders = [
        _Holder(code, tuple(members), max((m.servings for m in members if m.servings is not None), default=None))
        for code, members in by_code.items()
    ]
    kinds = _kinds_of(programme, holders, lines, session, swapper)
    standard = KitKind((), 0, _one_batch(programme, session), replacements=_unchanged(lines))
    if session.kits is not None:
        plain = tuple(code for kind in kinds if not kind.swaps for code in kind.holders)
        home = _homes(kind for kind in kinds if not kind.swaps)
        stated = replace(standard, holders=plain, count=session.kits, home=home)
        kinds = [*(kind for kind in kinds if kind.swaps), *([stated] if session.kits else [])]
    spare = spare_kits(group, sum(kind.count for kind in kinds))
    if spare or group.demo:
        kinds.append(replace(standard, spare=spare, demo=group.demo))
    return _gathered(kinds)


def _unchanged(lines: Sequence[tuple[str, Line]]) -> dict[str, Replacement]:
    return {line.food: Replacement(line.food) for _, line in lines}


def _table_kinds(
    programme: Programme, meeting: Meeting, lines: Sequence[tuple[str, Line]], swapper: _Swapper
) -> list[KitKind]:  # fmt: skip
    """Table format: one batch a table; as many tables as the people with conflicts fill are made with
    the union of their swaps, the rest are standard. No spare kits; demo kits as set. A food that nobody
    knows conflicts with every need, until someone says what is in it."""
    session, group = meeting.session, meeting.group
    people = len(meeting.members)
    seats = group.people_per_table or people
    foods = [programme.foods.by_name[line.food] for _, line in lines]
    affected = tuple(
        member for member in meeting.members
        if any(need.covers & food.atoms or not food.listed for need in member.needs for food in foods)
    )  # fmt: skip
    tables = -(-people // seats)
    apart = -(-len(affected) // seats)
    one_batch = _one_batch(programme, session)
    standard = KitKind((), tables - apart, one_batch, replacements=_unchanged(lines), demo=group.demo)
    kinds = [standard] if standard.kits else []
    if affected:
        holder = _Holder(session.session, affected, None)
        kind = _kind_for(programme, holder, lines, session, swapper)
        seated = tuple(member.participant for member in affected)
        kinds.append(replace(kind, holders=(), count=apart, batches=one_batch, seated=seated))
    return _gathered(kinds)
