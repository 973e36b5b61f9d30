"""Why each food is bought: from the kits that need it, less stock and what is on order, to the packs."""

from collections.abc import Iterable, Sequence
from fractions import Fraction

from opsreport.measures.units import mixed, plural
from opsreport.money import Currency
from opsreport.plan.model import FoodPlan, LinePart, Trace, TraceKits, TraceNeed, TracePacks, TraceUse
from opsreport.programme import Programme
from opsreport.shown import amount_words, equals_words, share_words
from opsreport.tables.naming import counted
from opsreport.tables.table import Column, Row, Table

SHEET = "Why"
SOURCES = {"stock": "From stock", "ordered": "On order"}


def trace_table(programme: Programme, food: FoodPlan) -> Table:
    """One group a food, under a heading that is a row of its own; exact amounts, the working in words."""
    columns = (
        Column("Step", width=30),
        Column("Amount", "amount", 11),
        Column("Working", width=62),
        Column("Cells", width=24),
    )
    rows = [row for trace in food.traces for row in _rows(trace, programme.currency)]
    return Table(
        SHEET,
        "Why: from kits to packs",
        columns,
        tuple(rows),
        intro=(
            "As bought, in the unit of the food's first line: kits × what a kit takes ÷ edible share, less stock, less "
            "what is on order, is what must be bought; whole packs cover it. Which sessions use them stands under "
            "Where every pack goes.",
        )
        if rows
        else (),
        empty="No session needs any food.",
        page_break=True,
        folds=True,
    )


def _rows(trace: Trace, currency: Currency) -> Iterable[Row]:
    unit = trace.unit
    yield Row((trace.food, None, sum_words(trace), ""), "heading")
    for need in trace.needs:
        yield Row((takers_words(need), need.needed, need_words(need, unit), cells_of(need)))
    for use in trace.uses:
        yield Row((f"{SOURCES[use.source]}, for {use.session}", -use.amount, use_words(use), use.cell))
    for packs in trace.packs:
        yield Row((f"Bought: {packs.order}", packs.base, packs_words(packs, unit, currency), packs.cell))
    for step, amounts in (("Short", trace.short), ("To shop for", trace.to_shop)):
        for session, amount in amounts:
            yield Row((f"{step}, for {session}", -amount, "", ""), "warning" if step == "Short" else "")


def total_of(trace: Trace, source: str) -> Fraction:
    """What stock, or what is on order, covers of a food."""
    return sum((use.amount for use in trace.uses if use.source == source), Fraction(0))


def to_buy(trace: Trace) -> Fraction:
    """What is left to be covered by packs, or by nothing."""
    return trace.needed - total_of(trace, "stock") - total_of(trace, "ordered")


def sum_words(trace: Trace) -> str:
    """`5,000 g needed − 1,200 g stock − 800 g on order = 3,000 g to buy`."""
    parts = [f"{amount_words(trace.needed, trace.unit, 1)} needed"]
    for source, words in (("stock", "stock"), ("ordered", "on order")):
        if amount := total_of(trace, source):
            parts.append(f"− {amount_words(amount, trace.unit, 1)} {words}")
    return f"{' '.join(parts)} {equals_words(to_buy(trace), trace.unit)} to buy"


def takers_words(need: TraceNeed) -> str:
    """`w2-A, C`; of several sessions only their codes."""
    return need.takers[0].kit if len(need.takers) == 1 else ", ".join(kits.session for kits in need.takers)


def need_words(need: TraceNeed, unit: str) -> str:
    """`14 kits × 453.6 g + 3% packing loss: Golden Lentil Soup, 2 cups ÷ 89%`, then what each of several takers needs
    of it: `. w2-A, C 8 kits = 3,737.7 g; w3-A 6 kits = 2,803.2 g`."""
    words = f"{times_words(need, need.takers, unit)}: {'; '.join(part_words(part, unit) for part in need.parts)}"
    if len(need.takers) == 1:
        return words
    return f"{words}. {'; '.join(_taken_words(kits, unit) for kits in need.takers)}"


def _taken_words(kits: TraceKits, unit: str) -> str:
    count = "" if kits.once else f" {counted(kits.kits, 'kit')}"
    return f"{kits.kit}{count} {equals_words(kits.needed, unit)}"


def times_words(need: TraceNeed, takers: Sequence[TraceKits], unit: str) -> str:
    """`14 kits × 453.6 g + 3% packing loss`: what so many of a need's takers take together."""
    count = sum(kits.kits for kits in takers)
    if not takers[0].once:
        times = counted(count, "kit")
    else:
        times = "once a session" if count == 1 else f"once in {count} sessions"
    words = f"{times} × {amount_words(need.per_kit, unit, 1)}"
    if need.loss:
        words += f" + {share_words(need.loss)} packing loss"
    if need.whole:
        words += ", in whole pieces"
    if need.instead_of:
        words += f", instead of {', '.join(need.instead_of)}"
    return words


def part_words(part: LinePart, unit: str) -> str:
    """`Golden Lentil Soup, 2 cups ÷ 89% edible = 449 g`."""
    amount = f"{mixed(part.quantity.amount)} {plural(part.quantity.unit, part.quantity.amount)}"
    if part.edible_share != 1:
        amount += f" ÷ {share_words(part.edible_share)} edible"
    return f"{part.recipe}, {amount} {equals_words(part.base, unit)}"


def cells_of(need: TraceNeed) -> str:
    """The cells of the recipe amounts."""
    return "; ".join(dict.fromkeys(part.cell for part in need.parts))


def use_words(use: TraceUse) -> str:
    """`lot L-24`; `order FFK-071`."""
    if use.source == "ordered":
        return f"order {use.lot}"
    return f"lot {use.lot}" if use.lot else "a lot without a name"


def packs_words(packs: TracePacks, unit: str, currency: Currency) -> str:
    """`2 × 5 lb (item 251 O), $12.80; 120 g left over`; `1 × 5 lb and 400 g of another, shared (item 251 O), $7.60`."""
    item = f" (item {packs.item})" if packs.item else ""
    cost = currency.shown(packs.cost)
    if not packs.shared:
        return f"{packs.packs:,} × {packs.pack}{item}, {cost}; {amount_words(packs.left_over, unit, 1)} left over"
    part = amount_words(packs.shared, unit, 1)
    if packs.packs:
        return f"{packs.packs:,} × {packs.pack} and {part} of another, shared{item}, {cost}"
    return f"{part} of {packs.pack}, shared{item}, {cost}"
