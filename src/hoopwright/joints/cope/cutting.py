"""Which part of each generator of a branch the headers take away."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import Arc, Line
from hoopwright.joints.cope.bend_rays import stretches_in_bend
from hoopwright.joints.cope.meeting import Meeting
from hoopwright.joints.cope.rays import Rays, stretches_in_straight
from hoopwright.joints.cope.tubes import Branch, Header

Numbers = NDArray[np.float64]
Range = tuple[float, float]
NOWHERE = -1
_ONE_PIECE_MM = 1e-6
_INSIDE_SHARES = (0.0, 1 / 3, 2 / 3)
_WINDOW_WIDTHS = 30.0
"""Half of what is looked at along a branch, in radii of both tubes: a cope at 5° is 12 of them long."""


@dataclass(frozen=True, kw_only=True, eq=False)
class Cut:
    """Where generators are cut.

    Args:
        along_mm: From the branch's origin, NaN where nothing cuts, shape (n,).
        header: Index of the header that cuts, -1 where none does, shape (n,).
        piece: Index of its piece of path, -1 where none does, shape (n,).
    """

    along_mm: Numbers
    header: NDArray[np.intp]
    piece: NDArray[np.intp]


@dataclass(frozen=True, kw_only=True, eq=False)
class Scene:
    """A branch with the headers that it is cut to.

    Args:
        branch: The branch.
        headers: The headers.
        ranges_mm: For each header the part of the branch's axis in which it takes away what belongs to this
            joint; None for one that does not.
    """

    branch: Branch
    headers: tuple[Header, ...]
    ranges_mm: tuple[Range | None, ...]

    def cut(self, around_deg: ArrayLike, radius_mm: float) -> Cut:
        """The farthest place at which a header of this joint takes away some of each generator.

        Args:
            around_deg: Generators, from the datum line, shape (n,).
            radius_mm: Of the skin that they lie on.
        """
        angles = np.atleast_1d(np.asarray(around_deg, dtype=np.float64))
        rays = rays_of(self.branch, angles, radius_mm)
        along = np.full(len(angles), -np.inf)
        header_of = np.full(len(angles), NOWHERE)
        piece_of = np.full(len(angles), NOWHERE)
        for index, (header, taken) in enumerate(zip(self.headers, self.ranges_mm, strict=True)):
            if taken is None:
                continue
            ends, pieces = _ends_within(rays, header, taken)
            farther = ends > along
            along = np.where(farther, ends, along)
            header_of = np.where(farther, index, header_of)
            piece_of = np.where(farther, pieces, piece_of)
        return Cut(along_mm=np.where(np.isneginf(along), np.nan, along), header=header_of, piece=piece_of)


def rays_of(branch: Branch, around_deg: Numbers, radius_mm: float) -> Rays:
    """The generators of a skin as rays whose lengths count from the branch's origin."""
    starts = branch.origin_mm + radius_mm * branch.sides(around_deg)
    return Rays(starts_mm=starts, direction=branch.direction)


def scene_of(
    branch: Branch, headers: Sequence[Header], meetings: Sequence[Meeting], around_deg: Numbers
) -> Scene:
    """A branch and its headers, each with the part of the branch that it takes away here.

    A header that is bent may cross the branch's line a second time far from the joint. What belongs to the joint is
    the stretch next to where the axes meet, as long as it hangs together with what the other headers take away.
    """
    rays = _through_the_branch(branch, around_deg)
    own = [
        _nearest_range(*_stretches(rays, header, _window(branch, header, met))[:2], met.branch_mm)
        for header, met in zip(headers, meetings, strict=True)
    ]
    return Scene(branch=branch, headers=tuple(headers), ranges_mm=_hanging_together(own))


def _through_the_branch(branch: Branch, around_deg: Numbers) -> Rays:
    """Rays on the skin and inside it: on a header narrower than the branch, heel and toe hang together inside alone."""
    few = np.arange(0.0, 360.0, 30.0)
    radius_mm = branch.od_mm / 2.0
    sets = [
        rays_of(branch, around_deg, radius_mm),
        *(rays_of(branch, few, share * radius_mm) for share in _INSIDE_SHARES),
    ]
    return Rays(starts_mm=np.concatenate([one.starts_mm for one in sets]), direction=branch.direction)


