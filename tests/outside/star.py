"""Stars by chance, to try outlines on."""

import math

import numpy as np


def star(rng, middle, radius, points):
    """A closed ring of so many places around the middle that does not cross itself, turning either way."""
    angles = np.sort(rng.uniform(0, 2 * math.pi, points))
    gaps = np.diff(np.append(angles, angles[0] + 2 * math.pi))
    if gaps.min() < 1e-3 or gaps.max() > 3:
        return star(rng, middle, radius, points)
    r = radius * rng.uniform(0.4, 1, points)
    ring = np.column_stack([middle[0] + r * np.cos(angles), middle[1] + r * np.sin(angles)])
    return ring[:: rng.choice([-1, 1])]
