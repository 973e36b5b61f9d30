"""A first look into a zipped workbook, before any library opens it.

No file may ask for more than a workbook needs.
Everything is counted on the bytes as they really unpack, never on what the file says of itself, and the
look costs time in proportion to the file. What the look has unpacked is kept for those who read it next.
"""

import io
import re
import struct
import zipfile
import zlib
from collections.abc import Iterator
from typing import Final

MEBIBYTE: Final = 1 << 20
LARGEST_FILE: Final = 64 * MEBIBYTE
LARGEST_PART: Final = 512 * MEBIBYTE
LARGEST_TEXTS: Final = 128 * MEBIBYTE
"""Of the table of texts that cells share."""
LARGEST_IN_ALL: Final = 1024 * MEBIBYTE
MOST_PARTS: Final = 5000
SMALL: Final = 8 * MEBIBYTE
TIGHTEST: Final = 300
"""How many bytes one packed byte may become, in a part that is not small."""
MOST_KEPT: Final = 192 * MEBIBYTE
"""Of unpacked XML held until `forget`; what does not fit is unpacked again when it is asked for."""

_STEP: Final = MEBIBYTE
_LOCAL: Final = struct.Struct("<4s22xHH")
_XML: Final = (".xml", ".rels", ".vml")


class Unusable(Exception):  # noqa: N818 - said to the coordinator as one sentence
    """A file that cannot be read as a workbook; `sentence` says why."""

    def __init__(self, sentence: str) -> None:
        super().__init__(sentence)
        self.sentence = sentence


def too_large() -> Unusable:
    """Said of every limit: which one it was helps nobody."""
    return Unusable("The workbook is too large to read: it unpacks to far more than a term's tables need.")


def damaged() -> Unusable:
    return Unusable("The workbook is cut short or damaged: open it in a spreadsheet program and save it again.")


class Zipped:
    """The parts of one file, each looked at once."""

    def __init__(self, content: bytes) -> None:
        self.content = content
        try:
            with zipfile.ZipFile(io.BytesIO(content)) as file:
                listed = [entry for entry in file.infolist() if not entry.is_dir()]
        except (zipfile.BadZipFile, struct.error, ValueError, OSError, NotImplementedError):
            raise damaged() from None
        if len(listed) > MOST_PARTS:
            raise too_large()
        self.parts: dict[str, zipfile.ZipInfo] = {}
        self._kept: dict[str, bytes] = {}
        folded: set[str] = set()
        for entry in listed:
            name = entry.filename
            if name.casefold() in folded or ".." in name.split("/") or name.startswith(("/", "\\")):
                raise damaged()
            if entry.flag_bits & 1:
                raise Unusable("The workbook is protected by a password: save a copy without one.")
            if entry.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
                raise damaged()
            folded.add(name.casefold())
            self.parts[name] = entry

    def look(self) -> None:
        """Unpack every part once, keeping what XML there is room for.

        Raises:
            Unusable: too large, damaged, or XML of a form that no spreadsheet program writes.
        """
        in_all = 0
        for name, entry in self.parts.items():
            size = 0
            packed = max(entry.compress_size, 1)
            check = 0
            tail = chunk = b""
            is_xml = name.lower().endswith(_XML)
            room = MOST_KEPT - sum(map(len, self._kept.values())) if is_xml else 0
            for chunk in self._unpacked(entry, max(room, _STEP)):
                if not size and is_xml and _is_wide(chunk):
                    raise damaged()
                size += len(chunk)
                in_all += len(chunk)
                check = zlib.crc32(chunk, check)
                swollen = size > SMALL and size > TIGHTEST * packed
                if swollen or size > LARGEST_PART or in_all > LARGEST_IN_ALL:
                    raise too_large()
                if is_xml:
                    if _declares(tail + chunk[:16]) or _declares(chunk):
                        raise damaged()
                    tail = chunk[-16:]
            if check != entry.CRC:
                raise damaged()
            if name.lower().endswith("sharedstrings.xml") and size > LARGEST_TEXTS:
                raise too_large()
            if is_xml and len(chunk) == size <= room:
                self._kept[name] = chunk

    def forget(self) -> None:
        """Let go of what `look` kept, but for small parts."""
        self._kept = {name: content for name, content in self._kept.items() if len(content) <= MEBIBYTE}

    def _unpacked(self, entry: zipfile.ZipInfo, most: int = _STEP) -> Iterator[bytes]:
        """The part's bytes as they really unpack, step by step. most: bytes of the first step.

        The first step never goes far beyond what a part may grow to, so that a bomb is met early.
        """
        step = min(most, max(SMALL, TIGHTEST * entry.compress_size) + 1)
        start = entry.header_offset
        header = self.content[start : start + _LOCAL.size]
        if len(header) < _LOCAL.size:
            raise damaged()
        signature, name_length, extra_length = _LOCAL.unpack(header)
        begin = start + _LOCAL.size + name_length + extra_length
        packed = memoryview(self.content)[begin : begin + entry.compress_size]
        if signature != b"PK\x03\x04" or len(packed) < entry.compress_size:
            raise damaged()
        if entry.compress_type == zipfile.ZIP_STORED:
            yield bytes(packed[:step])
            for at in range(step, len(packed), _STEP):
                yield bytes(packed[at : at + _STEP])
            return
        inflating = zlib.decompressobj(-zlib.MAX_WBITS)
        waiting: bytes | memoryview = packed
        try:
            while True:
                chunk = inflating.decompress(waiting, step)
                step = _STEP
                if chunk:
                    yield chunk
                waiting = inflating.unconsumed_tail
                if inflating.eof:
                    return
                if not chunk and not waiting:
                    raise damaged()
        except zlib.error:
            raise damaged() from None

    def read(self, name: str) -> bytes:
        """One part whole; b'' where there is none. Only after `look`, which bounds it."""
        entry = self.parts.get(name) or self.parts.get(self._named(name))
        if entry is None:
            return b""
        kept = self._kept.get(entry.filename)
        return b"".join(self._unpacked(entry)) if kept is None else kept

    def read_start(self, name: str) -> bytes:
        """The first bytes of a part, before anything was looked at; b'' where there is none."""
        entry = self.parts.get(name)
        return b"" if entry is None else next(self._unpacked(entry), b"")[:200]

    def _named(self, name: str) -> str:
        """The part of that name whatever its case."""
        wanted = name.casefold()
        return next((part for part in self.parts if part.casefold() == wanted), "")

    def with_parts(self, changed: dict[str, bytes]) -> bytes:
        """A copy of the file, in memory, with some parts replaced."""
        out = io.BytesIO()
        with zipfile.ZipFile(out, "w", zipfile.ZIP_STORED) as file:
            for name in self.parts:
                file.writestr(name, changed.get(name) or self.read(name))
        return out.getvalue()


def _declares(xml: bytes) -> bool:
    """Whether a document type or an entity is declared. An exclamation mark is looked for first, which is quick."""
    return xml.find(b"!") >= 0 and (b"<!DOCTYPE" in xml or b"<!ENTITY" in xml)


def _is_wide(start: bytes) -> bool:
    """Whether XML comes in an encoding other than UTF-8 and its like, where a search for bytes is blind."""
    if start.startswith((b"\xff\xfe", b"\xfe\xff")) or b"\x00" in start[:64]:
        return True
    declared = re.match(rb"(?:\xef\xbb\xbf)?\s*<\?xml[^>]*?encoding\s*=\s*[\"']([\w.-]+)", start[:300])
    return declared is not None and declared[1].lower() not in (b"utf-8", b"utf8", b"us-ascii", b"ascii")
