"""Holes that are cut for bars: added, listed and removed."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hoopwright.bars import Node
from hoopwright.cage import BarHole, Cage, Hole, add_hole, holes_of, remove_hole, usual_hole_mm
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.fitting.holes import cut_for_bars
from hoopwright.jobs.hole_rows import what_it_cuts
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.progress import Progress, silent
from hoopwright.shell.cut import CutSkin
from hoopwright.store import ProjectFolder

_OFF_AXIS_MM = 50.0
_FARTHEST_OFF_MM = 250.0


@dataclass(frozen=True, kw_only=True)
class ListedHole:
    """A hole, and what it cuts.

    Args:
        hole: The hole; a mirrored bar has those of the bar that it mirrors.
        skins: The skins that it is cut in; None without a scan.
    """

    hole: BarHole
    skins: tuple[CutSkin, ...] | None


def cut_hole(
    folder: ProjectFolder,
    bar_id: str,
    place_mm: Node,
    *,
    diameter_mm: float | None = None,
    deep_mm: float | None = None,
    progress: Progress = silent,
) -> tuple[ListedHole, tuple[Finding, ...]]:
    """Put a hole for a bar into the cage, at the place on its axis nearest to the one given.

    Args:
        folder: The project.
        bar_id: The bar that passes.
        place_mm: Where, vehicle frame.
        diameter_mm: How wide; the tube and 5 mm round it without.
        deep_mm: How far along the axis metal is cut each way; the diameter without.
        progress: Told how far it is.

    Returns:
        The hole with what it cuts, and what a person should know.

    Raises:
        UserError: `HOLE-001`, `CAGE-001`, `CAGE-006`.
    """
    opened = folder.open()
    cage = opened.project.cage
    wide = usual_hole_mm(cage.member(bar_id).tube.od_mm) if diameter_mm is None else diameter_mm
    hole = Hole(
        bar_id=bar_id,
        place_mm=place_mm,
        diameter_mm=wide,
        deep_mm=wide if deep_mm is None else deep_mm,
    )
    whole = add_hole(cage, hole)
    off_mm = _off_axis_mm(whole, bar_id, place_mm)
    if off_mm > _FARTHEST_OFF_MM:
        raise UserError(_not_on(bar_id, off_mm))
    folder.save(opened, replace(opened.project, cage=whole))
    listed = list_holes(folder, only=(bar_id,), progress=progress)[-1]
    findings = [] if listed.skins is None else [what_it_cuts(listed.hole, listed.skins)]
    return listed, (*findings, *_far_off(bar_id, off_mm))


def list_holes(
    folder: ProjectFolder, *, only: Sequence[str] = (), progress: Progress = silent
) -> tuple[ListedHole, ...]:
    """Every hole of every bar or of some, and what it cuts where there is a scan.

    Raises:
        UserError: `CAGE-001` for a bar that is not there; what stops the scan from being opened.
    """
    project = folder.open().project
    names = {project.cage.member(name).member_id for name in only}
    holes = holes_of(project.cage)
    skins: Sequence[tuple[CutSkin, ...] | None] = [None] * len(holes)
    if project.scan is not None and holes:
        skins = cut_for_bars(open_whole_shell(folder, project, progress=progress), project.cage).skins
    return tuple(
        ListedHole(hole=one, skins=cut)
        for one, cut in zip(holes, skins, strict=True)
        if not names or one.hole.bar_id in names
    )


def take_hole_out(folder: ProjectFolder, bar_id: str, number: int) -> None:
    """Remove a hole of a bar, counted from 1.

    Raises:
        UserError: `HOLE-002`, `CAGE-001`, `CAGE-006`.
    """
    opened = folder.open()
    folder.save(opened, replace(opened.project, cage=remove_hole(opened.project.cage, bar_id, number)))


def _off_axis_mm(cage: Cage, bar_id: str, place_mm: Node) -> float:
    """How far a place lies off where the bar's last hole was put."""
    put = [one.hole.place_mm for one in holes_of(cage) if one.hole.bar_id == bar_id][-1]
    return math.dist(place_mm, put)


def _not_on(bar_id: str, off_mm: float) -> Finding:
    return Finding(
        code="HOLE-009",
        severity=Severity.STOP,
        sentence=f"The place given for the hole lies {off_mm:.0f} mm off the axis of bar {bar_id} (limit "
        f"{_FARTHEST_OFF_MM:g} mm); no hole was put.",
        todo="Give a place where that bar meets the metal; of a typed one look at its unit: forward,left,up in mm.",
        objects=(bar_id,),
        measured=off_mm,
        limit=_FARTHEST_OFF_MM,
        unit="mm",
    )


def _far_off(bar_id: str, off_mm: float) -> tuple[Finding, ...]:
    if off_mm <= _OFF_AXIS_MM:
        return ()
    return (
        Finding(
            code="HOLE-007",
            severity=Severity.WARNING,
            sentence=f"The place given for the hole lies {off_mm:.0f} mm off the axis of bar {bar_id}; the hole was "
            "put at the nearest place on the axis.",
            todo="Look at the place, or undo.",
            objects=(bar_id,),
            measured=off_mm,
            limit=_OFF_AXIS_MM,
            unit="mm",
        ),
    )
