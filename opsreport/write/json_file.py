"""plan.json: every figure of a run for programs, amounts and money as exact text."""

import json
from collections.abc import Iterable, Mapping
from fractions import Fraction
from typing import Any

from opsreport.findings import Finding, finding_objects
from opsreport.money import Currency, Money
from opsreport.plan.model import Blend, FoodPlan, KitLine, Plan, PlannedSession, Purchase, Scoop, Variant
from opsreport.plan.people_model import FunderReport, GroupAttendance, Outcome, PeoplePlan, Totals
from opsreport.write.json_beside import beside, order_figures, since

FORMAT = 1
"""Raised when a key changes its meaning or goes; a new key does not raise it."""

Json = dict[str, Any]


def plan_json(plan: Plan, findings: Iterable[Finding]) -> bytes:
    """The plan as UTF-8 JSON, keys in their documented order, what is not in the documented ones after them.

    The keys of a stopped family are empty: [] where a list belongs, {} where an object does.
    """
    currency = Currency(plan.currency)
    whole: Json = {
        "format": FORMAT,
        "as_of": plan.as_of.isoformat(),
        "currency": plan.currency,
        "findings": finding_objects(findings),
        **_food(plan.food, currency),
        **_people(plan.people, currency),
        **({"incomplete": [{"what": each.what, "why": each.why} for each in plan.left_out]} if plan.left_out else {}),
        **beside(plan.food, currency),
        **since(plan.changes, currency),
    }
    return (_laid_out(whole) + "\n").encode("utf-8", "replace")


def _laid_out(whole: Json) -> str:
    """One line a key, and one a record where a key holds a list of them: short, and two runs compare line by line."""
    write = json.JSONEncoder(ensure_ascii=False, separators=(",", ":"), allow_nan=False).encode
    entries = (
        f"{write(key)}:[\n{f',{chr(10)}'.join(map(write, value))}\n]"
        if isinstance(value, list) and value
        else f"{write(key)}:{write(value)}"
        for key, value in whole.items()
    )
    return "{\n" + ",\n".join(entries) + "\n}"


def food_figures(plan: Plan) -> Json:
    """What two runs must have in common for one to be the other over again: the day, and all about food but
    what was said beside an earlier run. As JSON would read it again."""
    figures = {"as_of": plan.as_of.isoformat(), "currency": plan.currency, **_food(plan.food, Currency(plan.currency))}
    return {**figures, **beside(plan.food, Currency(plan.currency))}


def _food(food: FoodPlan | None, currency: Currency) -> Json:
    if food is None:
        lists = ("sessions", "needs", "stock_use", "purchases", "orders", "shortages", "shopping")
        return {**{key: [] for key in lists}, "buying": {}, "costs": {}}
    money = currency.plain
    return {
        "sessions": [_session(session) for session in food.sessions],
        "needs": [
            {
                "ingredient": need.food,
                "session": need.session,
                "packing_day": need.packing_day.isoformat(),
                "use_by_at_least": need.use_by_at_least.isoformat(),
                "amount": str(need.amount),
                "unit": need.unit,
            }
            for need in food.needs
        ],
        "stock_use": [
            {
                "ingredient": use.food,
                "source": use.source,
                "lot": use.lot,
                "session": use.session,
                "amount": str(use.amount),
                "unit": use.unit,
            }
            for use in food.stock_use
        ],
        "purchases": [_purchase(purchase, currency) for purchase in food.purchases],
        "orders": [order_figures(order, currency) for order in food.orders],
        "shortages": [
            {
                "ingredient": short.food,
                "session": short.session,
                "amount": str(short.amount),
                "unit": short.unit,
                "full_kits_possible": short.full_kits_possible,
            }
            for short in food.shortages
        ],
        "shopping": [
            {
                "ingredient": shop.food,
                "session": shop.session,
                "amount": str(shop.amount),
                "unit": shop.unit,
            }
            for shop in food.shopping
        ],
        "buying": {
            "cost": money(food.buying.cost),
            "lower_bound": money(food.buying.lower_bound),
            "session_by_session_cost": money(food.buying.session_by_session_cost),
        },
        "costs": {
            "sessions": _sums(food.costs.sessions, currency),
            "groups": _sums(food.costs.groups, currency),
            "funders": _sums(food.costs.funders, currency),
        },
    }


def _sums(sums: Mapping[str, Money], currency: Currency) -> dict[str, str]:
    return {name: currency.plain(money) for name, money in sums.items()}


def _session(session: PlannedSession) -> Json:
    return {
        "session": session.session,
        "group": session.group,
        "date": session.day.isoformat(),
        "packing_day": session.packing_day.isoformat(),
        "variants": [_variant(variant) for variant in session.variants],
        "once": [_line(line) for line in session.once],
    }


