"""What could be spent less on: a smaller pack, a swap for everyone, fewer spare kits; each with its money."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from fractions import Fraction

from opsreport.measures.units import NoBridge, up_to_whole
from opsreport.money import Currency, Money, half_up
from opsreport.plan.buying.market import price_holds
from opsreport.plan.explaining.replay import Replay, most_that
from opsreport.plan.model import FoodPlan, Lever, Purchase
from opsreport.plan.needs.amounts import substitute
from opsreport.programme import Offer, Programme, Swap


def levers(programme: Programme, plan: FoodPlan, replays: Mapping[str, Replay]) -> tuple[Lever, ...]:
    """The best of each kind that saves anything, the largest first; on goods, before delivery and tax.

    Every other order stays as planned, so a new plan saves as much or more.
    """
    best = [
        max(found, key=lambda lever: lever.saves)
        for found in (
            list(_smaller_packs(programme, plan)),
            list(_swaps(programme, plan)),
            list(_spare_kits(programme, plan, replays)),
        )
        if found
    ]
    return tuple(sorted(best, key=lambda lever: -lever.saves))


def _smaller_packs(programme: Programme, plan: FoodPlan) -> Iterable[Lever]:
    """What is paid for what is left over of a food from one supplier, where Packs lists no smaller pack of it from
    there: one that does saves nothing, or it would have been bought."""
    smallest: dict[tuple[str, str], Fraction] = {}
    for offer in programme.offers:
        key = (offer.food, offer.supplier)
        smallest[key] = min(smallest.get(key, offer.base), offer.base)
    wasted: dict[tuple[str, str], Fraction] = defaultdict(Fraction)
    for row in plan.purchases:
        if row.base / row.packs == smallest.get((row.food, row.supplier)):
            wasted[row.food, row.supplier] += row.cost * row.left_over / row.base
    for (food, supplier), cost in wasted.items():
        if saves := half_up(cost):
            yield Lever("another pack", saves, food=food, supplier=supplier)


def _swaps(programme: Programme, plan: FoodPlan) -> Iterable[Lever]:
    """Swaps made for everybody, where the substitute brings nothing that a member must not get."""
    rows: dict[str, list[Purchase]] = defaultdict(list)
    for row in plan.purchases:
        rows[row.food].append(row)
    covers = frozenset(atom for member in programme.members for need in member.needs for atom in need.covers)
    foods = programme.foods.by_name
    for swap in programme.swaps:
        its = rows.get(swap.food, [])
        if not its or (swap.instead and (foods[swap.instead].atoms - foods[swap.food].atoms) & covers):
            continue
        instead = _cost_instead(programme, plan, swap, {session for row in its for session, _ in row.used})
        if instead is not None and (saves := sum(row.cost for row in its) - instead) > 0:
            yield Lever("swap", Money(saves), food=swap.food, instead="" if swap.instead is None else swap.instead)


def _cost_instead(programme: Programme, plan: FoodPlan, swap: Swap, sessions: set[str]) -> Money | None:
    """What the substitute costs for these sessions, whole packs for each packing day by itself (one sum where it
    does not expire); None where nobody sells it or no figure leads to its amount."""
    if swap.instead is None:
        return Money(0)
    offers = [offer for offer in programme.offers if offer.food == swap.instead and price_holds(offer, programme.as_of)]
    food = programme.foods.by_name[swap.instead]
    amounts: dict[object, Fraction] = defaultdict(Fraction)
    for session in plan.sessions:
        if session.session not in sessions:
            continue
        lines = [(line, variant.kits) for variant in session.variants for line in variant.lines]
        for line, times in (*lines, *((line, 1) for line in session.once)):
            if line.food == swap.food:
                try:
                    amount = substitute(programme, line, swap, food) * times * (1 + programme.settings.packing_loss)
                except NoBridge:
                    return None
                amounts[None if food.keeps is None else session.packing_day] += amount
    if not offers:
        return None
    return Money(sum(min(_packs_cost(offer, amount) for offer in offers) for amount in amounts.values()))


def _packs_cost(offer: Offer, amount: Fraction) -> int:
    sales = max(up_to_whole(amount / offer.base / offer.sold_by), Fraction(offer.minimum, offer.sold_by))
    return int(up_to_whole(sales)) * offer.sold_by * offer.price


def _spare_kits(programme: Programme, plan: FoodPlan, replays: Mapping[str, Replay]) -> Iterable[Lever]:
    """No spare kits at all: packs that could then be left off, every other kit still covered."""
    loss = 1 + programme.settings.packing_loss
    less: dict[str, dict[str, Fraction]] = defaultdict(lambda: defaultdict(Fraction))
    kits = 0
    for session in plan.sessions:
        for variant in session.variants:
            kits += variant.spare
            if variant.spare:
                for line in variant.lines:
                    less[line.food][session.session] -= line.base * variant.spare * (1 if line.whole else loss)
    saves = sum(_left_off(replays[food], its) for food, its in less.items() if food in replays)
    if saves:
        yield Lever("spare kits", Money(saves), kits=kits)


def _left_off(replay: Replay, less: Mapping[str, Fraction]) -> int:
    """Price of the packs that can be left off when sessions need `less`, the dearest first."""
    fewer: dict[int, int] = {}
    saved = 0
    free = replay.left - sum(less.values(), Fraction(0))
    for number, row in sorted(enumerate(replay.purchases), key=lambda each: -each[1].price):
        size = row.base / row.packs * row.sold_by

        def can_go(sales: int, number: int = number, row: Purchase = row) -> bool:
            return replay.covers(less, {**fewer, number: sales * row.sold_by})

        sales = most_that(can_go, min(int(free // size), row.packs // row.sold_by))
        fewer[number] = sales * row.sold_by
        free -= sales * size
        saved += fewer[number] * row.price
    return saved


def lever_words(lever: Lever, currency: Currency) -> str:
    """One lever in words, with its money."""
    match lever.kind:
        case "another pack":
            what = f"what is left over of {lever.food}: ask {lever.supplier} for a smaller pack, as Packs lists none"
        case "swap":
            what = f"{lever.instead} instead of {lever.food}" if lever.instead else f"no {lever.food}"
            what += ", for everyone"
        case "spare kits":
            what = f"none of the {lever.kits} spare kits"
    return f"{what}: {currency.shown(lever.saves)}"
