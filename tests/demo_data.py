# ruff: noqa: E501  (a row is a line)
"""What the two demo workbooks hold, one table a sheet, as a coordinator would type it.

A table is one heading line and one line a row, cells parted by `|`; an empty line is a blank row. How a cell is typed
(date, percent, money, time, number, text) follows from its look: see `make_demo.typed`. Everything here is invented.
"""

SETTINGS = """
Setting | Value | Notes
Programme | Fennelbridge Family Kitchen |
Term | Spring 2027 |
Contact | Fennelbridge Family Kitchen, kitchen@fennelbridge.example, 555-0140 | printed on every sheet
Currency | USD |
Measures | US |
Paper | Letter |
As of | 2027-02-08 | start of week 5
Packing lead | 1 | online group: see Groups
Receive lead | 0 |
Open days | Mon; Tue; Wed; Thu; Fri |
Packing loss | 3% | scooped goods, from last term's counts
Keep margin | 1 |
Spare kits | 5% |
Demo kits | 1 |
Kit step | 1 |
x means | present | Wednesday's sheet uses x
Unanswered needs | warning | ask again at the door
Small count | 5 |
Completion | 75% |
Report by | Age band |
Budget | $7,500.00 | food only, agreed in December
Spent so far | $3,790.40 | paid until the end of January for what is not in Orders, from the cash book
Deliver to | Fennelbridge Family Kitchen, rear door, 4 Elder Row, Fennelbridge | between 9:00 and 12:00
"""

GROUPS = """
Group | Name | Site | Format | Kit for | People per table | Spare kits | Demo kits | Packing lead | Pick-up lead | Pick-up place | Pick-up time | Funders | Notes
PB | Monday parents | Pellbrook Nursery | kits | household | | | | 3 | | Nursery side door | 15:00–16:00 | Larkmere 60%; Brackenlow 40% |
ER | Elder Row families | Elder Row School | kits | household | | | | 0 | | School hall | 17:15–17:45 | Larkmere 60%; Brackenlow 40% |
TL | Tollgate after-school | Tollgate Library | kits | participant | | 1 | 1 | | | Library desk | 16:30–17:00 | Larkmere | each child takes a kit home
SH | Saltpan Hall cooks | Saltpan Hall | table | | 4 | | 1 | 2 | | | | Brackenlow | cooks at tables, nothing goes home
ON | Cooking at home, online | online | kits | household | | 10% | 1 | 2 | 1 | Tollgate Library foyer | 15:30–18:30 | Larkmere 50%; Brackenlow 50% | kits go out on Wednesday
GP | Grandparents and children | Elder Row School | kits | household | | 1 | 0 | 3 | | School kitchen | 10:00–10:30 | | own funds
"""

SESSIONS = """
Session | Date | Start | Group | Lesson | Recipes | Status | Minutes | Packing date | Kits | Replaces | Note
PB1 | 2027-01-11 | 13:30 | PB | Soup from the shelf | Golden Lentil Soup | delivered | 90 | | | |
PB2 | 2027-01-18 | 13:30 | PB | Whole grains for pudding | Apple Oat Crumble | delivered | 90 | | | |
PB3 | 2027-01-25 | 13:30 | PB | Eat a rainbow | Rainbow Noodle Bowl | delivered | 90 | | | |
PB4 | 2027-02-01 | 13:30 | PB | One pot, two beans | Turkey Bean Chili | delivered | 75 | | | | heating off, ended early
PB5 | 2027-02-08 | 13:30 | PB | Breakfast in a cup | Fruit and Yogurt Cups | planned | 90 | | | | packed on Friday
PB6 | 2027-02-15 | 13:30 | PB | Spices we know | Chickpea Coconut Curry | cancelled | 90 | | | | holiday, building shut
PB6b | 2027-02-17 | 13:30 | PB | Spices we know | Chickpea Coconut Curry | planned | 90 | | | PB6 | Wednesday this once
PB7 | 2027-02-22 | 13:30 | PB | Cooking with eggs | Garden Egg Cups | planned | 90 | | | |
PB8 | 2027-03-01 | 13:30 | PB | Snacks for a crowd | Banana Oat Bites x2; Fruit and Yogurt Cups | planned | 90 | | | | last one, families bring guests
ER1 | 2027-01-12 | 17:45 | ER | Breakfast in a cup | Fruit and Yogurt Cups | delivered | 60 | | | |
ER2 | 2027-01-19 | 17:45 | ER | Snacks we make | Banana Oat Bites | delivered | 60 | | | |
ER3 | 2027-01-26 | 17:45 | ER | Cooking with eggs | Garden Egg Cups | delivered | 60 | | | |
ER4 | 2027-02-02 | 17:45 | ER | Whole grains for supper | Mushroom Barley Bowl | delivered | 60 | | | |
ER5 | 2027-02-09 | 17:45 | ER | Soup from the shelf | Golden Lentil Soup | planned | 60 | | | |
ER6 | 2027-02-16 | 17:45 | ER | Eat a rainbow | Rainbow Noodle Bowl | planned | 60 | | | |
ER7 | 2027-02-23 | 17:45 | ER | Spices we know | Chickpea Coconut Curry | planned | 60 | | | |
ER8 | 2027-03-02 | 17:45 | ER | Lunch to go | Tuna Pasta Salad | planned | 75 | | | |
TL1 | 2027-01-13 | 15:15 | TL | Snacks we make | Banana Oat Bites | delivered | 75 | | | |
TL2 | 2027-01-20 | 15:15 | TL | Breakfast in a cup | Fruit and Yogurt Cups | delivered | 75 | | | |
TL3 | 2027-01-27 | 15:15 | TL | Whole grains for pudding | Apple Oat Crumble | delivered | 75 | | | |
TL4 | 2027-02-03 | 15:15 | TL | Cooking with eggs | Garden Egg Cups | delivered | 75 | | | |
TL5 | 2027-02-10 | 15:15 | TL | Lunch to go | Tuna Pasta Salad | planned | 75 | | | |
TL6 | 2027-02-17 | 15:15 | TL | Soup from the shelf | Golden Lentil Soup | planned | 75 | | | |
TL7 | 2027-02-24 | 15:15 | TL | Snacks again, by heart | Banana Oat Bites | planned | 75 | | | |
TL8 | 2027-03-03 | 15:15 | TL | Eat a rainbow | Rainbow Noodle Bowl | planned | 75 | | | |
SH1 | 2027-01-14 | 18:00 | SH | Soup from the shelf | Golden Lentil Soup | delivered | 120 | | | |
SH2 | 2027-01-21 | 18:00 | SH | Eat a rainbow | Rainbow Noodle Bowl | delivered | 120 | | | |
SH3 | 2027-01-28 | 18:00 | SH | One pot, two beans | Turkey Bean Chili | delivered | 120 | | | |
SH4 | 2027-02-04 | 18:00 | SH | Lunch to go | Tuna Pasta Salad | delivered | 120 | | | |
SH5 | 2027-02-11 | 18:00 | SH | Whole grains for supper | Mushroom Barley Bowl | planned | 120 | | | |
SH6 | 2027-02-18 | 18:00 | SH | Spices we know | Chickpea Coconut Curry | planned | 120 | | | |
SH7 | 2027-02-25 | 18:00 | SH | A brunch | Garden Egg Cups; Fruit and Yogurt Cups | planned | 120 | | | |
SH8 | 2027-03-04 | 18:00 | SH | A meal for guests | Turkey Bean Chili | planned | 120 | | | |
ON1 | 2027-01-14 | 17:30 | ON | Whole grains for pudding | Apple Oat Crumble | delivered | 60 | | | |
ON2 | 2027-01-21 | 17:30 | ON | One pot, two beans | Turkey Bean Chili | delivered | 60 | | | |
ON3 | 2027-01-28 | 17:30 | ON | Soup from the shelf | Golden Lentil Soup | delivered | 60 | | | |
ON4 | 2027-02-04 | 17:30 | ON | Spices we know | Chickpea Coconut Curry | delivered | 60 | | | |
ON5 | 2027-02-11 | 17:30 | ON | Snacks we make | Banana Oat Bites | planned | 60 | | | |
ON6 | 2027-02-18 | 17:30 | ON | Whole grains for supper | Mushroom Barley Bowl | planned | 60 | | | |
ON7 | 2027-02-25 | 17:30 | ON | One pot, again | Turkey Bean Chili | planned | 60 | | | |
ON8 | 2027-03-04 | 17:30 | ON | Eat a rainbow | Rainbow Noodle Bowl | planned | 60 | | | |
GP1 | 2027-01-15 | 10:30 | GP | Snacks we make | Banana Oat Bites | delivered | 90 | | | |
GP2 | 2027-01-22 | 10:30 | GP | Cooking with eggs | Garden Egg Cups | cancelled | 90 | | | | snow
GP3 | 2027-01-29 | 10:30 | GP | Breakfast in a cup | Fruit and Yogurt Cups | delivered | 90 | | | |
GP2b | 2027-02-03 | 10:30 | GP | Cooking with eggs | Garden Egg Cups | delivered | 90 | | | GP2 | made up on a Wednesday
GP4 | 2027-02-05 | 10:30 | GP | Soup from the shelf | Golden Lentil Soup | delivered | 90 | | | |
GP5 | 2027-02-12 | 10:30 | GP | Whole grains for pudding | Apple Oat Crumble | planned | 90 | | | |
GP6 | 2027-02-19 | 10:30 | GP | Lunch to go | Tuna Pasta Salad | planned | 90 | | | |
GP7 | 2027-02-26 | 10:30 | GP | Open morning | Rainbow Noodle Bowl | planned | 90 | | 10 | | neighbours invited, 10 plain kits
GP8 | 2027-03-05 | 10:30 | GP | One pot, two beans | Turkey Bean Chili | planned | 90 | 2027-03-02 | | | packed with the others, no volunteers later that week
"""

