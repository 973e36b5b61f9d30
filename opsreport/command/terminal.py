"""Findings laid out for a terminal, sheet by sheet; alone in knowing rich.

Text of the workbook is never taken for markup, a link or a control code of the terminal.
"""

import contextlib
import io
from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import TYPE_CHECKING, Final

from opsreport.findings import Finding, by_sheet
from opsreport.rules import Severity

if TYPE_CHECKING:
    from rich.console import RenderableType

_COLOURS: Final = {Severity.ERROR: "bold red", Severity.WARNING: "yellow", Severity.NOTE: "cyan"}
_UNWRAPPED: Final = 1_000_000
"""A width at which no line is broken: whoever reads it from a pipe searches it line by line."""


def findings_lines(findings: Sequence[Finding], width: int | None = None, colour: bool = False) -> list[str]:
    """The findings under their sheets, two lines each where there is room, and their number.

    Args:
        width: of the terminal [characters]; None: lines are not broken.
        colour: whether escape codes may be written.
    """
    from rich.console import Console

    page = io.StringIO()
    console = Console(
        file=page, width=width or _UNWRAPPED, height=25,
        force_terminal=colour, color_system="standard" if colour else None,
        no_color=not colour, legacy_windows=False, markup=False, emoji=False, highlight=False, _environ={},
    )  # fmt: skip
    for part in _parts(findings, width):
        console.print(part, soft_wrap=width is None)
    return [line.rstrip() for line in page.getvalue().rstrip("\n").split("\n")]


def _parts(findings: Sequence[Finding], width: int | None) -> "Iterator[RenderableType]":
    """A heading and its findings a sheet; the number of all at the end."""
    from rich.text import Text

    for title, found in by_sheet(findings):
        yield Text(_plain(title), "bold")
        for finding in found:
            yield from _lines(finding, width)
        yield Text()
    yield Text(counted(findings), "bold")


def _lines(finding: Finding, width: int | None) -> "Iterator[RenderableType]":
    """What is wrong beside how bad it is, the remedy below; long lines hang under their beginning."""
    from rich.table import Table
    from rich.text import Text

    severity = Text(finding.severity.value, _COLOURS[finding.severity])
    where = f"{finding.cells_shown}: " if finding.place.cell else ""
    wrong = Text.assemble((where, "bold"), _plain(finding.message))
    fix = Text(f"→ {_plain(finding.fix)}")
    if width is None:
        yield Text("  ") + severity + Text(" " * (9 - len(severity))) + wrong
        yield Text(" " * 11) + fix
        return
    grid = Table.grid(padding=(0, 2, 0, 0), pad_edge=False)
    grid.add_column(width=0)
    grid.add_column(width=7, no_wrap=True)
    grid.add_column(overflow="fold")
    grid.add_row("", severity, wrong)
    grid.add_row("", "", fix)
    yield grid


@contextlib.contextmanager
def progress() -> Iterator[Callable[[str], None]]:
    """A line on standard error that says what a run is at, and goes when it ends; colours follow NO_COLOR."""
    from rich.console import Console
    from rich.text import Text

    with Console(stderr=True).status("Opening the workbook") as status:
        yield lambda step: status.update(Text(step))


def _plain(text: str) -> str:
    """Text in one line that cannot steer a terminal."""
    return "".join(
        sign if sign.isprintable() else " " if sign.isspace() else "\N{REPLACEMENT CHARACTER}" for sign in text
    )


def counted(findings: Iterable[Finding]) -> str:
    """`2 errors, 1 warning, 0 notes`."""
    found = Counter(finding.severity for finding in findings)
    words = [f"{found[severity]} {severity.value}{'' if found[severity] == 1 else 's'}" for severity in Severity]
    return ", ".join(words)
