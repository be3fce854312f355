"""A flat bar in its own plane, as it lies on the floor."""

from dataclasses import dataclass

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Arc, Points, Vector, fit_plane, unit_vector
from hoopwright.units import shown

NOT_FLAT = "PAPER-101"
"""Code of the finding for a bar that does not lie flat."""
FLAT_WITHIN_MM = 2.0
"""Common practice, no source: what a bar off by less takes when it is pressed flat by hand."""
_STRAIGHT_MM = 1e-6
_STEP_MM = 2.0
_STEEP = 0.9


@dataclass(frozen=True, kw_only=True, eq=False)
class FloorPlan:
    """A bar flattened; points are (right, down) in mm from the top left of its skin.

    Args:
        axis: Along the centreline, shape (n, 2).
        left_skin: Edge of the tube on one side of the travel, shape (n, 2).
        right_skin: On the other, shape (n, 2).
        nodes: Shape (k, 2).
        along_mm: Distances along the centreline of the points of `axis`, shape (n,).
        tangents_mm: Distances along it where bends start and end, in pairs.
        seen_from: From where it is seen, in words.
    """

    axis: Points
    left_skin: Points
    right_skin: Points
    nodes: Points
    along_mm: Vector
    tangents_mm: tuple[float, ...]
    seen_from: str

    @property
    def size_mm(self) -> tuple[float, float]:
        """Width and height over the skin."""
        wide, high = np.vstack([self.left_skin, self.right_skin]).max(axis=0)
        return float(wide), float(high)

    def across(self, along_mm: float) -> tuple[Vector, Vector, Vector]:
        """At a distance along the axis: the place on it, and on both skins; each of shape (2,)."""
        lines = (self.axis, self.left_skin, self.right_skin)
        at = [np.array([np.interp(along_mm, self.along_mm, one[:, k]) for k in range(2)]) for one in lines]
        return at[0], at[1], at[2]


def out_of_flat_mm(bar: Bar) -> float:
    """How far the bar's nodes leave the plane that fits them best; 0 for up to three nodes."""
    nodes = bar.nodes
    if len(nodes) < 4 or _is_straight(nodes):  # three points lie in one plane
        return 0.0
    return fit_plane(nodes)[1]


def floor_plan(bar: Bar) -> FloorPlan:
    """The bar in the plane that fits it best, seen from the front, the left or above, whichever is nearest.

    Raises:
        UserError: `PAPER-101` for a bar that leaves its plane by more than 2 mm.
    """
    off_mm = out_of_flat_mm(bar)
    if off_mm > FLAT_WITHIN_MM:
        raise UserError(_not_flat(bar, off_mm))
    right, up, seen_from = _axes(bar.nodes)
    flat = np.column_stack([bar.nodes @ right, -(bar.nodes @ up), np.zeros(len(bar.nodes))])
    path = centreline(bar.with_nodes(flat))
    starts = path.starts_mm
    tangents = [
        float(at)
        for index, piece in enumerate(path.pieces)
        if isinstance(piece, Arc)
        for at in (starts[index], starts[index + 1])
    ]
    along = np.unique(np.concatenate([path.even_distances(_STEP_MM), starts]))
    axis, way = path.at(along)[:, :2], path.directions_at(along)[:, :2]
    aside = np.column_stack([way[:, 1], -way[:, 0]]) * bar.tube.od_mm / 2.0
    origin = np.vstack([axis + aside, axis - aside]).min(axis=0)
    return FloorPlan(
        axis=axis - origin,
        left_skin=axis + aside - origin,
        right_skin=axis - aside - origin,
        nodes=flat[:, :2] - origin,
        along_mm=along,
        tangents_mm=tuple(tangents),
        seen_from=seen_from,
    )


def _is_straight(nodes: Points) -> bool:
    off = nodes - nodes.mean(axis=0)
    return bool(np.linalg.svd(off, compute_uv=False)[1] < _STRAIGHT_MM)


def _axes(nodes: Points) -> tuple[Vector, Vector, str]:
    """Right and up on the paper, in the vehicle frame, and from where that is seen."""
    if len(nodes) == 2 or _is_straight(nodes):  # any plane through it; it lies across the page
        along = unit_vector(nodes[-1] - nodes[0])
        least = np.eye(3)[int(np.argmin(np.abs(along)))]
        return along, unit_vector(least - along * float(least @ along)), "any side"
    normal = fit_plane(nodes)[0].normal
    main = int(np.argmax(np.abs(normal)))
    normal = normal * np.sign(normal[main])
    steep = np.array([0.0, 0.0, 1.0]) if abs(normal[2]) < _STEEP else np.array([1.0, 0.0, 0.0])
    up = unit_vector(steep - normal * float(steep @ normal))
    right: Vector = np.cross(up, normal)
    return right, up, ("the front", "the left", "above")[main]


def _not_flat(bar: Bar, off_mm: float) -> Finding:
    return Finding(
        code=NOT_FLAT,
        severity=Severity.STOP,
        sentence=(
            f"{bar.name} does not lie flat on the floor: its nodes leave the best plane by up to "
            f"{shown(off_mm, 1)} mm (limit {FLAT_WITHIN_MM:g})."
        ),
        todo="Check it with the tape checks and the card of each bend on its sheet; no floor drawing was made.",
        objects=(bar.name,),
        measured=off_mm,
        limit=FLAT_WITHIN_MM,
        unit="mm",
    )
