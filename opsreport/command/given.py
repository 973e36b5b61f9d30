"""Which of the files that a command is given are workbooks."""

from collections.abc import Sequence
from pathlib import Path
from typing import Final

_OPEN: Final = "~$"
"""How the name begins of what Excel puts beside a workbook while it is open. Common practice, no source."""


def workbooks_of(given: Sequence[Path]) -> tuple[list[Path], list[str]]:
    """Files without the marks of open workbooks, which `*.xlsx` takes in, and a sentence for each of these.

    Where nothing else is given, they stay, so that it is told what they are.
    """
    found = [path for path in given if not path.name.startswith(_OPEN)]
    if not found:
        return list(given), []
    said = [
        f"{path.name} is left out. It says that {path.name.removeprefix(_OPEN)} is open in a spreadsheet program: what "
        "is not saved there is not read."
        for path in given
        if path.name.startswith(_OPEN)
    ]
    return found, said
