"""Recipe cards: each recipe of the day scaled to the kit, with the swaps already made."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from opsreport.foods import Food
from opsreport.measures.kitchen import kitchen_words
from opsreport.measures.units import MeasureSet, mixed
from opsreport.plan.needs.kits import LEAVE_OUT, session_lines
from opsreport.programme import Line, Recipe
from opsreport.shown import day_words, decimal_words
from opsreport.tables.packing.cautions import DEFER, home_caution
from opsreport.tables.packing.day import NOTHING_LISTED, Exchange, Kits, PackingDay, allergen_words
from opsreport.tables.packing.scaling import scaling_notes
from opsreport.tables.packing.words import scoop_words
from opsreport.tables.table import Column, Document, Row, Table

_INGREDIENTS: Final = (
    Column("Ingredient", width=26),
    Column("Amount", width=14),
    Column("Fill", width=24),
    Column("Prepared", width=18),
    Column("Comes from", width=20),
)
_COPIES: Final = (
    Column("Recipe", width=30),
    Column("For kits", width=26),
    Column("Scaled to", width=14),
    Column("Copies", "count", 8),
)
_STEPS: Final = (Column("Step", "amount", 6), Column("What to do", width=58), Column("Take care", width=28))


@dataclass(frozen=True, slots=True)
class Card:
    """A recipe as some sorts of kit make it. times: batches a kit. exchanges: of this recipe's foods."""

    recipe: Recipe
    times: Fraction
    exchanges: tuple[Exchange, ...]
    kits: tuple[Kits, ...]

    @property
    def codes(self) -> str:
        return ", ".join(kits.code for kits in self.kits)

    @property
    def copies(self) -> int:
        return sum(kits.count for kits in self.kits)

    @property
    def home(self) -> dict[str, str]:
        """What of its food from home somebody who gets the card must not have, with what to do."""
        found: dict[str, set[str]] = {}
        for made in (made for kits in self.kits for made in kits.variant.home):
            found.setdefault(made.food, set()).add("" if made.instead == LEAVE_OUT else made.instead)
        return {
            food: f"where somebody must not have it, {''.join(instead)} instead"
            if len(instead) == 1 and "" not in instead
            else "leave it out where somebody must not have it"
            for food, instead in found.items()
        }

    @property
    def scaling(self) -> list[str]:
        """What to mind in so many batches."""
        instead = {exchange.food: exchange.instead for exchange in self.exchanges}
        return scaling_notes(self.recipe, self.times, self.kits[0].programme.foods, instead)


def recipe_cards(day: PackingDay) -> Document:
    """A card a session, recipe and way of making it; kits that make it alike share the card."""
    cards = [card for session in day.sessions for card in cards_of(day.kits_of(session))]
    tables = [_overview(cards), *(table for card in cards for table in _tables(card))]
    return day.document("recipe-cards", "Recipe cards", "the families", tables)


def _overview(cards: Sequence[Card]) -> Table:
    """Which card goes with which kits, and how many to print."""
    rows = tuple(Row((card.recipe.recipe, card.codes, counted_batches(card.times), card.copies)) for card in cards)
    return Table("Copies", "Cards and copies", _COPIES, rows, notes=("A page for each card follows.",), one_page=8)


def cards_of(variants: Sequence[Kits]) -> Iterable[Card]:
    """The cards of one session's kits, recipe by recipe; kits that make one alike share it."""
    if not variants:
        return
    programme, meeting = variants[0].programme, variants[0].meeting
    for name, factor in meeting.dishes:
        recipe = programme.recipes.get(name)
        if recipe is None:
            continue
        foods = {line.food for line in recipe.lines if line.is_packed and not line.once_a_session}
        alike: dict[tuple[Fraction, tuple[Exchange, ...]], list[Kits]] = {}
        for kits in variants:
            exchanges = tuple(exchange for exchange in kits.exchanges if exchange.food in foods)
            alike.setdefault((kits.variant.batches.get(name, Fraction(1)) * factor, exchanges), []).append(kits)
        for (times, exchanges), same in alike.items():
            yield Card(recipe, times, exchanges, tuple(same))


def _tables(card: Card) -> Iterable[Table]:
    first = card.kits[0]
    name = card.recipe.recipe
    batches = counted_batches(card.times)
    contains = allergen_words(_packed_foods(card))
    large = first.programme.settings.large_print
    yield Table(
        "Cards",
        f"{name} ({card.codes})",
        _INGREDIENTS,
        tuple(_row(card, line) for line in card.recipe.lines),
        intro=(
            f"{first.group_words}, {day_words(first.session.day)}. For kits {card.codes}: {batches}; "
            f"one batch serves {decimal_words(card.recipe.servings)}. Copies: {card.copies}.",
            *((_swap_words(card.exchanges),) if card.exchanges else ()),
            f"What we packed contains: {contains}." if contains else f"{NOTHING_LISTED}.",
        ),
        notes=tuple(card.scaling) if card.recipe.steps else (*card.scaling, home_caution(first.programme), DEFER),
        page_break=True,
        large=large,
        one_page=0 if large else 7,
    )
    if card.recipe.steps:
        yield Table(
            "Methods",
            f"{name} ({card.codes}): method",
            _STEPS,
            tuple(Row((step.number, step.text, step.caution)) for step in card.recipe.steps),
            notes=(home_caution(first.programme), DEFER),
            large=large,
        )


