"""Attendance: a group worked by hand, published definitions, and a plain count to compare with."""

import random
from dataclasses import replace
from fractions import Fraction

import pytest
from plan.people_support import (
    day,
    group,
    mark,
    marks,
    member,
    no_kits,
    pick_up,
    programme,
    session,
)

from opsreport.kinds import Share
from opsreport.plan.people.attendance import attend
from opsreport.plan.people.counts import count
from opsreport.programme import Programme

# Group A meets on days 1, 8, 15, (22 cancelled, made up on 24) and 29; s6 is still to come.
# ann and bob are siblings; cat joined on day 10; dan left on day 15; eve is a visitor on day 1 (joined on
# day 2) and flo waits; gus withdrew with a last day, hal without one.
FATES = ("collected", "passed on", "left", "discarded")
SESSIONS = (
    session("s1", "A", 1),
    session("s2", "A", 8, minutes=45),
    session("s3", "A", 15),
    session("s4", "A", 22, "cancelled"),
    session("s4b", "A", 24, replaces="s4"),
    session("s5", "A", 29, minutes=None),
    session("s6", "A", 36, "planned"),
)
MEMBERS = (
    member("ann", "A", "H1"),
    member("bob", "A", "H1"),
    member("cat", "A", joined=10),
    member("dan", "A", left=15),
    member("eve", "A", "H2", joined=2),
    member("flo", "A", status="waiting"),
    member("gus", "A", status="withdrawn", left=8),
    member("hal", "A", status="withdrawn"),
)
GRID = {  #    s1 s2 s3 s4 4b s5 s6
    "ann": "PPPPPP.",  # 5 of 5; the mark of the cancelled session is not counted
    "bob": "PA..E.P",  # the mark of a session still to come is not counted
    "cat": "..P.PA.",  # 2 of her own 3
    "dan": "PPPA.P.",  # 3 of his own 3; day 29 is a visit
    "eve": "PP.PPP.",  # 3 of her own 4; day 1 is a visit
    "flo": "P......",  # a visit
    "gus": ".A.....",
    "hal": "......." ,
}  # fmt: skip
BY_HAND = programme([group("A")], MEMBERS, SESSIONS, marks(GRID, [s.session for s in SESSIONS]))


def test_a_group_worked_by_hand() -> None:
    found = attend(BY_HAND, no_kits).groups["A"]
    assert (found.planned, found.delivered) == (6, 5)
    # expected: s1 ann bob dan gus, s2 those and eve, s3 ann bob cat dan eve, s4b and s5 ann bob cat eve
    assert found.expected == 4 + 5 + 5 + 4 + 4
    # present: s1 ann bob dan, s2 ann dan eve, s3 ann cat dan, s4b ann cat eve, s5 ann eve
    assert (found.present, found.absent, found.excused) == (14, 3, 1)
    assert found.not_recorded == 22 - 18
    assert found.rate == 14 / 18
    # visits: eve and flo on day 1, dan on day 29
    assert (found.contacts, found.people, found.households) == (17, 6, 5)
    # needed 3.75 of 5, so 4: ann only; own sessions: ann 5/5, dan 3/3, eve 3/4; not cat 2/3
    assert (found.completers, found.own_sessions_completers) == (1, 3)
    # s1 5 h, s2 3 × 45 min, s3 3 h, s4b 3 h, s5 unknown
    assert found.contact_hours == Fraction(5 + 3 + 3) + Fraction(3 * 45, 60)


def test_sessions_and_grid_of_that_group() -> None:
    found = attend(BY_HAND, no_kits)
    assert [(s.session, s.expected, s.present, s.contacts) for s in found.sessions] == [
        ("s1", 4, 3, 5),
        ("s2", 5, 3, 3),
        ("s3", 5, 3, 3),
        ("s4b", 4, 3, 3),
        ("s5", 4, 2, 3),
    ]
    grid = {m.participant: m.marks for m in found.members}
    assert grid["ann"] == "PPPPP"
    assert grid["bob"] == "PA.E."
    assert grid["dan"] == "PPP V"
    assert grid["eve"] == "VP.PP"
    assert grid["flo"] == "V    "
    assert [m.participant for m in found.members if m.completer] == ["ann"]
    assert found.totals.sessions_without_minutes == 1


