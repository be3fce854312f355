"""A bar and its mirror, what both must keep, and what one way out comes to."""

from dataclasses import dataclass
from enum import StrEnum

from hoopwright.bars import Bar
from hoopwright.findings import Finding, Severity
from hoopwright.fitting.end_places import EndPlace
from hoopwright.fitting.measuring import measure_bar
from hoopwright.fitting.side_regions import RegionBothSides
from hoopwright.geometry.capsules import Capsule
from hoopwright.shell.clearance import TubeGaps
from hoopwright.shell.shell import Shell

THROUGH = "FIT-042"


class SideChoice(StrEnum):
    """What can be done where the sides differ."""

    SHIFT = "shift"
    REFIT = "refit"
    KEEP = "keep"


@dataclass(frozen=True, kw_only=True)
class MirroredPair:
    """A bar, its mirror, and what both must keep.

    Args:
        source: The bar that has nodes of its own.
        other: Its mirror image under the other bar's name.
        places: What the source's ends A and B land on.
        other_places: The same for the mirror.
        landings_mm: Lengths at A and B of both that are not judged.
        gap_mm: Gap to keep.
        clamp_mm: Straight that the clamp needs.
        keep_clear: Room of the drivers that both bars' skins stay out of.
    """

    source: Bar
    other: Bar
    places: tuple[EndPlace, EndPlace]
    other_places: tuple[EndPlace, EndPlace]
    landings_mm: tuple[float, float]
    gap_mm: float
    clamp_mm: float
    keep_clear: tuple[Capsule, ...] = ()


@dataclass(frozen=True, eq=False, kw_only=True)
class BothSides:
    """The pair as it is, each bar measured on its own side.

    Args:
        source: Gaps of the source.
        other: Gaps of the mirror.
        regions: Regions near the mirror against their counterparts.
    """

    source: TubeGaps
    other: TubeGaps
    regions: tuple[RegionBothSides, ...]


@dataclass(frozen=True, eq=False, kw_only=True)
class SideOffer:
    """One way out, and the gaps that it reaches.

    Args:
        choice: Which.
        source: The source's bar then.
        other: The other side's bar then.
        source_gaps: Exact gaps of the source.
        other_gaps: Exact gaps of the other.
        moved_mm: Farthest that a node of the changed bar goes.
        findings: What does not hold.
        refused: Why the best that was found was not taken and the bars are as they were; None else.
    """

    choice: SideChoice
    source: Bar
    other: Bar
    source_gaps: TubeGaps
    other_gaps: TubeGaps
    moved_mm: float
    findings: tuple[Finding, ...]
    refused: Finding | None = None

    @property
    def holds(self) -> bool:
        """Whether both bars hold the gap, go through no metal, and can be bent."""
        return not self.findings

    @property
    def impossible(self) -> tuple[Finding, ...]:
        """What rules it out whatever gap is asked: bends that cannot be, metal that it goes through."""
        return tuple(f for f in self.findings if f.severity is Severity.STOP or f.code == THROUGH)


def measure_one(shell: Shell, bar: Bar, pair: MirroredPair) -> TubeGaps:
    """Exact gaps of one bar of a pair, on its own side."""
    a_mm, b_mm = pair.landings_mm
    return measure_bar(shell, bar, landing_a_mm=a_mm, landing_b_mm=b_mm)
