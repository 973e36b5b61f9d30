"""Which way of buying each food, from which deliveries: a set-partitioning programme, solved by HiGHS.

Variables: one a known way of covering a food (exactly one of each food is taken), and for every delivery
one a state: paid (its goods reach the supplier's minimum order), free (they reach free delivery) or below
the minimum, none of them where it is not asked for. A food's way may use a delivery that is in some state.

The relaxation's dual prices say what a delivery costs each food; the cheapest ways at those prices are the
ways still worth knowing, and what they cost together is a lower bound on every plan (Dantzig & Wolfe,
Operations Research 8 (1960) 101-111). That bound is worked out in whole numbers from the prices, whatever
the solver made of them: any prices give a valid one (Lagrangian duality; Geoffrion, 1974).
"""

from collections.abc import Mapping, Sequence
from typing import Final

from opsreport.plan.buying.market import Delivery
from opsreport.plan.buying.options import WHOLE, Way
from opsreport.plan.buying.prices import ANY, DualPrices, State, States
from opsreport.programme import Supplier
from opsreport.solver import silent_solver

_PER_LACKING: Final = 0.9
"""What the relaxation pays for each minor unit that an order lacks to its minimum: a bound stays one
whatever that is, and below 1 no pack's price is granted in full."""


_PER_LACKING_IN_A_DIVE: Final = 5.0

_ALL_BUT_TAKEN: Final = 0.9
"""Values of the relaxation from which on several are held at once."""

_WHOLE_FROM: Final = 1e-6
"""Nearer than this to 0 or 1 a value of the relaxation is whole."""


