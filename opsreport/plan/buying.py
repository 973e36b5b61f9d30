"""Which packs to buy, from whom and when: every need covered in time by food that is still good."""

import datetime as dt
from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction

from opsreport.money import Money, half_up
from opsreport.plan.dates import delivery_days, order_by
from opsreport.plan.model import Buying, KitLine, NeedOf, Order, PlannedSession, Purchase, Shortage, ToShop
from opsreport.plan.netting import Open, in_order_of_use
from opsreport.plan.packs import NEVER, Bought, Choice, Demand, cheapest
from opsreport.plan.shelf import FOREVER, Holding, use
from opsreport.programme import Offer, Programme, Supplier

_DAY = dt.timedelta(days=1)


@dataclass(frozen=True, slots=True)
class _Delivery:
    """A pack at one delivery: what a choice of the search stands for."""

    offer: Offer
    arrives: dt.date
    through: dt.date


@dataclass(frozen=True, slots=True)
class BuyingPlan:
    """What is bought, what is missing, what nobody offers, and how good the answer is."""

    purchases: tuple[Purchase, ...]
    orders: tuple[Order, ...]
    shortages: tuple[Shortage, ...]
    shopping: tuple[ToShop, ...]
    buying: Buying


def buy(programme: Programme, sessions: Sequence[PlannedSession], still_open: Sequence[Open]) -> BuyingPlan:
    """The cheapest packs for every food on its own, gathered into one order a supplier and delivery day.

    Fees and minimum orders are charged and flagged here, but do not yet move what is bought when.
    """
    by_food: dict[str, list[Open]] = defaultdict(list)
    for lacking in still_open:
        by_food[lacking.need.food].append(lacking)
    market = _Market(programme)
    purchases: list[Purchase] = []
    shortages: list[Shortage] = []
    shopping: list[ToShop] = []
    bound = 0
    for food in sorted(by_food):
        lots = _FoodBuying.of(market, food, by_food[food])
        purchases += lots.purchases()
        bound += lots.bought.bound
        shopping += [ToShop(food, o.need.session, o.amount, o.need.unit) for o in lots.unoffered]
        shortages += [_shortage(programme, sessions, o) for o in lots.uncovered]
    orders = _orders(programme, purchases)
    goods_and_fees = sum(order.goods + order.fee for order in orders)
    alone = _session_by_session(market, still_open)
    return BuyingPlan(
        tuple(sorted(purchases, key=lambda row: (row.arrives, row.supplier, row.food, row.item, row.size.amount))),
        tuple(orders),
        tuple(shortages),
        tuple(shopping),
        Buying(Money(goods_and_fees), Money(bound), alone),
    )


class _Market:
    """What can be had, from whom, on which days; asked often, so worked out once."""

    def __init__(self, programme: Programme) -> None:
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

    def deadline(self, packing_day: dt.date) -> dt.date:
        """The last day on which a delivery for a packing day may come."""
        return packing_day - self.programme.settings.receive_lead * _DAY

    def through(self, offer: Offer, arrives: dt.date) -> dt.date:
        """Last good day of a pack that arrives on a day: the pack's own days, else the food's."""
        keeps = offer.keeps if offer.keeps is not None else self.programme.foods.by_name[offer.food].keeps
        return FOREVER if keeps is None else arrives + keeps * _DAY

    def regular(self, offer: Offer, after: dt.date, until: dt.date) -> dt.date | None:
        """The latest delivery after one day and until another that can still be ordered at the offer's price."""
        for arrives, by in reversed(self.days[offer.supplier]):
            if after < arrives <= until and by >= self.as_of and _price_holds(offer, by):
                return arrives
        return None

    def urgent(self, offer: Offer, until: dt.date, use_by: dt.date) -> dt.date | None:
        """The earliest delivery after the planning date whose order-by day is past; a telephone call may
        still get it, at the price of the planning date."""
        for arrives, by in self.days[offer.supplier]:
            late = self.as_of < arrives <= until and by < self.as_of
            if late and self.through(offer, arrives) >= use_by and _price_holds(offer, self.as_of):
                return arrives
        return None

    def is_offered(self, food: str, until: dt.date) -> bool:
        """Whether some pack of a food has a price for a delivery until a day, were there such a delivery.

        Where every delivery in time falls outside the days of every price, nobody offers the food.
        """
        offers = self.offers[food]
        in_time = [
            (offer, max(by, self.as_of))
            for offer in offers
            for arrives, by in self.days[offer.supplier]
            if arrives <= until
        ]
        return bool(offers) and (not in_time or any(_price_holds(offer, by) for offer, by in in_time))


