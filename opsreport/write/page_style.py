"""The styles that one page needs out of `templates/style.css`: no rule that it has no use for."""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from functools import cache
from typing import Final

from opsreport.places import templates_folder
from opsreport.tables.table import Style

_OF_COLUMNS: Final = (
    ("", "r", "tr", "text-align:right"),
    ("", "r", "tbody>tr", "white-space:nowrap;overflow-wrap:normal"),
    ("@media print,(min-width:30rem)", "d", "tbody>tr", "white-space:nowrap;overflow-wrap:normal"),
    ("", "w", "tbody>tr", "border:1px solid var(--ink);min-width:5rem;height:2rem"),
)
"""What a table says once of a column instead of at each of its cells: on what condition, of which sort of columns, in
which rows, what."""
_LETTERS: Final[dict[Style, str]] = {
    "count": "r",
    "amount": "r",
    "money": "r",
    "percent": "r",
    "number": "r",
    "date": "d",
    "code": "d",
    "write-in": "w",
}


@dataclass(frozen=True, slots=True)
class _Rule:
    """One rule. media: the condition around it, or ''. selectors: each with the names that a page must have for it."""

    media: str
    selectors: tuple[tuple[str, frozenset[str]], ...]
    declarations: str


def column_classes(styles: Iterable[Style]) -> list[str]:
    """Classes of a table, one for each column that is not plain words: `r3` numbers in the third column."""
    return [f"{_LETTERS[style]}{number}" for number, style in enumerate(styles, 1) if style in _LETTERS]


def page_style(body: str) -> str:
    """The rules that the elements and classes of a page's body ask for, written short."""
    found: set[str] = {"html", *re.findall(r"<([a-z][a-z0-9]*)", body)}
    for classes in set(re.findall(r'class="([^"]*)"', body)):
        found |= {f".{name}" for name in classes.split()}
    written: list[str] = []
    open_media = ""
    for rule in _rules((templates_folder() / "style.css").read_text("utf-8")):
        kept = [selector for selector, names in rule.selectors if names <= found]
        if not kept:
            continue
        if rule.media != open_media:
            written.append(("}" if open_media else "") + (f"{rule.media}{{" if rule.media else ""))
            open_media = rule.media
        written.append(f"{','.join(kept)}{{{rule.declarations}}}")
    return "".join([*written, "}" if open_media else "", *_column_rules(found)])


def _column_rules(found: set[str]) -> Iterator[str]:
    """Rules for the columns that some table of the page has; a cell over several columns is none of them."""
    for media, letter, rows, declarations in _OF_COLUMNS:
        numbers = sorted(int(name[2:]) for name in found if re.fullmatch(rf"\.{letter}\d+", name))
        if numbers:
            cells = ",".join(f".{letter}{number} {rows}>:nth-child({number}):not([colspan])" for number in numbers)
            rule = f"{cells}{{{declarations}}}"
            yield f"{media}{{{rule}}}" if media else rule


@cache
def _rules(sheet: str) -> tuple[_Rule, ...]:
    """A style sheet's rules in their order; conditions stand one deep."""
    rules, media = [], ""
    for head, opened, declarations in re.findall(r"([^{}]*)(?:(\{)(?:([^{}]*)\})?|\})", _short(sheet)):
        if not opened:
            media = ""
        elif head.startswith("@"):
            media = head
        else:
            rules.append(_rule(media, head, declarations))
    return tuple(rules)


def _rule(media: str, head: str, declarations: str) -> _Rule:
    return _Rule(media, tuple((selector, _names(selector)) for selector in head.split(",")), declarations)


def _names(selector: str) -> frozenset[str]:
    """Elements and classes without which a selector means nothing."""
    plain = re.sub(r":not\([^)]*\)|::?[a-z-]+|\[[^\]]*\]", "", selector)
    return frozenset(re.findall(r"\.?[A-Za-z][\w-]*", plain))


def _short(sheet: str) -> str:
    """A style sheet without comments and spare spaces."""
    plain = re.sub(r"/\*.*?\*/", "", sheet, flags=re.DOTALL)
    plain = re.sub(r"\s*([{};,>])\s*", r"\1", " ".join(plain.split()))
    return re.sub(r":\s+", ":", plain).replace(";}", "}").strip()
