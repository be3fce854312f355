"""The skin of a bar outside and inside with its wall at the ends, coped where it is cut: a mesh to look at."""

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars.bar import Bar
from hoopwright.bars.skin import skin_rings
from hoopwright.geometry import Points, Vector, signed_angle_about_deg

_FULL_DEG = 360.0


@dataclass(frozen=True, kw_only=True, eq=False)
class EndRim:
    """Where an end is cut, generator by generator.

    Args:
        side: From the axis to the first generator, a unit direction square to the tube.
        inward_mm: From the drawn end along the axis into the bar, in even steps round the tube from `side`, right-hand
            rule about the travel from A to B; shape (n,). Negative is beyond the drawn end.
    """

    side: Vector
    inward_mm: Vector


@dataclass(frozen=True, kw_only=True, eq=False)
class HollowSkin:
    """A closed triangle mesh of a tube's wall, wound outward.

    Args:
        vertices_mm: Shape (n, 3).
        normals: Unit normals at the vertices, outward of the steel; shape (n, 3).
        triangles: Indices into the vertices, shape (m, 3).
    """

    vertices_mm: Points
    normals: Points
    triangles: NDArray[np.int32]


def hollow_skin(
    bar: Bar,
    *,
    rim_a: EndRim | None = None,
    rim_b: EndRim | None = None,
    around: int = 36,
    arc_step_deg: float = 5.0,
) -> HollowSkin:
    """The tube's wall as a mesh.

    Args:
        bar: The bar.
        rim_a: Where end A is cut; square at the drawn end without.
        rim_b: Where end B is cut. A cut that goes past the end straight is drawn to its end only.
        around: Points round the tube, at least 3. They lie on the skin, so the mesh is inside the true tube.
        arc_step_deg: Greatest turn between two rings in a bend.

    Raises:
        ValueError: Where the bar cannot be; `check_shape` says it in words.
    """
    middles, travels, sides = skin_rings(bar, arc_step_deg)
    turns_deg = np.arange(around, dtype=np.float64) * (_FULL_DEG / around)
    turns_rad = np.radians(turns_deg)
    others = np.cross(travels, sides)
    radial = (
        np.cos(turns_rad)[None, :, None] * sides[:, None] + np.sin(turns_rad)[None, :, None] * others[:, None]
    )
    axis = np.repeat(middles[:, None], around, axis=1)
    room_mm = np.linalg.norm(np.diff(middles[[0, 1, -2, -1]], axis=0), axis=1)[[0, 2]] * _most_of(
        len(middles)
    )
    axis[0] += np.outer(_cut_at(rim_a, travels[0], sides[0], turns_deg, float(room_mm[0])), travels[0])
    axis[-1] -= np.outer(_cut_at(rim_b, travels[-1], sides[-1], turns_deg, float(room_mm[1])), travels[-1])
    outside = axis + radial * (bar.tube.od_mm / 2.0)
    inside = axis + radial * (bar.tube.inside_mm / 2.0)
    walls = _walls(len(middles), around)
    count = outside.shape[0] * around
    rings_a = np.stack([outside[0], inside[0]])
    rings_b = np.stack([inside[-1], outside[-1]])
    ends = _walls(2, around)
    return HollowSkin(
        vertices_mm=np.concatenate([part.reshape(-1, 3) for part in (outside, inside, rings_a, rings_b)]),
        normals=np.concatenate(
            [
                radial.reshape(-1, 3),
                -radial.reshape(-1, 3),
                np.broadcast_to(-travels[0], (2 * around, 3)),
                np.broadcast_to(travels[-1], (2 * around, 3)),
            ]
        ),
        triangles=np.concatenate(
            [walls, walls[:, ::-1] + count, ends[:, ::-1] + 2 * count, ends[:, ::-1] + 2 * count + 2 * around]
        ).astype(np.int32),
    )


def _most_of(rings: int) -> float:
    """How much of an end straight may be cut away; the two ends of a straight bar share it."""
    return 0.49 if rings == 2 else 0.99


def _cut_at(rim: EndRim | None, travel: Vector, side: Vector, turns_deg: Vector, room_mm: float) -> Vector:
    """How far inward each generator is cut, shape (n,)."""
    if rim is None:
        return np.zeros(len(turns_deg))
    first_deg = signed_angle_about_deg(travel, rim.side, side)
    known_deg = np.arange(len(rim.inward_mm)) * (_FULL_DEG / len(rim.inward_mm))
    inward = np.interp((turns_deg + first_deg) % _FULL_DEG, known_deg, rim.inward_mm, period=_FULL_DEG)
    return np.minimum(inward, room_mm)


def _walls(rings: int, around: int) -> NDArray[np.int64]:
    corner = np.arange(around)
    first = (np.arange(rings - 1) * around)[:, None]
    a, b = first + corner, first + (corner + 1) % around
    return np.stack([np.stack([a, b, a + around], -1), np.stack([b, b + around, a + around], -1)]).reshape(
        -1, 3
    )
