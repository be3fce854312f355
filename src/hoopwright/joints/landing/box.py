"""A raised box: a top at a wanted height, and walls down to the metal."""

import itertools

import numpy as np

from hoopwright.bars import Bar
from hoopwright.cage import Landing
from hoopwright.geometry import Plane, Points, Vector, unit_vector
from hoopwright.joints.landing.clip import clipped
from hoopwright.joints.landing.flat_plate import turned
from hoopwright.joints.landing.gaps import gap_of
from hoopwright.joints.landing.ground import FORWARD, Ground
from hoopwright.joints.landing.laid import Laid
from hoopwright.joints.landing.metal_map import flat_on
from hoopwright.joints.landing.panels import Panel, Sheet, area_of_mm2
from hoopwright.joints.landing.refusals import no_box
from hoopwright.joints.landing.result import Face
from hoopwright.joints.landing.sizes import Sizes, sheet_of
from hoopwright.joints.landing.told_gaps import no_metal_below
from hoopwright.joints.landing.unfold import setback_mm
from hoopwright.shell.shell import Shell

_UP = np.array([0.0, 0.0, 1.0])
_LEVEL_RATIO = 0.3
_LEAST_WALL_MM = 4.0
_EDGE_STEP_MM = 3.0
_LIFT_MM = 25.0
_END_MM = 5.0


def lay_box(shell: Shell, bar: Bar, ground: Ground, landing: Landing, sizes: Sizes) -> Laid:
    """Lay a box under a leg; its walls stand square to its top and end on the planes of the metal.

    Args:
        shell: The scan in the vehicle frame.
        bar: The leg.
        ground: What lies under it.
        landing: What was asked.
        sizes: Of its top.

    Raises:
        UserError: `LAND-020` where a box of that height cannot stand.
    """
    sheet = sheet_of(landing)
    normal = -ground.outward if landing.is_square else _level(ground.sole.normal)
    if float(-ground.outward @ normal) < _LEVEL_RATIO:
        raise no_box(bar.name, landing, "its top would lie along the leg")
    at = _up_the_leg(ground, landing.height_mm)
    top = turned(flat_on(Plane.through(at, normal), at, FORWARD), landing.turn_deg)
    half = np.array([sizes.length_mm, sizes.width_mm]) / 2.0
    corners = top.places(np.array([[-1, -1], [1, -1], [1, 1], [-1, 1]]) * half)
    edges: tuple[str, ...] = ("right wall", "front wall", "left wall", "rear wall")
    for wall in ground.walls:
        corners, edges = clipped(corners, edges, wall.plane, "")
    planes = [ground.sole.plane, *(wall.plane for wall in ground.walls)]
    if len(corners) < 3 or min(_depths(corners, normal, planes)) < -_EDGE_STEP_MM:
        raise no_box(bar.name, landing, "its top would reach into the metal")
    hung = _walls(corners, edges, normal, planes, sheet)
    root = Panel(name="top", outline_mm=corners, normal=normal, hung=hung)
    faces = (
        Face(
            name="top", region="", plane=Plane.through(at, normal), outline_mm=corners,
            area_mm2=area_of_mm2(corners), gap=None,
        ),
        *(_wall_face(shell, panel, normal) for _, panel in hung),
    )  # fmt: skip
    return Laid(
        root=root,
        metal_is_above=False,
        stands_on=Plane.through(at, normal),
        leg_at_mm=at,
        faces=faces,
        length_mm=sizes.length_mm,
        width_mm=sizes.width_mm,
        wall_mm=0.0,
        moved_mm=(0.0, 0.0),
        findings=no_metal_below(f"{bar.name} foot {landing.end}", bar.name, faces),
    )


def _level(sole: Vector) -> Vector:
    """Up in the car; square to the metal where that is no floor."""
    return _UP if float(sole @ _UP) > _LEVEL_RATIO else sole


def _up_the_leg(ground: Ground, height_mm: float) -> Vector:
    """The place on the leg's axis at a height over the sole."""
    rise = float(-ground.outward @ ground.sole.normal)
    return np.asarray(ground.sole.origin_mm - ground.outward * height_mm / rise)


def _depths(points: Points, normal: Vector, planes: list[Plane]) -> Vector:
    """How deep below each place the first of the planes lies, against the normal; shape (n,)."""
    return np.asarray(np.min([_depth_to(points, normal, plane) for plane in planes], axis=0))


