# ruff: noqa: E501  (a column is a line)
"""The workbook contract: one class a sheet, one line a column.

The classes are at once the reader's headings and kinds, the checks (required, unique, refers to,
range), the starter's notes and drop-downs, the documentation's tables and the records that the rest of the package is
type-checked against.
"""

import dataclasses
import datetime as dt
from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Any, Final, Literal, TypeVar, dataclass_transform, get_args, overload

from opsreport import kinds
from opsreport.findings import Place
from opsreport.kinds import Amount, Dish, FunderShare, Kind, Mark, NeedAnswer, Share
from opsreport.measures.units import MeasureSet
from opsreport.money import Currency, Money
from opsreport.rules import ALL_FAMILIES, FOOD, PEOPLE, Family

T = TypeVar("T")
Shape = Literal["rows", "settings", "attendance", "surveys"]
Storage = Literal["shelf", "cool", "chill", "freeze"]
STORAGES: Final[tuple[Storage, ...]] = get_args(Storage)
"""From the warmest to the coldest."""
State = Literal["dry", "liquid", "whole"]


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a sheet, or one setting.

    name: the record's attribute. heading: as the workbook writes it. starred: the heading must be
    there. required: its cells must be filled too. fill_down: a blank cell takes the value above. unique: a sheet's own
    id. refers: the sheet whose ids it names. above / least / most: the range, exclusive or inclusive.
    also: other headings that mean it.
    """

    name: str
    heading: str
    kind: Kind[Any]
    meaning: str
    starred: bool
    required: bool
    default: object
    fill_down: bool
    unique: bool
    refers: str
    above: Fraction | None
    least: Fraction | None
    most: Fraction | None
    also: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class SheetSpec:
    """One sheet: its name, its columns in order, how its table is laid out and what rests on it.

    extra: further columns are kept with each row (else they are mentioned once and left alone).
    key: the headings whose values together may stand only once (duplicated rows are a finding).
    """

    name: str
    meaning: str
    record: type
    columns: tuple[Column, ...]
    shape: Shape
    core: bool
    families: frozenset[Family]
    extra: bool
    key: tuple[str, ...]
    order: int


@dataclass(frozen=True, slots=True)
class RowPlace:
    """Where a record stands: its row, and the column of each of its headings (shared by the sheet)."""

    sheet_order: int
    sheet: str
    row: int
    columns: Mapping[str, int]

    def at(self, heading: str) -> Place:
        """The cell under a heading; the row's first cell where the sheet has no such column."""
        return Place(self.sheet_order, self.sheet, self.row, self.columns.get(heading, 0))


_MISSING: Final = dataclasses.MISSING


@overload
def column(
    heading: str, kind: Kind[T], meaning: str, *, fill_down: bool = ..., unique: bool = ..., refers: str = ...,
    above: int | None = ..., least: int | None = ..., most: int | None = ..., also: tuple[str, ...] = ...,
) -> T: ...  # fmt: skip
@overload
def column(
    heading: str, kind: Kind[T], meaning: str, *, default: T, refers: str = ..., starred: bool = ...,
    above: int | None = ..., least: int | None = ..., most: int | None = ..., also: tuple[str, ...] = ...,
) -> T: ...  # fmt: skip
@overload
def column(
    heading: str, kind: Kind[T], meaning: str, *, default: None, refers: str = ..., starred: bool = ...,
    above: int | None = ..., least: int | None = ..., most: int | None = ..., also: tuple[str, ...] = ...,
) -> T | None: ...  # fmt: skip
def column(
    heading: str, kind: Kind[Any], meaning: str, *, default: object = _MISSING, fill_down: bool = False,
    starred: bool = False, unique: bool = False, refers: str = "", above: int | None = None, least: int | None = None,
    most: int | None = None, also: tuple[str, ...] = (),
) -> Any:  # fmt: skip
    """Declare a column; without a default it is required."""

    def exact(bound: int | None) -> Fraction | None:
        return None if bound is None else Fraction(bound)

    spec = Column(
        "", heading, kind, meaning, starred or default is _MISSING, default is _MISSING, None if default is _MISSING else default, fill_down,
        unique, refers, exact(above), exact(least), exact(most), also,
    )  # fmt: skip
    return dataclasses.field(metadata={"column": spec})


