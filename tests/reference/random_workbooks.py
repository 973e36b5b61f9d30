"""Small random workbooks, the same for the same seed, that hold no errors by the written rules."""

import datetime as dt
import random
from pathlib import Path

import openpyxl

AS_OF = dt.date(2027, 3, 1)  # a Monday
DAY = dt.timedelta(1)
INGREDIENTS = (
    "Ingredient", "State", "Storage", "Grams per cup", "Grams each", "Edible share", "Contains", "Tags", "Keeps",
    "Keeps open", "Per kit",
)  # fmt: skip
FOODS = [
    ("zed grain", "dry", "shelf", 120, None, None, "wheat; gluten", None, 200, 9, None),
    ("zed altgrain", "dry", "shelf", 100, None, None, "soy", None, 200, None, None),
    ("zed lastgrain", "dry", "shelf", 90, None, None, None, None, 200, None, None),
    ("zed syrup", "liquid", "shelf", None, None, None, None, "honey", 300, 20, None),
    ("zed milk", "liquid", "chill", 245, None, None, "milk", None, 8, 3, None),
    ("zed oatmilk", "liquid", "chill", 240, None, None, "tree nuts", None, 9, 4, None),
    ("zed ricemilk", "liquid", "shelf", 240, None, None, None, None, 90, 5, None),
    ("zed tin", "dry", "shelf", 180, 400, "60%", None, "fish", 700, 3, "whole"),
    ("zed root", "whole", "cool", None, 110, "80%", None, None, 14, None, None),
    ("zed fruit", "whole", "cool", None, None, None, None, None, 6, None, None),
    ("zed herb", "dry", "chill", None, None, None, None, None, 5, None, None),
    ("zed spread", "dry", "shelf", 250, None, None, "peanut", None, None, 12, None),
]
SWAPS = [
    ("zed grain", "gluten", "zed altgrain", "3/4", None),
    ("zed altgrain", "no soy", "zed lastgrain", "1 1/2", None),
    ("zed syrup", "vegan", "zed lastgrain", 2, "tsp"),
    ("zed milk", "dairy", "zed oatmilk", None, None),
    ("zed milk", "vegan", "zed ricemilk", None, None),
    ("zed oatmilk", "nuts", "zed ricemilk", "1/2", None),
    ("zed tin", "no fish", "zed root", 2, "each"),
    ("zed tin", "vegetarian", "zed fruit", 3, "each"),
    ("zed spread", "nuts", "leave out", None, None),
]
LINES = {
    "zed grain": [("cup", "1/3 2/3 1 1/2"), ("oz", "3 5"), ("tbsp", "2 5")],
    "zed syrup": [("tbsp", "1 3"), ("fl oz", "1 2"), ("tsp", "2")],
    "zed milk": [("cup", "1/4 1/3 3/4"), ("g", "100 55")],
    "zed tin": [(None, "1 2 1/2"), ("can", "1"), ("g", "300")],
    "zed root": [(None, "1 1/2 3"), ("lb", "1/2 1"), ("g", "75")],
    "zed fruit": [(None, "1 1/2 2"), ("piece", "1/3")],
    "zed herb": [("sprigs", "2 5 1/2"), ("sprig", "1")],
    "zed spread": [("tbsp", "2 3"), ("cup", "1/8")],
    "zed altgrain": [("cup", "1/2"), ("oz", "2")],
}
PACKS = {
    "zed grain": [(2, "lb"), (5, "lb"), (900, "g"), (1, "kg")], "zed altgrain": [(1, "lb"), (500, "g")],
    "zed lastgrain": [(1, "kg"), (12, "oz")], "zed syrup": [(8, "fl oz"), (1, "L"), (250, "mL")],
    "zed milk": [(1, "qt"), (1, "L"), (500, "g")], "zed oatmilk": [(1, "L"), (12, "fl oz")],
    "zed ricemilk": [(1, "L")], "zed tin": [(1, "can"), (12, "cans"), (6, "each")],
    "zed root": [(2, "lb"), (10, "each"), (1, "kg")], "zed fruit": [(6, "each"), (10, "pieces"), (1, "ea")],
    "zed herb": [(10, "sprigs"), (1, "bunch")], "zed spread": [(16, "oz"), (1, "lb")],
}  # fmt: skip
NEEDS = ["none"] * 7 + ["no soy; gluten", "dairy", "nuts", "vegan", "vegetarian", "no fish", "gluten", "dairy; nuts"]


