"""The car as lines: what the pictures on the sheets are drawn from."""

from dataclasses import dataclass
from typing import Literal

from hoopwright.geometry import Points


@dataclass(frozen=True, eq=False, kw_only=True)
class CarBar:
    """One bar as a line.

    Args:
        bar_id: Short name, such as `MH`.
        title: What it is in words.
        side: `L`, `R` or empty.
        centreline: Points along its axis, vehicle frame, mm, shape (n, 3).
        od_mm: Outside diameter.
    """

    bar_id: str
    title: str
    side: Literal["L", "R", ""]
    centreline: Points
    od_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class CarLines:
    """Section lines of the shell and the bars in it, vehicle frame (forward, left, up), mm.

    Args:
        shell: Section lines of the shell, each of shape (n, 3); may be empty. A dozen long lines read better
            than many short ones.
        bars: All bars of the cage.
    """

    shell: tuple[Points, ...]
    bars: tuple[CarBar, ...]
