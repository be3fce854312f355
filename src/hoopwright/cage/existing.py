"""Bars that exist put in the place of the drawn ones."""

from collections.abc import Mapping
from dataclasses import replace

from hoopwright.bars import Bar
from hoopwright.cage.cage import Cage
from hoopwright.cage.member import Member
from hoopwright.cage.resolve import bar_of


def with_existing(cage: Cage, bars: Mapping[str, Bar]) -> Cage:
    """The cage with bars as they exist; a bar that mirrors one of them stays as drawn, since it is other tube.

    Args:
        cage: As drawn.
        bars: Bars that exist, by member, where they lie in the car. Those of no member are left out.
    """
    return replace(cage, members=tuple(_existing(cage, member, bars) for member in cage.members))


def _existing(cage: Cage, member: Member, bars: Mapping[str, Bar]) -> Member:
    bar = bars.get(member.member_id)
    if bar is not None:
        return replace(member, nodes_mm=bar.nodes_mm, clr_mm=bar.clr_mm, mirror_of=None, fit=None)
    if member.mirror_of in bars:
        drawn = bar_of(cage, member.member_id)
        return replace(member, nodes_mm=drawn.nodes_mm, mirror_of=None, fit=None)
    return member


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
