"""The documentation's tables are those of SHEETS and RULES, and its commands are plain."""

import re
from pathlib import Path

import pytest

from opsreport.contract import contract_markdown, findings_markdown, rewrite, with_sections
from opsreport.rules import RULES
from opsreport.sheets import SHEETS

TOP = Path(__file__).resolve().parent.parent


@pytest.mark.parametrize("page", ["README.md", "DEVELOPERS.md"])
def test_page_is_current(page: str) -> None:
    text = (TOP / page).read_text("utf-8")
    assert with_sections(text) == text, f"run: python -m opsreport.contract {page}"


def test_every_column_and_code_is_told() -> None:
    told = contract_markdown()
    for spec in SHEETS.values():
        section = told.partition(f"#### {spec.name}")[2].partition("\n####")[0]
        for column in spec.columns:
            star = "\\*" if column.starred else ""
            assert re.search(rf"^\| {re.escape(column.heading)}{star} \|", section, re.MULTILINE), column.heading
    assert re.findall(r"^\| `([a-z-]+)`", findings_markdown(), re.MULTILINE) == list(RULES)


def test_only_the_sections_change() -> None:
    page = "before\n<!-- findings: made -->\nstale\n<!-- end of findings -->\nafter\n"
    assert with_sections(page) == (
        f"before\n<!-- findings: made -->\n\n{findings_markdown()}\n<!-- end of findings -->\nafter\n"
    )


@pytest.mark.parametrize("page", ["no marker", "<!-- sheets: made -->\nno end\n"])
def test_a_page_without_its_markers_is_refused(page: str, tmp_path: Path) -> None:
    (tmp_path / "page.md").write_text(page, "utf-8")
    with pytest.raises(ValueError, match="section"):
        rewrite(tmp_path / "page.md")
    assert (tmp_path / "page.md").read_text("utf-8") == page


def test_each_command_is_one_line_after_its_marker() -> None:
    commands = re.findall(r"<!-- command: (\w+) -->\n```sh\n(.+)\n```\n", (TOP / "README.md").read_text("utf-8"))
    assert [name for name, _ in commands] == ["build", "test"]
    for _, line in commands:
        assert line.startswith("python3 -m venv .venv && ")
