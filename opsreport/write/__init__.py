"""Documents, plan and findings into files' bytes. Nothing here knows what a session or a food is."""

import datetime as dt
import re
from typing import Final

SHOWN_ALIKE: Final = frozenset({str, int, dt.date, type(None)})
"""Types of values that are equal only where they are shown alike; a fraction may equal a whole number shown
otherwise."""

_UNWRITABLE = re.compile("[\x00-\x08\x0b-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069\ud800-\udfff\ufffe\uffff]")
"""What no file may carry: control characters, lone surrogates, and marks that reorder a line on screen."""


_ESCAPED: Final = re.compile("[&<>'\"]")


def clean(text: str) -> str:
    """Text that every file format can hold: line breaks kept, tabs as spaces, control characters gone."""
    if text.isprintable():
        return text
    return _UNWRITABLE.sub("", text.replace("\r\n", "\n").replace("\r", "\n").replace("\t", " "))


def cut(text: str, most: int) -> str:
    """Text of at most `most` UTF-16 units, as spreadsheets count them; an ellipsis where it was cut."""
    if len(text) * 2 <= most or len(text.encode("utf-16-le")) // 2 <= most:
        return text
    kept = text.encode("utf-16-le")[: 2 * (most - 1)].decode("utf-16-le", "ignore")
    return kept.rstrip() + "…"


def escaped(text: str) -> str:
    """Text as a page holds it; most texts have nothing to escape."""
    if not _ESCAPED.search(text):
        return text
    from markupsafe import escape

    return str(escape(text))


def boxes(count: int) -> str:
    """Boxes to tick."""
    return " ".join("☐" * count)
