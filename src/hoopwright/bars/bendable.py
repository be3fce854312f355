"""Whether a bar can be at all, and whether it can be bent, with the place and the number."""

import itertools
import math
from collections.abc import Iterator, Sequence

import numpy as np

from hoopwright.bars.bar import Bar
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import angle_between_deg

NEARLY_STRAIGHT_DEG = 1.0
STEEPEST_NODE_DEG = 175.0
FARTHEST_MM = 2e4
SHORTEST_LEG_MM = 1e-3


def check_shape(bar: Bar) -> tuple[Finding, ...]:
    """What is wrong with the nodes: what stops the bend table, and bends whose plane is noise."""
    broken = _unusable_numbers(bar)
    if broken is not None:
        return (broken,)
    zero_legs = tuple(_zero_legs(bar))
    if zero_legs:
        return zero_legs
    turned_back = tuple(_corners(bar))
    if any(finding.severity is Severity.STOP for finding in turned_back):
        return turned_back
    return (*turned_back, *_overlaps(bar))


def check_bendable(
    bar: Bar,
    *,
    clamp_mm: float,
    trim_a_mm: float = 0.0,
    trim_b_mm: float = 0.0,
    largest_bend_deg: float | None = None,
) -> tuple[Finding, ...]:
    """`check_shape`, and whether the straights hold the clamp and the bends are within the die's reach.

    Args:
        bar: The bar.
        clamp_mm: Straight that the clamp needs before and between bends; measured on the machine.
        trim_a_mm: Tube left beyond end A until test fit; it helps the clamp to hold.
        trim_b_mm: The same at end B.
        largest_bend_deg: Greatest angle that the die reaches, if known.
    """
    findings = check_shape(bar)
    if any(finding.severity is Severity.STOP for finding in findings):
        return findings
    short = _short_straights(bar, clamp_mm, trim_a_mm, trim_b_mm)
    return (*findings, *short, *_too_far(bar, largest_bend_deg))


def refuse_table(
    straights_mm: Sequence[float], rotations_deg: Sequence[float], angles_deg: Sequence[float], clr_mm: float
) -> None:
    """Stop on a typed bend table that cannot be.

    Raises:
        UserError: `BAR-004` or `BAR-006`.
    """
    problem = None
    if len(straights_mm) != len(angles_deg) + 1 or len(rotations_deg) != len(angles_deg):
        problem = f"{len(straights_mm)} straights do not go with {len(angles_deg)} bends"
    elif not all(map(math.isfinite, (*straights_mm, *rotations_deg, *angles_deg, clr_mm))):
        problem = "a number is missing or not finite"
    elif clr_mm <= 0.0 or max(clr_mm, *map(abs, straights_mm)) > FARTHEST_MM:
        problem = f"the radius {clr_mm:g} mm or a straight is out of range"
    elif min(straights_mm) < 0.0:
        row = min(range(len(straights_mm)), key=straights_mm.__getitem__)
        problem = f"straight {row + 1} is {straights_mm[row]:.1f} mm: the bends overlap"
    elif any(angle < 0.0 for angle in angles_deg):
        problem = "a bend angle is negative: turn the bend plane by 180 instead"
    elif rotations_deg and abs(rotations_deg[0]) > 1e-9:
        problem = f"the first rotation is {rotations_deg[0]:g}°: the first bend's plane is the reference, 0"
    if problem is not None:
        raise UserError(
            Finding(
                code="BAR-006",
                severity=Severity.STOP,
                sentence=f"The bend table cannot be bent: {problem}.",
                todo="Each row is a straight and the bend at its end; the last row is the last straight "
                "alone.",
            )
        )
    for index, angle in enumerate(angles_deg):
        if angle > STEEPEST_NODE_DEG:
            raise UserError(_too_steep(f"Bend {index + 1}", angle, None, ()))


def _unusable_numbers(bar: Bar) -> Finding | None:
    nodes = bar.nodes
    problem = None
    if len(nodes) < 2:
        problem = f"has {len(nodes)} node(s); a bar needs at least its two ends"
    elif not np.isfinite(nodes).all() or np.abs(nodes).max() > FARTHEST_MM:
        row = int(np.argmax(~np.isfinite(nodes).all(axis=1) | (np.abs(nodes) > FARTHEST_MM).any(axis=1)))
        problem = f"has node {row + 1} at {tuple(nodes[row].tolist())}, which is no place in a car"
    elif not (math.isfinite(bar.clr_mm) and 0.0 < bar.clr_mm < FARTHEST_MM):
        problem = f"has a centreline radius of {bar.clr_mm:g} mm"
    if problem is None:
        return None
    return Finding(
        code="BAR-001",
        severity=Severity.STOP,
        sentence=f"Bar {bar.name} {problem}.",
        todo="Give it a node for each end, and one between them for each bend."
        if len(nodes) < 2
        else "Correct the number; lengths are in mm unless a unit is typed.",
        objects=(bar.name,),
    )


