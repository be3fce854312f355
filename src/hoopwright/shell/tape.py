"""Tape distances typed by the person, held against the scan."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.findings import Finding, Severity, Verdict
from hoopwright.shell.records import TapeDistance, TapePlace
from hoopwright.shell.shell import Shell

FINE_MM_PER_M = 2.0
STOP_MM_PER_M = 3.0
SNAP_MM = 50.0


@dataclass(frozen=True, kw_only=True)
class TapeResult:
    """A tape distance against the scan.

    Args:
        distance: What was typed.
        scan_mm: The same distance in the scan; None when an end has no metal near it, or none is on metal.
        difference_mm: Scan less tape.
        per_metre_mm: Difference per metre of tape.
        verdict: Pass within 3 mm per metre; not checked without metal.
    """

    distance: TapeDistance
    scan_mm: float | None
    difference_mm: float | None
    per_metre_mm: float | None
    verdict: Verdict

    @property
    def is_near(self) -> bool:
        """Whether it passes, but not finely: 2 to 3 mm per metre, which is a warning."""
        return self.per_metre_mm is not None and FINE_MM_PER_M < self.per_metre_mm <= STOP_MM_PER_M


def compare_tape(
    shell: Shell, distances: Sequence[TapeDistance]
) -> tuple[tuple[TapeResult, ...], tuple[Finding, ...]]:
    """Every distance against the scan.

    Within 2 mm per metre is fine, 2 to 3 is a warning, over 3 stops sheets.

    Returns:
        One result for each distance, and the findings that go with them.
    """
    results, findings = [], []
    for distance in distances:
        result = _compare(shell, distance)
        results.append(result)
        finding = _finding(result)
        if finding is not None:
            findings.append(finding)
    return tuple(results), tuple(findings)


def _compare(shell: Shell, distance: TapeDistance) -> TapeResult:
    places = (distance.from_place, distance.to_place)
    ends = [_on_scan(shell, place) for place in places]
    if ends[0] is None or ends[1] is None or not any(place.on_metal for place in places):
        return TapeResult(
            distance=distance,
            scan_mm=None,
            difference_mm=None,
            per_metre_mm=None,
            verdict=Verdict.NOT_CHECKED,
        )
    scan_mm = float(np.linalg.norm(ends[1] - ends[0]))
    difference = scan_mm - distance.tape_mm
    per_metre = abs(difference) / (distance.tape_mm / 1000.0) if distance.tape_mm > 0.0 else math.inf
    return TapeResult(
        distance=distance,
        scan_mm=scan_mm,
        difference_mm=difference,
        per_metre_mm=per_metre,
        verdict=Verdict.PASS if per_metre <= STOP_MM_PER_M else Verdict.FAIL,
    )


def _on_scan(shell: Shell, place: TapePlace) -> np.ndarray | None:
    if not place.on_metal:
        return np.array(place.place_mm)
    found = shell.nearest(np.array([place.place_mm]), reach_mm=SNAP_MM)
    return None if found.triangle[0] < 0 else found.place_mm[0]


def _finding(result: TapeResult) -> Finding | None:
    name = result.distance.name
    if result.scan_mm is None or result.per_metre_mm is None:
        return Finding(
            code="SCAN-031",
            sentence=f"Tape distance '{name}': an end has no scanned metal within {SNAP_MM:g} mm, or both are datums; "
            "not checked.",
            todo="Give both places on scanned metal, or one on it and the other as a datum.",
            objects=(name,),
            limit=SNAP_MM,
            unit="mm",
        )
    if result.per_metre_mm <= FINE_MM_PER_M:
        return None
    stops = result.per_metre_mm > STOP_MM_PER_M
    return Finding(
        code="SCAN-030",
        severity=Severity.STOP if stops else Severity.WARNING,
        sentence=f"Tape distance '{name}': the tape reads {result.distance.tape_mm:.1f} mm, the scan "
        f"{result.scan_mm:.1f} mm: {result.per_metre_mm:.1f} mm per metre apart "
        f"({'over' if stops else 'near'} the limit of {STOP_MM_PER_M:g}).",
        todo="Measure again, and check the scan's unit and its places. "
        + "To correct it: Scan, Tape distances, Change; or type it again under the same name."
        + (" No sheet is issued until it agrees or is corrected." if stops else ""),
        objects=(name,),
        point_mm=result.distance.from_place.place_mm,
        measured=result.per_metre_mm,
        limit=STOP_MM_PER_M if stops else FINE_MM_PER_M,
        unit="mm/m",
    )
