"""Foods and needs: the built-in catalogue joined with the Ingredients sheet, and what a need covers.

A food is found by any of its names; everything after this module speaks of it by one id, as first
written in the workbook.
"""

import csv
import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cache, lru_cache
from typing import Final, Literal

from opsreport.measures.units import DIMENSION, Bridge, Figure, MeasureSet, factors, unit_named
from opsreport.places import data_file
from opsreport.sheets import IngredientRow, Rows, State, Storage
from opsreport.words import ALLERGENS as ALLERGENS
from opsreport.words import US_ALLERGENS
from opsreport.words import allergens_named as allergens_named
from opsreport.words import fold as fold

AtomKind = Literal["allergen", "tag", "food"]
Atom = tuple[AtomKind, str]
"""The smallest thing that a need and a food can have in common."""

ANIMAL_TAGS: Final = ("meat", "poultry", "beef", "pork", "lamb", "fish", "shellfish", "gelatin", "honey")
"""Tags that diets look at."""
_VEGETARIAN: Final[frozenset[Atom]] = frozenset(
    {
        *(("tag", tag) for tag in ANIMAL_TAGS if tag != "honey"),
        *(("allergen", name) for name in ("fish", "crustacean shellfish", "molluscs")),
    }
)
_VEGAN: Final[frozenset[Atom]] = _VEGETARIAN | {("allergen", "milk"), ("allergen", "egg"), ("tag", "honey")}
DIETS: Final[Mapping[str, frozenset[Atom]]] = {"vegetarian": _VEGETARIAN, "vegan": _VEGAN}


def _singular(word: str) -> str:
    for ending, instead in (("ies", "y"), ("oes", "o"), ("sses", "ss"), ("shes", "sh"), ("ches", "ch")):
        if word.endswith(ending) and len(word) > len(ending) + 1:
            return word[: -len(ending)] + instead
    if word.endswith("s") and not word.endswith(("ss", "us", "is")) and len(word) > 3:
        return word[:-1]
    return word


@lru_cache(8192)
def name_key(text: str) -> str:
    """A food's name as it is looked up: folded, hyphens as spaces, last word in the singular."""
    words = fold(text).replace("-", " ").replace("’", "'").split()
    return " ".join([*words[:-1], _singular(words[-1])]) if words else ""


def word_keys(name: str) -> tuple[str, ...]:
    """The words of a name, folded, each in the singular, without commas and parentheses."""
    return tuple(_singular(word) for word in re.findall(r"[^\W_]+(?:'[^\W_]+)?", fold(name)))


@dataclass(frozen=True, slots=True)
class CatalogueEntry:
    """One food of the built-in catalogue; grams per US cup and spoon, one piece as bought [g]."""

    ingredient: str
    also_called: tuple[str, ...]
    state: State
    storage: Storage
    grams_per_cup: Fraction | None
    grams_per_tbsp: Fraction | None
    grams_per_tsp: Fraction | None
    grams_each: Fraction | None
    each_is: str
    other_pieces: tuple[tuple[str, Fraction], ...]
    edible_share: Fraction | None
    contains: tuple[str, ...]
    tags: tuple[str, ...]
    keeps: int | None
    keeps_open: int | None
    per_kit: str
    container: str
    source: str
    note: str

    @property
    def contains_us(self) -> tuple[str, ...]:
        """Those of the nine that US law names."""
        return tuple(name for name in self.contains if name in US_ALLERGENS)

    @property
    def contains_eu(self) -> tuple[str, ...]:
        """Those of the fourteen of EU law, in which wheat stands under gluten."""
        return tuple(name for name in self.contains if name != "wheat")

    @property
    def sources(self) -> tuple[str, ...]:
        """Where its figures come from, one source a text: `weights: USDA SR28 08120`."""
        return _listed(self.source)


def _exact(text: str) -> Fraction | None:
    """`62.5`, `50/0.88` or '' as an exact figure."""
    if not text:
        return None
    over, _, under = text.partition("/")
    return Fraction(over) / Fraction(under) if under else Fraction(over)


