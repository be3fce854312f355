"""The bending machine, as far as a bar sheet needs it."""

import math
from dataclasses import dataclass
from typing import Literal

from hoopwright.findings import Finding, Severity, UserError

Swing = Literal["clockwise", "anticlockwise"]


@dataclass(frozen=True, kw_only=True)
class Machine:
    """A rotary-draw bender with a level bend plane.

    Args:
        name: What it is called in the shop.
        swings: Which way the leading end swings, seen from above.
        clamp_mm: Straight that the clamp needs, measured on the machine.
        axis_height_mm: Height of the tube's axis over the floor, if known.
        die_reach_deg: Greatest angle that can be read under load.

    Raises:
        UserError: `MACH-001` for numbers that cannot be.
    """

    name: str
    swings: Swing
    clamp_mm: float
    axis_height_mm: float | None = None
    die_reach_deg: float = 180.0

    def __post_init__(self) -> None:
        height = 0.0 if self.axis_height_mm is None else self.axis_height_mm
        good = (
            0.0 <= self.clamp_mm < 5000.0 and 0.0 <= height < 10_000.0 and 0.0 < self.die_reach_deg <= 200.0
        )
        if good and self.swings in ("clockwise", "anticlockwise") and math.isfinite(height):
            return
        raise UserError(
            Finding(
                code="MACH-001",
                severity=Severity.STOP,
                sentence=f"Machine {self.name}: clamp {self.clamp_mm:g} mm, axis height {height:g} mm, reach "
                f"{self.die_reach_deg:g}°, swing '{self.swings}' cannot be.",
                todo="Measure the clamp and the height in mm, and say whether the leading end swings "
                "clockwise or anticlockwise seen from above.",
                objects=(self.name,),
            )
        )
