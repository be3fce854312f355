"""Where on its headers an end is cut: crossing, straight or bend, and how near a bend is."""

import math
from collections.abc import Sequence

import numpy as np

from hoopwright.bars import as_node
from hoopwright.geometry import Arc, FilletedPath, Points
from hoopwright.joints.cope import CopeProfile, Header, Meeting
from hoopwright.joints.meet.end_cut import MetHeader
from hoopwright.joints.meet.solid_tube import nearest_on


def met_headers(headers: Sequence[Header], profile: CopeProfile, skin_mm: Points) -> tuple[MetHeader, ...]:
    """What the end meets, header by header.

    Args:
        headers: As tubes; the bar that the end lands on first.
        profile: The cut on them without a root gap.
        skin_mm: Where each generator's outside skin is cut, shape (n, 3).
    """
    return tuple(
        _met(header, met, skin_mm[profile.header_index == index], is_main=index == 0)
        for index, (header, met) in enumerate(zip(headers, profile.meetings, strict=True))
    )


def _met(header: Header, met: Meeting, points_mm: Points, *, is_main: bool) -> MetHeader:
    path = header.path
    at = float(np.clip(met.header_mm, 0.0, path.length_mm))
    along = nearest_on(path, points_mm)[0] if len(points_mm) else np.array([at])
    low, high = float(along.min()), float(along.max())
    apart = {number: _apart_mm(low, high, *stretch) for number, stretch in bend_stretches(path).items()}
    nearest = min(apart, key=lambda number: apart[number], default=None)
    to_bend = math.inf if nearest is None else apart[nearest]
    return MetHeader(
        bar_id=header.name,
        is_main=is_main,
        angle_deg=met.angle_deg,
        offset_mm=met.offset_mm,
        along_mm=met.header_mm,
        place_mm=as_node(path.at(at)[0]),
        from_mm=low,
        to_mm=high,
        bend=nearest if to_bend <= 0.0 else None,
        to_bend_mm=to_bend,
    )


def bend_stretches(path: FilletedPath) -> dict[int, tuple[float, float]]:
    """From where to where along a path each bend goes, by its number from end A.

    Corners that are straight through count and have no stretch.
    """
    found: dict[int, tuple[float, float]] = {}
    bend, after_line = 0, False
    for start, piece in zip(path.starts_mm, path.pieces, strict=False):
        if isinstance(piece, Arc):
            bend, after_line = bend + 1, False
            found[bend] = (float(start), float(start) + piece.length_mm)
        else:
            bend, after_line = bend + (1 if after_line else 0), True
    return found


def _apart_mm(low: float, high: float, start: float, end: float) -> float:
    """Between two stretches of one line; 0 where they overlap."""
    return max(0.0, start - high, low - end)
