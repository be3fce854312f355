"""What becomes of a bar: how far its ends and its gaps are off, and where."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node, as_node, as_nodes, nodes_from_table
from hoopwright.bender.bend_job import BendJob, BendSettings, bent_table
from hoopwright.bender.rescue.goal import Target, goal_score, make_target
from hoopwright.bender.rescue.unknowns import Open, places_at, settings_at, to_car
from hoopwright.findings import UserError
from hoopwright.geometry import Points, Vector, unit_vector

_FINE_MM = 5.0


@dataclass(frozen=True, kw_only=True)
class LeastGap:
    """The least gap of a bar and its place.

    Args:
        gap_mm: From the tube's skin to the nearest metal.
        place_mm: On the tube's axis, vehicle frame.
        along_mm: How far along the drawn bar from end A.
    """

    gap_mm: float
    place_mm: Node
    along_mm: float


@dataclass(frozen=True, kw_only=True)
class Outcome:
    """A bar as certain settings would make it, laid in the car as well as it goes.

    Args:
        settings: Of all bends, done and to come.
        trim_a_mm: What is to be cut off at end A.
        trim_b_mm: The same at end B.
        miss_a_mm: How far end A is off its place.
        miss_b_mm: The same of end B.
        short_a_mm: How much tube is missing at end A; 0 where it is long enough.
        short_b_mm: The same at end B.
        off_mm: How far the bar is off the drawn one at the worst place.
        goal_score: Half the sum of squares of what is missed; 0 for the drawn bar.
        least: The least gap; None without a shell.
        nodes_mm: Nodes in the car; None where bends overlap.
    """

    settings: BendSettings
    trim_a_mm: float
    trim_b_mm: float
    miss_a_mm: float
    miss_b_mm: float
    short_a_mm: float
    short_b_mm: float
    off_mm: float
    goal_score: float
    least: LeastGap | None
    nodes_mm: tuple[Node, ...] | None

    @property
    def worst_miss_mm(self) -> float:
        """How far the worse end is off."""
        return max(self.miss_a_mm, self.miss_b_mm)


def outcome_of(found: Open, target: Target, unknowns: Vector) -> Outcome:
    """What a set of unknowns makes of the bar."""
    places, drawn = places_at(found, unknowns[None])[0], target.drawn.points_mm
    settings, trim_a, trim_b = settings_at(found, unknowns)
    off = places - drawn
    outward_a, outward_b = unit_vector(drawn[0] - drawn[1]), unit_vector(drawn[-1] - drawn[-2])
    return Outcome(
        settings=settings,
        trim_a_mm=trim_a,
        trim_b_mm=trim_b,
        miss_a_mm=float(np.linalg.norm(off[0])),
        miss_b_mm=float(np.linalg.norm(off[-1])),
        short_a_mm=max(0.0, -float(off[0] @ outward_a)),
        short_b_mm=max(0.0, -float(off[-1] @ outward_b)),
        off_mm=float(np.linalg.norm(off, axis=1).max()),
        goal_score=goal_score(target, places),
        least=_least(found, target, unknowns),
        nodes_mm=_nodes(found, unknowns, settings, trim_a, trim_b),
    )


def drawn_least_gap(job: BendJob, target: Target) -> LeastGap | None:
    """The least gap of the drawn bar; None without a shell."""
    fine = _fine(job, target)
    return _at_least(fine, fine.drawn.points_mm)


def _fine(job: BendJob, target: Target) -> Target:
    return make_target(job, target.goal, target.gap, _FINE_MM)


def _least(found: Open, target: Target, unknowns: Vector) -> LeastGap | None:
    if target.gap is None:
        return None
    fine = _fine(found.job, target)
    return _at_least(fine, places_at(found, unknowns[None], fine.drawn.shares)[0])


def _at_least(fine: Target, places: Points) -> LeastGap | None:
    if fine.gap is None or not fine.judged.any():
        return None
    gaps = fine.gap(places[fine.judged])
    worst = int(np.argmin(gaps))
    return LeastGap(
        gap_mm=float(gaps[worst]),
        place_mm=as_node(places[fine.judged][worst]),
        along_mm=float(fine.drawn.along_mm[fine.judged][worst]),
    )


def _nodes(
    found: Open, unknowns: Vector, settings: BendSettings, trim_a_mm: float, trim_b_mm: float
) -> tuple[Node, ...] | None:
    try:
        nodes = np.array(nodes_from_table(bent_table(found.job, settings, trim_a_mm, trim_b_mm)))
    except UserError:
        return None
    return as_nodes(to_car(found, unknowns[None], nodes[None])[0])
