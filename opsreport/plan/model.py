"""The plan: every figure of a run, as `plan.json` writes it and as every document reads it.

Amounts are exact in the food's base unit (g, mL or each), money in minor units, dates real dates.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from opsreport.money import Money
from opsreport.plan.people_model import PeoplePlan
from opsreport.rules import FOOD, PEOPLE, Family
from opsreport.units import Quantity


@dataclass(frozen=True, slots=True)
class Scoop:
    """One tool and how often it is filled; 1/2 for half of the smallest spoon."""

    tool: str
    times: Fraction


@dataclass(frozen=True, slots=True)
class ScoopPlan:
    """An amount in the tools at hand. error: signed, relative, exact; 0 where the plan is exact."""

    scoops: tuple[Scoop, ...] = ()
    error: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class KitLine:
    """One food of one kit, summed over the session's recipes.

    shown: as the recipe measures it (prepared). base: as bought, before packing loss, in base_unit.
    whole: handed out in whole pieces. mixes: the blends it goes into, recipe and Mix, usually none.
    beside: what of it stays out of the blends and how to measure that; None where all of it goes in, or none.
    instead_of: the foods it stands for in a kit with swaps.
    """

    food: str
    shown: Quantity
    base: Fraction
    base_unit: str
    scoops: ScoopPlan
    whole: bool = False
    mixes: tuple[str, ...] = ()
    instead_of: tuple[str, ...] = ()
    beside: "KitLine | None" = None


@dataclass(frozen=True, slots=True)
class Blend:
    """Foods measured once for all kits of a sort, mixed, and portioned as one bag a kit.

    mix: recipe and Mix, as in KitLine.mixes. parts: for all the kits together. grams: what one portion
    weighs, exact; None where a part has no weight. volume: of one portion, the sum of its parts' [mL],
    with its scoops; None where a part has none.
    """

    mix: str
    parts: tuple[KitLine, ...]
    grams: Fraction | None
    volume: Fraction | None
    scoops: ScoopPlan


@dataclass(frozen=True, slots=True)
class SwapMade:
    """A food and what the kit gets instead ('leave out' where it gets nothing)."""

    food: str
    instead: str


@dataclass(frozen=True, slots=True)
class Variant:
    """Kits of one session that are all alike.

    letter: A the commonest. kits: how many in all. holders: household (or participant) codes of those
    made for someone; spare and demo: how many of the kits are those. batches: by recipe, before `x2`.
    needs: those that caused a swap, as typed.
    """

    letter: str
    kits: int
    holders: tuple[str, ...]
    spare: int
    demo: int
    batches: Mapping[str, Fraction]
    needs: tuple[str, ...]
    swaps: tuple[SwapMade, ...]
    lines: tuple[KitLine, ...]
    blends: tuple[Blend, ...] = ()


@dataclass(frozen=True, slots=True)
class PlannedSession:
    """A session that needs something; tables instead of kits for a group that cooks together.

    once: what is needed once a session whatever the number of kits, like a kit's lines.
    """

    session: str
    group: str
    day: dt.date
    packing_day: dt.date
    variants: tuple[Variant, ...]
    once: tuple[KitLine, ...] = ()

    @property
    def kits(self) -> int:
        return sum(variant.kits for variant in self.variants)


@dataclass(frozen=True, slots=True)
class NeedOf:
    """How much of a food a session needs, as bought, loss included, before stock."""

    food: str
    session: str
    packing_day: dt.date
    use_by_at_least: dt.date
    amount: Fraction
    unit: str


@dataclass(frozen=True, slots=True)
class StockUse:
    """What a session takes from a lot or from what is already ordered. row: the Stock or Orders row."""

    food: str
    source: Literal["stock", "ordered"]
    lot: str
    session: str
    amount: Fraction
    unit: str
    row: int


@dataclass(frozen=True, slots=True)
class LotLeft:
    """What becomes of a lot. left: after every use; expired: not good on the planning date; unused_by:
    the day it goes out of date with something left, or None."""

    food: str
    lot: str
    location: str
    on_hand: Fraction
    used: Fraction
    left: Fraction
    unit: str
    good_through: dt.date | None
    held: bool
    expired: bool
    undated: bool
    """Chilled and without any date: not used."""
    row: int


@dataclass(frozen=True, slots=True)
class Purchase:
    """One row of an order. packs: single packs; base: of all packs; used: (session id, amount)."""

    order: str
    supplier: str
    item: str
    food: str
    packs: int
    size: Quantity
    base: Fraction
    base_unit: str
    price: Money
    cost: Money
    arrives: dt.date
    good_through: dt.date | None
    used: tuple[tuple[str, Fraction], ...]
    left_over: Fraction


@dataclass(frozen=True, slots=True)
class Order:
    """One purchase order: a supplier and a delivery day."""

    order: str
    supplier: str
    order_by: dt.date
    arrives: dt.date
    urgent: bool
    goods: Money
    fee: Money
    tax: Money
    total: Money
    below_minimum: bool


@dataclass(frozen=True, slots=True)
class Shortage:
    """What nothing covers: how much a session misses and how many full kits remain possible."""

    food: str
    session: str
    amount: Fraction
    unit: str
    full_kits_possible: int


@dataclass(frozen=True, slots=True)
class ToShop:
    """What no supplier offers, in plain amounts."""

    food: str
    session: str
    amount: Fraction
    unit: str


@dataclass(frozen=True, slots=True)
class Buying:
    """How good the orders are: goods and fees before tax, the proven bound, and each session alone."""

    cost: Money = Money(0)
    lower_bound: Money = Money(0)
    session_by_session_cost: Money = Money(0)


@dataclass(frozen=True, slots=True)
class Costs:
    """What the orders cost (goods, fee and tax), by session, group and funder ('' = nobody)."""

    sessions: Mapping[str, Money] = field(default_factory=dict)
    groups: Mapping[str, Money] = field(default_factory=dict)
    funders: Mapping[str, Money] = field(default_factory=dict)
    in_kind: Mapping[str, Money] = field(default_factory=dict)
    """By session: the value of donated food that it takes from the shelf."""


@dataclass(frozen=True, slots=True)
class FigureUsed:
    """A food's weight that carried amounts to grams: of one cup, tbsp or tsp, or of one piece (`each`) [g].

    catalogue: it is the built-in catalogue's (a US measure's then), not the workbook's.
    """

    food: str
    measure: str
    grams: Fraction
    catalogue: bool


@dataclass(frozen=True, slots=True)
class FoodPlan:
    """Everything about food: who gets what, from where, at what cost."""

    sessions: tuple[PlannedSession, ...] = ()
    needs: tuple[NeedOf, ...] = ()
    stock_use: tuple[StockUse, ...] = ()
    lots: tuple[LotLeft, ...] = ()
    purchases: tuple[Purchase, ...] = ()
    orders: tuple[Order, ...] = ()
    shortages: tuple[Shortage, ...] = ()
    shopping: tuple[ToShop, ...] = ()
    buying: Buying = Buying()
    costs: Costs = Costs()
    figures: tuple[FigureUsed, ...] = ()


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What a partial build goes without, why (cell and fault), and which documents that touches."""

    what: str
    why: str
    families: frozenset[Family]


@dataclass(frozen=True, slots=True)
class Plan:
    """Every figure of a run; a stopped family's part is empty (None). left_out: only in a partial build."""

    as_of: dt.date
    currency: str
    food: FoodPlan | None
    people: PeoplePlan | None
    left_out: tuple[LeftOut, ...] = ()

    @property
    def partly(self) -> frozenset[Family]:
        """Families that are written in spite of errors, without what rests on them."""
        held = (FOOD if self.food is not None else frozenset()) | (PEOPLE if self.people is not None else frozenset())
        return held & frozenset(family for each in self.left_out for family in each.families)