MOST_KITS: Final = 5_000
"""Of one session: more than a kitchen packs in a day is a slip."""
_MOST_LEAD: Final = 366
"""Days between a day and what is done for it: more than a year is a slip."""
SHEETS: Final[dict[str, SheetSpec]] = {}
"""Every sheet by its name, in the contract's order; filled by the classes below."""
APART: Final[dict[str, SheetSpec]] = {}
"""Sheets that one command alone reads, also from a file of their own."""


@dataclass_transform(frozen_default=True, kw_only_default=True, field_specifiers=(column,))
def sheet(
    name: str, *, shape: Shape = "rows", core: bool = False, families: frozenset[Family] = ALL_FAMILIES,
    extra: bool = False, key: tuple[str, ...] = (), apart: bool = False,
) -> Callable[[type[T]], type[T]]:  # fmt: skip
    """Make a class the record of a sheet and enter the sheet in SHEETS (or in APART)."""

    def declare(cls: type[T]) -> type[T]:
        record = dataclass(frozen=True, kw_only=True, slots=True)(cls)
        columns = tuple(
            dataclasses.replace(field.metadata["column"], name=field.name)
            for field in dataclasses.fields(record)  # type: ignore[arg-type]
            if "column" in field.metadata
        )
        meaning = (cls.__doc__ or "").strip().partition("\n")[0]
        entered = APART if apart else SHEETS
        entered[name] = SheetSpec(name, meaning, record, columns, shape, core, families, extra, key, len(SHEETS) + 1)
        return record

    return declare


def spec_of(record: type) -> SheetSpec:
    """The sheet that a record class declares."""
    return next(spec for spec in SHEETS.values() if spec.record is record)


@sheet("Settings", shape="settings")
class Settings:
    """What holds for the whole programme: one setting a row."""

    place: RowPlace
    programme: str = column("Programme", kinds.text, "Printed on every document.", default="")
    term: str = column("Term", kinds.text, "Printed on every document.", default="")
    contact: str = column("Contact", kinds.text, "Whom to ask; printed on every document.", default="")
    currency: Currency = column(
        "Currency", kinds.currency, "ISO 4217 code; sets the decimals of money.", default=Currency("USD")
    )
    measures: MeasureSet = column("Measures", kinds.measure_set, "How large the cups and spoons are.", default="US")
    paper: Literal["Letter", "A4"] = column(
        "Paper", kinds.paper, "What the documents are printed on.", default="Letter"
    )
    first_label: int = column(
        "First label", kinds.whole, "Which label of a begun sheet is printed on first.", default=1, least=1
    )
    date_order: kinds.DateOrder = column(
        "Date order", kinds.date_order, "How dates typed as text read.", default="refuse"
    )
    decimal_comma: bool = column(
        "Decimal comma", kinds.yes_no, "Whether numbers typed as text use a decimal comma.", default=False
    )
    term_from: dt.date | None = column("Term from", kinds.date, "First day of the term.", default=None)
    term_until: dt.date | None = column("Term until", kinds.date, "Last day of the term.", default=None)
    as_of: dt.date | None = column("As of", kinds.date, "The planning date; blank is today.", default=None)
    packing_lead: int = column(
        "Packing lead", kinds.days, "Days from packing to the session.", default=1, least=0, most=_MOST_LEAD
    )
    receive_lead: int = column(
        "Receive lead",
        kinds.days,
        "Days before packing by which a delivery must be there.",
        default=0,
        least=0,
        most=_MOST_LEAD,
    )
    open_days: tuple[int, ...] = column(
        "Open days", kinds.weekdays, "Days on which deliveries and packing can be done.", default=(0, 1, 2, 3, 4)
    )
    stations: int = column(
        "Stations",
        kinds.whole,
        "Packing stations: cold food has some of its own, allergens have one.",
        default=6,
        least=1,
    )
    large_print: bool = column("Large print", kinds.yes_no, "Recipe cards in large print.", default=False)
    packing_loss: Fraction = column(
        "Packing loss", kinds.percent, "Added to measured amounts when buying.", default=Fraction(0), least=0, most=1
    )
    keep_margin: int = column(
        "Keep margin",
        kinds.days,
        "Days after the session for which food must still be good.",
        default=1,
        least=0,
        most=_MOST_LEAD,
    )
    spare_kits: Share = column(
        "Spare kits",
        kinds.share_or_number,
        "Per session of kits format: a percentage or a number.",
        default=Share(of_all=Fraction(1, 20)),
        most=MOST_KITS,
    )
    demo_kits: int = column(
        "Demo kits",
        kinds.whole,
        "Kits for the instructor, per session of kits format.",
        default=1,
        least=0,
        most=MOST_KITS,
    )
    kit_step: Fraction = column(
        "Kit step", kinds.number, "Batches come in multiples of this.", default=Fraction(1), above=0
    )
    x_means: Literal["present", "absent"] = column(
        "x means", kinds.x_means, "How a bare x in Attendance reads.", default="present"
    )
    unanswered_needs: Literal["warning", "error"] = column(
        "Unanswered needs", kinds.warning_or_error, "What a blank Needs cell is.", default="warning"
    )
    small_count: int = column(
        "Small count", kinds.whole, "Counts of people from 1 to this are hidden from funders.", default=10, least=0
    )
    completion: Share = column(
        "Completion",
        kinds.share_or_number,
        "Share of the group's delivered sessions (or a number) that makes a completer.",
        default=Share(of_all=Fraction(3, 4)),
    )
    report_by: tuple[str, ...] = column(
        "Report by", kinds.texts, "Enrolment columns to break people down by.", default=()
    )
    budget: Money | None = column("Budget", kinds.money, "Spending cap for the term.", default=None, least=0)
    spent: Money | None = column(
        "Spent so far",
        kinds.money,
        "Paid for food this term, without what stands in Orders, received or not.",
        default=None,
        least=0,
    )
    deliver_to: str = column("Deliver to", kinds.text, "The delivery address, printed on every order.", default="")