def _zero_legs(bar: Bar) -> Iterator[Finding]:
    lengths = np.linalg.norm(np.diff(bar.nodes, axis=0), axis=1)
    for index in np.flatnonzero(lengths < SHORTEST_LEG_MM):
        yield Finding(
            code="BAR-002",
            severity=Severity.STOP,
            sentence=f"Bar {bar.name}: nodes {index + 1} and {index + 2} are the same place "
            f"({lengths[index]:.4f} mm apart).",
            todo="Remove one of them or move it.",
            objects=(bar.name,),
            point_mm=bar.nodes_mm[index],
            measured=float(lengths[index]),
            limit=SHORTEST_LEG_MM,
            unit="mm",
        )


def _corners(bar: Bar) -> Iterator[Finding]:
    for index, angle in enumerate(_angles(bar)):
        place = bar.nodes_mm[index + 1]
        if angle > STEEPEST_NODE_DEG:
            yield _too_steep(f"Bar {bar.name}: bend {index + 1}", angle, place, (bar.name,))
        elif angle < NEARLY_STRAIGHT_DEG:
            yield Finding(
                code="BAR-005",
                sentence=f"Bar {bar.name}: bend {index + 1} is {angle:.2f}°, nearly straight "
                f"(under {NEARLY_STRAIGHT_DEG:g}°); its bend plane and rotation are noise.",
                todo="Leave the bend out, or make it at least a few degrees.",
                objects=(bar.name,),
                point_mm=place,
                measured=angle,
                limit=NEARLY_STRAIGHT_DEG,
                unit="deg",
            )


def _overlaps(bar: Bar) -> Iterator[Finding]:
    for index, straight in enumerate(_straights(bar)):
        if straight < 0.0:
            yield Finding(
                code="BAR-003",
                severity=Severity.STOP,
                sentence=f"Bar {bar.name}: the bends at both ends of straight {index + 1} overlap by "
                f"{-straight:.1f} mm at radius {bar.clr_mm:g} mm.",
                todo="Move the nodes apart, flatten a bend, or use a smaller die.",
                objects=(bar.name,),
                point_mm=_middle(bar, index),
                measured=straight,
                limit=0.0,
                unit="mm",
            )


def _short_straights(bar: Bar, clamp_mm: float, trim_a_mm: float, trim_b_mm: float) -> Iterator[Finding]:
    if bar.bend_count == 0:
        return
    straights = _straights(bar)
    held = [straights[0] + trim_a_mm, *straights[1:-1], straights[-1] + trim_b_mm]
    for index, length in enumerate(held):
        if length < clamp_mm - 1e-9:
            yield Finding(
                code="BAR-007",
                severity=Severity.STOP,
                sentence=f"Bar {bar.name}: straight {index + 1} is {length:.1f} mm, shorter than the clamp "
                f"({clamp_mm:g} mm).",
                todo=f"Move the nodes {clamp_mm - length:.0f} mm apart, flatten a bend next to it, leave one "
                "bend out, or use another die or clamp.",
                objects=(bar.name,),
                point_mm=_middle(bar, index),
                measured=float(length),
                limit=clamp_mm,
                unit="mm",
            )


def _too_far(bar: Bar, largest_bend_deg: float | None) -> Iterator[Finding]:
    if largest_bend_deg is None:
        return
    for index, angle in enumerate(_angles(bar)):
        if angle > largest_bend_deg:
            yield Finding(
                code="BAR-008",
                severity=Severity.STOP,
                sentence=f"Bar {bar.name}: bend {index + 1} of {angle:.1f}° is more than the die reaches "
                f"({largest_bend_deg:g}°).",
                todo="Split it into two bends, or use another die.",
                objects=(bar.name,),
                point_mm=bar.nodes_mm[index + 1],
                measured=angle,
                limit=largest_bend_deg,
                unit="deg",
            )


def _too_steep(
    what: str, angle: float, place: tuple[float, float, float] | None, objects: tuple[str, ...]
) -> Finding:
    return Finding(
        code="BAR-004",
        severity=Severity.STOP,
        sentence=f"{what} turns by {angle:.2f}°; over {STEEPEST_NODE_DEG:g}° the node runs away to infinity.",
        todo="Use two bends with a node between them.",
        objects=objects,
        point_mm=place,
        measured=angle,
        limit=STEEPEST_NODE_DEG,
        unit="deg",
    )


def _angles(bar: Bar) -> list[float]:
    legs = np.diff(bar.nodes, axis=0)
    return [angle_between_deg(a, b) for a, b in itertools.pairwise(legs)]


def _straights(bar: Bar) -> list[float]:
    lengths = np.linalg.norm(np.diff(bar.nodes, axis=0), axis=1)
    setbacks = [0.0, *(bar.clr_mm * math.tan(math.radians(angle) / 2.0) for angle in _angles(bar)), 0.0]
    return [float(n) - a - b for n, a, b in zip(lengths, setbacks[:-1], setbacks[1:], strict=True)]


def _middle(bar: Bar, index: int) -> tuple[float, float, float]:
    forward, left, up = (bar.nodes[index] + bar.nodes[index + 1]) / 2.0
    return float(forward), float(left), float(up)
