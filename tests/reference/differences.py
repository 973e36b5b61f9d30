"""Every figure of plan.json against the reference, and the rules that any plan must keep, as plain sentences."""

import datetime as dt
from collections import defaultdict
from fractions import Fraction

from reference.reference import FOREVER, Reference, clean, date, half_up, key, largest_remainder, number, unit_of

F = Fraction


def cents(text):
    return int(F(text) * 100)


def amounts(rows, *names):
    got = defaultdict(F)
    for row in rows:
        got[tuple(key(row[n]) for n in names)] += F(row["amount"])
    return dict(got)


def unlike(what, got, want):
    """Two dicts, entry by entry."""
    return [
        f"{what} {k}: plan {got.get(k)}, reference {want.get(k)}"
        for k in sorted({*got, *want}, key=str)
        if got.get(k) != want.get(k)
    ]


def kit_differences(plan, ref: Reference):
    out = unlike(
        "sessions and packing days",
        {s["session"]: s["packing_day"] for s in plan["sessions"]},
        {k: str(v["day"]) for k, v in ref.plans.items()},
    )
    for s in plan["sessions"]:
        if s["session"] not in ref.plans:
            continue
        where, want = s["session"], ref.plans[s["session"]]["variants"]

        def mark(v):
            return (tuple(sorted(v["batches"].items())), tuple(sorted(v["swaps"].items(), key=str)))

        theirs = {}
        for v in s["variants"]:
            swaps = {key(w["ingredient"]): key(w["instead"]) for w in v["swaps"]}
            swaps = {a: None if b in ("", "leave out", "none") else b for a, b in swaps.items()}
            if ref.chained:  # a chain is written step by step: follow it to what the kit holds
                for a in list(swaps):
                    while swaps[a] in swaps and ref.conflict(swaps[a], [*map(key, v["needs"])]):
                        swaps[a] = swaps[swaps[a]]
                held = {key(line["ingredient"]) for line in v["lines"]} | {None}
                recipe_foods = {line["food"] for r in v["batches"] for line in ref.recipes[key(r)]["lines"]
                                if not line["home"] and not line["session"]}  # fmt: skip
                swaps = {a: b for a, b in swaps.items() if a in recipe_foods and b in held}
            batches = {key(r): F(b) for r, b in v["batches"].items()}
            theirs[tuple(sorted(batches.items())), tuple(sorted(swaps.items(), key=str))] = v
        ours = {mark(v): v for v in want}
        out += unlike(
            f"{where} kits", {k: v["kits"] for k, v in theirs.items()}, {k: v["kits"] for k, v in ours.items()}
        )
        for k in {*ours} & {*theirs}:
            got = defaultdict(F)
            for line in theirs[k]["lines"]:
                got[key(line["ingredient"])] += F(line["base_amount"])
            wanted = {f: line["amount"] for f, line in ours[k]["lines"].items()}
            out += unlike(f"{where} variant {theirs[k]['variant']} line", dict(got), wanted)
            units = {key(line["ingredient"]): line["base_unit"] for line in theirs[k]["lines"]}
            out += unlike(f"{where} unit", units, {f: ref.foods.base(f) for f in ours[k]["lines"]})
            plain = {w[3:] if w.startswith("no ") else w for w in map(key, theirs[k]["needs"])}
            mine = {w[3:] if w.startswith("no ") else w for w in ours[k]["needs"]}
            if plain != mine:
                out.append(f"{where} variant needs: plan {plain}, reference {mine}")
        order = [(-v["kits"], -sum(F(b) for b in v["batches"].values())) for v in s["variants"]]
        if order != sorted(order) and len({*order}) == len(order):
            out.append(f"{where} letters not by number of kits, then batches: {order}")
        if [v["variant"] for v in s["variants"]] != [chr(65 + i) for i in range(len(s["variants"]))]:
            out.append(f"{where} letters {[v['variant'] for v in s['variants']]}")
    return out


def need_differences(plan, ref):
    want = {(f, key(s)): n["amount"] for (f, s), n in ref.needs.items()}
    out = unlike("need", amounts(plan["needs"], "ingredient", "session"), want)
    dates = {
        (key(n["ingredient"]), key(n["session"])): (n["packing_day"], n["use_by_at_least"], n["unit"])
        for n in plan["needs"]
    }
    want = {(f, key(s)): (str(n["day"]), str(n["until"]), ref.foods.base(f)) for (f, s), n in ref.needs.items()}
    return out + unlike("need's days", dates, want)


