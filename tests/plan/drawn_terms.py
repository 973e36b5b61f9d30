"""Terms drawn from a seed, for the benchmark and for tests of buying several foods together."""

import datetime as dt
import random
from fractions import Fraction

from support import read, term

from opsreport.joining import build_programme
from opsreport.plan.buying.netting import Open
from opsreport.plan.model import NeedOf
from opsreport.programme import Programme

FIRST = dt.date(2027, 1, 4)


def drawn(
    foods: int, weeks: int, groups: int, seed: int = 1, *, opened: bool = False
) -> tuple[Programme, list[Open]]:  # fmt: skip
    """A term: every group meets weekly, a food is needed in a third of the weeks, each of three suppliers has some.

    opened: whether a third of the foods keep one or two weeks once opened; the rest of the term is the same.
    """
    r, days = random.Random(seed), random.Random(seed)
    names = [f"food {number}" for number in range(foods)]
    ingredients, packs = (
        ["Ingredient | State | Keeps | Keeps open"],
        ["Supplier | Ingredient | Item | Pack amount | Pack unit | Price"],
    )
    needs = []
    for name in names:
        keeps = r.choice(["5", "10", "30", "", ""])
        keeps_open = days.choice(["8", "15", "", "", "", ""]) if opened else ""
        ingredients.append(f"{name} | dry | {keeps} | {keeps_open}")
        price = r.uniform(0.2, 1.2)  # cents a gram
        for supplier in r.sample("abc", r.choice([1, 2, 2, 3])):
            for size in r.sample([250, 500, 1000, 2500], r.choice([1, 2])):
                cents = max(round(size * price * r.uniform(0.85, 1.15) * (500 / size) ** 0.1), 1)
                packs.append(f"{supplier} | {name} | {name}{size} | {size} | g | {cents / 100:.2f}")
        for week in range(1, weeks + 1):
            if r.random() < 1 / 3:
                grams = sum(r.randint(50, 400) for _ in range(groups))
                day = FIRST + dt.timedelta(weeks=week)
                needs.append(NeedOf(name, f"s{week}", day, day + dt.timedelta(days=2), Fraction(grams), "g"))
    sessions = [f"s{week} | g1 | @{FIRST + dt.timedelta(weeks=week, days=1)} | soup" for week in range(1, weeks + 1)]
    rows, _ = read(
        term(
            {
                "Sessions": "\n".join(["Session | Group | Date | Recipes", *sessions]),
                "Ingredients": "\n".join(ingredients),
                "Suppliers": "Supplier | Lead days | Delivery days | Delivery fee | Free delivery from | Minimum order"
                f"\na | 1 | Mon;Thu | 18 | {8 * foods} | {foods}"
                f"\nb | 1 | Mon;Wed;Fri | 6 | {2 * foods} | {foods // 3}\n"
                "c | 1 | Mon;Tue;Wed;Thu;Fri | 4.50 | 60 |",
                "Packs": "\n".join(packs),
            }
        ),
        FIRST,
    )
    return build_programme(rows, FIRST), [Open(need, need.amount) for need in needs]
