"""What became of the kits of delivered sessions, reconciled with those packed for them."""

from collections import Counter
from collections.abc import Callable, Collection, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from opsreport.plan.needs.kits import spare_kits
from opsreport.plan.people.ledger import Ledger, distinct, gives_each
from opsreport.plan.people_model import SessionKitsGiven
from opsreport.programme import Programme, Session
from opsreport.sheets import PickUpRow

if TYPE_CHECKING:
    from opsreport.plan.people.ledger import Integers

GIVEN: Final = frozenset({"collected", "passed on"})
"""What became of a kit that was distributed."""


@dataclass(frozen=True, slots=True)
class KitsGiven:
    """Kits distributed, by session id, and how that is known.

    recorded: the sheet that says what became of a session's kits, by session; packed: delivered sessions of kits format
    of which none does, so that their kits count. sessions: delivered ones of kits format and others with a record, with
    every kit accounted for.
    """

    by_session: Mapping[str, int]
    recorded: Mapping[str, str]
    packed: frozenset[str]
    sessions: tuple[SessionKitsGiven, ...]

    def source(self, sessions: Collection[str]) -> str:
        """How the kits of some sessions were counted; sessions where people cook at tables say nothing here."""
        sheets = sorted({self.recorded[session] for session in sessions if session in self.recorded}, reverse=True)
        silent = sum(session in self.packed for session in sessions)
        if not sheets:
            return "kits of delivered sessions; nobody recorded what became of them" if silent else "none were packed"
        said = f"recorded in {' and '.join(sheets)}"
        if not silent:
            return said
        return (
            f"{said}; for {silent} delivered session{'s' if silent > 1 else ''} without a record the kits packed count"
        )


def count_kits(programme: Programme, ledger: Ledger, kits_of: Callable[[Session], int]) -> KitsGiven:
    """Kits distributed, session by session.

    Where Pick-ups has rows of a session: those collected or passed on, whatever became of the session. Else, where
    the Kit column of Attendance is filled for it: kits marked there or as `kit only`, one a household (a participant
    where the group gives each one a kit). Else the kits packed for the holders of a delivered session.

    Args:
        kits_of: kits packed for the holders of a session that states its Kits.
    """
    sessions = ledger.roll.sessions
    packed = dict(zip((session.session for session in sessions), _packed(programme, ledger, kits_of), strict=True))
    fates = {
        session.session: Counter({"collected": many})
        for session, many in zip(sessions, ledger.handed.tolist() or [-1] * len(sessions), strict=True)
        if many >= 0
    }
    recorded = dict.fromkeys(fates, "Attendance")
    picked_up = _fates(programme.pick_ups)
    fates.update(picked_up)
    recorded.update(dict.fromkeys(picked_up, "Pick-ups"))
    silent = {
        session.session: packed[session.session]
        for session in sessions
        if session.session not in fates and _gives_kits(programme, session)
    }
    given = {session: sum(many for fate, many in of.items() if fate in GIVEN) for session, of in fates.items()}
    accounts = tuple(
        _account(programme, session, packed[session.session], fates.get(session.session))
        for session in sessions
        if packed[session.session] or session.session in fates
    )
    return KitsGiven(given | silent, recorded, frozenset(silent), accounts)


def _gives_kits(programme: Programme, session: Session) -> bool:
    group = programme.groups.get(session.group)
    return group is not None and group.kits


def _fates(rows: Iterable[PickUpRow]) -> dict[str, Counter[str]]:
    """What became of the kits, by session; a row that stands twice counts once."""
    fates: dict[str, Counter[str]] = {}
    for session, _, fate in dict.fromkeys((row.session, row.household, row.kit) for row in rows):
        fates.setdefault(session, Counter())[fate] += 1
    return fates


def _packed(programme: Programme, ledger: Ledger, kits_of: Callable[[Session], int]) -> "list[int]":
    """Kits for the holders of every delivered session, spare and demo kits apart."""
    holders = _holders(programme, ledger).tolist()
    return [
        0 if not _gives_kits(programme, session)
        else many if session.kits is None
        else kits_of(session)
        for session, many in zip(ledger.roll.sessions, holders, strict=True)
    ]  # fmt: skip


def _holders(programme: Programme, ledger: Ledger) -> "Integers":
    """Households (participants where each one gets a kit) with an active member, by session."""
    import numpy as np

    roll, pairs = ledger.roll, ledger.pairs
    session, member = pairs.session[pairs.active], pairs.member[pairs.active]
    own = gives_each(programme, roll)[roll.member_group[member]]
    holder = np.where(own, roll.member_person[member], roll.member_household[member])  # one sort a session
    most = max(len(roll.people), len(roll.homes))
    return np.bincount(distinct(session * most + holder) // max(most, 1), minlength=len(roll.sessions))


def _account(programme: Programme, session: Session, packed: int, fate: Counter[str] | None) -> SessionKitsGiven:
    """Every kit of a session. A group that does not get kits packs no spare or demo kits either."""
    group = programme.groups.get(session.group)
    spare, demo = (spare_kits(group, packed), group.demo) if group is not None and group.kits else (0, 0)
    if fate is None:
        return SessionKitsGiven(session.session, session.group, session.day, packed, spare, demo)
    return SessionKitsGiven(
        session.session, session.group, session.day, packed, spare, demo,
        fate["collected"], fate["passed on"], fate["left"], fate["discarded"],
        packed + spare - fate.total(),
    )  # fmt: skip
