"""A tie from a bar to the shell: a plate that stands on the bar and follows the metal of the pillar."""

import math

import numpy as np
from numpy.typing import NDArray
from scipy.ndimage import grey_opening

from hoopwright.bars import Bar, Node, as_node, centreline
from hoopwright.cage import Gusset
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Line, Points, Vector, unit_vector
from hoopwright.joints.flat import FlatPart
from hoopwright.joints.gusset.limits import check_sheet
from hoopwright.joints.gusset.made import MadeGusset
from hoopwright.shell.shell import Shell

REACH_MM = 200.0
"""A tie that is longer stiffens little: common practice, no source."""
TRUE_TO_MM = 0.3
"""How closely the cut edge follows the scanned metal."""
BRIDGED_MM = 25.0
"""A hole in the metal, or in the scan, that is narrower is bridged by the edge: common practice, no source."""
_STEP_MM = 2.0


def pillar_tie(gusset: Gusset, bar: Bar, shell: Shell) -> MadeGusset:
    """The true shape of a tie, from the bar's skin to the metal nearest to it.

    Args:
        gusset: As it is meant.
        bar: The bar that it stands on.
        shell: In the vehicle frame.

    Returns:
        The part with x along the bar's travel and y from its skin to the shell.

    Raises:
        UserError: `GUSSET-001`; `GUSSET-004` where the bar is not straight over the tie's length; `GUSSET-007` where
            there is no metal within 200 mm of all of it, or the bar touches it.
    """
    check_sheet(gusset)
    axis, middle_mm = _axis(gusset, bar)
    foot = axis.at(np.array([middle_mm]))[0]
    toward = _toward_metal(gusset, bar, shell, axis, foot)
    along, faces = _distances(gusset, shell, axis, middle_mm, toward)
    radius = bar.tube.od_mm / 2.0
    met = np.where(np.isfinite(faces).all(axis=0), faces.min(axis=0), np.inf) - radius
    clear = grey_opening(met, size=(round(BRIDGED_MM / _STEP_MM),))
    own = np.abs(along) <= gusset.leg_mm / 2.0 + 1e-9
    along, faces, clear = along[own], faces[:, own], clear[own]
    bridged = faces.max(axis=0) - radius > clear + _STEP_MM
    _check_metal(gusset, bar, clear, np.flatnonzero(bridged), foot)
    kept = _thinned(along, clear)
    outline = np.concatenate(
        [[[along[0], 0.0], [along[-1], 0.0]], np.column_stack([along[kept], clear[kept]])[::-1]]
    )
    part = FlatPart(
        name=f"{gusset.name} {gusset.kind}",
        thickness_mm=gusset.thickness_mm,
        outline_mm=outline,
        notes=(f"straight edge on {gusset.bar_id}, end A at the left; the other edge follows the shell",),
    )
    over = faces.max(axis=0) - radius - np.interp(along, along[kept], clear[kept])
    return MadeGusset(
        gusset=gusset,
        part=part,
        outline_mm=foot + np.outer(outline[:, 0], axis.direction) + np.outer(outline[:, 1] + radius, toward),
        angle_deg=90.0,
        gap_mm=float(np.max(over[~bridged])),
        mass_kg=part.mass_kg,
        findings=_bridges(gusset, foot, np.count_nonzero(bridged) * _STEP_MM) if bridged.any() else (),
    )


def _axis(gusset: Gusset, bar: Bar) -> tuple[Line, float]:
    """The straight that the tie stands on, and where on it its middle is."""
    place = np.array(gusset.place_mm)
    lines = [piece for piece in centreline(bar).pieces if isinstance(piece, Line) and piece.length_mm > 0.0]
    axis = min(
        lines, key=lambda one: float(np.linalg.norm(one.at(np.array([one.nearest_mm(place)]))[0] - place))
    )
    middle = float((place - axis.start_mm) @ axis.direction)
    half = gusset.leg_mm / 2.0
    if axis.length_mm < gusset.leg_mm or not half <= middle <= axis.length_mm - half:
        room = max(0.0, 2.0 * min(middle, axis.length_mm - middle))
        nearest = float(np.clip(middle, half, axis.length_mm - half))
        todo = (
            f"Put its middle at {_typed(as_node(axis.at(np.array([nearest]))[0]))}"
            if axis.length_mm >= gusset.leg_mm
            else f"At most {math.floor(axis.length_mm):g} mm stand on this straight"
        )
        raise UserError(
            Finding(
                code="GUSSET-004",
                severity=Severity.STOP,
                sentence=f"Tie {gusset.name} is {gusset.leg_mm:g} mm long, but {bar.name} is straight for "
                f"{room:.1f} mm about that place.",
                todo=todo,
                objects=(gusset.name, bar.name),
                point_mm=gusset.place_mm,
                measured=gusset.leg_mm,
                limit=room,
                unit="mm",
            )
        )
    return axis, middle


