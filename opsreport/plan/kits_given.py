"""What became of the kits of delivered sessions, reconciled with those packed for them."""

from collections import Counter
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from opsreport.plan.kits import spare_kits
from opsreport.plan.ledger import Ledger, distinct, gives_each
from opsreport.plan.people_model import SessionKitsGiven
from opsreport.programme import Programme, Session
from opsreport.sheets import PickUpRow

if TYPE_CHECKING:
    from opsreport.plan.ledger import Integers

GIVEN: Final = frozenset({"collected", "passed on"})
"""What became of a kit that was distributed."""


@dataclass(frozen=True, slots=True)
class KitsGiven:
    """Kits distributed, by session id, and how that is known.

    sessions: delivered ones of kits format and others with a record, with every kit accounted for.
    """

    by_session: Mapping[str, int]
    source: str
    recorded: bool
    sessions: tuple[SessionKitsGiven, ...]


def count_kits(programme: Programme, ledger: Ledger, kits_of: Callable[[Session], int]) -> KitsGiven:
    """Kits distributed, by session.

    Recorded in Pick-ups: those collected or passed on, whatever became of the session. Else, where the Kit
    column of Attendance is filled anywhere: delivered sessions' kits marked there or as `kit only`, one a
    household (a participant where the group gives each one a kit). Else the kits of delivered sessions. One
    source holds for the whole programme, so that groups, funders and totals add up.

    Args:
        kits_of: kits packed for the holders of a session that states its Kits.
    """
    sessions = ledger.roll.sessions
    packed = dict(zip((session.session for session in sessions), _packed(programme, ledger, kits_of), strict=True))
    fates: dict[str, Counter[str]] = {}
    if programme.pick_ups:
        fates = _fates(programme.pick_ups)
        given = {session: sum(many for fate, many in of.items() if fate in GIVEN) for session, of in fates.items()}
        source = "recorded in Pick-ups" + _missing(sessions, given)
    elif len(ledger.handed):
        given = {
            session.session: many for session, many in zip(sessions, ledger.handed.tolist(), strict=True) if many >= 0
        }
        fates = {session: Counter({"collected": many}) for session, many in given.items()}
        source = "recorded in Attendance" + _missing(sessions, given)
    else:
        given = packed
        source = "kits of delivered sessions; nobody recorded what became of them"
    accounts = tuple(
        _account(programme, session, packed[session.session], fates.get(session.session))
        for session in sessions
        if packed[session.session] or session.session in fates
    )
    return KitsGiven(given, source, bool(fates), accounts)


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
        0 if (group := programme.groups.get(session.group)) is None or not group.kits
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
    holder = np.where(own, roll.member_person[member], len(roll.people) + roll.member_household[member])
    most = len(roll.people) + len(roll.homes)
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


def _missing(delivered: Iterable[Session], given: Mapping[str, int]) -> str:
    none = sum(session.session not in given for session in delivered)
    return f"; {none} delivered sessions have no record" if none else ""
