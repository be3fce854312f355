"""A plate that lies on the sole and is folded up one wall, or up two that meet in a corner, and over a wall's top."""

from dataclasses import replace

import numpy as np

from hoopwright.bars import Bar
from hoopwright.cage import Landing
from hoopwright.findings import Finding
from hoopwright.geometry import Plane, Points, Vector, unit_vector
from hoopwright.joints.landing.clip import clipped, starting_at
from hoopwright.joints.landing.flat_plate import (
    MAP_STEP_MM,
    SEARCH_MM,
    flat_on_axis,
    leg_reach_mm,
    reseated,
)
from hoopwright.joints.landing.gaps import face_gap
from hoopwright.joints.landing.ground import Ground, Wall
from hoopwright.joints.landing.laid import Laid
from hoopwright.joints.landing.metal_map import Flat, MetalMap, map_metal
from hoopwright.joints.landing.over_wall import OVER, OverWall, fold_over
from hoopwright.joints.landing.panels import Panel, Sheet, area_of_mm2, panels_of
from hoopwright.joints.landing.placing import Placed, Ways, best_place, shifts, unevenness
from hoopwright.joints.landing.result import Face
from hoopwright.joints.landing.round_corner import round_corner
from hoopwright.joints.landing.sizes import WELD_ROOM_MM, Sizes, sheet_of
from hoopwright.joints.landing.standing_wall import Standing, on_wall, stand_on
from hoopwright.joints.landing.told import at_seam, needs_a_fold, wall_too_low
from hoopwright.joints.landing.told_gaps import not_whole
from hoopwright.joints.landing.unfold import setback_mm
from hoopwright.shell.shell import Shell

_WORTH_MM = 0.3
"""So much less evenness is not worth a narrower plate."""
_OTHER_NAMES = ("second wall", "third wall", "fourth wall")
_SAME_LINE_RATIO = 0.7
_CORNERS = 4
_CORNER_MM = 1.0
"""Between two walls of a plate in a corner."""


def lay_folded(shell: Shell, bar: Bar, ground: Ground, wall: Wall, landing: Landing, sizes: Sizes) -> Laid:
    """Lay a plate that wraps the sole and a wall, and others that its sole would run into.

    Args:
        shell: The scan in the vehicle frame.
        bar: The leg.
        ground: What lies under it.
        wall: The wall that it is folded up.
        landing: What was asked.
        sizes: Of the plate; the width counts from the corner.
    """
    name, sheet = f"{bar.name} foot {landing.end}", sheet_of(landing)
    back = setback_mm(wall.turn_deg, sheet, outside=True)
    sole = from_corner(ground.sole, wall.plane)
    reach = sizes.length_mm / 2.0 + SEARCH_MM
    seen = map_metal(
        shell, sole, ground.eyes_mm,
        along_mm=(-reach, reach), across_mm=(0.0, sizes.width_mm + 40.0), step_mm=MAP_STEP_MM,
    )  # fmt: skip
    sizes = _narrowed(seen, sizes, landing, back, leg_reach_mm(bar, ground) + wall.off_mm + WELD_ROOM_MM)
    whole = (-sizes.length_mm / 2.0, sizes.length_mm / 2.0), (back + 2.0, sizes.width_mm)
    room = sizes.length_mm / 2.0 - leg_reach_mm(bar, ground) - WELD_ROOM_MM
    others = _run_into(ground, wall, landing, sole, whole)
    folded = [wall.plane, *(one.plane for one in others)]
    beside = any(abs(float(one.line @ wall.line)) < _SAME_LINE_RATIO for one in others)
    ways = Ways(along_mm=np.zeros(1) if beside else shifts(room), across_mm=np.zeros(1))
    placed = best_place(seen, *whole, ways, folded)
    placed = replace(placed, across_mm=(0.0, sizes.width_mm))
    plane = reseated(seen, placed, from_across_mm=back + 2.0, inside_of=[one.plane for one in others])
    plane = flat_on_axis(plane, ground, sole.along).plane
    walls = [wall, *others]
    stands = [
        stand_on(
            shell, plane, one, [it for it in walls if it is not one], ground, placed, sizes.wall_mm, back
        )
        for one in walls
    ]
    root = _folded(plane, stands, placed, sheet, foot_mm=ground.sole.origin_mm)
    over = _over_the_wall(shell, ground, root, landing, sizes)
    if over is not None:
        root = replace(root, hung=((root.hung[0][0], over.wall), *root.hung[1:]))
    faces = tuple(_face(shell, ground, panel, sheet, stands, over) for panel in panels_of(root))
    up_mm = stands[0].tall_mm if over is None else _up_and_over_mm(over)
    left = tuple(one for one in ground.walls if not any(one is it for it in walls))
    findings: list[Finding] = [
        *needs_a_fold(name, bar.name, root.outline_mm, left, allowed=landing.most_folds, folded=len(stands)),
        *(found for face in faces for found in not_whole(name, bar.name, face)),
        *wall_too_low(
            name,
            bar.name,
            wall.region,
            up_mm,
            sizes.wall_mm,
            root.outline_mm[0],
            typed=landing.wall_mm is not None,
        ),
        *round_corner(shell, name, bar.name, root, sheet),
        *at_seam(name, bar.name, placed, root),
    ]
    return Laid(
        root=root,
        metal_is_above=True,
        stands_on=Plane(plane.normal, plane.offset_mm + landing.thickness_mm),
        leg_at_mm=flat_on_axis(plane, ground, sole.along).origin_mm,
        faces=faces,
        length_mm=sizes.length_mm,
        width_mm=sizes.width_mm,
        wall_mm=up_mm,
        moved_mm=placed.moved_mm,
        findings=tuple(findings),
    )


