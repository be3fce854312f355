"""Where straight lines run inside a bend whose section is oval."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Arc
from hoopwright.joints.cope.rays import Rays, Stretches
from hoopwright.joints.cope.sampled_rays import STEP_SHARE, sampled_stretches
from hoopwright.joints.cope.solving import Rows, roots
from hoopwright.joints.cope.torus import Torus, stretches_in_torus
from hoopwright.joints.cope.tubes import OvalBend

Numbers = NDArray[np.float64]


@dataclass(frozen=True, kw_only=True, eq=False)
class _Skin:
    """The skin of an oval bend, with rays in its own frame: x from the centre to the start, y along the travel."""

    rays: Rays
    arc: Arc
    od_mm: float
    oval: OvalBend

    def beyond(self, along_mm: Numbers, rows: Rows) -> Numbers:
        """How far places on rays lie outside the skin, mm; on the skin exactly 0. Same shape as given."""
        way = self.rays.direction
        x, y, z = (
            at[rows] + along_mm * share for at, share in zip(self.rays.starts_mm.T, way.tolist(), strict=True)
        )
        share = oval_share(self.arc, self.od_mm, np.arctan2(y, x) * self.arc.radius_mm)
        radius_mm = self.od_mm / 2.0
        in_plane = radius_mm + share * (self.oval.in_plane_mm / 2.0 - radius_mm)
        across = radius_mm + share * (self.oval.across_mm / 2.0 - radius_mm)
        out = (np.sqrt(x * x + y * y) - self.arc.radius_mm) / in_plane
        scaled: Numbers = (np.sqrt(out * out + (z / across) ** 2) - 1.0) * radius_mm
        return scaled


def oval_share(arc: Arc, od_mm: float, along_mm: Numbers) -> Numbers:
    """How much of its measured ovality a bend has at distances from its start: 0 at both tangent points, then 1."""
    nearer = np.minimum(along_mm, arc.length_mm - along_mm)
    share = np.minimum(np.maximum(nearer / _run_in_mm(arc, od_mm), 0.0), 1.0)
    smooth: Numbers = share * share * (3.0 - 2.0 * share)
    return smooth


def _run_in_mm(arc: Arc, od_mm: float) -> float:
    return min(od_mm, arc.length_mm / 4.0)


def stretches_in_oval(
    rays: Rays, arc: Arc, od_mm: float, oval: OvalBend, *, within_mm: Stretches
) -> Stretches:
    """Where rays run inside an oval bend that goes on round beyond both its tangent points.

    Its skin lies between two round ones, that of its smallest and that of its largest radius. A ray that goes through
    both steeply enough crosses it once between them; one that does not is searched in small steps.

    Args:
        rays: The rays, x from the centre to the bend's start, y along its travel.
        arc: The bend's centreline.
        od_mm: Outside diameter of the tube.
        oval: Its measured section.
        within_mm: From where to where along each ray a stretch matters, shape (n, 1) or (1, 1) each.

    Returns:
        Stretches of shape (n, 2), those without a part within left out. Their ends are exact, their starts up to a
        quarter of the tube's radius early.
    """
    skin = _Skin(rays=rays, arc=arc, od_mm=od_mm, oval=oval)
    radii_mm = (od_mm / 2.0, oval.in_plane_mm / 2.0, oval.across_mm / 2.0)
    inner, outer = (Torus(ring_mm=arc.radius_mm, tube_mm=choice(radii_mm)) for choice in (min, max))
    start, latest = stretches_in_torus(rays, outer)
    inner_start, earliest = stretches_in_torus(rays, inner)
    met = (start <= within_mm[1]) & (latest >= within_mm[0])
    start[~met] = latest[~met] = np.nan
    least = _least_growth(arc, od_mm, inner, outer)
    row, column = np.nonzero(met & (inner_start - start <= STEP_SHARE * od_mm / 2.0))
    here = Rays(starts_mm=rays.starts_mm[row], direction=rays.direction)
    growth = inner.beyond(here, earliest[row, column])[1]
    spare_mm = latest[row, column] - earliest[row, column]
    # from one skin to the other the growth falls by no more than 1 / radius of the ring's inside for each mm
    known = np.zeros(start.shape, dtype=np.bool_)
    known[row, column] = growth - spare_mm / (arc.radius_mm - outer.tube_mm) > least
    hard: NDArray[np.bool_] = np.asarray((met & ~known).any(axis=1))
    row, column = np.nonzero(known & ~hard[:, None])
    end = np.full_like(latest, np.nan)
    end[row, column] = roots(skin.beyond, row, earliest[row, column], latest[row, column])
    if hard.any():
        low, high = np.nanmin(start[hard], axis=1), np.nanmax(latest[hard], axis=1)
        start[hard], end[hard] = sampled_stretches(skin.beyond, np.flatnonzero(hard), low, high, od_mm)
    return start, end


def _least_growth(arc: Arc, od_mm: float, inner: Torus, outer: Torus) -> float:
    """How fast a ray must leave the centreline, mm per mm, to leave the oval section for certain as it does so.

    Moving round the section, or along the bend where its ovality grows, may come nearer to the skin by what the axes
    differ.
    """
    small, large = inner.tube_mm, outer.tube_mm
    round_the_section = large * (large**2 - small**2) / (2.0 * small**4)
    along_mm = math.nextafter(_run_in_mm(arc, od_mm), math.inf)
    faster = arc.radius_mm / (arc.radius_mm - large)
    along_the_bend = large * (large - small) / small**2 * 1.5 / along_mm * faster
    return large * (round_the_section + along_the_bend)
