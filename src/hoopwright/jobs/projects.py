"""Starting a project, and edits of its cage."""

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from pathlib import Path
from types import MappingProxyType
from typing import Literal

from hoopwright.bars import Bar, Node, check_shape, read_nodes_csv
from hoopwright.cage import (
    Cage,
    End,
    Limits,
    Member,
    Role,
    add_member,
    add_node,
    bar_of,
    free_from_mirror,
    landing_on,
    mirror_member,
    move_node,
    remove_member,
    remove_node,
)
from hoopwright.cage.landmarks import set_landmarks
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.fitting.found_landmarks import with_found
from hoopwright.fitting.layout import FirstLayout, LayoutWishes, lay_out_cage, wanted_landmarks
from hoopwright.jobs.going_along import holes_along, loosened, taken_along
from hoopwright.jobs.shells import open_shell
from hoopwright.progress import Progress, silent
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.folder import Opened
from hoopwright.tubes import TubeSize


def start_project(folder: ProjectFolder, name: str, limits: Limits) -> None:
    """Start an empty project.

    Raises:
        UserError: `STORE-001` when there is one already; `CAGE-007` for limits that cannot be.
    """
    _check_limits(limits)
    folder.create(Project(name=name, cage=Cage(limits=limits)))


def change_limits(folder: ProjectFolder, limits: Limits) -> None:
    """Hold the cage to other limits; bars stay where they are.

    Raises:
        UserError: `CAGE-007` for limits that cannot be.
    """
    _check_limits(limits)
    edit_cage(folder, lambda cage: replace(cage, limits=limits))


def _check_limits(limits: Limits) -> None:
    if not (0.0 <= limits.gap_mm <= 200.0 and 0.0 <= limits.clamp_mm <= 1000.0):
        raise UserError(
            Finding(
                code="CAGE-007",
                severity=Severity.STOP,
                sentence=f"A gap of {limits.gap_mm:g} mm with a clamp of {limits.clamp_mm:g} mm cannot be.",
                todo="The gap is 0 to 200 mm, the clamp 0 to 1000 mm. Check the unit.",
            )
        )


def lay_out(
    folder: ProjectFolder, landmarks: Mapping[str, Node], wishes: LayoutWishes, *, progress: Progress = silent
) -> FirstLayout:
    """Place a first cage in the project's shell; it takes the place of an empty cage only.

    A landmark that neither the call nor the project gives is looked for in the scan; what was found is told.

    Raises:
        UserError: `CAGE-008` when the cage already has bars; `FIT-002`, `FIT-003`; `MARK-001` for a landmark that
            cannot be; `SCAN-014` without a scan.
    """
    opened = folder.open()
    if opened.project.cage.members:
        raise UserError(
            Finding(
                code="CAGE-008",
                severity=Severity.STOP,
                sentence=f"The cage already has {len(opened.project.cage.members)} bars, which would be lost.",
                todo="Undo them, or start another project.",
            )
        )
    cage, placed = set_landmarks(opened.project.cage, landmarks)
    places = dict(cage.landmarks)
    shell = open_shell(folder, opened.project, progress=progress)
    places, told = with_found(shell, places, wanted_landmarks(wishes))
    wishes = replace(wishes, limits=opened.project.cage.limits)
    try:
        laid = lay_out_cage(shell, places, wishes, drivers=cage.drivers, progress=progress)
    except UserError as stop:
        raise UserError(*stop.findings, *told) from stop
    # landmarks that the layout does not use stay
    whole = replace(laid.cage, landmarks=MappingProxyType({**cage.landmarks, **laid.cage.landmarks}))
    laid = replace(laid, cage=whole, findings=(*placed, *told, *laid.findings))
    folder.save(opened, replace(opened.project, cage=laid.cage))
    return laid


def add_bar(
    folder: ProjectFolder,
    *,
    bar_id: str,
    role: Role,
    nodes_file: Path,
    tube: TubeSize,
    die: str,
    clr_mm: float,
    end_a: End,
    end_b: End,
) -> tuple[Finding, ...]:
    """Add a bar with the nodes of a CSV file; see `add_bar_of_nodes`.

    Raises:
        UserError: `CSV-...`, and what `add_bar_of_nodes` stops on.
    """
    return add_bar_of_nodes(
        folder,
        bar_id=bar_id,
        role=role,
        nodes_mm=read_nodes_csv(nodes_file),
        tube=tube,
        die=die,
        clr_mm=clr_mm,
        end_a=end_a,
        end_b=end_b,
    )


def add_bar_of_nodes(
    folder: ProjectFolder,
    *,
    bar_id: str,
    role: Role,
    nodes_mm: tuple[Node, ...],
    tube: TubeSize,
    die: str,
    clr_mm: float,
    end_a: End,
    end_b: End,
) -> tuple[Finding, ...]:
    """Add a bar; returns what a person should know of its shape.

    Raises:
        UserError: `BAR-001` to `BAR-004`, `CAGE-002`, `CAGE-003`, `CAGE-025`.
    """
    bar = Bar(name=bar_id, nodes_mm=nodes_mm, clr_mm=clr_mm, tube=tube)
    findings = check_can_be_bent(bar)
    member = Member(
        member_id=bar_id,
        role=role,
        nodes_mm=nodes_mm,
        tube=tube,
        die=die,
        clr_mm=clr_mm,
        end_a=end_a,
        end_b=end_b,
    )
    if len(member.nodes_mm) > 2 and clr_mm <= tube.od_mm / 2.0:
        raise UserError(radius_inside(bar_id, clr_mm, tube))
    opened = folder.open()
    folder.save(opened, replace(opened.project, cage=add_member(opened.project.cage, member)))
    return findings


