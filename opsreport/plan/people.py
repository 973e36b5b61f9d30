"""Who came: attendance by session, group and member, and what the programme adds up to.

Marks are counted in columns, never one object a mark, so that a million of them take seconds.
"""

import datetime as dt
import math
from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING, Final

from opsreport.kinds import Share
from opsreport.plan.model import GroupAttendance, MemberAttendance, SessionAttendance, Totals
from opsreport.programme import Member, Programme, Session

if TYPE_CHECKING:
    import numpy as np
    import pandas as pd
    from numpy.typing import NDArray

    Integers = NDArray[np.int64]

_NOT_RECORDED, _PRESENT, _ABSENT, _EXCUSED = range(4)
_CODES: Final = {"present": _PRESENT, "absent": _ABSENT, "excused": _EXCUSED}
_LETTERS: Final = ("", "P", "A", "E")
_FIRST_DAY: Final = dt.date.min.toordinal()
_LAST_DAY: Final = dt.date.max.toordinal()
GIVEN: Final = frozenset({"collected", "passed on"})
"""What became of a kit that was distributed."""


@dataclass(frozen=True, slots=True)
class Presents:
    """Every present mark of a delivered session, in columns.

    frame: one row a mark: session, person and household are numbers that stand for ids; group; day
    (ordinal); home: the household over all groups; member: the row of the members whose own session it
    was, -1 for a visit.
    sessions: the delivered ones, by number. people: ids, by number.
    """

    frame: "pd.DataFrame"
    sessions: tuple[Session, ...]
    people: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Counts:
    """What a choice of sessions adds up to, people and households once each. people, completers: ids."""

    sessions: tuple[Session, ...]
    contacts: int
    people: frozenset[str]
    households: int
    completers: frozenset[str]
    contact_hours: Fraction


@dataclass(frozen=True, slots=True)
class KitsGiven:
    """Kits distributed, by session id, and how that is known."""

    by_session: Mapping[str, int]
    source: str
    recorded: bool


@dataclass(frozen=True, slots=True)
class Attended:
    """Everything that the attendance marks say.

    groups: by group id, in the programme's order. sessions: delivered ones, by date, then id.
    members: group by group, in the order of Enrolment.
    """

    groups: Mapping[str, GroupAttendance]
    sessions: tuple[SessionAttendance, ...]
    members: tuple[MemberAttendance, ...]
    totals: Totals
    presents: Presents
    kits: KitsGiven


def attend(programme: Programme, kits_of: Callable[[Session], int]) -> Attended:
    """Count attendance.

    Expected are members active on a delivered session's date. A present mark of anybody else is a visit: it
    counts in contacts, people, households and hours and nowhere else. Of two marks of one person at one
    session the last counts. A completer has at least one present, so nobody completes a group that never met;
    own-sessions completers are held to the same share of the sessions for which they were active.

    Args:
        programme: its ids are those first written.
        kits_of: kits packed for a session, asked only where nobody recorded what became of them.
    """
    import numpy as np

    delivered = tuple(_delivered(programme))
    members = _members(programme)
    marks, people = _marks(programme, members, delivered)
    pairs = _pairs(members, delivered, marks, people)
    presents = _presents(members, delivered, marks, pairs, people)
    kits = count_kits(programme, kits_of)

    expected = pairs.frame[pairs.frame["active"]]
    by_session = _by_mark(expected, "session", len(delivered))
    contacts = np.bincount(presents.frame["session"], minlength=len(delivered))
    sessions = tuple(
        SessionAttendance(
            session.session, session.group, session.day, int(counts.sum()), int(counts[_PRESENT]),
            int(counts[_ABSENT]), int(counts[_EXCUSED]), int(counts[_NOT_RECORDED]), int(came),
            kits.by_session.get(session.session) if kits.recorded else None,
        )
        for session, counts, came in zip(delivered, by_session, contacts, strict=True)
    )  # fmt: skip
    of_members = _by_mark(expected, "member", len(members))
    done = _completed(members, delivered, of_members, programme.settings.completion)
    groups = _by_group(programme, members, sessions, presents, done)
    return Attended(
        groups, sessions, _grid(members, delivered, pairs, of_members, done.whole),
        _totals(programme, groups, presents, kits), presents, kits,
    )  # fmt: skip


