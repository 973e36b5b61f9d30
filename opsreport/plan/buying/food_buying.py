"""One food: the packs bought for it, with what each session takes of them."""

import datetime as dt
from collections import defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction

from opsreport.money import Money
from opsreport.plan.buying.bunches import Bunch, holdings_of
from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import NOT_MOVED, FoodOptions, Packs, Way
from opsreport.plan.buying.shelf import FOREVER, Holding, use
from opsreport.plan.model import Purchase
from opsreport.programme import Programme


@dataclass(frozen=True, slots=True)
class FoodBuying:
    """One food: what covers its needs. extra: packs beyond need, (index of the option, packs). moved: deliveries that
    come on another day."""

    options: FoodOptions
    way: Way
    extra: Packs = ()
    moved: Mapping[Delivery, dt.date] = field(default_factory=lambda: NOT_MOVED)

    def purchases(self) -> list[Purchase]:
        """The packs bought, one row an offer and delivery, with what each session takes of them.

        Worked through again in exact amounts, need by need: a plan that does not cover is never believed.
        """
        options = self.options
        bunches = options.bunches((*self.way.packs, *self.extra), self.moved)
        if bunches is None:
            raise RuntimeError(f"the packs chosen leave some {options.food} uncovered")
        holdings = holdings_of(options.market, options.keeps_open, bunches)
        rows: dict[tuple[int, dt.date], list[int]] = defaultdict(list)
        row_of = {}
        for turn, (bunch, holding) in enumerate(zip(bunches, holdings, strict=True)):
            row_of[id(holding)] = id(bunch.offer), bunch.arrives
            rows[row_of[id(holding)]].append(turn)
        used: dict[tuple[int, dt.date], dict[str, Fraction]] = defaultdict(dict)
        for lacking in options.covered:
            need = lacking.need
            for holding, part in use(holdings, lacking.amount, need.packing_day, need.use_by_at_least):
                mine = used[row_of[id(holding)]]
                mine[need.session] = mine.get(need.session, Fraction(0)) + part
        return [
            _purchase(options.market.programme, [(turn, bunches[turn], holdings[turn]) for turn in turns], used[row])
            for row, turns in rows.items()
        ]


def _purchase(
    programme: Programme, parts: Sequence[tuple[int, Bunch, Holding]], used: Mapping[str, Fraction]
) -> Purchase:  # fmt: skip
    """parts: packs of one offer and day, with their places in the order of use."""
    _, bunch, holding = parts[0]
    offer, packs, through = bunch.offer, sum(its.packs for _, its, _ in parts), holding.sealed_through
    return Purchase(
        order=order_id(offer.supplier, bunch.arrives),
        supplier=offer.supplier,
        item=offer.item,
        food=offer.food,
        packs=packs,
        size=offer.size,
        base=offer.base * packs,
        base_unit=programme.base_units[offer.food],
        price=offer.price,
        cost=Money(offer.price * packs),
        arrives=bunch.arrives,
        good_through=None if through == FOREVER else through,
        used=tuple(used.items()),
        left_over=sum((its.left for _, _, its in parts), Fraction(0)),
        sold_by=offer.sold_by,
        words=offer.words,
        turns=tuple((turn, its.packs) for turn, its, _ in parts),
        place=offer.place,
    )


def order_id(supplier: str, arrives: dt.date) -> str:
    """An order's own number: the supplier and the delivery day."""
    return f"{supplier}-{arrives:%Y%m%d}"
