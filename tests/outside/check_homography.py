"""The homography of `desk homography` is OpenCV's, to 1e-6, on the same points.

Source: cv2.findHomography(from, to, 0) of PyPI's opencv-python-headless, which makes the sum of
squared distances in `to` least, as this project does. Points: by chance (fixed seeds), and the
corners of real photographs of a chessboard (see board.py).

OpenCV keeps points in single precision, so all points are rounded to 1/64 first: both then see
the same numbers. It also ends its refinement while the smallest elements of the matrix may still
change in their fifth digit. So two things are compared: where the points go, with OpenCV's result
as it is, as a share of the points' extent; and the elements of the matrix (1 at its lower right),
each as a share of its own size, with OpenCV's result refined until it stands still.
"""

import cv2
import numpy as np

from board import Board, corner_mm
from desk import Verdict, ask

MOST = 1e-6
rng = np.random.default_rng(20)


def rounded(points):
    return np.round(points * 64) / 64


def by_chance(count, noise):
    """Pairs of points through a strong but finite perspective, disturbed in the target."""
    while True:
        start = rng.uniform([0, 0], [4000, 3000], (count, 2))
        h = np.array([[0.3, 0.02, -40], [-0.02, 0.33, -20], [0, 0, 1]])
        h[:2, :2] += rng.normal(0, 0.05, (2, 2))
        h[2, :2] = rng.normal(0, 6e-5, 2)
        w = start @ h[2, :2] + 1
        if w.min() > 0.5 and widest_apart(start):
            goal = (start @ h[:2, :2].T + h[:2, 2]) / w[:, None]
            return rounded(start), rounded(goal + rng.normal(0, noise, (count, 2)))


def widest_apart(p):
    """Some four of the points are far from being three in a line."""
    corners = cv2.convexHull(p.astype(np.float32)).reshape(-1, 2)
    if len(p) > 4:
        return cv2.contourArea(corners) > 2e6
    edges = np.roll(corners, -1, 0) - corners
    after = np.roll(edges, -1, 0)
    turns = edges[:, 0] * after[:, 1] - edges[:, 1] * after[:, 0]
    return len(corners) == 4 and np.abs(turns).min() > 6e5


def moved(points, h):
    return cv2.perspectiveTransform(points.reshape(-1, 1, 2), h).reshape(-1, 2)


def scaled(points):
    """The map that brings the points' middle to 0 and their mean distance from it to 1."""
    middle = points.mean(0)
    s = 1 / np.linalg.norm(points - middle, axis=1).mean()
    return np.array([[s, 0, -s * middle[0]], [0, s, -s * middle[1]], [0, 0, 1]])


def carried_on(start, goal, h):
    """OpenCV's result by Gauss and Newton's method until it stands still."""
    from_start, from_goal = scaled(start), scaled(goal)
    start, goal = moved(start, from_start), moved(goal, from_goal)
    h = from_goal @ h @ np.linalg.inv(from_start)
    h /= h[2, 2]
    for _ in range(20):
        w = start @ h[2, :2] + 1
        p = moved(start, h)
        row = np.column_stack([start, np.ones(len(start))]) / w[:, None]
        none = np.zeros_like(row)
        slopes = np.vstack([
            np.hstack([row, none, -p[:, :1] * row[:, :2]]),
            np.hstack([none, row, -p[:, 1:] * row[:, :2]]),
        ])
        miss = (goal - p).T.ravel()
        h.ravel()[:8] += np.linalg.lstsq(slopes, miss, rcond=None)[0]
    h = np.linalg.inv(from_goal) @ h @ from_start
    return h / h[2, 2]


def largest(start, goal, ours):
    theirs = cv2.findHomography(start, goal, 0)[0]
    apart = np.abs(moved(start, ours) - moved(start, theirs)).max() / np.ptp(goal, axis=0).max()
    best = carried_on(start, goal, theirs)
    return apart, (np.abs(ours - best) / np.abs(best)).max()


board = Board("left")
flat = np.array([corner_mm(c, r) for r in range(6) for c in range(9)])
cases = {
    "four points by chance": [by_chance(4, 0.0) for _ in range(50)],
    "twenty points by chance, disturbed by 0.5": [by_chance(20, 0.5) for _ in range(50)],
    "54 corners of each photograph": [(rounded(c.reshape(-1, 2)), flat) for c in board.corners],
}
verdict = Verdict()
for name, pairs in cases.items():
    answers = ask("homography", [{"from": f.tolist(), "to": t.tolist()} for f, t in pairs])
    found = [largest(f, t, np.array(a["h"])) for (f, t), a in zip(pairs, answers)]
    points, elements = np.max(found, axis=0)
    verdict.hold(
        points <= MOST and elements <= MOST,
        f"{name}: {len(pairs)} cases; largest difference of a point {points:.1e} of the extent, "
        f"of an element {elements:.1e} of its size; allowed {MOST:.0e}",
    )
verdict.end()
