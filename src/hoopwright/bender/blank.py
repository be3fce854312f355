"""Where the bends lie on the straight blank."""

import math
from dataclasses import dataclass
from itertools import accumulate

from hoopwright.bars import BendTable
from hoopwright.bender.calibration import BendNumbers


@dataclass(frozen=True, kw_only=True)
class BlankLayout:
    """Where each bend lies on the straight blank, from the end of the tube at A.

    Args:
        blank_mm: Length to cut.
        starts_mm: Start of each bend, its tangent point nearer to end A.
        used_mm: Tube that each bend uses.
        marks_from_a_mm: Mark of each bend when end A leads.
        marks_from_b_mm: Mark of each bend when end B leads; measured from A too.
    """

    blank_mm: float
    starts_mm: tuple[float, ...]
    used_mm: tuple[float, ...]
    marks_from_a_mm: tuple[float, ...]
    marks_from_b_mm: tuple[float, ...]


def lay_out_blank(
    table: BendTable, numbers: BendNumbers, *, trim_a_mm: float = 0.0, trim_b_mm: float = 0.0
) -> BlankLayout:
    """Blank length, starts and both marks of each bend.

    Fed from A: mark = start - offset. Fed from B: mark = start + tube used + offset.

    Args:
        table: Bend table at the calibrated radius.
        numbers: Radius, tube used per degree, start offset.
        trim_a_mm: Tube left beyond end A.
        trim_b_mm: Tube left beyond end B.
    """
    used = tuple(numbers.used_per_deg_mm * angle for angle in table.angles_deg)
    pieces = [s + u for s, u in zip(table.straights_mm, (0.0, *used), strict=False)]
    starts = tuple(accumulate(pieces[:-1], initial=trim_a_mm))[1:]
    blank = math.fsum((trim_a_mm, *table.straights_mm, *used, trim_b_mm))
    offset = numbers.start_offset_mm
    return BlankLayout(
        blank_mm=blank,
        starts_mm=starts,
        used_mm=used,
        marks_from_a_mm=tuple(start - offset for start in starts),
        marks_from_b_mm=tuple(start + u + offset for start, u in zip(starts, used, strict=True)),
    )
