"""The people's part of the plan: attendance, outcomes, what funders see, what a unit costs.

Money is minor units, dates real dates; counts, hours and shares are exact, statistics floats.
"""

import datetime as dt
from collections.abc import Mapping
from dataclasses import dataclass, field
from fractions import Fraction
from typing import Literal

from opsreport.money import Money, half_up


@dataclass(frozen=True, slots=True)
class GroupAttendance:
    """A group's figures over its sessions; rate None where nothing was recorded."""

    planned: int
    delivered: int
    expected: int
    present: int
    absent: int
    excused: int
    not_recorded: int
    rate: float | None
    contacts: int
    people: int
    households: int
    completers: int
    contact_hours: Fraction
    own_sessions_completers: int
    """Completers by each member's own sessions: the late joiner's rate, beside the group's."""


@dataclass(frozen=True, slots=True)
class SessionAttendance:
    """One delivered session: expected and what was recorded, and visits of people not expected."""

    session: str
    group: str
    day: dt.date
    expected: int
    present: int
    absent: int
    excused: int
    not_recorded: int
    contacts: int
    kits_collected: int | None
    """Kits collected or passed on; None where nobody recorded them."""


@dataclass(frozen=True, slots=True)
class MemberAttendance:
    """One member's row of the grid, over the delivered sessions of the group.

    marks: a letter for each delivered session of the group, by date, then id: `P`, `A`, `E`, `.` not recorded, `V` a
    visit on a day they did not belong to the group (not in present), ` ` not expected.
    """

    participant: str
    group: str
    marks: str
    present: int
    expected: int
    completer: bool


@dataclass(frozen=True, slots=True)
class Retention:
    """Who was left at the so-manyth delivered session of a group, visits apart.

    present: at that session. still: of those ever present, how many came to it or to a later one. ever: those.
    """

    group: str
    number: int
    present: int
    still: int
    ever: int


@dataclass(frozen=True, slots=True)
class SessionKitsGiven:
    """Every kit of one delivered session. packed: for its households (or participants); spare and demo beside.

    The fates are None where nobody recorded them. unaccounted: packed and spare kits of which nothing is recorded
    (below zero: more are recorded than were packed); demo kits stay with the instructor and are no part of it.
    """

    session: str
    group: str
    day: dt.date
    packed: int
    spare: int
    demo: int
    collected: int | None = None
    passed_on: int | None = None
    left: int | None = None
    discarded: int | None = None
    unaccounted: int | None = None


@dataclass(frozen=True, slots=True)
class Totals:
    """The whole programme, people counted once however many groups they are in."""

    sessions_planned: int = 0
    sessions_delivered: int = 0
    contacts: int = 0
    people: int = 0
    households: int = 0
    completers: int = 0
    contact_hours: Fraction = Fraction(0)
    kits_distributed: int = 0
    kits_source: str = ""
    """How the kits were counted: recorded, session by session, or the kits of delivered sessions."""
    sessions_without_minutes: int = 0
    """Delivered sessions that add no contact hours because nobody wrote how long they lasted."""


@dataclass(frozen=True, slots=True)
class Seen:
    """So many people who answered `before` first and `after` later."""

    before: float
    after: float
    people: int


@dataclass(frozen=True, slots=True)
class Outcome:
    """One question's matched pairs. Numbers are None where they cannot be worked out.

    before / after: means, or shares of yes. low / high: the 95% interval of the change, or of the
    share after. effect: mean change / SD of changes. test: 'wilcoxon', 'mcnemar' or ''.
    note: what a reader must know ('no matched pairs', 'all changes are zero' ...).
    In a funder's report a count of people that must be hidden is None, and so is a share that rests on it.
    """

    question: str
    text: str
    kind: Literal["scale", "yes-no", "number"]
    theme: str
    n: int
    unmatched: int | None
    before: float | None
    after: float | None
    change: float | None
    low: float | None
    high: float | None
    before_low: float | None
    before_high: float | None
    effect: float | None
    p: float | None
    test: str
    improved: int | None
    same: int | None
    worse: int | None
    note: str
    better: Literal["higher", "lower"] = "higher"
    p_holm: float | None = None
    """p adjusted for all questions of the report, after Holm."""
    stayed_n: int = 0
    """Of those who answered before, how many answered after too, and how many did not; their means before."""
    dropped_n: int = 0
    dropped_before: float | None = None
    seen: tuple[Seen, ...] = ()
    """Every pair, for a picture; empty in a funder's report."""

    @property
    def direction(self) -> Literal["better", "worse", "open", ""]:
        """What the interval (of a yes-no question the test) allows to say of the change; '': nothing can be said."""
        if self.change is None or self.n < 2:
            return ""
        if self.kind == "yes-no":
            clear = self.p is not None and self.p < 0.05
        elif self.low is None or self.high is None:
            return ""
        else:
            clear = self.low > 0 or self.high < 0
        if not clear:
            return "open"
        return "better" if (self.change > 0) == (self.better == "higher") else "worse"


