"""Areas and edge lengths of outlines with holes are shapely's, to 1e-9.

Source: PyPI's shapely. The picture looks squarely at the wall at one pixel a millimetre, so that
what the desk measures on the wall is the polygon as it was sent. Polygons by chance (fixed seed):
stars of 3 to 60 points, clockwise and counter-clockwise, with none to three holes. What shapely
calls invalid (crossed outlines, holes outside or overlapping) the desk must refuse.
"""

import math

import numpy as np
import shapely

from desk import Verdict, ask
from star import star

MOST = 1e-9
SIZE = [4000, 3000]
rng = np.random.default_rng(31)


def request(outline, holes):
    corners = [[300, 200], [3700, 200], [3700, 2800], [300, 2800]]
    return {
        "image_size_px": SIZE,
        "lens": None,
        "evidence": [{"kind": "point", "px": c, "mm": c} for c in corners],
        "outline_px": outline.tolist(),
        "holes_px": [hole.tolist() for hole in holes],
    }


sound, unsound = [], []
while len(sound) < 300 or len(unsound) < 100:
    outline = star(rng, [2000, 1500], rng.uniform(100, 1400), rng.integers(3, 60))
    if rng.random() < 0.2:
        outline = rng.permutation(outline)
    holes = [
        star(rng, rng.uniform([1000, 700], [3000, 2300]), rng.uniform(20, 300), rng.integers(3, 12))
        for _ in range(rng.integers(0, 4))
    ]
    polygon = shapely.Polygon(outline, holes)
    if polygon.is_valid:
        # Holes that meet the outline in a point are sound to shapely; none come by chance.
        sound.append((polygon, outline, holes))
    else:
        unsound.append((polygon, outline, holes))

verdict = Verdict()
answers = ask("survey", [request(o, h) for _, o, h in sound])
refused = [a["error"] for a in answers if "error" in a]
verdict.hold(not refused, f"{len(sound)} sound polygons are all measured {refused[:1]}")
apart = [
    (
        abs(a["footprint_mm2"]["value"] / p.area - 1),
        abs(a["perimeter_mm"]["value"] / p.length - 1),
    )
    for a, (p, _, _) in zip(answers, sound)
    if "error" not in a
]
area, edge = np.max(apart, axis=0)
verdict.hold(
    area <= MOST and edge <= MOST,
    f"largest difference of an area {area:.1e}, of an edge {edge:.1e}; allowed {MOST:.0e}",
)
with_holes = sum(len(h) > 0 for _, _, h in sound)
verdict.hold(with_holes >= 50, f"{with_holes} of the sound polygons have holes")

answers = ask("survey", [request(o, h) for _, o, h in unsound])
measured = [shapely.is_valid_reason(p) for a, (p, _, _) in zip(answers, unsound) if "error" not in a]
verdict.hold(not measured, f"{len(unsound)} unsound polygons are all refused {measured[:1]}")
named = [a["error"].startswith(("outline_px", "holes_px")) for a in answers if "error" in a]
verdict.hold(all(named), "every refusal names the outline or the hole")
verdict.end()
