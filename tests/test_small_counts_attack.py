"""A reader with nothing but the funders' spreadsheets and pages tries to work out what they hide.

The reader knows how such reports are made: what adds up to what, that `1–10` lies from 1 to 10 and that `hidden` beside
it lies above, which sessions each document counts, and so whose people are part of whose. An integer programme looks
for another set of counts that agrees with all that is printed; where there is none for a hidden count, it is found out.

`python tests/test_small_counts_attack.py` attacks 200 random programmes (about a minute); the suite takes some of them.
"""

import datetime as dt
import io
import itertools
import math
import random
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path
from typing import Any

import numpy as np
import openpyxl
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.stats import t as student_t

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent))

from plan.people_support import TERM, answers, funder, group, mark, member, pick_up, programme, question, session

from opsreport.money import Currency
from opsreport.plan.people.attendance import attend
from opsreport.plan.people.counts import count
from opsreport.plan.people_plan import plan_people
from opsreport.programme import Programme
from opsreport.tables.reports import report_documents
from opsreport.tables.table import Paper
from opsreport.write.html_page import html_bytes
from opsreport.write.xlsx import xlsx_bytes

COLUMNS = ("Age band", "Town")
MEASURES = {
    "People, each counted once": "people",
    "Households, each counted once": "households",
    "Contacts": "contacts",
    "Completers": "completers",
    "Kits given out": "kits",
    "Contact hours": "hours",
}
MINUTES = {"A": 60, "B": 90, "C": 60}
"""How long a session of each group lasts; a reader may know."""
Key = tuple[object, ...]


# --- random programmes ---


def random_programme(seed: int) -> Programme:
    """Up to three groups, funders whose periods lie within one another or overlap, few people with some traits."""
    rng = random.Random(seed)
    groups, sessions, members, marks = [], [], [], []
    names = "ABC"[: rng.randint(1, 3)]
    funders = "FGH"[: rng.randint(1, 3)]
    for name in names:
        paying = rng.sample(funders, rng.randint(1, len(funders)))
        groups.append(group(name, funders=tuple((each, Fraction(1, len(paying))) for each in paying)))
        meetings = [session(f"{name}{i}", name, 10 * i, minutes=MINUTES[name]) for i in range(1, rng.randint(3, 6))]
        sessions += meetings
        comes = rng.choice((0.35, 0.7, 0.95))
        for number in range(rng.randint(2, 40)):
            who = f"{name}-{number}"
            traits = {
                "age_band": rng.choice(("", "5–7", "8–10", "8–10", "11–13")),
                "town": rng.choice(("Ash", "Ash", "Oak")),
            }
            members.append(member(who, name, f"H-{name}-{number // rng.randint(1, 3)}", **traits))
            marks += [mark(each.session, who, "P" if rng.random() < comes else "A") for each in meetings]
    some = rng.choice((3, 5, 10))
    rows = [
        funder(name, rng.choice((1, 1, 15)), rng.choice((25, 35, 100, 100)), small_count=rng.choice((None, None, 4)))
        for name in funders
    ]
    kits = [pick_up(each.session, f"K{i}", "collected") for each in sessions for i in range(rng.randint(0, 9))]
    asked = {who.participant: str(rng.randint(1, 5)) for who in members if rng.random() < 0.8}
    later = {who: str(min(5, int(answer) + rng.choice((0, 0, 1, 1, 2, -1)))) for who, answer in asked.items()}
    return programme(
        groups, members, sessions, marks, funders=rows, small=some, report_by=COLUMNS, pick_ups=kits,
        questions=[question("Q", "scale", lowest=Fraction(1), highest=Fraction(5))], surveys=answers("Q", asked, later),
    )  # fmt: skip


def linked_programme(seed: int) -> Programme:
    """Up to four funders of three groups, some small, over quarter, next quarter and both; few complete a group, or few
    do not."""
    rng = random.Random(seed)
    funders = "FGHI"[: rng.randint(2, 4)]
    paying: dict[str, list[str]] = {name: [] for name in "ABC"}
    for each in funders:
        for name in rng.sample("ABC", rng.randint(1, 3)):
            paying[name].append(each)
    groups, sessions, members, marks, kits = [], [], [], [], []
    for name, of in paying.items():
        groups.append(group(name, funders=tuple((each, Fraction(1, len(of))) for each in of)))
        meetings = [session(f"{name}{i}", name, 10 * i, minutes=MINUTES[name]) for i in range(1, 5)]
        sessions += meetings
        size, few = rng.choice((3, 20, 30)), rng.randint(1, 4)
        most = rng.random() < 0.5
        late = rng.random() < 0.5
        for number in range(size):
            who = f"{name}-{number}"
            members.append(member(who, name, f"H-{name}-{number}", age_band="", town="Ash"))
            full = (number < few) != most
            came = "PPPP" if full else ("AAPP" if late and number % 2 else "PPAA")
            marks += [mark(each.session, who, letter) for each, letter in zip(meetings, came, strict=True)]
        kits += [pick_up(each.session, f"K{i}", "collected") for each in meetings for i in range(size)]
    rows = [funder(name, *rng.choice(((1, 25), (26, 100), (1, 100), (1, 100))), small_count=10) for name in funders]
    return programme(groups, members, sessions, marks, funders=rows, small=10, report_by=(), pick_ups=kits)


# --- what a reader has in hand ---


@dataclass
class Document:
    """One funder's document as printed. measures: by name; columns: by heading (value, people, completers)."""

    small: int
    completion: Fraction
    sessions: frozenset[str]
    measures: dict[str, str]
    columns: dict[str, list[tuple[str, str, str]]]

    @property
    def needed(self) -> int:
        """The fewest presents that make a completer of one of its groups."""
        return min((max(1, math.ceil(self.completion * len(of))) for _, of in parts_of(self)), default=1)


