"""A workbook file opened as plain cells with their places; the only reader that knows a file library.

The file is read into memory once and never touched again. What the library leaves out of its answer is
found in the sheet's own XML: cells that hold an error, formulas without a saved result, number formats.
"""

import contextlib
import io
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final

from opsreport.reading.ods_facts import ods_facts
from opsreport.reading.sheet_facts import MOST_CELLS, Cell, Facts, Faulty
from opsreport.reading.xlsx_facts import xlsx_facts
from opsreport.reading.zipped import LARGEST_FILE, Unusable, Zipped, damaged, too_large

__all__ = ["Cell", "Faulty", "Sheet", "Unusable", "Workbook", "open_workbook"]

MOST_SHEETS: Final = 400
MOST_PLACES: Final = 20_000_000
"""Rows times columns that one sheet may span."""


@dataclass(frozen=True)
class Sheet:
    """One sheet. rows: cells by row and column, from A1; a row may be shorter than others; a blank cell
    is '' or None. order: its place among the sheets, from 1. hidden: not shown in the tabs; hidden_rows: rows
    (1-based, in order) that a person or a filter has hidden."""

    name: str
    order: int
    rows: list[list[Cell]]
    formats: Callable[[], Mapping[tuple[int, int], str]] = field(default=dict, repr=False)
    hidden: bool = False
    hidden_rows: Sequence[int] = field(default=(), repr=False)
    _known: list[Mapping[tuple[int, int], str]] = field(default_factory=list, repr=False)

    def number_format(self, row: int, column: int) -> str:
        """The number format of a cell, 1-based; '' where it has none. The first question reads them all."""
        if not self._known:
            self._known.append(self.formats())
        return self._known[0].get((row, column), "")


@dataclass(frozen=True)
class Workbook:
    """An opened file: its sheets in order, hidden ones among them; ignored: (code, what) that was left alone."""

    path: Path
    sheets: tuple[Sheet, ...]
    ignored: tuple[tuple[str, str], ...] = ()


def open_workbook(path: Path) -> Workbook:
    """Open an .xlsx or .ods file.

    Raises:
        Unusable: one sentence that says why it cannot be read.
    """
    path = Path(path)
    content = _content(path)
    zipped = Zipped(content)
    names = set(zipped.parts)
    if zipped.read_start("mimetype").startswith(b"application/vnd.oasis.opendocument.spreadsheet"):
        zipped.look()
        return _opened(path, zipped, ods_facts(zipped))
    if any(name.endswith("xl/workbook.bin") for name in names):
        raise Unusable(f"{path.name} is a binary workbook (.xlsb): save it as .xlsx.")
    if not any(name.lower().endswith("workbook.xml") for name in names):
        raise Unusable(f"{path.name} is not a workbook: an .xlsx or .ods file is needed.")
    zipped.look()
    return _opened(path, zipped, xlsx_facts(zipped))


def _content(path: Path) -> bytes:
    """The whole file, read only, once it looks like a zipped workbook."""
    name = path.name
    try:
        if path.is_dir():
            raise Unusable(f"{name} is a folder: name the workbook inside it.")
        if not path.is_file():
            raise Unusable(f"There is no file {name}." if not path.exists() else f"{name} is not a plain file.")
        if path.stat().st_size > LARGEST_FILE:
            raise too_large()
        with path.open("rb") as file:
            content = file.read(LARGEST_FILE + 1)
    except FileNotFoundError:
        raise Unusable(f"There is no file {name}.") from None
    except OSError as error:
        why = "it is locked or may not be read" if isinstance(error, PermissionError) else "reading it failed"
        raise Unusable(f"{name} cannot be opened: {why}. Close it elsewhere and try again.") from None
    except ValueError:
        raise Unusable(f"There is no file {name!r}.") from None
    if len(content) > LARGEST_FILE:
        raise too_large()
    if content.startswith(b"PK"):
        return content
    if content.startswith(b"\xd0\xcf\x11\xe0"):
        if "EncryptedPackage".encode("utf-16-le") in content:
            raise Unusable(f"{name} is protected by a password: save a copy without one.")
        raise Unusable(f"{name} is in the old .xls format: save it as .xlsx.")
    if not content:
        raise Unusable(f"{name} is empty: save it again where it was made.")
    if path.suffix.lower() in (".csv", ".tsv", ".txt"):
        raise Unusable(f"{name} is a text file, one table: an .xlsx or .ods workbook is needed.")
    if path.suffix.lower() in (".xlsx", ".ods", ".xlsm"):
        raise Unusable(
            f"{name} is damaged, or no workbook in spite of its name: save it again as .xlsx where it was made."
        )
    raise Unusable(f"{name} is not a workbook: an .xlsx or .ods file is needed.")


