"""How much tube an end's cut takes off or leaves on, for its mass: from a cope, or from a leg's saw cut."""

from dataclasses import replace

import numpy as np

from hoopwright.bars import Bar, ShapedEnd, layer_radii_mm
from hoopwright.cage import EndLetter
from hoopwright.geometry import Plane
from hoopwright.joints.cope.cutting import scene_of
from hoopwright.joints.meet.cut_one import branch_of
from hoopwright.joints.meet.end_cut import EndCut
from hoopwright.joints.meet.solid_tube import SolidTube
from hoopwright.tubes import TubeSize

_STEPS = 360


def coped_end(cut: EndCut) -> ShapedEnd:
    """An end as it is coped: through the wall the cut follows the header. A root gap counts as a tight joint.

    Where no header takes a generator, it ends where it passes nearest to one.

    Args:
        cut: The cut of the end.

    Raises:
        ValueError: Where the branch of the cut has no wall.
    """
    branch = cut.branch
    if branch.wall_mm is None:
        msg = f"the wall of {cut.name} is not known"
        raise ValueError(msg)
    around = np.arange(_STEPS) * 360.0 / _STEPS
    scene = scene_of(branch, cut.header_tubes, cut.profile.meetings, around)
    uncut = np.interp(around, cut.profile.around_deg, cut.profile.bridged_mm, period=360.0)
    tube = TubeSize(od_mm=branch.od_mm, wall_mm=branch.wall_mm)
    layers = [scene.cut(around, float(radius)).along_mm for radius in layer_radii_mm(tube)]
    return ShapedEnd(
        origin_mm=branch.origin_mm,
        inward=branch.direction,
        side=branch.datum,
        cut_mm=np.array([np.where(np.isnan(layer), uncut, layer) for layer in layers]),
    )


def sawn_end(bar: Bar, end: EndLetter, plane: Plane) -> ShapedEnd:
    """An end that is sawn along a plane, such as that of the plate that a leg stands on.

    Args:
        bar: The bar.
        end: Which of its ends.
        plane: That of the cut, not along the axis.
    """
    branch = branch_of(SolidTube(bar), end)
    around = np.arange(_STEPS) * 360.0 / _STEPS
    starts = [
        replace(branch, od_mm=2.0 * float(radius)).skin_mm(around, np.zeros(_STEPS))
        for radius in layer_radii_mm(bar.tube)
    ]
    falls = float(branch.direction @ plane.normal)
    return ShapedEnd(
        origin_mm=branch.origin_mm,
        inward=branch.direction,
        side=branch.datum,
        cut_mm=np.array([-plane.distance_mm(start) / falls for start in starts]),
    )