# Marks stands for the Attendance columns of the member's group, one letter a delivered session (MARKS spells them out;
# `.` is not recorded, `-` before joining or after leaving); it is not a column of the Enrolment sheet.
ENROLMENT = """
Participant | Group | Household | Age band | Servings | Needs | Status | Joined | Left | Pick-up name | Home language | Notes | Marks
P001 | PB | H01 | Adult | 4 | none | active | | | Nadia Brightwell | English | | yyyy
P002 | PB | H02 | Adult | 3 | no peanut | active | | | Tomas Reyle | Spanish | carries an injector | yyyn
P003 | PB | H03 | Adult | 5 | gluten | active | | | Imani Okonde | English | | yyey
P004 | PB | H03 | Teen 13–17 | | none | active | | | Imani Okonde | English | | ynyy
P005 | PB | H04 | Adult | 4 | no egg | active | | | Grete Halloway | English | | yyyy
P006 | PB | H05 | Adult | 2 | vegan | active | | | Priya Vandal | Hindi | | yayy
P007 | PB | H06 | Adult | 6 | | active | | | Samir Daud | Arabic | form came back without page 2 | yy.y
P008 | PB | H07 | Adult | 4 | nuts | active | | | Lucia Fenn | Spanish | | yyyy
P009 | PB | H07 | Child 8–12 | | none | active | | | Lucia Fenn | Spanish | | nyyy
P010 | PB | H08 | Adult | 4 | dairy | active | | | Owen Tarrick | English | | yyyl
P011 | PB | H09 | Adult | | no pork | active | | | Halima Yussel | Somali | | yyny
P012 | PB | H10 | Adult | 5 | no pork; no alcohol | active | | | Karim Aldoun | Arabic | | aeyy
P013 | PB | H10 | Teen 13–17 | | none | active | | | Karim Aldoun | Arabic | | yyyy
P014 | PB | H11 | Adult | 3 | none | active | 2027-01-25 | | Joan Petherick | English | joined late | --yy
P015 | PB | H11 | Child 8–12 | | none | withdrawn | | 2027-01-22 | Joan Petherick | English | moved school | yn--

P016 | ER | H12 | Adult | 4 | none | active | | | Della Marsh | English | | yyyy
P017 | ER | H12 | Child 8–12 | | none | active | | | Della Marsh | English | | yyyy
P018 | ER | H13 | Adult | 3 | no sesame | active | | | Minh Tranter | Vietnamese | | yyny
P019 | ER | H14 | Adult | 4 | none | active | | | Rosa Quill | Spanish | | yyyy
P020 | ER | H14 | Child 5–7 | | dairy; no egg | active | | | Rosa Quill | Spanish | both, by doctor's letter | yyyy
P021 | ER | H15 | Adult | 2 | gluten | active | | | Bernd Ostrow | German | | ynyy
P022 | ER | H16 | Adult | 4 | none | active | | | Femi Adlard | English | | yyya
P023 | ER | H16 | Child 8–12 | | dairy; soy | active | | | Femi Adlard | English | | yyya
P024 | ER | H17 | Adult | 5 | no celery | active | | | Oksana Bilyk | Ukrainian | | yy.y
P025 | ER | H17 | Child 8–12 | | none | active | | | Oksana Bilyk | Ukrainian | also at Tollgate | yy.y
P026 | ER | H18 | Adult | 4 | no fish | active | | | Carl Wendover | English | | nyyy
P027 | ER | H19 | Adult | 6 | nuts | active | | | Anjali Morrow | Hindi | | yyyy
P028 | ER | H19 | Child 8–12 | | vegetarian | active | | | Anjali Morrow | Hindi | | yyye
P029 | ER | H19 | Child 5–7 | | vegetarian | active | | | Anjali Morrow | Hindi | | yyyy
P030 | ER | H20 | Adult | 4 | none | active | | | Pauline Strood | English | | yyyy
P031 | ER | H21 | Adult | 2 | vegan | active | | | Esme Larkin | English | | yeyy
P032 | ER | H22 | Adult | 7 | no mustard | active | 2027-01-19 | | Thi Lan Corrie | Vietnamese | | -yyy
P033 | ER | H22 | Teen 13–17 | | none | active | 2027-01-19 | | Thi Lan Corrie | Vietnamese | | -yny
P034 | ER | H23 | Adult | 4 | none | withdrawn | | 2027-01-29 | Gareth Loomis | English | new shift at work | yny-
P035 | ER | H23 | Child 5–7 | | no sesame | withdrawn | | 2027-01-29 | Gareth Loomis | English | | yny-

P036 | TL | H24 | Child 8–12 | 4 | none | active | | | Ruth Ambley | English | | xxxx
P037 | TL | H24 | Child 5–7 | 2 | none | active | | | Ruth Ambley | English | | xxnx
P038 | TL | H25 | Child 8–12 | 4 | no peanut | active | | | Yusra Hadem | Arabic | | xxxx
P039 | TL | H26 | Child 8–12 | 3 | gluten | active | | | Matteo Brisk | Italian | coeliac | xnxx
P040 | TL | H27 | Child 8–12 | 4 | none | active | | | Sinead Garrow | English | | xxx.
P041 | TL | H27 | Child 8–12 | 4 | no egg | active | | | Sinead Garrow | English | | xxxx
P042 | TL | H28 | Child 5–7 | | no fish | active | | | Paulo Serrat | Portuguese | | xaxx
P043 | TL | H29 | Child 8–12 | 4 | nuts | active | | | Wren Holloran | English | | xxxx
P044 | TL | H30 | Child 8–12 | 6 | shellfish | active | | | Linh Dorsett | Vietnamese | | nxxx
P045 | TL | H31 | Child 8–12 | 4 | sesame | active | | | Abel Thorne | English | | xxex
P046 | TL | H32 | Child 8–12 | 4 | | active | 2027-02-03 | | Marta Fisk | Spanish | form asked for twice | ---x
P047 | TL | H33 | Child 8–12 | 3 | none | waiting | | | Ivo Castel | Spanish | waits for a place | ----
P048 | TL | H34 | Child 5–7 | 4 | vegetarian | active | | | Beth Ravel | English | | xxxn
P049 | TL | H34 | Child 8–12 | 4 | vegetarian | active | | | Beth Ravel | English | | xxxx
P025 | TL | H17 | Child 8–12 | 4 | none | active | 2027-01-20 | | Oksana Bilyk | Ukrainian | also at Elder Row | -xxx

P050 | SH | H35 | Adult | | none | active | | | | English | | ✓✓✓✓
P051 | SH | H35 | Adult | | vegetarian | active | | | | English | | ✓✓✓n
P052 | SH | H36 | Adult | | gluten | active | | | | English | | ✓✓a✓
P053 | SH | H36 | Teen 13–17 | | none | active | | | | English | | ✓✓✓✓
P054 | SH | H37 | Adult | | nuts | active | | | | Polish | | ✓✓✓✓
P055 | SH | H37 | Adult | | none | active | | | | Polish | | ✓✓✓✓
P056 | SH | H38 | Adult | | dairy | active | | | | English | | ✓e✓✓
P057 | SH | H38 | Teen 13–17 | | none | active | | | | English | | ✓✓✓✓
P058 | SH | H39 | Adult | | none | active | | | | Tagalog | | n✓✓✓
P059 | SH | H40 | Adult | | none | active | | | | English | | ✓✓.✓
P060 | SH | H40 | Adult | | shellfish | active | | | | English | | ✓✓✓✓
P061 | SH | H40 | Teen 13–17 | | none | active | | | | English | | ✓n✓✓
P062 | SH | H41 | Adult | | none | active | 2027-01-28 | | | Spanish | came after a friend | --✓✓
P063 | SH | H42 | Adult | | none | withdrawn | | 2027-01-22 | | English | | ✓✓--
P064 | SH | H42 | Adult | | none | active | | | | English | | ✓✓✓✓
P065 | SH | H43 | Adult | | no fish | active | | | | English | | ✓✓✓e
P066 | SH | H43 | Teen 13–17 | | none | active | | | | English | | ✓✓✓✓

P067 | ON | H44 | Adult | 4 | none | active | | | Cleo Winterbourn | English | | yyyy
P068 | ON | H45 | Adult | 4 | no peanut; no tree nuts | active | | | Daniel Osgood | English | | yyyy
P069 | ON | H45 | Child 8–12 | | none | active | | | Daniel Osgood | English | | yyny
P070 | ON | H46 | Adult | 3 | no mushroom | active | | | Keiko Marden | Japanese | | ykyy
P071 | ON | H47 | Adult | 5 | dairy | active | | | Soraya Bellini | Farsi | | yyyy
P072 | ON | H48 | Adult | 2 | gluten | active | | | Alec Drummel | English | | nyyy
P073 | ON | H49 | Adult | 4 | vegetarian | active | | | Meena Castor | Hindi | | yyyy
P074 | ON | H49 | Teen 13–17 | | none | active | | | Meena Castor | Hindi | | yyyy
P075 | ON | H50 | Adult | 4 | no sesame | active | | | Hugh Pellam | English | | yk.y
P076 | ON | H51 | Adult | 6 | no pork | active | | | Zainab Corley | Somali | | yyyy
P077 | ON | H52 | Adult | 4 | none | active | 2027-01-28 | | Frances Udall | English | | --yy
P078 | ON | H53 | Adult | 4 | none | waiting | | | Leon Harcourt | English | no reply yet | ----
P079 | ON | H44 | Child 8–12 | | none | active | | | Cleo Winterbourn | English | | yyyn

P080 | GP | H54 | Older adult | 4 | none | active | | | Agnes Thistleton | English | | yyyy
P081 | GP | H54 | Child 5–7 | | none | active | | | Agnes Thistleton | English | | yyyy
P082 | GP | H55 | Older adult | 3 | dairy | active | | | Bruno Calvert | Italian | | yyny
P083 | GP | H55 | Child 5–7 | | none | active | | | Bruno Calvert | Italian | | yyny
P084 | GP | H56 | Older adult | 2 | no tree nuts | active | | | Edith Monkton | English | | yyyy
P085 | GP | H56 | Child 8–12 | | none | active | | | Edith Monkton | English | | yeyy
P086 | GP | H57 | Older adult | 4 | no fish | active | | | Hoang Sellick | Vietnamese | | yyyy
P087 | GP | H57 | Child 8–12 | | none | active | | | Hoang Sellick | Vietnamese | | yyyy
P088 | GP | H58 | Older adult | 5 | none | active | | | Marguerite Oddy | French | | nyyy
P089 | GP | H58 | Child 5–7 | | shellfish | active | | | Marguerite Oddy | French | | nyyy
P090 | GP | H59 | Older adult | | none | active | | 2027-02-26 | Walter Skene | English | away in March | yyyy
P091 | GP | H60 | Older adult | 4 | none | active | | | Dorothea Lunn | English | | yayy
P092 | GP | H60 | Child 8–12 | | none | active | | | Dorothea Lunn | English | | yayy
"""

