"""Casts are those of handbook rows, of closed forms and of trimesh.

Sources of the rows, as read second-hand and with the digits they are printed with: two plaster
makers' tables (wet 99 and dry 69 lb/ft3 at consistency 70; dry kg/m3 1162, 1106, 1057, 1442 and
1588 at 65, 70, 74, 45 and 38); Beckett, Industrial Chocolate Manufacture and Use (liquid 1.2 g/ml,
printed as 76 lb/ft3, and solid as 80); a resin page (7 % by volume). The pound is 453.59237 g and
the foot 304.8 mm, exactly. Slurry and dry densities by consistency are also worked out here anew
from the molar masses of gypsum, to the third decimal. Closed forms: box, spherical cap, half-torus
(Pappus), J. Steiner's formula. Solids and shells as bodies are measured by trimesh (PyPI), shells as
the difference of two offset bodies; the figure is a mesh of Debian's package libcgal-demo, as in
meshes.py, its offset body made by scipy's distance transform (PyPI).
"""

import math

import numpy as np
import trimesh
from scipy import ndimage

import meshes
from desk import Verdict, ask

verdict = Verdict()
POUND_PER_CUBIC_FOOT = 453.59237 / 304.8**3 * 1e6  # kg/m3


def near(name, found, wanted, share):
    off = found / wanted - 1
    verdict.hold(abs(off) <= share, f"{name}: {found:.4f} for {wanted:.4f} ({100 * off:+.3f} %)")


def told(requests):
    answers = ask("casting", requests)
    for answer in answers:
        if "error" in answer:
            verdict.hold(False, answer["error"])
            verdict.end()
    return answers


# Densities and mixes.
TILE = {"area_mm2": 10_000, "highest_mm": 0, "backing_mm": 100, "scale_step_g": 0.001}


def tile(medium):
    """A litre of it."""
    return {**TILE, "medium": medium}


near("lb/ft3 in kg/m3", POUND_PER_CUBIC_FOOT, 16.01846337, 1e-9)
rows = [30, 38, 40, 45, 50, 60, 65, 70, 74, 80, 90, 100]
plasters = dict(zip(rows, told([tile({"plaster_consistency": c}) for c in rows])))
for c, answer in plasters.items():
    # 2.75 g/ml hemihydrate; CaSO4 1/2 H2O 145.148, CaSO4 2 H2O 172.171.
    volume = 100 / 2.75 + c
    slurry, dry = (100 + c) / volume, 100 * 172.171 / 145.148 / volume
    medium = answer["medium"]
    same = round(medium["density_g_ml"], 3) == round(slurry, 3)
    same &= round(medium["dry_density_g_ml"], 3) == round(dry, 3)
    same &= math.isclose(answer["mass_each_g"]["value"], 1000 * slurry, rel_tol=1e-9)
    plaster, water = (part["mass_g"] for part in answer["mix_each_g"])
    same &= abs(water / plaster - c / 100) < 1e-5
    verdict.hold(same, f"plaster at {c}: {slurry:.3f} g/ml wet, {dry:.3f} dry, its mix by weight")
for c, printed in [(65, 1162), (70, 1106), (74, 1057), (45, 1442), (38, 1588)]:
    near(f"a maker's table, dry kg/m3 at {c}",
         1000 * plasters[c]["medium"]["dry_density_g_ml"], printed, 0.02)
for name, key, printed in [("wet", "density_g_ml", 99), ("dry", "dry_density_g_ml", 69)]:
    pounds = 1000 * plasters[70]["medium"][key] / POUND_PER_CUBIC_FOOT
    near(f"another maker's table, {name} lb/ft3 at 70", pounds, printed, 0.02)

polyester, chocolate, gypsum = told(
    [tile(medium) for medium in ["polyester-resin", "chocolate-dark", "gypsum-70"]]
)
change = polyester["medium"]["linear_change"]
verdict.hold(f"{100 * change:.2f}" == "-2.39", f"7 % by volume is {100 * change:.2f} % by length")
near("polyester, specific gravity", polyester["medium"]["density_g_ml"], 1.13, 1e-12)
liquid = chocolate["medium"]["density_g_ml"]
near("liquid chocolate, g/ml", liquid, 1.2, 1e-12)
pounds = 1000 * liquid / POUND_PER_CUBIC_FOOT
verdict.hold(round(pounds) == 75, f"1.2 g/ml is {pounds:.1f} lb/ft3, where the table prints 76")
near("printed 76 lb/ft3 against the card", pounds, 76, 0.02)
least = (1.2 / 1.3) ** (1 / 3) - 1
near("chocolate, middle of its change", chocolate["medium"]["linear_change"], least / 2, 1e-9)
once = 1 + gypsum["generations"][0]["change"]["value"]
for copy in gypsum["generations"]:
    near(f"generation {copy['number']}", 1 + copy["change"]["value"], once ** copy["number"], 1e-12)

# Volumes and shells. The closed forms stand first as bodies of trimesh, then as height maps.
T = [2.0, 4.0, 7.0]
STEP = 0.5


def table(reach_x, reach_y, height):
    """Heights at the middles of squares around the origin."""
    x = np.arange(-reach_x, reach_x, STEP) + STEP / 2
    y = np.arange(-reach_y, reach_y, STEP) + STEP / 2
    with np.errstate(invalid="ignore"):
        return height(*np.meshgrid(x, y))


