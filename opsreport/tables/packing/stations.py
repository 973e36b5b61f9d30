"""Station sheets: the day's foods shared out to stations, with what every sort of kit gets of each."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from itertools import accumulate
from typing import Final, Literal

from opsreport.foods import Food
from opsreport.measures.kitchen import kitchen_words
from opsreport.measures.units import SEALED_WORDS
from opsreport.plan.model import Blend, KitLine
from opsreport.plan.packing.stations import motions, shared_between
from opsreport.programme import Programme
from opsreport.shown import decimal_words
from opsreport.tables.packing.cautions import (
    ALLERGENS,
    ALLERGENS_SOURCE,
    HANDS,
    HANDS_SOURCE,
    RAW_APART,
    RAW_SOURCE,
    cold_caution,
    table_cautions,
)
from opsreport.tables.packing.day import (
    Kits,
    PackingDay,
    allergen_words,
    boxes,
    counted,
    has_allergens,
    is_chilled_once_opened,
    is_cold,
    is_raw_animal,
    is_to_be_cooked,
    varies_by_brand,
)
from opsreport.tables.packing.words import blend_name, blend_portion_words, kit_words, measuring_words
from opsreport.tables.shelf_words import to_take_words
from opsreport.tables.table import Column, Document, Part, Row, Table

_MOST_TOGETHER: Final = 8
"""Rows of one food under one heading, which keep to one page in print; then the heading stands again."""
BY_ITSELF: Final = "bag by itself"
ALLERGEN_SECTION: Final = "Allergens"
COLD_SECTION: Final = "Cold"
KINDS: Final = {
    "Dry goods": "dry goods",
    "Spices": "spices and other small bags",
    "Cans": "cans, jars and liquids",
    "Produce": "fruit and vegetables",
    COLD_SECTION: "cold food, after the rest",
    ALLERGEN_SECTION: "allergens, packed last with clean tools",
}
"""What is packed where, in packing order; cold food and allergens have a station of their own."""

_COLUMNS: Final = (
    Column("Kit", width=14),
    Column("Each kit gets", width=15),
    Column("How to measure it", width=36),
    Column("As bought, each", "amount", 10),
    Column("Unit", width=6),
    Column("Kits", "count", 6),
    Column("As bought, all", "amount", 11, formula="[As bought, each]*[Kits]"),
    Column("Done", "boxes", 22),
    Column("Initials", "write-in", 9),
)
_BLENDS: Final = (
    Column("Blend for", "code", 10),
    Column("Food", width=22),
    Column("One portion", width=14),
    Column("How to measure it", width=36),
    Column("As bought, all", "amount", 11),
    Column("Unit", width=6),
    Column("Done", "boxes", 16),
    Column("Initials", "write-in", 9),
)
_ONCE: Final = (
    Column("Session", "code", 10),
    Column("Food", width=24),
    Column("Amount", width=15),
    Column("How to measure it", width=36),
    Column("As bought", "amount", 10),
    Column("Unit", width=6),
    Column("Done", "boxes", 8),
    Column("Initials", "write-in", 9),
)


@dataclass(frozen=True, slots=True)
class _Station:
    """A part of the packing table. sheet: its sheet's name; foods in packing order; motions: of a hand, in all."""

    sheet: str
    foods: tuple[Food, ...]
    motions: Fraction

    @property
    def kinds(self) -> str:
        """`dry goods; spices and other small bags`."""
        for section in (COLD_SECTION, ALLERGEN_SECTION):
            if self.sheet.startswith(section):
                return KINDS[section]
        here = dict.fromkeys(section_of(food) for food in self.foods)
        return "; ".join(KINDS[kind] for kind in here)


_Lines = Mapping[str, Sequence[tuple[Kits, KitLine]]]
"""By food: what each sort of kit gets of it besides its blends."""


