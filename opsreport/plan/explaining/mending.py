"""What would mend a shortage, and whether food that does not keep is the reason."""

import datetime as dt
from collections.abc import Iterable, Iterator
from fractions import Fraction
from typing import Final

from opsreport.foods import Food
from opsreport.measures.units import NoBridge
from opsreport.plan.buying.market import price_holds
from opsreport.plan.dates import delivery_days, order_by
from opsreport.plan.model import Conflict, FoodPlan, LotLeft, Mend, NeedOf, PlannedSession
from opsreport.plan.needs.amounts import substitute
from opsreport.plan.needs.kits import members_on
from opsreport.programme import Offer, Programme, Supplier, Swap
from opsreport.shown import amount_words, day_words

_DAY = dt.timedelta(days=1)
_SPOILS_SOON: Final = 2
"""Days that raw minced meat, poultry and fish keep chilled, at most; no longer pack of them is asked for.

Source: USDA FSIS, cold food storage chart (1 to 2 days), from memory.
"""


def mended(programme: Programme, plan: FoodPlan) -> tuple[tuple[Mend, ...], tuple[Conflict, ...]]:
    """For every shortage what would cover it, the least trouble first; nothing of it is chosen here."""
    mends: list[Mend] = []
    conflicts: list[Conflict] = []
    sessions = {session.session: session for session in plan.sessions}
    needs = {(need.food, need.session): need for need in plan.needs}
    for short in plan.shortages:
        case = _Case(programme, plan, needs[short.food, short.session], sessions[short.session], short.amount)
        conflict = case.conflict()
        if conflict is not None:
            conflicts.append(conflict)
        mends += case.mends(conflict)
    return tuple(mends), tuple(conflicts)


