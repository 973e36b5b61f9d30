"""What can be had: from whom, in which packs, on which delivery days, at which price."""

import datetime as dt
from bisect import bisect_left
from collections import defaultdict
from collections.abc import Collection

from opsreport.plan.buying.shelf import FOREVER
from opsreport.plan.dates import delivery_days, order_by
from opsreport.programme import Offer, Programme

DAY = dt.timedelta(days=1)
Delivery = tuple[str, dt.date]
"""A supplier and a day on which it comes."""


class Market:
    """What can be had, from whom, on which days; asked often, so worked out once.

    packing_days: those of the needs; of a supplier's deliveries between which nothing is packed only the last is
    then asked for. Whatever comes on an earlier one can as well come on that: fresher, with the same fee, minimum
    and prices. `stands_for` has the earlier ones with their order-by days, latest first.
    """

    def __init__(self, programme: Programme, packing_days: Collection[dt.date] = ()) -> None:
        self.programme = programme
        self.as_of = programme.as_of
        self.offers: dict[str, list[Offer]] = defaultdict(list)
        for offer in programme.offers:
            self.offers[offer.food].append(offer)
        for offers in self.offers.values():
            offers.sort(key=lambda offer: (offer.supplier, offer.item, offer.place.row))
        last = max((session.day for session in programme.sessions.values()), default=programme.as_of)
        self.days: dict[str, list[tuple[dt.date, dt.date]]] = {
            name: [
                (day, order_by(day, supplier, programme.calendar))
                for day in delivery_days(supplier, programme.calendar, programme.as_of, last)
            ]
            for name, supplier in programme.suppliers.items()
        }
        deadlines = sorted({self.deadline(day) for day in packing_days})
        self.stands_for: dict[Delivery, list[tuple[dt.date, dt.date]]] = defaultdict(list)
        self.asked = {name: self._asked(name, deadlines) for name in self.days}

    def _asked(self, name: str, deadlines: list[dt.date]) -> list[tuple[dt.date, dt.date]]:
        """The deliveries of a supplier that can still be ordered and that a later one does not stand for."""
        in_time = [(day, by) for day, by in self.days[name] if by >= self.as_of]
        offers = [offer for its in self.offers.values() for offer in its if offer.supplier == name]
        asked: list[tuple[dt.date, dt.date]] = []
        for day, by in reversed(in_time):
            if asked and deadlines:
                later, its_by = asked[-1]
                same = bisect_left(deadlines, day) == bisect_left(deadlines, later)
                if same and all(price_holds(offer, its_by) or not price_holds(offer, by) for offer in offers):
                    self.stands_for[name, later].append((day, by))
                    continue
            asked.append((day, by))
        return asked[::-1]

    def earlier_days(self, offer: Offer, arrives: dt.date) -> list[dt.date]:
        """Days for which a delivery stands, latest first, on which an offer's price holds too."""
        days = self.stands_for.get((offer.supplier, arrives), [])
        return [day for day, by in days if price_holds(offer, by)]

    def deadline(self, packing_day: dt.date) -> dt.date:
        """The last day on which a delivery for a packing day may come."""
        return packing_day - self.programme.settings.receive_lead * DAY

    def through(self, offer: Offer, arrives: dt.date) -> dt.date:
        """Last good day of a pack that arrives on a day: the pack's own days, else the food's."""
        keeps = offer.keeps if offer.keeps is not None else self.programme.foods.by_name[offer.food].keeps
        return FOREVER if keeps is None else arrives + keeps * DAY

    def regular_days(self, offer: Offer, after: dt.date, until: dt.date) -> list[dt.date]:
        """Deliveries after one day and until another that can still be ordered at the offer's price."""
        return [
            arrives for arrives, by in self.asked[offer.supplier]
            if after < arrives <= until and price_holds(offer, by)
        ]  # fmt: skip

    def is_covered(self, food: str, until: dt.date, use_by: dt.date) -> bool:
        """Whether a delivery that can still be ordered brings food until a day that is good for long enough."""
        return any(
            self.through(offer, days[-1]) >= use_by
            for offer in self.offers[food]
            if (days := self.regular_days(offer, dt.date.min, until))
        )

    def urgent_offers(self, food: str, until: dt.date, use_by: dt.date) -> list[tuple[Offer, dt.date]]:
        """The earliest urgent delivery that would cover a need, with whichever packs come that day."""
        found = [
            (offer, arrives) for offer in self.offers[food]
            if (arrives := self.urgent(offer, until, use_by)) is not None
        ]  # fmt: skip
        first = min((arrives for _, arrives in found), default=None)
        return [(offer, arrives) for offer, arrives in found if arrives == first]

    def urgent(self, offer: Offer, until: dt.date, use_by: dt.date) -> dt.date | None:
        """The earliest delivery after the planning date whose order-by day is past; a telephone call may
        still get it, at the price of that order-by day."""
        for arrives, by in self.days[offer.supplier]:
            late = self.as_of < arrives <= until and by < self.as_of
            if late and self.through(offer, arrives) >= use_by and price_holds(offer, by):
                return arrives
        return None

    def is_offered(self, food: str, until: dt.date) -> bool:
        """Whether some pack of a food has a price for a delivery until a day, were there such a delivery.

        Where every delivery in time falls outside the days of every price, nobody offers the food.
        """
        offers = self.offers[food]
        in_time = [(offer, by) for offer in offers for arrives, by in self.days[offer.supplier] if arrives <= until]
        return bool(offers) and (not in_time or any(price_holds(offer, by) for offer, by in in_time))


def price_holds(offer: Offer, day: dt.date) -> bool:
    return (offer.price_from is None or offer.price_from <= day) and (
        offer.price_until is None or day <= offer.price_until
    )
