"""What a need covers, what the catalogue knows, and how a workbook's own figures come before it."""

from fractions import Fraction
from functools import cache

import pytest
from support import read, term

from opsreport.foods import DIETS, Food, Foods, build_foods, catalogue, catalogue_entry, name_key
from opsreport.measures.units import factors
from opsreport.words import ALLERGENS, EU_ALLERGENS, US_ALLERGENS, allergens_named

F = Fraction


@cache
def foods(**sheets: str) -> Foods:
    rows, _ = read(term(**sheets))
    return build_foods(rows)


_KITCHEN = """peanut butter; almond; walnuts; oats; apple; milk; butter; cheddar; egg; all-purpose flour; pearl barley
rye flour; white rice; cornstarch; shrimp; canned clams; oyster sauce; salmon; chicken breast; ground beef; bacon
gelatin; honey; canned coconut milk; coconut oil; shredded coconut; carrot; onion; mayonnaise; celery"""
KITCHEN = _KITCHEN.replace("\n", "; ").split("; ")


def ingredients(*names: str) -> str:
    """A sheet that names catalogue foods and adds nothing of its own."""
    return "Ingredient\n" + "\n".join(names)


def one(name: str, heading: str, cell: str, **sheets: str) -> Food:
    """The food of a sheet with one heading beside its name."""
    found = foods(Ingredients=f"Ingredient | {heading}\n{name} | {cell}", **sheets).find(name)
    assert found is not None
    return found


def objects(need: str, food: str) -> bool:
    """Whether a kit for someone with `need` must not hold `food`."""
    known = foods(Ingredients=ingredients(*KITCHEN))
    covered, found = known.need(need), known.find(food)
    assert covered is not None, need
    assert found is not None, food
    return bool(covered.covers & found.atoms)


# --- needs ---


@pytest.mark.parametrize(
    ("words", "allergens"),
    [
        ("nuts; no nuts; Nuts; nut allergy; nut-free", "peanut; tree nuts"),
        ("dairy; no dairy; lactose; no milk; milk; dairy-free; dairy free", "milk"),
        ("gluten; no gluten; gluten-free; Gluten Free", "gluten; wheat"),
        ("shellfish; no shellfish", "crustacean shellfish; molluscs"),
        ("no crustaceans", "crustacean shellfish"), ("no tree nuts; tree nuts", "tree nuts"),
        ("peanut; no peanuts; peanut allergy", "peanut"), ("no eggs; egg", "egg"), ("no soya; soy", "soy"),
        ("no wheat; wheat", "wheat"), ("sesame; no sesame", "sesame"), ("no celery", "celery"),
        ("no sulfites; sulphites", "sulphites"), ("no mustard", "mustard"), ("lupin", "lupin"),
        ("molluscs; no mollusks", "molluscs"),
    ],
)  # fmt: skip
def test_everyday_words_cover_all_they_may_mean(words: str, allergens: str) -> None:
    known = foods()
    for word in words.split("; "):
        need = known.need(word)
        assert need is not None, word
        assert {name for kind, name in need.covers if kind == "allergen"} == set(allergens.split("; ")), word


@pytest.mark.parametrize(
    ("need", "must_not", "may"),
    [
        ("nuts", "peanut butter; almond; walnuts", "oats; canned coconut milk; apple"),
        ("no dairy", "milk; butter; cheddar", "egg; oats"),
        ("gluten", "all-purpose flour; pearl barley; rye flour; rolled oats", "white rice; cornstarch"),
        ("no wheat", "all-purpose flour", "pearl barley; rye flour; rolled oats"),
        ("no barley", "pearl barley", "white rice; apple"),
        ("shellfish", "shrimp; canned clams; oyster sauce", "salmon; apple"),
        ("no fish", "salmon", "shrimp; apple"),
        ("vegetarian", "chicken breast; ground beef; bacon; salmon; shrimp; clams; gelatin", "milk; egg; honey; apple"),
        ("vegan", "chicken breast; salmon; gelatin; milk; egg; honey; butter", "apple; oats; peanut butter"),
        ("no pork", "bacon", "ground beef; chicken breast"),
        ("no honey", "honey", "milk; egg"),
        ("no coconut", "canned coconut milk; coconut oil; shredded coconut", "almond; milk"),
        ("no carrot", "carrot", "onion"),
        ("no oats", "rolled oats", "pearl barley"),
    ],
)  # fmt: skip
def test_what_a_need_forbids_and_what_it_does_not(need: str, must_not: str, may: str) -> None:
    assert [food for food in must_not.split("; ") if not objects(need, food)] == []
    assert [food for food in may.split("; ") if objects(need, food)] == []