DELIVERED = {
    "PB": ("PB1", "PB2", "PB3", "PB4"),
    "ER": ("ER1", "ER2", "ER3", "ER4"),
    "TL": ("TL1", "TL2", "TL3", "TL4"),
    "SH": ("SH1", "SH2", "SH3", "SH4"),
    "ON": ("ON1", "ON2", "ON3", "ON4"),
    "GP": ("GP1", "GP3", "GP2b", "GP4"),
}

MARKS = {
    "y": "y",
    "x": "x",
    "✓": "✓",
    "l": "late",
    "n": "n",
    "a": "absent",
    "k": "kit only",
    "e": "excused",
    ".": "",
    "-": "",
}

RECIPES = """
Recipe | Servings | Ingredient | Amount | Unit | Preparation | Mix | Scale | Supplied | Measured
Golden Lentil Soup | 4 | red lentils | 1 1/4 | cup | rinsed | | | |
 | | onion | 1 | | chopped | | | |
 | | carrot | 2 | | diced | | | |
 | | celery | 2 | stalk | sliced | | | |
 | | garlic | 2 | cloves | crushed | | | |
 | | canned tomatoes | 1 | can | | | | |
 | | vegetable broth | 4 | cups | | | | |
 | | cumin | 1 | tsp | | lentil spice | | |
 | | ground turmeric | 1/2 | tsp | | lentil spice | | |
 | | coriander seed | ½ | tsp | ground | lentil spice | | |
 | | lemon | 1 | | juiced | | | |
 | | spinach | 2 | cups | loosely packed | | | |
 | | fresh parsley | 8 | sprig | for the tasting pot | | session | |
 | | olive oil | 1 | tbsp | | | | home |
 | | salt | to taste | | | | | |
Rainbow Noodle Bowl | 4 | rice noodles | 8 | oz | | | | |
 | | firm tofu | 1 | | cubed | | | |
 | | carrot | 1 | | in ribbons | | | |
 | | red bell pepper | 1 | | sliced | | | |
 | | green cabbage | 1 1/2 | cup | shredded | | | |
 | | green onion | 3 | | sliced | | | |
 | | fresh ginger | 2 | tsp | grated | | | |
 | | garlic | 2 | cloves | crushed | | | |
 | | soy sauce | 3 | tbsp | | noodle sauce | | |
 | | sesame oil | 2 | tsp | | noodle sauce | | |
 | | brown sugar | 2 | tsp | | noodle sauce | | |
 | | sesame seed | 1 | tbsp | | | | |
 | | lime | 1 | | in wedges | | | |
 | | canola oil | 1 | tbsp | for the pan | | | home |
Apple Oat Crumble | 6 | apple | 5 | | cored and sliced | | | |
 | | oats | 1½ | cups | | | | |
 | | whole wheat flour | 3/4 | cup | | | | |
 | | butter | 6 | tbsp | cold, cubed | | | |
 | | brown sugar | 1/3 | cup | packed | | | |
 | | ground cinnamon | 1 1/2 | tsp | | crumble spice | | |
 | | ground nutmeg | 1 | dash | | crumble spice | | |
 | | raisins | 0.5 | cup | | | | |
 | | plain yogurt | 1 | cup | to serve | | | |
 | | salt | 1 | pinch | | | | home |
Turkey Bean Chili | 6 | ground turkey | 1 | lb | | | | |
 | | canned black beans | 1 | can | with their liquid | | | |
 | | canned kidney beans | 1 | can | drained | | | |
 | | chopped tomatoes | 2 | cans | | | | |
 | | frozen corn | 1 | cup | | | | |
 | | onion | 1 | | chopped | | | |
 | | green bell pepper | 1 | | diced | | | |
 | | garlic | 3 | cloves | crushed | | | |
 | | chili powder | 1 | tbsp | | chili spice | | |
 | | cumin | 2 | tsp | | chili spice | | |
 | | dried oregano | 1 | tsp | | chili spice | | |
 | | white rice | 1 | cup | | | | |
 | | cheddar | 0.75 | cup | shredded | | | |
 | | corn tortilla | 12 | | | | | |
 | | salt | to taste | | | | | |
Banana Oat Bites | 8 | rolled oats | 2 | cups | | | | |
 | | banana | 2 | | mashed | | | |
 | | peanut butter | 1/2 | cup | | | | |
 | | honey | 1/4 | cup | | | | |
 | | sunflower seed | 0.25 | cup | | | | |
 | | dried cranberries | 1/3 | cup | | | | |
 | | unsweetened coconut | 1 | oz | | | | |
 | | vanilla extract | 1 | tsp | | | | |
 | | ground cinnamon | ½ | tsp | | | | |
Chickpea Coconut Curry | 4 | chickpeas | 2 | cans | drained | | | |
 | | canned coconut milk | 1 | can | | | | |
 | | sweet potato | 1 1/2 | lb | cubed | | | | as bought
 | | spinach | 3 | cups | | | | |
 | | onion | 1 | | sliced | | | |
 | | garlic | 3 | cloves | crushed | | | |
 | | fresh ginger | 1 | tbsp | grated | | | |
 | | curry powder | 1 | tbsp | | curry spice | | |
 | | ground turmeric | 1/2 | tsp | | curry spice | | |
 | | coriander seed | 1 | tsp | ground | curry spice | | |
 | | brown rice | 1 1/2 | cup | | | | |
 | | lime | 1 | | | | | |
 | | cilantro | 6 | sprigs | | | | |
 | | naan | 4 | | warmed | | | |
 | | canola oil | 1 | tbsp | | | | home |
Mushroom Barley Bowl | 4 | pearl barley | 1 | cup | | | | |
 | | mushroom | 8 | oz | sliced | | | |
 | | leek | 1 | | sliced and washed | | | |
 | | carrot | 2 | | diced | | | |
 | | celery | 1 | stalk | sliced | | | |
 | | garlic | 2 | cloves | crushed | | | |
 | | vegetable broth | 4 | cups | | | | |
 | | dried thyme | 1 | tsp | | barley herbs | | |
 | | garlic powder | 1/4 | tsp | | barley herbs | | |
 | | feta | 1/2 | cup | crumbled | | | |
 | | walnut | 1/3 | cup | chopped | | | |
 | | olive oil | 2 | tbsp | | | | home |
 | | black pepper | | | | | | |
Garden Egg Cups | 6 | egg | 8 | | | | | |
 | | ham slice | 3 | slices | diced | | | |
 | | whole milk | 1/3 | cup | | | | |
 | | cheddar | 1/2 | cup | shredded | | | |
 | | frozen peas | 1/2 | cup | | | | |
 | | green onion | 2 | | sliced | | | |
 | | red bell pepper | 1/2 | | diced | | | |
 | | paper muffin cup | 12 | | | | | |
 | | olive oil | 1 | tsp | for the tin | | | home |
 | | black pepper | 1 | dash | | | | home |
Tuna Pasta Salad | 4 | canned tuna in water | 2 | cans | drained | | | |
 | | whole wheat pasta | 3 | cups | | | | |
 | | mayonnaise | 1/3 | cup | | | | |
 | | cucumber | 1 | | diced | | | |
 | | frozen peas | 1 | cup | | | | |
 | | celery | 1 | stalk | sliced | | | |
 | | bottled lemon juice | 1 | tbsp | | | | |
 | | mustard | 1 | tsp | | | | |
 | | fresh dill | 1/4 | cup | chopped | | | |
 | | black pepper | to taste | | | | | |
Fruit and Yogurt Cups | 4 | plain yogurt | 2 | cups | | | | |
 | | frozen blueberries | 1 | cup | | | | |
 | | orange | 2 | | peeled, in pieces | | | |
 | | banana | 1 | | sliced | | | |
 | | granola | 1 | cup | | | | |
 | | sliced almonds | 1/4 | cup | | | | |
 | | honey | 2 | tbsp | | | | |
 | | pineapple | 1 | | shown whole, then shared | | session | |
"""

