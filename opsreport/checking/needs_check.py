"""Rules about needs and about what foods are said to hold: what a kit's safety rests on, listed in NEEDS_CHECKS."""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from typing import Any, Final

from opsreport.findings import Finding
from opsreport.foods import ANIMAL_TAGS, DIETS, Food, Foods, catalogue, catalogue_entry, name_key, word_keys
from opsreport.reading.saying import maybe, said_at
from opsreport.sheets import IngredientRow, Rows
from opsreport.words import ALLERGENS, allergens_named, fold, nearest, one_slip_away

NEAR_NEED: Final = 82.0
"""How alike a need and a word must be before the word is proposed, in percent: `penut` is, `celeriac` for
`coeliac` (80) is not. A wrong proposal could harm."""

_SAID_OTHERWISE: Final[Mapping[str, str]] = {
    **dict.fromkeys(("coeliac", "celiac", "coeliac disease", "celiac disease", "gluten sensitive"), "no gluten"),
    **dict.fromkeys(("lactose", "lactose intolerant", "lactose intolerance", "dairy products"), "no milk"),
    **dict.fromkeys(
        (
            "none known", "known allergies", "known allergy", "allergies", "allergy", "known", "nil", "nka", "nkda",
            "nothing", "restrictions", "needs", "not any", "none so far", "food allergies", "dietary needs",
        ),
        "none",
    ),
    **dict.fromkeys(("plant based", "plant-based", "strict vegetarian"), "vegan"),
    **dict.fromkeys(("veggie", "veg", "meat or fish", "meat and fish"), "vegetarian"),
    **dict.fromkeys(("groundnut", "ground nut", "monkey nut", "monkey nuts"), "no peanut"),
    **dict.fromkeys(("seafood", "sea food"), "no fish; no shellfish"),
    **dict.fromkeys(("prawns", "prawn", "shrimps"), "no crustacean shellfish"),
}  # fmt: skip
"""Everyday words for a need, and what to type for them: proposed, never taken as read."""
_NO_WORD: Final[Mapping[str, str]] = {
    "halal": "no pork; no gelatin; no alcohol",
    "kosher": "no pork; no shellfish; no gelatin",
    "pescatarian": "no meat; no poultry; no gelatin",
    "pescetarian": "no meat; no poultry; no gelatin",
    "hindu": "no beef",
    "jain": "vegetarian; no onion; no garlic",
}
"""Ways of eating that rule out more than a list of foods can say; an example of what may be typed after asking."""
_BEGINNING: Final = 4
"""Letters from which a word is also looked for as the beginning of another: apple in applesauce, not pea in peanut."""
_BEFORE: Final = re.compile(
    r"(?:(?:severe|mild|is|are|has|have|very|an?|no|not|avoids?|allergy|allergic|intolerance|intolerant|sensitive|to|of|"
    r"can'?t|cannot|eats?|does|doesn't|don't|do|without)\s+)+"
)
_AFTER: Final = re.compile(
    r"(?:[\s-]+(?:allergy|allergies|allergic|intolerance|intolerant|free|sensitivity|sensitive))+"
)


def food_names(rows: Rows, foods: Foods) -> list[str]:
    """Every name and alias of a food that Ingredients or the catalogue knows."""
    names = [food.name for food in foods.by_name.values() if food.listed]
    names += [name for row in rows.ingredients for name in row.also_called or ()]
    names += [name for entry in catalogue() for name in (entry.ingredient, *entry.also_called)]
    return list(dict.fromkeys(names))


