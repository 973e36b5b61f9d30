"""Which earlier run a new one is compared with, and that looking back never makes equal runs differ."""

import datetime as dt
import json
from pathlib import Path

import pytest
from plan.food_support import MONDAY, SHEETS
from support import written

from opsreport.cli import main
from opsreport.look_back import Since
from opsreport.reading.workbook import Unusable
from opsreport.run import Asked, Outcome, build

ANOTHER = {**SHEETS, "Stock": "Ingredient | Amount | Unit\nbean mix | 60 | g"}
THIRD = {**SHEETS, "Stock": "Ingredient | Amount | Unit\nbean mix | 30 | g"}


class Desk:
    """A folder with one workbook, built again and again."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.book = folder / "term.xlsx"

    def build(
        self, sheets: dict[str, str], out: str | None = None, day: dt.date = MONDAY, since: Since | None = None
    ) -> Outcome:
        self.book.write_bytes(written(sheets))
        target = None if out is None else self.folder / out
        return build(self.book, target, Asked(day, day, since=since or Since()))

    def files(self, out: str) -> dict[str, bytes]:
        folder = self.folder / out
        return {str(path.relative_to(folder)): path.read_bytes() for path in folder.rglob("*") if path.is_file()}


@pytest.fixture
def desk(tmp_path: Path) -> Desk:
    return Desk(tmp_path)


def since_of(outcome: Outcome) -> dt.date | None:
    return None if outcome.plan.changes is None else outcome.plan.changes.since


def test_the_first_run_has_nothing_to_look_back_at(desk: Desk) -> None:
    assert desk.build(SHEETS, "out").plan.changes is None
    assert b"no earlier run" in desk.files("out")["orders/changes.html"]


def test_a_run_made_again_into_its_folder_writes_the_same_bytes(desk: Desk) -> None:
    desk.build(SHEETS, "out")
    first = desk.files("out")
    assert desk.build(SHEETS, "out").plan.changes is None
    assert desk.files("out") == first
    desk.build(ANOTHER, "out")
    second = desk.files("out")
    assert json.loads(second["plan.json"])["changes"]["since"] == MONDAY.isoformat()
    for _ in range(2):
        desk.build(ANOTHER, "out")
        assert desk.files("out") == second


def test_the_newest_kept_folder_comes_first(desk: Desk) -> None:
    """SHEETS (out.1), ANOTHER (out.2), THIRD (out); SHEETS again is compared with THIRD, which stands newest."""
    for sheets in (SHEETS, ANOTHER, THIRD):
        desk.build(sheets, "out")
    outcome = desk.build(SHEETS, "out")
    assert outcome.plan.changes is not None
    assert outcome.plan.changes.needs == ()
    assert sorted(path.name for path in desk.folder.iterdir()) == ["out", "out.1", "out.2", "out.3", "term.xlsx"]
    before = json.loads((desk.folder / "out.3" / "plan.json").read_bytes())
    assert sum(float(order["total"]) for order in before["orders"]) * 100 == outcome.plan.changes.cost_before


def test_runs_named_after_the_workbook_and_the_day_are_found_beside_it(desk: Desk) -> None:
    desk.build(SHEETS)
    tuesday = desk.build(SHEETS, day=dt.date(2027, 1, 5))
    assert since_of(tuesday) == MONDAY
    assert since_of(desk.build(SHEETS, day=dt.date(2027, 1, 6))) == dt.date(2027, 1, 5)
    assert since_of(desk.build(ANOTHER, day=dt.date(2027, 1, 5))) == dt.date(2027, 1, 5)  # that day, not the later one


def test_what_is_no_run_of_this_workbook_is_passed_over(desk: Desk) -> None:
    other = {**SHEETS, "Sessions": "Session | Group | Date | Recipes\nz1 | g1 | @2027-01-11 | stew"}
    desk.build(other, "out")
    assert desk.build(SHEETS, "out").plan.changes is None
    for name, content in (("out.7", "no JSON"), ("out.8", "[]")):
        (desk.folder / name).mkdir()
        (desk.folder / name / "plan.json").write_text(content)
    assert desk.build(SHEETS, "out").plan.changes is None


def test_a_plan_asked_for_is_taken_even_where_it_says_the_same(desk: Desk) -> None:
    desk.build(SHEETS, "mine")
    desk.build(ANOTHER, "out")
    for path in (desk.folder / "mine", desk.folder / "mine" / "plan.json"):
        outcome = desk.build(SHEETS, "out", since=Since(path))
        assert outcome.plan.changes is not None
        assert outcome.plan.changes.orders == ()
    assert desk.build(SHEETS, "out", since=Since(never=True)).plan.changes is None


def test_the_path_asked_for_decides_no_byte(desk: Desk) -> None:
    desk.build(ANOTHER, "mine")
    desk.build(ANOTHER, "copy")
    found = []
    for name in ("mine", "copy"):
        desk.build(SHEETS, f"out-{name}", since=Since(desk.folder / name))
        found.append(desk.files(f"out-{name}"))
    assert found[0] == found[1]


def test_a_plan_that_cannot_be_used_is_refused_in_one_sentence(desk: Desk) -> None:
    desk.build(SHEETS, "out")
    before = desk.files("out")
    (desk.folder / "stopped").mkdir()
    plan = json.loads(before["plan.json"]) | {"buying": {}}
    (desk.folder / "stopped" / "plan.json").write_text(json.dumps(plan))
    for path in ("nowhere", "term.xlsx", "stopped"):
        with pytest.raises(Unusable):
            desk.build(SHEETS, "out", since=Since(desk.folder / path))
    assert desk.files("out") == before


def test_the_command_says_what_changed(desk: Desk, capsys: pytest.CaptureFixture[str]) -> None:
    desk.build(ANOTHER, "mine")
    desk.book.write_bytes(written(SHEETS))
    words = ["build", str(desk.book), "--as-of", MONDAY.isoformat(), "--out", str(desk.folder / "out")]
    assert main([*words, "--since", str(desk.folder / "mine")]) == 0
    assert "Since the run of Mon 4 Jan 2027: " in capsys.readouterr().out
    assert main([*words, "--since", "none"]) == 0
    assert "Since the run" not in capsys.readouterr().out
    assert main([*words, "--since", str(desk.folder / "gone")]) == 2
    assert "gone" in capsys.readouterr().err
