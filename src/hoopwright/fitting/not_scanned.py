"""Stretches of a fitted bar beside which nothing was scanned: what lies there is not known."""

from dataclasses import replace

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.findings import Finding
from hoopwright.shell.clearance import judged_stretch
from hoopwright.shell.shell import Shell
from hoopwright.shell.unseen import Stretch, outside_stretches, unseen_stretches

_SPACING_MM = 5.0
_WORTH_SAYING_MM = 60.0
_MIRROR = np.array([1.0, -1.0, 1.0])


def not_scanned(shell: Shell, bar: Bar, landings_mm: tuple[float, float]) -> tuple[Finding, ...]:
    """A finding `FIT-047` for each stretch of 60 mm or more that faces no scanned metal or has left the outline.

    Where the other side of the car shows metal it is said so: then it is no opening, but was not scanned.

    Args:
        shell: The scan in the vehicle frame.
        bar: A bar that can be.
        landings_mm: Lengths at A and B that are not judged.
    """
    path = centreline(bar)
    low, high = judged_stretch(path, landings_mm)
    along = np.linspace(0.0, path.length_mm, max(3, int(path.length_mm / _SPACING_MM)))
    points, travel = path.at(along), path.directions_at(along)
    judged = (along >= low) & (along <= high)
    here = [*unseen_stretches(shell, along, points, travel, judged)]
    here += outside_stretches(shell, along, points, judged)
    there = unseen_stretches(shell, along, points * _MIRROR, travel * _MIRROR, judged)
    return tuple(
        _finding(bar.name, one, high - low, _share(one, there))
        for one in _joined(here)
        if one.to_mm - one.from_mm >= _WORTH_SAYING_MM
    )


def _joined(stretches: list[Stretch]) -> list[Stretch]:
    """Stretches in order, those that overlap or nearly touch made one."""
    joined: list[Stretch] = []
    for one in sorted(stretches, key=lambda stretch: stretch.from_mm):
        last = joined[-1] if joined else None
        if last is None or one.from_mm > last.to_mm + _WORTH_SAYING_MM:
            joined.append(one)
            continue
        longer = max(last, one, key=lambda stretch: stretch.to_mm - stretch.from_mm)
        joined[-1] = replace(longer, from_mm=last.from_mm, to_mm=max(last.to_mm, one.to_mm))
    return joined


def _share(stretch: Stretch, others: tuple[Stretch, ...]) -> float:
    """How much of a stretch is unseen opposite too."""
    common = sum(
        max(0.0, min(stretch.to_mm, other.to_mm) - max(stretch.from_mm, other.from_mm)) for other in others
    )
    return common / (stretch.to_mm - stretch.from_mm)


def _finding(name: str, stretch: Stretch, judged_mm: float, unseen_opposite: float) -> Finding:
    length = stretch.to_mm - stretch.from_mm
    if unseen_opposite < 0.5:
        what = "the other side of the car shows metal there, so that it was not scanned on this side"
    else:
        what = "it is an opening, or was not scanned"
    return Finding(
        code="FIT-047",
        sentence=f"Bar {name}: from {stretch.from_mm:.0f} to {stretch.to_mm:.0f} mm from end A ({length:.0f} mm of "
        f"{judged_mm:.0f} mm) no scanned metal lies beside it; {what}. Its gap there is not known.",
        todo="Scan that stretch and take the scan in anew, or measure the gap there in the car.",
        objects=(name,),
        point_mm=stretch.place_mm,
        measured=length,
        limit=0.0,
        unit="mm",
    )