@sheet("Groups", key=("Group",))
class GroupRow:
    """One class of people who meet together."""

    place: RowPlace
    group: str = column("Group", kinds.id_text, "Its code.", unique=True)
    name: str = column("Name", kinds.text, "What people call it.", default="")
    site: str = column("Site", kinds.text, "Where it meets.", default="")
    format: Literal["kits", "table"] = column(
        "Format", kinds.group_format, "kits: carried home; table: cooked together.", default="kits"
    )
    kit_for: Literal["household", "participant"] = column(
        "Kit for", kinds.kit_for, "Who gets a kit of their own.", default="household"
    )
    people_per_table: int | None = column(
        "People per table", kinds.whole, "Needed for table format.", default=None, least=1
    )
    seats: int | None = column("Seats", kinds.whole, "How many people it has room for.", default=None, least=1)
    spare_kits: Share | None = column(
        "Spare kits", kinds.share_or_number, "Overrides Settings.", default=None, most=MOST_KITS
    )
    demo_kits: int | None = column(
        "Demo kits", kinds.whole, "Overrides Settings.", default=None, least=0, most=MOST_KITS
    )
    packing_lead: int | None = column(
        "Packing lead", kinds.days, "Overrides Settings.", default=None, least=0, most=_MOST_LEAD
    )
    pick_up_lead: int = column(
        "Pick-up lead",
        kinds.days,
        "Days before the session on which kits are handed out.",
        default=0,
        least=0,
        most=_MOST_LEAD,
    )
    pick_up_place: str = column("Pick-up place", kinds.text, "Where kits are handed out.", default="")
    pick_up_time: str = column("Pick-up time", kinds.time_text, "When kits are handed out.", default="")
    funders: tuple[FunderShare, ...] = column(
        "Funders", kinds.funder_shares, "Who pays, with shares that total 100%.", default=()
    )


