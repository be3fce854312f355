"""Where the marks of a tube come to lie on the bar that is bent from it."""

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import Arc
from hoopwright.joints.meet import MarkedTube
from hoopwright.papers import FloorMark


def floor_marks(tube: MarkedTube, bar: Bar) -> tuple[FloorMark, ...]:
    """The marks along the centreline of the bent bar.

    Beside a bend a mark keeps its distance from the bend's start or end; within one it moves as the tube is used.

    Args:
        tube: As marked out.
        bar: As bent, with as many bends.
    """
    path = centreline(bar)
    bends = [
        (float(start), float(start) + piece.length_mm)
        for start, piece in zip(path.starts_mm, path.pieces, strict=False)
        if isinstance(piece, Arc)
    ]
    if not bends or len(bends) != len(tube.starts_mm):
        return ()
    bent = np.array(bends).ravel()
    marked = np.array(
        [[start, start + used] for start, used in zip(tube.starts_mm, tube.used_mm, strict=True)]
    ).ravel()
    found = []
    for mark in tube.marks:
        along = float(np.interp(mark.at_mm, marked, bent))
        along += min(mark.at_mm - float(marked[0]), 0.0) + max(mark.at_mm - float(marked[-1]), 0.0)
        if 0.0 <= along <= path.length_mm:
            found.append(FloorMark(words=mark.name.removeprefix("the "), along_mm=along))
    return tuple(found)
