"""`opsreport why FOLDER INGREDIENT`: one food's trace out of a run's plan.json, in words."""

import json
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from fractions import Fraction
from pathlib import Path
from typing import Any

from opsreport.command.ask import Unanswerable
from opsreport.earlier import PLAN_FILE, runs_in
from opsreport.foods import CatalogueEntry, catalogue_entry, name_key
from opsreport.measures.units import Quantity
from opsreport.money import Currency, Money
from opsreport.plan.model import LinePart, Trace, TraceKits, TraceNeed, TracePacks, TraceUse
from opsreport.shown import amount_words, equals_words
from opsreport.tables.orders.trace import (
    SOURCES,
    packs_words,
    part_words,
    times_words,
    to_buy,
    total_of,
    use_words,
)
from opsreport.words import nearest


@dataclass(frozen=True, slots=True)
class WhyAnswer:
    """One food's trace; told: the same as plan.json holds it, with its rows of `purchases` as `packs`."""

    trace: Trace
    currency: Currency
    told: dict[str, Any]


def answer_why(folder: Path, ingredient: str) -> WhyAnswer:
    """The trace of an ingredient, by its name there or another name that the catalogue knows.

    Raises:
        Unanswerable: no plan is there, it was stopped, or it does not need the ingredient.
    """
    file = folder / PLAN_FILE if folder.is_dir() else folder
    if runs := runs_in(folder):
        raise Unanswerable(f"{folder} holds the runs of several workbooks: name one, as {folder / runs[0]}.")
    try:
        plan = json.loads(file.read_text("utf-8"))
        by_key = {
            name_key(told["ingredient"]): {
                **told,
                "packs": _with_cells(plan["purchases"], told),
            }
            for told in plan["trace"]
        }
        currency = Currency(plan["currency"])
        wanted = _keys(ingredient, by_key)
        traces = {key: _trace(by_key[key], currency) for key in wanted[:1]}
    except (OSError, ValueError, KeyError, TypeError, AttributeError):
        raise Unanswerable(f"There is no {PLAN_FILE} of a run in {folder} that tells where orders come from.") from None
    if not by_key:
        raise Unanswerable(_no_traces(folder, plan["purchases"]))
    for key, trace in traces.items():
        return WhyAnswer(trace, currency, by_key[key])
    entry = catalogue_entry(ingredient)
    others = [name for name in _names(entry) if name_key(name) != name_key(ingredient)] if entry else []
    near = nearest(ingredient, [told["ingredient"] for told in by_key.values()])
    beside = f", under this name or as {', '.join(others)}" if others else ""
    raise Unanswerable(f"No session needs {ingredient}{beside}.{f' Did you mean {near}?' if near else ''}")


def _no_traces(folder: Path, purchases: Any) -> str:
    """Why a plan traces nothing: it was stopped, or orders for several workbooks, of which each has its own traces."""
    places = sorted({use["session"].partition("/")[0] for row in purchases for use in row["used"]})
    if not places:
        return f"The run in {folder} holds no orders: see its findings.html."
    return f"These orders are for several workbooks: ask in the folder of one, beside this one: {', '.join(places)}."


def _with_cells(purchases: Any, told: Any) -> list[dict[str, Any]]:
    """The rows of `purchases` of a food, each with the cell of its price."""
    rows = [row for row in purchases if row["ingredient"] == told["ingredient"]]
    return [{**row, "cell": cell} for row, cell in zip(rows, told["price_cells"], strict=True)]


def _keys(ingredient: str, by_key: Mapping[str, Any]) -> list[str]:
    """The plan's names for an ingredient: as typed, else those that the catalogue takes for the same food."""
    typed, entry = name_key(ingredient), catalogue_entry(ingredient)
    if typed in by_key:
        return [typed]
    return (
        [] if entry is None else [key for key, told in by_key.items() if catalogue_entry(told["ingredient"]) is entry]
    )


def _names(entry: CatalogueEntry) -> tuple[str, ...]:
    return (entry.ingredient, *entry.also_called)


def _trace(told: Any, currency: Currency) -> Trace:
    def money(text: str) -> Money:
        exact = currency.exact(Fraction(text))
        if exact is None:
            raise ValueError(text)
        return exact

    def amounts(rows: Any) -> tuple[tuple[str, Fraction], ...]:
        return tuple((row["session"], Fraction(row["amount"])) for row in rows)

    needs = tuple(
        TraceNeed(
            tuple(_part(part) for part in row["parts"]), Fraction(row["per_kit"]), row["whole"], Fraction(row["loss"]),
            tuple(row["instead_of"]),
            tuple(TraceKits(at["session"], at["kit"], at["kits"], Fraction(at["needed"])) for at in row["takers"]),
        )
        for row in told["needs"]
    )  # fmt: skip
    uses = tuple(
        TraceUse(row["source"], row["lot"], row["cell"], row["session"], Fraction(row["amount"]))
        for row in told["uses"]
    )  # fmt: skip
    packs = tuple(
        TracePacks(
            row["order"], row["item"], row["cell"], row["packs"],
            row["pack"] or str(Quantity(Fraction(row["pack_amount"]), row["pack_unit"])),
            Fraction(row["base_amount"]), amounts(row["used"]), Fraction(row["left_over"]), money(row["cost"]),
            Fraction(row["shared"]),
        )
        for row in told["packs"]
    )  # fmt: skip
    return Trace(
        told["ingredient"], told["unit"], Fraction(told["needed"]), needs, uses, packs, amounts(told["short"]),
        amounts(told["to_shop"]),
    )  # fmt: skip


def _part(told: Any) -> LinePart:
    quantity = Quantity(Fraction(told["amount"]), told["unit"])
    return LinePart(told["recipe"], told["cell"], quantity, Fraction(told["edible_share"]), Fraction(told["as_bought"]))


def why_lines(answer: WhyAnswer) -> list[str]:
    """The sum from top to bottom: needed, less stock, less on order, to buy, and what covers that."""
    trace, unit = answer.trace, answer.trace.unit
    lines = [f"{trace.food}, as bought", "", f"Needed: {amount_words(trace.needed, unit, 1)}"]
    for need in trace.needs:
        lines += [
            f"  {kits.kit}: {times_words(need, (kits,), unit)} {equals_words(kits.needed, unit)}"
            for kits in need.takers
        ]
        lines += [f"      {part_words(part, unit)} ({part.cell})" for part in need.parts]
    for source, words in SOURCES.items():
        lines.append(f"− {words}: {amount_words(total_of(trace, source), unit, 1)}")
        lines += [
            f"  {use.session}: {amount_words(use.amount, unit, 1)} of {use_words(use)} ({use.cell})"
            for use in trace.uses
            if use.source == source
        ]
    lines.append(f"= To buy: {amount_words(to_buy(trace), unit, 1)}")
    for packs in trace.packs:
        lines.append(f"  {packs.order}: {packs_words(packs, unit, answer.currency)} ({packs.cell})")
        lines += list(_each(packs.used, unit))
    for words, amounts in (("Short", trace.short), ("To shop for", trace.to_shop)):
        if amounts:
            lines.append(f"  {words}, no packs")
            lines += list(_each(amounts, unit))
    return lines


def _each(amounts: Iterable[tuple[str, Fraction]], unit: str) -> Iterator[str]:
    for session, amount in amounts:
        yield f"      {session}: {amount_words(amount, unit, 1)}"
