"""From a cage to the cut of every bar end: which tube runs through, which is cut, clocking and lengths."""

from hoopwright.joints.meet.assembly_order import assembly_order, circles
from hoopwright.joints.meet.bar_cut import BarCut, TapeLength, bar_cut
from hoopwright.joints.meet.cage_cuts import CageCuts, ends_of, wraps_of
from hoopwright.joints.meet.cut_one import joint_name, opened
from hoopwright.joints.meet.datum import BendSide, TubeDatum, bend_datum, datum_along
from hoopwright.joints.meet.end_cut import Clocking, EndCut, MetHeader, WeldCurve
from hoopwright.joints.meet.marked_tube import MarkedTube, TubeMark, drawn_tube, on_tube_mm
from hoopwright.joints.meet.tips import Tip
from hoopwright.joints.meet.wishes import CutWishes

__all__ = [
    "BarCut",
    "BendSide",
    "CageCuts",
    "Clocking",
    "CutWishes",
    "EndCut",
    "MarkedTube",
    "MetHeader",
    "TapeLength",
    "Tip",
    "TubeDatum",
    "TubeMark",
    "WeldCurve",
    "assembly_order",
    "bar_cut",
    "bend_datum",
    "circles",
    "datum_along",
    "drawn_tube",
    "ends_of",
    "joint_name",
    "on_tube_mm",
    "opened",
    "wraps_of",
]
