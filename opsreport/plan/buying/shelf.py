"""What stands on a shelf over the weeks: sealed packs, opened rests, and the days they are good."""

import datetime as dt
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Final

from opsreport.plan.dates import opened_limit

FOREVER: Final = dt.date.max
"""The good-through day of what carries no date."""


@dataclass(slots=True)
class Rest:
    """What is left of a pack that was opened on a day."""

    opened: dt.date
    amount: Fraction


@dataclass(slots=True)
class Holding:
    """Equal packs of one food from one source, being used up.

    name: what tells it from the others, the last tie of the order of use. there: the first packing day
    that may use it. sealed_through: last good day while sealed. keeps_open: days once a pack is packed
    from, None where unknown. size: of one pack. sealed: packs not yet opened (may end in a part of one).
    """

    name: str
    there: dt.date
    sealed_through: dt.date
    keeps_open: int | None
    size: Fraction
    sealed: Fraction
    rests: list[Rest] = field(default_factory=list)

    @property
    def left(self) -> Fraction:
        """How much is there, good or not."""
        return self.sealed * self.size + sum((rest.amount for rest in self.rests), Fraction(0))

    def through(self, rest: Rest, day: dt.date) -> dt.date:
        """Last good day of a rest: that of the pack, and from the day after opening also its own."""
        limit = None if rest.opened == day else opened_limit(rest.opened, self.keeps_open)
        return self.sealed_through if limit is None else min(self.sealed_through, limit)

    def open_packs(self, amount: Fraction, day: dt.date) -> Fraction:
        """Take up to `amount` from sealed packs, keeping the rest of the last one."""
        taken = min(amount, self.sealed * self.size)
        whole = -(-taken // self.size)
        opened: Fraction | int = whole if whole < self.sealed else self.sealed
        self.sealed -= opened
        if over := opened * self.size - taken:
            self.rests.append(Rest(day, over))
        return taken


@dataclass(frozen=True, slots=True)
class _Portion:
    """A rest, or the sealed packs, of one holding; through: its last good day."""

    through: dt.date
    holding: Holding
    rest: Rest | None

    def take(self, amount: Fraction, day: dt.date) -> Fraction:
        if self.rest is None:
            return self.holding.open_packs(amount, day)
        taken = min(amount, self.rest.amount)
        self.rest.amount -= taken
        if not self.rest.amount:
            self.holding.rests.remove(self.rest)
        return taken


def _soonest_expiring(portion: _Portion) -> tuple[dt.date, bool, str]:
    return (portion.through, portion.rest is None, portion.holding.name)


def _as_listed(portion: _Portion) -> int:
    return 0


def _portions(holdings: Iterable[Holding], day: dt.date) -> list[_Portion]:
    found = []
    for holding in holdings:
        if holding.there <= day:
            found += [_Portion(holding.through(rest, day), holding, rest) for rest in holding.rests]
            if holding.sealed:
                found.append(_Portion(holding.sealed_through, holding, None))
    return found


def use(
    holdings: Sequence[Holding], amount: Fraction, day: dt.date, use_by: dt.date, *, as_listed: bool = False
) -> list[tuple[Holding, Fraction]]:  # fmt: skip
    """Take up to `amount` on packing day `day` from what is good through `use_by`.

    The earliest expiring first, opened before sealed at equal date, then by name; or, `as_listed`, in
    the order of the holdings, opened first.

    Returns:
        (holding, amount taken), in order of use, a holding once; together at most `amount`.
    Source: first expired, first out, as WHO good distribution practices (TRS 957, Annex 5) define it.
    """
    key: Callable[[_Portion], object] = _as_listed if as_listed else _soonest_expiring
    taken: dict[int, tuple[Holding, Fraction]] = {}
    for portion in sorted(_portions(holdings, day), key=key):  # type: ignore[arg-type]
        if not amount:
            break
        if portion.through < use_by:
            continue
        part = portion.take(amount, day)
        amount -= part
        before = taken.get(id(portion.holding))
        taken[id(portion.holding)] = (portion.holding, before[1] + part if before else part)
    return list(taken.values())