def _window(branch: Branch, header: Header, met: Meeting) -> Range:
    half_mm = _WINDOW_WIDTHS * (branch.od_mm + header.od_mm) / 2.0
    return met.branch_mm - half_mm, met.branch_mm + half_mm


def _stretches(rays: Rays, header: Header, window_mm: Range) -> tuple[Numbers, Numbers, NDArray[np.intp]]:
    """Start and end of every stretch inside a header, shape (n, k), and the piece of each column, shape (k,)."""
    starts, ends, pieces = [], [], []
    bends = 0
    last = len(header.path.pieces) - 1
    for index, piece in enumerate(header.path.pieces):
        if isinstance(piece, Arc):
            start, end = stretches_in_bend(
                rays, piece, header.od_mm, header.oval_of(bends), window_mm=window_mm
            )
            bends += 1
        else:
            start, end = _in_straight(rays, piece, header, first=index == 0, last=index == last)
        starts.append(start)
        ends.append(end)
        pieces += [index] * start.shape[1]
    return np.hstack(starts), np.hstack(ends), np.array(pieces)


def _in_straight(
    rays: Rays, line: Line, header: Header, *, first: bool, last: bool
) -> tuple[Numbers, Numbers]:
    goes_on = header.is_endless
    return stretches_in_straight(
        rays, line, header.od_mm / 2.0, open_start=first and goes_on, open_end=last and goes_on
    )


def _ends_within(rays: Rays, header: Header, taken: Range) -> tuple[Numbers, NDArray[np.intp]]:
    start, end, pieces = _stretches(rays, header, taken)
    here = (end >= taken[0] - _ONE_PIECE_MM) & (start <= taken[1] + _ONE_PIECE_MM)
    ends = np.where(here, end, -np.inf)
    best = np.argmax(ends, axis=1)
    return ends[np.arange(len(ends)), best], pieces[best]


def _nearest_range(start: Numbers, end: Numbers, near_mm: float) -> Range | None:
    """Of the stretches of all generators, those that hang together and lie nearest to a place."""
    present = np.isfinite(start) & np.isfinite(end)
    if not present.any():
        return None
    order = np.argsort(start[present])
    low, high = start[present][order], np.maximum.accumulate(end[present][order])
    breaks = np.flatnonzero(low[1:] > high[:-1] + _ONE_PIECE_MM)
    firsts, lasts = np.concatenate([[0], breaks + 1]), np.concatenate([breaks, [len(low) - 1]])
    ranges = list(zip(low[firsts].tolist(), high[lasts].tolist(), strict=True))
    return min(ranges, key=lambda one: _distance_mm(one, near_mm))


def _hanging_together(own: Sequence[Range | None]) -> tuple[Range | None, ...]:
    """Only ranges that hang together, by overlap, with the one nearest to the branch's origin."""
    present = [index for index, one in enumerate(own) if one is not None]
    if not present:
        return tuple(own)
    first = min(present, key=lambda index: _distance_mm(_known(own[index]), 0.0))
    low, high = _known(own[first])
    kept = {first}
    while True:
        more = {index for index in present if index not in kept and _overlap(_known(own[index]), (low, high))}
        if not more:
            return tuple(one if index in kept else None for index, one in enumerate(own))
        kept |= more
        low = min(low, *(_known(own[index])[0] for index in more))
        high = max(high, *(_known(own[index])[1] for index in more))


def _known(one: Range | None) -> Range:
    assert one is not None  # noqa: S101
    return one


def _overlap(one: Range, other: Range) -> bool:
    return one[0] <= other[1] + _ONE_PIECE_MM and other[0] <= one[1] + _ONE_PIECE_MM


def _distance_mm(one: Range, place_mm: float) -> float:
    return max(one[0] - place_mm, place_mm - one[1], 0.0)
