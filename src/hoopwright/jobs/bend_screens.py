"""What the screen at the bender needs of one bar, all of it at once, so that it can go on without the workbench."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.bars import Bar, bend_table
from hoopwright.bender import BarSheet, tape_checks
from hoopwright.bender.as_bent import bar_distances, range_mm
from hoopwright.bender.rescue.session import standing
from hoopwright.bender.rescue.standing import Standing
from hoopwright.bender.rescue.steps_in_force import poses_in_force, steps_in_force
from hoopwright.bender.sheet import BendStep, TapeCheck, TubeEnd
from hoopwright.bender.step_poses import StepPose
from hoopwright.cage import bar_of, side_of
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.bend_answers import Bending, look
from hoopwright.jobs.opened_sheets import open_sheet
from hoopwright.jobs.square_codes import screen_address, square_code_svg
from hoopwright.jobs.sticks import BendWishes
from hoopwright.papers.screen_pictures import (
    bar_picture,
    end_picture,
    mark_picture,
    pose_picture,
    turn_picture,
    wrong_hour,
)
from hoopwright.papers.step_words import leg_words
from hoopwright.papers.svg import svg_text
from hoopwright.papers.words import turns
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.store.bending import last_stick
from hoopwright.store.folder import PROJECT_FILE
from hoopwright.store.stamps import stamp_of_files

_HALF_TURN_DEG = 0.5
_STATES = {"done": "done", "scrapped": "scrapped"}


@dataclass(frozen=True, kw_only=True)
class ScreenStep:
    """One bend with its pictures.

    Args:
        step: The bend as it is in force.
        words: What the protractors show before it is pulled.
        pictures: SVG by name: `pose`, `end`, `wrong_end`, `mark`, and `turn`, `wrong_turn` where it is turned.
    """

    step: BendStep
    words: tuple[str, ...]
    pictures: dict[str, str]


@dataclass(frozen=True, kw_only=True)
class ScreenCheck:
    """A distance to tape on the finished bar.

    Args:
        check: Where the tape goes and what it should read.
        least_mm: Less than this no bend of the bar could make; `take_distance` refuses it.
        most_mm: The same for more.
    """

    check: TapeCheck
    least_mm: float
    most_mm: float


@dataclass(frozen=True, kw_only=True)
class BendScreen:
    """One bar at the bender.

    Args:
        bending: Where it stands.
        project: Name of the project.
        title: What the bar is, in words.
        side: `L`, `R` or empty.
        steps: Every bend, in the order of bending.
        checks: Distances to measure off the car, as on the sheet that the stick was begun from.
        bar_svg: The finished bar.
        marks_svg: The blank with every mark.
    """

    bending: Bending
    project: str
    title: str
    side: str
    steps: tuple[ScreenStep, ...]
    checks: tuple[ScreenCheck, ...]
    bar_svg: str
    marks_svg: str


def bend_screen(
    folder: ProjectFolder, bar_or_code: str, wishes: BendWishes, *, progress: Progress = silent
) -> BendScreen:
    """All that the screen at the bender shows of one bar; nothing is written, unless another stick is asked for.

    Raises:
        UserError: As `jobs.bend_answers.look`.
    """
    bending = look(folder, bar_or_code, wishes, progress=progress)
    now = bending.standing
    started = now.started
    sheet = _sheet_begun_from(folder, now, wishes)
    steps = steps_in_force(now, {} if sheet is None else {step.bend: step for step in sheet.steps})
    poses = poses_in_force(now, steps)
    project = folder.open().project
    title = project.cage.member(started.bar_id).role.value if started.bar_id in project.cage else ""
    bar, side = started.job.bar, side_of(started.job.bar)
    return BendScreen(
        bending=bending,
        project=project.name,
        title=title,
        side=side,
        steps=tuple(_with_pictures(now, pose, steps) for pose in poses),
        checks=_checks(started.job.bar),
        bar_svg=svg_text(bar_picture(bar, side)),
        marks_svg=svg_text(mark_picture(steps, started.job.blank_mm, None)),
    )


def _checks(bar: Bar) -> tuple[ScreenCheck, ...]:
    table, found = bend_table(bar), {one.key: one for one in bar_distances(bar)}
    return tuple(
        ScreenCheck(check=check, least_mm=least_mm, most_mm=most_mm)
        for check in tape_checks(bar, table)
        for least_mm, most_mm in [range_mm(bar, table, found[check.key])]
    )


def _sheet_begun_from(folder: ProjectFolder, now: Standing, wishes: BendWishes) -> BarSheet | None:
    """The sheet of the stick; None where the bar has changed since, or cannot be looked up."""
    try:
        sheet = open_sheet(folder, now.started.bar_id, wishes.at[:10]).sheet
    except UserError:
        return None
    return sheet if sheet.identity == now.started.identity else None


def _with_pictures(now: Standing, pose: StepPose, steps: Sequence[BendStep]) -> ScreenStep:
    step, swings = pose.step, now.started.swings
    other: TubeEnd = "B" if step.fed_from == "A" else "A"
    pages = {
        "pose": pose_picture(pose),
        "end": end_picture(step.fed_from, crossed=False),
        "wrong_end": end_picture(other, crossed=True),
        "mark": mark_picture(steps, now.started.job.blank_mm, step.bend),
    }
    turn = step.turn_tube_deg
    if turn is not None and turns(turn):
        pages["turn"] = turn_picture(turn, step.leg_clock, crossed=False)
        if abs(abs(turn) - 180.0) > _HALF_TURN_DEG:
            wrong = wrong_hour(step.leg_clock, turn, swings)
            pages["wrong_turn"] = turn_picture(-turn, wrong, crossed=True)
    return ScreenStep(
        step=step,
        words=tuple(leg_words(step)),
        pictures={name: svg_text(page) for name, page in pages.items()},
    )


@dataclass(frozen=True, kw_only=True)
class BarAtBender:
    """One bar of which a sheet was issued, as the list of the screen has it.

    Args:
        bar_id: The bar.
        title: What it is, in words.
        revision: Revision of its last sheet.
        identity: That sheet's hash, which opens the bar on a screen.
        date: When it was issued, ISO 8601.
        made: Bends made of the last stick; None where none was begun.
        bends: How many it has; None where no stick was begun.
        state: `not begun`, `in hand`, `done` or `scrapped`.
    """

    bar_id: str
    title: str
    revision: int
    identity: str
    date: str
    made: int | None
    bends: int | None
    state: str


def bars_at_bender(folder: ProjectFolder) -> tuple[BarAtBender, ...]:
    """Every bar with bends of which a sheet was issued.

    Raises:
        UserError: `STORE-...` for a project or records that cannot be read.
    """
    project = folder.open().project
    found = []
    for member in project.cage.members:
        last = project.last_issued(member.member_id)
        if last is None or bar_of(project.cage, member.member_id).bend_count == 0:
            continue
        stick = last_stick(folder, member.member_id)
        now = None if stick is None else standing(stick.records)
        found.append(
            BarAtBender(
                bar_id=member.member_id,
                title=member.role.value,
                revision=last.revision,
                identity=last.identity,
                date=last.date,
                made=None if now is None else len(now.finished),
                bends=None if now is None else len(now.started.job.feeds),
                state="not begun" if now is None else _STATES.get(now.phase, "in hand"),
            )
        )
    return tuple(found)


def stamp_of(folder: ProjectFolder, bar_id: str) -> str:
    """Changes whenever the records of a bar or the project have changed; reads no file whole."""
    paths = [folder.path / PROJECT_FILE, *sorted(folder.bending.glob(f"{bar_id}-r*.jsonl"))]
    return stamp_of_files([*paths, *sorted(folder.calibrations.glob("*"))])


def address_code(folder: ProjectFolder, bar_id: str, base: str) -> tuple[str, str]:
    """Where a bar is found on a screen, and that address as a square code (SVG).

    Args:
        folder: The project.
        bar_id: The bar.
        base: Address of the workbench, with a slash at its end.

    Raises:
        UserError: `CAGE-001`; `BEND-010` where no sheet was issued.
    """
    project = folder.open().project
    project.cage.member(bar_id)
    last = project.last_issued(bar_id)
    if last is None:
        raise UserError(
            Finding(
                code="BEND-010",
                severity=Severity.STOP,
                sentence=f"No sheet of bar {bar_id} was issued, so there is nothing to bend from.",
                todo="Issue it with 'hoopwright sheets'.",
                objects=(bar_id,),
            )
        )
    address = screen_address(bar_id, base, identity=last.identity)
    return address, square_code_svg(address)
