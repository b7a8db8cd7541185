"""Skins, borders and spreads of plans are those of closed forms, of shapely and of uncertainties.

Sources: the shells between two spheres, two cylinders and two planes in closed form; J. Steiner's
formula for the parallel curve of a convex figure; PyPI's shapely for the strips around polygons
with notches, holes and neighbours (fixed seed); PyPI's uncertainties for first-order propagation.
"""

import math

import numpy as np
import shapely
from uncertainties import ufloat

from desk import Verdict, ask
from star import star

verdict = Verdict()
rng = np.random.default_rng(51)
PASTE = {
    "name": "made up",
    "ratio_by_mass": [1, 1],
    "density": 1.0,
    "working": 60,
    "recoat_from": 60,
    "demould": 120,
    "reference": 23,
}


def heights(step, reach, height):
    """A height map around the origin, `None` off the piece."""
    n = round(reach / step)
    at = [i * step for i in range(-n, n + 1)]
    return {"step_mm": step, "rows": [[height(x, y) for x in at] for y in at]}


def skin(area, perimeter, thicknesses, **more):
    """A request for these coats, without a border, of a paste of 1 g/ml."""
    coats = [{"role": "build", "thickness_mm": t} for t in thicknesses]
    return {
        "area_mm2": area,
        "perimeter_mm": perimeter,
        "border_mm": 0,
        "material": PASTE,
        "coats": coats,
        **more,
    }


# Skins over closed bodies, in two coats of which the second lies on the first.
R, H = 50.0, 20.0
cap = heights(
    0.5,
    42.0,
    lambda x, y: max(math.sqrt(R * R - x * x - y * y) - (R - H), 0.0)
    if x * x + y * y <= 1600
    else None,
)
r, length = 20.0, 160.0


def bead(length):
    return heights(
        0.5,
        length / 2 + 2,
        lambda x, y: math.sqrt(r * r - x * x) if abs(x) < r and abs(y) <= length / 2 else None,
    )


COATS = [2.35, 4.0]
cases = [
    skin(math.pi * 1600, 80 * math.pi, COATS, heights=cap),
    skin(2 * r * 80, 2 * (2 * r + 80), COATS, heights=bead(80)),
    skin(2 * r * 120, 2 * (2 * r + 120), COATS, heights=bead(120)),
    skin(30_000, 700, COATS, highest_mm=0),
    skin(60_000, 1000, COATS, relief="middle", highest_mm=40),
]
cap_plan, short, long, plate, box = ask("coating", cases)
whole = sum(COATS)


def shell(plan):
    return sum(coat["volume_ml"] for coat in plan["coats"])


def near(name, found, wanted, share):
    off = found / wanted - 1
    verdict.hold(abs(off) <= share, f"{name}: {found:.3f} for {wanted:.3f} ({100 * off:+.2f} %)")


def sphere(t):
    return 2 * math.pi * H / R * ((R + t) ** 3 - R**3) / 3000


near("spherical cap, skin in ml", shell(cap_plan), sphere(whole), 0.005)
for coat, (low, high) in zip(cap_plan["coats"], [(0, COATS[0]), (COATS[0], whole)]):
    wanted = sphere(high) - sphere(low)
    near(f"spherical cap, coat {coat['number']}", coat["volume_ml"], wanted, 0.006)
# What 40 mm more of a half-round bead take is a strip of a cylinder.
strip = math.pi / 2 * ((r + whole) ** 2 - r * r) * 40 / 1000
near("cylinder strip, skin in ml", shell(long) - shell(short), strip, 0.01)
near("flat plate, skin in ml", shell(plate), 30_000 * whole / 1000, 1e-9)
# 300 x 200 x 40 on a wall, the middle of its kind: edges and corners beyond area times thickness.
flat = box["surface_mm2"]["value"] * whole / 1000
near("box, edges and corners in ml", shell(box) - flat, 36.73629 + 0.53627, 1e-4)


