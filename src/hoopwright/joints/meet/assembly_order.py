"""In which order bars come into the cage: as typed, else a bar comes after the bars that it ends on."""

from collections.abc import Sequence

from hoopwright.cage import Cage


def assembly_order(cage: Cage, typed: Sequence[str] = ()) -> tuple[str, ...]:
    """Every bar of the cage, in the order in which it is put in.

    Args:
        cage: The cage.
        typed: An order to go before the cage's own typed one; names of no bar are left out. Bars that no typed order
            names follow, each after the bars that it ends on, and else in the cage's order.
    """
    given = dict.fromkeys(name for name in (typed or cage.order) if name in cage)
    done = list(given)
    ends_on = {member.member_id: _ends_on(cage, member.member_id) for member in cage.members}
    left = [member.member_id for member in cage.members if member.member_id not in given]
    while left:
        free = [name for name in left if not any(on in left for on in ends_on[name])]
        # bars that end on each other in a circle: the first in the cage's order opens it
        following = (free or left)[0]
        done.append(following)
        left.remove(following)
    return tuple(done)


def circles(cage: Cage) -> tuple[tuple[str, ...], ...]:
    """Groups of bars that end on each other in a circle, so that each would be cut to the next; in the cage's order."""
    names = [member.member_id for member in cage.members]
    reach = {name: _reached(cage, name) for name in names}
    groups: list[tuple[str, ...]] = []
    for name in names:
        group = tuple(other for other in names if other in reach[name] and name in reach[other])
        if name in reach[name] and group not in groups:
            groups.append(group)
    return tuple(groups)


def _ends_on(cage: Cage, name: str) -> tuple[str, ...]:
    member = cage.member(name)
    return tuple(end.on for end in (member.end_a, member.end_b) if end.kind == "bar" and end.on is not None)


def _reached(cage: Cage, name: str) -> set[str]:
    """All bars that a bar ends on, directly or over others."""
    found: set[str] = set()
    waiting = list(_ends_on(cage, name))
    while waiting:
        on = waiting.pop()
        if on not in found:
            found.add(on)
            waiting.extend(_ends_on(cage, on))
    return found
