"""Foods that come and are packed in whole sealed units: of a case of cans, none stands opened.

What was first packed from is limited by Keeps open because its rest stands opened. The rest of a case from which whole
cans were taken does not: the cans in it are as sealed as before. So the limit is left away where a food is sold,
stocked and ordered in equal sealed units only, and every kit gets whole ones. Where one kit gets half a can, or one
pack is of another sort, it stands. A lot with an Opened date keeps its limit in any case.
"""

import dataclasses
from collections import defaultdict
from collections.abc import Iterable, Sequence
from fractions import Fraction

from opsreport.foods import Foods
from opsreport.plan.model import PlannedSession
from opsreport.programme import Lot, Offer, OnOrder, Programme


def with_sealed_units(programme: Programme, sessions: Sequence[PlannedSession]) -> Programme:
    """The programme with the foods marked of which no unit is opened before a kit gets it."""
    units: dict[str, set[Fraction | None]] = defaultdict(set)
    sources: tuple[Offer | Lot | OnOrder, ...] = (*programme.offers, *programme.lots, *programme.on_order)
    for source in sources:
        if source.base:
            whole = source.sealed is not None and not source.base % source.sealed
            units[source.food].add(source.sealed if whole else None)
    packed = _packed(sessions, 1 + programme.settings.packing_loss)
    marked = dict(programme.foods.by_name)
    for name, its_units in units.items():
        unit = its_units.pop() if len(its_units) == 1 else None
        if unit is not None and marked[name].keeps_open is not None and not any(each % unit for each in packed[name]):
            marked[name] = dataclasses.replace(marked[name], stays_sealed=True)
    return dataclasses.replace(programme, foods=Foods(marked, programme.foods.ids))


def _packed(sessions: Iterable[PlannedSession], loss: Fraction) -> defaultdict[str, set[Fraction]]:
    """Every amount in which a food is packed, as bought, with the loss that is bought for it."""
    found: defaultdict[str, set[Fraction]] = defaultdict(set)
    for session in sessions:
        for line in (*(line for variant in session.variants for line in variant.lines), *session.once):
            found[line.food].add(line.base * (1 if line.whole else loss))
    return found
