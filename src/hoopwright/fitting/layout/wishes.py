"""What a person may choose of a first cage, and what comes back."""

from dataclasses import dataclass, field
from typing import Literal

from hoopwright.cage import Cage, Limits
from hoopwright.findings import Finding
from hoopwright.tubes import TubeSize

Feet = Literal[4, 6, 8]
Diagonals = Literal["one", "cross"]
RoofBars = Literal["none", "one", "cross", "v"]
DoorBars = Literal["one", "two", "cross"]


@dataclass(frozen=True, kw_only=True)
class LayoutWishes:
    """What the person wants of the first cage.

    Args:
        lean_deg: Lean of the main hoop, top rearward positive.
        limits: Gap and clamp.
        hoop_tube: Tube of the main hoop and the side bars.
        hoop_die: Die for it.
        hoop_clr_mm: Radius that it is drawn with.
        brace_tube: Tube of all other bars.
        brace_die: Die for it.
        brace_clr_mm: Radius that it is drawn with.
        harness_share: Height of the harness bar as a share of the hoop's height.
        feet: 4 for hoop and backstays; 6 with side bars and what hangs on them; 8 with strut links too.
        hoop_diagonals: One bar across the hoop, or two that cross.
        roof: Bars between hoop and screen bar: none, one across, two that cross, or a V that meets on the
            screen bar.
        door_bars: On each side: one bar, two above each other, or two that cross.
        door_out_mm: How far the door bars go outward into the doors, where the shell leaves room.
        dash_bar: Whether a bar joins the side bars at the dash.
        sill_bars: Whether a bar runs along each sill.
    """

    lean_deg: float = 0.0
    limits: Limits = field(default_factory=Limits)
    hoop_tube: TubeSize = field(default_factory=lambda: TubeSize(od_mm=45.0, wall_mm=2.5))
    hoop_die: str = "45"
    hoop_clr_mm: float = 137.5
    brace_tube: TubeSize = field(default_factory=lambda: TubeSize(od_mm=38.0, wall_mm=2.5))
    brace_die: str = "38"
    brace_clr_mm: float = 115.0
    harness_share: float = 0.62
    feet: Feet = 6
    hoop_diagonals: Diagonals = "one"
    roof: RoofBars = "none"
    door_bars: DoorBars = "two"
    door_out_mm: float = 0.0
    dash_bar: bool = False
    sill_bars: bool = False


@dataclass(frozen=True, kw_only=True)
class FirstLayout:
    """A first cage.

    Args:
        cage: The cage.
        findings: Bars that do not hold what was asked, with place and number.
    """

    cage: Cage
    findings: tuple[Finding, ...]
