"""The inner loop of the search: many bars at once against a grid of distances.

A bar is base + sum of (number x move); its centreline has true arcs. All arithmetic is float64.
"""

import math

import numpy as np
from numba import njit, prange

IMPOSSIBLE = 1e6
SHORT_SUM, SHORT_WORST, STRAIGHT_PRICE, ANGLE_PRICE = 8.0, 6.0, 1.0, 20.0
REVERSE_PRICE = 5.0


@njit(inline="always")
def _trilinear(values, low, cell, x, y, z):  # type: ignore[no-untyped-def]
    nx, ny, nz = values.shape
    u, v, w = (x - low[0]) / cell, (y - low[1]) / cell, (z - low[2]) / cell
    away = 0.0
    if u < 0.0 or v < 0.0 or w < 0.0 or u > nx - 1.001 or v > ny - 1.001 or w > nz - 1.001:
        cu, cv, cw = (
            min(max(u, 0.0), nx - 1.001),
            min(max(v, 0.0), ny - 1.001),
            min(max(w, 0.0), nz - 1.001),
        )
        away = cell * math.sqrt((u - cu) ** 2 + (v - cv) ** 2 + (w - cw) ** 2)
        u, v, w = cu, cv, cw
    i, j, k = int(u), int(v), int(w)
    a, b, c = u - i, v - j, w - k
    low_side = (values[i, j, k] * (1 - b) + values[i, j + 1, k] * b) * (1 - c) + (
        values[i, j, k + 1] * (1 - b) + values[i, j + 1, k + 1] * b
    ) * c
    high_side = (values[i + 1, j, k] * (1 - b) + values[i + 1, j + 1, k] * b) * (1 - c) + (
        values[i + 1, j, k + 1] * (1 - b) + values[i + 1, j + 1, k + 1] * b
    ) * c
    return low_side * (1 - a) + high_side * a - away


@njit(inline="always")
def _to_capsules(capsules, x, y, z):  # type: ignore[no-untyped-def]
    """Distance to the nearest capsule's skin; rows are start, end, radius."""
    nearest = math.inf
    for row in range(len(capsules)):
        ax, ay, az = capsules[row, 0], capsules[row, 1], capsules[row, 2]
        ex, ey, ez = capsules[row, 3] - ax, capsules[row, 4] - ay, capsules[row, 5] - az
        length2 = ex * ex + ey * ey + ez * ez
        s = 0.0
        if length2 > 0.0:
            s = min(1.0, max(0.0, ((x - ax) * ex + (y - ay) * ey + (z - az) * ez) / length2))
        dx, dy, dz = x - ax - s * ex, y - ay - s * ey, z - az - s * ez
        nearest = min(nearest, math.sqrt(dx * dx + dy * dy + dz * dz) - capsules[row, 6])
    return nearest


@njit
def lay_path(nodes, clr, pieces):  # type: ignore[no-untyped-def]
    """Directions, bend angles (rad), straights and total length of a bar.

    Args:
        nodes: Shape (n, 3).
        clr: Centreline radius.
        pieces: Filled, shape (n, 6): direction of leg i, angle at node i (0 at ends), straight i, set-back at node i.

    Returns:
        The length, or -1 where a leg has none.
    """
    count = len(nodes)
    for i in range(count - 1):
        dx, dy, dz = (
            nodes[i + 1, 0] - nodes[i, 0],
            nodes[i + 1, 1] - nodes[i, 1],
            nodes[i + 1, 2] - nodes[i, 2],
        )
        length = math.sqrt(dx * dx + dy * dy + dz * dz)
        if length < 1.0:
            return -1.0
        pieces[i, 0], pieces[i, 1], pieces[i, 2], pieces[i, 4] = dx / length, dy / length, dz / length, length
    pieces[0, 3] = pieces[0, 5] = pieces[count - 1, 3] = pieces[count - 1, 5] = 0.0
    total = 0.0
    for i in range(1, count - 1):
        dot = (
            pieces[i - 1, 0] * pieces[i, 0]
            + pieces[i - 1, 1] * pieces[i, 1]
            + pieces[i - 1, 2] * pieces[i, 2]
        )
        angle = math.acos(min(1.0, max(-1.0, dot)))
        pieces[i, 3] = angle
        pieces[i, 5] = clr * math.tan(min(angle, 3.0) / 2.0)
        total += clr * angle
    for i in range(count - 1):
        pieces[i, 4] -= pieces[i, 5] + pieces[i + 1, 5]
        total += pieces[i, 4]
    return total