def _piece(text: str) -> tuple[str, Fraction]:
    """`bunch 608/0.78` as a count word and its grams."""
    word, _, grams = text.partition(" ")
    return word, _exact(grams) or Fraction(0)


def _listed(text: str) -> tuple[str, ...]:
    return tuple(part for part in (part.strip() for part in text.split(";")) if part)


@cache
def catalogue() -> tuple[CatalogueEntry, ...]:
    """The built-in catalogue, in the order of its file; sources on every entry.

    Source: opsreport/data/catalogue.csv; see the README beside it.
    """
    with data_file("catalogue.csv").open(encoding="utf-8", newline="") as file:
        return tuple(
            CatalogueEntry(
                ingredient=row["Ingredient"],
                also_called=_listed(row["Also called"]),
                state=row["State"],  # type: ignore[arg-type]  # the data's own test holds it to the three
                storage=row["Storage"],  # type: ignore[arg-type]
                grams_per_cup=_exact(row["Grams per cup"]),
                grams_per_tbsp=_exact(row["Grams per tbsp"]),
                grams_per_tsp=_exact(row["Grams per tsp"]),
                grams_each=_exact(row["Grams each"]),
                each_is=row["Each is"],
                other_pieces=tuple(_piece(text) for text in _listed(row["Other pieces"])),
                edible_share=Fraction(row["Edible share"].rstrip("%")) / 100 if row["Edible share"] else None,
                contains=_listed(row["Contains"]),
                tags=_listed(row["Tags"]),
                keeps=int(row["Keeps"]) if row["Keeps"] else None,
                keeps_open=int(row["Keeps open"]) if row["Keeps open"] else None,
                per_kit=row["Per kit"],
                container=row["Container"],
                source=row["Source"],
                note=row["Note"],
            )
            for row in csv.DictReader(file)
        )


@cache
def _catalogue_by_name() -> Mapping[str, CatalogueEntry]:
    by_name: dict[str, CatalogueEntry] = {}
    for entry in catalogue():
        for name in (entry.ingredient, *entry.also_called):
            by_name.setdefault(name_key(name), entry)
    for entry in catalogue():
        by_name[name_key(entry.ingredient)] = entry
    return by_name


def catalogue_entry(name: str) -> CatalogueEntry | None:
    """The catalogue's entry for a name or one of its aliases."""
    return _catalogue_by_name().get(name_key(name))


@dataclass(frozen=True, slots=True)
class Food:
    """One food as this workbook knows it.

    name: its one id. listed: it stands in the Ingredients sheet or the catalogue. told: one of them says what it
    contains, be it nothing. bridge: grams by measure and by piece. edible_share: 0 < share <= 1.
    contains: allergens by their full names. keeps / keeps_open: days, None where unknown.
    each_is: what the catalogue's piece is, where its weight is used. piece_words: count words for that piece, empty
    where nobody says what a piece is. stays_sealed: it comes and is packed in whole sealed units, none of them
    opened here. sources: the catalogue's, for its figures.
    from_catalogue: headings whose figure is the catalogue's.
    """

    name: str
    listed: bool
    state: State = "dry"
    storage: Storage | None = None
    bridge: Bridge = Bridge()
    edible_share: Fraction = Fraction(1)
    contains: tuple[str, ...] = ()
    tags: tuple[str, ...] = ()
    keeps: int | None = None
    keeps_open: int | None = None
    whole: bool = False
    container: str = ""
    family_cupboard: bool = False
    each_is: str = ""
    piece_words: frozenset[str] = frozenset()
    stays_sealed: bool = False
    sources: tuple[str, ...] = ()
    from_catalogue: tuple[str, ...] = ()
    told: bool = True

    @property
    def allergens_known(self) -> bool:
        """Whether somebody said what it contains; else it is taken to hold nothing, and nobody is told so."""
        return self.listed and self.told

    @property
    def atoms(self) -> frozenset[Atom]:
        """Everything a need could object to."""
        allergens: set[Atom] = {("allergen", name) for name in self.contains}
        tags: set[Atom] = {("tag", fold(tag)) for tag in self.tags}
        return frozenset(allergens | tags | {("food", self.name)})

    @property
    def keeps_begun(self) -> int | None:
        """Days that the rest of a pack keeps once it was packed from here, None where nothing limits it.

        Of a case of sealed cans from which whole cans were taken nothing stands opened.
        """
        return None if self.stays_sealed else self.keeps_open

    @property
    def place_kept(self) -> Storage:
        """Where it is stored; the shelf where nobody said."""
        return self.storage or "shelf"