@dataclass(frozen=True, slots=True)
class Measure:
    """One figure of a funder: target and value (None where hidden or unknown) and what is printed.

    share: value ÷ target. pace: value ÷ (target × part of the planned sessions delivered), for what grows session by
    session. Both None where they cannot be said.
    """

    measure: str
    target: float | int | str | None
    value: float | int | str | None
    shown: str
    share: Fraction | None = None
    pace: Fraction | None = None


@dataclass(frozen=True, slots=True)
class UnitCost:
    """What one kit, contact, participant or completer costs, over the same sessions on both sides.

    food, in_kind: money of all. units: how many; None where they cannot be said, and each of them then neither.
    held: over sessions held already, not over those still to come.
    """

    unit: Literal["kit", "contact", "participant", "completer"]
    food: Money
    in_kind: Money
    units: Fraction | None
    held: bool = False

    @property
    def food_each(self) -> Money | None:
        return self._each(self.food)

    @property
    def in_kind_each(self) -> Money | None:
        return self._each(self.in_kind)

    def _each(self, money: Money) -> Money | None:
        return half_up(Fraction(money) / self.units) if self.units else None


@dataclass(frozen=True, slots=True)
class Charged:
    """Food and in-kind value that a funder bears; funder '': what falls to no funder's groups and days.

    held: the part of food that is for sessions held already.
    """

    funder: str
    food: Money
    in_kind: Money
    held: Money = Money(0)


@dataclass(frozen=True, slots=True)
class SessionCost:
    """What food costs for one session: of packs that came, of packs on their way, of orders still to place; and the
    value of the donated food that it takes. held: the session took place."""

    session: str
    held: bool
    received: Money = Money(0)
    coming: Money = Money(0)
    planned: Money = Money(0)
    in_kind: Money = Money(0)

    @property
    def food(self) -> Money:
        return Money(self.received + self.coming + self.planned)


@dataclass(frozen=True, slots=True)
class BreakdownCounts:
    """People, contacts and completers of one value of a breakdown column."""

    value: str
    people: int
    contacts: int
    completers: int


@dataclass(frozen=True, slots=True)
class EarlierTerm:
    """What another run's plan.json says of the same programme.

    figures: of the whole programme, by name as there. outcomes: by question, its pairs, change and the interval's ends,
    None where they are not given. spent: what the orders cost, as written; currency: of that.
    """

    as_of: dt.date
    figures: Mapping[str, Fraction]
    outcomes: Mapping[str, tuple[int, float | None, float | None, float | None]]
    spent: str | None
    currency: str


@dataclass(frozen=True, slots=True)
class BreakdownRow:
    """People and completers of one value of a breakdown column, already hidden where small."""

    value: str
    people: str
    completers: str


@dataclass(frozen=True, slots=True)
class FunderReport:
    """One funder's document, already safe to hand over: small counts are hidden here, before any writer.

    breakdowns: by Report-by column. sessions: ids delivered in its period, by date.
    outcomes: those that rest on enough people. moves: how people and completers that are hidden could differ by one
    from what they are.
    """

    funder: str
    name: str
    start: dt.date
    end: dt.date
    groups: tuple[tuple[str, Fraction], ...]
    small_count: int
    measures: tuple[Measure, ...]
    sessions: tuple[str, ...]
    breakdowns: Mapping[str, tuple[BreakdownRow, ...]]
    outcomes: tuple[Outcome, ...]
    hidden_outcomes: int
    notes: tuple[str, ...]
    planned: int = 0
    """Sessions of its groups on the list for its period, cancelled ones too."""
    narratives: tuple[tuple[str, str], ...] = ()
    """Heading and text, as the coordinator wrote them; a text still to be written is empty."""
    moves: frozenset[tuple[int, int]] = frozenset()


@dataclass(frozen=True, slots=True)
class PeoplePlan:
    """Everything about people: attendance, outcomes and what funders see."""

    groups: Mapping[str, GroupAttendance] = field(default_factory=dict)
    sessions: tuple[SessionAttendance, ...] = ()
    members: tuple[MemberAttendance, ...] = ()
    totals: Totals = Totals()
    outcomes: tuple[Outcome, ...] = ()
    funders: tuple[FunderReport, ...] = ()
    retention: tuple[Retention, ...] = ()
    breakdowns: Mapping[str, tuple[BreakdownCounts, ...]] = field(default_factory=dict)
    """Of the whole programme, by Report-by column, nothing hidden: for the coordinator only."""
    kits: tuple[SessionKitsGiven, ...] = ()
    session_costs: tuple[SessionCost, ...] = ()
    """By date, then id; sessions that no food is charged to are left out."""
    unit_costs: tuple[UnitCost, ...] = ()
    charged: tuple[Charged, ...] = ()
    earlier: tuple[EarlierTerm, ...] = ()