def count(
    presents: Presents,
    completion: Share,
    groups: Collection[str],
    days: tuple[dt.date, dt.date] | None = None,
) -> Counts:
    """What some groups' delivered sessions add up to, within days (inclusive) where these are given.

    Completers are held to the sessions that lie within the days, as everything else is.
    """
    import numpy as np

    start, end = days or (dt.date.min, dt.date.max)
    chosen = [
        number
        for number, session in enumerate(presents.sessions)
        if session.group in groups and start <= session.day <= end
    ]
    sessions = tuple(presents.sessions[number] for number in chosen)
    frame = presents.frame[presents.frame["session"].isin(chosen)]
    each = np.bincount(frame["session"], minlength=len(presents.sessions))
    own = frame[frame["member"] >= 0].groupby("member").agg(
        person=("person", "first"), group=("group", "first"), times=("session", "size")
    )  # fmt: skip
    meetings = Counter(session.group for session in sessions)
    needed = own["group"].map({group: _needed(completion, held) for group, held in meetings.items()})
    completed = own.loc[own["times"] >= needed.astype("int64"), "person"]
    return Counts(
        sessions,
        len(frame),
        frozenset(presents.people[person] for person in frame["person"].unique()),
        int(frame["home"].nunique()),
        frozenset(presents.people[person] for person in completed.unique()),
        _hours((presents.sessions[number], int(each[number])) for number in chosen),
    )


def count_kits(programme: Programme, kits_of: Callable[[Session], int]) -> KitsGiven:
    """Kits distributed, by session.

    Recorded in Pick-ups: those collected or passed on, whatever became of the session. Else, where the Kit
    column of Attendance is filled anywhere: delivered sessions' kits marked there or as `kit only`, one a
    household (a participant where the group gives each one a kit). Else the kits of delivered sessions. One
    source holds for the whole programme, so that groups, funders and totals add up.
    """
    delivered = {session.session: session for session in _delivered(programme)}
    given: dict[str, int] = {}
    if programme.pick_ups:
        fates = {(row.session, row.household, row.kit) for row in programme.pick_ups}
        for session, _, fate in fates:
            given[session] = given.get(session, 0) + (fate in GIVEN)
        return KitsGiven(given, "recorded in Pick-ups" + _missing(delivered, given), True)
    if any(row.kit is not None for row in programme.attendance):
        home = {(member.participant, member.group): member.household for member in programme.members}
        holders = set()
        for row in programme.attendance:
            session_ = delivered.get(row.session)
            kit_only = row.mark is not None and row.mark.kit_only
            if session_ is None or (row.kit is None and not kit_only):
                continue
            group = programme.groups.get(session_.group)
            shared = group is None or not group.kit_for_participant
            holder = home.get((row.participant, session_.group), row.participant) if shared else row.participant
            given.setdefault(row.session, 0)
            if row.kit or kit_only:
                holders.add((row.session, holder))
        for session, _ in holders:
            given[session] += 1
        return KitsGiven(given, "recorded in Attendance" + _missing(delivered, given), True)
    packed = {name: kits_of(session) for name, session in delivered.items()}
    return KitsGiven(packed, "kits of delivered sessions; nobody recorded what became of them", False)


@dataclass(frozen=True, slots=True)
class _Marks:
    """Marks of delivered sessions, each person and session once: keys (session × people + person) and
    codes."""

    session: "Integers"
    person: "Integers"
    key: "Integers"
    code: "Integers"


@dataclass(frozen=True, slots=True)
class _Pairs:
    """Every member with every delivered session of their group: session, person, member, active, mark, key.

    blocks: by group, its members' and its sessions' numbers; their pairs follow one another, member by
    member.
    """

    frame: "pd.DataFrame"
    blocks: tuple[tuple[Sequence[int], Sequence[int]], ...]


