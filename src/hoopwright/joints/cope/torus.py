"""Where parallel lines run inside a whole torus: the quartic in closed form, for all lines at once.

A cope takes two such passes over some hundred lines, whose cost is that of calling numpy a hundred times. So each value
here is computed once, in millimetres as it comes, and what only few lines need is done for those alone.
"""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.joints.cope.rays import GRAZE_MM, Rays, Stretches

Numbers = NDArray[np.float64]
_NEAR_SHARE = 0.05
"""Of the tube's radius: roots no farther apart, or no farther from real, are looked at by the skin itself."""
_SMALL_SHARE = 1e-6
_STEPS = 4
_SETTLED_MM = 1e-7
"""Newton's rule squares what is left: after a step as short nothing is left but rounding."""


@dataclass(frozen=True, kw_only=True)
class Torus:
    """A round tube bent to a whole ring about the origin, square to the third axis.

    Args:
        ring_mm: Radius of its centreline.
        tube_mm: Radius of the tube, less than that of the ring.
    """

    ring_mm: float
    tube_mm: float

    def beyond(self, rays: Rays, along_mm: Numbers) -> tuple[Numbers, Numbers]:
        """How far places on rays lie outside the skin, mm, and how fast that grows along the ray; shape (n,) each."""
        x, y, z = rays.starts_mm.T + along_mm * rays.direction[:, None]
        to_axis_mm = np.hypot(x, y)
        out = to_axis_mm - self.ring_mm
        distance = np.hypot(out, z)
        along_x, along_y, along_z = rays.direction.tolist()
        growth = out * (x * along_x + y * along_y) / to_axis_mm + z * along_z
        return distance - self.tube_mm, growth / distance


@dataclass(frozen=True, kw_only=True, eq=False)
class _Quartics:
    """s^4 + p s^2 + q s + r of each ray, s from its place nearest to the centre; shape (n,) each.

    Args:
        square: p^2 - 4 r, free of the cancelling in it.
    """

    p: Numbers
    q: Numbers
    r: Numbers
    square: Numbers


def stretches_in_torus(rays: Rays, torus: Torus) -> Stretches:
    """Where rays run inside a torus.

    Counted from the place nearest to the centre, a ray is on the skin where s^4 + p s^2 + q s + r = 0. With the largest
    root t of the resolvent cubic and u = sqrt(t), that is (s^2 + u s + a)(s^2 - u s + b), and each factor whose roots
    are real is one stretch: of four real roots the largest t pairs the two lower and the two upper ones.

    Args:
        rays: The rays, in the frame of the torus.
        torus: The torus.

    Returns:
        Stretches of shape (n, 2), in order along the ray: their ends exact, their starts to a thousandth of a mm.

    Source: L. Ferrari's solution of the quartic, as in M. Abramowitz and I. Stegun, Handbook of Mathematical Functions,
        3.8.2 and 3.8.3; each end is then brought onto the skin by Newton's rule.
    """
    to_middle = rays.direction @ rays.starts_mm.T
    middle = rays.starts_mm.T - rays.direction[:, None] * to_middle
    centred = Rays(starts_mm=middle.T, direction=rays.direction)
    quartics = _quartics(middle, float(rays.direction[2]), torus)
    centre, half2 = _factors(quartics, _SMALL_SHARE * torus.ring_mm**2)
    with np.errstate(invalid="ignore"):
        half = np.sqrt(half2)
    end = _polished(quartics, centre + half, half)
    start = np.minimum(centre - half, end)
    most = _NEAR_SHARE * torus.tube_mm
    near = (half2 < 0.0) & (half2 > -most * most)
    if near.any():
        _touch(centred, torus, centre, near, start, end)
    close = start[1] - end[0] < 2.0 * most
    if close.any():
        _join(centred, torus, np.flatnonzero(close), start, end)
    return (start - to_middle).T, (end - to_middle).T


def _quartics(middle: Numbers, rise: float, torus: Torus) -> _Quartics:
    """From places nearest to the centre, shape (3, n), and the rays' share along the third axis."""
    ring2 = torus.ring_mm**2
    flat = ring2 * (1.0 - rise * rise)
    squares = middle * middle
    to_axis2 = squares[0] + squares[1]
    bulk = to_axis2 + squares[2] + (ring2 - torus.tube_mm**2)
    across = 4.0 * ring2 * to_axis2
    return _Quartics(
        p=2.0 * bulk - 4.0 * flat,
        q=(8.0 * ring2 * rise) * middle[2],
        r=bulk * bulk - across,
        square=4.0 * across + (16.0 * flat) * (flat - bulk),
    )


