"""The plans of `desk clock` are left no later and no earlier than a constraint solver's.

Source: the solver CP-SAT as PyPI's ortools has it. Cases by chance (fixed seed) at the reference
temperature and in whole minutes: 1 to 6 pieces, 1 to 4 coats, 1 to 3 pairs of hands, with and
without maximum gaps, hours of the site and pins, some of them without any plan. The optimum has to
be equal in all, and where the solver finds that there is none the desk has to say what clashes.

Every answer's rules are checked here anew, from the request alone; so are answers for days with
temperature steps, whose equivalent age is integrated here step by step (Arrhenius as in ASTM C1074,
or the ten-degree rule).

A textbook instance: ft06 of Fisher and Thompson (1963), optimum 55, needs a machine for each work,
which the desk doesn't ask for; the tests of the planner itself solve it (src/clock/day/tests.rs).
"""

import math
import time

import numpy as np
from ortools.sat.python import cp_model

from desk import Verdict, ask

CASES, WARM, SECONDS = 440, 120, 3
rng = np.random.default_rng(11)


def number(low, high):
    return int(rng.integers(low, high + 1))


def card(limits):
    least = number(15, 120)
    until = least + number(0, 80) if limits and rng.random() < 0.85 else None
    return {
        "reference_c": 23,
        "q10": 2.0,
        "recoat_from_min": least,
        "recoat_until_min": until,
        "demould_min": number(30, 300),
    }


def request(i, most=6):
    """A day: few cards, pieces that are alike or all different."""
    limits = i % 2 == 0
    cards = {f"card {n}": card(limits) for n in range(number(1, 2))}
    pieces, coats, alike = number(1, most), number(1, 4), rng.random() < 0.3
    if i % 4 == 0 and most == 6:
        pieces, coats, alike = 6, 3, alike and i % 8 == 0
    shape = [number(5, 45) for _ in range(coats)]
    made = []
    for n in range(pieces):
        fewest = coats if i % 4 == 0 else 1
        own = shape if alike else [number(5, 45) for _ in range(number(fewest, coats))]
        made.append({
            "name": f"piece {n}",
            "card": list(cards)[0 if alike else number(0, len(cards) - 1)],
            "coats_min": own,
            "demould_work_min": number(1, 12),
        })
    day = {"cards": cards, "hands": number(1, 3), "pieces": made}
    if i % 5 == 3:
        open_for = number(120, 480)
        day["hours"] = [[600 * d, 600 * d + open_for] for d in range(number(1, 5))]
    if i % 7 == 3:
        day["pins"] = [
            {"piece": piece["name"], "work": f"coat {number(1, len(piece['coats_min']))}",
             "start_min": number(0, 400)}
            for piece in made[: number(1, 2)]
        ]
    return day


def works(day, piece):
    """Name, length, and the ages of the gap before, of each work of a piece."""
    card = day["cards"][piece["card"]]
    coats = [
        (f"coat {n + 1}", takes, (card["recoat_from_min"], card.get("recoat_until_min")) if n else None)
        for n, takes in enumerate(piece["coats_min"])
    ]
    return [*coats, ("demould", piece["demould_work_min"], (card["demould_min"], None))]


def solved(day, leave=None):
    """The solver's verdict: the least leave, None where no plan exists, or its bound and best."""
    model = cp_model.CpModel()
    hours = day.get("hours")
    chains = [works(day, piece) for piece in day["pieces"]]
    pins = {(p["piece"], p["work"]): p["start_min"] for p in day.get("pins", [])}
    spans = sum(takes + (gap[0] if gap else 0) for chain in chains for _, takes, gap in chain)
    horizon = hours[-1][1] if hours else max([0, *pins.values()]) + spans + 100
    intervals, last = [], []
    for piece, chain in zip(day["pieces"], chains):
        end = None
        for name, takes, gap in chain:
            windows = [[a, b - takes] for a, b in hours or [[0, horizon]] if b - takes >= a]
            if not windows:
                return None, None
            start = model.new_int_var_from_domain(cp_model.Domain.from_intervals(windows), "")
            intervals.append(model.new_fixed_size_interval_var(start, takes, ""))
            if gap:
                model.add(start >= end + gap[0])
                if gap[1] is not None:
                    model.add(start <= end + gap[1])
            if (piece["name"], name) in pins:
                model.add(start == pins[piece["name"], name])
            end = start + takes
        last.append(end)
    if day["hands"] == 1:
        model.add_no_overlap(intervals)
    else:
        model.add_cumulative(intervals, [1] * len(intervals), day["hands"])
    makespan = model.new_int_var(0, horizon, "leave")
    model.add_max_equality(makespan, last)
    model.minimize(makespan)
    solver = cp_model.CpSolver()
    solver.parameters.num_workers = 2
    solver.parameters.max_time_in_seconds = SECONDS
    status = solver.solve(model)
    if status == cp_model.INFEASIBLE:
        return None, None
    if status == cp_model.OPTIMAL:
        return solver.objective_value, solver.objective_value
    if status != cp_model.FEASIBLE:
        # Nothing was found in its time.
        return solver.best_objective_bound, math.inf
    return solver.best_objective_bound, solver.objective_value


