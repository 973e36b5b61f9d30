"""Single questions answered: measuring one amount, looking into the catalogue."""

import json
from collections.abc import Sequence
from fractions import Fraction

import pytest

from opsreport.cli import main
from opsreport.command import ask
from opsreport.command.ask import (
    CAUTION,
    Unanswerable,
    answer_catalogue,
    answer_scoop,
    catalogue_dicts,
    catalogue_lines,
    nearest_names,
    nothing_found,
    scoop_lines,
)
from opsreport.foods import catalogue, catalogue_entry
from opsreport.kinds import How, Unreadable, amount_or_none_left
from opsreport.measures.units import MeasureSet
from opsreport.sheets import SHEETS

F = Fraction


def scooped(amount: str, **asked: object) -> str:
    """`2 × 1/3 cup + 1 tbsp` and the like, from the answer for programs."""
    answer = answer_scoop(amount, **asked).as_dict()  # type: ignore[arg-type]
    scoops: list[dict[str, object]] = answer["scoops"]  # type: ignore[assignment]
    return " + ".join(f"{scoop['times']} × {scoop['tool']}" for scoop in scoops)


def refused(amount: str, **asked: object) -> str:
    with pytest.raises(Unanswerable) as refusal:
        answer_scoop(amount, **asked)  # type: ignore[arg-type]
    return refusal.value.sentence


# --- scoops ---


def test_the_answer_for_programs_is_as_promised() -> None:
    answer = answer_scoop("3/4 cup", without=["1/4 cup"])
    assert json.dumps(answer.as_dict()) == (
        '{"amount": "3/4 cup", "scoops": [{"tool": "1/3 cup", "times": 2}, {"tool": "1 tbsp", "times": 1}, '
        '{"tool": "1 tsp", "times": 1}], "error": "0", "grams": null}'
    )


def test_the_answer_for_people() -> None:
    assert scoop_lines(answer_scoop("3/4 cup", without=["1/4 cup"])) == [
        "3/4 cup = 2 × 1/3 cup + 1 tbsp + 1 tsp (4 scoops)"
    ]
    assert scoop_lines(answer_scoop("1/8 tsp")) == ["1/8 tsp = half of a 1/4 tsp (1 scoop)"]
    assert scoop_lines(answer_scoop("1 1/2 c", of="oats")) == [
        "1 1/2 cups rolled oats = 1 cup + 1/2 cup (2 scoops)",
        "On the scale: ≈ 120 g (≈ 4.3 oz).",
        "Catalogue figure: 81 g a US cup (weights: USDA SR28 08120); often milled beside wheat.",
    ]


@pytest.mark.parametrize(
    ("amount", "without", "plan"),
    [
        ("2/3 cup", [], "2 × 1/3 cup"),
        ("3/4 cup", ["1/4 cup", "1/3 cup"], "1 × 1/2 cup + 4 × 1 tbsp"),
        ("3/4 cup", ["1/4 cup; 1/3 cup"], "1 × 1/2 cup + 4 × 1 tbsp"),
        ("3/4 cup", ["1/4 cup"], "2 × 1/3 cup + 1 × 1 tbsp + 1 × 1 tsp"),
        ("3/8 cup", [], "1 × 1/4 cup + 2 × 1 tbsp"),
        ("2 tsp", ["1 tsp"], "4 × 1/2 tsp"),
        ("1/8 tsp", [], "1/2 × 1/4 tsp"),
        ("1/16 cup", [], "1 × 1 tbsp"),
    ],
)
def test_the_examples_of_the_rules(amount: str, without: list[str], plan: str) -> None:
    assert scooped(amount, without=without) == plan


@pytest.mark.parametrize("name", ["1/4 cup", "¼ c", "0.25 cup", ".25 Cups", "1/4 C.", "1/4  cup", "25/100 cup"])
def test_a_tool_is_left_out_by_any_spelling(name: str) -> None:
    assert scooped("3/4 cup", without=[name]) == "2 × 1/3 cup + 1 × 1 tbsp + 1 × 1 tsp"


@pytest.mark.parametrize("name", ["T", "tbsp", "1 tablespoon", "Tbsp."])
def test_a_bare_unit_is_one_of_it(name: str) -> None:
    assert scooped("1 tbsp", without=[name]) == "3 × 1 tsp"