@sheet("Sessions", core=True, key=("Session",))
class SessionRow:
    """One meeting of one group."""

    place: RowPlace
    session: str = column("Session", kinds.id_text, "Its code.", unique=True)
    group: str = column("Group", kinds.id_text, "The group that meets.")
    day: dt.date = column("Date", kinds.date, "The day it is held.")
    start: str = column("Start", kinds.time_text, "When it begins.", default="")
    minutes: Fraction | None = column("Minutes", kinds.number, "How long it lasts.", default=None, above=0)
    lesson: str = column("Lesson", kinds.text, "What it is about.", default="")
    recipes: tuple[Dish, ...] = column(
        "Recipes", kinds.dishes, "What is made; `soup x2` makes it twice.", refers="Recipes"
    )
    status: Literal["planned", "delivered", "cancelled"] = column(
        "Status", kinds.session_status, "Where it stands.", default="planned"
    )
    packing_date: dt.date | None = column("Packing date", kinds.date, "Where it is not the usual day.", default=None)
    kits: int | None = column(
        "Kits", kinds.whole, "Replaces the count of kits without swaps, at one batch each.", default=None, least=0,
        most=MOST_KITS,
    )  # fmt: skip
    replaces: str = column(
        "Replaces", kinds.id_text, "The cancelled session that this one makes up for.", default="", refers="Sessions"
    )
    note: str = column("Note", kinds.text, "Anything else.", default="")


@sheet("Enrolment", core=True, extra=True, key=("Participant", "Group"))
class EnrolmentRow:
    """One person in one group."""

    place: RowPlace
    extra: Mapping[str, str]
    participant: str = column("Participant", kinds.person, "A code, not a name.")
    group: str = column("Group", kinds.id_text, "The group they belong to.")
    household: str = column("Household", kinds.id_text, "Who shares a kit; blank: on their own.", default="")
    servings: Fraction | None = column(
        "Servings", kinds.number, "People the kit must feed; blank: the recipe's own.", default=None, above=0
    )
    needs: NeedAnswer = column(
        "Needs",
        kinds.needs,
        "What they must not get; `none` where asked and there is none.",
        default=NeedAnswer(asked=False),
    )
    status: Literal["active", "waiting", "withdrawn"] = column(
        "Status", kinds.member_status, "Only active ones get kits.", default="active"
    )
    joined: dt.date | None = column("Joined", kinds.date, "First day; blank: from the start.", default=None)
    left: dt.date | None = column("Left", kinds.date, "Last day; blank: to the end.", default=None)
    name: str = column("Name", kinds.text, "On the roster and the instructor sheet only.", default="")
    pick_up_name: str = column(
        "Pick-up name", kinds.text, "An adult; on the roster and the instructor sheet only.", default=""
    )
    age_band: str = column("Age band", kinds.text, "For breakdowns.", default="")


@sheet("Recipes", core=True, families=FOOD)
class RecipeRow:
    """One line of a recipe."""

    place: RowPlace
    recipe: str = column("Recipe", kinds.id_text, "Its code; may be blank on its following rows.", fill_down=True)
    servings: Fraction | None = column(
        "Servings", kinds.number, "How many people a batch feeds; once a recipe.", default=None, starred=True, above=0
    )
    ingredient: str = column("Ingredient", kinds.id_text, "What goes in.")
    amount: Amount = column(
        "Amount", kinds.amount_or_taste, "How much a batch takes.", default=Amount(None), starred=True
    )
    unit: str | None = column("Unit", kinds.unit, "Its unit; blank: each.", default=None)
    preparation: str = column("Preparation", kinds.text, "How it is cut or made ready.", default="")
    scale: Literal["batch", "session"] = column(
        "Scale", kinds.scale, "session: once a session whatever the kits.", default="batch"
    )
    supplied: Literal["packed", "home"] = column(
        "Supplied", kinds.supplied, "home: the family has it.", default="packed"
    )
    mix: str = column("Mix", kinds.text, "Lines with the same word are blended into one bag.", default="")
    measured: Literal["prepared", "as bought", ""] = column(
        "Measured",
        kinds.measured,
        "Whether the amount is after trimming; default: weights and volumes prepared, counts as bought.",
        default="",
    )


@sheet("Methods", families=FOOD, key=("Recipe", "Step"))
class MethodRow:
    """One step of a recipe's method."""

    place: RowPlace
    recipe: str = column("Recipe", kinds.id_text, "The recipe.", refers="Recipes")
    step: Fraction = column("Step", kinds.number, "Its place in the method.")
    text: str = column("Text", kinds.text, "What to do.")
    caution: str = column("Caution", kinds.text, "What to take care of.", default="")


