"""How far balls that are fixed to one rigid body keep from metal and capsules, at a pose and along a motion.

Distances come from a grid where the grid can tell, and from the full mesh where it cannot. Source of the grid's
bound: for a ball of metal-free radius d about a place in a cell of edge h, each corner's distance is at most
sqrt(d² + 2 d u·e + e²), and the mean over the cell's weights of e² is at most 3 h² / 4, so that the value between
the corners is at most d + 3 h² / (8 d).
Source of the steps along a motion: conservative advancement, B. Mirtich, thesis, Berkeley 1996, chapter 2.
"""

import numpy as np
from numba import njit

from hoopwright.shell.nearest import _nearest_one

_STACK = 128
_NEAR_MM = 3.0


@njit(inline="always")
def _from_grid(values, low, cell, metal, x, y, z):  # type: ignore[no-untyped-def]
    """A distance to the metal that is never too large; outside the grid, to the box that holds all metal."""
    ox = max(metal[0] - x, x - metal[3], 0.0)
    oy = max(metal[1] - y, y - metal[4], 0.0)
    oz = max(metal[2] - z, z - metal[5], 0.0)
    outside = np.sqrt(ox * ox + oy * oy + oz * oz)
    fx, fy, fz = (x - low[0]) / cell, (y - low[1]) / cell, (z - low[2]) / cell
    i, j, k = int(np.floor(fx)), int(np.floor(fy)), int(np.floor(fz))
    if i < 0 or j < 0 or k < 0:
        return outside
    if i > values.shape[0] - 2 or j > values.shape[1] - 2 or k > values.shape[2] - 2:
        return outside
    fx, fy, fz = fx - i, fy - j, fz - k
    gx, gy, gz = 1.0 - fx, 1.0 - fy, 1.0 - fz
    between = (
        gx * (gy * (gz * values[i, j, k] + fz * values[i, j, k + 1])
              + fy * (gz * values[i, j + 1, k] + fz * values[i, j + 1, k + 1]))
        + fx * (gy * (gz * values[i + 1, j, k] + fz * values[i + 1, j, k + 1])
                + fy * (gz * values[i + 1, j + 1, k] + fz * values[i + 1, j + 1, k + 1]))
    )  # fmt: skip
    least = between - 0.8661 * cell
    inside = between * between - 1.5 * cell * cell
    if inside > 0.0:
        least = max(least, 0.5 * (between + np.sqrt(inside)))
    return max(least, outside)


