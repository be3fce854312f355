"""A part as it is carried: which clearance each of its balls needs near its place and elsewhere."""

from dataclasses import dataclass, replace

import numpy as np

from hoopwright.geometry import Vector
from hoopwright.joints.ways.body import SPACING_MM, Part, only
from hoopwright.shell.moving import BallBody, Surroundings, at_rest, measure
from hoopwright.shell.rays import first_hits

PLAY_MM = 1.0
"""How much a cope may rub or a foot give while it is taken off its place: about the gap that a joint is fitted to
(common practice, no source)."""
NEAR_MM = 250.0
"""Within so much of its place a ball may be as near to others as it lies at its place."""
FOUL_MM = 0.5


@dataclass(frozen=True, eq=False, kw_only=True)
class Foul:
    """A place where a part cuts into something while it lies where it is drawn.

    Args:
        name: Its bar.
        along_mm: From end A.
        place_mm: On its axis.
        into: What it cuts into: a bar, or empty for the shell.
        triangle: Number of the triangle, for the shell.
        depth_mm: How deep.
    """

    name: str
    along_mm: float
    place_mm: Vector
    into: str
    triangle: int
    depth_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Carried:
    """A part ready to be moved.

    Args:
        part: The part.
        body: Its balls, each with what it needs near its place.
        free_body: The same with the usual clearance everywhere: free of its landings.
        foul: The deepest cut at its place, outside its landings; None where it fits.
    """

    part: Part
    body: BallBody
    free_body: BallBody
    foul: Foul | None


def carried(around: Surroundings, part: Part, gap_mm: float, *, near_mm: float = NEAR_MM) -> Carried:
    """A part at its place among what is there.

    Args:
        around: Metal, and the bars that are in already.
        part: The part.
        gap_mm: Clearance that it keeps on its way.
        near_mm: Within how much of its place it may be as near to others as there.
    """
    part = _trimmed_to_metal(around, part)
    whole = _body(part, np.full(len(part.places_mm), np.inf), gap_mm, near_mm)
    there = measure(around, whole, at_rest())
    least = there.least_mm
    middle = np.flatnonzero(~part.at_landing)
    foul = None
    if len(middle) and least[worst := middle[int(np.argmin(least[middle]))]] < -FOUL_MM:
        on_bar = there.capsule[worst] >= 0 and there.capsule_mm[worst] < there.metal_mm[worst]
        foul = Foul(
            name=part.names[part.of_bar[worst]],
            along_mm=float(part.along_mm[worst]),
            place_mm=part.places_mm[worst],
            into=around.capsules[there.capsule[worst]].name if on_bar else "",
            triangle=-1 if on_bar else int(there.triangle[worst]),
            depth_mm=-float(least[worst]),
        )
    part, least = _cut_to_what_is_there(part, least)
    needs = np.where(least - PLAY_MM < gap_mm, least - PLAY_MM, np.inf)
    whole = _body(part, np.full(len(part.places_mm), np.inf), gap_mm, near_mm)
    return Carried(part=part, body=_body(part, needs, gap_mm, near_mm), free_body=whole, foul=foul)


def _cut_to_what_is_there(part: Part, least_mm: Vector) -> tuple[Part, Vector]:
    """The part with its landings cut until they only touch, as copes and trims do; what is all gone is left out."""
    radius = np.where(part.at_landing, part.radius_mm + np.minimum(least_mm, 0.0), part.radius_mm)
    keep = radius >= 0.0
    cut = only(replace(part, radius_mm=radius), keep)
    return cut, np.where(part.at_landing, np.maximum(least_mm, 0.0), least_mm)[keep]


def _trimmed_to_metal(around: Surroundings, part: Part) -> Part:
    """The part with its ends scribed to the skin that they stand on: what is drawn through it is not there."""
    ends = np.flatnonzero(part.at_landing)
    ways = part.places_mm[ends] - part.from_mm[ends]
    far = np.linalg.norm(ways, axis=1)
    ends, ways, far = ends[far > 1e-6], ways[far > 1e-6], far[far > 1e-6]
    if not len(ends):
        return part
    hits = first_hits(around.tree, part.from_mm[ends], ways, reach_mm=far)
    met = np.isfinite(hits.distance_mm)
    places, keep = part.places_mm.copy(), np.ones(len(part.places_mm), dtype=bool)
    on_edge = part.radius_mm[ends] == 0.0
    places[ends[met & on_edge]] = hits.place_mm[met & on_edge]
    keep[ends[met & ~on_edge]] = False
    return only(replace(part, places_mm=places), keep)


def _body(part: Part, needs: Vector, gap_mm: float, near_mm: float) -> BallBody:
    count = len(part.places_mm)
    balls = np.zeros((count, 6))
    balls[:, :3], balls[:, 3] = part.places_mm, part.radius_mm
    # balls of one tube follow each other; one that needs less than the usual cannot answer for the next
    follows = (
        (part.of_bar[:-1] == part.of_bar[1:])
        & (part.radius_mm[:-1] == part.radius_mm[1:])
        & (part.radius_mm[1:] > 0.0)
        & ~np.isfinite(needs[:-1])
    )
    run = 0
    for index in range(count - 2, -1, -1):
        run = run + 1 if follows[index] else 0
        balls[index, 4] = run
    balls[:, 5] = np.where(part.radius_mm > 0.0, SPACING_MM, 0.0)
    middle = (part.places_mm.min(axis=0) + part.places_mm.max(axis=0)) / 2.0
    return BallBody(balls=balls, middle_mm=middle, at_rest_mm=needs, near_mm=near_mm, gap_mm=gap_mm)
