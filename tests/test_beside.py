"""Work done beside the main process gives what it gives without."""

import os

import pytest

from opsreport.beside import Beside


def squared(number: int) -> int:
    return number * number


def ready() -> None:
    """Nothing to load."""


def ends() -> None:
    """A helper that dies."""
    os._exit(3)


def refused(number: int) -> int:
    raise ValueError(f"{number} is refused")


@pytest.mark.parametrize("helpers", [0, 1, 2])
def test_results_come_in_order_whoever_worked_them_out(helpers: int) -> None:
    with Beside(helpers, ready) as beside:
        assert beside.start(squared, 12).result() == 144
        begun = [beside.start(squared, number) for number in range(20)]
        assert [each.result() for each in reversed(begun)] == [number * number for number in reversed(range(20))]


@pytest.mark.parametrize("helpers", [0, 1])
def test_an_error_in_the_work_is_an_error_here(helpers: int) -> None:
    with Beside(helpers, ready) as beside, pytest.raises(ValueError, match="7 is refused"):
        beside.start(refused, 7).result()


def test_a_helper_that_dies_is_done_without() -> None:
    with Beside(1, ends) as beside:
        assert [each.result() for each in [beside.start(squared, number) for number in range(5)]] == [0, 1, 4, 9, 16]