def radius_inside(bar_id: str, clr_mm: float, tube: TubeSize) -> Finding:
    """That a radius lies inside the tube itself."""
    return Finding(
        code="CAGE-025",
        severity=Severity.STOP,
        sentence=f"Bar {bar_id} has a centreline radius of {clr_mm:g} mm, inside its own tube of {tube.od_mm:g} mm.",
        todo="Give the centreline radius of the die; lengths are in mm unless a unit is typed.",
        objects=(bar_id,),
        measured=clr_mm,
        limit=tube.od_mm / 2.0,
        unit="mm",
    )


def end_on(on: str, trim_mm: float, landing_mm: float | None) -> End:
    """An end that lands on `shell`, on nothing (`free`), or on the bar of that name.

    Args:
        on: What it lands on.
        trim_mm: Tube left beyond it until test fit.
        landing_mm: Length that is not judged for gaps; the usual one for what it lands on without.
    """
    kind: Literal["shell", "bar", "free"] = "shell" if on == "shell" else "free" if on == "free" else "bar"
    return End(
        kind=kind,
        on=on if kind == "bar" else None,
        trim_mm=trim_mm,
        landing_mm=landing_on(kind) if landing_mm is None else landing_mm,
    )


def mirror_bar(folder: ProjectFolder, bar_id: str, new_id: str) -> None:
    """Add the bar of the other side."""
    edit_cage(folder, lambda cage: mirror_member(cage, bar_id, new_id))


def free_bar(folder: ProjectFolder, bar_id: str) -> None:
    """Give a mirrored bar nodes of its own."""
    edit_cage(folder, lambda cage: free_from_mirror(cage, bar_id))


def remove_bar(folder: ProjectFolder, bar_id: str) -> None:
    """Take a bar out."""
    edit_cage(folder, lambda cage: remove_member(cage, bar_id))


def move_bar_node(
    folder: ProjectFolder, bar_id: str, number: int, place_mm: Node, *, alone: bool = False
) -> tuple[Finding, ...]:
    """Move one node; refused when the bar could not be bent then. Ends that land on it go along unless `alone`."""
    return edit_cage(
        folder, lambda cage: move_node(cage, bar_id, number, place_mm), bar_id, takes_along=not alone
    )


def add_bar_node(
    folder: ProjectFolder, bar_id: str, after: int, place_mm: Node, *, alone: bool = False
) -> tuple[Finding, ...]:
    """Add one node. Ends that land on the bar go along unless `alone`."""
    return edit_cage(
        folder, lambda cage: add_node(cage, bar_id, after, place_mm), bar_id, takes_along=not alone
    )


def remove_bar_node(
    folder: ProjectFolder, bar_id: str, number: int, *, alone: bool = False
) -> tuple[Finding, ...]:
    """Take one node out. Ends that land on the bar go along unless `alone`."""
    return edit_cage(folder, lambda cage: remove_node(cage, bar_id, number), bar_id, takes_along=not alone)


@dataclass(frozen=True, kw_only=True)
class ListedBar:
    """A member and the bar that it stands for.

    Args:
        member: The member.
        bar: Its bar.
    """

    member: Member
    bar: Bar


def list_bars(folder: ProjectFolder) -> tuple[ListedBar, ...]:
    """Every bar of the cage."""
    cage = folder.open().project.cage
    return tuple(ListedBar(member=member, bar=bar_of(cage, member.member_id)) for member in cage.members)


@dataclass(frozen=True, kw_only=True)
class Stepped:
    """Where an undo or redo came to.

    Args:
        step: Place in the history.
        bars_before: How many bars the cage had.
        bars_after: How many it has now.
    """

    step: int
    bars_before: int
    bars_after: int


def undo(folder: ProjectFolder) -> Stepped:
    """Go back one edit."""
    opened = folder.open()
    return _stepped(opened, folder.undo(opened))


def redo(folder: ProjectFolder) -> Stepped:
    """Take an undo back."""
    opened = folder.open()
    return _stepped(opened, folder.redo(opened))


def _stepped(before: Opened, after: Opened) -> Stepped:
    counts = [len(one.project.cage.members) for one in (before, after)]
    return Stepped(step=after.step, bars_before=counts[0], bars_after=counts[1])


def edit_cage(
    folder: ProjectFolder,
    change: Callable[[Cage], Cage],
    bar_id: str | None = None,
    *,
    takes_along: bool = False,
) -> tuple[Finding, ...]:
    """Change the cage and save it; returns what a person should know.

    Args:
        folder: The project.
        change: Gives the cage as it is to be.
        bar_id: The bar that is changed, which must be one that can be bent then.
        takes_along: Whether ends that land on it go along.
    """
    opened = folder.open()
    cage = change(opened.project.cage)
    findings = check_can_be_bent(bar_of(cage, bar_id)) if bar_id is not None else ()
    if takes_along:
        cage, along = taken_along(opened.project.cage, cage)
        findings = (*findings, *along)
    cage, holes = holes_along(opened.project.cage, cage)
    findings = (*findings, *holes)
    folder.save(opened, replace(opened.project, cage=cage))
    return (*findings, *loosened(cage, bar_id))


def check_can_be_bent(bar: Bar) -> tuple[Finding, ...]:
    """Findings on the shape of a bar that can be; a bar that cannot be stops the edit."""
    findings = check_shape(bar)
    stops = stopping(findings)
    if stops:
        raise UserError(*stops)
    return findings