@njit
def place_samples(nodes, clr, pieces, shares, low, high, out):  # type: ignore[no-untyped-def]
    """Points at sorted shares of the stretch from low to high along a laid path; overlaps are drawn as they come."""
    count = len(nodes)
    leg, begin = 0, 0.0
    for s in range(len(shares)):
        along = low + shares[s] * (high - low)
        while leg < count - 2:
            whole = pieces[leg, 4] + clr * pieces[leg + 1, 3]
            if along <= begin + whole:
                break
            begin += whole
            leg += 1
        into = along - begin
        if into <= pieces[leg, 4] or leg == count - 2:
            t = pieces[leg, 5] + into
            for axis in range(3):
                out[s, axis] = nodes[leg, axis] + t * pieces[leg, axis]
        else:
            turned = (into - pieces[leg, 4]) / clr
            angle, back = pieces[leg + 1, 3], pieces[leg + 1, 5]
            sine = math.sin(angle)
            if sine < 1e-9:
                for axis in range(3):
                    out[s, axis] = nodes[leg + 1, axis]
                continue
            forward, inward = clr * math.sin(turned), clr * (1.0 - math.cos(turned))
            for axis in range(3):
                across = (pieces[leg + 1, axis] - math.cos(angle) * pieces[leg, axis]) / sine
                out[s, axis] = (
                    nodes[leg + 1, axis] - back * pieces[leg, axis] + forward * pieces[leg, axis]
                    + inward * across
                )  # fmt: skip


@njit
def _price(nodes, clr, shares, landings, limits, values, low, cell, capsules, pieces, out):  # type: ignore[no-untyped-def]
    """Mean gap and the price of what does not hold; limits as `Pricing` lists them."""
    half_od, gap, clamp, least, greatest, no_reverse = limits
    total = lay_path(nodes, clr, pieces)
    if total < landings[0] + landings[1] + 20.0:
        return IMPOSSIBLE
    count, price = len(nodes), 0.0
    for i in range(count - 1):
        needed = clamp if count > 2 else 0.0
        if pieces[i, 4] < needed:
            price += 5.0 + STRAIGHT_PRICE * (needed - pieces[i, 4])
        if i > 0:
            angle = pieces[i, 3]
            price += ANGLE_PRICE * (max(0.0, least - angle) + 10.0 * max(0.0, angle - greatest))
            if no_reverse > 0.0 and i > 1:
                price += _turned_back(pieces, i)
    place_samples(nodes, clr, pieces, shares, landings[0], total - landings[1], out)
    mean, short, worst = 0.0, 0.0, 0.0
    for s in range(len(shares)):
        x, y, z = out[s, 0], out[s, 1], out[s, 2]
        found = _trilinear(values, low, cell, x, y, z) - half_od
        mean += max(found, 0.0)
        missing = gap - found
        if len(capsules):
            missing = max(missing, half_od - _to_capsules(capsules, x, y, z))
        if missing > 0.0:
            short += missing
            worst = max(worst, missing)
    return (mean + SHORT_SUM * short) / len(shares) + SHORT_WORST * worst + price


@njit
def _turned_back(pieces, i):  # type: ignore[no-untyped-def]
    """Price of a bend at node i that turns against the one before."""
    a, b, c = pieces[i - 2], pieces[i - 1], pieces[i]
    n1x, n1y, n1z = a[1] * b[2] - a[2] * b[1], a[2] * b[0] - a[0] * b[2], a[0] * b[1] - a[1] * b[0]
    n2x, n2y, n2z = b[1] * c[2] - b[2] * c[1], b[2] * c[0] - b[0] * c[2], b[0] * c[1] - b[1] * c[0]
    size = math.sqrt((n1x**2 + n1y**2 + n1z**2) * (n2x**2 + n2y**2 + n2z**2))
    if size < 1e-12:
        return 0.0
    dot = (n1x * n2x + n1y * n2y + n1z * n2z) / size
    return REVERSE_PRICE * (1.0 - dot) if dot < 0.0 else 0.0


@njit
def _moved(base, moves, numbers):  # type: ignore[no-untyped-def]
    """Nodes of one bar."""
    nodes = base.copy()
    for d in range(moves.shape[0]):
        for n in range(nodes.shape[0]):
            for axis in range(3):
                nodes[n, axis] += numbers[d] * moves[d, n, axis]
    return nodes


@njit(cache=True, nogil=True, parallel=True)
def price_bars(numbers, base, moves, clr, shares, landings, limits, values, low, cell, capsules, prices):  # type: ignore[no-untyped-def]
    """Price of many bars, each its base and a row of numbers; `prices` is filled."""
    for bar in prange(len(numbers)):
        nodes = _moved(base, moves, numbers[bar])
        pieces = np.empty((len(nodes), 6))
        out = np.empty((len(shares), 3))
        prices[bar] = _price(nodes, clr, shares, landings, limits, values, low, cell, capsules, pieces, out)


@njit(cache=True, nogil=True)
def sample_bars(numbers, base, moves, clr, shares, landings, points, straights, angles):  # type: ignore[no-untyped-def]
    """Samples, straights and angles (rad) of many bars; shapes (m, s, 3), (m, n - 1), (m, n - 2)."""
    for bar in range(len(numbers)):
        nodes = _moved(base, moves, numbers[bar])
        pieces = np.empty((len(nodes), 6))
        total = lay_path(nodes, clr, pieces)
        if total < 0.0:
            points[bar, :, :] = np.nan
            continue
        straights[bar] = pieces[:-1, 4]
        angles[bar] = pieces[1:-1, 3]
        place_samples(nodes, clr, pieces, shares, landings[0], total - landings[1], points[bar])
