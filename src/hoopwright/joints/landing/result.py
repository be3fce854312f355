"""What a landing comes out as: faces in space, flat parts to cut, and the cut at the leg's end."""

from dataclasses import dataclass

from hoopwright.bars import Node
from hoopwright.cage import EndLetter, Landing
from hoopwright.findings import Finding
from hoopwright.geometry import Plane, Points
from hoopwright.joints.flat import FlatPart
from hoopwright.joints.wrap import Wrap


@dataclass(frozen=True, kw_only=True)
class GapToMetal:
    """How far a face lies from the real metal, sampled all over it.

    Args:
        largest_mm: Largest distance between the face and the metal, either way.
        mean_mm: Mean distance.
        within_ratio: Share of what was seen that lies within 1.5 mm, 0 to 1.
        worst_at_mm: Where the largest distance is, vehicle frame.
        high_mm: How far metal stands through the face at most; 0 where none does.
        high_at_mm: Where that is.
        seen_ratio: Share of the face with scanned metal under it, 0 to 1.
    """

    largest_mm: float
    mean_mm: float
    within_ratio: float
    worst_at_mm: Node
    high_mm: float
    high_at_mm: Node
    seen_ratio: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Face:
    """One flat face of a landing, in the car.

    Args:
        name: `sole`, `wall`, `top` and the like.
        region: What of the shell it lies on; empty for the faces of a box.
        plane: Of its side toward the metal, the normal away from it; of a box its outer side, the normal outward.
        outline_mm: Corners to the lines where its plane meets the next face's, counterclockwise as seen against the
            normal; shape (n, 3).
        area_mm2: Of that outline.
        gap: Its gap to the metal; for a wall of a box that of its lower edge; None for the top of a box.
    """

    name: str
    region: str
    plane: Plane
    outline_mm: Points
    area_mm2: float
    gap: GapToMetal | None


@dataclass(frozen=True, kw_only=True, eq=False)
class LegCut:
    """How the end of a leg is cut to stand on its landing: one straight saw cut.

    Args:
        angle_deg: From a square cut; 0 is square.
        clocking_deg: Where round the tube the longest point is, from the datum line, right-hand rule about the travel.
        shorten_mm: From the drawn end back along the axis to the landing; negative where the leg is to be longer.
        plane: That of the cut, the normal toward the leg.
        wrap: The cut unrolled, header `plate`.
    """

    angle_deg: float
    clocking_deg: float
    shorten_mm: float
    plane: Plane
    wrap: Wrap


@dataclass(frozen=True, kw_only=True, eq=False)
class FittedLanding:
    """A landing fitted to the metal under one foot.

    Args:
        landing: What was asked, under the name of this bar.
        bar_id: The bar.
        end: Its end.
        length_mm: Along the sole, as made; of a box its top.
        width_mm: Across it, as made.
        wall_mm: How far it goes up the wall, for a folded plate.
        faces: Its faces in the car.
        area_mm2: All faces together.
        mass_kg: Of its parts as cut.
        moved_mm: How far its middle was moved from the leg's axis to lie well, along and across.
        cut: The leg's end.
        parts: What is cut from sheet.
        findings: What a person should know.
        bolts_mm: Middles of its bolts' holes, vehicle frame.
    """

    landing: Landing
    bar_id: str
    end: EndLetter
    length_mm: float
    width_mm: float
    wall_mm: float
    faces: tuple[Face, ...]
    area_mm2: float
    mass_kg: float
    moved_mm: tuple[float, float]
    cut: LegCut
    parts: tuple[FlatPart, ...]
    findings: tuple[Finding, ...]
    bolts_mm: tuple[Node, ...] = ()


def flat_parts_of(fitted: FittedLanding) -> tuple[FlatPart, ...]:
    """The flat parts of a landing, to draw and to cut."""
    return fitted.parts
