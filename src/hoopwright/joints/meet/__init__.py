"""From a cage to the cut of every bar end: which tube runs through, which is cut, clocking and lengths."""

from hoopwright.joints.meet.assembly_order import assembly_order, circles
from hoopwright.joints.meet.datum import BendSide, TubeDatum, bend_datum, datum_along
from hoopwright.joints.meet.end_cut import Clocking, EndCut, MetHeader, WeldCurve
from hoopwright.joints.meet.marked_tube import MarkedTube, TubeMark, drawn_tube, on_tube_mm

__all__ = [
    "BendSide",
    "Clocking",
    "EndCut",
    "MarkedTube",
    "MetHeader",
    "TubeDatum",
    "TubeMark",
    "WeldCurve",
    "assembly_order",
    "bend_datum",
    "circles",
    "datum_along",
    "drawn_tube",
    "on_tube_mm",
]
