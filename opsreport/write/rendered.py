"""Documents of an earlier run that need not be rendered again: those whose content is the same.

`rendered.json` in a folder says, for every document, the digest of its content and of each of its files. A file is
taken over only where both still hold: a page that someone changed by hand is rendered again.
"""

import hashlib
import json
from collections.abc import Collection, Mapping
from functools import cache
from pathlib import Path
from typing import Any, Final

from opsreport import __version__
from opsreport.places import templates_folder
from opsreport.tables.table import Document, Paper

NAME: Final = "rendered.json"


class Rendered:
    """What an earlier run rendered, as far as its folder still holds it, and what this one takes over.

    Reads the earlier folder's files when asked for a document, and writes nothing.
    """

    def __init__(self, folder: Path | None = None) -> None:
        """folder: of the earlier run; None: nothing is known and nothing is noted."""
        self._folder = folder
        self._told = _read(folder)
        self._noted: dict[str, str] = {}
        self.files: dict[str, bytes] = {}
        """What was taken over, content by name."""

    def has(self, document: Document, paper: Paper) -> bool:
        """Whether the document's files can be taken over; they then stand in `files`."""
        if self._folder is None:
            return False
        digest = _digest(document, paper)
        self._noted[document.path] = digest
        told = self._told.get(document.path)
        if not isinstance(told, dict) or told.get("content") != digest:
            return False
        files = {}
        for name, sum_ in _mapping(told.get("files")).items():
            content = _bytes(self._folder / name) if name in _names(document) else None
            if content is None or hashlib.sha256(content).hexdigest() != sum_:
                return False
            files[name] = content
        if set(files) != set(_names(document)):
            return False
        self.files |= files
        return True

    def keep(self, wanted: Collection[str]) -> frozenset[str]:
        """Forget documents that are not wanted after all; the paths of those taken over. wanted: paths."""
        self._noted = {path: digest for path, digest in self._noted.items() if path in wanted}
        self.files = {name: content for name, content in self.files.items() if name.rpartition(".")[0] in wanted}
        return frozenset(name.rpartition(".")[0] for name in self.files)

    def note(self, files: Mapping[str, bytes]) -> dict[str, bytes]:
        """The file that tells the next run what this one rendered; none where nobody asked. files: of this run."""
        if self._folder is None:
            return {}
        told = {
            path: {
                "content": digest,
                "files": {
                    name: hashlib.sha256(files[name]).hexdigest() for name in (f"{path}.html", f"{path}.xlsx")
                },
            }
            for path, digest in sorted(self._noted.items())
        }  # fmt: skip
        return {NAME: (json.dumps({"by": _by(), "documents": told}, indent=1) + "\n").encode()}


def _names(document: Document) -> tuple[str, str]:
    return f"{document.path}.html", f"{document.path}.xlsx"


def _digest(document: Document, paper: Paper) -> str:
    return hashlib.sha256(repr((document, paper)).encode("utf-8", "surrogatepass")).hexdigest()


@cache
def _by() -> str:
    """What renders: the version, the writers and the templates, since any of them may change a file's bytes."""
    found = hashlib.sha256(__version__.encode())
    for file in sorted([*Path(__file__).parent.glob("*.py"), *Path(templates_folder()).rglob("*")]):
        if file.is_file():
            found.update(file.name.encode() + b"\0" + file.read_bytes())
    return found.hexdigest()


def _read(folder: Path | None) -> dict[str, Any]:
    """What the earlier run says it rendered; nothing where it says nothing, or was another version."""
    content = None if folder is None else _bytes(folder / NAME)
    try:
        told = _mapping(json.loads(content)) if content else {}
    except ValueError:
        return {}
    return _mapping(told.get("documents")) if told.get("by") == _by() else {}


def _mapping(told: Any) -> dict[str, Any]:
    return told if isinstance(told, dict) else {}


def _bytes(file: Path) -> bytes | None:
    try:
        return file.read_bytes()
    except OSError:
        return None
