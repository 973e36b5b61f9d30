"""Labels: one for every kit, and small ones for the bags of spices, blends and flours in it."""

from collections.abc import Iterable
from typing import Final

from opsreport.foods import Food, name_key
from opsreport.plan.model import KitLine
from opsreport.programme import Programme
from opsreport.shown import day_words, short_day
from opsreport.tables.label_stock import STOCKS
from opsreport.tables.naming import head_line
from opsreport.tables.packing.cautions import LABELS, keep_cold
from opsreport.tables.packing.checklists import batches_mark, making_words
from opsreport.tables.packing.day import Kits, PackingDay, contains_words, is_raw_animal, varies_by_brand
from opsreport.tables.packing.words import blend_parts, blend_portion_words, kit_words
from opsreport.tables.shelf_words import rounded_words
from opsreport.tables.table import Column, Document, Facts, Label, Labels, Part, Row, Table

_UNITS: Final = ("g", "mL", "each")
_ALIKE: Final = frozenset({"flour", "starch", "meal", "cornmeal", "powder", "soda", "sugar", "semolina", "salt"})
"""Last words of foods that nobody tells apart once they are out of their package."""
NOT_STANDARD: Final = "NOT STANDARD"
"""Marks every kit from which something is left out or swapped; what, the label says at its foot."""
_PIECES: Final = 4
"""Bag labels on one sticker."""
_KIT_FIELDS: Final = (
    Column("Kit", "code", 10),
    Column("Number", "count", 8),
    Column("Of", "count", 6),
    Column("Kind", width=8),
    Column("Standard", width=16),
    Column("Group", width=20),
    Column("Session date", "date", 16),
    Column("Recipe", width=26),
    Column("Contents", width=60),
    Column("Contains", width=40),
    Column("Cold", width=30),
    Column("Use by", "date", 16),
    Column("Left out", width=40),
    Column("Caution", width=40),
    Column("Packed", "date", 16),
)
_BAG_FIELDS: Final = (
    Column("Food", width=24),
    Column("Recipe", width=24),
    Column("Ingredients", width=40),
    Column("Amount", width=24),
    Column("Kit", "code", 10),
    Column("Contains", width=40),
    Column("Packed", "date", 16),
    Column("Copies", "count", 8),
)


def labels(day: PackingDay) -> Document:
    """A label a kit, by session and variant; then a small one a bag, to be cut apart."""
    made = [label for kits in day.kits for label in _kit_labels(day, kits)]
    bags = [label for kits in day.kits for label in _bag_labels(day, kits)]
    parts: list[Part] = [
        Labels(
            "Kit labels",
            "Kit labels",
            tuple(label for label, _ in made),
            Table("Kit labels", "Kit labels", _KIT_FIELDS, tuple(row for _, row in made)),
            intro=(_print_words(day.programme), *_begun(day.programme)),
            start=day.programme.settings.first_label,
        )
    ]
    if bags:
        parts.append(
            Labels(
                "Bag labels",
                "Labels for the bags inside: spices, blends, flours",
                tuple(label for label, _ in bags),
                Table("Bag labels", "Bag labels", _BAG_FIELDS, tuple(row for _, row in bags)),
                intro=("Four bag labels to a sticker: cut along the dashes.",),
                pieces=_PIECES,
            )
        )
    return day.document("labels", "Labels", "whoever closes the kits", parts)


def label_test_page(programme: Programme) -> Document:
    """A sheet of frames to hold against a sheet of labels, before any label is spent."""
    stock = STOCKS[programme.settings.paper]
    frames = tuple(
        Label(str(number), (f"Label {number} of {stock.labels}", "The line below is 80 mm long."), "")
        for number in range(1, stock.labels + 1)
    )
    how = (
        "Print this page on plain paper at “actual size” (100%), without margins and without headers. Hold it and a "
        "sheet of labels against the light: the frames must lie on the labels. Where they do not, choose “actual "
        "size” in the print window; fitting to the page makes every label smaller.",
    )
    millimetres = {
        "Label, wide and high": (stock.width, stock.height),
        "Left edge to first label": (stock.side,),
        "Top edge to first label": (stock.top,),
        "Between columns": (stock.gap,),
    }
    facts = tuple(
        (words, " × ".join(f"{float(size):g}" for size in sizes) + " mm") for words, sizes in millimetres.items()
    )
    return Document(
        "packing/label-test-page",
        "Label test page",
        "whoever prints the labels",
        (Facts((("Sheet", stock.words), *facts)), Labels("Frames", "Frames", frames, intro=how, outlined=True)),
        head_line(programme),
    )


def _print_words(programme: Programme) -> str:
    return (
        f"{STOCKS[programme.settings.paper].words}: print at “actual size” (100%), without margins. Try the label test "
        "page on plain paper first."
    )


def _begun(programme: Programme) -> Iterable[str]:
    if programme.settings.first_label > 1:
        yield f"Begins at label {programme.settings.first_label} of a begun sheet, as First label in Settings says."


# --- kits ---


