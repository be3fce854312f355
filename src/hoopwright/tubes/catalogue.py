"""Tube sizes that are commonly sold, and steels that tubes are commonly made of, each row with where it comes from."""

from dataclasses import dataclass

from hoopwright.tubes.section import TubeSize
from hoopwright.units import MM_PER_INCH

STEEL_E_MPA = 205_000.0
"""Source: common handbook value of steel, 200 to 210 GPa; no standard is needed to compare one steel with another."""

_PRACTICE = "common practice, no source"
_RULES = "named in rule books for cages"


@dataclass(frozen=True, kw_only=True)
class SoldSize:
    """A tube size that is commonly sold.

    Args:
        tube: The size.
        words: As it is called where it is sold, such as `45 x 2.5 mm`.
        source: Where the row comes from.
    """

    tube: TubeSize
    words: str
    source: str


@dataclass(frozen=True, kw_only=True)
class Steel:
    """A steel that tubes are commonly made of; strengths are least values, not those of a certificate.

    Args:
        name: As on a certificate.
        process: How tubes of it are made: `cold drawn seamless`, `seamless`, `DOM` or `ERW`.
        yield_mpa: Least yield strength.
        tensile_mpa: Least tensile strength.
        e_mpa: Modulus of elasticity.
        carbon_percent: Most carbon, by mass.
        manganese_percent: Most manganese, by mass.
        source: Where the row comes from.
    """

    name: str
    process: str
    yield_mpa: float
    tensile_mpa: float
    e_mpa: float = STEEL_E_MPA
    carbon_percent: float
    manganese_percent: float
    source: str


_METRIC_MM = (
    (25.0, (1.5, 2.0, 2.5, 3.0)),
    (28.0, (1.5, 2.0, 2.5, 3.0)),
    (30.0, (1.5, 2.0, 2.5, 3.0)),
    (32.0, (1.5, 2.0, 2.5, 3.0)),
    (35.0, (1.5, 2.0, 2.5, 3.0)),
    (38.0, (1.5, 2.0, 2.5, 3.0)),
    (40.0, (1.5, 2.0, 2.5, 3.0, 4.0)),
    (42.0, (2.0, 2.5, 3.0)),
    (45.0, (2.0, 2.5, 3.0, 4.0)),
    (48.0, (2.0, 2.5, 3.0)),
    (50.0, (1.5, 2.0, 2.5, 3.0, 4.0)),
)
_INCH = (
    (1.0, (0.049, 0.065, 0.083, 0.095, 0.120)),
    (1.25, (0.049, 0.058, 0.065, 0.083, 0.095, 0.120)),
    (1.375, (0.049, 0.065, 0.083, 0.095, 0.120)),
    (1.5, (0.065, 0.083, 0.095, 0.120, 0.134)),
    (1.625, (0.083, 0.095, 0.120, 0.134)),
    (1.75, (0.083, 0.095, 0.120, 0.134)),
    (2.0, (0.083, 0.095, 0.120, 0.134)),
)
_NAMED_MM = {(25.0, 2.5), (38.0, 2.5), (40.0, 2.0), (45.0, 2.5), (50.0, 2.0)}
_NAMED_INCH = {
    *((1.0, 0.049), (1.0, 0.065), (1.0, 0.095), (1.375, 0.095), (1.5, 0.095), (1.5, 0.120), (1.625, 0.120)),
    *((1.75, 0.083), (1.75, 0.095), (1.75, 0.120), (2.0, 0.083), (2.0, 0.095), (2.0, 0.120)),
}


def sold_sizes() -> tuple[SoldSize, ...]:
    """Common metric and inch sizes, the smaller first in each."""
    metric = [
        SoldSize(
            tube=TubeSize(od_mm=od, wall_mm=wall),
            words=f"{od:g} x {wall:g} mm",
            source=_RULES if (od, wall) in _NAMED_MM else _PRACTICE,
        )
        for od, walls in _METRIC_MM
        for wall in walls
    ]
    inch = [
        SoldSize(
            tube=TubeSize(od_mm=od * MM_PER_INCH, wall_mm=wall * MM_PER_INCH),
            words=f"{od:g} x {wall:.3f} in",
            source=_RULES if (od, wall) in _NAMED_INCH else _PRACTICE,
        )
        for od, walls in _INCH
        for wall in walls
    ]
    return (*metric, *inch)


def common_steels() -> tuple[Steel, ...]:
    """Common steels of tubes, the weaker first in each kind; take a certificate's own values where there is one."""
    en, a519 = (
        "EN 10305-1, as dealers' tables have it",
        "ASTM A519 typical values, as a dealer's table has it",
    )
    return (
        Steel(
            name="E235+N", process="cold drawn seamless", yield_mpa=235.0, tensile_mpa=340.0,
            carbon_percent=0.17, manganese_percent=1.20, source=en,
        ),
        Steel(
            name="E355+N", process="cold drawn seamless", yield_mpa=355.0, tensile_mpa=490.0,
            carbon_percent=0.22, manganese_percent=1.60, source=en,
        ),
        Steel(
            name="1020 cold worked", process="cold drawn seamless", yield_mpa=414.0, tensile_mpa=483.0,
            carbon_percent=0.23, manganese_percent=0.60, source=a519,
        ),
        Steel(
            name="1025 cold worked", process="cold drawn seamless", yield_mpa=448.0, tensile_mpa=517.0,
            carbon_percent=0.28, manganese_percent=0.60, source=a519,
        ),
        Steel(
            name="1020 DOM", process="DOM", yield_mpa=414.0, tensile_mpa=483.0,
            carbon_percent=0.23, manganese_percent=0.60, source="ASTM A513 type 5, from memory, not verified",
        ),
        Steel(
            name="4130 normalised", process="seamless", yield_mpa=414.0, tensile_mpa=621.0,
            carbon_percent=0.33, manganese_percent=0.60,
            source="composition from ASTM A519 as a dealer's table has it; strength from memory, not verified",
        ),
    )  # fmt: skip
