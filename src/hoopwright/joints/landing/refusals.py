"""What stops a landing from being fitted at all."""

import numpy as np

from hoopwright.bars import as_node
from hoopwright.cage import EndLetter, Landing
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Vector


def no_metal(bar_id: str, end: EndLetter, end_mm: Vector, off_mm: float, metal_mm: Vector) -> UserError:
    """The foot stands on nothing that was scanned."""
    known = bool(np.isfinite(off_mm))
    near = (
        "the nearest scanned metal is at "
        f"{metal_mm[0]:.0f}, {metal_mm[1]:.0f}, {metal_mm[2]:.0f}, {off_mm:.0f} mm away"
        if known
        else "no scanned metal lies within 1 m"
    )
    return UserError(
        Finding(
            code="LAND-010",
            severity=Severity.STOP,
            sentence=f"Foot {end} of {bar_id} has no scanned metal under it along its leg; {near}.",
            todo="Move the end over metal, or scan what it stands on.",
            objects=(bar_id,),
            point_mm=as_node(end_mm),
            measured=off_mm if known else None,
            limit=0.0,
            unit="mm",
        )
    )


def not_a_mesh(bar_id: str, end: EndLetter) -> UserError:
    """Points have no surface to lay a plate on."""
    return UserError(
        Finding(
            code="LAND-012",
            severity=Severity.STOP,
            sentence=f"Foot {end} of {bar_id} cannot be landed: the scan is a cloud of points without metal "
            "between them.",
            todo="Make a mesh of the points, and take that scan in.",
            objects=(bar_id,),
        )
    )


def no_wall(
    bar_id: str, end: EndLetter, at_mm: Vector, nearest_mm: float | None, reach_mm: float
) -> UserError:
    """A folded plate was asked where no wall is near."""
    near = (
        "no wall was found within 220 mm"
        if nearest_mm is None
        else f"the nearest wall is {nearest_mm:.0f} mm away"
    )
    return UserError(
        Finding(
            code="LAND-016",
            severity=Severity.STOP,
            sentence=f"Foot {end} of {bar_id} cannot have a folded plate: {near}, and its sole reaches "
            f"{reach_mm:.0f} mm.",
            todo="Take a flat plate or a box there, or type a width that reaches the wall.",
            objects=(bar_id,),
            point_mm=as_node(at_mm),
            measured=nearest_mm,
            limit=reach_mm,
            unit="mm",
        )
    )


def no_box(bar_id: str, landing: Landing, why: str) -> UserError:
    """A box of that height and size cannot stand there."""
    return UserError(
        Finding(
            code="LAND-020",
            severity=Severity.STOP,
            sentence=f"Foot {landing.end} of {bar_id} cannot have a box of {landing.height_mm:g} mm: {why}.",
            todo="Make it higher or smaller, or turn its top (--square).",
            objects=(bar_id,),
            measured=landing.height_mm,
            unit="mm",
        )
    )
