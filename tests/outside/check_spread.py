"""The spread that `desk survey` states is the spread that its answers have.

1. Monte Carlo: each request is drawn anew 1000 times, every given number moved by its own stated
   spread (marks, gravity, focal length, centre, distortion, outline). The standard deviation of
   the answers must be the stated one to a tenth; that of 1000 draws is itself known to 2 %.
2. PyPI's package uncertainties: the polygon formula on outline points that are carried to the wall
   by a known homography, with correlated errors of the points, propagated by that package to first
   order. The wall is marked so well here that nothing else counts.
"""

import cv2
import numpy as np
from uncertainties import correlated_values

from desk import Verdict, ask

DRAWS = 1000
rng = np.random.default_rng(31)
SIZE, FOCAL, CENTRE = [4000, 3000], 3000.0, np.array([1999.5, 1499.5])
TURN = cv2.Rodrigues(np.array([0.22, -0.30, 0.05]))[0]
MOVE = np.array([-60.0, -40.0, 750.0])
verdict = Verdict()


def seen(mm):
    """Where the camera sees places on the wall, which lie at z = 0; its lens bends nothing."""
    p = np.column_stack([mm, np.zeros(len(mm))]) @ TURN.T + MOVE
    return FOCAL * p[:, :2] / p[:, 2:] + CENTRE


ROUND = np.linspace(0, 2 * np.pi, 48, endpoint=False)
OUTLINE = np.column_stack([110 + 90 * np.cos(ROUND), 60 + 70 * np.sin(ROUND)])
A4 = np.array([[-150.0, -60], [60, -60], [60, 237], [-150, 237]])
CARD = np.array([[-90.0, 0], [-4.4, 0], [-4.4, 53.98], [-90, 53.98]])
RULE = np.column_stack([np.linspace(-100, 200, 13), np.full(13, 150.0)])
DOWN = TURN @ np.array([0.0, 1, 0])


def points(mm, px):
    return [{"kind": "point", "px": p, "mm": m} for p, m in zip(px.tolist(), mm.tolist())]


def ticks(mm, px):
    readings = (mm[:, 0] - mm[0, 0]).tolist()
    return [{"kind": "tick", "px": p, "at_mm": r, "rule": "a"} for p, r in zip(px.tolist(), readings)]


def drawn(places, evidence, sd, gravity_sd=None, focal_sd=10.0, k_sd=0.003):
    """A request whose numbers are off by chance, by the spreads that it states."""
    def noisy(mm):
        return seen(mm) + rng.normal(0, sd, (len(mm), 2))

    request = {
        "image_size_px": SIZE,
        "point_sd_px": sd,
        "lens": {
            "focal_px": FOCAL + rng.normal(0, focal_sd),
            "focal_sd_px": focal_sd,
            "center_px": (CENTRE + rng.normal(0, focal_sd, 2)).tolist(),
            "k1": rng.normal(0, k_sd),
            "k2": rng.normal(0, k_sd),
            "k_sd": k_sd,
        },
        "evidence": evidence(places, noisy(places)),
        "outline_px": noisy(OUTLINE).tolist(),
    }
    if gravity_sd:
        turn = np.cross(DOWN, rng.normal(0, np.radians(gravity_sd), 3))
        request["gravity"] = ((DOWN + turn) / np.linalg.norm(DOWN + turn)).tolist()
        request["gravity_sd_deg"] = gravity_sd
        request["wall_angle_sd_deg"] = 1e-3
    return request


for name, case in {
    "a sheet": dict(places=A4, evidence=points, sd=0.5),
    "a card": dict(places=CARD, evidence=points, sd=0.3),
    "a rule of 13 readings and gravity": dict(places=RULE, evidence=ticks, sd=0.3, gravity_sd=0.5),
}.items():
    answers = ask("survey", [drawn(**case) for _ in range(DRAWS)])
    for field in ["footprint_mm2", "perimeter_mm"]:
        found = [a[field] for a in answers]
        had = np.std([f["value"] for f in found], ddof=1)
        stated = np.sqrt(np.mean([f["sd"] ** 2 for f in found]))
        verdict.hold(
            abs(stated / had - 1) < 0.1,
            f"{name}, {field}: stated spread {stated:.4g}, had in {DRAWS} draws {had:.4g}",
        )

