"""Large programmes from a seed, as workbooks: groups, sessions, participants, marks, foods and suppliers as asked for.

`python tests/benchmarks/large.py FILE.xlsx [TIMES]` writes TIMES 20 groups; 25, the big programme, is 500 groups, 5,000
sessions, 60,000 participants in two groups each, 960,000 marks, 300 ingredients and 5 suppliers.
"""

import datetime as dt
import random
import sys
from dataclasses import dataclass
from pathlib import Path

AS_OF = dt.date(2027, 2, 8)
HELD_WEEKS = 8
"""Weeks with attendance before the planning date; two more are planned after it."""
MARKS = ("present", "present", "present", "absent", "excused")
NEEDS = ("none",) * 17 + ("no milk", "no egg", "vegetarian")


@dataclass(frozen=True, slots=True)
class Size:
    """How large a programme is. weeks: sessions a group, one a week."""

    groups: int
    weeks: int = 10
    people_a_group: int = 120
    foods: int = 300
    recipes: int = 60
    suppliers: int = 5

    @classmethod
    def times(cls, times: float) -> "Size":
        """So many times 20 groups; 25 is the big programme."""
        return cls(groups=max(1, round(20 * times)), foods=min(300, max(12, round(40 * times))))


def sheets(size: Size, seed: int = 1) -> dict[str, list[list[object]]]:
    """Every sheet as rows, its headings first. Attendance is one mark a row."""
    chance = random.Random(seed)
    foods = [f"food {number:03d}" for number in range(size.foods)]
    made: dict[str, list[list[object]]] = {
        "Settings": [["Setting", "Value"], ["Programme", "Generated"], ["As of", AS_OF], ["Receive lead", 1]],
        "Groups": [["Group", "Name", "Funders"]],
        "Sessions": [["Session", "Group", "Date", "Minutes", "Recipes", "Status"]],
        "Enrolment": [["Participant", "Group", "Household", "Servings", "Needs"]],
        "Recipes": [["Recipe", "Servings", "Ingredient", "Amount", "Unit"]],
        "Ingredients": [["Ingredient", "State", "Storage", "Grams per cup", "Contains", "Keeps", "Keeps open"]],
        "Suppliers": [["Supplier", "Lead days", "Delivery days", "Minimum order", "Delivery fee"]],
        "Packs": [["Supplier", "Ingredient", "Item", "Pack amount", "Pack unit", "Price"]],
        "Stock": [["Ingredient", "Amount", "Unit", "Lot", "Best before"]],
        "Attendance": [["Session", "Participant", "Mark"]],
        "Funders": [["Funder", "From", "Until"], ["Larkmere", dt.date(2026, 9, 1), dt.date(2027, 8, 31)]],
    }
    for name in foods:
        keeps = chance.choice((7, 14, 60, 300))
        made["Ingredients"].append(
            [name, "dry", "chill" if keeps < 20 else "shelf", chance.randrange(90, 250), "none", keeps, keeps]
        )
        made["Stock"].append([name, chance.randrange(200, 3000), "g", f"L-{name}", dt.date(2027, 12, 1)])
        for supplier in range(2):
            number = (hash_of(name) + supplier) % size.suppliers
            for grams in (500, 2500):
                price = round(grams * chance.uniform(0.002, 0.006) * (0.8 if grams > 1000 else 1), 2)
                made["Packs"].append([f"Supplier {number}", name, f"{name[-3:]}-{grams}", grams, "g", price])
    for number in range(size.suppliers):
        made["Suppliers"].append([f"Supplier {number}", 2, "Mon; Wed; Fri", 25, 7.5])
    for number in range(size.recipes):
        for line, name in enumerate(chance.sample(foods, min(6, len(foods)))):
            first = [f"recipe {number}", 4] if not line else [f"recipe {number}", None]
            made["Recipes"].append([*first, name, chance.choice((0.5, 1, 2)), "cup"])
    for group in range(size.groups):
        made["Groups"].append([f"g{group}", f"Group {group}", "Larkmere"])
        people = []
        for home in dict.fromkeys((group, (group + 1) % size.groups)):  # everyone is in two groups
            for number in range(size.people_a_group):
                people.append(f"p{home}-{number}")
                need = NEEDS[(home * 7 + number) % len(NEEDS)]
                made["Enrolment"].append([people[-1], f"g{group}", f"h{home}-{number // 2}", 4, need])
        for week in range(size.weeks):
            day = AS_OF + dt.timedelta(7 * (week - HELD_WEEKS) + 2 + group % 3)
            held = week < HELD_WEEKS
            code, dish = f"s{group}-{week}", f"recipe {chance.randrange(size.recipes)}"
            made["Sessions"].append([code, f"g{group}", day, 90, dish, "delivered" if held else "planned"])
            if held:
                made["Attendance"] += [[code, person, chance.choice(MARKS)] for person in people]
    return made


def hash_of(name: str) -> int:
    """The same number on every run, unlike `hash`."""
    return sum(name.encode())


def write(size: Size, file: Path, seed: int = 1) -> int:
    """Write the workbook; gives its number of cells."""
    import xlsxwriter

    cells = 0
    book = xlsxwriter.Workbook(str(file), {"constant_memory": True, "default_date_format": "yyyy-mm-dd"})
    for name, rows in sheets(size, seed).items():
        sheet = book.add_worksheet(name)
        for at, row in enumerate(rows):
            sheet.write_row(at, 0, row)
            cells += len(row)
    book.close()
    return cells


if __name__ == "__main__":
    print(f"{write(Size.times(float([*sys.argv, '25'][2])), Path(sys.argv[1])):,} cells")