@pytest.mark.parametrize(
    "word", ["carrots", "no purple", "no", "no ", "pork", "meat", "carrot", "kosher", "no flavour"]
)
def test_what_matches_nothing_protects_nobody(word: str) -> None:
    """Without its `no` only an allergen or a diet stands for a need."""
    assert foods(Ingredients=ingredients("carrot", "bacon")).need(word) is None


@pytest.mark.parametrize("need", ["no scallion", "no green onions", "no Green-Onion", "no spring onion"])
def test_a_need_names_a_food_by_any_of_its_names(need: str) -> None:
    known = foods(Ingredients="Ingredient | Also called\nscallion | green onion; spring onion")
    covered = known.need(need)
    assert covered is not None
    assert covered.covers == {("food", "scallion")}
    assert covered.text == need


def test_a_need_for_a_food_the_workbook_does_not_use_is_still_known() -> None:
    need = foods().need("no courgettes")
    assert need is not None
    assert need.covers == {("food", "zucchini")}


def test_a_need_names_a_tag_of_the_sheet() -> None:
    known = foods(Ingredients="Ingredient | Tags\nwine | alcohol; Spicy\napple | fruit")
    for need in ("no alcohol", "no Alcohol", "no spicy"):
        covered, wine, apple = known.need(need), known.find("wine"), known.find("apple")
        assert covered is not None and wine is not None and apple is not None  # noqa: PT018
        assert covered.covers & wine.atoms
        assert not covered.covers & apple.atoms


def test_a_food_that_brings_an_allergen_of_the_same_name_covers_the_allergen_and_more() -> None:
    """`no egg` forbids whatever holds egg, not only the food of that name."""
    assert objects("no egg", "mayonnaise")
    assert objects("no milk", "cheddar")
    assert objects("no celery", "celery")


def test_diets_nest() -> None:
    assert DIETS["vegetarian"] < DIETS["vegan"]
    assert DIETS["vegan"] - DIETS["vegetarian"] == {("allergen", "milk"), ("allergen", "egg"), ("tag", "honey")}


# --- allergens: published lists ---


def test_the_nine_major_allergens_of_the_us() -> None:
    """FALCPA 2004, FASTER Act 2021 (sesame from 1 Jan 2023)."""
    assert set(US_ALLERGENS) == {
        "milk", "egg", "fish", "crustacean shellfish", "tree nuts", "peanut", "wheat", "soy", "sesame",
    }  # fmt: skip


def test_the_fourteen_of_the_eu() -> None:
    """Regulation (EU) 1169/2011, Annex II; the US names wheat where the EU names cereals with gluten."""
    shared = {"crustacean shellfish", "egg", "fish", "peanut", "soy", "milk", "tree nuts", "sesame"}
    fourteen = shared | {"gluten", "celery", "mustard", "lupin", "molluscs", "sulphites"}
    assert len(fourteen) == 14
    assert set(ALLERGENS) - {"wheat"} == fourteen
    assert set(EU_ALLERGENS) == fourteen - shared


@pytest.mark.parametrize("food", ["clams"])
def test_molluscs_are_no_major_allergen_of_the_us(food: str) -> None:
    """FALCPA names crustacean shellfish; Regulation (EU) 1169/2011 names molluscs."""
    entry = catalogue_entry(food)
    assert entry is not None
    assert "molluscs" in entry.contains
    assert not set(entry.contains) & set(US_ALLERGENS)


@pytest.mark.parametrize("food", ["pearl barley", "rye flour", "rolled oats"])
def test_us_wheat_is_narrower_than_eu_gluten(food: str) -> None:
    """FALCPA 2004 and Regulation (EU) 1169/2011, Annex II."""
    entry = catalogue_entry(food)
    assert entry is not None
    assert "gluten" in entry.contains
    assert "wheat" not in entry.contains


TREE_NUTS = ("almond", "black walnut", "Brazil nut", "California walnut", "cashew", "hazelnut", "heartnut", "macadamia",
             "pecan", "pine nut", "pistachio", "English walnut")  # fmt: skip
"""FDA, Q&A on allergens, edition 5, Jan 2025: exactly these twelve."""


def test_the_tree_nuts_of_the_list_are_flagged() -> None:
    """FDA, Q&A on allergens, edition 5, Jan 2025; the catalogue names walnuts by one name."""
    words = {nut.split()[-1] for nut in TREE_NUTS} - {"nut"}
    nuts = [entry for word in words if (entry := catalogue_entry(word)) is not None]
    assert {entry.ingredient for entry in nuts} == {"almond", "walnut", "cashew", "hazelnut", "pecan", "pistachio"}
    assert [
        entry.ingredient
        for entry in (*nuts, catalogue_entry("pine nut"))
        if entry and "tree nuts" not in entry.contains
    ] == []


