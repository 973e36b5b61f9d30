"""Small counts kept from being read or worked out: what a funder's table may print.

A count from 1 to the small count is hidden, and enough others that no hidden one follows from the sums around
it.

Every sum is a balance, so a table is a flow along a few nodes: a row's cells leave the row, what they add up
to enters it. Whoever reads the table can rule a value of a hidden count out only if no other whole-numbered
flow agrees with what is printed; another one exists exactly when one unit more or less of it can be sent
round a loop of counts that are hidden too. So a count is safe when such a loop exists, and the cheapest loop
through counts still shown says what else to hide. The reader is taken to know the legend: `1–10` lies from 1
to 10, `hidden` lies above.

A reader of two documents of which one counts part of what the other counts knows more: no count of the part is
greater than that of the whole, and their difference is a count too. A document is therefore held to what a reader
would know who had the true figures of every other one (`Known`): such a reader cannot work a count out, so neither can
one who has less.
"""

import heapq
import itertools
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import Final

Key = tuple[str | int, ...]
Node = tuple[str | int, ...]
HIDDEN: Final = "hidden"
_FREE: Final = (0, 0, 0)
_Cost = tuple[int, int, int]
"""Totals hidden, counts hidden, their sum: fewer totals first, then fewer counts, then smaller ones."""


@dataclass(slots=True)
class Count:
    """One count and where it flows.

    printed: stands in the document (a rest that readers can only work out does not). total: hidden after
    cells. known: what other documents say of it.
    """

    key: Key
    tail: Node
    head: Node
    value: int
    printed: bool = True
    total: bool = False
    known: "Known | None" = None


@dataclass(frozen=True, slots=True)
class Known:
    """What a reader of other documents knows of a count. secret: it must be hidden, whatever it is, as a small count
    would follow from it and another document's."""

    least: int = 0
    most: int | None = None
    secret: bool = False


@dataclass(slots=True)
class Sums:
    """Counts that add up, and which of them are hidden.

    labelled: hidden small counts are printed as `1–10`, which says more than `hidden`.
    """

    counts: Mapping[Key, Count]
    small: int
    labelled: bool
    hidden: set[Key] = field(default_factory=set)
    at: dict[Node, list[Count]] = field(default_factory=dict)

    def __post_init__(self) -> None:
        for count in self.counts.values():
            self.at.setdefault(count.tail, []).append(count)
            self.at.setdefault(count.head, []).append(count)
            secret = count.known is not None and count.known.secret
            if (self.is_small(count.value) or secret) and count.printed:
                self.hidden.add(count.key)

    def is_small(self, value: int) -> bool:
        return 1 <= value <= self.small

    def settle(self) -> bool:
        """Hide more until nothing hidden can be worked out; False where that cannot be done."""
        done: set[Key] = set()
        while waiting := [key for key in self.counts if key not in done and self.must_vary(key)]:
            for key in waiting:
                if not self.protect(key):
                    return False
                done.add(key)
        return True

    def must_vary(self, key: Key) -> bool:
        """Whether a reader must not be able to work a count out."""
        count = self.counts[key]
        return key in self.hidden or (self.is_small(count.value) and not count.printed)

    def protect(self, key: Key) -> bool:
        """Hide what lets one count be more, or less, than it is."""
        count = self.counts[key]
        loops = []
        if self.room_up(count):
            loops.append(self.loop(count.head, count.tail, key))
        if self.room_down(count):
            loops.append(self.loop(count.tail, count.head, key))
        return self.hide_cheapest(loops)

    def hide_cheapest(self, loops: "Iterable[Loop | None]") -> bool:
        """Hide the counts of the cheapest loop; False where there is none."""
        found = [loop for loop in loops if loop is not None]
        if not found:
            return False
        self.hidden.update(min(found)[1])
        return True

    def loop(self, start: Node, goal: Node, without: Key = ()) -> "Loop | None":
        """The cheapest way for one unit from one node to another: its cost and the counts it must hide."""
        best: dict[Node, _Cost] = {start: _FREE}
        came: dict[Node, tuple[Node, Count]] = {}
        ticks = itertools.count()
        queue: list[tuple[_Cost, int, Node]] = [(_FREE, next(ticks), start)]
        while queue:
            cost, _, node = heapq.heappop(queue)
            if node == goal:
                return cost, self._to_hide(came, start, goal)
            if cost > best[node]:
                continue
            for count in self.at.get(node, ()):
                if count.key == without or not (up := count.tail == node) | (count.head == node):
                    continue
                if not (self.room_up(count) if up else self.room_down(count)):
                    continue
                there = count.head if up else count.tail
                further = self._plus(cost, count)
                if there not in best or further < best[there]:
                    best[there] = further
                    came[there] = (node, count)
                    heapq.heappush(queue, (further, next(ticks), there))
        return None

    def label(self, key: Key) -> str:
        """What is printed."""
        count = self.counts[key]
        if key not in self.hidden:
            return f"{count.value:,}"
        return f"1–{self.small}" if self.labelled and self.is_small(count.value) else HIDDEN

    def _to_hide(self, came: Mapping[Node, tuple[Node, Count]], start: Node, goal: Node) -> tuple[Key, ...]:
        keys = []
        while goal != start:
            goal, count = came[goal]
            if count.printed and count.key not in self.hidden:
                keys.append(count.key)
        return tuple(sorted(keys, key=str))

    def _plus(self, cost: _Cost, count: Count) -> _Cost:
        if not count.printed or count.key in self.hidden:
            return cost
        totals, counts, values = cost
        return totals + count.total, counts + 1, values + count.value

    def room_up(self, count: Count) -> bool:
        """Whether a reader must reckon with one more."""
        if count.printed and count.value == 0:
            return False
        if count.known is not None and count.known.most is not None and count.value >= count.known.most:
            return False
        return not (self.labelled and self.is_small(count.value)) or count.value < self.small

    def room_down(self, count: Count) -> bool:
        """Whether a reader must reckon with one less."""
        if count.known is not None and count.value <= count.known.least:
            return False
        if not self.is_small(count.value) and not count.printed:
            return count.value > 0
        return count.value > (1 if self.is_small(count.value) or not self.labelled else self.small + 1)


