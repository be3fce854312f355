"""The straight cut at the end of a leg that stands on a plane."""

import math

import numpy as np

from hoopwright.bars import Bar, centreline
from hoopwright.cage import EndLetter
from hoopwright.geometry import Plane, Vector, unit_vector
from hoopwright.joints.landing.result import LegCut
from hoopwright.joints.meet.datum import TubeDatum
from hoopwright.joints.meet.marked_tube import MarkedTube, drawn_tube, on_tube_mm
from hoopwright.joints.wrap import Wrap

_STEPS = 360
_ROOM_MM = 40.0


def leg_cut(
    bar: Bar, end: EndLetter, plane: Plane, datum: TubeDatum, tube: MarkedTube | None = None
) -> LegCut:
    """Cut a leg where its skin meets a plane.

    With r the outside radius, a the angle between the axis and the plane's normal and th counted from the longest
    place, the skin is cut at r cos(th) tan(a) beyond the point in which the axis meets the plane: a cylinder cut by a
    plane unrolls to a sine.

    Args:
        bar: The leg.
        end: Which end stands.
        plane: What it stands on, its normal toward the leg.
        datum: The line along the tube from which the cut is clocked.
        tube: The tube as marked; without it each bend uses its arc and there is no trim.
    """
    path = centreline(bar)
    travel = datum.travel(end)
    outward = -travel if end == "A" else travel
    end_mm = np.array(bar.nodes_mm[0 if end == "A" else -1])
    lean = float(outward @ plane.normal)
    beyond = float((plane.offset_mm - end_mm @ plane.normal) / lean)
    angle = math.degrees(math.acos(min(1.0, -lean)))
    clocking = _clocking_deg(plane.normal, lean, outward, end, datum)
    around = np.arange(_STEPS) * 360.0 / _STEPS
    rise = bar.tube.od_mm / 2.0 * math.tan(math.radians(angle))
    back = math.ceil(rise + _ROOM_MM)
    cut = back + rise * np.cos(np.radians(around - clocking))
    known = tube or drawn_tube(path)
    return LegCut(
        angle_deg=angle,
        clocking_deg=clocking,
        shorten_mm=-beyond,
        plane=plane,
        wrap=Wrap(
            bar_id=bar.name,
            end=end,
            headers=("plate",),
            od_mm=bar.tube.od_mm,
            around_deg=around,
            cut_mm=cut,
            corners=((clocking, back + rise), ((clocking + 180.0) % 360.0, back - rise)),
            reference_mm=on_tube_mm(known, path, end, back - beyond),
            heel_deg=clocking,
            datum=datum.words,
        ),
    )


def _clocking_deg(normal: Vector, lean: float, outward: Vector, end: EndLetter, datum: TubeDatum) -> float:
    """Where round the tube the longest place is, in [0, 360); 0 for a square cut."""
    level = normal - lean * outward
    if float(np.linalg.norm(level)) < 1e-9:
        return 0.0
    return datum.around_deg(end, unit_vector(level)) % 360.0
