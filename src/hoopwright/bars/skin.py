"""The outside surface of a bar as a triangle mesh, for drawing and for other tools."""

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars.bar import Bar, centreline
from hoopwright.geometry import Arc, Line, Points, Vector, unit_vector


@dataclass(frozen=True, eq=False)
class SkinMesh:
    """A closed triangle mesh, wound outward.

    Args:
        vertices_mm: Shape (n, 3).
        triangles: Indices into the vertices, shape (m, 3).
    """

    vertices_mm: Points
    triangles: NDArray[np.int32]


def skin_mesh(bar: Bar, *, around: int = 32, arc_step_deg: float = 5.0) -> SkinMesh:
    """The bar's outside skin with flat ends.

    Args:
        bar: The bar.
        around: Points round the tube, at least 3. They lie on the skin, so the mesh is inside the true tube.
        arc_step_deg: Greatest turn between two rings in a bend.

    Raises:
        ValueError: Where the bar cannot be; `check_shape` says it in words.
    """
    middles, travels, sides = skin_rings(bar, arc_step_deg)
    turn_rad = np.linspace(0.0, 2.0 * math.pi, around, endpoint=False)
    others = np.cross(travels, sides)
    radius = bar.tube.od_mm / 2.0
    rings = (
        middles[:, None]
        + radius * np.cos(turn_rad)[None, :, None] * sides[:, None]
        + radius * np.sin(turn_rad)[None, :, None] * others[:, None]
    )
    vertices = np.concatenate([rings.reshape(-1, 3), middles[:1], middles[-1:]])
    return SkinMesh(vertices, _triangles(len(middles), around))


def skin_rings(bar: Bar, arc_step_deg: float) -> tuple[Points, Points, Points]:
    """Middle, travel and one side direction of each ring along a bar; the side is carried without twist.

    Args:
        bar: The bar.
        arc_step_deg: Greatest turn between two rings in a bend.

    Returns:
        Three arrays of shape (rings, 3); the first in mm, the others unit directions.
    """
    pieces = centreline(bar).pieces
    side = _any_side(pieces[0].direction)
    middles, travels, sides = [pieces[0].at(np.zeros(1))[0]], [pieces[0].direction], [side]
    for piece in pieces:
        if isinstance(piece, Line):
            if piece.length_mm > 0.0:
                middles.append(piece.at(np.array([piece.length_mm]))[0])
                travels.append(piece.direction)
                sides.append(side)
        else:
            steps = max(1, math.ceil(piece.angle_deg / arc_step_deg))
            along = np.linspace(0.0, piece.length_mm, steps + 1)[1:]
            turned = [_carry(side, piece, distance / piece.radius_mm) for distance in along]
            middles.extend(piece.at(along))
            travels.extend(piece.direction_at(along))
            sides.extend(turned)
            side = turned[-1]
    return np.array(middles), np.array(travels), np.array(sides)


def _any_side(direction: Vector) -> Vector:
    across = np.eye(3)[int(np.argmin(np.abs(direction)))]
    return unit_vector(across - direction * float(across @ direction))


def _carry(side: Vector, arc: Arc, turned_rad: float) -> Vector:
    normal = np.cross(arc.outward, arc.direction)
    in_plane = np.array([side @ arc.outward, side @ arc.direction])
    cos, sin = math.cos(turned_rad), math.sin(turned_rad)
    carried: Vector = (
        (in_plane[0] * cos - in_plane[1] * sin) * arc.outward
        + (in_plane[0] * sin + in_plane[1] * cos) * arc.direction
        + float(side @ normal) * normal
    )
    return carried


def _triangles(rings: int, around: int) -> NDArray[np.int32]:
    corner = np.arange(around)
    following = (corner + 1) % around
    first = (np.arange(rings - 1) * around)[:, None]
    a, b = first + corner, first + following
    c, d = a + around, b + around
    walls = np.stack([np.stack([a, b, c], -1), np.stack([b, d, c], -1)]).reshape(-1, 3)
    start, end, last = rings * around, rings * around + 1, (rings - 1) * around
    cap_a = np.stack([following, corner, np.full(around, start)], -1)
    cap_b = np.stack([last + corner, last + following, np.full(around, end)], -1)
    return np.concatenate([walls, cap_a, cap_b]).astype(np.int32)
