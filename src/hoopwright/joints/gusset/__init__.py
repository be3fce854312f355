"""Gussets between bars and ties from bars to the shell: their true shape, flat."""

from hoopwright.joints.gusset.corner import Corner, find_corner
from hoopwright.joints.gusset.folded import folded_gusset
from hoopwright.joints.gusset.limits import LEAST_LEG_MM, GussetLimits, JudgedSize, check_limits
from hoopwright.joints.gusset.made import MadeGusset
from hoopwright.joints.gusset.places import sharpest_corner, tie_place
from hoopwright.joints.gusset.plain import flat_gusset
from hoopwright.joints.gusset.tie import pillar_tie

__all__ = [
    "LEAST_LEG_MM",
    "Corner",
    "GussetLimits",
    "JudgedSize",
    "MadeGusset",
    "check_limits",
    "find_corner",
    "flat_gusset",
    "folded_gusset",
    "pillar_tie",
    "sharpest_corner",
    "tie_place",
]
