"""A flat plate on one plane of the shell."""

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np

from hoopwright.bars import Bar
from hoopwright.cage import Landing
from hoopwright.findings import Finding
from hoopwright.geometry import Plane, Points, rotation_about
from hoopwright.joints.landing.gaps import GOOD_MM, face_gap
from hoopwright.joints.landing.ground import Ground
from hoopwright.joints.landing.laid import Laid
from hoopwright.joints.landing.metal_map import Flat, MetalMap, flat_on, map_metal
from hoopwright.joints.landing.panels import Panel, area_of_mm2
from hoopwright.joints.landing.placing import Placed, Ways, best_place, shifts
from hoopwright.joints.landing.plane_fit import laid_plane
from hoopwright.joints.landing.result import Face
from hoopwright.joints.landing.sizes import WELD_ROOM_MM, Sizes
from hoopwright.joints.landing.told import at_seam, needs_a_fold
from hoopwright.joints.landing.told_gaps import better_place, not_whole
from hoopwright.shell.shell import Shell

SEARCH_MM = 160.0
"""How far round a plate the metal is looked at for a better place."""
MAP_STEP_MM = 5.0
FINE_MM = 2.0
_WORTH_MM = 0.3
RIM_MM = 3.0
"""Metal farther off the rest than this is a bead, a bracket or a hole, and does not say how a plate lies."""


def lay_plate(shell: Shell, bar: Bar, ground: Ground, landing: Landing, sizes: Sizes) -> Laid:
    """Lay a flat plate under a leg, moved so that it lies whole and even and the leg still stands on it.

    Args:
        shell: The scan in the vehicle frame.
        bar: The leg.
        ground: What lies under it.
        landing: What was asked.
        sizes: Of the plate.
    """
    flat = turned(ground.sole, landing.turn_deg)
    reach = max(sizes.length_mm, sizes.width_mm) / 2.0 + SEARCH_MM
    seen = map_metal(
        shell, flat, ground.eyes_mm, along_mm=(-reach, reach), across_mm=(-reach, reach), step_mm=MAP_STEP_MM
    )
    sizes, placed = _best_of(seen, bar, ground, landing, sizes)
    half = np.array([sizes.length_mm, sizes.width_mm]) / 2.0
    whole = (-half[0], half[0]), (-half[1], half[1])
    fine = map_metal(
        shell, flat, ground.eyes_mm, along_mm=placed.along_mm, across_mm=placed.across_mm, step_mm=FINE_MM
    )
    plane = reseated(fine, placed)
    flat = flat_on_axis(plane, ground, flat.along)
    outline = rectangle(placed)
    root = Panel(name="sole", outline_mm=flat.places(outline), normal=flat.normal)
    name = f"{bar.name} foot {landing.end}"
    face = Face(
        name="sole",
        region=ground.region,
        plane=flat.plane,
        outline_mm=root.outline_mm,
        area_mm2=area_of_mm2(root.outline_mm),
        gap=face_gap(shell, flat, outline, ground.eyes_mm),
    )
    findings: list[Finding] = [
        *needs_a_fold(name, bar.name, root.outline_mm, ground.walls, allowed=0),
        *not_whole(name, bar.name, face),
        *better_place(name, bar.name, face, seen, whole),
        *at_seam(name, bar.name, placed, root),
    ]
    return Laid(
        root=root,
        metal_is_above=True,
        stands_on=Plane(flat.normal, flat.plane.offset_mm + landing.thickness_mm),
        leg_at_mm=flat.origin_mm,
        faces=(face,),
        length_mm=sizes.length_mm,
        width_mm=sizes.width_mm,
        wall_mm=0.0,
        moved_mm=placed.moved_mm,
        findings=tuple(findings),
    )


def _best_of(
    seen: MetalMap, bar: Bar, ground: Ground, landing: Landing, sizes: Sizes
) -> tuple[Sizes, Placed]:
    """The size that lies best among those that nobody ruled out, and its place: the plate also turned a quarter."""
    choices = [sizes]
    if landing.length_mm is None and landing.width_mm is None:
        choices.append(replace(sizes, length_mm=sizes.width_mm, width_mm=sizes.length_mm))
    found = []
    for number, choice in enumerate(choices):
        half = np.array([choice.length_mm, choice.width_mm]) / 2.0
        room = half - leg_reach_mm(bar, ground) - WELD_ROOM_MM
        ways = Ways(along_mm=shifts(float(room[0])), across_mm=shifts(float(room[1])))
        placed = best_place(seen, (-half[0], half[0]), (-half[1], half[1]), ways)
        found.append((placed.cost_mm + _WORTH_MM * number, number, choice, placed))
    _, _, best, placed = min(found, key=lambda one: one[:2])
    return best, placed


def turned(flat: Flat, turn_deg: float) -> Flat:
    """A plane with its directions turned about its normal."""
    turn = rotation_about(flat.normal, turn_deg)
    return Flat(origin_mm=flat.origin_mm, along=turn @ flat.along, across=turn @ flat.across)


def leg_reach_mm(bar: Bar, ground: Ground) -> float:
    """Half the longer axis of the ellipse in which a leg stands on the sole."""
    lean = abs(float(ground.outward @ ground.sole.normal))
    return bar.tube.od_mm / 2.0 / max(lean, math.cos(math.radians(75.0)))


def rectangle(placed: Placed) -> Points:
    """Corners of a placed rectangle, counterclockwise, the edge of least across first; shape (4, 2)."""
    (left, right), (low, high) = placed.along_mm, placed.across_mm
    return np.array([[left, low], [right, low], [right, high], [left, high]])


def reseated(
    seen: MetalMap, placed: Placed, *, from_across_mm: float = 0.0, inside_of: Sequence[Plane] = ()
) -> Plane:
    """The plane as a plate of that place lies on it.

    Args:
        seen: The metal.
        placed: The rectangle.
        from_across_mm: Left out at its lower edge, for a fold.
        inside_of: Walls that the plate is folded up: what lies in or near them is left out.
    """
    cells = seen.cells().reshape(-1, 2)
    (left, right), (low, high) = placed.along_mm, placed.across_mm
    inside = (
        (cells[:, 0] >= left) & (cells[:, 0] <= right)
        & (cells[:, 1] >= low + from_across_mm) & (cells[:, 1] <= high)
    )  # fmt: skip
    metal = seen.flat.places(cells, seen.height_mm.reshape(-1))[inside]
    metal = metal[np.isfinite(metal).all(axis=1)]
    for wall in inside_of:
        metal = metal[wall.distance_mm(metal) > from_across_mm]
    return laid_plane(metal, seen.flat.plane, band_mm=GOOD_MM, rim_mm=RIM_MM)


def flat_on_axis(plane: Plane, ground: Ground, like: Points) -> Flat:
    """A plane with its origin where the leg's axis meets it, its first direction as near as can be to `like`."""
    at, outward = ground.sole.origin_mm, ground.outward
    along = float((plane.offset_mm - at @ plane.normal) / (outward @ plane.normal))
    return flat_on(plane, at + along * outward, like)