def write(path: Path, sheets: dict[str, list[tuple]]) -> Path:
    book = openpyxl.Workbook()
    book.remove(book.active)
    for name, rows in sheets.items():
        sheet = book.create_sheet(name)
        for row in rows:
            sheet.append(row)
    book.save(path)
    return path


def random_sheets(seed: int) -> dict[str, list[tuple]]:
    r = random.Random(seed)
    sheets = {"Settings": settings(r), "Ingredients": [INGREDIENTS, *FOODS]}
    sheets["Swaps"] = [("Ingredient", "Need", "Use instead", "Ratio", "Unit"), *SWAPS]
    sheets["Recipes"], recipes = some_recipes(r)
    sheets["Groups"], groups = some_groups(r)
    sheets["Sessions"], sessions = some_sessions(r, groups, recipes)
    sheets["Enrolment"], members = some_members(r, groups)
    if r.random() < 0.9:
        sheets["Suppliers"], sheets["Packs"] = some_packs(r)
    sheets["Stock"] = some_stock(r)
    if r.random() < 0.6:
        sheets["Orders"] = some_orders(r)
    if r.random() < 0.5:
        at = AS_OF + DAY * r.randint(1, 12)
        what = r.choice(["deliveries", "packing", "all", None])
        sheets["Closures"] = [("Date", "Until", "What"), (at, r.choice([None, at + DAY]), what)]
    if r.random() < 0.8:
        sheets |= some_people(r, sessions, members)
    return sheets


def settings(r):
    rows = [("Setting", "Value"), ("Keep margin", r.choice([0, 1, 2])), ("Unanswered needs", "warning")]
    for name, values in {
        "Packing loss": ["3%", "0%", "5 %"], "Kit step": ["1/2", 1], "Receive lead": [0, 0, 1],
        "Packing lead": [1, 2], "Spare kits": ["5%", "10%", 2], "Demo kits": [0, 1], "x means": ["absent", "present"],
        "Completion": ["75%", "50%", 2], "Open days": ["Mon;Tue;Wed;Thu;Fri", "Mon; Wed; Thu; Fri; Sat"],
    }.items():  # fmt: skip
        if r.random() < 0.7:
            rows.append((name, r.choice(values)))
    return rows


def some_recipes(r):
    heads = ("Recipe", "Servings", "Ingredient", "Amount", "Unit", "Scale", "Supplied", "Mix", "Measured")
    rows, names = [heads], []
    for n in range(r.randint(2, 4)):
        name = f"Dish {n}"
        names.append(name)
        foods = r.sample(sorted(LINES), r.randint(2, 5))
        for at, food in enumerate(foods):
            unit, options = r.choice(LINES[food])
            amount = r.choice(options.split()) if "1 1/2" not in options or r.random() < 0.7 else "1 1/2"
            amount = int(amount) if amount.isdigit() and r.random() < 0.7 else amount
            scale = "session" if r.random() < 0.12 and at else None
            home = "home" if r.random() < 0.08 and at and not scale else None
            mix = "mix" if food in ("zed grain", "zed altgrain") and not scale and r.random() < 0.4 else None
            bought = "as bought" if unit in ("g", "lb") and food == "zed root" and r.random() < 0.4 else None
            first = (name, r.choice([2, 4, 6])) if at == 0 else (None, None)
            rows.append((*first, food, amount, unit, scale, home, mix, bought))
        if r.random() < 0.3:
            rows.append((None, None, "zed herb", "to taste", None, None, None, None, None))
    return rows, names