class _Case:
    """One shortage: a food and session, with the days that count."""

    def __init__(
        self, programme: Programme, plan: FoodPlan, need: NeedOf, session: PlannedSession, amount: Fraction
    ) -> None:  # fmt: skip
        self.programme, self.plan, self.need, self.session, self.amount = programme, plan, need, session, amount
        self.food = programme.foods.by_name[need.food]
        self.deadline = need.packing_day - programme.settings.receive_lead * _DAY
        self.offers = [offer for offer in programme.offers if offer.food == need.food]

    def conflict(self) -> Conflict | None:
        """The last delivery that is early enough, where deliveries are but none brings food that keeps."""
        in_time = [
            (arrives, offer, keeps)
            for offer in self.offers
            if (keeps := self._keeps(offer)) is not None
            for arrives in self._deliveries(offer, self.programme.as_of, self.deadline)
        ]
        if not in_time:
            return None
        arrives, offer, keeps = max(in_time, key=lambda each: (each[0] + each[2] * _DAY, each[0]))
        through = arrives + keeps * _DAY
        if through >= self.need.use_by_at_least:
            return None
        first = self.need.use_by_at_least - keeps * _DAY
        span = [first + number * _DAY for number in range(max((self.deadline - first).days + 1, 0))]
        closed = tuple(day for day in span if day in self.programme.calendar.closed_for_deliveries)
        return Conflict(
            self.need.food, self.need.session, offer.supplier, arrives, through, self.need.use_by_at_least, closed
        )  # fmt: skip

    def mends(self, conflict: Conflict | None) -> Iterator[Mend]:
        yield from self._later_packing_day()
        if conflict is not None:
            yield from self._other_delivery_day()
        yield from self._other_supplier()
        yield from self._swaps()
        if conflict is not None:
            arrives = max(day for offer in self.offers for day in self._deliveries_in_time(offer))
            days = (self.need.use_by_at_least - arrives).days
            if not self._spoils_before(days):
                yield self._mend("pack", day=arrives, days=days)
            if self.food.place_kept == "chill":
                frozen = f"frozen {self.food.name.removeprefix('fresh ')}"
                on_offer = any(offer.food == frozen for offer in self.programme.offers)
                yield self._mend("frozen", instead=frozen if on_offer else "")

    def _mend(self, kind: str, **more: object) -> Mend:
        return Mend(self.need.food, self.need.session, kind, **more)  # type: ignore[arg-type]

    def _keeps(self, offer: Offer) -> int | None:
        return offer.keeps if offer.keeps is not None else self.food.keeps

    def _spoils_before(self, days: int) -> bool:
        """Chilled food that spoils within a day or two, such as raw mince or fish, and cannot keep so long."""
        keeps = self.food.keeps
        return self.food.place_kept == "chill" and keeps is not None and keeps < days and keeps <= _SPOILS_SOON

    def _deliveries_in_time(self, offer: Offer) -> list[dt.date]:
        return self._deliveries(offer, self.programme.as_of, self.deadline)

    def _deliveries(self, offer: Offer, first: dt.date, last: dt.date) -> list[dt.date]:
        """Days on which an offer's supplier can still bring it at its price."""
        supplier = self.programme.suppliers[offer.supplier]
        return [day for day, by in self._orderable(supplier, first, last) if price_holds(offer, by)]

    def _orderable(self, supplier: Supplier, first: dt.date, last: dt.date) -> list[tuple[dt.date, dt.date]]:
        """(delivery day, order-by day), those that can still be ordered in time."""
        calendar = self.programme.calendar
        days = ((day, order_by(day, supplier, calendar)) for day in delivery_days(supplier, calendar, first, last))
        return [(day, by) for day, by in days if by >= self.programme.as_of]

    def _later_packing_day(self) -> Iterable[Mend]:
        """The first later packing day, up to the session's, for which some delivery comes in time and keeps."""
        lead = self.programme.settings.receive_lead * _DAY
        day = self.need.packing_day + _DAY
        while day <= self.session.day:
            if self.programme.calendar.can_pack(day):
                for offer in self.offers:
                    for arrives in reversed(self._deliveries(offer, self.programme.as_of, day - lead)):
                        keeps = self._keeps(offer)
                        if keeps is None or arrives + keeps * _DAY >= self.need.use_by_at_least:
                            by = order_by(arrives, self.programme.suppliers[offer.supplier], self.programme.calendar)
                            return [self._mend("packing day", day=day, supplier=offer.supplier, order_by=by)]
            day += _DAY
        return []

    def _other_delivery_day(self) -> Iterable[Mend]:
        """A day late and early enough on which the kitchen can take food in, though no delivery is due."""
        for offer in sorted(self.offers, key=lambda offer: -(self._keeps(offer) or 0)):
            keeps = self._keeps(offer) or 0
            day = self.deadline
            while day >= max(self.need.use_by_at_least - keeps * _DAY, self.programme.as_of):
                by = order_by(day, self.programme.suppliers[offer.supplier], self.programme.calendar)
                if self.programme.calendar.can_receive(day) and by >= self.programme.as_of:
                    return [self._mend("delivery day", day=day, supplier=offer.supplier, order_by=by)]
                day -= _DAY
        return []

    def _other_supplier(self) -> Iterable[Mend]:
        """Suppliers that come in time, list no pack of it but other food kept as it is, the last day each comes; none
        where it would have to keep longer than it does."""
        listing = {offer.supplier for offer in self.offers}
        foods = self.programme.foods.by_name
        alike = {o.supplier for o in self.programme.offers if foods[o.food].place_kept == self.food.place_kept}
        for name in sorted((set(self.programme.suppliers) - listing) & alike):
            days = self._orderable(self.programme.suppliers[name], self.programme.as_of, self.deadline)
            if days:
                arrives, by = days[-1]
                keeps = (self.need.use_by_at_least - arrives).days
                if self._spoils_before(keeps):
                    continue
                yield self._mend("supplier", day=arrives, order_by=by, supplier=name, days=keeps)

    def _swaps(self) -> Iterable[Mend]:
        """Rows of Swaps for this food that harm nobody in the group and whose substitute is in the pantry."""
        meeting = self.programme.sessions[self.session.session]
        needs = [need for member in members_on(self.programme, meeting) for need in member.needs]
        covers = frozenset(atom for need in needs for atom in need.covers)
        seen: set[str | None] = set()
        for swap in self.programme.swaps:
            if swap.food != self.need.food or swap.instead in seen:
                continue
            seen.add(swap.instead)
            if swap.instead is None:
                yield self._mend("leave out")
                continue
            food = self.programme.foods.by_name[swap.instead]
            if covers & food.atoms:
                continue
            wanted = self._instead(swap, food)
            if wanted is not None and self._in_pantry(swap.instead) >= wanted:
                unit = self.programme.base_units[swap.instead]
                yield self._mend("swap", instead=swap.instead, amount=wanted, unit=unit)

    def _in_pantry(self, food: str) -> Fraction:
        def is_good(lot: LotLeft) -> bool:
            through = lot.good_through
            return not (lot.held or lot.expired or lot.undated) and (
                through is None or through >= self.need.use_by_at_least
            )

        return sum((lot.left for lot in self.plan.lots if lot.food == food and is_good(lot)), Fraction(0))

    def _instead(self, swap: Swap, food: Food) -> Fraction | None:
        """How much of the substitute stands for what is missing: for that share of the session's need."""
        lines = [(line, variant.kits) for variant in self.session.variants for line in variant.lines]
        lines += [(line, 1) for line in self.session.once]
        try:
            amounts = [
                substitute(self.programme, line, swap, food) * kits
                for line, kits in lines
                if line.food == self.need.food
            ]
        except NoBridge:
            return None
        return sum(amounts, Fraction(0)) * (1 + self.programme.settings.packing_loss) * self.amount / self.need.amount


def mend_words(mend: Mend) -> str:
    """One choice in words, as a finding and the shopping list say it."""
    by = f" (order by {day_words(mend.order_by)})" if mend.order_by else ""
    day = day_words(mend.day) if mend.day else ""
    match mend.kind:
        case "packing day":
            return f"pack on {day}: {mend.supplier} then brings it in time{by}"
        case "delivery day":
            return f"ask {mend.supplier} for a delivery on {day}{by}"
        case "supplier":
            keeps = f", to keep at least {mend.days} days" if mend.days > 0 else ""
            return f"ask {mend.supplier}, who delivers on {day}, for it{by}{keeps}"
        case "swap":
            return f"use {mend.instead} from the pantry instead: {amount_words(mend.amount, mend.unit)}"
        case "leave out":
            return "leave it out, as a row of Swaps does"
        case "pack":
            return f"find a pack that keeps at least {mend.days} days from {day}"
        case "frozen":
            return f"order {mend.instead} instead" if mend.instead else "buy it frozen, where the recipe allows"
