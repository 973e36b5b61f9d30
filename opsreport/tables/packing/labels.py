"""Labels: one for every kit, with what it holds and what that contains."""

from collections.abc import Iterable

from opsreport.shown import day_words
from opsreport.tables.packing.cautions import LABELS
from opsreport.tables.packing.day import Kits, PackingDay, allergen_words, varies_by_brand
from opsreport.tables.table import Document, Label, Labels

_UNITS = ("g", "mL", "each")


def labels(day: PackingDay) -> Document:
    """A label a kit, by session and variant."""
    made = tuple(label for kits in day.kits for label in _labels(kits))
    return day.document("labels", "Labels", "whoever closes the kits", [Labels("Labels", "Kit labels", made)])


def _labels(kits: Kits) -> Iterable[Label]:
    contains = allergen_words(kits.foods)
    for number in range(1, kits.count + 1):
        yield Label(
            head=f"{kits.code} · KEEP COLD" if kits.cold else kits.code,
            lines=(
                f"{kits.group_words} · {day_words(kits.session.day)}",
                kits.recipes,
                f"{kits.unit.capitalize()} {number} of {kits.count}{_purpose(kits, number)}",
                f"Contents, most first: {', '.join(_by_weight(kits))}",
            ),
            contains=f"Contains: {contains}" if contains else "Contains: no allergen on record",
            foot=tuple(_foot(kits)),
        )


def _purpose(kits: Kits, number: int) -> str:
    """Spare and demo kits are the last ones of a sort."""
    demo_from = kits.count - kits.variant.demo
    spare_from = demo_from - kits.variant.spare
    if number > demo_from:
        return " · DEMO"
    return " · SPARE" if number > spare_from else ""


def _by_weight(kits: Kits) -> list[str]:
    """Foods of a kit, the heaviest first; those in mL, then those only counted, after what is weighed."""
    lines = sorted(kits.variant.lines, key=lambda line: (_UNITS.index(line.base_unit), -line.base, line.food))
    return [line.food for line in lines]


def _foot(kits: Kits) -> Iterable[str]:
    differ = [food.name for food in kits.foods if varies_by_brand(food)]
    yield f"{LABELS} Brands differ: {', '.join(differ)}." if differ else LABELS
    if kits.cold:
        yield (
            "Keep at 41 °F (5 °C) or below; frozen food frozen." if kits.frozen else "Keep at 41 °F (5 °C) or below."
        )
    without = [exchange.food for exchange in kits.exchanges]
    if without:
        them = "it" if len(without) == 1 else "them"
        yield f"Made without: {', '.join(without)} — packed in a room that handles {them}"