def _narrowed(seen: MetalMap, sizes: Sizes, landing: Landing, back_mm: float, least_mm: float) -> Sizes:
    """A width that nobody typed, narrower where that keeps the sole off beads; a wanted area is made up in length."""
    if landing.width_mm is not None:
        return sizes
    widths = np.arange(sizes.width_mm, least_mm - 1e-9, -5.0)
    half = sizes.length_mm / 2.0
    costs = [unevenness(seen, (-half, half), (back_mm + 2.0, float(width))) for width in widths]
    if not costs:
        return sizes
    enough = [k for k, cost in enumerate(costs) if cost <= min(costs) + _WORTH_MM]
    width = float(widths[enough[0]])
    length = sizes.length_mm
    if landing.area_mm2 is not None and landing.length_mm is None:
        length = max(length, float(np.ceil(landing.area_mm2 / (width + sizes.wall_mm))))
    return replace(sizes, width_mm=width, length_mm=length)


def from_corner(sole: Flat, wall: Plane) -> Flat:
    """The sole's plane with its first direction along the corner and its second from it to the foot."""
    along = unit_vector(np.cross(wall.normal, sole.normal))
    across = np.cross(sole.normal, along)
    off = float(wall.distance_mm(sole.origin_mm[None])[0] / (across @ wall.normal))
    return Flat(origin_mm=sole.origin_mm - off * across, along=along, across=across)


def _run_into(
    ground: Ground,
    wall: Wall,
    landing: Landing,
    sole: Flat,
    whole_mm: tuple[tuple[float, float], tuple[float, float]],
) -> list[Wall]:
    """Other walls that the sole would run into, the deepest first, as far as folds are allowed."""
    (left, right), (low, high) = whole_mm
    corners = sole.places(np.array([[left, low], [right, low], [right, high], [left, high]]))
    deep = [
        (float(-other.plane.distance_mm(corners).min()), number)
        for number, other in enumerate(ground.walls)
        if other is not wall and other.plane.distance_mm(corners).max() > 2.0
    ]
    found = [ground.walls[number] for depth, number in sorted(deep, reverse=True) if depth > 2.0]
    return found[: landing.most_folds - 1]


