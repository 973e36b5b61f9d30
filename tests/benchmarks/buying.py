"""How near to its bound buying comes, and how fast, beside the same term as one plain integer programme.

`python tests/benchmarks/buying.py [FOODS WEEKS GROUPS [opened] [EFFORT...]]`, without sizes for both terms of GOALS;
`opened`: a third of the foods keep one or two weeks once opened. The term is
drawn from a seed, with three suppliers that have fees, free delivery and minimum orders. `--effort short` is the first
good answer: what it ends with, the other efforts pass on their way. The programme, of the smaller term alone, has
whole packs, covering rows for every run of weeks, and a state a delivery; dates of opened packs are left out. Times
are of the processor: trust their ratio, not the seconds.
"""

import sys
import time
from collections import defaultdict
from pathlib import Path

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp
from scipy.sparse import csr_array

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))
from plan.drawn_terms import drawn

from opsreport.plan.buying.effort import EFFORTS
from opsreport.plan.buying.market import Market
from opsreport.plan.buying.netting import Open
from opsreport.plan.buying.options import FoodOptions
from opsreport.plan.buying.orders import buy
from opsreport.programme import Programme

SECONDS_OF_THE_PROGRAMME = 30
FOODS_OF_THE_PROGRAMME = 100

GOALS = {(100, 12, 4): "within 0.5 % in 10 s, the first good answer in 1 s", (500, 16, 40): "within 2 % in 60 s"}
"""Foods, weeks and groups, and what is wanted of them."""


def plainly(programme: Programme, still_open: list[Open]) -> tuple[float, float]:
    """(cost, bound) of the integer programme after its time [minor units]."""
    by_food: dict[str, list[Open]] = defaultdict(list)
    for lacking in still_open:
        by_food[lacking.need.food].append(lacking)
    market = Market(programme, {lacking.need.packing_day for lacking in still_open})
    cost: list[float] = []
    most: list[float] = []
    rows: list[tuple[dict[int, float], float, float]] = []
    uses: dict[object, list[tuple[int, float]]] = defaultdict(list)
    for food, its in by_food.items():
        options = FoodOptions(market, food, its)
        demands, serves = options.demands, {}
        for option in options.options:
            fit = [
                k for k, demand in enumerate(demands)
                if k >= option.k and demand.use_by <= option.through.toordinal()
            ]  # fmt: skip
            if fit:
                serves[len(cost)] = (fit[0], fit[-1], option)
                uses[option.delivery].append((len(cost), float(option.offer.price)))
                most.append(float(-(-sum(demands[k].amount for k in fit) // option.offer.base)))
                cost.append(float(option.offer.price))
        for first in range(len(demands)):
            for last in range(first, len(demands)):
                need = sum(demands[k].amount for k in range(first, last + 1))
                row = {
                    column: float(min(option.offer.base / need, 1))
                    for column, (low, high, option) in serves.items() if low <= last and high >= first
                }  # fmt: skip
                rows.append((row, 1.0, np.inf))
    for (name, _), columns in uses.items():
        supplier = programme.suppliers[name]
        paid = len(cost)
        cost.extend((float(supplier.delivery_fee), 0.0))
        most.extend((1.0, 1.0 if supplier.free_from is not None else 0.0))
        rows.append(({paid: 1.0, paid + 1: 1.0}, -np.inf, 1.0))
        goods = dict(columns) | {paid: -float(supplier.minimum_order), paid + 1: -float(supplier.free_from or 0)}
        rows.append((goods, 0.0, np.inf))
        rows.extend(
            ({column: 1.0, paid: -most[column], paid + 1: -most[column]}, -np.inf, 0.0) for column, _ in columns
        )
    index = [column for row, _, _ in rows for column in row]
    data = [value for row, _, _ in rows for value in row.values()]
    starts = np.cumsum([0, *(len(row) for row, _, _ in rows)])
    matrix = csr_array((data, index, starts), shape=(len(rows), len(cost)))
    found = milp(
        cost,
        integrality=np.ones(len(cost)),
        bounds=Bounds(0, np.array(most)),
        constraints=LinearConstraint(matrix, [row[1] for row in rows], [row[2] for row in rows]),
        options={"time_limit": SECONDS_OF_THE_PROGRAMME},
    )
    return (found.fun if found.fun is not None else np.inf), found.mip_dual_bound


def main() -> None:
    given = [int(word) for word in sys.argv[1:4]]
    opened = "opened" in sys.argv
    efforts = [word for word in sys.argv[4:] if word in EFFORTS] or ["short", "usual"]
    for size in [tuple(given)] if given else GOALS:
        measure(*size, efforts, opened=opened)


def measure(foods: int, weeks: int, groups: int, efforts: list[str], *, opened: bool) -> None:
    """One term at some efforts, beside the plain programme where it is small enough."""
    programme, still_open = drawn(foods, weeks, groups, opened=opened)
    print(f"{foods} foods, {weeks} weeks, {groups} groups; wanted: {GOALS.get((foods, weeks, groups), 'nothing')}")
    if foods <= FOODS_OF_THE_PROGRAMME and not opened:
        begun = time.process_time()
        least, bound = plainly(programme, still_open)
        taken = time.process_time() - begun
        print(
            f"plain programme {taken:7.1f} s   cost {least / 100:10.2f}   {100 * (least / bound - 1):6.2f} % over bound"
        )
    for effort in efforts:
        begun = time.process_time()
        plan = buy(programme, still_open, EFFORTS[effort])
        taken, buying = time.process_time() - begun, plan.buying
        below = sum(order.below_minimum for order in plan.orders)
        gap = 100 * (buying.cost / buying.lower_bound - 1)
        saved = 100 * (1 - buying.cost / buying.session_by_session_cost)
        print(
            f"--effort {effort:<6} {taken:7.1f} s   cost {buying.cost / 100:10.2f}   {gap:6.2f} % over bound   "
            f"{plan.steps} steps; {saved:.1f} % less than session by session; "
            f"{below} of {len(plan.orders)} orders below a minimum"
        )


if __name__ == "__main__":
    main()
