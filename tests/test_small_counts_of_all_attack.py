"""A reader with every funder's page of several workbooks, those of all workbooks and the attendance of all tries to
work out what any of them hides.

Workbook by workbook it is the reader of `test_small_counts_attack`, who has the attendance of the workbook as one more
document; what all workbooks add up to ties these readers together. Nobody is in two workbooks there, and the reader
knows it. People in several workbooks, and the outcomes of all, are attacked apart.

`python tests/test_small_counts_of_all_attack.py` attacks 200 random runs of each sort; the suite takes some of them.
"""

import itertools
import random
import re
import sys
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import replace
from fractions import Fraction
from pathlib import Path
from typing import Any

import numpy as np
import pytest
from scipy.optimize import Bounds, LinearConstraint, milp

if __name__ == "__main__":
    sys.path.insert(0, str(Path(__file__).resolve().parent))

from plan.people_support import TERM, answers, funder, group, mark, member, pick_up, programme, question, session
from test_small_counts_attack import (
    ANSWERS,
    COUNTED,
    MINUTES,
    Document,
    Reader,
    Secrets,
    Tables,
    linked_programme,
    outcome_row,
    printed,
    random_programme,
    read_page,
    secrets_of,
)

from opsreport.money import Currency
from opsreport.plan.people import funders_of_all, outcomes_of_all, sites, sums_of_all, who_is_who
from opsreport.plan.people.sites import site_of
from opsreport.plan.people_plan import plan_people
from opsreport.programme import Programme
from opsreport.tables.reports import report_documents
from opsreport.tables.several import Told, documents_of_all
from opsreport.tables.table import Paper, Table
from opsreport.write.html_page import html_bytes
from opsreport.write.xlsx import xlsx_bytes

PAPER = Paper("A4", Currency("USD"), TERM)
OWN = ("sessions", "people", "households", "contacts", "hours", "kits", "completers", "completion")
"""Columns of what was delivered, after the workbook."""
ATTENDED = ("planned", "sessions", "people", "households", "contacts", "hours", "kits", "completers", "completion")
ADDED = ("people", "households", "contacts", "kits", "completers")
NUMBER = re.compile(r"[\d,]+")
Line = Mapping[str, str]
Sort = tuple[tuple[int, ...], tuple[int, ...]]
"""The workbooks that somebody came to, and those that they completed."""


# --- random runs ---


def alike_sites(seed: int) -> list[Programme]:
    """Two to five workbooks with a small group each, or two, of one or two funders that share no session; few of them
    complete, or few do not."""
    rng = random.Random(seed)
    books = []
    funders = "FG"[: rng.randint(1, 2)]
    held = rng.randint(2, 4)
    for number in range(rng.randint(2, 5)):
        groups, sessions, members, marks, kits = [], [], [], [], []
        for name in "ABC"[: rng.randint(1, 3)]:
            paying = rng.choice((*funders, "")) if name != "A" else funders[0]
            groups.append(group(name, funders=((paying, Fraction(1)),) if paying else ()))
            meetings = [session(f"{name}{i}", name, 10 * i, minutes=MINUTES[name]) for i in range(1, held + 1)]
            sessions += meetings
            often = rng.choice((0.35, 0.7, 0.95))
            for one in range(rng.choice((2, 4, 6, 8, 9, 12, 25, 40))):
                who = f"{name}-{number}-{one}"
                members.append(
                    member(who, name, f"H-{name}-{one // rng.choice((1, 1, 2))}", town=rng.choice(("Ash", "Oak")))
                )
                marks += [mark(each.session, who, "P" if rng.random() < often else "A") for each in meetings]
            kits += [
                pick_up(each.session, f"K{i}", "collected") for each in meetings for i in range(rng.randint(0, 12))
            ]
        columns = rng.choice(((), ("Town",)))
        rows = [funder(name, small_count=rng.choice((None, None, 4))) for name in funders]
        books.append(
            programme(groups, members, sessions, marks, funders=rows, small=10, report_by=columns, pick_ups=kits)
        )
    return books


