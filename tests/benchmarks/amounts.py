"""How long 100,000 amounts as typed take to become grams, beside a plain pint loop.

`python tests/benchmarks/amounts.py [RUNS]`.

Amounts of a term repeat: a few hundred ways to write one stand in a workbook, so most are read once and remembered.
The second line is the worst case, in which no two amounts are written alike. The pint loop reads fewer strings (pint
knows no mixed numbers, so it gets decimals), once exact as ours is, once with floats as pint comes, in turn with ours
so that a busy machine slows all, and is scaled to the same number. Seconds are of processor time; trust the ratios.
"""

import random
import statistics
import sys
import time
from collections.abc import Callable, Sequence
from fractions import Fraction
from typing import Any

import pint

from opsreport.foods import catalogue
from opsreport.kinds import How, amount
from opsreport.measures.units import Bridge, Quantity, factors

MANY = 100_000
FEW = 1_000
WAYS = 600
NUMBERS = ("1/2", "1/3", "2/3", "1/4", "3/4", "1/8", "1 1/2", "2 1/4", "1-1/2", "½", "1½", "0.5", "2.25", "3-4")
UNITS = ("c", "cup", "cups", "T", "tbsp", "Tbsp.", "t", "tsp", "teaspoons", "fl oz", "mL", "oz", "lb", "g", "kg")
PINT_UNITS = ("cup", "tablespoon", "teaspoon", "fluid_ounce", "mL", "ounce", "pound", "g")


def typed(count: int, ways: int, chance: random.Random) -> list[str]:
    """Amounts as people write them, `ways` different ones at most."""
    written = {f"{number} {unit}" for number in NUMBERS for unit in UNITS}
    while len(written) < ways:
        part = chance.choice(("", ".5", ".25", " 1/2", " 1/3", "⅔"))
        written.add(f"{chance.randint(1, 999)}{part} {chance.choice(UNITS)}")
        written.add(f"{chance.randint(1, 99_999) / 100} {chance.choice(UNITS)}")
    some = sorted(written)
    chance.shuffle(some)
    return some[:count] if ways >= count else chance.choices(some[:ways], k=count)


def bridges() -> list[Bridge]:
    """What each food of the catalogue weighs, those with a figure for a cup."""
    cup = factors("US")["cup"]
    return [Bridge({"cup": entry.grams_per_cup / cup}) for entry in catalogue() if entry.grams_per_cup is not None]


def ours(strings: Sequence[str], foods: Sequence[Bridge]) -> Fraction:
    """As the reader does it: what a cell's reading depends on is made once a sheet, its notes taken cell by cell."""
    total, how = Fraction(0), How()
    for at, written in enumerate(strings):
        read = amount.read(written, how)
        how.notes.clear()
        assert read.value is not None
        assert read.unit is not None
        total = foods[at % len(foods)].convert(Quantity(read.value, read.unit), "g", "US")
    return total


def plain_pint(strings: Sequence[str], registry: Any, grams_per_ml: Fraction | float) -> Any:
    total = None
    for written in strings:
        read = registry.Quantity(written)
        total = read.to("g").magnitude if read.check("[mass]") else read.to("mL").magnitude * grams_per_ml
    return total


def seconds(work: Callable[[], object]) -> float:
    start = time.process_time()
    work()
    return time.process_time() - start


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 5
    chance = random.Random(1)
    usual, unlike = typed(MANY, WAYS, chance), typed(MANY, 2 * MANY, chance)
    decimals = [f"{chance.randint(1, 999) / 8} {chance.choice(PINT_UNITS)}" for _ in range(FEW)]
    foods = bridges()
    exact, floats = pint.UnitRegistry(non_int_type=Fraction), pint.UnitRegistry()
    plain_pint(decimals[:10], exact, Fraction(1, 2))
    plain_pint(decimals[:10], floats, 0.5)
    taken = [
        (
            seconds(lambda: ours(usual, foods)),
            seconds(lambda: ours(unlike, foods)),
            seconds(lambda: plain_pint(decimals, exact, Fraction(1, 2))) * MANY / FEW,
            seconds(lambda: plain_pint(decimals, floats, 0.5)) * MANY / FEW,
        )
        for _ in range(runs)
    ]
    again, once, as_exact, as_floats = (statistics.median(column) for column in zip(*taken, strict=True))
    print(f"{MANY:,} amounts, {len(set(usual)):,} ways of writing     {again:7.2f} s   wanted < 1.5")
    print(f"{MANY:,} amounts, {len(set(unlike)):,} ways             {once:7.2f} s")
    for name, naive in (("exact", as_exact), ("floats", as_floats)):
        print(
            f"plain pint loop, {name + ',':<7} scaled from {FEW:,}  {naive:6.2f} s  {naive / again:.0f} times the first"
            f" (wanted >= 50), {naive / once:.1f} times the second"
        )


if __name__ == "__main__":
    main()
