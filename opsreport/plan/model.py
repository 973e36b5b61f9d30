"""The plan: every figure of a run, as `plan.json` writes it and as every document reads it.

Amounts are exact in the food's base unit (g, mL or each), money in minor units, dates real dates.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from opsreport.findings import NOWHERE, Place
from opsreport.measures.units import Quantity
from opsreport.money import Money
from opsreport.plan.people_model import PeoplePlan
from opsreport.rules import FOOD, PEOPLE, Family


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
class LinePart:
    """What one recipe line puts into a kit.

    cell: the amount's, `Recipes!D5`. quantity: after batches, `x2` and swap ratio, as the recipe measures it.
    edible_share: what it was divided by, 1 for what is measured as bought. base: as bought, before any
    rounding to pieces, in the line's base unit.
    """

    recipe: str
    cell: str
    quantity: Quantity
    edible_share: Fraction
    base: Fraction


@dataclass(frozen=True, slots=True)
class KitLine:
    """One food of one kit, summed over the session's recipes.

    shown: as the recipe measures it (prepared). base: as bought, before packing loss, in base_unit.
    whole: handed out in whole pieces. mixes: the blends it goes into, recipe and Mix, usually none.
    beside: what of it stays out of the blends and how to measure that; None where all of it goes in, or none.
    instead_of: the foods it stands for in a kit with swaps; note: what Swaps notes about that. portioned: it comes
    out of an opened pack. parts: the recipe lines it is the sum of.
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
    note: str = ""
    portioned: bool = False
    parts: tuple[LinePart, ...] = field(default=(), compare=False)


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
    """A food and what the kit gets instead ('leave out' where it gets nothing). note: of Swaps."""

    food: str
    instead: str
    note: str = ""


@dataclass(frozen=True, slots=True)
class Variant:
    """Kits of one session that are all alike.

    letter: A the commonest. kits: how many in all. holders: household (or participant) codes of those
    made for someone; spare and demo: how many of the kits are those. batches: by recipe, before `x2`.
    needs: those that caused a swap, as typed. use_by: the day through which all of it is good, None where that is
    not known; opened: the foods whose packs are opened for it that make it earlier than the session's margin. home:
    what a recipe takes from home and a holder must not get, with what Swaps says instead. seated: codes of the people
    who must be at these tables, where a group cooks together.
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
    use_by: dt.date | None = None
    opened: tuple[str, ...] = ()
    home: tuple[SwapMade, ...] = ()
    seated: tuple[str, ...] = ()


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
    the day on which it goes out of date with something left, no later than the last session; else None."""

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
    unused_by: dt.date | None = None


@dataclass(frozen=True, slots=True)
class Purchase:
    """One row of an order. packs: single packs; base: of all packs; used: (session id, amount). sold_by: packs
    in the smallest sale. words: the pack as typed, where that says more than its size. turns: (place in
    the food's order of use, packs), ascending. place: the cell of the price, which decides nothing. shared: of
    the base, what comes out of packs that other workbooks use too, beside the packs counted here."""

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
    sold_by: int = 1
    words: str = ""
    turns: tuple[tuple[int, int], ...] = ()
    place: Place = field(default=NOWHERE, compare=False)
    shared: Fraction = Fraction(0)


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
class Mend:
    """One thing that would cover a shortage; what does not belong to its kind is empty.

    kind: `packing day` (pack on `day`, ordered by `order_by`), `supplier` (one that comes in time, on `day`, and
    lists no pack), `swap` (`instead` is in the pantry), `leave out` (a row of Swaps allows it), `delivery day` (one
    asked for on `day`), `pack` (one that keeps `days` days from `day`), `frozen` (`instead` is on offer, or '').
    """

    food: str
    session: str
    kind: Literal["packing day", "supplier", "swap", "leave out", "delivery day", "pack", "frozen"]
    day: dt.date | None = None
    order_by: dt.date | None = None
    supplier: str = ""
    instead: str = ""
    days: int = 0
    amount: Fraction = Fraction(0)
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Conflict:
    """A shortage although deliveries come in time: none is late enough for the food to keep.

    arrives: the last one that is early enough; through: the last day on which what it brings is good.
    closed: days closed for deliveries between the first that would keep and the last that is in time.
    """

    food: str
    session: str
    supplier: str
    arrives: dt.date
    through: dt.date
    use_by: dt.date
    closed: tuple[dt.date, ...]


@dataclass(frozen=True, slots=True)
class Room:
    """How many more kits like `variant` a session could get from stock and orders as planned.

    kits: None where no food bounds them. runs_out: the foods that allow no more, by name.
    """

    session: str
    variant: str
    kits: int | None
    runs_out: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class BudgetWeek:
    """Money of a week: paid, owed for what is on order (by Due), and for the orders (by order-by day).
    left: of the cap, after all that is on order and every order up to then; None without a cap."""

    monday: dt.date
    committed: Money
    planned: Money
    left: Money | None


