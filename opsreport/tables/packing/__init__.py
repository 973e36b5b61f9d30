"""What volunteers hold in their hands on a packing day: one file a document."""

from collections.abc import Sequence

from opsreport.plan.model import FoodPlan
from opsreport.programme import Programme
from opsreport.tables.packing.checklists import checklists
from opsreport.tables.packing.day import packing_days
from opsreport.tables.packing.handed_out import kits_handed_out
from opsreport.tables.packing.instructor import instructor_sheets
from opsreport.tables.packing.labels import label_test_page, labels
from opsreport.tables.packing.pull_list import pull_list
from opsreport.tables.packing.recipe_cards import recipe_cards
from opsreport.tables.packing.roster import roster
from opsreport.tables.packing.stations import stations
from opsreport.tables.table import Document

_OF_KITS = (stations, checklists, labels, roster, recipe_cards, instructor_sheets)


def kit_documents(programme: Programme, kits: FoodPlan) -> list[Document]:
    """What rests on the kits alone, by day, so that it can be made before anything is ordered.

    Args:
        kits: of which only the sessions are looked at.
    """
    return [sheet(day) for day in packing_days(programme, kits) for sheet in _OF_KITS]


def packing_documents(
    programme: Programme, food: FoodPlan, of_kits: Sequence[Document] | None = None
) -> list[Document]:  # fmt: skip
    """Every document of every packing day, in the order in which a day uses them; then those of no day.

    Args:
        of_kits: the plan's `kit_documents`, where they have been made already.
    """
    of_kits = kit_documents(programme, food) if of_kits is None else of_kits
    made: list[Document] = []
    for number, day in enumerate(packing_days(programme, food)):
        made += [pull_list(day), *of_kits[number * len(_OF_KITS) : (number + 1) * len(_OF_KITS)]]
    return [*made, *([label_test_page(programme)] if made else []), *kits_handed_out(programme)]


__all__ = ["kit_documents", "packing_documents"]
