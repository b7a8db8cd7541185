"""Reliefs from triangle meshes of figures, and their areas and volumes.

Source: Debian's package libcgal-demo, archive data.tar.gz, folder data/meshes. The environment
variable CGAL_DEMO names the folder that holds the archive. A figure is turned to a good side, its
back half is cut off by a plane, which becomes the wall, and what is seen from the front is kept as
a table of heights. trimesh (PyPI) reads the meshes, and measures the table as a closed solid.
"""

import io
import os
import pathlib
import sys
import tarfile

import numpy as np
import trimesh
from scipy import ndimage

STEP_MM = 0.5

# What points right and what points down, as the side is seen.
SIDES = {
    "armadillo": ("+x", "-y"),
    "bear": ("+x", "-y"),
    "lion-head": ("+x", "-y"),
    "ChineseDragon-10kv": ("-z", "-y"),
    "mannequin-devil": ("+x", "-z"),
}


def figure(name):
    """A mesh of the package as it is: corners and faces."""
    folder = os.environ.get("CGAL_DEMO")
    if not folder:
        sys.exit("CGAL_DEMO must name the folder of the unpacked package libcgal-demo.")
    with tarfile.open(pathlib.Path(folder) / "data.tar.gz") as files:
        data = files.extractfile(f"data/meshes/{name}.off").read()
    return trimesh.load(io.BytesIO(data), file_type="off")


def axis(word):
    return (1 if word[0] == "+" else -1) * np.eye(3)["xyz".index(word[1])]


def relief(name, longer_mm, high_mm):
    """The front half of a figure, so long on its longer side and so high, as rows of heights."""
    mesh = figure(name)
    right, down = map(axis, SIDES[name])
    out = -np.cross(right, down)
    places = mesh.vertices @ np.array([right, down, out]).T
    places -= (places.max(axis=0) + places.min(axis=0)) / 2
    seen = places[:, :2].max(axis=0) - places[:, :2].min(axis=0)
    scale = longer_mm / seen.max()
    places *= [scale, scale, high_mm / places[:, 2].max()]
    return envelope(places, mesh.faces)


def envelope(places, faces):
    """The highest surface over each node of the grid, 0 where none lies before the wall."""
    first = np.floor(places[:, :2].min(axis=0) / STEP_MM) * STEP_MM
    columns, rows = np.ceil((places[:, :2].max(axis=0) - first) / STEP_MM).astype(int) + 1
    heights = np.zeros((rows, columns))
    corners = places[faces]
    on_grid = (corners[:, :, :2] - first) / STEP_MM
    low = np.ceil(on_grid.min(axis=1)).astype(int)
    high = np.floor(on_grid.max(axis=1)).astype(int)
    useful = (high >= low).all(axis=1) & (corners[:, :, 2].max(axis=1) > 0)
    for i in np.flatnonzero(useful):
        (ax, ay), (bx, by), (cx, cy) = on_grid[i]
        twice = (bx - ax) * (cy - ay) - (by - ay) * (cx - ax)
        if twice == 0:
            continue
        (left, up), (last, lowest) = low[i], high[i]
        x, y = np.meshgrid(np.arange(left, last + 1), np.arange(up, lowest + 1))
        of_b = ((x - ax) * (cy - ay) - (y - ay) * (cx - ax)) / twice
        of_c = ((bx - ax) * (y - ay) - (by - ay) * (x - ax)) / twice
        inside = (of_b >= -1e-9) & (of_c >= -1e-9) & (of_b + of_c <= 1 + 1e-9)
        z = corners[i, :, 2]
        here = z[0] + of_b * (z[1] - z[0]) + of_c * (z[2] - z[0])
        part = heights[up : lowest + 1, left : last + 1]
        part[inside] = np.maximum(part[inside], here[inside])
    return heights


def measured(heights, step_mm):
    """Footprint, surface and volume of the largest piece of a table of heights, holes included,
    by trimesh."""
    padded = np.pad(heights, 1)
    raised = padded > 0
    cells = raised[:-1, :-1] | raised[:-1, 1:] | raised[1:, :-1] | raised[1:, 1:]
    pieces, _ = ndimage.label(cells)
    largest = np.bincount(pieces.ravel())[1:].argmax() + 1
    r, c = np.nonzero(ndimage.binary_fill_holes(pieces == largest))
    rows, columns = padded.shape
    a = r * columns + c
    quads = np.c_[a, a + 1, a + columns, a + columns + 1]
    top = np.r_[quads[:, [0, 1, 2]], quads[:, [1, 3, 2]]]
    y, x = np.mgrid[:rows, :columns] * step_mm
    face = np.c_[x.ravel(), y.ravel(), padded.ravel()]
    base = np.c_[x.ravel(), y.ravel(), np.zeros(rows * columns)]
    # At the border the face comes down to the wall and meets the base there.
    solid = trimesh.Trimesh(np.r_[face, base], np.r_[top, top[:, ::-1] + len(face)], process=False)
    solid.merge_vertices()
    # Where a hole's floor lies on the wall, face and base are one: both are counted, none encloses.
    upper = trimesh.Trimesh(face, top, process=False)
    return {
        "footprint_mm2": len(quads) * step_mm**2,
        "surface_mm2": upper.area,
        "volume_mm3": abs(solid.volume),
        "highest_mm": face[np.unique(top), 2].max(),
    }
