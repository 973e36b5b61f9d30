"""How documents, groups and people counted are named: file names from ids, heads, plain numbers of things."""

import re
import unicodedata
from collections.abc import Sequence
from typing import Final

from opsreport.programme import Programme
from opsreport.shown import day_words
from opsreport.words import clean, fold

_LONGEST: Final = 60
"""Of a file name made from an id [characters]."""
_DEGREES: Final = re.compile(r"(\d+ °F) \((\d+ °C)\)")


def file_names(ids: Sequence[str], taken: Sequence[str] = ()) -> list[str]:
    """A file name for each id, all different on every disk: letters, digits, `-` and `_` only.

    Ids that would give one name, or one already taken, are told apart by a number, in their order.
    """
    used = {_on_disk(name) for name in taken}
    names = []
    for name in ids:
        plain = re.sub(r"[^\w]+", "-", unicodedata.normalize("NFC", name)).strip("-_")[:_LONGEST].rstrip("-_")
        plain = plain or "unnamed"
        free, number = plain, 1
        while _on_disk(free) in used:
            number += 1
            free = f"{plain}-{number}"
        used.add(_on_disk(free))
        names.append(free)
    return names


def _on_disk(name: str) -> str:
    """What two names have in common that some disk takes for one."""
    return unicodedata.normalize("NFKD", name).casefold()


def head_line(programme: Programme, *, contact: bool = True) -> str:
    """Programme, term, planning date and whom to ask, as printed at the top of every document.

    A contact that begins with the programme's name does not name it again.
    """
    settings = programme.settings
    whom = settings.contact.removeprefix(f"{settings.programme}, ") if contact else ""
    parts = (settings.programme, settings.term, f"as of {day_words(programme.as_of)}", whom)
    return " · ".join(clean(part) for part in parts if part.strip())


def in_local_degrees(text: str, programme: Programme) -> str:
    """`41 °F (5 °C)` as it stands where cups are US cups on Letter, `5 °C (41 °F)` elsewhere."""
    settings = programme.settings
    if settings.paper == "Letter" and settings.measures in ("US", "label"):
        return text
    return _DEGREES.sub(r"\2 (\1)", text)


def group_words(programme: Programme, group: str) -> str:
    """`PB, Parkside breakfast`: a group's code, and its name where that says more."""
    known = programme.groups.get(group)
    name = known.name if known else ""
    return f"{group}, {name}" if name and fold(name) != fold(group) else group


def counted(number: int, one: str, many: str = "") -> str:
    """`1 kit`, `1,200 kits`."""
    return f"{number:,} {one if number == 1 else many or one + 's'}"


def listed(names: Sequence[str], most: int = 12) -> str:
    """`a, b and c`; beyond `most`, how many more."""
    if len(names) > most:
        return f"{', '.join(names[:most])} and {len(names) - most:,} more"
    return f"{', '.join(names[:-1])} and {names[-1]}" if len(names) > 1 else "".join(names)