@pytest.mark.parametrize("name", ["1/5 cup", "4 tbsp", "ladle", "1/4", "100 g"])
def test_an_unknown_tool_is_refused_with_those_there_are(name: str) -> None:
    """Four tablespoons hold a quarter cup, but they are no tool of that name."""
    sentence = refused("3/4 cup", without=[name])
    assert sentence.startswith(f"There is no tool {name!r} to do without. There are: 2 cup, ")
    assert sentence.endswith("1 cup, 3/4 cup, 2/3 cup, 1/2 cup, 1/3 cup, 1/4 cup, 1 tbsp, 1 tsp, 1/2 tsp, 1/4 tsp.")


def test_tools_of_ones_own() -> None:
    assert scooped("3/4 cup", tools=["1/2 c; T"]) == "1 × 1/2 cup + 4 × 1 tbsp"
    assert scooped("150 mL", tools=["50 ml", "1 cup"]) == "3 × 50 mL"
    assert (
        scooped("100 mL", tools=["50 mL", "30 mL"], without=["50 ml"], measures="metric") == "3 × 30 mL + 1/2 × 30 mL"
    )
    assert "'spoon' is no measuring tool" in refused("1 cup", tools=["spoon"])
    assert "'100 g' is no measuring tool" in refused("1 cup", tools=["100 g"])
    assert refused("1 cup", tools=["cup"], without=["cup"]) == "No tool for dry goods is left. There are: 1 cup."
    assert "No tool is named" in refused("1 cup", tools=[" ; "])


def test_dry_goods_take_cups_and_liquids_the_jug() -> None:
    assert scooped("1 3/4 cups") == "1 × 1 cup + 1 × 1/2 cup + 1 × 1/4 cup"
    assert scooped("1 3/4 cups", state="liquid") == "1 × 1 3/4 cup"
    assert scooped("1 3/4 cups", of="milk") == "1 × 1 3/4 cup"
    assert scooped("1 3/4 cups", of="milk", state="dry") == "1 × 1 cup + 1 × 1/2 cup + 1 × 1/4 cup"
    assert scooped("1 3/4 cups", of="flour") == "1 × 1 cup + 1 × 1/2 cup + 1 × 1/4 cup"


def test_no_exact_plan_says_by_how_much_it_is_off() -> None:
    answer = answer_scoop("5 mL")
    assert answer.as_dict()["error"] == "-2274509/160000000"
    assert scoop_lines(answer)[0] == "5 mL ≈ 1 tsp (1 scoop, ≈ 1.4% too little)"
    far = scoop_lines(answer_scoop("10 gal"))
    assert far[0] == "10 gal ≈ 12 × 1 cup (12 scoops, ≈ 92.5% too little)"
    assert far[1].startswith("That is too far off")


def test_an_error_is_exact_and_signed() -> None:
    assert answer_scoop("16 mL", tools=["15 mL"]).as_dict()["error"] == "-1/16"
    assert answer_scoop("14 mL", tools=["15 mL"]).as_dict()["error"] == "1/14"


@pytest.mark.parametrize(
    ("measures", "millilitres"),
    [
        ("US", ["236.5882365", "14.78676478125", "4.92892159375", "29.5735295625"]),  # NIST Handbook 44 App. C
        ("label", ["240", "15", "5", "30"]),  # 21 CFR 101.9(b)(5)(viii)
        ("metric", ["250", "15", "5", "29.5735295625"]),  # Canadian cups and spoons; the US fluid ounce
        ("Australian", ["250", "20", "5", "29.5735295625"]),  # New South Wales Health; the US fluid ounce
    ],
)
def test_measures(measures: MeasureSet, millilitres: list[str]) -> None:
    found = [answer_scoop(f"1 {unit}", measures=measures).volume for unit in ("cup", "tbsp", "tsp", "fl oz")]
    assert found == [F(volume) for volume in millilitres]
    assert scooped("1 tbsp", measures=measures) == "1 × 1 tbsp"


