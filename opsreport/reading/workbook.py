"""A workbook file opened as plain cells with their places; the only reader that knows a file library.

The file is read into memory once and never touched again. What the library leaves out of its answer is
found in the sheet's own XML: cells that hold an error, formulas without a saved result, number formats.
"""

import contextlib
import io
import posixpath
import re
import xml.etree.ElementTree as ET
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Final, Literal
from xml.parsers import expat

from opsreport.kinds import CellValue
from opsreport.reading.zipped import LARGEST_FILE, Unusable, Zipped, damaged, too_large

__all__ = ["Cell", "Faulty", "Sheet", "Unusable", "Workbook", "open_workbook"]

MOST_SHEETS: Final = 400
MOST_CELLS: Final = 5_000_000
MOST_PLACES: Final = 20_000_000
"""Rows times columns that one sheet may span."""
MOST_TEXT: Final = 1 << 30
"""Bytes: the longest shared text times the cells that may show it."""


@dataclass(frozen=True, slots=True)
class Faulty:
    """A cell without a value to read: an error (`#N/A`) or a formula whose result was never saved."""

    kind: Literal["error", "unsaved"]
    text: str


Cell = CellValue | Faulty


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
        return _opened(path, zipped, _ods_facts(zipped))
    if any(name.endswith("xl/workbook.bin") for name in names):
        raise Unusable(f"{path.name} is a binary workbook (.xlsb): save it as .xlsx.")
    if not any(name.lower().endswith("workbook.xml") for name in names):
        raise Unusable(f"{path.name} is not a workbook: an .xlsx or .ods file is needed.")
    zipped.look()
    return _opened(path, zipped, _xlsx_facts(zipped))


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
        raise Unusable(f"{name} is empty.")
    if path.suffix.lower() in (".csv", ".tsv", ".txt"):
        raise Unusable(f"{name} is a text file, one table: an .xlsx or .ods workbook is needed.")
    if path.suffix.lower() in (".xlsx", ".ods", ".xlsm"):
        raise Unusable(f"{name} is damaged, or no workbook in spite of its name.")
    raise Unusable(f"{name} is not a workbook: an .xlsx or .ods file is needed.")


@dataclass
class _Facts:
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


def _opened(path: Path, zipped: Zipped, facts: Mapping[str, _Facts]) -> Workbook:
    if len(facts) > MOST_SHEETS or sum(found.cells for found in facts.values()) > MOST_CELLS:
        raise too_large()
    if any(found.rows * found.columns > MOST_PLACES for found in facts.values()):
        raise too_large()
    zipped.forget()
    grids = _grids(zipped, facts)
    sheets = []
    for order, (name, rows) in enumerate(grids.items(), 1):
        found = facts.get(name, _Facts())
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


def _grids(zipped: Zipped, facts: Mapping[str, _Facts]) -> dict[str, list[list[Cell]]]:
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


def column_number(letters: bytes) -> int:
    """b'A' -> 1, b'AB' -> 28."""
    number = 0
    for letter in letters.upper():
        number = number * 26 + letter - 64
    return number


# --- .xlsx ---

_REFERENCE: Final = re.compile(rb"([A-Za-z]{1,3})([0-9]{1,7})")
_FAR_OUT: Final = re.compile(rb'<c r="(?:[A-Z]{3}|[A-Z]{1,2}[0-9]{5})')
_FILLED_COLUMN: Final = re.compile(rb'<c r="([A-Z]{1,3})[0-9]{1,7}"[^>/]*>')
_FILLED_ROW: Final = re.compile(rb'<c r="[A-Z]{1,3}([0-9]{1,7})"[^>/]*>')
_NO_RESULT: Final = re.compile(rb"(?:</f>|<f [^<>]*/>)\s*(<v\s*/>|<v[^<>]*></v>)?\s*</c>")
_STYLED: Final = re.compile(rb'<c r="([A-Z]{1,3})([0-9]{1,7})" s="([0-9]{1,6})"')
_HIDDEN_ROW: Final = re.compile(rb'<row (?=[^<>]*hidden="(?:1|true)")(?:[^<>]* )?r="([0-9]{1,7})"')
_CHUNK: Final = 16 << 20


