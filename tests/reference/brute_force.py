"""The least that goods and delivery fees can cost, by trying everything; for very small workbooks."""

import datetime as dt
import itertools
import math
import random
from collections import defaultdict
from fractions import Fraction

from reference.random_workbooks import AS_OF, DAY
from reference.reference import Reference, clean, key, number, unit_of

F = Fraction


def small_sheets(seed: int, fees: bool, minimum: bool = False) -> dict[str, list[tuple]]:
    """One to two foods, two to three sessions, one to two suppliers, no dates on prices."""
    r = random.Random(seed)
    foods = ["zed grain", "zed fruit"][: r.choice([1, 1, 2]) if fees else 1]
    first = AS_OF + DAY * r.randint(5, 8)
    days = [first + DAY * n for n in r.choice([(0, 3), (0, 7), (0, 1), (0, 4, 9)])]
    sheets = {
        "Settings": [("Setting", "Value"), ("Keep margin", r.choice([0, 1])), ("Demo kits", 0), ("Spare kits", 0)],
        "Ingredients": [
            ("Ingredient", "State", "Storage", "Keeps", "Keeps open"),
            ("zed grain", "dry", "shelf", None, None), ("zed fruit", "whole", "cool", r.choice([None, 4, 6, 9]), None),
        ],
        "Recipes": [("Recipe", "Servings", "Ingredient", "Amount", "Unit")],
        "Sessions": [("Session", "Group", "Date", "Recipes")],
        "Enrolment": [("Participant", "Group", "Needs"), *((f"P{n}", "G", "none") for n in range(r.randint(1, 4)))],
        "Stock": [("Ingredient", "Amount", "Unit")],
        "Suppliers": [
            ("Supplier", "Lead days", "Delivery days", "Delivery fee", "Free delivery from", "Minimum order")
        ],
        "Packs": [
            ("Supplier", "Ingredient", "Item", "Pack amount", "Pack unit", "Price", "Sold by", "Minimum", "Keeps")
        ],
    }  # fmt: skip
    for n, day in enumerate(days):
        for food in foods:
            amount, unit = (r.randint(50, 500), "g") if food == "zed grain" else (r.randint(1, 5), None)
            sheets["Recipes"].append((f"Dish {n}" if food == foods[0] else None, 4 if food == foods[0] else None,
                                      food, amount, unit))  # fmt: skip
        sheets["Sessions"].append((f"S{n}", "G", day, f"Dish {n}"))
    for v in range(r.choice([1, 2])):
        fee = (r.choice([0, 3, 6]), r.choice([None, 12, 20])) if fees else (None, None)
        fee = (*fee, r.choice([None, 8, 15]) if minimum else None)
        sheets["Suppliers"].append((f"V{v}", r.choice([1, 2]), r.choice(["Tue; Fri", "Mon; Wed; Thu", None]), *fee))
        for food in foods:
            sizes = [500, 1000, 750, 1300] if food == "zed grain" else [4, 6, 10, 15]
            unit = "g" if food == "zed grain" else "each"
            for at, size in enumerate(r.sample(sizes, 1 if v or len(foods) > 1 else 2)):
                price = round(size * r.uniform(0.7, 1.4)) / (100 if food == "zed grain" else 1)
                sheets["Packs"].append((f"V{v}", food, f"{food[4]}{v}{at}", size, unit,
                                        price, r.choice([None, None, 2]), r.choice([None, None, 2, 3]),
                                        r.choice([None, None, 5]) if food == "zed fruit" else None))  # fmt: skip
    return sheets


def covers(ref: Reference, food: str, supply, lead: dt.timedelta) -> bool:
    """Can packs (arrives, good, amount) cover every need of the food? A flow, by augmenting paths in fractions."""
    needs = [n for (f, _), n in ref.needs.items() if f == food and n["left"]]
    fits = [[a <= n["day"] - lead and n["until"] <= g for n in needs] for a, g, _ in supply]
    left, want = [amount for *_, amount in supply], [n["left"] for n in needs]
    flow = defaultdict(F)

    def push(need, seen):
        """Find one supply with something left that can reach the need; returns the path."""
        for s, ok in enumerate(fits):
            if not ok[need] or s in seen:
                continue
            seen.add(s)
            if left[s] > 0:
                return [(s, need)], left[s]
            for other in range(len(needs)):
                if other != need and flow[s, other] > 0:
                    found = push(other, seen)
                    if found:
                        path, most = found
                        return [*path, ("back", s, other), (s, need)], min(most, flow[s, other])
        return None

    for need in range(len(needs)):
        while want[need] > 0:
            found = push(need, set())
            if not found:
                return False
            path, most = found
            most = min(most, want[need])
            for step in path:
                if step[0] == "back":
                    flow[step[1], step[2]] -= most
                else:
                    flow[step] += most
            left[path[0][0]] -= most
            want[need] -= most
    return True


