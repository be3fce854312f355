"""Sheets of the demo car: a surface over the unit square, and the triangles laid on it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import Points

Floats = NDArray[np.float64]
Surface = Callable[[Floats, Floats], Points]
"""Places for u and v in 0 to 1, each of shape (n,)."""
Rail = Callable[[Floats], Points]
"""Places for u in 0 to 1, shape (n,)."""

_JITTER = 0.22
"""Share of a cell by which inner corners wander on the surface, so that the mesh is no tidy grid."""
_PROBES = 41


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """One pressed sheet or other connected piece.

    Args:
        name: What it is, such as `left_sill`.
        surface: Its shape, mm.
        u_creases: Values of u where a fold runs; with 0 and 1.
        v_creases: Values of v where a fold runs; with 0 and 1.
        hidden: Whether a scanner sees it badly.
        of_car: False for what stands or lies about the car.
    """

    name: str
    surface: Surface
    u_creases: tuple[float, ...] = (0.0, 1.0)
    v_creases: tuple[float, ...] = (0.0, 1.0)
    hidden: bool = False
    of_car: bool = True


@dataclass(frozen=True, eq=False, kw_only=True)
class SheetMesh:
    """Triangles of one sheet.

    Args:
        corners: Grid of places, shape (nu, nv, 3), mm.
        triangles: Indices into the flattened grid, shape (n, 3).
    """

    corners: Points
    triangles: NDArray[np.int32]

    @property
    def normals(self) -> Points:
        """Unit normals at the corners, shape (nu, nv, 3); rough at folds."""
        along, across = np.gradient(self.corners, axis=0), np.gradient(self.corners, axis=1)
        normals = np.cross(along, across)
        lengths = np.linalg.norm(normals, axis=2, keepdims=True)
        return np.asarray(normals / np.maximum(lengths, 1e-12))


def mesh_sheet(sheet: Sheet, spacing_mm: float, rng: np.random.Generator) -> SheetMesh:
    """Lay triangles of about `spacing_mm` on a sheet; corners lie on the surface, folds are edges."""
    u_lengths, v_lengths = _lengths_mm(sheet)
    u, u_free = _stations(sheet.u_creases, u_lengths, spacing_mm)
    v, v_free = _stations(sheet.v_creases, v_lengths, spacing_mm)
    uu, vv = _wandering(u, v, u_free, v_free, rng)
    corners = sheet.surface(uu.ravel(), vv.ravel()).reshape(len(u), len(v), 3)
    return SheetMesh(corners=corners, triangles=_grid_triangles(len(u), len(v)))


def _lengths_mm(sheet: Sheet) -> tuple[list[float], list[float]]:
    """Greatest length of each stretch between folds, along u and along v."""
    cross = np.linspace(0.0, 1.0, 9)
    return (
        [_longest(sheet, a, b, cross, along_u=True) for a, b in pairwise(sheet.u_creases)],
        [_longest(sheet, a, b, cross, along_u=False) for a, b in pairwise(sheet.v_creases)],
    )


def _longest(sheet: Sheet, start: float, end: float, cross: Floats, *, along_u: bool) -> float:
    walk, side = np.meshgrid(np.linspace(start, end, _PROBES), cross, indexing="ij")
    first, second = (walk, side) if along_u else (side, walk)
    places = sheet.surface(first.ravel(), second.ravel()).reshape(_PROBES, len(cross), 3)
    lengths = np.linalg.norm(np.diff(places, axis=0), axis=2).sum(axis=0)
    return float(lengths.mean() * 0.5 + lengths.max() * 0.5)


def _stations(
    creases: Sequence[float], lengths: Sequence[float], spacing_mm: float
) -> tuple[Floats, NDArray[np.bool_]]:
    """Values along one direction, and which of them may wander."""
    values, free = [np.array([creases[0]])], [np.array([False])]
    for (start, end), length in zip(pairwise(creases), lengths, strict=True):
        count = max(1, round(length / spacing_mm))
        values.append(np.linspace(start, end, count + 1)[1:])
        free.append(np.arange(1, count + 1) < count)
    return np.concatenate(values), np.concatenate(free)


def _wandering(
    u: Floats, v: Floats, u_free: NDArray[np.bool_], v_free: NDArray[np.bool_], rng: np.random.Generator
) -> tuple[Floats, Floats]:
    shape = (len(u), len(v))
    u_step = np.where(u_free, np.gradient(u), 0.0)[:, None] * _JITTER
    v_step = np.where(v_free, np.gradient(v), 0.0)[None, :] * _JITTER
    return (
        u[:, None] + u_step * rng.uniform(-1.0, 1.0, shape),
        v[None, :] + v_step * rng.uniform(-1.0, 1.0, shape),
    )


def _grid_triangles(rows: int, columns: int) -> NDArray[np.int32]:
    """Two triangles for each cell, the diagonal changing like a chessboard."""
    index = np.arange(rows * columns, dtype=np.int32).reshape(rows, columns)
    a, b, c, d = index[:-1, :-1], index[1:, :-1], index[1:, 1:], index[:-1, 1:]
    even = ((np.arange(rows - 1)[:, None] + np.arange(columns - 1)[None, :]) % 2 == 0)[..., None, None]
    rising = np.stack([np.stack([a, b, c], -1), np.stack([a, c, d], -1)], axis=2)
    falling = np.stack([np.stack([a, b, d], -1), np.stack([b, c, d], -1)], axis=2)
    return np.where(even, rising, falling).reshape(-1, 3).astype(np.int32)


def loft(rails: Sequence[Rail]) -> Surface:
    """Straight lines from each rail to the next: u runs along the rails, v across them."""

    def surface(u: Floats, v: Floats) -> Points:
        place = v * (len(rails) - 1)
        lower = np.minimum(place.astype(int), len(rails) - 2)
        points = np.empty((len(u), 3))
        for number in range(len(rails) - 1):
            at = lower == number
            share = (place[at] - number)[:, None]
            points[at] = rails[number](u[at]) * (1.0 - share) + rails[number + 1](u[at]) * share
        return points

    return surface


def even_creases(rail_count: int) -> tuple[float, ...]:
    """Creases at every one of `rail_count` rails of a loft."""
    return tuple(float(value) for value in np.linspace(0.0, 1.0, rail_count))


def lofted(
    name: str, rails: Sequence[Rail], *, u_creases: tuple[float, ...] = (0.0, 1.0), hidden: bool = False
) -> Sheet:
    """A sheet folded at every rail."""
    return Sheet(
        name=name,
        surface=loft(rails),
        u_creases=u_creases,
        v_creases=even_creases(len(rails)),
        hidden=hidden,
    )


def other_side(sheet: Sheet) -> Sheet:
    """The same sheet on the right; its name starts with `right_` in place of `left_`."""

    def surface(u: Floats, v: Floats) -> Points:
        # u runs backwards so that both sides face the same way, outward or inward.
        mirrored: Points = sheet.surface(1.0 - u, v) * np.array([1.0, -1.0, 1.0])
        return mirrored

    return replace(
        sheet,
        name=sheet.name.replace("left_", "right_", 1),
        surface=surface,
        u_creases=tuple(1.0 - value for value in reversed(sheet.u_creases)),
    )


def places(forward: ArrayLike, left: ArrayLike, up: ArrayLike) -> Points:
    """Places from their three columns, each of shape (n,) or a number."""
    return np.stack(np.broadcast_arrays(forward, left, up), axis=-1).astype(np.float64)