def _price_holds(offer: Offer, day: dt.date) -> bool:
    return (offer.price_from is None or offer.price_from <= day) and (
        offer.price_until is None or day <= offer.price_until
    )


@dataclass(frozen=True, slots=True)
class _FoodBuying:
    """One food: its needs in order, what covers them, and what does not."""

    market: _Market
    food: str
    covered: tuple[Open, ...]
    uncovered: tuple[Open, ...]
    unoffered: tuple[Open, ...]
    deliveries: tuple[_Delivery, ...]
    bought: Bought

    @classmethod
    def of(cls, market: _Market, food: str, still_open: Sequence[Open]) -> "_FoodBuying":
        by_need = {id(lacking.need): lacking for lacking in still_open}
        in_order = [by_need[id(need)] for need in in_order_of_use([lacking.need for lacking in still_open])]
        covered, uncovered, unoffered = _sorted_out(market, food, in_order)
        demands = _demands(covered)
        deliveries, choices = _choices(market, food, demands)
        bought = cheapest(demands, choices, market.programme.foods.by_name[food].keeps_open)
        if bought is None:
            raise RuntimeError(f"no packs cover the needs of {food}, though each can be covered by itself")
        return cls(market, food, tuple(covered), tuple(uncovered), tuple(unoffered), tuple(deliveries), bought)

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
        lead = programme.settings.receive_lead * _DAY
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
    market: _Market, food: str, in_order: Sequence[Open]
) -> tuple[list[Open], list[Open], list[Open]]:
    """Needs that some delivery covers, that none covers, and of which nobody offers a pack."""
    covered: list[Open] = []
    uncovered: list[Open] = []
    unoffered: list[Open] = []
    for lacking in in_order:
        until = market.deadline(lacking.need.packing_day)
        if not market.is_offered(food, until):
            unoffered.append(lacking)
        elif _is_covered(market, food, until, lacking.need.use_by_at_least) or _urgent_deliveries(
            market, food, until, lacking.need.use_by_at_least
        ):
            covered.append(lacking)
        else:
            uncovered.append(lacking)
    return covered, uncovered, unoffered


def _is_covered(market: _Market, food: str, until: dt.date, use_by: dt.date) -> bool:
    """Whether a delivery that can still be ordered brings food in time that is good for long enough."""
    for offer in market.offers[food]:
        arrives = market.regular(offer, dt.date.min, until)
        if arrives is not None and market.through(offer, arrives) >= use_by:
            return True
    return False


def _urgent_deliveries(market: _Market, food: str, until: dt.date, use_by: dt.date) -> list[_Delivery]:
    """The earliest urgent deliveries that would cover a need, of whichever packs come that day."""
    found = [
        _Delivery(offer, arrives, market.through(offer, arrives))
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
    market: _Market, food: str, demands: Sequence[Demand]
) -> tuple[list[_Delivery], list[Choice]]:  # fmt: skip
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
    deliveries: list[_Delivery] = []
    choices: list[Choice] = []
    for k, demand in enumerate(demands):
        use_by = dt.date.fromordinal(demand.use_by)
        for number, offer in enumerate(offers):
            arrives = regular[k][number]
            if arrives is not None:
                again = (later for later in range(k + 1, len(demands)) if regular[later][number] is not None)
                serves = next(again, len(demands)) if offer.minimum <= offer.sold_by else len(demands)
                deliveries.append(_Delivery(offer, arrives, market.through(offer, arrives)))
                choices.append(_choice(k, deliveries[-1], serves))
        if not _is_covered(market, food, deadlines[k], use_by):
            for delivery in _urgent_deliveries(market, food, deadlines[k], use_by):
                deliveries.append(delivery)
                choices.append(_choice(k, delivery, k + 1))
    return deliveries, choices


