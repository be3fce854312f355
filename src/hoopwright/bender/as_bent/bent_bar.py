"""The bar that comes out when bends differ from the sheet: the marks stay where they were on the tube."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from hoopwright.bars import Bar, BendTable, bend_table, nodes_from_table
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import STRAIGHT_THROUGH_DEG, best_rigid_motion

TakenFrom = Literal["before", "after", "both"]
"""Which straight gives the tube that a bend uses more: the one toward end A, the one toward end B, half and half."""
_BEFORE_SHARE = {"before": 1.0, "after": 0.0, "both": 0.5}
_ENDS_WEIGHT = 1e4


@dataclass(frozen=True, kw_only=True)
class BendErrors:
    """How the bends came out, less what the sheet says.

    Args:
        angles_deg: One for each bend; over is positive.
        rotations_deg: One for each bend; the first is 0, since bend 1 is the reference.
        straights_mm: One for each straight: marks set wrong.
    """

    angles_deg: tuple[float, ...]
    rotations_deg: tuple[float, ...]
    straights_mm: tuple[float, ...]


def no_errors(table: BendTable) -> BendErrors:
    """Everything as on the sheet."""
    bends = len(table.angles_deg)
    return BendErrors(
        angles_deg=(0.0,) * bends, rotations_deg=(0.0,) * bends, straights_mm=(0.0,) * (bends + 1)
    )


def table_with(table: BendTable, errors: BendErrors, taken_from: Sequence[TakenFrom] = ()) -> BendTable:
    """The bend table with errors in it. A bend that turns more uses more tube, and its neighbours get shorter.

    Args:
        table: As drawn.
        errors: What came out otherwise.
        taken_from: For each bend the straight that gives the tube: `after` where end A led, `before` where end B
            did; half from each without.

    Raises:
        UserError: `ASBENT-002` where an angle falls under 0 or a straight is used up.
    """
    more_mm = np.radians(errors.angles_deg) * table.clr_mm
    share = np.array([_BEFORE_SHARE[one] for one in taken_from] or [0.5] * len(more_mm))
    straights = np.array(table.straights_mm) + np.array(errors.straights_mm)
    straights[:-1] -= more_mm * share
    straights[1:] -= more_mm * (1.0 - share)
    angles = np.array(table.angles_deg) + np.array(errors.angles_deg)
    if (straights < 0.0).any() or (angles < 0.0).any() or not np.isfinite(straights).all():
        raise _no_such_bar(straights, angles)
    return BendTable(
        straights_mm=tuple(map(float, straights)),
        rotations_deg=tuple(a + b for a, b in zip(table.rotations_deg, errors.rotations_deg, strict=True)),
        angles_deg=tuple(map(float, angles)),
        clr_mm=table.clr_mm,
    )


def bar_with(
    bar: Bar, errors: BendErrors, taken_from: Sequence[TakenFrom] = (), *, ends_held: bool = True
) -> Bar:
    """The bar with errors in it, laid where the drawn one lies.

    Args:
        bar: As drawn, with its finished radius.
        errors: What came out otherwise.
        taken_from: See `table_with`.
        ends_held: Whether its ends are put where the drawn ones are; else it is laid on all nodes alike.

    Raises:
        UserError: `ASBENT-002`, `BAR-...`.
    """
    return laid_on(bar, table_with(bend_table(bar), errors, taken_from), ends_held=ends_held)


def laid_on(bar: Bar, table: BendTable, *, ends_held: bool = True) -> Bar:
    """A bend table with as many bends as the bar, as a bar that lies where the drawn one lies.

    With its ends held, the middle between the ends and the line through them are those of the drawn bar, and it is
    turned about that line to lie best on the other nodes.

    Raises:
        UserError: `BAR-...` for a table that cannot be bent.
    """
    nodes = np.array(nodes_from_table(table))
    if bar.bend_count == 0 or max(table.angles_deg) < STRAIGHT_THROUGH_DEG:
        ends_held = True
    weights = np.ones(len(nodes))
    if ends_held:
        weights[[0, -1]] = _ENDS_WEIGHT
    rotation, shift = best_rigid_motion(nodes, bar.nodes, weights)
    return replace(bar.with_nodes(nodes @ rotation.T + shift), clr_mm=table.clr_mm)


def check_bent_table(table: BendTable) -> None:
    """Stop on a bend table that no bar has.

    Raises:
        UserError: `BAR-004` or `BAR-006`.
    """
    nodes_from_table(table)


def _no_such_bar(straights: np.ndarray, angles: np.ndarray) -> UserError:
    short, flat = int(np.argmin(straights)), int(np.argmin(angles))
    what = (
        f"bend {flat + 1} would turn by {angles[flat]:.1f}°"
        if angles[flat] < 0.0 and not straights[short] < 0.0
        else f"straight {short + 1} would be {straights[short]:.1f} mm long"
    )
    return UserError(
        Finding(
            code="ASBENT-002",
            severity=Severity.STOP,
            sentence=f"No bar comes out like this: {what}.",
            todo="Check the angles and distances and their unit.",
            measured=float(straights[short]) if math.isfinite(straights[short]) else None,
            limit=0.0,
            unit="mm",
        )
    )
