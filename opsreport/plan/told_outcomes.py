"""What a funder may be told of an outcome: no small count of people, and nothing from which one would follow."""

from collections.abc import Mapping, Sequence
from dataclasses import replace
from itertools import chain, product
from typing import Final

from opsreport.plan.hiding import hide_row
from opsreport.plan.people_model import Outcome

_LONGEST_STEP: Final = 3
"""Steps along the scale by which people are shifted in thought, when it is tried what else could be true."""


def safe_outcome(outcome: Outcome, small: int, *, sides: bool = True) -> Outcome:
    """An outcome without the small counts in it, nor shares, changes and p from which they follow.

    Of yes and no everything but n hangs together: after = before + (improved − worse) / n, and every share
    gives a count. So all of it is hidden when any of it rests on few. The average change and its interval give the sum
    of the changes and of their squares; they stay where other changes of other people add up to the same.

    Args:
        sides: whether those who improved, stayed and got worse may be shown at all.
    """
    up, same, down = outcome.improved or 0, outcome.same or 0, outcome.worse or 0
    labels, _ = hide_row((up, same, down), small)
    shown = [
        value if sides and label == f"{value:,}" else None
        for value, label in zip((up, same, down), labels, strict=True)
    ]
    unmatched = outcome.unmatched
    safe = replace(
        outcome, unmatched=None if unmatched and unmatched <= small else unmatched, stayed_n=0, dropped_n=0,
        dropped_before=None, seen=(),
    )  # fmt: skip
    if outcome.kind == "yes-no":
        few = any(_rests_on_few(share, outcome.n, small) for share in (outcome.before, outcome.after))
        if None not in shown and not few:
            return safe
        return replace(
            safe, before=None, before_low=None, before_high=None, after=None, low=None, high=None, change=None,
            p=None, improved=None, same=None, worse=None,
        )  # fmt: skip
    safe = replace(safe, improved=shown[0], same=shown[1], worse=shown[2])
    if None not in shown:
        return safe
    safe = replace(safe, p=None)
    changes = _changes(outcome)
    hidden = tuple(value is None for value in shown)
    if _other_changes_fit(changes, hidden, squares=True):
        return safe
    safe = replace(safe, low=None, high=None, effect=None)
    if _other_changes_fit(changes, hidden, squares=False):
        return safe
    return replace(safe, before=None, after=None, change=None)


def rest_tells(part: Outcome, whole: Outcome, small: int) -> bool:
    """Whether an outcome and one of more pairs together say something of the few who are in one of them only.

    Counts that both show leave a rest, which must not be small. Of those that either hides it is tried what they could
    be: the three of each add up to its pairs, and none of the part is greater than its like of the whole.
    """
    sides = ("improved", "same", "worse")
    true = [[getattr(each, side) or 0 for side in sides] for each in (part, whole)]
    shown = [safe_outcome(each, small) for each in (part, whole)]
    printed = [[getattr(each, side) for side in sides] for each in shown]
    rests = [whole.n - part.n]
    if part.kind == "yes-no" and None not in (shown[0].before, shown[1].before):
        for time in ("before", "after"):
            yes = [round((getattr(each, time) or 0) * each.n) for each in (whole, part)]
            rests += [yes[0] - yes[1], rests[0] - (yes[0] - yes[1])]
    if any(1 <= rest <= small for rest in rests):
        return True
    worlds = [
        (*of_part, *of_whole, *rest)
        for of_part in _triples(printed[0], true[0])
        for of_whole in _triples(printed[1], true[1])
        if min(rest := [q - p for p, q in zip(of_part, of_whole, strict=True)]) >= 0
    ]
    rest = [q - p for p, q in zip(*true, strict=True)]
    secret = [*(value is None for of in printed for value in of), *(1 <= value <= small for value in rest)]
    return any(len({world[at] for world in worlds}) < 2 for at, must_stay_open in enumerate(secret) if must_stay_open)


_NEAR: Final = 6
"""How far from the truth other values are tried; one that a reader cannot rule out is enough."""


def _triples(printed: Sequence[int | None], true: Sequence[int]) -> list[tuple[int, int, int]]:
    """What improved, same and worse could be: hidden ones are 1 or more, and none is hidden alone."""
    ranges = [
        range(max(1, value - _NEAR), value + _NEAR + 1) if shown is None else range(value, value + 1)
        for shown, value in zip(printed[:2], true[:2], strict=True)
    ]
    found = [(up, same, sum(true) - up - same) for up in ranges[0] for same in ranges[1]]
    return [each for each in found if (each[2] >= 1 if printed[2] is None else each[2] == true[2])]


def _rests_on_few(share: float | None, n: int, small: int) -> bool:
    """Whether a share, or its complement, is of few people."""
    if share is None:
        return False
    yes = round(share * n)
    return 1 <= yes <= small or 1 <= n - yes <= small


def _changes(outcome: Outcome) -> dict[int, int]:
    """How many people changed by how many steps, improvement upwards; a step is the least change seen."""
    signs = 1 if outcome.better == "higher" else -1
    moves = [(round(signs * (seen.after - seen.before), 9), seen.people) for seen in outcome.seen]
    step = min((abs(change) for change, _ in moves if change), default=1.0)
    counted: dict[int, int] = {}
    for change, people in moves:
        steps = round(change / step)
        counted[steps] = counted.get(steps, 0) + people
    return counted


def _other_changes_fit(changes: Mapping[int, int], hidden: Sequence[bool], *, squares: bool) -> bool:
    """Whether each hidden count of improved, same and worse could be another one, with the same number of people, sum
    of changes (and of their squares), and counts that are shown.

    Tried by shifting a few people along the scale: one outwards for two inwards keeps the sum, one, three, three and
    one keep the squares too; then by two such shifts together, the second up to three times. Nothing found is taken for
    nothing there, and more is hidden.
    """
    pattern = (1, -3, 3, -1) if squares else (1, -2, 1)
    least, most = min(changes, default=0) - 1, max(changes, default=0) + 1
    shifts = [
        {start + place * step: sign * by for place, by in enumerate(pattern)}
        for start, step, sign in product(range(least, most + 1), range(1, _LONGEST_STEP + 1), (1, -1))
        if start + (len(pattern) - 1) * step <= most
    ]
    open_ = [not each for each in hidden]
    for one, other, times in chain(product(shifts, [{}], [0]), product(shifts, shifts, (1, 2, 3))):
        if all(open_):
            return True
        moved = dict(changes)
        for shift, many in ((one, 1), (other, times)):
            for at, by in shift.items():
                moved[at] = moved.get(at, 0) + many * by
        if min(moved.values()) < 0:
            continue
        differ = [_side(moved, side) != _side(changes, side) for side in (1, 0, -1)]
        if not any(changed and not secret for changed, secret in zip(differ, hidden, strict=True)):
            open_ = [was or changed for was, changed in zip(open_, differ, strict=True)]
    return all(open_)


def _side(changes: Mapping[int, int], sign: int) -> int:
    """How many people improved (1), stayed (0) or got worse (-1)."""
    return sum(people for steps, people in changes.items() if (steps > 0) - (steps < 0) == sign)
