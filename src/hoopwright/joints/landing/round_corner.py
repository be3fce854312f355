"""Whether a fold finds room in the rounding of the metal's corner."""

import math

import numpy as np

from hoopwright.bars import as_node
from hoopwright.findings import Finding
from hoopwright.geometry import Vector, unit_vector
from hoopwright.joints.landing.panels import Panel, Sheet, fold_angle_deg
from hoopwright.shell.shell import Shell

_PROUD_MM = 1.0
_OUT_MM = 30.0
_STEP_MM = 4.0
_END_MM = 6.0


def round_corner(shell: Shell, name: str, bar_id: str, root: Panel, sheet: Sheet) -> tuple[Finding, ...]:
    """`LAND-029`: the metal's corner is rounder than the fold, which stands on it and holds the faces off.

    A rounding of radius r in a corner that turns by A stands r (1 / cos(A / 2) - 1) out from where the planes cross,
    along the line that halves the corner.

    Args:
        shell: The scan in the vehicle frame.
        name: Of the foot.
        bar_id: The bar.
        root: The sole with its walls.
        sheet: What it is folded from.
    """
    told = []
    for edge, wall in root.hung:
        turn_deg = fold_angle_deg(root, edge, wall)
        reach = 1.0 / math.cos(math.radians(turn_deg) / 2.0) - 1.0
        ours_mm = (sheet.inside_radius_mm + sheet.thickness_mm) * reach
        start, end = wall.outline_mm[1], wall.outline_mm[0]
        theirs_mm = _stands_out_mm(shell, start, end, unit_vector(root.normal + wall.normal))
        if theirs_mm is None or theirs_mm <= ours_mm + _PROUD_MM:
            continue
        fits_mm = float(math.ceil(theirs_mm / reach - sheet.thickness_mm))
        told.append(
            Finding(
                code="LAND-029",
                sentence=f"{name}: the corner under the fold to its {wall.name} is rounded with about "
                f"{theirs_mm / reach:.0f} mm; a fold of {sheet.inside_radius_mm:g} mm inside stands "
                f"{theirs_mm - ours_mm:.1f} mm into it.",
                todo=f"Fold it with an inside radius of {fits_mm:g} mm or more.",
                objects=(bar_id,),
                point_mm=as_node((start + end) / 2.0),
                measured=sheet.inside_radius_mm,
                limit=fits_mm,
                unit="mm",
            )
        )
    return tuple(told)


def _stands_out_mm(shell: Shell, start: Vector, end: Vector, out: Vector) -> float | None:
    """How far metal stands out of a corner along the line that halves it: the median along the fold."""
    along, length = unit_vector(end - start), float(np.linalg.norm(end - start))
    at = np.arange(_END_MM, length - _END_MM, _STEP_MM)
    if not len(at):
        return None
    starts = start + np.outer(at, along) + _OUT_MM * out
    hits = shell.first_hits(starts, -out, reach_mm=_OUT_MM + 20.0)
    known = hits.triangle >= 0
    return float(np.median(_OUT_MM - hits.distance_mm[known])) if known.mean() > 0.5 else None
