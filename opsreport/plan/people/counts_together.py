"""What several documents' counts give away together, and what more is hidden for it."""

import math
from collections.abc import Collection, Mapping, Sequence
from dataclasses import dataclass, replace
from fractions import Fraction
from functools import cached_property
from itertools import permutations
from typing import Final

from opsreport.plan.people.breakdowns import BreakdownColumn
from opsreport.plan.people.counts import Told, is_small
from opsreport.plan.people.hiding import HIDDEN, PrintedPeople
from opsreport.plan.people.overlaps import Documents, Overlaps, Part, possible
from opsreport.plan.people.together import Atom, Figure, Together

_MOST_OF_COLUMN: Final = 150
"""Numbers of people and completers of a column by value, group and documents that are looked at together."""
_Terms = dict[Atom, int]
_Labels = tuple[str, str]
"""What is printed of people and completers."""


@dataclass(frozen=True)
class CountsTogether:
    """Documents with their overlaps."""

    told: Sequence[Told]
    over: Overlaps

    @cached_property
    def small(self) -> int:
        """Of what they say together: the largest of any."""
        return max(each.small for each in self.told)

    @cached_property
    def people_kinds(self) -> list[tuple[int, Documents]]:
        """Groups with the documents in which somebody of them is seen, or could be."""
        return possible(self.over.parts, self.over.people.counts())

    @cached_property
    def home_kinds(self) -> list[tuple[int, Documents]]:
        return possible(self.over.parts, self.over.homes.counts())

    def _system(
        self, labels: Mapping[int, _Labels], of: tuple[BreakdownColumn, int] | None = None, *, contacts: bool = False
    ) -> Together:
        """People and completers of some documents, of one value of a column only where one is given. Who is in two
        groups is counted in each, as if a reader knew how many these are.

        Args:
            labels: by number of the document. contacts: whether they are in it, as they bound people and completers.
        """
        atoms: dict[Atom, int] = {}
        figures: dict[Figure, _Terms] = {}
        for at in labels:
            figures["people", at], figures["completers", at] = {}, {}
        self._add_people(atoms, figures, labels.keys(), of)
        never_less, apart = self._parts_of(labels.keys())
        for part in apart:
            for at in part.documents:
                if at in labels:
                    figures["completers", at]["completers", part] = 1
        if contacts:
            never_less += self._add_contacts(atoms, figures)
        bounds = self._bounds(labels)
        secrets: list[_Terms] = [*({atom: 1} for atom in atoms if atom[0] != "contacts"), *never_less[: len(apart)]]
        for one, other in permutations(labels, 2):
            secrets.append({atom: 1 for atom in figures["people", one] if atom not in figures["people", other]})
            lacking = [part for part in apart if one in part.documents and other not in part.documents]
            secrets.append({("completers", part): 1 for part in lacking})
        system = Together(atoms, figures, (), never_less, bounds)
        system.never_less = [each for each in never_less if system.value(each) >= 0]
        system.secrets = [each for each in secrets if 1 <= system.value(each) <= self.small]
        system.cheap = frozenset(figure for figure in figures if figure[0] == "contacts")
        return system

    def _add_people(
        self, atoms: dict[Atom, int], figures: dict[Figure, _Terms], documents: Collection[int],
        of: tuple[BreakdownColumn, int] | None,
    ) -> None:  # fmt: skip
        people = self.over.people
        counts = people.counts(None if of is None else of[0].of_person[people.of] == of[1])
        for kind in self.people_kinds:
            seen = [at for at in kind[1] if at in documents]
            if seen:
                atoms["people", *kind] = counts.get(kind, 0)
                for at in seen:
                    figures["people", at]["people", *kind] = 1
        chosen = None if of is None else of[0].of_person == of[1]
        for part, many in self.over.completers(chosen).items():
            if any(at in documents for at in part.documents):
                atoms["completers", part] = many

    def _parts_of(self, documents: Collection[int]) -> tuple[list[_Terms], list[Part]]:
        """Those of each part who did not complete it, and the parts."""
        parts = [part for part in self.over.parts if any(at in documents for at in part.documents)]
        return [self._people_in(part) | {("completers", part): -1} for part in parts], parts

    def _people_in(self, part: Part) -> _Terms:
        return {("people", *kind): 1 for kind in self._kinds_of[part]}

    @cached_property
    def _kinds_of(self) -> dict[Part, list[tuple[int, Documents]]]:
        by_group: dict[int, list[tuple[int, Documents]]] = {}
        for kind in self.people_kinds:
            by_group.setdefault(kind[0], []).append(kind)
        return {
            part: [kind for kind in by_group.get(part.group, ()) if part.documents[0] in kind[1]]
            for part in self.over.parts
        }

    def _add_contacts(self, atoms: dict[Atom, int], figures: dict[Figure, _Terms]) -> list[_Terms]:
        """Contacts, with what they say of people and completers of each part: a completer came `needed` times at least,
        everybody once, nobody more often than there were sessions, who did not complete less often than needed."""
        of_group: dict[int, list[tuple[int, Documents, Fraction]]] = {}
        for kind, many in self.over.contacts().items():
            atoms["contacts", *kind] = many
            of_group.setdefault(kind[0], []).append(kind)
            for at in kind[1]:
                figures.setdefault(("contacts", at), {})["contacts", *kind] = 1
        bounds = []
        for part in self.over.parts:
            contacts: _Terms = {("contacts", *kind): 1 for kind in of_group[part.group] if part.documents[0] in kind[1]}
            people, held = self._people_in(part), len(part.sessions)
            bounds += [
                contacts | dict.fromkeys(people, -1) | {("completers", part): 1 - part.needed},
                dict.fromkeys(contacts, -1) | dict.fromkeys(people, held),
                dict.fromkeys(contacts, -1)
                | dict.fromkeys(people, part.needed - 1)
                | {("completers", part): held - part.needed + 1},
            ]
        return bounds

    def _bounds(self, labels: Mapping[int, _Labels]) -> dict[Figure, tuple[int, int | None]]:
        bounds: dict[Figure, tuple[int, int | None]] = {}
        for at, row in labels.items():
            few = f"1–{self.told[at].small}"
            for name, label in zip(("people", "completers"), row, strict=True):
                if label == few:
                    bounds[name, at] = (1, self.told[at].small)
                elif not _plain(label):
                    bounds[name, at] = (self.told[at].small + 1 if few in row else 1, None)
        return bounds

    def tells(self, labels: Sequence[_Labels], contacts: Sequence[bool]) -> bool:
        """Whether a small or hidden number of people or completers follows from what is printed. contacts: by document,
        whether they are."""
        system = self._system(dict(enumerate(labels)), contacts=True)
        hidden = system.bounds.keys() | {("contacts", at) for at, seen in enumerate(contacts) if not seen}
        return bool(system.told(hidden, system.all_secrets(hidden)))

    def tells_column(self, column: BreakdownColumn, labels: Mapping[int, Mapping[str, _Labels]]) -> bool:
        """The same of a column, where the reader is taken to know how many people of a group each choice of documents
        counts. One document alone is hidden as if that were known; with very many groups something counts as told.

        Args:
            labels: by document that prints the column, then value; a value without any is nought there.
        """
        if len(labels) < 2:
            return False
        atoms: dict[Atom, int] = {}
        figures: dict[Figure, _Terms] = {}
        whole = Together(atoms, figures, ())
        secrets: list[_Terms] = []
        never_less: list[_Terms] = []
        for place, value in enumerate(column.values):
            system = self._system({at: of.get(value, ("0", "0")) for at, of in labels.items()}, (column, place))
            atoms |= {(value, atom): many for atom, many in system.atoms.items()}
            figures |= {(value, figure): _of_value(terms, value) for figure, terms in system.figures.items()}
            secrets += [_of_value(terms, value) for terms in system.secrets]
            never_less += [_of_value(terms, value) for terms in system.never_less]
            whole.bounds |= {(value, figure): bounds for figure, bounds in system.bounds.items()}
        if len(atoms) > _MOST_OF_COLUMN:
            return True
        for value, atom in atoms:
            if atom[0] == "people":
                figures.setdefault(("known", atom), {})[value, atom] = 1
        whole.secrets, whole.never_less = secrets, never_less
        return bool(whole.told(whole.bounds.keys(), whole.all_secrets(whole.bounds.keys())))

    # --- what is hidden for it ---

    def people_and_contacts(
        self, printed: Sequence[PrintedPeople], contacts: Sequence[bool]
    ) -> tuple[list[PrintedPeople], list[bool]]:
        """The same with more hidden, and columns left out, until all documents together tell no small count of those in
        some of them, nor of those of them who completed or did not."""
        labels = {at: (each.people, each.completers) for at, each in enumerate(printed)}
        everybody = self._system(labels, contacts=True)
        hidden = everybody.hide(
            set(everybody.bounds) | {("contacts", at) for at, seen in enumerate(contacts) if not seen}
        )
        found = list(printed)
        for at, each in enumerate(printed):
            lost_people, lost = (("people", at) in hidden, ("completers", at) in hidden)
            if (lost_people and each.shows_people) or (lost and each.shows_completers):
                found[at] = replace(
                    each, people=HIDDEN if lost_people and each.shows_people else each.people,
                    completers=HIDDEN if lost and each.shows_completers else each.completers, breakdowns={},
                    left_out=(*each.left_out, *each.breakdowns), shows_people=not lost_people,
                    shows_completers=not lost,
                )  # fmt: skip
        for heading in dict.fromkeys(heading for each in found for heading in each.breakdowns):
            self._open_column(found, heading)
        return found, [("contacts", at) not in hidden for at in range(len(printed))]

    def _open_column(self, found: list[PrintedPeople], heading: str) -> None:
        """Leave a column out of as many documents as it takes, those with fewest people first."""
        column = next(column for column in self.told[0].columns if column.heading == heading)
        for value in range(len(column.values)):
            while True:
                having = [at for at, each in enumerate(found) if heading in each.breakdowns]
                if len(having) < 2:
                    return
                labels = {at: _row(self.told[at], found[at], heading, column.values[value]) for at in having}
                system = self._system(labels, (column, value))
                if not system.told(system.bounds.keys(), system.all_secrets(system.bounds.keys())):
                    break
                least = min(having, key=lambda at: (len(self.told[at].counts.people), sorted(self.told[at].sessions)))
                kept = {name: rows for name, rows in found[least].breakdowns.items() if name != heading}
                found[least] = replace(found[least], breakdowns=kept, left_out=(*found[least].left_out, heading))

    def households(self, shown: Sequence[bool]) -> list[bool]:
        """Whether households may be shown beside those of all the other documents."""
        counts = self.over.homes.counts()
        atoms: dict[Atom, int] = {kind: counts.get(kind, 0) for kind in self.home_kinds}
        figures: list[_Terms] = [{kind: 1 for kind in self.home_kinds if at in kind[1]} for at in range(len(self.told))]
        return self._open(atoms, [figures], shown)

    def contacts(self, shown: Sequence[bool]) -> list[bool]:
        """Whether contacts, and their hours with them, may be shown beside all the others."""
        counts: dict[tuple[Documents, Fraction], int] = {}
        for (_, documents, minutes), many in self.over.contacts().items():
            counts[documents, minutes] = counts.get((documents, minutes), 0) + many
        atoms: dict[Atom, int] = {**counts}
        scale = math.lcm(*(minutes.denominator for _, minutes in counts))
        each: list[_Terms] = [{key: 1 for key in counts if at in key[0]} for at in range(len(self.told))]
        long: list[_Terms] = [
            {key: int(key[1] * scale) for key in counts if at in key[0]} for at in range(len(self.told))
        ]
        return self._open(atoms, [each, long], shown)

    def kits(self, shown: Sequence[bool]) -> list[bool]:
        """Whether kits may be shown beside those of all the other documents."""
        inside: dict[str, Documents] = {}
        values: dict[str, int] = {}
        for at, each in enumerate(self.told):
            for session, value in each.kits.items():
                inside[session] = (*inside.get(session, ()), at)
                values[session] = value
        atoms: dict[Atom, int] = {}
        for session in sorted(inside):
            atoms[inside[session]] = atoms.get(inside[session], 0) + values[session]
        figures: list[_Terms] = [{atom: 1 for atom in atoms if at in atom} for at in range(len(self.told))]
        return self._open(atoms, [figures], shown)

    def _open(
        self, atoms: Mapping[Atom, int], figures: Sequence[Sequence[_Terms]], shown: Sequence[bool]
    ) -> list[bool]:
        """Hide more of a figure until no small number of what some documents have and others do not can be worked out.

        Args:
            figures: what is printed of each document, several sums where these are shown and hidden together.
        """
        documents = range(len(self.told))
        counts = figures[0]
        secrets: list[_Terms] = [{atom: 1} for atom in atoms]
        for one, other in permutations(documents, 2):
            secrets.append({atom: 1 for atom in counts[one] if atom not in counts[other]})
        system = Together(atoms, {(at, of): sums[at] for of, sums in enumerate(figures) for at in documents}, ())
        hidden = {at for at in documents if not shown[at]}
        for at in hidden:
            value, small = system.value(counts[at]), self.told[at].small
            system.bounds[at, 0] = (1, small) if is_small(value, small) and small > 1 else (1, None)
        system.secrets = [each for each in secrets if is_small(system.value(each), self.small)]
        system.with_it = {
            (at, of): [(at, other) for other in range(len(figures))] for at in documents for of in range(len(figures))
        }
        gone = system.hide({(at, of) for at in hidden for of in range(len(figures))})
        return [(at, 0) not in gone for at in documents]


def _of_value(terms: Mapping[Atom, int], value: str) -> _Terms:
    return {(value, atom): factor for atom, factor in terms.items()}


def _row(each: Told, printed: PrintedPeople, heading: str, value: str) -> _Labels:
    """What is printed of one value; noughts where it has no row."""
    rows = zip(each.rows[heading], printed.breakdowns[heading], strict=True)
    return next((labels for (name, _, _), labels in rows if name == value), ("0", "0"))


def _plain(label: str) -> bool:
    return label.replace(",", "").isdigit()
