"""No household gets what it must not have, by any path: random foods, recipes, swaps, chains of swaps, needs."""

import datetime as dt
from fractions import Fraction

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.plan.packing.recount import Counted, recount
from opsreport.plan.packing.stopgaps import stopgaps
from opsreport.rules import Severity
from opsreport.tables.packing.day import packing_days
from opsreport.tables.packing.labels import labels
from opsreport.tables.packing.recipe_cards import recipe_cards
from opsreport.tables.table import Labels, Table

AS_OF = dt.date(2027, 3, 1)
ALLERGENS = ("milk", "egg", "peanut", "sesame")
FOODS = tuple(f"ware{number}" for number in range(6))


@st.composite
def terms(draw: st.DrawFn) -> tuple[dict[str, str], dict[str, set[str]], dict[str, set[str]]]:
    """Sheets; by food what it contains; by household what it must not get."""
    contains = {food: draw(st.sets(st.sampled_from(ALLERGENS), max_size=2)) for food in FOODS}
    needs = {f"H{number}": draw(st.sets(st.sampled_from(ALLERGENS), max_size=2)) for number in range(4)}
    lines = draw(st.lists(st.sampled_from(FOODS), min_size=1, max_size=4))
    scales = [draw(st.sampled_from(("batch", "batch", "session"))) for _ in lines]
    swaps = draw(
        st.lists(
            st.tuples(
                st.sampled_from(FOODS), st.sets(st.sampled_from(ALLERGENS), min_size=1, max_size=4),
                st.sampled_from((*FOODS, "leave out", "leave out")),
            ),
            max_size=10,
            unique_by=lambda swap: (swap[0], tuple(sorted(swap[1])), swap[2]),
        )
    )  # fmt: skip
    table = draw(st.booleans())
    sheets = {
        "Groups": f"Group | Format | People per table\ng1 | {'table | 2' if table else 'kits |'}",
        "Sessions": "Session | Group | Date | Recipes\nS1 | g1 | @2027-03-04 | soup",
        "Enrolment": "Participant | Group | Household | Needs\n"
        + "\n".join(f"p{who} | g1 | {who} | {'; '.join(sorted(words)) or 'none'}" for who, words in needs.items()),
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit | Scale\n"
        + "\n".join(f"soup | {'' if n else 4} | {food} | 100 | g | {scales[n]}" for n, food in enumerate(lines)),
        "Ingredients": "Ingredient | Contains\n"
        + "\n".join(f"{food} | {'; '.join(sorted(held)) or 'none'}" for food, held in contains.items()),
        "Stock": "Ingredient | Amount | Unit\n" + "\n".join(f"{food} | 5 | kg" for food in FOODS),
    }
    if swaps:
        sheets["Swaps"] = "Ingredient | Need | Use instead\n" + "\n".join(
            f"{food} | {'; '.join(sorted(words))} | {instead}" for food, words, instead in swaps
        )
    return sheets, contains, needs


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(terms(), st.integers(0, 900))
def test_no_path_leads_an_allergen_to_who_must_not_have_it(
    case: tuple[dict[str, str], dict[str, set[str]], dict[str, set[str]]], grams: int
) -> None:
    sheets, contains, needs = case
    rows, findings = read(term(sheets), AS_OF)
    programme = build_programme(rows, AS_OF)
    plan, told = plan_food(programme)
    if any(finding.severity is Severity.ERROR for finding in (*findings, *told)):
        return  # nothing is planned, and the findings say for whom
    (session,) = plan.sessions
    everyone = set().union(*needs.values())
    for line in session.once:
        assert not contains[line.food] & everyone
    kits = session.variants
    for variant in kits:
        for line in variant.lines:
            for holder in variant.holders:
                assert not contains[line.food] & needs[holder]
    if not programme.groups["g1"].kits:
        safe = sum(variant.kits for variant in kits if variant.swaps) * 2
        standard = [line for variant in kits if not variant.swaps for line in variant.lines]
        harmed = {who for who, words in needs.items() if any(contains[line.food] & words for line in standard)}
        assert len(harmed) <= safe
    _documents_agree(programme, plan, contains, needs)
    counted = [Counted(food, Fraction(grams)) for food in {line.food for variant in kits for line in variant.lines}]
    if counted:
        found = recount(programme, session.packing_day, [session], counted)
        for gap in stopgaps(programme, [session], counted, found):
            for code in gap.fits:
                variant = next(each for each in kits if f"S1-{each.letter}" == code)
                holders = variant.holders or tuple(needs)
                assert not any(contains[gap.instead] & needs[holder] for holder in holders)


def _documents_agree(programme, plan, contains, needs) -> None:  # type: ignore[no-untyped-def]
    """A kit's label and card name no food that its holders must not have, and the label names what is in it."""
    (day,) = packing_days(programme, plan) or [None]
    if day is None:
        return
    part = labels(day).parts[0]
    assert isinstance(part, Labels)
    for label in part.labels:
        variant = next(kits.variant for kits in day.kits if kits.code == label.head.partition(" · ")[0])
        held = set().union(*(contains[line.food] for line in variant.lines), set())
        assert {name for name in ALLERGENS if name in label.contains} == held
        for holder in variant.holders:
            assert not any(name in label.contains for name in needs[holder])
    for table in recipe_cards(day).parts:
        if isinstance(table, Table) and table.columns[0].heading == "Ingredient":
            codes = table.title.partition("(")[2].rstrip(")").split(", ")
            holders = [who for kits in day.kits if kits.code in codes for who in kits.variant.holders]
            for row in table.rows:
                if row.cells[4] != "left out of this kit":
                    food = str(row.cells[0]).partition(" (")[0]
                    assert not any(contains[food] & needs[who] for who in holders)