def _depth_to(points: Points, normal: Vector, plane: Plane) -> Vector:
    fall = float(plane.normal @ normal)
    off = plane.distance_mm(points)
    return np.asarray(off / fall) if fall > 1e-6 else np.full(len(points), np.inf)


def _walls(
    corners: Points, edges: tuple[str, ...], normal: Vector, planes: list[Plane], sheet: Sheet
) -> tuple[tuple[int, Panel], ...]:
    """A wall for each edge of the top that stands over metal; an edge that lies on a wall of the shell has none."""
    back = setback_mm(90.0, sheet, outside=True)
    least = back + _LEAST_WALL_MM
    count = len(corners)
    deep = [
        bool(edges[k]) and float(_depths(corners[[k, (k + 1) % count]], normal, planes).max()) > least
        for k in range(count)
    ]
    hung = []
    for k in range(count):
        if not deep[k]:
            continue
        start, end = corners[k], corners[(k + 1) % count]
        along, length = unit_vector(end - start), float(np.linalg.norm(end - start))
        low = sheet.thickness_mm if deep[k - 1] else 0.0
        high = length - (sheet.thickness_mm if deep[(k + 1) % count] else 0.0)
        profile = _lower_edge(start, along, low, high, normal, planes, least)
        if len(profile) < 2 or profile[-1, 0] - profile[0, 0] < 2.0 * _LEAST_WALL_MM:
            continue
        first, last = start + profile[0, 0] * along, start + profile[-1, 0] * along
        below = start + np.outer(profile[:, 0], along) - np.outer(profile[:, 1], normal)
        outline = np.concatenate([[last, first], below])
        hung.append((k, Panel(name=edges[k], outline_mm=outline, normal=np.cross(along, normal))))
    return tuple(hung)


def _lower_edge(
    start: Vector, along: Vector, low: float, high: float, normal: Vector, planes: list[Plane], least: float
) -> Points:
    """Corners of a wall's lower edge as (along, deep), where it is at least so deep; shape (n, 2).

    The depth to each plane is linear along the edge, so the depth to the first of them bends only where two agree.
    """
    ends = np.stack([start, start + along])
    lines = []
    for plane in planes:
        zero, one = _depth_to(ends, normal, plane)
        if np.isfinite(zero):
            lines.append((zero, one - zero))
    lines.append((least, 0.0))
    turns = {low, high}
    for (a, b), (c, d) in itertools.combinations(lines, 2):
        if abs(b - d) > 1e-12 and low < (at := (c - a) / (b - d)) < high:
            turns.add(at)
    points = np.array([[at, min(a + b * at for a, b in lines[:-1])] for at in sorted(turns)])
    keep = points[:, 1] >= least - 1e-6
    points = points[keep]
    if len(points) < 3:
        return points
    before, after = points[1:-1] - points[:-2], points[2:] - points[1:-1]
    bent = np.abs(before[:, 0] * after[:, 1] - before[:, 1] * after[:, 0]) > 1e-6
    return np.asarray(points[np.concatenate([[True], bent, [True]])])


def _wall_face(shell: Shell, panel: Panel, normal: Vector) -> Face:
    """A wall with the gap of its lower edge to the metal under it."""
    lower = panel.outline_mm[2:]
    places = np.concatenate(
        [
            a + np.linspace(0.0, 1.0, max(2, int(np.linalg.norm(b - a) / _EDGE_STEP_MM)))[:, None] * (b - a)
            for a, b in itertools.pairwise(lower)
        ]
    )
    # the ends stand against the metal beside them, where a ray may start behind it
    along = unit_vector(panel.outline_mm[0] - panel.outline_mm[1])
    at = (places - panel.outline_mm[1]) @ along
    places = places[(at > at.min() + _END_MM) & (at < at.max() - _END_MM)]
    # from a little inside, so that the rays meet what the wall stands on
    starts = places - 1.0 * panel.normal + _LIFT_MM * normal
    hits = shell.first_hits(starts, -normal, reach_mm=2.0 * _LIFT_MM)
    height = np.where(hits.triangle >= 0, _LIFT_MM - hits.distance_mm, np.nan)
    return Face(
        name=panel.name,
        region="",
        plane=Plane.through(panel.outline_mm[0], panel.normal),
        outline_mm=panel.outline_mm,
        area_mm2=area_of_mm2(panel.outline_mm),
        gap=gap_of(places, height),
    )