def _folded(sole: Plane, stands: list[Standing], placed: Placed, sheet: Sheet, *, foot_mm: Vector) -> Panel:
    """The panels: the sole cut off at the walls, and a wall on each of those edges."""
    first = on_wall(sole, stands[0].plane, foot_mm)
    along, across = -first.along, np.cross(sole.normal, -first.along)
    foot = float((foot_mm - first.origin_mm) @ along)
    middle = placed.moved_mm[0] + foot
    half = (placed.along_mm[1] - placed.along_mm[0]) / 2.0
    flat = np.array([[middle - half, 0.0], [middle + half, 0.0], [middle + half, 1.0], [middle - half, 1.0]])
    flat[2:, 1] = placed.across_mm[1]
    corners: Points = first.origin_mm + flat @ np.stack([along, across])
    names: tuple[str, ...] = ("wall", "", "", "")
    for stand, name in zip(stands[1:], _OTHER_NAMES, strict=False):
        corners, names = clipped(corners, names, stand.plane, name)
        corners, names = starting_at(corners, names, "wall")
    hung = []
    for stand, name in zip(stands, ("wall", *_OTHER_NAMES), strict=False):
        if name not in names:
            continue
        edge = names.index(name)
        a, b = corners[edge], corners[(edge + 1) % len(corners)]
        up = stand.tall_mm * np.cross(stand.plane.normal, unit_vector(a - b))
        outline: Points = np.array([b, a, a + up, b + up])
        edges: tuple[str, ...] = ("fold", "", "", "")
        for other in stands:
            if other is not stand:
                off = Plane(other.plane.normal, other.plane.offset_mm + sheet.thickness_mm + _CORNER_MM)
                outline, edges = clipped(outline, edges, off, "corner")
                outline, edges = starting_at(outline, edges, "fold")
        hung.append((edge, Panel(name=name, outline_mm=outline, normal=stand.plane.normal)))
    return Panel(name="sole", outline_mm=corners, normal=sole.normal, hung=tuple(hung))


def _over_the_wall(
    shell: Shell, ground: Ground, root: Panel, landing: Landing, sizes: Sizes
) -> OverWall | None:
    """A fold over the wall's top, where the typed height goes on beyond it and another fold is allowed."""
    wall = root.hung[0][1]
    tall = float(np.linalg.norm(wall.outline_mm[2] - wall.outline_mm[1]))
    asked = landing.wall_mm is not None and tall < sizes.wall_mm - 0.5
    if not asked or len(root.hung) >= landing.most_folds or len(wall.outline_mm) != _CORNERS:
        return None
    return fold_over(shell, ground, wall, sizes.wall_mm)


def _up_and_over_mm(over: OverWall) -> float:
    """From the corner up the wall and over it, along the middle."""
    b, a, top_a, top_b = over.wall.outline_mm
    low_a, low_b = over.wall.hung[0][1].outline_mm[2:]
    return float(
        np.linalg.norm((top_a + top_b - a - b) / 2.0) + np.linalg.norm((low_a + low_b - top_a - top_b) / 2.0)
    )


def _face(
    shell: Shell,
    ground: Ground,
    panel: Panel,
    sheet: Sheet,
    stands: list[Standing],
    over: OverWall | None,
) -> Face:
    """A panel with the gap of its flat part, without the bends."""
    plane = Plane.through(panel.outline_mm[0], panel.normal)
    along = unit_vector(panel.outline_mm[1] - panel.outline_mm[0])
    flat = Flat(origin_mm=panel.outline_mm[0], along=along, across=np.cross(panel.normal, along))
    outline, edges = panel.outline_mm, ("",) * len(panel.outline_mm)
    others = (
        [one.plane for one in stands]
        if panel.name == "sole"
        else [Plane.through(_foot_of(panel), ground.sole.normal)]
    )
    if panel.name == OVER:
        others = []
    for other in others:
        back = setback_mm(90.0, sheet, outside=True)
        outline, edges = clipped(outline, edges, Plane(other.normal, other.offset_mm + back), "")
    region = ground.region
    for stand in stands:
        region = stand.wall.region if stand.plane.normal @ panel.normal > 0.999 else region
    eyes = ground.eyes_mm
    if over is not None and panel.name == OVER:
        region, eyes = over.region, over.eyes_mm
    return Face(
        name=panel.name,
        region=region,
        plane=plane,
        outline_mm=panel.outline_mm,
        area_mm2=area_of_mm2(panel.outline_mm),
        gap=face_gap(shell, flat, flat.flat(outline), eyes),
    )


def _foot_of(panel: Panel) -> Vector:
    return np.asarray(panel.outline_mm[:2].mean(axis=0))