def test_what_is_planned() -> None:
    """A make-up counts once with what it makes up for, through a chain too, not with one that was held."""
    chain = (
        session("a", "A", 1, "cancelled"),
        session("b", "A", 2, "cancelled", replaces="a"),
        session("c", "A", 3, replaces="b"),
        session("d", "A", 4),
        session("e", "A", 5, replaces="d"),
        session("f", "A", 6, replaces="gone"),
        session("g", "A", 7, "cancelled", replaces="g"),
    )
    assert attend(programme([group("A")], (), chain), no_kits).groups["A"].planned == 5


def test_twelve_months_of_ten_people() -> None:
    """Ten people served every month for a year: 120 visits, 10 unduplicated.

    Source: foundation glossary, 'Unduplicated'.
    """
    held = [session(f"m{month}", "A", 30 * month) for month in range(1, 13)]
    people = [member(f"p{i}", "A") for i in range(10)]
    grid = {m.participant: "P" * 12 for m in people}
    found = attend(programme([group("A")], people, held, marks(grid, [s.session for s in held])), no_kits)
    assert (found.totals.contacts, found.totals.people) == (120, 10)


def test_the_same_person_in_two_groups() -> None:
    """Once in the programme total and once in each group.

    Source: US Administration for Community Living, Title VI, documenting people receiving services.
    """
    held = (session("a1", "A", 1), session("b1", "B", 2))
    both = [member("p", "A", "H"), member("p", "B")]
    book = programme([group("A"), group("B")], both, held, [mark("a1", "p", "P"), mark("b1", "p", "P")])
    found = attend(book, no_kits)
    assert [(g.people, g.households, g.completers) for g in found.groups.values()] == [(1, 1, 1)] * 2
    assert (found.totals.people, found.totals.households, found.totals.completers) == (1, 1, 1)


def test_six_lessons_are_one_participant_and_six_contacts() -> None:
    """Source: definitions of form FNS-759 as taught in state training, 2008."""
    held = [session(f"s{i}", "A", i) for i in range(1, 7)]
    book = programme([group("A")], [member("p", "A")], held, marks({"p": "PPPPPP"}, [s.session for s in held]))
    totals = attend(book, no_kits).totals
    assert (totals.people, totals.contacts) == (1, 6)


def test_graduation_rate() -> None:
    """250 enrolled and seen, 200 graduated: 80%.

    Source: state extension policy for the federal adult programme, 2006.
    """
    held = [session(f"s{i}", "A", i) for i in range(1, 9)]
    people = [member(f"p{i}", "A") for i in range(250)]
    grid = {m.participant: ("PPPPPPAA" if i < 200 else "PPPPPAAA") for i, m in enumerate(people)}
    found = attend(programme([group("A")], people, held, marks(grid, [s.session for s in held])), no_kits)
    assert Fraction(found.totals.completers, found.totals.people) == Fraction(80, 100)


@pytest.mark.parametrize(
    ("completion", "whole", "own"),
    [
        (Share(of_all=Fraction(3, 4)), 1, 2),
        (Share(number=Fraction(3)), 1, 2),  # 3 of 4, so 1.5 of the late one's 2
        (Share(number=Fraction(2)), 2, 2),
        (Share(number=Fraction(9)), 0, 0),
        (Share(of_all=Fraction(0)), 2, 2),  # somebody who never came completes nothing
    ],
)
def test_completion_as_share_or_number(completion: Share, whole: int, own: int) -> None:
    held = [session(f"s{i}", "A", i) for i in range(1, 5)]
    people = [member("early", "A"), member("late", "A", joined=3), member("never", "A")]
    grid = {"early": "PPPA", "late": "..PP", "never": "AAAA"}
    book = programme([group("A")], people, held, marks(grid, [s.session for s in held]), completion=completion)
    found = attend(book, no_kits).groups["A"]
    assert (found.completers, found.own_sessions_completers) == (whole, own)


