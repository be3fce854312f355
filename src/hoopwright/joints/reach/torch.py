"""The torch: how much room it takes, and how it may be held to a seam."""

import math
from dataclasses import dataclass

import numpy as np

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Points, Vector

_LEANS = 5
_TRAVELS = 3
_ROLLS = 8
_HIGHEST = {
    "nozzle_od_mm": 80.0,
    "nozzle_length_mm": 500.0,
    "handle_od_mm": 120.0,
    "handle_length_mm": 600.0,
    "neck_deg": 120.0,
    "stick_out_mm": 60.0,
    "lean_deg": 80.0,
    "travel_deg": 60.0,
}
_MAY_BE_ZERO = {"handle_length_mm", "neck_deg", "lean_deg", "travel_deg", "stick_out_mm"}


@dataclass(frozen=True, kw_only=True)
class Torch:
    """A torch as two rounded rods: the nozzle, and the handle behind its neck.

    Defaults are common practice, no source, but for the travel angle and the stick-out: manuals for gas metal arc
    welding let the gun bisect the joint, call a travel angle over 20 degrees poor, and let 1/4 to 1/2 inch of wire
    stick out (from memory of such manuals).

    Args:
        nozzle_od_mm: Outside diameter of the nozzle.
        nozzle_length_mm: Straight length from the nozzle's end to the neck.
        handle_od_mm: Diameter of what is behind the neck.
        handle_length_mm: Length of it that must find room; 0 leaves the handle out.
        neck_deg: Angle between nozzle and handle, 0 for a straight torch.
        stick_out_mm: From the nozzle's end to the seam.
        lean_deg: How far it may lean out of the middle of the joint, to either side.
        travel_deg: How far it may lean along the seam, to either side.
    """

    nozzle_od_mm: float = 22.0
    nozzle_length_mm: float = 60.0
    handle_od_mm: float = 32.0
    handle_length_mm: float = 80.0
    neck_deg: float = 50.0
    stick_out_mm: float = 12.7
    lean_deg: float = 25.0
    travel_deg: float = 20.0

    @property
    def length_mm(self) -> float:
        """Farthest that anything of it is from the seam."""
        return self.stick_out_mm + self.nozzle_length_mm + self.handle_length_mm + max(self.radii_mm) * 2.0

    @property
    def radii_mm(self) -> tuple[float, float]:
        """Radius of the nozzle and of the handle."""
        return self.nozzle_od_mm / 2.0, self.handle_od_mm / 2.0


def check_torch(torch: Torch) -> None:
    """Stop on a torch that cannot be.

    Raises:
        UserError: `REACH-001` naming every size that is out of range.
    """
    wrong = []
    for name, highest in _HIGHEST.items():
        value = getattr(torch, name)
        lowest = 0.0 if name in _MAY_BE_ZERO else 1.0
        # written so that NaN is refused too
        if not lowest <= value <= highest:
            wrong.append(_refused(name, value, lowest, highest))
    if wrong:
        raise UserError(*wrong)


def _refused(name: str, value: float, lowest: float, highest: float) -> Finding:
    what, _, unit = name.rpartition("_")
    words = what.replace("_", " ")
    return Finding(
        code="REACH-001",
        severity=Severity.STOP,
        sentence=f"No torch has a {words} of {value:g} {unit} (limits {lowest:g} to {highest:g} {unit}).",
        todo="Measure the torch, and check the unit.",
        objects=(words,),
        measured=value if math.isfinite(value) else None,
        limit=lowest if value < lowest else highest,
        unit=unit,
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class TorchPoses:
    """Rods of a torch held to n places of a seam in one way.

    Args:
        nozzle_from_mm: Middle of the nozzle's rounded end, shape (n, 3).
        nozzle_to_mm: The neck, shape (n, 3).
        handles_to_mm: Far end of the handle for each way to turn it, shape (rolls, n, 3).
    """

    nozzle_from_mm: Points
    nozzle_to_mm: Points
    handles_to_mm: Points


def ways_to_hold(torch: Torch) -> tuple[tuple[float, float], ...]:
    """Lean and travel angle in degrees of each way that is tried, the middle of the joint first."""
    leans = np.linspace(-torch.lean_deg, torch.lean_deg, _LEANS) if torch.lean_deg > 0.0 else np.zeros(1)
    travels = (
        np.linspace(-torch.travel_deg, torch.travel_deg, _TRAVELS) if torch.travel_deg > 0.0 else np.zeros(1)
    )
    ways = [(float(lean), float(travel)) for lean in leans for travel in travels]
    return tuple(sorted(ways, key=lambda way: (math.hypot(*way), way)))


def hold(
    torch: Torch,
    points_mm: Points,
    bisectors: Points,
    travels: Points,
    *,
    lean_deg: float | Vector,
    travel_deg: float | Vector,
) -> TorchPoses:
    """The torch held to places of a seam.

    Args:
        torch: The torch.
        points_mm: Places on the seam, shape (n, 3).
        bisectors: Unit directions away from the seam, in the middle of the joint, shape (n, 3).
        travels: Unit directions along the seam, shape (n, 3).
        lean_deg: Lean out of the middle about the seam; one, or one for each place.
        travel_deg: Lean along the seam; likewise.
    """
    lean_rad, travel_rad = (np.radians(np.atleast_1d(one))[:, None] for one in (lean_deg, travel_deg))
    sideways = np.cross(travels, bisectors)
    leaned = np.cos(lean_rad) * bisectors + np.sin(lean_rad) * sideways
    away = np.cos(travel_rad) * leaned + np.sin(travel_rad) * travels
    along = np.cos(travel_rad) * travels - np.sin(travel_rad) * leaned
    across = np.cross(away, along)
    radius = torch.nozzle_od_mm / 2.0
    neck = points_mm + (torch.stick_out_mm + max(torch.nozzle_length_mm, radius)) * away
    neck_rad = math.radians(torch.neck_deg)
    rolls_rad = np.linspace(0.0, 2.0 * math.pi, _ROLLS, endpoint=False) if torch.neck_deg > 0.0 else [0.0]
    handles = [
        neck
        + torch.handle_length_mm
        * (
            math.cos(neck_rad) * away
            + math.sin(neck_rad) * (math.cos(roll) * along + math.sin(roll) * across)
        )
        for roll in rolls_rad
    ]
    return TorchPoses(
        nozzle_from_mm=points_mm + (torch.stick_out_mm + radius) * away,
        nozzle_to_mm=neck,
        handles_to_mm=np.stack(handles),
    )