def nearly_alike(seed: int) -> list[Programme]:
    """Three to five workbooks with a small group that two funders share, but for the last, which has one of them."""
    rng = random.Random(seed)
    books = []
    count = rng.randint(3, 5)
    for number in range(count):
        paying = "FG" if number < count - 1 else "G"
        meetings = [session(f"A{i}", "A", i) for i in range(1, 4)]
        people = [member(f"A-{number}-{one}", "A", f"H-A-{one}") for one in range(rng.randint(2, 9))]
        came = [mark(each.session, who.participant, rng.choice("PPA")) for who in people for each in meetings]
        shares = tuple((each, Fraction(1, len(paying))) for each in paying)
        rows = [funder(each) for each in paying]
        books.append(
            programme([group("A", funders=shares)], people, meetings, came, funders=rows, small=10, report_by=())
        )
    return books


def mixed_sites(seed: int) -> list[Programme]:
    """Two or three workbooks with several funders each, whose periods and groups overlap in all manner of ways."""
    kind = (random_programme, linked_programme)[seed % 2]
    return [kind(1000 * seed + number) for number in range(2 + seed % 3 // 2)]


# --- what a reader has in hand ---


def told_of(books: Sequence[Programme]) -> list[Told]:
    """What each workbook of a run hands over."""
    return [
        Told(f"{number}.xlsx", f"w{number}", 0, site=site_of(f"w{number}", book, plan_people(book, {})))
        for number, book in enumerate(books)
    ]


def pages_of_all(told: Sequence[Told]) -> tuple[dict[str, dict[str, Line]], dict[str, Line]]:
    """By funder: the lines of its page of all workbooks, by workbook and `""` for all of them; and those of the
    attendance of all."""
    funders, attendance = {}, {}
    for document in documents_of_all(told, ""):
        page = Tables()
        page.feed(html_bytes(document, PAPER).decode("utf-8"))
        if document.path == "attendance":
            attendance = _lines(page.tables["Attendance of each workbook and together"], ATTENDED)
        else:
            funders[document.reader] = _lines(page.tables["What was delivered"], OWN)
    return funders, attendance


def _lines(rows: Sequence[Sequence[str]], columns: Sequence[str]) -> dict[str, Line]:
    found = {row[0]: dict(zip(columns, row[1:], strict=True)) for row in rows[1:] if len(row) == len(columns) + 1}
    return {"" if name.startswith("Together") else name: line for name, line in found.items()}


def own_pages(book: Programme) -> list[Document]:
    documents = report_documents(book, plan_people(book, {}))
    return [read_page(html_bytes(each, PAPER)) for each in documents if "funder-" in each.path]


# --- the attack ---


class Everybody(Reader):
    """The readers of all workbooks as one."""

    def __init__(self) -> None:
        super().__init__([])

    def take(self, reader: Reader, name: str) -> int:
        """Join one of them; the place from which its unknowns stand."""
        start = len(self.low)
        self.low += reader.low
        self.high += reader.high
        self.rows += [({start + at: by for at, by in terms.items()}, low, high) for terms, low, high in reader.rows]
        self.keys |= {(name, *key): start + at for key, at in reader.keys.items()}
        return start


def attack(books: Sequence[Programme]) -> list[str]:
    """What is found out of any workbook from all pages of the run."""
    told = told_of(books)
    funders, attendance = pages_of_all(told)
    everybody, secrets = Everybody(), {}
    for book, each in zip(books, told, strict=True):
        documents = own_pages(book)
        for row, document in zip(book.funders, documents, strict=True):
            if row.funder in funders:
                line = funders[row.funder][each.name]
                assert all(document.measures[name] == line[name] for name in (*ADDED, "hours"))
        whole = _whole(book, attendance[each.name]) if attendance else None
        if whole is not None:
            documents.append(whole)
        reader = Reader(documents)
        for name, label in (whole.measures if whole else {}).items():
            if label == "hidden" and (key := (len(book.funders), name)) in reader.keys:
                reader.low[reader.keys[key]] = 0  # hidden whatever it is
        reader.together(documents)
        chosen = range(len(documents))
        its = secrets_of(book, reader, documents, chosen, shared=True)
        start, least = everybody.take(reader, each.name), min(document.small for document in documents)
        secrets |= {
            (each.name, *key): ({start + at: by for at, by in terms.items()}, true)
            for key, (terms, true) in its.items()
            if len(book.funders) not in key[:2] or 1 <= true <= least  # what no document calls small may follow
        }
    for name, lines in funders.items():
        _add_up(everybody, secrets, lines[""], [
            (each.name, at) for book, each in zip(books, told, strict=True)
            for at, row in enumerate(book.funders) if row.funder == name
        ])  # fmt: skip
    if attendance:
        of_all = {name: attendance[""][name] if _all_show(attendance, name) else "of some only" for name in ADDED}
        _add_up(everybody, secrets, of_all, [(t.name, len(b.funders)) for b, t in zip(books, told, strict=True)])
    return [str(key) for key in everybody.found_out(secrets)]


def _all_show(attendance: Mapping[str, Line], name: str) -> bool:
    """Whether a figure of all is of all workbooks; else whoever adds up those that show theirs has it."""
    return all(NUMBER.fullmatch(line[name]) for site, line in attendance.items() if re.fullmatch(r"w\d", site))


def _whole(book: Programme, line: Line) -> Document:
    """A workbook's line of the attendance of all, as a document that counts all of its sessions."""
    sessions = frozenset(book.sessions)
    share = book.settings.completion.of_all
    assert share is not None
    return Document(book.settings.small_count, share, sessions, {name: line[name] for name in (*ADDED, "hours")}, {})


def _add_up(everybody: Everybody, secrets: Secrets, of_all: Line, documents: Sequence[tuple[str, int]]) -> None:
    """A figure of all is the sum of those of some documents; a small one is told. Small sums of hidden ones are secret
    as well."""
    for name in ADDED:
        terms = {everybody.keys[(*document, name)]: 1 for document in documents}
        hidden = {at: 1 for at in terms if everybody.low[at] != everybody.high[at]}
        if not NUMBER.fullmatch(of_all[name]):
            continue
        number = int(of_all[name].replace(",", ""))
        if 1 <= number <= 4:
            secrets["all", name, *documents] = (terms, number)
        everybody.equation(terms, number, number)
        shown = sum(everybody.low[at] for at in terms if at not in hidden)
        if hidden and 1 <= (rest := round(number - shown)) <= 4:
            secrets["rest", name, *documents] = (hidden, rest)


# --- people in several workbooks ---


def shared_sites(seed: int) -> list[Programme]:
    """Two or three workbooks of one funder with many people, of whom some are in several."""
    rng = random.Random(seed)
    count = rng.randint(2, 3)
    places = [of for many in range(1, count + 1) for of in itertools.combinations(range(count), many)]
    grids: list[list[tuple[str, str]]] = [[] for _ in range(count)]
    number = 0
    for of in places:
        for _ in range(rng.choice((0, 0, 3, 12, 20)) if len(of) > 1 else rng.choice((4, 15, 30, 60))):
            number += 1
            for at in of:
                grids[at].append((f"p{number}", "PPPP" if rng.random() < 0.6 else "PAAA"))
    books = []
    for grid in grids:
        sessions = [session(f"A{i}", "A", i) for i in range(1, 5)]
        members = [member(who, "A", f"h-{who}") for who, _ in grid]
        seen = [mark(s.session, who, letter) for who, row in grid for s, letter in zip(sessions, row, strict=True)]
        books.append(
            programme([group("A", funders=(("F", Fraction(1)),))], members, sessions, seen, funders=[funder("F")],
                      small=10, report_by=(), programme="Kitchens")
        )  # fmt: skip
    return books


def found_out_of_shared(books: Sequence[Programme]) -> list[str]:
    """Small numbers of people who are in the same workbooks, or in several, or not in one of them; and of completers
    and others in all. The reader knows of nobody in which workbooks they are."""
    told = told_of(books)
    funders, attendance = pages_of_all(told)
    size = len(books)
    sorts = [
        (seen, done)
        for many in range(1, size + 1)
        for seen in itertools.combinations(range(size), many)
        for some in range(many + 1)
        for done in itertools.combinations(seen, some)
    ]
    people: dict[str, tuple[set[int], set[int]]] = {}
    for at, book in enumerate(books):
        came = Counter(row.participant for row in book.attendance if row.mark and row.mark.mark == "present")
        for who, times in came.items():
            seen, done = people.setdefault(who, (set(), set()))
            seen.add(at)
            if times >= 3:
                done.add(at)
    true = Counter((tuple(sorted(seen)), tuple(sorted(done))) for seen, done in people.values())
    truth = np.array([true[sort] for sort in sorts])

    def row(chosen: Callable[[Sort], bool]) -> "np.ndarray[Any, np.dtype[Any]]":
        return np.array([float(chosen(sort)) for sort in sorts])

    lines, low, high = [], [], []
    for lines_of, some in ((funders["F"], False), (attendance, True)):
        for of, measure in enumerate(("people", "completers")):
            shown = {at for at in range(size) if not some or NUMBER.fullmatch(lines_of[f"w{at}"][measure])}
            for places, name in [*(({at}, f"w{at}") for at in range(size)), (shown, "")]:
                label = lines_of[name][measure]
                lines.append(row(lambda sort, of=of, places=places: not places.isdisjoint(sort[of])))  # type: ignore[misc]
                exact = float(label.replace(",", "")) if NUMBER.fullmatch(label) else None
                few = label == "1–10"
                low.append(float(few) if exact is None else exact)
                high.append((10.0 if few else np.inf) if exact is None else exact)
    secrets = {f"in {seen}": row(lambda sort, seen=seen: sort[0] == seen)  # type: ignore[misc]
               for seen in {sort[0] for sort in sorts}}  # fmt: skip
    secrets["in several"] = row(lambda sort: len(sort[0]) > 1)
    secrets["completers"] = row(lambda sort: bool(sort[1]))
    secrets["others"] = row(lambda sort: not sort[1])
    secrets |= {f"not in {at}": row(lambda sort, at=at: at not in sort[0]) for at in range(size)}  # type: ignore[misc]
    secrets |= {f"others of {at}": row(lambda sort, at=at: at in sort[0] and at not in sort[1]) for at in range(size)}  # type: ignore[misc]
    secrets = {name: terms for name, terms in secrets.items() if 1 <= terms @ truth <= 10}
    return pinned(np.array(lines), low, high, secrets, truth)


def pinned(
    lines: Any, low: Sequence[float], high: Sequence[float], secrets: Mapping[str, Any], truth: Any
) -> list[str]:
    """Secrets that nothing but the truth agrees with."""
    assert np.all(lines @ truth >= np.array(low) - 1e-6)
    assert np.all(lines @ truth <= np.array(high) + 1e-6)
    found = []
    for name, terms in secrets.items():
        values = {round(float(terms @ truth))}
        for sign in (1, -1):
            solved = milp(
                sign * terms, constraints=LinearConstraint(lines, low, high), bounds=Bounds(0, 500),
                integrality=np.ones(len(truth)),
            )  # fmt: skip
            assert solved.x is not None
            values.add(round(float(terms @ np.rint(solved.x))))
        if len(values) < 2:
            found.append(name)
    return found


# --- outcomes of all ---


def answering_sites(seed: int) -> list[Programme]:
    """Two to five workbooks of one funder with a question each, of a scale or of yes and no: in some many answer, in
    some few."""
    rng = random.Random(seed)
    yes_no = rng.random() < 0.3
    asked = question("Q", "yes-no") if yes_no else question("Q", "scale", lowest=Fraction(1), highest=Fraction(5))
    books = []
    for number in range(rng.randint(2, 5)):
        before, after = {}, {}
        worse = rng.randint(0, 3)
        for one in range(rng.choice((2, 5, 8, 10, 10, 16, 30))):
            was = rng.choice((0, 0, 1)) if yes_no else rng.choice((2, 2, 3))
            by = -1 if one < worse else rng.choice((0, 1, 1, 2))
            before[f"A-{number}-{one}"] = str(was)
            if rng.random() < 0.95:
                after[f"A-{number}-{one}"] = str(min(1, max(0, was + by)) if yes_no else was + by)
        books.append(
            programme(
                [group("A", funders=(("F", Fraction(1)),))], [member(who, "A") for who in before],
                [session("A1", "A", 10)], [mark("A1", who, "P") for who in before], funders=[funder("F")], small=10,
                report_by=(), questions=[asked], surveys=answers("Q", before, after),
            )
        )  # fmt: skip
    return books


def found_out_of_answers(books: Sequence[Programme]) -> list[str]:
    """Hidden or small numbers of a workbook's people who improved, stayed or got worse, or answered at all."""
    told = told_of(books)
    of_all = next(document for document in documents_of_all(told, "") if document.path != "attendance")
    kind = books[0].questions[0].kind
    pairs = ANSWERS[kind]
    place = {(at, pair): number for number, (at, pair) in enumerate(itertools.product(range(len(books)), pairs))}
    truth = np.zeros(len(place))
    for at, book in enumerate(books):
        answered = {(row.participant, row.when): int(row.answer) for row in book.surveys}
        for who in {who for who, when in answered if when == "after"}:
            truth[place[at, (answered[who, "before"], answered[who, "after"])]] += 1

    def terms(of: Iterable[int], weigh: Callable[[int, int], float]) -> Any:
        row = np.zeros(len(place))
        for at, pair in itertools.product(of, pairs):
            row[place[at, pair]] = weigh(*pair)
        return row

    lines: list[tuple[Any, float, float]] = []
    secrets: dict[str, Any] = {}
    inside = []
    for at, book in enumerate(books):
        document = next(d for d in report_documents(book, plan_people(book, {})) if "funder-" in d.path)
        row = outcome_row(xlsx_bytes(document, PAPER), kind)
        if row is None:
            lines.append((terms([at], lambda *_: 1), 0, 10))
            secrets |= {f"{at} {side}": terms([at], weigh) for side, weigh in COUNTED.items()}
            secrets[f"{at} pairs"] = terms([at], lambda *_: 1)
            continue
        lines += printed(row, lambda weigh, at=at: terms([at], weigh), kind)  # type: ignore[misc]
        secrets |= {f"{at} {side}": terms([at], w) for side, w in COUNTED.items() if row[side] == "hidden"}
        inside += [at] * (row["Change" if kind == "scale" else "Yes after"] != "hidden")
    row = outcome_row(xlsx_bytes(of_all, PAPER), kind)
    if row is not None:
        put = next(
            str(part.rows[0].cells[1]) for part in of_all.parts if isinstance(part, Table) and part.sheet == "Questions"
        )
        many, asked = (int(number) for number in re.findall(r"\d+", put))
        inside = list(range(len(books))) if many == asked else inside
        assert len(inside) == many or many == len(inside) + sum(f"{at} pairs" in secrets for at in range(len(books)))
        if len(inside) < many:
            inside += [at for at in range(len(books)) if f"{at} pairs" in secrets]
        lines += printed(row, lambda weigh: terms(inside, weigh), kind)
        rest = [at for at in inside if f"{at} pairs" in secrets]
        secrets |= {f"all {side}": terms(inside, weigh) for side, weigh in COUNTED.items()}
        secrets |= {f"rest {side}": terms(rest, weigh) for side, weigh in COUNTED.items() if rest}
    matrix, low, high = (list(each) for each in zip(*lines, strict=True))
    few = {name: of for name, of in secrets.items() if of @ truth and (name[0].isdigit() or of @ truth <= 10)}
    return pinned(np.array(matrix), low, high, few, truth)


@pytest.mark.parametrize("seed", range(40))
def test_no_outcome_of_all_tells_what_a_workbook_hides(seed: int) -> None:
    assert found_out_of_answers(answering_sites(seed)) == []


@pytest.mark.parametrize("seed", range(25))
def test_nothing_hidden_follows_from_workbooks_alike(seed: int) -> None:
    assert attack(alike_sites(seed)) == []


@pytest.mark.parametrize("seed", range(10))
def test_nothing_hidden_follows_where_one_workbook_has_one_funder_less(seed: int) -> None:
    assert attack(nearly_alike(seed)) == []


@pytest.mark.parametrize("seed", range(8))
def test_nothing_hidden_follows_from_funders_that_overlap(seed: int) -> None:
    assert attack(mixed_sites(seed)) == []


@pytest.mark.parametrize("seed", range(40))
def test_few_people_in_several_workbooks_are_not_found_out(seed: int) -> None:
    assert found_out_of_shared(shared_sites(seed)) == []


@pytest.mark.parametrize(
    ("of", "name", "instead", "look", "kind"),
    [
        (sums_of_all, "_told", lambda *_: None, attack, alike_sites),
        (sums_of_all, "_is_large", lambda *_: True, attack, alike_sites),
        (funders_of_all, "_free", lambda sites, several, inside: {n: [True] * len(of) for n, of in several.items()},
         attack, nearly_alike),
        (sites._Inside, "open", lambda *_: frozenset(sites.MEASURES), attack, alike_sites),
        (outcomes_of_all, "_could_be_others", lambda *_: True, found_out_of_answers, answering_sites),
        (outcomes_of_all, "_hides", lambda *_: False, found_out_of_answers, answering_sites),
        (who_is_who.Unions, "accept", lambda *_: True, found_out_of_shared, shared_sites),
        (who_is_who.Unions, "_open_alone", lambda *_: True, found_out_of_shared, shared_sites),
    ],
)  # fmt: skip
def test_without_any_of_the_rules_something_is_found_out(
    monkeypatch: pytest.MonkeyPatch, of: Any, name: str, instead: Any, look: Any, kind: Any
) -> None:
    monkeypatch.setattr(of, name, instead)
    assert any(look(kind(seed)) for seed in range(40))


def nested_sites(seed: int) -> list[Programme]:
    """One workbook's people are all in another too."""
    books = shared_sites(seed)
    return [*books, books[0]]


@pytest.mark.parametrize("kind", [alike_sites, nearly_alike, mixed_sites, shared_sites, nested_sites, answering_sites])
@pytest.mark.parametrize("seed", range(6))
def test_where_no_count_is_small_nothing_is_hidden(kind: Callable[[int], list[Programme]], seed: int) -> None:
    books = [
        replace(
            book, settings=replace(book.settings, small_count=0),
            funders=tuple(replace(each, small_count=None) for each in book.funders),
        )
        for book in kind(seed)
    ]  # fmt: skip
    for document in documents_of_all(told_of(books), ""):
        page = Tables()
        page.feed(html_bytes(document, PAPER).decode("utf-8"))
        assert page.tables
        assert not [cell for rows in page.tables.values() for row in rows for cell in row if "hidden" in cell]


@pytest.mark.parametrize("few", [False, True])
def test_how_many_are_in_several_is_said_of_the_workbooks_that_show_their_people(few: bool) -> None:
    """A third workbook to which three people came shows no people beside its funder's document."""
    people = [member(f"p{number}", "A", f"h{number}") for number in range(3)]
    third = programme(
        [group("A", funders=(("F", Fraction(1)),))], people, [session("A1", "A", 1)],
        [mark("A1", who.participant, "P") for who in people], funders=[funder("F")], small=10, report_by=(),
        programme="Kitchens",
    )  # fmt: skip
    books = [*shared_sites(1), *([third] if few else [])]
    (page,) = (each for each in documents_of_all(told_of(books), "") if each.path == "attendance")
    said = html_bytes(page, PAPER).decode("utf-8")
    assert ("In several of the workbooks that show their people and counted once here:" in said) is few
    assert ("In several workbooks and counted once here:" in said) is not few


if __name__ == "__main__":
    outcome: Counter[bool] = Counter()
    for seed in range(int(sys.argv[1]) if len(sys.argv) > 1 else 200):
        for look, kind in (
            (attack, alike_sites),
            (attack, nearly_alike),
            (attack, mixed_sites),
            (found_out_of_shared, shared_sites),
            (found_out_of_answers, answering_sites),
        ):
            found = look(kind(seed))
            outcome[not found] += 1
            if found:
                print(f"{kind.__name__} {seed}: {found}", flush=True)
    print(f"{outcome.total()} random runs attacked, {outcome[False]} of them told something that is hidden")
    sys.exit(bool(outcome[False]))