@pytest.mark.parametrize(
    ("amount", "of", "grams"),
    [
        ("1 cup", "plain flour", "125"),  # USDA SR28, NDB 20081
        ("3/4 cup", "rolled oats", "243/4"),  # NDB 08120: 81 g a cup
        ("1 tsp", "salt", "6"),  # NDB 02047: the spoon by its own figure, not 292/48
        ("1 tbsp", "salt", "18"),  # NDB 02047
        ("2 cups", "sugar", "400"),  # NDB 19335
        ("1/2 tsp", "baking powder", "23/10"),  # NDB 18369
        ("1 cup 2 tbsp", "white rice", "1665/8"),  # NDB 20044: 185 g a cup
        ("1 lb", "flour", "45359237/100000"),  # NIST Handbook 44 App. C
    ],
)
def test_grams_are_exact(amount: str, of: str, grams: str) -> None:
    assert answer_scoop(amount, of=of).as_dict()["grams"] == grams


def test_the_catalogues_cup_is_the_us_cup_whatever_the_measures() -> None:
    assert answer_scoop("1 cup", of="flour", measures="label").grams == 240 * F(125) / F("236.5882365")


def test_a_weight_becomes_a_volume_by_the_figure_of_the_measure_it_fills() -> None:
    assert scooped("125 g", of="flour") == "1 × 1 cup"
    assert scooped("250 g", of="flour", without=["1 cup"]) == "4 × 1/2 cup"
    assert scooped("6 g", of="salt") == "1 × 1 tsp"  # 6 g a teaspoon, 292 g a cup: USDA SR28, NDB 02047
    assert scooped("18 g", of="salt") == "1 × 1 tbsp"
    assert scooped("146 g", of="salt") == "1 × 1/2 cup"
    assert scoop_lines(answer_scoop("125 g", of="flour"))[:2] == [
        "125 g all-purpose flour = 1 cup (1 scoop)",
        "That is ≈ 236.6 mL, or 1 cup.",
    ]


@pytest.mark.parametrize(
    ("amount", "start"),
    [
        ("lots", "'lots' is no amount. Accepted: a number and a unit, as 3/4 cup"),
        ("", "'' is no amount. Accepted:"),
        ("3", "'3' names no unit. Accepted:"),
        ("0 cup", "'0 cup' is not above 0."),
        ("-1 cup", "'-1 cup' is no amount."),
        ("1 imperial pint", "'1 imperial pint' is no amount."),
        ("2 cloves", "2 cloves is counted, not scooped."),
        ("8 oz", "8 oz is a weight: say of what"),
        ("1" * 200 + " cup", "'111"),
    ],
)
def test_what_is_no_amount_is_refused(amount: str, start: str) -> None:
    assert refused(amount).startswith(start)


def test_an_unknown_ingredient_is_refused_with_names_near_it() -> None:
    assert "Near it: broccoli" in refused("1 cup", of="brocoli")
    assert refused("1 cup", of="qqqq") == "'qqqq' is not in the catalogue. Try: opsreport catalogue WORDS"
    assert nearest_names("tumeric")[0] == "ground turmeric"


def test_an_ingredient_without_a_figure() -> None:
    name = next(e.ingredient for e in catalogue() if not (e.grams_per_cup or e.grams_per_tbsp or e.grams_per_tsp))
    answer = answer_scoop("1 cup", of=name)
    assert answer.grams is None
    assert scoop_lines(answer)[1] == f"The catalogue has no weight of a cup or spoon of {name}."
    assert refused("100 g", of=name).endswith("weigh it.")