@dataclass(frozen=True, slots=True)
class _Done:
    """Member by member: who completed the group's sessions, and who their own."""

    whole: "NDArray[np.bool_]"
    own: "NDArray[np.bool_]"


def _delivered(programme: Programme) -> list[Session]:
    sessions = [session for session in programme.sessions.values() if session.status == "delivered"]
    return sorted(sessions, key=lambda session: (session.day, session.session))


def _members(programme: Programme) -> tuple[Member, ...]:
    """Members, group by group, one row a person and group."""
    by_group: dict[str, dict[str, Member]] = {group: {} for group in programme.groups}
    for member in programme.members:
        by_group.setdefault(member.group, {}).setdefault(member.participant, member)
    return tuple(member for group in by_group.values() for member in group.values())


def _marks(
    programme: Programme, members: tuple[Member, ...], delivered: tuple[Session, ...]
) -> tuple[_Marks, tuple[str, ...]]:
    """The marks that count, and the ids of everybody by number."""
    import numpy as np
    import pandas as pd

    rows = programme.attendance
    names = np.array([*(m.participant for m in members), *(row.participant for row in rows)], dtype=object)
    numbers, people = pd.factorize(names)
    names = np.array([*(s.session for s in delivered), *(row.session for row in rows)], dtype=object)
    held, _ = pd.factorize(names)
    frame = pd.DataFrame(
        {
            "session": held[len(delivered) :],
            "person": numbers[len(members) :],
            "code": np.fromiter(
                (0 if row.mark is None else _CODES[row.mark.mark] for row in rows), np.int64, len(rows)
            ),
        }
    )
    frame = frame[(frame["session"] < len(delivered)) & (frame["code"] != _NOT_RECORDED)]
    key = frame["session"] * len(people) + frame["person"]
    last = ~key.duplicated(keep="last")
    frame, key = frame[last], key[last]
    columns = (column.to_numpy(np.int64) for column in (frame["session"], frame["person"], key, frame["code"]))
    return _Marks(*columns), tuple(str(name) for name in people)


def _pairs(
    members: tuple[Member, ...], delivered: tuple[Session, ...], marks: _Marks, people: tuple[str, ...]
) -> _Pairs:
    import numpy as np
    import pandas as pd

    number = {person: index for index, person in enumerate(people)}
    person_of = np.array([number[member.participant] for member in members], np.int64)
    first, last = np.array([_days(member) for member in members], np.int64).reshape(-1, 2).T
    day_of = np.array([session.day.toordinal() for session in delivered], np.int64)
    who, meetings = _numbers_by_group(members), _numbers_by_group(delivered)
    blocks = tuple((who[group], meetings[group]) for group in who if group in meetings)
    member = np.concatenate([np.repeat(w, len(m)) for w, m in blocks]) if blocks else np.zeros(0, np.int64)
    session = np.concatenate([np.tile(m, len(w)) for w, m in blocks]) if blocks else np.zeros(0, np.int64)
    key = session * len(people) + person_of[member]
    found = pd.Index(marks.key).get_indexer(pd.Index(key))
    code = np.where(found >= 0, marks.code[found], _NOT_RECORDED) if len(marks.code) else np.zeros_like(found)
    active = (first[member] <= day_of[session]) & (day_of[session] <= last[member])
    frame = pd.DataFrame({"session": session, "member": member, "active": active, "code": code, "key": key})
    return _Pairs(frame, blocks)


def _days(member: Member) -> tuple[int, int]:
    """First and last day in the group, as `Member.active_on` says; none: the first after the last."""
    if member.status == "waiting" or (member.status == "withdrawn" and member.left is None):
        return _LAST_DAY, _FIRST_DAY
    first = member.joined.toordinal() if member.joined else _FIRST_DAY
    return first, member.left.toordinal() if member.left else _LAST_DAY


def _numbers_by_group(records: Iterable[Member | Session]) -> dict[str, list[int]]:
    numbers: dict[str, list[int]] = {}
    for number, record in enumerate(records):
        numbers.setdefault(record.group, []).append(number)
    return numbers