def _xlsx_facts(zipped: Zipped) -> dict[str, _Facts]:
    """What each sheet's XML says, by the sheet's name."""
    workbook_part = _target(zipped, "_rels/.rels", "", "/officeDocument") or "xl/workbook.xml"
    root = _parsed(zipped, workbook_part)
    relations = _relations(zipped, workbook_part)
    texts = zipped.read(next((part for kind, part in relations.values() if kind.endswith("/sharedStrings")), ""))
    longest = max(map(len, texts.split(b"</si>"))) if texts else 0
    del texts
    styles = next((part for kind, part in relations.values() if kind.endswith("/styles")), "")
    facts: dict[str, _Facts] = {}
    for element in root.iter():
        if _local(element.tag) != "sheet":
            continue
        reference = next((value for key, value in element.attrib.items() if key.endswith("}id")), "")
        kind, part = relations.get(reference, ("", ""))
        if kind.endswith("/worksheet"):
            found = facts[element.attrib.get("name", "")] = _sheet_facts(
                zipped.read(part), MOST_TEXT // max(longest, 1)
            )
            found.part = part
            found.hidden = element.attrib.get("state", "visible") != "visible"
            if found.formats is dict:
                found.formats = _formats_reader(zipped, part, styles)
            if found.texts * longest > MOST_TEXT:
                raise too_large()
    return facts


def _local(tag: str) -> str:
    return tag.rpartition("}")[2]


def _parsed(zipped: Zipped, part: str) -> ET.Element:
    content = zipped.read(part)
    try:
        return ET.fromstring(content)
    except ET.ParseError:
        raise damaged() from None


def _relations(zipped: Zipped, part: str) -> dict[str, tuple[str, str]]:
    """Kind and part of each relation of a part, by its id."""
    folder, name = posixpath.split(part)
    path = posixpath.join(folder, "_rels", f"{name}.rels")
    if not zipped.read(path):
        return {}
    found = {}
    for element in _parsed(zipped, path):
        target = element.attrib.get("Target", "")
        absolute = target.lstrip("/") if target.startswith("/") else posixpath.normpath(posixpath.join(folder, target))
        found[element.attrib.get("Id", "")] = (element.attrib.get("Type", ""), absolute)
    return found


def _target(zipped: Zipped, path: str, folder: str, kind: str) -> str:
    if not zipped.read(path):
        return ""
    for element in _parsed(zipped, path):
        if element.attrib.get("Type", "").endswith(kind):
            return posixpath.normpath(posixpath.join(folder, element.attrib.get("Target", "").lstrip("/")))
    return ""


def _sheet_facts(content: bytes, most_texts: int) -> _Facts:
    """Count cells and extent and find cells without a value: by searching where the XML is written as
    spreadsheet programs write it, else by parsing it.

    most_texts: how many cells may show a shared text; they are not counted where even all cells are no more.
    """
    start, end = content.find(b"<sheetData"), content.rfind(b"</sheetData>")
    if start < 0 and content.find(b":sheetData") < 0:
        return _Facts()
    if end < 0 and re.match(rb"<sheetData\s*/>", content[start : start + 40] if start >= 0 else b""):
        return _Facts()
    cells = content.count(b"<c", start, end)
    usual = (
        0 <= start < end
        and content.count(b'<c r="', start, end) == cells
        and not _holds(content, b"='", b"'", start, end)
        and not _holds(content, b"<!", b"!", start, end)
    )
    if not usual:
        return _facts_parsed(content)
    found = _Facts(cells=cells)
    if cells > most_texts:
        found.texts = content.count(b't="s"', start, end)
    if _holds(content, b'hidden="', b"d", start, end):
        found.hidden_rows = sorted(map(int, _HIDDEN_ROW.findall(content, start, end)))
    if cells > MOST_CELLS:
        raise too_large()
    if _FAR_OUT.search(content, start, end) is None:
        found.rows, found.columns = 9_999, column_number(b"ZZ")  # at most, and that is no more than may be
    else:
        found.rows, found.columns = _filled_extent(content, start, end)
    at = content.find(b't="e"', start, end)
    while at >= 0:
        opened = content.rfind(b"<c ", start, at)
        value = re.compile(rb"[^>]*>(?:<f.*?(?:</f>|/>))?\s*<v>([^<]*)</v>", re.DOTALL).match(content, at)
        _enter(found, content[opened:at], Faulty("error", value[1].decode("utf-8", "replace") if value else "#?"))
        at = content.find(b't="e"', at + 5, end)
    formulas = _holds(content, b"<f", b"f", start, end)
    for match in _NO_RESULT.finditer(content, start, end) if formulas else ():
        opened = content.rfind(b"<c ", start, match.start())
        head = content[opened : content.find(b">", opened)]
        if match[1] is not None and (b't="str"' in head or b't="s"' in head):
            continue  # a formula whose saved result is an empty text
        formula = re.search(rb"<f[^>]*>([^<]*)</f>", content[opened : match.end()])
        typed = formula[1].decode("utf-8", "replace") if formula else ""
        if (found_at := _place(head)) and found_at not in found.faults:
            found.faults[found_at] = Faulty("unsaved", "=" + _unescaped(typed))
    return found


