"""What the pantry could stand in with on a packing morning: allowed swaps, and foods like the one that is short."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from opsreport.foods import Food, name_key
from opsreport.measures.units import NoBridge, Quantity, to_buy
from opsreport.plan.dates import lot_good_through
from opsreport.plan.model import KitLine, PlannedSession, Variant
from opsreport.plan.needs.kits import members_on
from opsreport.plan.packing.filling import Limit, fill
from opsreport.plan.packing.recount import Counted, FoodShort, KitSort, Recount, limits_of
from opsreport.programme import Programme, Swap


@dataclass(frozen=True, slots=True)
class Stopgap:
    """A food that could stand in. allowed: by a row of Swaps, else only alike by name.

    there: what the kits to be packed leave of it. fits: codes of the kits that may get it, whose households
    have no need against it; never: of those that may not. per_kit: as a kitchen writes it, by code, where a
    swap says how much. more: kits that could be filled besides, None where nobody says how much one takes.
    """

    short: str
    instead: str
    allowed: bool
    there: Fraction
    unit: str
    fits: tuple[str, ...]
    never: tuple[str, ...]
    per_kit: Mapping[str, Quantity]
    more: int | None


def stopgaps(
    programme: Programme, sessions: Sequence[PlannedSession], counted: Sequence[Counted], found: Recount
) -> tuple[Stopgap, ...]:
    """For every food that is short: first what Swaps allows, then what is alike, as far as the pantry has any."""
    pantry = _Pantry(programme, sessions, counted, found)
    return tuple(gap for short in found.foods_short for gap in pantry.for_food(short))


class _Pantry:
    """What is left beside the kits to be packed, and which kits may get it."""

    def __init__(
        self, programme: Programme, sessions: Sequence[PlannedSession], counted: Sequence[Counted], found: Recount
    ) -> None:  # fmt: skip
        self.programme = programme
        self.found = found
        self.counted = counted
        self.sorts = [each.sort for each in found.sorts]
        self.of: dict[str, tuple[PlannedSession, Variant]] = {
            f"{session.session}-{variant.letter}": (session, variant)
            for session in sessions
            for variant in session.variants
        }
        self.use_by = max((sort.use_by for sort in self.sorts), default=found.day)
        self.there = self._left()
        rows = [limit for _, _, limit in limits_of(self.sorts, counted)]
        best = fill([1] * len(self.sorts), [0] * len(self.sorts), [sort.kits for sort in self.sorts], rows)
        self.most_kits = 0 if best is None else sum(best.kits)

    def _left(self) -> dict[str, Fraction]:
        """By food: counted and not needed for the kits to be packed, else what Stock says beside the day's needs."""
        left: dict[str, Fraction] = {}
        for lot in self.programme.lots:
            through = lot_good_through(lot, self.programme.foods.by_name[lot.food].keeps_open)
            cold = self.programme.foods.by_name[lot.food].place_kept in ("chill", "freeze")
            if not lot.hold and (through >= self.use_by if through is not None else not cold):
                left[lot.food] = left.get(lot.food, Fraction(0)) + lot.base
        for sort in self.sorts:
            for food, amount in sort.takes.items():
                if food in left:
                    left[food] = max(left[food] - amount * sort.kits, Fraction(0))
        good = [each for each in self.counted if each.good_through is None or each.good_through >= self.use_by]
        for food in {each.food for each in self.counted}:
            there = sum((each.amount for each in good if each.food == food), Fraction(0))
            left[food] = min(there, self.found.left.get(food, Fraction(0)))
        return {food: amount for food, amount in left.items() if amount > 0}

    def for_food(self, short: FoodShort) -> Iterable[Stopgap]:
        taking = [sort for sort in self.sorts if short.food in sort.takes]
        swaps: dict[str, Swap] = {}
        for swap in self.programme.swaps:
            if swap.food == short.food and swap.instead in self.there and swap.instead is not None:
                swaps.setdefault(swap.instead, swap)
        for instead, swap in swaps.items():
            yield self._stopgap(short, instead, taking, swap)
        food = self.programme.foods.by_name[short.food]
        for name in sorted(self.there):
            other = self.programme.foods.by_name[name]
            if name not in swaps and _alike(food, other):
                yield self._stopgap(short, name, taking, None)

    def _stopgap(self, short: FoodShort, instead: str, taking: Sequence[KitSort], swap: Swap | None) -> Stopgap:
        food = self.programme.foods.by_name[instead]
        fits = [sort for sort in taking if self._may_get(sort, food)]
        per_kit: dict[str, Quantity] = {}
        takes: dict[str, Fraction] = {}
        for sort in fits if swap is not None else []:
            line = next(line for line in self.of[sort.code][1].lines if line.food == short.food)
            amount = self._instead_of(line, swap, food) if swap is not None else None
            if amount is not None:
                per_kit[sort.code], takes[sort.code] = amount
        return Stopgap(
            short=short.food,
            instead=instead,
            allowed=swap is not None,
            there=self.there[instead],
            unit=self.programme.base_units[instead],
            fits=tuple(sort.code for sort in fits),
            never=tuple(sort.code for sort in taking if sort not in fits),
            per_kit=per_kit,
            more=self._more(short.food, instead, takes) if takes else None,
        )

    def _may_get(self, sort: KitSort, food: Food) -> bool:
        """Whether no one whose kit it is has a need against a food; kits for nobody in particular are
        everybody's, so are table boxes. A food that nobody knows is for nobody."""
        session, variant = self.of[sort.code]
        group = self.programme.groups[session.group]
        everybody = not group.kits or not sort.claims or any(not claim.holder for claim in sort.claims)
        needs = [
            need
            for member in members_on(self.programme, self.programme.sessions[session.session])
            if everybody or (member.participant if group.kit_for_participant else member.household) in variant.holders
            for need in member.needs
        ]
        return food.listed and not any(need.covers & food.atoms for need in needs)

    def _instead_of(self, line: KitLine, swap: Swap, food: Food) -> tuple[Quantity, Fraction] | None:
        """What one kit gets instead: as measured, and as bought in the substitute's base unit."""
        quantity = Quantity(line.shown.amount * swap.ratio, swap.unit or line.shown.unit)
        unit = self.programme.base_units[food.name]
        try:
            amount = food.bridge.convert(quantity, unit, self.programme.measures)
        except NoBridge:
            return None
        return quantity, amount if quantity.dimension == "count" else to_buy(amount, food.edible_share)

    def _more(self, short: str, instead: str, takes: Mapping[str, Fraction]) -> int:
        """How many more kits can be full, at most: each sort that may get it is a second sort, and the two
        together are no more than were planned."""
        sorts, number = self.sorts, len(self.sorts)
        second = [place for place, sort in enumerate(sorts) if sort.code in takes]
        limits = [
            Limit(
                (*limit.amounts, *[Fraction(0) if food == short else limit.amounts[place] for place in second]),
                limit.there,
            )
            for food, _, limit in limits_of(sorts, self.counted)
            if food != instead
        ]
        own = [
            Fraction(0)
        ] * number  # Stock's rest is what all kits planned leave, a counted one what the packed ones do
        if any(each.food == instead for each in self.counted):
            own = [sort.takes.get(instead, Fraction(0)) for sort in sorts]
        used = sum((each * filled.packed for each, filled in zip(own, self.found.sorts, strict=True)), Fraction(0))
        again = tuple(takes[sorts[place].code] + own[place] for place in second)
        limits.append(Limit((*own, *again), self.there[instead] + used))
        for at, place in enumerate(second):
            one = [Fraction(0)] * (number + len(second))
            one[place] = one[number + at] = Fraction(1)
            limits.append(Limit(tuple(one), Fraction(sorts[place].kits)))
        most = [*(sort.kits for sort in sorts), *(sorts[place].kits for place in second)]
        best = fill([1] * len(most), [0] * len(most), most, limits)
        return 0 if best is None else sum(best.kits) - self.most_kits


def _alike(food: Food, other: Food) -> bool:
    """Whether the last word of both names is the same and `other` brings no allergen that `food` has not."""
    word, other_word = name_key(food.name).split()[-1:], name_key(other.name).split()[-1:]
    return food.name != other.name and word == other_word and set(other.contains) <= set(food.contains)