def least_cost(ref: Reference, minimum: bool = False):
    """In cents, goods and fees; None where no set of deliveries in time covers everything.

    Args:
        minimum: only orders that reach their supplier's minimum, and without a pack that could be left out.
    """
    lead = dt.timedelta(int(ref.setting("Receive lead", F(0), number)))
    open_needs = {k: n for k, n in ref.needs.items() if n["left"]}
    choices = []
    free_from = {
        key(r["supplier"]): number(r.get("free delivery from")) if clean(r.get("free delivery from")) else None
        for r in ref.t["Suppliers"]
    }
    for row in ref.t["Packs"]:
        food = ref.foods.find(row["ingredient"])
        size = ref.foods.amount(food, number(row["pack amount"]), unit_of(row.get("pack unit")))
        keeps = number(row.get("keeps"))
        keeps = ref.foods.figure(food, "keeps") if keeps is None else keeps
        own = {k: n for k, n in open_needs.items() if k[0] == food}
        served = {}
        day = ref.as_of
        while own and day <= max(n["day"] for n in own.values()):
            if ref.delivers(row["supplier"], day) and ref.order_by(row["supplier"], day) >= ref.as_of:
                good = day + dt.timedelta(int(keeps)) if keeps is not None else dt.date.max
                who = frozenset(k for k, n in own.items() if day <= n["day"] - lead and n["until"] <= good)
                if who:
                    served.setdefault((who, day if keeps is not None else None), (day, good, who))
                    served[who, day if keeps is not None else None] = (day, good, who)
            day += DAY
        by, least = int(number(row.get("sold by")) or 1), int(number(row.get("minimum")) or 1)
        for day, good, who in served.values():
            most = math.ceil(sum(own[k]["left"] for k in who) / size)
            most = max(math.ceil(most / by) * by, math.ceil(least / by) * by)
            free, price = free_from.get(key(row["supplier"])), number(row["price"])
            if not minimum and free:  # packs beyond need may reach free delivery
                most = max(most, math.ceil(math.ceil(free / price) / by) * by)
            counts = [0, *(n for n in range(by, most + 1, by) if n >= least)]
            choices.append((food, key(row["supplier"]), day, good, size, int(number(row["price"]) * 100), counts))
    total = math.prod(len(c[-1]) for c in choices)
    if total > 60_000:
        return "too many"
    fees = {}
    for row in ref.t["Suppliers"]:
        free = number(row.get("free delivery from")) if clean(row.get("free delivery from")) else None
        fees[key(row["supplier"])] = (int((number(row.get("delivery fee")) or 0) * 100), free)
    least_order = {key(r["supplier"]): number(r.get("minimum order")) or 0 for r in ref.t["Suppliers"]}
    best = None
    foods = {k[0] for k in open_needs}
    for counts in itertools.product(*(c[-1] for c in choices)):
        goods = defaultdict(int)
        for n, (_, supplier, day, _, _, price, _) in zip(counts, choices, strict=True):
            if n:
                goods[supplier, day] += n * price
        cost = sum(goods.values())
        for (supplier, _), sum_ in goods.items():
            fee, free = fees[supplier]
            cost += 0 if free is not None and sum_ >= free * 100 else fee
        if best is not None and cost >= best:
            continue
        if minimum and any(sum_ < least_order[supplier] * 100 for (supplier, _), sum_ in goods.items()):
            continue
        if all(covers(ref, f, packs(counts, choices, f), lead) for f in foods) and not (
            minimum and could_do_without(ref, counts, choices, lead)
        ):
            best = cost
    return best


def packs(counts, choices, food):
    return [(c[2], c[3], c[4] * n) for n, c in zip(counts, choices, strict=True) if n and c[0] == food]


def could_do_without(ref, counts, choices, lead):
    for at, n in enumerate(counts):
        if n:
            fewer = max(x for x in choices[at][-1] if x < n)
            less = (*counts[:at], fewer, *counts[at + 1 :])
            if covers(ref, choices[at][0], packs(less, choices, choices[at][0]), lead):
                return True
    return False
