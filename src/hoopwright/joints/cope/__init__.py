"""Copes: a branch cut to one header or several, straight or bent."""

from hoopwright.joints.cope.by_hand import HoleSaw, SawCut, SawCuts, hole_saw, saw_cuts
from hoopwright.joints.cope.faults import diameter_faults
from hoopwright.joints.cope.meeting import Meeting, meeting
from hoopwright.joints.cope.profile import CopeProfile, CutKind, cope_profile
from hoopwright.joints.cope.tubes import Branch, Header, OvalBend, straight_header
from hoopwright.joints.cope.two_tubes import counted_from_heel, taken_from_acute_side, two_tubes

__all__ = [
    "Branch",
    "CopeProfile",
    "CutKind",
    "Header",
    "HoleSaw",
    "Meeting",
    "OvalBend",
    "SawCut",
    "SawCuts",
    "cope_profile",
    "counted_from_heel",
    "diameter_faults",
    "hole_saw",
    "meeting",
    "saw_cuts",
    "straight_header",
    "taken_from_acute_side",
    "two_tubes",
]
