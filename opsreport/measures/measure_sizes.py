"""How large each measure of `data/measures.txt` is, exact; alone in knowing pint.

pint reads the definitions and derives the sizes, but its import takes longer than reading a workbook. So its answers
stand beside them in `data/measures.csv`, written by `python -m opsreport.measures.measure_sizes` and held to the
definitions by a test. Only for what that table does not name is pint asked.
"""

import csv
from collections.abc import Iterable, Mapping
from fractions import Fraction
from functools import cache
from typing import TYPE_CHECKING, Final

from opsreport.places import data_file

if TYPE_CHECKING:
    import pint

DEFINITIONS: Final = "measures.txt"
TABLE: Final = "measures.csv"
HEADINGS: Final = ("Measure", "Size", "Of")


def size(name: str) -> Fraction:
    """Size of one of a measure in its root unit [gram, milliliter or each].

    Raises:
        pint.UndefinedUnitError: a name that the definitions do not know; our mistake, workbooks never get here.
    """
    known = _table().get(name)
    return derived(name)[0] if known is None else known


@cache
def _table() -> Mapping[str, Fraction]:
    with data_file(TABLE).open(encoding="utf-8", newline="") as lines:
        return {row["Measure"]: Fraction(row["Size"]) for row in csv.DictReader(lines)}


@cache
def _registry() -> "pint.UnitRegistry[Fraction]":
    import pint

    return pint.UnitRegistry(str(data_file(DEFINITIONS)), non_int_type=Fraction)


def derived(name: str) -> tuple[Fraction, str]:
    """A measure's size and root unit as pint derives them from the definitions."""
    one = _registry().Quantity(Fraction(1), name).to_base_units()
    return Fraction(one.magnitude), str(one.units)


def defined() -> list[str]:
    """Every measure of the definitions by its own name, in their order."""
    lines = data_file(DEFINITIONS).read_text("utf-8").splitlines()
    return [line.partition("=")[0].strip() for line in lines if "=" in line and not line.startswith("#")]


def table_rows() -> Iterable[tuple[str, str, str]]:
    """The table's rows: the measure, its size as a decimal where that is exact, its root unit."""
    for name in defined():
        exact, root = derived(name)
        yield name, _written(exact), root


def _written(exact: Fraction) -> str:
    for places in range(20):
        if (exact * 10**places).denominator == 1:
            digits = str((exact * 10**places).numerator).rjust(places + 1, "0")
            return f"{digits[: len(digits) - places]}.{digits[len(digits) - places :]}".rstrip(".")
    return str(exact)


def rewrite() -> None:
    """Bring the table up to date with the definitions."""
    with data_file(TABLE).open("w", encoding="utf-8", newline="") as target:
        csv.writer(target, lineterminator="\n").writerows([HEADINGS, *table_rows()])


if __name__ == "__main__":
    rewrite()