class Tables(HTMLParser):
    """Every table of a page: the heading above it, then rows of texts."""

    def __init__(self) -> None:
        super().__init__()
        self.tables: dict[str, list[list[str]]] = {}
        self._at = ""
        self._heading = ""
        self.text = ""

    def handle_starttag(self, tag: str, attrs: object) -> None:
        self._at = tag if tag in ("h2", "td", "th", "p") else self._at
        if tag == "h2":
            self._heading = ""
        if tag == "tr":
            self.tables.setdefault(self._heading, []).append([])
        if tag in ("td", "th"):
            self.tables[self._heading][-1].append("")

    def handle_endtag(self, tag: str) -> None:
        if tag == self._at:
            self._at = ""

    def handle_data(self, data: str) -> None:
        self.text += data
        if self._at == "h2":
            self._heading += data
        elif self._at in ("td", "th") and self.tables.get(self._heading):
            self.tables[self._heading][-1][-1] += data.rstrip("\n")


def read_page(page: bytes) -> Document:
    """A page, read by its tables and its sentences."""
    parser = Tables()
    parser.feed(page.decode("utf-8"))
    tables = parser.tables
    columns = {}
    for heading in COLUMNS:
        rows = [row for row in tables.get(f"People by {heading.casefold()}", [])[1:] if len(row) == 3]
        if rows:
            columns[heading] = [(row[0], row[1], row[2]) for row in rows if row[0] != "All"]
    measures = {MEASURES[row[0]]: row[2] for row in tables["Promised and delivered"] if row[0] in MEASURES}
    sessions = frozenset(row[1] for row in tables["Sessions delivered"][1:] if len(row) == 5)
    return Document(*_said(parser.text), sessions, measures, columns)


def _said(text: str) -> tuple[int, Fraction]:
    """The small count and the share of sessions that makes a completer, as the document's sentences say them."""
    small = re.search(r"Counts from 1 to (\d+) are hidden", text)
    share = re.search(r"Completer: present at (\d+)% or more of the group's delivered sessions", text)
    assert small is not None
    assert share is not None
    return int(small[1]), Fraction(int(share[1]), 100)


def read_spreadsheet(book: bytes) -> Document:
    """A spreadsheet, read by its sheets, cell by cell."""
    sheets = openpyxl.load_workbook(io.BytesIO(book), data_only=True)

    def rows(name: str, heading: str) -> Iterator[tuple[str, ...]]:
        started = False
        for row in sheets[name].iter_rows(values_only=True):
            texts = tuple("" if cell is None else f"{cell:,}" if isinstance(cell, int) else str(cell) for cell in row)
            if started and any(texts):
                yield texts
            started = started or texts[0] == heading

    columns = {}
    for heading in COLUMNS:
        if f"By {heading}" in sheets.sheetnames:
            found = [row for row in rows(f"By {heading}", heading) if row[1]]
            columns |= {heading: [(row[0], row[1], row[2]) for row in found if row[0] != "All"]} if found else {}
    measures = {MEASURES[row[0]]: row[2] for row in rows("Promised and delivered", "Measure") if row[0] in MEASURES}
    sessions = frozenset(row[1] for row in rows("Sessions", "Date") if row[1])
    text = "\n".join(str(cell) for sheet in sheets for row in sheet.iter_rows(values_only=True) for cell in row if cell)
    return Document(*_said(text), sessions, measures, columns)


# --- the attack ---


