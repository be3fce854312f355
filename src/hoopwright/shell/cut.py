"""A shell with round holes cut in it: whatever is measured on it sees the holes.

Only metal inside a hole is left out. What lies near it and hangs together with what was cut becomes a region of its
own, the edge of the hole; every other skin stays as it was.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components

from hoopwright.geometry import Points, Vector, unit_vector
from hoopwright.shell.prism import area_mm2, cut_polygon, fan, round_prism
from hoopwright.shell.regions import regrouped
from hoopwright.shell.shell import Shell
from hoopwright.shell.tree import TriangleTree, boxed_tree, triangles_near

_SIDES, _EDGE_SIDES = 96, 32
_SAME_CORNER_MM = 1e-3


@dataclass(frozen=True, kw_only=True)
class RoundCut:
    """A round hole to cut.

    Args:
        name: Whose it is, such as the bar that passes.
        edge_name: What its edge is called among the regions.
        place_mm: Its middle, vehicle frame.
        direction: Its axis.
        radius_mm: Its radius.
        edge_mm: How far from the axis metal counts as its edge.
        deep_mm: How far along the axis metal is cut, from the middle each way.
    """

    name: str
    edge_name: str
    place_mm: tuple[float, float, float]
    direction: tuple[float, float, float]
    radius_mm: float
    edge_mm: float
    deep_mm: float


@dataclass(frozen=True, kw_only=True)
class CutSkin:
    """One skin that a hole was cut in.

    Args:
        regions: Names of its regions, that with most metal cut first.
        area_mm2: Metal cut away; 0 for points of a cloud.
        along_mm: Where along the hole's axis, from its middle.
    """

    regions: tuple[str, ...]
    area_mm2: float
    along_mm: float


@dataclass(frozen=True, eq=False, kw_only=True)
class CutShell:
    """A shell with holes.

    Args:
        shell: The shell.
        skins: For each hole in turn, the skins that it was cut in, along its axis.
    """

    shell: Shell
    skins: tuple[tuple[CutSkin, ...], ...]


def cut_shell(shell: Shell, cuts: Sequence[RoundCut]) -> CutShell:
    """Cut round holes in a shell.

    The hole is a prism of 96 sides within the cylinder, so that what is left is never too little: its edge is up to
    0.05 % of the radius too near.
    """
    if not cuts:
        return CutShell(shell=shell, skins=())
    work = _Work(shell)
    skins = tuple(work.cut(one, number) for number, one in enumerate(cuts))
    return CutShell(shell=work.shell(shell, cuts), skins=skins)


def without_edges(shell: Shell, name: str) -> Shell:
    """The shell without the edges of one bar's holes: for looking where the bar and its holes may go."""
    own = [region for region, bar in shell.edges.items() if bar == name]
    keep = ~np.isin(shell.prepared.regions.of_triangle, own)
    if keep.all() or not keep.any():
        return shell
    return _with_triangles(
        shell,
        corners=np.ascontiguousarray(shell.prepared.tree.corners[keep]),
        source=np.flatnonzero(keep),
        region=shell.prepared.regions.of_triangle[keep],
        more=0,
    )


class _Work:
    """The triangles while they are cut, in the scan's frame."""

    def __init__(self, shell: Shell) -> None:
        prepared = shell.prepared
        self.to_scan, self.names = shell.to_scan, list(shell.region_names)
        self.first_edge = prepared.regions.count
        self.tree, self.is_cloud = prepared.tree, prepared.is_cloud
        self.source = np.arange(len(prepared.tree.corners))
        self.region = np.array(prepared.regions.of_triangle)

    def cut(self, one: RoundCut, number: int) -> tuple[CutSkin, ...]:
        """Cut one hole; returns what was cut."""
        middle = self.to_scan.points(np.array([one.place_mm]))[0]
        frame = _frame(self.to_scan.directions(np.array([one.direction]))[0])
        reach = float(np.hypot(one.edge_mm, one.deep_mm)) + 1.0
        near = triangles_near(self.tree, middle, reach)
        local = (self.tree.corners[near].reshape(-1, 3).astype(np.float64) - middle) @ frame.T
        pieces = _pieces(near, local.reshape(-1, 3, 3), one)
        # points do not hang together: all of them near a hole are its edge
        skin_of = np.zeros(len(pieces), dtype=np.int64) if self.is_cloud else _hang_together(pieces)
        seeds = {skin_of[i] for i, piece in enumerate(pieces) if len(piece.hole)}
        skins = self._skins(pieces, skin_of, sorted(seeds))
        touched = [piece for i, piece in enumerate(pieces) if skin_of[i] in seeds]
        self._replace(touched, middle, frame, self.first_edge + number)
        self.names.append(one.edge_name)
        return skins

    def _skins(
        self, pieces: "list[_Piece]", skin_of: NDArray[np.int64], seeds: list[int]
    ) -> tuple[CutSkin, ...]:
        """What was cut, piece by hanging piece; pieces of one region are one skin, as scans have seams in it."""
        found: dict[str, CutSkin] = {}
        for seed in seeds:
            cut = [piece for i, piece in enumerate(pieces) if skin_of[i] == seed and len(piece.hole)]
            skin = self._skin(cut)
            other = found.get(skin.regions[0])
            found[skin.regions[0]] = skin if other is None else _joined(other, skin)
        return tuple(sorted(found.values(), key=lambda skin: skin.along_mm))

    def _skin(self, cut: "list[_Piece]") -> CutSkin:
        areas = [area_mm2(piece.hole) for piece in cut]
        names: dict[str, float] = {}
        for piece, area in zip(cut, areas, strict=True):
            name = self.names[int(self.region[piece.triangle])]
            names[name] = names.get(name, 0.0) + area
        return CutSkin(
            regions=tuple(sorted(names, key=lambda name: -names[name])),
            area_mm2=sum(areas),
            along_mm=float(np.mean([piece.hole[:, 2].mean() for piece in cut])),
        )

    def _replace(self, touched: "list[_Piece]", middle: Vector, frame: Points, edge: int) -> None:
        """Put the pieces in the place of the triangles that they were cut from, so that the order holds."""
        counts = np.ones(len(self.source), dtype=np.int64)
        made: dict[int, tuple[NDArray[np.float64], list[int]]] = {}
        for piece in touched:
            own = int(self.region[piece.triangle])
            parts = [(fan(p), own) for p in piece.outside] + [(fan(p), edge) for p in piece.edge]
            fans = [part for part, _ in parts] or [np.empty((0, 3, 3))]
            regions = [region for part, region in parts for _ in part]
            made[piece.triangle] = (np.concatenate(fans), regions)
            counts[piece.triangle] = len(regions)
        if counts.sum() == 0:
            return
        starts = np.concatenate([[0], np.cumsum(counts)])
        corners = np.repeat(self.tree.corners, counts, axis=0)
        self.region = np.repeat(self.region, counts)
        self.source = np.repeat(self.source, counts)
        for triangle, (triangles, regions_of) in made.items():
            at = slice(starts[triangle], starts[triangle + 1])
            corners[at] = (triangles @ frame + middle).reshape(-1, 9)
            self.region[at] = regions_of
        self.tree = boxed_tree(corners, np.repeat(self.tree.order, counts))

    def shell(self, shell: Shell, cuts: Sequence[RoundCut]) -> Shell:
        """The shell with what was cut."""
        cut = _with_triangles(
            shell, corners=self.tree.corners, source=self.source, region=self.region, more=len(cuts)
        )
        edges = {self.first_edge + number: one.name for number, one in enumerate(cuts)}
        return replace(cut, region_names=tuple(self.names), edges={**shell.edges, **edges})