def needs_matched(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Needs of Enrolment and Swaps that match nothing, and so would protect nobody. Not said of a food or tag that a
    sheet Ingredients without headings may name."""
    named: list[tuple[Any, str, str]] = [(row, text, "Needs") for row in rows.enrolment for text in row.needs.needs]
    named += [(row, text, "Need") for row in rows.swaps for text in row.need]
    for row, text, heading in named:
        if foods.need(text) is None and (foods.is_plain(fold(text)) or not rows.lacks_headings("Ingredients")):
            yield said_at(row, heading, "need-unknown", text, near=_nearest_need(text, rows, foods))


def _nearest_need(text: str, rows: Rows, foods: Foods) -> str:
    """What the need may have been meant as: a known word for it, else a true near miss, else nothing."""
    words = fold(text)
    bare = _AFTER.sub("", _BEFORE.sub("", f"{words} ", count=1).strip() or words)
    for said in (words, words.removeprefix("no "), bare):
        if said in _NO_WORD:
            return (
                f" There is no word for {said}: ask the household which foods that rules out for them, then type each, "
                f"for example {_NO_WORD[said]}."
            )
        if said in _SAID_OTHERWISE:
            return maybe(_SAID_OTHERWISE[said])
    if foods.need(f"no {bare}") is not None:
        return maybe(f"no {bare}")
    options = [*DIETS, *ALLERGENS, "nuts", "dairy", "shellfish", "gluten", "none", *sorted(foods.tags())]
    found = one_slip_away(bare, options) or nearest(bare, [*options, *food_names(rows, foods)], NEAR_NEED)
    return maybe(found if found in (*DIETS, "none") or not found else f"no {found}")


def needs_asked(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Members whose Needs cell says nothing; once where Enrolment has no such column."""
    strict = rows.settings.unanswered_needs == "error"
    code = "needs-unanswered-refused" if strict else "needs-unanswered"
    for row in rows.enrolment:
        if row.needs.asked or row.status == "withdrawn":
            continue
        if "Needs" not in row.place.columns:
            yield said_at(row, "Needs", code, "there is no Needs column", participant="Everyone")
            return
        yield said_at(row, "Needs", code, row.needs.written or "no answer", participant=row.participant)


def _used(rows: Rows, foods: Foods) -> dict[str, Food]:
    """Every food that a recipe of the term lists, and all that may stand for one, by id."""
    made = {fold(dish.recipe) for row in rows.sessions if row.status != "cancelled" for dish in row.recipes}
    found: dict[str, Food] = {}
    names = [row.ingredient for row in rows.recipes if fold(row.recipe) in made]
    while names:
        food = foods.find(names.pop(0))
        if food is not None and food.name not in found:
            found[food.name] = food
            names += [row.instead for row in rows.swaps if row.instead and foods.find(row.ingredient) is food]
    return found


def needs_of_one_food(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Needs named after a food (or tag) that leave foods of like name uncovered: `no garlic` and garlic powder.

    What such a need covers stays as it is: the one food, its other names, and what is tagged so.
    """
    asking = [row for row in rows.enrolment if row.needs.needs]
    if not asking:
        return
    used = _used(rows, foods)
    called: dict[str, list[tuple[str, ...]]] = {name: [] for name in used}
    for key, name in foods.ids.items():
        if name in used:
            called[name].append(word_keys(key))
    for row in asking:
        known = [need for text in row.needs.needs if (need := foods.need(text)) is not None]
        covers = frozenset(atom for need in known for atom in need.covers)
        for need in known:
            subject = fold(need.text).removeprefix("no ").strip()
            if fold(need.text) in DIETS or allergens_named(subject) is not None:
                continue
            itself = [name for kind, name in sorted(need.covers) if kind == "food"]
            terms = {word_keys(name) for name in (subject, *itself)}
            alike = [
                name
                for name, food in used.items()
                if not food.atoms & covers and any(_names_it(term, words) for term in terms for words in called[name])
            ]
            if alike:
                yield said_at(
                    row, "Needs", "need-of-one-food", need.text, foods=", ".join(alike),
                    typed="; ".join([need.text, *(f"no {name}" for name in alike)]),
                )  # fmt: skip


def _names_it(term: tuple[str, ...], words: tuple[str, ...]) -> bool:
    """Whether a name's words hold the term's side by side, the last as a beginning too: `apple` in `applesauce`."""
    *first, last = term
    for start in range(len(words) - len(term) + 1):
        end = words[start + len(first)]
        if words[start + len(term) :][:1] == ("free",):
            continue  # `alcohol-free`
        begins = end == last or (len(last) >= _BEGINNING and end.startswith(last))
        if begins and list(words[start : start + len(first)]) == first:
            return True
    return False


def contains_blank(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Foods of their own that a kit may hold, packed or instead of something, where someone has needs, of which
    nobody said what they contain."""
    if not any(row.needs.needs for row in rows.enrolment):
        return
    packed = {name_key(row.ingredient) for row in rows.recipes if row.supplied == "packed"}
    packed |= {name_key(row.instead) for row in rows.swaps if row.instead is not None}
    for row in rows.ingredients:
        names = {name_key(name) for name in (row.ingredient, *(row.also_called or ()))}
        if row.contains is None and catalogue_entry(row.ingredient) is None and names & packed:
            yield said_at(row, "Contains", "contains-blank", row.ingredient)


def contains_dropped(rows: Rows, foods: Foods) -> Iterator[Finding]:
    """Contains and Tags that leave out an allergen, or a tag that diets look at, which the catalogue lists."""
    for row in rows.ingredients:
        entry = catalogue_entry(row.ingredient)
        if entry is None:
            continue
        cells = (
            ("Contains", row.contains, _implied(entry.contains, row)),
            ("Tags", row.tags, tuple(tag for tag in entry.tags if tag in ANIMAL_TAGS)),
        )
        for heading, typed, listed in cells:
            if typed is None:
                continue
            dropped = [name for name in listed if name not in {fold(each) for each in typed}]
            if dropped:
                yield said_at(
                    row, heading, "contains-dropped", "; ".join(typed) or "none", heading=heading,
                    ingredient=row.ingredient, dropped=" and ".join(dropped), typed="; ".join([*typed, *dropped]),
                )  # fmt: skip


def _implied(contains: tuple[str, ...], row: IngredientRow) -> tuple[str, ...]:
    """The catalogue's allergens without gluten where the row says wheat: a need for no gluten covers both."""
    wheat = row.contains is not None and "wheat" in row.contains
    return tuple(name for name in contains if not (wheat and name == "gluten"))


NEEDS_CHECKS: Final[tuple[Callable[[Rows, Foods], Iterable[Finding]], ...]] = (
    needs_matched,
    needs_asked,
    needs_of_one_food,
    contains_blank,
    contains_dropped,
)
