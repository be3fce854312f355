"""A picture of the tightest moment of an order: the tube in the bender, the room round it."""

import itertools
from collections.abc import Iterator
from pathlib import Path

import numpy as np

from hoopwright.bender.room.handling import PlannedStep
from hoopwright.bender.room.obstacles import head_from_machine
from hoopwright.bender.room.solids import Solid
from hoopwright.bender.room.standing import StandingBender, plain_head
from hoopwright.bender.room.steps import BendingTask, Clearance, moving_tube
from hoopwright.bender.room.told import step_words, what_is_near
from hoopwright.bender.room.tube_parts import lay_tube
from hoopwright.geometry import Points, rotation_about
from hoopwright.jobs.orders import OrderReport
from hoopwright.papers.picture import BAR_COLOURS, SHELL_COLOUR, PaintedMesh, Scene, picture_png
from hoopwright.papers.plain_solids import painted_box, painted_cylinder
from hoopwright.papers.side_by_side import side_by_side_png
from hoopwright.store.writing import write_whole

_LEAD, _TAIL, _OPERATOR, _HIT, _HEAD = (BAR_COLOURS[k] for k in (0, 1, 2, 5, 7))
_FLOOR, _EDGE, _GHOST = (226, 222, 212), (120, 120, 120), (240, 205, 130)
_EDGE_MM, _GHOST_MM, _MARK_MM = 6.0, 5.0, 45.0
_DISC_MM = 8.0
_ROUND_MM = 350.0
_GHOSTS = 5
_OPERATOR_LOOKS = (0.80, -0.38, -0.42)


def order_picture(report: OrderReport) -> bytes:
    """PNG of the worst pose of the chosen order, or of the nearest one where none goes.

    Seen from the tail, from the operator's eye, and level from the side to which the bender swings.
    """
    shown = report.search.chosen or report.search.nearest
    step = None if shown is None else (shown.worst or shown.tightest or shown.steps[0])
    if shown is None or step is None:
        return picture_png(Scene(shell=None, bars=()))
    meshes = tuple(_meshes(report.task, report.bender, step))
    clockwise = step.check.set_up.swings == "clockwise"
    side = ("right", 1.0) if clockwise else ("left", -1.0)
    views = (
        ("from the operator's eye, at the tail", _OPERATOR_LOOKS),
        (f"level, from the {side[0]} (the side to which it swings)", (0.0, side[1], 0.0)),
    )
    pictures = [
        (caption, picture_png(Scene(shell=None, bars=meshes, looking=looking), width_px=900, height_px=800))
        for caption, looking in views
    ]
    return side_by_side_png(pictures, _heading(report, step))


def draw_order(report: OrderReport, file: Path) -> None:
    """Write the picture of an order as PNG.

    Raises:
        UserError: `STORE-002` when it cannot be written.
    """
    write_whole(file, order_picture(report))


def _heading(report: OrderReport, step: PlannedStep) -> list[str]:
    shown = report.search.chosen or report.search.nearest
    goes = "" if report.search.chosen else " (does not go)"
    least = _pose_of(step)
    near = "" if least is None else f"Shown: {what_is_near(least, step.check.keep_clear_mm)}"
    words = f"{step.step}. {step_words(step, name_set_up=len(report.bender.set_ups) > 1)}"
    return [f"{report.task.name}, {shown.name if shown else ''}{goes}", words, near]


def _pose_of(step: PlannedStep) -> Clearance | None:
    return step.check.hits[0] if step.check.hits else step.check.least


def _meshes(task: BendingTask, bender: StandingBender, step: PlannedStep) -> Iterator[PaintedMesh]:
    """The tube at its worst, ghosts of the swing, and what stands there; machine frame."""
    check, worst = step.check, _pose_of(step)
    laid = lay_tube(task.table, check.feed, check.made, swings=check.set_up.swings, swing_deg=check.swing_deg)
    tube = moving_tube(laid, task.od_mm, check.swing_deg)
    to_machine = head_from_machine(check.set_up.tilt_deg).T
    swung_deg = check.swing_deg if worst is None else worst.swung_deg
    every = np.arange(len(tube.starts_mm))
    starts, ends = (
        points @ to_machine.T for points in tube.placed(every, np.full(len(every), np.radians(swung_deg)))
    )
    for k, (start, end) in enumerate(zip(starts, ends, strict=True)):
        colour = _LEAD if k < len(laid.lead.parts) else _TAIL
        yield painted_cylinder(start, end, task.od_mm / 2.0, colour)
    arc = _wrapped(task.table.clr_mm, laid.sense, swung_deg) @ to_machine.T
    yield from _line(arc, task.od_mm / 2.0, _LEAD, around=20)
    outline = np.concatenate([laid.lead.starts_mm[:1], laid.lead.ends_mm])
    swings = [
        outline @ rotation_about((0.0, 0.0, 1.0), laid.sense * angle).T @ to_machine.T
        for angle in np.linspace(0.0, check.swing_deg, _GHOSTS)
    ]
    for ghost in swings:
        yield from _line(ghost, _GHOST_MM, _GHOST)
    if worst is not None:
        yield from _mark(np.array(worst.place_mm) @ to_machine.T)
    own = tuple(solid for solid in bender.solids if solid.stands == "head")
    for solid in own or plain_head(task.table.clr_mm, bender.axis_height_mm):
        yield _painted(solid, to_machine, _colour(solid, worst))
    low, high = _shown_box(bender, np.concatenate([starts, ends, *swings]))
    for solid in bender.solids:
        if solid.stands != "head" and _is_shown(solid, low, high):
            yield _painted(solid, np.eye(3), _colour(solid, worst))
    yield from _room(bender, low, high, worst)


