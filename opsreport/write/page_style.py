"""The styles that one page needs out of `templates/style.css`: no rule that it has no use for."""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache, lru_cache
from itertools import groupby
from typing import Final, Literal

from opsreport.places import templates_folder
from opsreport.tables.table import NAMING, NUMBERS, Style, Table
from opsreport.write import clean

Shape = tuple[tuple[str, Style, int], ...]
"""Heading, style and asked width [characters; 0: none] of each column of a table."""
Shapes = dict[Shape, str]
"""A class for each sort of table on a page."""
SENTENCES: Final = 30
"""A column so wide holds sentences [characters]."""

_TOKEN: Final = re.compile(r"(--[\w-]+):[^;}]*;?")
_NAME: Final = re.compile(r"(?<=var\()--[\w-]+|(?<=[{;])--[\w-]+(?=:)")
_PHONE: Final = "@media screen and (max-width:40rem)"
_NUMBER: Final = ("", "tr>:nth-child", "text-align:right;white-space:nowrap")
_UNBROKEN: Final = ("@media print,(min-width:40rem)", "tr>:nth-child", "white-space:nowrap")
_OF_STYLES: Final[dict[Style, tuple[str, str, str]]] = {
    **dict.fromkeys(NUMBERS, _NUMBER),
    "date": _UNBROKEN,
    "code": _UNBROKEN,
    "write-in": ("", "td:nth-child", "border:1px solid var(--ink);min-width:4rem;height:2rem"),
    "mark": (
        "",
        "td:nth-child",
        "text-align:center;min-width:2.2em;border-left:1px solid var(--rule);overflow-wrap:normal",
    ),
    "boxes": ("", "td:nth-child", "font-size:1.1em;line-height:1.2"),
}
"""What a table says once of a column instead of at each of its cells: on what condition, of which cells, what."""
UNBROKEN: Final = NUMBERS | {"date", "code"}
"""Styles whose cells keep to one line, on all but a phone."""


@dataclass(frozen=True, slots=True)
class _Rule:
    """One rule. media: the condition around it, or ''. selectors: each with the names that a page must have for it."""

    media: str
    selectors: tuple[tuple[str, frozenset[str]], ...]
    declarations: str


def shapes_of(tables: Iterable[tuple[Table, bool]]) -> Shapes:
    """The classes of a page's tables, each with whether it keeps to a page; those with the same columns share one."""
    found: Shapes = {}
    for table, fitted in tables:
        found.setdefault(_shape(table, fitted), f"t{len(found) + 1}")
    return found


def shape(table: Table, fitted: bool, shapes: Shapes) -> str:
    """The table's class."""
    return shapes[_shape(table, fitted)]


def _shape(table: Table, fitted: bool) -> Shape:
    """The heading over the cells that name their rows is in no rule. Columns of sentences say how wide they ask to be,
    and all do where the table keeps to a page."""
    return tuple(
        (
            "" if number == 0 and column.style in NAMING else column.heading,
            column.style,
            column.width if fitted or column.width >= SENTENCES else 0,
        )
        for number, column in enumerate(table.columns)
    )


def page_style(body: str, shapes: Shapes) -> str:
    """The rules that the elements and classes of a page's body ask for, written short, with the tokens they name."""
    found: set[str] = {"html", *re.findall(r"<([a-z][a-z0-9]*)", body)}
    for classes in set(re.findall(r'class=("[^"]*"|[\w-]+)', body)):
        found |= {f".{name}" for name in classes.strip('"').split()}
    return _style_of(frozenset(found), tuple(shapes.items()))


@lru_cache(256)
def _style_of(found: frozenset[str], shapes: tuple[tuple[Shape, str], ...]) -> str:
    """found: the elements and classes of a page."""
    written: list[str] = []
    open_media = ""
    for rule in _rules():
        kept = [selector for selector, names in rule.selectors if names <= found]
        if not kept:
            continue
        if rule.media != open_media:
            written.append(("}" if open_media else "") + (f"{rule.media}{{" if rule.media else ""))
            open_media = rule.media
        written.append(f"{','.join(kept)}{{{rule.declarations}}}")
    return _with_named_tokens("".join([*written, "}" if open_media else "", _sizes(found), *_column_rules(shapes)]))