@pytest.mark.parametrize("food", ["coconut", "chestnut", "hickory nut", "shea"])
def test_what_left_the_list_of_tree_nuts_is_not_flagged(food: str) -> None:
    """FDA, Q&A on allergens, edition 5, Jan 2025. A household may still write `no coconut`."""
    entry = catalogue_entry(food)
    assert entry is None or "tree nuts" not in entry.contains


def test_coconut_is_no_tree_nut_but_may_be_refused() -> None:
    """FDA, Q&A on allergens, edition 5, Jan 2025."""
    coconuts = [entry for entry in catalogue() if "coconut" in entry.ingredient]
    assert len(coconuts) >= 5
    assert [entry.ingredient for entry in coconuts if "tree nuts" in entry.contains] == []
    need = foods().need("no coconut")
    assert need is not None
    assert [entry.ingredient for entry in coconuts if ("tag", "coconut") not in need.covers] == []
    assert [entry.ingredient for entry in coconuts if "coconut" not in entry.tags] == []


@pytest.mark.parametrize(
    ("food", "allergen"),
    [("goat milk", "milk"), ("goat cheese", "milk"), ("sheep milk", "milk"), ("feta", "milk"), ("duck egg",
    "egg"), ("quail egg", "egg")],
)  # fmt: skip
def test_milk_and_egg_are_not_only_the_cows_and_the_hens(food: str, allergen: str) -> None:
    """FDA, Q&A on allergens, edition 5, Jan 2025. What the catalogue lacks it does not call free of anything."""
    entry = catalogue_entry(food)
    assert entry is None or allergen in entry.contains


def test_some_milk_of_another_animal_is_in_the_catalogue() -> None:
    assert any("milk" in entry.contains and "goat" in entry.ingredient for entry in catalogue())


def test_every_plain_allergen_word_means_itself() -> None:
    assert [name for name in ALLERGENS if name not in (allergens_named(name) or ())] == []


# --- look-ups ---


@pytest.mark.parametrize(
    ("written", "entry"),
    [
        ("Rolled Oats", "rolled oats"), ("oats", "rolled oats"), ("porridge oats", "rolled oats"), ("Carrots",
        "carrot"),
        ("tomatoes", "tomato"), ("potatoes", "potato"), ("all purpose flour", "all-purpose flour"), ("flour",
        "all-purpose flour"),
        ("All-Purpose  Flour", "all-purpose flour"), ("eggs", "egg"), ("granulated-sugar", "granulated sugar"),
    ],
)  # fmt: skip
def test_the_catalogue_is_found_by_alias_plural_and_hyphen(written: str, entry: str) -> None:
    found = catalogue_entry(written)
    assert found is not None
    assert found.ingredient == entry


@pytest.mark.parametrize("written", ["", "unobtainium", "flou", "oats rolled"])
def test_no_catalogue_entry_by_guessing(written: str) -> None:
    assert catalogue_entry(written) is None


@pytest.mark.parametrize(
    ("written", "key"),
    [
        ("Berries", "berry"), ("Tomatoes", "tomato"), ("radishes", "radish"), ("peaches", "peach"), ("glasses",
        "glass"),
        ("asparagus", "asparagus"), ("swiss", "swiss"), ("couscous", "couscous"), ("green-beans", "green bean"),
        ("  Egg   Whites ", "egg white"), ("baker’s yeast", "baker's yeast"), ("peas", "pea"), ("gas", "gas"), ("", ""),
        ("molasses", "molass"),
    ],
)  # fmt: skip
def test_names_are_compared_in_the_singular(written: str, key: str) -> None:
    assert name_key(written) == key


def test_a_catalogue_name_wins_over_another_entrys_alias() -> None:
    assert [entry.ingredient for entry in catalogue() if catalogue_entry(entry.ingredient) != entry] == []


def test_one_food_has_one_id_however_it_is_written() -> None:
    known = foods(
        Recipes="Recipe | Servings | Ingredient | Amount | Unit\nr | 4 | Porridge Oats | 1 | cup\n"
        "r | | rolled-oats | 1 | cup",
        Sessions="Session | Group | Date | Recipes\ns1 | g1 | @2027-03-04 | r",
        Stock="Ingredient | Amount | Unit\noats | 2 | lb",
    )
    assert {found.name for text in ("oats", "Rolled oats", "PORRIDGE OATS") if (found := known.find(text))} == {
        "Porridge Oats"
    }
    assert known.find("unobtainium") is None