class Reader:
    """All counts behind some documents as whole numbers, what is printed of them as bounds, sums as equations."""

    def __init__(self, documents: Sequence[Document]) -> None:
        self.keys: dict[Key, int] = {}
        self.low: list[float] = []
        self.high: list[float] = []
        self.rows: list[tuple[dict[int, int], float, float]] = []
        for at, document in enumerate(documents):
            self._one(at, document)
        for i, inner in enumerate(documents):
            for j, outer in enumerate(documents):
                if i != j and inner.sessions and inner.sessions <= outer.sessions:
                    self._within(i, j, inner, same=inner.sessions == outer.sessions)

    def _count(self, key: Key, label: str, small: int, *, differ: bool) -> int:
        if label == f"1–{small}":
            low, high = 1, small
        elif label == "hidden":
            low, high = (small + 1 if differ else 1), 10_000
        else:
            low = high = int(label.replace(",", ""))
        at = self.keys[key] = len(self.low)
        self.low.append(low)
        self.high.append(high)
        return at

    def equation(self, terms: Mapping[int, int], low: float = 0, high: float = 0) -> None:
        self.rows.append((dict(terms), low, high))

    def _one(self, at: int, document: Document) -> None:
        small, head = document.small, document.measures
        differ = f"1–{small}" in (head["people"], head["completers"])
        people = self._count((at, "people"), head["people"], small, differ=differ)
        completers = self._count((at, "completers"), head["completers"], small, differ=differ)
        households = self._count((at, "households"), head["households"], small, differ=False)
        contacts = self._count((at, "contacts"), head["contacts"], small, differ=False)
        self._count((at, "kits"), head["kits"], small, differ=False)
        self.equation({people: 1, completers: -1}, 0, np.inf)
        self.equation({people: 1, households: -1}, 0, np.inf)
        self.equation({contacts: 1, people: -1, completers: 1 - document.needed}, 0, np.inf)
        self.equation({people: len(document.sessions), contacts: -1}, 0, np.inf)
        for heading, rows in document.columns.items():
            differ = any(f"1–{small}" in row[1:] for row in rows)
            sums: tuple[dict[int, int], dict[int, int]] = ({people: -1}, {completers: -1})
            for value, some, done in rows:
                of_value = self._count((at, heading, value, "people"), some, small, differ=differ)
                finished = self._count((at, heading, value, "completers"), done, small, differ=differ)
                self.equation({of_value: 1, finished: -1}, 0, np.inf)
                sums[0][of_value] = sums[1][finished] = 1
            for terms in sums:
                self.equation(terms)

    def _within(self, inner: int, outer: int, document: Document, *, same: bool) -> None:
        """No count of the part is greater than its like of the whole; completers may be, unless both are the same."""
        keys: list[Key] = [("people",), ("households",), ("contacts",), ("kits",)]
        keys += [(heading, row[0], "people") for heading, rows in document.columns.items() for row in rows]
        for key in keys:
            a, b = self.keys.get((inner, *key)), self.keys.get((outer, *key))
            if a is not None and b is not None:
                self.equation({b: 1, a: -1}, 0, 0 if same else np.inf)

    def together(self, documents: Sequence[Document]) -> None:
        """All documents as sums of what none of them divides: kits and contacts of sessions in the same documents
        (contacts by how long these last, as hours tell them apart); people and households of a group by the documents
        that they are seen in; completers of a group's sessions."""
        for at, document in enumerate(documents):
            cells = {self.unknown(("kits", cell)): -1 for cell in cells_of(documents) if at in cell}
            self.equation({self.keys[at, "kits"]: 1} | cells)
            lasting = {(cell, minutes): minutes for cell, minutes in lasting_of(documents) if at in cell}
            self.equation({self.keys[at, "contacts"]: 1} | {self.unknown(("contacts", *key)): -1 for key in lasting})
            if document.measures["hours"] != "hidden":
                hours = 60 * Fraction(document.measures["hours"].replace(",", ""))
                terms = {self.unknown(("contacts", *key)): minutes for key, minutes in lasting.items()}
                self.equation(terms, float(hours) - 3, float(hours) + 3)
        for name in ("people", "households"):
            for at in range(len(documents)):
                kinds = [kind for kind in kinds_of(documents) if any(at in part for part in kind[1])]
                self.equation({self.keys[at, name]: 1} | {self.unknown((name, kind)): -1 for kind in kinds})
        for at, document in enumerate(documents):
            terms = {self.keys[at, "completers"]: 1}
            for part in parts_of(document):
                completers = self.unknown(("completers", part))
                terms[completers] = -1
                here = [kind for kind in kinds_of(documents) if kind[0] == part[0] and kind_in(kind, at)]
                self.equation({self.unknown(("people", kind)): 1 for kind in here} | {completers: -1}, 0, np.inf)
            self.equation(terms)
        for heading in COLUMNS:
            if any(heading in document.columns for document in documents):
                self._column(documents, heading)

    def _column(self, documents: Sequence[Document], heading: str) -> None:
        """People and completers of each value: by kind and by part they add up to all of them, and to what a document
        prints of the value; one without a row is nought."""
        values = [*values_of(documents, heading), ELSE]
        for kind in kinds_of(documents):
            terms = {self.unknown((heading, value, "people", kind)): -1 for value in values}
            self.equation(terms | {self.unknown(("people", kind)): 1})
        for part in {part for document in documents for part in parts_of(document)}:
            terms = {self.unknown((heading, value, "completers", part)): -1 for value in values}
            self.equation(terms | {self.unknown(("completers", part)): 1})
            at = next(at for at, document in enumerate(documents) if part in parts_of(document))
            here = [kind for kind in kinds_of(documents) if kind[0] == part[0] and kind_in(kind, at)]
            for value in values:
                terms = {self.unknown((heading, value, "people", kind)): 1 for kind in here}
                self.equation(terms | {self.unknown((heading, value, "completers", part)): -1}, 0, np.inf)
        for at, document in enumerate(documents):
            if heading not in document.columns:
                continue
            rows = {row[0] for row in document.columns[heading]}
            for value in values:
                kinds = [kind for kind in kinds_of(documents) if kind_in(kind, at)]
                people = {self.unknown((heading, value, "people", kind)): -1 for kind in kinds}
                done = {self.unknown((heading, value, "completers", part)): -1 for part in parts_of(document)}
                for name, terms in (("people", people), ("completers", done)):
                    printed = {self.keys[at, heading, value, name]: 1} if value in rows else {}
                    self.equation(terms | printed)

    def unknown(self, key: Key) -> int:
        if key not in self.keys:
            self.keys[key] = len(self.low)
            self.low.append(0)
            self.high.append(10_000)
        return self.keys[key]

    def found_out(self, secrets: "Secrets") -> list[Key]:
        """Of some sums of counts (and their true values) those that nothing but the truth agrees with."""
        seen: dict[Key, set[int]] = {key: {true} for key, (_, true) in secrets.items()}
        matrix = np.zeros((len(self.rows), len(self.low)))
        for row, (terms, _, _) in enumerate(self.rows):
            for at, factor in terms.items():
                matrix[row, at] += factor
        bounds = Bounds(np.array(self.low), np.array(self.high))
        sums = LinearConstraint(matrix, [row[1] for row in self.rows], [row[2] for row in self.rows])
        for key, (terms, _) in secrets.items():
            for sign in (1, -1):
                if len(seen[key]) > 1:
                    break
                cost = np.zeros(len(self.low))
                for at, factor in terms.items():
                    cost[at] = sign * factor
                solutions = (
                    milp(cost, constraints=sums, bounds=bounds, integrality=np.ones(len(self.low)), options=options).x
                    for options in ({}, {"presolve": False})  # HiGHS' presolve has called a solvable one infeasible
                )
                world = next((np.rint(x) for x in solutions if x is not None), None)
                assert world is not None, "the documents contradict one another"
                for other, (its, _) in secrets.items():
                    seen[other].add(round(sum(factor * world[at] for at, factor in its.items())))
        return [key for key, values in seen.items() if len(values) < 2]


