"""A photographed plane: the homography that `desk homography` finds between two photographs of one
wall painting is the published one.

Source: Debian's package opencv-doc, folder examples/data: graf1.png, graf3.png and H1to3p.xml,
which takes places of the first to the second. Correspondences are found in the photographs by
OpenCV (SIFT, ratio test; PyPI: opencv-python-headless), and those further than 3 pixels from where
the published map takes them are mismatches and left out. Compared is where a grid over the first
picture goes: by the desk's map, by cv2.findHomography on the same pairs as a second witness, and
by the published map, whose own accuracy is a few tenths of a pixel where the pairs are.
"""

import os
import pathlib
import sys

import cv2
import numpy as np

from desk import Verdict, ask


def file(name):
    folder = os.environ.get("OPENCV_DOC")
    if not folder:
        sys.exit("OPENCV_DOC must name the folder of the unpacked package opencv-doc.")
    found = sorted(pathlib.Path(folder).rglob(name))
    if not found:
        sys.exit(f"{folder} holds no {name}.")
    return str(found[0])


def moved(points, h):
    return cv2.perspectiveTransform(np.asarray(points, float).reshape(-1, 1, 2), h).reshape(-1, 2)


first, third = (cv2.imread(file(name), cv2.IMREAD_GRAYSCALE) for name in ["graf1.png", "graf3.png"])
store = cv2.FileStorage(file("H1to3p.xml"), cv2.FILE_STORAGE_READ)
published = store.getFirstTopLevelNode().mat()

finder = cv2.SIFT_create()
(keys1, looks1), (keys3, looks3) = (finder.detectAndCompute(p, None) for p in [first, third])
pairs = cv2.BFMatcher().knnMatch(looks1, looks3, k=2)
good = [m for m, second in pairs if m.distance < 0.75 * second.distance]
start = np.array([keys1[m.queryIdx].pt for m in good])
goal = np.array([keys3[m.trainIdx].pt for m in good])
near = np.linalg.norm(moved(start, published) - goal, axis=1) < 3
start, goal = start[near], goal[near]

verdict = Verdict()
verdict.hold(len(start) >= 50, f"{len(start)} pairs of {len(good)} agree with the published map")
ours = np.array(ask("homography", {"from": start.tolist(), "to": goal.tolist()})["h"])
theirs = cv2.findHomography(start, goal, 0)[0]

# A grid over the part of the picture in which there are pairs.
low, high = np.percentile(start, [5, 95], axis=0)
grid = np.stack(np.meshgrid(*np.linspace(low, high, 9).T), -1).reshape(-1, 2)
off = [np.linalg.norm(moved(grid, h) - moved(grid, published), axis=1) for h in [ours, theirs]]
apart = np.linalg.norm(moved(grid, ours) - moved(grid, theirs), axis=1).max()
verdict.hold(
    np.median(off[0]) < 0.5 and off[0].max() < 1.5,
    f"from the published map: median {np.median(off[0]):.2f}, largest {off[0].max():.2f} pixels "
    f"(OpenCV's: {np.median(off[1]):.2f}, {off[1].max():.2f}); allowed 0.5 and 1.5",
)
verdict.hold(apart < 0.01, f"from OpenCV's map: at most {apart:.1e} pixels; allowed 0.01")
verdict.end()