def _holds(content: bytes, marker: bytes, rarest: bytes, start: int, end: int) -> bool:
    """Whether a marker stands there. rarest: the byte of it that few sheets hold, looked for first at ten times the
    speed."""
    at = content.find(rarest, start, end)
    return at >= 0 and content.find(marker, max(at - len(marker), start), end) >= 0


def _filled_extent(content: bytes, start: int, end: int) -> tuple[int, int]:
    """The rows and columns up to the last cells that hold something, from every cell."""
    columns: set[bytes] = set()
    rows: set[bytes] = set()
    for low, high in _pieces(content, start, end):
        columns.update(_FILLED_COLUMN.findall(content, low, high))
        rows.update(_FILLED_ROW.findall(content, low, high))
    return max(map(int, rows), default=0), max(map(column_number, columns), default=0)


def _pieces(content: bytes, start: int, end: int) -> Iterator[tuple[int, int]]:
    """Stretches of the cells, cut where a cell begins."""
    while start < end:
        cut = content.find(b"<c ", start + _CHUNK, end)
        cut = end if cut < 0 else cut
        yield start, cut
        start = cut


def _place(head: bytes) -> tuple[int, int] | None:
    named = re.search(rb'\sr="([A-Z]{1,3})([0-9]{1,7})"', head)
    return None if named is None else (int(named[2]), column_number(named[1]))


def _enter(found: _Facts, head: bytes, fault: Faulty) -> None:
    if (place := _place(head)) is not None:
        found.faults[place] = fault


def _unescaped(text: str) -> str:
    for written, sign in (("&lt;", "<"), ("&gt;", ">"), ("&quot;", '"'), ("&apos;", "'"), ("&amp;", "&")):
        text = text.replace(written, sign)
    return text


class _SheetParser:
    """The same facts from XML that is written in an unusual way: prefixes, other quotes, cells without
    a reference (which stand right of the cell before)."""

    def __init__(self) -> None:
        self.found = _Facts()
        self.row = self.column = 0
        self.kind = ""
        self.formula: str | None = None
        self.value: str | None = None
        self.reading = ""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        name = tag.rpartition(":")[2]
        if name == "row":
            self.row = int(attributes["r"]) if attributes.get("r", "").isdigit() else self.row + 1
            self.column = 0
            if attributes.get("hidden") in ("1", "true"):
                self.found.hidden_rows.append(self.row)
        elif name == "c":
            place = _REFERENCE.fullmatch(attributes.get("r", "").encode())
            if place:
                self.row, self.column = int(place[2]), column_number(place[1])
            else:
                self.column += 1
            self.kind, self.formula, self.value = attributes.get("t", ""), None, None
            self.found.cells += 1
            self.found.texts += self.kind == "s"
            if self.found.cells > MOST_CELLS:
                raise too_large()
        elif name in ("f", "v", "is"):
            self.reading = name
            if name == "f":
                self.formula = ""
            else:
                self.value = self.value or ""
            self.found.rows = max(self.found.rows, self.row)
            self.found.columns = max(self.found.columns, self.column)

    def data(self, text: str) -> None:
        if self.reading == "f" and self.formula is not None:
            self.formula += text
        elif self.reading == "v" and self.value is not None:
            self.value += text

    def end(self, tag: str) -> None:
        name = tag.rpartition(":")[2]
        if name in ("f", "v", "is"):
            self.reading = ""
        elif name == "c":
            if self.kind == "e":
                self.found.faults[self.row, self.column] = Faulty("error", self.value or "#?")
            elif self.formula is not None and not self.value and not (self.kind == "str" and self.value == ""):
                self.found.faults[self.row, self.column] = Faulty("unsaved", "=" + self.formula)


