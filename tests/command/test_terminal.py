"""Findings on a terminal: by sheet, as wide as it is, coloured only where asked, and never steering it."""

import re

import pytest
from support import read, term

from opsreport.command.terminal import findings_lines, progress
from opsreport.findings import Finding, Place, gathered

RECIPES = "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | onion | 1 | cupfull\nsoup | | onion | 1 | cupfull"
LONG = Finding(Place(1, "Stock", 2, 1), "cell-error", "#N/A " * 40)


def findings() -> list[Finding]:
    return gathered(read(term(Recipes=RECIPES, Stock="Ingredient | Amount\nonion | none left"))[1])


def test_plain_lines_by_sheet() -> None:
    lines = findings_lines(findings())
    assert [line for line in lines if line and not line.startswith(" ")] == [
        "Sheet Recipes", "Sheet Stock", "2 errors, 0 warnings, 0 notes",
    ]  # fmt: skip
    assert any(line.startswith("  error    E2:E3: ") and "cupfull" in line for line in lines)
    assert "\x1b" not in "".join(lines)


def test_a_pipe_gets_unbroken_lines() -> None:
    assert sum("#N/A" in line for line in findings_lines([LONG])) == 1


@pytest.mark.parametrize("width", [40, 80, 132])
def test_lines_wrap_to_the_terminal(width: int) -> None:
    lines = findings_lines([LONG, *findings()], width)
    assert max(map(len, lines)) <= width
    wrapped = [line for line in lines if "#N/A" in line]
    assert len(wrapped) > 1
    assert len({re.search(r"\S", line[9:]) is not None for line in wrapped[1:]}) == 1


def test_colour_only_where_asked() -> None:
    plain, coloured = findings_lines(findings(), 80), findings_lines(findings(), 80, colour=True)
    assert "\x1b[" in "".join(coloured)
    stripped = [re.sub(r"\x1b\[[0-9;]*m", "", line).rstrip() for line in coloured]
    assert stripped == plain


def test_input_is_neither_markup_nor_control_code() -> None:
    seen = "[red]x[/red] :smile: \x1b[31m\x07\x9b \u202eabc\nnext"
    for colour in (False, True):
        text = "\n".join(findings_lines([Finding(Place(1, "St\x1bock", 2, 1), "cell-error", seen)], 200, colour))
        assert "[red]x[/red] :smile:" in text
        assert "\x1b[31m\x07" not in text
        assert not {"\x07", "\x9b", "\u202e"} & set(text)
        assert "St\x1bock" not in text


def test_nothing_to_say() -> None:
    assert findings_lines([]) == ["0 errors, 0 warnings, 0 notes"]


def test_progress_goes_to_standard_error_and_takes_no_markup(capsys: pytest.CaptureFixture[str]) -> None:
    with progress() as tell:
        tell("Reading [bold]term.xlsx[/bold]")
    out, _ = capsys.readouterr()
    assert out == ""