def _presents(
    members: tuple[Member, ...],
    delivered: tuple[Session, ...],
    marks: _Marks,
    pairs: _Pairs,
    people: tuple[str, ...],
) -> Presents:
    import numpy as np
    import pandas as pd

    here = marks.code == _PRESENT
    session, person = marks.session[here], marks.person[here]
    pair = pd.Index(pairs.frame["key"]).get_indexer(pd.Index(marks.key[here]))
    known = pair >= 0
    member = np.full(len(pair), -1, np.int64)
    member[known] = pairs.frame["member"].to_numpy()[pair[known]]
    own = np.zeros(len(pair), bool)
    own[known] = pairs.frame["active"].to_numpy()[pair[known]]

    stated = _stated_households(members)
    homes: dict[str, int] = {}
    by_person = np.array([homes.setdefault(stated.get(name, name), len(homes)) for name in people], np.int64)
    written = [m.household for m in members]
    joint = [h if h != m.participant else stated.get(h, h) for h, m in zip(written, members, strict=True)]
    by_member = np.array([homes.setdefault(home, len(homes)) for home in written], np.int64)
    jointly = np.array([homes.setdefault(home, len(homes)) for home in joint], np.int64)
    household, home = by_person[person], by_person[person]
    household[known], home[known] = by_member[member[known]], jointly[member[known]]
    group = pd.Series([s.group for s in delivered], dtype=object).to_numpy()[session]
    frame = pd.DataFrame(
        {
            "session": session,
            "group": pd.Categorical(group),
            "person": person,
            "household": household,
            "home": home,
            "member": np.where(own, member, -1),
        }
    )
    return Presents(frame, delivered, people)


def _stated_households(members: tuple[Member, ...]) -> dict[str, str]:
    """By person: the household stated in any of their groups. Somebody with a household in one group and none
    in another is one household, not two."""
    stated: dict[str, str] = {}
    for member in members:
        if member.household != member.participant:
            stated.setdefault(member.participant, member.household)
    return stated


def _by_mark(pairs: "pd.DataFrame", column: str, size: int) -> "Integers":
    """Counts of marks: one row a session (or member), one column a code."""
    import numpy as np

    table = np.bincount(pairs[column].to_numpy() * 4 + pairs["code"].to_numpy(), minlength=size * 4)
    return table.astype(np.int64).reshape(size, 4)


def _needed(completion: Share, meetings: int) -> int:
    """Presents that make a completer of so many delivered sessions, at least one."""
    exact = completion.number if completion.number is not None else (completion.of_all or Fraction(0)) * meetings
    return max(math.ceil(exact), 1)


def _completed(
    members: tuple[Member, ...], delivered: tuple[Session, ...], of_members: "Integers", completion: Share
) -> _Done:
    import numpy as np

    meetings = {group: len(numbers) for group, numbers in _numbers_by_group(delivered).items()}
    whole, own = np.zeros(len(members), bool), np.zeros(len(members), bool)
    for number, member in enumerate(members):
        held = meetings.get(member.group, 0)
        present, expected = int(of_members[number, _PRESENT]), int(of_members[number].sum())
        if not present:
            continue
        whole[number] = present >= _needed(completion, held)
        share = completion.of_all if completion.number is None else completion.number / held
        own[number] = present >= (share or 0) * expected
    return _Done(whole, own)


def _by_group(
    programme: Programme,
    members: tuple[Member, ...],
    sessions: tuple[SessionAttendance, ...],
    presents: Presents,
    done: _Done,
) -> dict[str, GroupAttendance]:
    seen = presents.frame.groupby("group", observed=True).agg(
        people=("person", "nunique"), households=("household", "nunique")
    )  # fmt: skip
    came = {str(group): (int(people), int(homes)) for group, people, homes in seen.itertuples()}
    held, who = _numbers_by_group(presents.sessions), _numbers_by_group(members)
    planned = planned_sessions(programme)
    return {
        group: _group(
            planned.get(group, 0),
            [sessions[number] for number in held.get(group, ())],
            [presents.sessions[number] for number in held.get(group, ())],
            came.get(group, (0, 0)),
            (int(done.whole[who.get(group, [])].sum()), int(done.own[who.get(group, [])].sum())),
        )
        for group in programme.groups
    }


