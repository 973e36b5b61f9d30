"""Single questions, answered without a workbook: how to measure an amount, what the catalogue knows.

The command line prints what is worked out here; a question without an answer is `Unanswerable`, one sentence.
"""

import re
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final, Literal

from opsreport.foods import CatalogueEntry, catalogue, catalogue_entry, name_key
from opsreport.kinds import Amount, How, Unreadable, amount_or_none_left
from opsreport.measures.kitchen import kitchen_words, scale_words
from opsreport.measures.units import Bridge, Figure, MeasureSet, Quantity, factors, mixed, unit_named
from opsreport.plan.model import Scoop, ScoopPlan
from opsreport.plan.needs.scoops import MOST_SCOOPS, all_plans, default_tools, plan_scoops
from opsreport.programme import Tool
from opsreport.sheets import SHEETS
from opsreport.shown import decimal_words
from opsreport.tables.packing.words import MOST_ERROR, error_words, scoop_words

MeasuredAs = Literal["dry", "liquid"]
ACCEPTED: Final = "a number and a unit, as 3/4 cup, 1 1/2 tsp, 2 tbsp, 150 mL or, with an ingredient, 200 g or 8 oz"
"""What an amount may look like."""
MOST_LISTED: Final = 1_000
"""Exact ways of one amount that are listed at most: the usual tools have 804 for 2 cups of a liquid."""


