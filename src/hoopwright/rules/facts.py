"""What a check needs to know of a car and its cage. A project gives it, and a case of a rule types it.

Everything may be None: not known. A check of what is not known ends in `not checked` and says what to give.
"""

from dataclasses import dataclass, field

from hoopwright.cage.car import Car
from hoopwright.cage.member import Role, Side
from hoopwright.rules.bar_facts import BarFacts, BendFacts, Certificate, HoleFacts, Place, Process
from hoopwright.rules.driver_facts import DriverFacts, HelmetRoom, OpeningFacts
from hoopwright.rules.foot_facts import FootFacts, GussetFacts, JointFacts

__all__ = [
    "BarFacts",
    "BendFacts",
    "Certificate",
    "DriverFacts",
    "Extent",
    "Facts",
    "FootFacts",
    "GussetFacts",
    "HelmetRoom",
    "HoleFacts",
    "JointFacts",
    "Measured",
    "OpeningFacts",
    "Pattern",
    "Place",
    "Process",
]


@dataclass(frozen=True, kw_only=True)
class Measured:
    """One named distance, angle or ratio; `rules.measures` says what each name means and how it is taken.

    Args:
        name: One of `rules.measures.MEASURES`.
        about: The bar, foot, opening or joint that it was measured at.
        role: Role of the bar, where it is one.
        measured: In mm, degrees, or without a unit for a ratio, as the name says; None where it could not be taken.
        other: The same measured in the other way that the name says, where there is one.
        missing: What to give where it could not be taken.
        note: What was assumed for it.
        place_mm: Where.
    """

    name: str
    about: str = ""
    role: Role | None = None
    measured: float | None = None
    other: float | None = None
    missing: str = ""
    note: str = ""
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class Extent:
    """How far the cage reaches, and where the suspension takes its vertical load; forward positive.

    Args:
        front_mm: Foremost place of the cage.
        rear_mm: Rearmost place of the cage.
        front_mount_mm: Front suspension mounting point.
        rear_mount_mm: Rear suspension mounting point.
    """

    front_mm: float | None = None
    rear_mm: float | None = None
    front_mount_mm: float | None = None
    rear_mount_mm: float | None = None


@dataclass(frozen=True, kw_only=True)
class Pattern:
    """What several bars together form.

    Args:
        place: Such as `roof`, `main hoop`, `door`, `layout`.
        name: Such as `X`, `V`, `inverted V`, `one diagonal`, `parallel`.
        side: Side of the car, for a place that is there on each.
        bars: The bars that form it.
    """

    place: str
    name: str
    side: Side = ""
    bars: tuple[str, ...] = ()


@dataclass(frozen=True, kw_only=True)
class Facts:
    """All that is known; None is not known, and an empty tuple is none there.

    Args:
        car: The car as the person described it.
        bars: Every bar of the cage.
        measures: Named distances, angles and ratios.
        feet: Every foot on the shell.
        may_be_feet: Ends of bars of which nobody knows whether they stand on the shell, such as `MH foot A`.
        gussets: Every gusset.
        joints: Every joint between bars.
        holes: Inspection holes.
        drivers: Drivers as measured.
        openings: Door openings.
        extent: How far the cage reaches.
        patterns: What bars together form.
    """

    car: Car = field(default_factory=Car)
    bars: tuple[BarFacts, ...] | None = None
    measures: tuple[Measured, ...] | None = None
    feet: tuple[FootFacts, ...] | None = None
    may_be_feet: tuple[str, ...] = ()
    gussets: tuple[GussetFacts, ...] | None = None
    joints: tuple[JointFacts, ...] | None = None
    holes: tuple[HoleFacts, ...] | None = None
    drivers: tuple[DriverFacts, ...] | None = None
    openings: tuple[OpeningFacts, ...] | None = None
    extent: Extent | None = None
    patterns: tuple[Pattern, ...] | None = None
