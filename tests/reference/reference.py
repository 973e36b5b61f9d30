"""An independent, plain and slow calculator of what the written rules say a workbook comes to.

It shares no code with the package under test: openpyxl reads the cells, fractions do the sums. It reads only what
the rules call good workbooks; what it cannot judge it leaves out.
"""

import csv
import datetime as dt
import math
import re
from collections import defaultdict
from fractions import Fraction
from pathlib import Path
from typing import ClassVar

import openpyxl

F = Fraction
CATALOGUE = Path(__file__).resolve().parents[2] / "opsreport" / "data" / "catalogue.csv"
DAYS = ["mon", "tue", "wed", "thu", "fri", "sat", "sun"]
FOREVER = dt.date.max
REQUIRED = {
    "Settings": "setting value", "Groups": "group", "Sessions": "session group date recipes",
    "Enrolment": "participant group", "Recipes": "recipe servings ingredient amount", "Ingredients": "ingredient",
    "Suppliers": "supplier", "Packs": "supplier|ingredient|pack amount|pack unit|price",
    "Stock": "ingredient amount", "Orders": "order|supplier|ingredient|packs|pack amount|pack unit|due",
    "Swaps": "ingredient|need|use instead", "Closures": "date", "Attendance": "participant",
    "Pick-ups": "session household kit", "Questions": "question text", "Surveys": "participant",
    "Funders": "funder from until",
}  # fmt: skip
VULGAR = {"½": "1/2", "¼": "1/4", "¾": "3/4", "⅓": "1/3", "⅔": "2/3", "⅛": "1/8"}
US_CUP = F("236.5882365")


# ---------------------------------------------------------------- cells


def clean(value):
    if value is None:
        return ""
    if isinstance(value, float) and value == int(value):
        value = int(value)
    return " ".join(str(value).replace("\u00a0", " ").replace("\u200b", "").split())


def key(value):
    return clean(value).lower()


def number(value):
    """An exact number from a cell: 3, 0.5, '1 1/2', '1½', '1-1/2'."""
    if value is None or value == "":
        return None
    if isinstance(value, bool):
        raise ValueError(value)
    if isinstance(value, int):
        return F(value)
    if isinstance(value, float):
        near = F(value).limit_denominator(1000)
        return near if abs(float(near) - value) < 1e-12 else F(repr(value))
    text = clean(value)
    for sign, plain in VULGAR.items():
        text = text.replace(sign, " " + plain)
    total = F(0)
    for part in re.split(r"[ -]+", text.strip()):
        top, _, bottom = part.partition("/")
        total += F(top) / F(bottom or 1)
    return total


def share(value):
    """A percentage or a share."""
    if value is None or value == "":
        return None
    if isinstance(value, str) and value.strip().endswith("%"):
        return number(value.strip()[:-1].strip()) / 100
    got = number(value)
    return got if got <= 1 else got / 100


def date(value):
    if value is None or value == "":
        return None
    if isinstance(value, dt.datetime):
        return value.date()
    if isinstance(value, dt.date):
        return value
    return dt.date.fromisoformat(clean(value))


def listed(value):
    return [clean(part) for part in clean(value).split(";") if clean(part)]


def yes(value):
    return key(value) in {"y", "yes", "x", "✓", "✔", "1", "true"}


def tables(path):
    """Every sheet the rules name, as a list of dicts keyed by the lower-case heading."""
    book = openpyxl.load_workbook(path, data_only=True)
    found = {}
    for sheet in book:
        for name, need in REQUIRED.items():
            if key(sheet.title) != key(name):
                continue
            wanted = set(need.split("|") if "|" in need else need.split())
            rows = list(sheet.iter_rows(values_only=True))
            for at, row in enumerate(rows[:20]):  # noqa: B007
                heads = [key(cell) for cell in row]
                if wanted <= set(heads):
                    break
            else:
                continue
            kept = []
            for row in rows[at + 1 :]:
                filled = [cell for cell in row if clean(cell)]
                only_first = len(filled) == 1 and clean(row[0]) and len(wanted) > 1
                if not filled or only_first or key(row[0]) in {"total", "totals", "sum"}:
                    continue
                kept.append({head: cell for head, cell in zip(heads, row, strict=False) if head})
            found[name] = kept
    return found


# ---------------------------------------------------------------- units and foods

VOLUME = {
    "US": {"cup": US_CUP, "tbsp": US_CUP / 16, "tsp": US_CUP / 48, "fl oz": US_CUP / 8},
    "label": {"cup": F(240), "tbsp": F(15), "tsp": F(5), "fl oz": F(30)},
    "metric": {"cup": F(250), "tbsp": F(15), "tsp": F(5)},
    "australian": {"cup": F(250), "tbsp": F(20), "tsp": F(5)},
}
WEIGHT = {"g": F(1), "kg": F(1000), "oz": F("28.349523125"), "lb": F("453.59237")}
COUNTS = {
    "each", "ea", "piece", "pc", "clove", "bunch", "head", "can", "slice", "sprig", "stalk", "stick", "packet", "ear",
    "leaf", "carton", "jar",
}  # fmt: skip
SAME = {
    "c": "cup", "tb": "tbsp", "tbs": "tbsp", "tablespoon": "tbsp", "ts": "tsp", "teaspoon": "tsp", "floz": "fl oz",
    "fluid ounce": "fl oz", "#": "lb", "pound": "lb", "": "each", "leave": "leaf", "leaves": "leaf", "ounce": "oz",
    "tin": "can",
}  # fmt: skip