def test_every_way_when_asked() -> None:
    lines = scoop_lines(answer_scoop("3/4 cup", without=["1/4 cup", "1/2 tsp", "1/4 tsp"], every_way=True))
    assert lines == [
        "3/4 cup = 2 × 1/3 cup + 1 tbsp + 1 tsp (4 scoops)",
        "All 9 exact ways in up to 12 scoops:",
        "  2 × 1/3 cup + 1 tbsp + 1 tsp (4 scoops)",
        "  1/2 cup + 4 × 1 tbsp (5 scoops)",
        "  2 × 1/3 cup + 4 × 1 tsp (6 scoops)",
        "  1/2 cup + 3 × 1 tbsp + 3 × 1 tsp (7 scoops)",
        "  1/3 cup + 6 × 1 tbsp + 2 × 1 tsp (9 scoops)",
        "  1/2 cup + 2 × 1 tbsp + 6 × 1 tsp (9 scoops)",
        "  1/3 cup + 5 × 1 tbsp + 5 × 1 tsp (11 scoops)",
        "  1/2 cup + 1 tbsp + 9 × 1 tsp (11 scoops)",
        "  12 × 1 tbsp (12 scoops)",
    ]
    assert scoop_lines(answer_scoop("1 cup", every_way=True))[1] == "All 106 exact ways in up to 12 scoops:"
    one = scoop_lines(answer_scoop("2 tsp", tools=["1 tsp"], every_way=True))
    assert one[1:] == ["The one exact way in up to 12 scoops:", "  2 × 1 tsp (2 scoops)"]
    assert "No exact way in 12 scoops with 1 cup, " in scoop_lines(answer_scoop("5 mL", every_way=True))[-1]


