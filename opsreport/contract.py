"""SHEETS, RULES and the documents' definitions as the documentation's tables and lists.

`python -m opsreport.contract README.md DEVELOPERS.md` writes them anew between each file's markers.
"""

import re
import sys
from collections.abc import Callable, Mapping
from fractions import Fraction
from pathlib import Path
from typing import Final

from opsreport.foods import catalogue
from opsreport.kinds import Amount, NeedAnswer, Share, weekday_words
from opsreport.money import Currency
from opsreport.rules import ALL_FAMILIES, RULES, Rule, Severity
from opsreport.sheets import SHEETS, Column, SheetSpec
from opsreport.tables.reports.definitions import attendance_definitions, funder_definitions, outcome_definitions
from opsreport.words import need_words

_BY_ITSELF: Final = {
    "Delivery days": "the order days",
    "As of": "today",
    "Measured": "see meaning",
}
"""Defaults that no single value says."""

_LONG: Final[Mapping[str, str]] = {
    "attendance": "Wide: `Participant`, then one column a session, headed by its code, one mark a cell. Or long, one "
    "mark a row:",
    "surveys": "Wide: `Participant`, `When`, then one column a question, headed by its code. Or long: `Participant`, "
    "`Question`, `Before`, `After`. Either way each answer is read as:",
}


def contract_markdown() -> str:
    """Every sheet with its columns, the four that are always needed first marked in an overview."""
    core = [spec.name for spec in SHEETS.values() if spec.core]
    head = (
        f"{', '.join(core[:-1])} and {core[-1]} are always needed; every other sheet is optional. A column with `*` "
        "must be there where its sheet is used."
    )
    return "\n\n".join([head, *map(_sheet, SHEETS.values()), _kinds(), _need_words()]) + "\n"


def findings_markdown() -> str:
    """Every code a finding can have: how bad, what it says, what to do; a word in italics stands for what
    is filled in."""
    lines = ["| code | how bad | what it says | what to do |", "|---|---|---|---|"]
    for code, rule in RULES.items():
        lines.append(f"| `{code}` | {_how_bad(rule)} | {_plain(rule.message)} | {_plain(rule.fix)} |")
    return "\n".join(lines) + "\n"


def _sheet(spec: SheetSpec) -> str:
    needed = " (always needed)" if spec.core else ""
    lines = [f"#### {spec.name}{needed}", "", _escaped(spec.meaning)]
    if spec.shape in _LONG:
        lines += ["", _LONG[spec.shape]]
    if spec.shape == "settings":
        lines += ["", "Two columns, `Setting` and `Value`; the settings are:"]
    lines += ["", "| column | kind | default | meaning |", "|---|---|---|---|", *map(_row, spec.columns)]
    if spec.extra:
        lines += ["", "Further columns are kept with each row and may be named in Report by."]
    return "\n".join(lines)


def _kinds() -> str:
    """What may be typed into each kind of cell; kinds that are a few words to choose from say so by name."""
    kinds = {column.kind.name: column.kind for spec in SHEETS.values() for column in spec.columns}
    lines = ["#### Kinds of cell", "", "| kind | what may be typed | example |", "|---|---|---|"]
    for name, kind in sorted(kinds.items()):
        if not (kind.choices and " or " in name):
            lines.append(f"| {_escaped(name)} | {_escaped(kind.meaning)} | `{_escaped(kind.example)}` |")
    return "\n".join(lines)


def _need_words() -> str:
    """The words that Needs reads, and what each keeps a kit from."""
    lines = ["#### Words for needs", "", "| type `no` and | it covers |", "|---|---|"]
    lines += [f"| {', '.join(words)} | {', '.join(covered)} |" for covered, words in need_words().items()]
    tags = sorted({tag for entry in catalogue() for tag in entry.tags if tag != "check-label"})
    lines += [
        f"| {', '.join(tags)}, or a tag of yours | foods tagged so |",
        "| a food of the catalogue or of Ingredients | that one food by any of its names, and no other: type "
        "`no tomato; no canned tomatoes` for both. Foods of like name that are used are listed as a warning |",
        "",
        "An allergen's word may stand without `no`, as `egg-free` or `egg allergy` too. `vegetarian` covers meat, "
        "fish, shellfish and gelatin; `vegan` also milk, egg and honey. `none`: asked, and there is none; a blank, "
        "`?`, `-`, `n/a` or `no`: not asked. Any other word is refused, with a proposal where one is sure.",
    ]
    return "\n".join(lines)


