"""A thousand random conversions worked out by GNU units, kept as a table: `python tests/gnu_units.py` makes it again.

GNU units is a programme of its own with its own definitions, so the table checks ours and pint's on any machine.
"""

import csv
import random
import subprocess
from collections.abc import Sequence
from fractions import Fraction
from pathlib import Path
from typing import Final

TABLE: Final = Path(__file__).with_name("data") / "gnu_units.csv"
NAMES: Final = {
    "tsp": "ustsp", "tbsp": "ustbsp", "fl oz": "usfloz", "cup": "uscup", "pt": "uspint", "qt": "usquart",
    "gal": "usgallon", "mL": "ml", "L": "liter", "g": "g", "kg": "kg", "oz": "oz", "lb": "lb",
}  # fmt: skip
"""Our units by GNU units' names."""
WEIGHTS: Final = frozenset({"g", "kg", "oz", "lb"})

Case = tuple[Fraction, str, str]
"""An amount, its unit and the unit wanted."""


def cases(count: int) -> list[Case]:
    source = random.Random(20270104)
    found: list[Case] = []
    while len(found) < count:
        one, other = source.sample(sorted(NAMES), 2)
        if (one in WEIGHTS) == (other in WEIGHTS):
            found.append((Fraction(source.randint(1, 4000), source.choice([1, 2, 3, 4, 6, 7, 8, 16])), one, other))
    return found


def asked(wanted: Sequence[Case]) -> list[str]:
    """GNU units' answers, 15 digits each."""
    lines = "".join(f"({a.numerator}|{a.denominator}) {NAMES[one]}\n{NAMES[other]}\n" for a, one, other in wanted)
    answer = subprocess.run(
        ["units", "--quiet", "--one-line", "--output-format", "%.15g"],
        input=lines, capture_output=True, text=True, check=True, timeout=60,
    ).stdout  # fmt: skip
    return [line.strip().removeprefix("*").strip() for line in answer.splitlines() if line.strip()]


def rows() -> list[dict[str, str]]:
    """The table's rows: amount, unit, to, result; the version that made it stands in its first line."""
    with TABLE.open(encoding="utf-8", newline="") as lines:
        assert next(lines).startswith("# GNU Units version ")
        return list(csv.DictReader(lines))


def main() -> None:
    version = subprocess.run(["units", "--version"], capture_output=True, text=True, check=True).stdout.splitlines()[0]
    wanted = cases(1_000)
    with TABLE.open("w", encoding="utf-8", newline="") as target:
        target.write(f"# {version}\n")
        table = csv.writer(target, lineterminator="\n")
        table.writerow(("amount", "unit", "to", "result"))
        for (amount, one, other), result in zip(wanted, asked(wanted), strict=True):
            table.writerow((amount, one, other, result))


if __name__ == "__main__":
    main()
