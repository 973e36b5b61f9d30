"""Who is seen in which documents: people, households, completers and contacts by group and by the documents that count
them, for all that these documents give away together."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from opsreport.kinds import Share
from opsreport.plan.people.attendance import needed
from opsreport.plan.people.ledger import Ledger

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    Integers = NDArray[np.int64]
    Flags = NDArray[np.bool_]

Documents = tuple[int, ...]
"""Numbers of documents, in order."""


@dataclass(frozen=True, slots=True)
class Part:
    """One group's sessions that some documents count, and no others of that group. group: its number in the roll.

    needed: presents that make a completer of them.
    """

    group: int
    documents: Documents
    sessions: frozenset[str]
    needed: int


@dataclass(frozen=True, slots=True)
class Seen:
    """Things (people or homes) by group, with the documents that see them. of: their numbers in the roll; group, where:
    of each; where is a place in `kinds`."""

    of: "Integers"
    group: "Integers"
    where: "Integers"
    kinds: tuple[Documents, ...]

    def counts(self, chosen: "Flags | None" = None) -> dict[tuple[int, Documents], int]:
        """How many of each group are seen in which documents; nobody is in none of them. chosen: some of them only."""
        import numpy as np

        if not len(self.of):
            return {}
        key = self.group * len(self.kinds) + self.where
        found = np.bincount(key if chosen is None else key[chosen])
        return {
            (at // len(self.kinds), self.kinds[at % len(self.kinds)]): int(found[at])
            for at in np.flatnonzero(found).tolist()
        }


@dataclass(frozen=True)
class Overlaps:
    """Documents laid over one another. sessions: of each document."""

    ledger: Ledger
    completion: Share
    sessions: Sequence[frozenset[str]]

    @cached_property
    def inside(self) -> "Flags":
        """Documents down, delivered sessions across: which counts which."""
        import numpy as np

        held = self.ledger.roll.sessions
        inside = [[session.session in of for session in held] for of in self.sessions]
        return np.array(inside, bool).reshape(len(self.sessions), len(held))

    @cached_property
    def parts(self) -> tuple[Part, ...]:
        """Group by group, those of fewer sessions first."""
        roll = self.ledger.roll
        found: dict[tuple[int, frozenset[str]], list[int]] = {}
        for at, inside in enumerate(self.inside):
            of_group: dict[int, list[str]] = {}
            for session in inside.nonzero()[0].tolist():
                of_group.setdefault(int(roll.session_group[session]), []).append(roll.sessions[session].session)
            for group, sessions in of_group.items():
                found.setdefault((group, frozenset(sessions)), []).append(at)
        return tuple(
            Part(group, tuple(found[group, sessions]), sessions, needed(self.completion, len(sessions)))
            for group, sessions in sorted(found, key=lambda key: (key[0], len(key[1]), sorted(key[1])))
        )

    @cached_property
    def people(self) -> Seen:
        return self._seen(self.ledger.presents.person)

    @cached_property
    def homes(self) -> Seen:
        return self._seen(self.ledger.presents.home)

    def _seen(self, things: "Integers") -> Seen:
        import numpy as np

        roll, session = self.ledger.roll, self.ledger.presents.session
        here = np.any(self.inside, axis=0)[session]
        session, things = session[here], things[here]
        most = int(things.max(initial=0)) + 1
        key = roll.session_group[session] * most + things
        order = np.argsort(key, kind="stable")
        first = np.append(True, key[order][1:] != key[order][:-1])[: len(order)]
        place = np.empty(len(order), np.int64)
        place[order] = np.cumsum(first) - 1
        seen = np.zeros((len(self.sessions), int(first.sum())), bool)
        for at, inside in enumerate(self.inside):
            seen[at, place[inside[session]]] = True
        packed = np.ascontiguousarray(np.packbits(seen, axis=0).T)
        _, example, where = np.unique(packed, axis=0, return_index=True, return_inverse=True)
        kinds = tuple(tuple(seen[:, at].nonzero()[0].tolist()) for at in example.tolist())
        each = key[order][first]
        return Seen(each % most, each // most, where.reshape(-1), kinds)

    def completers(self, chosen: "Flags | None" = None) -> dict[Part, int]:
        """How many completed each part. chosen: by number of the person, some of them only."""
        import numpy as np

        roll = self.ledger.roll
        found = {}
        for at, flags in enumerate(self._completed):
            counted = flags if chosen is None else flags & chosen[roll.member_person]
            by_group = np.bincount(roll.member_group[counted], minlength=len(roll.groups)).tolist()
            found.update({part: by_group[part.group] for part in self.parts if part.documents[0] == at})
        return found

    @cached_property
    def _completed(self) -> "list[Flags]":
        """By document: which members completed its sessions of their group."""
        import numpy as np

        roll, presents = self.ledger.roll, self.ledger.presents
        own = presents.member >= 0
        session, member = presents.session[own], presents.member[own]
        found = []
        for inside in self.inside:
            times = np.bincount(member[inside[session]], minlength=len(roll.members))
            held = np.bincount(roll.session_group[inside], minlength=len(roll.groups))
            least = np.array([needed(self.completion, meetings) for meetings in held.tolist()], np.int64)
            found.append((times > 0) & (times >= least[roll.member_group]))
        return found

    def contacts(self) -> dict[tuple[int, Documents, Fraction], int]:
        """By group, the documents that count the session, and its minutes."""
        import numpy as np

        roll, presents = self.ledger.roll, self.ledger.presents
        each = np.bincount(presents.session, minlength=len(roll.sessions)).tolist()
        found: dict[tuple[int, Documents, Fraction], int] = {}
        for at, session in enumerate(roll.sessions):
            documents = tuple(self.inside[:, at].nonzero()[0].tolist())
            if documents:
                key = (int(roll.session_group[at]), documents, session.minutes or Fraction(0))
                found[key] = found.get(key, 0) + each[at]
        return found


def possible(parts: Sequence[Part], seen: Iterable[tuple[int, Documents]]) -> list[tuple[int, Documents]]:
    """Where somebody of a group is seen, or could be, as a reader cannot know that nobody is: in one part of the group
    alone, or in all of them. parts: in order of the group."""
    by_group: dict[int, list[Part]] = {}
    for part in parts:
        by_group.setdefault(part.group, []).append(part)
    kinds = {
        group: {part.documents for part in own} | {tuple(sorted(at for part in own for at in part.documents))}
        for group, own in by_group.items()
    }
    for group, documents in seen:
        kinds[group].add(documents)
    found = []
    for group, own in by_group.items():
        for documents in sorted(kinds[group]):
            elsewhere = frozenset[str]().union(*(part.sessions for part in own if part.documents[0] not in documents))
            # seen there, one would be seen in another of these too
            if not any(part.sessions <= elsewhere for part in own if part.documents[0] in documents):
                found.append((group, documents))
    return found