@sheet("Ingredients", families=FOOD, key=("Ingredient",))
class IngredientRow:
    """One food; overrides or extends the built-in catalogue column by column."""

    place: RowPlace
    ingredient: str = column("Ingredient", kinds.id_text, "Its name.", unique=True)
    also_called: tuple[str, ...] | None = column("Also called", kinds.texts, "Other names for it.", default=None)
    state: State | None = column("State", kinds.state, "How it is measured; default dry.", default=None)
    storage: Storage | None = column("Storage", kinds.storage, "Where it is kept.", default=None)
    grams_per_cup: Fraction | None = column(
        "Grams per cup", kinds.number, "Prepared, as a cook fills it.", default=None, above=0
    )
    grams_per_tbsp: Fraction | None = column(
        "Grams per tbsp", kinds.number, "Where a spoon's figure is known by itself.", default=None, above=0
    )
    grams_per_tsp: Fraction | None = column(
        "Grams per tsp", kinds.number, "Where a spoon's figure is known by itself.", default=None, above=0
    )
    grams_each: Fraction | None = column("Grams each", kinds.number, "One piece as bought.", default=None, above=0)
    other_pieces: tuple[tuple[str, Fraction], ...] | None = column(
        "Other pieces",
        kinds.pieces,
        "What other count words weigh, one as bought: garlic comes in cloves and heads.",
        default=None,
    )
    edible_share: Fraction | None = column(
        "Edible share", kinds.percent, "Part left after trimming.", default=None, above=0, most=1
    )
    contains: tuple[str, ...] | None = column("Contains", kinds.allergens, "Allergens in it.", default=None)
    tags: tuple[str, ...] | None = column(
        "Tags", kinds.texts, "meat; fish; pork; alcohol; gelatin; honey …", default=None
    )
    keeps: int | None = column("Keeps", kinds.days, "Days sealed.", default=None, least=0)
    keeps_open: int | None = column(
        "Keeps open", kinds.days, "Days once opened; the day of opening is day 1.", default=None, least=1
    )
    per_kit: Literal["measure", "whole"] | None = column(
        "Per kit", kinds.per_kit, "whole: each kit gets whole pieces; default measure.", default=None
    )
    container: str | None = column("Container", kinds.text, "What a portion goes into.", default=None)
    family_cupboard: bool | None = column("Family cupboard", kinds.yes_no, "Most families have it.", default=None)


@sheet("Suppliers", families=FOOD, key=("Supplier",))
class SupplierRow:
    """Who sells, when and on what terms."""

    place: RowPlace
    supplier: str = column("Supplier", kinds.id_text, "Its code.", unique=True)
    name: str = column("Name", kinds.text, "As printed on the order.", default="")
    order_to: str = column("Order to", kinds.text, "E-mail, phone or address.", default="")
    account: str = column("Account", kinds.text, "Our number with them.", default="")
    lead_days: int = column(
        "Lead days", kinds.days, "Their working days from order to delivery.", default=2, least=0, most=_MOST_LEAD
    )
    order_days: tuple[int, ...] = column("Order days", kinds.weekdays, "Their working days.", default=(0, 1, 2, 3, 4))
    delivery_days: tuple[int, ...] | None = column(
        "Delivery days", kinds.weekdays, "Default: the order days.", default=None
    )
    cut_off: str = column("Cut-off", kinds.time_text, "Latest time of day to order.", default="")
    minimum_order: Money | None = column(
        "Minimum order", kinds.money, "Least goods an order must hold.", default=None, least=0
    )
    delivery_fee: Money = column("Delivery fee", kinds.money, "Asked for each delivery.", default=Money(0), least=0)
    free_from: Money | None = column(
        "Free delivery from", kinds.money, "Goods from which no fee is asked.", default=None, least=0
    )
    tax: Fraction = column("Tax", kinds.percent, "Rate on goods.", default=Fraction(0), least=0, most=1)


