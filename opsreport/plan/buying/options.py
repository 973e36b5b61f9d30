"""One food: every pack at every delivery that may serve its needs, and the cheapest of them at given prices."""

import dataclasses
import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from itertools import islice
from typing import Final

from opsreport.plan.buying.asking import AskedFood, Sums, Watched
from opsreport.plan.buying.bunches import Bunch, in_order_of_use
from opsreport.plan.buying.market import Delivery, Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.netting import in_order_of_use as needs_in_order
from opsreport.plan.buying.packs import MOST_STEPS, NEVER, Bought, Choice, Demand, Ties, cheapest, opened_matter
from opsreport.plan.buying.shelf import FOREVER
from opsreport.programme import Offer

Packs = tuple[tuple[int, int], ...]
"""(index of the option, packs), by option."""

NOT_MOVED: Final[Mapping[Delivery, dt.date]] = {}

Pack = tuple[str, str, int]
"""Supplier, item and row of a pack on offer."""

BoughtFor = tuple["Option", Demand, int]
"""Packs of an option, bought for a need."""

WHOLE: Final = 100_000
"""Parts of a minor unit in which the dual prices of deliveries are counted."""
_MOST_STEPS_IN_ANY_ORDER: Final = 500
"""States opened at no prices when packs may be used in any order; most of them cost the same."""

_MOST_IN_PLACE: Final = 20
"""Sales of one pack that are tried in place of others, for an order's minimum."""

_MOST_STEPS_AT_ALL: Final = 4**6 * MOST_STEPS
"""Work after which a food whose parts go on spoiling each other is given up."""


