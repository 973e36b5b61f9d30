"""One food: what covers its needs at the least cost of goods, and what nothing covers."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from opsreport.money import Money
from opsreport.plan.market import DAY, Delivery, Market
from opsreport.plan.model import Purchase
from opsreport.plan.netting import Open, in_order_of_use
from opsreport.plan.packs import NEVER, Bought, Choice, Demand, cheapest
from opsreport.plan.shelf import FOREVER, Holding, use
from opsreport.programme import Offer, Programme


@dataclass(frozen=True, slots=True)
class PackAt:
    """A pack at one delivery: what a choice of the search stands for."""

    offer: Offer
    arrives: dt.date
    through: dt.date


@dataclass(frozen=True, slots=True)
class FoodBuying:
    """One food: its needs in order, what covers them, and what does not.

    in_time: whether each covered need has a delivery that can still be ordered in time, not an urgent one.
    """

    market: Market
    food: str
    covered: tuple[Open, ...]
    uncovered: tuple[Open, ...]
    unoffered: tuple[Open, ...]
    in_time: tuple[bool, ...]
    deliveries: tuple[PackAt, ...]
    bought: Bought

    @classmethod
    def of(cls, market: Market, food: str, still_open: Sequence[Open]) -> "FoodBuying":
        by_need = {id(lacking.need): lacking for lacking in still_open}
        in_order = [by_need[id(need)] for need in in_order_of_use([lacking.need for lacking in still_open])]
        covered, uncovered, unoffered = _sorted_out(market, food, in_order)
        demands = _demands(lacking for lacking, _ in covered)
        deliveries, choices = _choices(market, food, demands)
        bought = cheapest(demands, choices, market.programme.foods.by_name[food].keeps_open)
        if bought is None:
            raise RuntimeError(f"no packs cover the needs of {food}, though each can be covered by itself")
        return cls(
            market=market,
            food=food,
            covered=tuple(lacking for lacking, _ in covered),
            uncovered=tuple(uncovered),
            unoffered=tuple(unoffered),
            in_time=tuple(in_time for _, in_time in covered),
            deliveries=tuple(deliveries),
            bought=bought,
        )

    def goods(self) -> dict[Delivery, int]:
        """Cost of the packs by delivery [minor units]."""
        costs: dict[Delivery, int] = defaultdict(int)
        for number, count in self.bought.packs:
            pack = self.deliveries[number]
            costs[pack.offer.supplier, pack.arrives] += count * pack.offer.price
        return costs

    def covers_as_well_as(self, other: "FoodBuying") -> bool:
        """Whether every need is covered as in `other`, none only by an urgent delivery where it was not."""
        return self.in_time == other.in_time and len(self.uncovered) == len(other.uncovered)

    def purchases(self) -> list[Purchase]:
        """The packs bought, one row an offer and delivery, with what each session takes of them.

        Worked through again in exact amounts, need by need: a plan that does not cover is never believed.
        """
        packs: dict[tuple[int, dt.date], int] = defaultdict(int)
        offers: dict[int, Offer] = {}
        for number, count in self.bought.packs:
            delivery = self.deliveries[number]
            packs[id(delivery.offer), delivery.arrives] += count
            offers[id(delivery.offer)] = delivery.offer
        programme = self.market.programme
        keeps_open = programme.foods.by_name[self.food].keeps_open
        lead = programme.settings.receive_lead * DAY
        rows = [(offers[offer], arrives, count) for (offer, arrives), count in packs.items()]
        rows.sort(key=lambda row: (row[0].base, row[1], row[0].supplier, row[0].item, row[0].place.row))
        holdings = [
            Holding(
                f"{number:06d}", arrives + lead, self.market.through(offer, arrives), keeps_open, offer.base,
                Fraction(count),
            )
            for number, (offer, arrives, count) in enumerate(rows)
        ]  # fmt: skip
        used: dict[int, dict[str, Fraction]] = defaultdict(dict)
        for lacking in self.covered:
            amount = lacking.amount
            for holding, part in use(holdings, amount, lacking.need.packing_day, lacking.need.use_by_at_least):
                mine = used[id(holding)]
                mine[lacking.need.session] = mine.get(lacking.need.session, Fraction(0)) + part
                amount -= part
            if amount:
                raise RuntimeError(f"the packs chosen leave {amount} of {self.food} uncovered")
        return [
            _purchase(programme, offer, arrives, count, holding, used[id(holding)])
            for (offer, arrives, count), holding in zip(rows, holdings, strict=True)
        ]


def _purchase(
    programme: Programme, offer: Offer, arrives: dt.date, packs: int, holding: Holding, used: Mapping[str, Fraction]
) -> Purchase:  # fmt: skip
    through = holding.sealed_through
    return Purchase(
        order=order_id(offer.supplier, arrives),
        supplier=offer.supplier,
        item=offer.item,
        food=offer.food,
        packs=packs,
        size=offer.size,
        base=offer.base * packs,
        base_unit=programme.base_units[offer.food],
        price=offer.price,
        cost=Money(offer.price * packs),
        arrives=arrives,
        good_through=None if through == FOREVER else through,
        used=tuple(used.items()),
        left_over=holding.left,
    )


def order_id(supplier: str, arrives: dt.date) -> str:
    """An order's own number: the supplier and the delivery day."""
    return f"{supplier}-{arrives:%Y%m%d}"