def stations(day: PackingDay) -> Document:
    """The day's foods at their stations, in packing order; then blends and what a session gets once."""
    foods = {food.name: food for kits in day.kits for food in kits.foods}
    lines = {name: _lines_of(day, food) for name, food in foods.items()}
    made = _stations(day, foods.values(), lines)
    parts: list[Part] = [table_cautions(day.programme)]
    for number, station in enumerate(made, 1):
        title = f"Station {number} of {len(made)}: {station.kinds}"
        parts.append(_table(day, station, lines, number, title))
    parts += [*_blends(day), *_once(day)]
    reader = "the volunteers at the packing tables"
    return day.document("stations", "Station sheets", reader, parts, landscape=True)


def _stations(day: PackingDay, foods: Iterable[Food], lines: _Lines) -> list[_Station]:
    """As many as Settings asks for, about equally busy: those for cold food after the rest, one for allergens last."""
    opened = day.opened
    loose = [food for food in foods if lines[food.name]]
    foods = sorted(loose, key=lambda food: packing_order(food, opened))
    work = {
        food.name: sum((motions(line, kits.count) for kits, line in lines[food.name]), Fraction(0)) for food in foods
    }
    kinds: dict[str, list[Food]] = {"": [], COLD_SECTION: [], ALLERGEN_SECTION: []}
    for food in foods:
        section = section_of(food, opened)
        kinds[section if section in kinds else ""].append(food)
    warm, cold = kinds[""], kinds[COLD_SECTION]
    shares = shared_between(
        [work[food.name] for food in warm], [work[food.name] for food in cold], day.programme.settings.stations - 1
    )
    made = [*_apart(warm, shares[0], "Station {}"), *_apart(cold, shares[1], COLD_SECTION, f"{COLD_SECTION} {{}}")]
    made.append((ALLERGEN_SECTION, kinds[ALLERGEN_SECTION]))
    return [
        _Station(sheet, tuple(its_foods), sum((work[food.name] for food in its_foods), Fraction(0)))
        for sheet, its_foods in made
    ]


def _apart(foods: Sequence[Food], counts: Sequence[int], *names: str) -> Iterable[tuple[str, list[Food]]]:
    """Stations of one kind, each with its sheet's name: of several the last of `names`, with a number."""
    ends = accumulate(counts)
    for number, (count, end) in enumerate(zip(counts, ends, strict=True), 1):
        yield names[0 if len(counts) == 1 else -1].format(number), list(foods[end - count : end])


def _lines_of(day: PackingDay, food: Food) -> list[tuple[Kits, KitLine]]:
    """What each sort of kit gets of a food besides its blends, which are measured by themselves."""
    lines = [(kits, line) for kits in day.kits if (line := kits.line_of(food.name)) is not None]
    return [(kits, beside) for kits, line in lines if (beside := _beside(line)) is not None]


def _beside(line: KitLine) -> KitLine | None:
    """The part of a line that is measured kit by kit, which still says its blends."""
    if not line.mixes or line.beside is None:
        return None if line.mixes else line
    return replace(line.beside, mixes=line.mixes, instead_of=line.instead_of, note=line.note)


def section_of(food: Food, opened: frozenset[str] = frozenset()) -> str:
    """Where a food is packed. Allergens by themselves, also cold ones and those nobody has listed.

    Args:
        opened: foods that must be kept cold once portioned out, by name: packed with the cold ones.
    """
    if has_allergens(food):
        return ALLERGEN_SECTION
    if is_cold(food) or food.name in opened:
        return COLD_SECTION
    if food.place_kept == "cool":
        return "Produce"
    if food.container == "small bag":
        return "Spices"
    if food.state == "liquid" or food.container == "lidded cup" or food.each_is.startswith("can"):
        return "Cans"
    return "Dry goods"


def packing_order(food: Food, opened: frozenset[str] = frozenset()) -> tuple[int, bool, bool, tuple[str, ...], str]:
    """Section, cold after warm, raw meat and eggs after the rest, same allergens together, name."""
    place = list(KINDS).index(section_of(food, opened))
    return (place, is_cold(food), is_raw_animal(food), food.contains, food.name.casefold())


