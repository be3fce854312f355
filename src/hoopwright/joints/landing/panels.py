"""A folded part in space: flat panels that hang together at folds."""

from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Points, Vector, unit_vector


@dataclass(frozen=True, kw_only=True)
class Sheet:
    """The sheet that a part is folded from.

    Args:
        thickness_mm: Of the sheet.
        inside_radius_mm: Of its folds.
        k_ratio: Where the neutral line lies in a fold, from its inside, in thicknesses.
    """

    thickness_mm: float
    inside_radius_mm: float
    k_ratio: float


@dataclass(frozen=True, kw_only=True, eq=False)
class PanelHole:
    """A round hole in a panel, in space.

    Args:
        centre_mm: In the panel's plane, shape (3,).
        diameter_mm: Its diameter.
    """

    centre_mm: Vector
    diameter_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class Panel:
    """A flat panel, and what is folded from its edges.

    Args:
        name: What it is.
        outline_mm: Corners in one plane to the lines where it meets its neighbours' planes, counterclockwise as seen
            against its normal; shape (n, 3). Of a panel that is folded from another, the first edge is the one it
            hangs on, and runs the other way along the same line.
        normal: Unit normal, toward the viewer of the flat part.
        hung: Panels folded from its edges, each with the number of the edge.
        holes: Round holes.
    """

    name: str
    outline_mm: Points
    normal: Vector
    hung: "tuple[tuple[int, Panel], ...]" = ()
    holes: tuple[PanelHole, ...] = ()


def panels_of(root: Panel) -> tuple[Panel, ...]:
    """A panel and all that hang on it, each before what hangs on it."""
    return (root, *(inner for _, child in root.hung for inner in panels_of(child)))


def area_of_mm2(outline_mm: Points) -> float:
    """Area of a flat outline in space, shape (n, 3)."""
    turned = np.roll(outline_mm, -1, axis=0)
    return float(np.linalg.norm(np.cross(outline_mm, turned).sum(axis=0)) / 2.0)


def fold_angle_deg(parent: Panel, edge: int, child: Panel) -> float:
    """Change of direction from a panel to one that hangs on it; positive folds toward the normal."""
    start, end = parent.outline_mm[edge], parent.outline_mm[(edge + 1) % len(parent.outline_mm)]
    outward = np.cross(unit_vector(end - start), parent.normal)
    away = np.cross(child.normal, unit_vector(child.outline_mm[1] - child.outline_mm[0]))
    return float(np.degrees(np.arctan2(away @ parent.normal, away @ outward)))
