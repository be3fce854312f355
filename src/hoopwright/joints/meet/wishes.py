"""How copes are wanted: what a person may type."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from types import MappingProxyType

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.joints.cope import CutKind, OvalBend

WIDEST_GAP_MM = 5.0
"""A wider opening is no root gap; common practice, no source: 1.6 is workable, 3.2 is not for structure."""
WORKABLE_GAP_MM = 1.6


@dataclass(frozen=True, kw_only=True)
class CutWishes:
    """How copes are wanted.

    Args:
        root_gap_mm: Left between every cut and the header's skin.
        root_gaps_mm: The same for single joints, by name, in place of that.
        oval_bends: Sections as measured, by bar and by number of its bend from end A.
        cut: How the wall is cut.
        points: How many generators.
        order: Order of assembly in place of the cage's own.
    """

    root_gap_mm: float = 0.0
    root_gaps_mm: Mapping[str, float] = field(default_factory=lambda: MappingProxyType({}))
    oval_bends: Mapping[tuple[str, int], OvalBend] = field(default_factory=lambda: MappingProxyType({}))
    cut: CutKind = "outside"
    points: int = 360
    order: tuple[str, ...] = ()

    def gap_of_mm(self, joint: str) -> float:
        """Root gap of a joint."""
        return self.root_gaps_mm.get(joint, self.root_gap_mm)


def check_gaps(wishes: CutWishes) -> tuple[Finding, ...]:
    """Root gaps that are wider than a weld bridges well.

    Raises:
        UserError: `JOINT-012` for one that cannot be.
    """
    found = []
    for name, gap in (("all joints", wishes.root_gap_mm), *wishes.root_gaps_mm.items()):
        if not (math.isfinite(gap) and 0.0 <= gap <= WIDEST_GAP_MM):
            raise UserError(_gap(name, gap, WIDEST_GAP_MM, "cannot be", "JOINT-012", Severity.STOP))
        if gap > WORKABLE_GAP_MM:
            found.append(_gap(name, gap, WORKABLE_GAP_MM, "is wide", "JOINT-013", Severity.WARNING))
    return tuple(found)


def _gap(name: str, gap_mm: float, limit_mm: float, what: str, code: str, severity: Severity) -> Finding:
    return Finding(
        code=code,
        severity=severity,
        sentence=f"A root gap of {gap_mm:g} mm for {name} {what}: the limit is {limit_mm:g} mm.",
        todo=f"Type 0 to {WORKABLE_GAP_MM:g} mm; 0 to one filler wire is usual.",
        objects=(name,),
        measured=gap_mm if math.isfinite(gap_mm) else None,
        limit=limit_mm,
        unit="mm",
    )
