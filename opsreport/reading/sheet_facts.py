"""What a sheet's own XML says that the reading library leaves out: errors, formulas never calculated, formats."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from typing import Final, Literal
from xml.parsers import expat

from opsreport.kinds import CellValue
from opsreport.reading.zipped import damaged

MOST_CELLS: Final = 5_000_000


@dataclass(frozen=True, slots=True)
class Faulty:
    """A cell without a value to read: an error (`#N/A`) or a formula whose result was never saved."""

    kind: Literal["error", "unsaved"]
    text: str


Cell = CellValue | Faulty


@dataclass
class Facts:
    """What a sheet's XML says that the library does not. Places are 1-based (row, column)."""

    faults: dict[tuple[int, int], Faulty] = field(default_factory=dict)
    cells: int = 0
    texts: int = 0
    rows: int = 0
    columns: int = 0
    formats: Callable[[], Mapping[tuple[int, int], str]] = dict
    part: str = ""
    hidden: bool = False
    hidden_rows: list[int] = field(default_factory=list)


def column_number(letters: bytes) -> int:
    """b'A' -> 1, b'AB' -> 28."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number


def parse_xml(
    content: bytes,
    start: Callable[[str, dict[str, str]], None],
    end: Callable[[str], None],
    data: Callable[[str], None],
) -> None:
    parser = expat.ParserCreate()
    parser.buffer_text = True
    parser.StartElementHandler = start
    parser.EndElementHandler = end
    parser.CharacterDataHandler = data
    try:
        parser.Parse(content, True)
    except expat.ExpatError:
        raise damaged() from None
