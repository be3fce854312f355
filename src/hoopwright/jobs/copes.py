"""The cope of a branch on one straight header, from its numbers alone."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np

from hoopwright.findings import Finding, UserError
from hoopwright.joints.cope import (
    Branch,
    CopeProfile,
    CutKind,
    Header,
    HoleSaw,
    SawCuts,
    cope_profile,
    diameter_faults,
    hole_saw,
    saw_cuts,
    taken_from_acute_side,
    two_tubes,
)

_SHOWN_EVERY_30 = 12
_SQUARE_WITHIN_DEG = 0.05


@dataclass(frozen=True, kw_only=True)
class CopeRow:
    """One line of the table that is read at the bench.

    Args:
        around_deg: From the heel.
        round_mm: The same along the outside of the branch, as on a wrap.
        along_mm: Along the branch from the crossing of the axes; None where it is not cut.
    """

    around_deg: float
    round_mm: float
    along_mm: float | None


@dataclass(frozen=True, kw_only=True, eq=False)
class CopeResult:
    """A cope, counted from its heel, with how it is cut by hand.

    Args:
        branch: The branch as understood.
        header: The header as understood.
        profile: The profile at the points asked.
        whole: The profile at every degree, for a wrap.
        rows: Every 30° from the heel.
        wrap_width_mm: Circumference of the branch.
        hole_saw: How a hole saw is set up.
        saw_cuts: Two straight saw cuts; None where part of the end is not cut.
        findings: What a person should know.
    """

    branch: Branch
    header: Header
    profile: CopeProfile
    whole: CopeProfile
    rows: tuple[CopeRow, ...]
    wrap_width_mm: float
    hole_saw: HoleSaw
    saw_cuts: SawCuts | None
    findings: tuple[Finding, ...]

    @property
    def is_square(self) -> bool:
        """Whether neither side of the branch is sharper than the other."""
        return abs(self.profile.angle_deg - 90.0) < _SQUARE_WITHIN_DEG


def cope(
    *,
    header_od_mm: float,
    branch_od_mm: float,
    angle_deg: float,
    offset_mm: float = 0.0,
    wall_mm: float | None = None,
    points: int = 360,
    saws_mm: Sequence[float] = (),
    cut: CutKind | None = None,
) -> CopeResult:
    """The cope of a branch on one straight header.

    Args:
        header_od_mm: Outside diameter of the header.
        branch_od_mm: Outside diameter of the branch.
        angle_deg: Between the axes.
        offset_mm: How far the axes pass each other; positive moves the branch toward its side at 90° from the heel.
        wall_mm: Wall of the branch, where it counts.
        points: How many points round the branch.
        saws_mm: Hole saws to choose from.
        cut: How the wall is cut; straight in with a wall and by the outside alone without, unless said.

    Raises:
        UserError: `COPE-001` to `COPE-003`, `COPE-007`, `COPE-012`, `TUBE-001`.
    """
    branch, header = two_tubes(
        header_od_mm=header_od_mm,
        branch_od_mm=branch_od_mm,
        angle_deg=angle_deg,
        offset_mm=offset_mm,
        wall_mm=wall_mm,
    )
    wrong = [fault for saw_mm in saws_mm for fault in diameter_faults("the hole saw", saw_mm)]
    if wrong:
        raise UserError(*wrong)
    kind: CutKind = cut or ("outside" if wall_mm is None else "square")
    profile = cope_profile(branch, [header], points=points, cut=kind)
    shown = cope_profile(branch, [header], points=_SHOWN_EVERY_30, cut=kind)
    whole = cope_profile(branch, [header], cut=kind)
    turned = taken_from_acute_side(angle_deg)
    return CopeResult(
        branch=branch,
        header=header,
        profile=profile,
        whole=whole,
        rows=tuple(
            CopeRow(around_deg=around, round_mm=math.radians(around) * branch_od_mm / 2.0, along_mm=along)
            for around, along in zip(shown.around_deg.tolist(), or_none(shown.along_mm), strict=True)
        ),
        wrap_width_mm=math.pi * branch_od_mm,
        hole_saw=hole_saw(branch, [header], saws_mm=saws_mm),
        saw_cuts=saw_cuts(whole, branch_od_mm),
        findings=(*profile.findings, *([] if turned is None else [turned])),
    )


def or_none(values: Any) -> list[float | None]:
    """Numbers as JSON has them: None for those that are not."""
    return [value if math.isfinite(value) else None for value in np.asarray(values).tolist()]


def cope_keys(made: CopeResult) -> dict[str, Any]:
    """The keys of `cope --json`."""
    profile = made.profile
    return {
        "points": [
            {"around_deg": around, "along_mm": along}
            for around, along in zip(profile.around_deg.tolist(), or_none(profile.along_mm), strict=True)
        ],
        "depth_mm": profile.depth_mm,
        "angle_deg": profile.angle_deg,
        "cut": profile.cut,
        "longest_mm": profile.tip_mm,
        "deepest_mm": profile.throat_mm,
        "overhang_mm": profile.overhang_mm,
        "wrap_width_mm": made.wrap_width_mm,
        "hole_saw": vars(made.hole_saw),
        "saw_cuts": None
        if made.saw_cuts is None
        else {
            "cuts": [vars(cut) for cut in made.saw_cuts.cuts],
            "left_on_mm": made.saw_cuts.left_on_mm,
        },
    }
