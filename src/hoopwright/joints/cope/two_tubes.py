"""A joint of two straight tubes by its numbers alone, counted from the heel."""

import math
from dataclasses import replace

import numpy as np

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.joints.cope.faults import angle_fault, diameter_faults, number_fault
from hoopwright.joints.cope.meeting import meeting
from hoopwright.joints.cope.tubes import Branch, Header, straight_header

_NAMES = ("the branch", "the header")


def two_tubes(
    *,
    header_od_mm: float,
    branch_od_mm: float,
    angle_deg: float,
    offset_mm: float = 0.0,
    wall_mm: float | None = None,
) -> tuple[Branch, Header]:
    """Branch and header of a joint, with the datum line on the heel and lengths from the crossing of the axes.

    Where the axes pass each other, lengths count from the foot of their common perpendicular.

    Args:
        header_od_mm: Outside diameter of the header.
        branch_od_mm: Outside diameter of the branch.
        angle_deg: Between the axes, over 0 to under 180; the acute side counts.
        offset_mm: How far the axes pass each other; positive moves the branch toward its side at 90° from the heel.
        wall_mm: Wall of the branch, where it counts.

    Raises:
        UserError: `COPE-001` to `COPE-003`.
    """
    branch_name, header_name = _NAMES
    angled = angle_fault(branch_name, header_name, angle_deg)
    wrong = [
        *diameter_faults(header_name, header_od_mm),
        *diameter_faults(branch_name, branch_od_mm),
        *([] if angled is None else [angled]),
        *([] if math.isfinite(offset_mm) else [number_fault(branch_name, "the offset is no number")]),
    ]
    if wrong:
        raise UserError(*wrong)
    into_branch, heel = np.array([0.0, 0.0, 1.0]), np.array([1.0, 0.0, 0.0])
    sharp_rad = math.radians(min(angle_deg, 180.0 - angle_deg))
    branch = Branch(
        origin_mm=np.zeros(3),
        direction=into_branch,
        datum=heel,
        od_mm=branch_od_mm,
        wall_mm=wall_mm,
        name=branch_name,
    )
    header = straight_header(
        name=header_name,
        through_mm=-offset_mm * branch.sideways,
        direction=math.cos(sharp_rad) * into_branch + math.sin(sharp_rad) * heel,
        od_mm=header_od_mm,
    )
    return branch, header


def counted_from_heel(branch: Branch, header: Header) -> Branch:
    """The same branch with its datum line on the heel and lengths from where it is nearest to a header's axis."""
    met = meeting(branch, header)
    return replace(branch, origin_mm=branch.origin_mm + met.branch_mm * branch.direction, datum=met.heel)


def taken_from_acute_side(angle_deg: float) -> Finding | None:
    """`COPE-014` for an angle over 90°, which is the same joint seen from the other side."""
    if not 90.0 < angle_deg < 180.0:
        return None
    return Finding(
        code="COPE-014",
        severity=Severity.NOTE,
        objects=_NAMES,
        sentence=f"{angle_deg:g}° was taken as {180.0 - angle_deg:g}°: the heel is the acute side.",
        measured=angle_deg,
        limit=90.0,
        unit="deg",
    )
