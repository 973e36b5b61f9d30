"""Station sheets: each food of the day in packing order, with what every sort of kit gets of it."""

from collections.abc import Iterable, Sequence
from fractions import Fraction
from typing import Final, Literal

from opsreport.foods import Food
from opsreport.kitchen import kitchen_words
from opsreport.plan.model import Blend, KitLine
from opsreport.programme import Programme
from opsreport.tables.packing.cautions import ALLERGENS, ALLERGENS_SOURCE, COLD, COLD_SOURCE, table_cautions
from opsreport.tables.packing.day import (
    Kits,
    PackingDay,
    allergen_words,
    boxes,
    counted,
    has_allergens,
    is_cold,
    is_raw_animal,
    varies_by_brand,
)
from opsreport.tables.packing.words import blend_portion_words, kit_words, measuring_words, to_take_words
from opsreport.tables.table import Column, Document, Part, Row, Table

ALLERGEN_SECTION: Final = "Allergens"
SECTIONS: Final = {
    "Dry goods": "Dry goods in bulk",
    "Spices": "Spices and other small bags",
    "Cans": "Cans, jars and liquids",
    "Produce": "Fruit and vegetables",
    "Cold": "Cold food, last but one",
    ALLERGEN_SECTION: "Allergens, packed last with clean tools",
}
"""Sheet and title by section, in packing order."""

