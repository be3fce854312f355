"""What is made where a leg stands on the shell, and the small plates between bars, as intent."""

from dataclasses import dataclass
from enum import StrEnum
from typing import Literal

from hoopwright.bars import Node

EndLetter = Literal["A", "B"]

USUAL_K_RATIO = 0.447
"""Source: the rule for bend allowance of FAA AC 43.13-1B, (0.01743 R + 0.0078 T) per degree: 0.0078 / 0.01743."""


class LandingKind(StrEnum):
    """How a foot stands on the shell."""

    PLATE = "plate"
    FOLDED = "folded plate"
    BOX = "box"


class GussetKind(StrEnum):
    """What stiffens a corner or ties a bar to the shell."""

    FLAT = "flat gusset"
    FOLDED = "folded gusset"
    DIMPLED = "dimpled gusset"
    TIE = "pillar tie"


@dataclass(frozen=True, kw_only=True)
class Landing:
    """The landing of one end of a bar on the shell.

    Args:
        bar_id: The bar; never a mirrored one, whose landings are those of the bar that it mirrors, each fitted to
            the scan of its own side.
        end: Which end stands on it.
        kind: A flat plate, a plate folded round the corner of floor and sill, or a raised box.
        length_mm: Of its sole along the car; None takes what the wanted area needs.
        width_mm: Of its sole across the car; None likewise.
        thickness_mm: Of the plate.
        height_mm: Of the box's top over its sole; 0 for a plate.
        turn_deg: Of its length from the car's forward axis, about the sole's normal.
        bolts: How many bolts hold it; 0 is welded.
        bolt_mm: Nominal diameter of the bolts.
        area_mm2: Area that is wanted in all its planes together; None asks for none.
        wall_mm: How far a folded plate goes up the wall; None takes the usual.
        inside_radius_mm: Of its folds; None takes the thickness.
        k_ratio: Where the neutral line lies in a fold, from its inside, in thicknesses.
        most_folds: How many folds a folded plate may have.
        is_square: Whether the top of a box is square to the leg; level without.
    """

    bar_id: str
    end: EndLetter
    kind: LandingKind = LandingKind.PLATE
    length_mm: float | None = None
    width_mm: float | None = None
    thickness_mm: float = 3.0
    height_mm: float = 0.0
    turn_deg: float = 0.0
    bolts: int = 0
    bolt_mm: float = 0.0
    area_mm2: float | None = None
    wall_mm: float | None = None
    inside_radius_mm: float | None = None
    k_ratio: float = USUAL_K_RATIO
    most_folds: int = 2
    is_square: bool = False


@dataclass(frozen=True, kw_only=True)
class Gusset:
    """A gusset between two bars, or a tie from a bar to the shell.

    Args:
        name: Unique in the cage.
        kind: What it is.
        bar_id: The bar that it is welded to.
        other: The other bar; None for a pillar tie, which goes to the shell.
        place_mm: Near the corner that it fills, or where on the bar the tie stands; vehicle frame.
        leg_mm: Length along each bar; of a tie, along the bar.
        thickness_mm: Of its sheet.
        hole_mm: Diameter of its hole or dimple; 0 has none.
    """

    name: str
    kind: GussetKind
    bar_id: str
    other: str | None
    place_mm: Node
    leg_mm: float
    thickness_mm: float
    hole_mm: float = 0.0
