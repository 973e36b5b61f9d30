"""Scoop plans: an amount as whole fills of the cups and spoons at hand, exact where it can be."""

from bisect import bisect_left, bisect_right
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import lru_cache
from itertools import islice
from math import lcm
from typing import Final, Literal

from opsreport.measures.units import MeasureSet, Quantity, factors, mixed
from opsreport.plan.model import Scoop, ScoopPlan
from opsreport.programme import Programme, Tool

MOST_SCOOPS: Final = 12
"""Fills in one plan: past that people lose count."""
MOST_WAYS: Final = 20
"""Ways of one amount that `all_plans` gives unless asked for more."""
_HALF: Final = MOST_SCOOPS // 2
_MOST_SUMS: Final = 60_000
"""Sums tried for one set of tools: enough for 15 tools of which no two have a common measure."""


def default_tools(measures: MeasureSet) -> tuple[Tool, ...]:
    """The usual set: dry cups, a liquid jug marked in quarters and thirds of a cup up to 2 cups, spoons.

    Common practice, no source: the sets sold for home kitchens.
    """
    sizes = factors(measures)

    def tool(amount: Fraction, unit: str, serves: Literal["dry", "liquid", "both"]) -> Tool:
        return Tool(f"{mixed(amount)} {unit}", amount * sizes[unit], serves)

    marks = sorted({Fraction(n, 4) for n in range(1, 9)} | {Fraction(n, 3) for n in range(1, 7)}, reverse=True)
    cups = [Fraction(1), Fraction(1, 2), Fraction(1, 3), Fraction(1, 4)]
    spoons = [(Fraction(1), "tbsp"), (Fraction(1), "tsp"), (Fraction(1, 2), "tsp"), (Fraction(1, 4), "tsp")]
    return (
        *(tool(amount, "cup", "dry") for amount in cups),
        *(tool(amount, "cup", "liquid") for amount in marks),
        *(tool(amount, unit, "both") for amount, unit in spoons),
    )


def plan_scoops(volume: Fraction, tools: Sequence[Tool]) -> ScoopPlan:
    """A volume as fills of the tools.

    Exact with the fewest fills, ties to the larger tools (see `_Fills.tools_for`), within MOST_SCOOPS;
    else exact with half a fill of the smallest tool; else the closest within MOST_SCOOPS, with its error.

    Any tools will do, those of different systems too: all sums of up to six fills are kept, and an amount
    is looked for as one of them or as two together. What is given up: of more than 15 tools without a common
    measure only plans of up to ten fills (eight from 21 tools on, six from 33) are searched in full; in
    longer ones the further fills are of the largest tool. The same tools always give the same plan.

    Args:
        volume: > 0 [mL].
        tools: the cups and spoons that may be used, any order.
    """
    if not tools:
        return ScoopPlan((), Fraction(-1))
    fills = _fills_of(tuple(tools))
    if (exact := fills.exactly(volume)) is not None:
        return ScoopPlan(_counted(exact))
    rest = fills.exactly(volume - fills.half, MOST_SCOOPS - 1)
    if rest is not None:
        return ScoopPlan((*_counted(rest), fills.half_scoop))
    return _closest(volume, fills)


def all_plans(volume: Fraction, tools: Sequence[Tool], most: int = MOST_WAYS) -> list[ScoopPlan]:
    """Every exact plan of up to MOST_SCOOPS fills, or the `most` best; the first is that of `plan_scoops`.

    Fewest fills first, then the larger smallest tool, then the larger next smallest. With half a fill of
    the smallest tool only where no whole fills are exact; none where no plan is.

    Args:
        volume: > 0 [mL].
        tools: the cups and spoons that may be used, any order.
        most: where to stop.
    """
    if not tools:
        return []
    fills = _fills_of(tuple(tools))
    found = [ScoopPlan(_counted(used)) for used in fills.every(volume, MOST_SCOOPS, most)]
    if found:
        return found
    rests = fills.every(volume - fills.half, MOST_SCOOPS - 1, most)
    return [ScoopPlan((*_counted(used), fills.half_scoop)) for used in rests]