def stock_differences(plan, ref):
    got = amounts(plan["stock_use"], "ingredient", "source", "lot", "session")
    want = defaultdict(F)
    for (food, source, lot, session), amount in ref.stock_use.items():
        want[food, source, key(lot), key(session)] += amount
    return unlike("stock use", got, dict(want))


def to_buy(ref):
    return {(f, key(s)): n["left"] for (f, s), n in ref.needs.items() if n["left"]}


def bought_differences(plan, ref):
    got = defaultdict(F)
    for p in plan["purchases"]:
        for use in p["used"]:
            got[key(p["ingredient"]), key(use["session"])] += F(use["amount"])
    for kind in ("shortages", "shopping"):
        for k, v in amounts(plan[kind], "ingredient", "session").items():
            got[k] += v
    out = unlike("still to get", dict(got), to_buy(ref))
    offered = {ref.foods.find(r["ingredient"]) for r in ref.t["Packs"]}
    dated = {ref.foods.find(r["ingredient"]) for r in ref.t["Packs"] if r.get("from") or r.get("until")}
    for row in plan["shopping"]:
        if key(row["ingredient"]) in offered - dated:
            out.append(f"{row['ingredient']} is on the shopping list but has a pack on offer")
    for row in plan["shortages"]:
        if key(row["ingredient"]) not in offered:
            out.append(f"{row['ingredient']} is short but no pack is on offer: shopping list")
    return out


def purchase_faults(plan, ref):
    out, lead = [], dt.timedelta(int(ref.setting("Receive lead", F(0), number)))
    needs = {(f, key(s)): n for (f, s), n in ref.needs.items()}
    orders = {o["order"]: o for o in plan["orders"]}
    per_delivery = defaultdict(int)
    for p in plan["purchases"]:
        what = f"{p['order']} {p['item']} {p['ingredient']}"
        food = ref.foods.find(p["ingredient"])
        rows = [
            r
            for r in ref.t["Packs"]
            if key(r["supplier"]) == key(p["supplier"])
            and ref.foods.find(r["ingredient"]) == food
            and key(r.get("item")) == key(p["item"])
            and number(r["pack amount"]) == F(p["pack_amount"])
            and cents(str(number(r["price"]))) == cents(p["price"])
        ]
        if not rows:
            out.append(f"{what}: no such pack in Packs")
            continue
        row = rows[0]
        by = int(number(row.get("sold by")) or 1)
        if p["packs"] % by or p["packs"] <= 0:
            out.append(f"{what}: {p['packs']} packs, sold by {by}")
        per_delivery[p["order"], key(p["item"]), food] += p["packs"]
        if per_delivery[p["order"], key(p["item"]), food] < int(number(row.get("minimum")) or 0):
            out.append(f"{what}: {p['packs']} packs, minimum {row['minimum']}")
        size = ref.foods.amount(food, F(p["pack_amount"]), unit_of(p["pack_unit"]))
        if F(p["base_amount"]) != size * p["packs"]:
            out.append(f"{what}: base amount {p['base_amount']}, should be {size * p['packs']}")
        if cents(p["cost"]) != cents(p["price"]) * p["packs"]:
            out.append(f"{what}: cost {p['cost']}")
        used = sum(F(u["amount"]) for u in p["used"])
        if used + F(p["left_over"]) != size * p["packs"]:
            out.append(f"{what}: used {used} + left {p['left_over']} is not {size * p['packs']}")
        arrives, order = dt.date.fromisoformat(p["arrives"]), orders[p["order"]]
        if order["arrives"] != p["arrives"] or key(order["supplier"]) != key(p["supplier"]):
            out.append(f"{what}: order {order}")
        by_day = dt.date.fromisoformat(order["order_by"])
        if order["urgent"]:  # see the test of its own
            by_day = max(by_day, ref.as_of)
        for head, bad in (("from", lambda d, b=by_day: d > b), ("until", lambda d, b=by_day: d < b)):
            if date(row.get(head)) and bad(date(row[head])):
                out.append(f"{what}: ordered by {by_day}, but the price holds {head} {date(row[head])}")
        keeps = number(row.get("keeps"))
        keeps = ref.foods.figure(food, "keeps") if keeps is None else keeps
        good = arrives + dt.timedelta(int(keeps)) if keeps is not None else None
        if p["good_through"] != (str(good) if good else None):
            out.append(f"{what}: good through {p['good_through']}, should be {good}")
        for use in p["used"]:
            need = needs[food, key(use["session"])]
            if arrives > need["day"] - lead:
                out.append(f"{what}: arrives {arrives}, packed {need['day']}")
            if (good or FOREVER) < need["until"]:
                out.append(f"{what}: good through {good}, needed until {need['until']}")
        out += opened_faults(what, p, size, good or FOREVER, needs, food, ref)
    return out


