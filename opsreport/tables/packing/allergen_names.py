"""Allergens by the names that food law gives them: nuts, fish and crustaceans by their kind."""

from collections.abc import Mapping, Sequence
from typing import Final

from opsreport.foods import Food, name_key

_SOURCES: Final[Mapping[str, str]] = {"peanut": "peanuts", "soy": "soybeans"}
"""Names of food sources where ours are shorter: 21 USC 321(qq)(1)(A) writes peanuts and soybeans."""
_NUTS: Final = (
    "almond", "black walnut", "brazil nut", "butternut", "cashew", "filbert", "hazelnut", "heartnut", "macadamia",
    "pecan", "pili nut", "pine nut", "pistachio", "walnut",
)  # fmt: skip
"""Source: names in common use; 21 USC 321(qq)(1)(A) gives almonds, pecans, walnuts as examples."""
_FISH: Final = (
    "anchovy", "bass", "catfish", "cod", "flounder", "haddock", "hake", "halibut", "herring", "mackerel", "perch",
    "pike", "pollock", "salmon", "sardine", "snapper", "sole", "swordfish", "tilapia", "trout", "tuna", "whitefish",
)  # fmt: skip
"""Source: names in common use; 21 USC 321(qq)(1)(A) gives bass, flounder, cod as examples."""
_CRUSTACEANS: Final = ("crab", "crawfish", "crayfish", "krill", "lobster", "prawn", "shrimp")
"""Source: names in common use; 21 USC 321(qq)(1)(A) gives crab, lobster, shrimp as examples."""
_KINDS: Final[Mapping[str, tuple[str, ...]]] = {
    "tree nuts": _NUTS, "fish": _FISH, "crustacean shellfish": _CRUSTACEANS,
}  # fmt: skip


def law_name(allergen: str, holders: Sequence[Food]) -> str:
    """An allergen as a label names it: `soybeans`, `tree nuts (walnut)`, `fish (tuna)`.

    Where a food's own name does not say the kind, the reader is sent to its package: a guess could harm.

    Source: 21 USC 343(w)(1)(A), `Contains` and the food source; 343(w)(2), for nuts the specific type, for fish
        and crustaceans the species; sesame by the FASTER Act of 2021 (Public Law 117-11).
    """
    kinds = _KINDS.get(allergen)
    if kinds is None:
        return _SOURCES.get(allergen, allergen)
    named: dict[str, None] = {}
    for food in holders:
        words = f" {' '.join(name_key(word) for word in food.name.split())} "
        found = [kind for kind in kinds if f" {kind} " in words]
        longest = [kind for kind in found if not any(kind != other and kind in other for other in found)]
        named |= dict.fromkeys(longest or [f"kind: see the package of {food.name}"])
    return f"{allergen} ({', '.join(named)})"
