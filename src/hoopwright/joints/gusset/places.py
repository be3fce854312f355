"""Where a gusset or a tie goes when nobody typed a place."""

from dataclasses import replace
from itertools import product

import numpy as np

from hoopwright.bars import Bar, Node, as_node, centreline
from hoopwright.cage import Gusset
from hoopwright.findings import UserError
from hoopwright.geometry import Line
from hoopwright.joints.gusset.corner import Corner, find_corner
from hoopwright.joints.gusset.tie import pillar_tie
from hoopwright.shell.shell import Shell

_INSIDE_MM = 60.0
_STATION_MM = 10.0
_TRIED = 40


def sharpest_corner(first: Bar, second: Bar) -> tuple[Node, Corner]:
    """The place in the sharpest corner that two bars make where they come nearest to each other, and that corner.

    Raises:
        UserError: `GUSSET-002` where they make none.
    """
    found: list[tuple[Node, Corner]] = []
    refused: UserError | None = None
    for place in _round_the_meeting(first, second):
        try:
            found.append((place, find_corner(first, second, place)))
        except UserError as error:
            refused = error
    if not found:
        assert refused is not None  # noqa: S101 - four places were tried
        raise refused
    return min(found, key=lambda one: one[1].angle_deg)


def _round_the_meeting(first: Bar, second: Bar) -> list[Node]:
    """Four places about the point where two bars come nearest, one in each corner."""
    one, other = (
        [piece for piece in centreline(bar).pieces if isinstance(piece, Line) and piece.length_mm > 0.0]
        for bar in (first, second)
    )
    _, at, here, there = min((_nearest(a, b) for a, b in product(one, other)), key=lambda pair: pair[0])
    ways = product((-_INSIDE_MM, _INSIDE_MM), repeat=2)
    return [as_node(np.array(at) + s * here.direction + t * there.direction) for s, t in ways]


def _nearest(one: Line, other: Line) -> tuple[float, Node, Line, Line]:
    """How near two straights come, where, and they themselves."""
    best = (np.inf, (0.0, 0.0, 0.0))
    ends = (0.0, one.length_mm)
    along = [*ends, *(one.nearest_mm(other.at(np.array([x]))[0]) for x in (0.0, other.length_mm))]
    slant = 1.0 - float(one.direction @ other.direction) ** 2
    if slant > 1e-9:
        between = other.start_mm - one.start_mm
        cosine = float(one.direction @ other.direction)
        crossing = (float(between @ one.direction) - cosine * float(between @ other.direction)) / slant
        along.append(float(np.clip(crossing, *ends)))
    for at in along:
        point = one.at(np.array([at]))[0]
        foot = other.at(np.array([other.nearest_mm(point)]))[0]
        best = min(best, (float(np.linalg.norm(foot - point)), as_node((point + foot) / 2.0)))
    return (*best, one, other)


def tie_place(tie: Gusset, bar: Bar, shell: Shell) -> Node:
    """The middle of a tie where the metal lies nearest along its whole length.

    Args:
        tie: As it is meant, but for its place.
        bar: The bar that it stands on.
        shell: In the vehicle frame.

    Raises:
        UserError: What `pillar_tie` says of the best place when it cannot be made there or at any of the next.
    """
    places = _nearest_stretches(tie, bar, shell)
    refused: UserError | None = None
    for place in places[:_TRIED]:
        try:
            pillar_tie(replace(tie, place_mm=place), bar, shell)
        except UserError as error:
            refused = refused or error
        else:
            return place
    if refused is None:
        pillar_tie(replace(tie, place_mm=bar.nodes_mm[0]), bar, shell)  # says that no straight is long enough
        return bar.nodes_mm[0]
    raise refused


def _nearest_stretches(tie: Gusset, bar: Bar, shell: Shell) -> list[Node]:
    """Middles of stretches as long as a tie, those with the nearest metal first."""
    found: list[tuple[float, Node]] = []
    for line in centreline(bar).pieces:
        if not isinstance(line, Line) or line.length_mm < tie.leg_mm:
            continue
        along = np.arange(0.0, line.length_mm + 1e-9, _STATION_MM)
        apart = shell.nearest(line.at(along)).distance_mm
        half = tie.leg_mm / 2.0
        for middle in along[(along >= half) & (along <= line.length_mm - half)]:
            farthest = float(apart[np.abs(along - middle) <= half].max())
            found.append((farthest, as_node(line.at(np.array([middle]))[0])))
    return [place for _, place in sorted(found)]
