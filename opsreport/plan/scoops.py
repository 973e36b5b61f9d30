"""Scoop plans: an amount as whole fills of the cups and spoons at hand, exact where it can be."""

from collections.abc import Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import reduce
from math import gcd, lcm
from typing import Final, Literal

from opsreport.plan.model import Scoop, ScoopPlan
from opsreport.programme import Programme, Tool
from opsreport.units import MeasureSet, Quantity, factors, mixed

MOST_SCOOPS: Final = 12
"""Fills in one plan: past that people lose count."""


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

    Args:
        volume: > 0 [mL].
        tools: the cups and spoons that may be used, any order.
    """
    if not tools:
        return ScoopPlan((), Fraction(-1))
    smallest = min(tools, key=lambda tool: tool.volume)
    half = Tool(smallest.name, smallest.volume / 2, smallest.serves)
    fills = _Fills(tools, volume)
    if (exact := fills.exactly(volume)) is not None:
        return ScoopPlan(_counted(exact))
    rest = fills.exactly(volume - half.volume) if volume >= half.volume else None
    if rest is not None and len(rest) < MOST_SCOOPS:
        return ScoopPlan((*_counted(rest), Scoop(half.name, Fraction(1, 2))))
    return _closest(volume, fills, half)


class _Fills:
    """Fewest fills for every volume up to a little over one, over a grid that all tools lie on.

    counts[n][v]: fewest fills of the n + 1 largest tools that make grid volume v; more than MOST_SCOOPS
    where there is no way.
    """

    def __init__(self, tools: Sequence[Tool], volume: Fraction) -> None:
        self.tools = sorted(tools, key=lambda tool: (-tool.volume, tool.name))
        scale = reduce(lcm, (tool.volume.denominator for tool in self.tools))
        whole = [int(tool.volume * scale) for tool in self.tools]
        step = reduce(gcd, whole)
        self.unit = Fraction(step, scale)
        """The largest volume of which every tool is a whole multiple [mL]."""
        self.sizes = [size // step for size in whole]
        reach = min(volume / self.unit, Fraction(MOST_SCOOPS * self.sizes[0]))
        self.top = int(reach) + self.sizes[-1] + 1
        self.counts = self._counts()

    def _counts(self) -> list[list[int]]:
        never = MOST_SCOOPS + 1
        before = [0] + [never] * self.top
        counts = []
        for size in self.sizes:
            count = before.copy()
            for volume in range(size, self.top + 1):
                count[volume] = min(count[volume], count[volume - size] + 1)
            counts.append(count)
            before = count
        return counts

    @property
    def fewest(self) -> list[int]:
        """Fewest fills by grid volume, all tools at hand."""
        return self.counts[-1]

    def exactly(self, volume: Fraction) -> list[Tool] | None:
        """Tools of the plan with the fewest fills, None where there is no exact one."""
        steps = volume / self.unit
        if steps.denominator != 1 or steps > self.top or self.fewest[int(steps)] > MOST_SCOOPS:
            return None
        return self.tools_for(int(steps))

    def tools_for(self, steps: int) -> list[Tool]:
        """The tools of the fewest fills that make a reachable grid volume, larger first.

        Of several such plans the one whose smallest tool is largest, then its next smallest: a spoon is
        left out wherever the larger tools can do without it.
        """
        used: list[Tool] = []
        for left in range(self.fewest[steps], 0, -1):
            last = next(n for n, count in enumerate(self.counts) if count[steps] == left)
            used.append(self.tools[last])
            steps -= self.sizes[last]
        return used[::-1]


def _closest(volume: Fraction, fills: _Fills, half: Tool) -> ScoopPlan:
    """The plan nearest to a volume that has no exact one; never none at all, ties to fewer fills, then less."""
    best: tuple[Fraction, Fraction, Fraction] | None = None
    chosen: tuple[int, bool] = (0, True)
    for steps, count in enumerate(fills.fewest):
        for with_half in (False, True):
            total = steps * fills.unit + (half.volume if with_half else 0)
            made = count + with_half
            if made > MOST_SCOOPS or not total:
                continue
            rank = (abs(total - volume), Fraction(made), total)
            if best is None or rank < best:
                best, chosen = rank, (steps, with_half)
    steps, with_half = chosen
    total = steps * fills.unit + (half.volume if with_half else 0)
    scoops = _counted(fills.tools_for(steps))
    if with_half:
        scoops = (*scoops, Scoop(half.name, Fraction(1, 2)))
    return ScoopPlan(scoops, (total - volume) / volume)


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