class Unanswerable(Exception):  # noqa: N818 - said to the person who asked, never a failure
    """A question that has no answer as asked; sentence: why, and what to do."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


# --- scoops ---


@dataclass(frozen=True, slots=True)
class ScoopAnswer:
    """How to measure one amount.

    asked: the amount as typed. amount: as read. volume: what it takes up [mL]. tools: those that were used to plan,
    larger first. plan: fewest fills. ways: every exact plan, best first; None where nobody asked. grams: what it
    weighs, exact; None without an ingredient or where the catalogue has no figure. entry: the ingredient. figure: the
    measure whose catalogue weight led from volume to grams or back.
    """

    asked: str
    amount: Quantity
    measures: MeasureSet
    state: MeasuredAs
    volume: Fraction
    tools: tuple[Tool, ...]
    plan: ScoopPlan
    ways: tuple[ScoopPlan, ...] | None
    grams: Fraction | None
    entry: CatalogueEntry | None
    figure: Figure | None

    def as_dict(self) -> dict[str, object]:
        """The answer for programs; exact numbers as strings."""
        return {
            "amount": str(self.amount),
            "scoops": [{"tool": scoop.tool, "times": _times(scoop)} for scoop in self.plan.scoops],
            "error": str(self.plan.error),
            "grams": None if self.grams is None else str(self.grams),
        }


def _times(scoop: Scoop) -> int | str:
    return scoop.times.numerator if scoop.times.denominator == 1 else str(scoop.times)


def answer_scoop(
    amount: str,
    *,
    of: str | None = None,
    without: Sequence[str] = (),
    tools: Sequence[str] | None = None,
    state: MeasuredAs | None = None,
    measures: MeasureSet = "US",
    every_way: bool = False,
) -> ScoopAnswer:
    """How to measure an amount with cups and spoons.

    Args:
        amount: as a person writes it; a weight needs `of`.
        of: an ingredient of the catalogue, by any of its names.
        without: tools not at hand, by name in any spelling; one entry may hold several, parted by semicolons.
        tools: the tools at hand instead of the usual ones, written as amounts, in the same way.
        state: which tools serve; None takes the ingredient's, dry without one.
        measures: how large cups and spoons are.
        every_way: give every exact plan too, up to MOST_LISTED.
    Raises:
        Unanswerable: the amount, a tool or the ingredient is not known, or no tool is left.
    """
    entry = None if of is None else _entry_named(of)
    quantity = _quantity(amount, measures)
    volume, grams, figure = _both_ways(quantity, entry, measures)
    state = state or ("liquid" if entry is not None and entry.state == "liquid" else "dry")
    at_hand = default_tools(measures) if tools is None else _tools_named(tools, measures)
    left = _without(at_hand, without, measures)
    serving = [tool for tool in left if tool.serves in (state, "both")]
    if not serving:
        raise Unanswerable(f"No tool for {state} goods is left. There are: {_listed(at_hand)}.")
    serving.sort(key=lambda tool: (-tool.volume, tool.name))
    plan = plan_scoops(volume, serving)
    ways = tuple(all_plans(volume, serving, MOST_LISTED)) if every_way else None
    return ScoopAnswer(
        amount, quantity, measures, state, volume, tuple(serving), plan, ways, grams, entry, figure
    )  # fmt: skip


def _entry_named(name: str) -> CatalogueEntry:
    entry = catalogue_entry(name)
    if entry is None:
        raise Unanswerable(f"{name!r} is not in the catalogue.{_near(name)} Try: opsreport catalogue WORDS")
    return entry


def _near(name: str) -> str:
    """` Near it: …`, or nothing."""
    near = nearest_names(name)
    return f" Near it: {', '.join(near)}." if near else ""


def nearest_names(name: str, most: int = 5) -> list[str]:
    """Catalogue names that look most like a word or hold it, best first."""
    from rapidfuzz import fuzz, process

    names: dict[str, str] = {}
    for entry in catalogue():
        names |= {name_key(known): entry.ingredient for known in (entry.ingredient, *entry.also_called)}
    found = process.extract(name_key(name), list(names), scorer=fuzz.WRatio, score_cutoff=70, limit=4 * most)
    return list(dict.fromkeys(names[key] for key, _, _ in found))[:most]


def _quantity(written: str, measures: MeasureSet) -> Quantity:
    """An amount with its unit.

    Raises:
        Unanswerable: it is not one, or not above 0.
    """
    found = _read(written, measures)
    if found is None or found.value is None:
        raise Unanswerable(f"{written!r} is no amount. Accepted: {ACCEPTED}.")
    if found.unit is None:
        raise Unanswerable(f"{written!r} names no unit. Accepted: {ACCEPTED}.")
    if found.value <= 0:
        raise Unanswerable(f"{written!r} is not above 0.")
    return Quantity(found.value, found.unit)


def _read(written: str, measures: MeasureSet) -> Amount | None:
    try:
        return amount_or_none_left.read(written, How(measures=measures))
    except Unreadable:
        return None


def _bridge(entry: CatalogueEntry) -> Bridge:
    """The catalogue's weights of a food; they are of US cups and spoons whatever the measures."""
    us = factors("US")
    known: tuple[tuple[Figure, Fraction | None], ...] = (
        ("cup", entry.grams_per_cup), ("tbsp", entry.grams_per_tbsp), ("tsp", entry.grams_per_tsp),
    )  # fmt: skip
    return Bridge({unit: grams / us[unit] for unit, grams in known if grams is not None}, entry.grams_each)


def _both_ways(
    quantity: Quantity, entry: CatalogueEntry | None, measures: MeasureSet
) -> tuple[Fraction, Fraction | None, Figure | None]:
    """An amount as volume [mL] and weight [g], and the measure whose figure led from one to the other."""
    if quantity.dimension == "count":
        raise Unanswerable(f"{quantity} is counted, not scooped. Accepted: {ACCEPTED}.")
    if quantity.dimension == "volume":
        volume = quantity.in_base(measures)
        figure = None if entry is None else _bridge(entry).figure_for(quantity.unit)
        grams = None if entry is None or figure is None else volume * _bridge(entry).grams_per_ml[figure]
        return volume, grams, figure
    if entry is None:
        raise Unanswerable(f"{quantity} is a weight: say of what, as --of flour, or weigh it.")
    grams = quantity.in_base(measures)
    volume, figure = _volume_of(grams, entry, measures)
    return volume, grams, figure


