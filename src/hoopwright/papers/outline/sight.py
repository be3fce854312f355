"""Whether a tube or a sheet stands between a place and the viewer."""

import math

import numpy as np
from numba import njit
from numpy.typing import NDArray

SEEN, HIDDEN, INSIDE = 0, 1, 2
"""A place that the viewer sees, one behind or on the far side of a tube, one in the metal of another tube."""
_LEAST_MM = 0.01


@njit(cache=True)
def sight_states(
    places: NDArray[np.float64],
    flat: NDArray[np.float64],
    own: NDArray[np.intp],
    toward: NDArray[np.float64],
    starts: NDArray[np.float64],
    axes: NDArray[np.float64],
    lengths: NDArray[np.float64],
    radii: NDArray[np.float64],
    tubes: NDArray[np.intp],
    boxes: NDArray[np.float64],
    saws: NDArray[np.float64],
    skin_mm: float,
) -> NDArray[np.int8]:
    """How each place is seen.

    Args:
        places: Shape (n, 3), mm.
        flat: The same in the view, right and up, shape (n, 2).
        own: The tube on whose skin each lies, shape (n,).
        toward: Toward the viewer, unit, shape (3,).
        starts: Of the cylinders, shape (m, 3), mm.
        axes: Their unit directions, shape (m, 3).
        lengths: Shape (m,), mm.
        radii: Shape (m,), mm.
        tubes: The tube of each, shape (m,).
        boxes: What each covers in the view, shape (m, 4), mm.
        saws: Two planes that each is sawn in, shape (m, 2, 4): normal into the metal and offset; zeros for none.
        skin_mm: Cylinders are taken thinner by this much all over, mm.

    Returns:
        `SEEN`, `HIDDEN` or `INSIDE`, shape (n,).
    """
    states = np.zeros(len(places), dtype=np.int8)
    for n in range(len(places)):
        right, up = flat[n, 0], flat[n, 1]
        for m in range(len(starts)):
            if right < boxes[m, 0] or right > boxes[m, 2] or up < boxes[m, 1] or up > boxes[m, 3]:
                continue
            fx, fy, fz = (
                places[n, 0] - starts[m, 0],
                places[n, 1] - starts[m, 1],
                places[n, 2] - starts[m, 2],
            )
            ax, ay, az = axes[m, 0], axes[m, 1], axes[m, 2]
            along = fx * ax + fy * ay + fz * az
            rise = toward[0] * ax + toward[1] * ay + toward[2] * az
            px, py, pz = fx - along * ax, fy - along * ay, fz - along * az
            wx, wy, wz = toward[0] - rise * ax, toward[1] - rise * ay, toward[2] - rise * az
            radius = radii[m] - skin_mm
            square = wx * wx + wy * wy + wz * wz
            half = px * wx + py * wy + pz * wz
            rest = px * px + py * py + pz * pz - radius * radius
            low, high = -np.inf, np.inf
            if square < 1e-12:
                if rest >= 0.0:
                    continue
            else:
                root = half * half - square * rest
                if root <= 0.0:
                    continue
                low, high = (-half - math.sqrt(root)) / square, (-half + math.sqrt(root)) / square
            if abs(rise) < 1e-12:
                if along < skin_mm or along > lengths[m] - skin_mm:
                    continue
            else:
                one, two = (skin_mm - along) / rise, (lengths[m] - skin_mm - along) / rise
                low, high = max(low, min(one, two)), min(high, max(one, two))
            for k in range(2):
                nx, ny, nz = saws[m, k, 0], saws[m, k, 1], saws[m, k, 2]
                if nx == 0.0 and ny == 0.0 and nz == 0.0:
                    continue
                inside = nx * places[n, 0] + ny * places[n, 1] + nz * places[n, 2] - saws[m, k, 3] - skin_mm
                rate = nx * toward[0] + ny * toward[1] + nz * toward[2]
                if abs(rate) < 1e-12:
                    if inside < 0.0:
                        high = -np.inf
                elif rate > 0.0:
                    low = max(low, -inside / rate)
                else:
                    high = min(high, -inside / rate)
            if high <= low or high <= _LEAST_MM:
                continue
            if low < 0.0 and tubes[m] != own[n]:
                states[n] = 2
                break
            states[n] = 1
    return states


@njit(cache=True)
def behind_triangles(
    flat: NDArray[np.float64],
    depths: NDArray[np.float64],
    corners: NDArray[np.float64],
    corner_depths: NDArray[np.float64],
    skin_mm: float,
) -> NDArray[np.bool_]:
    """Which places lie behind a triangle.

    Args:
        flat: Places in the view, right and up, shape (n, 2), mm.
        depths: How far each is toward the viewer, shape (n,), mm.
        corners: Corners of the triangles in the view, shape (k, 3, 2), mm.
        corner_depths: How far each is toward the viewer, shape (k, 3), mm.
        skin_mm: A triangle that is nearer by less hides nothing, so that a line on it is not hidden by it, mm.

    Returns:
        Shape (n,).
    """
    hidden = np.zeros(len(flat), dtype=np.bool_)
    for k in range(len(corners)):
        ax, ay = corners[k, 0, 0], corners[k, 0, 1]
        bx, by = corners[k, 1, 0] - ax, corners[k, 1, 1] - ay
        cx, cy = corners[k, 2, 0] - ax, corners[k, 2, 1] - ay
        twice_area = bx * cy - by * cx
        if abs(twice_area) < 1e-9:
            continue
        for n in range(len(flat)):
            if hidden[n]:
                continue
            x, y = flat[n, 0] - ax, flat[n, 1] - ay
            v, w = (x * cy - y * cx) / twice_area, (bx * y - by * x) / twice_area
            if v < 0.0 or w < 0.0 or v + w > 1.0:
                continue
            first = corner_depths[k, 0]
            depth = first + v * (corner_depths[k, 1] - first) + w * (corner_depths[k, 2] - first)
            hidden[n] = depth > depths[n] + skin_mm
    return hidden
