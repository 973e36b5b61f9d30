"""One programme, as everything after the checks sees it: groups, members, sessions, recipes, foods, lots.

Every id is the one first written, so `==` is the test for sameness.
"""

import datetime as dt
from collections import defaultdict
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields
from fractions import Fraction
from functools import cached_property, wraps
from typing import Any, Literal, TypeVar

from opsreport.findings import NOWHERE, Place
from opsreport.foods import Foods, Need
from opsreport.kinds import Share
from opsreport.measures.numerals import holds_range
from opsreport.measures.units import BaseUnit, MeasureSet, Quantity
from opsreport.money import Currency, Money
from opsreport.pieces import Piece, piece_of
from opsreport.sheets import (
    AttendanceRow,
    FunderRow,
    NarrativeRow,
    PickUpRow,
    QuestionRow,
    Settings,
    SurveyRow,
)

R = TypeVar("R")


@dataclass(frozen=True, slots=True)
class Group:
    """One group, with Settings' values where it has none of its own.

    funders: (funder id, part 0 to 1), adding up to 1; empty where nobody pays.
    """

    group: str
    name: str = ""
    site: str = ""
    kits: bool = True
    kit_for_participant: bool = False
    people_per_table: int | None = None
    spare: Share = Share()
    demo: int = 0
    packing_lead: int = 1
    pick_up_lead: int = 0
    pick_up_place: str = ""
    pick_up_time: str = ""
    funders: tuple[tuple[str, Fraction], ...] = ()


@dataclass(frozen=True, slots=True)
class Member:
    """One person in one group.

    household: whose kit they share; their own code where they are on their own.
    needs_place: the cell that says what they must not get. name: for the roster and the instructor sheet only.
    """

    participant: str
    group: str
    household: str
    servings: Fraction | None
    asked: bool
    needs: tuple[Need, ...]
    status: Literal["active", "waiting", "withdrawn"]
    joined: dt.date | None
    left: dt.date | None
    pick_up_name: str
    extra: Mapping[str, str]
    needs_place: Place
    name: str = ""

    def active_on(self, day: dt.date) -> bool:
        """Whether they belong to the group on a day: Joined <= day <= Left, blanks open.

        One who withdrew still counts up to Left; one who waits never counts.
        """
        if self.status == "waiting" or (self.status == "withdrawn" and self.left is None):
            return False
        return (self.joined is None or self.joined <= day) and (self.left is None or day <= self.left)


@dataclass(frozen=True, slots=True)
class Line:
    """One line of a recipe; quantity None: listed, not bought. words: as typed, where they say more.

    as_bought: whether the amount is before trimming; None: weights and volumes are after it, counts before.
    place, named: the cells of its amount and of its ingredient.
    """

    food: str
    quantity: Quantity | None
    words: str
    preparation: str
    once_a_session: bool
    from_home: bool
    mix: str
    as_bought: bool | None
    place: Place
    named: Place

    @property
    def is_packed(self) -> bool:
        """Whether a kit gets it from us."""
        return self.quantity is not None and not self.from_home

    @property
    def range_words(self) -> str:
        """The amount as typed, where it is a range, whose upper end is what is bought; else ''."""
        return self.words if self.quantity is not None and holds_range(self.words) else ""


@dataclass(frozen=True, slots=True)
class Step:
    """One step of a method."""

    number: Fraction
    text: str
    caution: str


@dataclass(frozen=True, slots=True)
class Recipe:
    """One recipe for `servings` people a batch."""

    recipe: str
    servings: Fraction
    lines: tuple[Line, ...]
    steps: tuple[Step, ...] = ()


@dataclass(frozen=True, slots=True)
class Session:
    """One meeting; dishes are (recipe id, times). replaces: a session's id, or ''. packed_at: the cell that says when
    its kits are packed."""

    session: str
    group: str
    day: dt.date
    start: str
    minutes: Fraction | None
    lesson: str
    dishes: tuple[tuple[str, Fraction], ...]
    status: Literal["planned", "delivered", "cancelled"]
    packing_date: dt.date | None
    kits: int | None
    replaces: str
    note: str
    place: Place
    packed_at: Place = NOWHERE


@dataclass(frozen=True, slots=True)
class Supplier:
    """Who sells; weekdays are 0 = Monday."""

    supplier: str
    name: str = ""
    order_to: str = ""
    account: str = ""
    lead_days: int = 2
    order_days: tuple[int, ...] = (0, 1, 2, 3, 4)
    delivery_days: tuple[int, ...] = (0, 1, 2, 3, 4)
    cut_off: str = ""
    minimum_order: Money = Money(0)
    delivery_fee: Money = Money(0)
    free_from: Money | None = None
    tax: Fraction = Fraction(0)

    @property
    def asks_by_order(self) -> bool:
        """Whether something is asked of an order as a whole: a fee, or a least sum."""
        return bool(self.delivery_fee or self.minimum_order)