METHODS = """
Recipe | Step | Text | Caution
Golden Lentil Soup | 1 | Wash hands. Rinse the lentils until the water runs clear. |
Golden Lentil Soup | 2 | Chop the onion, carrots, celery and garlic. | Knife: fingers curled under, an adult beside each child.
Golden Lentil Soup | 3 | Warm the oil, cook the vegetables for 5 minutes, stir in the spice bag. | Hot pan: turn the handle inwards.
Golden Lentil Soup | 4 | Add lentils, tomatoes and broth. Simmer 20 minutes. |
Golden Lentil Soup | 5 | Stir in spinach and lemon juice. Taste, then salt. | Steam: let it cool before tasting.
Rainbow Noodle Bowl | 1 | Soak or boil the noodles as the packet says, drain, rinse. | Boiling water: an adult drains.
Rainbow Noodle Bowl | 2 | Cut the vegetables and tofu into sticks and cubes. | Knife: flat side down, fingers curled under.
Rainbow Noodle Bowl | 3 | Fry ginger, garlic and tofu, then the vegetables, 4 minutes. | Hot oil: dry the tofu first.
Rainbow Noodle Bowl | 4 | Toss with noodles and the sauce bag. Top with seeds and lime. |
Apple Oat Crumble | 1 | Heat the oven to 375 °F (190 °C). | Hot oven: dry mitts, an adult opens the door.
Apple Oat Crumble | 2 | Slice the apples into the dish, scatter the raisins. | Knife: cut apples in half first so that they lie flat.
Apple Oat Crumble | 3 | Rub flour and butter together, stir in oats, sugar and the spice bag. | Raw flour: no tasting, wash hands after.
Apple Oat Crumble | 4 | Cover the apples, bake 35 minutes, serve with yogurt. | Hot fruit: wait 10 minutes.
Turkey Bean Chili | 1 | Brown the turkey, breaking it up, until no pink is left. | Raw meat: own board and spoon, wash hands and board after.
Turkey Bean Chili | 2 | Add onion, pepper and garlic, cook 5 minutes, stir in the spice bag. | Hot pan: turn the handle inwards.
Turkey Bean Chili | 3 | Add beans, tomatoes and corn. Simmer 25 minutes. | Can lids are sharp.
Turkey Bean Chili | 4 | Cook the rice. Serve with cheese and warm tortillas. |
Banana Oat Bites | 1 | Wash hands. Mash the bananas with a fork. |
Banana Oat Bites | 2 | Stir in everything else until it holds together. |
Banana Oat Bites | 3 | Roll into 24 balls, chill half an hour. | Small, sticky bites: sit down to eat.
Chickpea Coconut Curry | 1 | Start the rice. Cube the sweet potato. | Knife: sweet potato is hard, an adult makes the first cut.
Chickpea Coconut Curry | 2 | Fry onion, garlic and ginger, then the spice bag for 1 minute. | Hot oil.
Chickpea Coconut Curry | 3 | Add sweet potato, chickpeas and coconut milk. Simmer 20 minutes. |
Chickpea Coconut Curry | 4 | Stir in spinach. Serve with lime, cilantro and warm bread. | Steam.
Mushroom Barley Bowl | 1 | Simmer the barley in the broth for 30 minutes. | Steam: tilt the lid away from you.
Mushroom Barley Bowl | 2 | Fry leek, carrot, celery and mushrooms until brown. | Hot pan: turn the handle inwards.
Mushroom Barley Bowl | 3 | Stir in garlic and the herb bag, then the barley. |
Mushroom Barley Bowl | 4 | Top with cheese and nuts. |
Garden Egg Cups | 1 | Heat the oven to 350 °F (175 °C). Line the tin. | Hot oven: dry mitts, an adult opens the door.
Garden Egg Cups | 2 | Crack the eggs, whisk with the milk. | Raw egg: wash hands after the shells, no tasting.
Garden Egg Cups | 3 | Share vegetables, ham and cheese between the cups, pour in the egg. |
Garden Egg Cups | 4 | Bake 20 minutes until set in the middle. | Check that no egg is runny.
Tuna Pasta Salad | 1 | Boil the pasta with the peas for the last minute, drain, cool. | Boiling water: an adult drains.
Tuna Pasta Salad | 2 | Cut cucumber and celery. | Knife: cut the cucumber in half first so that it lies flat.
Tuna Pasta Salad | 3 | Mix mayonnaise, mustard, lemon and dill, stir everything together. | Back in the fridge within 2 hours.
Fruit and Yogurt Cups | 1 | Wash hands and fruit. Let the berries thaw. |
Fruit and Yogurt Cups | 2 | Peel and cut the fruit. | Knife: table knife for the youngest.
Fruit and Yogurt Cups | 3 | Layer yogurt, fruit, granola and nuts. Honey on top. | No honey for babies under one year.
"""

INGREDIENTS = """
Ingredient | Also called | State | Storage | Grams per cup | Grams each | Edible share | Contains | Tags | Keeps | Keeps open | Per kit | Container | Family cupboard | Notes
salt | | | | | | | | | | | | | yes |
black pepper | | | | | | | | | | | | | yes |
olive oil | | | | | | | | | | | | | yes |
canned tomatoes | | | | | 411 | | | | 540 | 3 | whole | | | 14.5 oz can
canned black beans | | | | | 425 | | | | 730 | 3 | whole | | | 15 oz can, used with its liquid
canned kidney beans | | | | | 425 | 60% | | | 730 | 3 | whole | | | 15 oz can, drained
canned chickpeas | | | | | 425 | 60% | | | 730 | 3 | whole | | | 15 oz can, drained
canned white beans | | | | | 425 | 60% | | | 730 | 3 | whole | | | 15 oz can, drained
canned pinto beans | | | | | 425 | 60% | | | 730 | 3 | whole | | | 15 oz can, drained
canned coconut milk | | | | | 381 | | | | 730 | 4 | whole | | | 13.5 fl oz can
canned tuna in water | | | | | 142 | 80% | | | 730 | 2 | whole | | | 5 oz can
vegetable broth | | | | | 884 | | | | 365 | 4 | whole | | | 32 fl oz carton is one piece
leek | | | | | 200 | 45% | | | | | whole | | | one leek with its green, as bought
naan | | | | | | | wheat; gluten | | | | | | | ours is made without milk, label read in December
granola | | | | | | | wheat; gluten | check-label | | | | zip bag | | ours is made without nuts and honey, label read in December
firm tofu | | | | | 397 | | | | 21 | 4 | whole | | | 14 oz block
rice milk | | | shelf | | | | | | 270 | 7 | | 8 oz bottle | |
ham slice | | | | | | | | meat; pork | 14 | 4 | | zip bag | |
vanilla extract | | | | | | | | alcohol | 730 | 360 | | 1 oz cup with lid | |
imitation vanilla | | | | | | | | | 730 | 360 | | 1 oz cup with lid | |
honey | | | | | | | | honey | 730 | 360 | | 4 oz cup with lid | |
soy sauce | | | | | | | | | 1095 | 90 | | 4 oz cup with lid | |
peanut butter | | | | | | | | | 270 | 90 | | 8 oz cup with lid | |
plain yogurt | | | | | | | | | 14 | 5 | | 16 oz tub | |
spinach | | | | | | | | | 5 | 3 | | produce bag | |
gluten-free oats | certified oats | dry | shelf | 81 | | | | | 270 | 120 | | zip bag | | own item: labelled gluten free, packed apart
soy yogurt | soya yogurt | dry | chill | 245 | | | soy | | 21 | 6 | | 8 oz tub | | own item
paper muffin cup | muffin liner | whole | shelf | | | | none | | | | whole | | | own item, not food
"""

