"""A bar from a scan of it: bend table, nodes and diameters with their uncertainty."""

import contextlib
import itertools
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import BendTable, Node, as_nodes, bend_table
from hoopwright.bars.bar import Bar
from hoopwright.bender.as_bent.scanned.axis_path import axis_path
from hoopwright.bender.as_bent.scanned.bend_counts import fit_bends, most_noise_mm
from hoopwright.bender.as_bent.scanned.patches import NEIGHBOURS, TubePatches, tube_patches
from hoopwright.bender.as_bent.scanned.refusals import no_bar, nothing_round, refuse_two, usable
from hoopwright.bender.as_bent.scanned.straights import (
    SMALL_WINDOW_RATIO,
    WINDOW_RATIO,
    nodes_of,
    straight_runs,
)
from hoopwright.bender.as_bent.scanned.tube_ends import edge_mm
from hoopwright.bender.as_bent.scanned.tube_fit import TubeFit
from hoopwright.bender.as_bent.scanned.tube_model import along_mm, nearest_pieces, off_axis_mm
from hoopwright.findings import Finding, UserError
from hoopwright.geometry import Points, Vector, wrap_deg
from hoopwright.tubes import TubeSize
from hoopwright.units import format_length

EXPLAINED_SHARE = 0.85
SPARSE_RATIO = 0.15
ON_AXIS_RATIO = 0.4
NEAR_END_MM = 60.0
_GAP_MM = 60.0
_WALL_SHARE = 0.05
_STEP_MM = 0.01


@dataclass(frozen=True, eq=False, kw_only=True)
class ScannedBar:
    """A bar as it lies in a scan.

    Standard deviations come from the scatter of the points alone; an error of the scanner's own scale is not in them.

    Args:
        nodes_mm: Nodes in the scan's frame.
        table: Its bend table, with the fitted centreline radius.
        od_mm: Outside diameter.
        straight_sds_mm: Of each straight.
        rotation_sds_deg: Of each rotation; the first is 0.
        angle_sds_deg: Of each angle.
        clr_sd_mm: Of the centreline radius; infinite without bends.
        od_sd_mm: Of the outside diameter.
        noise_mm: Scatter of the points about the skin.
        used_count: Points on the skin.
        left_out_count: Points that belong to something else.
        findings: Gaps in the scan, coarse points.
    """

    nodes_mm: tuple[Node, ...]
    table: BendTable
    od_mm: float
    straight_sds_mm: tuple[float, ...]
    rotation_sds_deg: tuple[float, ...]
    angle_sds_deg: tuple[float, ...]
    clr_sd_mm: float
    od_sd_mm: float
    noise_mm: float
    used_count: int
    left_out_count: int
    findings: tuple[Finding, ...]


