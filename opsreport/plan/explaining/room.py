"""Room: how many more kits each session could get before anything more must be bought."""

from collections.abc import Mapping
from fractions import Fraction
from functools import partial

from opsreport.plan.explaining.replay import Replay, most_that
from opsreport.plan.model import FoodPlan, PlannedSession, Room, Variant
from opsreport.programme import Programme


def rooms(programme: Programme, plan: FoodPlan, replays: Mapping[str, Replay]) -> tuple[Room, ...]:
    """Every session's room, in the order of the plan, each with the others as planned.

    A further kit is like the session's standard one: no swaps, one batch where there is such a kit. It may take
    whatever is there in time and good for long enough, as long as every other kit of the term stays covered.
    """
    return tuple(_room(programme, session, replays) for session in plan.sessions if session.variants)


def _standard(session: PlannedSession) -> Variant:
    """The kit that a late enrolment would get: without swaps, of the fewest batches; else the commonest."""
    plain = [variant for variant in session.variants if not variant.swaps]
    return min(plain, key=lambda each: sum(each.batches.values(), Fraction(0)), default=session.variants[0])


def _room(programme: Programme, session: PlannedSession, replays: Mapping[str, Replay]) -> Room:
    """The foods in order of what is left of them at most, so that most need one look only."""
    variant = _standard(session)
    loss = 1 + programme.settings.packing_loss
    per_kit = {line.food: line.base * (1 if line.whole else loss) for line in variant.lines if line.base}
    most = {food: int(replays[food].left // amount) for food, amount in per_kit.items()}
    kits: int | None = None
    runs_out: list[str] = []
    for food in sorted(most, key=lambda food: (most[food], food)):
        if kits is not None and most[food] > kits and _serves(replays[food], session, per_kit[food], kits + 1):
            continue
        its = most_that(
            partial(_serves, replays[food], session, per_kit[food]),
            most[food] if kits is None else min(most[food], kits),
        )
        if kits is None or its < kits:
            kits, runs_out = its, [food]
        elif its == kits:
            runs_out.append(food)
    return Room(session.session, variant.letter, kits, tuple(sorted(runs_out)))


def _serves(replay: Replay, session: PlannedSession, per_kit: Fraction, kits: int) -> bool:
    return replay.covers({session.session: per_kit * kits})
