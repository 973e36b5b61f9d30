"""What volunteers hold in their hands on a packing day: one file a document."""

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

_SHEETS = (pull_list, stations, checklists, labels, roster, recipe_cards, instructor_sheets)


def packing_documents(programme: Programme, food: FoodPlan) -> list[Document]:
    """Every document of every packing day, in the order in which a day uses them; then those of no day."""
    made = [sheet(day) for day in packing_days(programme, food) for sheet in _SHEETS]
    return [*made, *([label_test_page(programme)] if made else []), *kits_handed_out(programme)]


__all__ = ["packing_documents"]
