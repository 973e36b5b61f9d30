"""How typed words are cleaned and compared, what a misspelt one may mean, and the words for allergens."""

import unicodedata
from collections.abc import Iterable, Mapping
from functools import lru_cache
from typing import Final

_INVISIBLE: Final = (
    "\u00ad\u061c\u180e\u200b\u200c\u200d\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2060\u2061\u2062\u2063\u2066"
    "\u2067\u2068\u2069\ufeff"
)
_SPACES: Final = "\t\n\r\v\f"
_CLEANING: Final[Mapping[int, str | None]] = {
    **{ord(sign): None for sign in _INVISIBLE},
    **{code: None for code in (*range(32), 127) if chr(code) not in _SPACES},
    **{ord(sign): "'" for sign in "‘’‚‛′"},
    **{ord(sign): '"' for sign in "“”„‟″"},
}

_HYPHENS: Final = str.maketrans(dict.fromkeys("-_\u2010\u2011\u2012\u2013\u2014\u2015", " "))


def visible(text: str) -> str:
    """The text with straight quotes and without what cannot be seen; spaces and line breaks stay."""
    return text if text.isascii() and text.isprintable() else text.translate(_CLEANING)


def clean(text: str) -> str:
    """One line of text: no outer, double, non-breaking or zero-width spaces, no curly quotes."""
    return " ".join(visible(text).split())


def fold(text: str) -> str:
    """What two ids have in common when they are the same id: no case, no outer or double spaces."""
    return " ".join(text.split()).casefold()


@lru_cache(4096)
def heading_key(text: str) -> str:
    """What two headings (or sheet names) have in common when they are the same: no case, accents, line
    breaks, outer or double spaces, hyphens for spaces, outer colon, and not the star that marks a required one."""
    bare = clean(text)
    if not bare.isascii():
        bare = "".join(sign for sign in unicodedata.normalize("NFKD", bare) if not unicodedata.combining(sign))
    return fold(bare.translate(_HYPHENS)).strip("*: ")


def nearest(word: str, options: Iterable[str], least: float = 65.0) -> str:
    """The option that looks most like `word`, '' where none is near. Of equally near ones the first.

    A number's nearest is the same number with other zeros before it: 007 for 7.
    """
    from rapidfuzz import fuzz, process

    listed = list(dict.fromkeys(options))
    if word.isdecimal():
        for option in listed:
            if option.isdecimal() and option.lstrip("0") == word.lstrip("0"):
                return option
    found = process.extractOne(fold(word), [fold(option) for option in listed], scorer=fuzz.ratio, score_cutoff=least)
    return "" if found is None else listed[found[2]]


def one_slip_away(word: str, options: Iterable[str]) -> str:
    """The first option of which `word` leaves out, adds or mistakes one letter, or swaps two that stand side by side;
    '' where there is none, or the word is a single letter."""
    from rapidfuzz.distance import OSA

    typed = fold(word)
    near = (option for option in options if len(typed) > 1 and OSA.distance(typed, fold(option), score_cutoff=1) == 1)
    return next(near, "")


US_ALLERGENS: Final = (
    "milk", "egg", "fish", "crustacean shellfish", "tree nuts", "peanut", "wheat", "soy", "sesame",
)  # fmt: skip
"""Source: 21 USC 321(qq) as amended by the FASTER Act of 2021."""
EU_ALLERGENS: Final = ("gluten", "celery", "mustard", "lupin", "molluscs", "sulphites")
"""Those of Regulation (EU) 1169/2011, Annex II, beyond the US nine."""
ALLERGENS: Final = (*US_ALLERGENS, *EU_ALLERGENS)

_ALLERGEN_WORDS: Final[Mapping[str, tuple[str, ...]]] = {
    "milk": ("milk",), "dairy": ("milk",), "lactose": ("milk",),
    "egg": ("egg",), "eggs": ("egg",),
    "fish": ("fish",),
    "crustacean shellfish": ("crustacean shellfish",), "crustaceans": ("crustacean shellfish",),
    "crustacean": ("crustacean shellfish",),
    "shellfish": ("crustacean shellfish", "molluscs"),
    "tree nuts": ("tree nuts",), "tree nut": ("tree nuts",), "treenuts": ("tree nuts",),
    "nuts": ("peanut", "tree nuts"), "nut": ("peanut", "tree nuts"),
    "peanut": ("peanut",), "peanuts": ("peanut",), "groundnuts": ("peanut",),
    "wheat": ("wheat",),
    "soy": ("soy",), "soya": ("soy",), "soybean": ("soy",), "soybeans": ("soy",),
    "sesame": ("sesame",),
    "gluten": ("gluten", "wheat"), "barley": ("gluten",), "rye": ("gluten",),
    "celery": ("celery",), "mustard": ("mustard",), "lupin": ("lupin",),
    "molluscs": ("molluscs",), "mollusc": ("molluscs",), "mollusks": ("molluscs",),
    "sulphites": ("sulphites",), "sulfites": ("sulphites",), "sulphite": ("sulphites",),
}  # fmt: skip
"""What a plain word covers in a need. Barley and rye stand only under gluten in the data, so a need for
one of them covers gluten: too much rather than too little."""
_CONTAINED: Final[Mapping[str, tuple[str, ...]]] = {
    **_ALLERGEN_WORDS, "gluten": ("gluten",), "oats": ("gluten",), "oat": ("gluten",),
}  # fmt: skip
"""What a plain word says of a food: gluten may be of barley, so it is not wheat; oats stand under gluten."""


def allergens_named(text: str) -> tuple[str, ...] | None:
    """The allergens that one word of a need means, or None."""
    return _ALLERGEN_WORDS.get(fold(text))


def need_words() -> Mapping[tuple[str, ...], list[str]]:
    """Every plain word of a need, by the allergens that it covers, in a fixed order."""
    found: dict[tuple[str, ...], list[str]] = {}
    for word, covered in _ALLERGEN_WORDS.items():
        found.setdefault(covered, []).append(word)
    return found


def allergens_contained(text: str) -> tuple[str, ...] | None:
    """The allergens that one word of a Contains cell means, or None."""
    return _CONTAINED.get(fold(text))


def allergen_words() -> list[str]:
    """Every word for an allergen, for suggestions, in a fixed order."""
    return list(_CONTAINED)