# The exact map back to the wall, and a request that knows it.
wide = np.array([[-300.0, -250], [420, -250], [420, 330], [-300, 330]])
back = cv2.getPerspectiveTransform(seen(wide).astype(np.float32), wide.astype(np.float32))
exact = np.linalg.inv(
    np.diag([FOCAL, FOCAL, 1]) @ np.column_stack([TURN[:, 0], TURN[:, 1], MOVE])
) @ np.array([[1, 0, -CENTRE[0]], [0, 1, -CENTRE[1]], [0, 0, 1]])
assert np.allclose(back / back[2, 2], exact / exact[2, 2], rtol=1e-3, atol=1e-4)
px = seen(OUTLINE)
sharp = {
    "image_size_px": SIZE,
    "lens": {"focal_px": FOCAL, "focal_sd_px": 1e-4, "center_px": CENTRE.tolist(), "k1": 0, "k2": 0, "k_sd": 1e-8},
    "evidence": [dict(e, sd_px=1e-4) for e in points(wide, seen(wide))],
    "outline_px": px.tolist(),
}

across = np.roll(px, -1, 0) - np.roll(px, 1, 0)
across = np.column_stack([across[:, 1], -across[:, 0]]) / np.linalg.norm(across, axis=1)[:, None]
steps = np.linalg.norm(np.roll(px, -1, 0) - px, axis=1)
along, length = np.r_[0, np.cumsum(steps)[:-1]], steps.sum()


def in_common(reach):
    """exp(-d / reach) between any two points, d taken both ways round and any number of times."""
    d = np.abs(along[:, None] - along[None]) / (reach * length)
    rounds = np.arange(-30, 31)[:, None, None] / reach
    kernel = np.exp(-np.abs(d[None] + rounds)).sum(0)
    return kernel / kernel[0, 0]


for name, fields, covariance in [
    ("points apart", {"point_sd_px": 0.8}, 0.64 * np.eye(96)),
    ("neighbours together", {"point_sd_px": 1e-6, "edge_sd_px": 1.2, "edge_reach": 0.15}, 1.44 * in_common(0.15)),
    ("all together", {"point_sd_px": 1e-6, "edge_common_sd_px": 0.7}, 0.49 * np.ones((48, 48))),
]:
    if len(covariance) == 48:
        push = correlated_values(np.zeros(48), covariance)
        u = [p[0] + n[0] * s for p, n, s in zip(px, across, push)]
        v = [p[1] + n[1] * s for p, n, s in zip(px, across, push)]
    else:
        both = correlated_values(px.ravel(), covariance)
        u, v = both[::2], both[1::2]
    w = [exact[2, 0] * a + exact[2, 1] * b + exact[2, 2] for a, b in zip(u, v)]
    x = [(exact[0, 0] * a + exact[0, 1] * b + exact[0, 2]) / c for a, b, c in zip(u, v, w)]
    y = [(exact[1, 0] * a + exact[1, 1] * b + exact[1, 2]) / c for a, b, c in zip(u, v, w)]
    area = sum(x[i - 1] * y[i] - x[i] * y[i - 1] for i in range(48)) / 2
    answer = ask("survey", dict(sharp, **fields))["footprint_mm2"]
    verdict.hold(
        abs(answer["value"] / abs(area.nominal_value) - 1) < 1e-6
        and abs(answer["sd"] / area.std_dev - 1) < 0.03,
        f"{name}: area {answer['value']:.1f} ± {answer['sd']:.2f}, by uncertainties "
        f"{abs(area.nominal_value):.1f} ± {area.std_dev:.2f} mm²",
    )
verdict.end()
