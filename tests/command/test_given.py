"""Files that `*.xlsx` takes in beside workbooks, and several workbooks checked at once."""

import json
from pathlib import Path

import pytest
from support import CORE, written

from opsreport.cli import main
from opsreport.command.given import workbooks_of

FAULTY = {**CORE, "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 | cupful"}


@pytest.fixture
def folder(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A sound workbook that somebody has open, a faulty one, and one that is none."""
    monkeypatch.chdir(tmp_path)
    Path("sound.xlsx").write_bytes(written(CORE))
    Path("faulty.xlsx").write_bytes(written(FAULTY))
    Path("none.xlsx").write_bytes(b"no workbook")
    Path("~$sound.xlsx").write_bytes(b"\x04user")
    return tmp_path


@pytest.mark.parametrize("command", [["check"], ["build", "--as-of", "2027-02-08"]])
def test_the_mark_of_an_open_workbook_is_left_out_and_said(
    folder: Path, capsys: pytest.CaptureFixture[str], command: list[str]
) -> None:
    assert main([*command, "sound.xlsx", "~$sound.xlsx"]) == 0
    said = capsys.readouterr()
    assert "~$sound.xlsx is left out. It says that sound.xlsx is open in a spreadsheet program" in said.err
    assert main([*command, "~$sound.xlsx"]) == 2
    assert "is damaged, or no workbook" in capsys.readouterr().err


def test_only_the_marks_are_left_out() -> None:
    found, said = workbooks_of([Path("a/~$b.xlsx"), Path("a/b.xlsx"), Path("$~c.xlsx"), Path("~d.xlsx")])
    assert found == [Path("a/b.xlsx"), Path("$~c.xlsx"), Path("~d.xlsx")]
    assert len(said) == 1


def test_several_are_checked_each_by_itself_with_the_worst_status(
    folder: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["check", "sound.xlsx", "faulty.xlsx"]) == 1
    said = capsys.readouterr().out
    first, _, second = said.partition("faulty.xlsx:\n")
    assert first.startswith("sound.xlsx:\n\n")
    assert "0 errors" in first
    assert "cupful" in second
    assert main(["check", "none.xlsx", "faulty.xlsx", "sound.xlsx", "--as-of", "2027-02-08"]) == 2
    told = capsys.readouterr()
    assert "none.xlsx: none.xlsx is damaged" in told.err
    assert "cupful" in told.out, "one that cannot be used stops no other"


def test_json_of_several_is_by_workbook_and_of_one_a_list(folder: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["check", "faulty.xlsx", "--json"]) == 1
    alone = json.loads(capsys.readouterr().out)
    assert isinstance(alone, list)
    assert main(["check", "none.xlsx", "faulty.xlsx", "sound.xlsx", "--json"]) == 2
    of_all = json.loads(capsys.readouterr().out)
    assert list(of_all) == ["none.xlsx", "faulty.xlsx", "sound.xlsx"]
    assert of_all["none.xlsx"] is None
    assert of_all["faulty.xlsx"] == alone
    assert not any(finding["severity"] == "error" for finding in of_all["sound.xlsx"])
