"""A workbook of xlsxwriter whose parts are packed as small as the format allows, without what tells nothing.

It fills in for one step of the library (its packager, which may be replaced), packs what that hands over itself, and
writes the shared strings without looking at each of them four times.
"""

import io
import re
import struct
import zlib
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any, Final

from xlsxwriter.packager import Packager
from xlsxwriter.sharedstrings import SharedStrings
from xlsxwriter.workbook import Workbook

_SPARE: Final = "docProps/app.xml"
"""What the library says of itself, and the sheets' names over again. Source: ISO/IEC 29500-1, 15.2.12.3: a file holds
one such part or none (section from memory)."""
_UNUSED: Final = re.compile(
    r'<(?:Override|Relationship)\b[^>]*"/?docProps/app\.xml"[^>]*/>'  # its name in the parts that list the others
    r'|<tableStyles count="0"[^>]*/>'
    r'|<dimension ref="[A-Z0-9:]+"/>'
)
"""What every reader can do without. Source: ISO/IEC 29500-1, CT_Stylesheet and CT_Worksheet: all are optional (from
memory)."""
_OTHER_PARTS: Final = ' xmlns:r="http://schemas.openxmlformats.org/officeDocument/2006/relationships"'
"""What a sheet says that names another part: a chart or a link."""
_DATED: Final = 1 << 5 | 1
"""The day that every part bears, 1 January 1980, the first that a zip knows."""
_ITS_OWN: Final = ("xl/worksheets/sheet", "xl/sharedStrings", "docProps/core")
"""How the names of parts begin that hardly two workbooks have in common."""
_BY_UNIX: Final = struct.pack("<2B", 20, 3)
_SMALLEST: Final = 9
_USUAL: Final = 6
_LARGE: Final = 1 << 20
"""How hard a workbook is packed; a large one as is usual, which is a third of the time and a twentieth more [bytes of
XML]."""


class QuickBook(Workbook):  # type: ignore[misc]
    """A workbook kept in memory; `packed` is its file."""

    def __init__(self) -> None:
        super().__init__(io.BytesIO(), {"in_memory": True})
        self._packager = _Packager()

    def _get_packager(self) -> "_Packager":
        return self._packager

    def packed(self) -> bytes:
        """The file; the workbook takes nothing more.

        Raises:
            ValueError: the library no longer hands its parts over.
        """
        self.close()
        if not self._packager.parts:
            raise ValueError("the spreadsheet writer left all parts out")
        level = _USUAL if sum(map(len, self._packager.parts.values())) > _LARGE else _SMALLEST
        file = _zipped({name: _pack(name)(text, level) for name, text in self._packager.parts.items()})
        self.__dict__.clear()  # its sheets refer to it, and would stay in memory with it till they are collected
        return file


class _Packager(Packager):  # type: ignore[misc]
    """Keeps the parts by name, and leaves the library nothing to pack."""

    def __init__(self) -> None:
        super().__init__()
        self.parts: dict[str, str] = {}

    def _create_package(self) -> list[Any]:
        for written, name, _ in super()._create_package():
            if name != _SPARE:
                self.parts[name.removeprefix("/")] = _shortened(written.getvalue())
        return []

    def _write_shared_strings_file(self) -> None:
        if self.workbook.str_table.count:
            strings = _SharedStrings()
            strings.string_table = self.workbook.str_table
            strings._set_xml_writer(self._filename("xl/sharedStrings.xml"))
            strings._assemble_xml_file()


class _SharedStrings(SharedStrings):  # type: ignore[misc]
    def _write_sst_strings(self) -> None:
        for string in self.string_table.string_array:
            if _is_plain(string):
                self.fh.write(f"<si><t>{string}</t></si>")
            else:
                self._write_si(string)


def _is_plain(string: str) -> bool:
    """Whether a text stands in XML as it is: nothing to escape, no space at its ends, no line break."""
    return (
        string.isprintable()
        and string.strip() == string
        and not ("&" in string or "<" in string or ">" in string or "_x" in string)
    )


def _shortened(text: str) -> str:
    """A part without what every reader can do without; a sheet's cells are left alone."""
    head, views, rest = text.partition("<sheetViews>")
    head = _UNUSED.sub("", head)
    if views and " r:id=" not in rest:
        head = head.replace(_OTHER_PARTS, "")
    return f"{head}{views}{rest}"


# --- the file ---


@dataclass(frozen=True, slots=True)
class _Packed:
    """A part as a zip holds it. size: unpacked [bytes]."""

    content: bytes
    check: int
    size: int


def _packed(text: str, level: int) -> _Packed:
    content = text.encode()
    packing = zlib.compressobj(level, zlib.DEFLATED, -zlib.MAX_WBITS)
    return _Packed(packing.compress(content) + packing.flush(), zlib.crc32(content), len(content))


_packed_before = lru_cache(128)(_packed)


def _pack(name: str) -> Callable[[str, int], _Packed]:
    """How a part is packed: one that has the same text in many workbooks only once."""
    return _packed if name.startswith(_ITS_OWN) else _packed_before


def _zipped(parts: Mapping[str, _Packed]) -> bytes:
    """Parts as a zip, as `zipfile` writes them, which knows no part that is packed already.

    Source: APPNOTE.TXT of PKWARE, 4.3.7, 4.3.12 and 4.3.16; a test reads and compares with `zipfile`.
    """
    written, listed, at = [], [], 0
    for name, part in parts.items():
        known = name.encode("ascii")
        about = struct.pack(
            "<5H3L2H", 20, 0, zlib.DEFLATED, 0, _DATED, part.check, len(part.content), part.size, len(known), 0
        )
        written += [b"PK\3\4", about, known, part.content]
        listed += [b"PK\1\2", _BY_UNIX, about, struct.pack("<3H2L", 0, 0, 0, 0o600 << 16, at), known]
        at += 4 + len(about) + len(known) + len(part.content)
    index = b"".join(listed)
    end = struct.pack("<4s4H2LH", b"PK\5\6", 0, 0, len(parts), len(parts), len(index), at, 0)
    return b"".join([*written, index, end])
