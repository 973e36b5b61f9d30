"""A short invented example: every sheet as a person might fill it, headings first, cells between bars."""

from collections.abc import Mapping
from typing import Final

EXAMPLE: Final[Mapping[str, str]] = {
    "Settings": """
Setting | Value
Programme | Tansy Lane Family Kitchen
Term | Early spring 2027
Contact | office@tansylane.example, 555-0117
As of | 2027-02-01
Report by | Age band
Budget | 400.00
""",
    "Groups": """
Group | Name | Site | Format | Kit for | People per table | Pick-up place | Pick-up time | Funders | Packing lead
MON | Monday families | Tansy Lane School | kits | household | | School hall | 15:30 | Aldermoor | 0
EVE | Evening cooks | Wicket Hall | table | | 4 | | | Aldermoor | 1
""",
    "Sessions": """
Session | Group | Date | Start | Minutes | Lesson | Recipes | Status
MON1 | MON | 2027-01-25 | 16:00 | 60 | Breakfast from the shelf | Apple Oat Pots | delivered
MON2 | MON | 2027-02-08 | 16:00 | 60 | Soup from the shelf | White Bean Soup | planned
EVE1 | EVE | 2027-02-10 | 18:00 | 90 | A supper for four | White Bean Soup; Apple Oat Pots | planned
MON3 | MON | 2027-02-15 | 16:00 | 60 | Breakfast again, by heart | Apple Oat Pots | planned
""",
    "Enrolment": """
Participant | Group | Household | Servings | Needs | Status | Joined | Left | Name | Pick-up name | Age band
P01 | MON | Birch | 4 | none | active | | | | | adult
P02 | MON | Birch | | none | active | | | | | child
P03 | MON | Hazel | 3 | no milk | active | | | | | adult
P04 | MON | Rowan | 2 | none | active | 2027-02-01 | | | | adult
P05 | EVE | Maple | | vegetarian | active | | | | | adult
P06 | EVE | Willow | | none | active | | | | | adult
""",
    "Recipes": """
Recipe | Servings | Ingredient | Amount | Unit | Preparation | Supplied
White Bean Soup | 4 | canned white beans | 2 | cup | drained | packed
 | | carrot | 2 | each | sliced | packed
 | | onion | 1 | each | chopped | packed
 | | olive oil | 1 | tbsp | | home
 | | dried thyme | 1/2 | tsp | | packed
 | | salt | to taste | | | home
Apple Oat Pots | 4 | rolled oats | 1 1/2 | cup | | packed
 | | apple | 2 | each | grated | packed
 | | plain yogurt | 1 | cup | | packed
 | | ground cinnamon | 1 | tsp | | packed
""",
    "Stock": """
Ingredient | Amount | Unit | Lot | Best before | Opened | Place | Counted | Source | Value
rolled oats | 2 1/2 | lb | | 2027-09-30 | | shelf 1 | 2027-02-01 | bought |
canned white beans | 1200 | g | tins | 2028-05-31 | | shelf 2 | 2027-02-01 | donated | 9.60
ground cinnamon | 2 | oz | | 2027-11-30 | | spice box | 2027-02-01 | bought |
dried thyme | 1 | oz | | 2027-11-30 | | spice box | 2027-02-01 | bought |
""",
    "Methods": """
Recipe | Step | Text | Caution
White Bean Soup | 1 | Soften the onion and carrot in the oil. | Hot oil: handles inwards.
White Bean Soup | 2 | Add beans, thyme and four cups of water; simmer until the carrot is soft. |
Apple Oat Pots | 1 | Stir the oats, grated apple and cinnamon into the yogurt. |
Apple Oat Pots | 2 | Share into four pots and chill for an hour. |
""",
    "Ingredients": """
Ingredient | Also called | State | Storage | Grams per cup | Contains | Tags | Keeps | Keeps open
oat yogurt | oat-based yogurt | dry | chill | 240 | gluten | plant-based | 21 | 5
""",
    "Suppliers": """
Supplier | Name | Order to | Account | Lead days | Order days | Delivery days | Cut-off | Delivery fee
Quillfeather | Quillfeather Grocers | orders@quillfeather.example | TL-12 | 2 | Mon; Wed; Fri | Tue; Fri | 12:00 | 5.00
""",
    "Packs": """
Supplier | Ingredient | Item | Pack amount | Pack unit | Price | Sold by | Priced
Quillfeather | canned white beans | Q101 | 440 | g | 1.20 | 1 | 2027-01-20
Quillfeather | carrot | Q204 | 2 | lb | 1.80 | 1 | 2027-01-20
Quillfeather | onion | Q205 | 3 | lb | 2.70 | 1 | 2027-01-20
Quillfeather | rolled oats | Q110 | 42 | oz | 4.35 | 1 | 2027-01-20
Quillfeather | apple | Q207 | 3 | lb | 4.50 | 1 | 2027-01-20
Quillfeather | plain yogurt | Q310 | 32 | oz | 3.60 | 1 | 2027-01-20
Quillfeather | oat yogurt | Q311 | 24 | oz | 4.95 | 1 | 2027-01-20
""",
    "Orders": """
Order | Supplier | Ingredient | Item | Packs | Pack amount | Pack unit | Due | Received
TL-07 | Quillfeather | carrot | Q204 | 1 | 2 | lb | 2027-02-02 | 0
""",
    "Swaps": """
Ingredient | Need | Use instead | Ratio | Note
plain yogurt | no milk | oat yogurt | 1 | in a pot of its own
""",
    "Tools": """
Tool | Amount | Unit | For | Count
one-cup scoop | 1 | cup | dry | 2
half-cup scoop | 1/2 | cup | dry | 2
quarter-cup scoop | 1/4 | cup | dry | 1
jug | 1 | cup | liquid | 1
tablespoon | 1 | tbsp | both | 2
teaspoon | 1 | tsp | both | 2
quarter teaspoon | 1/4 | tsp | both | 1
""",
    "Closures": """
Date | Until | What | Why
2027-02-18 | 2027-02-19 | all | school holiday
""",
    "Attendance": """
Session | Participant | Mark | Kit
MON1 | P01 | present | yes
MON1 | P02 | absent |
MON1 | P03 | present | yes
""",
    "Pick-ups": """
Session | Household | Kit | Reason
MON1 | Birch | collected |
MON1 | Hazel | collected |
""",
    "Questions": """
Question | Text | Kind | Lowest | Highest | Better | Theme
Q1 | How sure are you that you can cook a meal from what is in the house? | scale | 1 | 5 | higher | Confidence
Q2 | On how many days last week did you cook at home? | number | 0 | 7 | higher | Habits
""",
    "Surveys": """
Participant | Question | Before | After
P01 | Q1 | 2 |
P01 | Q2 | 3 |
P03 | Q1 | 3 |
""",
    "Funders": """
Funder | Name | From | Until | Sessions target | People target | Completion target | Kits target | Budget
Aldermoor | Aldermoor Community Fund | 2027-01-04 | 2027-03-26 | 4 | 6 | 75% | 9 | 300.00
""",
    "Narratives": """
Funder | Heading | Text
Aldermoor | What went well | Two fathers now cook on Sundays, and their children help.
Aldermoor | What comes next |
""",
}
"""The example, a `|` table a sheet; its cells also stand in the notes of the headings."""
