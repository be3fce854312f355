"""What stops a cope: numbers that cannot be, angles that make no sense, tubes that do not meet."""

import math
from collections.abc import Sequence

import numpy as np

from hoopwright.findings import Finding, Severity
from hoopwright.geometry import Arc
from hoopwright.joints.cope.meeting import Meeting
from hoopwright.joints.cope.tubes import Branch, Header
from hoopwright.tubes import TubeSize

SMALLEST_DEG = 5.0
"""Our limit: below it two tubes of 45 would lie along each other for more than half a metre."""
ROUNDING_DEG = 1e-6
LARGEST_OD_MM = 500.0
SMALLEST_OD_MM = 1.0
FEWEST_POINTS, MOST_POINTS = 3, 36000
_SQUARE = 1e-6


def faults(branch: Branch, headers: Sequence[Header], *, points: int, cut: str) -> tuple[Finding, ...]:
    """What is wrong with the numbers of a joint.

    Raises:
        UserError: `TUBE-001` for a wall that does not fit in its tube.
    """
    found = [
        *diameter_faults(branch.name, branch.od_mm),
        *(fault for header in headers for fault in _header_faults(header)),
        *_direction_faults(branch),
    ]
    if not headers:
        found.append(_cannot_be(branch.name, "no header is given", "Name the tube that it is cut to."))
    if not FEWEST_POINTS <= points <= MOST_POINTS:
        found.append(points_fault(branch.name, points))
    if branch.wall_mm is None and cut != "outside":
        found.append(
            _cannot_be(branch.name, f"a cut '{cut}' needs the wall of the branch", "Give the wall thickness.")
        )
    if branch.wall_mm is not None and not found:
        TubeSize(od_mm=branch.od_mm, wall_mm=branch.wall_mm)
    return tuple(found)


def diameter_faults(name: str, od_mm: float) -> tuple[Finding, ...]:
    """`COPE-001` for a diameter that no tube has."""
    if SMALLEST_OD_MM <= od_mm <= LARGEST_OD_MM:
        return ()
    return (
        _cannot_be(
            name,
            f"an outside diameter of {od_mm:g} mm cannot be",
            f"Give one from {SMALLEST_OD_MM:g} to {LARGEST_OD_MM:g} mm; check the unit: a bare 1.75 is mm, '1.75 in' "
            "is inches.",
            measured=od_mm,
            limit=LARGEST_OD_MM,
        ),
    )


def capital(sentence: str) -> str:
    """A sentence that starts with `the branch` with a capital; a bar's name stays as it is typed."""
    return sentence[0].upper() + sentence[1:] if sentence.startswith("the ") else sentence


def number_fault(name: str, what: str) -> Finding:
    """`COPE-001` for something that is no number."""
    return _cannot_be(name, what, "Correct it.")


def points_fault(name: str, points: int) -> Finding:
    """`COPE-012`."""
    return Finding(
        code="COPE-012",
        severity=Severity.STOP,
        objects=(name,),
        sentence=f"{points} points round a branch are out of range, {FEWEST_POINTS} to {MOST_POINTS}.",
        todo="Take 360, or 12 for a table of every 30°.",
        measured=float(points),
        limit=float(MOST_POINTS if points > MOST_POINTS else FEWEST_POINTS),
        unit="points",
    )


def angle_fault(branch: str, header: str, angle_deg: float) -> Finding | None:
    """`COPE-002` for what is no angle between two tubes, `COPE-003` for one too small to be cut."""
    if not (math.isfinite(angle_deg) and 0.0 < angle_deg < 180.0):
        return Finding(
            code="COPE-002",
            severity=Severity.STOP,
            objects=(branch, header),
            sentence=f"{angle_deg:g}° is no angle between a branch and its header.",
            todo="Give the angle between the two tubes: 90 is square, smaller is sharper.",
            measured=angle_deg if math.isfinite(angle_deg) else None,
            limit=90.0,
            unit="deg",
        )
    sharp_deg = min(angle_deg, 180.0 - angle_deg)
    if sharp_deg >= SMALLEST_DEG - ROUNDING_DEG:
        return None
    return Finding(
        code="COPE-003",
        severity=Severity.STOP,
        objects=(branch, header),
        sentence=capital(
            f"{branch} meets {header} at {sharp_deg:.1f}°: too sharp for a cope, which starts at "
            f"{SMALLEST_DEG:g}° here (our limit)."
        ),
        todo=f"Move the branch's far end until the angle is {SMALLEST_DEG:g}° or more (30° or more welds "
        "well), end it on another tube, or lay the two tubes side by side with a plate between.",
        measured=sharp_deg,
        limit=SMALLEST_DEG,
        unit="deg",
    )


