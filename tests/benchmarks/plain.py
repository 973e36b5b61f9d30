"""The demo by a plain script, pandas and openpyxl, beside ours doing all of it.

`python tests/benchmarks/plain.py [RUNS]`. The plain script only scales recipes to households, subtracts stock and
writes one order sheet: no swaps, no dates, no packs chosen over time, no other document. Both run as processes in
turn, so that a busy machine slows both: trust the ratios, by the clock (ours uses two cores) and of the processor.
"""

import statistics
import sys
import tempfile
from pathlib import Path

from stopwatch import seconds

DEMO = Path(__file__).resolve().parents[2] / "workbooks" / "fennelbridge-spring-2027.xlsx"


def plain(book: str, out: str) -> None:
    """Scaling, stock subtraction and one order sheet."""
    import openpyxl
    import pandas

    wanted = ["Recipes", "Stock", "Packs", "Enrolment", "Sessions"]
    read = pandas.read_excel(book, sheet_name=wanted, header=None, engine="openpyxl")
    sheets = {name: headed(frame) for name, frame in read.items()}
    recipes, stock, packs = sheets["Recipes"], sheets["Stock"], sheets["Packs"]
    recipes["Recipe"] = recipes["Recipe"].ffill()
    recipes["Amount"] = pandas.to_numeric(recipes["Amount"], errors="coerce")
    stock["Amount"] = pandas.to_numeric(stock["Amount"], errors="coerce")
    households = sheets["Enrolment"].groupby("Group")["Household"].nunique()
    planned = sheets["Sessions"][sheets["Sessions"]["Status"].fillna("planned") == "planned"]
    dishes = planned.assign(Recipe=planned["Recipes"].str.split(";")).explode("Recipe")
    dishes["Recipe"] = dishes["Recipe"].str.strip()
    lines = dishes.merge(recipes, on="Recipe")
    lines["Needed"] = lines["Amount"] * lines["Group"].map(households)
    needed = lines.groupby(["Ingredient", "Unit"], dropna=False)["Needed"].sum().reset_index()
    on_hand = stock.groupby(["Ingredient", "Unit"], dropna=False)["Amount"].sum().reset_index()
    order = needed.merge(on_hand, on=["Ingredient", "Unit"], how="left")
    order["To buy"] = (order["Needed"] - order["Amount"].fillna(0)).clip(lower=0)
    order = order.merge(packs.drop_duplicates("Ingredient"), on="Ingredient", how="left")
    written = openpyxl.Workbook()
    sheet = written.active
    sheet.append(["Ingredient", "Unit", "To buy", "Supplier", "Price"])
    for row in order[["Ingredient", "Unit", "To buy", "Supplier", "Price"]].itertuples(index=False):
        sheet.append([None if pandas.isna(cell) else cell for cell in row])
    written.save(out)


def headed(frame):  # type: ignore[no-untyped-def]
    """A sheet with its heading row found: the first of 20 with at least two filled cells."""
    first = next(at for at in range(20) if frame.iloc[at].notna().sum() > 1)
    return frame.iloc[first + 1 :].set_axis(frame.iloc[first], axis=1).reset_index(drop=True)


def main() -> None:
    runs = int(sys.argv[1]) if len(sys.argv) > 1 else 3
    theirs, ours = [], []
    with tempfile.TemporaryDirectory() as folder:
        for number in range(runs):
            out = str(Path(folder) / str(number))
            theirs.append(seconds([sys.executable, __file__, "--plain", str(DEMO), f"{out}.xlsx"]))
            ours.append(seconds([sys.executable, "-m", "opsreport", "build", str(DEMO), "--out", out]))
    for what in ("clock", "processor"):
        plainly, wholly = (statistics.median(getattr(each, what) for each in taken) for taken in (theirs, ours))
        print(f"{what:9}  plain script, one sheet {plainly:6.2f} s; opsreport, all of it {wholly:6.2f} s", end=", ")
        print(f"{wholly / plainly:.2f} times that (goal: 1)")


if __name__ == "__main__":
    if sys.argv[1:2] == ["--plain"]:
        plain(*sys.argv[2:4])
    else:
        main()
