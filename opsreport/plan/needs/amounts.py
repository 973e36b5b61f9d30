"""How much: what each kit holds, and what a session needs as bought, exact to the last rule of rounding."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from typing import Final

from opsreport.foods import Food
from opsreport.measures.units import MeasureSet, NoBridge, Quantity, to_buy, up_to_whole
from opsreport.plan.dates import opened_limit
from opsreport.plan.model import Blend, KitLine, LinePart, NeedOf, PlannedSession, ScoopPlan, SwapMade, Variant
from opsreport.plan.needs.kits import KitKind, Meeting, Replacement, SessionKits, session_lines
from opsreport.plan.needs.scoops import Scooper
from opsreport.programme import Line, Programme, Swap, once

_PACKS_BY_COUNT: Final = ("can", "packet")
_PIECE_IS_PACK: Final = ("can", "package", "packet", "jar", "bottle", "carton", "block", "tub")
"""Units, and pieces of the catalogue, that are packs as sold."""


@dataclass(frozen=True, slots=True)
class _Part:
    """One recipe line's share of a kit: the amount after batches and swaps, and where it came from."""

    quantity: Quantity
    as_bought: bool
    line: Line
    recipe: str
    replacement: Replacement

    @property
    def mix(self) -> str:
        """The blend it goes into, recipe and Mix; '' for none."""
        return f"{self.recipe}: {self.line.mix}" if self.line.mix else ""


class _KitLines:
    """Lines of kits, each worked out once: a dish gives kits of many sessions the same."""

    def __init__(self, programme: Programme, scooper: Scooper | None) -> None:
        """scooper: None where nobody will measure these kits."""
        self.programme = programme
        self.scooper = scooper
        self._made: dict[object, tuple[Sequence[_Part], KitLine]] = {}

    def line(self, name: str, parts: Sequence[_Part]) -> KitLine:
        """Parts of one food, rounded up to pieces where pieces are handed out."""
        key = name, *((id(part.line), part.recipe, part.quantity, part.replacement) for part in parts)
        if key not in self._made:
            self._made[key] = parts, _kit_line(self, name, parts)  # with the parts, or an id could come again
        return self._made[key][1]

    def summed(self, parts: Iterable[_Part]) -> tuple[KitLine, ...]:
        """Parts summed by food, in order of first use."""
        by_food: dict[str, list[_Part]] = defaultdict(list)
        for part in parts:
            by_food[part.replacement.food or ""].append(part)
        return tuple(self.line(name, same) for name, same in by_food.items())


@once
def _kit_lines(programme: Programme) -> _KitLines:
    return _KitLines(programme, Scooper.of(programme))


@once
def _unmeasured_lines(programme: Programme) -> _KitLines:
    return _KitLines(programme, None)


def plan_sessions(programme: Programme, kits: Sequence[SessionKits]) -> tuple[PlannedSession, ...]:
    """What every kit of every session holds, in the order of `kits`."""
    return _planned(_kit_lines(programme), kits)


def past_sessions(programme: Programme, kits: Sequence[SessionKits]) -> tuple[PlannedSession, ...]:
    """The same of sessions whose kits are packed: nobody measures them again, so scoops and blends are left out."""
    return _planned(_unmeasured_lines(programme), kits)


def _planned(made: _KitLines, kits: Sequence[SessionKits]) -> tuple[PlannedSession, ...]:
    planned = []
    for session_kits in kits:
        meeting = session_kits.meeting
        variants = tuple(
            _variant(made, session_kits, kind, letter_of(number)) for number, kind in enumerate(session_kits.kinds)
        )
        shared = made.summed(_once_parts(made.programme, session_kits))
        session = meeting.session
        planned.append(
            PlannedSession(session.session, session.group, session.day, meeting.packing_day, variants, shared)
        )
    return tuple(planned)


def letter_of(number: int) -> str:
    """0 -> A, 25 -> Z, 26 -> AA."""
    letters = ""
    number += 1
    while number:
        number, digit = divmod(number - 1, 26)
        letters = chr(65 + digit) + letters
    return letters


def _variant(made: _KitLines, session_kits: SessionKits, kind: KitKind, letter: str) -> Variant:
    parts = list(_kit_parts(made.programme, session_kits, kind))
    lines = made.summed(parts)
    use_by, opened = good_through(made.programme, session_kits.meeting, lines)
    return Variant(
        letter=letter,
        kits=kind.kits,
        holders=kind.holders,
        spare=kind.spare,
        demo=kind.demo,
        batches=kind.batches,
        needs=kind.needs,
        swaps=tuple(SwapMade(food, instead, kind.replacements[food].note) for food, instead in kind.swaps),
        lines=lines,
        use_by=use_by,
        opened=opened,
        home=tuple(SwapMade(food, instead) for food, instead in kind.home),
        seated=kind.seated,
        blends=_blends(made, made.scooper, parts, lines, kind.kits) if kind.kits and made.scooper else (),
    )


