"""How wide words are in print, so that what must fit on a label or a page is set as large as fits."""

from collections.abc import Iterable
from functools import lru_cache
from typing import Final

_REGULAR: Final = {
    191: "'", 222: "ijl’", 260: "|", 278: " !,./:;I[\\]ft", 333: "()-`r·“”", 334: "{}", 355: '"', 389: "*", 400: "°",
    469: "^", 500: "Jcksvxyz", 556: "#$0123456789?L_abdeghnopqu–", 584: "+<=>~×", 611: "FTZ", 667: "&ABEKPSVXY",
    722: "CDHNRUw", 778: "GOQ", 833: "Mm", 834: "½¼¾⅓⅔", 889: "%", 944: "W",
}  # fmt: skip
_BOLD: Final = {
    238: "'", 278: " ,./I\\ijl’", 280: "|", 333: "!()-:;[]`ft·", 389: "*r{}", 400: "°", 474: '"', 500: "z“”",
    556: "#$0123456789J_aceksvxy–", 584: "+<=>^~×", 611: "?FLTZbdghnopqu", 667: "EPSVXY", 722: "&ABCDHKNRU",
    778: "GOQw", 833: "M", 834: "½¼¾⅓⅔", 889: "%m", 944: "W",
}  # fmt: skip
"""Characters by their width [1/1000 of the type's size]. Source: the metrics of Liberation Sans, which are Arial's."""
_ANY_OTHER: Final = 1000
"""On the safe side for letters that the tables leave out."""


def _by_character(widths: dict[int, str]) -> dict[str, int]:
    return {character: width for width, characters in widths.items() for character in characters}


_WIDTHS: Final = (_by_character(_REGULAR), _by_character(_BOLD))


@lru_cache(maxsize=1 << 16)
def text_width(text: str, *, bold: bool = False) -> float:
    """Width of a text on one line [of the type's size]."""
    widths = _WIDTHS[bold]
    return sum(widths.get(character, _ANY_OTHER) for character in text) / 1000


@lru_cache(maxsize=1 << 16)
def lines_of(text: str, room: float, *, bold: bool = False) -> int:
    """Lines that a text takes, broken between words, and within a word that is wider than a line; at least 1.

    Args:
        room: width of a line [of the type's size].
    """
    if "\n" not in text and text_width(text, bold=bold) <= room:
        return 1
    return sum(_lines_of_words(line.split(), room, bold) for line in text.split("\n"))


def _lines_of_words(words: Iterable[str], room: float, bold: bool) -> int:
    space = text_width(" ", bold=bold)
    lines, used = 1, 0.0
    for word in words:
        width = text_width(word, bold=bold)
        if used and used + space + width <= room:
            used += space + width
            continue
        over = int(width // room) if width > room else 0
        lines += (used > 0) + over
        used = width - over * room
    return lines
