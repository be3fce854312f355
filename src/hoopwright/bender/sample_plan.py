"""Which sample bends to make before a die and a tube are known, and from what lengths of tube."""

import math
from dataclasses import dataclass
from typing import Literal

from hoopwright.bender.next_sample import SampleSuggestion
from hoopwright.findings import Finding, Severity, UserError

SampleKind = Literal["leg", "u", "angle"]
FIRST_ANGLES_DEG = (20.0, 45.0, 90.0)
"""Commands of the first angle samples: the range that bars need; common practice, no source."""
LEG_MM = 250.0
"""Straight on either side of a sample, for a square or a protractor to lie on; common practice, no source."""
OFFSET_ROOM_MM = 50.0
"""Left for the start offset, which nobody knows yet; common practice, no source."""
_STEP_MM = 50.0
_RADIUS_GUESS_OD = 3.0
_LARGEST_MM = 10_000.0


@dataclass(frozen=True, kw_only=True)
class PlannedSample:
    """One sample to bend.

    Args:
        kind: The table of the sample file that it fills.
        cut_mm: Length to cut.
        mark_mm: From end A, which leads, to the mark that goes to the die face.
        command_deg: What to read under load; None where the released shape decides.
    """

    kind: SampleKind
    cut_mm: float
    mark_mm: float
    command_deg: float | None = None


@dataclass(frozen=True, kw_only=True)
class SamplePlan:
    """The samples to bend, in order.

    Args:
        od_mm: Outside diameter.
        clr_mm: Centreline radius, as written on the die or taken.
        is_radius_taken: Whether nobody said the radius and 3 diameters were taken.
        samples: What to bend.
        why: What the sample would do to the numbers, where it is the next of some; else empty.
    """

    od_mm: float
    clr_mm: float
    is_radius_taken: bool
    samples: tuple[PlannedSample, ...]
    why: str = ""

    @property
    def tube_mm(self) -> float:
        """Tube that all of them take."""
        return math.fsum(sample.cut_mm for sample in self.samples)


def first_samples(od_mm: float, clr_mm: float | None = None, clamp_mm: float = 0.0) -> SamplePlan:
    """A 90 with legs, a U and three angles: what gives all four numbers.

    Args:
        od_mm: Outside diameter.
        clr_mm: Centreline radius written on the die; 3 diameters are taken without.
        clamp_mm: Straight that the clamp needs.

    Raises:
        UserError: `CAL-040` for numbers that cannot be.
    """
    radius = _RADIUS_GUESS_OD * od_mm if clr_mm is None else clr_mm
    _refuse(od_mm, radius, clamp_mm)
    return SamplePlan(
        od_mm=od_mm,
        clr_mm=radius,
        is_radius_taken=clr_mm is None,
        samples=(
            planned("leg", radius, clamp_mm),
            planned("u", radius, clamp_mm),
            *(planned("angle", radius, clamp_mm, angle) for angle in FIRST_ANGLES_DEG),
        ),
    )


def next_samples(od_mm: float, clr_mm: float | None, suggestion: SampleSuggestion) -> SamplePlan:
    """The one further sample that would tell most.

    Raises:
        UserError: `CAL-040` for numbers that cannot be.
    """
    radius = _RADIUS_GUESS_OD * od_mm if clr_mm is None else clr_mm
    _refuse(od_mm, radius, 0.0)
    return SamplePlan(
        od_mm=od_mm,
        clr_mm=radius,
        is_radius_taken=clr_mm is None,
        samples=(planned(suggestion.kind, radius, 0.0, suggestion.command_deg),),
        why=suggestion.sentence,
    )


def planned(
    kind: SampleKind, clr_mm: float, clamp_mm: float, command_deg: float | None = None
) -> PlannedSample:
    """Cut and mark of one sample: straight for the clamp and a square on both sides of the bend.

    The bend is taken as long as its arc on the centreline, of which the tube used is never more.
    """
    turn_deg = {"leg": 90.0, "u": 180.0}.get(kind, command_deg or 90.0)
    mark = _up(max(LEG_MM, clamp_mm) + OFFSET_ROOM_MM)
    cut = _up(mark + OFFSET_ROOM_MM + math.radians(turn_deg) * clr_mm + max(LEG_MM, clamp_mm))
    return PlannedSample(kind=kind, cut_mm=cut, mark_mm=mark, command_deg=command_deg)


def _up(length_mm: float) -> float:
    return math.ceil(length_mm / _STEP_MM - 1e-9) * _STEP_MM


def _refuse(od_mm: float, clr_mm: float, clamp_mm: float) -> None:
    good = 3.0 <= od_mm <= 500.0 and od_mm / 2.0 < clr_mm <= _LARGEST_MM and 0.0 <= clamp_mm <= 5000.0
    if not good:
        raise UserError(
            Finding(
                code="CAL-040",
                severity=Severity.STOP,
                sentence=f"No sample bends for a tube of {od_mm:g} mm on a radius of {clr_mm:g} mm with a clamp of "
                f"{clamp_mm:g} mm: the diameter must be 3 to 500 mm, the radius over half of it and at most "
                f"{_LARGEST_MM:g} mm, the clamp 0 to 5000 mm.",
                todo="Check the numbers and their units; bare lengths are mm.",
            )
        )
