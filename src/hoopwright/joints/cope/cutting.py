"""Which part of each generator of a branch the headers take away."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import Arc
from hoopwright.joints.cope.bend_rays import stretches_in_bend
from hoopwright.joints.cope.meeting import Meeting
from hoopwright.joints.cope.rays import Rays, stretches_in_straight
from hoopwright.joints.cope.tubes import Branch, Header
from hoopwright.joints.cope.within_reach import pieces_within_reach

Numbers = NDArray[np.float64]
Range = tuple[float, float]
_Found = tuple[Numbers, Numbers, NDArray[np.intp]]
NOWHERE = -1
_ONE_PIECE_MM = 1e-6
_INSIDE_SHARES = (0.0, 1 / 3, 2 / 3)


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
        reached: For each header the pieces of its path that the branch may touch.
        on_grid: Where the outside skin is cut at the generators that the scene was made with.
    """

    branch: Branch
    headers: tuple[Header, ...]
    ranges_mm: tuple[Range | None, ...]
    reached: tuple[tuple[int, ...], ...]
    on_grid: Cut

    def cut(self, around_deg: ArrayLike, radius_mm: float) -> Cut:
        """The farthest place at which a header of this joint takes away some of each generator.

        Args:
            around_deg: Generators, from the datum line, shape (n,).
            radius_mm: Of the skin that they lie on.
        """
        angles = np.atleast_1d(np.asarray(around_deg, dtype=np.float64))
        rays = rays_of(self.branch, angles, radius_mm)
        parts = zip(self.headers, self.reached, self.ranges_mm, strict=True)
        return _farthest(
            len(angles),
            [
                None if taken is None else _ends_within(_stretches(rays, header, pieces), taken)
                for header, pieces, taken in parts
            ],
        )


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
    reached = tuple(pieces_within_reach(branch, header) for header in headers)
    found = [_stretches(rays, header, pieces) for header, pieces in zip(headers, reached, strict=True)]
    own = [
        _nearest_range(start, end, met.branch_mm)
        for (start, end, _), met in zip(found, meetings, strict=True)
    ]
    ranges = _hanging_together(own)
    count = len(around_deg)
    on_skin = [(start[:count], end[:count], pieces) for start, end, pieces in found]
    ends = [
        None if taken is None else _ends_within(one, taken)
        for one, taken in zip(on_skin, ranges, strict=True)
    ]
    return Scene(
        branch=branch,
        headers=tuple(headers),
        ranges_mm=ranges,
        reached=reached,
        on_grid=_farthest(count, ends),
    )


def _through_the_branch(branch: Branch, around_deg: Numbers) -> Rays:
    """Rays on the skin and inside it: on a header narrower than the branch, heel and toe hang together inside alone."""
    few = np.arange(0.0, 360.0, 30.0)
    angles = np.concatenate([around_deg, *(few for _ in _INSIDE_SHARES)])
    shares = np.repeat([1.0, *_INSIDE_SHARES], [len(around_deg), *(len(few) for _ in _INSIDE_SHARES)])
    starts = branch.origin_mm + (branch.od_mm / 2.0) * shares[:, None] * branch.sides(angles)
    return Rays(starts_mm=starts, direction=branch.direction)


def _stretches(rays: Rays, header: Header, reached: Sequence[int]) -> _Found:
    """Start and end of every stretch inside a header, shape (n, k), and the piece of each column, shape (k,)."""
    path = header.path.pieces
    starts, ends, columns = [], [], []
    for index in reached:
        piece = path[index]
        if isinstance(piece, Arc):
            bends = sum(isinstance(before, Arc) for before in path[:index])
            start, end = stretches_in_bend(rays, piece, header.od_mm, header.oval_of(bends))
        else:
            start, end = stretches_in_straight(
                rays,
                piece,
                header.od_mm / 2.0,
                open_start=header.is_endless and index == 0,
                open_end=header.is_endless and index == len(path) - 1,
            )
        starts.append(start)
        ends.append(end)
        columns += [index] * start.shape[1]
    if not columns:
        nothing = np.full((len(rays.starts_mm), 1), np.nan)
        return nothing, nothing, np.array([NOWHERE])
    return np.hstack(starts), np.hstack(ends), np.array(columns)


def _ends_within(found: _Found, taken: Range) -> tuple[Numbers, NDArray[np.intp]]:
    start, end, pieces = found
    here = (end >= taken[0] - _ONE_PIECE_MM) & (start <= taken[1] + _ONE_PIECE_MM)
    ends = np.where(here, end, -np.inf)
    best = np.argmax(ends, axis=1)
    return ends[np.arange(len(ends)), best], pieces[best]


def _farthest(count: int, of_headers: Sequence[tuple[Numbers, NDArray[np.intp]] | None]) -> Cut:
    """The farther of what each header takes, -inf where it takes nothing."""
    along = np.full(count, -np.inf)
    header_of = np.full(count, NOWHERE)
    piece_of = np.full(count, NOWHERE)
    for index, found in enumerate(of_headers):
        if found is not None:
            ends, pieces = found
            farther = ends > along
            along = np.where(farther, ends, along)
            header_of = np.where(farther, index, header_of)
            piece_of = np.where(farther, pieces, piece_of)
    return Cut(along_mm=np.where(np.isneginf(along), np.nan, along), header=header_of, piece=piece_of)


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