class Master:
    """The programme over the ways known so far; ways are added, and it is solved again from where it stood."""

    def __init__(self, suppliers: Mapping[str, Supplier], foods: Sequence[str], below: int, *, minimums: bool) -> None:
        """below: what an order below its minimum is made to cost, more than any plan [minor units]."""
        self.suppliers = suppliers
        self.minimums = minimums
        self.below = below
        self.solver = silent_solver()
        self.rows = 0
        self.food_rows: dict[str, int] = {}
        self.state_rows: dict[Delivery, int] = {}
        self.goods_rows: dict[Delivery, int] = {}
        self.states: dict[Delivery, list[int]] = {}
        self.links: dict[tuple[str, Delivery], int] = {}
        self.columns: list[tuple[str, Way] | None] = []
        self.lacking: list[int] = []
        self.below_minimum: list[int] = []
        self.held: list[int] = []
        self.known: set[tuple[str, tuple[tuple[Delivery, int], ...]]] = set()
        for food in foods:
            self.food_rows[food] = self._row(1.0, 1.0)

    def _row(self, low: float, high: float, entries: Mapping[int, float] | None = None) -> int:
        entries = entries or {}
        self.solver.addRow(low, high, len(entries), list(entries), list(entries.values()))
        self.rows += 1
        return self.rows - 1

    def _column(
        self, cost: float, entries: Mapping[int, float], stands_for: tuple[str, Way] | None = None, most: float = 1.0
    ) -> int:  # fmt: skip
        self.solver.addCol(cost, 0.0, most, len(entries), list(entries), list(entries.values()))
        self.columns.append(stands_for)
        return len(self.columns) - 1

    def _add_delivery(self, delivery: Delivery) -> None:
        supplier, infinity = self.suppliers[delivery[0]], self.solver.inf
        fee, free_from = int(supplier.delivery_fee), supplier.free_from
        least = int(supplier.minimum_order) if self.minimums else 0
        state = self.state_rows[delivery] = self._row(-infinity, 1.0)
        goods = self.goods_rows[delivery] = self._row(0.0, infinity)
        states = [self._column(fee, {state: 1.0, goods: -float(least)} if least else {state: 1.0})]
        if free_from is not None and fee:
            states.append(self._column(0.0, {state: 1.0, goods: -float(max(free_from, least))}))
        if least:
            self.lacking.append(self._column(_PER_LACKING, {goods: 1.0}, most=self.solver.inf))
            self.below_minimum.append(self._column(fee + self.below, {state: 1.0}, most=0.0))
            states.append(self.below_minimum[-1])
        self.states[delivery] = states

    def add_all(self, known: Mapping[str, Sequence[Way]]) -> bool:
        """Make the ways of every food known; whether any is new."""
        new = False
        for food, ways in known.items():
            for way in ways:
                new |= self.add(food, way)
        return new

    def add(self, food: str, way: Way) -> bool:
        """Make a way known; False where its goods were known already."""
        if (food, way.goods) in self.known:
            return False
        self.known.add((food, way.goods))
        entries = {self.food_rows[food]: 1.0}
        for delivery, cost in way.goods:
            supplier = self.suppliers[delivery[0]]
            if not supplier.delivery_fee and not (self.minimums and supplier.minimum_order):
                continue
            if delivery not in self.states:
                self._add_delivery(delivery)
            if (food, delivery) not in self.links:
                uses = dict.fromkeys(self.states[delivery], 1.0)
                self.links[food, delivery] = self._row(0.0, self.solver.inf, uses)
            entries[self.links[food, delivery]] = -1.0
            entries[self.goods_rows[delivery]] = float(cost)
        self._column(float(way.cost), entries, (food, way))
        return True

    def dual_prices(self) -> DualPrices:
        """Prices at the relaxation's optimum."""
        self.solver.run()
        duals = self.solver.getSolution().row_dual
        setup: dict[str, dict[Delivery, int]] = {}
        for (food, delivery), row in self.links.items():
            setup.setdefault(food, {})[delivery] = max(int(duals[row] * WHOLE), 0)
        grant = {each: min(max(int(duals[row] * WHOLE), 0), WHOLE) for each, row in self.goods_rows.items()}
        return DualPrices(setup, grant)

    def allow(self, states: States) -> None:
        """Let deliveries have only some states, all others any; until told otherwise."""
        for delivery, (paid, *others) in self.states.items():
            allowed, row = states.get(delivery, ANY), self.state_rows[delivery]
            self.solver.changeColBounds(paid, 0.0, float(State.PAID in allowed))
            if others and others[0] not in self.below_minimum:
                self.solver.changeColBounds(others[0], 0.0, float(State.FREE in allowed))
            self.solver.changeRowBounds(row, -self.solver.inf if State.UNUSED in allowed else 1.0, 1.0)

    def undecided(self, states: States) -> tuple[Delivery, State] | None:
        """The delivery whose state the relaxation takes most in part, and the state to decide on; None where all are
        whole."""
        values = self.solver.getSolution().col_value
        most, found = _WHOLE_FROM, None
        for delivery in sorted(self.states):
            columns = [column for column in self.states[delivery] if column not in self.below_minimum]
            shares = [values[column] for column in columns]
            asked, allowed = sum(shares), states.get(delivery, ANY)
            for state, share in ((State.UNUSED, min(asked, 1 - asked)), (State.FREE, min(shares[0], shares[-1]))):
                if state in allowed and state != allowed and len(columns) > (state == State.FREE) and share > most:
                    most, found = share, (delivery, state)
        return found

    def hold_states(self) -> bool:
        """Take the states of deliveries for good, the nearest to taken first, till none is taken in part; False where
        that leaves no plan. From here on what an order lacks to its minimum is dear."""
        for column in self.lacking:
            self.solver.changeColCost(column, _PER_LACKING_IN_A_DIVE)
        return self._hold([column for columns in self.states.values() for column in columns]) is not None

    def hold_ways(self) -> dict[str, Way]:
        """A way for every food, none where that fails: those nearest to taken are taken for good. All that was held is
        let go of after that."""
        values = self._hold([column for column, stands_for in enumerate(self.columns) if stands_for is not None])
        chosen = {
            stands_for[0]: stands_for[1]
            for value, stands_for in zip(values or (), self.columns, strict=False)
            if stands_for is not None and value > 1 - _WHOLE_FROM
        }
        for column in self.held:
            self.solver.changeColBounds(column, 0.0, 1.0)
        self.held.clear()
        for column in self.lacking:
            self.solver.changeColCost(column, _PER_LACKING)
        return chosen if len(chosen) == len(self.food_rows) else {}

    def _hold(self, columns: Sequence[int]) -> Sequence[float] | None:
        """Columns at 1, one by one or where several nearly are, till all are whole; the values then, None where there
        are none."""
        import highspy

        while True:
            self.solver.run()
            if self.solver.getModelStatus() != highspy.HighsModelStatus.kOptimal:
                return None
            values: Sequence[float] = self.solver.getSolution().col_value
            undecided = [column for column in columns if _WHOLE_FROM < values[column] < 1 - _WHOLE_FROM]
            if not undecided:
                return values
            nearest = max(undecided, key=lambda column: (values[column], -column))
            for column in undecided:
                if column == nearest or values[column] > _ALL_BUT_TAKEN:
                    self.solver.changeColBounds(column, 1.0, 1.0)
                    self.held.append(column)

    def best(self, most_nodes: int, start: Mapping[str, Way], *, below: bool) -> dict[str, Way] | None:
        """The best choice among the known ways that so many nodes find; None where they find none."""
        import highspy

        whole = silent_solver()
        whole.setOptionValue("mip_rel_gap", 0.0)
        whole.setOptionValue("mip_abs_gap", 0.5)
        whole.setOptionValue("mip_max_nodes", most_nodes)
        whole.passModel(self.solver.getLp())
        count = len(self.columns)
        for column in range(count):
            whole.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        for column in self.lacking:
            whole.changeColBounds(column, 0.0, 0.0)
        for column in self.below_minimum if below else ():
            whole.changeColBounds(column, 0.0, 1.0)
        first = [
            column
            for column, stands_for in enumerate(self.columns)
            if stands_for is not None and start[stands_for[0]].goods == stands_for[1].goods
        ]
        if len(first) == len(start):
            whole.setSolution(len(first), first, [1.0] * len(first))
        whole.run()
        values = whole.getSolution().col_value
        if len(values) != count:
            return None
        found = {pair[0]: pair[1] for pair, value in zip(self.columns, values, strict=True) if pair and value > 0.5}
        return found if len(found) == len(self.food_rows) else None