def _choice(k: int, delivery: _Delivery, serves: int) -> Choice:
    offer = delivery.offer
    least = max(-(-offer.minimum // offer.sold_by), 1) * offer.sold_by
    through = NEVER if delivery.through == FOREVER else delivery.through.toordinal()
    return Choice(
        k, offer.base, offer.price, least, offer.sold_by, through, delivery.arrives.toordinal(), serves,
        offer.preferred,
    )  # fmt: skip


def _shortage(programme: Programme, sessions: Sequence[PlannedSession], lacking: Open) -> Shortage:
    need = lacking.need
    session = next(session for session in sessions if session.session == need.session)
    possible = full_kits(programme, session, need, need.amount - lacking.amount)
    return Shortage(need.food, need.session, lacking.amount, need.unit, possible)


def full_kits(programme: Programme, session: PlannedSession, need: NeedOf, there: Fraction) -> int:
    """How many of a session's kits can be filled with what is there of one food, smallest amounts first."""
    loss = 1 + programme.settings.packing_loss
    once = sum((line.base for line in session.once if line.food == need.food), Fraction(0))
    there = max(there - once, Fraction(0))
    amounts = sorted(
        (
            sum((_inflated(line, loss) for line in variant.lines if line.food == need.food), Fraction(0)),
            variant.kits,
        )
        for variant in session.variants
    )
    possible = 0
    for amount, kits in amounts:
        fits = kits if not amount else min(kits, there // amount)
        possible += fits
        there -= amount * fits
        if fits < kits:
            break
    return possible


def _inflated(line: KitLine, loss: Fraction) -> Fraction:
    return line.base if line.whole else line.base * loss


def _fee(supplier: Supplier, goods: int) -> Money:
    free = supplier.free_from is not None and goods >= supplier.free_from
    return Money(0) if free else supplier.delivery_fee


def _orders(programme: Programme, purchases: Iterable[Purchase]) -> list[Order]:
    """One order a supplier and delivery day, the urgent ones first, then by order-by day."""
    goods_of: dict[tuple[str, dt.date], int] = defaultdict(int)
    for row in purchases:
        goods_of[row.supplier, row.arrives] += row.cost
    orders = []
    for (name, arrives), goods in goods_of.items():
        supplier = programme.suppliers[name]
        by = order_by(arrives, supplier, programme.calendar)
        fee = _fee(supplier, goods)
        tax = half_up(goods * supplier.tax)
        orders.append(
            Order(
                order=order_id(name, arrives),
                supplier=name,
                order_by=by,
                arrives=arrives,
                urgent=by < programme.as_of,
                goods=Money(goods),
                fee=fee,
                tax=tax,
                total=Money(goods + fee + tax),
                below_minimum=goods < supplier.minimum_order,
            )
        )
    return sorted(orders, key=lambda order: (not order.urgent, order.order_by, order.arrives, order.supplier))


def _session_by_session(market: _Market, still_open: Sequence[Open]) -> Money:
    """What it would cost to buy each session on its own, with its own fees and nothing carried over."""
    by_session: dict[str, dict[str, list[Open]]] = defaultdict(lambda: defaultdict(list))
    for lacking in still_open:
        by_session[lacking.need.session][lacking.need.food].append(lacking)
    total = 0
    for foods in by_session.values():
        alone = [row for food, lacking in foods.items() for row in _FoodBuying.of(market, food, lacking).purchases()]
        total += sum(order.goods + order.fee for order in _orders(market.programme, alone))
    return Money(total)
