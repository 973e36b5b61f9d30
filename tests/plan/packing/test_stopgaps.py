"""What could stand in: only what the pantry has, what nobody concerned must not get, and how far it goes."""

import datetime as dt
import itertools
from collections.abc import Mapping
from fractions import Fraction

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.needs.amounts import plan_sessions
from opsreport.plan.needs.kits import kits_of_sessions
from opsreport.plan.packing.recount import Counted, recount
from opsreport.plan.packing.stopgaps import Stopgap, stopgaps

AS_OF, DAY = dt.date(2027, 3, 1), dt.date(2027, 3, 3)
SHEETS = {
    "Settings": "Setting | Value\nSpare kits | 0\nDemo kits | 0",
    "Sessions": "Session | Group | Date | Recipes\nS1 | g1 | @2027-03-04 | soup",
    "Enrolment": (
        "Participant | Group | Household | Servings | Needs\np1 | g1 | H1 | 4 | none\np2 | g1 | H2 | 4 | none\n"
        "p3 | g1 | H3 | 8 | no walnut\np4 | g1 | H4 | 8 | none\np5 | g1 | H5 | 12 | no soy"
    ),
    "Recipes": (
        "Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | dried black beans | 100 | g\n"
        "soup | | onion | 1 |"
    ),
    "Swaps": (
        "Ingredient | Need | Use instead | Ratio\ndried black beans | no dried black beans | walnut | 1/2\n"
        "dried black beans | no dried black beans | firm tofu | 2\n"
        "dried black beans | no dried black beans | red lentils | 1"
    ),
    "Stock": (
        "Ingredient | Amount | Unit | Lot | Best before | Hold\nwalnut | 500 | g | W | @2027-09-01 |\n"
        "firm tofu | 500 | g | T | @2027-03-20 |\nred lentils | 900 | g | R | @2027-03-02 |\n"
        "dried white beans | 700 | g | B | @2027-12-01 |\ncanned black beans | 700 | g | C | @2027-12-01 | yes"
    ),
}  # fmt: skip


def found(beans: Fraction, walnut: Fraction | None = None, sheets: Mapping[str, str] = SHEETS) -> tuple[Stopgap, ...]:
    rows, findings = read(term(sheets), AS_OF)
    assert not [finding for finding in findings if str(finding.severity) == "error"]
    programme = build_programme(rows, AS_OF)
    sessions = plan_sessions(programme, kits_of_sessions(programme)[0])
    counted = [Counted("dried black beans", beans)]
    if walnut is not None:
        counted.append(Counted("walnut", walnut))
    return stopgaps(programme, sessions, counted, recount(programme, DAY, sessions, counted))


def test_swaps_first_then_what_is_alike_and_nothing_held_or_out_of_date() -> None:
    assert [(gap.instead, gap.allowed) for gap in found(Fraction(0))] == [
        ("walnut", True), ("firm tofu", True), ("dried white beans", False)
    ]  # fmt: skip


@pytest.mark.parametrize(("day", "is_found"), [("2027-03-04", False), ("2027-03-05", True)])
def test_a_lot_serves_that_is_good_through_the_day_after_the_session(day: str, is_found: bool) -> None:
    """The usual margin is one day."""
    sheets = {**SHEETS, "Stock": SHEETS["Stock"].replace("2027-03-02", day)}
    assert ("red lentils" in {gap.instead for gap in found(Fraction(0), sheets=sheets)}) == is_found


def test_what_neither_a_swap_nor_a_name_makes_alike_is_no_stopgap() -> None:
    sheets = {**SHEETS, "Stock": f"{SHEETS['Stock']}\nrolled oats | 900 | g | O | @2027-12-01 |"}
    assert [gap.instead for gap in found(Fraction(0), sheets=sheets)] == ["walnut", "firm tofu", "dried white beans"]


def test_never_for_a_kit_someone_must_not_eat_it_from() -> None:
    walnut, tofu, white = found(Fraction(0))
    letters = {4: "S1-B", 8: "S1-A", 12: "S1-C"}  # two at 4, two at 8 (more batches first), one at 12
    assert (walnut.fits, walnut.never) == ((letters[4], letters[12]), (letters[8],))
    assert (tofu.fits, tofu.never) == ((letters[8], letters[4]), (letters[12],))
    assert white.never == ()
    assert white.more is None


def test_spare_kits_that_are_no_household_s_are_everybody_s() -> None:
    """Whoever comes may be handed one, so a need of anybody keeps a food out of it."""
    sheets = {
        **SHEETS,
        "Settings": "Setting | Value\nSpare kits | 1\nDemo kits | 1",
        "Enrolment": "Participant | Group | Household | Needs\np1 | g1 | H1 | no dried black beans; no soy",
        "Swaps": f"{SHEETS['Swaps']}\ndried black beans | no dried black beans; no soy | red lentils | 1",
        "Stock": SHEETS["Stock"].replace("@2027-03-02", "@2027-09-02"),
    }
    by_food = {gap.instead: gap for gap in found(Fraction(0), sheets=sheets)}
    assert by_food["firm tofu"].fits == ()
    assert by_food["walnut"].fits == ("S1-A",)
    assert by_food["walnut"].never == ()


@settings(deadline=None, max_examples=40)
@given(st.integers(0, 9), st.integers(0, 500))
def test_how_many_more_kits_against_trying_everything(hundreds: int, walnut: int) -> None:
    """Kits take 1, 2 or 3 hundred grams of beans; those of 4 and of 12 servings may hold half as much walnut."""
    gap = next((gap for gap in found(Fraction(100 * hundreds), Fraction(walnut)) if gap.instead == "walnut"), None)
    if gap is None:
        assert not walnut or hundreds == 9
        return
    with_walnut = without = 0
    for a, b, c, other_b, other_c in itertools.product(range(3), range(3), range(2), range(3), range(2)):
        if (
            2 * a + b + 3 * c <= hundreds
            and 50 * other_b + 150 * other_c <= walnut
            and b + other_b <= 2
            and c + other_c <= 1
        ):
            with_walnut = max(with_walnut, a + b + c + other_b + other_c)
            if not other_b and not other_c:
                without = max(without, a + b + c)
    assert gap.more == with_walnut - without


@pytest.mark.parametrize(("walnut", "more"), [(49, 0), (50, 1), (99, 1), (100, 2), (249, 2), (250, 3)])
def test_the_last_gram_fills_a_kit_and_one_too_few_does_not(walnut: int, more: int) -> None:
    """No beans at all: two kits take 50 g of walnut each, one takes 150 g."""
    gap = next(gap for gap in found(Fraction(0), Fraction(walnut)) if gap.instead == "walnut")
    assert gap.more == more
    sheets = {**SHEETS, "Stock": SHEETS["Stock"].replace("walnut | 500", f"walnut | {walnut}")}
    in_stock = next(gap for gap in found(Fraction(0), sheets=sheets) if gap.instead == "walnut")
    assert in_stock.more == more, "not counted: as Stock says"
