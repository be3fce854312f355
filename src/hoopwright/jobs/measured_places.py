"""Places that a person picks in the picture: found again on the full scan or on a bar's skin, and how far apart."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node, as_node, centreline
from hoopwright.cage import Cage, bar_of
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.picks import exact_place
from hoopwright.shell.shell import Shell

_ON_SKIN_MM = 1e-4
_MOST_STEPS = 400
_FAR_MM = 50_000.0


@dataclass(frozen=True, kw_only=True)
class Spot:
    """A place on metal.

    Args:
        place_mm: Vehicle frame.
        on: What it lies on, in words.
    """

    place_mm: Node
    on: str


@dataclass(frozen=True, kw_only=True)
class Apart:
    """How far two places lie apart.

    Args:
        straight_mm: Straight from one to the other.
        forward_mm: From the first to the second, along the car.
        left_mm: Across it.
        up_mm: Upward.
    """

    straight_mm: float
    forward_mm: float
    left_mm: float
    up_mm: float


def spot_on_shell(shell: Shell, near_mm: Node, direction: Node) -> Spot:
    """The place of the full scan where a place of the thinned one was picked; see `picks.exact_place`.

    Args:
        shell: The shell.
        near_mm: What was picked of the thinned scan, vehicle frame.
        direction: Of the look, away from the eye.
    """
    place = exact_place(shell, near_mm, direction).place_mm
    found = shell.nearest(np.array([place]))
    region = int(shell.prepared.regions.of_triangle[int(found.triangle[0])])
    return Spot(place_mm=place, on=f"{shell.region_names[region]} (scan)")


def spot_on_bar(cage: Cage, bar_id: str, origin_mm: Node, direction: Node) -> Spot:
    """The place of a bar's skin that a line of sight meets first.

    The sight goes on by its distance from the skin until it is there: sphere tracing (J. C. Hart, The Visual Computer
    12 (1996) 527), which cannot step through a skin.

    Args:
        cage: The cage.
        bar_id: The bar.
        origin_mm: Where the sight begins, vehicle frame.
        direction: Which way.

    Raises:
        UserError: `CAGE-001`; `WEB-061` when the sight passes the bar.
    """
    bar = bar_of(cage, bar_id)
    path = centreline(bar)
    at, way = np.array(origin_mm, dtype=np.float64), np.array(direction, dtype=np.float64)
    way /= np.linalg.norm(way)
    gone = 0.0
    for _ in range(_MOST_STEPS):
        to_skin = path.distance_to_mm(at) - bar.tube.od_mm / 2.0
        if to_skin <= _ON_SKIN_MM:
            return Spot(place_mm=as_node(at), on=f"bar {bar_id}")
        at, gone = at + to_skin * way, gone + to_skin
        if gone > _FAR_MM:
            break
    raise UserError(
        Finding(
            code="WEB-061",
            severity=Severity.STOP,
            sentence=f"No place of bar {bar_id} lies there.",
            todo="Pick again, a little to the side.",
            objects=(bar_id,),
        )
    )


def apart(first: Spot, second: Spot) -> Apart:
    """How far two places lie apart."""
    forward, left, up = (b - a for a, b in zip(first.place_mm, second.place_mm, strict=True))
    return Apart(
        straight_mm=math.sqrt(forward**2 + left**2 + up**2), forward_mm=forward, left_mm=left, up_mm=up
    )
