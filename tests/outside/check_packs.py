"""The packs of `desk packs` cost no more than an integer-programming solver's, and leave no more.

Source: the branch-and-cut solver HiGHS as PyPI's scipy has it (scipy.optimize.milp). Cases by
chance (fixed seed): few and many sizes, whole grams and hundredths, pounds as labels round them,
sizes that are all but alike; prices in proportion to the size, with a discount for large packs,
without any order, all equal or unknown; packs that are owned, used first or kept; needs from a
handful to 100 kg, also such that are a sum of packs to the hundredth.

For each case the solver is asked twice: for the least cost, and with the cost held for the least
mass. Masses are whole hundredths of a gram and prices whole cents, so that both results are
checked in whole numbers, the desk's and the solver's. Where the solver isn't done in time (it
searches long for the last hundredth where prices are in proportion) the desk has to lie between
its bound and its best.
"""

import time

import numpy as np
from scipy.optimize import Bounds, LinearConstraint, milp

from desk import Verdict, ask

CASES, SECONDS = 420, 5
POUNDS = [22680, 45359, 90718, 136078, 226796, 453592, 1133981]
ALIKE = [45359, 45360, 45400, 90718, 90720, 90800, 136078, 136080, 136200]
rng = np.random.default_rng(7)


def sizes(count):
    """Sizes in hundredths of a gram, no two alike."""
    kind = rng.integers(5)
    if kind == 0:
        found = rng.choice(POUNDS, min(count, len(POUNDS)), replace=False)
    elif kind == 4:
        found = rng.choice(ALIKE, min(count, len(ALIKE)), replace=False)
    elif kind == 1:
        found = 5000 * rng.integers(1, 200, count)
    elif kind == 2:
        found = 100 * np.exp(rng.uniform(np.log(50), np.log(10_000), count)).astype(int)
    else:
        found = (100 * np.exp(rng.uniform(np.log(50), np.log(10_000), count))).astype(int)
    return [int(size) for size in dict.fromkeys(found)]


def prices(sizes):
    """Prices in cents; None for unknown."""
    kind = rng.integers(6)
    grams = np.array(sizes) / 100
    if kind == 0:
        found = grams * 5
    elif kind == 1:
        found = 40 * grams ** rng.uniform(0.75, 0.98)
    elif kind == 2:
        found = grams * rng.uniform(3, 6, len(sizes))
    elif kind == 3:
        found = np.full(len(sizes), 2500)
    elif kind == 4:
        found = 500 * np.ceil(grams * rng.uniform(3, 6, len(sizes)) / 500)
    else:
        return [None] * len(sizes)
    return [int(round(price)) for price in found]


def case(i):
    packs = sizes([1, 2, 3, 5, 8, 14][i % 6])
    owned = [int(n) for n in rng.integers(0, 6, len(packs)) * (rng.random(len(packs)) < 0.4)]
    if rng.random() < 0.3:
        owned = [0] * len(packs)
    if rng.random() < 0.3:
        need = int(np.dot(packs, rng.integers(0, 5, len(packs)))) or packs[0]
    else:
        need = int(np.exp(rng.uniform(np.log(3000), np.log(10_000_000))))
    return packs, prices(packs), owned, need, bool(rng.random() < 0.25)


def request(packs, price, owned, need, keep):
    listed = [
        {"name": f"set {i}", "size_g": size / 100, "price": cents and cents / 100, "owned": count}
        for i, (size, cents, count) in enumerate(zip(packs, price, owned))
    ]
    return {"need_g": need / 100, "packs": listed, "shelf": "keep" if keep else "first"}


def solved(aim, packs, owned, need, held=None):
    """Counts (bought, then owned), the least that may be, and whether the solver was done."""
    n = len(packs)
    rows = [LinearConstraint(np.array([packs * 2], float), need, np.inf)]
    if held is not None:
        rows.append(LinearConstraint(np.array([held[0]], float), -np.inf, held[1] + 0.5))
    most = [np.inf] * n + owned
    result = milp(
        aim,
        integrality=np.ones(2 * n),
        bounds=Bounds(np.zeros(2 * n), most),
        constraints=rows,
        options={"mip_rel_gap": 0, "time_limit": SECONDS},
    )
    if result.x is None:
        return None, result.mip_dual_bound or 0, False
    return np.round(result.x).astype(int), result.mip_dual_bound, result.status == 0


verdict = Verdict()
cases = [case(i) for i in range(CASES)]
begun = time.perf_counter()
answers = ask("packs", [request(*c) for c in cases])
took = time.perf_counter() - begun
errors = [a["error"] for a in answers if "error" in a]
verdict.hold(not errors, f"all {CASES} cases are answered {errors[:1]}")

equal, between, wrong, dearer, more, short = 0, 0, [], [], [], 0
for (packs, price, owned, need, keep), answer in zip(cases, answers):
    n = len(packs)
    there = [0] * n if keep else owned
    buy = np.array([answer["buy"].get(f"set {i}", 0) for i in range(n)])
    use = np.array([answer["use_owned"].get(f"set {i}", 0) for i in range(n)])
    known = None not in price
    # What is paid for: cents, or where a price is unknown hundredths of a gram.
    paid = np.array(price if known else packs)
    cost, mass = int(paid @ buy), int(np.dot(packs, buy + use))
    said = answer["cost"]
    cost_said = said is None if not known and buy.any() else abs(100 * (said or 0) - cost * known) < 1e-6
    left_said = abs(100 * answer["left_over_g"] - (mass - need)) < 1e-6
    if mass < need or (use > there).any() or not cost_said or not left_said:
        wrong.append((need, packs, answer))
        continue

    aim = np.array([*paid, *[0] * n], float)
    counts, bound, done = solved(aim, packs, there, need)
    if counts is not None and np.dot(packs * 2, counts) < need:
        short += 1  # The solver takes almost whole numbers for whole ones.
        continue
    best = np.inf if counts is None else int(aim @ counts)
    if cost > best or cost < bound - 0.5 or (done and cost != best):
        dearer.append((cost, best, bound, need, packs, price, there))
        continue
    masses = np.array(packs * 2, float)
    counts, bound, done_too = solved(masses, packs, there, need, (aim, cost))
    least = np.inf if counts is None else int(masses @ counts)
    if counts is not None and (least < need or int(aim @ counts) > cost):
        short += 1
        continue
    if mass > least or mass < bound - 0.5 or (done_too and mass != least):
        more.append((mass, least, bound, need, packs, price, there))
        continue
    equal += done and done_too
    between += not (done and done_too)

verdict.hold(not wrong, f"what is bought and used covers the need and is summed up well {wrong[:1]}")
verdict.hold(not dearer, f"no choice costs other than the solver's {dearer[:1]}")
verdict.hold(not more, f"no choice of that cost leaves other than the solver's {more[:1]}")
verdict.hold(
    equal >= 0.95 * CASES,
    f"{equal} of {CASES} equal the solver's in cost and in what is left; {between} lie between its "
    f"bound and its best; in {short} the solver's own counts fall short",
)
verdict.hold(took < 0.02 * CASES, f"{1000 * took / CASES:.1f} ms a case, the program's start included")
verdict.end()