def bar_in_scan(points_mm: Points) -> ScannedBar:
    """Find the one bar in a scan: no drawn bar is needed. Which end is A is not known here.

    Args:
        points_mm: Points in mm, shape (n, 3).

    Raises:
        UserError: `ASBENT-020` to `ASBENT-024` where there is none, or more than one.
    """
    points = usable(points_mm)
    origin = points.mean(axis=0)
    points = points - origin
    try:
        return _search(points, origin, NEIGHBOURS, WINDOW_RATIO)
    except UserError as stop:
        if stop.findings[0].code == "ASBENT-023":
            raise
        # short straights want a small window, a coarse scan patches of fewer points that do not go round the tube
        for neighbours, window_ratio in ((NEIGHBOURS, SMALL_WINDOW_RATIO), (NEIGHBOURS // 3, WINDOW_RATIO)):
            with contextlib.suppress(UserError):
                return _search(points, origin, neighbours, window_ratio)
        raise


def _search(points: Points, origin: Vector, neighbours: int, window_ratio: float) -> ScannedBar:
    rng = np.random.default_rng(0)
    patches = tube_patches(points, rng, neighbours=neighbours)
    path = axis_path(patches) if len(patches.axis_mm) else None
    if path is None or path.length_mm < 3.0 * patches.radius_mm:
        raise nothing_round()
    refuse_two(path.length_mm, path.other_mm)
    runs = straight_runs(path, 2.0 * patches.radius_mm, window_ratio=window_ratio)
    if not runs:
        raise no_bar("no part of it is straight")
    fit = fit_bends(points, nodes_of(runs, path), patches, rng)
    _refuse_unexplained(fit, patches)
    return _result(points, origin, fit, patches.noise_mm)


def _refuse_unexplained(fit: TubeFit, patches: TubePatches) -> None:
    """Stop where much of the tube in the scan does not lie along the bar that was found."""
    pieces = nearest_pieces(fit.path, patches.axis_mm)
    along = along_mm(fit.path, patches.axis_mm, pieces)
    off = off_axis_mm(fit.path, patches.axis_mm, pieces)
    on = (
        (off < ON_AXIS_RATIO * patches.radius_mm)
        & (along > -NEAR_END_MM)
        & (along < fit.path.length_mm + NEAR_END_MM)
    )
    share = float(on.mean())
    if share < EXPLAINED_SHARE:
        raise no_bar(f"the best one runs through only {100.0 * share:.0f} % of the tube that was seen")


def _result(points: Points, origin: Vector, fit: TubeFit, patch_noise_mm: float) -> ScannedBar:
    skin = points[fit.on_skin]
    pieces = nearest_pieces(fit.path, skin)
    along = along_mm(fit.path, skin, pieces)
    last = len(fit.path.pieces) - 1
    if not ((pieces == 0).any() and (pieces == last).any()):
        raise no_bar("an end straight has no points")
    start, start_sd = edge_mm(-along[pieces == 0], fit.noise_mm)
    end, end_sd = edge_mm(along[pieces == last], fit.noise_mm)
    nodes = _with_ends(fit.model.nodes(fit.values), start, end - fit.path.length_mm)
    table = _table(nodes, fit.clr_mm, 2.0 * fit.radius_mm)
    sds = _table_sds(fit, table, start, end - fit.path.length_mm)
    bends = len(table.angles_deg)
    straights = sds[: bends + 1].copy()
    straights[0], straights[-1] = np.hypot(straights[0], start_sd), np.hypot(straights[-1], end_sd)
    size = np.sqrt(np.diag(fit.covariance))
    return ScannedBar(
        nodes_mm=as_nodes(nodes + origin),
        table=table,
        od_mm=2.0 * fit.radius_mm,
        straight_sds_mm=tuple(map(float, straights)),
        rotation_sds_deg=tuple(map(float, sds[bends + 1 : 2 * bends + 1])),
        angle_sds_deg=tuple(map(float, sds[2 * bends + 1 :])),
        clr_sd_mm=float(size[-2]) if bends else float("inf"),
        od_sd_mm=2.0 * float(size[-1]),
        noise_mm=fit.noise_mm,
        used_count=int(fit.on_skin.sum()),
        left_out_count=int((~fit.on_skin).sum()),
        findings=(*_coarse(fit, patch_noise_mm), *_sparse(fit), *_gaps(along)),
    )


def _with_ends(nodes: Points, before_mm: float, beyond_mm: float) -> Points:
    """The end nodes moved along their straights: outward is positive."""
    made = nodes.copy()
    first, last = nodes[0] - nodes[1], nodes[-1] - nodes[-2]
    made[0] += first / np.linalg.norm(first) * before_mm
    made[-1] += last / np.linalg.norm(last) * beyond_mm
    return made


def _table(nodes: Points, clr_mm: float, od_mm: float) -> BendTable:
    tube = TubeSize(od_mm=od_mm, wall_mm=od_mm * _WALL_SHARE)
    try:
        return bend_table(Bar(name="in the scan", nodes_mm=as_nodes(nodes), clr_mm=clr_mm, tube=tube))
    except UserError as error:
        raise no_bar(error.findings[0].sentence.rstrip(".")) from None


def _table_sds(fit: TubeFit, table: BendTable, before_mm: float, beyond_mm: float) -> NDArray[np.float64]:
    """Standard deviations of straights, rotations and angles from those of the fit, first order."""
    columns = []
    base = _row(table)
    for index in range(fit.model.size - 1):
        values = fit.values.copy()
        values[index] += _STEP_MM
        nodes = _with_ends(fit.model.nodes(values), before_mm, beyond_mm)
        moved = _row(_table(nodes, fit.model.clr(values), 2.0 * fit.radius_mm)) - base
        bends = len(table.angles_deg)
        turned = slice(bends + 1, 2 * bends + 1)
        moved[turned] = [wrap_deg(float(turn)) for turn in moved[turned]]
        columns.append(moved / _STEP_MM)
    slopes = np.column_stack([*columns, np.zeros(len(base))])
    sds: NDArray[np.float64] = np.sqrt(np.einsum("ij,jk,ik->i", slopes, fit.covariance, slopes))
    return sds


def _row(table: BendTable) -> Vector:
    return np.array([*table.straights_mm, *table.rotations_deg, *table.angles_deg])


def _coarse(fit: TubeFit, patch_noise_mm: float) -> tuple[Finding, ...]:
    limit = most_noise_mm(patch_noise_mm)
    if fit.noise_mm <= limit:
        return ()
    return (
        Finding(
            code="ASBENT-025",
            sentence=f"The points scatter {fit.noise_mm:.1f} mm about the tube found (limit {limit:.1f} mm): the "
            "scan is coarse, or the bar is not of straights and bends of one radius.",
            todo="Compare the bend table with the bar before you use it.",
            measured=fit.noise_mm,
            limit=limit,
            unit="mm",
        ),
    )


def _sparse(fit: TubeFit) -> tuple[Finding, ...]:
    """Points far apart for the tube's thickness: a bend may then be two, or two one."""
    seen_mm2 = np.pi * fit.radius_mm * fit.path.length_mm
    apart, limit = float(np.sqrt(seen_mm2 / fit.on_skin.sum())), SPARSE_RATIO * 2.0 * fit.radius_mm
    if apart <= limit:
        return ()
    return (
        Finding(
            code="ASBENT-032",
            sentence=f"The points on the bar are about {apart:.0f} mm apart, for a tube of "
            f"{format_length(2.0 * fit.radius_mm, decimals=0)}: a small bend may be one that is not there.",
            todo=f"Scan it with points at most {limit:.0f} mm apart, or compare the bend table with the bar.",
            measured=apart,
            limit=limit,
            unit="mm",
        ),
    )


def _gaps(along: Vector) -> tuple[Finding, ...]:
    """Stretches that the scan did not see."""
    places = np.sort(along)
    wide = [
        (a, b) for a, b in itertools.pairwise(places[:: max(1, len(places) // 20_000)]) if b - a > _GAP_MM
    ]
    if not wide:
        return ()
    longest = max(wide, key=lambda gap: gap[1] - gap[0])
    return (
        Finding(
            code="ASBENT-026",
            sentence=f"The scan did not see {sum(b - a for a, b in wide):.0f} mm of the bar, the longest from "
            f"{longest[0]:.0f} to {longest[1]:.0f} mm along it; there it is taken to go on as beside it.",
            todo="Scan that part too if a bend is near.",
            measured=float(longest[1] - longest[0]),
            limit=_GAP_MM,
            unit="mm",
        ),
    )