_LEAST: Final[tuple[tuple[Figure, Fraction], ...]] = (
    ("cup", Fraction(1, 4)), ("tbsp", Fraction(1)), ("tsp", Fraction(0)),
)  # fmt: skip
"""Measures from the largest, and the least amount that is measured in each."""


def _volume_of(grams: Fraction, entry: CatalogueEntry, measures: MeasureSet) -> tuple[Fraction, Figure]:
    """The volume that weighs so much, by the figure of the measure it fills: a few grams by the spoon's."""
    bridge, sizes = _bridge(entry), factors(measures)
    ways = [
        (grams / bridge.grams_per_ml[figure], figure, least * sizes[unit])
        for unit, least in _LEAST
        if (figure := bridge.figure_for(unit)) is not None
    ]
    if not ways:
        raise Unanswerable(f"The catalogue has no weight of a cup or spoon of {entry.ingredient}: weigh it.")
    return next((volume, figure) for volume, figure, least in ways if volume >= least)


# --- tools ---


def _tools_named(written: Sequence[str], measures: MeasureSet) -> tuple[Tool, ...]:
    """Tools written as amounts: `1/3 cup; tbsp; 50 mL`."""
    found: dict[str, Tool] = {}
    for name in _parted(written):
        quantity = _tool_size(name, measures)
        if quantity is None:
            raise Unanswerable(f"{name!r} is no measuring tool. Write what it holds, as 1/3 cup, 1 tbsp or 50 mL.")
        shown = f"{mixed(quantity.amount)} {quantity.unit}"
        found.setdefault(shown, Tool(shown, quantity.in_base(measures), "both"))
    if not found:
        raise Unanswerable("No tool is named. Write what each holds, as 1/3 cup; 1 tbsp; 50 mL.")
    return tuple(found.values())


def _parted(written: Iterable[str]) -> list[str]:
    return [part for entry in written for part in (part.strip() for part in re.split("[;,]", entry)) if part]


def _tool_size(name: str, measures: MeasureSet) -> Quantity | None:
    """What a tool's name says that it holds: `1/4 cup`, `¼ c`, `0.25 cup`; `tbsp` alone is one of it."""
    unit = unit_named(name)
    if unit is not None:
        found = Quantity(Fraction(1), unit)
    else:
        read = _read(name, measures)
        if read is None or read.value is None or read.unit is None:
            return None
        found = Quantity(read.value, read.unit)
    return found if found.dimension == "volume" and found.amount > 0 else None


def _without(at_hand: Sequence[Tool], without: Sequence[str], measures: MeasureSet) -> list[Tool]:
    """The tools that are left; a name may stand for a cup and for the jug's mark of that size."""
    gone: set[str] = set()
    for name in _parted(without):
        size = _tool_size(name, measures)
        named = {tool.name for tool in at_hand if size is not None and _tool_size(tool.name, measures) == size}
        if not named:
            raise Unanswerable(f"There is no tool {name!r} to do without. There are: {_listed(at_hand)}.")
        gone |= named
    return [tool for tool in at_hand if tool.name not in gone]


def _listed(tools: Iterable[Tool]) -> str:
    """Tools by name, larger first, each once."""
    return ", ".join(dict.fromkeys(tool.name for tool in sorted(tools, key=lambda tool: -tool.volume)))


# --- in words ---


def scoop_lines(answer: ScoopAnswer) -> list[str]:
    """The answer for people: the plan, the weight and where its figure is from; every way where asked."""
    food = f" {answer.entry.ingredient}" if answer.entry is not None else ""
    lines = [f"{answer.amount}{food} {_plan_words(answer.plan)}"]
    if answer.amount.unit in ("mL", "L", "g", "kg", "oz", "lb"):
        lines.append(f"That is {_kitchen(answer)}.")
    if abs(answer.plan.error) > MOST_ERROR:
        lines.append("That is too far off for cooking: weigh it, add a tool of the right size, or measure it in parts.")
    if answer.entry is not None:
        lines += _weight_lines(answer, answer.entry)
    if answer.ways is not None:
        lines += _way_lines(answer, answer.ways)
    return lines


