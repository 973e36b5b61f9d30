"""A few of the workbooks of tests/fuzz/workbooks.py, which spoils as many as one likes."""

import sys
from pathlib import Path

import pytest
from support import written

sys.path.insert(0, str(Path(__file__).resolve().parent / "fuzz"))

from workbooks import SHEETS, spoilt, trouble

WHOLE = written(SHEETS)


@pytest.mark.parametrize("seed", [3, 9, 17, 26, 31, 42, 58, 64, 79, 91, 396, 488])
def test_a_spoilt_workbook_gives_findings_or_a_clean_refusal(tmp_path: Path, seed: int) -> None:
    file = tmp_path / "book.xlsx"
    file.write_bytes(spoilt(seed, WHOLE))
    wrong, _ = trouble(file, seed)
    assert wrong == ""


def test_the_workbook_unspoilt_is_checked_without_an_error(tmp_path: Path) -> None:
    file = tmp_path / "book.xlsx"
    file.write_bytes(WHOLE)
    assert trouble(file, 1) == ("", "checked, status 0")
