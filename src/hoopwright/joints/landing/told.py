"""What a person should know of a landing: findings with numbers and the nearest thing that works."""

from collections.abc import Mapping, Sequence

import numpy as np

from hoopwright.bars import Node, as_node
from hoopwright.cage.door_opening import opening_corners
from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Points, Vector
from hoopwright.joints.landing.bolts import BoltPattern
from hoopwright.joints.landing.ground import Wall
from hoopwright.joints.landing.panels import Panel
from hoopwright.joints.landing.placing import SEAM_ROOM_MM, Placed
from hoopwright.joints.landing.result import Face, FittedLanding

_EDGE_LENGTH_MM = 12.0
_IN_WALL_MM = 2.0
OPENING_ROOM_MM = 20.0


def needs_a_fold(
    name: str, bar_id: str, outline_mm: Points, walls: Sequence[Wall], *, allowed: int, folded: int = 0
) -> tuple[Finding, ...]:
    """`LAND-013`: a sole with an outline of shape (n, 3) runs into walls that it is not folded up."""
    into = [
        (wall, float(-wall.plane.distance_mm(outline_mm).min()))
        for wall in walls
        if float(-wall.plane.distance_mm(outline_mm).min()) > _IN_WALL_MM
    ]
    into = [(wall, deep) for wall, deep in into if _reaches(wall.plane.distance_mm(outline_mm))]
    if not into:
        return ()
    wall, deep = max(into, key=lambda one: one[1])
    needed = folded + len(into)
    return (
        Finding(
            code="LAND-013",
            sentence=f"{name}: its sole runs {deep:.0f} mm into '{wall.region}', {wall.off_mm:.0f} mm from the leg's "
            f"axis; it would need {_folds(needed)}, and {allowed or 'none'} {'is' if allowed == 1 else 'are'} allowed.",
            todo=f"Make the sole {deep:.0f} mm shorter on that side"
            + (", or take a folded plate." if allowed == 0 else ", or allow more folds."),
            objects=(bar_id, wall.region),
            point_mm=as_node(outline_mm[int(np.argmin(wall.plane.distance_mm(outline_mm)))]),
            measured=float(needed),
            limit=float(allowed),
        ),
    )


def _folds(count: int) -> str:
    return "1 fold" if count == 1 else f"{count} folds"


def _reaches(distances: Points) -> bool:
    """Whether an outline lies on both sides of a plane."""
    return bool(distances.min() < 0.0 < distances.max())


def at_seam(name: str, bar_id: str, placed: Placed, root: Panel) -> tuple[Finding, ...]:
    """`LAND-015`: free edges lie along a crease, a step or the end of the metal."""
    if placed.edge_at_seam_mm <= _EDGE_LENGTH_MM:
        return ()
    return (
        Finding(
            code="LAND-015",
            sentence=f"{name}: {placed.edge_at_seam_mm:.0f} mm of its edges lie nearer than {SEAM_ROOM_MM:g} mm to a "
            "crease, a step or the end of the metal, wherever the leg lets it be moved.",
            todo="Change its size or turn it, so that its weld does not lie on a seam.",
            objects=(bar_id,),
            point_mm=as_node(root.outline_mm.mean(axis=0)),
            measured=placed.edge_at_seam_mm,
            limit=_EDGE_LENGTH_MM,
            unit="mm",
        ),
    )


def wall_too_low(
    name: str, bar_id: str, region: str, tall_mm: float, wanted_mm: float, at_mm: Vector, *, typed: bool
) -> tuple[Finding, ...]:
    """`LAND-014`: the wall ends or turns before the plate's upper edge."""
    if tall_mm >= wanted_mm - 0.5:
        return ()
    return (
        Finding(
            code="LAND-014",
            severity=Severity.WARNING if typed else Severity.NOTE,
            sentence=f"{name}: '{region}' goes on even for {tall_mm:.0f} mm only, and the plate was to go "
            f"{wanted_mm:.0f} mm up it; farther up it would need another fold.",
            todo=f"It was made {tall_mm:.0f} mm high there; make it longer where area is missing.",
            objects=(bar_id, region),
            point_mm=as_node(at_mm),
            measured=tall_mm,
            limit=wanted_mm,
            unit="mm",
        ),
    )


