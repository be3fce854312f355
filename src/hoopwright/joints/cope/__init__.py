"""Copes: a branch cut to one header or several, straight or bent."""

from hoopwright.joints.cope.meeting import Meeting, meeting
from hoopwright.joints.cope.profile import CopeProfile, CutKind, cope_profile
from hoopwright.joints.cope.tubes import Branch, Header, OvalBend, straight_header

__all__ = [
    "Branch",
    "CopeProfile",
    "CutKind",
    "Header",
    "Meeting",
    "OvalBend",
    "cope_profile",
    "meeting",
    "straight_header",
]