@dataclass(frozen=True, slots=True)
class Need:
    """One need as typed, and everything it covers."""

    text: str
    covers: frozenset[Atom]


@dataclass(frozen=True)
class Foods:
    """All foods of a workbook.

    by_name: every id, by id, in the order first written. ids: name key -> id, aliases too.
    unread: ids of which the Ingredients sheet has, or may have, a row that cannot be read.
    """

    by_name: Mapping[str, Food]
    ids: Mapping[str, str]
    unread: frozenset[str] = frozenset()
    _needs: dict[str, Need | None] = field(default_factory=dict, compare=False, repr=False)

    def find(self, written: str) -> Food | None:
        """The food that the workbook means by `written`."""
        name = self.ids.get(name_key(written))
        return None if name is None else self.by_name[name]

    def tags(self) -> set[str]:
        """Every tag that some food carries, folded."""
        return {fold(tag) for food in self.by_name.values() for tag in food.tags} | {
            fold(tag) for entry in catalogue() for tag in entry.tags
        }

    def need(self, written: str) -> Need | None:
        """What a need covers, or None where it matches nothing and so would protect nobody."""
        if written not in self._needs:
            covers = self._covers(written)
            self._needs[written] = Need(written, frozenset(covers)) if covers else None
        return self._needs[written]

    def _covers(self, written: str) -> set[Atom]:
        words = fold(written).removesuffix(" allergy").removesuffix("-free").removesuffix(" free")
        if words in DIETS:
            return set(DIETS[words])
        subject = words.removeprefix("no ").strip()
        named = allergens_named(subject)
        found: set[Atom] = {("allergen", name) for name in named or ()}
        found |= {("tag", tag) for tag in {subject, _singular(subject)} & self.tags()}
        if self.is_plain(words) and named is None:
            return set()
        food = self.find(subject)
        if food is not None and (named is None or not set(named) <= set(food.contains)):
            found.add(("food", food.name))
        elif food is None and named is None and (entry := catalogue_entry(subject)) is not None:
            found.add(("food", entry.ingredient))
        return found

    @staticmethod
    def is_plain(words: str) -> bool:
        """Whether a need stands without its `no`; only an allergen or a diet may."""
        return not words.startswith("no ")


def build_foods(rows: Rows) -> Foods:
    """Join the catalogue, the Ingredients sheet and every name that another sheet uses.

    The sheet overrides the catalogue column by column; its figure for a cup replaces the catalogue's
    spoons too, since they are figures for one food measured by someone else.
    """
    ids: dict[str, str] = {}
    by_name: dict[str, Food] = {}

    def enter(food: Food, names: Iterable[str]) -> None:
        by_name[food.name] = food
        ids[name_key(food.name)] = food.name
        for name in names:
            ids.setdefault(name_key(name), food.name)

    for row in rows.ingredients:
        entry = catalogue_entry(row.ingredient)
        names = (*(row.also_called or ()), *((entry.ingredient, *entry.also_called) if entry else ()))
        enter(_joined(row.ingredient, row, entry, rows.settings.measures), names)
    for written in _named(rows):
        if name_key(written) in ids:
            continue
        entry = catalogue_entry(written)
        names = (entry.ingredient, *entry.also_called) if entry else ()
        enter(_joined(written, None, entry, rows.settings.measures), names)
    spoiled = rows.spoiled.get("Ingredients", frozenset())
    unlisted = [food.name for food in by_name.values() if not food.listed] if rows.lacks_headings("Ingredients") else []
    return Foods(by_name, ids, frozenset([*unlisted, *(name for name in by_name if fold(name) in spoiled)]))