# Strips around polygons by chance, against shapely's buffer with fine round corners.
requests, wanted, steiner = [], [], []
while len(requests) < 300:
    outline = star(rng, [0, 0], rng.uniform(60, 400), rng.integers(3, 40))
    if rng.random() < 0.2:
        outline = np.array(shapely.Polygon(outline).convex_hull.exterior.coords)[:-1]
    holes = [star(rng, rng.uniform(-60, 60, 2), rng.uniform(8, 40), rng.integers(3, 9))]
    holes = holes[: rng.integers(0, 2)]
    piece = shapely.Polygon(outline, holes)
    beside = star(rng, rng.uniform(-450, 450, 2), rng.uniform(30, 120), rng.integers(3, 9))
    neighbour = shapely.Polygon(beside)
    if not piece.is_valid or not neighbour.is_valid:
        continue
    free = rng.random() < 0.7 and neighbour.disjoint(piece)
    border = rng.uniform(5, 60)
    strip = piece.buffer(border, quad_segs=64).difference(piece)
    if free:
        strip = strip.difference(neighbour)
    request = {
        "outline_mm": outline.tolist(),
        "holes_mm": [hole.tolist() for hole in holes],
        "neighbours_mm": [beside.tolist()] if free else [],
        "highest_mm": 5,
        "border_mm": border,
    }
    requests.append(request)
    wanted.append(strip.area)
    if piece.convex_hull.area - piece.area < 1e-6 and not free:
        steiner.append((len(requests) - 1, piece.length * border + math.pi * border**2))
answers = ask("coating", requests)
failed = [a["error"] for a in answers if "error" in a]
verdict.hold(not failed, f"300 outlines are planned {failed[:1]}")
off = [abs(a["border_mm2"]["value"] / w - 1) for a, w in zip(answers, wanted)]
verdict.hold(max(off) < 2e-3, f"border strips are shapely's: worst {max(off):.1e}")
spared = sum(1 for r in requests if r["neighbours_mm"])
verdict.hold(spared > 30, f"{spared} of them are beside a neighbour")
convex = [answers[i]["border_mm2"]["value"] / s - 1 for i, s in steiner]
verdict.hold(
    len(convex) > 5 and max(map(abs, convex)) < 2e-3,
    f"{len(convex)} convex ones are Steiner's",
)

# A flat piece, whose need is a sum of products: uncertainties and the desk agree.
cases = [
    (rng.uniform(2e4, 3e5), rng.uniform(0, 0.05), rng.uniform(0, 0.03), rng.uniform(5, 40))
    for _ in range(40)
]
requests = [
    {
        "area_mm2": {"value": a, "sd": a * sa},
        "perimeter_mm": {"value": 5 * math.sqrt(a), "sd": 5 * math.sqrt(a) * sp},
        "highest_mm": 0,
        "border_mm": b,
    }
    for a, sa, sp, b in cases
]
worst_first, worst_drawn = 0.0, 0.0
for answer, (a, sa, sp, b) in zip(ask("coating", requests), cases):
    outline = ufloat(0, 1)
    p = 5 * math.sqrt(a)
    area = a * (1 + sa * outline)
    rim = (p * b + math.pi * b * b) * (1 + sp * outline)
    density = 1.2 * ufloat(1, 0.061)
    residue = answer["residue_g"]["value"] * ufloat(1, 0.4)
    total = residue
    for coat, spread in zip(answer["coats"], [0.25, 0.15, 0.15]):
        total += (area + rim) * coat["thickness_mm"] * ufloat(1, spread) * density / 1000
    first, drawn = answer["total_first_order_g"], answer["total_g"]
    worst_first = max(worst_first, abs(first["sd"] / total.std_dev - 1))
    worst_first = max(worst_first, abs(first["value"] / total.nominal_value - 1))
    worst_drawn = max(worst_drawn, abs(drawn["sd"] / total.std_dev - 1))
verdict.hold(worst_first < 0.02, f"first order is uncertainties': worst {100 * worst_first:.2f} %")
verdict.hold(worst_drawn < 0.08, f"the draws agree with it: worst {100 * worst_drawn:.2f} %")
verdict.end()
