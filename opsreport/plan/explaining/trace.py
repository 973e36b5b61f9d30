"""Why: every food's order lines followed back to the kits, recipes, lots and cells they come from."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import replace
from fractions import Fraction

from opsreport.plan.model import (
    FoodPlan,
    KitLine,
    PlannedSession,
    Purchase,
    Trace,
    TraceKits,
    TraceNeed,
    TracePacks,
    TraceUse,
    Variant,
)
from opsreport.programme import Programme


def traces(programme: Programme, plan: FoodPlan) -> tuple[Trace, ...]:
    """One trace a food that some session needs or that is bought, by name."""
    alike: dict[str, dict[tuple[TraceNeed, bool], list[TraceKits]]] = defaultdict(lambda: defaultdict(list))
    for session in plan.sessions:
        for food, need, kits in _session_needs(programme, session):
            alike[food][need, kits.once].append(kits)
    needs = {
        food: tuple(replace(need, takers=tuple(kits)) for (need, _), kits in rows.items())
        for food, rows in alike.items()
    }
    uses: dict[str, list[TraceUse]] = defaultdict(list)
    cells = {("stock", lot.place.row): str(lot.place) for lot in programme.lots}
    cells |= {("ordered", order.place.row): str(order.place) for order in programme.on_order}
    for use in plan.stock_use:
        cell = cells.get((use.source, use.row), "")
        uses[use.food].append(TraceUse(use.source, use.lot, cell, use.session, use.amount))
    packs: dict[str, list[TracePacks]] = defaultdict(list)
    for row in plan.purchases:
        packs[row.food].append(_packs(row))
    short: dict[str, list[tuple[str, Fraction]]] = defaultdict(list)
    for lacking in plan.shortages:
        short[lacking.food].append((lacking.session, lacking.amount))
    to_shop: dict[str, list[tuple[str, Fraction]]] = defaultdict(list)
    for shop in plan.shopping:
        to_shop[shop.food].append((shop.session, shop.amount))
    return tuple(
        Trace(
            food,
            programme.base_units[food],
            sum((need.needed for need in needs.get(food, ())), Fraction(0)),
            needs.get(food, ()),
            tuple(uses[food]),
            tuple(packs[food]),
            tuple(short[food]),
            tuple(to_shop[food]),
        )
        for food in sorted({*needs, *packs})
    )


def _session_needs(programme: Programme, session: PlannedSession) -> Iterator[tuple[str, TraceNeed, TraceKits]]:
    """Food, need without its takers, and the session's kits that have it: those that take the same for the same
    reason."""
    alike: dict[tuple[object, ...], list[tuple[Variant, KitLine]]] = defaultdict(list)
    for variant in session.variants:
        for line in variant.lines:
            if variant.kits and line.base:
                alike[line.food, line.parts, line.base, line.whole, line.instead_of].append((variant, line))
    for same in alike.values():
        line = same[0][1]
        letters = ", ".join(variant.letter for variant, _ in same)
        kits = sum(variant.kits for variant, _ in same)
        yield line.food, *_need(programme, session, f"{session.session}-{letters}", kits, line)
    for line in session.once:
        if line.base:
            yield line.food, *_need(programme, session, session.session, 1, line)


def _need(
    programme: Programme, session: PlannedSession, kit: str, kits: int, line: KitLine
) -> tuple[TraceNeed, TraceKits]:
    loss = Fraction(0) if line.whole else programme.settings.packing_loss
    taker = TraceKits(session.session, kit, kits, line.base * kits * (1 + loss))
    return TraceNeed(line.parts, line.base, line.whole, loss, line.instead_of, ()), taker


def _packs(row: Purchase) -> TracePacks:
    pack = row.words or str(row.size)
    return TracePacks(
        row.order, row.item, str(row.place), row.packs, pack, row.base, row.used, row.left_over, row.cost,
        row.shared,
    )  # fmt: skip