def _typed(place: Node) -> str:
    return ",".join(f"{one:.0f}" for one in place)


def _distances(
    gusset: Gusset, shell: Shell, axis: Line, middle_mm: float, toward: Vector
) -> tuple[Vector, Points]:
    """Stations along the axis from the tie's middle, and the metal from the axis along both faces, shape (2, n).

    The stations go on beyond the tie by a bridged hole each way, so that its ends are judged like the rest.
    """
    steps = max(2, math.ceil(gusset.leg_mm / _STEP_MM))
    more = math.ceil(BRIDGED_MM / _STEP_MM)
    along = np.arange(-more, steps + more + 1, dtype=np.float64) * (gusset.leg_mm / steps)
    along -= gusset.leg_mm / 2.0
    across = np.cross(axis.direction, toward) * gusset.thickness_mm / 2.0
    starts = axis.at(middle_mm + along)
    rays = np.broadcast_to(toward, starts.shape)
    faces = [
        shell.first_hits(starts + side * across, rays, reach_mm=REACH_MM).distance_mm for side in (-1.0, 1.0)
    ]
    return along, np.array(faces)


def _toward_metal(gusset: Gusset, bar: Bar, shell: Shell, axis: Line, foot: Vector) -> Vector:
    """Unit direction, square to the axis, in which the nearest metal lies."""
    to_metal = shell.nearest(foot[None]).place_mm[0] - foot
    square = to_metal - float(to_metal @ axis.direction) * axis.direction
    if float(np.linalg.norm(square)) < 0.1 * float(np.linalg.norm(to_metal)) or not np.isfinite(square).all():
        raise _out_of_reach(gusset, bar, foot, "the nearest metal lies beyond the bar's end, not beside it")
    return unit_vector(square)


def _check_metal(gusset: Gusset, bar: Bar, clear: Vector, bridged: NDArray[np.int64], foot: Vector) -> None:
    missed = int(np.count_nonzero(~np.isfinite(clear)))
    if missed or len(bridged) > len(clear) / 2.0:
        without = max(missed, len(bridged))
        why = f"{without} of {len(clear)} stations along it meet no metal within {REACH_MM:g} mm, or a hole"
        raise _out_of_reach(gusset, bar, foot, why)
    near = float(clear.min())
    if near < gusset.thickness_mm:
        why = f"only {near:.1f} mm are left between {bar.name} and the metal (the sheet is {gusset.thickness_mm:g} mm)"
        raise _out_of_reach(gusset, bar, foot, why, near)


def _out_of_reach(
    gusset: Gusset, bar: Bar, foot: Vector, why: str, near_mm: float | None = None
) -> UserError:
    return UserError(
        Finding(
            code="GUSSET-007",
            severity=Severity.STOP,
            sentence=f"Tie {gusset.name} cannot go between {bar.name} and the shell: {why}.",
            todo="Make it shorter, or put it where metal faces the whole of it.",
            objects=(gusset.name, bar.name),
            point_mm=as_node(foot),
            measured=near_mm,
            limit=None if near_mm is None else gusset.thickness_mm,
            unit="" if near_mm is None else "mm",
        )
    )


def _bridges(gusset: Gusset, foot: Vector, bridged_mm: float) -> tuple[Finding, ...]:
    return (
        Finding(
            code="GUSSET-010",
            severity=Severity.NOTE,
            sentence=f"The edge of tie {gusset.name} bridges {bridged_mm:.0f} mm where the scan has a hole "
            "or steps back.",
            todo="Look at the metal there before welding to it.",
            objects=(gusset.name,),
            point_mm=as_node(foot),
            measured=bridged_mm,
            unit="mm",
        ),
    )


def _thinned(x: Vector, y: Vector) -> Vector:
    """Indices of a line that follows y over x within 0.3 mm, ends included."""
    kept, waiting = {0, len(x) - 1}, [(0, len(x) - 1)]
    while waiting:
        low, high = waiting.pop()
        if high - low < 2:
            continue
        between = slice(low + 1, high)
        off = np.abs(y[between] - np.interp(x[between], x[[low, high]], y[[low, high]]))
        worst = int(np.argmax(off))
        if off[worst] > TRUE_TO_MM:
            split = low + 1 + worst
            kept.add(split)
            waiting += [(low, split), (split, high)]
    return np.array(sorted(kept))
