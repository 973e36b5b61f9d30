"""`opsreport why`: the sum in words, the cells behind it, and one sentence where there is nothing to say."""

import json
from fractions import Fraction
from pathlib import Path

import pytest
from plan.food_support import MONDAY, SHEETS, settings
from support import written

from opsreport.cli import main
from opsreport.run import Asked, build

BOOK = {
    **SHEETS,
    "Settings": settings("Packing loss | 5%"),
    "Recipes": "Recipe | Servings | Ingredient | Amount | Unit\nstew | 4 | bean mix | 90 | g",
    "Ingredients": "Ingredient | Also called | Contains | Edible share\nbean mix | pulses | none | 75%",
    "Stock": "Ingredient | Amount | Unit | Lot\nbean mix | 104 | g | L1",
    "Orders": "Order | Supplier | Ingredient | Packs | Pack amount | Pack unit | Due\n"
    "o1 | shop | bean mix | 1 | 100 | g | @2027-01-08",
}
"""4 kits of 120 g and 5 %: 504 g; less 104 g in stock and 100 g on order, 300 g to buy: two packs of 250 g."""
SAID = """\
bean mix, as bought

Needed: 504 g
  w2-A: 2 kits × 120 g + 5% packing loss = 252 g
  w3-A: 2 kits × 120 g + 5% packing loss = 252 g
      stew, 90 g ÷ 75% edible = 120 g (Recipes!D2)
− From stock: 104 g
  w2: 104 g of lot L1 (Stock!A2)
− On order: 100 g
  w2: 100 g of order o1 (Orders!G2)
= To buy: 300 g
  shop-20270111: 1 × 250 g, $2.00; 0 g left over (Packs!E2)
      w2: 48 g
      w3: 202 g
  shop-20270118: 1 × 250 g, $2.00; 200 g left over (Packs!E2)
      w3: 50 g
"""


@pytest.fixture
def run(tmp_path: Path) -> Path:
    (tmp_path / "term.xlsx").write_bytes(written(BOOK))
    return build(tmp_path / "term.xlsx", tmp_path / "out", Asked(MONDAY, MONDAY)).folder


def test_the_sum_is_said_from_top_to_bottom(run: Path, capsys: pytest.CaptureFixture[str]) -> None:
    for folder in (run, run / "plan.json"):
        assert main(["why", str(folder), "Bean Mix"]) == 0
        assert capsys.readouterr().out == SAID


def test_json_adds_up_exactly(run: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", str(run), "bean mix", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    plan = json.loads((run / "plan.json").read_text("utf-8"))
    assert told.items() >= plan["trace"][0].items()
    cells = [pack.pop("cell") for pack in told["packs"]]
    assert told["packs"] == plan["purchases"]
    assert cells == plan["trace"][0]["price_cells"]
    assert all(cell.startswith("Packs!") for cell in cells)
    needed = Fraction(0)
    for need in told["needs"]:
        parts = sum(Fraction(part["as_bought"]) for part in need["parts"])
        assert all(
            Fraction(p["amount"]) / Fraction(p["edible_share"]) == Fraction(p["as_bought"]) for p in need["parts"]
        )
        assert parts == Fraction(need["per_kit"])
        for kits in need["takers"]:
            assert kits["kits"] * parts * (1 + Fraction(need["loss"])) == Fraction(kits["needed"])
            needed += Fraction(kits["needed"])
    covered = [*told["uses"], *(use for row in told["packs"] for use in row["used"]), *told["short"], *told["to_shop"]]
    assert needed == Fraction(told["needed"]) == sum(Fraction(part["amount"]) for part in covered) == 504


@pytest.mark.parametrize(("planned", "asked"), [("courgettes", "zucchini"), ("zucchini", "courgettes")])
def test_another_name_of_the_same_food_is_answered(
    planned: str, asked: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    book = {sheet: text.replace("bean mix", planned).replace("pulses", "marrows") for sheet, text in BOOK.items()}
    (tmp_path / "term.xlsx").write_bytes(written(book))
    folder = build(tmp_path / "term.xlsx", tmp_path / "out", Asked(MONDAY, MONDAY)).folder
    assert main(["why", str(folder), asked]) == 0
    assert capsys.readouterr().out.startswith(f"{planned}, as bought")


def test_what_is_not_needed_under_any_of_its_names_names_them(run: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["why", str(run), "courgettes"]) == 2
    assert "No session needs courgettes, under this name or as " in (said := capsys.readouterr().err)
    assert "zucchini" in said


@pytest.mark.parametrize(
    ("ingredient", "words"), [("beanmix", "Did you mean bean mix?"), ("zzzz", "No session needs zzzz.")]
)
def test_what_is_not_needed_is_one_sentence(
    run: Path, ingredient: str, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["why", str(run), ingredient]) == 2
    out, err = capsys.readouterr()
    assert out == ""
    assert words in err
    assert err.count("\n") == 1


@pytest.mark.parametrize("content", [None, "no JSON", "[]", "{}", '{"trace": [], "currency": "USD"}'])
def test_a_folder_without_a_plan_is_one_sentence(
    tmp_path: Path, content: str | None, capsys: pytest.CaptureFixture[str]
) -> None:
    if content is not None:
        (tmp_path / "plan.json").write_text(content)
    assert main(["why", str(tmp_path), "bean mix"]) == 2
    out, err = capsys.readouterr()
    assert (out, err.count("\n")) == ("", 1)
    assert "Traceback" not in err