def test_nothing_recorded_has_no_rate() -> None:
    book = programme([group("A"), group("B")], [member("p", "A")], [session("s", "A", 1)])
    found = attend(book, no_kits)
    assert (found.groups["A"].rate, found.groups["A"].not_recorded) == (None, 1)
    assert found.groups["B"].expected == 0
    assert attend(programme(), no_kits).members == ()


def test_a_visitor_from_another_group_and_one_nobody_enrolled() -> None:
    held = [session("a1", "A", 1), session("b1", "B", 1)]
    people = [member("p", "A", "H"), member("q", "B", "H")]
    seen = [mark("b1", "p", "P"), mark("b1", "q", "P"), mark("b1", "stranger", "P")]
    found = attend(programme([group("A"), group("B")], people, held, seen), no_kits)
    b = found.groups["B"]
    assert (b.expected, b.present, b.contacts, b.people, b.households) == (1, 1, 3, 3, 2)
    assert found.totals.people == 3


def test_the_last_of_two_marks_counts() -> None:
    seen = [mark("s", "p", "A"), mark("s", "p", "P"), mark("s", "p", ".")]
    book = programme([group("A")], [member("p", "A")], [session("s", "A", 1)], seen)
    assert attend(book, no_kits).groups["A"].present == 1


def test_kits_from_pick_ups() -> None:
    held = [session("s1", "A", 1), session("s2", "A", 2)]
    fates = [pick_up("s1", h, kit) for h, kit in zip("abcd", FATES, strict=True)]
    people = [member(who, "A") for who in "abc"]
    held.append(session("t1", "T", 2))
    found = attend(programme([group("A"), group("T", kits=False)], people, held, pick_ups=fates), lambda _: 99)
    assert found.totals.kits_distributed == 2 + 3
    words = "recorded in Pick-ups; for 1 delivered session without a record the kits packed count"
    assert found.totals.kits_source == words
    assert [s.kits_collected for s in found.sessions] == [2, None, None]


def test_kits_from_attendance_one_a_household() -> None:
    held = [session("s1", "A", 1), session("s2", "A", 2, "cancelled"), session("t1", "T", 1)]
    people = [member(who, name, "H") for who in ("p", "q") for name in ("A", "T")]
    people.append(member("r", "A"))
    seen = [
        *(mark("s1", who, "P", kit=True) for who in ("p", "q")),
        mark("s1", "r", "K"),
        mark("s2", "r", "P", kit=True),
        *(mark("t1", who, "P", kit=True) for who in ("p", "q")),
    ]
    book = programme([group("A"), group("T", kit_for_participant=True)], people, held, seen)
    found = attend(book, lambda _: 99)
    assert (found.totals.kits_distributed, found.totals.kits_source) == (4, "recorded in Attendance")


def test_kits_where_nobody_recorded_them() -> None:
    """`kit only` alone does not say that nobody else got a kit."""
    held = [session("s1", "A", 1), session("s2", "A", 2, "cancelled")]
    book = programme([group("A")], [member("p", "A")], held, [mark("s1", "p", "K")])
    assert attend(book, no_kits).totals.kits_distributed == 1
    stated = replace(book, sessions={"s1": replace(held[0], kits=7), "s2": held[1]})
    found = attend(stated, lambda each: {"s1": 7}[each.session])
    assert found.totals.kits_distributed == 7
    assert found.sessions[0].kits_collected is None


