"""Pedestals taken into the cage: boxes under the feet, and legs that end on them."""

from collections.abc import Sequence
from dataclasses import replace

from hoopwright.cage import Cage, Landing, LandingKind, Member
from hoopwright.cage.edits import replace_member
from hoopwright.cage.landing_edits import put_landing
from hoopwright.joints.reach.legs import Leg


def with_pedestals(cage: Cage, legs: Sequence[Leg]) -> Cage:
    """The cage with a box under every foot that is cut shorter; the cage itself stays where it is.

    A mirrored bar has the nodes and boxes of the bar that it mirrors, so its legs are left to that one.

    Args:
        cage: As drawn.
        legs: What is cut, of any of its bars.

    Raises:
        UserError: `LAND-001` for a box that cannot be.
    """
    for leg in legs:
        member = cage.member(leg.bar_id)
        if member.mirror_of is not None or leg.up_mm <= 0.0:
            continue
        cage = replace_member(cage, _shortened(member, leg))
        cage = put_landing(cage, _box(cage, leg))
    return cage


def _shortened(member: Member, leg: Leg) -> Member:
    """The member with its foot on the pedestal: the drawn leg cut at the height at which the cut leg ends."""
    nodes = member.nodes_mm if leg.end == "B" else member.nodes_mm[::-1]
    inner, foot = nodes[-2], nodes[-1]
    share = leg.up_mm / (inner[2] - foot[2])
    on_box = (
        foot[0] + share * (inner[0] - foot[0]),
        foot[1] + share * (inner[1] - foot[1]),
        foot[2] + leg.up_mm,
    )
    cut = (*nodes[:-1], on_box)
    end = member.end_b if leg.end == "B" else member.end_a
    stands = replace(end, kind="shell", on=None)
    if leg.end == "B":
        return replace(member, nodes_mm=cut, end_b=stands, fit=None)
    return replace(member, nodes_mm=cut[::-1], end_a=stands, fit=None)


def _box(cage: Cage, leg: Leg) -> Landing:
    """The box under a foot: what was chosen there, as a box that is higher by what the leg was cut."""
    here = [one for one in cage.landings if (one.bar_id, one.end) == (leg.bar_id, leg.end)]
    old = here[0] if here else Landing(bar_id=leg.bar_id, end=leg.end)
    return replace(
        old,
        kind=LandingKind.BOX,
        height_mm=old.height_mm + leg.up_mm,
        turn_deg=0.0 if old.kind is LandingKind.FOLDED else old.turn_deg,
        bolts=0,
        bolt_mm=0.0,
    )