class _Fills:
    """What a set of tools can make, whatever the amount.

    Volumes are whole numbers of a part of which every tool is a multiple. levels[n]: every sum of n fills,
    with the least number of tools, counted from the largest, that reach it; n up to `depth`, six unless
    the tools are many and have no common measure: then as deep as _MOST_SUMS allows. A plan of more fills
    is two sums; past twice the depth the further fills are of the largest tool, and plans that
    would need others are not found.
    """

    def __init__(self, tools: Sequence[Tool]) -> None:
        self.tools = sorted(tools, key=lambda tool: (-tool.volume, tool.name))
        self.parts = lcm(*(tool.volume.denominator for tool in self.tools))
        self.sizes = [int(tool.volume * self.parts) for tool in self.tools]
        self.half = self.tools[-1].volume / 2
        self.half_scoop = Scoop(self.tools[-1].name, Fraction(1, 2))
        self.levels: list[dict[int, int]] = [{0: 0}]
        self._widen()
        self.depth = len(self.levels) - 1
        self._sums: dict[int, list[int]] = {}
        self._reached: dict[tuple[int, int], int | None] = {}

    def _widen(self) -> None:
        tried = 0
        while len(self.levels) <= _HALF:
            by_reach: list[list[int]] = [[] for _ in range(len(self.sizes) + 1)]
            for total, reach in self.levels[-1].items():
                by_reach[reach].append(total)
            counts = [len(totals) for totals in by_reach]
            tried += sum(count * (len(self.sizes) - max(reach - 1, 0)) for reach, count in enumerate(counts))
            if tried > _MOST_SUMS and len(self.levels) > 1:
                return
            level: dict[int, int] = {}
            before: list[int] = by_reach[0]
            for reach, size in enumerate(self.sizes, 1):
                before = before + by_reach[reach]
                for total in before:
                    level.setdefault(total + size, reach)
            self.levels.append(level)

    def reach(self, total: int, count: int) -> int | None:
        """How many tools, counted from the largest, are needed to make a volume in exactly so many fills;
        None where there is no way."""
        if count <= self.depth:
            return self.levels[count].get(total)
        if count > 2 * self.depth:
            return self.reach(total - self.sizes[0], count - 1)
        key = (total, count)
        if key not in self._reached:
            if len(self._reached) > _MOST_SUMS:
                self._reached.clear()
            deepest = self.levels[self.depth]
            self._reached[key] = min(
                (
                    max(reach, deepest[total - part])
                    for part, reach in self.levels[count - self.depth].items()
                    if total - part in deepest
                ),
                default=None,
            )
        return self._reached[key]

    def fewest(self, total: int, most: int = MOST_SCOOPS) -> int | None:
        """Fewest fills that make a volume, None where more than `most` or no way."""
        return next((count for count in range(most + 1) if self.reach(total, count) is not None), None)

    def exactly(self, volume: Fraction, most: int = MOST_SCOOPS) -> list[Tool] | None:
        """Tools of the plan with the fewest fills, None where there is no exact one."""
        total = volume * self.parts
        if total.denominator != 1 or total < 0:
            return None
        count = self.fewest(int(total), most)
        return None if count is None else self.tools_for(int(total), count)

    def tools_for(self, total: int, count: int) -> list[Tool]:
        """The tools that make a volume in so many fills, larger first.

        Of several such plans the one whose smallest tool is largest, then its next smallest: a spoon is
        left out wherever the larger tools can do without it.
        """
        return next(self._ways(total, count, len(self.tools)))[::-1]

    def every(self, volume: Fraction, most_fills: int, most: int) -> list[list[Tool]]:
        """Tools of every exact plan, larger first; the best `most` in order."""
        total = volume * self.parts
        if total.denominator != 1 or total < 0:
            return []
        ways = (
            used[::-1] for count in range(most_fills + 1) for used in self._ways(int(total), count, len(self.tools))
        )
        return list(islice(ways, most))

    def _ways(self, total: int, count: int, allowed: int) -> Iterator[list[Tool]]:
        """Every way to make a volume in so many fills of the first `allowed` tools, smaller tools first."""
        least = self.reach(total, count)
        if not count and not total:
            yield []
        if not count or least is None:
            return
        for smallest in range(max(least, 1), allowed + 1):
            rest = total - self.sizes[smallest - 1]
            needed = self.reach(rest, count - 1)
            if needed is not None and needed <= smallest:
                for others in self._ways(rest, count - 1, smallest):
                    yield [self.tools[smallest - 1], *others]

    def around(self, volume: Fraction, most: int) -> set[int]:
        """The nearest sums of up to `most` fills below and above a volume; those above 0 only."""
        target = volume * self.parts
        floor = target.numerator // target.denominator
        found: set[int] = set()
        for beyond in range(max(0, most - 2 * self.depth) + 1):
            first = min(self.depth, most - beyond)
            second = min(self.depth, most - beyond - first)
            found |= self._around(floor - beyond * self.sizes[0], first, second, beyond * self.sizes[0])
        below = [total for total in found if 0 < total <= floor]
        above = [total for total in found if total > floor]
        return {*([max(below)] if below else ()), *([min(above)] if above else ())}

    def _around(self, floor: int, first: int, second: int, ahead: int) -> set[int]:
        """The nearest sums of two sums below and above a volume, by walking both lists once."""
        up, down = self._sums_up_to(first), self._sums_up_to(second)
        low: int | None = None
        high: int | None = None
        at = min(len(down), bisect_right(down, floor) + 1) - 1
        for part in up[: bisect_left(up, floor) + 1]:
            while at >= 0 and part + down[at] > floor:
                above = part + down[at]
                high = above if high is None or above < high else high
                at -= 1
            if at >= 0 and (low is None or part + down[at] > low):
                low = part + down[at]
        return {total + ahead for total in (low, high, *up[bisect_right(up, floor) :][:1]) if total is not None}

    def _sums_up_to(self, count: int) -> list[int]:
        """Every sum of none to so many fills, ascending."""
        if count not in self._sums:
            self._sums[count] = sorted(set().union(*self.levels[: count + 1]))
        return self._sums[count]


