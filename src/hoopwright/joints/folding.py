"""How long sheet gets where it is folded."""

import math


def bend_allowance_mm(
    angle_deg: float, *, inside_radius_mm: float, thickness_mm: float, k_ratio: float
) -> float:
    """Length of the neutral line through a bend: angle in radians x (inside radius + K x thickness).

    Args:
        angle_deg: Change of direction; its sign does not matter.
        inside_radius_mm: Inside radius.
        thickness_mm: Of the sheet.
        k_ratio: Where the neutral line lies in the thickness, from the inside.

    Source: FAA-H-8083-31, Aviation Maintenance Technician Handbook, Airframe, chapter 4; DIN 6935.
    """
    return math.radians(abs(angle_deg)) * (inside_radius_mm + k_ratio * thickness_mm)
