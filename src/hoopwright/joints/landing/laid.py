"""What every kind of landing comes to before it is unfolded."""

from dataclasses import dataclass

from hoopwright.findings import Finding
from hoopwright.geometry import Plane, Vector
from hoopwright.joints.landing.panels import Panel
from hoopwright.joints.landing.result import Face


@dataclass(frozen=True, kw_only=True, eq=False)
class Laid:
    """A landing laid on the metal.

    Args:
        root: Its panels in space.
        metal_is_above: Whether the sheet lies on the side of the panels' normals.
        stands_on: The plane that the leg stands on, its normal toward the leg.
        leg_at_mm: Where the leg's axis meets it.
        faces: The panels with their gaps.
        length_mm: As made.
        width_mm: As made.
        wall_mm: As made.
        moved_mm: Along and across, from the middle of the leg.
        findings: What a person should know.
    """

    root: Panel
    metal_is_above: bool
    stands_on: Plane
    leg_at_mm: Vector
    faces: tuple[Face, ...]
    length_mm: float
    width_mm: float
    wall_mm: float
    moved_mm: tuple[float, float]
    findings: tuple[Finding, ...] = ()