def unit_of(value):
    text = clean(value).rstrip(".")
    if text == "T":
        return "tbsp"
    if text == "t":
        return "tsp"
    text = text.lower()
    known = set(WEIGHT) | COUNTS | {"cup", "tbsp", "tsp", "fl oz", "pt", "qt", "gal", "ml", "l"}
    known |= {"dash", "pinch", "smidgen"} | set(SAME)
    for form in (text, text[:-1], text[:-2]):
        if form in known and (form == text or text[len(form) :] in ("s", "es")):
            return SAME.get(form, form)
    raise ValueError(value)


class Foods:
    """The catalogue, extended and overridden column by column by the Ingredients sheet."""

    COLUMNS = (
        "state", "storage", "grams per cup", "grams per tbsp", "grams per tsp", "grams each", "edible share",
        "contains", "tags", "keeps", "keeps open", "per kit",
    )  # fmt: skip

    def __init__(self, rows, measures):
        self.measures = measures
        self.names, self.foods = {}, {}
        with CATALOGUE.open(encoding="utf-8") as file:
            for row in csv.DictReader(file):
                row = {key(head): cell for head, cell in row.items()}
                food = {column: row.get(column) or None for column in self.COLUMNS}
                food["name"], food["us"] = row["ingredient"], True
                self.foods[key(row["ingredient"])] = food
                for name in [row["ingredient"], *listed(row["also called"])]:
                    self.names[key(name)] = key(row["ingredient"])
        for row in rows:
            name = clean(row["ingredient"])
            at = self.names.setdefault(key(name), key(name))
            food = self.foods.setdefault(at, {"name": name, "us": False})
            for column in self.COLUMNS:
                if clean(row.get(column)):
                    food[column] = row[column]
                    if column == "grams per cup":
                        food["us"] = False
            for other in listed(row.get("also called")):
                self.names[key(other)] = at
        self.weighed, self.poured, self.counted = set(), set(), set()

    def find(self, text):
        word = key(text)
        if word in self.names:
            return self.names[word]
        raise KeyError(text)

    def get(self, food, column):
        value = self.foods[food].get(column)
        return None if value is None or clean(value) == "" else value

    def figure(self, food, column):
        value = self.get(food, column)
        return None if value is None else number(value) if not isinstance(value, str) else self.quotient(value)

    @staticmethod
    def quotient(text):
        top, _, bottom = text.partition("/")
        return F(top.strip()) / F(bottom.strip() or 1) if " " not in text.strip() else number(text)

    def state(self, food):
        return key(self.get(food, "state")) or "dry"

    def edible(self, food):
        return share(self.get(food, "edible share")) or F(1)

    def whole(self, food):
        return key(self.get(food, "per kit")) == "whole"

    def atoms(self, food):
        words = {key(w) for column in ("contains", "tags") for w in listed(self.get(food, column))}
        return words | {food}

    def per_ml(self, food, unit):
        """Grams in one mL when measured in this unit."""
        cup, spoon, small = (self.figure(food, f"grams per {w}") for w in ("cup", "tbsp", "tsp"))
        cup_ml = US_CUP if self.foods[food].get("us") else VOLUME[self.measures]["cup"]
        ways = {
            "cup": cup and cup / cup_ml, "tbsp": spoon and spoon / (US_CUP / 16), "tsp": small and small / (US_CUP / 48)
        }  # fmt: skip
        order = {"tbsp": ("tbsp", "tsp", "cup"), "tsp": ("tsp", "tbsp", "cup")}
        if unit in ("dash", "pinch", "smidgen"):
            unit = "tsp"
        for way in order.get(unit, ("cup", "tbsp", "tsp")):
            if ways[way]:
                return ways[way]
        return None

    def ml(self, unit):
        v = VOLUME[self.measures]
        if unit in v:
            return v[unit]
        more = {"pt": 2 * US_CUP, "qt": 4 * US_CUP, "gal": 16 * US_CUP, "ml": F(1), "l": F(1000), "fl oz": US_CUP / 8}
        more |= {"dash": v["tsp"] / 8, "pinch": v["tsp"] / 16, "smidgen": v["tsp"] / 32}
        return more.get(unit)

    def kind(self, unit):
        return "weight" if unit in WEIGHT else "count" if unit in COUNTS else "volume"

    def base(self, food):
        """Counts only and no weight of a piece: nothing needs a bridge, so it is counted, whatever a cup weighs."""
        if food in self.counted and food not in self.weighed | self.poured and not self.figure(food, "grams each"):
            return "each"
        if any(self.figure(food, f"grams per {w}") for w in ("cup", "tbsp", "tsp")) or self.figure(food, "grams each"):
            return "g"
        if food in self.weighed:
            return "g"
        return "mL" if food in self.poured else "each"

    def amount(self, food, count, unit):
        """In the base unit, nothing said of peel."""
        base, kind = self.base(food), self.kind(unit)
        if kind == "weight":
            assert base == "g"
            return count * WEIGHT[unit]
        if kind == "volume":
            if base == "mL":
                return count * self.ml(unit)
            return count * self.ml(unit) * self.per_ml(food, unit)
        if base == "each":
            return count
        return count * self.figure(food, "grams each")


