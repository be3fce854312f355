"""Bars as tubes to measure against a shell."""

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import FilletedPath
from hoopwright.shell.clearance import TubeGaps, TubeToMeasure, measure_gaps
from hoopwright.shell.shell import Shell

WIDEST_WITHIN_MM = 0.05


def as_tube(bar: Bar, *, landing_a_mm: float = 0.0, landing_b_mm: float = 0.0) -> TubeToMeasure:
    """A bar as its centreline and diameter.

    Args:
        bar: A bar that can be (see `bars.check_shape`), in the vehicle frame.
        landing_a_mm: Length at end A that is not judged.
        landing_b_mm: The same at end B.
    """
    return TubeToMeasure(
        name=bar.name,
        path=centreline(bar),
        od_mm=bar.tube.od_mm,
        landing_a_mm=landing_a_mm,
        landing_b_mm=landing_b_mm,
    )


def measure_bar(shell: Shell, bar: Bar, *, landing_a_mm: float = 0.0, landing_b_mm: float = 0.0) -> TubeGaps:
    """Exact gaps of one bar; see `shell.clearance.measure_gaps`."""
    return measure_gaps(shell, [as_tube(bar, landing_a_mm=landing_a_mm, landing_b_mm=landing_b_mm)])[0]


def widest_near(shell: Shell, path: FilletedPath, along_mm: float, step_mm: float) -> float:
    """Where a path stands off the shell most, near a sample that tops its neighbours.

    The distance has kinks where another sheet becomes the nearest one, so the stretch between the neighbours is
    sampled again and again instead of being taken for smooth.

    Args:
        shell: The shell.
        path: Centreline.
        along_mm: The sample, from end A.
        step_mm: Distance to its neighbours.

    Returns:
        Distance from end A, at most `step_mm` from `along_mm` and within the path.
    """
    while step_mm > WIDEST_WITHIN_MM:
        near = np.linspace(along_mm - step_mm, along_mm + step_mm, 21).clip(0.0, path.length_mm)
        along_mm = float(near[int(np.argmax(shell.nearest(path.at(near)).distance_mm))])
        step_mm /= 10.0
    return along_mm
