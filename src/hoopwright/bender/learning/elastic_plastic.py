"""Springback of a round tube by elastic, perfectly plastic bending."""

import math

from hoopwright.bender.samples import HARDEST_YIELD_MPA
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.tubes import TubeSize, section_properties

STEEL_MODULUS_MPA = 205_000.0
"""Young's modulus of tube steel; 200 to 210 GPa in the standards for steel structures."""


def bending_moment_n_mm(
    tube: TubeSize, radius_mm: float, *, yield_mpa: float, modulus_mpa: float = STEEL_MODULUS_MPA
) -> float:
    """Moment that holds a tube at a centreline radius under load.

    Plane sections; the stress grows with the distance from the axis up to the yield stress and stays there. A
    tube is a solid bar less the bore, so the closed form of the circle is taken twice.

    Args:
        tube: Tube size.
        radius_mm: Centreline radius under load.
        yield_mpa: Yield stress, above 0.
        modulus_mpa: Young's modulus.

    Raises:
        UserError: `LEARN-001` for a radius or a strength that cannot be.
    """
    _refuse_impossible(tube, radius_mm, yield_mpa, modulus_mpa)
    core_mm = yield_mpa * radius_mm / modulus_mpa
    outside = _solid_moment_mm3(tube.od_mm / 2.0, core_mm)
    return yield_mpa * (outside - _solid_moment_mm3(tube.inside_mm / 2.0, core_mm))


def kept_share(
    tube: TubeSize, radius_mm: float, *, yield_mpa: float, modulus_mpa: float = STEEL_MODULUS_MPA
) -> float:
    """Share of the bend angle that is left after release: 1 - M R / (E I).

    The arc keeps its length while it opens, so angle and radius change by the same share; 0 for a bend so
    gentle that the tube stays elastic.

    Raises:
        UserError: `LEARN-001` for a radius or a strength that cannot be.

    Source: derived; the sheet of the same material gives Ri/Rf = 4 X^3 - 3 X + 1 (textbook).
    """
    moment = bending_moment_n_mm(tube, radius_mm, yield_mpa=yield_mpa, modulus_mpa=modulus_mpa)
    stiffness = modulus_mpa * section_properties(tube).i_mm4
    return max(0.0, 1.0 - moment * radius_mm / stiffness)


def radius_after_release_mm(
    tube: TubeSize, radius_mm: float, *, yield_mpa: float, modulus_mpa: float = STEEL_MODULUS_MPA
) -> float:
    """Centreline radius after release; infinite where the tube springs straight.

    Raises:
        UserError: `LEARN-001` for a radius or a strength that cannot be.
    """
    share = kept_share(tube, radius_mm, yield_mpa=yield_mpa, modulus_mpa=modulus_mpa)
    return radius_mm / share if share > 0.0 else math.inf


def _solid_moment_mm3(outer_mm: float, core_mm: float) -> float:
    """Moment over yield stress of a solid round bar whose elastic core reaches to `core_mm` off the axis."""
    inside = min(core_mm, outer_mm)
    chord = math.sqrt(outer_mm**2 - inside**2)
    plastic = 4.0 / 3.0 * chord**3
    # integral of y^2 sqrt(a^2 - y^2) from the axis to the edge of the core
    square = (
        outer_mm**4 * math.asin(inside / outer_mm) - inside * chord * (outer_mm**2 - 2.0 * inside**2)
    ) / 8.0
    return plastic + 4.0 * square / core_mm


def _refuse_impossible(tube: TubeSize, radius_mm: float, yield_mpa: float, modulus_mpa: float) -> None:
    limits = (
        ("radius", radius_mm, tube.od_mm / 2.0, 100_000.0, "mm"),
        ("yield stress", yield_mpa, 0.0, HARDEST_YIELD_MPA, "MPa"),
        ("modulus", modulus_mpa, 0.0, 1e6, "MPa"),
    )
    for name, value, least, most, unit in limits:
        if not least < value <= most:
            raise UserError(
                Finding(
                    code="LEARN-001",
                    severity=Severity.STOP,
                    sentence=f"A {name} of {value:g} {unit} cannot be for a tube {tube} (over {least:g}, up to "
                    f"{most:g}).",
                    todo="Check the number and its unit: yield stress is in MPa, 1 ksi is 6.895 MPa.",
                    objects=(name,),
                    measured=value if math.isfinite(value) else None,
                    limit=least if value <= least else most,
                    unit=unit,
                )
            )