Part = tuple[str, frozenset[str]]
"""A group (the first letter of its sessions) and those of its sessions that a document counts."""
Kind = tuple[str, tuple[tuple[int, ...], ...]]
"""A group, and the parts of it where somebody is seen, each as the documents that count just this part."""


def parts_of(document: Document) -> list[Part]:
    groups = sorted({session[0] for session in document.sessions})
    return [(group, frozenset(s for s in document.sessions if s[0] == group)) for group in groups]


ELSE = "none of these"


def values_of(documents: Sequence[Document], heading: str) -> list[str]:
    return sorted({row[0] for document in documents for row in document.columns.get(heading, ())})


def cells_of(documents: Sequence[Document]) -> list[tuple[int, ...]]:
    sessions = sorted({session for document in documents for session in document.sessions})
    return sorted({seen_in(documents, session) for session in sessions})


def lasting_of(documents: Sequence[Document]) -> list[tuple[tuple[int, ...], int]]:
    """The same, parted by how long sessions last."""
    sessions = {session for document in documents for session in document.sessions}
    return sorted({(seen_in(documents, session), MINUTES[session[0]]) for session in sessions})


def seen_in(documents: Sequence[Document], session: str) -> tuple[int, ...]:
    return tuple(at for at, document in enumerate(documents) if session in document.sessions)


def kinds_of(documents: Sequence[Document]) -> list[Kind]:
    """Every way in which somebody could be seen: at any choice of sessions of one group."""
    found = set()
    for name in sorted({part[0] for document in documents for part in parts_of(document)}):
        cells = sorted({seen_in(documents, s) for d in documents for s in d.sessions if s[0] == name})
        for many in range(1, len(cells) + 1):
            for some in itertools.combinations(cells, many):
                found.add(kind_of(documents, name, some))
    return sorted(found)


def kind_of(documents: Sequence[Document], group: str, cells: Iterable[tuple[int, ...]]) -> Kind:
    seen = {at for cell in cells for at in cell}
    alike: dict[Part, list[int]] = {}
    for at in sorted(seen):
        alike.setdefault(next(p for p in parts_of(documents[at]) if p[0] == group), []).append(at)
    return group, tuple(sorted(tuple(ats) for ats in alike.values()))


def kind_in(kind: Kind, at: int) -> bool:
    return any(at in part for part in kind[1])


def attack(book: Programme) -> list[str]:
    """What is found out from every document alone and from all of them together."""
    plan = plan_people(book, {})
    paper = Paper("A4", Currency("USD"), TERM)
    made = [document for document in report_documents(book, plan) if "funder-" in document.path]
    pages, sheets = [], []
    codes = {person.participant for person in book.members}
    for document in made:
        page, workbook = html_bytes(document, paper), xlsx_bytes(document, paper)
        assert not any(f">{code}<" in page.decode("utf-8") for code in codes)
        pages.append(read_page(page))
        sheets.append(read_spreadsheet(workbook))
    for page_read, sheet_read in zip(pages, sheets, strict=True):
        assert page_read == sheet_read
    told = [name for at in range(len(pages)) for name in _found_out(book, pages, [at])]
    return told + _found_out(book, pages, range(len(pages)))


Secrets = dict[Key, tuple[dict[int, int], int]]
"""Numbers that are to be secret: by name, the unknowns that they are a sum of, and their true value."""


def _found_out(book: Programme, documents: Sequence[Document], chosen: Sequence[int]) -> list[str]:
    some = [documents[at] for at in chosen]
    reader = Reader(some)
    everything = len(chosen) == len(documents)
    if everything:
        reader.together(some)
    return [f"{chosen}: {key}" for key in reader.found_out(secrets_of(book, reader, some, chosen, shared=everything))]


def secrets_of(
    book: Programme, reader: Reader, some: Sequence[Document], chosen: Sequence[int], *, shared: bool
) -> Secrets:  # fmt: skip
    """What some documents of a programme hide, and small numbers of what they count beside one another. chosen: the
    funders whose documents they are; a number beyond them is that of the whole programme. shared: whether small numbers
    of what lies in some of them and not in others are secrets too."""
    attended = attend(book, lambda _: 0)
    counts = []
    for at in chosen:
        if at == len(book.funders):
            counts.append(count(attended.ledger, book.settings.completion, book.groups.keys()))
            continue
        row = book.funders[at]
        names = {each.group for each in book.groups.values() if row.funder in dict(each.funders)}
        counts.append(count(attended.ledger, book.settings.completion, names, (row.start, row.end)))
    secrets: Secrets = {}
    for at, (document, true) in enumerate(zip(some, counts, strict=True)):
        truth = _truth(book, attended, true, document)
        for key, label in _labels(document):
            place = reader.keys[at, *key]
            if not label.replace(",", "").isdigit():
                secrets[at, *key] = ({place: 1}, truth[key])
        for key, (people, completers) in {
            key[:-1]: (truth[key], truth[(*key[:-1], "completers")]) for key in truth if key[-1] == "people"
        }.items():
            if 1 <= people - completers <= document.small:
                terms = {reader.keys[at, *key, "people"]: 1, reader.keys[at, *key, "completers"]: -1}
                secrets[at, *key, "others"] = (terms, people - completers)
        for other, (wide, outer) in enumerate(zip(some, counts, strict=True)):
            if document.sessions and document.sessions < wide.sessions:
                outer_truth = _truth(book, attended, outer, wide)
                for key in truth.keys() & outer_truth.keys():
                    rest = outer_truth[key] - truth[key]
                    if key[-1] not in ("completers",) and 1 <= rest <= document.small:
                        terms = {reader.keys[other, *key]: 1, reader.keys[at, *key]: -1}
                        secrets[at, other, *key] = (terms, rest)
    if shared:
        secrets |= _shared(book, attended, reader, some)
    return secrets


