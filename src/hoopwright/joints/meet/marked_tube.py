"""Where places on a bent bar lie on its tube as it was marked out while straight."""

import math
from dataclasses import dataclass

from hoopwright.cage import EndLetter
from hoopwright.geometry import Arc, FilletedPath, Line


@dataclass(frozen=True, kw_only=True)
class TubeMark:
    """A mark that is on the tube.

    Args:
        name: What it is: `mark of bend 2`.
        at_mm: From the end of the tube at A.
    """

    name: str
    at_mm: float


@dataclass(frozen=True, kw_only=True)
class MarkedTube:
    """A tube as marked out; lengths from its end at A, trim included.

    Args:
        blank_mm: Its length as cut.
        trim_a_mm: From its end at A to where the drawn bar ends.
        trim_b_mm: The same at end B.
        starts_mm: Where each bend starts, from end A.
        used_mm: Tube that each bend uses.
        marks: Marks on it, in order.
        sheet: The sheet that it was marked from; empty where it is reckoned along the drawn axis.
    """

    blank_mm: float
    trim_a_mm: float
    trim_b_mm: float
    starts_mm: tuple[float, ...]
    used_mm: tuple[float, ...]
    marks: tuple[TubeMark, ...] = ()
    sheet: str = ""


def drawn_tube(path: FilletedPath, *, trim_a_mm: float = 0.0, trim_b_mm: float = 0.0) -> MarkedTube:
    """A tube without a sheet: each bend uses the length of its arc, and there are no marks."""
    starts, used = [], []
    for start, piece in zip(path.starts_mm, path.pieces, strict=False):
        if isinstance(piece, Arc):
            starts.append(trim_a_mm + float(start))
            used.append(piece.length_mm)
    return MarkedTube(
        blank_mm=math.fsum((trim_a_mm, path.length_mm, trim_b_mm)),
        trim_a_mm=trim_a_mm,
        trim_b_mm=trim_b_mm,
        starts_mm=tuple(starts),
        used_mm=tuple(used),
    )


def on_tube_mm(tube: MarkedTube, path: FilletedPath, end: EndLetter, inward_mm: float) -> float:
    """Where a place on an end straight lies on the marked tube, from the end of the tube at A.

    It is counted from the bend next to it, since that is where its mark put it: a straight that came out longer or
    shorter than drawn moves the end of the bar and not the marks.

    Args:
        tube: The tube as marked.
        path: The bar's axis as it is.
        end: Which end straight.
        inward_mm: From the drawn end along the axis, positive into the bar.
    """
    if not tube.starts_mm:
        return tube.trim_a_mm + (inward_mm if end == "A" else path.length_mm - inward_mm)
    if end == "A":
        return tube.starts_mm[0] - (end_straight_mm(path, "A") - inward_mm)
    return tube.starts_mm[-1] + tube.used_mm[-1] + (end_straight_mm(path, "B") - inward_mm)


def end_straight_mm(path: FilletedPath, end: EndLetter) -> float:
    """Length of the straight at an end, to the first bend."""
    length = 0.0
    for piece in path.pieces if end == "A" else path.pieces[::-1]:
        if not isinstance(piece, Line):
            return length
        length += piece.length_mm
    return length