# --- the workbook's own figures ---


def test_the_sheet_overrides_column_by_column() -> None:
    entry = catalogue_entry("carrot")
    assert entry is not None
    food = one("carrot", "Edible share | Keeps", "75% | 9")
    assert (food.edible_share, food.keeps) == (F(3, 4), 9)
    assert (food.state, food.storage, food.contains, food.keeps_open) == (
        entry.state, entry.storage, entry.contains, entry.keeps_open,
    )  # fmt: skip
    assert food.bridge.grams_per_ml["cup"] == F(128) / factors("US")["cup"]
    assert food.bridge.grams_each == entry.grams_each
    assert "Edible share" not in food.from_catalogue
    assert {"State", "Storage", "Grams per cup"} <= set(food.from_catalogue)


def test_a_workbook_share_wins_over_the_catalogues() -> None:
    """Sources differ: watermelon 61 % (USDA Food Buying Guide, diced), 52 % (USDA SR28)."""
    assert one("watermelon", "Edible share", "61%").edible_share == F("0.61")
    entry = catalogue_entry("watermelon")
    assert entry is not None
    assert entry.edible_share is not None
    assert one("watermelon", "Keeps", "5").edible_share == entry.edible_share
    assert entry.source


@pytest.mark.parametrize(
    ("heading", "cell", "attribute", "value"),
    [
        ("State", "liquid", "state", "liquid"), ("Storage", "freeze", "storage", "freeze"), ("Contains",
        "soy; milk", "contains", ("soy", "milk")),
        ("Contains", "none", "contains", ()), ("Tags", "local", "tags", ("local",)), ("Keeps open", "3",
        "keeps_open", 3),
        ("Per kit", "whole", "whole", True), ("Per kit", "measure", "whole", False), ("Container", "jar",
        "container", "jar"),
        ("Family cupboard", "yes", "family_cupboard", True),
    ],
)  # fmt: skip
def test_each_column_of_the_sheet_comes_first(heading: str, cell: str, attribute: str, value: object) -> None:
    assert getattr(one("butter", heading, cell), attribute) == value


@pytest.mark.parametrize(("measures", "millilitres"), [("US", "236.5882365"), ("label", "240"), ("metric", "250")])
def test_grams_per_cup_are_per_cup_of_the_measures_setting(measures: str, millilitres: str) -> None:
    food = one("mystery meal", "Grams per cup", "120", Settings=f"Setting | Value\nMeasures | {measures}")
    assert food.bridge.grams_per_ml == {"cup": 120 / F(millilitres)}


@pytest.mark.parametrize("measures", ["US", "label", "metric", "Australian"])
def test_the_catalogues_figures_are_per_us_cup_whatever_the_setting(measures: str) -> None:
    known = foods(Ingredients=ingredients("all-purpose flour"), Settings=f"Setting | Value\nMeasures | {measures}")
    food = known.find("flour")
    assert food is not None
    assert food.bridge.grams_per_ml["cup"] == 125 / F("236.5882365")


def test_a_spoon_of_ones_own_is_of_the_setting_too() -> None:
    found = one("zest", "Grams per tbsp", "6", Settings="Setting | Value\nMeasures | Australian")
    assert found.bridge.grams_per_ml == {"tbsp": F(6, 20)}


def test_a_figure_of_ones_own_replaces_the_catalogues_spoons() -> None:
    """They are figures for one food measured by someone else."""
    assert set(one("table salt", "Grams per cup", "300").bridge.grams_per_ml) == {"cup"}
    assert set(one("table salt", "Keeps", "99").bridge.grams_per_ml) == {"cup", "tbsp", "tsp"}


def test_an_unlisted_food_is_known_to_be_unknown() -> None:
    known = foods(
        Recipes="Recipe | Servings | Ingredient | Amount | Unit\nsoup | 4 | unobtainium | 1 | oz",
    )
    food = known.find("unobtainium")
    assert food is not None
    assert (food.listed, food.state, food.edible_share, food.contains) == (False, "dry", 1, ())
    assert food.place_kept == "shelf"
    assert food.atoms == {("food", "unobtainium")}


def test_aliases_of_ones_own_lead_to_the_food() -> None:
    known = foods(Ingredients="Ingredient | Also called\nbig oats | chunky oats")
    found = known.find("Chunky-Oats")
    assert found is not None
    assert found.name == "big oats"