def _shared(book: Programme, attended: object, reader: Reader, documents: Sequence[Document]) -> Secrets:
    """Small numbers of those whom some documents count and others do not."""
    small = min(document.small for document in documents)
    kinds: Counter[Key] = Counter()
    homes: dict[str, set[tuple[int, ...]]] = {}
    present = {(row.participant, row.session) for row in book.attendance if row.mark and row.mark.mark == "present"}
    home_of = {row.participant: row.household for row in book.members}
    traits = {row.participant: row.extra for row in book.members}
    for who, house in home_of.items():
        cells = {cell for name, session in present if name == who and (cell := seen_in(documents, session))}
        homes.setdefault(house, set()).update(cells)
        if cells:
            kind = kind_of(documents, who[0], cells)
            kinds["people", kind] += 1
            for heading in COLUMNS:
                value = traits[who].get(heading, "") or "not stated"
                if value in values_of(documents, heading):
                    kinds[heading, value, "people", kind] += 1
    for house, cells in homes.items():
        if cells:
            kinds["households", kind_of(documents, house[2], cells)] += 1
    for row in book.sessions.values():
        if cell := seen_in(documents, row.session):
            kinds["contacts", cell, MINUTES[row.session[0]]] += sum(session == row.session for _, session in present)
            kinds["kits", cell] += attended.kits.by_session[row.session]  # type: ignore[attr-defined]
    secrets = {key: ({reader.keys[key]: 1}, many) for key, many in kinds.items() if 1 <= many <= small}
    sorts = {key[:-1] for key in kinds if key[0] not in ("contacts", "kits")}
    for (one, other), sort in itertools.product(itertools.permutations(range(len(documents)), 2), sorts):
        rest = [k for k in kinds if k[:-1] == sort and kind_in(k[-1], one) and not kind_in(k[-1], other)]  # type: ignore[arg-type]
        if 1 <= (many := sum(kinds[key] for key in rest)) <= small:
            of = [k for k in kinds_of(documents) if kind_in(k, one) and not kind_in(k, other)]
            terms = {reader.keys[(*sort, kind)]: 1 for kind in of if (*sort, kind) in reader.keys}
            secrets["less", one, other, *sort] = (terms, many)
    for at, document in enumerate(documents):
        for letter, sessions in parts_of(document):
            times = Counter(who for who, session in present if session in sessions)
            done = sum(many >= 0.75 * len(sessions) for many in times.values())
            place = reader.keys["completers", (letter, sessions)]
            if 1 <= done <= small:
                secrets["completers", letter, sessions] = ({place: 1}, done)
            if 1 <= len(times) - done <= small:
                here = [kind for kind in kinds_of(documents) if kind[0] == letter and kind_in(kind, at)]
                terms = {reader.keys["people", kind]: 1 for kind in here} | {place: -1}
                secrets["others", letter, sessions] = (terms, len(times) - done)
    return secrets


def _labels(document: Document) -> Iterator[tuple[Key, str]]:
    for name, label in document.measures.items():
        if name != "hours":
            yield (name,), label
    for heading, rows in document.columns.items():
        for value, people, completers in rows:
            yield (heading, value, "people"), people
            yield (heading, value, "completers"), completers


def _truth(book: Programme, attended: object, counts: object, document: Document) -> dict[Key, int]:
    """The true counts of a document, counted plainly from the programme."""
    ids = attended.ledger.roll.people  # type: ignore[attr-defined]
    people = {ids[at] for at in counts.people}  # type: ignore[attr-defined]
    completers = {ids[at] for at in counts.completers}  # type: ignore[attr-defined]
    kits = sum(attended.kits.by_session[session] for session in document.sessions)  # type: ignore[attr-defined]
    truth: dict[Key, int] = {
        ("people",): len(people), ("completers",): len(completers),
        ("households",): len(counts.homes), ("contacts",): counts.contacts,  # type: ignore[attr-defined]
        ("kits",): kits,
    }  # fmt: skip
    for heading, rows in document.columns.items():
        of = {m.participant: m.extra.get(heading, "") or "not stated" for m in book.members}
        for value, _, _ in rows:
            truth[heading, value, "people"] = sum(of[who] == value for who in people)
            truth[heading, value, "completers"] = sum(of[who] == value for who in completers)
    return truth


# --- the same for outcomes ---


def outcome_programme(seed: int) -> Programme:
    """One funder, one question of 1 to 5, few who stayed and few who got worse."""
    rng = random.Random(seed)
    changes = [0] * rng.randint(1, 9) + [-1] * rng.randint(0, 2)
    changes += [rng.choice((1, 1, 2)) for _ in range(rng.randint(11, 35))]
    members = [member(f"A-{i}", "A") for i in range(len(changes))]
    before = {who.participant: rng.choice((2, 2, 3)) for who in members}
    after = {who: str(was + by) for (who, was), by in zip(before.items(), changes, strict=True)}
    return programme(
        [group("A", funders=(("F", Fraction(1)),))], members, [session("A1", "A", 10)],
        [mark("A1", who.participant, "P") for who in members], funders=[funder("F")], small=10, report_by=(),
        questions=[question("Q", "scale", lowest=Fraction(1), highest=Fraction(5))],
        surveys=answers("Q", {who: str(answer) for who, answer in before.items()}, after),
    )  # fmt: skip


