"""What several funders may be told of the same people: every document is held to what the others say.

Two documents whose sessions are the same say the same. Where the sessions of one are part of another's, so are its
people, and a reader of both can take one figure from the other: the difference is a count as well.
"""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from itertools import combinations

from opsreport.kinds import Share
from opsreport.plan.people.counts import Sessions, Told, is_small
from opsreport.plan.people.counts_together import CountsTogether
from opsreport.plan.people.hiding import Known, KnownOfPeople, PrintedPeople, hide_people
from opsreport.plan.people.ledger import Ledger
from opsreport.plan.people.overlaps import Overlaps


@dataclass(frozen=True, slots=True)
class Shown:
    """What may be printed of one choice of sessions."""

    people: PrintedPeople
    households: bool
    contacts: bool
    kits: bool


def smalls(own: Sequence[int], sessions: Sequence[Sessions]) -> list[int]:
    """The small count of each document: the largest of all that are linked by sessions of which one has all of the
    other's, so that no document shows what another hides.

    Args:
        own: the funders' own small counts. sessions: of their documents.
    """
    linked = [{at} for at in range(len(own))]
    for one, other in combinations(range(len(own)), 2):
        a, b = sessions[one], sessions[other]
        if a and b and (a <= b or b <= a):
            joint = linked[one] | linked[other]
            for at in joint:
                linked[at] = joint
    return [max(own[at] for at in together) for together in linked]


def show_all(told: Sequence[Told], ledger: Ledger, completion: Share) -> list[Shown]:
    """What may be printed of each, given all the others."""
    distinct = list({each.sessions: each for each in told}.values())
    linked = any(one.sessions & other.sessions for one, other in combinations(distinct, 2))
    people = [_people(each, distinct) for each in distinct]
    contacts = _contacts(distinct, people)
    together = CountsTogether(distinct, Overlaps(ledger, completion, [each.sessions for each in distinct]))
    if linked:
        people, contacts = together.people_and_contacts(people, contacts)
    households = [
        shown.shows_people and not is_small(len(each.counts.homes), each.small) and not _households_tell(each, distinct)
        for each, shown in zip(distinct, people, strict=True)
    ]
    if linked:
        households = together.households(households)
    contacts = [seen and may for seen, may in zip(contacts, _contacts(distinct, people), strict=True)]
    kits = [
        not is_small(each.all_kits, each.small) and (not each.all_kits or (shown.shows_people and homes))
        for each, shown, homes in zip(distinct, people, households, strict=True)
    ]
    contacts = together.contacts(contacts)
    if linked:
        kits = together.kits(kits)
    by_sessions = {
        each.sessions: Shown(people[at], households[at], contacts[at], kits[at]) for at, each in enumerate(distinct)
    }
    return [by_sessions[each.sessions] for each in told]


def _contacts(told: Sequence[Told], people: Sequence[PrintedPeople]) -> list[bool]:
    """Whether each document's contacts may be shown for all that it says itself."""
    return [
        not is_small(each.counts.contacts, each.small) and shown.shows_people and _completers_stay_open(each, shown)
        for each, shown in zip(told, people, strict=True)
    ]


def _people(each: Told, others: Iterable[Told]) -> PrintedPeople:
    """People and completers, held to the documents that are part of this one, and of which this one is part."""
    parts = [other for other in others if other.sessions < each.sessions]
    wholes = [other for other in others if other.sessions > each.sessions]
    head = _known(
        len(each.counts.people),
        [len(part.counts.people) for part in parts],
        [len(whole.counts.people) for whole in wholes],
        each.small,
    )
    rows = {heading: list(of) for heading, of in each.rows.items()}
    cells = {
        heading: [
            _known(
                people,
                [part.people_of(heading, value) for part in parts],
                [whole.people_of(heading, value) for whole in wholes],
                each.small,
            )
            for value, people, _ in of
        ]
        for heading, of in rows.items()
    }
    return hide_people(
        len(each.counts.people),
        len(each.counts.completers),
        {heading: [(people, completers) for _, people, completers in of] for heading, of in rows.items()},
        each.small,
        KnownOfPeople(head, cells),
    )


def _known(value: int, of_parts: Sequence[int], of_wholes: Sequence[int], small: int) -> Known:
    """What the other documents' counts say of one, and whether it lies a small number below one of them."""
    secret = any(is_small(whole - value, small) for whole in of_wholes) and value > 0
    return Known(max(of_parts, default=0), min(of_wholes, default=None), secret)


def _households_tell(each: Told, others: Iterable[Told]) -> bool:
    """Whether the households of a document that this one is part of are only a few more."""
    return any(
        is_small(len(other.counts.homes) - len(each.counts.homes), each.small)
        for other in others
        if other.sessions > each.sessions and len(each.counts.homes)
    )


def _completers_stay_open(each: Told, shown: PrintedPeople) -> bool:
    """Whether a hidden number of completers stays open beside the contacts.

    A completer came `least_presents` times at least and everybody else once, so contacts bound the completers from
    above; one who is none missed some sessions, so they bound them from below.
    """
    if shown.shows_completers or not shown.shows_people:
        return True
    counts = each.counts
    people, completers, needed = len(counts.people), len(counts.completers), counts.least_presents
    most = min(people, (counts.contacts - people) // (needed - 1)) if needed > 1 else people
    held = len(counts.sessions)
    least = 0
    if held >= needed:
        least = max(0, -(-(counts.contacts - people * (needed - 1)) // (held - needed + 1)))
    return least < completers < most
