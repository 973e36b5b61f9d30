"""What one workbook of several hands over to be added up: its figures, who came, and what its funders' documents count.

Small enough to be handed from process to process: one record a person who came, and nothing of single marks.
"""

from collections import Counter, defaultdict
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field
from fractions import Fraction
from functools import cached_property
from typing import TYPE_CHECKING

from opsreport.kinds import Share
from opsreport.money import Currency
from opsreport.plan.needs.kits import delivered_kits
from opsreport.plan.people.attendance import needed
from opsreport.plan.people.breakdowns import BreakdownColumn, breakdown_columns
from opsreport.plan.people.counts import Counts, Told, count, is_small
from opsreport.plan.people.counts_together import CountsTogether
from opsreport.plan.people.funding import Behind, behind_reports
from opsreport.plan.people.hiding import HIDDEN
from opsreport.plan.people.kits_given import count_kits
from opsreport.plan.people.ledger import Ledger, distinct, keep_ledger
from opsreport.plan.people.outcomes import Answers, gather
from opsreport.plan.people.overlaps import Overlaps
from opsreport.plan.people_model import BreakdownRow, FunderReport, PeoplePlan, Totals
from opsreport.programme import Programme
from opsreport.sheets import Settings
from opsreport.words import fold

if TYPE_CHECKING:
    from opsreport.plan.people.ledger import Integers

MEASURES = ("people", "completers", "households", "contacts", "kits")
"""Counts of a funder's document that small counts hide in."""


@dataclass(frozen=True, slots=True)
class Visit:
    """How often somebody came to sessions that a funder's document counts. group: that of all of them; '' where they
    are of several, or the person did not belong to it."""

    group: str
    contacts: int
    completer: bool


@dataclass(frozen=True, slots=True)
class Came:
    """Somebody who was present at least once. household: '' where none is stated. told: what else is said of them, by
    heading; all but `person` without case. visits: by number of the funder whose document counts them."""

    person: str
    household: str
    completer: bool
    told: Mapping[str, str]
    visits: Mapping[int, Visit] = field(default_factory=dict)

    @property
    def home(self) -> str:
        """The household; somebody without one is one of their own."""
        return self.household or fold(self.person)


@dataclass(frozen=True, slots=True)
class FunderPart:
    """What stands behind a funder's report of one workbook. groups: as named, with the funder's share. meetings: by
    group, sessions delivered and the presents that make a completer of them."""

    report: FunderReport
    groups: tuple[tuple[str, Fraction], ...]
    households: int
    kits: int
    meetings: Mapping[str, tuple[int, int]]
    answers: tuple[Answers, ...]

    @property
    def hidden(self) -> frozenset[str]:
        """Which of MEASURES its own document hides."""
        return frozenset(m.measure for m in self.report.measures if m.measure in MEASURES and m.value is None)


@dataclass(frozen=True, slots=True)
class Site:
    """What one workbook has to say. programme, term: from Settings. small: its Small count. funders: in the order of
    Funders. open: which of MEASURES may stand beside its funders' documents."""

    name: str
    programme: str
    term: str
    small: int
    totals: Totals
    came: tuple[Came, ...]
    completion: Share = Share()
    currency: Currency = field(default_factory=Currency)
    funders: tuple[FunderPart, ...] = ()
    open: frozenset[str] = frozenset()


def site_of(name: str, programme: Programme, people: PeoplePlan) -> Site:
    """One workbook's figures and everyone who came."""
    ledger = keep_ledger(programme)
    roll = ledger.roll
    completers = {member.participant for member in people.members if member.completer}
    told: dict[str, dict[str, str]] = defaultdict(dict)
    for member in roll.members:
        for heading, text in (("Name", member.name), *member.extra.items()):
            if fold(text):
                told[member.participant].setdefault(fold(heading), fold(text))
    kits = count_kits(programme, ledger, lambda session: delivered_kits(programme, session))
    behind = behind_reports(programme, ledger, kits, gather(programme))
    visits = [_visits(ledger, each.counts) for each in behind]
    came = []
    for at in distinct(ledger.presents.person).tolist():
        person, home = roll.people[at], roll.homes[roll.person_home[at]]
        household = "" if fold(home) == fold(person) else fold(home)
        seen = {funder: of[at] for funder, of in enumerate(visits) if at in of}
        came.append(Came(person, household, person in completers, told.get(person, {}), seen))
    settings = programme.settings
    funders = tuple(
        FunderPart(
            report, tuple((group.name or group.group, share) for group, share in each.groups), len(each.counts.homes),
            sum(each.kits.values()), _meetings(each, settings.completion), each.answers,
        )
        for report, each in zip(people.funders, behind, strict=True)
    )  # fmt: skip
    columns, _ = breakdown_columns(programme, roll)
    inside = _Inside(ledger, settings, came, funders, behind, kits.by_session, columns)
    return Site(
        name, settings.programme, settings.term, settings.small_count, people.totals, tuple(came), settings.completion,
        programme.currency, funders, inside.open(),
    )  # fmt: skip


