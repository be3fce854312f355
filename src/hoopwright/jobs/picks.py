"""The exact place on the scan that a person pointed at in the thinned picture of it."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node, as_node, centreline
from hoopwright.cage import Cage, bar_of
from hoopwright.geometry import Vector
from hoopwright.shell.shell import Shell

BEFORE_MM = 40.0
"""How far before the picked place the ray starts: more than thinning moves metal, less than to what a cut hides."""


@dataclass(frozen=True, kw_only=True)
class PickedMetal:
    """A place on the full scan.

    Args:
        place_mm: Vehicle frame.
        toward: Direction square off the metal, toward where it was looked at from; length 1.
        off_mm: How far it lies from the place picked on the thinned scan.
    """

    place_mm: Node
    toward: Node
    off_mm: float


def exact_place(shell: Shell, near_mm: Node, direction: Node) -> PickedMetal:
    """Where a look at a place on the thinned scan meets the full one.

    A ray that meets nothing there (a cloud, or a rim that thinning moved) gives the nearest metal.

    Args:
        shell: The full scan.
        near_mm: Place picked on the thinned one, vehicle frame.
        direction: Of the look, away from the eye.
    """
    near, along = np.array(near_mm, dtype=np.float64), np.array(direction, dtype=np.float64)
    length = float(np.linalg.norm(along))
    along = along / length if length > 0.0 else np.array([0.0, 0.0, -1.0])
    hits = shell.first_hits((near - BEFORE_MM * along)[None], along[None], reach_mm=2.0 * BEFORE_MM)
    place, triangle = hits.place_mm[0], int(hits.triangle[0])
    if triangle < 0:
        nearest = shell.nearest(near[None])
        place, triangle = nearest.place_mm[0], int(nearest.triangle[0])
    return PickedMetal(
        place_mm=as_node(place),
        toward=as_node(_toward_eye(shell, triangle, along)),
        off_mm=float(np.linalg.norm(place - near)),
    )


def _toward_eye(shell: Shell, triangle: int, along: Vector) -> Vector:
    if shell.prepared.is_cloud or triangle < 0:
        return -along
    corners = shell.prepared.tree.corners[triangle].reshape(3, 3).astype(np.float64)
    square = np.cross(corners[1] - corners[0], corners[2] - corners[0])
    size = float(np.linalg.norm(square))
    if size == 0.0:
        return -along
    normal: Vector = shell.to_vehicle.directions((square / size)[None])[0]
    return -normal if float(normal @ along) > 0.0 else normal


def axis_place(cage: Cage, bar_id: str, near_mm: Node) -> Node:
    """The place on a bar's axis nearest to one on its skin, vehicle frame.

    Raises:
        UserError: `CAGE-001` when there is no such bar.
    """
    path = centreline(bar_of(cage, bar_id))
    return as_node(path.at([path.nearest_mm(near_mm)])[0])