def found_out_of_outcomes(book: Programme) -> list[str]:
    """Hidden numbers of those who improved, stayed and got worse that are told by the cells of the spreadsheet."""
    plan = plan_people(book, {})
    made = next(document for document in report_documents(book, plan) if "funder-" in document.path)
    sheets = openpyxl.load_workbook(io.BytesIO(xlsx_bytes(made, Paper("A4", Currency("USD"), TERM))), data_only=True)
    if "Scales and numbers" not in sheets.sheetnames:
        return []
    rows = [row for row in _figures(sheets, "Scales and numbers") if isinstance(row[2], int)]
    return [f"{side} of {row[0]}" for row in rows for side in _sides_told(row, plan.funders[0].small_count)]


def _figures(book: openpyxl.Workbook, name: str) -> list[tuple[object, ...]]:
    """Rows of a question's change, each followed by those of its tests; the headings among them."""

    def rows(sheet: str) -> list[tuple[object, ...]]:
        every = list(book[sheet].iter_rows(values_only=True))
        start = next(place for place, row in enumerate(every) if row[0] == "Question")
        width = len([heading for heading in every[start] if heading])
        return [row[:width] for row in every[start:]]

    tests = {row[0]: row[1:] for row in rows(f"{name}, tests")}
    return [(*row, *tests[row[0]]) for row in rows(name) if row[0] in tests]


def _sides_told(row: Sequence[object], small: int) -> list[str]:
    n, change, low, high, effect = (row[at] for at in (2, 6, 7, 8, 9))
    sides = dict(zip(("improved", "same", "worse"), row[13:16], strict=True))
    secret = [side for side, seen in sides.items() if seen == "hidden"]
    if not secret or not isinstance(change, float | int):
        return []
    assert isinstance(n, int)
    steps = range(-4, 5)
    of = {"improved": [s > 0 for s in steps], "same": [s == 0 for s in steps], "worse": [s < 0 for s in steps]}
    seen: dict[str, set[int]] = {side: set() for side in secret}
    for few, goal, sign, total in itertools.product(secret, secret, (1, -1), _sums(float(change), n)):
        squares = _squares(total, n, low, high, effect)
        rows = [np.ones(9), np.array(steps), np.array(steps) ** 2, *(np.array(of[side], float) for side in sides)]
        least = [n, total, squares[0]]
        most = [n, total, squares[1]]
        for side, shown in sides.items():
            least.append(1 if shown == "hidden" else shown)  # type: ignore[arg-type]
            most.append((small if side == few else n) if shown == "hidden" else shown)  # type: ignore[arg-type]
        solved = milp(
            sign * np.array(of[goal], float), constraints=LinearConstraint(np.array(rows), least, most),
            bounds=Bounds(0, n), integrality=np.ones(9),
        )  # fmt: skip
        if solved.x is not None:
            world = np.rint(solved.x)
            for side in secret:
                seen[side].add(round(sum(world[at] for at, inside in enumerate(of[side]) if inside)))
    return [side for side, values in seen.items() if len(values) < 2]


def _sums(change: float, n: int) -> list[int]:
    """Whole sums of changes whose average prints so."""
    half = _half(change)
    return list(range(math.ceil(n * (change - half) - 1e-9), math.floor(n * (change + half) + 1e-9) + 1))


def _squares(total: int, n: int, low: object, high: object, effect: object) -> tuple[float, float]:
    """Between what the sum of the squared changes lies, from the interval and the standardised change."""
    least, most = 0.0, 16.0 * n
    if isinstance(low, float | int) and isinstance(high, float | int):
        wide, half = float(high) - float(low), _half(float(high)) + _half(float(low))
        factor = math.sqrt(n) / (2 * float(student_t.ppf(0.975, n - 1)))
        bounds = [(max(wide + by, 0) * factor) ** 2 * (n - 1) + total * total / n for by in (-half, half)]
        least, most = max(least, bounds[0]), min(most, bounds[1])
    if isinstance(effect, float | int) and total:
        sizes = [abs(float(effect)) + by for by in (_half(float(effect)), -_half(float(effect)))]
        bounds = [(total / n / max(size, 1e-9)) ** 2 * (n - 1) + total * total / n for size in sizes]
        least, most = max(least, bounds[0]), min(most, bounds[1])
    return least - 1e-6, most + 1e-6


def several_outcomes(seed: int) -> Programme:
    """Up to four funders of three groups over quarter, next quarter and both, and a question on a scale or of yes and
    no; a few join late or leave early, a few of one group get worse or answer once."""
    rng = random.Random(seed)
    funders = "FGHI"[: rng.randint(2, 4)]
    paying: dict[str, list[str]] = {name: [] for name in "ABC"}
    for each in funders:
        for name in rng.sample("ABC", rng.randint(1, 3)):
            paying[name].append(each)
    groups = [group(name, funders=tuple((each, Fraction(1, len(of))) for each in of)) for name, of in paying.items()]
    yes_no = rng.random() < 0.3
    members, before, after = [], {}, {}
    for name in "ABC":
        worse = rng.randint(0, 4)
        for number in range(rng.choice((4, 15, 30, 40))):
            who = f"{name}-{number}"
            days = rng.choice((None,) * 8 + ("late", "early"))
            members.append(
                member(who, name, joined=40 if days == "late" else None, left=20 if days == "early" else None)
            )
            was = rng.choice((0, 0, 1)) if yes_no else rng.choice((2, 2, 3))
            by = -1 if number < worse else rng.choice((0, 0, 1, 1, 2))
            before[who] = str(was)
            if rng.random() < 0.9:
                after[who] = str(min(1, max(0, was + by)) if yes_no else min(5, was + by))
    asked = question("Q", "yes-no") if yes_no else question("Q", "scale", lowest=Fraction(1), highest=Fraction(5))
    rows = [funder(name, *rng.choice(((1, 25), (26, 100), (1, 100), (1, 100))), small_count=10) for name in funders]
    sessions = [session(f"{name}1", name, 10) for name in "ABC"]
    return programme(
        groups, members, sessions, funders=rows, small=10, report_by=(), questions=[asked],
        surveys=answers("Q", before, after),
    )  # fmt: skip