@sheet("Packs", families=FOOD)
class PackRow:
    """One size of one ingredient that a supplier sells."""

    place: RowPlace
    supplier: str = column("Supplier", kinds.id_text, "Who sells it.")
    ingredient: str = column("Ingredient", kinds.id_text, "What is in it.")
    item: str = column("Item", kinds.text, "The supplier's code.", default="")
    amount: Amount = column("Pack amount", kinds.amount, "How much one pack holds.")
    unit: str = column("Pack unit", kinds.unit, "Its unit.")
    price: Money = column("Price", kinds.money, "Of one pack.", least=0)
    sold_by: int = column("Sold by", kinds.whole, "Packs in the smallest sale.", default=1, least=1)
    minimum: int = column("Minimum", kinds.whole, "Packs, per delivery.", default=0, least=0)
    keeps: int | None = column(
        "Keeps", kinds.days, "Days on arrival; overrides the ingredient's.", default=None, least=0
    )
    price_from: dt.date | None = column("From", kinds.date, "First order-by day of the price.", default=None)
    price_until: dt.date | None = column("Until", kinds.date, "Last order-by day of the price.", default=None)
    priced: dt.date | None = column("Priced", kinds.date, "When the price was asked.", default=None)
    preferred: bool = column("Preferred", kinds.yes_no, "Breaks ties.", default=False)


@sheet("Stock", core=True, families=FOOD)
class StockRow:
    """One lot on the shelf."""

    place: RowPlace
    ingredient: str = column("Ingredient", kinds.id_text, "What it is.")
    amount: Amount = column("Amount", kinds.amount_or_none_left, "How much there is.")
    unit: str | None = column("Unit", kinds.unit, "Its unit; blank: each.", default=None)
    lot: str = column("Lot", kinds.text, "What tells it from the others.", default="")
    best_before: dt.date | None = column("Best before", kinds.date, "From the package.", default=None)
    opened: dt.date | None = column("Opened", kinds.date, "When it was opened.", default=None)
    location: str = column("Place", kinds.text, "Where it stands.", default="")
    counted: dt.date | None = column("Counted", kinds.date, "When it was counted.", default=None)
    source: Literal["bought", "donated"] = column("Source", kinds.stock_source, "Where it came from.", default="bought")
    value: Money | None = column("Value", kinds.money, "For in-kind reports.", default=None, least=0)
    hold: bool = column("Hold", kinds.yes_no, "Not to be used.", default=False)
    packs: int | None = column(
        "Packs", kinds.whole, "Equal sealed packs that the amount stands in, opened one at a time; blank: one.",
        default=None, least=1,
    )  # fmt: skip


@sheet("Orders", families=FOOD)
class OrderRow:
    """What is already ordered and not yet in Stock."""

    place: RowPlace
    order: str = column("Order", kinds.text, "Its number; the rows of one order share it.")
    supplier: str = column("Supplier", kinds.id_text, "Who was asked.")
    ingredient: str = column("Ingredient", kinds.id_text, "What comes.")
    item: str = column("Item", kinds.text, "The supplier's code.", default="")
    packs: Fraction = column("Packs", kinds.number, "How many were ordered.", above=0)
    amount: Amount = column("Pack amount", kinds.amount, "How much one pack holds.")
    unit: str = column("Pack unit", kinds.unit, "Its unit.")
    due: dt.date = column("Due", kinds.date, "When it comes.")
    received: Fraction = column("Received", kinds.number, "Packs so far.", default=Fraction(0), least=0)
    best_before: dt.date | None = column("Best before", kinds.date, "Else Due and the days it keeps.", default=None)
    price: Money | None = column(
        "Price", kinds.money, "Of one pack, as agreed; blank: as in Packs.", default=None, least=0
    )


@sheet("Swaps", families=FOOD)
class SwapRow:
    """What a kit gets instead of a food that someone must not have."""

    place: RowPlace
    ingredient: str = column("Ingredient", kinds.id_text, "What is replaced.")
    need: tuple[str, ...] = column("Need", kinds.served_needs, "Whom it serves.")
    instead: str | None = column("Use instead", kinds.instead, "An ingredient, or `leave out`.")
    ratio: Fraction = column(
        "Ratio", kinds.number, "How much of the substitute for one of the original.", default=Fraction(1), above=0
    )
    unit: str | None = column("Unit", kinds.unit, "Of the substitute, where it differs.", default=None)
    note: str = column("Note", kinds.text, "Anything else.", default="")