EVERYDAY = {
    "nuts": {"peanut", "tree nuts"}, "dairy": {"milk"}, "gluten": {"wheat", "gluten", "barley", "rye", "oats"},
    "shellfish": {"crustacean shellfish", "molluscs", "shellfish"},
    "vegetarian": {"meat", "fish", "shellfish", "crustacean shellfish", "molluscs", "gelatin"},
}  # fmt: skip
EVERYDAY["vegan"] = EVERYDAY["vegetarian"] | {"milk", "egg", "honey"}


def expand(need, foods):
    word = key(need)
    if word.startswith("no "):
        word = word[3:]
    got = EVERYDAY.get(word, {word})
    return frozenset(got | {foods.names[w] for w in got if w in foods.names})


# ---------------------------------------------------------------- the calculator


class Reference:
    chained = True  # plan.json writes each step of a chain of swaps, not only its ends

    def __init__(self, path, as_of):
        self.t = defaultdict(list, tables(path))
        self.as_of = as_of
        self.own_tools = any(key(s.title) == "tools" for s in openpyxl.load_workbook(path))
        self.settings = {key(r["setting"]): r["value"] for r in self.t["Settings"]}
        measures = clean(self.settings.get("measures")) or "US"
        self.foods = Foods(self.t["Ingredients"], measures if measures in VOLUME else measures.lower())
        self.read_recipes()
        self.note_units()
        self.read_sessions()
        self.read_swaps()
        self.closures()
        self.plan_sessions()
        self.net()

    def setting(self, name, default, kind):
        value = self.settings.get(key(name))
        return default if value is None or clean(value) == "" else kind(value)

    # -- reading

    def read_recipes(self):
        self.recipes, name = {}, None
        for row in self.t["Recipes"]:
            if clean(row.get("recipe")):
                name = key(row["recipe"])
            recipe = self.recipes.setdefault(name, {"name": clean(row.get("recipe")), "servings": None, "lines": []})
            if clean(row.get("servings")):
                recipe["servings"] = number(row["servings"])
            amount = row.get("amount")
            if key(amount) in ("", "to taste"):
                continue
            unit = unit_of(row.get("unit"))
            measured = key(row.get("measured"))
            recipe["lines"].append(
                {
                    "food": self.foods.find(row["ingredient"]), "amount": number(amount), "unit": unit,
                    "session": key(row.get("scale")) == "session", "home": key(row.get("supplied")) == "home",
                    "measured": measured,
                }
            )  # fmt: skip

    def note_units(self):
        """Which foods are used by weight, which by volume, anywhere."""
        seen = [(line["food"], line["unit"]) for r in self.recipes.values() for line in r["lines"]]
        for sheet, amount, unit in (
            ("Packs", "pack amount", "pack unit"), ("Stock", "amount", "unit"), ("Orders", "pack amount", "pack unit")
        ):  # fmt: skip
            for row in self.t[sheet]:
                if row.get(amount) is not None:
                    seen.append((self.foods.find(row["ingredient"]), unit_of(row.get(unit))))
        for row in self.t["Swaps"]:
            if clean(row.get("unit")):
                seen.append((self.foods.find(row["use instead"]), unit_of(row["unit"])))
        for food, unit in seen:
            if self.foods.kind(unit) == "weight":
                self.foods.weighed.add(food)
            elif self.foods.kind(unit) == "volume":
                self.foods.poured.add(food)
            else:
                self.foods.counted.add(food)

    def read_sessions(self):
        self.groups = {key(r["group"]): r for r in self.t["Groups"]}
        self.sessions = []
        for row in self.t["Sessions"]:
            recipes = []
            for text in listed(row["recipes"]):
                times = re.fullmatch(r"(.*) x(\d+)", text)
                name, by = (times[1], int(times[2])) if times else (text, 1)
                recipes.append((key(name), by))
            self.sessions.append(
                {
                    "id": clean(row["session"]), "group": key(row["group"]), "date": date(row["date"]),
                    "recipes": recipes, "status": key(row.get("status")) or "planned",
                    "packing": date(row.get("packing date")), "kits": row.get("kits"),
                    "minutes": number(row.get("minutes")), "replaces": key(row.get("replaces")),
                }
            )  # fmt: skip
        self.members = defaultdict(list)
        for row in self.t["Enrolment"]:
            self.members[key(row["group"])].append(
                {
                    "id": key(row["participant"]),
                    "household": key(row.get("household")) or "\0" + key(row["participant"]),
                    "servings": number(row.get("servings")), "needs": self.needs_of(row.get("needs")),
                    "status": key(row.get("status")) or "active",
                    "joined": date(row.get("joined")) or dt.date.min, "left": date(row.get("left")) or FOREVER,
                }
            )  # fmt: skip

    @staticmethod
    def needs_of(value):
        return [n for n in map(key, listed(value)) if n not in ("", "none", "n/a", "-", "no", "?")]

    def read_swaps(self):
        self.swaps = []
        for row in self.t["Swaps"]:
            out = key(row["use instead"]) == "leave out"
            self.swaps.append(
                {
                    "food": self.foods.find(row["ingredient"]), "covers": expand(row["need"], self.foods),
                    "instead": None if out else self.foods.find(row["use instead"]),
                    "ratio": number(row.get("ratio")) or F(1),
                    "unit": unit_of(row["unit"]) if clean(row.get("unit")) else None,
                }
            )  # fmt: skip

    def closures(self):
        self.closed = {"deliveries": set(), "packing": set()}
        for row in self.t["Closures"]:
            day, until = date(row["date"]), date(row.get("until")) or date(row["date"])
            what = key(row.get("what")) or "all"
            while day <= until:
                for kind, days in self.closed.items():
                    if what in (kind, "all"):
                        days.add(day)
                day += dt.timedelta(1)
        named = self.setting("Open days", "Mon;Tue;Wed;Thu;Fri", str)
        self.open_days = {DAYS.index(key(d)[:3]) for d in listed(named)}

    # -- needs and swaps

    def conflict(self, food, needs):
        wanted = set().union(*(expand(n, self.foods) for n in needs)) if needs else set()
        return wanted & self.foods.atoms(food)

    def swap(self, food, needs, seen=()):
        """None: fits as it is. Else ('out',) or (food, ratio, unit). Raises where nothing serves."""
        on = self.conflict(food, needs)
        if not on:
            return None
        for row in self.swaps:
            if row["food"] != food or not on <= row["covers"]:
                continue
            if row["instead"] is None:
                return ("out",)
            if row["instead"] in (*seen, food):
                continue
            try:
                again = self.swap(row["instead"], needs, (*seen, food))
            except LookupError:
                continue
            if again is None:
                return (row["instead"], row["ratio"], row["unit"])
            if again == ("out",):
                return again
            return (again[0], row["ratio"] * again[1], again[2] or row["unit"])
        raise LookupError(f"no swap for {food} with {needs}")

    def swaps_of(self, session, needs, whole_session=False):
        got = {}
        for name, _ in session["recipes"]:
            for line in self.recipes[name]["lines"]:
                if not line["home"] and (whole_session or not line["session"]):
                    swap = self.swap(line["food"], needs)
                    if swap:
                        got[line["food"]] = None if swap == ("out",) else swap[0]
        return got

    def swapped(self, swaps, needs):
        """Every food that was replaced on the way, the middle of chains with it."""
        found, more = set(), list(swaps)
        while more:
            food = more.pop()
            if food in found or not self.conflict(food, needs):
                continue
            found.add(food)
            on = self.conflict(food, needs)
            for row in self.swaps:
                if row["food"] == food and on <= row["covers"] and self.fits_in_the_end(row["instead"], needs):
                    more += [row["instead"]] if row["instead"] else []
                    break
        return found

    def fits_in_the_end(self, food, needs):
        try:
            return food is None or self.swap(food, needs) != ()
        except LookupError:
            return False

    # -- kits

    def active(self, session, for_kits=True):
        return [
            m
            for m in self.members[session["group"]]
            if m["joined"] <= session["date"] <= m["left"]
            and (m["status"] == "active" or (not for_kits and m["status"] == "withdrawn"))
        ]

    def packing_day(self, session):
        """Read so that a Packing date on a closed day moves too; the words allow both readings."""
        group = self.groups.get(session["group"], {})
        lead = number(group.get("packing lead"))
        if lead is None:
            lead = self.setting("Packing lead", F(1), number)
        day = session["packing"] or session["date"] - dt.timedelta(int(lead))
        while day.weekday() not in self.open_days or day in self.closed["packing"]:
            day -= dt.timedelta(1)
        return day

    def kits(self, session):
        """A list of (kits, batches by recipe, needs) and the needs of all."""
        group = self.groups.get(session["group"], {})
        members = self.active(session)
        if not members:
            return [], []
        everyone = sorted({n for m in members for n in m["needs"]})
        ones = {name: F(1) for name, _ in session["recipes"]}
        demo = number(group.get("demo kits"))
        made = []
        if key(group.get("format")) == "table":
            people = number(group["people per table"])
            tables_ = math.ceil(len(members) / people)
            marked = [m for m in members if self.swaps_of(session, m["needs"])]
            special = math.ceil(len(marked) / people)
            if special:
                made.append((special, ones, sorted({n for m in marked for n in m["needs"]})))
            made.append((tables_ - special, ones, []))
            made.append((int(demo or 0), ones, []))
            return [m for m in made if m[0]], everyone
        step = self.setting("Kit step", F(1), number)
        by = defaultdict(list)
        for m in members:
            by[m["household"] if key(group.get("kit for")) != "participant" else m["id"]].append(m)
        standard = 0
        for kin in by.values():
            stated = [m["servings"] for m in kin if m["servings"]]
            needs = sorted({n for m in kin for n in m["needs"]})
            batches = dict(ones)
            if stated:
                for name in ones:
                    exact = max(stated) / self.recipes[name]["servings"]
                    batches[name] = max(step, math.ceil(exact / step) * step)
            if not self.swaps_of(session, needs) and clean(session["kits"]):
                standard += 1
                continue
            made.append((1, batches, needs))
        if clean(session["kits"]):
            made.append((int(number(session["kits"])), ones, []))
        before = sum(m[0] for m in made)
        spare = group.get("spare kits")
        spare = self.settings.get("spare kits", "5%") if not clean(spare) else spare
        if (isinstance(spare, str) and "%" in spare) or number(spare) < 1:
            extra = math.ceil(share(spare) * before)
        else:
            extra = int(number(spare))
        demo = self.setting("Demo kits", F(1), number) if demo is None else demo
        made.append((extra, ones, []))
        made.append((int(demo), ones, []))
        return [m for m in made if m[0]], everyone

    def lines_of(self, session, batches, needs, of_session):
        """food → [base amount, counts only, whole pieces]"""
        got = defaultdict(lambda: {"amount": F(0), "all_counts": True, "pieces": F(0)})
        for name, times in session["recipes"]:
            for line in self.recipes[name]["lines"]:
                if line["home"] or line["session"] != of_session:
                    continue
                food, unit = line["food"], line["unit"]
                much = line["amount"] * (1 if of_session else batches[name] * times)
                swap = self.swap(food, needs)
                if swap == ("out",):
                    continue
                if swap:
                    food, much, unit = swap[0], much * swap[1], swap[2] or unit
                kind = self.foods.kind(unit)
                measured = line["measured"] or ("as bought" if kind == "count" else "prepared")
                base = self.foods.amount(food, much, unit)
                if measured == "prepared":
                    base /= self.foods.edible(food)
                    much /= self.foods.edible(food)
                got[food]["amount"] += base
                got[food]["pieces"] += much
                got[food]["all_counts"] &= kind == "count"
        for food, line in got.items():
            line["whole"] = False
            each = F(1) if self.foods.base(food) == "each" else self.foods.figure(food, "grams each")
            if self.foods.whole(food):
                line["amount"], line["whole"] = math.ceil(line["amount"] / each) * each, True
            elif line["all_counts"] and self.foods.state(food) == "whole":
                line["amount"], line["whole"] = math.ceil(line["pieces"]) * each, True
        return dict(got)

    def plan_sessions(self):
        self.plans, self.needs = {}, {}
        loss = self.setting("Packing loss", F(0), share)
        margin = int(self.setting("Keep margin", F(1), number))
        for s in self.sessions:
            day = self.packing_day(s)
            if s["status"] != "planned" or s["date"] < self.as_of or day < self.as_of:
                continue
            made, everyone = self.kits(s)
            if not made:
                continue
            variants = {}
            for count, batches, needs in made:
                swaps = self.swaps_of(s, needs)
                caused = {n for n in needs if any(self.conflict(f, [n]) for f in self.swapped(swaps, needs))}
                mark = (tuple(sorted(batches.items())), tuple(sorted(swaps.items(), key=str)))
                v = variants.setdefault(mark, {"kits": 0, "batches": batches, "swaps": swaps, "needs": set()})
                v["kits"] += count
                v["needs"] |= caused
                v["lines"] = self.lines_of(s, batches, needs, False)
            order = sorted(variants.values(), key=lambda v: (-v["kits"], -sum(v["batches"].values())))
            total = defaultdict(F)
            for v in order:
                for food, line in v["lines"].items():
                    total[food] += line["amount"] * v["kits"] * (1 if line["whole"] else 1 + loss)
            once = self.lines_of(s, {}, everyone, True)
            for food, line in once.items():
                total[food] += line["amount"] * (1 if line["whole"] else 1 + loss)
            self.plans[s["id"]] = {"session": s, "day": day, "variants": order, "once": once}
            for food, amount in total.items():
                if amount:
                    self.needs[food, s["id"]] = {
                        "amount": amount, "day": day, "until": s["date"] + dt.timedelta(margin), "date": s["date"],
                        "left": amount,
                    }  # fmt: skip

    # -- netting

    def lots(self):
        lots = defaultdict(list)
        for row in self.t["Stock"]:
            food = self.foods.find(row["ingredient"])
            if yes(row.get("hold")):
                continue
            best, opened = date(row.get("best before")), date(row.get("opened"))
            open_days = self.foods.figure(food, "keeps open")
            good = best
            if opened and open_days is not None:
                after = opened + dt.timedelta(int(open_days) - 1)
                good = min(good, after) if good else after
            if good is None:
                if key(self.foods.get(food, "storage")) == "chill":
                    continue
                good = FOREVER
            lots[food].append(
                {
                    "source": "stock", "lot": clean(row.get("lot")), "good": good, "there": dt.date.min,
                    "left": self.foods.amount(food, number(row["amount"]), unit_of(row.get("unit"))),
                    "opened": bool(opened), "first": opened and dt.date.min, "pack": None,
                }
            )  # fmt: skip
        return lots

    def ordered(self):
        got = defaultdict(list)
        for at, row in enumerate(self.t["Orders"]):
            food, due = self.foods.find(row["ingredient"]), date(row["due"])
            packs = number(row["packs"]) - (number(row.get("received")) or 0)
            if due < self.as_of or packs <= 0:
                continue
            good = date(row.get("best before"))
            if good is None:
                keeps = self.keeps(food, row)
                good = due + dt.timedelta(int(keeps)) if keeps is not None else FOREVER
            size = self.foods.amount(food, number(row["pack amount"]), unit_of(row["pack unit"]))
            got[food].append(
                {
                    "source": "ordered", "lot": clean(row["order"]), "good": good, "there": due, "left": packs * size,
                    "pack": size, "first": None, "at": at,
                }
            )  # fmt: skip
        return got

    def keeps(self, food, order):
        for row in self.t["Packs"]:
            if (
                key(row["supplier"]) == key(order["supplier"])
                and self.foods.find(row["ingredient"]) == food
                and key(row.get("item"))
                and key(row.get("item")) == key(order.get("item"))
                and row.get("keeps") is not None
            ):
                return number(row["keeps"])
        return self.foods.figure(food, "keeps")

    def opened_keeps(self, food):
        """Days that what is begun keeps; None where nothing limits it.

        The rule limits a pack's remainder once first packed from. A case from which whole cans are taken is not
        opened by that, so it is read as not meant where all packs, lots and open orders of a food are stated in cans
        (packets, cartons, jars) and every kit gets whole ones; what carries an Opened date keeps its limit.
        """
        days = self.foods.figure(food, "keeps open")
        sizes = set()
        for sheet, amount, unit in (
            ("Packs", "pack amount", "pack unit"), ("Stock", "amount", "unit"), ("Orders", "pack amount", "pack unit")
        ):  # fmt: skip
            for row in self.t[sheet]:
                if self.foods.find(row["ingredient"]) == food and number(row[amount]):
                    one = unit_of(row.get(unit))
                    sealed = one in ("can", "packet", "carton", "jar") and number(row[amount]).denominator == 1
                    sizes.add(self.foods.amount(food, F(1), one) if sealed else None)
        if days is None or len(sizes) != 1 or None in sizes:
            return days
        (can,) = sizes
        loss = 1 + self.setting("Packing loss", F(0), share)
        packed = [v["lines"] for plan in self.plans.values() for v in plan["variants"]]
        packed += [plan["once"] for plan in self.plans.values()]
        mine = [lines[food] for lines in packed if food in lines]
        return days if any(m["amount"] * (1 if m["whole"] else loss) % can for m in mine) else None

    def net(self):
        """Greedy, as written. stock_use: (food, source, lot, session) → amount"""
        self.stock_use = defaultdict(F)
        lead = dt.timedelta(int(self.setting("Receive lead", F(0), number)))
        stock, ordered = self.lots(), self.ordered()
        ids = {s["id"]: s for s in self.sessions}
        for (food, session), need in sorted(
            self.needs.items(), key=lambda kv: (kv[1]["day"], kv[1]["date"], ids[kv[0][1]]["id"])
        ):
            open_days = self.opened_keeps(food)

            def good(lot, day=need["day"], open_days=open_days):
                """The date until which what is open of the lot is good on this packing day."""
                if lot["first"] in (None, dt.date.min) or open_days is None or day <= lot["first"]:
                    return lot["good"]
                return min(lot["good"], lot["first"] + dt.timedelta(int(open_days) - 1))

            piles = sorted(stock[food], key=lambda x: (good(x), not (x["opened"] or x["first"]), x["lot"]))
            piles += sorted(ordered[food], key=lambda x: (x["there"], x["at"]))
            for lot in piles:
                late = lot["source"] == "ordered" and lot["there"] > need["day"] - lead
                if late or lot["left"] <= 0 or need["left"] <= 0:
                    continue
                if lot["pack"] is None:
                    if good(lot) < need["until"]:
                        continue
                    used = min(lot["left"], need["left"])
                    lot["left"] -= used
                    if not lot["first"]:
                        lot["first"] = need["day"]
                else:  # packs: the open one first, then whole ones
                    if lot["good"] < need["until"]:
                        continue
                    used = F(0)
                    begun = lot["left"] % lot["pack"]
                    if begun and good(lot) < need["until"]:
                        lot["left"] -= begun  # the begun pack is past use for good: later needs are later still
                        begun = F(0)
                    used = min(lot["left"], need["left"])
                    lot["left"] -= used
                    if used > begun or not lot["first"]:
                        lot["first"] = need["day"]
                if used:
                    need["left"] -= used
                    self.stock_use[food, lot["source"], lot["lot"], session] += used

    # -- deliveries and money

    def order_by(self, supplier, arrives):
        row = next((r for r in self.t["Suppliers"] if key(r["supplier"]) == key(supplier)), {})
        lead = number(row.get("lead days"))
        lead = 2 if lead is None else int(lead)
        days = {DAYS.index(key(d)[:3]) for d in listed(row.get("order days"))} or {0, 1, 2, 3, 4}
        day = arrives
        while lead:
            day -= dt.timedelta(1)
            if day.weekday() in days and day not in self.closed["deliveries"]:
                lead -= 1
        return day

    def delivers(self, supplier, day):
        row = next((r for r in self.t["Suppliers"] if key(r["supplier"]) == key(supplier)), {})
        named = listed(row.get("delivery days")) or listed(row.get("order days"))
        days = {DAYS.index(key(d)[:3]) for d in named} or {0, 1, 2, 3, 4}
        return day.weekday() in days & self.open_days and day not in self.closed["deliveries"]

    def tax_rate(self, supplier):
        row = next((r for r in self.t["Suppliers"] if key(r["supplier"]) == key(supplier)), {})
        return share(row.get("tax")) or F(0)

    # -- people

    MARKS: ClassVar = {
        **dict.fromkeys(["y", "yes", "x", "✓", "✔", "1", "true", "p", "present", "late", "l", "here"], "present"),
        **dict.fromkeys(["n", "no", "0", "false", "a", "absent", "kit only"], "absent"),
        **dict.fromkeys(["e", "exc", "excused"], "excused"),
    }

    def marks(self):
        got = {}
        rows = self.t["Attendance"]
        plain_x = key(self.settings.get("x means")) or "present"
        if rows and "mark" in rows[0]:
            cells = [(key(r["session"]), key(r["participant"]), r["mark"]) for r in rows]
        else:
            cells = [(h, key(r["participant"]), v) for r in rows for h, v in r.items() if h != "participant"]
        for session, participant, value in cells:
            word = key(value)
            if word:
                got[session, participant] = plain_x if word == "x" else self.MARKS[word]
        return got

    def attendance(self):
        marks, result = self.marks(), {}
        limit = self.settings.get("completion", "75%")
        for group in {s["group"] for s in self.sessions}:
            own = [s for s in self.sessions if s["group"] == group]
            replaced = {s["replaces"] for s in own if s["replaces"]}
            done = [s for s in own if s["status"] == "delivered"]
            c = dict.fromkeys(["expected", "present", "absent", "excused", "not_recorded", "contacts"], 0)
            hours, people, presents = F(0), set(), defaultdict(int)
            homes = {m["id"]: m["household"] for m in self.members[group]}
            for s in done:
                here = {m["id"] for m in self.active(s, for_kits=False)}
                c["expected"] += len(here)
                for who in homes:
                    mark = marks.get((key(s["id"]), who))
                    if who in here:
                        c[mark or "not_recorded"] += 1
                    if mark == "present":
                        c["contacts"] += 1
                        people.add(who)
                        hours += (s["minutes"] or 0) / F(60)
                        presents[who] += who in here
            bar = share(limit) * len(done) if not (clean(limit).isdigit() and int(limit) > 1) else number(limit)
            told = c["present"] + c["absent"] + c["excused"]
            result[group] = c | {
                "planned": len([s for s in own if key(s["id"]) not in replaced]), "delivered": len(done),
                "rate": c["present"] / told if told else None, "people": len(people),
                "households": len({homes[w] for w in people}), "contact_hours": hours,
                "completers": len([w for w, n in presents.items() if n and n >= bar]),
            }  # fmt: skip
        return result

    def kits_given(self):
        """Kits by session: collected or passed on where Pick-ups says, else one a household (or participant)."""
        told, given = defaultdict(set), {}
        for row in self.t["Pick-ups"]:
            told[key(row["session"])].add((key(row["household"]), key(row["kit"])))
        for s in self.sessions:
            group, name = self.groups.get(s["group"], {}), key(s["id"])
            if name in told:
                given[s["id"]] = sum(fate in ("collected", "passed on") for _, fate in told[name])
            elif s["status"] == "delivered" and key(group.get("format")) != "table":
                one = "id" if key(group.get("kit for")) == "participant" else "household"
                given[s["id"]] = len({m[one] for m in self.active(s, for_kits=False)})
        return given

    def sessions_of(self, funder):
        """Sessions of a funder's groups within its period."""
        first, last = (dt.date.fromisoformat(funder[end]) for end in ("from", "until"))
        for s in self.sessions:
            paying = listed(self.groups.get(s["group"], {}).get("funders"))
            names = {key(part.rpartition(" ")[0] if part.endswith("%") else part) for part in paying}
            if key(funder["funder"]) in names and first <= s["date"] <= last:
                yield s

    def outcomes(self):
        answers, rows = defaultdict(dict), self.t["Surveys"]
        for row in rows:
            who = key(row["participant"])
            if "question" in row:
                for when in ("before", "after"):
                    answers[key(row["question"])][who, when] = row.get(when)
            else:
                for head, value in row.items():
                    if head not in ("participant", "when"):
                        answers[head][who, key(row["when"])] = value
        result = {}
        for q in self.t["Questions"]:
            kind, name = key(q.get("kind")) or "scale", clean(q["question"])
            lowest, highest = number(q.get("lowest")), number(q.get("highest"))
            got = {}
            for who_when, value in answers[key(name)].items():
                if value is None or clean(value) == "":
                    continue
                if kind == "yes-no":
                    got[who_when] = F(int(yes(value)))
                else:
                    v = number(value)
                    inside = (lowest is None or v >= lowest) and (highest is None or v <= highest)
                    if inside:
                        got[who_when] = v
            who = {w for w, _ in got}
            pairs = [(got[w, "before"], got[w, "after"]) for w in who if (w, "before") in got and (w, "after") in got]
            n = len(pairs)
            change = [b - a for a, b in pairs]
            sign = -1 if key(q.get("better")) == "lower" else 1
            result[name] = {
                "n": n, "unmatched": len(who) - n, "improved": sum(d * sign > 0 for d in change),
                "same": sum(d == 0 for d in change), "worse": sum(d * sign < 0 for d in change),
                "before": float(sum(a for a, _ in pairs) / n) if n else None,
                "after": float(sum(b for _, b in pairs) / n) if n else None,
                "p": (mcnemar if kind == "yes-no" else wilcoxon)(change),
                "kind": kind, "changes": change,
            }  # fmt: skip
            if kind != "yes-no" and n > 1:
                mean = float(sum(change) / n)
                sd = math.sqrt(float(sum((d - sum(change) / n) ** 2 for d in change) / (n - 1)))
                half = t_quantile(n - 1) * sd / math.sqrt(n)
                result[name] |= {"low": mean - half, "high": mean + half, "effect": mean / sd if sd else None}
            if kind == "yes-no" and n > 1:
                p, z = sum(b for _, b in pairs) / n, 1.959963984540054
                p = float(p)
                mid, half = p + z * z / 2 / n, z * math.sqrt(p * (1 - p) / n + z * z / 4 / n / n)
                result[name] |= {"low": (mid - half) / (1 + z * z / n), "high": (mid + half) / (1 + z * z / n)}
        return result


