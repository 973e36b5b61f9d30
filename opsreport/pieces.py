"""The piece in which a food is held and fetched: a can, a carton, an apple; none for what is only weighed or poured."""

from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from opsreport.measures.units import BaseUnit, Bridge, Quantity, plural, up_to_whole

LEAST_PIECE: Final = 2
"""Weight of the smallest pieces that anyone counts: a clove of garlic, not a sprig of dill [g]."""


@dataclass(frozen=True, slots=True)
class Piece:
    """word: the count word that the workbook uses for it, `each` where it has none. base: of one, in the food's base
    unit."""

    word: str
    base: Fraction

    def words(self, pieces: Fraction) -> str:
        """`16 cans`, `1 carton`, `23 pieces`."""
        if self.word == "each":
            return f"{pieces} piece{'' if pieces == 1 else 's'}"
        return f"{pieces} {plural(self.word, pieces or Fraction(2))}"

    def to_fetch(self, amount: Fraction) -> str:
        """So many that they are enough."""
        return self.words(up_to_whole(amount / self.base))

    def there(self, amount: Fraction) -> str:
        """How many whole ones an amount is, `≈` where a part of one is beside them."""
        whole, rest = divmod(amount, self.base)
        return f"≈ {self.words(Fraction(whole))}" if rest else self.words(Fraction(whole))


def piece_of(held: Sequence[Quantity], used: Sequence[Quantity], base: BaseUnit, bridge: Bridge) -> Piece | None:
    """What people count a food in, if they do: it is stocked, ordered or sold by count, or every recipe counts it.

    Args:
        held: its amounts in Stock, Orders and Packs.
        used: those in recipes.
        base, bridge: its base unit and weights.
    """
    counted = [quantity for quantity in held if quantity.dimension == "count"]
    if not counted and not (used and all(quantity.dimension == "count" for quantity in used)):
        return None
    counted += [quantity for quantity in used if quantity.dimension == "count"]
    word = next((quantity.unit for quantity in counted if quantity.unit != "each"), "each")
    if base == "each":
        return Piece(word, Fraction(1))
    grams = bridge.counted(word)
    return Piece(word, grams) if base == "g" and grams is not None and grams >= LEAST_PIECE else None