def request(rows, thickness=None):
    rows = [[None if np.isnan(h) else float(h) for h in row] for row in rows]
    filling = {"kind": "slush", "thickness_mm": thickness} if thickness else {"kind": "solid"}
    heights = {"step_mm": STEP, "rows": rows}
    return {"heights": heights, "medium": "wax", "filling": filling}


def cap_body(radius, high, sections=400):
    """A spherical cap, turned."""
    turn = np.linspace(0, math.acos(1 - high / radius), 200)
    line = np.c_[radius * np.sin(turn), radius * np.cos(turn) - (radius - high)]
    line[-1, 1] = 0
    return trimesh.creation.revolve(np.r_[[[0.0, 0.0]], line[::-1]], sections=sections)


def ring_body(radius, tube):
    """A half-torus on the wall, turned."""
    turn = np.linspace(0, np.pi, 200)
    line = np.c_[radius + tube * np.cos(turn), tube * np.sin(turn)]
    return trimesh.creation.revolve(np.r_[line, line[:1]], sections=600)


def cap_volume(radius, high):
    return math.pi * high**2 * (3 * radius - high) / 3


def box(t):
    return abs(trimesh.creation.box((120 - 2 * t, 80 - 2 * t, 40 - t)).volume)


def cap(t):
    return abs(cap_body(50 - t, 20 - t).volume)


def ring(t):
    return abs(ring_body(50, 10 - t).volume)


near("trimesh, spherical cap", cap(0), cap_volume(50, 20), 1e-3)
near("trimesh, spherical cap, printed 54454.2727", cap_volume(50, 20), 54454.2727, 1e-8)
near("trimesh, half-torus by Pappus, printed 49348.022", ring(0), 49348.022, 1e-3)

shapes = {
    "box": (box, table(66, 46, lambda x, y: np.where((abs(x) < 60) & (abs(y) < 40), 40.0, np.nan))),
    "cap": (
        cap,
        table(44, 44, lambda x, y: np.where(
            x * x + y * y < 1600, np.sqrt(2500 - x * x - y * y) - 30, np.nan)),
    ),
    "half-torus": (
        ring,
        table(64, 64, lambda x, y: np.sqrt(100 - (np.hypot(x, y) - 50) ** 2)),
    ),
}
for name, (body, rows) in shapes.items():
    answers = told([request(rows), *(request(rows, t) for t in T)])
    solid = answers[0]["volume_ml"]["value"]
    near(f"{name}, solid in ml", solid, body(0) / 1000, 0.004)
    for t, answer in zip(T, answers[1:]):
        wanted = (body(0) - body(t)) / 1000
        near(f"{name}, shell of {t} mm in ml", answer["volume_ml"]["value"], wanted, 0.015)
        verdict.hold(
            answer["to_the_brim_g"] == answers[0]["mass_each_g"],
            f"{name}: filled to the brim it is the solid",
        )

# Where only the surface is known: Steiner inwards, A t - M t2. The half-torus bends by
# (1 / r + cos / (R + r cos)) / 2; over the whole upper half that is pi2 R.
A, M = 2 * math.pi**2 * 500, math.pi**2 * 50
known = {"area_mm2": math.pi * (60**2 - 40**2), "highest_mm": 10, "stands_out_ml": 49.348022,
         "surface_mm2": A, "mean_curvature_mm": M, "medium": "wax"}
answers = told([{**known, "filling": {"kind": "sheet", "thickness_mm": t}} for t in [*T, 60]])
for t, answer in zip(T, answers):
    near(f"half-torus by its surface, {t} mm", answer["volume_ml"]["value"], (ring(0) - ring(t)) / 1000, 2e-3)
near("a sheet thicker than the piece is the solid", answers[-1]["volume_ml"]["value"], 49.348022, 1e-9)

# A figure: trimesh's volume of the front half as a closed solid, and the solid that a ball can't
# reach, by the distance of each small cube of its room to the surface.
STEP = meshes.STEP_MM
figure = meshes.relief("bear", 90, 18)
rows = np.where(figure > 0, figure, np.nan)
answers = told([request(rows), *(request(rows, t) for t in [2.0, 4.0])])
measured = meshes.measured(figure, STEP)["volume_mm3"] / 1000
near("bear, solid in ml", answers[0]["volume_ml"]["value"], measured, 0.03)
FINE = 3
near_by = ndimage.distance_transform_edt(figure <= 0, return_indices=True, return_distances=False)
at = [(np.arange(n * FINE) + 0.5) / FINE - 0.5 for n in figure.shape]
smooth = ndimage.map_coordinates(
    figure[tuple(near_by)], np.meshgrid(*at, indexing="ij"), order=1, mode="nearest"
)
known = np.repeat(np.repeat(figure > 0, FINE, 0), FINE, 1)
cube = STEP / FINE
levels = (np.arange(math.ceil(smooth.max() / cube)) + 0.5) * cube
room = np.pad(np.where(known, smooth, 0), 2)[None] > levels[:, None, None]
# The back is open: behind the wall the room goes on with what stands at it.
deep = int(4.5 / cube)
room = np.concatenate([np.repeat(room[:1], deep, 0), room, np.zeros_like(room[:2])])
away = ndimage.distance_transform_edt(room, sampling=cube)[deep:]
for t, answer in zip([2.0, 4.0], answers[1:]):
    # The surface lies half a cube before the first cube beyond it.
    shell = ((away > 0) & (away - cube / 2 < t)).sum() / (away > 0).sum()
    found = answer["volume_ml"]["value"] / answers[0]["volume_ml"]["value"]
    near(f"bear, share of a shell of {t} mm", found, shell, 0.03)
verdict.end()
