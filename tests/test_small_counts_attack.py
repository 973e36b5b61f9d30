"""A reader with nothing but the funders' spreadsheets and pages tries to work out what they hide.

The reader knows how such reports are made: what adds up to what, that `1–10` lies from 1 to 10 and that `hidden` beside
it lies above, which sessions each document counts, and so whose people are part of whose. An integer programme looks
for another set of counts that agrees with all that is printed; where there is none for a hidden count, it is found out.

`python tests/test_small_counts_attack.py` attacks 200 random programmes (about a minute); the suite takes some of them.
"""

import io
import itertools
import math
import random
import sys
from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from html.parser import HTMLParser
from pathlib import Path

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
}
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
        meetings = [session(f"{name}{i}", name, 10 * i) for i in range(1, rng.randint(3, 6))]
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
        meetings = [session(f"{name}{i}", name, 10 * i) for i in range(1, 5)]
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
    sessions: frozenset[str]
    measures: dict[str, str]
    columns: dict[str, list[tuple[str, str, str]]]
    target: str = ""
    outcomes: list[list[str]] = field(default_factory=list)


class _Tables(HTMLParser):
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


def read_page(page: bytes, small: int) -> Document:
    """A page, read by its tables."""
    parser = _Tables()
    parser.feed(page.decode("utf-8"))
    tables = parser.tables
    columns = {}
    for heading in COLUMNS:
        rows = [row for row in tables.get(f"People by {heading.casefold()}", [])[1:] if len(row) == 3]
        if rows:
            columns[heading] = [(row[0], row[1], row[2]) for row in rows if row[0] != "All"]
    measures = {MEASURES[row[0]]: row[2] for row in tables["Promised and delivered"] if row[0] in MEASURES}
    sessions = frozenset(row[1] for row in tables["Sessions delivered"][1:] if len(row) == 5)
    return Document(small, sessions, measures, columns)


def read_spreadsheet(book: bytes, small: int) -> Document:
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
    return Document(small, sessions, measures, columns)


# --- the attack ---


class Reader:
    """All counts behind some documents as whole numbers, what is printed of them as bounds, sums as equations."""

    def __init__(self, documents: Sequence[Document], needed: Sequence[int]) -> None:
        self.keys: dict[Key, int] = {}
        self.low: list[float] = []
        self.high: list[float] = []
        self.rows: list[tuple[dict[int, int], float, float]] = []
        for at, (document, least) in enumerate(zip(documents, needed, strict=True)):
            self._one(at, document, least)
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

    def _one(self, at: int, document: Document, needed: int) -> None:
        small, head = document.small, document.measures
        differ = f"1–{small}" in (head["people"], head["completers"])
        people = self._count((at, "people"), head["people"], small, differ=differ)
        completers = self._count((at, "completers"), head["completers"], small, differ=differ)
        households = self._count((at, "households"), head["households"], small, differ=False)
        contacts = self._count((at, "contacts"), head["contacts"], small, differ=False)
        self._count((at, "kits"), head["kits"], small, differ=False)
        self.equation({people: 1, completers: -1}, 0, np.inf)
        self.equation({people: 1, households: -1}, 0, np.inf)
        self.equation({contacts: 1, people: -1, completers: -(needed - 1)}, 0, np.inf)
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
        """All documents as sums of what none of them divides: kits and contacts of sessions in the same documents;
        people and households of a group by the documents that they are seen in; completers of a group's sessions."""
        for name in ("contacts", "kits"):
            for at in range(len(documents)):
                cells = {self.unknown((name, cell)): -1 for cell in cells_of(documents) if at in cell}
                self.equation({self.keys[at, name]: 1} | cells)
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

    def unknown(self, key: Key) -> int:
        if key not in self.keys:
            self.keys[key] = len(self.low)
            self.low.append(0)
            self.high.append(10_000)
        return self.keys[key]

    def found_out(self, secrets: Mapping[Key, tuple[dict[int, int], int]]) -> list[Key]:
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
                solved = milp(cost, constraints=sums, bounds=bounds, integrality=np.ones(len(self.low)))
                assert solved.x is not None, "the documents contradict one another"
                world = np.rint(solved.x)
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


def cells_of(documents: Sequence[Document]) -> list[tuple[int, ...]]:
    sessions = sorted({session for document in documents for session in document.sessions})
    return sorted({seen_in(documents, session) for session in sessions})


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
    for document, report in zip(made, plan.funders, strict=True):
        page, workbook = html_bytes(document, paper), xlsx_bytes(document, paper)
        assert not any(f">{code}<" in page.decode("utf-8") for code in codes)
        pages.append(read_page(page, report.small_count))
        sheets.append(read_spreadsheet(workbook, report.small_count))
    for page_read, sheet_read in zip(pages, sheets, strict=True):
        assert page_read == sheet_read
    told = [name for at in range(len(pages)) for name in _found_out(book, pages, [at])]
    return told + (_found_out(book, pages, range(len(pages))) if len(pages) > 1 else [])


