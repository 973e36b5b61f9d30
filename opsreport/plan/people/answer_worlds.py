"""Other answers that people could have given, with all that several documents say of them as it is.

An integer program: how many people of each sort (those in the same documents) gave which pair of answers. Whoever reads
the documents can work a number out where no such world has another; HiGHS looks for one, and what it finds is checked
in whole numbers.
"""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING, Final

from opsreport.solver import silent_solver

if TYPE_CHECKING:
    import highspy

Pair = tuple[int, int]
"""Answers before and after."""
Sort = tuple[int, ...]
"""The documents that count somebody."""
_MOST_ANSWERS: Final = 8
"""Answers that are tried: the commonest. Whoever gave another is taken to have given just this one."""
_MOST_NODES: Final = 20
"""Of the search for one world; where that does not do, there is taken to be none."""
_ENOUGH: Final = 3
"""Sums found the same in every world, after which no more are looked for."""


@dataclass(frozen=True, slots=True)
class Said:
    """A sum that is known: of which sorts of people, what each pair of answers adds, and the least that it is where it
    is not known exactly. name: of the sum, if it has one."""

    sorts: frozenset[Sort]
    weights: Mapping[Pair, int] = field(hash=False)
    least: int | None = None
    name: str = ""


@dataclass(frozen=True)
class Worlds:
    """true: how many people of each sort gave which pair of answers. said: all that is known of them."""

    true: Counter[tuple[Sort, Pair]]
    said: Sequence[Said]

    def pinned(self, secrets: Sequence[Said]) -> tuple[list[Said], list[Said]]:
        """Sums that are the same in every world that was found, a few of them at most, and those that are not."""
        rows = [self._terms(secret) for secret in secrets]
        truth = [self._sum(row) for row in rows]
        pinned = [at for at, row in enumerate(rows) if not row]
        open_: set[int] = set()
        solver = self._solver
        for at, row in enumerate(rows):
            if len(pinned) >= _ENOUGH:
                break
            if at in open_ or not row:
                continue
            for low, high in ((truth[at] + 1, solver.inf), (-solver.inf, truth[at] - 1)):
                world = self._world(row, low, high)
                if world is not None:
                    open_ |= {o for o, its in enumerate(rows) if sum(f * world[c] for c, f in its.items()) != truth[o]}
                    break
            else:
                pinned.append(at)
        return [secrets[at] for at in pinned], [secrets[at] for at in sorted(open_)]

    @cached_property
    def _answers(self) -> frozenset[int]:
        times: Counter[int] = Counter()
        for (_, pair), people in self.true.items():
            for answer in pair:
                times[answer] += people
        return frozenset(sorted(times, key=lambda answer: (-times[answer], answer))[:_MOST_ANSWERS])

    @cached_property
    def _cells(self) -> list[tuple[Sort, Pair]]:
        """What may be otherwise."""
        sorts = dict.fromkeys(sort for sort, _ in self.true)
        return [(sort, (a, b)) for sort in sorts for a in sorted(self._answers) for b in sorted(self._answers)]

    def _terms(self, of: Said) -> dict[int, int]:
        return {
            at: factor
            for at, (sort, pair) in enumerate(self._cells)
            if sort in of.sorts and (factor := of.weights.get(pair, 0))
        }

    def _sum(self, row: Mapping[int, int]) -> int:
        return sum(factor * self.true[self._cells[at]] for at, factor in row.items())

    @cached_property
    def _rows(self) -> list[tuple[dict[int, int], int, int | None]]:
        """All that is known, as rows with the least and the most (None: no most)."""
        rows: list[tuple[dict[int, int], int, int | None]] = []
        for each in self.said:
            row = self._terms(each)
            value = self._sum(row)
            if each.least is None:
                rows.append((row, value, value))
            else:
                whole = sum(
                    people * each.weights.get(pair, 0) for (s, pair), people in self.true.items() if s in each.sorts
                )
                rows.append((row, min(value, each.least - whole + value), None))
        return rows

    @cached_property
    def _solver(self) -> "highspy.Highs":
        import highspy

        solver = silent_solver()
        solver.setOptionValue("mip_max_nodes", _MOST_NODES)
        most = float(self.true.total())
        for at in range(len(self._cells)):
            solver.addCol(0.0, 0.0, most, 0, [], [])
            solver.changeColIntegrality(at, highspy.HighsVarType.kInteger)
        for row, low, high in self._rows:
            _add(solver, row, low, solver.inf if high is None else high)
        return solver

    def _world(self, row: Mapping[int, int], low: float, high: float) -> list[int] | None:
        """Whole numbers for the cells that agree with all that is known, and a sum within two bounds."""
        solver = self._solver
        _add(solver, row, low, high)
        solver.run()
        values = solver.getSolution().col_value
        last = solver.getNumRow() - 1
        solver.deleteRows(1, [last])
        world = [round(value) for value in values]
        if len(world) == len(self._cells) and min(world, default=0) >= 0 and self._agrees(world):
            found = sum(factor * world[at] for at, factor in row.items())
            return world if low <= found <= high else None
        return None

    def _agrees(self, world: Sequence[int]) -> bool:
        sums = ((sum(factor * world[at] for at, factor in row.items()), low, high) for row, low, high in self._rows)
        return all(low <= found and (high is None or found <= high) for found, low, high in sums)


def _add(solver: "highspy.Highs", row: Mapping[int, int], low: float, high: float) -> None:
    solver.addRow(float(low), float(high), len(row), list(row), [float(factor) for factor in row.values()])