@dataclass(frozen=True, slots=True)
class Offer:
    """One pack size on sale. size: as the supplier writes it; base: the same in the food's base unit. words: as
    typed, where that says more. sealed: one of the sealed units in it, in the base unit (a can of 12); None: unknown.
    """

    supplier: str
    food: str
    item: str
    size: Quantity
    base: Fraction
    price: Money
    sold_by: int
    minimum: int
    keeps: int | None
    price_from: dt.date | None
    price_until: dt.date | None
    priced: dt.date | None
    preferred: bool
    place: Place
    words: str = ""
    sealed: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Lot:
    """One lot on the shelf. base: how much there is, in the food's base unit; sealed: as in Offer. packs: equal sealed
    ones that it stands in."""

    food: str
    lot: str
    quantity: Quantity
    base: Fraction
    best_before: dt.date | None
    opened: dt.date | None
    location: str
    donated: bool
    value: Money | None
    hold: bool
    place: Place
    sealed: Fraction | None = None
    packs: int = 1


@dataclass(frozen=True, slots=True)
class OnOrder:
    """Packs ordered and not yet received. base: of one pack, in the food's base unit. received: packs that came;
    price: of one pack as agreed, None where Orders does not say; sealed: as in Offer."""

    order: str
    supplier: str
    food: str
    item: str
    packs: Fraction
    size: Quantity
    base: Fraction
    due: dt.date
    best_before: dt.date | None
    place: Place
    received: Fraction = Fraction(0)
    price: Money | None = None
    sealed: Fraction | None = None


@dataclass(frozen=True, slots=True)
class Swap:
    """What a kit gets instead; instead None: left out. unit: of the substitute, where it differs."""

    food: str
    need: Need
    instead: str | None
    ratio: Fraction
    unit: str | None
    note: str


@dataclass(frozen=True, slots=True)
class Tool:
    """A measuring cup, spoon or mark of a jug. volume: what it holds [mL]."""

    name: str
    volume: Fraction
    serves: Literal["dry", "liquid", "both"]


@dataclass(frozen=True, slots=True)
class Calendar:
    """On which days the kitchen works."""

    open_days: frozenset[int]
    closed_for_deliveries: frozenset[dt.date] = frozenset()
    closed_for_packing: frozenset[dt.date] = frozenset()

    def can_pack(self, day: dt.date) -> bool:
        return day.weekday() in self.open_days and day not in self.closed_for_packing

    def can_receive(self, day: dt.date) -> bool:
        return day.weekday() in self.open_days and day not in self.closed_for_deliveries


@dataclass(frozen=True)
class Programme:
    """Everything a plan is made from. Mappings are by id, in the order first written."""

    settings: Settings
    as_of: dt.date
    groups: Mapping[str, Group]
    members: tuple[Member, ...]
    sessions: Mapping[str, Session]
    recipes: Mapping[str, Recipe]
    foods: Foods
    base_units: Mapping[str, BaseUnit]
    suppliers: Mapping[str, Supplier]
    offers: tuple[Offer, ...]
    lots: tuple[Lot, ...]
    on_order: tuple[OnOrder, ...]
    swaps: tuple[Swap, ...]
    tools: tuple[Tool, ...]
    calendar: Calendar
    attendance: Sequence[AttendanceRow]
    pick_ups: tuple[PickUpRow, ...]
    questions: tuple[QuestionRow, ...]
    surveys: tuple[SurveyRow, ...]
    funders: tuple[FunderRow, ...]
    present: frozenset[str]
    """The sheets that the workbook has."""
    narratives: tuple[NarrativeRow, ...] = ()

    def __getstate__(self) -> dict[str, object]:
        """The fields alone: what is worked out from them may be added while a thread packs them for a helper."""
        return {each.name: getattr(self, each.name) for each in fields(self)}

    @cached_property
    def kept(self) -> dict[object, Any]:
        """What was worked out of it once, by what worked it out: see `once`."""
        return {}

    @cached_property
    def members_by_group(self) -> Mapping[str, tuple[Member, ...]]:
        """Members by group id, in the order first written; no group without one."""
        found: dict[str, list[Member]] = defaultdict(list)
        for member in self.members:
            found[member.group].append(member)
        return {group: tuple(members) for group, members in found.items()}

    @cached_property
    def pieces(self) -> Mapping[str, Piece]:
        """What people count a food in, by food; without those that are only weighed or poured."""
        held: dict[str, list[Quantity]] = defaultdict(list)
        used: dict[str, list[Quantity]] = defaultdict(list)
        for lot in self.lots:
            held[lot.food].append(lot.quantity)
        for order in self.on_order:
            held[order.food].append(order.size)
        for offer in self.offers:
            held[offer.food].append(offer.size)
        for recipe in self.recipes.values():
            for line in recipe.lines:
                if line.quantity is not None:
                    used[line.food].append(line.quantity)
        found = {
            name: piece_of(held[name], used[name], base, self.foods.by_name[name].bridge)
            for name, base in self.base_units.items()
        }
        return {name: piece for name, piece in found.items() if piece is not None}

    @property
    def currency(self) -> Currency:
        return self.settings.currency

    @property
    def measures(self) -> MeasureSet:
        return self.settings.measures


def once(work: Callable[[Programme], R]) -> Callable[[Programme], R]:
    """The work done once for each programme, and its result kept as long as the programme."""

    @wraps(work)
    def kept(programme: Programme) -> R:
        if work not in programme.kept:
            programme.kept[work] = work(programme)
        result: R = programme.kept[work]
        return result

    return kept