def good_through(
    programme: Programme, meeting: Meeting, lines: Iterable[KitLine]
) -> tuple[dt.date, tuple[str, ...]]:  # fmt: skip
    """The day through which a kit is good, and the opened foods that make it earlier than Keep margin would.

    Packs are bought and taken from stock to be good through the session's date and Keep margin; what is portioned
    out of an opened pack on the packing day also only for its Keeps open.
    """
    margin = meeting.session.day + dt.timedelta(days=programme.settings.keep_margin)
    foods = programme.foods.by_name
    limits = {
        line.food: limit
        for line in lines
        if line.portioned and (limit := opened_limit(meeting.packing_day, foods[line.food].keeps_open))
    }
    earliest = min([margin, *limits.values()])
    return earliest, tuple(food for food, limit in limits.items() if limit == earliest < margin)


def is_portioned(food: Food, shown: Quantity, *, whole: bool) -> bool:
    """Whether a kit's amount comes out of an opened pack of what keeps only for a time once opened.

    It does not where whole packs are handed out: whole cans or packets, pieces that are packs in the catalogue,
    whole pieces of what is no piece by itself.
    """
    if food.keeps_open is None:
        return False
    named = shown.unit in _PACKS_BY_COUNT or food.each_is.startswith(_PIECE_IS_PACK)
    packs = named or (whole and food.state != "whole")
    return not (packs and shown.dimension == "count" and shown.amount.denominator == 1)


def _kit_parts(programme: Programme, session_kits: SessionKits, kind: KitKind) -> Iterable[_Part]:
    """What every per-kit line gives one kit of a kind."""
    for recipe, times, line in session_lines(programme, session_kits.meeting.session):
        if line.once_a_session:
            continue
        part = _part(recipe, line, kind.batches[recipe] * times, kind.replacements)
        if part is not None:
            yield part


def _once_parts(programme: Programme, session_kits: SessionKits) -> Iterable[_Part]:
    """What a session needs once whatever the number of kits; `x2` does not double it."""
    for recipe, _, line in session_lines(programme, session_kits.meeting.session):
        if line.once_a_session:
            part = _part(recipe, line, Fraction(1), session_kits.once)
            if part is not None:
                yield part


def _part(recipe: str, line: Line, times: Fraction, replacements: Mapping[str, Replacement]) -> _Part | None:
    replacement = replacements.get(line.food)
    if replacement is None or replacement.food is None or line.quantity is None:
        return None
    quantity = Quantity(line.quantity.amount * times * replacement.ratio, replacement.unit or line.quantity.unit)
    as_bought = quantity.dimension == "count" if line.as_bought is None else line.as_bought
    return _Part(quantity, as_bought, line, recipe, replacement)


def _kit_line(made: _KitLines, name: str, parts: Sequence[_Part]) -> KitLine:
    programme = made.programme
    food = programme.foods.by_name[name]
    base_unit = programme.base_units[name]
    traced = tuple(_line_part(programme, food, part) for part in parts)
    bought = sum((part.base for part in traced), Fraction(0))
    shown = _shown(programme, food, parts)
    whole = False
    counted = all(part.quantity.dimension == "count" for part in parts)
    word = shown.unit if shown.dimension == "count" else "each"
    piece = Fraction(1) if base_unit == "each" else food.bridge.counted(word)
    if piece is not None and (food.whole or (food.state == "whole" and counted)):
        whole = True
        pieces = up_to_whole(bought / piece)
        bought = pieces * piece
        shown = Quantity(pieces, word)
    scoops = made.scooper.plan(shown, liquid=food.state == "liquid") if made.scooper else ScoopPlan()
    mixes = () if whole else tuple(dict.fromkeys(part.mix for part in parts if part.mix))
    instead_of = dict.fromkeys(part.line.food for part in parts if part.replacement.passed)
    loose = [part for part in parts if not part.mix] if mixes else []
    beside = made.line(name, loose) if loose else None
    notes = dict.fromkeys(part.replacement.note for part in parts if part.replacement.note)
    return KitLine(
        name, shown, bought, base_unit, scoops, whole, mixes, tuple(instead_of), beside, "; ".join(notes),
        is_portioned(food, shown, whole=whole), traced,
    )  # fmt: skip


def _blends(
    made: _KitLines, scooper: Scooper, parts: Iterable[_Part], lines: Iterable[KitLine], kits: int
) -> tuple[Blend, ...]:  # fmt: skip
    """The lines of a recipe with the same Mix as one blend for all kits of a sort; whole pieces stay out."""
    whole = {line.food for line in lines if line.whole}
    by_mix: dict[str, list[_Part]] = defaultdict(list)
    for part in parts:
        if part.mix and part.replacement.food not in whole:
            by_mix[part.mix].append(part)
    return tuple(_blend(made, scooper, mix, same, kits) for mix, same in by_mix.items())