def _facts_parsed(content: bytes) -> _Facts:
    reader = _SheetParser()
    _expat(content, reader.start, reader.end, reader.data)
    return reader.found


def _expat(
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


_BUILT_IN: Final[Mapping[int, str]] = {9: "0%", 10: "0.00%"}


def _formats_reader(zipped: Zipped, part: str, styles: str) -> Callable[[], Mapping[tuple[int, int], str]]:
    def read() -> Mapping[tuple[int, int], str]:
        codes = _format_codes(zipped, styles)
        telling = {str(index).encode(): code for index, code in enumerate(codes) if code}
        if not telling:
            return {}
        content = zipped.read(part)
        found = {
            (int(row), column_number(letters)): telling[style]
            for letters, row, style in _STYLED.findall(content)
            if style in telling
        }
        return found or _formats_parsed(content, codes)

    return read


def _format_codes(zipped: Zipped, styles: str) -> list[str]:
    """The number format of each cell style; '' for the general one and other built-in ones."""
    if not zipped.read(styles):
        return []
    own: dict[int, str] = {}
    codes: list[str] = []
    for element in _parsed(zipped, styles).iter():
        name = _local(element.tag)
        if name == "numFmt" and element.attrib.get("numFmtId", "").isdigit():
            code = element.attrib.get("formatCode", "")
            own[int(element.attrib["numFmtId"])] = "" if code.casefold() == "general" else code
        elif name == "cellXfs":
            for style in element:
                number = style.attrib.get("numFmtId", "0")
                identity = int(number) if number.isdigit() else 0
                codes.append(own.get(identity, _BUILT_IN.get(identity, "")))
    return codes


def _formats_parsed(content: bytes, codes: list[str]) -> Mapping[tuple[int, int], str]:
    """The formats of a sheet whose XML is not written in the usual way."""
    found: dict[tuple[int, int], str] = {}
    row = column = 0

    def start(tag: str, attributes: dict[str, str]) -> None:
        nonlocal row, column
        name = tag.rpartition(":")[2]
        if name == "row":
            row = int(attributes["r"]) if attributes.get("r", "").isdigit() else row + 1
            column = 0
        elif name == "c":
            place = _REFERENCE.fullmatch(attributes.get("r", "").encode())
            row, column = (int(place[2]), column_number(place[1])) if place else (row, column + 1)
            style = attributes.get("s", "0")
            if style.isdigit() and int(style) < len(codes) and codes[int(style)]:
                found[row, column] = codes[int(style)]

    _expat(content, start, lambda tag: None, lambda text: None)
    return found


# --- .ods ---


class _OdsParser:
    """Facts of every table of an .ods file's content, and the number formats of its cells."""

    def __init__(self) -> None:
        self.facts: dict[str, _Facts] = {}
        self.formats: dict[str, dict[tuple[int, int], str]] = {}
        self.codes: dict[str, str] = {}
        self.cell_styles: dict[str, str] = {}
        self.table = ""
        self.row = self.column = self.row_span = self.span = 0
        self.column_styles: list[tuple[int, str]] = []
        self.number_style = self.table_style = ""
        self.hidden_tables: set[str] = set()
        self.row_hidden = False
        self.cell: dict[str, str] | None = None
        self.text = ""

    def start(self, tag: str, attributes: dict[str, str]) -> None:
        if tag in ("number:number-style", "number:percentage-style", "number:currency-style"):
            self.number_style = attributes.get("style:name", "")
            self.codes[self.number_style] = "%" if "percentage" in tag else ""
        elif tag == "number:number" and self.number_style and not self.codes[self.number_style]:
            digits = attributes.get("number:min-integer-digits", "1")
            if digits.isdigit() and 1 < int(digits) < 20 and not int(attributes.get("number:decimal-places", "0")):
                self.codes[self.number_style] = "0" * int(digits)
        elif tag == "style:style" and attributes.get("style:family") == "table-cell":
            self.cell_styles[attributes.get("style:name", "")] = attributes.get("style:data-style-name", "")
        elif tag == "style:style" and attributes.get("style:family") == "table":
            self.table_style = attributes.get("style:name", "")
        elif tag == "style:table-properties" and attributes.get("table:display") == "false":
            self.hidden_tables.add(self.table_style)
        elif tag == "table:table":
            self.table = attributes.get("table:name", "")
            self.facts[self.table] = _Facts(hidden=attributes.get("table:style-name") in self.hidden_tables)
            self.formats[self.table] = {}
            self.row = self.row_span = 0
            self.column_styles = []
        elif tag == "table:table-column":
            repeated = _repeated(attributes, "table:number-columns-repeated")
            self.column_styles.append((repeated, attributes.get("table:default-cell-style-name", "")))
        elif tag == "table:table-row":
            self.row += self.row_span or 1
            self.row_span = _repeated(attributes, "table:number-rows-repeated")
            self.column = self.span = 0
            self.row_hidden = attributes.get("table:visibility", "visible") != "visible"
        elif tag in ("table:table-cell", "table:covered-table-cell"):
            self.column += self.span or 1
            self.span = _repeated(attributes, "table:number-columns-repeated")
            self.cell, self.text = attributes, ""

    def data(self, text: str) -> None:
        if self.cell is not None and len(self.text) < 1000:
            self.text += text

    def end(self, tag: str) -> None:
        if tag.startswith("number:") and tag.endswith("-style"):
            self.number_style = ""
        elif tag == "table:table":
            self.table = ""
        elif tag in ("table:table-cell", "table:covered-table-cell") and self.cell is not None and self.table:
            self._cell(self.cell)
            self.cell = None

    def _cell(self, cell: dict[str, str]) -> None:
        kind = cell.get("calcext:value-type") or cell.get("office:value-type", "")
        shown = self.text.strip()
        formula = cell.get("table:formula", "")
        if not (kind or shown or formula):
            return
        found = self.facts[self.table]
        found.cells += self.span * self.row_span
        found.rows = max(found.rows, self.row + self.row_span - 1)
        if self.row_hidden and self.row not in found.hidden_rows[-1:]:
            found.hidden_rows.append(self.row)
        found.columns = max(found.columns, self.column + self.span - 1)
        if found.cells > MOST_CELLS:
            raise too_large()
        fault = None
        if kind == "error" or (formula and re.fullmatch(r"#[A-Z0-9/]+[!?]?|Err:[0-9]+", shown)):
            fault = Faulty("error", shown or "#?")
        elif formula and not kind and not shown:
            fault = Faulty("unsaved", "=" + formula.partition("=")[2])
        code = "%" if kind == "percentage" else ""
        if not code and kind == "float":
            code = self.codes.get(self.cell_styles.get(cell.get("table:style-name") or self._column_style(), ""), "")
        if fault is not None or code:
            for row in range(self.row, self.row + self.row_span):
                for column in range(self.column, self.column + self.span):
                    if fault is not None:
                        found.faults[row, column] = fault
                    if code:
                        self.formats[self.table][row, column] = code

    def _column_style(self) -> str:
        left = self.column
        for repeated, style in self.column_styles:
            left -= repeated
            if left <= 0:
                return style
        return ""


def _repeated(attributes: Mapping[str, str], name: str) -> int:
    number = attributes.get(name, "1")
    return max(int(number), 1) if number.isdigit() and len(number) < 9 else 1


def _ods_facts(zipped: Zipped) -> dict[str, _Facts]:
    if b"encryption-data" in zipped.read("META-INF/manifest.xml"):
        raise Unusable("The workbook is protected by a password: save a copy without one.")
    reader = _OdsParser()
    for part in ("styles.xml", "content.xml"):
        if content := zipped.read(part):
            _expat(content, reader.start, reader.end, reader.data)
    for name, found in reader.facts.items():
        found.formats = lambda name=name: reader.formats[name]  # type: ignore[misc]
    return reader.facts
