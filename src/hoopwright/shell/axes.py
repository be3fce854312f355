"""Vehicle axes found in a scan by itself: symmetry plane, level of roof and floor, lower edge of the sides.

What a scan cannot say (which end is the nose) is returned as a proposal for the person to answer.
"""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Points, Transform, Vector, unit_vector
from hoopwright.shell.floor import without_large_floor, without_workshop_floor
from hoopwright.shell.surfels import Surfels
from hoopwright.shell.symmetry import SymmetryPlane, find_symmetry_planes, refine_symmetry_plane
from hoopwright.shell.tree import TriangleTree

ScanAxis = Literal["+x", "-x", "+y", "-y", "+z", "-z"]
LEAST_MATCHED_SHARE = 0.55
_LEAST_DISCS = 300
_LEAST_DEPTH_MM = 100.0
_ALMOST_AS_GOOD = 0.93
_OUTER_SHARE = 0.85
_STATION_MM = 100.0


@dataclass(frozen=True, eq=False, kw_only=True)
class AxesProposal:
    """Vehicle axes as a scan suggests them.

    Args:
        to_vehicle: From the scan to the vehicle frame, with the proposed nose and up.
        symmetry: The plane that became left = 0.
        level_rms_deg: Spread of the level metal's tilt about the level that was found.
        level_area_m2: How much level metal that is.
        nose: The scan's own axis that points nearest to the nose, as proposed.
        nose_sure: Whether the shape itself tells the nose from the tail.
        up: The scan's own axis that points nearest to up.
        up_sure: Whether the shape itself tells up from down.
        findings: What a person should know.
    """

    to_vehicle: Transform
    symmetry: SymmetryPlane
    level_rms_deg: float
    level_area_m2: float
    nose: ScanAxis
    nose_sure: bool
    up: ScanAxis
    up_sure: bool
    findings: tuple[Finding, ...]


def propose_axes(
    tree: TriangleTree,
    surfels: Surfels,
    *,
    nose: ScanAxis | None = None,
    up: ScanAxis | None = None,
    seed: int = 0,
) -> AxesProposal:
    """Vehicle axes of a scan.

    Left = 0 is the symmetry plane, level is the direction of most roof and floor metal, up = 0 the lower
    edge of the sides, forward = 0 the foremost metal.

    Args:
        tree: The scan.
        surfels: Its body.
        nose: The scan axis that the person says points nearest to the nose.
        up: The scan axis that the person says points nearest to up.
        seed: Chooses the discs that are tried.

    Raises:
        UserError: `SCAN-018` when the scan is flat or next to nothing, `SCAN-020` when there is no symmetry
            plane to build on, `SCAN-021` when `nose` or `up` contradicts the shape.
    """
    _refuse_flat(surfels)
    surfels = without_large_floor(surfels) or surfels
    symmetry, findings = _choose_plane(find_symmetry_planes(surfels, seed=seed))
    level = _level_direction(surfels, symmetry.plane.normal)
    cleared = without_workshop_floor(surfels, level, symmetry.plane)
    if cleared is not None:
        surfels = cleared
        symmetry = refine_symmetry_plane(surfels, symmetry.plane, seed=seed)
        level = _level_direction(surfels, symmetry.plane.normal)
    across = symmetry.plane.normal
    level, rms_deg, area_mm2 = _refined_level(surfels, across, level)
    up_direction, up_sure = _up_sign(surfels, symmetry, level)
    up_direction, up_sure = _answered(up_direction, up, "up", up_sure)
    along = np.cross(across, up_direction)
    nose_direction, nose_sure = _nose_sign(surfels, along, up_direction)
    nose_direction, nose_sure = _answered(nose_direction, nose, "nose", nose_sure)
    rotation = np.stack([nose_direction, np.cross(up_direction, nose_direction), up_direction])
    to_vehicle = Transform(
        rotation=rotation,
        shift_mm=_zero(tree, surfels, symmetry, rotation),
        source="scan",
        target="vehicle",
    )
    return AxesProposal(
        to_vehicle=to_vehicle,
        symmetry=symmetry,
        level_rms_deg=rms_deg,
        level_area_m2=area_mm2 * 1e-6,
        nose=nearest_axis(nose_direction),
        nose_sure=nose_sure,
        up=nearest_axis(up_direction),
        up_sure=up_sure,
        findings=findings,
    )


def nearest_axis(direction: Vector) -> ScanAxis:
    """Name of the scan axis nearest to a direction."""
    axis = int(np.argmax(np.abs(direction)))
    names: tuple[tuple[ScanAxis, ScanAxis], ...] = (("+x", "-x"), ("+y", "-y"), ("+z", "-z"))
    return names[axis][0 if direction[axis] > 0 else 1]


def axis_direction(name: ScanAxis) -> Vector:
    """The unit direction that a scan axis' name stands for."""
    direction = np.zeros(3)
    direction["xyz".index(name[1])] = 1.0 if name[0] == "+" else -1.0
    return direction