@sheet("Tools", families=FOOD)
class ToolRow:
    """One measuring cup or spoon at the packing tables."""

    place: RowPlace
    tool: str = column("Tool", kinds.text, "What it is called.")
    amount: Amount = column("Amount", kinds.amount, "What it holds.")
    unit: str = column("Unit", kinds.unit, "Its unit.")
    serves: Literal["dry", "liquid", "both"] = column("For", kinds.tool_for, "What it measures.", default="both")
    count: int | None = column("Count", kinds.whole, "How many there are.", default=None, least=0)


@sheet("Closures", families=FOOD)
class ClosureRow:
    """Days on which no delivery is taken in, nothing is packed, or both."""

    place: RowPlace
    day: dt.date = column("Date", kinds.date, "The day, or the first of them.")
    until: dt.date | None = column("Until", kinds.date, "The last day.", default=None)
    what: Literal["deliveries", "packing", "all"] = column("What", kinds.closure, "What cannot be done.", default="all")
    why: str = column("Why", kinds.text, "The reason.", default="")


@sheet("Counts", families=frozenset(), apart=True)
class CountRow:
    """What was really there on a packing morning; read by `opsreport recount` alone."""

    place: RowPlace
    ingredient: str = column("Ingredient", kinds.id_text, "What was counted.")
    counted: Amount = column(
        "Counted", kinds.amount_or_none_left, "How much is there; 0 where nothing is, blank where nobody counted.",
        default=Amount(None), starred=True,
    )  # fmt: skip
    unit: str | None = column("Unit", kinds.unit, "Its unit; blank: each.", default=None)
    lot: str = column("Lot", kinds.text, "The lot of Stock, where it is one.", default="")
    good_through: dt.date | None = column(
        "Good through", kinds.date, "Its last good day; blank: that of the lot.", default=None
    )


@sheet("Attendance", shape="attendance", families=PEOPLE, key=("Session", "Participant"))
class AttendanceRow:
    """Who came: one row a participant and one column a session, or one mark a row."""

    place: RowPlace
    session: str = column("Session", kinds.id_text, "The session.", refers="Sessions")
    participant: str = column("Participant", kinds.person, "Who.", refers="Enrolment")
    mark: Mark | None = column("Mark", kinds.mark, "Present, absent or excused; blank: not recorded.")
    kit: bool | None = column("Kit", kinds.yes_no_blank, "Whether the kit was collected.", default=None)


@sheet("Pick-ups", families=PEOPLE, key=("Session", "Household", "Kit"))
class PickUpRow:
    """What became of a kit."""

    place: RowPlace
    session: str = column("Session", kinds.id_text, "The session.", refers="Sessions")
    household: str = column("Household", kinds.id_text, "Whose kit.")
    kit: Literal["collected", "left", "passed on", "discarded", "short"] = column(
        "Kit", kinds.kit_fate, "What became of it; short: it could not be packed."
    )
    reason: str = column("Reason", kinds.text, "Why.", default="")


@sheet("Questions", families=PEOPLE, key=("Question",))
class QuestionRow:
    """One question of the surveys."""

    place: RowPlace
    question: str = column("Question", kinds.id_text, "Its code.", unique=True)
    text: str = column("Text", kinds.text, "As asked.")
    kind: Literal["scale", "yes-no", "number"] = column(
        "Kind", kinds.question_kind, "How it is answered.", default="scale"
    )
    lowest: Fraction | None = column("Lowest", kinds.number, "Least answer.", default=None)
    highest: Fraction | None = column("Highest", kinds.number, "Greatest answer.", default=None)
    better: Literal["higher", "lower"] = column("Better", kinds.better, "Which way is improvement.", default="higher")
    theme: str = column("Theme", kinds.text, "Questions reported together.", default="")


