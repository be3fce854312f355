"""A round tube size and the properties of its section."""

import math
from dataclasses import dataclass

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.units import KG_PER_M3_TO_KG_PER_MM3

STEEL_DENSITY_KG_PER_M3 = 7850.0
"""Source: "Blue Book", dimensions and properties of steel sections, Tata Steel."""

_LARGEST_OD_MM = 500.0
_THINNEST_WALL_MM = 0.4


@dataclass(frozen=True, kw_only=True, order=True)
class TubeSize:
    """Outside diameter and wall of a round tube.

    Args:
        od_mm: Outside diameter.
        wall_mm: Wall thickness.

    Raises:
        UserError: `TUBE-001` when the wall does not fit in the diameter or a number is not finite.
    """

    od_mm: float
    wall_mm: float

    def __post_init__(self) -> None:
        if not (_THINNEST_WALL_MM <= self.wall_mm < self.od_mm / 2.0 and self.od_mm <= _LARGEST_OD_MM):
            raise UserError(
                Finding(
                    code="TUBE-001",
                    severity=Severity.STOP,
                    sentence=f"A tube of {self.od_mm:g} mm outside diameter and {self.wall_mm:g} mm wall "
                    "cannot be.",
                    todo="The wall must be at least 0.4 mm and less than half the diameter, and the diameter at "
                    f"most {_LARGEST_OD_MM:g} mm. Check the unit: a bare .095 is mm, '.095 in' is inches.",
                    measured=self.wall_mm,
                    limit=self.od_mm / 2.0,
                    unit="mm",
                )
            )

    @property
    def inside_mm(self) -> float:
        """Inside diameter."""
        return self.od_mm - 2.0 * self.wall_mm

    def __str__(self) -> str:
        return f"{self.od_mm:g} x {self.wall_mm:g}"


@dataclass(frozen=True, kw_only=True)
class SectionProperties:
    """Properties of a round tube's section.

    Args:
        area_mm2: Steel area.
        i_mm4: Second moment of area about any diameter.
        z_mm3: Elastic section modulus.
        zp_mm3: Plastic section modulus.
        j_mm4: Torsion constant.
        radius_of_gyration_mm: Square root of I over A.
        kg_per_m: Mass per metre.
    """

    area_mm2: float
    i_mm4: float
    z_mm3: float
    zp_mm3: float
    j_mm4: float
    radius_of_gyration_mm: float
    kg_per_m: float


def section_properties(
    tube: TubeSize, *, density_kg_per_m3: float = STEEL_DENSITY_KG_PER_M3
) -> SectionProperties:
    """Area, I, Z, Zp, J and mass of a round tube.

    A = pi/4 (D^2 - d^2), I = pi/64 (D^4 - d^4), Z = 2 I / D, Zp = (D^3 - d^3) / 6, J = 2 I.

    Args:
        tube: The size, in mm.
        density_kg_per_m3: Density of the steel.

    Source: textbook formulas; checked against EN 10219-2 and published tables in `docs/validation.md`.
    """
    outside, inside = tube.od_mm, tube.inside_mm
    area = math.pi / 4.0 * (outside**2 - inside**2)
    second_moment = math.pi / 64.0 * (outside**4 - inside**4)
    return SectionProperties(
        area_mm2=area,
        i_mm4=second_moment,
        z_mm3=2.0 * second_moment / outside,
        zp_mm3=(outside**3 - inside**3) / 6.0,
        j_mm4=2.0 * second_moment,
        radius_of_gyration_mm=math.sqrt(second_moment / area),
        kg_per_m=area * 1000.0 * density_kg_per_m3 * KG_PER_M3_TO_KG_PER_MM3,
    )