def _blend(made: _KitLines, scooper: Scooper, mix: str, parts: Sequence[_Part], kits: int) -> Blend:
    """One blend: its parts for all the kits together, and how one kit's portion is measured."""
    measures, foods = made.programme.measures, made.programme.foods.by_name
    in_bulk = [replace(part, quantity=part.quantity.times(kits)) for part in parts]
    weights = [_grams(foods[part.replacement.food or ""], part.quantity, measures) for part in parts]
    grams = sum((weight for weight in weights if weight is not None), Fraction(0)) if None not in weights else None
    volume, scoops = None, ScoopPlan()
    if all(part.quantity.dimension == "volume" for part in parts):
        sizes = [(foods[part.replacement.food or ""].state, part.quantity.in_base(measures)) for part in parts]
        volume = sum((size for _, size in sizes), Fraction(0))
        liquid = sum((size for state, size in sizes if state == "liquid"), Fraction(0))
        scoops = scooper.plan(Quantity(volume, "mL"), liquid=2 * liquid > volume)
    return Blend(mix, made.summed(in_bulk), grams, volume, scoops)


def _grams(food: Food, quantity: Quantity, measures: MeasureSet) -> Fraction | None:
    """What an amount weighs as measured, None where no figure says so."""
    try:
        return food.bridge.convert(quantity, "g", measures)
    except NoBridge:
        return None


def _line_part(programme: Programme, food: Food, part: _Part) -> LinePart:
    """One recipe line's amount carried into what must be bought."""
    share = Fraction(1) if part.as_bought else food.edible_share
    amount = food.bridge.convert(part.quantity, programme.base_units[food.name], programme.measures)
    return LinePart(part.recipe, str(part.line.place), part.quantity, share, to_buy(amount, share))


def _shown(programme: Programme, food: Food, parts: Sequence[_Part]) -> Quantity:
    """The amount as the recipes measure it: in the first line's unit where all are of one dimension (counts: of one
    weight), else in the food's base unit. Where prepared and as-bought amounts meet, all of it prepared, in the base
    unit."""
    first = parts[0].quantity
    base = programme.base_units[food.name]
    if (
        food.edible_share != 1
        and len({part.as_bought for part in parts}) > 1
        and any(part.quantity.dimension != "count" for part in parts)
    ):
        bought = sum((_line_part(programme, food, part).base for part in parts), Fraction(0))
        return Quantity(bought * food.edible_share, base)
    if len({part.quantity.unit for part in parts}) == 1:
        return Quantity(sum((part.quantity.amount for part in parts), Fraction(0)), first.unit)
    weights = {food.bridge.counted(part.quantity.unit) for part in parts if part.quantity.dimension == "count"}
    if len({part.quantity.dimension for part in parts}) == 1 and len(weights) <= 1:
        total = sum((part.quantity.in_base(programme.measures) for part in parts), Fraction(0))
        one = Quantity(Fraction(1), first.unit).in_base(programme.measures)
        return Quantity(total / one, first.unit)
    total = sum((food.bridge.convert(part.quantity, base, programme.measures) for part in parts), Fraction(0))
    return Quantity(total, base)


def needs_of(programme: Programme, sessions: Sequence[PlannedSession]) -> tuple[NeedOf, ...]:
    """What each session needs of each food, as bought, by packing day, date, session and food.

    Packing loss is added to measured amounts only, never to whole pieces and never to a kit.
    """
    loss = 1 + programme.settings.packing_loss
    margin = dt.timedelta(days=programme.settings.keep_margin)
    found = []
    for session in sessions:
        totals: dict[str, Fraction] = defaultdict(Fraction)
        for variant in session.variants:
            for line in variant.lines:
                totals[line.food] += line.base * variant.kits * (1 if line.whole else loss)
        for line in session.once:
            totals[line.food] += line.base * (1 if line.whole else loss)
        for name in sorted(totals):
            if totals[name]:
                found.append(
                    NeedOf(
                        name, session.session, session.packing_day, session.day + margin, totals[name],
                        programme.base_units[name],
                    )
                )  # fmt: skip
    return tuple(found)


def substitute(programme: Programme, line: KitLine, swap: Swap, food: Food) -> Fraction:
    """How much of a food, the swap's substitute, stands for a kit's line, as bought, before loss.

    Raises:
        NoBridge: no figure leads to the substitute's base unit.
    """
    quantity = Quantity(line.shown.amount * swap.ratio, swap.unit or line.shown.unit)
    amount = food.bridge.convert(quantity, programme.base_units[food.name], programme.measures)
    return amount if quantity.dimension == "count" else to_buy(amount, food.edible_share)
