"""A picture of the tightest moment of an order: the tube in the bender, the room round it."""

from collections.abc import Iterator
from pathlib import Path

import numpy as np

from hoopwright.bender.room.handling import PlannedStep
from hoopwright.bender.room.obstacles import head_from_machine
from hoopwright.bender.room.solids import BENDERS_OWN
from hoopwright.bender.room.standing import StandingBender, own_solids
from hoopwright.bender.room.step_check import BendingTask, Clearance
from hoopwright.bender.room.steps import moving_tube
from hoopwright.bender.room.told import step_lines, what_is_near
from hoopwright.bender.room.tube_parts import lay_tube
from hoopwright.geometry import Points, rotation_about
from hoopwright.jobs.made_pdf import DrawnFiles, MadePicture, picture_beside
from hoopwright.jobs.orders import OrderReport
from hoopwright.jobs.room_meshes import (
    HIT_COLOUR,
    is_shown,
    painted_line,
    painted_room,
    painted_solid,
    shown_box,
    solid_colour,
)
from hoopwright.papers.picture import BAR_COLOURS, PaintedMesh, Scene, picture_png
from hoopwright.papers.plain_solids import painted_cylinder
from hoopwright.store.writing import write_whole

_LEAD, _TAIL, _GHOST = BAR_COLOURS[0], BAR_COLOURS[1], (240, 205, 130)
_GHOST_MM, _MARK_MM = 5.0, 45.0
_GHOSTS = 5
_OPERATOR_LOOKS, _FROM_ABOVE = (0.80, -0.38, -0.42), (0.01, 0.0, -1.0)


def order_picture(report: OrderReport) -> MadePicture:
    """PNG of the worst pose of the chosen order, or of the nearest one where none goes.

    Seen from the tail, from the operator's eye, level from where the bender swings to, and from above.
    """
    shown = report.search.chosen or report.search.nearest
    step = None if shown is None else (shown.worst or shown.tightest or shown.steps[0])
    if shown is None or step is None:
        return MadePicture(content=picture_png(Scene(shell=None, bars=())), findings=())
    meshes = tuple(_meshes(report.task, report.bender, step))
    clockwise = step.check.set_up.swings == "clockwise"
    side = ("right", 1.0) if clockwise else ("left", -1.0)
    views = (
        ("from the operator's eye, at the tail", _OPERATOR_LOOKS),
        (f"level, from the {side[0]} (where it swings to)", (0.0, side[1], 0.0)),
        ("from above, ahead is up the page", _FROM_ABOVE),
    )
    pictures = [
        (caption, picture_png(Scene(shell=None, bars=meshes, looking=looking), width_px=700, height_px=700))
        for caption, looking in views
    ]
    return picture_beside(pictures, _heading(report, step))


def draw_order(report: OrderReport, file: Path) -> DrawnFiles:
    """Write the picture of an order as PNG.

    Raises:
        UserError: `STORE-002` when it cannot be written.
    """
    made = order_picture(report)
    write_whole(file, made.content)
    return DrawnFiles(files=(str(file),), findings=made.findings)


def _heading(report: OrderReport, step: PlannedStep) -> list[str]:
    shown = report.search.chosen or report.search.nearest
    goes = "" if report.search.chosen else " (does not go)"
    least = _pose_of(step)
    near = "" if least is None else f"Shown: {what_is_near(least, step.check.keep_clear_mm)}"
    lines = step_lines(step, name_set_up=len(report.bender.set_ups) > 1)
    title = f"{report.task.name}, {shown.name if shown else ''}{goes}, step {step.step}: {lines[0]}"
    return [title, *lines[1:], near]


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
    yield from painted_line(arc, task.od_mm / 2.0, _LEAD, around=20)
    outline = np.concatenate([laid.lead.starts_mm[:1], laid.lead.ends_mm])
    swings = [
        outline @ rotation_about((0.0, 0.0, 1.0), laid.sense * angle).T @ to_machine.T
        for angle in np.linspace(0.0, check.swing_deg, _GHOSTS)
    ]
    for ghost in swings:
        yield from painted_line(ghost, _GHOST_MM, _GHOST)
    if worst is not None:
        yield from _mark(np.array(worst.place_mm) @ to_machine.T)
    for solid in own_solids(bender, task.table.clr_mm, check.set_up.tilt_deg):
        turn = to_machine if solid.stands == "head" else np.eye(3)
        yield painted_solid(solid, turn, solid_colour(solid, worst))
    low, high = shown_box(bender, np.concatenate([starts, ends, *swings]))
    for solid in bender.solids:
        if solid.stands not in BENDERS_OWN and is_shown(solid, low, high):
            yield painted_solid(solid, np.eye(3), solid_colour(solid, worst))
    yield from painted_room(bender, low, high, worst)


def _wrapped(clr_mm: float, sense: int, swung_deg: float) -> Points:
    """Places along the tube that lies round the die, head frame, shape (12, 3)."""
    turned = np.radians(np.linspace(0.0, swung_deg, 12)) * sense
    return clr_mm * np.stack([sense * np.sin(turned), -sense * np.cos(turned), np.zeros(12)], axis=1)


def _mark(place: Points) -> Iterator[PaintedMesh]:
    """A ball-like mark where the tube is nearest."""
    for axis in (np.array([1.0, 0.0, 0.0]), np.array([0.0, 1.0, 0.0]), np.array([0.0, 0.0, 1.0])):
        yield painted_cylinder(
            place - axis * 0.35 * _MARK_MM, place + axis * 0.35 * _MARK_MM, 0.8 * _MARK_MM, HIT_COLOUR
        )
