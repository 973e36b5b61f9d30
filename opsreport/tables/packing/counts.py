"""Count sheet: what should be on which shelf before packing begins, and room for what is really there."""

import datetime as dt
from collections.abc import Iterable
from dataclasses import dataclass
from fractions import Fraction
from typing import Final

from opsreport.sheets import STORAGES
from opsreport.tables.packing.day import PackingDay
from opsreport.tables.shelf_words import there_words
from opsreport.tables.table import Column, Row, Table

SHEET: Final = "Counts"
"""The sheet that `opsreport recount` reads; its headings are those of the workbook's Counts."""

_COLUMNS: Final = (
    Column("Ingredient", width=24),
    Column("Lot", width=21),
    Column("Place", "code", 12),
    Column("Good through", "date", 16),
    Column("Should be there", width=24),
    Column("Counted", "write-in", 12),
    Column("Unit", width=6),
)


@dataclass(frozen=True, slots=True)
class Shelved:
    """One lot or order that the day takes from. there: before anything is taken."""

    food: str
    lot: str
    place: str
    good_through: dt.date | None
    there: Fraction


def _told_apart(shelved: Iterable[Shelved]) -> Iterable[Shelved]:
    """Packs of one order that nobody can tell apart on a shelf, as one."""
    found: dict[tuple[str, str, str, dt.date | None], Fraction] = {}
    for each in shelved:
        key = (each.food, each.lot, each.place, each.good_through)
        found[key] = found.get(key, Fraction(0)) + each.there
    for key, there in found.items():
        yield Shelved(*key, there)


def count_sheet(day: PackingDay, shelved: Iterable[Shelved]) -> Table:
    """A line a lot or order, as the shelves are walked; the row below a food is for what stands elsewhere."""
    programme = day.programme
    lots = sorted(
        _told_apart(shelved),
        key=lambda lot: (STORAGES.index(programme.foods.by_name[lot.food].place_kept), lot.food.casefold()),
    )
    rows = tuple(
        Row(
            (
                lot.food,
                lot.lot,
                lot.place,
                lot.good_through,
                there_words(programme, lot.food, lot.there),
                None,
                piece.word if (piece := programme.pieces.get(lot.food)) is not None else programme.base_units[lot.food],
            )
        )
        for lot in lots
    )
    return Table(
        SHEET,
        "Count sheet: before anything is taken",
        _COLUMNS,
        rows,
        intro=(
            "Count only if something looks short, and then every lot of that food: write what is there, 0 where "
            "nothing is. A food blank on all its rows is taken to be there as planned. Cans and other pieces are "
            "counted, the rest is weighed, in the unit printed; in another, such as lb: cross out the unit and write "
            "yours.",
            f"Typed into this sheet of the spreadsheet:   opsreport recount WORKBOOK --day {day.day.isoformat()} "
            f"--counts {day.day.isoformat()}-pull-list.xlsx   says which kits can be full.",
        ),
        empty="Nothing is taken from a shelf.",
        page_break=True,
    )