def _table(day: PackingDay, station: _Station, lines: _Lines, number: int, title: str) -> Table:
    """Its first heading says the station, so that every page of it does."""
    allergens, opened = station.sheet == ALLERGEN_SECTION, day.opened
    intro = (ALLERGENS, ALLERGENS_SOURCE) if allergens else ()
    if any(is_cold(food) or food.name in opened for food in station.foods):
        intro = (*intro, cold_caution(day.programme))
    if any(is_raw_animal(food) for food in station.foods):
        intro = (f"{HANDS} {HANDS_SOURCE}", f"{RAW_APART} {RAW_SOURCE}", *intro)
    return Table(
        station.sheet,
        title,
        (replace(_COLUMNS[0], heading=f"Kit, station {number}"), *_COLUMNS[1:]),
        tuple(row for food in station.foods for row in _food_rows(day, food, lines[food.name], opened)),
        intro=intro,
        notes=(
            f"{decimal_words(station.motions, 0)} fills, pieces and weighings in all. As bought is what goes into the "
            "kit, before trimming. One box a kit up to ten kits; over ten, one for every ten and one for the rest.",
        ),
        empty="No food with an allergen on record is packed today.",
        page_break=number > 1,
    )


def _food_rows(
    day: PackingDay, food: Food, lines: Sequence[tuple[Kits, KitLine]], opened: frozenset[str]
) -> Iterable[Row]:
    """A heading for the food, then a row for each amount of it: kits of a session that get the same share one."""
    total = sum((line.base * kits.count for kits, line in lines), Fraction(0))
    number = sum(kits.count for kits, _ in lines)
    facts = [
        f"{food.name}: {to_take_words(day.programme, food.name, total)} for {counted(number, 'kit')}",
        _container_words(day.programme, food, [line for _, line in lines]),
    ]
    if has_allergens(food):
        facts.append(f"CONTAINS {allergen_words([food])}" if food.contains else "ALLERGENS NOT KNOWN")
    if is_to_be_cooked(food):
        facts.append("RAW")
    if is_cold(food):
        facts.append("FROZEN" if food.place_kept == "freeze" else "COLD")
    elif food.name in opened:
        facts.append("KEEP COLD once opened, the rest of the pack too")
    if is_raw_animal(food) and facts[1] != BY_ITSELF:
        facts.append(BY_ITSELF)
    if varies_by_brand(food):
        facts.append("read its label: brands differ")
    alike: dict[tuple[str, KitLine], list[Kits]] = {}
    for kits, line in lines:
        alike.setdefault((kits.session.session, line), []).append(kits)
    for number, ((_, line), same) in enumerate(alike.items()):
        if number % _MOST_TOGETHER == 0:
            head = " · ".join(facts if not number else [f"{food.name}, continued", *facts[1:]])
            yield Row((head, *[None] * (len(_COLUMNS) - 1)), "heading")
        yield _kit_row(day, same, line)


def _container_words(programme: Programme, food: Food, lines: Iterable[KitLine]) -> str:
    """What a portion goes into; whole cans and cartons into nothing, and what is measured never goes loose.

    Where the catalogue and Ingredients name no container: a lidded cup for liquids, a bag for the rest.
    """
    piece = programme.pieces.get(food.name)
    lines = list(lines)
    if piece is not None and piece.word in SEALED_WORDS and not any(line.base % piece.base for line in lines):
        return "as it is, unopened"
    if food.container not in ("", "none"):
        return f"into {food.container}"
    if is_raw_animal(food):
        return BY_ITSELF
    if all(line.whole or line.shown.dimension == "count" for line in lines):
        return "no bag of its own"
    return "into lidded cup" if food.state == "liquid" else "into bag"


def _kit_row(day: PackingDay, alike: Sequence[Kits], line: KitLine) -> Row:
    """What kits of one session get that are filled alike: they share a row, so a scoop is set once."""
    how = measuring_words(day.programme, line)
    if line.mixes:
        how = f"here only {how}; the rest is in blend {' and '.join(blend_name(mix) for mix in line.mixes)}"
    if line.instead_of:
        how += _instead_words(line)
    count = sum(kits.count for kits in alike)
    return Row(
        (
            ", ".join([alike[0].code, *(kits.variant.letter for kits in alike[1:])]),
            kit_words(day.programme, line),
            how,
            line.base,
            line.base_unit,
            count,
            line.base * count,
            boxes(count),
            None,
        ),
        "warning" if line.instead_of else "",
    )


