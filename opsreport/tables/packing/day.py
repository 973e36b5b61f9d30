"""One packing day and the kits packed on it, as its documents look at them."""

import dataclasses
import datetime as dt
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from typing import Final

from opsreport.foods import ALLERGENS, Food, fold, word_keys
from opsreport.plan.model import FoodPlan, KitLine, PlannedSession, Variant
from opsreport.plan.needs.kits import LEAVE_OUT, members_on, session_lines
from opsreport.programme import Group, Programme, Session
from opsreport.shown import day_words
from opsreport.tables.naming import head_line
from opsreport.tables.packing.allergen_names import law_name
from opsreport.tables.table import Document, Part, Table

_RAW_TAGS = frozenset({"meat", "poultry", "fish", "shellfish", "beef", "pork", "lamb"})
_READY = frozenset({"cooked", "smoked", "cured", "ham", "deli"})
"""Words of the names of meat and fish that are eaten as they are."""
SOON_OPENED: Final = 7
"""Days that wet food keeps once opened, at most, where it must then be kept cold: FDA Food Code 3-501.17 gives opened
food that is kept cold 7 days."""
NOTHING_LISTED: Final = "Allergens: nothing listed in our records; read the packages"
_MOST_BOXES = 10
_TEN = 10


@dataclass(frozen=True, slots=True)
class Exchange:
    """A food of the standard kit that some kits do not get. instead: what they get, '' where nothing. note: Swaps'."""

    food: str
    instead: str
    note: str = ""

    @property
    def words(self) -> str:
        """`oat drink instead of milk (shake it)`."""
        said = f"{self.instead} instead of {self.food}" if self.instead else f"{self.food} left out"
        return f"{said} ({self.note})" if self.note else said


@dataclass(frozen=True)
class Kits:
    """The kits of one session that are all alike, with what the programme knows of them."""

    programme: Programme
    session: PlannedSession
    variant: Variant

    @property
    def code(self) -> str:
        """What stands on the bag: `S07-B`."""
        return f"{self.session.session}-{self.variant.letter}"

    @property
    def count(self) -> int:
        return self.variant.kits

    @property
    def group(self) -> Group:
        return self.programme.groups[self.session.group]

    @property
    def group_words(self) -> str:
        return self.group.name or self.group.group

    @property
    def place(self) -> str:
        """Where they are handed out, or cooked from."""
        return self.group.pick_up_place if self.group.kits else self.group.site

    @property
    def meeting(self) -> Session:
        return self.programme.sessions[self.session.session]

    @property
    def unit(self) -> str:
        """What one of them is called: a kit is carried home, a table's box is cooked from together."""
        return "kit" if self.group.kits else "table box"

    @property
    def counted(self) -> str:
        return counted(self.count, self.unit)

    @cached_property
    def foods(self) -> list[Food]:
        return [self.programme.foods.by_name[line.food] for line in self.variant.lines]

    @cached_property
    def cold(self) -> list[Food]:
        """Those that must be kept cold."""
        opened = self.opened
        return [food for food in self.foods if is_cold(food) or food.name in opened]

    @cached_property
    def opened(self) -> frozenset[str]:
        """Foods of the shelf that must be kept cold once they are portioned out of their packs."""
        foods = self.programme.foods.by_name
        lines = (line for line in self.variant.lines if line.portioned)
        return frozenset(line.food for line in lines if is_chilled_once_opened(foods[line.food]))

    @property
    def frozen(self) -> bool:
        return any(food.place_kept == "freeze" for food in self.foods)

    @cached_property
    def exchanges(self) -> list[Exchange]:
        """What differs from the standard kit, in the order of the recipes."""
        made = {swap.food: swap for swap in self.variant.swaps}
        lines = session_lines(self.programme, self.meeting)
        foods = dict.fromkeys(line.food for _, _, line in lines if not line.once_a_session)
        swaps = [made[food] for food in foods if food in made]
        return [Exchange(swap.food, "" if swap.instead == LEAVE_OUT else swap.instead, swap.note) for swap in swaps]

    def once_food(self, food: str) -> str:
        """What the session shares of a food that is packed once: itself, what stands for it, '' where nothing."""
        shared = [line for line in self.session.once if food == line.food or food in line.instead_of]
        found = next((line.food for line in shared if food in line.instead_of), None)
        return found or next((line.food for line in shared), "")

    def line_of(self, food: str) -> KitLine | None:
        return self._lines.get(food)

    @cached_property
    def _lines(self) -> Mapping[str, KitLine]:
        return {line.food: line for line in self.variant.lines}