def angle_faults(
    branch: Branch, headers: Sequence[Header], meetings: Sequence[Meeting]
) -> tuple[Finding, ...]:
    """`COPE-003` of each header that the branch reaches and meets too sharply."""
    found = (
        angle_fault(branch.name, header.name, max(met.angle_deg, 1e-9))
        for header, met in zip(headers, meetings, strict=True)
        if abs(met.offset_mm) < (branch.od_mm + header.od_mm) / 2.0
    )
    return tuple(fault for fault in found if fault is not None)


def missing_all(branch: Branch, headers: Sequence[Header], meetings: Sequence[Meeting]) -> Finding:
    """`COPE-007`: no header takes anything of the branch."""
    gaps = [
        abs(met.offset_mm) - (branch.od_mm + header.od_mm) / 2.0
        for header, met in zip(headers, meetings, strict=True)
    ]
    nearest = int(np.argmin(gaps))
    header, met = headers[nearest], meetings[nearest]
    touch_mm = (branch.od_mm + header.od_mm) / 2.0
    whole_mm = max(0.0, (header.od_mm - branch.od_mm) / 2.0)
    where = "the axes cross" if whole_mm == 0.0 else f"they are {whole_mm:.1f} mm or less apart"
    return Finding(
        code="COPE-007",
        severity=Severity.STOP,
        objects=(branch.name, header.name),
        sentence=capital(
            f"{branch.name} passes {header.name} by: their axes are {abs(met.offset_mm):.1f} mm apart, and the "
            f"tubes touch at {touch_mm:.1f} mm or less."
        ),
        todo=f"Move the branch by {abs(met.offset_mm) - whole_mm:.1f} mm toward the header's axis, so that {where}.",
        measured=abs(met.offset_mm),
        limit=touch_mm,
        unit="mm",
    )


def _header_faults(header: Header) -> tuple[Finding, ...]:
    found = list(diameter_faults(header.name, header.od_mm))
    if not all(np.isfinite(_numbers(piece)).all() for piece in header.path.pieces):
        found.append(_cannot_be(header.name, "its centreline is no number somewhere", "Correct its nodes."))
    for bend, arc in enumerate(piece for piece in header.path.pieces if isinstance(piece, Arc)):
        oval = header.oval_of(bend)
        if oval is not None:
            for od_mm in (oval.in_plane_mm, oval.across_mm):
                found += _oval_faults(header, bend, od_mm)
        if not arc.radius_mm > header.od_mm / 2.0:
            found.append(_tight(header, bend, arc))
    return tuple(found)


def _numbers(piece: object) -> np.ndarray:
    values = (np.ravel(value) for value in vars(piece).values())
    return np.concatenate([np.asarray(value, dtype=np.float64) for value in values])


def _oval_faults(header: Header, bend: int, od_mm: float) -> tuple[Finding, ...]:
    if 0.5 * header.od_mm <= od_mm <= 1.5 * header.od_mm:
        return ()
    return (
        _cannot_be(
            header.name,
            f"a diameter of {od_mm:g} mm measured in bend {bend + 1} cannot be for a tube of {header.od_mm:g} mm",
            "Measure over the outside, in the plane of the bend and square to it; check the unit.",
            measured=od_mm,
            limit=header.od_mm,
        ),
    )


def _tight(header: Header, bend: int, arc: Arc) -> Finding:
    return Finding(
        code="COPE-013",
        severity=Severity.STOP,
        objects=(header.name,),
        sentence=f"Bend {bend + 1} of {header.name} has a centreline radius of {arc.radius_mm:g} mm, which its own "
        f"tube of {header.od_mm:g} mm does not go round.",
        todo=f"Correct the radius: more than {header.od_mm / 2.0:g} mm.",
        measured=arc.radius_mm,
        limit=header.od_mm / 2.0,
        unit="mm",
    )


def _direction_faults(branch: Branch) -> tuple[Finding, ...]:
    numbers = np.concatenate([branch.origin_mm, branch.direction, branch.datum])
    square = (
        np.isfinite(numbers).all()
        and abs(float(np.linalg.norm(branch.direction)) - 1.0) < _SQUARE
        and abs(float(np.linalg.norm(branch.datum)) - 1.0) < _SQUARE
        and abs(float(branch.direction @ branch.datum)) < _SQUARE
    )
    if square:
        return ()
    return (
        _cannot_be(
            branch.name,
            "its axis and its datum line are no two directions square to each other",
            "Correct the nodes of the branch: one of them is no number, or two are one place.",
        ),
    )


def _cannot_be(
    name: str, what: str, todo: str, *, measured: float | None = None, limit: float | None = None
) -> Finding:
    return Finding(
        code="COPE-001",
        severity=Severity.STOP,
        objects=(name,),
        sentence=capital(f"{name}: {what}."),
        todo=todo,
        measured=measured if measured is None or math.isfinite(measured) else None,
        limit=limit,
        unit="mm" if limit is not None else "",
    )