def _visits(ledger: Ledger, counts: Counts) -> dict[int, Visit]:
    """By number of the person: what some sessions saw of them."""
    import numpy as np

    roll, presents = ledger.roll, ledger.presents
    names = {session.session for session in counts.sessions}
    chosen = np.array([session.session in names for session in roll.sessions], bool)[presents.session]
    person, member = presents.person[chosen], presents.member[chosen]
    group = np.where(member >= 0, roll.session_group[presents.session[chosen]], -1)
    times = np.bincount(person, minlength=len(roll.people))
    least, most = np.full(len(roll.people), len(roll.groups)), np.full(len(roll.people), -1)
    np.minimum.at(least, person, group)
    np.maximum.at(most, person, group)
    completed = _flags(counts.completers, len(roll.people))
    return {
        at: Visit(roll.groups[least[at]] if 0 <= least[at] == most[at] else "", int(times[at]), completed[at])
        for at in np.flatnonzero(times).tolist()
    }


def _flags(numbers: "Integers", size: int) -> list[bool]:
    import numpy as np

    flags = np.zeros(size, bool)
    flags[numbers] = True
    return list(flags.tolist())


def _meetings(behind: Behind, completion: Share) -> dict[str, tuple[int, int]]:
    held = Counter(session.group for session in behind.counts.sessions)
    return {group: (many, needed(completion, many)) for group, many in held.items()}


@dataclass(frozen=True)
class _Inside:
    """A workbook's own figures, as one more document beside those of its funders."""

    ledger: Ledger
    settings: Settings
    came: Sequence[Came]
    funders: Sequence[FunderPart]
    behind: Sequence[Behind]
    kits: Mapping[str, int]
    columns: Sequence[BreakdownColumn]

    def open(self) -> frozenset[str]:
        """Which of them may stand there: those of which no sort of people, households, contacts or kits, by the
        documents that count them, is few. Whatever a reader adds and subtracts is a sum of these. Where completers may
        not stand there, what is hidden of them must not follow from the others either (`counts_together`)."""
        closed = {measure for each in self.funders for measure in each.hidden}
        atoms = self._atoms()
        closed |= {
            measure
            for measure, numbers in atoms.items()
            if any(is_small(many, self._small) for many in numbers.values())
        }
        if "people" in closed:
            return frozenset()
        open_ = frozenset(MEASURES) - closed
        if "completers" in open_ and "contacts" in open_:
            return open_
        for left_out in ({"completers"}, {"completers", "contacts"}):
            if not self._tells(contacts="contacts" in open_ - left_out):
                return open_ - left_out
        return frozenset()

    @cached_property
    def _small(self) -> int:
        return max([self.settings.small_count, *(each.report.small_count for each in self.funders)])

    def _atoms(self) -> dict[str, Counter[object]]:
        """By measure, the numbers that it is a sum of, and the documents' are too."""
        atoms: dict[str, Counter[object]] = {measure: Counter() for measure in MEASURES}
        homes: dict[str, set[int]] = defaultdict(set)
        for one in self.came:
            homes[one.home] |= one.visits.keys()
            atoms["people"][frozenset(one.visits)] += 1
            completed = frozenset((at, visit.completer) for at, visit in one.visits.items())
            atoms["completers"][completed, one.completer] += 1
        atoms["households"].update(frozenset(documents) for documents in homes.values())
        inside = [{session.session for session in each.counts.sessions} for each in self.behind]
        for session, many in zip(self.ledger.roll.sessions, _contacts(self.ledger), strict=True):
            documents = frozenset(at for at, sessions in enumerate(inside) if session.session in sessions)
            atoms["contacts"][documents, session.minutes or Fraction(0)] += many
        for name, many in self.kits.items():
            atoms["kits"][frozenset(at for at, each in enumerate(self.behind) if name in each.kits)] += many
        return atoms

    def _tells(self, *, contacts: bool) -> bool:
        """Whether something hidden follows where people stand there, and contacts or not, and completers do not."""
        ledger, completion = self.ledger, self.settings.completion
        documents: dict[frozenset[str], tuple[Told, tuple[str, str], bool, Mapping[str, tuple[BreakdownRow, ...]]]] = {}
        for each, behind in zip(self.funders, self.behind, strict=True):
            told = Told(behind.counts, {}, (), {}, each.report.small_count)
            shown = {measure.measure: measure.shown for measure in each.report.measures}
            heads, seen = (shown["people"], shown["completers"]), "contacts" not in each.hidden
            documents[told.sessions] = (told, heads, seen, each.report.breakdowns)
        told = Told(count(ledger, completion, ledger.roll.groups), {}, (), {}, self.settings.small_count)
        documents.setdefault(told.sessions, (told, (f"{len(self.came):,}", HIDDEN), contacts, {}))
        of_all, labels, open_, breakdowns = zip(*documents.values(), strict=True)
        together = CountsTogether(of_all, Overlaps(ledger, completion, list(documents)))
        return together.tells(labels, open_) or any(
            together.tells_column(column, {
                at: {row.value: (row.people, row.completers) for row in of[column.heading]}
                for at, of in enumerate(breakdowns) if column.heading in of
            })
            for column in self.columns
        )  # fmt: skip


def _contacts(ledger: Ledger) -> list[int]:
    """By session."""
    import numpy as np

    return list(np.bincount(ledger.presents.session, minlength=len(ledger.roll.sessions)).tolist())
