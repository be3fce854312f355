"""One bar as a card: what a person reads of it at a glance."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.bars import Node, bend_table, check_shape, developed_mm
from hoopwright.cage import bar_of
from hoopwright.findings import stopping
from hoopwright.jobs.views import BarView
from hoopwright.store import Project
from hoopwright.units import format_angle


@dataclass(frozen=True, kw_only=True)
class BarCard:
    """A bar at a glance.

    Args:
        bar_id: Its name.
        role: What it is.
        tube: Its tube in words.
        mirror_of: The bar that it mirrors, or None.
        nodes_mm: Its nodes, vehicle frame.
        developed_mm: Length along its axis; 0 where it cannot be.
        angles_deg: Of its bends.
        rows: Number, straight in mm, rotation and angle in words; the last row is a straight alone.
        gap_text: Its smallest gap and where, or empty.
    """

    bar_id: str
    role: str
    tube: str
    mirror_of: str | None
    nodes_mm: tuple[Node, ...]
    developed_mm: float
    angles_deg: tuple[float, ...]
    rows: tuple[tuple[int, float, str, str], ...]
    gap_text: str


def bar_nodes(project: Project, bar_id: str) -> tuple[Node, ...]:
    """The nodes of one bar in mm, vehicle frame; of a mirror those that it has by what it mirrors.

    Raises:
        UserError: `CAGE-001`.
    """
    return bar_of(project.cage, bar_id).nodes_mm


def bar_card(project: Project, bar_id: str, views: Sequence[BarView]) -> BarCard:
    """The card of one bar.

    Args:
        project: The project.
        bar_id: The bar.
        views: What is drawn, with the gaps.

    Raises:
        UserError: `CAGE-001`.
    """
    member, bar = project.cage.member(bar_id), bar_of(project.cage, bar_id)
    whole = not stopping(check_shape(bar))
    nearest = next((view.nearest for view in views if view.bar_id == bar_id), None)
    made = bend_table(bar) if whole else None
    rows: list[tuple[int, float, str, str]] = []
    if made is not None:
        for number, straight in enumerate(made.straights_mm, start=1):
            last = number > len(made.angles_deg)
            rows.append(
                (
                    number,
                    straight,
                    "" if last or number == 1 else format_angle(made.rotations_deg[number - 1], decimals=2),
                    "" if last else format_angle(made.angles_deg[number - 1], decimals=2),
                )
            )
    return BarCard(
        bar_id=bar_id,
        role=member.role.value,
        tube=f"{member.tube.od_mm:g} x {member.tube.wall_mm:g}",
        mirror_of=member.mirror_of,
        nodes_mm=bar.nodes_mm,
        developed_mm=developed_mm(bar) if whole else 0.0,
        angles_deg=() if made is None else made.angles_deg,
        rows=tuple(rows),
        gap_text="" if nearest is None else f"smallest gap {nearest.gap_mm:.1f} mm to {nearest.region}",
    )
