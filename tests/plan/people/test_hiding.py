"""Hiding small counts: published patterns, and readers who try every table that agrees with the print."""

import itertools
import random
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from opsreport.plan.people import hiding
from opsreport.plan.people.hiding import (
    HIDDEN,
    Count,
    Known,
    KnownOfPeople,
    PrintedPeople,
    Sums,
    hide_people,
    hide_row,
)


@dataclass(frozen=True, slots=True)
class PrintedTable:
    """What may be printed of a table: cells row by row, totals of rows and columns, and the sum of all."""

    cells: tuple[tuple[str, ...], ...]
    rows: tuple[str, ...]
    columns: tuple[str, ...]
    everything: str


def hide_table(cells: Sequence[Sequence[int]], small: int) -> PrintedTable:
    """The same of a table with the totals of its rows and columns, on which hiding is harder than on our own."""
    sums = hiding._settled(table_counts(cells), small)
    return PrintedTable(
        tuple(tuple(sums.label(("cell", i, j)) for j in range(len(row))) for i, row in enumerate(cells)),
        tuple(sums.label(("row", i)) for i in range(len(cells))),
        tuple(sums.label(("column", j)) for j in range(len(cells[0]))),
        sums.label(("all",)),
    )


def table_counts(cells: Sequence[Sequence[int]]) -> list[Count]:
    """A table as counts that flow: sum of all -> rows -> columns -> sum of all."""
    everything = sum(map(sum, cells))
    return [
        *(
            Count(("cell", i, j), ("row", i), ("column", j), value)
            for i, row in enumerate(cells)
            for j, value in enumerate(row)
        ),
        *(Count(("row", i), ("rows",), ("row", i), sum(row), total=True) for i, row in enumerate(cells)),
        *(
            Count(("column", j), ("column", j), ("columns",), sum(column), total=True)
            for j, column in enumerate(zip(*cells, strict=True))
        ),
        Count(("all",), ("columns",), ("rows",), everything, total=True),
    ]


def could_be(label: str, small: int, most: int, *, labels_differ: bool) -> range:
    """Every value that a reader must reckon with; one who knows that `hidden` is never small where small
    counts have a label of their own reckons with fewer."""
    if label == f"1–{small}":
        return range(1, small + 1)
    if label == HIDDEN:
        return range(small + 1 if labels_differ else 1, most + 1)
    return range(int(label.replace(",", "")), int(label.replace(",", "")) + 1)


def row_readings(labels: Sequence[str], total: str, small: int, most: int) -> Iterator[tuple[int, ...]]:
    """Rows and their total that agree with what is printed."""
    differ = any(label == f"1–{small}" for label in (*labels, total))
    choices = [could_be(label, small, most, labels_differ=differ) for label in labels]
    totals = could_be(total, small, most, labels_differ=differ)
    for row in itertools.product(*choices):
        if sum(row) in totals:
            yield (*row, sum(row))


def every_hidden_one_varies(readings: Sequence[tuple[int, ...]], hidden: Sequence[bool]) -> bool:
    return all(len({reading[at] for reading in readings}) > 1 for at, is_hidden in enumerate(hidden) if is_hidden)


def is_hidden(label: str) -> bool:
    return not label.replace(",", "").isdigit()


def test_what_is_small() -> None:
    """1 to 10 are hidden, 0 and 11 shown.

    Source: CMS cell-size suppression policy (2017, 2024).
    """
    assert hide_row((0, 11, 50, 60), 10)[0] == ("0", "11", "50", "60")
    assert hide_row((1, 10, 50, 60), 10)[0] == ("1–10", "1–10", "50", "60")


@pytest.mark.parametrize("small", [4, 9, 10, 15, 29])
def test_limits_in_use(small: int) -> None:
    """Sources: NCES 2011-603; WA DOH 2017; CDC, US Cancer Statistics."""
    labels, total = hide_row((small, small - 1, small + 1), small)
    assert labels == (f"1–{small}", f"1–{small}", f"{small + 1}")
    assert total == f"{3 * small}"