def _sorted_out(
    market: Market, food: str, in_order: Sequence[Open]
) -> tuple[list[tuple[Open, bool]], list[Open], list[Open]]:
    """Needs that some delivery covers (and whether one that is not urgent does), that none covers, and of
    which nobody offers a pack."""
    covered: list[tuple[Open, bool]] = []
    uncovered: list[Open] = []
    unoffered: list[Open] = []
    for lacking in in_order:
        until, use_by = market.deadline(lacking.need.packing_day), lacking.need.use_by_at_least
        if not market.is_offered(food, until):
            unoffered.append(lacking)
        elif (in_time := _is_covered(market, food, until, use_by)) or _urgent_deliveries(market, food, until, use_by):
            covered.append((lacking, in_time))
        else:
            uncovered.append(lacking)
    return covered, uncovered, unoffered


def _is_covered(market: Market, food: str, until: dt.date, use_by: dt.date) -> bool:
    """Whether a delivery that can still be ordered brings food in time that is good for long enough."""
    for offer in market.offers[food]:
        arrives = market.regular(offer, dt.date.min, until)
        if arrives is not None and market.through(offer, arrives) >= use_by:
            return True
    return False


def _urgent_deliveries(market: Market, food: str, until: dt.date, use_by: dt.date) -> list[PackAt]:
    """The earliest urgent deliveries that would cover a need, of whichever packs come that day."""
    found = [
        PackAt(offer, arrives, market.through(offer, arrives))
        for offer in market.offers[food]
        if (arrives := market.urgent(offer, until, use_by)) is not None
    ]
    first = min((delivery.arrives for delivery in found), default=None)
    return [delivery for delivery in found if delivery.arrives == first]


def _demands(covered: Iterable[Open]) -> list[Demand]:
    """Needs of one packing day and use-by day added up, in order of use."""
    totals: dict[tuple[int, int], Fraction] = {}
    for lacking in covered:
        key = (lacking.need.packing_day.toordinal(), lacking.need.use_by_at_least.toordinal())
        totals[key] = totals.get(key, Fraction(0)) + lacking.amount
    return [Demand(amount, day, use_by) for (day, use_by), amount in totals.items()]


def _choices(
    market: Market, food: str, demands: Sequence[Demand]
) -> tuple[list[PackAt], list[Choice]]:  # fmt: skip
    """Every pack at the last delivery before each demand, with the demands it must be bought for then.

    An earlier delivery between the same two packings would bring the same pack at the same price, only
    older, so it is no choice. An urgent one is, for a need that no other delivery covers.
    """
    offers = market.offers[food]
    deadlines = [market.deadline(dt.date.fromordinal(demand.day)) for demand in demands]
    regular: list[list[dt.date | None]] = []
    before = dt.date.min
    for deadline in deadlines:
        regular.append([market.regular(offer, before, deadline) for offer in offers])
        before = deadline
    deliveries: list[PackAt] = []
    choices: list[Choice] = []
    for k, demand in enumerate(demands):
        use_by = dt.date.fromordinal(demand.use_by)
        for number, offer in enumerate(offers):
            arrives = regular[k][number]
            if arrives is not None:
                again = (later for later in range(k + 1, len(demands)) if regular[later][number] is not None)
                serves = next(again, len(demands)) if offer.minimum <= offer.sold_by else len(demands)
                deliveries.append(PackAt(offer, arrives, market.through(offer, arrives)))
                choices.append(_choice(k, deliveries[-1], serves))
        if not _is_covered(market, food, deadlines[k], use_by):
            for delivery in _urgent_deliveries(market, food, deadlines[k], use_by):
                deliveries.append(delivery)
                choices.append(_choice(k, delivery, k + 1))
    return deliveries, choices


def _choice(k: int, delivery: PackAt, serves: int) -> Choice:
    offer = delivery.offer
    least = max(-(-offer.minimum // offer.sold_by), 1) * offer.sold_by
    through = NEVER if delivery.through == FOREVER else delivery.through.toordinal()
    return Choice(
        k, offer.base, offer.price, least, offer.sold_by, through, delivery.arrives.toordinal(), serves,
        offer.preferred,
    )  # fmt: skip