SUPPLIERS = """
Supplier | Name | Order to | Account | Lead days | Order days | Delivery days | Cut-off | Minimum order | Delivery fee | Free delivery from | Tax | Notes
Marrowby | Marrowby Wholesale | orders@marrowby.example | FFK-2207 | 3 | Mon; Tue; Wed; Thu; Fri | Tue; Fri | 14:00 | $120.00 | $18.00 | $350.00 | 0% | bring the pallet jack
Ostlerfield | Ostlerfield Produce | 555-0162 | 30418 A | 1 | Mon; Tue; Wed; Thu; Fri | Mon; Tue; Wed; Thu; Fri | 11:00 | $30.00 | $6.00 | | 0% | side gate before nine
Tamsin Row | Tamsin Row Grocers | 12 Tamsin Row, Fennelbridge | | 1 | Mon; Tue; Wed; Thu; Fri; Sat | Mon; Tue; Wed; Thu; Fri | 16:00 | $0.00 | $4.50 | $60.00 | 2% | keeps things behind the counter for us
"""

PACKS = """
Supplier | Item | Ingredient | Pack amount | Pack unit | Price | Sold by | Minimum | Keeps | From | Until | Priced | Preferred
Marrowby | M-1010 | red lentils | 5 | lb | $7.95 | | | | | | 2026-12-02 |
Marrowby | M-1011 | red lentils | 25 | lb | $31.50 | | | | | | 2027-01-04 |
Marrowby | M-1020 | brown rice | 5 | lb | $6.20 | | | | | | 2026-12-02 | yes
Marrowby | M-1021 | brown rice | 25 | lb | $24.90 | | | | | | 2027-01-04 |
Marrowby | M-1024 | white rice | 10 | lb | $9.40 | | | | | | 2027-01-04 |
Marrowby | M-1030 | rolled oats | 10 | lb | $11.20 | | | | | | 2027-01-04 | yes
Marrowby | M-1031 | rolled oats | 42 | oz | $3.98 | 6 | | | | | 2027-01-04 |
Marrowby | M-1035 | gluten-free oats | 32 | oz | $5.90 | | | | | | 2026-12-02 |
Marrowby | M-1040 | whole wheat flour | 5 | lb | $4.60 | | | | | | 2026-12-02 |
Marrowby | M-1044 | rice flour | 24 | oz | $4.10 | | | | | | 2027-01-04 |
Marrowby | M-1045 | chickpea flour | 22 | oz | $4.35 | | | | | | 2027-01-04 |
Marrowby | M-1050 | pearl barley | 5 | lb | $6.85 | | | | | | 2027-01-04 |
Marrowby | M-1060 | whole wheat pasta | 1 | lb | $1.55 | 6 | | | | | 2027-01-04 |
Marrowby | M-1061 | gluten-free corn pasta | 12 | oz | $2.60 | 2 | | | | | 2027-01-04 |
Marrowby | M-1064 | rice noodles | 14 | oz | $2.35 | 6 | | | | | 2027-01-04 |
Marrowby | M-1066 | rice noodles | 8 | oz | $1.49 | 12 | | | | | 2027-01-04 |
Marrowby | M-1100 | canned tomatoes | 12 | can | $10.95 | | | | | 2027-02-19 | 2027-01-04 |
Marrowby | M-1100 | canned tomatoes | 12 | can | $11.60 | | | | 2027-02-20 | | 2027-01-29 |
Marrowby | M-1101 | canned tomatoes | 24 | can | $20.40 | | | | | | 2027-01-29 | yes
Marrowby | M-1104 | canned black beans | 12 | can | $10.80 | | | | | | 2027-01-04 |
Marrowby | M-1106 | canned kidney beans | 12 | can | $11.40 | | | | | | 2027-01-04 |
Marrowby | M-1108 | canned chickpeas | 12 | can | $11.10 | | | | | | 2027-01-04 |
Marrowby | M-1109 | canned chickpeas | 24 | can | $20.90 | | | | | | 2027-01-04 |
Marrowby | M-1112 | canned white beans | 6 | can | $6.30 | | | | | | 2027-01-04 |
Marrowby | M-1114 | canned pinto beans | 6 | can | $6.10 | | | | | | 2027-01-04 |
Marrowby | M-1120 | canned coconut milk | 12 | can | $21.60 | | | | | | 2027-01-04 |
Marrowby | M-1124 | canned tuna in water | 12 | can | $13.20 | | | | | | 2027-01-04 |
Marrowby | M-1130 | vegetable broth | 6 | carton | $11.40 | | | | | | 2027-01-04 |
Marrowby | M-1131 | vegetable broth | 12 | carton | $20.90 | | | | | | 2027-01-04 |
Marrowby | M-1140 | peanut butter | 5 | lb | $11.90 | | | | | | 2027-01-04 |
Marrowby | M-1142 | sunflower seed butter | 16 | oz | $5.60 | | | | | | 2027-01-04 |
Marrowby | M-1150 | honey | 5 | lb | $17.90 | | | | | | 2027-01-04 |
Marrowby | M-1152 | maple syrup | 32 | fl oz | $14.50 | | | | | | 2027-01-04 |
Marrowby | M-1154 | brown sugar | 2 | lb | $2.70 | | | | | | 2027-01-04 |
Marrowby | M-1160 | raisins | 2 | lb | $6.20 | | | | | | 2027-01-04 |
Marrowby | M-1162 | dried cranberries | 2 | lb | $7.40 | | | | | | 2027-01-04 |
Marrowby | M-1170 | sunflower seed | 2 | lb | $5.60 | | | | | | 2027-01-04 |
Marrowby | M-1172 | pumpkin seed | 1 | lb | $6.40 | | | | | | 2027-01-04 |
Marrowby | M-1174 | sliced almonds | 2 | lb | $11.80 | | | | | | 2027-01-04 |
Marrowby | M-1176 | walnut | 2 | lb | $10.90 | | | 120 | | | 2027-01-04 |
Marrowby | M-1178 | sesame seed | 1 | lb | $4.20 | | | | | | 2027-01-04 |
Marrowby | M-1184 | granola | 5 | lb | $16.50 | | | | | | 2027-01-04 |
Marrowby | M-1200 | soy sauce | 64 | fl oz | $8.40 | | | | | | 2027-01-04 |
Marrowby | M-1202 | tamari | 10 | fl oz | $4.10 | | | | | | 2027-01-04 |
Marrowby | M-1204 | sesame oil | 12.5 | fl oz | $6.25 | | | | | | 2027-01-04 |
Marrowby | M-1206 | canola oil | 48 | fl oz | $5.10 | | | | | | 2027-01-04 |
Marrowby | M-1210 | mayonnaise | 30 | oz | $4.60 | | | | | | 2027-01-04 |
Marrowby | M-1212 | mustard | 12 | oz | $1.60 | | | | | | 2027-01-04 |
Marrowby | M-1214 | applesauce | 48 | oz | $3.40 | | | | | | 2027-01-04 |
Marrowby | M-1216 | bottled lemon juice | 32 | fl oz | $3.10 | | | | | | 2027-01-04 |
Marrowby | M-1220 | vanilla extract | 8 | fl oz | $14.20 | | | | | | 2027-01-04 |
Marrowby | M-1224 | rice milk | 32 | fl oz | $2.45 | | | | | | 2027-01-04 |
Marrowby | M-1300 | ground cinnamon | 8 | oz | $4.30 | | | | | | 2027-01-04 |
Marrowby | M-1302 | cumin | 8 | oz | $4.80 | | | | | | 2027-01-04 |
Marrowby | M-1304 | ground turmeric | 8 | oz | $4.10 | | | | | | 2027-01-04 |
Marrowby | M-1306 | coriander seed | 6 | oz | $3.70 | | | | | | 2027-01-04 |
Marrowby | M-1308 | curry powder | 1 | lb | $7.20 | | | | | | 2027-01-04 |
Marrowby | M-1310 | chili powder | 1 | lb | $7.60 | | | | | | 2027-01-04 |
Marrowby | M-1314 | dried oregano | 5 | oz | $4.90 | | | | | | 2027-01-04 |
Marrowby | M-1316 | dried thyme | 4 | oz | $4.60 | | | | | | 2027-01-04 |
Marrowby | M-1318 | garlic powder | 8 | oz | $4.20 | | | | | | 2027-01-04 |
Marrowby | M-1400 | frozen corn | 2.5 | lb | $3.60 | 2 | | | | | 2027-01-04 |
Marrowby | M-1402 | frozen peas | 2.5 | lb | $3.70 | 2 | | | | | 2027-01-04 |
Marrowby | M-1406 | frozen blueberries | 3 | lb | $9.80 | | | | | | 2027-01-04 |
Marrowby | M-1410 | naan | 12 | each | $8.40 | | | 10 | | | 2027-01-04 |
Marrowby | M-1412 | corn tortilla | 60 | each | $4.80 | | | 21 | | | 2027-01-04 |
Marrowby | M-1420 | paper muffin cup | 250 | each | $4.50 | | | | | | 2027-01-04 |
Marrowby | M-1500 | cheddar | 5 | lb | $18.90 | | | 60 | | | 2027-01-29 |
Marrowby | M-1502 | butter | 1 | lb | $4.40 | 4 | | 45 | | | 2027-01-29 |
Marrowby | M-1504 | feta | 2 | lb | $11.20 | | | 21 | | | 2027-01-29 |
Marrowby | M-1506 | plain yogurt | 32 | oz | $3.60 | 6 | | 18 | | | 2027-01-29 |
Marrowby | M-1508 | soy yogurt | 24 | oz | $4.60 | | | | | | 2027-01-29 |
Marrowby | M-1510 | egg | 180 | each | $38.00 | | | 28 | | | 2027-01-29 |
Marrowby | M-1520 | ground turkey | 3 | lb | $11.70 | | 2 | 4 | | | 2027-01-29 |
Marrowby | M-1524 | ham slice | 2 | lb | $9.80 | | | 14 | | | 2027-01-29 |
Marrowby | M-1526 | sliced turkey breast | 1 | lb | $6.40 | | | 10 | | | 2027-01-29 |
Marrowby | M-1530 | firm tofu | 6 | each | $11.70 | | | 21 | | | 2027-01-29 |
Ostlerfield | 201 O | onion | 10 | lb | $7.20 | | | 28 | | | 2027-02-01 | yes
Ostlerfield | 202 O | onion | 3 | lb | $2.75 | | | 28 | | | 2027-02-01 |
Ostlerfield | 205 O | carrot | 5 | lb | $4.10 | | | 21 | | | 2027-02-01 |
Ostlerfield | 206 O | carrot | 25 | lb | $16.80 | | | 21 | | | 2027-02-01 |
Ostlerfield | 210 O | celery | 2 | lb | $2.60 | | | 14 | | | 2027-02-01 |
Ostlerfield | 214 O | garlic | 1 | lb | $3.90 | | | 28 | | | 2027-02-01 |
Ostlerfield | 215 O | garlic | 4 | oz | $1.35 | | | 28 | | | 2027-02-01 |
Ostlerfield | 218 O | lemon | 12 | each | $5.40 | | | 14 | | | 2027-02-01 |
Ostlerfield | 219 O | lime | 18 | each | $5.10 | | | 14 | | | 2027-02-01 |
Ostlerfield | 222 O | spinach | 2.5 | lb | $8.20 | | | 6 | | 2027-02-14 | 2027-02-01 |
Ostlerfield | 222 O | spinach | 2.5 | lb | $7.60 | | | 6 | 2027-02-15 | | 2027-02-01 |
Ostlerfield | 226 O | sweet potato | 10 | lb | $9.80 | | | 14 | | | 2027-02-01 |
Ostlerfield | 227 O | sweet potato | 40 | lb | $32.50 | | | 14 | | | 2027-02-01 | yes
Ostlerfield | 230 O | red bell pepper | 6 | each | $6.90 | | | 8 | | | 2027-02-01 |
Ostlerfield | 231 O | red bell pepper | 15 | lb | $24.00 | | | 8 | | | 2027-02-01 |
Ostlerfield | 233 O | green bell pepper | 6 | each | $4.80 | | | 8 | | | 2027-02-01 |
Ostlerfield | 236 O | green cabbage | 1 | each | $2.20 | | | 21 | | | 2027-02-01 |
Ostlerfield | 240 O | green onion | 6 | each | $0.85 | | 4 | 7 | | | 2027-02-01 |
Ostlerfield | 242 O | fresh ginger | 1 | lb | $3.20 | | | 18 | | | 2027-02-01 |
Ostlerfield | 244 O | cilantro | 3 | oz | $1.10 | | | 6 | | | 2027-02-01 |
Ostlerfield | 246 O | fresh parsley | 3 | oz | $1.10 | | | 6 | | | 2027-02-01 |
Ostlerfield | 250 O | apple | 40 | lb | $38.00 | | | 28 | | | 2027-02-01 |
Ostlerfield | 251 O | apple | 5 | lb | $6.40 | | | 28 | | | 2027-02-01 |
Ostlerfield | 254 O | banana | 3 | lb | $2.10 | | | 5 | | | 2027-02-01 |
Ostlerfield | 256 O | orange | 18 | each | $9.20 | | | 14 | | | 2027-02-01 |
Ostlerfield | 260 O | pineapple | 1 | each | $3.60 | | | 6 | | | 2027-02-01 |
Ostlerfield | 262 O | mushroom | 5 | lb | $12.50 | | | 6 | | | 2027-02-01 | yes
Ostlerfield | 263 O | mushroom | 1 | lb | $3.10 | | | 6 | | | 2027-02-01 |
Ostlerfield | 265 O | zucchini | 2 | lb | $3.30 | | | 7 | | | 2027-02-01 |
Ostlerfield | 267 O | leek | 6 | each | $5.70 | | | 10 | | | 2027-02-01 |
Ostlerfield | 270 O | cucumber | 6 | each | $4.50 | | | 7 | | | 2027-02-01 |
Ostlerfield | 280 O | egg | 60 | each | $14.80 | | | 28 | | | 2027-02-01 |
Ostlerfield | 282 O | whole milk | 1 | gal | $4.10 | | | 10 | | | 2027-02-01 |
Ostlerfield | 284 O | plain yogurt | 5 | lb | $8.90 | | | 16 | | | 2027-02-01 |
Tamsin Row | t11 | onion | 1 | lb | $1.30 | | | 21 | | | 2027-02-05 |
Tamsin Row | t12 | garlic | 3 | oz | $1.00 | | | 21 | | | 2027-02-05 |
Tamsin Row | t14 | egg | 12 | each | $3.60 | | | 24 | | | 2027-02-05 |
Tamsin Row | t15 | whole milk | 1 | qt | $1.60 | | | 8 | | | 2027-02-05 |
Tamsin Row | t16 | cheddar | 8 | oz | $2.90 | | | 45 | | | 2027-02-05 |
Tamsin Row | t17 | butter | 1 | lb | $5.10 | | | 45 | | | 2027-02-05 |
Tamsin Row | t18 | vegetable spread | 15 | oz | $3.40 | | | 90 | | | 2027-02-05 |
Tamsin Row | t19 | plain yogurt | 32 | oz | $4.20 | | | 16 | | | 2027-02-05 |
Tamsin Row | t20 | soy yogurt | 24 | oz | $5.10 | | | 18 | | | 2027-02-05 |
Tamsin Row | t21 | feta | 8 | oz | $4.20 | | | 18 | | | 2027-02-05 |
Tamsin Row | t24 | ground turkey | 1 | lb | $4.60 | | | 3 | | | 2027-02-05 |
Tamsin Row | t25 | ham slice | 8 | oz | $3.20 | | | 12 | | | 2027-02-05 |
Tamsin Row | t26 | sliced turkey breast | 8 | oz | $3.90 | | | 9 | | | 2027-02-05 |
Tamsin Row | t27 | firm tofu | 1 | each | $2.30 | | | 18 | | | 2027-02-05 |
Tamsin Row | t30 | rolled oats | 42 | oz | $4.60 | | | | | | 2027-02-05 |
Tamsin Row | t31 | whole wheat flour | 5 | lb | $5.30 | | | | | | 2027-02-05 |
Tamsin Row | t32 | pearl barley | 1 | lb | $2.10 | | | | | | 2027-02-05 |
Tamsin Row | t33 | whole wheat pasta | 1 | lb | $1.95 | | | | | | 2027-02-05 |
Tamsin Row | t34 | gluten-free corn pasta | 12 | oz | $3.10 | | | | | | 2027-02-05 |
Tamsin Row | t35 | gluten-free oats | 16 | oz | $3.90 | | | | | | 2027-02-05 |
Tamsin Row | t36 | canned tuna in water | 1 | can | $1.35 | | | | | | 2027-02-05 |
Tamsin Row | t37 | canned white beans | 1 | can | $1.29 | | | | | | 2027-02-05 |
Tamsin Row | t38 | canned tomatoes | 1 | can | $1.19 | | | | | | 2027-02-05 |
Tamsin Row | t39 | canned chickpeas | 1 | can | $1.25 | | | | | | 2027-02-05 |
Tamsin Row | t40 | mayonnaise | 15 | oz | $3.20 | | | | | | 2027-02-05 |
Tamsin Row | t41 | mustard | 8 | oz | $1.40 | | | | | | 2027-02-05 |
Tamsin Row | t42 | bottled lemon juice | 15 | fl oz | $2.10 | | | | | | 2027-02-05 |
Tamsin Row | t43 | honey | 2 | lb | $9.40 | | | | | | 2027-02-05 |
Tamsin Row | t44 | peanut butter | 40 | oz | $6.70 | | | | | | 2027-02-05 |
Tamsin Row | t45 | sunflower seed butter | 16 | oz | $6.30 | | | | | | 2027-02-05 |
Tamsin Row | t46 | sunflower seed | 1 | lb | $3.40 | | | | | | 2027-02-05 |
Tamsin Row | t47 | pumpkin seed | 8 | oz | $3.90 | | | | | | 2027-02-05 |
Tamsin Row | t48 | walnut | 1 | lb | $6.20 | | | 90 | | | 2027-02-05 |
Tamsin Row | t49 | dried cranberries | 12 | oz | $3.60 | | | | | | 2027-02-05 |
Tamsin Row | t50 | raisins | 20 | oz | $4.30 | | | | | | 2027-02-05 |
Tamsin Row | t51 | brown sugar | 2 | lb | $3.10 | | | | | | 2027-02-05 |
Tamsin Row | t53 | vanilla extract | 2 | fl oz | $5.20 | | | | | | 2027-02-05 |
Tamsin Row | t54 | frozen peas | 1 | lb | $1.90 | | | | | | 2027-02-05 |
Tamsin Row | t55 | vegetable broth | 1 | carton | $2.35 | | | | | | 2027-02-05 |
Tamsin Row | t56 | dried thyme | 1 | oz | $2.60 | | | | | | 2027-02-05 |
Tamsin Row | t58 | garlic powder | 3 | oz | $2.20 | | | | | | 2027-02-05 |
Tamsin Row | t59 | ground cinnamon | 2.5 | oz | $2.40 | | | | | | 2027-02-05 |
Tamsin Row | t61 | ground nutmeg | 1 | oz | $2.90 | | | | | | 2027-02-05 |
Tamsin Row | t62 | rice flour | 24 | oz | $4.80 | | | | | | 2027-02-05 |
All prices without deposit, as told by telephone or in the winter lists.
"""