Loop = tuple[_Cost, tuple[Key, ...]]


def hide_row(
    counts: Sequence[int], small: int, secret: Collection[int] = ()
) -> tuple[tuple[str, ...], str]:  # fmt: skip
    """What may be printed of counts and of their total.

    At most one count beside the small ones is hidden, the smallest that serves; the total only where nothing
    else can. secret: places of counts that must be hidden, whatever they are; what is 0 needs no hiding.
    """
    edges = [
        Count(("cell", i), ("from",), ("to",), value, known=Known(secret=True) if value and i in secret else None)
        for i, value in enumerate(counts)
    ]
    edges.append(Count(("all",), ("to",), ("from",), sum(counts), total=True))
    sums = _settled(edges, small)
    return tuple(sums.label(("cell", i)) for i in range(len(counts))), sums.label(("all",))


def _settled(edges: Sequence[Count], small: int) -> Sums:
    """Counts hidden safely, which counts that nothing else is known of always can be."""
    sums = _safe(edges, small)
    if sums is None:
        raise ValueError("counts that cannot be hidden")
    return sums


def _safe(edges: Sequence[Count], small: int) -> Sums | None:
    """Counts hidden safely, without the labels of small ones where these would say too much; None where that
    cannot be done."""
    by_key = {count.key: count for count in edges}
    tries = (Sums(by_key, small, labelled) for labelled in _legends(small))
    return next((sums for sums in tries if sums.settle()), None)


def _legends(small: int) -> tuple[bool, ...]:
    """Whether to label small counts, the better way first; `1–1` would be no hiding at all."""
    return (True, False) if small > 1 else (False,)


@dataclass(frozen=True, slots=True)
class PrintedPeople:
    """What may be printed of people and completers, in all and by the values of each breakdown.

    breakdowns: by column, (people, completers) of each value; left_out: columns that cannot be shown safely.
    moves: changes of (people, completers) by one that agree with all that is printed.
    """

    people: str
    completers: str
    breakdowns: Mapping[str, tuple[tuple[str, str], ...]]
    left_out: tuple[str, ...]
    shows_people: bool
    shows_completers: bool
    moves: frozenset[tuple[int, int]] = frozenset()


@dataclass(frozen=True, slots=True)
class KnownOfPeople:
    """What other documents say of people in all, and of each value of each breakdown (by column)."""

    people: Known = Known()
    breakdowns: Mapping[str, Sequence[Known]] = field(default_factory=dict)