def _refuse_flat(surfels: Surfels) -> None:
    spread = surfels.middle_mm - surfels.middle_mm.mean(axis=0)
    thinnest_mm = 2.0 * math.sqrt(max(0.0, float(np.linalg.eigvalsh(spread.T @ spread / len(spread))[0])))
    if len(spread) >= _LEAST_DISCS and thinnest_mm >= _LEAST_DEPTH_MM:
        return
    raise UserError(
        Finding(
            code="SCAN-018",
            severity=Severity.STOP,
            sentence=f"The scan has too little metal to find vehicle axes in: {len(spread)} patches of "
            f"{surfels.cell_mm:.0f} mm, {thinnest_mm:.0f} mm deep (at least {_LEAST_DISCS} and "
            f"{_LEAST_DEPTH_MM:.0f} mm).",
            todo="Check the unit, scan more of the shell, or align by landmarks.",
            measured=thinnest_mm,
            limit=_LEAST_DEPTH_MM,
            unit="mm",
        )
    )


def _choose_plane(planes: tuple[SymmetryPlane, ...]) -> tuple[SymmetryPlane, tuple[Finding, ...]]:
    """The best plane; among planes about as good, the one across which the scan is narrowest."""
    best = planes[0] if planes else None
    if best is None or best.matched_share < LEAST_MATCHED_SHARE:
        share = 0.0 if best is None else best.matched_share
        raise UserError(
            Finding(
                code="SCAN-020",
                severity=Severity.STOP,
                sentence=f"No symmetry plane was found: only {share:.0%} of the metal has metal at its mirror "
                f"image (at least {LEAST_MATCHED_SHARE:.0%} is needed). One half may not be scanned.",
                todo="Align by landmarks, or scan the other side too.",
                measured=share,
                limit=LEAST_MATCHED_SHARE,
            )
        )
    rivals = [p for p in planes if p.matched_share > _ALMOST_AS_GOOD * best.matched_share]
    chosen = min(rivals, key=lambda plane: plane.width_mm)
    if len(rivals) == 1:
        return chosen, ()
    others = ", ".join(f"{plane.width_mm:.0f} mm" for plane in rivals if plane is not chosen)
    note = Finding(
        code="SCAN-022",
        severity=Severity.NOTE,
        sentence=f"The scan repeats itself about several planes; the one across its {chosen.width_mm:.0f} "
        f"mm was taken as the centre plane (the others lie across {others}).",
        todo="Check the pictures; align by landmarks if the car lies the wrong way.",
    )
    return chosen, (note,)