def some_groups(r):
    heads = (
        "Group", "Format", "Kit for", "People per table", "Spare kits", "Demo kits", "Packing lead", "Funders"
    )  # fmt: skip
    rows, names = [heads], []
    for n in range(r.randint(1, 3)):
        table = r.random() < 0.3
        funders = r.choice([None, "Oakfund", "Oakfund 60%; Elmfund 40%", "Oakfund 33%; Elmfund 67%"])
        rows.append(
            (
                f"G{n}", "table" if table else r.choice(["kits", None]), r.choice([None, "household", "participant"]),
                r.randint(2, 4) if table else None, None if table else r.choice([None, "20%", 1, 0]),
                r.choice([None, 0, 1, 2]), r.choice([None, None, 0, 1, 2]), funders,
            )
        )  # fmt: skip
        names.append((f"G{n}", table))
    return rows, names


def some_sessions(r, groups, recipes):
    heads = ("Session", "Group", "Date", "Minutes", "Recipes", "Status", "Packing date", "Kits", "Replaces")
    rows = [heads]
    number = 0
    for group, table in groups:
        for _ in range(r.randint(2, 3)):
            when = AS_OF - DAY * r.randint(5, 25)
            status = r.choice(["delivered", "delivered", "delivered", "cancelled"])
            rows.append((f"S{number}", group, when, r.choice([60, 90, 50]), r.choice(recipes), status, *[None] * 3))
            number += 1
        for _ in range(r.randint(1, 3)):
            when = AS_OF + DAY * r.randint(3, 18)
            names = r.sample(recipes, r.choice([1, 1, 2]))
            names = [f"{n} x2" if r.random() < 0.15 else n for n in names]
            packing = when - DAY * 2 if r.random() < 0.1 and (when - DAY * 2).weekday() in (0, 2, 3, 4) else None
            kits = r.randint(3, 8) if r.random() < 0.1 and not table else None
            gone = [row[0] for row in rows[1:] if row[1] == group and row[5] == "cancelled"]
            gone = [g for g in gone if g not in {row[8] for row in rows}]
            back = gone[0] if gone and r.random() < 0.7 else None
            text = "; ".join(names)
            rows.append((f"S{number}", group, when, 60, text, r.choice([None, "planned"]), packing, kits, back))
            number += 1
    return rows, rows[1:]


def some_members(r, groups):
    heads = ("Participant", "Group", "Household", "Servings", "Needs", "Status", "Joined", "Left")
    rows, number = [heads], 0
    for group, _ in groups:
        for home in range(r.randint(2, 5)):
            for _ in range(r.choice([1, 1, 2, 3])):
                status = r.choice([None, "active", "active", "active", "waiting", "withdrawn"])
                joined = AS_OF - DAY * r.randint(8, 20) if r.random() < 0.2 else None
                left = AS_OF + DAY * r.randint(4, 12) if r.random() < 0.1 else None
                if status == "withdrawn":
                    left = AS_OF - DAY * r.randint(1, 6)
                    joined = None
                rows.append(
                    (
                        f"P{number}", group, f"{group}H{home}" if r.random() < 0.8 else None,
                        r.choice([None, 1, 2, 3, 4, 5, 7, 9]), r.choice(NEEDS), status, joined, left,
                    )
                )  # fmt: skip
                number += 1
    return rows, rows[1:]


def some_packs(r):
    suppliers = [
        (
            "Supplier", "Lead days", "Order days", "Delivery days", "Minimum order", "Delivery fee",
            "Free delivery from", "Tax",
        )
    ]  # fmt: skip
    packs = [
        (
            "Supplier", "Ingredient", "Item", "Pack amount", "Pack unit", "Price", "Sold by", "Minimum", "Keeps",
            "From", "Until", "Preferred",
        )
    ]  # fmt: skip
    for n in range(r.randint(1, 3)):
        order = r.choice([None, "Mon; Tue; Wed; Thu; Fri", "Mon; Thu", "Mon;Tue;Wed;Thu;Fri;Sat;Sun"])
        delivery = r.choice([None, "Tue; Fri", "Mon; Wed; Thu", "Mon; Tue; Wed; Thu; Fri"])
        suppliers.append(
            (
                f"V{n}", r.choice([None, 1, 2, 3]), order, delivery, r.choice([None, None, 15]),
                r.choice([None, 5, 3.5]), r.choice([None, 40]), r.choice([None, "7%", "8.25%"]),
            )
        )  # fmt: skip
        for food, sizes in PACKS.items():
            if r.random() < 0.25:
                continue
            for at, (amount, unit) in enumerate(r.sample(sizes, r.randint(1, min(2, len(sizes))))):
                dated = r.random() < 0.15
                packs.append(
                    (
                        f"V{n}", food, f"{food[4:]}-{n}{at}", amount, unit, r.randint(60, 900) / 100,
                        r.choice([None, None, None, 2]), r.choice([None, None, None, 3]), r.choice([None, None, 8]),
                        AS_OF - DAY * r.randint(0, 9) if dated else None,
                        AS_OF + DAY * r.randint(0, 9) if dated and r.random() < 0.6 else None, r.choice([None, "yes"]),
                    )
                )  # fmt: skip
    return suppliers, packs


