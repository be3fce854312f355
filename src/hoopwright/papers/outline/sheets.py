"""Plates and gussets as a line drawing needs them: flat and folded sheets without thickness."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Points
from hoopwright.papers.outline.curves import SAMPLED_MM
from hoopwright.papers.plate_mesh import flat_triangles

_SAME_MM = 0.5
"""Two faces of a folded sheet share an edge whose ends lie so near."""


@dataclass(frozen=True, eq=False, kw_only=True)
class Sheet:
    """A sheet as a drawing needs it.

    Args:
        lines: Its edges and folds, each of shape (n, 3).
        triangles: What hides the things behind it, shape (k, 3, 3).
    """

    lines: tuple[Points, ...]
    triangles: Points


def sheet_of_faces(outlines: Sequence[Points]) -> Sheet:
    """A sheet of flat faces; an edge that two of them share is drawn once.

    Args:
        outlines: Corners of each face without the first again, shape (n, 3).

    Raises:
        ValueError: For an outline without area, or one that crosses itself.
    """
    lines: list[Points] = []
    edges: list[Points] = []
    for outline in outlines:
        corners = np.concatenate([outline, outline[:1]])
        own = [corners[place : place + 2] for place in range(len(outline))]
        lines += _chains(corners, [not any(_same(edge, other) for other in edges) for edge in own])
        edges += own
    return Sheet(
        lines=tuple(map(sampled, lines)),
        triangles=np.concatenate([flat_triangles(outline) for outline in outlines]),
    )


def sheet_of_strip(first_mm: Points, second_mm: Points) -> Sheet:
    """A sheet folded round, from line to line across it.

    Args:
        first_mm: One end of each line, shape (n, 3).
        second_mm: The other end, shape (n, 3).
    """
    edge = np.concatenate([first_mm, second_mm[::-1], first_mm[:1]])
    quads = [
        ((first_mm[k], second_mm[k], second_mm[k + 1]), (first_mm[k], second_mm[k + 1], first_mm[k + 1]))
        for k in range(len(first_mm) - 1)
    ]
    return Sheet(lines=(sampled(edge),), triangles=np.array(quads).reshape(-1, 3, 3))


def sampled(line: Points) -> Points:
    """The line with places between its corners, as close as those of a tube."""
    steps = np.linalg.norm(np.diff(line, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    between = np.arange(SAMPLED_MM, along[-1], SAMPLED_MM)
    at = np.unique(np.concatenate([along, between]))
    return np.column_stack([np.interp(at, along, line[:, axis]) for axis in range(3)])


def _chains(corners: Points, wanted: Sequence[bool]) -> Iterator[Points]:
    """Runs of edges that are drawn, each as one line."""
    begun: int | None = None
    for place, draws in enumerate([*wanted, False]):
        if draws and begun is None:
            begun = place
        elif not draws and begun is not None:
            yield corners[begun : place + 1]
            begun = None


def _same(edge: Points, other: Points) -> bool:
    return any(float(np.abs(edge - way).max()) < _SAME_MM for way in (other, other[::-1]))
