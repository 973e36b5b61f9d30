"""Whom planned kits may harm although each is right for those it is made for, as findings; food opened too early."""

import dataclasses
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from opsreport.findings import Finding
from opsreport.foods import Food
from opsreport.plan.dates import opened_limit
from opsreport.plan.model import PlannedSession
from opsreport.plan.needs.kits import lines_from_home, members_on
from opsreport.programme import Member, Programme
from opsreport.shown import day_words


def beyond_kits(programme: Programme, sessions: Sequence[PlannedSession]) -> list[Finding]:
    """Warnings that rest on the kits alone; whose needs a kit must meet stays as it is.

    Findings: housemate-need-not-met, home-food-against-need, swap-against-need-in-room, opened-before-session.
    """
    return [
        *_housemates(programme, sessions),
        *_from_home(programme, sessions),
        *_in_one_room(programme, sessions),
        *_opened_early(programme, sessions),
    ]


def _against(food: Food, member: Member) -> list[str]:
    """The needs of a member that a food conflicts with, as typed."""
    return [need.text for need in member.needs if need.covers & food.atoms]


# --- who lives with those a kit is made for ---


@dataclasses.dataclass(slots=True)
class _Carried:
    """What kits carry to one member of a household: needs and foods met, the codes of those whose kits they are."""

    needs: dict[str, None] = dataclasses.field(default_factory=dict)
    foods: dict[str, None] = dataclasses.field(default_factory=dict)
    holders: dict[str, None] = dataclasses.field(default_factory=dict)


def _housemates(programme: Programme, sessions: Iterable[PlannedSession]) -> Iterator[Finding]:
    """Household members whose needs a kit that is carried to their home need not meet; once a member."""
    households: dict[str, list[Member]] = defaultdict(list)
    for member in programme.members:
        if member.needs:
            households[member.household].append(member)
    carried: dict[tuple[str, str], _Carried] = {}
    for session in sessions:
        group = programme.groups[session.group]
        holders: dict[str, list[Member]] = defaultdict(list)
        for member in members_on(programme, programme.sessions[session.session]):
            holders[member.participant if group.kit_for_participant else member.household].append(member)
        for variant in session.variants:
            foods = [programme.foods.by_name[line.food] for line in variant.lines]
            for holder in variant.holders:
                served = holders[holder]
                for mate in households.get(served[0].household, []) if served else []:
                    if mate in served:
                        continue
                    for food in foods:
                        if needs := _against(food, mate):
                            found = carried.setdefault((mate.participant, mate.group), _Carried())
                            found.needs |= dict.fromkeys(needs)
                            found.foods[food.name] = None
                            found.holders |= dict.fromkeys(member.participant for member in served)
    for mate in programme.members:
        if (mate.participant, mate.group) in carried:
            found = carried[mate.participant, mate.group]
            details = {
                "household": mate.household, "person": mate.participant, "foods": ", ".join(found.foods),
                "holders": ", ".join(found.holders), "why": _why_not(mate, found),
            }  # fmt: skip
            yield Finding(mate.needs_place, "housemate-need-not-met", "; ".join(found.needs), details)


def _why_not(mate: Member, carried: _Carried) -> str:
    holders = ", ".join(carried.holders)
    if mate.status != "active":
        return f"they are {mate.status}, so the kits of {holders} need not meet their needs"
    return f"the kits are those of {holders} and need meet their own needs only"


# --- what recipes take from home ---


def _from_home(programme: Programme, sessions: Iterable[PlannedSession]) -> Iterator[Finding]:
    """Food from home, or to taste, that someone who makes the recipe must not get, and no swap for it."""
    for session in sessions:
        open_foods = {made.food for variant in session.variants for made in variant.home if not made.instead}
        meeting = programme.sessions[session.session]
        for recipe, line in lines_from_home(programme, meeting) if open_foods else []:
            if line.food not in open_foods:
                continue
            for member in members_on(programme, meeting):
                if needs := _against(programme.foods.by_name[line.food], member):
                    details = {
                        "household": member.household, "ingredient": line.food, "recipe": recipe,
                        "session": session.session,
                    }  # fmt: skip
                    yield Finding(member.needs_place, "home-food-against-need", "; ".join(needs), details)


# --- tables of one room ---


def _in_one_room(programme: Programme, sessions: Iterable[PlannedSession]) -> Iterator[Finding]:
    """A substitute at one table that someone at another one must not get."""
    for session in sessions:
        if programme.groups[session.group].kits:
            continue
        for variant in session.variants:
            for line in variant.lines:
                for member in members_on(programme, programme.sessions[session.session]) if line.instead_of else ():
                    needs = _against(programme.foods.by_name[line.food], member)
                    if needs and member.participant not in variant.seated:
                        details = {
                            "ingredient": line.food, "food": ", ".join(line.instead_of), "session": session.session,
                            "person": member.participant,
                        }  # fmt: skip
                        yield Finding(member.needs_place, "swap-against-need-in-room", "; ".join(needs), details)


# --- dates ---


def _opened_early(programme: Programme, sessions: Iterable[PlannedSession]) -> Iterator[Finding]:
    """Food out of opened packs that is not good any more on the day of the session."""
    for session in sessions:
        lines = {line.food: line for variant in session.variants for line in variant.lines if line.portioned}
        for name in lines:
            food = programme.foods.by_name[name]
            limit = opened_limit(session.packing_day, food.keeps_open)
            if limit is not None and limit < session.day:
                details = {
                    "packed": day_words(session.packing_day), "session": session.session,
                    "day": day_words(session.day), "days": str(food.keeps_open),
                }  # fmt: skip
                yield Finding(programme.sessions[session.session].place, "opened-before-session", name, details)
