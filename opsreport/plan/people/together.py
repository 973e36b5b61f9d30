"""What several documents give away together: their figures as sums over parts that no document divides.

People of two documents overlap in all manner of ways, so a reader adds and subtracts: quarter and quarter less the
year, A and B less C. Every figure is a sum over atoms (numbers of people seen in the same documents, completers of one
group's sessions, kits of sessions in the same documents). A number that must stay secret does so where other numbers of
a few atoms agree with all that is printed.
"""

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Any, Final

Atom = Any
Figure = Any
"""Names of them, whatever can be a key."""
Move = tuple[tuple[int, int], ...]
"""Atoms, by place, with one more or one less of each."""
_MOST_ATOMS: Final = 90
"""With more atoms than this moves are tried with a few atoms of each sort only, and of three at a time."""
_OF_EACH: Final = 3
"""Atoms of one sort that are tried then: of those in the same figures, with most room up, and with most room down."""


@dataclass(slots=True)
class Together:
    """Atoms with their true numbers, figures and secrets as the atoms they count (with a factor each).

    bounds: of a figure that is hidden, the least and the most that its label leaves (None: no most).
    never_less: sums that are nought or more. A zero that is printed stays, as it would be read as one.
    cheap: figures that are hidden before others. with_it: by figure, those that are hidden with it, itself too.
    """

    atoms: Mapping[Atom, int]
    figures: Mapping[Figure, Mapping[Atom, int]]
    secrets: Sequence[Mapping[Atom, int]]
    never_less: Sequence[Mapping[Atom, int]] = ()
    bounds: dict[Figure, tuple[int, int | None]] = field(default_factory=dict)
    cheap: Collection[Figure] = ()
    with_it: Mapping[Figure, Collection[Figure]] = field(default_factory=dict)

    def value(self, terms: Mapping[Atom, int]) -> int:
        return sum(factor * self.atoms[atom] for atom, factor in terms.items())

    def all_secrets(self, hidden: Collection[Figure]) -> list[Mapping[Atom, int]]:
        """The secrets, and what is hidden."""
        return [*self.secrets, *(terms for figure, terms in self.figures.items() if figure in hidden)]

    def hide(self, hidden: Collection[Figure]) -> set[Figure]:
        """What is hidden, and what must be besides: always the figure that leaves the fewest secrets told, a cheap one
        before others, the smallest of such."""
        chosen = set(hidden)
        while told := self.told(chosen, self.all_secrets(chosen)):
            closed = [figure for figure, terms in self.figures.items() if figure not in chosen and self.value(terms)]
            if not closed:
                break
            chosen |= min(
                ({figure, *self.with_it.get(figure, ())} for figure in closed),
                key=lambda more: (
                    len(self.told(chosen | more, told)), not all(figure in self.cheap for figure in more),
                    sum(self.value(self.figures[figure]) for figure in more), sorted(map(str, more)),
                ),
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
        self.place = {atom: at for at, atom in enumerate(self.atoms)}
        shown = [terms for figure, terms in of.figures.items() if figure not in hidden]
        vectors = [[0] * len(shown) for _ in self.atoms]
        for column, terms in enumerate(shown):
            for atom, factor in terms.items():
                vectors[self.place[atom]][column] = factor
        self.vectors = [tuple(vector) for vector in vectors]
        limits = [
            (_placed(terms, self.place), of.value(terms), *of.bounds.get(figure, (1, None)))
            for figure, terms in of.figures.items()
            if figure in hidden
        ] + [(_placed(terms, self.place), of.value(terms), 0, None) for terms in of.never_less]
        self.limits: list[list[_Limit]] = [[] for _ in self.atoms]
        for limit in limits:
            for at in limit[0]:
                self.limits[at].append(limit)
        everything = [(at, by) for at, atom in enumerate(self.atoms) for by in (1, -1) if of.atoms[atom] + by >= 0]
        self.few = len(self.atoms) <= _MOST_ATOMS
        self.units = everything if self.few else self._some_of_each(everything)
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

    def _some_of_each(self, units: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """Of units with the same vector those with most room."""
        alike: dict[tuple[tuple[int, ...], int], list[tuple[int, int]]] = defaultdict(list)
        for unit in units:
            alike[self.vectors[unit[0]], unit[1]].append(unit)
        return [
            unit
            for some in alike.values()
            for unit in sorted(some, key=lambda unit: (-self._room(unit), unit))[:_OF_EACH]
        ]

    def _room(self, unit: tuple[int, int]) -> int:
        """How often a unit could be taken, by the tightest limit of its atom."""
        at, by = unit
        rooms = [self.of.atoms[self.atoms[at]]] if by < 0 else []
        for terms, value, least, most in self.limits[at]:
            if by * terms[at] < 0:
                rooms.append((value - least) // abs(terms[at]))
            elif most is not None:
                rooms.append((most - value) // abs(terms[at]))
        return min(rooms, default=_PLENTY)

    def _vector(self, unit: tuple[int, int]) -> tuple[int, ...]:
        return tuple(unit[1] * factor for factor in self.vectors[unit[0]])

    def _with(self, wanted: Mapping[int, int]) -> Iterator[Move]:
        """Moves that take one of some atoms at least, the shorter ones first."""
        starts = [(at, by) for at in wanted for by in (1, -1) if self.of.atoms[self.atoms[at]] + by >= 0]
        for unit in starts:
            for rest in self.by_sum.get(tuple(-x for x in self._vector(unit)), ()):
                yield (unit, *rest)
        if not self.few:
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
        for terms, value, least, most in (limit for at in changes for limit in self.limits[at]):
            now = value + sum(terms.get(at, 0) * by for at, by in changes.items())
            if now != value and (now < least or (most is not None and now > most)):
                return False
        return True


_Limit = tuple[Mapping[int, int], int, int, int | None]
_PLENTY: Final = 10**9


def _placed(terms: Mapping[Atom, int], place: Mapping[Atom, int]) -> dict[int, int]:
    return {place[atom]: factor for atom, factor in terms.items()}


def _sum(wanted: Mapping[int, int], move: Move) -> int:
    return sum(wanted.get(at, 0) * by for at, by in move)