def area_short(name: str, fitted: FittedLanding) -> tuple[Finding, ...]:
    """`LAND-017`: less area than was wanted."""
    wanted = fitted.landing.area_mm2
    if wanted is None or fitted.area_mm2 >= wanted - 0.5:
        return ()
    short = wanted - fitted.area_mm2
    longer = short / (fitted.width_mm + fitted.wall_mm)
    return (
        Finding(
            code="LAND-017",
            sentence=f"{name}: its faces come to {fitted.area_mm2 / 100.0:.1f} cm2 in all; {wanted / 100.0:.1f} cm2 "
            "were wanted.",
            todo=f"Make it {longer:.0f} mm longer, or wider or higher.",
            objects=(fitted.bar_id,),
            measured=fitted.area_mm2 / 100.0,
            limit=wanted / 100.0,
            unit="cm2",
        ),
    )


def bolts_close(name: str, bar_id: str, pattern: BoltPattern) -> tuple[Finding, ...]:
    """`LAND-024`: a bolt has no room beside the leg or another bolt."""
    places = np.array([hole.centre_mm for hole in pattern.holes])
    apart = min(
        (float(np.linalg.norm(a - b)) for k, a in enumerate(places) for b in places[k + 1 :]), default=np.inf
    )
    least = 1.5 * pattern.to_edge_mm
    if pattern.to_leg_mm >= pattern.leg_needs_mm and apart >= least:
        return ()
    near_leg = pattern.to_leg_mm < pattern.leg_needs_mm
    what = (
        f"a bolt's middle is {pattern.to_leg_mm:.0f} mm from the leg's skin"
        if near_leg
        else f"two bolts are {apart:.0f} mm apart"
    )
    limit = pattern.leg_needs_mm if near_leg else least
    return (
        Finding(
            code="LAND-024",
            sentence=f"{name}: {what}; nut and spanner want {limit:.0f} mm (common practice).",
            todo="Make the plate larger, or take fewer or smaller bolts.",
            objects=(bar_id,),
            measured=pattern.to_leg_mm if near_leg else apart,
            limit=limit,
            unit="mm",
        ),
    )


def at_opening(
    name: str, bar_id: str, faces: Sequence[Face], landmarks: Mapping[str, Node]
) -> tuple[Finding, ...]:
    """`LAND-025`: an edge reaches the rim of the door opening."""
    corners = opening_corners(landmarks)
    if corners is None:
        return ()
    outline = np.concatenate([_along(face.outline_mm) for face in faces])
    side = np.sign(outline[:, 1].mean())
    rim = corners * np.array([1.0, side * np.sign(corners[0, 1]), 1.0])
    rim = _along(rim)
    away = np.linalg.norm(outline[:, None, :] - rim[None, :, :], axis=2)
    nearest = np.unravel_index(int(np.argmin(away)), away.shape)
    off = float(away[nearest])
    if off >= OPENING_ROOM_MM:
        return ()
    return (
        Finding(
            code="LAND-025",
            sentence=f"{name}: an edge of the plate lies {off:.0f} mm from the rim of the door opening; "
            f"{OPENING_ROOM_MM:g} mm are kept free for the seal (common practice).",
            todo="Make it lower on the wall, or move it along the sill.",
            objects=(bar_id,),
            point_mm=as_node(outline[nearest[0]]),
            measured=off,
            limit=OPENING_ROOM_MM,
            unit="mm",
        ),
    )


def _along(outline_mm: Points) -> Points:
    """Places every 2 mm along a closed outline."""
    pieces = [
        a + np.arange(0.0, 1.0, min(1.0, 2.0 / max(1e-9, float(np.linalg.norm(b - a)))))[:, None] * (b - a)
        for a, b in zip(outline_mm, np.roll(outline_mm, -1, axis=0), strict=True)
    ]
    return np.concatenate(pieces)