def _row(column: Column) -> str:
    star = "*" if column.required or column.starred else ""
    meaning = column.meaning
    if column.refers:
        meaning += f" Must be in {column.refers}."
    if bounds := range_words(column):
        meaning += f" {bounds}"
    cells = (f"{column.heading}{star}", column.kind.name, default_words(column), meaning)
    return "| " + " | ".join(map(_escaped, cells)) + " |"


def range_words(column: Column) -> str:
    """The range a column declares, where saying it tells something that its kind does not."""
    parts = []
    percent = column.kind.name == "percent"

    def shown(bound: Fraction) -> str:
        return f"{bound * 100}%" if percent else f"{bound}"

    if column.above is not None:
        parts.append(f"above {shown(column.above)}")
    if column.least is not None and column.least > 0:
        parts.append(f"at least {shown(column.least)}")
    if column.most is not None:
        parts.append(f"at most {shown(column.most)}")
    text = ", ".join(parts)
    return f"{text[:1].upper()}{text[1:]}." if text else ""


def default_words(column: Column) -> str:
    """What a blank cell means, in a few words; empty where blank simply means nothing."""
    if column.required or column.starred:
        return ""
    if column.heading in _BY_ITSELF:
        return _BY_ITSELF[column.heading]
    return _value(column.default, column.kind.name == "percent")


def _value(value: object, percent: bool = False) -> str:
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, Share):
        return f"{value.of_all * 100}%" if value.of_all is not None else str(value.number)
    if isinstance(value, Fraction | int):
        return f"{value * 100}%" if percent else str(value)
    if isinstance(value, Currency):
        return value.code
    if isinstance(value, NeedAnswer):
        return "not asked"
    if isinstance(value, tuple) and value and all(isinstance(entry, int) for entry in value):
        return weekday_words(value)
    if value is None or value == () or isinstance(value, Amount):
        return ""
    return str(value)


def _how_bad(rule: Rule) -> str:
    if rule.severity is not Severity.ERROR or rule.families is None or rule.families == ALL_FAMILIES:
        return rule.severity.value
    return f"{rule.severity.value}, stops {' and '.join(sorted(rule.families))}"


def _plain(sentence: str) -> str:
    return _escaped(re.sub(r"\{(\w+)\}", r"*\1*", sentence.replace(".{near}", ".")))


def _escaped(text: str) -> str:
    return text.replace("|", "\\|").replace("<", "&lt;")


def definitions_markdown() -> str:
    """What the figures about people mean, as the documents say it at their end, each definition once."""
    usual = next(column.default for column in SHEETS["Settings"].columns if column.heading == "Completion")
    assert isinstance(usual, Share)
    kits = "session by session as Pick-ups records them, else as Attendance does, else those packed"
    sections = {
        "Attendance": attendance_definitions(usual, kits).sentences,
        "Outcomes": outcome_definitions(),
        "Documents for funders": funder_definitions(usual).sentences,
    }
    told: set[str] = set()
    lines: list[str] = []
    for title, sentences in sections.items():
        lines += [f"#### {title}", "", *(f"- {_escaped(each)}" for each in sentences if each not in told), ""]
        told.update(sentences)
    return "\n".join(lines)


SECTIONS: Final[Mapping[str, Callable[[], str]]] = {
    "sheets": contract_markdown,
    "findings": findings_markdown,
    "definitions": definitions_markdown,
}
"""What may stand between `<!-- NAME: ... -->` and `<!-- end of NAME -->`."""


def with_sections(text: str) -> str:
    """The text with every section between markers written anew.

    Raises:
        ValueError: the text has no marker of ours, or one without its end.
    """
    found = 0
    for name, markdown in SECTIONS.items():
        section = re.compile(rf"(<!-- {name}:[^>]*-->\n).*?(<!-- end of {name} -->)", re.DOTALL)
        if f"<!-- {name}:" not in text:
            continue
        old = section.search(text)
        if old is None:
            raise ValueError(f"the section {name} has no end")
        text = f"{text[: old.start()]}{old[1]}\n{markdown()}\n{old[2]}{text[old.end() :]}"
        found += 1
    if not found:
        raise ValueError("no section to write")
    return text


def rewrite(page: Path) -> None:
    """Bring a page's generated sections up to date."""
    page.write_text(with_sections(page.read_text("utf-8")), "utf-8", newline="\n")


if __name__ == "__main__":
    for name in sys.argv[1:]:
        rewrite(Path(name))