def random_programme(seed: int) -> Programme:
    rng = random.Random(seed)
    groups = [group(name) for name in "ABC"]
    sessions = [
        session(f"{g.group}{i}", g.group, rng.randint(1, 30), rng.choice(("delivered", "delivered", "cancelled")))
        for g in groups
        for i in range(rng.randint(0, 5))
    ]
    members = [
        member(
            f"p{i}", g.group, rng.choice(("", "H1", "H2")),
            joined=rng.choice((None, rng.randint(1, 30))), left=rng.choice((None, None, rng.randint(1, 30))),
            status=rng.choice(("active", "active", "waiting", "withdrawn")),
        )
        for g in groups
        for i in range(8)
        if rng.random() < 0.6
    ]  # fmt: skip
    seen = [mark(s.session, f"p{i}", rng.choice("PPAE.")) for s in sessions for i in range(8) if rng.random() < 0.7]
    return programme(groups, members, sessions, seen)


@pytest.mark.parametrize("seed", range(40))
def test_against_a_plain_count(seed: int) -> None:
    book = random_programme(seed)
    found = attend(book, no_kits)
    letter = {(row.session, row.participant): row.mark.mark for row in book.attendance if row.mark}
    everybody, completers = set(), set()
    for name, figures in found.groups.items():
        held = [s for s in book.sessions.values() if s.group == name and s.status == "delivered"]
        members = [m for m in book.members if m.group == name]
        expected = [(s, m) for s in held for m in members if m.active_on(s.day)]
        own = [letter.get((s.session, m.participant)) for s, m in expected]
        present = [(s, who) for (code, who), x in letter.items() for s in held if s.session == code and x == "present"]
        assert figures.expected == len(expected)
        assert (figures.present, figures.absent, figures.excused, figures.not_recorded) == (
            own.count("present"), own.count("absent"), own.count("excused"), own.count(None),
        )  # fmt: skip
        assert figures.contacts == len(present)
        assert figures.people == len({who for _, who in present})
        assert figures.contact_hours == sum((s.minutes or 0) / Fraction(60) for s, _ in present)
        done = {
            m.participant
            for m in members
            if (n := sum(letter.get((s.session, m.participant)) == "present" for s, e in expected if e is m))
            and n >= Fraction(3, 4) * len(held)
        }
        assert figures.completers == len(done)
        everybody |= {who for _, who in present}
        completers |= done
    assert (found.totals.people, found.totals.completers) == (len(everybody), len(completers))
    assert found.totals.contacts == sum(g.contacts for g in found.groups.values())


def test_within_days() -> None:
    found = attend(BY_HAND, no_kits)
    counts = count(found.ledger, Share(of_all=Fraction(3, 4)), {"A"}, (day(8), day(15)))
    assert (len(counts.sessions), counts.contacts, len(counts.people)) == (2, 6, 4)
    assert {found.ledger.roll.people[at] for at in counts.completers} == {"ann", "dan"}
    assert counts.contact_hours == Fraction(3) + Fraction(135, 60)


def test_how_many_were_left_at_each_session() -> None:
    """Of A came a to all, b to two, c to the first, d never, e to the last; f visits from B. At the second session are
    a and b, and e is still to come."""
    people = [member(name, "A") for name in "abcde"] + [member("f", "B")]
    held = [session(f"A{at}", "A", at) for at in (1, 2, 3)] + [session("B1", "B", 2)]
    grid = [
        *marks({"a": "PPP", "b": "PPA", "c": "PAA", "d": "AAA", "e": "AAP"}, ["A1", "A2", "A3"]),
        mark("A3", "f", "P"), mark("B1", "f", "P"),
    ]  # fmt: skip
    found = attend(programme([group("A"), group("B")], people, held, grid), no_kits).retention
    assert [(row.group, row.number, row.present, row.still, row.ever) for row in found] == [
        ("A", 1, 3, 4, 4), ("A", 2, 2, 3, 4), ("A", 3, 2, 2, 4), ("B", 1, 1, 1, 1),
    ]  # fmt: skip
