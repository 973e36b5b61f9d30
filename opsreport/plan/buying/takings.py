"""Every way of taking an amount from what is there, in which at most one portion is begun and not used up."""

from collections.abc import Iterator, Sequence


def takings(portions: Sequence[tuple[int, int]], need: int, most: int) -> list[tuple[int, ...]] | None:
    """What is taken of each portion, together `need`: whole units of all but one, and any amount of that one.

    Args:
        portions: (amount, size of the units it comes in), amounts whole multiples of their units.
        most: ways beyond which none are given.
    Returns:
        Each way once; None where there are more than `most`.
    """
    found: dict[tuple[int, ...], None] = {}
    for begun, (amount, _) in enumerate(portions):
        others = [(0, 1) if place == begun else portion for place, portion in enumerate(portions)]
        for taken in _whole_units(others, need, need - amount):
            found[(*taken[:begun], need - sum(taken), *taken[begun + 1 :])] = None
            if len(found) > most:
                return None
    return list(found)


def _whole_units(portions: Sequence[tuple[int, int]], most: int, least: int) -> Iterator[tuple[int, ...]]:
    """Whole units of each portion, at least and at most so much together; much of the first before little."""
    if not portions:
        if least <= 0:
            yield ()
        return
    amount, unit = portions[0]
    others = sum(other for other, _ in portions[1:])
    for count in range(min(amount, most) // unit, -1, -1):
        taken = count * unit
        if taken + others < least:
            return
        for rest in _whole_units(portions[1:], most - taken, least - taken):
            yield (taken, *rest)
