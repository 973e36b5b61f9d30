"""Who came: attendance by session, group and member, and what the programme adds up to."""

import math
from collections import Counter
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass
from fractions import Fraction
from typing import TYPE_CHECKING

from opsreport.kinds import Share
from opsreport.plan.people.kits_given import KitsGiven, count_kits
from opsreport.plan.people.ledger import (
    ABSENT,
    EXCUSED,
    NOT_RECORDED,
    PRESENT,
    Ledger,
    by_mark,
    different,
    distinct,
    keep_ledger,
)
from opsreport.plan.people_model import GroupAttendance, MemberAttendance, Retention, SessionAttendance, Totals
from opsreport.programme import Programme, Session

if TYPE_CHECKING:
    from opsreport.plan.people.ledger import Flags, Integers, Roll

_LETTERS = b".PAEV "
"""By mark: not recorded, present, absent, excused; then a visit, and not expected."""
_VISIT, _NOT_EXPECTED = 4, 5


@dataclass(frozen=True, slots=True)
class Attended:
    """Everything that the attendance marks say.

    groups: by group id, in the programme's order. sessions: delivered ones, by date, then id.
    members: group by group, in the order of Enrolment. retention: by group, then number of the session.
    completers: of any group, by number in the roll, each once.
    """

    groups: Mapping[str, GroupAttendance]
    sessions: tuple[SessionAttendance, ...]
    members: tuple[MemberAttendance, ...]
    retention: tuple[Retention, ...]
    totals: Totals
    ledger: Ledger
    kits: KitsGiven
    completers: "Integers"


def attend(programme: Programme, kits_of: Callable[[Session], int]) -> Attended:
    """Count attendance.

    Expected are members active on a delivered session's date. A present mark of anybody else is a visit: it
    counts in contacts, people, households and hours and nowhere else. A completer has at least one present, so nobody
    completes a group that never met; own-sessions completers are held to the same share of the sessions for which
    they were active.

    Args:
        programme: its ids are those first written.
        kits_of: kits packed for the holders of a session that states its Kits.
    """
    import numpy as np

    ledger = keep_ledger(programme)
    roll, pairs = ledger.roll, ledger.pairs
    kits = count_kits(programme, ledger, kits_of)
    expected_session, expected_code = pairs.session[pairs.active], pairs.code[pairs.active]
    by_session = by_mark(expected_session, expected_code, len(roll.sessions)).tolist()
    contacts = np.bincount(ledger.presents.session, minlength=len(roll.sessions)).tolist()
    sessions = tuple(
        SessionAttendance(
            session.session, session.group, session.day, sum(counts), counts[PRESENT], counts[ABSENT],
            counts[EXCUSED], counts[NOT_RECORDED], came,
            kits.by_session[session.session] if session.session in kits.recorded else None,
        )
        for session, counts, came in zip(roll.sessions, by_session, contacts, strict=True)
    )  # fmt: skip
    of_members = by_mark(pairs.member[pairs.active], expected_code, len(roll.members))
    whole, own = _completed(roll, of_members, programme.settings.completion)
    groups = _by_group(programme, ledger, sessions, whole, own)
    completers = distinct(roll.member_person[whole])
    return Attended(
        groups, sessions, _grid(ledger, of_members, whole),
        _retention(ledger, [counts[PRESENT] for counts in by_session]),
        _totals(groups, ledger, kits, completers), ledger, kits, completers,
    )  # fmt: skip


def needed(completion: Share, meetings: int) -> int:
    """Presents that make a completer of so many delivered sessions, at least one."""
    exact = completion.number if completion.number is not None else (completion.of_all or Fraction(0)) * meetings
    return max(math.ceil(exact), 1)


def _completed(roll: "Roll", of_members: "Integers", completion: Share) -> "tuple[Flags, Flags]":
    """Member by member: who completed the group's sessions, and who their own."""
    import numpy as np

    held = roll.held.tolist()
    present, expected = of_members[:, PRESENT], of_members.sum(axis=1)
    least = np.array([needed(completion, meetings) for meetings in held], np.int64)
    shares = [
        (completion.of_all or Fraction(0)) if completion.number is None else completion.number / max(meetings, 1)
        for meetings in held
    ]
    parts = np.array([share.numerator for share in shares], np.int64)
    wholes = np.array([share.denominator for share in shares], np.int64)
    group = roll.member_group
    came = present > 0
    return came & (present >= least[group]), came & (present * wholes[group] >= parts[group] * expected)