def age(day, card, start, end):
    """Equivalent age between two minutes: rate times minutes, step by step."""
    steps = day.get("temperature_c") or [[0, card["reference_c"]]]
    reference = card["reference_c"]

    def rate(celsius):
        if card.get("activation_kj_mol") is not None:
            kelvin = 1 / (celsius + 273.15) - 1 / (reference + 273.15)
            return math.exp(-card["activation_kj_mol"] * 1000 / 8.314462618 * kelvin)
        return card.get("q10", 2.0) ** ((celsius - reference) / 10)

    cuts = [-math.inf, *[at for at, _ in steps[1:]], math.inf]
    total = 0.0
    for (_, celsius), begin, until in zip(steps, cuts, cuts[1:]):
        overlap = min(end, until) - max(start, begin)
        total += max(overlap, 0.0) * rate(celsius)
    return total


def broken(day, answer, slack=1e-4):
    """The first rule that an answer breaks, or None."""
    at = {(s["piece"], s["work"]): s for s in answer["steps"]}
    pins = {(p["piece"], p["work"]): p["start_min"] for p in day.get("pins", [])}
    count = 0
    for piece in day["pieces"]:
        card, before = day["cards"][piece["card"]], None
        for name, takes, gap in works(day, piece):
            step = at[piece["name"], name]
            start, end = step["start_min"], step["end_min"]
            count += 1
            if abs(end - start - takes) > slack or start < -slack:
                return "length", step
            if gap:
                aged = age(day, card, before, start)
                if aged < gap[0] - slack or (gap[1] is not None and aged > gap[1] + slack):
                    return "gap", step, aged
            windows = day.get("hours")
            if windows and not any(a - slack <= start and end <= b + slack for a, b in windows):
                return "hours", step
            if abs(pins.get((piece["name"], name), start) - start) > slack:
                return "pin", step
            before = end
    if count != len(answer["steps"]):
        return "steps", count
    for step in answer["steps"]:
        # A work of no length doesn't count; at each start so many are under way.
        now = step["start_min"] + slack
        busy = sum(s["start_min"] <= now < s["end_min"] - slack for s in answer["steps"])
        if busy > day["hands"]:
            return "hands", step
    if abs(answer["leave_min"] - max(s["end_min"] for s in answer["steps"])) > slack:
        return "leave", answer["leave_min"]
    return None


verdict = Verdict()
days = [request(i) for i in range(CASES)]
begun = time.perf_counter()
answers = ask("clock", days)
took = time.perf_counter() - begun

wrong, other, open_ones, undecided, none, equal, unproven = [], [], 0, 0, 0, 0, 0
for day, answer in zip(days, answers):
    bound, best = solved(day)
    if "error" in answer:
        none += best is None
        undecided += best == math.inf
        other += [(day, answer, best)] * (best is not None and best < math.inf)
        continue
    fault = broken(day, answer)
    if fault:
        wrong.append((fault, day))
    leave, low = answer["leave_min"], answer["bound_min"]
    done, proven = bound == best, answer["proven_best"]
    unproven += not proven
    open_ones += not done
    # What both prove is equal; else the bounds of one lie under the plan of the other.
    sound = best is not None and low <= best + 1e-6 and bound <= leave + 1e-6
    same = sound and abs(leave - best) < 1e-6
    equal += same
    undecided += not (same or done)
    other += [(day, answer, bound, best)] * (not (same if done and proven else sound))
verdict.hold(not wrong, f"every answer keeps its rules {wrong[:1]}")
verdict.hold(not other, f"no answer differs from the solver's {other[:1]}")
verdict.hold(
    equal + none >= 0.99 * (CASES - undecided) and none >= 10,
    f"{equal} of {CASES} days are left when the solver's are, in {none} neither finds a plan",
)
# On a machine with much else to do the solver gets less far in its time.
verdict.hold(
    undecided <= 0.1 * CASES,
    f"in {undecided} the solver's time was too short to tell",
)
verdict.hold(
    unproven <= 0.01 * CASES,
    f"all but {unproven} are proven best; the solver wasn't done with {open_ones} in {SECONDS} s",
)
named = [a["error"] for a in answers if "error" in a]
fields = ("pieces[", "pins[", "hours:")
verdict.hold(all(said.startswith(fields) for said in named), "every clash names its field")
print(f"      such as: {named[:3]}")
verdict.hold(took < 0.25 * CASES, f"{1000 * took / CASES:.0f} ms a day, the program's start included")

warm = []
for i in range(WARM):
    day = request(i, 4)
    cuts = sorted(set(number(1, 900) for _ in range(number(0, 4))))
    day["temperature_c"] = [[at, number(5, 35)] for at in [0, *cuts]]
    for one in day["cards"].values():
        one["reference_c"] = number(18, 25)
        if rng.random() < 0.5:
            one["activation_kj_mol"] = number(30, 80)
    warm.append(day)
answers = ask("clock", warm)
faults = [(broken(d, a), d) for d, a in zip(warm, answers) if "error" not in a]
faults = [fault for fault in faults if fault[0]]
found = sum("error" not in a for a in answers)
verdict.hold(not faults, f"{found} of {WARM} days with temperature steps keep their gaps {faults[:1]}")
verdict.hold(found > 0.6 * WARM, "most of them have a plan")
verdict.end()