def _joined(one: CutSkin, other: CutSkin) -> CutSkin:
    large, small = (one, other) if one.area_mm2 >= other.area_mm2 else (other, one)
    return CutSkin(
        regions=tuple(dict.fromkeys((*large.regions, *small.regions))),
        area_mm2=large.area_mm2 + small.area_mm2,
        along_mm=large.along_mm,
    )


@dataclass(frozen=True, eq=False, kw_only=True)
class _Piece:
    """A triangle that comes near a hole, in the frame of the hole's axis.

    Args:
        triangle: Its place in the tree's order.
        corners: Its corners, shape (3, 3).
        hole: What of it lies in the hole, shape (n, 3).
        edge: What of it lies at its edge.
        outside: The rest.
    """

    triangle: int
    corners: Points
    hole: Points
    edge: list[Points]
    outside: list[Points]


def _frame(axis: Vector) -> Points:
    """Two directions square to an axis, and the axis; shape (3, 3)."""
    axis = unit_vector(axis)
    side = unit_vector(np.cross(axis, np.eye(3)[int(np.argmin(np.abs(axis)))]))
    return np.stack([side, np.cross(axis, side), axis])


def _pieces(near: NDArray[np.int64], local: NDArray[np.float64], one: RoundCut) -> list[_Piece]:
    about = round_prism(one.edge_mm, one.deep_mm, sides=_EDGE_SIDES, around=True)
    hole = round_prism(one.radius_mm, one.deep_mm, sides=_SIDES, around=False)
    over = about.over_mm(local.reshape(-1, 3)).reshape(len(local), 3, len(about.reach_mm))
    close = np.flatnonzero(~(over.min(axis=1) > 0.0).any(axis=1))
    found = []
    for i in close:
        inside, outside = cut_polygon(local[i], about)
        if len(inside):
            cut, edge = cut_polygon(inside, hole)
            found.append(
                _Piece(triangle=int(near[i]), corners=local[i], hole=cut, edge=edge, outside=outside)
            )
    return found


def _hang_together(pieces: list[_Piece]) -> NDArray[np.int64]:
    """A number for each piece, the same for those whose triangles share corners."""
    if not pieces:
        return np.empty(0, dtype=np.int64)
    corners = np.concatenate([piece.corners for piece in pieces])
    _, corner_of = np.unique(np.round(corners / _SAME_CORNER_MM), axis=0, return_inverse=True)
    triangle_of = np.repeat(np.arange(len(pieces)), 3)
    links = coo_array(
        (np.ones(len(triangle_of)), (triangle_of, len(pieces) + corner_of.reshape(-1))),
        shape=(len(pieces) + int(corner_of.max()) + 1,) * 2,
    )
    return np.asarray(connected_components(links, directed=False)[1][: len(pieces)], dtype=np.int64)


def _with_triangles(
    shell: Shell,
    *,
    corners: NDArray[np.float32],
    source: NDArray[np.int64],
    region: NDArray[np.int32],
    more: int,
) -> Shell:
    """A shell of other triangles: which one of the shell's each comes from, and its region; `more` new regions."""
    prepared = shell.prepared
    tree: TriangleTree = boxed_tree(corners, prepared.tree.order[source])
    return replace(
        shell,
        prepared=replace(
            prepared,
            tree=tree,
            surfels=replace(prepared.surfels, of_triangle=prepared.surfels.of_triangle[source]),
            regions=regrouped(prepared.regions, tree, region, more),
        ),
        body=replace(shell.body, of_triangle=shell.body.of_triangle[source]),
    )
