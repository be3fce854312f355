"""Where parallel lines run inside a whole torus: the quartic in closed form, for all lines at once."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.joints.cope.rays import GRAZE_MM, Rays, Stretches

Numbers = NDArray[np.float64]
_NEAR_SHARE = 0.05
"""Of the tube's radius: pairs of roots, real or not, no farther apart are looked at by the skin itself."""
_SMALL_SUM = 1e-6
_POLISHES = 3
_TINY = 1e-300


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
        to_axis_mm = np.sqrt(x * x + y * y)
        out = to_axis_mm - self.ring_mm
        distance = np.sqrt(out * out + z * z)
        along_x, along_y, along_z = rays.direction.tolist()
        growth = out * (x * along_x + y * along_y) / np.maximum(to_axis_mm, _TINY) + z * along_z
        return distance - self.tube_mm, growth / np.maximum(distance, _TINY)


def stretches_in_torus(rays: Rays, torus: Torus) -> Stretches:
    """Where rays run inside a torus.

    Counted from the place nearest to the centre, a ray is on the skin where s^4 + p s^2 + q s + r = 0. With the largest
    root t of the resolvent cubic and u = sqrt(t), that is (s^2 + u s + a)(s^2 - u s + b), and each factor whose roots
    are real is one stretch: of four real roots the largest t pairs the two lower and the two upper ones.

    Args:
        rays: The rays, in the frame of the torus.
        torus: The torus.

    Returns:
        Stretches of shape (n, 2), in order along the ray.

    Source: L. Ferrari's solution of the quartic, as in M. Abramowitz and I. Stegun, Handbook of Mathematical Functions,
        3.8.2 and 3.8.3; each end is then brought onto the skin by Newton's rule.
    """
    middle = -(rays.starts_mm @ rays.direction)
    centred = Rays(starts_mm=rays.starts_mm + middle[:, None] * rays.direction, direction=rays.direction)
    half_sum, half2 = _factors(centred, torus)
    half = np.sqrt(np.maximum(half2, 0.0))
    centre = np.stack([-half_sum, half_sum], axis=1)
    real = half2 >= 0.0
    near = ~real & (half2 > -((_NEAR_SHARE * torus.tube_mm) ** 2))
    start, end = np.where(real, centre - half, np.nan), np.where(real, centre + half, np.nan)
    if real.any():
        start[real] = _polished(centred, torus, start, half, real)
        end[real] = _polished(centred, torus, end, half, real)
    if near.any():
        _touch(centred, torus, centre, near, start, end)
    _join(centred, torus, start, end)
    return start + middle[:, None], end + middle[:, None]


def _factors(rays: Rays, torus: Torus) -> tuple[Numbers, Numbers]:
    """Half the sum of the upper pair of roots, shape (n,), and the squares of half their distances, shape (n, 2)."""
    ring = torus.ring_mm
    x, y, z = rays.starts_mm.T / ring
    tube = torus.tube_mm / ring
    rise = float(rays.direction[2])
    to_axis2 = x * x + y * y
    bulk = to_axis2 + z * z + 1.0 - tube * tube
    p = 2.0 * bulk - 4.0 * (1.0 - rise * rise)
    q = 8.0 * rise * z
    r = bulk * bulk - 4.0 * to_axis2
    square = p * p - 4.0 * r
    sum2 = np.maximum(_largest_root(2.0 * p, square, -q * q), 0.0)
    total = np.sqrt(sum2)
    # the difference of the two last terms is q / u, but for u near 0
    apart = np.sqrt(np.maximum((p + sum2) ** 2 - 4.0 * r, 0.0))
    small = sum2 < _SMALL_SUM
    apart = np.where(small, np.copysign(apart, q), q / np.where(small, 1.0, total))
    last = 0.5 * np.stack([p + sum2 - apart, p + sum2 + apart], axis=1)
    return 0.5 * total * ring, (0.25 * sum2[:, None] - last) * ring * ring


def _largest_root(b: Numbers, c: Numbers, d: Numbers) -> Numbers:
    """The largest real root of t^3 + b t^2 + c t + d for each row."""
    third = b / 3.0
    spread = third * third - c / 3.0
    offset = third * (third * third - 0.5 * c) + 0.5 * d
    spread3 = spread * spread * spread
    below = spread3 - offset * offset
    three = below >= 0.0
    root = np.sqrt(np.maximum(spread, 0.0))
    with np.errstate(divide="ignore", invalid="ignore"):
        turn_rad = np.arctan2(np.sqrt(np.maximum(below, 0.0)), -offset) / 3.0
        large = -np.copysign(np.cbrt(np.abs(offset) + np.sqrt(np.maximum(-below, 0.0))), offset)
        single = large + np.where(large == 0.0, 0.0, spread / large)
    return np.where(three, 2.0 * root * np.cos(turn_rad), single) - third


def _polished(rays: Rays, torus: Torus, places: Numbers, half: Numbers, chosen: NDArray[np.bool_]) -> Numbers:
    """Chosen places brought onto the skin, none moved farther at once than half of its stretch."""
    along, most = places[chosen], half[chosen]
    row = np.nonzero(chosen)[0]
    here = Rays(starts_mm=rays.starts_mm[row], direction=rays.direction)
    for _ in range(_POLISHES):
        past, growth = torus.beyond(here, along)
        with np.errstate(divide="ignore", invalid="ignore"):
            step = past / growth
        along = along - np.clip(np.where(np.isfinite(step), step, 0.0), -most, most)
    return along


def _touch(
    rays: Rays, torus: Torus, centre: Numbers, near: NDArray[np.bool_], start: Numbers, end: Numbers
) -> None:
    """Rays that pass the skin by no more than a graze touch it at one place."""
    row, column = np.nonzero(near)
    along = centre[row, column]
    past, _ = torus.beyond(Rays(starts_mm=rays.starts_mm[row], direction=rays.direction), along)
    grazes = past <= GRAZE_MM
    start[row[grazes], column[grazes]] = end[row[grazes], column[grazes]] = along[grazes]


def _join(rays: Rays, torus: Torus, start: Numbers, end: Numbers) -> None:
    """Two stretches of a ray that leaves the skin between them by no more than a graze are one."""
    gap = start[:, 1] - end[:, 0]
    row = np.flatnonzero(gap <= 2.0 * _NEAR_SHARE * torus.tube_mm)
    if len(row) == 0:
        return
    between = 0.5 * (start[row, 1] + end[row, 0])
    past, _ = torus.beyond(Rays(starts_mm=rays.starts_mm[row], direction=rays.direction), between)
    row = row[past <= GRAZE_MM]
    end[row, 0] = np.fmax(end[row, 0], end[row, 1])
    start[row, 1] = end[row, 1] = np.nan
