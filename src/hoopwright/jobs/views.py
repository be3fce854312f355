"""The cage as a screen shows it: every bar's axis with its gap all along, and what a move of a node would come to."""

from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, Node, as_node, as_nodes, centreline, check_shape
from hoopwright.cage import Cage, Member, bar_of, bars_of, follow, move_node
from hoopwright.findings import UserError, stopping
from hoopwright.fitting.measuring import as_tube
from hoopwright.geometry import Points, Vector
from hoopwright.jobs.shells import display_of, light_display_of, scan_record
from hoopwright.shell.clearance import SPACING_MM, GapPlace, TubeGaps, judged_stretch, measure_gaps
from hoopwright.shell.display import DisplayMesh
from hoopwright.shell.shell import Shell
from hoopwright.store import Project, ProjectFolder

DRAWN_MM = 8.0
"""Greatest distance between two points of a drawn axis."""
LIGHT_TRIANGLES = 40_000
_DRAGGED_MM = 14.0


@dataclass(frozen=True, kw_only=True, eq=False)
class BarView:
    """A bar as it is drawn.

    Args:
        bar_id: Its name.
        od_mm: Outside diameter.
        path_mm: Points along its axis, vehicle frame; shape (n, 3).
        gap_mm: Gap at each, NaN where no metal is near; None without a shell.
        judged: Which of them lie outside the landings; None without a shell.
        nodes_mm: Its nodes.
        mirror_of: The bar that it mirrors, or None.
        nearest: Its smallest judged gap, or None.
    """

    bar_id: str
    od_mm: float
    path_mm: Points
    gap_mm: Vector | None
    judged: NDArray[np.bool_] | None
    nodes_mm: tuple[Node, ...]
    mirror_of: str | None
    nearest: GapPlace | None


def drawn_shell(folder: ProjectFolder, project: Project, shell: Shell, *, light: bool) -> DisplayMesh:
    """The thinned scan in the vehicle frame, to look at.

    Args:
        folder: Where it is kept once it is made.
        project: Holds the scan's record.
        shell: The shell.
        light: A lighter one, to have something to see at once.
    """
    record = scan_record(project)
    thin = (
        light_display_of(folder, record, shell, LIGHT_TRIANGLES)
        if light
        else display_of(folder, record, shell)
    )
    return DisplayMesh(
        points_mm=shell.to_vehicle.points(thin.points_mm.astype(np.float64)).astype(np.float32),
        triangles=thin.triangles,
    )


def view_bars(cage: Cage, shell: Shell | None, only: Sequence[str] | None = None) -> tuple[BarView, ...]:
    """Every bar that has an axis, or some of them, with their gaps where there is a shell.

    Args:
        cage: The cage.
        shell: With the holes of the bars cut in it, or None.
        only: Names; None is all.
    """
    wanted = [member for member in cage.members if only is None or member.member_id in only]
    drawn = [(member, bar_of(cage, member.member_id)) for member in wanted]
    drawn = [(member, bar) for member, bar in drawn if not stopping(check_shape(bar))]
    if shell is None:
        return tuple(_bare(member, bar) for member, bar in drawn)
    tubes = [
        as_tube(bar, landing_a_mm=member.end_a.landing_mm, landing_b_mm=member.end_b.landing_mm)
        for member, bar in drawn
    ]
    # as finely as a check does, so that both tell the same gap
    gaps = measure_gaps(shell, tubes)
    return tuple(_measured(member, bar, found) for (member, bar), found in zip(drawn, gaps, strict=True))


def moved_bars(
    cage: Cage, shell: Shell | None, bar_id: str, number: int, place_mm: Node
) -> tuple[BarView, ...]:
    """What would be drawn if a node were moved: that bar, its mirror, and bars whose ends go along.

    Nothing is kept.

    Args:
        cage: As it is.
        shell: See `view_bars`.
        bar_id: The bar.
        number: Of its node, from 1 at end A.
        place_mm: Where to.

    Raises:
        UserError: `CAGE-001`, `CAGE-005`, `CAGE-006`; what `bars.check_shape` says where the bar cannot be then.
    """
    after = move_node(cage, bar_id, number, place_mm)
    stops = stopping(check_shape(bar_of(after, bar_id)))
    if stops:
        raise UserError(*stops)
    return changed_bars(cage, after, shell)


def changed_bars(cage: Cage, after: Cage, shell: Shell | None) -> tuple[BarView, ...]:
    """What would be drawn of the bars that differ between two cages, ends that go along with them too.

    Args:
        cage: As it is.
        after: As it would be.
        shell: See `view_bars`.
    """
    if not any(stopping(check_shape(bar)) for bar in bars_of(after).values()):
        after = follow(cage, after).cage
    before, now = bars_of(cage), bars_of(after)
    changed = [name for name, bar in now.items() if before.get(name) != bar]
    return tuple(_quick(after.member(name), now[name], shell) for name in changed)


def _quick(member: Member, bar: Bar, shell: Shell | None) -> BarView:
    """A bar while a node is dragged: its gaps alone, without regions and crossings."""
    if shell is None:
        return _bare(member, bar)
    path = centreline(bar)
    low, high = judged_stretch(path, (member.end_a.landing_mm, member.end_b.landing_mm))
    # the gap is often smallest where it begins to count
    along = np.unique(np.concatenate([path.even_distances(_DRAGGED_MM), [low, high]]))
    points = path.at(along)
    found = shell.nearest(points)
    gap = found.distance_mm - bar.tube.od_mm / 2.0
    judged = (along >= low) & (along <= high)
    at = int(np.argmin(np.where(judged, gap, np.inf)))
    nearest = GapPlace(
        region="",
        gap_mm=float(gap[at]),
        along_mm=float(along[at]),
        axis_mm=as_node(points[at]),
        metal_mm=as_node(found.place_mm[at]),
    )
    return BarView(
        bar_id=bar.name,
        od_mm=bar.tube.od_mm,
        path_mm=points,
        gap_mm=gap,
        judged=judged,
        nodes_mm=as_nodes(bar.nodes),
        mirror_of=member.mirror_of,
        nearest=nearest if judged.any() else None,
    )


def _bare(member: Member, bar: Bar) -> BarView:
    path = centreline(bar)
    return BarView(
        bar_id=bar.name,
        od_mm=bar.tube.od_mm,
        path_mm=path.at(path.even_distances(DRAWN_MM)),
        gap_mm=None,
        judged=None,
        nodes_mm=as_nodes(bar.nodes),
        mirror_of=member.mirror_of,
        nearest=None,
    )


def _measured(member: Member, bar: Bar, gaps: TubeGaps) -> BarView:
    drawn = _drawn(gaps)
    return BarView(
        bar_id=bar.name,
        od_mm=bar.tube.od_mm,
        path_mm=gaps.points_mm[drawn],
        gap_mm=gaps.gap_mm[drawn],
        judged=gaps.judged[drawn],
        nodes_mm=as_nodes(bar.nodes),
        mirror_of=member.mirror_of,
        nearest=gaps.smallest,
    )


def _drawn(gaps: TubeGaps) -> NDArray[np.int64]:
    """Which of the measured places are drawn: every fourth, and the ends of the tube and of what is judged."""
    count, judged = len(gaps.along_mm), np.flatnonzero(gaps.judged)
    every = np.arange(0, count, round(DRAWN_MM / SPACING_MM))
    drawn: NDArray[np.int64] = np.union1d(every, [count - 1, judged[0], judged[-1]])
    return drawn
