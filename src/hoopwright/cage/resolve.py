"""Members as bars: mirrored members take the nodes of the side that they mirror."""

from hoopwright.bars import Bar, mirrored
from hoopwright.cage.cage import Cage
from hoopwright.cage.member import Member, Side

_OFF_CENTRE_MM = 1.0


def bar_of(cage: Cage, member_id: str) -> Bar:
    """The bar of a member, in the vehicle frame.

    Raises:
        UserError: `CAGE-001` when there is no such member.
    """
    member = cage.member(member_id)
    if member.mirror_of is None:
        return drawn_bar(member)
    return mirrored(drawn_bar(cage.member(member.mirror_of), member), member.member_id)


def bars_of(cage: Cage) -> dict[str, Bar]:
    """The bar of every member, by its name, in the cage's order."""
    return {member.member_id: bar_of(cage, member.member_id) for member in cage.members}


def side_of(bar: Bar) -> Side:
    """`L` or `R` for a bar that lies wholly on one side, else empty."""
    lefts = [left for _, left, _ in bar.nodes_mm]
    if min(lefts) > _OFF_CENTRE_MM:
        return "L"
    return "R" if max(lefts) < -_OFF_CENTRE_MM else ""


def drawn_bar(member: Member, like: Member | None = None) -> Bar:
    """The bar through a member's own nodes, with the name, tube and radius of `like` where one is given."""
    made = like or member
    return Bar(name=made.member_id, nodes_mm=member.nodes_mm, clr_mm=made.clr_mm, tube=made.tube)
