"""What a gusset is held to: sizes that can be, straight tube under its legs, and the limits that a person types."""

import math
from dataclasses import dataclass

from hoopwright.cage import Gusset
from hoopwright.findings import Finding, Severity, UserError, Verdict
from hoopwright.joints.gusset.corner import Corner

LEAST_LEG_MM = 25.0
_LONGEST_LEG_MM, _THINNEST_MM, _THICKEST_MM, _WIDEST_HOLE_MM = 600.0, 0.5, 12.0, 200.0


@dataclass(frozen=True, kw_only=True)
class GussetLimits:
    """Limits that the person types from the rule book; None is not judged.

    Args:
        least_leg_ratio: Least leg, in outside diameters of the larger tube.
        most_leg_ratio: Most leg, likewise.
        least_thickness_mm: Least sheet.
    """

    least_leg_ratio: float | None = None
    most_leg_ratio: float | None = None
    least_thickness_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class JudgedSize:
    """One size held against a typed limit.

    Args:
        what: Which size, in words.
        measured_mm: As it is.
        limit_mm: As typed; None where nothing was.
        verdict: How it ends; not checked without a limit.
    """

    what: str
    measured_mm: float
    limit_mm: float | None
    verdict: Verdict


def check_limits(gusset: Gusset, larger_od_mm: float, limits: GussetLimits) -> tuple[JudgedSize, ...]:
    """Each size against its limit; without a limit it is not checked.

    Args:
        gusset: As it is meant; its leg runs from the corner of the skins to the tip on the tube.
        larger_od_mm: Outside diameter of the larger of the tubes that it joins.
        limits: As typed.
    """

    def judged(what: str, measured: float, limit: float | None, *, at_least: bool) -> JudgedSize:
        if limit is None:
            return JudgedSize(what=what, measured_mm=measured, limit_mm=None, verdict=Verdict.NOT_CHECKED)
        met = measured >= limit - 1e-9 if at_least else measured <= limit + 1e-9
        verdict = Verdict.PASS if met else Verdict.FAIL
        return JudgedSize(what=what, measured_mm=measured, limit_mm=limit, verdict=verdict)

    def times_od(share: float | None) -> float | None:
        return None if share is None else share * larger_od_mm

    return (
        judged("least leg", gusset.leg_mm, times_od(limits.least_leg_ratio), at_least=True),
        judged("most leg", gusset.leg_mm, times_od(limits.most_leg_ratio), at_least=False),
        judged("least thickness", gusset.thickness_mm, limits.least_thickness_mm, at_least=True),
    )


def check_sheet(gusset: Gusset) -> None:
    """Stop on sizes that no gusset has.

    Raises:
        UserError: `GUSSET-001`.
    """
    for what, value, low, high in (
        ("a leg", gusset.leg_mm, LEAST_LEG_MM, _LONGEST_LEG_MM),
        ("a thickness", gusset.thickness_mm, _THINNEST_MM, _THICKEST_MM),
        ("a hole", gusset.hole_mm, 0.0, _WIDEST_HOLE_MM),
    ):
        # written so that NaN is refused too
        if not low <= value <= high:
            raise UserError(
                Finding(
                    code="GUSSET-001",
                    severity=Severity.STOP,
                    sentence=f"Gusset {gusset.name} cannot be: {what} of {value:g} mm is outside {low:g} to "
                    f"{high:g} mm.",
                    todo="Check the unit.",
                    objects=(gusset.name,),
                    measured=value if math.isfinite(value) else None,
                    limit=high if value > high else low,
                    unit="mm",
                )
            )


def check_room(gusset: Gusset, corner: Corner) -> None:
    """Stop where a leg would stand on a bend or beyond the end of a bar.

    Raises:
        UserError: `GUSSET-004`.
    """
    for bar_id, room_mm in ((gusset.bar_id, corner.room_a_mm), (gusset.other, corner.room_b_mm)):
        if gusset.leg_mm > room_mm:
            raise UserError(
                Finding(
                    code="GUSSET-004",
                    severity=Severity.STOP,
                    sentence=f"Gusset {gusset.name} has legs of {gusset.leg_mm:g} mm, but {bar_id} is straight for "
                    f"{room_mm:.1f} mm from that corner.",
                    todo=f"Legs of at most {max(0.0, math.floor(room_mm)):g} mm stand on straight tube there"
                    if room_mm >= LEAST_LEG_MM
                    else "Choose another corner: there is no straight tube for a gusset here",
                    objects=(gusset.name, str(bar_id)),
                    measured=gusset.leg_mm,
                    limit=room_mm,
                    unit="mm",
                )
            )