def opened_faults(what, p, size, good, needs, food, ref):
    """Packs used in order of need: no begun pack may be used past its day of opening + Keeps open − 1."""
    open_days = ref.opened_keeps(food)
    if open_days is None:
        return []
    days = defaultdict(list)
    for use in p["used"]:
        need = needs[food, key(use["session"])]
        days[need["day"]].append((F(use["amount"]), need["until"]))
    begun, opened, left = F(0), None, p["packs"]
    for day in sorted(days):
        wanted = sum(a for a, _ in days[day])
        latest = max(u for _, u in days[day])
        first = min(u for _, u in days[day])
        if begun and opened + dt.timedelta(int(open_days) - 1) >= latest:
            use = min(begun, wanted)
            begun, wanted = begun - use, wanted - use
        elif begun and opened + dt.timedelta(int(open_days) - 1) >= first:
            fit = sum(a for a, u in days[day] if u <= opened + dt.timedelta(int(open_days) - 1))
            use = min(begun, fit)
            begun, wanted = begun - use, wanted - use
        whole = -(-wanted // size)
        if wanted > 0:
            left -= whole
            if size * whole - wanted or not begun:
                begun, opened = size * whole - wanted, day
    if left < 0:
        return [f"{what}: {p['packs']} packs cannot serve {p['used']} when begun packs keep {open_days} days"]
    return []


def order_faults(plan, ref):
    out, goods = [], defaultdict(int)
    for p in plan["purchases"]:
        goods[p["order"]] += cents(p["cost"])
    if {*goods} != {o["order"] for o in plan["orders"]}:
        out.append(f"orders {goods} and {plan['orders']}")
    for o in plan["orders"]:
        row = next((r for r in ref.t["Suppliers"] if key(r["supplier"]) == key(o["supplier"])), {})
        arrives = dt.date.fromisoformat(o["arrives"])
        want = ref.order_by(o["supplier"], arrives)
        if o["order_by"] != str(want):
            out.append(f"{o['order']}: order by {o['order_by']}, should be {want}")
        if not ref.delivers(o["supplier"], arrives):
            out.append(f"{o['order']}: no delivery day")
        if o["urgent"] != (want < ref.as_of):
            out.append(f"{o['order']}: urgent {o['urgent']}, order by {want}, as of {ref.as_of}")
        if want < ref.as_of and arrives <= ref.as_of:
            out.append(f"{o['order']}: urgent and arrives {arrives}, not after {ref.as_of}")
        free, fee = number(row.get("free delivery from")), number(row.get("delivery fee")) or F(0)
        placed = goods_placed(ref, o["supplier"], arrives)
        free_of_fee = placed is not None or (free is not None and goods[o["order"]] >= free * 100)
        fee = 0 if free_of_fee else int(fee * 100)
        tax = half_up(goods[o["order"]] * ref.tax_rate(o["supplier"]))
        least = number(row.get("minimum order")) or F(0)
        figures = {
            "goods": goods[o["order"]], "fee": fee, "tax": tax, "total": goods[o["order"]] + fee + tax
        }  # fmt: skip
        for name, want_cents in figures.items():
            if cents(o[name]) != want_cents:
                out.append(f"{o['order']}: {name} {o[name]}, should be {want_cents}")
        if o["below_minimum"] != (goods[o["order"]] + (placed or 0) < least * 100):
            out.append(f"{o['order']}: below minimum {o['below_minimum']}")
    got = sum(cents(o["goods"]) + cents(o["fee"]) for o in plan["orders"])
    b = plan["buying"]
    if b and cents(b["cost"]) != got:
        out.append(f"buying cost {b['cost']}, orders {got}")
    if b and not (F(b["lower_bound"]) <= F(b["cost"])):
        out.append(f"buying {b}")
    return out


def goods_placed(ref, supplier, day):
    """Cents of the orders placed of which something still comes with a delivery; None where none does.

    A pack costs what Orders says, else what Packs asks for one of that size, the item's own first.
    """
    own = [r for r in ref.t["Orders"] if key(r["supplier"]) == key(supplier)]
    coming = [r for r in own if number(r["packs"]) > (number(r.get("received")) or 0)]
    numbers = {key(r["order"]) for r in coming if date(r["due"]) == day}
    if not numbers:
        return None
    total = F(0)
    for row in (r for r in own if key(r["order"]) in numbers):
        food = ref.foods.find(row["ingredient"])
        size = ref.foods.amount(food, number(row["pack amount"]), unit_of(row["pack unit"]))
        same = [
            pack
            for pack in ref.t["Packs"]
            if key(pack["supplier"]) == key(supplier)
            and ref.foods.find(pack["ingredient"]) == food
            and ref.foods.amount(food, number(pack["pack amount"]), unit_of(pack.get("pack unit"))) == size
        ]
        same.sort(key=lambda pack: key(pack.get("item")) != key(row.get("item")))
        agreed = [number(row["price"])] if clean(row.get("price")) else []
        prices = [*agreed, *(number(pack["price"]) for pack in same)]
        total += number(row["packs"]) * prices[0] if prices else 0
    return half_up(total * 100)


def cost_faults(plan, ref):
    """The split, step by step; what no session uses is left to the orders' own check of sums."""
    when = {s["session"]: s["date"] for s in plan["sessions"]}
    group_of = {s["session"]: key(s["group"]) for s in plan["sessions"]}
    sessions = defaultdict(int)
    for o in plan["orders"]:
        shares = defaultdict(F)
        for p in plan["purchases"]:
            used = sum(F(u["amount"]) for u in p["used"])
            if p["order"] == o["order"] and used:
                for u in p["used"]:
                    shares[u["session"]] += F(p["cost"]) * F(u["amount"]) / used
        in_order = sorted(shares.items(), key=lambda kv: (when[kv[0]], kv[0]))
        for column in ("goods", "fee", "tax"):
            for s, c in largest_remainder(cents(o[column]), in_order).items():
                sessions[s] += c
    out = unlike("cost of session", {k: cents(v) for k, v in plan["costs"]["sessions"].items() if cents(v)},
                 {k: v for k, v in sessions.items() if v})  # fmt: skip
    groups = defaultdict(int)
    for s, c in sessions.items():
        groups[group_of[s]] += c
    out += unlike("cost of group", {key(k): cents(v) for k, v in plan["costs"]["groups"].items() if cents(v)},
                  {k: v for k, v in groups.items() if v})  # fmt: skip
    total = sum(cents(o["total"]) for o in plan["orders"])
    for name in ("sessions", "groups", "funders"):
        if sum(cents(v) for v in plan["costs"][name].values()) != total:
            out.append(f"costs of {name} do not add up to {total}: {plan['costs'][name]}")
    funders = defaultdict(F)
    for group, c in groups.items():
        named = clean(ref.groups.get(group, {}).get("funders"))
        parts = [p.strip() for p in named.split(";") if p.strip()]
        if not parts:
            funders[""] += c
        for part in parts:
            name, _, percent = part.rpartition(" ") if part.endswith("%") else (part, "", "100%")
            funders[key(name)] += c * F(percent.rstrip("%")) / 100
    for name, value in plan["costs"]["funders"].items():
        if abs(funders[key(name)] - cents(value)) >= len(groups) + 1:
            out.append(f"cost of funder {name}: plan {value}, about {float(funders[key(name)]) / 100}")
    return out


def people_differences(plan, ref):
    out = []
    for group, want in ref.attendance().items():
        got = next((v for k, v in plan["attendance"]["groups"].items() if key(k) == group), {})
        for name, value in want.items():
            theirs = got.get(name)
            if name == "contact_hours":
                theirs = F(theirs) if theirs is not None else None
            if theirs != value:
                out.append(f"attendance {group} {name}: plan {theirs}, reference {value}")
    given = ref.kits_given()
    if plan["attendance"]["totals"]["kits_distributed"] != sum(given.values()):
        out.append(f"kits distributed: plan {plan['attendance']['totals']}, reference {sum(given.values())}")
    for funder in plan["funders"]:
        told = next(measure["value"] for measure in funder["measures"] if measure["measure"] == "kits")
        want = sum(given[s["id"]] for s in ref.sessions_of(funder) if s["id"] in given)
        if told not in (None, want):
            out.append(f"kits of funder {funder['funder']}: plan {told}, reference {want}")
    mine = ref.outcomes()
    for o in plan["outcomes"]:
        want = mine[o["question"]]
        for name in ("n", "unmatched", "improved", "same", "worse", "before", "after", "p", "low", "high", "effect"):
            if name not in want or (name in ("before", "after") and want["n"] == 0):
                continue
            if name in ("low", "high") and len({*want["changes"]}) == 1 and want["kind"] != "yes-no":
                continue  # see the test of its own
            a, b = o[name], want[name]
            if (a is None or b is None or not abs(a - b) <= 1e-6 * max(1, abs(b))) and a is not b:
                out.append(f"outcome {o['question']} {name}: plan {a}, reference {b}")
    return out


MARKS = sorted({F(n, d) for d in (3, 4) for n in range(1, 2 * d + 1)} - {F(0)})
SPOONS = {"1 tbsp": F(3), "1 tsp": F(1), "1/2 tsp": F(1, 2), "1/4 tsp": F(1, 4)}
CUPS = {"dry": [F(1), F(1, 2), F(1, 3), F(1, 4)], "liquid": MARKS}


def fewest_scoops(target, state):
    """Sizes in twelfths of a teaspoon, of an exact plan with the fewest scoops; None where 12 are too few."""
    sizes = sorted({int(F(s) * 12) for s in SPOONS.values()} | {int(c * 48 * 12) for c in CUPS[state]}, reverse=True)
    reached = {0: ()}
    for _ in range(12):
        if target in reached:
            return reached[target]
        more = {}
        for total, used in reached.items():
            for size in sizes:
                at = total + size
                if at <= target:
                    now = tuple(sorted((*used, size), reverse=True))
                    if at not in more or now > more[at]:
                        more[at] = now
        reached = more
    return reached.get(target)


def scoop_faults(plan, ref):
    """With the default tools: exact plans are exact, of the fewest scoops."""
    out, seen = [], set()
    spoons = {"cup": 48, "tbsp": 3, "tsp": 1, "fl oz": 6}
    for v in (v for s in plan["sessions"] for v in s["variants"]):
        for line in v["lines"]:
            mark = (line["ingredient"], line["amount"], line["unit"])
            if line["unit"] not in spoons or mark in seen or any(x["times"] == "1/2" for x in line["scoops"]):
                continue
            seen.add(mark)
            exact = F(line["amount"]) * spoons[line["unit"]] * 12
            state = "liquid" if ref.foods.state(key(line["ingredient"])) == "liquid" else "dry"
            want = fewest_scoops(int(exact), state) if exact.denominator == 1 and exact < 12 * 48 * 12 else None
            got = []
            for x in line["scoops"]:
                words = x["tool"].split()
                at = next(i for i in range(len(words) - 1, 0, -1) if words[i].rstrip("s") in spoons)
                size = number(" ".join(w for w in words[:at] if w[0].isdigit())) * spoons[words[at].rstrip("s")] * 12
                got += [int(size)] * int(x["times"])
            if want is None and line["scoop_error"] == "0" and sum(got) != exact:
                out.append(f"scoops of {mark}: {line['scoops']} said to be exact")
            fewest = want is None or (len(got) == len(want) and sum(got) == exact and line["scoop_error"] == "0")
            if not fewest:  # which of two equally short plans has 'the larger tools' is left open
                out.append(f"scoops of {mark}: {line['scoops']}, error {line['scoop_error']}, should be {want}")
    return out


def named_once(plan, ref):
    """The plan with every ingredient under its catalogue or Ingredients name: 'ids as first written' may differ."""
    if isinstance(plan, dict):
        return {
            k: ref.foods.names.get(key(v), key(v)) if k in ("ingredient", "instead") else named_once(v, ref)
            for k, v in plan.items()
        }
    return [named_once(v, ref) for v in plan] if isinstance(plan, list) else plan


def differences(plan, ref):
    plan = named_once(plan, ref)
    out = []
    if plan["needs"] or not plan["findings"] or not any(f["severity"] == "error" for f in plan["findings"]):
        out += kit_differences(plan, ref) + need_differences(plan, ref) + stock_differences(plan, ref)
        out += bought_differences(plan, ref) + purchase_faults(plan, ref) + order_faults(plan, ref)
        out += cost_faults(plan, ref)
        out += [] if ref.own_tools else scoop_faults(plan, ref)
    if ref.t["Attendance"] and plan["attendance"].get("groups"):
        out += people_differences(plan, ref)
    return out