@dataclass(frozen=True, slots=True)
class Option:
    """A pack at one delivery. k: index of the first need, in order of use, that it comes in time for. arrives: the day
    of the delivery, or an earlier one that the delivery stands for."""

    offer: Offer
    delivery: Delivery
    arrives: dt.date
    through: dt.date
    k: int
    urgent: bool

    @property
    def early(self) -> bool:
        return self.arrives < self.delivery[1]

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
    steps: the work it took. in_order: whether it does with the soonest expiring used first. instead: where it does not,
    the cheapest at the same prices that does, None where there is none."""

    packs: Packs
    goods: tuple[tuple[Delivery, int], ...]
    cost: int
    ties: Ties
    bound: int
    steps: int
    in_order: bool = True
    instead: "Way | None" = None


def learn(known: list[Way], way: Way) -> int:
    """Add a way, and what stands in for it, unless one with the same goods is known: the work that it took, 0 where
    nothing is added."""
    work = learn(known, way.instead) if way.instead is not None else 0
    if any(way.goods == other.goods for other in known):
        return work
    known.append(way)
    return work + way.steps + 1


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
        in_order = [by_need[id(need)] for need in needs_in_order([lacking.need for lacking in still_open])]
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
        self.asked = 0
        """States opened so far in searches at prices."""
        self._found: dict[object, Way | None] = {}
        self._asked_foods: dict[bool, AskedFood] = {}
        self._bunches: dict[object, list[Bunch] | None] = {}

    def _options(self) -> Iterable[Option]:
        """Packs that come in time for some need and are good for it, in the order that breaks the last tie.

        An urgent one is an option for a need that no other delivery covers. Where opened packs keep only days, those of
        an earlier delivery are options too, as they would be used up before others.
        """
        market, offers = self.market, self.market.offers[self.food]
        before = dt.date.min
        for k, demand in enumerate(self.demands):
            deadline, use_by = market.deadline(dt.date.fromordinal(demand.day)), dt.date.fromordinal(demand.use_by)
            later = [dt.date.fromordinal(each.use_by) for each in self.demands[k:]]
            found = [
                Option(offer, (offer.supplier, asked), arrives, through, k, False)
                for offer in offers
                for asked in market.regular_days(offer, before, deadline)
                for arrives in (asked, *(market.earlier_days(offer, asked) if self.opened_matter else ()))
                if (through := market.through(offer, arrives)) >= min(later)
            ]
            yield from sorted(found, key=lambda option: option.delivery)
            if not market.is_covered(self.food, deadline, use_by):
                for offer, arrives in market.urgent_offers(self.food, deadline, use_by):
                    through = market.through(offer, arrives)
                    yield Option(offer, (offer.supplier, arrives), arrives, through, k, True)
            before = max(before, deadline)

    def bunches(self, packs: Packs, moved: Mapping[Delivery, dt.date] = NOT_MOVED) -> list[Bunch] | None:
        """Packs as they are bought, in an order of use in which they meet every need, worked through on the shelf in
        exact amounts; None where they do not.

        Args:
            moved: deliveries that come on another day.
        """
        key = packs, frozenset(moved.items())
        if key in self._bunches:
            return self._bunches[key]
        counts: dict[tuple[int, dt.date, int], int] = defaultdict(int)
        offers: dict[int, Offer] = {}
        for number, count in packs:
            option = self.options[number]
            offers[id(option.offer)] = option.offer
            turn = option.k if option.urgent and self.urgent_shared else 0
            counts[id(option.offer), moved.get(option.delivery, option.arrives), turn] += count
        bought = [Bunch(offers[offer], arrives, count, turn) for (offer, arrives, turn), count in counts.items()]
        found = in_order_of_use(self.market, self.keeps_open, bought, self.covered, choose=self.opened_matter)
        if self.opened_matter:
            self._bunches[key] = found
        return found

    def covers(self, packs: Packs, moved: Mapping[Delivery, dt.date] = NOT_MOVED) -> bool:
        """Whether packs meet every need."""
        return self.bunches(packs, moved) is not None

    def with_goods(self, way: Way, delivery: Delivery, least: int) -> Way | None:
        """The cheapest found of dearer ways of which so much comes with a delivery [minor units]: packs of one option
        there in place of others, with none of them to spare; None where none is found."""
        found = []
        for number, option in enumerate(self.options):
            if option.delivery != delivery or option.urgent or option.early or not option.offer.price:
                continue
            others = tuple(pair for pair in way.packs if pair[0] != number)
            for sale in range(_MOST_IN_PLACE):
                mine = (number, option.least + sale * option.offer.sold_by)
                packs = self._without_spare((mine, *others), kept=1)
                if self.has_spare(packs):
                    continue
                dearer = self._with_worst_ties(tuple(sorted(packs)))
                if dict(dearer.goods)[delivery] >= least:
                    found.append(dearer)
                    break
        return min(found, key=lambda dearer: (dearer.cost, dearer.packs), default=None)

    def bought_for(self, way: Way) -> list[BoughtFor]:
        """A way's packs, each for the first need that they come in time for."""
        bought = [(self.options[number], count) for number, count in way.packs]
        return [(option, self.demands[option.k], count) for option, count in bought]

    def joined(self, bought: Iterable[BoughtFor]) -> Way | None:
        """What was bought for single needs, on days of their own market, as one way for all; None where it does not
        cover them together. Its ties are as if all was left over: any other of equal cost comes before it."""
        numbers = {
            _mark(option, self.demands[option.k]): number
            for number, option in enumerate(self.options) if not option.early
        }  # fmt: skip
        counts: dict[int, int] = defaultdict(int)
        for option, demand, count in bought:
            number = numbers.get(_mark(option, demand))
            if number is None:
                return None
            counts[number] += count
        packs = tuple(sorted(counts.items()))
        if not self.covers(packs):
            return None
        return self._with_worst_ties(packs)

    def without_spare(self, way: Way) -> Way:
        """The way, one purchase after another left out that could be; its ties as of `joined`."""
        return self._with_worst_ties(self._without_spare(way.packs))

    def _with_worst_ties(self, packs: Packs) -> Way:
        every = sum(count for _, count in packs)
        return self._way(range(len(self.options)), Bought(packs, 0, 0, ties=(Fraction(every), every, every, 0)))

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
        without: frozenset[Pack] = frozenset(), most_steps: int = MOST_STEPS, *, any_order: bool = False,
    ) -> Way | None:  # fmt: skip
        """The cheapest way without some deliveries and packs, at prices of deliveries; None where there is none.

        No need that can be had in time is left to an urgent delivery for it.

        Args:
            most_steps: states opened at prices, after which the bound reached by then is used.
            any_order: at prices, whether packs may be used in any order, not only the soonest expiring first, so that
                the bound is one for every plan, whenever its packs come.
        """
        mine = closed & self.deliveries
        any_order = any_order and self.opened_matter
        key = (mine, prices and self._own(prices), without, any_order)
        if key not in self._found:
            self._found[key] = self._search(mine, prices, without, most_steps, any_order=any_order)
        return self._found[key]

    def _own(self, prices: Prices) -> tuple[object, ...]:
        return tuple((prices.setup.get(each, 0), prices.share.get(each, WHOLE)) for each in sorted(self.deliveries))

    def _search(
        self, closed: frozenset[Delivery], prices: Prices | None, without: frozenset[Pack], most_steps: int, *,
        any_order: bool,
    ) -> Way | None:  # fmt: skip
        if closed and any(fits <= closed for fits in self.needed):
            return None
        latest = [n for n in self._worth_asking(closed, prices) if self.options[n].pack not in without]
        if prices is None:
            return self._at_no_prices(latest, most_steps)
        way = self._at_prices(self._asked(any_order=any_order), latest, latest, prices, most_steps)
        if way is None or not any_order or self.covers(way.packs):
            return way
        mine = frozenset(delivery for delivery, _ in way.goods)
        found = [
            each for numbers in (latest, self._early_too(latest, mine))
            if (each := self._at_prices(self._asked(any_order=False), numbers, latest, prices, most_steps)) is not None
        ]  # fmt: skip
        instead = min(found, key=lambda each: self.at_prices(each, prices), default=None)
        if instead is not None and self.at_prices(instead, prices) <= self.at_prices(way, prices):
            return dataclasses.replace(instead, bound=way.bound)
        return dataclasses.replace(way, in_order=False, instead=instead)

    def _at_no_prices(self, latest: Sequence[int], most_steps: int) -> Way | None:
        choices = [self._choice(number, latest, None) for number in latest]
        while most_steps <= _MOST_STEPS_AT_ALL:
            bought = cheapest(self.demands, choices, self.keeps_open, most_steps)
            if bought is None:
                return None
            way = self._way(latest, bought)
            if self._holds(way, bought):
                return way
            if bought.settled:
                return self._with_more(way.packs, bought)
            # put together from parts that spoil each other
            most_steps *= 4
        return None

    def _holds(self, way: Way, bought: Bought) -> bool:
        """Whether a way covers. A settled one does, unless packs of one urgent delivery for several needs all stand
        there at the first of these, and opened ones keep only days: they may be used up in another order."""
        return (bought.settled and not self.urgent_shared) or self.covers(way.packs)

    @cached_property
    def urgent_shared(self) -> bool:
        """Whether an urgent delivery may serve several needs, and what is left of a pack may be too old for a later."""
        urgent = {(option.delivery, option.k) for option in self.options if option.urgent}
        return self.opened_matter and len({delivery for delivery, _ in urgent}) < len(urgent)

    def _with_more(self, packs: Packs, bought: Bought) -> Way | None:
        """Packs that are used up in another order than they were found with: with as many more of an urgent delivery as
        then cover, and without those that are then to spare; None where no more do."""
        had, found = dict(packs), []
        for number, option in enumerate(self.options):
            if option.urgent:
                first = option.offer.sold_by if number in had else option.least
                most = first + int(sum(-(-lacking.amount // option.offer.base) for lacking in self.covered))
                for more in range(first, most + option.offer.sold_by, option.offer.sold_by):
                    its = tuple(sorted({**had, number: had.get(number, 0) + more}.items()))
                    if self.covers(its):
                        found.append(self._without_spare(its))
                        break
        ways = [self._way(range(len(self.options)), dataclasses.replace(bought, packs=its)) for its in found]
        return min(ways, key=lambda way: (way.cost, way.packs), default=None)

    def _at_prices(
        self, asked: AskedFood, numbers: Sequence[int], latest: Sequence[int], prices: Prices, most_steps: int
    ) -> Way | None:  # fmt: skip
        bought = asked.cheapest(numbers, [self._choice(number, latest, prices) for number in numbers], most_steps)
        if bought is None:
            return None
        self.asked += bought.steps
        way = self._way(numbers, bought)
        if self._holds(way, bought):
            return way
        other = self.cheapest()
        return None if other is None else dataclasses.replace(other, bound=bought.bound, steps=bought.steps)

    def _early_too(self, numbers: Sequence[int], deliveries: frozenset[Delivery]) -> list[int]:
        """Of some options those of some deliveries, and the same packs on the earlier days that these stand for."""
        kept = {(self.options[n].delivery, self.options[n].k, id(self.options[n].offer)) for n in numbers}
        return [
            n for n, each in enumerate(self.options)
            if each.urgent or (each.delivery in deliveries and (each.delivery, each.k, id(each.offer)) in kept)
        ]  # fmt: skip

    def in_any_order(self, closed: frozenset[Delivery] = frozenset()) -> Way | None:
        """The cheapest way without some deliveries if packs could be used in any order; None where there is none."""
        numbers = self._worth_asking(closed, None)
        asked = self._asked(any_order=True)
        bought = asked.cheapest(numbers, [self._choice(n, numbers, None) for n in numbers], _MOST_STEPS_IN_ANY_ORDER)
        return None if bought is None else self._way(numbers, bought)

    @property
    def least(self) -> int:
        """What no way costs less than, at no prices [minor units]."""
        way = self.in_any_order() if self.opened_matter else self.cheapest()
        return 0 if way is None else way.bound

    @cached_property
    def opened_matter(self) -> bool:
        """Whether what is left of a pack may be too old for a later need."""
        return opened_matter(self.demands, self.keeps_open)

    def _asked(self, *, any_order: bool) -> AskedFood:
        """The search at prices, with the states that it met. any_order: where it matters, see `opened_matter`."""
        any_order = any_order and self.opened_matter
        if any_order not in self._asked_foods:
            goods = [self._choice(number, [], None) for number in range(len(self.options))]
            self._asked_foods[any_order] = AskedFood(self.demands, goods, self.keeps_open, any_order=any_order)
        return self._asked_foods[any_order]

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
        *, spare: bool, any_order: bool = False,
    ) -> tuple[list[tuple[Sums, Way]], int] | None:  # fmt: skip
        """The cheapest way for each sum of goods at some deliveries, of those that cost at most so much at prices.

        Args:
            most: [parts of a minor unit].
            closed: deliveries not used.
            watched: by delivery, up to how much goods at it are told apart [minor units]; the sums are in this order.
            spare: whether ways may have packs that could be left out; if not, it takes more steps.
            any_order: as in `cheapest`.
        Returns:
            The sums and ways, the cheapest first, and the steps that it took; None beyond so many steps.
        """
        numbers = [
            n for n, option in enumerate(self.options)
            if option.urgent or not (option.early or option.delivery in closed)
        ]  # fmt: skip
        choices = [self._choice(number, [], prices) for number in numbers]
        order = {delivery: place for place, delivery in enumerate(watched)}
        asked = self._asked(any_order=any_order)
        if spare:
            places = {
                number: Watched(order[delivery], watched[delivery])
                for number in numbers
                if (delivery := self.options[number].delivery) in order
            }
            found = asked.every_sum(numbers, choices, places, len(watched), most, most_steps)
        else:
            places = {number: Watched(place, NEVER) for place, number in enumerate(numbers)}
            found = asked.every_sum(numbers, choices, places, len(numbers), most, most_steps)
        if found is None:
            return None
        least: dict[Sums, Way] = {}
        for _, bought in found[0]:
            way = self._way(range(len(self.options)), bought)
            if spare or not self.has_spare(way.packs):
                goods = dict(way.goods)
                least.setdefault(tuple(min(goods.get(each, 0), its) for each, its in watched.items()), way)
        return list(least.items()), found[1]

    def has_spare(self, packs: Packs) -> bool:
        """Whether a purchase could be left out, or be a step smaller, and all be covered."""
        return next(self._fewer(packs), None) is not None

    def _fewer(self, packs: Packs, kept: int = 0) -> Iterator[Packs]:
        """The packs with one purchase, after the first so many, left out or a step smaller, where all is covered."""
        for place, (number, count) in islice(enumerate(packs), kept, None):
            option = self.options[number]
            fewer = count - option.offer.sold_by
            less = ((number, fewer),) if fewer >= option.least else ()
            if self.covers(its := (*packs[:place], *less, *packs[place + 1 :])):
                yield its

    def _without_spare(self, packs: Packs, kept: int = 0) -> Packs:
        """The packs, one after another left out that could be, but for the first so many purchases."""
        while (fewer := next(self._fewer(packs, kept), None)) is not None:
            packs = fewer
        return packs

    def _way(self, numbers: Sequence[int], bought: Bought) -> Way:
        """numbers: what the indices in `bought` stand for."""
        packs: dict[int, int] = defaultdict(int)
        goods: dict[Delivery, int] = defaultdict(int)
        for place, count in bought.packs:
            option = self.options[numbers[place]]
            packs[numbers[place]] += count
            goods[option.delivery] += count * option.offer.price
        return Way(
            tuple(sorted(packs.items())), tuple(sorted(goods.items())), sum(goods.values()), bought.ties, bought.bound,
            bought.steps,
        )  # fmt: skip

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
            if option.early or option.delivery in closed:
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
            self._numbers[option.delivery], setup, option.urgent,
        )  # fmt: skip


def _mark(option: Option, demand: Demand) -> tuple[int, Delivery, tuple[int, int] | None]:
    """What an option is known by in every market; one of an urgent delivery is for one need."""
    return id(option.offer), option.delivery, (demand.day, demand.use_by) if option.urgent else None


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
