"""People broken down by what Enrolment says of them: age bands, towns, languages, a blank always `not stated`."""

import re
from collections.abc import Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

from opsreport.plan.people.ledger import Ledger, Roll, distinct
from opsreport.plan.people_model import BreakdownCounts
from opsreport.programme import Member, Programme
from opsreport.words import fold

if TYPE_CHECKING:
    from opsreport.plan.people.ledger import Integers

NOT_STATED: Final = "not stated"
MOST_VALUES: Final = 40
"""A column with more values than this is no way to break people down; it may well hold names."""
_PRIVATE: Final = re.compile(r"\b(name|names|participant|household|code|phone|e-?mail|address)\b")
"""Headings that people are never broken down by."""


@dataclass(frozen=True, slots=True)
class BreakdownColumn:
    """A Report-by column. values: as first spelt, in the order in which people count, `not stated` last.

    of_person: by number of the person, the place of their value: the first one stated in any group.
    """

    heading: str
    values: tuple[str, ...]
    of_person: "Integers"

    def counts(self, people: "Integers") -> list[int]:
        """How many of some people each value has. people: numbers, each once."""
        import numpy as np

        return list(np.bincount(self.of_person[people], minlength=len(self.values)).tolist())


def breakdown_columns(programme: Programme, roll: Roll) -> tuple[tuple[BreakdownColumn, ...], tuple[str, ...]]:
    """The columns that people can be broken down by, and the headings of those that would tell too much."""
    import numpy as np

    columns, unusable = [], []
    names = {fold(member.pick_up_name) for member in programme.members if member.pick_up_name}
    for heading in programme.settings.report_by:
        if _PRIVATE.search(fold(heading)):
            unusable.append(heading)
            continue
        written = _written(roll.members, heading)
        spelling: dict[str, str] = {}
        folded = {value: fold(value) for value in dict.fromkeys(written)}
        for value, key in folded.items():
            if key and key != NOT_STATED:
                spelling.setdefault(key, value.strip())
        if len(spelling) > MOST_VALUES or names & spelling.keys():
            unusable.append(heading)
            continue
        keys = sorted(spelling, key=_natural)
        place = {key: at for at, key in enumerate(keys)}
        places = {value: place.get(key, len(keys)) for value, key in folded.items()}
        of_member = np.fromiter(map(places.__getitem__, written), np.int64, len(written))
        of_person = np.full(len(roll.people), len(keys), np.int64)
        stated = np.flatnonzero(of_member < len(keys))[::-1]
        of_person[roll.member_person[stated]] = of_member[stated]  # of several, the first is written last
        columns.append(BreakdownColumn(heading, (*(spelling[key] for key in keys), NOT_STATED), of_person))
    return tuple(columns), tuple(unusable)


def broken_down(column: BreakdownColumn, ledger: Ledger, completers: "Integers") -> tuple[BreakdownCounts, ...]:
    """People, contacts and completers by value, of the whole programme. completers: numbers of people, each once."""
    people = distinct(ledger.presents.person)
    rows = zip(
        column.values, column.counts(people), column.counts(ledger.presents.person), column.counts(completers),
        strict=True,
    )  # fmt: skip
    return tuple(BreakdownCounts(*row) for row in rows)


def _written(members: Sequence[Member], heading: str) -> list[str]:
    """What stands in a column, member by member; headings match as everywhere, and few spellings of one occur."""
    wanted = fold(heading)
    names: dict[str, bool] = {}
    written = []
    for member in members:
        found = ""
        for name, value in member.extra.items():
            if name not in names:
                names[name] = fold(name) == wanted
            if names[name]:
                found = value
                break
        written.append(found)
    return written


def _natural(text: str) -> tuple[bool, int, bool, str]:
    """Sorts `under 5`, `5–7`, `14–17` as people count."""
    number = re.search(r"\d+", text)
    if number is None:
        return (True, 0, False, text)
    return (False, int(number[0]), not text.startswith(("under", "<", "less", "below")), text)