def _kit_labels(day: PackingDay, kits: Kits) -> Iterable[tuple[Label, Row]]:
    """A label and its row of fields for each kit of a sort."""
    contains = contains_words(kits.foods)
    contents = ", ".join(_by_weight(kits))
    use_by = kits.variant.use_by
    dated = _use_by_words(kits)
    cold, left_out, caution = _cold_words(kits), _left_out_words(kits), _caution(kits)
    recipes, batches = making_words(kits), batches_mark(kits)
    standard = NOT_STANDARD if kits.exchanges else ""
    kept = "KEEP COLD" if kits.cold else ""
    code, unit, group, meets = kits.code, kits.unit, kits.group_words, kits.session.day
    whose, listed = f"{group} · {day_words(meets)}", f"Contents, most first: {contents}"
    foot = tuple(words for words in (f"{dated} {cold}".strip(), left_out, caution) if words)
    for number in range(1, kits.count + 1):
        purpose = _purpose(kits, number)
        yield (
            Label(
                head=code,
                marks=tuple(mark for mark in (batches, standard, purpose, kept) if mark),
                lines=(whose, f"{recipes} · {unit} {number} of {kits.count}", listed),
                contains=contains,
                foot=foot,
            ),
            Row(
                (
                    code, number, kits.count, purpose, standard, group, meets, recipes, contents,
                    contains, cold, use_by, left_out, caution, day.day,
                )
            ),
        )  # fmt: skip


def _purpose(kits: Kits, number: int) -> str:
    """Spare and demo kits are the last ones of a sort."""
    demo_from = kits.count - kits.variant.demo
    spare_from = demo_from - kits.variant.spare
    if number > demo_from:
        return "DEMO"
    return "SPARE" if number > spare_from else ""


def _by_weight(kits: Kits) -> list[str]:
    """Foods of a kit, the heaviest first; those in mL, then those only counted, after what is weighed."""
    lines = sorted(kits.variant.lines, key=lambda line: (_UNITS.index(line.base_unit), -line.base, line.food))
    return [line.food for line in lines]


def _use_by_words(kits: Kits) -> str:
    """`Use by Fri 5 Mar 2027.`, with the opened food that makes it so early."""
    if kits.variant.use_by is None:
        return ""
    day = day_words(kits.variant.use_by)
    opened = ", ".join(kits.variant.opened)
    return f"Use by {day}: opened for this kit, {opened} keeps no longer." if opened else f"Use by {day}."


def _cold_words(kits: Kits) -> str:
    if not kits.cold:
        return ""
    return f"{keep_cold(kits.programme)}{'; frozen food frozen' if kits.frozen else ''}."


def _left_out_words(kits: Kits) -> str:
    """What the kit was made without, never a promise that nothing of it is there."""
    without = [exchange.food for exchange in kits.exchanges]
    if not without:
        return ""
    return f"Made without: {', '.join(without)} — packed in a room that handles {'it' if len(without) == 1 else 'them'}"


def _caution(kits: Kits) -> str:
    differ = [food.name for food in kits.foods if varies_by_brand(food)]
    raw = " Raw eggs, meat or fish: wash hands after." if any(is_raw_animal(food) for food in kits.foods) else ""
    return (f"{LABELS} Brands differ: {', '.join(differ)}." if differ else LABELS) + raw


# --- bags ---


def _bag_labels(day: PackingDay, kits: Kits) -> Iterable[tuple[Label, Row]]:
    """A label for each bag whose food nobody could tell by looking: spices, flours and the like, and blends."""
    for line in kits.variant.lines:
        food, own = kits.programme.foods.by_name[line.food], line.beside if line.mixes else line
        if own is not None and _wants_label(food, own):
            words = f"{kit_words(kits.programme, own)}, {rounded_words(own.base, own.base_unit)}"
            yield _bag_label(day, kits, (food.name, ""), [food], words)
    for blend in kits.variant.blends:
        parts = sorted(blend.parts, key=lambda line: (-line.base, line.food))
        foods = [kits.programme.foods.by_name[line.food] for line in parts]
        portion, _ = blend_portion_words(kits.programme, blend)
        weight = rounded_words(blend.grams, "g") if blend.grams is not None else ""
        amount = ", ".join(words for words in (portion, weight) if words)
        yield _bag_label(day, kits, blend_parts(blend.mix), foods, amount)


def _wants_label(food: Food, line: KitLine) -> bool:
    if food.state != "dry" or line.whole:
        return False
    return food.container == "small bag" or name_key(food.name).split()[-1] in _ALIKE


def _bag_label(
    day: PackingDay, kits: Kits, name: tuple[str, str], foods: list[Food], amount: str
) -> tuple[Label, Row]:  # fmt: skip
    """name: of the food and nothing, or of a blend and its recipe. foods: most first."""
    (head, recipe), contains = name, contains_words(foods)
    ingredients = ", ".join(food.name for food in foods)
    last = " · ".join(words for words in (recipe, f"packed {short_day(day.day)}") if words)
    lines = (ingredients if ingredients != head else "", f"{kits.code} · {amount}", last)
    label = Label(head, tuple(line for line in lines if line), contains, copies=kits.count)
    return label, Row((head, recipe, ingredients, amount, kits.code, contains, day.day, kits.count))