STOCK = """
Place | Ingredient | Amount | Unit | Lot | Best before | Opened | Counted | Source | Value | Hold | Notes
shelf 1 | red lentils | 22 | lb | L-24 | 2027-09-30 | | 2027-02-05 | bought | | |
shelf 1 | brown rice | 12 1/2 | lb | D-7 | 2027-08-15 | | 2027-02-05 | donated | $14.00 | | harvest appeal
shelf 1 | white rice | 6 | lb | | 2027-12-01 | 2027-01-20 | 2027-02-05 | bought | | |
shelf 1 | rolled oats | 3 | lb | R-11 | 2027-06-30 | 2027-01-12 | 2027-02-05 | bought | | |
shelf 2 | canned tomatoes | 30 | can | C-40 | 2028-03-01 | | 2027-02-05 | bought | | |
shelf 2 | canned kidney beans | 9 | can | C-12 | 2027-01-31 | | 2027-02-05 | donated | $9.00 | | past its date
shelf 2 | canned kidney beans | 12 | can | C-41 | 2028-05-01 | | 2027-02-05 | bought | | |
shelf 2 | canned chickpeas | 17 | can | C-38 | 2028-01-15 | | 2027-02-05 | bought | | |
shelf 2 | vegetable broth | 26 | carton | B-9 | 2027-10-10 | | 2027-02-05 | bought | | |
shelf 3 | peanut butter | 5 | lb | PB-2 | 2027-07-01 | | 2027-02-05 | bought | | yes | recall notice, waiting for the all-clear
shelf 3 | soy sauce | 40 | fl oz | S-3 | 2028-01-01 | 2027-01-20 | 2027-02-05 | bought | | |
shelf 3 | honey | 2 | lb | H-5 | | | 2027-02-05 | donated | $11.00 | | no date on the jar
spice rack | cumin | 12 | oz | SP-1 | 2028-02-01 | | 2027-02-04 | bought | | |
spice rack | ground turmeric | 8 | oz | SP-2 | 2028-02-01 | | 2027-02-04 | bought | | |
spice rack | coriander seed | 5 | oz | SP-3 | 2028-02-01 | | 2027-02-04 | bought | | |
spice rack | curry powder | 4 | oz | SP-4 | 2027-11-01 | 2027-01-04 | 2027-02-04 | bought | | |
fridge | plain yogurt | 64 | oz | Y-15 | 2027-02-12 | | 2027-02-05 | bought | | | use first, or give away by Friday
fridge | cheddar | 2 1/2 | lb | K-8 | 2027-03-20 | | 2027-02-05 | bought | | |
fridge | butter | 3 | lb | BU-3 | 2027-03-10 | | 2027-02-05 | bought | | |
fridge | egg | 24 | each | E-20 | 2027-02-26 | | 2027-02-05 | donated | $7.20 | | from a member's hens
freezer | frozen peas | 5 | lb | FZ-1 | 2027-11-30 | | 2027-02-04 | bought | | |
freezer | frozen corn | 1 1/2 | lb | FZ-2 | 2027-11-30 | 2027-01-28 | 2027-02-04 | bought | | |
cool room | onion | 14 | lb | | 2027-02-28 | | 2027-02-05 | bought | | |
cool room | garlic | 1 | lb | | 2027-02-26 | | 2027-02-05 | bought | | |
cool room | apple | 10 | lb | A-2 | 2027-02-20 | | 2027-02-05 | donated | $12.50 | | windfalls, sorted
cupboard | paper muffin cup | 90 | each | | | | 2027-02-04 | bought | | |
"""

