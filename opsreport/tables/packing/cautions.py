"""Food-safety sentences of the packing documents, with their sources; labels and local codes decide."""

from typing import Final

from opsreport.programme import Programme
from opsreport.tables.naming import in_local_degrees
from opsreport.tables.table import Prose

DEFER: Final = "The product's own label, your local food code and licensed practice come before anything printed here."
_COLD: Final = (
    "Cold food stays at 41 °F (5 °C) or below: take it out last, pack it quickly, put it straight back. "
    "Never more than 2 hours out of the fridge, 1 hour where it is above 90 °F (32 °C). Sources: FDA Food Code "
    "3-501.16; USDA FSIS, the two-hour rule."
)
_KEEP_COLD: Final = "Keep at 41 °F (5 °C) or below"
HANDS: Final = (
    "Wash hands with soap and running water before you start, when you change tasks, and after raw egg, "
    "meat, poultry or fish. Stay away from food while you are ill."
)
HANDS_SOURCE: Final = "Sources: FDA Food Code 2-301.14 and 2-201.11."
RAW_APART: Final = "Raw meat, poultry, fish and eggs: bag each by itself, below and away from food eaten raw."
RAW_SOURCE: Final = "Source: FDA Food Code 3-302.11."
ALLERGENS: Final = (
    "Pack this section after everything else. Wipe the table, wash hands, take fresh gloves and clean tools; "
    "one tool a food; clean again before the next food. Close each bag before you open the next package. "
    "Whoever is done elsewhere may join in, a food each."
)
ALLERGENS_SOURCE: Final = (
    "The allergens are those on record for each food: the nine of US law (21 USC 321(qq), 343(w)) and others "
    "the coordinator marked. Compare every package's label; where it names more, stop and ask."
)
LABELS: Final = "Read the packages' labels."
_HOME: Final = (
    "Wash hands with soap and running water before cooking and after raw egg, meat, poultry or fish. Put "
    "cold food in the fridge at once: at most 2 hours out, 1 hour above 90 °F (32 °C). Read the packages' "
    "labels. (FDA Food Code 2-301.14; USDA FSIS.)"
)


def cold_caution(programme: Programme) -> str:
    """How cold, how long outside, with the sources."""
    return in_local_degrees(_COLD, programme)


def keep_cold(programme: Programme) -> str:
    """What stands on a kit that holds cold food."""
    return in_local_degrees(_KEEP_COLD, programme)


def home_caution(programme: Programme) -> str:
    """What a family must know that cooks from a card."""
    return in_local_degrees(_HOME, programme)


def table_cautions(programme: Programme) -> Prose:
    """What everyone at the packing tables must know first."""
    return Prose(
        (f"{HANDS} {HANDS_SOURCE}", cold_caution(programme), f"{RAW_APART} {RAW_SOURCE}", DEFER),
        "Before you start",
        "caution",
    )