def _found_out(book: Programme, documents: Sequence[Document], chosen: Sequence[int]) -> list[str]:
    attended = attend(book, lambda _: 0)
    counts = []
    for at in chosen:
        row = book.funders[at]
        names = {each.group for each in book.groups.values() if row.funder in dict(each.funders)}
        counts.append(count(attended.ledger, book.settings.completion, names, (row.start, row.end)))
    some = [documents[at] for at in chosen]
    reader = Reader(some, [each.least_presents for each in counts])
    if len(some) > 1:
        reader.together(some)
    secrets: dict[Key, tuple[dict[int, int], int]] = {}
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
    if len(some) > 1:
        secrets |= _shared(book, attended, reader, some)
    return [f"{chosen}: {key}" for key in reader.found_out(secrets)]


def _shared(
    book: Programme, attended: object, reader: Reader, documents: Sequence[Document]
) -> dict[Key, tuple[dict[int, int], int]]:
    """Small numbers of those whom some documents count and others do not."""
    small = min(document.small for document in documents)
    kinds: Counter[Key] = Counter()
    homes: dict[str, set[tuple[int, ...]]] = {}
    present = {(row.participant, row.session) for row in book.attendance if row.mark and row.mark.mark == "present"}
    home_of = {row.participant: row.household for row in book.members}
    for who, house in home_of.items():
        cells = {cell for name, session in present if name == who and (cell := seen_in(documents, session))}
        homes.setdefault(house, set()).update(cells)
        if cells:
            kinds["people", kind_of(documents, who[0], cells)] += 1
    for house, cells in homes.items():
        if cells:
            kinds["households", kind_of(documents, house[2], cells)] += 1
    for row in book.sessions.values():
        if cell := seen_in(documents, row.session):
            kinds["contacts", cell] += sum(session == row.session for _, session in present)
            kinds["kits", cell] += attended.kits.by_session[row.session]  # type: ignore[attr-defined]
    secrets = {key: ({reader.keys[key]: 1}, many) for key, many in kinds.items() if 1 <= many <= small}
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
    rows = [row for row in sheets["Scales and numbers"].iter_rows(values_only=True) if isinstance(row[2], int)]
    return [f"{side} of {row[0]}" for row in rows for side in _sides_told(row, plan.funders[0].small_count)]


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


def _half(value: float) -> float:
    """Half of the last digit that is printed, or of the last that the cell holds."""
    places = 3 if abs(value) < 1 else 2 if abs(value) < 100 else 1
    return 0.5 * 10**-places if round(value, places) == value else 1e-9


@pytest.mark.parametrize("seed", range(25))
def test_no_outcome_tells_a_hidden_count(seed: int) -> None:
    assert found_out_of_outcomes(outcome_programme(seed)) == []


@pytest.mark.parametrize("seed", range(30))
def test_nothing_hidden_is_found_out(seed: int) -> None:
    assert attack(random_programme(seed)) == []


@pytest.mark.parametrize("seed", range(25))
def test_nothing_is_found_out_from_funders_of_the_same_groups(seed: int) -> None:
    assert attack(linked_programme(seed)) == []


def test_the_attack_finds_what_is_not_hidden_well() -> None:
    """25, 4, 31, total 60 with only the 4 hidden; and a part that lacks three people of its whole."""
    plain = {"households": "20", "contacts": "150", "completers": "0", "kits": "0"}
    ages = [("x", "25", "0"), ("y", "1–10", "0"), ("z", "31", "0")]
    one = Document(10, frozenset("abcd"), plain | {"people": "60"}, {"Age band": ages})
    reader = Reader([one], [2])
    place = reader.keys[0, "Age band", "y", "people"]
    assert reader.found_out({("y",): ({place: 1}, 4)}) == [("y",)]
    part = Document(10, frozenset("abc"), plain | {"people": "57"}, {})
    both = Reader([part, one], [2, 2])
    rest = {both.keys[1, "people"]: 1, both.keys[0, "people"]: -1}
    assert both.found_out({("rest",): (rest, 3)}) == [("rest",)]


if __name__ == "__main__":
    outcome: Counter[bool] = Counter()
    for seed in range(int(sys.argv[1]) if len(sys.argv) > 1 else 200):
        for kind in (random_programme, linked_programme):
            found = attack(kind(seed))
            outcome[not found] += 1
            if found:
                print(f"{kind.__name__} {seed}: {found}")
        if found := found_out_of_outcomes(outcome_programme(seed)):
            outcome[False] += 1
            print(f"outcomes {seed}: {found}")
    print(f"{outcome.total()} random programmes attacked, {outcome[False]} of them told something that is hidden")
    sys.exit(bool(outcome[False]))
