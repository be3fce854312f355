"""How long sheet gets where it is folded."""

import math

NEUTRAL_SHARE = 0.44
"""Where the neutral line lies in the thickness, from the inside: the usual share for mild steel folded over an inside
radius of about its thickness. From memory; sheet metal handbooks give 0.33 to 0.5. A trial fold says it better."""


def bend_allowance_mm(
    angle_deg: float, inside_radius_mm: float, thickness_mm: float, neutral_share: float = NEUTRAL_SHARE
) -> float:
    """Length of the neutral line through a fold.

    Args:
        angle_deg: Change of direction; its sign does not matter.
        inside_radius_mm: Inside radius.
        thickness_mm: Of the sheet.
        neutral_share: Where the neutral line lies, as a share of the thickness from the inside.

    Source: geometry of an arc at that radius; the share is the handbooks' K factor.
    """
    return math.radians(abs(angle_deg)) * (inside_radius_mm + neutral_share * thickness_mm)