@sheet("Surveys", shape="surveys", families=PEOPLE, key=("Participant", "Question", "When"))
class SurveyRow:
    """One answer, before or after: one row a participant and time, or one row a question."""

    place: RowPlace
    participant: str = column("Participant", kinds.person, "Who.", refers="Enrolment")
    question: str = column("Question", kinds.id_text, "The question.", refers="Questions")
    when: Literal["before", "after"] = column("When", kinds.before_after, "When it was asked.")
    answer: str = column("Answer", kinds.answer, "What was answered.")


@sheet("Funders", families=PEOPLE, key=("Funder",))
class FunderRow:
    """Who pays, for which days, against which targets."""

    place: RowPlace
    funder: str = column("Funder", kinds.id_text, "Its code.", unique=True)
    name: str = column("Name", kinds.text, "As printed.", default="")
    start: dt.date = column("From", kinds.date, "First day of the grant.")
    end: dt.date = column("Until", kinds.date, "Last day of the grant.")
    sessions_target: int | None = column("Sessions target", kinds.whole, "Sessions promised.", default=None, least=0)
    people_target: int | None = column(
        "People target", kinds.whole, "Unduplicated people promised.", default=None, least=0
    )
    completion_target: Fraction | None = column(
        "Completion target", kinds.percent, "Share of completers promised.", default=None, least=0, most=1
    )
    kits_target: int | None = column("Kits target", kinds.whole, "Kits promised.", default=None, least=0)
    budget: Money | None = column("Budget", kinds.money, "What it gives.", default=None, least=0)
    small_count: int | None = column("Small count", kinds.whole, "Overrides Settings.", default=None, least=0)


@sheet("Narratives", families=PEOPLE, key=("Funder", "Heading"))
class NarrativeRow:
    """A passage in the coordinator's own words for a funder's document."""

    place: RowPlace
    funder: str = column("Funder", kinds.id_text, "Whose document; blank: every funder's.", default="")
    heading: str = column("Heading", kinds.text, "What it is about.")
    text: str = column("Text", kinds.text, "The passage; blank: a box to fill in by hand.", default="")


@dataclass(frozen=True, slots=True)
class Rows:
    """Every sheet's good rows, in the order of the workbook, and which sheets it has."""

    settings: Settings
    groups: tuple[GroupRow, ...] = ()
    sessions: tuple[SessionRow, ...] = ()
    enrolment: tuple[EnrolmentRow, ...] = ()
    recipes: tuple[RecipeRow, ...] = ()
    methods: tuple[MethodRow, ...] = ()
    ingredients: tuple[IngredientRow, ...] = ()
    suppliers: tuple[SupplierRow, ...] = ()
    packs: tuple[PackRow, ...] = ()
    stock: tuple[StockRow, ...] = ()
    orders: tuple[OrderRow, ...] = ()
    swaps: tuple[SwapRow, ...] = ()
    tools: tuple[ToolRow, ...] = ()
    closures: tuple[ClosureRow, ...] = ()
    attendance: Sequence[AttendanceRow] = ()
    pick_ups: tuple[PickUpRow, ...] = ()
    questions: tuple[QuestionRow, ...] = ()
    surveys: tuple[SurveyRow, ...] = ()
    funders: tuple[FunderRow, ...] = ()
    narratives: tuple[NarrativeRow, ...] = ()
    present: frozenset[str] = frozenset()
    headed: frozenset[str] = frozenset()
    """Sheets whose headings were found, so that their rows could be read."""
    known: Mapping[str, Mapping[str, str]] = dataclasses.field(default_factory=dict)
    """By sheet: the ids that its rows name, bad rows too, so that one slip is one finding; folded -> as typed."""
    spoiled: Mapping[str, frozenset[str]] = dataclasses.field(default_factory=dict)
    """By sheet: the ids of its bad rows, of which nothing more is known; '' where the id itself cannot be read."""

    def lacks_headings(self, sheet: str) -> bool:
        """Whether the workbook has the sheet, but its rows could not be read for want of a heading row."""
        return sheet in self.present and sheet not in self.headed


GUIDE: Final = "Start here"
"""A sheet for people, not read and not mentioned."""

FINDINGS: Final = "Findings"
"""The sheet that a marked copy begins with; the same."""

ROWS_OF: Final[Mapping[str, str]] = {name: name.lower().replace("-", "_") for name in SHEETS}
"""The attribute of Rows that holds each sheet's records."""
