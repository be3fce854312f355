"""Where the ends of a scattered bar land: with the other end held, or laid as well as it goes."""

from dataclasses import dataclass
from typing import Literal

import numpy as np
from scipy.stats import chi2

from hoopwright.bars import Bar, Node, as_node, bend_table, nodes_from_table, reversed_bar
from hoopwright.bars.many import BentTables, Many, bend_all, place_all, places_along
from hoopwright.bender.bend_job import BendJob, BendSettings
from hoopwright.bender.tolerance.sources import Sources, tables_with
from hoopwright.geometry import Points, best_rigid_motion

Placing = Literal["held", "fitted"]

SHARE = 0.95
_STEP = 0.01
_FLAT_SHARE = 1e-6
_SPACING_MM = 60.0


@dataclass(frozen=True, kw_only=True)
class Region:
    """Where 95 of 100 ends land, if errors are small and normal: an ellipsoid about the drawn place.

    It is an ellipse or a line where the errors of a bar move the end in fewer directions.

    Args:
        end: `A` or `B`.
        placing: `held` with the other end held (place, direction and first bend plane), `fitted` with the whole bar
            laid by least squares.
        axes: Directions of the ellipsoid, longest first, each forward, left, up.
        half_mm: Half its length along each.
        extent_mm: How far it reaches forward, left and up from its middle.
        sd_mm: Root of the summed variances: the usual miss.
    """

    end: Literal["A", "B"]
    placing: Placing
    axes: tuple[Node, Node, Node]
    half_mm: tuple[float, float, float]
    extent_mm: tuple[float, float, float]
    sd_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Landing:
    """Places of scattered bars, seen from one placing.

    Args:
        end_a_mm: End A of each, shape (n, 3).
        end_b_mm: End B of each, shape (n, 3).
    """

    end_a_mm: Points
    end_b_mm: Points


def land(bar: Bar, tables: BentTables, placing: Placing) -> Landing:
    """Where the ends of bars land.

    `held`: end A as seen from a held end B, and end B as seen from a held end A.

    Args:
        bar: As drawn.
        tables: Bend tables of the bars.
        placing: How they are laid.
    """
    if placing == "held":
        return Landing(
            end_a_mm=_far_end(reversed_bar(bar), _turned_round(tables)), end_b_mm=_far_end(bar, tables)
        )
    drawn = places_along(bar, _SPACING_MM)
    placed = place_all(bend_all(tables, drawn.shares), drawn)
    return Landing(end_a_mm=placed[:, 0], end_b_mm=placed[:, -1])


def slopes(job: BendJob, settings: BendSettings, sources: Sources, placing: Placing) -> tuple[Many, Many]:
    """How end A and end B move for one standard deviation of each error, each shape (3, errors), mm."""
    count = len(sources.named)
    steps = _STEP * np.eye(count)
    landed = land(job.bar, tables_with(job, settings, sources, np.concatenate([steps, -steps])), placing)
    both = [((end[:count] - end[count:]) / (2.0 * _STEP)).T for end in (landed.end_a_mm, landed.end_b_mm)]
    return both[0], both[1]


def region_of(end: Literal["A", "B"], placing: Placing, covariance: Many) -> Region:
    """The 95 % region of an end from its covariance, shape (3, 3), mm2."""
    sizes, axes = np.linalg.eigh(covariance)
    moves = sizes[::-1] > _FLAT_SHARE * max(float(sizes[-1]), 1e-12)
    roots = np.sqrt(np.where(moves, sizes[::-1], 0.0))
    reach = float(np.sqrt(chi2.ppf(SHARE, max(1, int(moves.sum())))))
    first, second, third = (as_node(axis) for axis in axes.T[::-1])
    extent = reach * np.sqrt(np.maximum(np.diag(covariance), 0.0))
    return Region(
        end=end,
        placing=placing,
        axes=(first, second, third),
        half_mm=(float(reach * roots[0]), float(reach * roots[1]), float(reach * roots[2])),
        extent_mm=as_node(extent),
        sd_mm=float(np.sqrt(max(0.0, np.trace(covariance)))),
    )


def share_within(region: Region, off_mm: Points) -> float:
    """Share of ends, off their drawn place by `off_mm`, shape (n, 3), that lie in a region."""
    open_axes = np.array(region.half_mm) > 0.0
    half = np.array(region.half_mm)[open_axes]
    along = off_mm @ np.array(region.axes).T[:, open_axes] / half
    return float(np.mean((along**2).sum(axis=1) <= 1.0 + 1e-9))


def sample(
    job: BendJob, settings: BendSettings, sources: Sources, placing: Placing, trials: int, seed: int
) -> Landing:
    """Ends of bars with errors drawn at random: no linear model."""
    errors = np.random.default_rng(seed).standard_normal((trials, len(sources.named)))
    return land(job.bar, tables_with(job, settings, sources, errors), placing)


def _far_end(bar: Bar, tables: BentTables) -> Points:
    """End B of every bar, with end A, its direction and the first bend plane where the drawn bar has them."""
    table = bend_table(bar)
    ends = tuple(np.array([0.0, 1.0]) for _ in range(2 * len(table.angles_deg) + 1))
    turn, shift = best_rigid_motion(np.array(nodes_from_table(table)), bar.nodes)
    far: Points = bend_all(_first_plane_kept(tables), ends)[:, -1] @ turn.T + shift
    return far


def _first_plane_kept(tables: BentTables) -> BentTables:
    turns = tables.rotations_deg.copy()
    turns[:, 0] = 0.0
    return BentTables(
        straights_mm=tables.straights_mm,
        rotations_deg=turns,
        angles_deg=tables.angles_deg,
        clr_mm=tables.clr_mm,
    )


def _turned_round(tables: BentTables) -> BentTables:
    """The same bars from end B to end A: rotations keep their sign and belong to the bend after them."""
    turns = np.concatenate(
        [np.zeros_like(tables.rotations_deg[:, :1]), tables.rotations_deg[:, :0:-1]], axis=1
    )
    return BentTables(
        straights_mm=tables.straights_mm[:, ::-1],
        rotations_deg=turns,
        angles_deg=tables.angles_deg[:, ::-1],
        clr_mm=tables.clr_mm,
    )