def _variant(variant: Variant) -> Json:
    return {
        "variant": variant.letter,
        "kits": variant.kits,
        "batches": {recipe: str(batches) for recipe, batches in variant.batches.items()},
        "needs": list(variant.needs),
        "swaps": [{"ingredient": swap.food, "instead": swap.instead} for swap in variant.swaps],
        "lines": [_line(line) for line in variant.lines],
        "blends": [_blend(blend) for blend in variant.blends],
        "holders": list(variant.holders),
        "use_by": variant.use_by.isoformat() if variant.use_by else None,
    }


def _line(line: KitLine) -> Json:
    return {
        "ingredient": line.food,
        "amount": str(line.shown.amount),
        "unit": line.shown.unit,
        "base_amount": str(line.base),
        "base_unit": line.base_unit,
        "scoops": [_scoop(scoop) for scoop in line.scoops.scoops],
        "scoop_error": str(line.scoops.error),
    }


def _blend(blend: Blend) -> Json:
    """A blend: its parts for all kits together, and one kit's portion."""
    return {
        "blend": blend.mix,
        "lines": [_line(line) for line in blend.parts],
        "portion_ml": None if blend.volume is None else str(blend.volume),
        "portion_grams": None if blend.grams is None else str(blend.grams),
        "portion_scoops": [_scoop(scoop) for scoop in blend.scoops.scoops],
        "portion_scoop_error": str(blend.scoops.error),
    }


def _scoop(scoop: Scoop) -> Json:
    times = Fraction(scoop.times)
    return {"tool": scoop.tool, "times": int(times) if times.denominator == 1 else str(times)}


def _purchase(purchase: Purchase, currency: Currency) -> Json:
    good_through = purchase.good_through
    return {
        "order": purchase.order,
        "supplier": purchase.supplier,
        "item": purchase.item,
        "ingredient": purchase.food,
        "packs": purchase.packs,
        "pack_amount": str(purchase.size.amount),
        "pack_unit": purchase.size.unit,
        "base_amount": str(purchase.base),
        "base_unit": purchase.base_unit,
        "price": currency.plain(purchase.price),
        "cost": currency.plain(purchase.cost),
        "arrives": purchase.arrives.isoformat(),
        "good_through": good_through.isoformat() if good_through else None,
        "used": [{"session": session, "amount": str(amount)} for session, amount in purchase.used],
        "left_over": str(purchase.left_over),
        "sold_by": purchase.sold_by,
        "shared": str(purchase.shared),
        "pack": purchase.words,
    }


def _people(people: PeoplePlan | None, currency: Currency) -> Json:
    if people is None:
        return {"attendance": {}, "outcomes": [], "funders": [], "food_costs": []}
    return {
        "attendance": {
            "groups": {name: _attendance(group) for name, group in people.groups.items()},
            "totals": _totals(people.totals),
        },
        "outcomes": [_outcome(outcome) for outcome in people.outcomes],
        "funders": [_funder(report) for report in people.funders],
        "food_costs": [
            {
                "session": cost.session,
                "held": cost.held,
                "received": currency.plain(cost.received),
                "coming": currency.plain(cost.coming),
                "planned": currency.plain(cost.planned),
                "in_kind": currency.plain(cost.in_kind),
            }
            for cost in people.session_costs
        ],
    }


def _totals(totals: Totals) -> Json:
    """The whole programme, people counted once; beside the groups, for a comparison of terms."""
    return {
        "sessions_planned": totals.sessions_planned,
        "sessions_delivered": totals.sessions_delivered,
        "contacts": totals.contacts,
        "people": totals.people,
        "households": totals.households,
        "completers": totals.completers,
        "contact_hours": str(totals.contact_hours),
        "kits_distributed": totals.kits_distributed,
    }


def _attendance(group: GroupAttendance) -> Json:
    return {
        "planned": group.planned,
        "delivered": group.delivered,
        "expected": group.expected,
        "present": group.present,
        "absent": group.absent,
        "excused": group.excused,
        "not_recorded": group.not_recorded,
        "rate": group.rate,
        "contacts": group.contacts,
        "people": group.people,
        "households": group.households,
        "completers": group.completers,
        "contact_hours": str(group.contact_hours),
    }


def _outcome(outcome: Outcome) -> Json:
    figures: Json = {
        "question": outcome.question,
        "n": outcome.n,
        "unmatched": outcome.unmatched,
        "before": outcome.before,
        "after": outcome.after,
        "change": outcome.change,
        "low": outcome.low,
        "high": outcome.high,
        "effect": outcome.effect,
        "p": outcome.p,
        "test": outcome.test,
        "improved": outcome.improved,
        "same": outcome.same,
        "worse": outcome.worse,
        "p_holm": outcome.p_holm,
    }
    if outcome.kind == "yes-no":
        figures |= {"before_low": outcome.before_low, "before_high": outcome.before_high}
    return figures


def _funder(report: FunderReport) -> Json:
    return {
        "funder": report.funder,
        "from": report.start.isoformat(),
        "until": report.end.isoformat(),
        "measures": [
            {
                "measure": measure.measure,
                "target": measure.target,
                "value": measure.value,
                "shown": measure.shown,
            }
            for measure in report.measures
        ],
    }
