"""Heights and matches in real pairs of photographs.

First, a flat board: in photographs of OpenCV's chessboard by two cameras (Debian's package
opencv-doc, see board.py), a block of 75 x 50 mm of its corners says where the board is, and the
rest of the board is measured as a relief: it has no height. What OpenCV triangulates from the same
blocks is printed beside it.

Second, the matcher by itself, against OpenCV's semi-global one (StereoSGBM over eight paths with
its check from right to left) where the truth is known: the aloe of opencv-doc, at half its size,
and the motorcycle in PyPI's scikit-image. Each is judged on
its own answers, and has to give about as many; what it is where both answer is printed.
"""

import io
import os
import pathlib
import tempfile
import time

import cv2
import numpy as np
from shapely import Polygon, contains_xy

import board
from desk import Verdict, ask
from photos import package
from scenes import heights, places

COLUMNS, ROWS = 4, 3
# Round the board's corners outside the block, in columns and rows.
REST = [(3, 0), (8, 0), (8, 5), (0, 5), (0, 2), (3, 2)]
MOST_HEIGHT_MM = 0.6
MOST_REFUSED = 1
# How many pixels the desk may leave unanswered that OpenCV answers.
LEAST_ANSWERED = 0.95
cv2.setNumThreads(1)


def rim():
    """The corners along the rest's outline."""
    for (c, r), (to_c, to_r) in zip(REST, [*REST[1:], REST[0]]):
        steps = max(abs(to_c - c), abs(to_r - r))
        for i in range(steps):
            yield c + (to_c - c) * i // steps, r + (to_r - r) * i // steps


def flat(cameras, files, index):
    """The request for one pair."""
    block = [(c, r) for r in range(ROWS) for c in range(COLUMNS)]
    photos = [
        {
            "photo": str(file),
            "image_size_px": list(camera.size),
            "lens": camera.lens,
            "gravity": None,
            "gravity_sd_deg": 0.5,
            "point_sd_px": camera.point_sd_px,
            "evidence": [
                {
                    "kind": "point",
                    "px": list(camera.corners[index][r, c]),
                    "mm": board.corner_mm(c, r),
                }
                for c, r in block
            ],
        }
        for camera, file in zip(cameras, files)
    ]
    return {
        "photos": photos,
        "outline_of": 0,
        "outline_px": [list(cameras[0].corners[index][r, c]) for c, r in rim()],
        "max_height_mm": 30,
        "grid_mm": 1.0,
        "readings": [],
    }


def triangulated(cameras, index):
    """The heights of the board's other corners by OpenCV, from the poses of the same blocks."""
    block = np.array([[*board.corner_mm(c, r), 0.0] for r in range(ROWS) for c in range(COLUMNS)])
    ways, seen = [], []
    for camera in cameras:
        corners = camera.corners[index]
        marks = corners[:ROWS, :COLUMNS].reshape(-1, 2)
        _, turn, move = cv2.solvePnP(block, marks, camera.matrix, camera.bend)
        ways.append(np.hstack([cv2.Rodrigues(turn)[0], move]))
        ideal = cv2.undistortPoints(corners.reshape(-1, 1, 2), camera.matrix, camera.bend)
        seen.append(ideal.reshape(-1, 2).T)
    found = cv2.triangulatePoints(*ways, *seen)
    out = (found[2] / found[3]).reshape(board.ROWS, board.COLUMNS)
    out[:ROWS, :COLUMNS] = np.nan
    return out[np.isfinite(out)]


def check_board(verdict, folder):
    cameras = [board.Board("left"), board.Board("right")]
    pictures = [board.pictures(name) for name in ("left", "right")]
    requests = []
    for index, names in enumerate(zip(*pictures)):
        files = [folder / f"{name}.jpg" for name in names]
        for file, name, found in zip(files, names, pictures):
            file.write_bytes(found[name])
        requests.append(flat(cameras, files, index))
    begun = time.monotonic()
    answers = ask("relief", requests)
    seconds = (time.monotonic() - begun) / len(requests)
    rest = Polygon([board.corner_mm(c, r) for c, r in REST])
    ours, theirs, known = [], [], []
    refused = 0
    for index, (name, answer) in enumerate(zip(pictures[0], answers)):
        by_opencv = np.abs(triangulated(cameras, index))
        theirs.extend(by_opencv)
        if "error" in answer:
            refused += 1
            print(f"      {name}: {answer['error']}")
            continue
        grid = answer["grid"]
        within = contains_xy(rest, *places(grid))
        found = np.abs(heights(grid)[within])
        found = found[np.isfinite(found)]
        known.append(len(found) * grid["step_mm"] ** 2 / rest.area)
        ours.extend(found)
        print(
            f"      {name}: the board is {np.median(found) if len(found) else np.nan:.2f} mm high"
            f" (median), {100 * known[-1]:.0f} % known;"
            f" OpenCV's corners {np.median(by_opencv):.2f} mm"
        )
    median = np.median(ours) if ours else np.inf
    # A board's squares are even for the most part: seen from near, the photos may show too little.
    verdict.hold(refused <= MOST_REFUSED, f"{refused} of {len(requests)} pairs are refused")
    verdict.hold(
        median <= MOST_HEIGHT_MM and np.median(known) > 0.5,
        f"a flat board in {len(requests)} pairs is {median:.2f} mm high (median),"
        f" OpenCV's triangulated corners {np.median(theirs):.2f} mm; {seconds:.1f} s a pair",
    )


