"""Which straight ways the copes of a bar leave it: what is coped at both ends between two bars is held by its ears."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Node, as_node, centreline
from hoopwright.cage import Cage, bar_of
from hoopwright.geometry import Points, unit_vector
from hoopwright.joints.ways.body import edge_at

_DIRECTIONS = 2000
_GIVES_DEG = 2.0
_FREE_SHARE = 0.01


@dataclass(frozen=True, eq=False, kw_only=True)
class HeldEnd:
    """A coped end.

    Args:
        letter: `A` or `B`.
        on: The bar that it is coped to.
        ears_mm: How far the ears of the cope reach round it, along the coped tube.
    """

    letter: str
    on: str
    ears_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class Held:
    """How its copes hold a bar.

    Args:
        name: The bar.
        ends: Its coped ends.
        share: Share of all directions in which it can be drawn off straight, 0 to 1.
        along: The one line along which it slides when there is no other way, or None.
    """

    name: str
    ends: tuple[HeldEnd, ...]
    share: float
    along: Node | None

    @property
    def is_held(self) -> bool:
        """Whether it comes away in no straight way but, at most, along the bars that it is coped to."""
        return len(self.ends) == 2 and self.share < _FREE_SHARE


def held_by_copes(cage: Cage, name: str) -> Held:
    """Which straight ways the copes of a bar leave it, to first order; a rubbing of 2° is taken as free.

    A cope is left in a direction when no point of its edge goes into the bar that it lies on there.

    Raises:
        UserError: `CAGE-001`.
        ValueError: For a bar that cannot be.
    """
    member, bar = cage.member(name), bar_of(cage, name)
    ends, normals = [], [np.empty((0, 3))]
    for letter, end in (("A", member.end_a), ("B", member.end_b)):
        if end.kind != "bar" or end.on is None:
            continue
        edge = edge_at(cage, name, letter)
        if not len(edge):
            continue
        normals.append(_out_of(cage, end.on, edge))
        path = centreline(bar)
        at = 0.0 if letter == "A" else path.length_mm
        along = edge @ path.directions_at([at])[0]
        ends.append(HeldEnd(letter=letter, on=end.on, ears_mm=float(np.ptp(along))))
    out = np.concatenate(normals)
    ways = _spread(_DIRECTIONS)
    free = (
        (ways @ out.T >= -np.sin(np.radians(_GIVES_DEG))).all(axis=1)
        if len(out)
        else np.ones(len(ways), bool)
    )
    share = float(free.mean())
    along = _line(out) if len(ends) == 2 and share < _FREE_SHARE else None
    return Held(name=name, ends=tuple(ends), share=share, along=along)


def _out_of(cage: Cage, header: str, edge: Points) -> Points:
    """Unit directions out of a bar at points of its skin."""
    path = centreline(bar_of(cage, header))
    feet = np.array([path.at([path.nearest_mm(point)])[0] for point in edge])
    out: Points = (edge - feet) / np.maximum(np.linalg.norm(edge - feet, axis=1), 1e-9)[:, None]
    return out


def _line(out: Points) -> Node | None:
    """The direction square to all directions out of the headers, where there is one within what gives."""
    _, sizes, rows = np.linalg.svd(out, full_matrices=True)
    least = rows[2]
    if float(np.abs(out @ least).max()) > np.sin(np.radians(2.0 * _GIVES_DEG)) or len(sizes) < 3:
        return None
    return as_node(unit_vector(least if least[2] >= 0.0 else -least))


def _spread(count: int) -> Points:
    up = 1.0 - (2.0 * np.arange(count) + 1.0) / count
    turn_rad = np.arange(count) * np.pi * (3.0 - np.sqrt(5.0))
    level = np.sqrt(1.0 - up * up)
    spread: Points = np.stack([level * np.cos(turn_rad), level * np.sin(turn_rad), up], axis=1)
    return spread
