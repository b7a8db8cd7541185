"""Has reliefs of known shape photographed by the project's renderer; the environment variable
PEELCAST_SCENES says where its program relief_scene is."""

import json
import os
import pathlib
import subprocess
import sys

import numpy as np


def photographed(orders):
    """Requests as `desk relief` reads them, and the truth, of each order (relief_scene.rs)."""
    program = os.environ.get("PEELCAST_SCENES")
    if not program:
        sys.exit("PEELCAST_SCENES must say where relief_scene is: cargo verify sets it.")
    done = subprocess.run(
        [program, "-"], input=json.dumps(orders), capture_output=True, text=True, timeout=600
    )
    if done.returncode != 0:
        sys.exit(f"relief_scene failed ({done.returncode}): {done.stdout}{done.stderr}")
    for order in orders:
        folder = pathlib.Path(order["into"])
        request = json.loads((folder / "request.json").read_text())
        for photo in request["photos"]:
            photo["photo"] = str(folder / photo["photo"])
        yield request, json.loads((folder / "truth.json").read_text())


def table(heights, step_mm, file):
    """Rows of heights as an order names them."""
    heights.astype("<f4").tofile(file)
    rows, columns = heights.shape
    return {"raw": str(file), "nx": columns, "ny": rows, "step_mm": step_mm}


def heights(grid):
    """A grid of an answer or a truth as rows of numbers, NaN where nothing is known."""
    return np.array(grid["height_mm"], float)


def places(grid):
    """Where a grid's heights are: x and y in millimetres."""
    x, y = (
        first + grid["step_mm"] * np.arange(count)
        for first, count in zip(grid["origin_mm"], (grid["nx"], grid["ny"]))
    )
    return np.meshgrid(x, y)