@lru_cache(maxsize=2)
def _fills_of(tools: tuple[Tool, ...]) -> _Fills:
    """What the tools can make; the last two sets are kept, one for dry goods and one for liquids."""
    return _Fills(tools)


def _closest(volume: Fraction, fills: _Fills) -> ScoopPlan:
    """The plan nearest to a volume that has no exact one; never none at all, ties to fewer fills, then less."""
    near = [(abs(Fraction(total, fills.parts) - volume), False, total) for total in fills.around(volume, MOST_SCOOPS)]
    rests = fills.around(volume - fills.half, MOST_SCOOPS - 1) | {0}
    near += [(abs(Fraction(total, fills.parts) + fills.half - volume), True, total) for total in rests]
    least, _, _ = min(near)
    ranked = []
    for error, with_half, total in near:
        count = fills.fewest(total, MOST_SCOOPS - with_half) if error == least else None
        if count is not None:
            made = Fraction(total, fills.parts) + (fills.half if with_half else 0)
            ranked.append((count + with_half, made, with_half, total))
    count, made, with_half, total = min(ranked)
    scoops = _counted(fills.tools_for(total, count - with_half))
    if with_half:
        scoops = (*scoops, fills.half_scoop)
    return ScoopPlan(scoops, (made - volume) / volume)


def _counted(tools: Sequence[Tool]) -> tuple[Scoop, ...]:
    """Tools as used, larger first, with how often each."""
    times: dict[str, int] = {}
    for tool in tools:
        times[tool.name] = times.get(tool.name, 0) + 1
    return tuple(Scoop(name, Fraction(count)) for name, count in times.items())


@dataclass(frozen=True)
class Scooper:
    """Scoop plans for one set of tools, each asked once."""

    measures: MeasureSet
    dry: tuple[Tool, ...]
    liquid: tuple[Tool, ...]
    _known: dict[tuple[Fraction, bool], ScoopPlan] = field(default_factory=dict, compare=False, repr=False)

    @classmethod
    def of(cls, programme: Programme) -> "Scooper":
        """The programme's own tools, or the usual set where it has none."""
        return cls.with_tools(programme.tools or default_tools(programme.measures), programme.measures)

    @classmethod
    def with_tools(cls, tools: Sequence[Tool], measures: MeasureSet) -> "Scooper":
        dry = tuple(tool for tool in tools if tool.serves in ("dry", "both"))
        liquid = tuple(tool for tool in tools if tool.serves in ("liquid", "both"))
        return cls(measures, dry, liquid)

    def plan(self, quantity: Quantity, *, liquid: bool) -> ScoopPlan:
        """How to measure an amount; no scoops for what is weighed or counted."""
        if quantity.dimension != "volume" or not quantity.amount:
            return ScoopPlan()
        volume = quantity.in_base(self.measures)
        key = (volume, liquid)
        if key not in self._known:
            self._known[key] = plan_scoops(volume, self.liquid if liquid else self.dry)
        return self._known[key]
