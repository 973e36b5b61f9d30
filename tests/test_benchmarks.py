"""The benchmark of buying still runs: a small term, the words it prints and nothing of its times."""

import sys
from pathlib import Path

import pytest

sys.path.insert(0, str(Path(__file__).resolve().parent / "benchmarks"))

import buying


@pytest.mark.parametrize("opened", [False, True])
def test_buying_is_measured_beside_the_plain_programme(capsys: pytest.CaptureFixture[str], opened: bool) -> None:
    buying.measure(4, 3, 2, ["short"], opened=opened)
    said = capsys.readouterr().out
    assert said.startswith("4 foods, 3 weeks, 2 groups")
    assert ("plain programme" in said) is not opened
    assert "--effort short" in said
