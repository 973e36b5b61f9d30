"""One food: the packs bought for it, with what each session takes of them."""

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping
from dataclasses import dataclass
from fractions import Fraction

from opsreport.money import Money
from opsreport.plan.buying.market import DAY
from opsreport.plan.buying.options import FoodOptions, Packs, Way
from opsreport.plan.buying.shelf import FOREVER, Holding, use
from opsreport.plan.model import Purchase
from opsreport.programme import Offer, Programme


@dataclass(frozen=True, slots=True)
class FoodBuying:
    """One food: what covers its needs. extra: packs beyond need, (index of the option, packs)."""

    options: FoodOptions
    way: Way
    extra: Packs = ()

    def purchases(self) -> list[Purchase]:
        """The packs bought, one row an offer and delivery, with what each session takes of them.

        Worked through again in exact amounts, need by need: a plan that does not cover is never believed.
        """
        packs: dict[tuple[int, dt.date], int] = defaultdict(int)
        offers: dict[int, Offer] = {}
        for number, count in (*self.way.packs, *self.extra):
            option = self.options.options[number]
            packs[id(option.offer), option.arrives] += count
            offers[id(option.offer)] = option.offer
        market, food = self.options.market, self.options.food
        programme, keeps_open = market.programme, self.options.keeps_open
        lead = programme.settings.receive_lead * DAY
        rows = [(offers[offer], arrives, count) for (offer, arrives), count in packs.items()]
        rows.sort(key=lambda row: (row[0].base, row[1], row[0].supplier, row[0].item, row[0].place.row))
        holdings = [
            Holding(
                f"{number:06d}", arrives + lead, market.through(offer, arrives), keeps_open, offer.base,
                Fraction(count),
            )
            for number, (offer, arrives, count) in enumerate(rows)
        ]  # fmt: skip
        used: dict[int, dict[str, Fraction]] = defaultdict(dict)
        for lacking in self.options.covered:
            amount = lacking.amount
            for holding, part in use(holdings, amount, lacking.need.packing_day, lacking.need.use_by_at_least):
                mine = used[id(holding)]
                mine[lacking.need.session] = mine.get(lacking.need.session, Fraction(0)) + part
                amount -= part
            if amount:
                raise RuntimeError(f"the packs chosen leave {amount} of {food} uncovered")
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
        sold_by=offer.sold_by,
        words=offer.words,
        place=offer.place,
    )


def order_id(supplier: str, arrives: dt.date) -> str:
    """An order's own number: the supplier and the delivery day."""
    return f"{supplier}-{arrives:%Y%m%d}"