ANSWERS = {"scale": [*itertools.product(range(1, 6), repeat=2)], "yes-no": [*itertools.product((0, 1), repeat=2)]}
"""Every pair of answers before and after."""


def found_out_of_several(book: Programme) -> list[str]:
    """What all funders' spreadsheets together tell: numbers that one of them hides, or small ones of the people whom
    some of them count and others do not. The reader is taken to know who are in which of them."""
    plan = plan_people(book, {})
    made = [document for document in report_documents(book, plan) if "funder-" in document.path]
    kind = book.questions[0].kind
    pairs = ANSWERS[kind]
    rows = [outcome_row(xlsx_bytes(document, Paper("A4", Currency("USD"), TERM)), kind) for document in made]
    sheets = [(at, row) for at, row in enumerate(rows) if row is not None]
    where, once = _whom_they_count(book)
    kinds = sorted({of for of in where.values() if of})
    if not sheets or not kinds:
        return []
    place = {(of, pair): at for at, (of, pair) in enumerate(itertools.product(kinds, pairs))}
    alone = {of: len(place) + at for at, of in enumerate(sorted({of for of in once.values() if of}))}
    size = len(place) + len(alone)
    true = np.zeros(size)
    answered = {(row.participant, row.when): int(row.answer) for row in book.surveys}
    for who, of in where.items():
        if of:
            true[place[of, (answered[who, "before"], answered[who, "after"])]] += 1
    for of in once.values():
        if of:
            true[alone[of]] += 1

    def terms(of: Iterable[tuple[int, ...]], weigh: Callable[[int, int], float]) -> "np.ndarray[Any, np.dtype[Any]]":
        row = np.zeros(size)
        chosen = set(of)
        for (kind_of, (was, then)), at in place.items():
            row[at] = weigh(was, then) if kind_of in chosen else 0
        return row

    sums = dict(COUNTED if kind == "scale" else COUNTED | SHARES)
    lines: list[tuple[Any, float, float]] = []
    secrets: dict[str, Any] = {}
    for at, row in sheets:
        mine = [of for of in kinds if at in of]
        lines += printed(row, lambda weigh, of=mine: terms(of, weigh), kind)  # type: ignore[misc]
        if row["Unmatched"] == "hidden":
            secrets[f"{at} unmatched"] = sum((np.eye(size)[p] for of, p in alone.items() if at in of), np.zeros(size))
        else:
            row_of = sum((np.eye(size)[p] for of, p in alone.items() if at in of), np.zeros(size))
            lines.append((row_of, row["Unmatched"], row["Unmatched"]))
        for name, weigh in COUNTED.items():
            if row[name] == "hidden":
                secrets[f"{at} {name}"] = terms(mine, weigh)
    for of in kinds:
        secrets[f"{of} pairs"] = terms([of], lambda *_: 1)
        secrets |= {f"{of} {name}": terms([of], weigh) for name, weigh in sums.items()}
    for one, other in itertools.permutations(range(len(rows)), 2):
        rest = [of for of in kinds if one in of and other not in of]
        secrets[f"{one} less {other} pairs"] = terms(rest, lambda *_: 1)
        secrets |= {f"{one} less {other} {name}": terms(rest, weigh) for name, weigh in sums.items()}
    for of, p in alone.items():
        secrets[f"{of} unmatched"] = np.eye(size)[p]
    secrets = {
        name: row
        for name, row in secrets.items()
        if 1 <= row @ true <= 10 or (name.split()[0].isdigit() and "less" not in name and row @ true)
    }
    return _pinned(lines, secrets, true)


def _whom_they_count(book: Programme) -> tuple[dict[str, tuple[int, ...]], dict[str, tuple[int, ...]]]:
    """By person who answered twice, and by person who answered once: the documents that count them."""
    times = Counter(row.participant for row in book.surveys)
    where: dict[str, tuple[int, ...]] = {}
    once: dict[str, tuple[int, ...]] = {}
    for who in book.members:
        of = tuple(
            at
            for at, row in enumerate(book.funders)
            if row.funder in dict(book.groups[who.group].funders)
            and any(who.active_on(row.start + dt.timedelta(days=by)) for by in range((row.end - row.start).days + 1))
        )
        (where if times[who.participant] == 2 else once)[who.participant] = of
    return where, once


COUNTED: dict[str, Callable[[int, int], float]] = {
    "Improved": lambda was, then: then > was,
    "Same": lambda was, then: then == was,
    "Worse": lambda was, then: then < was,
}
SHARES: dict[str, Callable[[int, int], float]] = {
    "Yes before": lambda was, _: was,
    "No before": lambda was, _: 1 - was,
    "Yes after": lambda _, then: then,
    "No after": lambda _, then: 1 - then,
}


def outcome_row(book: bytes, kind: str) -> dict[str, Any] | None:
    """The one question's figures, by heading; nothing where the document does not tell it."""
    sheets = openpyxl.load_workbook(io.BytesIO(book), data_only=True)
    name = "Scales and numbers" if kind == "scale" else "Yes and no"
    if name not in sheets.sheetnames:
        return None
    headings, *rows = _figures(sheets, name)
    found = [dict(zip(headings, row, strict=True)) for row in rows if row[0] == "Q"]
    return found[0] if found else None