def test_more_ways_than_anyone_reads_are_cut_and_that_is_said(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(ask, "MOST_LISTED", 5)
    lines = scoop_lines(answer_scoop("1 cup", every_way=True))
    assert lines[1] == "The 5 ways with the fewest scoops:"
    assert len(lines) == 7


def test_an_amount_read_again_is_noted_again() -> None:
    """What was read once is remembered, its notes with it."""
    for _ in range(2):
        how = How()
        assert amount_or_none_left.read("3-4 cups", how).value == 4
        assert how.notes == [("amount-with-unit", {"read": "4 cups", "amount": "4", "unit": "cup"})]
        how.notes.clear()


def test_what_is_remembered_depends_on_the_settings() -> None:
    assert amount_or_none_left.read("1,5", How(decimal_comma=True)).value == F(3, 2)
    with pytest.raises(Unreadable, match="number-comma"):
        amount_or_none_left.read("1,5", How())
    spoons = [amount_or_none_left.read("1 tbsp 1 tsp", How(measures=m)).value for m in ("US", "Australian", "US")]
    assert spoons == [4, 5, 4]


# --- catalogue ---


def found(*words: str) -> list[str]:
    return [entry.ingredient for entry in answer_catalogue(words)]


def test_a_name_or_alias_is_that_one_entry() -> None:
    assert found("rolled oats") == found("Old-Fashioned", "oats") == found("oat") == ["rolled oats"]
    assert found("flour") == ["all-purpose flour"]


def test_else_every_entry_that_has_all_the_words() -> None:
    assert "rye flour" in found("flour", "gluten")
    assert "rice flour" not in found("flour", "gluten")
    nuts = found("tree nuts")
    assert {"almond", "pesto", "walnut"} <= set(nuts)
    assert all("tree nuts" in entry.contains for entry in answer_catalogue(["tree", "nut"]))
    assert "eggplant" not in found("egg", "wheat")
    assert set(found("pork")) >= {"unflavored gelatin"}
    assert found("broc", "fro") == ["frozen broccoli"]
    assert [catalogue_entry(name) is not None for name in found("canned", "beans")].count(False) == 0


def test_no_words_list_everything_and_unknown_words_nothing() -> None:
    assert found() == found(" ") == [entry.ingredient for entry in catalogue()]
    assert found("zzz") == []
    assert nothing_found(["brocoli"]).startswith("The catalogue has nothing under 'brocoli'. Near it: broccoli")
    assert nothing_found(["zzz"]) == "The catalogue has nothing under 'zzz'."
    assert catalogue_lines([]) == []


def test_nothing_found_ends_alike_for_people_and_programs(capsys: pytest.CaptureFixture[str]) -> None:
    for words, out in ((["catalogue", "zzzz"], ""), (["catalogue", "zzzz", "--json"], "[]\n")):
        assert main(words) == 2
        said = capsys.readouterr()
        assert (said.out, said.err) == (out, "opsreport: The catalogue has nothing under 'zzzz'.\n")


def test_entries_for_programs_have_every_heading_of_the_sheet() -> None:
    headings = [column.heading.lower().replace(" ", "_") for column in SHEETS["Ingredients"].columns]
    every = catalogue_dicts(catalogue())
    assert len(every) == len(catalogue())
    assert {tuple(entry) for entry in every} == {(*headings, "each_is", "note", "sources")}
    for key in (
        "grams_per_cup",
        "grams_per_tbsp",
        "grams_per_tsp",
        "grams_each",
        "edible_share",
        "keeps_open",
        "contains",
    ):
        assert key in headings
    assert json.loads(json.dumps(every)) == every


def test_an_entry_for_programs() -> None:
    (egg,) = catalogue_dicts(answer_catalogue(["egg"]))
    assert egg == {
        "ingredient": "egg",
        "also_called": ["eggs", "large egg", "hen's egg", "whole egg", "shell egg"],
        "state": "whole",
        "storage": "chill",
        "grams_per_cup": 243,
        "grams_per_tbsp": None,
        "grams_per_tsp": None,
        "grams_each": pytest.approx(50 / 0.88),
        "edible_share": 0.88,
        "contains": ["egg"],
        "tags": [],
        "keeps": 21,
        "keeps_open": None,
        "per_kit": None,
        "container": "none",
        "family_cupboard": None,
        "other_pieces": {}, "each_is": "large",
        "note": "cup is 4.86 large eggs",
        "sources": [
            "weights: USDA SR28 01123", "share: USDA SR28 01123 refuse 12%", "keeps: FoodKeeper 21",
            "classes: common practice",
        ],
    }  # fmt: skip


def test_every_entry_names_a_source_for_every_figure() -> None:
    for entry in catalogue_dicts(catalogue()):
        sources: Sequence[str] = entry["sources"]  # type: ignore[assignment]
        assert sources
        assert all(source.strip() == source != "" for source in sources)
        if any(entry[key] is not None for key in ("grams_per_cup", "grams_per_tbsp", "grams_per_tsp", "grams_each")):
            assert any(source.startswith("weights") for source in sources), entry["ingredient"]


# USDA National Nutrient Database for Standard Reference, Release 28, table WEIGHT, by NDB number: grams of one
# measure; of a piece its edible part, so grams each x edible share.
USDA = [
    ("Swiss cheese", "grams_per_cup", "108", "01040"),
    ("all-purpose flour", "grams_per_cup", "125", "20081"),
    ("almond", "grams_per_cup", "143", "12061"),
    ("apple", "grams_each", "182", "09003"),
    ("apricot", "grams_each", "35", "09021"),
    ("apricot", "grams_per_cup", "165", "09021"),
    ("arrowroot", "grams_per_cup", "128", "20003"),
    ("avocado oil", "grams_per_cup", "218", "04581"),
    ("banana", "grams_each", "118", "09040"),
    ("black pepper", "grams_per_tbsp", "6.9", "02030"),
    ("bottled lemon juice", "grams_per_tsp", "5", "09153"),
    ("canned pineapple chunks", "grams_per_cup", "181", "09354"),
    ("canned refried beans", "grams_per_cup", "242", "16171"),
    ("canned tomatoes", "grams_per_cup", "240", "11531"),
    ("cheddar", "grams_each", "28", "01009"),
    ("cider vinegar", "grams_per_tbsp", "14.9", "02048"),
    ("cream cheese", "grams_per_cup", "232", "01017"),
    ("dried apricot", "grams_each", "3.5", "09032"),
    ("dried black beans", "grams_per_tbsp", "12.1", "16014"),
    ("dried fig", "grams_each", "8.4", "09094"),
    ("dried marjoram", "grams_per_tbsp", "1.7", "02023"),
    ("dried parsley", "grams_per_tsp", "0.5", "02029"),
    ("dried white beans", "grams_per_cup", "202", "16049"),
    ("egg", "grams_each", "50", "01123"),
    ("farfalle", "grams_per_cup", "81", "20120"),
    ("flour tortilla", "grams_each", "49", "18364"),
    ("frozen broccoli", "grams_per_cup", "156", "11092"),
    ("ground nutmeg", "grams_per_tbsp", "7", "02025"),
    ("ground turmeric", "grams_per_tsp", "3", "02043"),
    ("iceberg lettuce", "grams_each", "539", "11252"),
    ("instant potato flakes", "grams_per_cup", "60", "11378"),
    ("instant rice", "grams_per_cup", "95", "20048"),
    ("jam", "grams_per_tbsp", "20", "19297"),
    ("lentils", "grams_per_cup", "192", "16069"),
    ("lime", "grams_each", "67", "09159"),
    ("mung beans", "grams_per_cup", "207", "16080"),
    ("onion", "grams_each", "110", "11282"),
    ("orange juice", "grams_per_cup", "248", "09206"),
    ("paprika", "grams_per_tsp", "2.3", "02028"),
    ("parboiled rice", "grams_per_cup", "185", "20046"),
    ("parsnip", "grams_per_cup", "133", "11298"),
    ("radish", "grams_per_cup", "116", "11429"),
    ("rhubarb", "grams_per_cup", "122", "09307"),
    ("rice cake", "grams_each", "9", "19816"),
    ("rolled oats", "grams_per_cup", "81", "08120"),
    ("salted butter", "grams_each", "113", "01001"),
    ("sesame seed", "grams_per_cup", "144", "12023"),
    ("wonton wrapper", "grams_each", "8", "18368"),
]


@pytest.mark.parametrize(("name", "key", "grams", "ndb"), USDA)
def test_weights_are_usdas(name: str, key: str, grams: str, ndb: str) -> None:
    (entry,) = catalogue_dicts(answer_catalogue([name]))
    share = 1 if key != "grams_each" or entry["edible_share"] is None else entry["edible_share"]
    assert entry[key] * share == pytest.approx(float(grams), rel=1e-12)  # type: ignore[operator]
    assert any(ndb in source for source in entry["sources"] if source.startswith("weights"))  # type: ignore[attr-defined]


def test_the_weights_held_against_usda_are_many() -> None:
    assert len({(name, key) for name, key, _, _ in USDA}) >= 40
    assert {key for _, key, _, _ in USDA} == {"grams_per_cup", "grams_per_tbsp", "grams_per_tsp", "grams_each"}


def test_a_list_for_people() -> None:
    lines = catalogue_lines(answer_catalogue(["tree nuts"]))
    assert lines[0].split() == ["ingredient", "g/cup", "g", "each", "edible", "keeps", "contains"]
    assert next(line for line in lines if line.startswith("almond  ")).split() == [
        "almond",
        "143",
        "1.2",
        "120",
        "d",
        "tree",
        "nuts",
    ]
    assert lines[-1].endswith(CAUTION)


def test_one_entry_for_people_says_everything() -> None:
    lines = catalogue_lines(answer_catalogue(["egg"]))
    assert lines[0] == "egg"
    for line in (
        "  Also called:   eggs; large egg; hen's egg; whole egg; shell egg",
        "  Weighs:        243 g a US cup, ≈ 56.818 g a piece as bought",
        "  A piece is:    large",
        "  Edible share:  88%",
        "  Keeps sealed:  21 days",
        "  Keeps open:    no figure",
        "  Contains (US): egg",
        "  Note:          cup is 4.86 large eggs",
        "    share: USDA SR28 01123 refuse 12%",
    ):
        assert line in lines
    assert lines[-1] == CAUTION


@pytest.mark.parametrize(
    ("name", "us", "eu"),
    [
        ("all-purpose flour", ("wheat",), ("gluten",)), ("pearl barley", (), ("gluten",)), ("celery", (), ("celery",)),
        ("shrimp", ("crustacean shellfish",), ("crustacean shellfish",)), ("whole milk", ("milk",), ("milk",)),
    ],
)  # fmt: skip
def test_the_nine_of_the_us_and_the_fourteen_of_the_eu_stand_apart(
    name: str, us: tuple[str, ...], eu: tuple[str, ...]
) -> None:
    """21 USC 321(qq); Regulation (EU) 1169/2011, Annex II: cereals containing gluten, celery, molluscs …"""
    (entry,) = answer_catalogue([name])
    assert (entry.contains_us, entry.contains_eu) == (us, eu)


def test_an_entry_without_allergens_is_not_called_safe() -> None:
    lines = catalogue_lines(answer_catalogue(["carrot"]))
    assert "  Contains (US): nothing listed here; its label decides" in lines
    assert "  Contains (EU): nothing listed here; its label decides" in lines
    assert lines[-1] == CAUTION
