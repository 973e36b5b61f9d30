"""Findings said at the cells of rows, for every rule that sees rows rather than cells."""

from collections.abc import Iterable, Mapping
from functools import cache
from typing import Any

from opsreport.findings import Finding
from opsreport.rules import Family
from opsreport.sheets import SHEETS
from opsreport.words import nearest


@cache
def _families_by_record() -> Mapping[type, frozenset[Family]]:
    return {spec.record: spec.families for spec in SHEETS.values()}


def said_at(row: Any, heading: str, code: str, seen: str, /, **details: str) -> Finding:
    """A finding at a row's cell."""
    families = _families_by_record().get(type(row), SHEETS["Settings"].families)
    return Finding(row.place.at(heading), code, seen, details, families)


def did_you_mean(word: str, options: Iterable[str], least: float = 65.0) -> str:
    """` Did you mean …?` with the nearest option, or nothing where none is near."""
    return maybe(nearest(word, options, least))


def maybe(near: str) -> str:
    """` Did you mean …?`, or nothing where nothing is near."""
    return f" Did you mean {near}?" if near else ""