def test_one_hidden_beside_a_total() -> None:
    """25, 4, 31, total 60: the 4 and one more. Follows from the CMS policy (derived)."""
    assert hide_row((25, 4, 31), 10) == (("hidden", "1–10", "31"), "60")


def test_ones_that_add_up() -> None:
    """1, 1, 18, total 20: hiding the ones alone gives both away (derived)."""
    assert hide_row((1, 1, 18), 10) == (("1–10", "1–10", "hidden"), "20")


def test_a_label_that_would_say_too_much() -> None:
    """1 and 11 of 12: `1–10` and, above 10, `hidden` leave one answer, so the 12 goes instead of the 11."""
    assert hide_row((1, 11), 10) == (("1–10", "11"), "hidden")
    assert hide_row((1, 11, 30), 10) == (("1–10", "11", "hidden"), "42")


def test_small_count_of_one_and_of_none() -> None:
    assert hide_row((1, 5, 9), 1) == (("hidden", "hidden", "9"), "15")
    assert hide_row((1, 5, 9), 0) == (("1", "5", "9"), "15")


def test_nothing_but_one_small_count() -> None:
    assert hide_row((4, 0), 10) == (("1–10", "0"), "1–10")


def test_a_published_two_way_pattern() -> None:
    """Young: Iceland 2, Portugal 0, Spain 5; old: 3, 4, 6. Hiding Iceland and Portugal is safe, less is not.

    Source: Statistics Norway package vignette; bounds by linear programming. There zeros are hidden too, so
    the pattern is held against noughts that are known to be unprinted.
    """
    cells = ((2, 0, 5), (3, 4, 6))
    counts = {count.key: count for count in table_counts(cells)}
    pattern = {("cell", i, j) for i in (0, 1) for j in (0, 1)}
    for key in pattern:
        old = counts[key]
        counts[key] = Count(key, old.tail, old.head, old.value, printed=False)
    sums = Sums(counts, 0, labelled=False, hidden=set())
    for key in counts.keys() - pattern:
        counts[key].known = Known(counts[key].value, counts[key].value)
    assert all(can_vary(sums, key) for key in pattern)
    counts["cell", 1, 1].known = Known(4, 4)
    assert not any(can_vary(sums, key) for key in pattern)


def can_vary(sums: Sums, key: tuple[str | int, ...]) -> bool:
    """Whether a count has another value that agrees with everything printed."""
    count = sums.counts[key]
    ways = [
        *([sums.loop(count.head, count.tail, key)] if sums.room_up(count) else []),
        *([sums.loop(count.tail, count.head, key)] if sums.room_down(count) else []),
    ]
    return any(way is not None and way[0] == (0, 0, 0) for way in ways)


def fewest_hidden(row: tuple[int, ...], small: int) -> tuple[int, int] | None:
    """The fewest counts beside the small ones whose hiding leaves every hidden one open, and the least that these add
    up to, by trying all."""
    others = [at for at, value in enumerate(row) if value > small]
    first = {at for at, value in enumerate(row) if 1 <= value <= small}
    total = str(sum(row))
    for more in range(len(others) + 1):
        for chosen in sorted(itertools.combinations(others, more), key=lambda its: sum(row[at] for at in its)):
            labels = [
                f"1–{small}" if at in first else HIDDEN if at in chosen else str(value) for at, value in enumerate(row)
            ]
            readings = list(row_readings(labels, total, small, sum(row)))
            if every_hidden_one_varies(readings, [is_hidden(label) for label in labels]):
                return more, sum(row[at] for at in chosen)
    return None