def counted_batches(number: Fraction) -> str:
    """`1 batch`, `1/2 batch`, `1 1/2 batches`."""
    return f"{mixed(number)} {'batch' if number <= 1 else 'batches'}"


def _packed_foods(card: Card) -> list[Food]:
    by_name = card.kits[0].programme.foods.by_name
    instead = {exchange.food: exchange.instead for exchange in card.exchanges}
    names = dict.fromkeys(
        card.kits[0].once_food(line.food) if line.once_a_session else instead.get(line.food, line.food)
        for line in card.recipe.lines
        if line.is_packed
    )
    return [by_name[name] for name in names if name]


def _swap_words(exchanges: Sequence[Exchange]) -> str:
    return (
        f"Already changed for this kit: {'; '.join(each.words for each in exchanges)}. "
        "Where a step names a food that is not listed, use what stands in its place."
    )


def _row(card: Card, line: Line) -> Row:
    """One line of the recipe: from home, in the kit, swapped, left out or shared at the session."""
    if line.from_home or line.quantity is None:
        amount = _amount(card, line) if line.quantity is not None else line.words or "to taste"
        if line.food in card.home:
            return Row((line.food, amount, "", _preparation(line), f"your home: {card.home[line.food]}"), "warning")
        return Row((line.food, amount, "", _preparation(line), "your home"))
    if line.once_a_session:
        return _shared_row(card, line)
    kit = f"the kit: {line.mix}" if line.mix else "the kit"
    exchange = next((each for each in card.exchanges if each.food == line.food), None)
    if exchange is None:
        return Row((line.food, _amount(card, line), _fill(card, line), _preparation(line), kit))
    if not exchange.instead:
        return Row((line.food, "none", "", "", "left out of this kit"), "warning")
    words = _substitute_amount(card, line, exchange)
    return Row((f"{exchange.instead} (instead of {line.food})", words, "", line.preparation, kit), "warning")


def _shared_row(card: Card, line: Line) -> Row:
    """What is packed once a session: swapped there for everybody, where somebody must not have it."""
    food = card.kits[0].once_food(line.food)
    amount = kitchen_words(line.quantity, _measures(card)) if line.quantity is not None else ""
    if food == line.food:
        return Row((food, amount, "", _preparation(line), "the session"))
    if not food:
        return Row((line.food, "none", "", "", "left out of this kit"), "warning")
    words = f"in place of {amount} {line.food}"
    return Row((f"{food} (instead of {line.food})", words, "", line.preparation, "the session"), "warning")


def _fill(card: Card, line: Line) -> str:
    """The cups and spoons to fill, where the kit's whole amount of a food is this line's; bagged amounts need none."""
    planned = card.kits[0].line_of(line.food)
    if planned is None or line.mix or line.quantity is None or not planned.scoops.scoops:
        return ""
    alone = planned.shown == line.quantity.times(card.times)
    words = scoop_words(planned.scoops)
    return words if alone and not planned.scoops.error and words != _amount(card, line) else ""


def _measures(card: Card) -> MeasureSet:
    return card.kits[0].programme.measures


def _amount(card: Card, line: Line) -> str:
    return "" if line.quantity is None else kitchen_words(line.quantity.times(card.times), _measures(card))


def _preparation(line: Line) -> str:
    """How it is made ready, and the range that the recipe gives, where the amount is its upper end."""
    return "; ".join(filter(None, (line.preparation, line.range_words and f"the recipe says {line.range_words}")))


def _substitute_amount(card: Card, line: Line, exchange: Exchange) -> str:
    """The plan's amount where the substitute stands for this line alone, else words that say whose it is."""
    kits = card.kits[0]
    planned = kits.line_of(exchange.instead)
    uses = [use for _, _, use in session_lines(kits.programme, kits.meeting) if not use.once_a_session]
    foods = [use.food for use in uses]
    alone = foods.count(line.food) == 1 and exchange.instead not in foods
    if planned is not None and alone and planned.instead_of == (line.food,) and len(card.kits) == 1:
        return kitchen_words(planned.shown, _measures(card))
    return f"in place of {_amount(card, line)} {line.food}"