def hide_people(
    people: int,
    completers: int,
    breakdowns: Mapping[str, Sequence[tuple[int, int]]],
    small: int,
    known: KnownOfPeople = KnownOfPeople(),
) -> PrintedPeople:
    """Hide people and completers, so that those who did not complete cannot be worked out either.

    The figures in all come first; breakdowns must not give away what is hidden there, nor together what none
    of them gives away alone: each protects its own counts as if the figures in all were known, and all of
    them can take the same change of a hidden figure in all. A breakdown that cannot is left out.

    Where another document's figure in all leaves no room, that one is hidden too (a count that differs from a printed
    one by a small number has room), and both can change together; the breakdowns are left out then.

    Args:
        people, completers: in all.
        breakdowns: by column, (people, completers) of each value, adding up to the figures in all.
        known: what other documents say.
    """
    head = _safe(_head_counts(people, completers, known.people), small)
    tables: dict[str, Sums] = {}
    left_out = []
    for name, rows in breakdowns.items():
        sums = None if head is None else _safe(_breakdown_counts(rows, known.breakdowns.get(name, ())), small)
        if sums is None:
            left_out.append(name)
        else:
            tables[name] = sums
    head = head or _settled(_head_counts(people, completers, Known(secret=True)), small)
    while (culprit := _gives_away(head, tables)) is not None:
        left_out.append(culprit)
        del tables[culprit]
    return PrintedPeople(
        head.label(("people",)),
        head.label(("completers",)),
        {
            name: tuple(
                (sums.label(("people", i)), sums.label(("completers", i))) for i in range(len(breakdowns[name]))
            )
            for name, sums in tables.items()
        },
        tuple(left_out),
        ("people",) not in head.hidden,
        ("completers",) not in head.hidden,
        _open_moves(head, tables.values()),
    )


def _head_counts(people: int, completers: int, known: Known) -> list[Count]:
    return [
        Count(("completers",), ("rows",), ("columns",), completers),
        Count(("others",), ("rows",), ("columns",), people - completers, printed=False),
        Count(("people",), ("columns",), ("rows",), people, total=True, known=known),
    ]


def _breakdown_counts(rows: Sequence[tuple[int, int]], known: Sequence[Known]) -> list[Count]:
    """A breakdown as if the figures in all were known."""
    return [
        count
        for i, (some, done) in enumerate(rows)
        for count in (
            Count(("people", i), ("rows",), ("row", i), some, known=known[i] if known else None),
            Count(("completers", i), ("row", i), ("completers",), done),
            Count(("others", i), ("row", i), ("others",), some - done, printed=False),
        )
    ]


_MOVES: Final = (
    (("completers", 1), ("others", -1), ("others",), ("completers",)),
    (("completers", -1), ("others", 1), ("completers",), ("others",)),
    (("completers", 1), ("people", 1), ("rows",), ("completers",)),
    (("completers", -1), ("people", -1), ("completers",), ("rows",)),
    (("others", 1), ("people", 1), ("rows",), ("others",)),
    (("others", -1), ("people", -1), ("others",), ("rows",)),
)
"""How the figures in all can change by one: two of them, and one unit's way through a breakdown."""


def _gives_away(head: Sums, tables: Mapping[str, Sums]) -> str | None:
    """Make every breakdown able to take a change of each hidden figure in all; else the one that is not."""
    for key in head.counts:
        if not head.must_vary(key):
            continue
        moves = [move for move in _MOVES if key[0] in (move[0][0], move[1][0]) and _possible(head, move[:2])]
        ways = {name: [sums.loop(move[2], move[3]) for move in moves] for name, sums in tables.items()}
        open_moves = [at for at in range(len(moves)) if all(way[at] is not None for way in ways.values())]
        if not open_moves:
            return min(ways, key=lambda name: (sum(way is not None for way in ways[name]), name), default=None)
        chosen = min(open_moves, key=lambda at: [way[at] for way in ways.values()])
        for name, sums in tables.items():
            sums.hide_cheapest([ways[name][chosen]])
    return None


def _open_moves(head: Sums, tables: Collection[Sums]) -> frozenset[tuple[int, int]]:
    """Changes of people and completers that the figures in all and every breakdown can take as they are printed."""
    found = set()
    for one, other, start, goal in _MOVES:
        changes = (one, other)
        ways = [sums.loop(start, goal) for sums in tables]
        if _possible(head, changes) and all(way is not None and way[0] == _FREE for way in ways):
            by = dict(changes)
            found.add((by.get("people", 0), by.get("completers", 0)))
    return frozenset(found)


def _possible(head: Sums, changes: Sequence[tuple[str, int]]) -> bool:
    """Whether the hidden figures in all have room for a change; what is shown cannot change."""
    for name, by in changes:
        count = head.counts[(name,)]
        if count.printed and (name,) not in head.hidden:
            return False
        if not (head.room_up(count) if by > 0 else head.room_down(count)):
            return False
    return True
