"""Which figure of a food carried amounts from cups, spoons or pieces to what is bought."""

from collections.abc import Iterable, Sequence

from opsreport.measures.units import DIMENSION, factors
from opsreport.plan.model import FigureUsed, PlannedSession, Purchase
from opsreport.plan.needs.kits import session_lines
from opsreport.programme import Programme

_HEADING = {"cup": "Grams per cup", "tbsp": "Grams per tbsp", "tsp": "Grams per tsp", "each": "Grams each"}


def figures_used(
    programme: Programme, sessions: Sequence[PlannedSession], purchases: Iterable[Purchase]
) -> tuple[FigureUsed, ...]:
    """Every weight of a cup, spoon or piece that some planned amount, lot or pack went through, by food and measure."""
    found: dict[tuple[str, str], FigureUsed] = {}
    for name, unit in sorted(set(_units_met(programme, sessions, purchases))):
        food = programme.foods.by_name[name]
        if programme.base_units[name] != "g" or DIMENSION[unit] == "weight":
            continue
        figure = "each" if DIMENSION[unit] == "count" else food.bridge.figure_for(unit)
        if figure is None:
            continue
        catalogue = _HEADING[figure] in food.from_catalogue
        if figure == "each":
            grams = food.bridge.grams_each
        else:
            grams = food.bridge.grams_per_ml[figure] * factors("US" if catalogue else programme.measures)[figure]
        if grams is not None:
            found[name, figure] = FigureUsed(name, figure, grams, catalogue)
    return tuple(found[key] for key in sorted(found))


def _units_met(
    programme: Programme, sessions: Sequence[PlannedSession], purchases: Iterable[Purchase]
) -> Iterable[tuple[str, str]]:
    """Every food with every unit that an amount of it was stated in."""
    needed = set()
    for session in sessions:
        lines = [line for variant in session.variants for line in variant.lines] + list(session.once)
        own = {line.food for line in lines}
        needed |= own
        yield from ((line.food, line.shown.unit) for line in lines)
        for _, _, use in session_lines(programme, programme.sessions[session.session]):
            if use.food in own and use.quantity is not None:
                yield use.food, use.quantity.unit
    yield from ((purchase.food, purchase.size.unit) for purchase in purchases)
    yield from ((lot.food, lot.quantity.unit) for lot in programme.lots if lot.food in needed)
    yield from ((order.food, order.size.unit) for order in programme.on_order if order.food in needed)
