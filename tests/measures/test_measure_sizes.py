"""The table of measures against pint, and the reading of it without pint."""

import csv
import subprocess
import sys
from fractions import Fraction

import pytest

from opsreport.measures import measure_sizes
from opsreport.measures.measure_sizes import HEADINGS, TABLE, defined, derived, size, table_rows
from opsreport.places import data_file


def test_the_table_is_what_pint_derives_from_the_definitions() -> None:
    with data_file(TABLE).open(encoding="utf-8", newline="") as lines:
        assert [tuple(row) for row in csv.reader(lines)] == [HEADINGS, *table_rows()]


@pytest.mark.parametrize("name", defined())
def test_a_size_read_from_the_table_is_exactly_pints(name: str) -> None:
    assert size(name) == derived(name)[0]
    assert type(size(name)) is Fraction


def test_what_the_table_does_not_name_is_asked_of_pint() -> None:
    """`lb` is the definitions' short sign for a pound, which the table has by its name alone."""
    assert "lb" not in defined()
    assert size("lb") == size("pound")


@pytest.mark.parametrize(
    ("exact", "written"),
    [(Fraction(5), "5"), (Fraction(29, 2), "14.5"), (Fraction(1, 8), "0.125"), (Fraction(1, 3), "1/3")],
)
def test_a_size_is_written_as_a_decimal_where_that_is_exact(exact: Fraction, written: str) -> None:
    assert measure_sizes._written(exact) == written
    assert Fraction(written) == exact


def test_a_conversion_in_known_measures_leaves_pint_alone() -> None:
    asked = (
        "import sys; from typing import get_args; from opsreport.measures.units import MeasureSet, factors;"
        "[factors(measures) for measures in get_args(MeasureSet)]; print('pint' in sys.modules)"
    )
    done = subprocess.run([sys.executable, "-c", asked], check=True, capture_output=True, text=True)
    assert done.stdout == "False\n"