def _with_named_tokens(style: str) -> str:
    """The same without the tokens that nothing in it names, the others by a letter each."""
    named = sorted(set(re.findall(r"var\((--[\w-]+)", style)))
    kept = _TOKEN.sub(lambda token: token[0] if token[1] in named else "", style).replace(";}", "}")
    short = {name: f"--{chr(ord('a') + place)}" for place, name in enumerate(named)}
    return _NAME.sub(lambda name: short[name[0]], kept)


def size_class(points: float, letter: Literal["f", "h"] = "h") -> str:
    """The class of a type size, a multiple of half a point. letter: `h` everywhere, `f` in print only."""
    return f"{letter}{round(2 * points)}"


def _sizes(found: frozenset[str]) -> str:
    """The type sizes of a page's labels, and in print of its tables that keep to a page."""
    numbers = sorted((name[1], int(name[2:])) for name in found if re.fullmatch(r"\.[fh]\d+", name))
    rules = {letter: "".join(f".{letter}{number}{{font-size:{number / 2:g}pt}}" for _, number in sizes)
             for letter, sizes in groupby(numbers, lambda size: size[0])}  # fmt: skip
    fitted = f"@media print{{{rules['f']}}}" if "f" in rules else ""
    return fitted + rules.get("h", "")


def _column_rules(shapes: Iterable[tuple[Shape, str]]) -> Iterator[str]:
    """What the columns of each sort of table hold, and their headings where a phone sets cells below each other."""
    found: dict[tuple[str, str], list[str]] = {}
    for columns, name in shapes:
        placed: dict[tuple[str, str, str], list[int]] = {}
        for number, (heading, style, width) in enumerate(columns, 1):
            if style in _OF_STYLES:
                placed.setdefault(_OF_STYLES[style], []).append(number)
            if width:
                placed.setdefault(("", "th:nth-child", f"--w:{width}"), []).append(number)
            if number > 1 or style not in NAMING:
                found.setdefault((_PHONE, f"content:{css_text(heading)}"), []).append(
                    f".{name} td:nth-child({number})::before"
                )
        for (media, cells, declarations), numbers in placed.items():
            found.setdefault((media, declarations), []).extend(f".{name} {cell}" for cell in _cells(cells, numbers))
    for media, rules in groupby(sorted(found.items()), lambda rule: rule[0][0]):
        inside = "".join(f"{','.join(selectors)}{{{declarations}}}" for (_, declarations), selectors in rules)
        yield f"{media}{{{inside}}}" if media else inside


def _cells(cells: str, numbers: Sequence[int]) -> Iterator[str]:
    """Selectors of columns, those side by side in one; of first cells in rows only what does not run on over others."""
    for _, run in groupby(enumerate(numbers), lambda each: each[1] - each[0] if each[1] > 1 else None):
        first, *others = (number for _, number in run)
        if first == 1:
            yield f"{cells}(1){'' if cells.startswith('th') else ':not([colspan])'}"
        else:
            yield f"{cells}(n+{first}):nth-child(-n+{others[-1]})" if len(others) > 1 else f"{cells}({first})"
            if len(others) == 1:
                yield f"{cells}({others[0]})"


def css_text(text: str) -> str:
    """A CSS string; whatever might mean something in a style or a page is written as its code."""
    plain = " ".join(clean(text).split())
    return '"{}"'.format(re.sub(r"[^\w ·,.-]", lambda found: f"\\{ord(found[0]):x} ", plain))


@cache
def _rules() -> tuple[_Rule, ...]:
    """The style sheet's rules in their order; conditions stand one deep."""
    sheet = (templates_folder() / "style.css").read_text("utf-8")
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
    plain = re.sub(r":\s+", ":", plain).replace(";}", "}").strip()
    return _inlined(re.sub(r"(?<![\w.])0(?=\.\d)", "", plain))


def _inlined(sheet: str) -> str:
    """A style sheet whose tokens that never change, on paper or in the dark, are written as their values."""
    found: dict[str, set[str]] = {}
    for name, value in re.findall(r"(--[\w-]+):([^;}]*)", sheet):
        found.setdefault(name, set()).add(value)
    fixed = {name: values.pop() for name, values in found.items() if len(values) == 1}
    # a token may be made of others, so values are put in until none is left
    while (put := re.sub(r"var\((--[\w-]+)\)", lambda use: fixed.get(use[1], use[0]), sheet)) != sheet:
        sheet = put
    return _TOKEN.sub(lambda token: "" if token[1] in fixed else token[0], sheet)
