"""No household gets what it must not have, by any path: random foods, recipes, swaps, chains of swaps, needs."""

import datetime as dt
from dataclasses import dataclass
from fractions import Fraction

from hypothesis import HealthCheck, event, given, settings
from hypothesis import strategies as st
from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.food_plan import plan_food
from opsreport.plan.model import FoodPlan
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


@dataclass(frozen=True)
class Term:
    """Sheets; by food what it contains; by participant the household and what they must not get."""

    sheets: dict[str, str]
    contains: dict[str, set[str]]
    members: dict[str, tuple[str, set[str]]]

    @property
    def needs(self) -> dict[str, set[str]]:
        """By household what its kit must not hold, whoever in it has the need."""
        found: dict[str, set[str]] = {}
        for household, words in self.members.values():
            found[household] = found.get(household, set()) | words
        return found


@st.composite
def terms(draw: st.DrawFn) -> Term:
    """Two recipes, blends, swaps one by one and in a chain that ends in leaving out, spare and demo kits, tables."""
    some = st.sets(st.sampled_from(ALLERGENS), max_size=2)
    contains = {food: draw(some) for food in FOODS}
    members = {f"p{number}": (f"H{number % 4}", draw(some)) for number in range(6)}
    lines = draw(st.lists(st.sampled_from(FOODS), min_size=1, max_size=4))
    kinds = [draw(st.sampled_from(("batch |", "batch |", "batch | blend", "session |"))) for _ in lines]
    recipes = [draw(st.sampled_from(("soup", "soup", "rice"))) for _ in lines]
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
    if draw(st.integers(0, 3)):
        chain = [
            (food, set(ALLERGENS), instead) for food, instead in zip(FOODS, (*FOODS[1:], "leave out"), strict=True)
        ]
        swaps = [*chain, *swaps]
    format_words = draw(st.sampled_from(("table | 2 | 0 | 1", "kits | | 1 | 1")))
    sheets = {
        "Groups": f"Group | Format | People per table | Spare kits | Demo kits\ng1 | {format_words}",
        "Sessions": f"Session | Group | Date | Recipes\nS1 | g1 | @2027-03-04 | {'; '.join(sorted(set(recipes)))}",
        "Enrolment": "Participant | Group | Household | Needs\n"
        + "\n".join(
            f"{who} | g1 | {household} | {'; '.join(sorted(words)) or 'none'}"
            for who, (household, words) in members.items()
        ),
        "Recipes": "Recipe | Servings | Ingredient | Amount | Unit | Scale | Mix\n"
        + "\n".join(f"{recipes[n]} | 4 | {food} | 100 | g | {kinds[n]}" for n, food in enumerate(lines)),
        "Ingredients": "Ingredient | Contains\n"
        + "\n".join(f"{food} | {'; '.join(sorted(held)) or 'none'}" for food, held in contains.items()),
        "Stock": "Ingredient | Amount | Unit\n" + "\n".join(f"{food} | 5 | kg" for food in FOODS),
    }
    if swaps:
        sheets["Swaps"] = "Ingredient | Need | Use instead\n" + "\n".join(
            f"{food} | {'; '.join(sorted(words))} | {instead}" for food, words, instead in swaps
        )
    return Term(sheets, contains, members)


@settings(deadline=None, max_examples=60, suppress_health_check=[HealthCheck.too_slow])
@given(terms(), st.integers(0, 900))
def test_no_path_leads_an_allergen_to_who_must_not_have_it(case: Term, grams: int) -> None:
    contains, needs = case.contains, case.needs
    rows, findings = read(term(case.sheets), AS_OF)
    programme = build_programme(rows, AS_OF)
    plan, told = plan_food(programme)
    if any(finding.severity is Severity.ERROR for finding in (*findings, *told)):
        return  # nothing is planned, and the findings say for whom
    event("a chain of swaps" if _chained(case, plan) else "no chain")
    (session,) = plan.sessions
    everyone = set().union(*needs.values())
    for line in session.once:
        assert not contains[line.food] & everyone
    kits = session.variants
    for variant in kits:
        blended = [line.food for blend in variant.blends for line in blend.parts]
        for food in [*(line.food for line in variant.lines), *blended]:
            for holder in variant.holders:
                assert not contains[food] & needs[holder]
    if not programme.groups["g1"].kits:
        safe = sum(variant.kits - variant.demo for variant in kits if variant.swaps) * 2
        standard = [line for variant in kits if not variant.swaps for line in variant.lines]
        harmed = [
            who
            for who, (_, words) in case.members.items()
            if any(case.contains[line.food] & words for line in standard)
        ]
        assert len(harmed) <= safe
        assert {name for variant in kits if variant.swaps for name in variant.seated} >= set(harmed)
    _documents_agree(programme, plan, contains, needs)
    counted = [Counted(food, Fraction(grams)) for food in {line.food for variant in kits for line in variant.lines}]
    if counted:
        found = recount(programme, session.packing_day, [session], counted)
        for gap in stopgaps(programme, [session], counted, found):
            for code in gap.fits:
                variant = next(each for each in kits if f"S1-{each.letter}" == code)
                holders = variant.holders or tuple(needs)
                assert not any(contains[gap.instead] & needs[holder] for holder in holders)


def _chained(case: Term, plan: FoodPlan) -> bool:
    """Whether some kit gets what stands for a substitute that would not do either."""
    rows = {(line.partition(" | ")[0], line.rpartition(" | ")[2]) for line in case.sheets.get("Swaps", "").split("\n")}
    made = {(swap.food, swap.instead) for session in plan.sessions for each in session.variants for swap in each.swaps}
    return bool(made - rows)


def _documents_agree(programme, plan, contains, needs) -> None:  # type: ignore[no-untyped-def]
    """A kit's label and card name no food that its holders must not have, and the label names what is in it."""
    (day,) = packing_days(programme, plan) or [None]
    if day is None:
        return
    part = labels(day).parts[0]
    assert isinstance(part, Labels)
    for label in part.labels:
        variant = next(kits.variant for kits in day.kits if kits.code == label.head)
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
