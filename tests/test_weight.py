"""The demo's folder stays light enough to be sent: every page, and all files together."""

from pathlib import Path

import pytest

from opsreport.cli import main

DEMO = Path(__file__).resolve().parent.parent / "workbooks" / "fennelbridge-spring-2027.xlsx"
HEAVIEST_PAGE = 400_000
"""[bytes]"""
HEAVIEST_FOLDER = 3_000_000
"""[bytes]"""


@pytest.fixture(scope="module")
def folder(tmp_path_factory: pytest.TempPathFactory) -> Path:
    made = tmp_path_factory.mktemp("weight") / "out"
    assert main(["build", str(DEMO), "--out", str(made), "--quiet"]) == 0
    return made


def test_no_page_is_heavy(folder: Path) -> None:
    pages = {page.name: page.stat().st_size for page in folder.rglob("*.html")}
    assert len(pages) > 50
    assert {name: size for name, size in pages.items() if size > HEAVIEST_PAGE} == {}


def test_the_folder_is_light(folder: Path) -> None:
    assert sum(file.stat().st_size for file in folder.rglob("*") if file.is_file()) <= HEAVIEST_FOLDER