def some_stock(r):
    rows = [("Ingredient", "Amount", "Unit", "Lot", "Best before", "Opened", "Hold")]
    for at in range(r.randint(2, 14)):
        food = r.choice(sorted(PACKS))
        unit = {"each": None}.get(PACKS[food][0][1], PACKS[food][0][1])
        best = AS_OF + DAY * r.randint(-3, 25) if r.random() < 0.8 else None
        opened = AS_OF - DAY * r.randint(0, 5) if r.random() < 0.3 else None
        rows.append((food, r.choice([1, 2, "1 1/2", 3, "1/4", 7]), unit, f"L{at}", best, opened,
                     "yes" if r.random() < 0.1 else None))  # fmt: skip
    return rows


def some_orders(r):
    rows = [
        (
            "Order",
            "Supplier",
            "Ingredient",
            "Item",
            "Packs",
            "Pack amount",
            "Pack unit",
            "Due",
            "Received",
            "Best before",
        )
    ]
    for n in range(r.randint(1, 3)):
        due = AS_OF + DAY * r.randint(-2, 9)
        for food in r.sample(sorted(PACKS), r.randint(1, 3)):
            packs = r.randint(1, 3)
            amount, unit = r.choice(PACKS[food])
            best = AS_OF + DAY * r.randint(8, 30) if r.random() < 0.6 else None
            rows.append((f"O-{n}", "V0", food, None, packs, amount, unit, due, r.choice([None, None, 1]), best))
    return rows


def some_people(r, sessions, members):
    done = [s for s in sessions if s[5] == "delivered"]
    marks = ["y", "yes", "x", "✓", 1, "p", "late", "n", "no", 0, "absent", "kit only", "e", "excused", None, None]
    got = {}
    if r.random() < 0.5:
        got["Attendance"] = [("Participant", *(s[0] for s in done))]
        for m in members:
            row = [r.choice(marks) if s[1] == m[1] else None for s in done]
            got["Attendance"].append((m[0], *row))
    else:
        got["Attendance"] = [("Session", "Participant", "Mark")]
        for s in done:
            for m in members:
                mark = r.choice(marks)
                if s[1] == m[1] and mark is not None:
                    got["Attendance"].append((s[0], m[0], mark))
    got["Questions"] = [
        ("Question", "Text", "Kind", "Lowest", "Highest", "Better"),
        ("Q1", "How sure?", "scale", 1, 5, None), ("Q2", "How hard?", "scale", 1, 5, "lower"),
        ("Q3", "Beans?", "yes-no", None, None, None), ("Q4", "Days?", "number", 0, 7, "higher"),
    ]  # fmt: skip
    got["Surveys"] = [("Participant", "When", "Q1", "Q2", "Q3", "Q4")]
    for m in members:
        for when in ("before", "after"):
            if r.random() < 0.8:
                scale = [1, 2, 3, 4, 5, None, 6]
                days = r.choice([0, 3, 7, None])
                row = (r.choice(scale), r.choice(scale), r.choice(["yes", "no", None]), days)
                got["Surveys"].append((m[0], when, *row))
    got["Funders"] = [
        ("Funder", "From", "Until"), ("Oakfund", dt.date(2027, 1, 1), dt.date(2027, 6, 30)),
        ("Elmfund", dt.date(2027, 1, 1), dt.date(2027, 6, 30)),
    ]  # fmt: skip
    return got
