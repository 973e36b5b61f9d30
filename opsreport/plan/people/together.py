"""What several documents give away together: their figures as sums over parts that no document divides.

People of two documents overlap in all manner of ways, so a reader adds and subtracts: quarter and quarter less the
year, A and B less C. Every figure is a sum over atoms (numbers of people seen in the same documents, completers of one
group's sessions, kits of sessions in the same documents). A number that must stay secret does so where other numbers of
a few atoms agree with all that is printed.
"""

from collections import defaultdict
from collections.abc import Collection, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

Atom = Hashable
Figure = Hashable
Move = tuple[tuple[int, int], ...]
"""Atoms, by place, with one more or one less of each."""
_MOST_ATOMS: Final = 60
"""With more atoms than this moves of four at a time are too many to try; three must do."""


@dataclass(slots=True)
class Together:
    """Atoms with their true numbers, figures and secrets as the atoms they count (with a factor each).

    bounds: of a figure that is hidden, the least and the most that its label leaves (None: no most).
    never_less: sums that are nought or more. A zero that is printed stays, as it would be read as one.
    """

    atoms: Mapping[Atom, int]
    figures: Mapping[Figure, Mapping[Atom, int]]
    secrets: Sequence[Mapping[Atom, int]]
    never_less: Sequence[Mapping[Atom, int]] = ()
    bounds: Mapping[Figure, tuple[int, int | None]] = field(default_factory=dict)

    def value(self, terms: Mapping[Atom, int]) -> int:
        return sum(factor * self.atoms[atom] for atom, factor in terms.items())

    def hide(self, hidden: Collection[Figure]) -> set[Figure]:
        """What is hidden, and what must be besides: always the figure that leaves the fewest secrets told, the
        smallest of such."""
        chosen = set(hidden)
        while told := self.told(chosen, self.secrets):
            open_ = [
                figure
                for figure, terms in self.figures.items()
                if figure not in chosen and self.value(terms) and any(terms.keys() & each.keys() for each in told)
            ] or [figure for figure, terms in self.figures.items() if figure not in chosen and self.value(terms)]
            if not open_:
                break
            chosen.add(
                min(
                    open_,
                    key=lambda figure: (
                        len(self.told(chosen | {figure}, told)), self.value(self.figures[figure]), str(figure)
                    ),
                )
            )  # fmt: skip
        return chosen

    def told(self, hidden: Collection[Figure], secrets: Iterable[Mapping[Atom, int]]) -> list[Mapping[Atom, int]]:
        """Secrets of which no other value was found."""
        waiting = [secret for secret in secrets if secret]
        if not waiting:
            return []
        return _Moves(self, set(hidden)).none_changes(waiting)


class _Moves:
    """Changes of up to four atoms by one that leave every printed figure as it is."""

    def __init__(self, of: Together, hidden: set[Figure]) -> None:
        self.of = of
        self.atoms = list(of.atoms)
        place = {atom: at for at, atom in enumerate(self.atoms)}
        shown = [terms for figure, terms in of.figures.items() if figure not in hidden]
        self.vectors = [tuple(terms.get(atom, 0) for terms in shown) for atom in self.atoms]
        self.limits = [
            (_placed(terms, place), of.value(terms), *of.bounds.get(figure, (1, None)))
            for figure, terms in of.figures.items()
            if figure in hidden
        ] + [(_placed(terms, place), of.value(terms), 0, None) for terms in of.never_less]
        self.place = place
        self.units = [(at, by) for at, atom in enumerate(self.atoms) for by in (1, -1) if of.atoms[atom] + by >= 0]
        self.by_sum: dict[tuple[int, ...], list[Move]] = defaultdict(list)
        self.by_sum[tuple(0 for _ in shown)].append(())
        for first, unit in enumerate(self.units):
            self.by_sum[self._vector(unit)].append((unit,))
            for other in self.units[first:]:
                if other[0] != unit[0] or other[1] == unit[1]:
                    both = tuple(a + b for a, b in zip(self._vector(unit), self._vector(other), strict=True))
                    self.by_sum[both].append((unit, other))

    def none_changes(self, secrets: Sequence[Mapping[Atom, int]]) -> list[Mapping[Atom, int]]:
        """Secrets that no move changes."""
        told = []
        for secret in secrets:
            wanted = _placed(secret, self.place)
            if not any(_sum(wanted, move) and self._allowed(move) for move in self._with(wanted)):
                told.append(secret)
        return told

    def _vector(self, unit: tuple[int, int]) -> tuple[int, ...]:
        return tuple(unit[1] * factor for factor in self.vectors[unit[0]])

    def _with(self, wanted: Mapping[int, int]) -> Iterator[Move]:
        """Moves that take one of some atoms at least, the shorter ones first."""
        starts = [unit for unit in self.units if unit[0] in wanted]
        for unit in starts:
            for rest in self.by_sum.get(tuple(-x for x in self._vector(unit)), ()):
                yield (unit, *rest)
        if len(self.atoms) > _MOST_ATOMS:
            return
        for unit in starts:
            for other in self.units:
                both = tuple(-a - b for a, b in zip(self._vector(unit), self._vector(other), strict=True))
                for rest in self.by_sum.get(both, ()):
                    if len(rest) == 2:
                        yield (unit, other, *rest)

    def _allowed(self, move: Move) -> bool:
        changes: dict[int, int] = defaultdict(int)
        for at, by in move:
            changes[at] += by
        if any(self.of.atoms[self.atoms[at]] + by < 0 for at, by in changes.items()):
            return False
        for terms, value, least, most in self.limits:
            now = value + sum(terms.get(at, 0) * by for at, by in changes.items())
            if now != value and (now < least or (most is not None and now > most)):
                return False
        return True


def _placed(terms: Mapping[Atom, int], place: Mapping[Atom, int]) -> dict[int, int]:
    return {place[atom]: factor for atom, factor in terms.items()}


def _sum(wanted: Mapping[int, int], move: Move) -> int:
    return sum(wanted.get(at, 0) * by for at, by in move)
