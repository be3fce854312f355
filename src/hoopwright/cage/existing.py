"""Bars that exist put in the place of the drawn ones."""

from collections.abc import Mapping
from dataclasses import replace

from hoopwright.bars import Bar
from hoopwright.cage.cage import Cage
from hoopwright.cage.edits import free_from_mirror, replace_member


def with_existing(cage: Cage, bars: Mapping[str, Bar]) -> Cage:
    """The cage with bars as they exist; a bar that mirrors one of them stays as drawn, since it is other tube.

    Args:
        cage: As drawn.
        bars: Bars that exist, by member, where they lie in the car. Those of no member are left out.
    """
    for member in cage.members:
        if member.mirror_of is not None and (member.member_id in bars or member.mirror_of in bars):
            cage = free_from_mirror(cage, member.member_id)
    for name, bar in bars.items():
        if name in cage:
            member = cage.member(name)
            cage = replace_member(cage, replace(member, nodes_mm=bar.nodes_mm, clr_mm=bar.clr_mm, fit=None))
    return cage


def touched_by(cage: Cage, member_id: str) -> tuple[str, ...]:
    """Members that hang on a bar: that end on it, or that mirror it or are mirrored by it."""
    own = cage.member(member_id)
    return tuple(
        other.member_id
        for other in cage.members
        if other.member_id != member_id
        and (
            member_id in (other.end_a.on, other.end_b.on, other.mirror_of) or own.mirror_of == other.member_id
        )
    )
