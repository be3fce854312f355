"""Outlines of tubes and sheets parted into runs that are seen and runs that are hidden."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from hoopwright.geometry import Points, Vector
from hoopwright.papers.outline.curves import SolidTube, drawn_curves, stretches
from hoopwright.papers.outline.cylinders import Cylinders, cylinders_of
from hoopwright.papers.outline.sheets import Sheet
from hoopwright.papers.outline.sight import HIDDEN, INSIDE, SEEN, behind_triangles, sight_states
from hoopwright.papers.views import View

SKIN_MM = 0.3
"""Tubes hide as if they were thinner by this much all over, so that a line on a skin is not hidden by that skin."""
SHOWN_EVERY_MM = 8.0
_HALVINGS = 12
_EDGE_ON_SIN = 0.2
_PARTS = 8
_IN_A_TRIANGLE = (
    np.array(
        [(i + 1 / 3, j + 1 / 3, _PARTS - i - j - 2 / 3) for i in range(_PARTS) for j in range(_PARTS - i)]
    )
    / _PARTS
)
"""Shares of the corners in places that lie evenly over a triangle, off its edges; shape (p, 3)."""

RunState = Literal["seen", "hidden"]
_STATES: dict[int, RunState] = {SEEN: "seen", HIDDEN: "hidden"}


@dataclass(frozen=True, eq=False, kw_only=True)
class Run:
    """A stretch of an outline, seen or hidden all along.

    Args:
        tube: Number of the tube that it belongs to, from 0; sheets are counted on after the tubes.
        state: Whether the viewer sees it.
        points_mm: Shape (n, 3), n at least 2.
    """

    tube: int
    state: RunState
    points_mm: Points


def outline_runs(tubes: Sequence[SolidTube], seen: View, sheets: Sequence[Sheet] = ()) -> tuple[Run, ...]:
    """The outlines of tubes and sheets in a view; what lies in the metal of another tube is left out.

    Args:
        tubes: The tubes.
        seen: The view, without perspective.
        sheets: Plates and gussets between and under them.
    """
    toward = np.cross(seen.across, seen.upward)
    curves = [(number, curve) for number, tube in enumerate(tubes) for curve in drawn_curves(tube, toward)]
    curves += [
        (number, line) for number, sheet in enumerate(sheets, start=len(tubes)) for line in sheet.lines
    ]
    if not curves:
        return ()
    sight = _sight(tubes, sheets, seen)
    sizes = [len(curve) for _, curve in curves]
    places = np.concatenate([curve for _, curve in curves])
    own = np.repeat([number for number, _ in curves], sizes)
    states = sight.states(places, own)
    changes = _changes(sight, places, own, states, np.cumsum(sizes)[:-1])
    runs: list[Run] = []
    first = 0
    for (number, curve), size in zip(curves, sizes, strict=True):
        runs.extend(_runs(number, curve, states[first : first + size], changes[first : first + size]))
        first += size
    return tuple(runs)


def seen_places(
    tubes: Sequence[SolidTube], seen: View, sheets: Sequence[Sheet] = ()
) -> tuple[tuple[Points, ...], ...]:
    """The stretches of each tube's axis over which the viewer sees its near side, each of shape (n, 3)."""
    sight = _sight(tubes, sheets, seen)
    return tuple(tuple(_shown(sight, number, tube)) for number, tube in enumerate(tubes))


def seen_of_sheets(tubes: Sequence[SolidTube], seen: View, sheets: Sequence[Sheet]) -> tuple[Points, ...]:
    """Places on each sheet that the viewer sees and does not see edge-on, each of shape (n, 3)."""
    sight = _sight(tubes, sheets, seen)
    found = []
    for number, sheet in enumerate(sheets, start=len(tubes)):
        sides = sheet.triangles[:, 1:] - sheet.triangles[:, :1]
        normals = np.cross(sides[:, 0], sides[:, 1])
        is_open = np.abs(normals @ sight.toward) > _EDGE_ON_SIN * np.linalg.norm(normals, axis=1)
        places = np.einsum("pc,kcx->kpx", _IN_A_TRIANGLE, sheet.triangles[is_open]).reshape(-1, 3)
        found.append(places[sight.states(places, np.full(len(places), number)) == SEEN])
    return tuple(found)


