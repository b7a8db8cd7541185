"""Real photographs of a calibration chessboard with squares of 25 mm and 9 x 6 inner corners.

Source: Debian's package opencv-doc, folder examples/data, left01.jpg to left14.jpg and right01.jpg
to right14.jpg (there is no 10): 13 photographs by each of two cameras. The environment variable OPENCV_DOC names the folder into which it was unpacked; the
files may be compressed with gzip. Corners are found, and the lens is calibrated, by OpenCV
(PyPI: opencv-python-headless), which is independent of this project.
"""

import gzip
import os
import pathlib
import re
import sys

import cv2
import numpy as np

SQUARE_MM = 25.0
COLUMNS, ROWS = 9, 6
AREA_MM2 = (COLUMNS - 1) * (ROWS - 1) * SQUARE_MM**2
PERIMETER_MM = 2 * (COLUMNS - 1 + ROWS - 1) * SQUARE_MM


def corner_mm(column, row):
    return [column * SQUARE_MM, row * SQUARE_MM]


def pictures(camera):
    folder = os.environ.get("OPENCV_DOC")
    if not folder:
        sys.exit("OPENCV_DOC must name the folder of the unpacked package opencv-doc.")
    found = {}
    for path in pathlib.Path(folder).rglob(f"{camera}*.jpg*"):
        if re.fullmatch(camera + r"\d\d\.jpg(\.gz)?", path.name):
            data = path.read_bytes()
            if path.suffix == ".gz":
                data = gzip.decompress(data)
            found[path.name.split(".")[0]] = data
    if len(found) < 13:
        sys.exit(f"{folder} holds {len(found)} of the camera's 13 chessboard photographs.")
    return dict(sorted(found.items()))


class Board:
    """One camera's photographs: the corners of each by [row, column], and the lens."""

    def __init__(self, camera):
        self.corners = []
        for name, data in pictures(camera).items():
            grey = cv2.imdecode(np.frombuffer(data, np.uint8), cv2.IMREAD_GRAYSCALE)
            self.size = grey.shape[1], grey.shape[0]
            ok, corners = cv2.findChessboardCorners(grey, (COLUMNS, ROWS))
            if not ok:
                sys.exit(f"OpenCV doesn't find the board in {name}.")
            # A window of 11 x 11 pixels: in the smallest board a square is just larger.
            rule = (cv2.TERM_CRITERIA_EPS + cv2.TERM_CRITERIA_MAX_ITER, 50, 1e-4)
            corners = cv2.cornerSubPix(grey, corners, (5, 5), (-1, -1), rule)
            self.corners.append(corners.reshape(ROWS, COLUMNS, 2).astype(float))
        self.calibrate()

    def calibrate(self):
        """The lens by OpenCV from all photographs, and what its residuals say of a mark."""
        flat = np.array([corner_mm(c, r) + [0.0] for r in range(ROWS) for c in range(COLUMNS)])
        # The desk's lens: one focal length, two terms of radial distortion, nothing else.
        model = cv2.CALIB_FIX_K3 | cv2.CALIB_ZERO_TANGENT_DIST | cv2.CALIB_FIX_ASPECT_RATIO
        start = np.array([[500.0, 0, 319.5], [0, 500.0, 239.5], [0, 0, 1]])
        _, self.matrix, self.bend, turns, moves, spread, _, _ = cv2.calibrateCameraExtended(
            [flat.astype(np.float32)] * len(self.corners),
            [c.reshape(-1, 1, 2).astype(np.float32) for c in self.corners],
            self.size,
            start,
            np.zeros(5),
            flags=model | cv2.CALIB_USE_INTRINSIC_GUESS,
        )
        sd = spread.ravel()
        self.lens = {
            "focal_px": self.matrix[1, 1],
            # With one focal length for both axes, OpenCV gives its spread at the second.
            "focal_sd_px": sd[1],
            "center_px": [self.matrix[0, 2], self.matrix[1, 2]],
            "k1": self.bend.ravel()[0],
            "k2": self.bend.ravel()[1],
            "k_sd": sd[4],
        }
        miss = np.array([
            corners - cv2.projectPoints(flat, turn, move, self.matrix, self.bend)[0].reshape(
                ROWS, COLUMNS, 2
            )
            for corners, turn, move in zip(self.corners, turns, moves)
        ])
        self.residual_px = np.sqrt((miss**2).mean())
        beside = (miss[:, :, 1:] * miss[:, :, :-1]).mean()
        below = (miss[:, 1:] * miss[:, :-1]).mean()
        self.alike = (beside + below) / 2 / (miss**2).mean()
        # What neighbours share doesn't average out over a block: the variance of a mean of
        # marks in a row whose neighbours correlate by a is larger by (1 + a) / (1 - a).
        self.point_sd_px = self.residual_px * np.sqrt((1 + self.alike) / (1 - self.alike))

    def outline(self, picture):
        c = self.corners[picture]
        return [c[0, 0], c[0, -1], c[-1, -1], c[-1, 0]]

    def blocks(self, columns, rows):
        """All placements of a block of so many corners, as lists of (column, row)."""
        for left in range(COLUMNS - columns + 1):
            for top in range(ROWS - rows + 1):
                yield [(left + c, top + r) for r in range(rows) for c in range(columns)]

    def request(self, picture, marks, lens, point_sd):
        return {
            "image_size_px": list(self.size),
            "lens": lens,
            "gravity": None,
            "gravity_sd_deg": 0.5,
            "point_sd_px": point_sd,
            "evidence": [
                {"kind": "point", "px": list(self.corners[picture][r, c]), "mm": corner_mm(c, r)}
                for c, r in marks
            ],
            "outline_px": [list(p) for p in self.outline(picture)],
            "holes_px": [],
        }