def _named(rows: Rows) -> Iterable[str]:
    """Every food that a sheet names, in the order of the sheets."""
    yield from (row.ingredient for row in rows.recipes)
    yield from (row.ingredient for row in rows.packs)
    yield from (row.ingredient for row in rows.stock)
    yield from (row.ingredient for row in rows.orders)
    for row in rows.swaps:
        yield row.ingredient
        if row.instead is not None:
            yield row.instead


def _piece_words(entry: CatalogueEntry) -> frozenset[str]:
    """The count words that a catalogue's piece goes by: those of what it is, and of names that end in one.

    A package is a packet. Where a piece is called by none of them (`medium`), `each` alone is it.
    """
    said = re.findall(r"[a-z]+", entry.each_is.casefold().replace("package", "packet"))
    said += [name.casefold().split()[-1] for name in entry.also_called]
    units = (unit_named(word) for word in said if len(word) > 2)
    return frozenset({"each", *(unit for unit in units if unit is not None and DIMENSION[unit] == "count")})


def _joined(name: str, row: IngredientRow | None, entry: CatalogueEntry | None, measures: MeasureSet) -> Food:
    """One food from its row and its catalogue entry; either may be missing."""
    taken: list[str] = []

    def pick(heading: str, attribute: str) -> object:
        own = getattr(row, attribute, None)
        if own is not None or entry is None:
            return own
        built_in = getattr(entry, attribute)
        if built_in not in (None, (), ""):
            taken.append(heading)
        return built_in

    sizes = factors(measures)
    us = factors("US")
    measured: tuple[tuple[Figure, str, str], ...] = (
        ("cup", "grams_per_cup", "Grams per cup"),
        ("tbsp", "grams_per_tbsp", "Grams per tbsp"),
        ("tsp", "grams_per_tsp", "Grams per tsp"),
    )
    own_figures = {unit: getattr(row, attribute, None) for unit, attribute, _ in measured}
    grams_per_ml: dict[Figure, Fraction] = {}
    if any(figure is not None for figure in own_figures.values()):
        grams_per_ml = {unit: grams / sizes[unit] for unit, grams in own_figures.items() if grams is not None}
    elif entry is not None:
        for unit, attribute, heading in measured:
            grams = getattr(entry, attribute)
            if grams is not None:
                grams_per_ml[unit] = grams / us[unit]
                taken.append(heading)
    grams_each = pick("Grams each", "grams_each")
    own_pieces, known_pieces = getattr(row, "other_pieces", None) or (), entry.other_pieces if entry is not None else ()
    from_entry = entry is not None and "Grams each" in taken
    edible = pick("Edible share", "edible_share")
    return Food(
        name=name,
        listed=row is not None or entry is not None,
        state=pick("State", "state") or "dry",  # type: ignore[arg-type]
        storage=pick("Storage", "storage"),  # type: ignore[arg-type]
        bridge=Bridge(grams_per_ml, grams_each, dict((*known_pieces, *own_pieces))),  # type: ignore[arg-type]
        edible_share=Fraction(1) if edible is None else edible,  # type: ignore[arg-type]
        contains=pick("Contains", "contains") or (),  # type: ignore[arg-type]
        tags=pick("Tags", "tags") or (),  # type: ignore[arg-type]
        keeps=pick("Keeps", "keeps"),  # type: ignore[arg-type]
        keeps_open=pick("Keeps open", "keeps_open"),  # type: ignore[arg-type]
        whole=pick("Per kit", "per_kit") == "whole",
        container=str(pick("Container", "container") or ""),
        family_cupboard=bool(row.family_cupboard) if row is not None else False,
        each_is=entry.each_is if entry is not None and from_entry else "",
        piece_words=_piece_words(entry) if entry is not None and from_entry else frozenset(),
        sources=entry.sources if entry is not None else (),
        from_catalogue=tuple(taken),
        told=entry is not None or (row is not None and row.contains is not None),
    )