def _by_group(
    programme: Programme, ledger: Ledger, sessions: Sequence[SessionAttendance], whole: "Flags", own: "Flags"
) -> dict[str, GroupAttendance]:
    import numpy as np

    roll, presents = ledger.roll, ledger.presents
    size = len(roll.groups)
    group = roll.session_group[presents.session]
    people = different(group, presents.person, size).tolist()
    homes = different(group, presents.household, size).tolist()
    completers = np.bincount(roll.member_group[whole], minlength=size).tolist()
    own_completers = np.bincount(roll.member_group[own], minlength=size).tolist()
    meetings: dict[str, list[tuple[Session, SessionAttendance]]] = {}
    for session, attended in zip(roll.sessions, sessions, strict=True):
        meetings.setdefault(session.group, []).append((session, attended))
    planned = planned_sessions(programme)
    found = {}
    for at, name in enumerate(roll.groups):
        if name not in programme.groups:
            continue
        of_group = meetings.get(name, [])
        sums = {
            what: sum(getattr(attended, what) for _, attended in of_group)
            for what in ("expected", "present", "absent", "excused", "not_recorded", "contacts")
        }
        recorded = sums["present"] + sums["absent"] + sums["excused"]
        found[name] = GroupAttendance(
            planned=planned.get(name, 0), delivered=len(of_group),
            rate=sums["present"] / recorded if recorded else None,
            people=people[at], households=homes[at], completers=completers[at],
            contact_hours=hours((session, attended.contacts) for session, attended in of_group),
            own_sessions_completers=own_completers[at], **sums,
        )  # fmt: skip
    return found


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


def _totals(groups: Mapping[str, GroupAttendance], ledger: Ledger, kits: KitsGiven, completers: "Integers") -> Totals:
    roll, presents = ledger.roll, ledger.presents
    return Totals(
        sessions_planned=sum(group.planned for group in groups.values()),
        sessions_delivered=sum(group.delivered for group in groups.values()),
        contacts=len(presents.session),
        people=len(distinct(presents.person)),
        households=len(distinct(presents.home)),
        completers=len(completers),
        contact_hours=sum((group.contact_hours for group in groups.values()), Fraction(0)),
        kits_distributed=sum(kits.by_session.values()),
        kits_source=kits.source(kits.by_session),
        sessions_without_minutes=sum(session.minutes is None for session in roll.sessions),
    )


def _grid(ledger: Ledger, of_members: "Integers", completed: "Flags") -> tuple[MemberAttendance, ...]:
    """A letter a session and member; letters are laid out as the pairs are, member by member."""
    import numpy as np

    roll, pairs = ledger.roll, ledger.pairs
    mark = np.where(pairs.active, pairs.code, np.where(pairs.code == PRESENT, _VISIT, _NOT_EXPECTED))
    letters = np.frombuffer(_LETTERS, np.uint8)[mark].tobytes().decode("ascii")
    held = roll.held[roll.member_group].tolist()
    return tuple(
        MemberAttendance(
            member.participant, member.group, letters[first : first + meetings], present, expected, done
        )
        for member, first, meetings, present, expected, done in zip(
            roll.members, roll.first.tolist(), held, of_members[:, PRESENT].tolist(),
            of_members.sum(axis=1).tolist(), completed.tolist(), strict=True,
        )
    )  # fmt: skip


def _retention(ledger: Ledger, present: Sequence[int]) -> tuple[Retention, ...]:
    """How many were left at each of a group's sessions. present: by session, visits apart."""
    import numpy as np

    roll, presents = ledger.roll, ledger.presents
    own = presents.member >= 0
    last = np.full(len(roll.members), -1, np.int64)
    np.maximum.at(last, presents.member[own], roll.at[presents.session[own]])
    came = last >= 0
    wide = int(roll.held.max(initial=1))
    ends = np.bincount(roll.member_group[came] * wide + last[came], minlength=len(roll.groups) * wide)
    still = ends.reshape(-1, wide)[:, ::-1].cumsum(axis=1)[:, ::-1]
    by_place = np.lexsort((roll.at, roll.session_group))
    return tuple(
        Retention(
            roll.sessions[at].group, place + 1, present[at], int(still[group, place]), int(still[group, 0])
        )
        for at, group, place in zip(
            by_place, roll.session_group[by_place].tolist(), roll.at[by_place].tolist(), strict=True
        )
    )  # fmt: skip


def hours(attended: Iterable[tuple[Session, int]]) -> Fraction:
    """Contact hours of sessions and how many came; a session without minutes adds none."""
    return sum(((session.minutes or Fraction(0)) * came for session, came in attended), Fraction(0)) / 60