_COLUMNS: Final = (
    Column("Kit", "code", 10),
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
    Column("Kit", "code", 10),
    Column("Food", width=24),
    Column("One portion", width=16),
    Column("How to measure it", width=40),
    Column("As bought, all", "amount", 11),
    Column("Unit", width=6),
    Column("Done", "boxes", 22),
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


def stations(day: PackingDay) -> Document:
    """The day's foods by section in packing order; then blends and what a session gets once."""
    foods = _foods_by_section(day)
    parts: list[Part] = [table_cautions()]
    for section, title in SECTIONS.items():
        if foods[section] or section == ALLERGEN_SECTION:
            parts.append(_section(day, section, title, foods[section], page_break=len(parts) > 1))
    parts += [*_blends(day), *_once(day)]
    reader = "the volunteers at the packing tables"
    return day.document("stations", "Station sheets", reader, parts, landscape=True)


def section_of(food: Food) -> str:
    """Where a food is packed. Allergens by themselves, also cold ones and those nobody has listed."""
    if has_allergens(food):
        return ALLERGEN_SECTION
    if is_cold(food):
        return "Cold"
    if food.place_kept == "cool":
        return "Produce"
    if food.container == "small bag":
        return "Spices"
    if food.state == "liquid" or food.container == "lidded cup" or food.each_is.startswith("can"):
        return "Cans"
    return "Dry goods"


def packing_order(food: Food) -> tuple[int, bool, bool, tuple[str, ...], str]:
    """Section, cold after warm, raw meat and eggs after the rest, same allergens together, name."""
    place = list(SECTIONS).index(section_of(food))
    return (place, is_cold(food), is_raw_animal(food), food.contains, food.name.casefold())


def _foods_by_section(day: PackingDay) -> dict[str, list[Food]]:
    by_name = {food.name: food for kits in day.kits for food in kits.foods}
    found: dict[str, list[Food]] = {section: [] for section in SECTIONS}
    for food in sorted(by_name.values(), key=packing_order):
        found[section_of(food)].append(food)
    return found


def _section(day: PackingDay, section: str, title: str, foods: Sequence[Food], *, page_break: bool) -> Table:
    intro: tuple[str, ...] = ()
    if section == ALLERGEN_SECTION:
        intro = (ALLERGENS, ALLERGENS_SOURCE)
    if section == "Cold" or (section == ALLERGEN_SECTION and any(is_cold(food) for food in foods)):
        intro = (*intro, f"{COLD} {COLD_SOURCE}")
    return Table(
        section,
        title,
        _COLUMNS,
        tuple(row for food in foods for row in _food_rows(day, food)),
        intro=intro,
        notes=(
            "As bought is what goes into the kit: for whole fruit and vegetables it is before trimming. "
            "One box a kit up to ten kits; over ten, one box for every ten kits and one for the rest.",
        ),
        empty="No food with an allergen on record is packed today.",
        page_break=page_break,
    )


def _food_rows(day: PackingDay, food: Food) -> Iterable[Row]:
    """A heading for the food, then a row a sort of kit."""
    lines = [(kits, line) for kits in day.kits if (line := kits.line_of(food.name)) is not None]
    total = sum((line.base * kits.count for kits, line in lines), Fraction(0))
    number = sum(kits.count for kits, _ in lines)
    facts = [
        f"{food.name}: {to_take_words(day.programme, food.name, total)} for {counted(number, 'kit')}",
        f"into {food.container}" if food.container not in ("", "none") else "no bag of its own",
    ]
    if food.contains or not food.listed:
        facts.append(f"CONTAINS {allergen_words([food])}" if food.contains else "ALLERGENS NOT KNOWN")
    if is_cold(food):
        facts.append("FROZEN" if food.place_kept == "freeze" else "COLD")
    if is_raw_animal(food):
        facts.append("bag by itself")
    if varies_by_brand(food):
        facts.append("read its label: brands differ")
    yield Row((" · ".join(facts), *[None] * (len(_COLUMNS) - 1)), "heading")
    for kits, line in lines:
        yield _kit_row(day, kits, line)


def _kit_row(day: PackingDay, kits: Kits, line: KitLine) -> Row:
    how = _how(day.programme, line)
    if line.instead_of:
        how += f"; instead of {', '.join(line.instead_of)}"
    return Row(
        (
            kits.code,
            kit_words(line, day.programme.measures),
            how,
            line.base,
            line.base_unit,
            kits.count,
            line.base * kits.count,
            None if line.mixes and line.beside is None else boxes(kits.count),
            None,
        ),
        "warning" if line.instead_of else "",
    )


# --- blends ---


def _blend_name(mix: str) -> str:
    """A blend's words without its recipe: `Chili: spice blend` is `spice blend (Chili)`."""
    recipe, _, name = mix.partition(": ")
    return f"{name} ({recipe})" if name else mix


def _how(programme: Programme, line: KitLine) -> str:
    """How to measure a line for one kit; what goes into a blend is measured there, once for all kits."""
    if not line.mixes:
        return measuring_words(programme, line)
    names = " and ".join(_blend_name(mix) for mix in line.mixes)
    if line.beside is None:
        return f"nothing here: all of it goes into blend {names}, see Blends"
    beside = line.beside
    return (
        f"here only {kit_words(beside, programme.measures)}: {measuring_words(programme, beside)}; "
        f"the rest goes into blend {names}, see Blends"
    )


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
                "Measure each food once into one bowl, mix well, then fill one bag a kit. Stir again every few bags: "
                "fine grains sink. Blends with an allergen come last, with clean tools.",
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
    facts = [f"{kits.code}: {_blend_name(blend.mix)} for {kits.counted}"]
    facts += [f"CONTAINS {allergens}"] if allergens else []
    yield Row((" · ".join(facts), *[None] * (len(_BLENDS) - 1)), "heading")
    for line in blend.parts:
        each = kitchen_words(line.shown.times(Fraction(1, kits.count)), programme.measures)
        in_all, how = kit_words(line, programme.measures), measuring_words(programme, line)
        how = f"{in_all} in all" if how == in_all else f"{in_all} in all: {how}"
        instead = f"; instead of {', '.join(line.instead_of)}" if line.instead_of else ""
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
            marks = [f"CONTAINS {allergens}" if allergens else "", "COLD" if is_cold(food) else ""]
            rows.append(
                Row(
                    (
                        session.session,
                        " · ".join([food.name, *(mark for mark in marks if mark)]),
                        kit_words(line, day.programme.measures),
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