def printed(
    row: Mapping[str, Any], sum_of: Callable[[Callable[[int, int], float]], Any], kind: str
) -> list[tuple[Any, float, float]]:
    """What one document's figures say: sums of people, each with its least and greatest."""
    n = row["Pairs"]
    lines = [(sum_of(lambda *_: 1), n, n)]
    hidden = [name for name in COUNTED if row[name] == "hidden"]
    for name, weigh in COUNTED.items():
        least = 1 if kind == "scale" and len(hidden) < 3 else 0  # all three together are hidden whatever they are
        lines.append((sum_of(weigh), *((least, n) if name in hidden else (row[name], row[name]))))
    if kind == "yes-no":
        for name in ("Yes before", "Yes after"):
            if row[name] != "hidden":
                yes = round(row[name] * n)
                lines.append((sum_of(SHARES[name]), yes, yes))
        return lines
    means: dict[str, Callable[[int, int], float]] = {
        "Before": lambda was, _: was, "After": lambda _, then: then, "Change": lambda was, then: then - was,
    }  # fmt: skip
    for name, weigh in means.items():
        if row[name] != "hidden":
            half = _half(row[name])
            lines.append((sum_of(weigh), n * (row[name] - half) - 1e-6, n * (row[name] + half) + 1e-6))
    if isinstance(row["95% interval from"], float | int) and row["Change"] != "hidden":
        bounds = [
            _squares(total, n, *(row[name] for name in ("95% interval from", "95% interval to", "Standardised change")))
            for total in _sums(row["Change"], n)
        ]
        least, most = min(each[0] for each in bounds), max(each[1] for each in bounds)
        lines.append((sum_of(lambda was, then: (then - was) ** 2), least, most))
    return lines


def _pinned(lines: Sequence[tuple[Any, float, float]], secrets: Mapping[str, Any], true: Any) -> list[str]:
    """Secrets that nothing but the truth agrees with."""
    matrix = np.array([row for row, _, _ in lines])
    limits = LinearConstraint(matrix, [low for _, low, _ in lines], [high for _, _, high in lines])
    assert np.all(matrix @ true >= limits.lb - 1e-6)
    assert np.all(matrix @ true <= limits.ub + 1e-6)
    seen = {name: {round(float(row @ true))} for name, row in secrets.items()}
    for name, row in secrets.items():
        for sign in (1, -1):
            if len(seen[name]) > 1:
                break
            solved = milp(sign * row, constraints=limits, bounds=Bounds(0, 200), integrality=np.ones(len(true)))
            assert solved.x is not None
            world = np.rint(solved.x)
            for other, its in secrets.items():
                seen[other].add(round(float(its @ world)))
    return [name for name, values in seen.items() if len(values) < 2]


def _half(value: float) -> float:
    """Half of the last digit that is printed, or of the last that the cell holds."""
    places = 3 if abs(value) < 1 else 2 if abs(value) < 100 else 1
    return 0.5 * 10**-places if round(value, places) == value else 1e-9


@pytest.mark.parametrize("seed", range(25))
def test_no_outcome_tells_a_hidden_count(seed: int) -> None:
    assert found_out_of_outcomes(outcome_programme(seed)) == []


@pytest.mark.parametrize("seed", [*range(25), 159])  # one document's sums and another's sides, together only
def test_no_outcomes_of_several_funders_tell_a_hidden_count(seed: int) -> None:
    assert found_out_of_several(several_outcomes(seed)) == []


@pytest.mark.parametrize("seed", range(30))
def test_nothing_hidden_is_found_out(seed: int) -> None:
    assert attack(random_programme(seed)) == []


@pytest.mark.parametrize("seed", [*range(25), 169])  # contacts of both quarters together bound the people of each
def test_nothing_is_found_out_from_funders_of_the_same_groups(seed: int) -> None:
    assert attack(linked_programme(seed)) == []


def test_the_attack_finds_what_is_not_hidden_well() -> None:
    """25, 4, 31, total 60 with only the 4 hidden; and a part that lacks three people of its whole."""
    plain = {"hours": "150", "households": "20", "contacts": "150", "completers": "0", "kits": "0"}
    ages = [("x", "25", "0"), ("y", "1–10", "0"), ("z", "31", "0")]
    one = Document(10, Fraction(3, 4), frozenset("abcd"), plain | {"people": "60"}, {"Age band": ages})
    reader = Reader([one])
    place = reader.keys[0, "Age band", "y", "people"]
    assert reader.found_out({("y",): ({place: 1}, 4)}) == [("y",)]
    part = Document(10, Fraction(3, 4), frozenset("abc"), plain | {"people": "57"}, {})
    both = Reader([part, one])
    rest = {both.keys[1, "people"]: 1, both.keys[0, "people"]: -1}
    assert both.found_out({("rest",): (rest, 3)}) == [("rest",)]


if __name__ == "__main__":
    outcome: Counter[bool] = Counter()
    for seed in range(int(sys.argv[1]) if len(sys.argv) > 1 else 200):
        for kind in (random_programme, linked_programme):
            found = attack(kind(seed))
            outcome[not found] += 1
            if found:
                print(f"{kind.__name__} {seed}: {found}", flush=True)
        for look, kind in ((found_out_of_outcomes, outcome_programme), (found_out_of_several, several_outcomes)):
            found = look(kind(seed))
            outcome[not found] += 1
            if found:
                print(f"{kind.__name__} {seed}: {found}", flush=True)
    print(f"{outcome.total()} random programmes attacked, {outcome[False]} of them told something that is hidden")
    sys.exit(bool(outcome[False]))