@settings(max_examples=300, deadline=None)
@given(st.lists(st.integers(0, 9), min_size=1, max_size=4), st.integers(1, 4))
def test_no_row_gives_a_hidden_count_away(row: list[int], small: int) -> None:
    labels, total = hide_row(row, small)
    for value, label in zip((*row, sum(row)), (*labels, total), strict=True):
        assert is_hidden(label) or not 1 <= value <= small
        assert is_hidden(label) or label == str(value)
        assert value != 0 or label == "0"
    readings = list(row_readings(labels, total, small, 2 * sum(row) + 2))
    assert every_hidden_one_varies(readings, [is_hidden(label) for label in (*labels, total)])
    least = fewest_hidden(tuple(row), small) if small > 1 and sum(row) > small else None
    if least is not None:
        besides = [value for value, label in zip(row, labels, strict=True) if is_hidden(label) and value > small]
        assert (len(besides), sum(besides)) == least


@settings(max_examples=150, deadline=None)
@given(
    st.sampled_from([(2, 2), (2, 3), (3, 2)]).flatmap(
        lambda size: st.lists(
            st.lists(st.integers(0, 5), min_size=size[1], max_size=size[1]),
            min_size=size[0],
            max_size=size[0],
        )
    ),
    st.integers(1, 3),
)
def test_no_table_gives_a_hidden_count_away(cells: list[list[int]], small: int) -> None:
    printed = hide_table(cells, small)
    flat = [label for row in printed.cells for label in row]
    labels = [*flat, *printed.rows, *printed.columns, printed.everything]
    differ = f"1–{small}" in labels
    values = [
        *itertools.chain(*cells), *map(sum, cells), *map(sum, zip(*cells, strict=True)), sum(map(sum, cells)),
    ]  # fmt: skip
    for value, label in zip(values, labels, strict=True):
        assert is_hidden(label) != (label == str(value))
        assert is_hidden(label) or not 1 <= value <= small
    most = max(map(max, cells)) + 1  # one more than the table holds is enough to show that a count is open
    width = len(cells[0])
    readings = []
    ranges = [could_be(label, small, 10**6, labels_differ=differ) for label in labels]
    for guess in itertools.product(*(range(max(0, r.start), min(r.stop, most + 1)) for r in ranges[: len(flat)])):
        rows = [guess[at : at + width] for at in range(0, len(guess), width)]
        all_of_it = (*guess, *map(sum, rows), *map(sum, zip(*rows, strict=True)), sum(guess))
        if all(value in could for value, could in zip(all_of_it, ranges, strict=True)):
            readings.append(all_of_it)
    assert every_hidden_one_varies(readings, [is_hidden(label) for label in labels])


def people_readings(printed: PrintedPeople, small: int, most: int) -> dict[str, list[tuple[int, ...]]]:
    """By people and completers in all: what each breakdown can be. Empty where these cannot be."""
    everything = {}
    differ_above = f"1–{small}" in (printed.people, printed.completers)
    for people in could_be(printed.people, small, most, labels_differ=differ_above):
        for completers in could_be(printed.completers, small, most, labels_differ=differ_above):
            if completers > people:
                continue
            tables = []
            for rows in printed.breakdowns.values():
                labels = [label for row in rows for label in row]
                differ = f"1–{small}" in labels
                pairs = [
                    [
                        (some, done)
                        for some in could_be(row[0], small, most, labels_differ=differ)
                        for done in could_be(row[1], small, most, labels_differ=differ)
                        if done <= some
                    ]
                    for row in rows
                ]
                tables.append(
                    [
                        tuple(itertools.chain(*table))
                        for table in itertools.product(*pairs)
                        if sum(row[0] for row in table) == people and sum(row[1] for row in table) == completers
                    ]
                )
            if all(tables):
                everything[people, completers] = tables
    return everything  # type: ignore[return-value]


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.tuples(st.integers(0, 5), st.integers(0, 5)), min_size=1, max_size=3),
    st.integers(1, 3),
    st.randoms(use_true_random=False),
)
def test_no_breakdown_gives_a_hidden_count_away(rows: list[tuple[int, int]], small: int, rng: object) -> None:
    """Two breakdowns of the same people: neither alone nor both together tell a hidden count, nor how many
    did not complete where these are few."""
    first = [(done + more, done) for done, more in rows]
    everybody = [(done < row[1]) for row in first for done in range(row[0])]
    rng.shuffle(everybody)  # type: ignore[attr-defined]
    cut = len(everybody) // 2
    second = [(len(part), sum(part)) for part in (everybody[:cut], everybody[cut:])]
    people, completers = len(everybody), sum(everybody)
    breakdowns = {"first": first, "second": second}
    printed = hide_people(people, completers, breakdowns, small)
    worlds = people_readings(printed, small, people + 1)  # type: ignore[arg-type]

    def open_to(values: set[int]) -> bool:
        return len(values) > 1

    for at, (value, label) in enumerate(((people, printed.people), (completers, printed.completers))):
        assert is_hidden(label) or not 1 <= value <= small
        if is_hidden(label):
            assert open_to({world[at] for world in worlds})
    if 1 <= people - completers <= small:
        assert open_to({world[0] - world[1] for world in worlds})
    for number, (name, shown) in enumerate(printed.breakdowns.items()):
        tables = [table for world in worlds.values() for table in world[number]]
        for i, (labels, true) in enumerate(zip(shown, breakdowns[name], strict=True)):
            for at in (0, 1):
                assert is_hidden(labels[at]) or not 1 <= true[at] <= small
                if is_hidden(labels[at]):
                    assert open_to({table[2 * i + at] for table in tables})  # type: ignore[index]
            if 1 <= true[0] - true[1] <= small:
                assert open_to({table[2 * i] - table[2 * i + 1] for table in tables})  # type: ignore[index, operator]