def _kitchen(answer: ScoopAnswer) -> str:
    cups = Quantity(answer.volume / factors(answer.measures)["cup"], "cup")
    return f"{decimal_words(answer.volume, 1)} mL, or {kitchen_words(cups, answer.measures)}"


def _plan_words(plan: ScoopPlan) -> str:
    """`= 2 × 1/3 cup + 1 tbsp (3 scoops)`; `≈ 1 tbsp (1 scoop, ≈ 1.4% too much)`."""
    words = scoop_words(ScoopPlan(plan.scoops))
    count = sum(-(-scoop.times // 1) for scoop in plan.scoops)
    counted = f"{count} scoop{'' if count == 1 else 's'}"
    return f"≈ {words} ({counted}, {error_words(plan.error)})" if plan.error else f"= {words} ({counted})"


def _weight_lines(answer: ScoopAnswer, entry: CatalogueEntry) -> list[str]:
    if answer.grams is None or answer.figure is None:
        return [f"The catalogue has no weight of a cup or spoon of {entry.ingredient}."]
    figure = {"cup": entry.grams_per_cup, "tbsp": entry.grams_per_tbsp, "tsp": entry.grams_per_tsp}[answer.figure]
    source = next((part for part in entry.sources if part.startswith("weights")), "")
    said = f"{decimal_words(figure or Fraction(0))} g a US {answer.figure}" + (f" ({source})" if source else "")
    notes = [note.strip() for note in entry.note.split(";") if "days" not in note]
    return [
        f"On the scale: {scale_words(answer.grams, answer.measures)}.",
        f"Catalogue figure: {'; '.join([said, *filter(None, notes)])}.",
    ]


def _way_lines(answer: ScoopAnswer, ways: Sequence[ScoopPlan]) -> list[str]:
    if not ways:
        return [f"No exact way in {MOST_SCOOPS} scoops with {_listed(answer.tools)}."]
    head = f"All {len(ways)} exact ways in up to {MOST_SCOOPS} scoops:"
    if len(ways) == 1:
        head = f"The one exact way in up to {MOST_SCOOPS} scoops:"
    if len(ways) == MOST_LISTED:
        head = f"The {MOST_LISTED:,} ways with the fewest scoops:"
    return [head, *(f"  {_plan_words(way).removeprefix('= ')}" for way in ways)]


# --- catalogue ---


def answer_catalogue(words: Sequence[str]) -> list[CatalogueEntry]:
    """What the catalogue has under some words, in its order.

    The one entry of that very name or alias; else every entry that has all the words among its names, tags
    and allergens, whole words before beginnings of words; every entry without words; none where none fits.
    """
    typed = " ".join(words)
    if not typed.strip():
        return list(catalogue())
    entry = catalogue_entry(typed)
    if entry is not None:
        return [entry]
    wanted = _words_of(typed)
    held = [(entry, _words_held(entry)) for entry in catalogue()]
    whole = [entry for entry, has in held if wanted <= has]
    return whole or [entry for entry, has in held if all(any(own.startswith(word) for own in has) for word in wanted)]


def _words_of(text: str) -> set[str]:
    """The words of a text, each as it is looked up."""
    return {name_key(word) for word in re.split(r"[\s\-/()]+", text) if word}


def _words_held(entry: CatalogueEntry) -> set[str]:
    texts = (entry.ingredient, *entry.also_called, *entry.tags, *entry.contains)
    return {word for text in texts for word in _words_of(text)}


def nothing_found(words: Sequence[str]) -> str:
    """What to say where the catalogue has nothing under the words."""
    typed = " ".join(words)
    return f"The catalogue has nothing under {typed!r}.{_near(typed)}"


def catalogue_dicts(entries: Iterable[CatalogueEntry]) -> list[dict[str, object]]:
    """Entries for programs: every column of the Ingredients sheet by its heading in snake_case, then what
    one piece is, the note and the sources. Shares are 0 to 1; what is not known is null."""
    columns = [(column.heading.casefold().replace(" ", "_"), column.name) for column in SHEETS["Ingredients"].columns]
    return [
        {
            **{key: _plain(getattr(entry, name, None)) for key, name in columns},
            "other_pieces": {word: _plain(grams) for word, grams in entry.other_pieces},
            "each_is": _plain(entry.each_is),
            "note": _plain(entry.note),
            "sources": list(entry.sources),
        }
        for entry in entries
    ]


def _plain(value: object) -> object:
    """A value as JSON has it."""
    if isinstance(value, Fraction):
        return value.numerator if value.denominator == 1 else float(value)
    if isinstance(value, tuple):
        return list(value)
    return None if value == "" else value


CAUTION: Final = (
    "The label on the package decides: a food that lists no allergen here may still hold one, and makers differ."
)
UNLISTED: Final = "nothing listed here; its label decides"


def catalogue_lines(entries: Sequence[CatalogueEntry]) -> list[str]:
    """Entries for people: a list, or everything about one."""
    if not entries:
        return []
    if len(entries) == 1:
        return _entry_lines(entries[0])
    head = ("ingredient", "g/cup", "g each", "edible", "keeps", "contains")
    rows = [head, *(_row(entry) for entry in entries)]
    widths = [max(len(row[at]) for row in rows) for at in range(len(head))]
    lines = [
        "  ".join(
            cell.rjust(width) if 1 <= at <= 4 else cell.ljust(width)
            for at, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in rows
    ]
    return [*lines, "", f"{len(entries)} ingredients. {CAUTION}"]


def _row(entry: CatalogueEntry) -> tuple[str, ...]:
    return (
        entry.ingredient, _figure(entry.grams_per_cup), _figure(entry.grams_each), _share(entry.edible_share),
        _days(entry.keeps), ", ".join(entry.contains),
    )  # fmt: skip


def _figure(grams: Fraction | None) -> str:
    return "" if grams is None else decimal_words(grams, 1).removeprefix("≈ ")


def _share(share: Fraction | None) -> str:
    return "" if share is None else f"{decimal_words(share * 100, 1)}%"


def _days(days: int | None) -> str:
    return "" if days is None else f"{days} d"


def _entry_lines(entry: CatalogueEntry) -> list[str]:
    weights = [
        f"{decimal_words(grams)} g a {unit}"
        for unit, grams in (
            ("US cup", entry.grams_per_cup), ("US tbsp", entry.grams_per_tbsp), ("US tsp", entry.grams_per_tsp),
            ("piece as bought", entry.grams_each),
            *((f"{word} as bought", grams) for word, grams in entry.other_pieces),
        )
        if grams is not None
    ]  # fmt: skip
    facts = (
        ("Also called", "; ".join(entry.also_called)),
        ("Measured as", entry.state),
        ("Stored", entry.storage),
        ("Weighs", ", ".join(weights) or "no figure"),
        ("A piece is", entry.each_is),
        ("Edible share", _share(entry.edible_share) or "100%"),
        ("Keeps sealed", _day_words(entry.keeps)),
        ("Keeps open", _day_words(entry.keeps_open)),
        ("Contains (US)", "; ".join(entry.contains_us) or UNLISTED),
        ("Contains (EU)", "; ".join(entry.contains_eu) or UNLISTED),
        ("Tags", "; ".join(entry.tags)),
        ("Container", entry.container),
        ("Note", entry.note),
    )
    lines = [entry.ingredient, *(f"  {name + ':':<15}{value}" for name, value in facts if value)]
    return [*lines, "  Sources:", *(f"    {source}" for source in entry.sources), "", CAUTION]


def _day_words(days: int | None) -> str:
    return "no figure" if days is None else f"{days} day{'' if days == 1 else 's'}"