def _shown(sight: "_Sight", number: int, tube: SolidTube) -> Iterator[Points]:
    along = tube.path.even_distances(SHOWN_EVERY_MM)
    axis, travel = tube.path.at(along), tube.path.directions_at(along)
    facing = sight.toward - (travel @ sight.toward)[:, None] * travel
    size = np.linalg.norm(facing, axis=1)
    near = axis + tube.od_mm / 2.0 * facing / np.maximum(size, 1e-9)[:, None]
    states = sight.states(near, np.full(len(along), number))
    is_there = np.ones(len(along), dtype=bool)
    for saw in (tube.saw_a, tube.saw_b):
        is_there &= saw is None or saw.distance_mm(near) >= 0.0
    for stretch in stretches((states == SEEN) & (size > 1e-6) & is_there):
        yield axis[stretch]


@dataclass(frozen=True, eq=False, kw_only=True)
class _Sight:
    """The tubes as they stand before one viewer."""

    cylinders: Cylinders
    boxes_mm: Points
    triangles: Points
    view: View
    toward: Vector

    def states(self, places_mm: Points, own: NDArray[np.intp]) -> NDArray[np.int8]:
        """`SEEN`, `HIDDEN` or `INSIDE` for each place."""
        held = self.cylinders
        flat = self.view.flat(places_mm)
        found: NDArray[np.int8] = sight_states(
            np.ascontiguousarray(places_mm),
            flat,
            own.astype(np.intp),
            np.ascontiguousarray(self.toward),
            held.starts_mm,
            held.axes,
            held.lengths_mm,
            held.radii_mm,
            held.tubes,
            self.boxes_mm,
            held.saws,
            SKIN_MM,
        )
        behind = behind_triangles(
            flat,
            places_mm @ self.toward,
            self.view.flat(self.triangles).reshape(-1, 3, 2),
            self.triangles @ self.toward,
            SKIN_MM,
        )
        return np.where((found == SEEN) & behind, np.int8(HIDDEN), found)


def _sight(tubes: Sequence[SolidTube], sheets: Sequence[Sheet], seen: View) -> _Sight:
    cylinders = cylinders_of(tubes)
    return _Sight(
        cylinders=cylinders,
        boxes_mm=cylinders.boxes_mm(seen.across, seen.upward),
        triangles=np.concatenate([np.empty((0, 3, 3)), *(sheet.triangles for sheet in sheets)]),
        view=seen,
        toward=np.cross(seen.across, seen.upward),
    )


def _changes(
    sight: _Sight,
    places: Points,
    own: NDArray[np.intp],
    states: NDArray[np.int8],
    breaks: NDArray[np.intp],
) -> Points:
    """After each place, the place at which the state changes before the next; the place itself where none does."""
    changes = places.copy()
    after = np.flatnonzero(states[1:] != states[:-1])
    after = after[~np.isin(after + 1, breaks)]
    if not len(after):
        return changes
    start, step = places[after], places[after + 1] - places[after]
    low, high = np.zeros(len(after)), np.ones(len(after))
    for _ in range(_HALVINGS):
        middle = (low + high) / 2.0
        same = sight.states(start + middle[:, None] * step, own[after]) == states[after]
        low, high = np.where(same, middle, low), np.where(same, high, middle)
    changes[after] = start + low[:, None] * step
    return changes


def _runs(number: int, curve: Points, states: NDArray[np.int8], changes: Points) -> Iterator[Run]:
    """The stretches of one line, each from change to change."""
    first = 0
    begins: Points = np.empty((0, 3))
    for last in [*np.flatnonzero(states[1:] != states[:-1]).tolist(), len(states) - 1]:
        ends = changes[last : last + 1] if last < len(states) - 1 else np.empty((0, 3))
        points = np.concatenate([begins, curve[first : last + 1], ends])
        if states[first] != INSIDE and len(points) > 1:
            yield Run(tube=number, state=_STATES[int(states[first])], points_mm=points)
        first, begins = last + 1, ends