@njit(inline="always")
def _to_capsules(capsules, starts, items, low, cell, shape, reach, x, y, z):  # type: ignore[no-untyped-def]
    """Distance to the nearest capsule's skin, never more than the reach, and which capsule it is; -1 for none."""
    i, j, k = int((x - low[0]) // cell), int((y - low[1]) // cell), int((z - low[2]) // cell)
    if i < 0 or j < 0 or k < 0 or i >= shape[0] or j >= shape[1] or k >= shape[2]:
        return reach, -1
    bucket = (i * shape[1] + j) * shape[2] + k
    best, which = reach, -1
    for place in range(starts[bucket], starts[bucket + 1]):
        c = items[place]
        ax, ay, az = capsules[c, 0], capsules[c, 1], capsules[c, 2]
        ex, ey, ez = capsules[c, 3] - ax, capsules[c, 4] - ay, capsules[c, 5] - az
        length2 = ex * ex + ey * ey + ez * ez
        px, py, pz = x - ax, y - ay, z - az
        s = (px * ex + py * ey + pz * ez) / length2 if length2 > 0.0 else 0.0
        s = min(1.0, max(0.0, s))
        px, py, pz = px - s * ex, py - s * ey, pz - s * ez
        away = np.sqrt(px * px + py * py + pz * pz) - capsules[c, 6]
        if away < best:
            best, which = away, c
    return best, which


@njit(inline="always")
def _turn(q, x, y, z):  # type: ignore[no-untyped-def]
    """A vector turned by a unit quaternion (x, y, z, w)."""
    tx = 2.0 * (q[1] * z - q[2] * y)
    ty = 2.0 * (q[2] * x - q[0] * z)
    tz = 2.0 * (q[0] * y - q[1] * x)
    return (
        x + q[3] * tx + q[1] * tz - q[2] * ty,
        y + q[3] * ty + q[2] * tx - q[0] * tz,
        z + q[3] * tz + q[0] * ty - q[1] * tx,
    )


@njit(cache=True, nogil=True)
def clearances(room, tree, body, pose, gap, seat, exact, found):  # type: ignore[no-untyped-def]
    """Fill `found` for every ball of a body at a pose; `exact` asks the mesh for all within 150 mm.

    Columns: distance of the skin to metal, to capsules, nearest triangle (-1 unknown), nearest capsule (-1 none),
    how far the ball has moved from its place at rest, the clearance that it needs.
    """
    values, low, cell, metal, capsules, starts, items, blow, bcell, bshape, reach = room
    corners, boxes = tree
    balls, middle, at_rest = body
    stack, bounds, place = np.empty(_STACK, dtype=np.int64), np.empty(_STACK), np.empty(3)
    hint = -1
    for i in range(len(balls)):
        bx, by, bz = balls[i, 0] - middle[0], balls[i, 1] - middle[1], balls[i, 2] - middle[2]
        x, y, z = _turn(pose[3:], bx, by, bz)
        x, y, z = x + middle[0] + pose[0], y + middle[1] + pose[1], z + middle[2] + pose[2]
        r = balls[i, 3]
        moved = np.sqrt((x - balls[i, 0]) ** 2 + (y - balls[i, 1]) ** 2 + (z - balls[i, 2]) ** 2)
        metal_mm = _from_grid(values, low, cell, metal, x, y, z) - r
        triangle = -1
        if exact and metal_mm < 150.0:
            d2, triangle = _nearest_one(corners, boxes, x, y, z, hint, 400.0**2, stack, bounds, place)
            hint = triangle
            metal_mm = (np.sqrt(d2) if triangle >= 0 else 400.0) - r
        bar_mm, which = _to_capsules(capsules, starts, items, blow, bcell, bshape, reach, x, y, z)
        found[i, 0], found[i, 1], found[i, 2], found[i, 3] = metal_mm, bar_mm - r, triangle, which
        found[i, 4] = moved
        found[i, 5] = min(gap, at_rest[i]) if moved <= seat else gap
    return 0


@njit(nogil=True)
def _least_room(room, tree, body, pose, gap, seat, stack, bounds, place):  # type: ignore[no-untyped-def]
    """Smallest clearance less what is needed, over all balls; stops at the first that has none."""
    values, low, cell, metal, capsules, starts, items, blow, bcell, bshape, reach = room
    corners, boxes = tree
    balls, middle, at_rest = body
    least, hint = np.inf, -1
    q = pose[3:]
    i = 0
    while i < len(balls):
        bx, by, bz = balls[i, 0] - middle[0], balls[i, 1] - middle[1], balls[i, 2] - middle[2]
        x, y, z = _turn(q, bx, by, bz)
        x, y, z = x + middle[0] + pose[0], y + middle[1] + pose[1], z + middle[2] + pose[2]
        r, need = balls[i, 3], gap
        if at_rest[i] < gap:
            moved2 = (x - balls[i, 0]) ** 2 + (y - balls[i, 1]) ** 2 + (z - balls[i, 2]) ** 2
            if moved2 <= seat * seat:
                need = at_rest[i]
        bar_mm, _ = _to_capsules(capsules, starts, items, blow, bcell, bshape, reach, x, y, z)
        own = bar_mm - r - need
        if own < 0.0:
            return own
        metal_mm = _from_grid(values, low, cell, metal, x, y, z) - r - need
        if metal_mm < _NEAR_MM:
            d2, hint = _nearest_one(
                corners, boxes, x, y, z, hint, (r + need + 60.0) ** 2, stack, bounds, place
            )
            metal_mm = (np.sqrt(d2) if hint >= 0 else r + need + 60.0) - r - need
            if metal_mm < 0.0:
                return metal_mm
        own = min(own, metal_mm)
        least = min(least, own)
        # balls that follow each other along one bar move no faster away than they lie apart; column 4 is how many
        # of the next ones need no more than this one, column 5 how far apart they are
        skip = int((own - least) / balls[i, 5]) if balls[i, 5] > 0.0 else 0
        i += 1 + min(skip, int(balls[i, 4]))
    return least


@njit(cache=True, nogil=True)
def room_at(room, tree, body, pose, gap, seat):  # type: ignore[no-untyped-def]
    """Smallest clearance less what is needed at a pose (x, y, z, quaternion); below 0 the pose is refused."""
    stack, bounds, place = np.empty(_STACK, dtype=np.int64), np.empty(_STACK), np.empty(3)
    return _least_room(room, tree, body, pose, gap, seat, stack, bounds, place)


@njit(cache=True, nogil=True)
def pose_between(a, b, share):  # type: ignore[no-untyped-def]
    """The pose between two: places in a straight line, turns along the shortest arc (K. Shoemake, 1985)."""
    pose = np.empty(7)
    for k in range(3):
        pose[k] = a[k] + share * (b[k] - a[k])
    dot = a[3] * b[3] + a[4] * b[4] + a[5] * b[5] + a[6] * b[6]
    sign = -1.0 if dot < 0.0 else 1.0
    half_rad = np.arccos(min(1.0, abs(dot)))
    if half_rad < 1e-9:
        first, second = 1.0 - share, share
    else:
        first = np.sin((1.0 - share) * half_rad) / np.sin(half_rad)
        second = np.sin(share * half_rad) / np.sin(half_rad)
    size = 0.0
    for k in range(3, 7):
        pose[k] = first * a[k] + second * sign * b[k]
        size += pose[k] * pose[k]
    for k in range(3, 7):
        pose[k] /= np.sqrt(size)
    return pose


@njit(cache=True, nogil=True)
def way_is_free(room, tree, body, a, b, gap, seat, slack, farthest):  # type: ignore[no-untyped-def]
    """Share of a motion from pose to pose up to which every ball keeps what it needs; 1 when all of it does.

    Between the poses looked at no ball comes nearer than what it needs less `slack`, since none moves farther there
    than its clearance allows. `slack` is above 0.
    """
    stack, bounds, place = np.empty(_STACK, dtype=np.int64), np.empty(_STACK), np.empty(3)
    dot = abs(a[3] * b[3] + a[4] * b[4] + a[5] * b[5] + a[6] * b[6])
    turned_rad = 2.0 * np.arccos(min(1.0, dot))
    path_mm = np.sqrt((b[0] - a[0]) ** 2 + (b[1] - a[1]) ** 2 + (b[2] - a[2]) ** 2) + turned_rad * farthest
    # the end first: most motions that fail do so there
    if _least_room(room, tree, body, b, gap, seat, stack, bounds, place) < 0.0:
        return 0.0
    share = 0.0
    while share < 1.0:
        own = _least_room(room, tree, body, pose_between(a, b, share), gap, seat, stack, bounds, place)
        if own < 0.0:
            return share
        share += (own + slack) / max(path_mm, 1e-9)
    return 1.0