def largest_remainder(total, shares):
    """Whole minor units of total by shares, [(key, share)] in tie order."""
    whole = sum(s for _, s in shares)
    exact = [(k, total * s / whole) for k, s in shares]
    out = {k: math.floor(e) for k, e in exact}
    for k, _ in sorted(exact, key=lambda ke: -(ke[1] - math.floor(ke[1])))[: total - sum(out.values())]:
        out[k] += 1
    return out


def half_up(value):
    return math.floor(value + F(1, 2))


def wilcoxon(changes):
    """Exact two-sided signed-rank p, zeros dropped, mid-ranks (doubled to stay whole)."""
    d = [c for c in changes if c]
    if not d:
        return None
    ranks = []
    for c in d:
        below, equal = sum(abs(x) < abs(c) for x in d), sum(abs(x) == abs(c) for x in d)
        ranks.append(2 * below + equal + 1)
    up = sum(r for r, c in zip(ranks, d, strict=True) if c > 0)
    ways = {0: 1}
    for r in ranks:
        more = defaultdict(int)
        for total, n in ways.items():
            more[total] += n
            more[total + r] += n
        ways = more
    low = sum(n for t, n in ways.items() if t <= up)
    high = sum(n for t, n in ways.items() if t >= up)
    return float(min(F(1), F(2 * min(low, high), 2 ** len(d))))


def mcnemar(changes):
    up, down = sum(c > 0 for c in changes), sum(c < 0 for c in changes)
    n = up + down
    if not n:
        return None
    tail = sum(math.comb(n, k) for k in range(min(up, down) + 1))
    return float(min(F(1), F(2 * tail, 2**n)))


def t_quantile(df):
    """The 97.5 % point of Student's t, by Simpson's rule and bisection."""
    scale = math.exp(math.lgamma((df + 1) / 2) - math.lgamma(df / 2)) / math.sqrt(df * math.pi)

    def area(x, steps=400):
        h = x / steps
        f = [(1 + (i * h) ** 2 / df) ** (-(df + 1) / 2) for i in range(steps + 1)]
        return scale * h / 3 * (f[0] + f[-1] + 4 * sum(f[1::2]) + 2 * sum(f[2:-1:2]))

    low, high = 0.0, 20.0
    for _ in range(60):
        mid = (low + high) / 2
        low, high = (mid, high) if area(mid) < 0.475 else (low, mid)
    return low