def _in_plane_angles(surfels: Surfels, across: Vector) -> tuple[Vector, Vector, Vector, Vector]:
    """Two directions in the centre plane, and for metal square to it its normal's angle and area."""
    use = (np.abs(surfels.normal @ across) < 0.3) & (surfels.flatness > 0.8)
    points = surfels.middle_mm - surfels.middle_mm.mean(axis=0)
    flat = points - np.outer(points @ across, across)
    long = np.linalg.svd(flat[:: max(1, len(flat) // 20000)], full_matrices=False)[2][0]
    long = unit_vector(long - across * float(long @ across))
    short = np.cross(across, long)
    angle = np.degrees(np.arctan2(surfels.normal[use] @ long, surfels.normal[use] @ short))
    return long, short, (angle + 90.0) % 180.0 - 90.0, surfels.area_mm2[use]


def _level_direction(surfels: Surfels, across: Vector) -> Vector:
    """Normal of most roof and floor metal, within 35° of the scan's short side in the centre plane."""
    long, short, angle, area = _in_plane_angles(surfels, across)
    near = np.abs(angle) < 35.0
    histogram = np.histogram(angle[near], bins=140, range=(-35, 35), weights=area[near])[0]
    smooth = np.convolve(histogram, [1.0, 2.0, 3.0, 2.0, 1.0], "same")
    peak_rad = math.radians(-35.0 + 0.5 * (int(np.argmax(smooth)) + 0.5))
    return math.cos(peak_rad) * short + math.sin(peak_rad) * long


def _refined_level(surfels: Surfels, across: Vector, level: Vector) -> tuple[Vector, float, float]:
    """Mean tilt of metal within a closing gate of the level; its spread and area."""
    along = np.cross(across, level)
    use = (np.abs(surfels.normal @ across) < 0.3) & (surfels.flatness > 0.8)
    tilt = np.degrees(np.arctan2(surfels.normal[use] @ along, surfels.normal[use] @ level))
    tilt = (tilt + 90.0) % 180.0 - 90.0
    area = surfels.area_mm2[use]
    middle, near = 0.0, np.abs(tilt) < 4.0
    for gate in (4.0, 3.0, 2.0, 1.5, 1.5, 1.5):
        near = np.abs(tilt - middle) < gate
        middle = float(np.average(tilt[near], weights=area[near])) if near.any() else 0.0
    spread = (
        math.sqrt(float(np.average((tilt[near] - middle) ** 2, weights=area[near]))) if near.any() else 90.0
    )
    turned = math.cos(math.radians(middle)) * level + math.sin(math.radians(middle)) * along
    return unit_vector(turned), spread, float(area[near].sum())


def _up_sign(surfels: Surfels, symmetry: SymmetryPlane, level: Vector) -> tuple[Vector, bool]:
    """A car is narrower at the roof than lower down."""
    height = surfels.middle_mm @ level
    half = np.abs(symmetry.plane.distance_mm(surfels.middle_mm))
    low, high = np.quantile(height, [0.01, 0.99])
    quarter = (high - low) / 4.0
    lower, upper = half[height < low + quarter], half[height > high - quarter]
    narrow, wide = np.quantile(upper, 0.95), np.quantile(lower, 0.95)
    return (level if narrow < wide else -level), bool(abs(narrow - wide) > 0.08 * max(narrow, wide))


def _nose_sign(surfels: Surfels, along: Vector, up: Vector) -> tuple[Vector, bool]:
    """A car's roof lies behind the middle of its length."""
    height, place = surfels.middle_mm @ up, surfels.middle_mm @ along
    top = height > np.quantile(height, 0.01) + 0.85 * np.ptp(np.quantile(height, [0.01, 0.995]))
    low, high = np.quantile(place, [0.005, 0.995])
    offset = (float(np.median(place[top])) - (low + high) / 2.0) / (high - low)
    return (along if offset < 0 else -along), bool(abs(offset) > 0.03)


def _answered(proposed: Vector, answer: ScanAxis | None, what: str, sure: bool) -> tuple[Vector, bool]:
    """The proposed direction, turned round if the person says so."""
    if answer is None:
        return proposed, sure
    agreement = float(axis_direction(answer) @ proposed)
    if abs(agreement) < 0.3:
        raise UserError(
            Finding(
                code="SCAN-021",
                severity=Severity.STOP,
                sentence=f"The {what} cannot lie along the scan's {answer}: by its shape the scan has it along "
                f"{nearest_axis(proposed)} or the opposite way.",
                todo=f"Answer {nearest_axis(proposed)} or {nearest_axis(-proposed)}, or align by landmarks.",
                objects=(answer,),
            )
        )
    return (proposed if agreement > 0 else -proposed), True


def _zero(
    tree: TriangleTree, surfels: Surfels, symmetry: SymmetryPlane, rotation: NDArray[np.float64]
) -> Vector:
    """Shift that brings the foremost metal, the centre plane and the lower edge of the sides to zero."""
    middle = surfels.middle_mm @ rotation.T
    centre_mm = float(rotation[1] @ symmetry.plane.normal) * symmetry.plane.offset_mm
    half = np.abs(middle[:, 1] - centre_mm)
    outer = half > _OUTER_SHARE * np.quantile(half, 0.99)
    front = middle[:, 0] > np.quantile(middle[:, 0], 0.9995) - 2.0 * surfels.cell_mm
    forward_mm = _corners_of(tree, surfels, front, rotation)[:, 0].max()
    return np.array([-forward_mm, -centre_mm, -_lower_edge(tree, surfels, rotation, middle, outer)])


def _lower_edge(
    tree: TriangleTree,
    surfels: Surfels,
    rotation: NDArray[np.float64],
    middle: Points,
    outer: NDArray[np.bool_],
) -> float:
    """Median over stations along the car of the lowest metal in the outer part of the sides."""
    station = np.floor(middle[:, 0] / _STATION_MM).astype(np.int64)
    station -= station.min()
    lowest = np.full(int(station.max()) + 1, np.inf)
    np.minimum.at(lowest, station[outer], middle[outer, 2])
    edge = outer & (middle[:, 2] < lowest[station] + 1.5 * surfels.cell_mm)
    corners = _corners_of(tree, surfels, edge, rotation)
    of_corner = np.floor(corners[:, 0] / _STATION_MM).astype(np.int64)
    first, last = np.quantile(middle[:, 0], [0.25, 0.75]) / _STATION_MM
    lows = [
        float(corners[of_corner == number, 2].min())
        for number in np.unique(of_corner)
        if first <= number + 0.5 <= last
    ]
    return float(np.median(lows)) if lows else float(middle[:, 2].min())


def _corners_of(
    tree: TriangleTree, surfels: Surfels, chosen: NDArray[np.bool_], rotation: NDArray[np.float64]
) -> Points:
    """Corners of the triangles of chosen surfels, turned; shape (n, 3).

    Triangles larger than a cell may belong to none of them: then every corner near one of them counts.
    """
    belongs = np.append(chosen, False)[surfels.of_triangle]
    if not belongs.any():
        every = tree.corners[surfels.of_triangle >= 0].reshape(-1, 3).astype(np.float64)
        low, high = (end(surfels.middle_mm[chosen], axis=0) for end in (np.min, np.max))
        near = ((every > low - surfels.cell_mm) & (every < high + surfels.cell_mm)).all(axis=1)
        found: Points = (every[near] if near.any() else surfels.middle_mm[chosen]) @ rotation.T
        return found
    corners: Points = tree.corners[belongs].reshape(-1, 3).astype(np.float64) @ rotation.T
    return corners
