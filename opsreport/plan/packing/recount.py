"""A packing morning with less on the shelf than planned: which kits can be full, for whom, and what is missing."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from opsreport.plan.model import PlannedSession, Variant
from opsreport.plan.needs.kits import members_on
from opsreport.plan.packing.filling import Filled, Limit, fill
from opsreport.programme import Programme

SHORT: Final = "short"
"""What Pick-ups says of a kit that could not be packed."""


@dataclass(frozen=True, slots=True)
class Counted:
    """What was found of one food. good_through: None where nothing limits it."""

    food: str
    amount: Fraction
    good_through: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Claim:
    """One kit that someone waits for, in the order in which kits are filled. holder: '' for nobody in particular."""

    has_swaps: bool
    shorted_before: bool
    joined: dt.date
    day: dt.date
    session: str
    holder: str

    @property
    def precedence(self) -> tuple[object, ...]:
        """Kits with swaps, then those who went short before, then the longest here, then by code."""
        return (not self.has_swaps, not self.shorted_before, self.joined, self.holder, self.day, self.session)


@dataclass(frozen=True, slots=True)
class KitSort:
    """Kits that are all alike. takes: per kit, by food [base unit]; claims: in order of precedence."""

    code: str
    session: str
    use_by: dt.date
    takes: Mapping[str, Fraction]
    claims: tuple[Claim, ...]
    spare: int = 0
    demo: int = 0
    has_swaps: bool = False

    @property
    def kits(self) -> int:
        return len(self.claims) + self.spare + self.demo


@dataclass(frozen=True, slots=True)
class SortFilled:
    """What becomes of one sort. alone: how many full ones if only these were packed, at most those planned;
    stopper: what stops them there, '' where nothing does."""

    sort: KitSort
    alone: int
    stopper: str
    households: int
    spare: int
    demo: int

    @property
    def packed(self) -> int:
        return self.households + self.spare + self.demo

    @property
    def served(self) -> tuple[Claim, ...]:
        return self.sort.claims[: self.households]

    @property
    def short(self) -> tuple[Claim, ...]:
        return self.sort.claims[self.households :]


@dataclass(frozen=True, slots=True)
class FoodShort:
    """A food of which there is too little for every kit. kits_possible: full ones as regards this food alone;
    there: what is good long enough for the kits that miss it; missing = needed - there, for those kits."""

    food: str
    needed: Fraction
    there: Fraction
    unit: str
    kits_possible: int
    kits_without: int = 0
    """Of the kits possible, those that hold none of it."""

    @property
    def missing(self) -> Fraction:
        return self.needed - self.there


@dataclass(frozen=True, slots=True)
class Recount:
    """A day's answer. foods_short: the stopper first. once_short: (session, food, amount missing, unit) of
    what is packed once a session, after the kits. uncounted: taken to be there as planned."""

    day: dt.date
    sorts: tuple[SortFilled, ...]
    foods_short: tuple[FoodShort, ...]
    once_short: tuple[tuple[str, str, Fraction, str], ...]
    uncounted: tuple[str, ...]
    left: Mapping[str, Fraction] = field(default_factory=dict)
    proven: bool = True
    swaps_first: bool = False
    other_way: tuple[int, int] = (0, 0)
    """Households served, and of them with swaps, had the choice between the two been the other one."""

    @property
    def planned(self) -> int:
        return sum(each.sort.kits for each in self.sorts)

    @property
    def packed(self) -> int:
        return sum(each.packed for each in self.sorts)


def sorts_of(programme: Programme, sessions: Sequence[PlannedSession]) -> tuple[KitSort, ...]:
    """The sorts of kit of some sessions, with who waits for them."""
    margin = dt.timedelta(days=programme.settings.keep_margin)
    return tuple(
        KitSort(
            code=f"{session.session}-{variant.letter}",
            session=session.session,
            use_by=session.day + margin,
            takes={line.food: line.base for line in variant.lines if line.base},
            claims=_claims(programme, session, variant),
            spare=variant.spare,
            demo=variant.demo,
            has_swaps=bool(variant.swaps),
        )
        for session in sessions
        for variant in session.variants
        if variant.kits
    )


def _claims(programme: Programme, session: PlannedSession, variant: Variant) -> tuple[Claim, ...]:
    """A claim a kit, in order of precedence; kits for nobody in particular after those for somebody."""
    group = programme.groups[session.group]
    joined: dict[str, dt.date] = {}
    for member in members_on(programme, programme.sessions[session.session]):
        code = member.participant if group.kit_for_participant else member.household
        joined[code] = min(joined.get(code, dt.date.max), member.joined or dt.date.min)
    shorted = {row.household for row in programme.pick_ups if row.kit == SHORT}
    number = variant.kits - variant.spare - variant.demo
    holders = [*variant.holders, *[""] * max(number - len(variant.holders), 0)]
    claims = [
        Claim(
            has_swaps=bool(variant.swaps),
            shorted_before=holder in shorted,
            joined=joined.get(holder, dt.date.max),
            day=session.day,
            session=session.session,
            holder=holder,
        )
        for holder in holders
    ]
    return tuple(sorted(claims, key=lambda claim: (not claim.holder, claim.precedence))[:number])


def limits_of(sorts: Sequence[KitSort], counted: Sequence[Counted]) -> list[tuple[str, dt.date, Limit]]:
    """What each counted food allows, for kits that need it good through each day or longer.

    Food that is good longer serves every kit, so that these limits together say exactly when the lots can
    be handed out: kits for `use_by` or later, and no others, share what is good through `use_by` or later.
    """
    found = []
    for food in dict.fromkeys(each.food for each in counted):
        for use_by in sorted({sort.use_by for sort in sorts if food in sort.takes}):
            amounts = tuple(
                sort.takes.get(food, Fraction(0)) if sort.use_by >= use_by else Fraction(0) for sort in sorts
            )
            there = sum(
                (
                    each.amount for each in counted
                    if each.food == food and (each.good_through is None or each.good_through >= use_by)
                ),
                Fraction(0),
            )  # fmt: skip
            found.append((food, use_by, Limit(amounts, there)))
    return found


def recount(
    programme: Programme,
    day: dt.date,
    sessions: Sequence[PlannedSession],
    counted: Sequence[Counted],
    *,
    swaps_first: bool = False,
) -> Recount:
    """Which kits can be full with what was counted, as `allocated` shares it out.

    A food that nobody counted is taken to be there as planned.
    """
    sorts = sorts_of(programme, sessions)
    limits = limits_of(sorts, counted)
    kits, proven = allocated(sorts, [limit for _, _, limit in limits], swaps_first=swaps_first)
    other, _ = allocated(sorts, [limit for _, _, limit in limits], swaps_first=not swaps_first)
    filled = tuple(
        SortFilled(sort, *_alone(number, sort, limits), kits[0][number], kits[1][number], kits[2][number])
        for number, sort in enumerate(sorts)
    )
    used: dict[str, Fraction] = defaultdict(Fraction)
    for each in filled:
        for food, amount in each.sort.takes.items():
            used[food] += amount * each.packed
    left: dict[str, Fraction] = defaultdict(Fraction)
    for count in counted:
        left[count.food] += count.amount
    left = {food: max(amount - used[food], Fraction(0)) for food, amount in left.items()}
    known = {each.food for each in counted}
    foods = dict.fromkeys(
        [food for sort in sorts for food in sort.takes] + [line.food for session in sessions for line in session.once]
    )
    return Recount(
        day, filled, tuple(_foods_short(programme, sorts, limits)), tuple(_once_short(sessions, known, left)),
        tuple(food for food in foods if food not in known), left, proven, swaps_first,
        (sum(other[0]), sum(number for number, sort in zip(other[0], sorts, strict=True) if sort.has_swaps)),
    )  # fmt: skip


def allocated(
    sorts: Sequence[KitSort], rows: Sequence[Limit], *, swaps_first: bool = False
) -> tuple[tuple[list[int], list[int], list[int]], bool]:
    """How many kits of each sort are packed for households, as spare and as demo kits; and whether that is proven.

    Most households are served first; of the ways to do that, the one that serves more kits with swaps; then
    claims in order of precedence; then most spare kits, then most demo kits, earlier sorts first. With
    `swaps_first` kits with swaps are filled before any standard one, though fewer households may be served.
    """
    chosen = _households(sorts, rows, swaps_first)
    done, proven = chosen.kits, chosen.proven
    tiers = [list(done)]
    for wanted in ([sort.spare for sort in sorts], [sort.demo for sort in sorts]):
        before = done
        for number in range(len(sorts) + 1):  # first how many in all, then sort by sort as many as that allows
            most = [had + more for had, more in zip(before, wanted, strict=True)]
            if number == 0:
                best = fill([1] * len(sorts), before, most, rows) or Filled(tuple(before))
                done, total, proven = best.kits, sum(best.kits), proven and best.proven
                continue
            place = number - 1
            while done[place] < most[place]:
                least = [*done[:place], done[place] + 1, *before[place + 1 :]]
                better = fill([1] * len(sorts), least, most, rows)
                if better is None or sum(better.kits) < total:
                    break
                done = better.kits
        tiers.append([now - had for now, had in zip(done, before, strict=True)])
    return (tiers[0], tiers[1], tiers[2]), proven


def _households(sorts: Sequence[KitSort], rows: Sequence[Limit], swaps_first: bool) -> Filled:
    """How many households' kits of each sort.

    Claims are granted one after the other: each is if the best number can still be reached with it.
    """
    most = [len(sort.claims) for sort in sorts]
    several = sum(most) + 1
    worth = [(several if sort.has_swaps else 1) if swaps_first else several + sort.has_swaps for sort in sorts]
    none = [0] * len(sorts)
    best = fill(worth, none, most, rows) or Filled(tuple(none))
    aim = _value(worth, best)
    proven = best.proven
    granted = list(none)
    queue = sorted(
        ((claim.precedence, number) for number, sort in enumerate(sorts) for claim in sort.claims),
        key=lambda each: each,
    )
    closed: set[int] = set()
    for _, number in queue:
        if number in closed:
            continue
        if best.kits[number] <= granted[number]:
            wanted = [kits + (place == number) for place, kits in enumerate(granted)]
            other = fill(worth, wanted, most, rows)
            if other is None or _value(worth, other) < aim:
                proven = proven and (other is None or other.proven)
                closed.add(number)
                continue
            best = other
        granted[number] += 1
    return Filled(tuple(granted), proven)


def _value(worth: Sequence[int], filled: Filled) -> int:
    return sum(each * kits for each, kits in zip(worth, filled.kits, strict=True))


def _alone(number: int, sort: KitSort, limits: Sequence[tuple[str, dt.date, Limit]]) -> tuple[int, str]:
    """How many full kits of one sort if nothing else were packed, and the food that stops there."""
    fewest, stopper = sort.kits, ""
    for food, _, limit in limits:
        if limit.amounts[number] and (possible := int(limit.there // limit.amounts[number])) < fewest:
            fewest, stopper = possible, food
    return fewest, stopper


def _foods_short(
    programme: Programme, sorts: Sequence[KitSort], limits: Sequence[tuple[str, dt.date, Limit]]
) -> list[FoodShort]:
    """Foods too few for every kit planned; first the one that allows fewest full kits, then the scarcest."""
    kits = [sort.kits for sort in sorts]
    worst: dict[str, FoodShort] = {}
    for food in dict.fromkeys(food for food, _, _ in limits):
        mine = [limit for name, _, limit in limits if name == food]
        needed = [sum((a * n for a, n in zip(limit.amounts, kits, strict=True)), Fraction(0)) for limit in mine]
        at = max(range(len(mine)), key=lambda place: needed[place] - mine[place].there)
        if needed[at] <= mine[at].there:
            continue
        possible = fill([1] * len(sorts), [0] * len(sorts), kits, mine)
        number = sum(possible.kits) if possible else 0
        without = sum(sort.kits for sort in sorts if food not in sort.takes)
        worst[food] = FoodShort(food, needed[at], mine[at].there, programme.base_units[food], number, without)
    return sorted(worst.values(), key=lambda each: (each.kits_possible, each.there / each.needed, each.food))


def _once_short(
    sessions: Sequence[PlannedSession], known: set[str], left: Mapping[str, Fraction]
) -> Iterable[tuple[str, str, Fraction, str]]:
    """What is packed once a session and not there once the kits are filled, by session."""
    rest = dict(left)
    for session in sessions:
        for line in session.once:
            if line.food in known:
                missing = max(line.base - rest[line.food], Fraction(0))
                rest[line.food] -= line.base - missing
                if missing:
                    yield session.session, line.food, missing, line.base_unit