@dataclass(frozen=True, slots=True)
class Lever:
    """One way to spend less. saves: on goods, before delivery and tax.

    kind: `another pack` (what is paid for what is left over of `food`, of which `supplier` lists no smaller pack),
    `swap` (`instead` of `food` for everyone, '' where it is left out), `spare kits` (`kits` of them, over the term).
    """

    kind: Literal["another pack", "swap", "spare kits"]
    saves: Money
    food: str = ""
    instead: str = ""
    supplier: str = ""
    kits: int = 0


@dataclass(frozen=True, slots=True)
class InKind:
    """A donated lot that is used. value: of the part used, None where the lot has no Value."""

    food: str
    lot: str
    used: Fraction
    unit: str
    value: Money | None


@dataclass(frozen=True, slots=True)
class BudgetPlan:
    """The term's money against its cap (None: no cap).

    spent: paid, with what has come of orders; committed: owed for what is still coming; planned: the orders.
    on_hold: orders that no longer fit under the cap, the one that breaks it first. levers: the best of each
    kind, largest first. unpriced: cells of Orders rows for which nobody says a price, which count as nothing.
    """

    cap: Money | None = None
    spent: Money = Money(0)
    committed: Money = Money(0)
    planned: Money = Money(0)
    weeks: tuple[BudgetWeek, ...] = ()
    on_hold: tuple[str, ...] = ()
    levers: tuple[Lever, ...] = ()
    in_kind: tuple[InKind, ...] = ()
    unpriced: tuple[str, ...] = ()

    @property
    def left(self) -> Money | None:
        """What is left of the cap after all three; below 0 where it is broken."""
        return None if self.cap is None else Money(self.cap - self.spent - self.committed - self.planned)


@dataclass(frozen=True, slots=True)
class TraceKits:
    """Kits of one session that take the same of a food. kit: their codes, `w2-A, C`, or the session where it is
    needed once. needed: by all of them."""

    session: str
    kit: str
    kits: int
    needed: Fraction

    @property
    def once(self) -> bool:
        """Whether it is for the session, not for each of its kits."""
        return self.kit == self.session


@dataclass(frozen=True, slots=True)
class TraceNeed:
    """What kits that take the same of a food need of it: each of `takers` needs kits x per_kit x (1 + loss).

    per_kit: as bought, rounded up to pieces where `whole`.
    """

    parts: tuple[LinePart, ...]
    per_kit: Fraction
    whole: bool
    loss: Fraction
    instead_of: tuple[str, ...]
    takers: tuple[TraceKits, ...]

    @property
    def needed(self) -> Fraction:
        return sum((kits.needed for kits in self.takers), Fraction(0))


@dataclass(frozen=True, slots=True)
class TraceUse:
    """What a session takes from a lot or an open order; cell: its row."""

    source: Literal["stock", "ordered"]
    lot: str
    cell: str
    session: str
    amount: Fraction


@dataclass(frozen=True, slots=True)
class TracePacks:
    """One row of an order; cell: the price; shared: as of a Purchase."""

    order: str
    item: str
    cell: str
    packs: int
    pack: str
    base: Fraction
    used: tuple[tuple[str, Fraction], ...]
    left_over: Fraction
    cost: Money
    shared: Fraction = Fraction(0)


@dataclass(frozen=True, slots=True)
class Trace:
    """Where a food's order lines come from: needed - stock - on order = used of packs + short + to shop for."""

    food: str
    unit: str
    needed: Fraction
    needs: tuple[TraceNeed, ...]
    uses: tuple[TraceUse, ...]
    packs: tuple[TracePacks, ...]
    short: tuple[tuple[str, Fraction], ...]
    to_shop: tuple[tuple[str, Fraction], ...]


@dataclass(frozen=True, slots=True)
class Surplus:
    """Whole packs on order that no session needs any more: a cut to ask for; all: the whole row."""

    order: str
    supplier: str
    food: str
    item: str
    due: dt.date
    packs: int
    all: bool
    cell: str


@dataclass(frozen=True, slots=True)
class Addition:
    """An order for a delivery for which something is ordered already.

    to: numbers on the Orders sheet. goods: of them. fee_saved: of delivery, were both one order. below_minimum: even
    both together.
    """

    order: str
    to: tuple[str, ...]
    goods: Money
    fee_saved: Money = Money(0)
    below_minimum: bool = False


@dataclass(frozen=True, slots=True)
class Forward:
    """What an order below its minimum could take from the supplier's next one, `later` ('': there is none).

    goods: of `foods`. saves: of delivery fees. enough: the minimum is then reached. rest_too_small: what is left of
    the later order is not.
    """

    order: str
    later: str = ""
    foods: tuple[str, ...] = ()
    goods: Money = Money(0)
    saves: Money = Money(0)
    enough: bool = False
    rest_too_small: bool = False