ORDERS = """
Order | Supplier | Due | Item | Ingredient | Packs | Pack amount | Pack unit | Received | Best before | Notes
FFK-071 | Ostlerfield | 2027-02-08 | 205 O | carrot | 3 | 5 | lb | | 2027-02-26 | for Tuesday's soup
FFK-071 | Ostlerfield | 2027-02-08 | 210 O | celery | 2 | 2 | lb | | 2027-02-20 |
FFK-071 | Ostlerfield | 2027-02-08 | 218 O | lemon | 2 | 12 | each | | 2027-02-20 |
FFK-071 | Ostlerfield | 2027-02-08 | 222 O | spinach | 2 | 2.5 | lb | | 2027-02-13 |
FFK-071 | Ostlerfield | 2027-02-08 | 246 O | fresh parsley | 1 | 3 | oz | | 2027-02-13 |
FFK-072 | Marrowby | 2027-02-09 | M-1030 | rolled oats | 2 | 10 | lb | | |
FFK-072 | Marrowby | 2027-02-09 | M-1124 | canned tuna in water | 3 | 12 | can | | |
FFK-072 | Marrowby | 2027-02-09 | M-1060 | whole wheat pasta | 12 | 1 | lb | | |
FFK-072 | Marrowby | 2027-02-09 | M-1101 | canned tomatoes | 2 | 24 | can | 1 | | one case came early and is counted in Stock
FFK-072 | Marrowby | 2027-02-09 | M-1140 | peanut butter | 1 | 5 | lb | | |
FFK-073 | Tamsin Row | 2027-02-10 | t32 | pearl barley | 4 | 1 | lb | | 2027-07-31 |
FFK-061 | Marrowby | 2027-01-08 | M-1131 | vegetable broth | 4 | 12 | each | 4 | | here, used up since
FFK-061 | Marrowby | 2027-01-08 | M-1011 | red lentils | 1 | 25 | lb | 1 | |
FFK-061 | Marrowby | 2027-01-08 | M-1104 | canned black beans | 2 | 12 | can | 2 | |
FFK-061 | Marrowby | 2027-01-08 | M-1106 | canned kidney beans | 2 | 12 | can | 2 | |
FFK-061 | Marrowby | 2027-01-08 | M-1184 | granola | 2 | 5 | lb | 2 | |
FFK-062 | Ostlerfield | 2027-01-08 | 231 O | red bell pepper | 1 | 15 | lb | 1 | |
FFK-062 | Ostlerfield | 2027-01-08 | 250 O | apple | 1 | 40 | lb | 1 | |
FFK-062 | Ostlerfield | 2027-01-08 | 280 O | egg | 2 | 60 | each | 2 | |
FFK-066 | Ostlerfield | 2027-01-22 | 256 O | orange | 4 | 18 | each | 4 | |
FFK-066 | Ostlerfield | 2027-01-22 | 226 O | sweet potato | 2 | 10 | lb | 2 | |
FFK-066 | Ostlerfield | 2027-01-22 | 280 O | egg | 3 | 60 | each | 3 | |
FFK-067 | Marrowby | 2027-01-26 | M-1520 | ground turkey | 8 | 3 | lb | 8 | | into the freezer
"""

