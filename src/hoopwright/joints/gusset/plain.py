"""A flat gusset in the plane of two bars: plain, with a hole, or with a dimple."""

import math

import numpy as np
from scipy.optimize import linprog

from hoopwright.cage import Gusset, GussetKind
from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Points, Vector
from hoopwright.joints.flat import FlatPart, RoundHole
from hoopwright.joints.gusset.corner import Corner
from hoopwright.joints.gusset.limits import check_room, check_sheet
from hoopwright.joints.gusset.made import MadeGusset

RELIEF_MM = 12.0
"""Cut off the corner so that the joint's own weld passes under the gusset: common practice, no source."""
NOSE_MM = 6.0
"""Left square at each tip, since a sharp tip burns away: common practice, no source."""
_EDGE_SHARE = 2.0
_FLARE_MM = 6.0


def flat_gusset(gusset: Gusset, corner: Corner) -> MadeGusset:
    """The true shape of a flat or dimpled gusset.

    Args:
        gusset: As it is meant.
        corner: The corner that it fills.

    Returns:
        The part, in the corner's x and y from the point where the skins meet.

    Raises:
        UserError: `GUSSET-001` for a size that cannot be, `GUSSET-004` where a leg has no straight to stand on,
            `GUSSET-005` where its hole has no room.
    """
    check_sheet(gusset)
    check_room(gusset, corner)
    outline = _outline(gusset, corner)
    holes, findings = _hole(gusset, outline)
    part = FlatPart(
        name=f"{gusset.name} {gusset.kind}",
        thickness_mm=gusset.thickness_mm,
        outline_mm=outline - corner.point_mm,
        holes=tuple(
            RoundHole(centre_mm=_pair(hole[0] - corner.point_mm), diameter_mm=hole[1]) for hole in holes
        ),
        notes=(
            f"{gusset.bar_id} along the first edge, {gusset.other} along the other, {corner.angle_deg:.1f}°",
        ),
    )
    return MadeGusset(
        gusset=gusset,
        part=part,
        outline_mm=corner.to_vehicle(np.column_stack([outline, np.zeros(len(outline))])),
        angle_deg=corner.angle_deg,
        gap_mm=_widest_gap(gusset, corner),
        mass_kg=part.mass_kg,
        findings=findings,
    )


def _outline(gusset: Gusset, corner: Corner) -> Points:
    """Counterclockwise in the corner's plane: relief, first leg, its nose, the second nose, second leg, relief."""
    half = gusset.thickness_mm / 2.0
    # each skin stands out farthest over its own axis, which may lie within the sheet
    crests = np.array([-corner.apart_mm / 2.0, corner.apart_mm / 2.0]).clip(-half, half)
    point = corner.meeting_mm(float(corner.off_a_mm(crests[:1])[0]), float(corner.off_b_mm(crests[1:])[0]))
    along_b = corner.leg_b
    in_b = np.array([along_b[1], -along_b[0]])
    along_a, in_a = np.array([1.0, 0.0]), np.array([0.0, 1.0])
    return np.array(
        [
            point + RELIEF_MM * along_a,
            point + gusset.leg_mm * along_a,
            point + gusset.leg_mm * along_a + NOSE_MM * in_a,
            point + gusset.leg_mm * along_b + NOSE_MM * in_b,
            point + gusset.leg_mm * along_b,
            point + RELIEF_MM * along_b,
        ]
    )


def _widest_gap(gusset: Gusset, corner: Corner) -> float:
    """The sheet is cut square: the face farther out on the tube clears it, the other stands off by this much."""
    half = np.array([-gusset.thickness_mm / 2.0, gusset.thickness_mm / 2.0])
    return float(max(np.ptp(corner.off_a_mm(half)), np.ptp(corner.off_b_mm(half))))


def _hole(gusset: Gusset, outline: Points) -> tuple[list[tuple[Vector, float]], tuple[Finding, ...]]:
    """The hole in the middle of the sheet, where one is wanted, with room to every edge."""
    if gusset.hole_mm == 0.0:
        return [], ()
    centre, room = roomiest(outline)
    flare = _FLARE_MM if gusset.kind is GussetKind.DIMPLED else 0.0
    edge = _EDGE_SHARE * gusset.thickness_mm + flare
    most = 2.0 * (room - edge)
    if gusset.hole_mm > most:
        sentence = (
            f"The hole of {gusset.hole_mm:g} mm in gusset {gusset.name} leaves {room - gusset.hole_mm / 2.0:.1f} mm to "
            f"the edge (limit {edge:g} mm: twice the sheet{', and 6 mm of flare' if flare else ''}; common practice, "
            "no source)."
        )
        return [], (
            Finding(
                code="GUSSET-005",
                severity=Severity.WARNING,
                sentence=f"{sentence} It is left out.",
                todo=f"At most {max(0.0, math.floor(most)):g} mm fits; or lengthen the legs.",
                objects=(gusset.name,),
                measured=gusset.hole_mm,
                limit=max(0.0, most),
                unit="mm",
            ),
        )
    return [(centre, gusset.hole_mm)], ()


def roomiest(outline: Points) -> tuple[Vector, float]:
    """The place inside a convex outline that is farthest from every edge, and how far.

    Args:
        outline: Counterclockwise, shape (n, 2).
    """
    edges = np.roll(outline, -1, axis=0) - outline
    inward = np.column_stack([-edges[:, 1], edges[:, 0]]) / np.linalg.norm(edges, axis=1)[:, None]
    level = np.einsum("ij,ij->i", inward, outline)
    best = linprog(
        [0.0, 0.0, -1.0],
        A_ub=np.column_stack([-inward, np.ones(len(inward))]),
        b_ub=-level,
        bounds=[(None, None), (None, None), (None, None)],
    )
    found = np.asarray(best.x, dtype=np.float64)
    return found[:2], float(found[2])


def _pair(point: Vector) -> tuple[float, float]:
    return float(point[0]), float(point[1])
