"""Bars of the cage, added, mirrored and taken out, and their nodes."""

from dataclasses import dataclass, replace
from pathlib import Path
from typing import Literal

from hoopwright.bars import Bar, Node, read_nodes_csv
from hoopwright.cage import (
    End,
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
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.cage_edits import check_can_be_bent, edit_cage
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize


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