def _group(
    planned: int,
    own: Sequence[SessionAttendance],
    held: Sequence[Session],
    came: tuple[int, int],
    completers: tuple[int, int],
) -> GroupAttendance:
    """One group's figures. came: people and households; completers: of the group's sessions, of their own."""
    present, absent, excused = (sum(getattr(s, what) for s in own) for what in ("present", "absent", "excused"))
    recorded = present + absent + excused
    return GroupAttendance(
        planned=planned,
        delivered=len(own),
        expected=sum(session.expected for session in own),
        present=present,
        absent=absent,
        excused=excused,
        not_recorded=sum(session.not_recorded for session in own),
        rate=present / recorded if recorded else None,
        contacts=sum(session.contacts for session in own),
        people=came[0],
        households=came[1],
        completers=completers[0],
        contact_hours=_hours((at, session.contacts) for at, session in zip(held, own, strict=True)),
        own_sessions_completers=completers[1],
    )


def planned_sessions(programme: Programme) -> dict[str, int]:
    """Sessions by group, cancelled ones too; one that makes up for a cancelled one counts once with it."""
    sessions = programme.sessions
    planned = Counter(session.group for session in sessions.values())
    made_up = set()
    for name, session in sessions.items():
        missed = sessions.get(session.replaces)
        if missed is not None and missed.status == "cancelled" and session.replaces != name:
            made_up.add((session.replaces, missed.group == session.group))
    planned.subtract(sessions[name].group for name, same_group in made_up if same_group)
    return dict(planned)


def _totals(programme: Programme, groups: Mapping[str, GroupAttendance], presents: Presents, kits: KitsGiven) -> Totals:
    counts = count(presents, programme.settings.completion, groups)
    return Totals(
        sessions_planned=sum(group.planned for group in groups.values()),
        sessions_delivered=sum(group.delivered for group in groups.values()),
        contacts=counts.contacts,
        people=len(counts.people),
        households=counts.households,
        completers=len(counts.completers),
        contact_hours=counts.contact_hours,
        kits_distributed=sum(kits.by_session.values()),
        kits_source=kits.source,
        sessions_without_minutes=sum(session.minutes is None for session in presents.sessions),
    )


def _grid(
    members: tuple[Member, ...],
    delivered: tuple[Session, ...],
    pairs: _Pairs,
    of_members: "Integers",
    completed: "NDArray[np.bool_]",
) -> tuple[MemberAttendance, ...]:
    import numpy as np

    code, active = pairs.frame["code"].to_numpy(), pairs.frame["active"].to_numpy()
    letters = np.array([*_LETTERS, "V", None], dtype=object)
    shown = letters[np.where(active, code, np.where(code == _PRESENT, 4, 5))]
    marks: dict[int, dict[str, str | None]] = {}
    start = 0
    for who, meetings in pairs.blocks:
        ids = [delivered[number].session for number in meetings]
        for number in who:
            marks[number] = dict(zip(ids, shown[start : start + len(ids)].tolist(), strict=True))
            start += len(ids)
    return tuple(
        MemberAttendance(
            member.participant, member.group, marks.get(number, {}), int(of_members[number, _PRESENT]),
            int(of_members[number].sum()), bool(completed[number]),
        )
        for number, member in enumerate(members)
    )  # fmt: skip


def _hours(attended: Iterable[tuple[Session, int]]) -> Fraction:
    """Contact hours of sessions and how many came; a session without minutes adds none."""
    return sum(((session.minutes or Fraction(0)) * came for session, came in attended), Fraction(0)) / 60


def _missing(delivered: Mapping[str, Session], given: Mapping[str, int]) -> str:
    none = sum(session not in given for session in delivered)
    return f"; {none} delivered sessions have no record" if none else ""