def _opened(path: Path, zipped: Zipped, facts: Mapping[str, Facts]) -> Workbook:
    if len(facts) > MOST_SHEETS or sum(found.cells for found in facts.values()) > MOST_CELLS:
        raise too_large()
    if any(found.rows * found.columns > MOST_PLACES for found in facts.values()):
        raise too_large()
    zipped.forget()
    grids = _grids(zipped, facts)
    sheets = []
    for order, (name, rows) in enumerate(grids.items(), 1):
        found = facts.get(name, Facts())
        for (row, column), fault in found.faults.items():
            while len(rows) < row:
                rows.append([])
            rows[row - 1].extend([None] * (column - len(rows[row - 1])))
            rows[row - 1][column - 1] = fault
        sheets.append(Sheet(name, order, rows, found.formats, found.hidden, found.hidden_rows))
    return Workbook(path, tuple(sheets), _ignored(zipped))


def _ignored(zipped: Zipped) -> tuple[tuple[str, str], ...]:
    """Macros and links to other files or programs, none of which is ever run or followed."""
    names = [name.casefold() for name in zipped.parts]
    found = []
    if any(
        name.endswith("vbaproject.bin") or name.startswith(("basic/", "scripts/", "xl/macrosheets/")) for name in names
    ):
        found.append(("workbook-macros", "macros"))
    if any(name.startswith("xl/externallinks/") and name.endswith(".xml") for name in names):
        found.append(("workbook-links", "links to other files or programs"))
    return tuple(found)


def _grids(zipped: Zipped, facts: Mapping[str, Facts]) -> dict[str, list[list[Cell]]]:
    """Every sheet's cells by the sheet's name, in order.

    A newer error value (#SPILL!) ends the library's reading of its sheet; then it gets a copy in which
    error cells are texts. They are reported from the XML all the same.
    """
    try:
        return _read_grids(zipped.content)
    except _LibraryFailed:
        errors = [
            found.part for found in facts.values()
            if found.part and any(fault.kind == "error" for fault in found.faults.values())
        ]  # fmt: skip
        if not errors:
            raise damaged() from None
    as_text = {part: re.sub(rb'(<c [^>]*?)t="e"', rb'\1t="str"', zipped.read(part)) for part in errors}
    try:
        return _read_grids(zipped.with_parts(as_text))
    except _LibraryFailed:
        raise damaged() from None


class _LibraryFailed(Exception):  # noqa: N818 - never leaves this file
    """The file library gave up on the file."""


@contextlib.contextmanager
def _library() -> Iterator[None]:
    """Turn every way in which the library can fail into one; its panics are no `Exception`."""
    import python_calamine

    try:
        yield
    except (KeyboardInterrupt, SystemExit, GeneratorExit):
        raise
    except MemoryError:
        raise too_large() from None
    except python_calamine.PasswordError:
        raise Unusable("The workbook is protected by a password: save a copy without one.") from None
    except BaseException:
        raise _LibraryFailed from None


def _read_grids(content: bytes) -> dict[str, list[list[Cell]]]:
    import python_calamine

    grids: dict[str, list[list[Cell]]] = {}
    with _library():
        book = python_calamine.CalamineWorkbook.from_filelike(io.BytesIO(content))
        for about in book.sheets_metadata:
            if about.typ == python_calamine.SheetTypeEnum.WorkSheet:
                sheet = book.get_sheet_by_name(about.name)
                grids[about.name] = sheet.to_python(skip_empty_area=False)  # type: ignore[assignment]
    return grids
