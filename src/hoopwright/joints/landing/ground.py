"""What lies under a foot: the plane that it stands on, and walls that rise from it within reach."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, centreline, check_shape
from hoopwright.cage import EndLetter
from hoopwright.findings import UserError, stopping
from hoopwright.geometry import Plane, Points, Vector, unit_vector
from hoopwright.joints.landing.metal_map import Flat, flat_on, map_metal, sees
from hoopwright.joints.landing.plane_fit import commonest_plane, oriented, settled_plane
from hoopwright.joints.landing.refusals import no_metal, not_a_mesh
from hoopwright.shell.regions import SMALL_PARTS
from hoopwright.shell.shell import Shell

FORWARD = np.array([1.0, 0.0, 0.0])
_BACK_MM = 150.0
_BEYOND_MM = 120.0
_EYES_MM = (60.0, 110.0)
_BAND_MM = 1.5
_NEAR_HIT_MM = 10.0
_PAST_MM = 40.0
_BESIDE_MM = 70.0
_WALL_REACH_MM = 220.0
_RING = 48
_STEEP_DEG = (20.0, 150.0)
_LEAST_SHARE = 0.3


@dataclass(frozen=True, kw_only=True, eq=False)
class Wall:
    """A wall that rises from the plane under a foot.

    Args:
        plane: Its normal toward the foot.
        turn_deg: Change of direction from the sole's plane to it.
        off_mm: From where the leg's axis meets the sole to the line in which the two planes meet.
        line: Unit direction of that line, so that line x (from the line to the foot) is the sole's normal.
        region: What of the shell it is.
    """

    plane: Plane
    turn_deg: float
    off_mm: float
    line: Vector
    region: str


@dataclass(frozen=True, kw_only=True, eq=False)
class Ground:
    """What lies under a foot.

    Args:
        end_mm: The drawn end of the bar, shape (3,).
        outward: Unit direction of the axis out of the end.
        eyes_mm: Places on the bar from which metal counts as seen, shape (n, 3).
        sole: The plane that the foot stands on, its origin on the leg's axis, its first direction forward in the car.
        region: What of the shell it is.
        walls: Those within reach, the nearest first.
    """

    end_mm: Vector
    outward: Vector
    eyes_mm: Points
    sole: Flat
    region: str
    walls: tuple[Wall, ...]


def find_ground(shell: Shell, bar: Bar, end: EndLetter) -> Ground:
    """Look at the metal under a foot, from the bar's side only: what a second skin behind does is of no account.

    Args:
        shell: The scan in the vehicle frame.
        bar: The bar.
        end: Which end stands.

    Raises:
        UserError: `LAND-010` where there is no metal under the foot, `LAND-012` for a cloud of points,
            `BAR-...` for a bar that cannot be.
    """
    stops = stopping(check_shape(bar))
    if stops:
        raise UserError(*stops)
    if shell.prepared.is_cloud:
        raise not_a_mesh(bar.name, end)
    path = centreline(bar)
    last = path.pieces[0] if end == "A" else path.pieces[-1]
    travel = last.direction_at(np.array([0.0 if end == "A" else last.length_mm]))[0]
    outward = -travel if end == "A" else travel
    end_mm = np.array(bar.nodes_mm[0 if end == "A" else -1])
    back = min(_BACK_MM, 0.9 * last.length_mm)
    hit = shell.first_hits((end_mm - back * outward)[None], outward, reach_mm=back + _BEYOND_MM)
    beside = shell.nearest(end_mm[None], reach_mm=_BESIDE_MM)
    if hit.triangle[0] < 0 and beside.triangle[0] < 0:
        near = shell.nearest(end_mm[None], reach_mm=1000.0)
        raise no_metal(bar.name, end, end_mm, float(near.distance_mm[0]), near.place_mm[0])
    metal = hit.place_mm[0]
    past_mm = float(np.linalg.norm(metal - end_mm)) if hit.triangle[0] >= 0 else np.inf
    if past_mm > _PAST_MM and past_mm > 1.3 * beside.distance_mm[0]:
        # the axis goes through a hole, or past an edge that the foot stands beside
        metal = beside.place_mm[0]
    eyes = metal - np.outer([min(eye, back) for eye in _EYES_MM], outward)
    reach = max(60.0, 1.3 * bar.tube.od_mm)
    plane = _plane_at(shell, metal, outward, eyes, reach)
    if plane is None:
        raise no_metal(bar.name, end, end_mm, float(np.linalg.norm(metal - end_mm)), metal)
    for _ in range(2):
        sole = _on_axis(plane, metal, outward)
        seen = map_metal(shell, sole, eyes, along_mm=(-reach, reach), across_mm=(-reach, reach), step_mm=4.0)
        cells = seen.cells().reshape(-1, 2)
        points = sole.places(cells, seen.height_mm.reshape(-1))
        points = points[np.isfinite(points).all(axis=1)]
        plane = (
            commonest_plane(
                points, -outward, band_mm=_BAND_MM, through_mm=metal, through_within_mm=_NEAR_HIT_MM
            )
            or plane
        )
    sole = _on_axis(plane, metal, outward)
    return Ground(
        end_mm=end_mm,
        outward=outward,
        eyes_mm=eyes,
        sole=sole,
        region=region_at(shell, sole.origin_mm),
        walls=_walls(shell, sole),
    )


def region_at(shell: Shell, place_mm: Vector) -> str:
    """Name of the region of the nearest metal."""
    near = shell.nearest(place_mm[None], reach_mm=100.0)
    if near.triangle[0] < 0:
        return shell.region_names[SMALL_PARTS]
    return shell.region_names[int(shell.prepared.regions.of_triangle[near.triangle[0]])]


def _on_axis(plane: Plane, at_mm: Vector, outward: Vector) -> Flat:
    """The plane with its origin where the leg's axis meets it."""
    along = float((plane.offset_mm - at_mm @ plane.normal) / (outward @ plane.normal))
    return flat_on(plane, at_mm + along * outward, FORWARD)