def _factors(quartics: _Quartics, small_mm2: float) -> tuple[Numbers, Numbers]:
    """Middles of the two pairs of roots, and the squares of half their distances, shape (2, n) each."""
    p, q = quartics.p, quartics.q
    sum2 = np.maximum(_largest_root(2.0 * p, quartics.square, -(q * q)), 0.0)
    total = np.sqrt(sum2)
    last = p + sum2
    small = sum2 < small_mm2
    if small.any():
        # q / u without the division: the factors' last terms multiply to r
        apart = np.copysign(np.sqrt(np.maximum(last * last - 4.0 * quartics.r, 0.0)), q)
        apart = np.where(small, apart, q / np.where(small, 1.0, total))
    else:
        apart = q / total
    half_sum = 0.5 * total
    both = 0.25 * sum2 - 0.5 * last
    half_apart = 0.5 * apart
    return np.array((-half_sum, half_sum)), np.array((both + half_apart, both - half_apart))


def _largest_root(b: Numbers, c: Numbers, d: Numbers) -> Numbers:
    """The largest real root of t^3 + b t^2 + c t + d for each row."""
    third = b / 3.0
    third2 = third * third
    spread = third2 - c / 3.0
    offset = third * (0.5 * c - third2) - 0.5 * d
    below = spread * spread * spread - offset * offset
    three = below >= 0.0
    if three.all():
        return _of_three(spread, offset, below) - third
    if not three.any():
        return _of_one(spread, offset, below) - third
    found = np.empty_like(b)
    found[three] = _of_three(spread[three], offset[three], below[three])
    one = ~three
    found[one] = _of_one(spread[one], offset[one], below[one])
    return found - third


def _of_three(spread: Numbers, offset: Numbers, below: Numbers) -> Numbers:
    turn_rad = np.arctan2(np.sqrt(below), offset) / 3.0
    return 2.0 * np.sqrt(spread) * np.cos(turn_rad)


def _of_one(spread: Numbers, offset: Numbers, below: Numbers) -> Numbers:
    large = np.copysign(np.cbrt(np.abs(offset) + np.sqrt(-below)), offset)
    found: Numbers = large + spread / large
    return found


def _polished(quartics: _Quartics, places: Numbers, half: Numbers) -> Numbers:
    """Places, shape (2, n), brought onto the skin, none moved farther at once than half of its stretch."""
    twice = 2.0 * quartics.p
    for _ in range(_STEPS):
        square = places * places
        value = ((square + quartics.p) * places + quartics.q) * places + quartics.r
        slope = (4.0 * square + twice) * places + quartics.q
        with np.errstate(divide="ignore", invalid="ignore"):
            step = value / slope
        # where a ray only touches, neither value nor slope is more than rounding: 0 / 0
        step = np.fmin(np.fmax(step, -half), half)
        places = places - step
        if not (np.abs(step) > _SETTLED_MM).any():
            break
    return places


def _touch(
    rays: Rays, torus: Torus, centre: Numbers, near: NDArray[np.bool_], start: Numbers, end: Numbers
) -> None:
    """Rays that pass the skin by no more than a graze touch it at one place."""
    column, row = np.nonzero(near)
    along = centre[column, row]
    past, _ = torus.beyond(Rays(starts_mm=rays.starts_mm[row], direction=rays.direction), along)
    grazes = past <= GRAZE_MM
    start[column[grazes], row[grazes]] = end[column[grazes], row[grazes]] = along[grazes]


def _join(rays: Rays, torus: Torus, row: NDArray[np.intp], start: Numbers, end: Numbers) -> None:
    """Two stretches of a ray that leaves the skin between them by no more than a graze are one."""
    between = 0.5 * (start[1, row] + end[0, row])
    past, _ = torus.beyond(Rays(starts_mm=rays.starts_mm[row], direction=rays.direction), between)
    row = row[past <= GRAZE_MM]
    end[0, row] = np.maximum(end[0, row], end[1, row])
    start[1, row] = end[1, row] = np.nan
