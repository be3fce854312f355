"""Straight bars aimed at the bars that exist: without a bend there is nothing that holds a bar where it was drawn."""

from dataclasses import replace

from hoopwright.cage.cage import Cage
from hoopwright.cage.edits import free_from_mirror, replace_member
from hoopwright.cage.follow import follow
from hoopwright.cage.member import End
from hoopwright.cage.resolve import bar_of


def aimed_at_existing(drawn: Cage, existing: Cage) -> tuple[Cage, tuple[str, ...]]:
    """The cage that exists, with the ends of its straight bars taken to the bars as they are.

    An end goes to the place on the bar that exists which corresponds to its place on the drawn one, as in `follow`.
    Bars with bends stay as they are: they are bent, or will be bent, as drawn. A mirrored bar goes by its own side.

    Args:
        drawn: As drawn.
        existing: The same cage with the bars that exist in place, from `with_existing`.

    Returns:
        The cage, and the straight bars that were moved, in its order.

    Raises:
        ValueError: For a bar that cannot be; `bars.check_shape` says it in words.
    """
    before, after = _only_straight_ends(drawn, existing), _only_straight_ends(existing, existing)
    aimed = follow(before, after).cage
    moved = tuple(
        member.member_id
        for member in existing.members
        if bar_of(aimed, member.member_id) != bar_of(existing, member.member_id)
    )
    cage = existing
    for member in existing.members:
        if member.mirror_of is not None and (member.member_id in moved or member.mirror_of in moved):
            cage = free_from_mirror(cage, member.member_id)
    for name in moved:
        own = cage.member(name)
        cage = replace_member(cage, replace(own, nodes_mm=bar_of(aimed, name).nodes_mm, fit=None))
    return cage, moved


def _only_straight_ends(cage: Cage, existing: Cage) -> Cage:
    """The cage without mirrors, in which only ends of bars that are straight and drawn land on anything."""
    for member in cage.members:
        if member.mirror_of is not None:
            cage = free_from_mirror(cage, member.member_id)
    for member in cage.members:
        there = existing.member(member.member_id)
        if bar_of(existing, there.member_id).bend_count:
            cage = replace_member(cage, replace(member, end_a=End(), end_b=End()))
    return cage
