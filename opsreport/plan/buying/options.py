"""One food: every pack at every delivery that may serve its needs, and the cheapest of them at given prices."""

import dataclasses
import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import Final

from opsreport.plan.buying.asking import AskedFood, Sums, Watched
from opsreport.plan.buying.market import DAY, Delivery, Market
from opsreport.plan.buying.netting import Open, in_order_of_use
from opsreport.plan.buying.packs import MOST_STEPS, NEVER, Bought, Choice, Demand, Ties, cheapest
from opsreport.plan.buying.shelf import FOREVER, Holding, use
from opsreport.programme import Offer

Packs = tuple[tuple[int, int], ...]
"""(index of the option, packs), by option."""

Pack = tuple[str, str, int]
"""Supplier, item and row of a pack on offer."""

WHOLE: Final = 100_000
"""Parts of a minor unit in which the dual prices of deliveries are counted."""
_MOST_STEPS_AT_ALL: Final = 4**6 * MOST_STEPS
"""Work after which a food whose parts go on spoiling each other is given up."""


@dataclass(frozen=True, slots=True)
class Option:
    """A pack at one delivery. k: index of the first need, in order of use, that it comes in time for."""

    offer: Offer
    arrives: dt.date
    through: dt.date
    k: int
    urgent: bool

    @property
    def delivery(self) -> Delivery:
        return self.offer.supplier, self.arrives

    @property
    def pack(self) -> Pack:
        return self.offer.supplier, self.offer.item, self.offer.place.row

    @property
    def least(self) -> int:
        """Packs in the smallest purchase."""
        return max(-(-self.offer.minimum // self.offer.sold_by), 1) * self.offer.sold_by


@dataclass(frozen=True, slots=True)
class Prices:
    """What deliveries are made to cost one food, in parts of a minor unit; none: the goods alone.

    setup: paid once a delivery that is used. share: what of each pack's price is paid [of WHOLE], the
    rest being granted because the delivery needs goods.
    """

    setup: Mapping[Delivery, int]
    share: Mapping[Delivery, int]


@dataclass(frozen=True, slots=True)
class Way:
    """A way to cover a food's needs. goods: cost by delivery, ascending. cost: of the goods. ties: what decides
    between ways of equal cost. bound: no way costs less at the prices it was found with, in the units of those.
    steps: the work it took."""

    packs: Packs
    goods: tuple[tuple[Delivery, int], ...]
    cost: int
    ties: Ties
    bound: int
    steps: int


def learn(known: list[Way], way: Way) -> int:
    """Add a way unless one with the same goods is known: the work that it took, 0 where nothing is added."""
    if any(way.goods == other.goods for other in known):
        return 0
    known.append(way)
    return way.steps + 1


class FoodOptions:
    """A food's needs, what can be had for them, and the cheapest ways found so far.

    covered: needs that some delivery covers, in order of use. in_time: of each, whether a delivery that is
    not urgent does. uncovered, unoffered: needs that no delivery covers, and of which nobody offers a pack.
    """

    def __init__(self, market: Market, food: str, still_open: Sequence[Open]) -> None:
        self.market = market
        self.food = food
        self.keeps_open = market.programme.foods.by_name[food].keeps_begun
        by_need = {id(lacking.need): lacking for lacking in still_open}
        in_order = [by_need[id(need)] for need in in_order_of_use([lacking.need for lacking in still_open])]
        self.covered: list[Open] = []
        self.in_time: list[bool] = []
        self.uncovered: list[Open] = []
        self.unoffered: list[Open] = []
        for lacking in in_order:
            until, use_by = market.deadline(lacking.need.packing_day), lacking.need.use_by_at_least
            if not market.is_offered(food, until):
                self.unoffered.append(lacking)
            elif (in_time := market.is_covered(food, until, use_by)) or market.urgent_offers(food, until, use_by):
                self.covered.append(lacking)
                self.in_time.append(in_time)
            else:
                self.uncovered.append(lacking)
        self.demands = _demands(self.covered)
        self.options = list(self._options())
        self.deliveries: frozenset[Delivery] = frozenset(o.delivery for o in self.options if not o.urgent)
        every = sorted({option.delivery for option in self.options})
        self._numbers = {delivery: number for number, delivery in enumerate(every)}
        self._found: dict[object, Way | None] = {}

    def _options(self) -> Iterable[Option]:
        """Packs that come in time for some need and are good for it, in the order that breaks the last tie.

        An urgent one is an option for a need that no other delivery covers.
        """
        market, offers = self.market, self.market.offers[self.food]
        before = dt.date.min
        for k, demand in enumerate(self.demands):
            deadline, use_by = market.deadline(dt.date.fromordinal(demand.day)), dt.date.fromordinal(demand.use_by)
            later = [dt.date.fromordinal(each.use_by) for each in self.demands[k:]]
            found = [
                Option(offer, arrives, through, k, False)
                for offer in offers
                for arrives in market.regular_days(offer, before, deadline)
                if (through := market.through(offer, arrives)) >= min(later)
            ]
            yield from sorted(found, key=lambda option: option.delivery)
            if not market.is_covered(self.food, deadline, use_by):
                for offer, arrives in market.urgent_offers(self.food, deadline, use_by):
                    yield Option(offer, arrives, market.through(offer, arrives), k, True)
            before = max(before, deadline)

    def covers(self, packs: Packs) -> bool:
        """Whether packs meet every need, worked through on the shelf in exact amounts."""
        lead = self.market.programme.settings.receive_lead * DAY
        holdings = [
            Holding(
                f"{place:06d}", option.arrives + lead, option.through, self.keeps_open, option.offer.base,
                Fraction(count),
            )
            for place, (option, count) in enumerate(
                sorted(
                    ((self.options[number], count) for number, count in packs),
                    key=lambda each: (each[0].offer.base, each[0].arrives, each[0].offer.supplier, each[0].offer.item),
                )
            )
        ]  # fmt: skip
        for lacking in self.covered:
            used = use(holdings, lacking.amount, lacking.need.packing_day, lacking.need.use_by_at_least)
            if sum(part for _, part in used) != lacking.amount:
                return False
        return True

    @cached_property
    def needed(self) -> list[frozenset[Delivery]]:
        """Of every need that a delivery in time covers, the deliveries of which one must stay open."""
        found = set()
        for k, demand in enumerate(self.demands):
            fits = frozenset(
                option.delivery
                for option in self.options
                if not option.urgent and option.k <= k and _ordinal(option.through) >= demand.use_by
            )
            if fits:
                found.add(fits)
        return sorted(found, key=sorted)

    def cheapest(
        self, closed: frozenset[Delivery] = frozenset(), prices: Prices | None = None,
        without: frozenset[Pack] = frozenset(), most_steps: int = MOST_STEPS,
    ) -> Way | None:  # fmt: skip
        """The cheapest way without some deliveries and packs, at prices of deliveries; None where there is none.

        No need that can be had in time is left to an urgent delivery for it.

        Args:
            most_steps: states opened at prices, after which the bound reached by then is used.
        """
        mine = closed & self.deliveries
        key = (mine, prices and self._own(prices), without)
        if key not in self._found:
            self._found[key] = self._search(mine, prices, without, most_steps)
        return self._found[key]

    def _own(self, prices: Prices) -> tuple[object, ...]:
        return tuple((prices.setup.get(each, 0), prices.share.get(each, WHOLE)) for each in sorted(self.deliveries))

    def _search(
        self, closed: frozenset[Delivery], prices: Prices | None, without: frozenset[Pack], most_steps: int
    ) -> Way | None:  # fmt: skip
        if closed and any(fits <= closed for fits in self.needed):
            return None
        numbers = [n for n in self._worth_asking(closed, prices) if self.options[n].pack not in without]
        choices = [self._choice(number, numbers, prices) for number in numbers]
        if prices is None:
            bought = cheapest(self.demands, choices, self.keeps_open, most_steps)
        else:
            bought = self.asked.cheapest(numbers, choices, most_steps)
        if bought is None:
            return None
        packs: dict[int, int] = defaultdict(int)
        for place, count in bought.packs:
            packs[numbers[place]] += count
        way = self._way(tuple(sorted(packs.items())), bought)
        if bought.settled or self.covers(way.packs):
            return way
        # put together from parts that spoil each other: a longer search, or the way at no prices, stands in
        if prices is None:
            return self._search(closed, None, without, 4 * most_steps) if most_steps < _MOST_STEPS_AT_ALL else None
        other = self.cheapest()
        return None if other is None else dataclasses.replace(other, bound=bought.bound, steps=bought.steps)

    @cached_property
    def asked(self) -> AskedFood:
        """The search at prices, with the states that it met."""
        goods = [self._choice(number, [], None) for number in range(len(self.options))]
        return AskedFood(self.demands, goods, self.keeps_open)

    def at_prices(self, way: Way, prices: Prices) -> int:
        """What a way costs at prices of deliveries [parts of a minor unit]."""
        urgent = {self.options[number].delivery for number, _ in way.packs if self.options[number].urgent}
        total = 0
        for delivery, cost in way.goods:
            setup, share = (0, WHOLE) if delivery in urgent else _prices_of(delivery, prices)
            total += setup + cost * share
        return total

    def every_way(
        self, prices: Prices, most: int, most_steps: int, closed: frozenset[Delivery], watched: Mapping[Delivery, int],
        *, spare: bool,
    ) -> tuple[list[tuple[Sums, Way]], int] | None:  # fmt: skip
        """The cheapest way for each sum of goods at some deliveries, of those that cost at most so much at prices.

        Args:
            most: [parts of a minor unit].
            closed: deliveries not used.
            watched: by delivery, up to how much goods at it are told apart [minor units]; the sums are in this order.
            spare: whether ways may have packs that could be left out; if not, it takes more steps.
        Returns:
            The sums and ways, the cheapest first, and the steps that it took; None beyond so many steps.
        """
        numbers = [n for n, option in enumerate(self.options) if option.urgent or option.delivery not in closed]
        choices = [self._choice(number, [], prices) for number in numbers]
        order = {delivery: place for place, delivery in enumerate(watched)}
        if spare:
            places = {
                number: Watched(order[delivery], watched[delivery])
                for number in numbers
                if (delivery := self.options[number].delivery) in order
            }
            found = self.asked.every_sum(numbers, choices, places, len(watched), most, most_steps)
        else:
            places = {number: Watched(place, NEVER) for place, number in enumerate(numbers)}
            found = self.asked.every_sum(numbers, choices, places, len(numbers), most, most_steps)
        if found is None:
            return None
        least: dict[Sums, Way] = {}
        for _, bought in found[0]:
            way = self._way(tuple(sorted(bought.packs)), bought)
            if spare or not self.has_spare(way.packs):
                goods = dict(way.goods)
                least.setdefault(tuple(min(goods.get(each, 0), its) for each, its in watched.items()), way)
        return list(least.items()), found[1]

    def has_spare(self, packs: Packs) -> bool:
        """Whether a purchase could be left out, or be a step smaller, and all be covered."""
        for place, (number, count) in enumerate(packs):
            option = self.options[number]
            fewer = count - option.offer.sold_by
            less = ((number, fewer),) if fewer >= option.least else ()
            if self.covers((*packs[:place], *less, *packs[place + 1 :])):
                return True
        return False

    def _way(self, packs: Packs, bought: Bought) -> Way:
        goods: dict[Delivery, int] = defaultdict(int)
        for number, count in packs:
            option = self.options[number]
            goods[option.delivery] += count * option.offer.price
        return Way(packs, tuple(sorted(goods.items())), sum(goods.values()), bought.ties, bought.bound, bought.steps)

    def _worth_asking(self, closed: frozenset[Delivery], prices: Prices | None) -> list[int]:
        """Options of open deliveries, without those for which a later delivery before the same packing brings the
        same pack no dearer."""
        kept: list[int] = []
        least: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
        for number in sorted(range(len(self.options)), key=lambda n: self.options[n].arrives, reverse=True):
            option = self.options[number]
            if option.urgent:
                kept.append(number)
                continue
            if option.delivery in closed:
                continue
            price = _prices_of(option.delivery, prices)
            rivals = least[option.k, id(option.offer)]
            if not any(setup <= price[0] and share <= price[1] for setup, share in rivals):
                rivals.append(price)
                kept.append(number)
        return sorted(kept)

    def _choice(self, number: int, numbers: Sequence[int], prices: Prices | None) -> Choice:
        option = self.options[number]
        offer = option.offer
        setup, share = (0, WHOLE) if option.urgent else _prices_of(option.delivery, prices)
        serves = option.k + 1 if option.urgent else len(self.demands)
        if not option.urgent and offer.minimum <= offer.sold_by:
            for other in numbers:
                later = self.options[other]
                if later.k > option.k and later.offer is offer and not later.urgent:
                    its_setup, its_share = _prices_of(later.delivery, prices)
                    if not its_setup and its_share <= share:
                        serves = min(serves, later.k)
        return Choice(
            option.k, offer.base, offer.price if prices is None else offer.price * share, option.least, offer.sold_by,
            _ordinal(option.through), option.arrives.toordinal(), serves, offer.preferred,
            self._numbers[option.delivery], setup,
        )  # fmt: skip


def _ordinal(through: dt.date) -> int:
    return NEVER if through == FOREVER else through.toordinal()


def _prices_of(delivery: Delivery, prices: Prices | None) -> tuple[int, int]:
    return (0, WHOLE) if prices is None else (prices.setup.get(delivery, 0), prices.share.get(delivery, WHOLE))


def _demands(covered: Iterable[Open]) -> list[Demand]:
    """Needs of one packing day and use-by day added up, in order of use."""
    totals: dict[tuple[int, int], Fraction] = {}
    for lacking in covered:
        key = (lacking.need.packing_day.toordinal(), lacking.need.use_by_at_least.toordinal())
        totals[key] = totals.get(key, Fraction(0)) + lacking.amount
    return [Demand(amount, day, use_by) for (day, use_by), amount in totals.items()]