def test_a_rate_is_hidden_with_its_count() -> None:
    """2 of 57 = 3.5%: neither the 2 nor, beside the 57, the 55 that remain. Source: CMS policy."""
    few = hide_people(57, 2, {}, 10)
    assert (few.people, few.completers, few.shows_completers) == ("57", "1–10", False)
    most = hide_people(57, 55, {}, 10)
    assert (most.people, most.completers, most.shows_completers) == ("57", "hidden", False)
    assert hide_people(57, 57, {}, 10).completers == "57"
    assert hide_people(57, 0, {}, 10).completers == "0"


def test_a_breakdown_of_ordinary_size() -> None:
    printed = hide_people(60, 40, {"Age band": [(25, 14), (4, 2), (31, 24)]}, 10)
    assert (printed.people, printed.completers) == ("60", "40")
    shown = printed.breakdowns["Age band"]
    assert shown[1] == ("1–10", "1–10")
    assert not printed.left_out


def test_a_breakdown_that_cannot_be_shown() -> None:
    """Everybody has the same value: nothing to hide behind, so the column is left out."""
    printed = hide_people(30, 5, {"Age band": [(30, 5)], "Town": [(30, 5)]}, 10)
    assert (printed.people, printed.completers) == ("30", "1–10")
    assert printed.left_out == ("Age band", "Town")


def test_a_breakdown_stays_where_it_leaves_the_figures_in_all_open() -> None:
    """5 of 30 completed: 3 of 15 and 2 of 15, each printed as 1 to 10, as is their sum."""
    printed = hide_people(30, 5, {"Age band": [(15, 3), (15, 2)]}, 10)
    assert (printed.people, printed.completers, printed.left_out) == ("30", "1–10", ())
    assert printed.breakdowns == {"Age band": (("15", "1–10"), ("15", "1–10"))}


@pytest.mark.parametrize(
    ("least", "most", "shown", "left_out"),
    [
        (40, 45, (("hidden", "0"),), ()),  # could be 41
        (30, 40, (("hidden", "0"),), ()),  # could be 39
        (40, 40, None, ("Age band",)),
    ],
)
def test_a_breakdown_changes_with_a_figure_that_other_documents_bound(
    least: int, most: int, shown: tuple[tuple[str, str], ...] | None, left_out: tuple[str, ...]
) -> None:
    """40 people, a number that must be hidden, as another document's lies near it; nobody completed."""
    printed = hide_people(40, 0, {"Age band": [(40, 0)]}, 10, KnownOfPeople(Known(least, most, secret=True)))
    assert (printed.people, printed.completers, printed.shows_people) == ("hidden", "0", False)
    assert (printed.breakdowns.get("Age band"), printed.left_out) == (shown, left_out)