def _is_shown(solid: Solid, low: Points, high: Points) -> bool:
    """Whether any of a solid lies in the box, seen from above."""
    middle, size = np.array(solid.middle_mm), np.array(solid.size_mm)
    half = np.full(3, np.hypot(size[0], size[1]) / 2.0)
    if solid.kind == "rail":
        middle, half = (middle + size) / 2.0, np.abs(size - middle) / 2.0 + solid.radius_mm
    return bool(np.all(middle[:2] + half[:2] > low[:2]) and np.all(middle[:2] - half[:2] < high[:2]))


def _wrapped(clr_mm: float, sense: int, swung_deg: float) -> Points:
    """Places along the tube that lies round the die, head frame, shape (12, 3)."""
    turned = np.radians(np.linspace(0.0, swung_deg, 12)) * sense
    return clr_mm * np.stack([sense * np.sin(turned), -sense * np.cos(turned), np.zeros(12)], axis=1)


def _colour(solid: Solid, worst: Clearance | None) -> tuple[int, int, int]:
    if worst is not None and worst.to == solid.name and worst.clearance_mm < 0.0:
        return _HIT
    return {"head": _HEAD, "operator": _OPERATOR, "room": SHELL_COLOUR}[solid.stands]


def _painted(solid: Solid, turn: Points, colour: tuple[int, int, int]) -> PaintedMesh:
    middle, size = np.array(solid.middle_mm), np.array(solid.size_mm)
    if solid.stands == "operator":  # as a disc on the floor, which hides nothing
        middle[2] -= size[2] / 2.0 - _DISC_MM
        size[2] = 2.0 * _DISC_MM
    if solid.kind == "rail":
        return painted_cylinder(turn @ middle, turn @ size, solid.radius_mm, colour)
    axes = rotation_about((0.0, 0.0, 1.0), solid.turned_deg).T @ turn.T
    if solid.kind == "post":
        half = np.array([0.0, 0.0, size[2] / 2.0])
        return painted_cylinder(
            turn @ (middle - half), turn @ (middle + half), size[0] / 2.0, colour, around=32
        )
    return painted_box(axes, turn @ middle, size / 2.0, colour)


def _shown_box(bender: StandingBender, tube: Points) -> tuple[Points, Points]:
    """Lowest and highest corner of what is drawn: the tube's sweep and some way round it, within known walls."""
    low, high = tube.min(axis=0) - _ROUND_MM, tube.max(axis=0) + _ROUND_MM
    low[:2], high[:2] = np.minimum(low[:2], -_ROUND_MM), np.maximum(high[:2], _ROUND_MM)
    for axis, above, below in ((0, bender.ahead_mm, bender.behind_mm), (1, bender.left_mm, bender.right_mm)):
        high[axis] = high[axis] if above is None else min(high[axis], above)
        low[axis] = low[axis] if below is None else max(low[axis], -below)
    return low, high


def _room(
    bender: StandingBender, low: Points, high: Points, worst: Clearance | None
) -> Iterator[PaintedMesh]:
    """The floor as a thin plate with its outline, and the outline of the ceiling where the tube comes near it."""
    floor = -bender.axis_height_mm
    hit = worst.to if worst is not None and worst.clearance_mm < 0.0 else ""
    middle, half = (low + high) / 2.0, (high - low) / 2.0
    yield painted_box(np.eye(3), (middle[0], middle[1], floor - 2.0), (half[0], half[1], 2.0), _FLOOR)
    yield from _ring(low, high, floor, _HIT if hit == "floor" else _EDGE)
    if bender.ceiling_mm is not None and high[2] > floor + bender.ceiling_mm:
        yield from _ring(low, high, floor + bender.ceiling_mm, _HIT if hit == "ceiling" else _EDGE)
    known = {
        "ahead": (0, high[0], bender.ahead_mm),
        "behind": (0, low[0], bender.behind_mm),
        "left": (1, high[1], bender.left_mm),
        "right": (1, low[1], bender.right_mm),
    }
    for side, (axis, at, distance) in known.items():
        if distance is not None and abs(at) == distance:
            yield from _wall(low, high, axis, at, floor, _HIT if hit == f"wall {side}" else _EDGE)


def _wall(
    low: Points, high: Points, axis: int, at_mm: float, floor_mm: float, colour: tuple[int, int, int]
) -> Iterator[PaintedMesh]:
    """Outline of a wall up to what is shown."""
    other, top = 1 - axis, max(high[2], floor_mm + _ROUND_MM)
    corners = []
    for along, up in ((low, floor_mm), (high, floor_mm), (high, top), (low, top), (low, floor_mm)):
        corner = np.array([0.0, 0.0, up])
        corner[axis], corner[other] = at_mm, along[other]
        corners.append(corner)
    yield from _line(np.array(corners), _EDGE_MM, colour)


def _ring(low: Points, high: Points, up_mm: float, colour: tuple[int, int, int]) -> Iterator[PaintedMesh]:
    corners = [(low[0], low[1]), (high[0], low[1]), (high[0], high[1]), (low[0], high[1]), (low[0], low[1])]
    yield from _line(np.array([(x, y, up_mm) for x, y in corners]), _EDGE_MM, colour)


def _line(
    points: Points, radius_mm: float, colour: tuple[int, int, int], *, around: int = 6
) -> Iterator[PaintedMesh]:
    for start, end in itertools.pairwise(points):
        if np.linalg.norm(end - start) > 0.0:
            yield painted_cylinder(start, end, radius_mm, colour, around=around)


def _mark(place: Points) -> Iterator[PaintedMesh]:
    """A ball-like mark where the tube is nearest."""
    for axis in (np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0])):
        yield painted_cylinder(
            place - axis * 0.35 * _MARK_MM, place + axis * 0.35 * _MARK_MM, 0.8 * _MARK_MM, _HIT
        )
