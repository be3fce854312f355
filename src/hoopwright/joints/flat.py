"""A flat part that is cut from sheet: what plates, boxes and gussets become before they are folded."""

from dataclasses import dataclass

from hoopwright.geometry import Points

Flat = tuple[float, float]


@dataclass(frozen=True, kw_only=True)
class Fold:
    """A straight fold across a flat part.

    Args:
        start_mm: One end of the middle of its bend zone, in the flat.
        end_mm: The other end.
        angle_deg: Change of direction; positive folds up, toward the viewer of the flat.
        inside_radius_mm: Inside radius of the fold.
        allowance_mm: Length of the neutral line through the bend.
    """

    start_mm: Flat
    end_mm: Flat
    angle_deg: float
    inside_radius_mm: float
    allowance_mm: float


@dataclass(frozen=True, kw_only=True)
class RoundHole:
    """A round hole in a flat part."""

    centre_mm: Flat
    diameter_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class FlatPart:
    """A part as it is cut, before folding.

    Args:
        name: What is written on it, such as `MH foot A plate`.
        thickness_mm: Of its sheet.
        outline_mm: Its closed outline without the first point again, counterclockwise; shape (n, 2).
        holes: Round holes.
        folds: Straight folds, in the order of folding.
        notes: Short lines to print beside it.
        count: How many are cut.
    """

    name: str
    thickness_mm: float
    outline_mm: Points
    holes: tuple[RoundHole, ...] = ()
    folds: tuple[Fold, ...] = ()
    notes: tuple[str, ...] = ()
    count: int = 1