def aloe():
    """Both pictures and the left one's disparities at half their size, NaN where unknown."""
    folder = pathlib.Path(os.environ["OPENCV_DOC"]) / "examples/data"
    left, right = (cv2.imread(str(folder / f"aloe{side}.jpg")) for side in "LR")
    truth = cv2.imread(str(folder / "aloeGT.png"), cv2.IMREAD_UNCHANGED).astype(float)
    rows, columns = (n // 2 for n in truth.shape)
    fours = truth[: 2 * rows, : 2 * columns].reshape(rows, 2, columns, 2)
    least, most = fours.min(axis=(1, 3)), fours.max(axis=(1, 3))
    # Unknown is 0; where the four differ, an edge runs through them.
    good = (least > 0) & (most - least <= 1)
    small = [cv2.resize(p, (columns, rows), interpolation=cv2.INTER_AREA) for p in (left, right)]
    return *small, np.where(good, fours.mean(axis=(1, 3)) / 2, np.nan)


def motorcycle():
    files = package("scikit-image==0.26.0")

    def picture(side):
        data = files.read(f"skimage/data/motorcycle_{side}.png")
        return cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_COLOR)

    truth = np.load(io.BytesIO(files.read("skimage/data/motorcycle_disp.npz")))["arr_0"]
    truth = truth.astype(float)
    return picture("left"), picture("right"), np.where(np.isfinite(truth), truth, np.nan)


def semi_global(left, right, count):
    """OpenCV's disparities, NaN where it gives none; blocks of 5 x 5, its usual penalties."""
    matcher = cv2.StereoSGBM_create(
        minDisparity=0,
        numDisparities=count,
        blockSize=5,
        P1=8 * 3 * 25,
        P2=32 * 3 * 25,
        disp12MaxDiff=1,
        uniquenessRatio=10,
        mode=cv2.STEREO_SGBM_MODE_HH,
    )
    found = matcher.compute(left, right) / 16.0
    return np.where(found >= 0, found, np.nan)


def check_matcher(verdict, folder, name, left, right, truth):
    most = int(np.ceil(np.nanmax(truth)))
    files = {side: folder / f"{name}-{side}.png" for side in ("left", "right")}
    for file, picture in zip(files.values(), (left, right)):
        cv2.imwrite(str(file), picture)
    begun = time.monotonic()
    answer = ask("stereo", [{**{k: str(f) for k, f in files.items()}, "most_px": most}])[0]
    seconds = time.monotonic() - begun
    if "error" in answer:
        verdict.hold(False, f"{name}: {answer['error']}")
        return
    ours = np.array(answer["disparity_px"], float)
    # OpenCV counts in sixteens, and leaves so many columns at the left unanswered.
    count = -(-(most + 1) // 16) * 16
    begun = time.monotonic()
    theirs = semi_global(left, right, count)
    theirs_seconds = time.monotonic() - begun
    judged = np.isfinite(truth) & (np.arange(truth.shape[1]) >= count)
    both = judged & np.isfinite(ours) & np.isfinite(theirs)

    def off(found, where):
        return 100 * np.mean(np.abs(found - truth)[where] > 1) if where.any() else 100.0

    def answered(found):
        return np.isfinite(found[judged]).mean()

    own, opencv = (off(found, judged & np.isfinite(found)) for found in (ours, theirs))
    verdict.hold(
        own <= opencv
        and answered(ours) >= LEAST_ANSWERED * answered(theirs),
        f"{name}: {own:.1f} % of its answers off by more than one pixel, OpenCV {opencv:.1f} %;"
        f" answered {100 * answered(ours):.0f} %, OpenCV {100 * answered(theirs):.0f} %;"
        f" where both answer {off(ours, both):.1f} %, OpenCV {off(theirs, both):.1f} %;"
        f" {seconds:.1f} s, OpenCV {theirs_seconds:.1f} s",
    )


verdict = Verdict()
with tempfile.TemporaryDirectory() as folder:
    folder = pathlib.Path(folder)
    check_board(verdict, folder)
    check_matcher(verdict, folder, "aloe", *aloe())
    check_matcher(verdict, folder, "motorcycle", *motorcycle())
verdict.end()
