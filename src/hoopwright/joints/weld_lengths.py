"""How long the welds of joints, feet, landings and gussets are, and what is taken for granted.

- An end on a bar: the true line on which the skins meet, once round.
- A foot on a landing: the ellipse that its plane cuts from the leg; without a landing, the circle of the tube.
- A plate: its outline once, as it is cut. A bolted one: none.
- A box: every edge once; where two walls meet, one seam.
- A flat gusset and a tie: both faces along each edge that lies on a tube or on the shell. A folded gusset: its outside
  along both tubes.

That welds go all round and on these sides is common practice, no source.
"""

import math

import numpy as np
from scipy.special import ellipe

from hoopwright.cage import LandingKind
from hoopwright.geometry import Points
from hoopwright.joints.gusset import MadeGusset
from hoopwright.joints.landing import Face, FittedLanding

_BOTH_FACES = 2.0
_SEAM_WITHIN = 3.0
"""Edges of two walls whose upper ends lie this many thicknesses apart or nearer are one seam."""


def foot_weld_mm(od_mm: float, cut_angle_deg: float = 0.0) -> float:
    """Length round a leg on a plane.

    Args:
        od_mm: Of the leg.
        cut_angle_deg: Of its saw cut from a square one.

    Source: perimeter of an ellipse, 4 a E(m) with m = 1 - b²/a², the complete elliptic integral of the second kind.
    """
    radius, lean_rad = od_mm / 2.0, math.radians(cut_angle_deg)
    return float(4.0 * radius / math.cos(lean_rad) * ellipe(math.sin(lean_rad) ** 2))


def landing_weld_mm(fitted: FittedLanding) -> float:
    """Length of the welds of a landing to the shell and, of a box, between its walls; 0 for a bolted one."""
    if fitted.landing.bolts:
        return 0.0
    if fitted.landing.kind is LandingKind.BOX:
        return _box_mm(fitted)
    return math.fsum(_closed_mm(part.outline_mm) * part.count for part in fitted.parts)


def gusset_weld_mm(made: MadeGusset) -> float:
    """Length of the welds of a gusset or a tie."""
    if made.folded is not None:
        return math.fsum(_open_mm(made.folded.corners_mm[:, side]) for side in (0, 1))
    outline = made.part.outline_mm
    if made.gusset.other is None:
        # first edge on the bar; the edges across at both ends are free, all others follow the shell
        return _BOTH_FACES * (_open_mm(outline[:2]) + _open_mm(outline[2:]))
    return _BOTH_FACES * (_open_mm(outline[:2]) + _open_mm(outline[4:6]))


def _open_mm(points_mm: Points) -> float:
    return float(np.linalg.norm(np.diff(points_mm, axis=0), axis=1).sum())


def _closed_mm(points_mm: Points) -> float:
    return _open_mm(np.concatenate([points_mm, points_mm[:1]]))


def _box_mm(fitted: FittedLanding) -> float:
    """Lower edges of the walls, their upright edges with shared ones once, and edges of the top without a wall."""
    top, walls = fitted.faces[0], fitted.faces[1:]
    lower = math.fsum(_open_mm(wall.outline_mm[2:]) for wall in walls)
    hung = math.fsum(_open_mm(wall.outline_mm[:2]) for wall in walls)
    edges = _upright_edges(walls)
    upright = math.fsum(length for _, length in edges)
    near_mm = _SEAM_WITHIN * fitted.landing.thickness_mm
    for number, (corner, length) in enumerate(edges):
        for other, other_mm in edges[number + 1 :]:
            if float(np.linalg.norm(corner - other)) <= near_mm:
                upright -= min(length, other_mm)
    return lower + upright + max(0.0, _closed_mm(top.outline_mm) - hung)


def _upright_edges(walls: tuple[Face, ...]) -> list[tuple[Points, float]]:
    """Upper end and length of both upright edges of each wall."""
    found = []
    for wall in walls:
        outline = wall.outline_mm
        for upper, below in ((outline[1], outline[2]), (outline[0], outline[-1])):
            found.append((upper, float(np.linalg.norm(below - upper))))
    return found