def test_a_breakdown_changes_only_where_the_figures_in_all_can() -> None:
    """15 people, or 14 for all that others tell; 13 completed, and that is shown. Only who did not complete can be one
    fewer, so the row that has two of these is hidden, though a smaller one could be."""
    printed = hide_people(15, 13, {"Town": [(5, 5), (4, 4), (6, 4)]}, 1, KnownOfPeople(Known(14, 15, secret=True)))
    assert (printed.people, printed.completers) == ("hidden", "13")
    assert printed.breakdowns == {"Town": (("5", "5"), ("4", "4"), ("hidden", "4"))}


def test_counts_that_must_be_hidden_whatever_they_are() -> None:
    """One other is hidden with it, the smallest; a nought needs no hiding."""
    assert hide_row((20, 40, 30), 10, secret=(0,)) == (("hidden", "40", "hidden"), "90")
    assert hide_row((20, 40, 30), 10, secret=(1,)) == (("hidden", "hidden", "30"), "90")
    assert hide_row((0, 40, 30), 10, secret=(0,)) == (("0", "40", "30"), "70")


def lost(labels: Iterable[str], values: Iterable[int], small: int) -> tuple[int, int]:
    """How many counts that are not small are hidden, and what they add up to."""
    besides = [its for its, label in zip(values, labels, strict=True) if is_hidden(label) and its > small]
    return len(besides), sum(besides)


def test_so_little_is_hidden_beside_small_counts_in_drawn_tables() -> None:
    """Of 200 tables of 9 to 16 counts with their totals: cells before totals, and the smallest that serve."""
    cells_lost, totals_lost = (0, 0), (0, 0)
    for seed in range(200):
        r = random.Random(seed)
        width = r.choice([3, 4])
        cells = [[r.choice([0, 1, 3, 12, 15, 20, 40]) for _ in range(width)] for _ in range(width)]
        printed = hide_table(cells, 10)
        its = lost(itertools.chain(*printed.cells), itertools.chain(*cells), 10)
        cells_lost = cells_lost[0] + its[0], cells_lost[1] + its[1]
        totals = [*map(sum, cells), *map(sum, zip(*cells, strict=True)), sum(map(sum, cells))]
        its = lost([*printed.rows, *printed.columns, printed.everything], totals, 10)
        totals_lost = totals_lost[0] + its[0], totals_lost[1] + its[1]
    assert cells_lost <= (612, 12_148)
    assert totals_lost <= (76, 2_703)


def test_so_little_is_hidden_or_left_out_in_drawn_breakdowns() -> None:
    """Of 200 programmes with two breakdowns of the same people."""
    hidden, left_out = (0, 0), 0
    for seed in range(200):
        r = random.Random(seed)
        everybody = [(r.choice("abc"), r.choice("de"), r.random() < 0.7) for _ in range(r.randint(5, 80))]
        breakdowns = {
            f"by {at}": [
                (sum(who[at] == each for who in everybody), sum(who[at] == each and who[2] for who in everybody))
                for each in values
            ]
            for at, values in enumerate(("abc", "de"))
        }
        people, completers = len(everybody), sum(who[2] for who in everybody)
        printed = hide_people(people, completers, breakdowns, 5)
        labels, values = [printed.people, printed.completers], [people, completers]
        for name, rows in printed.breakdowns.items():
            labels += itertools.chain(*rows)
            values += itertools.chain(*breakdowns[name])
        its = lost(labels, values, 5)
        hidden, left_out = (hidden[0] + its[0], hidden[1] + its[1]), left_out + len(printed.left_out)
    assert hidden <= (561, 6_798)
    assert left_out <= 12
