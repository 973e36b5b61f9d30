"""How wide words are in print, so that what must fit on a label or a page is set as large as fits."""

import math
from collections.abc import Iterable
from dataclasses import dataclass
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


@lru_cache(maxsize=1 << 14)
def text_width(text: str, *, bold: bool = False) -> float:
    """Width of a text on one line [of the type's size]."""
    widths = _WIDTHS[bold]
    return sum([widths.get(character, _ANY_OTHER) for character in text]) / 1000


@dataclass(frozen=True, slots=True)
class Measured:
    """A text measured once, so that its lines can be counted for many widths. words: of each of its lines, their
    widths; width: of the text, infinite where it has several lines [all of the type's size]."""

    width: float
    words: tuple[tuple[float, ...], ...]
    longest_word: float
    space: float

    def lines(self, room: float) -> int:
        """Lines that the text takes, broken between words, and within a word that is wider than a line; at least 1.

        Args:
            room: width of a line [of the type's size].
        """
        return 1 if self.width <= room else sum(_lines_of_words(line, room, self.space) for line in self.words)


@lru_cache(maxsize=1 << 14)
def measured(text: str, *, bold: bool = False) -> Measured:
    """The text, measured in one type."""
    lines = text.split("\n")
    words = tuple([tuple([text_width(word, bold=bold) for word in line.split()]) for line in lines])
    return Measured(
        math.inf if len(lines) > 1 else text_width(text, bold=bold),
        words,
        max(map(max, filter(None, words)), default=0.0),
        text_width(" ", bold=bold),
    )


@lru_cache(maxsize=1 << 14)
def lines_of(text: str, room: float, *, bold: bool = False) -> int:
    """Lines that a text takes in lines of a width [of the type's size]; as `Measured.lines`."""
    return measured(text, bold=bold).lines(room)


def _lines_of_words(words: Iterable[float], room: float, space: float) -> int:
    lines, used = 1, 0.0
    for width in words:
        if used and used + space + width <= room:
            used += space + width
            continue
        over = int(width // room) if width > room else 0
        lines += (used > 0) + over
        used = width - over * room
    return lines