def _plane_at(shell: Shell, metal: Vector, outward: Vector, eyes: Points, reach: float) -> Plane | None:
    """The commonest plane among the metal that parallel rays round the axis meet."""
    k = np.arange(400)
    turn, radius = k * np.pi * (3.0 - np.sqrt(5.0)), reach * np.sqrt((k + 0.5) / 400.0)
    side = unit_vector(np.cross(outward, np.eye(3)[int(np.argmin(np.abs(outward)))]))
    round_it = np.outer(radius * np.cos(turn), side) + np.outer(
        radius * np.sin(turn), np.cross(outward, side)
    )
    starts = metal - 60.0 * outward + round_it
    open_to = sees(shell, eyes[0], starts)
    hits = shell.first_hits(starts[open_to], outward, reach_mm=60.0 + _BEYOND_MM)
    points = hits.place_mm[hits.triangle >= 0]
    return commonest_plane(
        points, -outward, band_mm=_BAND_MM, through_mm=metal, through_within_mm=_NEAR_HIT_MM
    )


def _walls(shell: Shell, sole: Flat) -> tuple[Wall, ...]:
    turn = np.arange(_RING) * 2.0 * np.pi / _RING
    ways = np.outer(np.cos(turn), sole.along) + np.outer(np.sin(turn), sole.across)
    away = np.full(_RING, np.inf)
    for height in (20.0, 32.0):
        start = np.broadcast_to(sole.origin_mm + height * sole.normal, ways.shape)
        away = np.minimum(away, shell.first_hits(start, ways, reach_mm=_WALL_REACH_MM).distance_mm)
    walls: list[Wall] = []
    for k in np.argsort(away, kind="stable"):
        if not np.isfinite(away[k]) or len(walls) == 3:
            break
        if any(float(-wall.plane.normal @ ways[k]) > 0.5 for wall in walls):
            continue
        wall = _wall(shell, sole, ways[k], float(away[k]))
        if wall is not None and all(float(wall.plane.normal @ one.plane.normal) < 0.8 for one in walls):
            walls.append(wall)
    return tuple(sorted(walls, key=lambda wall: wall.off_mm))


def _wall(shell: Shell, sole: Flat, way: Vector, away: float) -> Wall | None:
    """A wall in one direction: a plane through what a fan of rays meets, turned square to it and shot anew."""
    plane: Plane | None = None
    wide, high = np.arange(-60.0, 60.1, 6.0), np.arange(10.0, 66.0, 4.0)
    points = np.empty((0, 3))
    for _ in range(3):
        beside = np.cross(sole.normal, way)
        starts = (
            sole.origin_mm
            + np.multiply.outer(np.repeat(wide, len(high)), beside)
            + np.multiply.outer(np.tile(high, len(wide)), sole.normal)
        )
        hits = shell.first_hits(starts, way, reach_mm=away + 80.0)
        points = hits.place_mm[hits.triangle >= 0]
        plane = commonest_plane(points, -way, band_mm=_BAND_MM)
        if plane is None:
            return None
        plane = settled_plane(points, plane, band_mm=_BAND_MM)
        level = -(plane.normal - sole.normal * float(plane.normal @ sole.normal))
        if float(np.linalg.norm(level)) < np.sin(np.radians(_STEEP_DEG[0])):
            return None
        way = unit_vector(level)
        away = float((sole.origin_mm @ plane.normal - plane.offset_mm) / -(way @ plane.normal))
        if not 0.0 < away < _WALL_REACH_MM:
            return None
    if plane is None:
        return None
    belongs = np.abs(plane.distance_mm(points)) <= 2.0 * _BAND_MM
    turn_deg = float(np.degrees(np.arccos(np.clip(plane.normal @ sole.normal, -1.0, 1.0))))
    if belongs.sum() < _LEAST_SHARE * len(wide) * len(high) or not _STEEP_DEG[0] <= turn_deg <= _STEEP_DEG[1]:
        return None
    plane = oriented(plane, -way)
    return Wall(
        plane=plane,
        turn_deg=turn_deg,
        off_mm=away,
        line=np.cross(-way, sole.normal),
        region=region_at(shell, points[belongs][int(np.argmin(np.abs(plane.distance_mm(points[belongs]))))]),
    )