SWAPS = """
Need | Ingredient | Use instead | Ratio | Unit | Note
gluten | rolled oats | gluten-free oats | | | packed before anything else that day
gluten | granola | gluten-free oats | | |
gluten | whole wheat flour | rice flour | 3/4 | | rice flour is heavier
gluten | pearl barley | brown rice | | |
gluten | whole wheat pasta | gluten-free corn pasta | | |
gluten | naan | corn tortilla | 2 | each | two small for one large
gluten | soy sauce | tamari | | |
soy | soy sauce | leave out | | | more lime at the table
soy | firm tofu | canned chickpeas | 1 | can |
sesame | sesame oil | canola oil | | |
sesame | sesame seed | sunflower seed | | |
nuts | peanut butter | sunflower seed butter | | |
nuts | walnut | pumpkin seed | | |
nuts | sliced almonds | pumpkin seed | | |
vegan | honey | maple syrup | | |
dairy | butter | vegetable spread | | |
dairy | plain yogurt | soy yogurt | | | first choice
dairy | plain yogurt | applesauce | 3/4 | | where soy is out too
dairy | whole milk | rice milk | | |
dairy | cheddar | leave out | | |
dairy | feta | leave out | | |
no egg | egg | chickpea flour | 1/4 | cup | whisked with water, a quarter cup for each egg
no egg | mayonnaise | plain yogurt | | |
no pork | ham slice | sliced turkey breast | 2 | slice |
vegetarian | ham slice | mushroom | 2 | each |
vegetarian | ground turkey | canned pinto beans | 3/4 | |
no fish | canned tuna in water | canned white beans | 1/2 | can | one can for two of tuna
vegetarian | canned tuna in water | canned white beans | 1/2 | can |
no mustard | mustard | leave out | | |
no mustard | mayonnaise | plain yogurt | | |
no mustard | curry powder | coriander seed | 3/4 | | most curry powder has mustard
no celery | celery | leave out | | |
no celery | vegetable broth | leave out | | | water and the spice bag do
no mushroom | mushroom | zucchini | | |
no alcohol | vanilla extract | imitation vanilla | | |
"""

TOOLS = """
Tool | Amount | Unit | For | Count
1 cup | 1 | cup | dry | 4
1/2 cup | 1/2 | cup | dry | 4
1/3 cup | 1/3 | cup | dry | 3
1/4 cup | 1/4 | cup | dry | 4
jug to 1/4 cup | 1/4 | cup | liquid | 2
jug to 1/3 cup | 1/3 | cup | liquid | 2
jug to 1/2 cup | 1/2 | cup | liquid | 2
jug to 2/3 cup | 2/3 | cup | liquid | 2
jug to 3/4 cup | 3/4 | cup | liquid | 2
jug to 1 cup | 1 | cup | liquid | 2
jug to 1 1/4 cups | 1 1/4 | cup | liquid | 2
jug to 1 1/3 cups | 1 1/3 | cup | liquid | 2
jug to 1 1/2 cups | 1 1/2 | cup | liquid | 2
jug to 1 2/3 cups | 1 2/3 | cup | liquid | 2
jug to 1 3/4 cups | 1 3/4 | cup | liquid | 2
jug to 2 cups | 2 | cup | liquid | 2
1 tbsp | 1 | tbsp | both | 6
1 tsp | 1 | tsp | both | 6
1/2 tsp | 1/2 | tsp | both | 6
1/4 tsp | 1/4 | tsp | both | 5
"""

CLOSURES = """
Date | Until | What | Why
2027-02-15 | | all | public holiday
2027-02-26 | | packing | hall let for a blood drive
"""

# Households whose kit was not simply collected; every other active household's kit of a delivered session was.
KITS_NOT_COLLECTED = """
Session | Household | Kit | Reason
PB1 | H10 | passed on | neighbour took it
PB2 | H05 | left | ill
PB2 | H10 | passed on | given to the nursery's cook
PB3 | H06 | left |
PB3 | H09 | discarded | not fetched, noodles had gone soft
PB4 | H02 | passed on | sister took it
ER1 | H18 | left | forgot
ER2 | H15 | passed on | went to the waiting list
ER2 | H23 | left |
ER3 | H13 | discarded | eggs over their date
ER4 | H16 | left | away
ON1 | H48 | left |
ON2 | H46 | collected | did not log in
ON3 | H50 | discarded | left in the foyer over night
GP1 | H58 | passed on | given to the school kitchen
GP3 | H60 | left | hospital visit
GP2b | H55 | passed on |
"""

QUESTIONS = """
Question | Text | Kind | Lowest | Highest | Better | Theme
Q1 | How sure are you that you can cook a meal from basic ingredients? | scale | 1 | 5 | | Cooking confidence
Q2 | Did your household eat beans or lentils in the last week? | yes-no | | | | Eating habits
Q3 | On how many days last week did you cook at home? | number | 0 | 7 | | Eating habits
Q4 | How hard is it to find something everyone will eat? | scale | 1 | 5 | lower | Family meals
Q5 | How often do you taste foods that are new to you? | scale | 1 | 5 | higher | Trying new foods
"""

# One letter a question, Q1 to Q5: a figure, y or n, `.` for no answer; an empty cell is a form that was not given in.
ANSWERS = """
Participant | Before | After
P001 | 2n342 | 4y433
P002 | 3n443 | 4y533
P003 | 2y351 | 3y542
P005 | 4y523 | 4y623
P006 | 3y532 | 5y514
P007 | 1n253 | 3n343
P008 | 2n343 | 4y3.4
P010 | 3n442 | 3y432
P011 | 2y453 | 4y534
P012 | 3n334 |
P014 |  | 4y533
P016 | 3n434 | 4y425
P018 | 2n352 | 4y443
P019 | 3y443 | 4y534
P021 | 2n343 | 3n343
P022 | 4y622 | 5y623
P024 | 3n343 | 3y443
P026 | 2n253 | 4y433
P027 | 4y634 | 5y625
P030 | 3n442 | 4n533
P031 | 4y713 | 4y713
P032 | 2n452 | 3y543
P034 | 3n343 |
P050 | 3y533 | 4y534
P051 | 4y524 | 5y525
P052 | 2n343 | 3y433
P054 | 3n443 | 4y534
P055 | 2n353 | 4n443
P056 | 3y433 | 3y433
P058 | 2n342 | 4y434
P059 | 4n533 | 3y633
P060 | 3y443 | 5y534
P062 |  | 4n534
P064 | 3n343 | 4y433
P065 | 2y452 | 3y543
P067 | 3n443 | 4y534
P068 | 2n342 | 4y443
P070 | 4y533 | 5y524
P071 | 3y643 | 4y633
P072 | 2n353 | .y443
P073 | 4y614 | 4y715
P075 | 1n252 | 2n353
P076 | 3n543 | 5y633
P077 |  | 3y443
"""

FUNDERS = """
Funder | Name | From | Until | Sessions target | People target | Completion target | Kits target | Budget | Small count
Larkmere | Larkmere Trust | 2027-01-01 | 2027-06-30 | 40 | 60 | 60% | 320 | $4,000.00 |
Brackenlow | Brackenlow Fund | 2027-01-11 | 2027-02-28 | 30 | 50 | 70% | 150 | $2,500.00 | 10
Total | | | | 70 | 110 | | 470 | $6,500.00 |
"""

NOTES = """
Things to remember
Volunteers: the hall is let on Friday 26 February, so Monday's kits are packed on Thursday.
Ask H06 and H32 about allergies again.
Peanut butter on shelf 3 stays on hold until the supplier writes.
Marrowby's tomato price goes up on 20 February.
"""

LEAST_SESSIONS = """
Session | Group | Date | Recipes
A1 | Thursday | 2027-03-11 | Rice and Lentil Pot
A2 | Thursday | 2027-03-18 | Carrot Bean Wraps
"""

LEAST_ENROLMENT = """
Participant | Group | Household | Servings | Needs
K1 | Thursday | one | 4 | none
K2 | Thursday | two | 2 | no peanut
K3 | Thursday | three | 6 | none
K4 | Thursday | four | 4 | vegetarian
K5 | Thursday | five | | none
K6 | Thursday | six | 3 | no fish
K7 | Thursday | six | | none
"""

LEAST_RECIPES = """
Recipe | Servings | Ingredient | Amount | Unit
Rice and Lentil Pot | 4 | brown rice | 1 | cup
 | | lentils | 3/4 | cup
 | | onion | 1 |
 | | carrot | 2 |
 | | cumin | 1 | tsp
 | | salt | to taste |
Carrot Bean Wraps | 4 | flour tortilla | 8 |
 | | dried pinto beans | 1 1/2 | cup
 | | carrot | 3 |
 | | cheddar | 1/2 | cup
 | | lime | 1 |
"""

LEAST_STOCK = """
Ingredient | Amount | Unit | Best before
brown rice | 5 | lb | 2027-10-01
lentils | 1 | lb | 2027-09-01
cheddar | 8 | oz | 2027-03-25
"""
