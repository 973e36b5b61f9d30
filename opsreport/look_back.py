"""The earlier run that a new one is compared with: the one asked for, or the newest in the same place.

A run that says the same about the same day is this run over again, not an earlier one, and is passed over. So a run
made twice into one folder looks back at the same run both times, and writes the same bytes.
"""

import datetime as dt
import json
import re
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from opsreport.earlier import PLAN_FILE, plan_file
from opsreport.plan.explaining.earlier import EarlierPlan, earlier_plan
from opsreport.plan.model import Plan
from opsreport.reading.workbook import Unusable
from opsreport.write.json_file import food_figures


@dataclass(frozen=True, slots=True)
class Since:
    """What a run is compared with. path: an earlier plan.json or its folder; never: with nothing. of_several: whether
    the run's folder is one of several workbooks', which are kept together with the folder that holds them."""

    path: Path | None = None
    never: bool = False
    of_several: bool = False


def earlier_run(since: Since, folder: Path, stem: str, plan: Plan, sessions: frozenset[str]) -> EarlierPlan | None:
    """The plan to compare with, or None.

    Args:
        folder: where the new run will stand; it, and the folders kept under its name with a number, are looked at, or
            those of its name in folders kept under the name of the one that holds it.
        stem: of the names `STEM-2027-02-08` in which this workbook's runs stand beside that folder; '' for none.
        plan: the new run's, for the day and for telling a run that is this one over again.
        sessions: ids of the workbook's sessions; a run that shares none was of another workbook.
    Raises:
        Unusable: the plan asked for cannot be read, or holds no orders.
    """
    if since.never:
        return None
    if since.path is not None:
        return _asked_for(since.path)
    figures: dict[str, Any] | None = None
    for place in _places_of_several(folder) if since.of_several else _places(folder, stem):
        told = _read(place / PLAN_FILE)
        earlier = earlier_plan(told)
        if earlier is None or earlier.as_of > plan.as_of or not sessions & {*earlier.sessions, *earlier.packed}:
            continue
        figures = figures or food_figures(plan)
        if any(told.get(key) != value for key, value in figures.items()):
            return earlier
    return None


def _asked_for(path: Path) -> EarlierPlan:
    earlier = earlier_plan(_read(plan_file(path)))
    if earlier is None:
        raise Unusable(f"{path} is no {PLAN_FILE} with orders in it, so nothing can be compared with it.")
    return earlier


def _read(file: Path) -> Any:
    """A JSON file's content; None where there is none that can be read."""
    try:
        return json.loads(file.read_text("utf-8"))
    except (OSError, ValueError):
        return None


def _places(folder: Path, stem: str) -> Iterator[Path]:
    """Folders in which an earlier run may stand, the newest first: by the day in their names, then one without a
    number before one kept under a number, the highest number first."""
    named = re.compile(rf"{re.escape(stem)}-(\d{{4}}-\d\d-\d\d)(?:\.(\d+))?" if stem else r"(?!)")
    kept = re.compile(rf"{re.escape(folder.name)}(?:\.(\d+))?")
    found: list[tuple[str, float, str, Path]] = []
    try:
        beside = list(folder.parent.iterdir())
    except OSError:
        return
    for place in beside:
        if dated := named.fullmatch(place.name):
            found.append((dated[1], _rank(dated[2]), place.name, place))
        elif own := kept.fullmatch(place.name):
            found.append((dt.date.max.isoformat(), _rank(own[1]), place.name, place))
    yield from (place for *_, place in sorted(found, reverse=True))


def _places_of_several(folder: Path) -> Iterator[Path]:
    """The same for one of several workbooks that are kept together."""
    return (held / folder.name for held in _places(folder.absolute().parent, ""))


def _rank(number: str | None) -> float:
    return float("inf") if number is None else float(number)