@dataclass(frozen=True, slots=True)
class PriceKnown:
    """A pack's price as this run knows it, for a later run to compare with."""

    supplier: str
    food: str
    item: str
    size: Quantity
    price: Money
    priced: dt.date | None


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
    mends: tuple[Mend, ...] = ()
    conflicts: tuple[Conflict, ...] = ()
    room: tuple[Room, ...] = ()
    budget: BudgetPlan = BudgetPlan()
    traces: tuple[Trace, ...] = ()
    surplus: tuple[Surplus, ...] = ()
    prices: tuple[PriceKnown, ...] = ()
    additions: tuple[Addition, ...] = ()
    forwards: tuple[Forward, ...] = ()
    pooled: Literal["", "part", "all"] = ""
    """Where several workbooks order together: whether this is one of them, with its part, or the orders of all."""
    shared: tuple[Order, ...] = ()
    """Orders that are placed for several workbooks, this one among them: goods, fee, tax and total are its part."""

    @property
    def paid(self) -> tuple[Order, ...]:
        """All orders that this workbook pays for, whole or in part."""
        return (*self.orders, *self.shared)


@dataclass(frozen=True, slots=True)
class LeftOut:
    """What a partial build goes without, why (cell and fault), and which documents that touches."""

    what: str
    why: str
    families: frozenset[Family]


@dataclass(frozen=True, slots=True)
class KitChange:
    """A session whose kits are not what they were. before / now: kits, None where the session has none.

    what: `new`, `changed` (number, day or contents), `packed`, `delivered`, `cancelled` or `gone`. differs: what
    differs beside the number: `session day`, `packing day`, `contents`, `how many of each sort`.
    """

    session: str
    what: Literal["new", "changed", "packed", "delivered", "cancelled", "gone"]
    before: int | None
    now: int | None
    differs: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class NeedChange:
    """A food of which the sessions not yet packed need more or less than before."""

    food: str
    unit: str
    before: Fraction
    now: Fraction


@dataclass(frozen=True, slots=True)
class OrderChange:
    """A row of an order that is not what it was. cost: how much more it costs now (below 0: less).

    what: `place` (new), `raise` or `cut` (other packs), `drop` (no longer needed; cancel it where it was placed),
    `placed` (it stands on the Orders sheet now), `past` (its order-by day is past, and nothing says that it was
    placed). placed: the order of the Orders sheet that comes from this supplier on this day, or ''.
    """

    what: Literal["place", "raise", "cut", "drop", "placed", "past"]
    order: str
    supplier: str
    arrives: dt.date
    food: str
    item: str
    pack: str
    before: int
    now: int
    cost: Money
    placed: str = ""


@dataclass(frozen=True, slots=True)
class PulledKit:
    """A kit packed before a need was known. kit: its code. holder: household or participant, '' for a table.

    foods: what it holds and must not; instead: for each, what it gets ('leave out', '' where no swap serves).
    """

    kit: str
    session: str
    day: dt.date
    packed: dt.date
    holder: str
    foods: tuple[str, ...]
    instead: tuple[str, ...]
    needs: tuple[str, ...]
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class PriceMove:
    """A pack bought now whose price moved since the earlier run by more than the share that is worth a word."""

    supplier: str
    food: str
    item: str
    pack: str
    before: Money
    now: Money
    packs: int
    place: Place = field(default=NOWHERE, compare=False)


@dataclass(frozen=True, slots=True)
class PackedVariant:
    """Kits of an earlier run that were alike. holders: household or participant codes. contents: foods, with
    amounts as bought."""

    letter: str
    kits: int
    holders: tuple[str, ...]
    contents: frozenset[tuple[str, Fraction]]

    @property
    def foods(self) -> frozenset[str]:
        return frozenset(food for food, _ in self.contents)


@dataclass(frozen=True, slots=True)
class PackedSession:
    """A session as an earlier run planned it."""

    session: str
    day: dt.date
    packing_day: dt.date
    variants: tuple[PackedVariant, ...]

    @property
    def kits(self) -> int:
        return sum(variant.kits for variant in self.variants)


@dataclass(frozen=True, slots=True)
class Changes:
    """What changed since an earlier run. cost_before / cost_now: of the orders, None where the currency changed.
    all_before / all_now: the same with what was spent and what is on order, None where the earlier run does not tell.

    packed: sessions packed by what earlier runs planned and still to be held, for the next run to look at.
    """

    since: dt.date
    packed: tuple[PackedSession, ...] = ()
    pull: tuple[PulledKit, ...] = ()
    kits: tuple[KitChange, ...] = ()
    needs: tuple[NeedChange, ...] = ()
    orders: tuple[OrderChange, ...] = ()
    prices: tuple[PriceMove, ...] = ()
    cost_before: Money | None = None
    cost_now: Money | None = None
    all_before: Money | None = None
    all_now: Money | None = None


@dataclass(frozen=True, slots=True)
class Plan:
    """Every figure of a run; a stopped family's part is empty (None). left_out: only in a partial build. changes:
    None without an earlier run."""

    as_of: dt.date
    currency: str
    food: FoodPlan | None
    people: PeoplePlan | None
    left_out: tuple[LeftOut, ...] = ()
    changes: Changes | None = None

    @property
    def partly(self) -> frozenset[Family]:
        """Families that are written in spite of errors, without what rests on them."""
        held = (FOOD if self.food is not None else frozenset()) | (PEOPLE if self.people is not None else frozenset())
        return held & frozenset(family for each in self.left_out for family in each.families)