def _instead_words(line: KitLine) -> str:
    return f"; instead of {', '.join(line.instead_of)}{f' ({line.note})' if line.note else ''}"


# --- blends ---


def _blends(day: PackingDay) -> Iterable[Table]:
    """Every blend with its parts for all kits and its portion; those with an allergen last."""
    found = [(kits, blend) for kits in day.kits for blend in kits.variant.blends]
    found.sort(key=lambda each: any(has_allergens(food) for food in _blended(*each)))
    rows = [row for kits, blend in found for row in _blend_rows(kits, blend)]
    if rows:
        yield Table(
            "Blends",
            "Blends: measured once for all kits, then portioned",
            _BLENDS,
            tuple(rows),
            intro=(
                "Made at any free table before the spices' station begins; those with an allergen last, at the "
                "allergens' station, with clean tools. Measure each food once into one bowl, mix well, then fill one "
                "bag a kit. Stir again every few bags: fine grains sink.",
            ),
            notes=(
                "Mixed foods settle into each other, so a portion by the spoon can come out short at the end: "
                "even the bags out before closing them (common practice, no source).",
            ),
            page_break=True,
        )


def _blended(kits: Kits, blend: Blend) -> list[Food]:
    return [kits.programme.foods.by_name[line.food] for line in blend.parts]


def _blend_rows(kits: Kits, blend: Blend) -> Iterable[Row]:
    """A heading for the blend, a row a food for all kits together, then one kit's portion."""
    programme = kits.programme
    allergens = allergen_words(_blended(kits, blend))
    facts = [f"{kits.code}: {blend_name(blend.mix)} for {kits.counted}"]
    facts += [f"CONTAINS {allergens}"] if allergens else []
    yield Row((" · ".join(facts), *[None] * (len(_BLENDS) - 1)), "heading")
    for line in blend.parts:
        each = kitchen_words(line.shown.times(Fraction(1, kits.count)), programme.measures)
        in_all, how = kit_words(programme, line), measuring_words(programme, line)
        how = f"{in_all} in all" if how == in_all else f"{in_all} in all: {how}"
        instead = _instead_words(line) if line.instead_of else ""
        emphasis: Literal["", "warning"] = "warning" if line.instead_of else ""
        yield Row((kits.code, line.food, each, how + instead, line.base, line.base_unit, 1, None), emphasis)
    bags = f"into each of {kits.count} bags" if kits.count > 1 else "into 1 bag"
    portion = blend_portion_words(programme, blend)
    yield Row((kits.code, "the blend, mixed", portion[0], f"{portion[1]} {bags}", None, None, boxes(kits.count), None))


# --- once a session ---


def _once(day: PackingDay) -> Iterable[Table]:
    rows = []
    for session in day.sessions:
        for line in session.once:
            food = day.programme.foods.by_name[line.food]
            allergens = allergen_words([food])
            cold = is_cold(food) or (line.portioned and is_chilled_once_opened(food))
            note = _instead_words(line).removeprefix("; ") if line.instead_of else ""
            marks = [f"CONTAINS {allergens}" if allergens else "", "COLD" if cold else "", note]
            rows.append(
                Row(
                    (
                        session.session,
                        " · ".join([food.name, *(mark for mark in marks if mark)]),
                        kit_words(day.programme, line),
                        measuring_words(day.programme, line),
                        line.base,
                        line.base_unit,
                        1,
                        None,
                    )
                )
            )
    if rows:
        yield Table(
            "Once a session",
            "Once a session: for the instructor's box",
            _ONCE,
            tuple(rows),
            intro=("Packed once, whatever the number of kits. Foods with allergens last, with clean tools.",),
            page_break=True,
        )