@dataclass(frozen=True)
class PackingDay:
    """One day's sessions, by session date and id, with the whole plan behind them."""

    programme: Programme
    food: FoodPlan
    day: dt.date
    sessions: tuple[PlannedSession, ...]

    @cached_property
    def kits(self) -> list[Kits]:
        """Every sort of kit packed this day, by session and letter."""
        return [kits for session in self.sessions for kits in self.kits_of(session)]

    def kits_of(self, session: PlannedSession) -> list[Kits]:
        return self._kits_by_session[session.session]

    @cached_property
    def _kits_by_session(self) -> dict[str, list[Kits]]:
        return {
            session.session: [Kits(self.programme, session, variant) for variant in session.variants if variant.kits]
            for session in self.sessions
        }

    @cached_property
    def opened(self) -> frozenset[str]:
        """Foods of the shelf that must be kept cold once they are portioned out of their packs."""
        return frozenset(name for kits in self.kits for name in kits.opened)

    @cached_property
    def up_to_here(self) -> frozenset[str]:
        """Ids of the sessions packed on this day or before it."""
        return frozenset(session.session for session in self.food.sessions if session.packing_day <= self.day)

    @cached_property
    def session_ids(self) -> frozenset[str]:
        return frozenset(session.session for session in self.sessions)

    def document(
        self, name: str, title: str, reader: str, parts: Iterable[Part], *, landscape: bool = False
    ) -> Document:
        """A document of this day; its title says the day. What comes first shares the title's page."""
        first, *others = parts
        if isinstance(first, Table):
            first = dataclasses.replace(first, page_break=False)
        return Document(
            f"packing/{self.day.isoformat()}-{name}",
            f"{title}, packed {day_words(self.day)}",
            reader,
            (first, *others),
            head_line(self.programme),
            landscape,
        )


def packing_days(programme: Programme, food: FoodPlan) -> list[PackingDay]:
    """The days on which something is packed, in order."""
    by_day: dict[dt.date, list[PlannedSession]] = {}
    for session in food.sessions:
        if session.kits or session.once:
            by_day.setdefault(session.packing_day, []).append(session)
    return [
        PackingDay(programme, food, day, tuple(sorted(by_day[day], key=lambda each: (each.day, each.session))))
        for day in sorted(by_day)
    ]


# --- people ---


def unasked(programme: Programme, session: PlannedSession) -> list[str]:
    """Participants of a session whom nobody has asked about needs, by code."""
    meeting = programme.sessions[session.session]
    return [member.participant for member in members_on(programme, meeting) if not member.asked]


def called(programme: Programme, session: PlannedSession, codes: Sequence[str]) -> list[str]:
    """Participants by name, with the code; by code alone where no Name is given."""
    members = {member.participant: member for member in members_on(programme, programme.sessions[session.session])}
    names = {code: members[code].name for code in codes if code in members}
    return [f"{names[code]} ({code})" if names.get(code) else code for code in codes]


# --- foods ---


def is_cold(food: Food) -> bool:
    return food.place_kept in ("chill", "freeze")


def is_chilled_once_opened(food: Food) -> bool:
    """Food of the shelf that keeps only some days once its can, jar or carton is opened, and those in the fridge.

    What goes into a bag is dry (nuts, bread) and stays on the shelf. The rule by days: common practice, no source.
    """
    soon = food.keeps_open is not None and food.keeps_open <= SOON_OPENED
    return soon and not is_cold(food) and not food.container.endswith("bag")


def is_to_be_cooked(food: Food) -> bool:
    """Raw meat, poultry or fish, or eggs: not what is cooked or cured already."""
    return is_raw_animal(food) and not _READY & set(word_keys(food.name))


def is_raw_animal(food: Food) -> bool:
    """Meat, poultry or fish kept cold, or eggs: bagged by themselves, below what is eaten raw."""
    tags = {fold(tag) for tag in food.tags}
    return is_cold(food) and (bool(tags & _RAW_TAGS) or food.contains == ("egg",))


def has_allergens(food: Food) -> bool:
    """Whether it is handled with the allergens: it holds one, or nobody said what it holds."""
    return bool(food.contains) or not food.allergens_known


def varies_by_brand(food: Food) -> bool:
    return "check-label" in {fold(tag) for tag in food.tags}


def allergen_words(foods: Sequence[Food]) -> str:
    """The allergens of these foods in the order of the law, then the rest: `milk, tree nuts (walnut)`."""
    holders: dict[str, list[Food]] = {allergen: [] for allergen in ALLERGENS}
    for food in foods:
        for allergen in dict.fromkeys(food.contains):
            holders.setdefault(allergen, []).append(food)
    named = [law_name(allergen, held) for allergen, held in holders.items() if held]
    unknown = [food.name for food in foods if not food.allergens_known]
    if unknown:
        named.append(f"not known for {', '.join(unknown)}")
    return ", ".join(named)


def is_trimmed(programme: Programme, line: KitLine) -> bool:
    """Whether the recipe measures it after trimming, so that what is handed out weighs more."""
    if line.whole:
        return False
    return any(part.edible_share != 1 for part in line.parts)


# --- words and boxes ---


def contains_words(foods: Sequence[Food]) -> str:
    """`Contains: milk, wheat`; where nothing is on record it says just that, and never that nothing is in it."""
    allergens = allergen_words(foods)
    return f"Contains: {allergens}" if allergens else NOTHING_LISTED


def counted(number: int, word: str) -> str:
    """`1 kit`, `3 kits`, `2 table boxes`."""
    if number == 1:
        return f"1 {word}"
    return f"{number} {word}es" if word.endswith("x") else f"{number} {word}s"


def boxes(kits: int) -> int:
    """Boxes to tick: one a kit up to ten kits, then one for every ten and for what is left."""
    return kits if kits <= _MOST_BOXES else -(-kits // _TEN)
