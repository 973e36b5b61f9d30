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
_LONGEST: Final = 4
"""Atoms of a move."""
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
        self.numbers = list(of.atoms.values())
        shown = [terms for figure, terms in of.figures.items() if figure not in hidden]
        base = 1 + 4 * _LONGEST * max((abs(factor) for terms in shown for factor in terms.values()), default=0)
        self.sums = [0] * len(self.atoms)
        for column, terms in enumerate(shown):
            digit = base**column
            for atom, factor in terms.items():
                self.sums[self.place[atom]] += factor * digit
        limits = [
            (_placed(terms, self.place), of.value(terms), *of.bounds.get(figure, (1, None)))
            for figure, terms in of.figures.items()
            if figure in hidden
        ] + [(_placed(terms, self.place), of.value(terms), 0, None) for terms in of.never_less]
        self.limits: list[list[_Limit]] = [[] for _ in self.atoms]
        for limit in limits:
            for at in limit[0]:
                self.limits[at].append(limit)
        everything = [(at, by) for at in range(len(self.atoms)) for by in (1, -1) if self.numbers[at] + by >= 0]
        self.few = len(self.atoms) <= _MOST_ATOMS
        self.units = everything if self.few else self._some_of_each(everything)
        self.by_sum: dict[int, list[Move]] = defaultdict(list)
        self.by_sum[0].append(())
        for first, unit in enumerate(self.units):
            its = self._sum_of(unit)
            self.by_sum[its].append((unit,))
            for other in self.units[first:]:
                if other[0] != unit[0] or other[1] == unit[1]:
                    self.by_sum[its + self._sum_of(other)].append((unit, other))

    def none_changes(self, secrets: Sequence[Mapping[Atom, int]]) -> list[Mapping[Atom, int]]:
        """Secrets that no move changes."""
        told = []
        for secret in secrets:
            wanted = _placed(secret, self.place)
            if not any(_sum(wanted, move) and self._allowed(move) for move in self._with(wanted)):
                told.append(secret)
        return told

    def _some_of_each(self, units: Sequence[tuple[int, int]]) -> list[tuple[int, int]]:
        """Of units in the same figures those with most room."""
        alike: dict[tuple[int, int], list[tuple[int, int]]] = defaultdict(list)
        for unit in units:
            alike[self.sums[unit[0]], unit[1]].append(unit)
        return [
            unit
            for some in alike.values()
            for unit in sorted(some, key=lambda unit: (-self._room(unit), unit))[:_OF_EACH]
        ]

    def _room(self, unit: tuple[int, int]) -> int:
        """How often a unit could be taken, by the tightest limit of its atom."""
        at, by = unit
        rooms = [self.numbers[at]] if by < 0 else []
        for terms, value, least, most in self.limits[at]:
            if by * terms[at] < 0:
                rooms.append((value - least) // abs(terms[at]))
            elif most is not None:
                rooms.append((most - value) // abs(terms[at]))
        return min(rooms, default=_PLENTY)

    def _sum_of(self, unit: tuple[int, int]) -> int:
        """What a unit adds to the printed figures, as one number: a digit a figure, wide enough for a move."""
        return unit[1] * self.sums[unit[0]]

    def _with(self, wanted: Mapping[int, int]) -> Iterator[Move]:
        """Moves that take one of some atoms at least, the shorter ones first."""
        starts = [(at, by) for at in wanted for by in (1, -1) if self.numbers[at] + by >= 0]
        for unit in starts:
            for rest in self.by_sum.get(-self._sum_of(unit), ()):
                yield (unit, *rest)
        if not self.few:
            return
        for unit in starts:
            for other in self.units:
                for rest in self.by_sum.get(-self._sum_of(unit) - self._sum_of(other), ()):
                    if len(rest) == 2:
                        yield (unit, other, *rest)

    def _allowed(self, move: Move) -> bool:
        changes: dict[int, int] = {}
        for at, by in move:
            changes[at] = changes.get(at, 0) + by
        for at, by in changes.items():
            if self.numbers[at] + by < 0:
                return False
        for at in changes:
            for terms, value, least, most in self.limits[at]:
                more = _sum(terms, changes.items())
                if more and (value + more < least or (most is not None and value + more > most)):
                    return False
        return True


_Limit = tuple[Mapping[int, int], int, int, int | None]
_PLENTY: Final = 10**9


def _placed(terms: Mapping[Atom, int], place: Mapping[Atom, int]) -> dict[int, int]:
    return {place[atom]: factor for atom, factor in terms.items()}


def _sum(terms: Mapping[int, int], changes: Iterable[tuple[int, int]]) -> int:
    """By how much a sum changes."""
    more = 0
    for at, by in changes:
        if at in terms:
            more += terms[at] * by
    return more
