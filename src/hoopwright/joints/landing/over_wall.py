"""What lies beyond the top of a low wall, such as the top of a sill, for a plate that is folded over it."""

from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Plane, Points, Vector, unit_vector
from hoopwright.joints.landing.ground import Ground, region_at
from hoopwright.joints.landing.metal_map import Flat, map_metal, sees
from hoopwright.joints.landing.panels import Panel
from hoopwright.joints.landing.plane_fit import commonest_plane
from hoopwright.shell.shell import Shell

OVER = "over the wall"
_EYE_UP_MM, _EYE_IN_MM = 110.0, 40.0
_NEAR_MM = 18.0
_LEAST_MM = 12.0
_EVEN_MM = 3.0
_SHARE = 0.75
_STEP_MM = 4.0
_BAND_MM = 1.5
_TURN_DEG = (20.0, 120.0)


@dataclass(frozen=True, kw_only=True, eq=False)
class OverWall:
    """The face beyond a wall's top.

    Args:
        wall: The wall's panel, up to the line in which the two planes meet, with the face hung on it.
        region: What of the shell it lies on.
        eyes_mm: Places from which its metal is seen, shape (n, 3).
    """

    wall: Panel
    region: str
    eyes_mm: Points


def fold_over(shell: Shell, ground: Ground, wall: Panel, wanted_mm: float) -> OverWall | None:
    """Fold a plate over the top of a wall that is lower than it was to go; None where no even metal lies there.

    Args:
        shell: The scan in the vehicle frame.
        ground: What lies under the foot.
        wall: The wall's panel as high as the metal is even: corners b, a at the sole, then a and b at its top.
        wanted_mm: How far the plate was to go from the sole, up the wall and over it together.
    """
    b, a, top_a, top_b = wall.outline_mm
    along, up = unit_vector(a - b), unit_vector(top_a - a)
    middle = (top_a + top_b) / 2.0
    eyes = (middle + _EYE_UP_MM * up + _EYE_IN_MM * wall.normal)[None]
    if not sees(shell, ground.eyes_mm[-1], eyes)[0]:
        return None
    half = float(np.linalg.norm(top_a - top_b)) / 2.0
    flat = Flat(origin_mm=middle, along=along, across=np.cross(up, along))
    rest = wanted_mm - float(np.linalg.norm(top_a - a))
    seen = map_metal(
        shell, flat, eyes, along_mm=(-half, half), across_mm=(0.0, rest + _NEAR_MM), step_mm=_STEP_MM
    )
    cells = seen.cells().reshape(-1, 2)
    metal = flat.places(cells, seen.height_mm.reshape(-1))
    metal = metal[np.isfinite(metal).all(axis=1)]
    plane = commonest_plane(metal, up, band_mm=_BAND_MM)
    if plane is None or not _turns_over(plane, wall.normal):
        return None
    high_a, high_b = (_up_to(plane, foot, up) for foot in (a, b))
    if max(abs(high_a - np.linalg.norm(top_a - a)), abs(high_b - np.linalg.norm(top_b - b))) > _NEAR_MM:
        return None
    edge_a, edge_b = a + high_a * up, b + high_b * up
    away = np.cross(plane.normal, unit_vector(edge_a - edge_b))
    rows = (
        np.abs(seen.on(Flat(origin_mm=edge_a, along=along, across=np.cross(plane.normal, along))).height_mm)
        <= _EVEN_MM
    )
    even = rows.mean(axis=0) >= _SHARE
    even[seen.across_mm < _NEAR_MM / 2.0] = True
    ends = np.flatnonzero(~even)
    room = np.inf if not len(ends) else float(seen.across_mm[ends[0]] - _STEP_MM / 2.0)
    deep = min(wanted_mm - (high_a + high_b) / 2.0, room)
    if deep < _LEAST_MM:
        return None
    outline = np.array([edge_b, edge_a, edge_a + deep * away, edge_b + deep * away])
    over = Panel(name=OVER, outline_mm=outline, normal=plane.normal)
    raised = Panel(
        name=wall.name,
        outline_mm=np.array([b, a, edge_a, edge_b]),
        normal=wall.normal,
        hung=((2, over),),
    )
    return OverWall(wall=raised, region=region_at(shell, outline.mean(axis=0)), eyes_mm=eyes)


def _turns_over(plane: Plane, wall: Vector) -> bool:
    turn_deg = float(np.degrees(np.arccos(np.clip(plane.normal @ wall, -1.0, 1.0))))
    return _TURN_DEG[0] <= turn_deg <= _TURN_DEG[1]


def _up_to(plane: Plane, foot: Vector, up: Vector) -> float:
    return float((plane.offset_mm - foot @ plane.normal) / (up @ plane.normal))
