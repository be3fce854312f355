"""When a bar is changed, the ends that land on it go along; all other nodes stay as the person put them."""

from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, Node, as_node, centreline, check_shape
from hoopwright.cage.cage import Cage
from hoopwright.cage.edits import replace_member
from hoopwright.cage.meeting import MEETS_MM
from hoopwright.cage.member import End, Member
from hoopwright.cage.resolve import bar_of, drawn_bar
from hoopwright.findings import stopping
from hoopwright.geometry import FilletedPath, Points, Vector
from hoopwright.geometry.planes import fit_plane

_STILL_MM = 1e-6
_END_SHARE = 1e-6
_IN_PLANE_MM = 0.1


@dataclass(frozen=True, kw_only=True)
class Followed:
    """A cage after its ends went along.

    Args:
        cage: The cage.
        moved: Bars whose ends went along, in the cage's order.
        left: Bars that could not be bent with their ends there, and so stayed.
        parted: Mirrored bars that met and no longer do, since what they land on changed on one side only.
        twisted: Bars whose bends lay in one plane before their ends went along, and no longer do.
    """

    cage: Cage
    moved: tuple[str, ...]
    left: tuple[str, ...]
    parted: tuple[str, ...] = ()
    twisted: tuple[str, ...] = ()


def follow(before: Cage, after: Cage) -> Followed:
    """Take the ends that met a changed bar to the same place along its new axis, and on from bar to bar.

    An end that the person moved too, or that did not meet the bar before, stays. A mirrored bar goes with its source.

    Args:
        before: The cage before the change.
        after: The cage with some bars changed.

    Raises:
        ValueError: For a changed bar that cannot be; `bars.check_shape` says it in words.
    """
    cage, moved, left, paths = after, set[str](), set[str](), _Paths()
    by_hand = _moved_by_hand(before, after)
    # each round takes the ends one bar further; a circle of bars that end on each other comes to rest or is cut short
    for _ in range(len(after.members) + 1):
        changed = False
        for member in cage.members:
            if member.mirror_of is not None or member.member_id not in before or member.member_id in left:
                continue
            gone = _gone_along(before, cage, member, by_hand, paths)
            if gone == member:
                continue
            if not stopping(check_shape(drawn_bar(gone))):
                cage, changed = replace_member(cage, gone), True
                moved.add(member.member_id)
            else:
                left.add(member.member_id)
        if not changed:
            break
    order = [member.member_id for member in cage.members]
    return Followed(
        cage=cage,
        moved=tuple(name for name in order if name in moved),
        left=tuple(name for name in order if name in left),
        parted=_parted(before, cage, paths),
        twisted=tuple(name for name in order if name in moved and _twisted(after, cage, name)),
    )


class _Paths:
    """Centrelines of one run, each made once: many ends ask for the same few bars."""

    def __init__(self) -> None:
        self._made: dict[Bar, FilletedPath] = {}

    def of(self, bar: Bar) -> FilletedPath:
        if bar not in self._made:
            self._made[bar] = centreline(bar)
        return self._made[bar]


def _twisted(before: Cage, cage: Cage, name: str) -> bool:
    was, now = bar_of(before, name).nodes, bar_of(cage, name).nodes
    return len(now) > 3 and fit_plane(was)[1] <= _IN_PLANE_MM < fit_plane(now)[1]


def _parted(before: Cage, cage: Cage, paths: "_Paths") -> tuple[str, ...]:
    """Mirrored bars with an end that met before and does not now."""
    parted = []
    for member in cage.members:
        old = before.member(member.member_id) if member.member_id in before else None
        if old is None or member.mirror_of is None or old.mirror_of != member.mirror_of:
            continue
        was, now = bar_of(before, member.member_id).nodes_mm, bar_of(cage, member.member_id).nodes_mm
        ends = ((member.end_a, was[0], now[0]), (member.end_b, was[-1], now[-1]))
        if any(_met(before, cage, end, a, paths) and not _meets(cage, end, b, paths) for end, a, b in ends):
            parted.append(member.member_id)
    return tuple(parted)


def _meets(cage: Cage, end: End, place: Node, paths: "_Paths") -> bool:
    assert end.on is not None  # noqa: S101 - asked before
    return paths.of(bar_of(cage, end.on)).distance_to_mm(place) <= MEETS_MM


def _moved_by_hand(before: Cage, after: Cage) -> frozenset[tuple[str, int]]:
    """Ends (bar, 0 or -1) that the change itself put elsewhere."""
    return frozenset(
        (member.member_id, index)
        for member in after.members
        for index in (0, -1)
        if member.nodes_mm
        and member.member_id in before
        and before.member(member.member_id).nodes_mm
        and before.member(member.member_id).nodes_mm[index] != member.nodes_mm[index]
    )


def _gone_along(
    before: Cage, cage: Cage, member: Member, by_hand: frozenset[tuple[str, int]], paths: "_Paths"
) -> Member:
    old = before.member(member.member_id)
    if old.mirror_of is not None:
        return member
    nodes = list(member.nodes_mm)
    for index, end, was_end in ((0, member.end_a, old.end_a), (-1, member.end_b, old.end_b)):
        was = old.nodes_mm[index]
        if (
            (member.member_id, index) not in by_hand
            and end == was_end
            and _met(before, cage, end, was, paths)
        ):
            nodes[index] = _new_place(before, cage, end, was, paths)
    apart = [float(np.linalg.norm(np.subtract(a, b))) for a, b in zip(nodes, member.nodes_mm, strict=True)]
    return member if max(apart) <= _STILL_MM else replace(member, nodes_mm=tuple(nodes), fit=None)


def _met(before: Cage, cage: Cage, end: End, was: Node, paths: "_Paths") -> bool:
    """Whether an end met a bar that is another now."""
    if end.kind != "bar" or end.on is None or end.on not in before:
        return False
    header = bar_of(before, end.on)
    return header != bar_of(cage, end.on) and paths.of(header).distance_to_mm(was) <= MEETS_MM


def _new_place(before: Cage, cage: Cage, end: End, was: Node, paths: "_Paths") -> Node:
    assert end.on is not None  # noqa: S101 - asked before
    return _same_place(paths.of(bar_of(before, end.on)), paths.of(bar_of(cage, end.on)), was)


def _same_place(old: FilletedPath, new: FilletedPath, place: Node) -> Node:
    """The place on a new path that corresponds to one on the old: same piece and share, else the nearest.

    An end stays an end. What the place lay off the old axis, it lies off the new one.
    """
    point = np.array(place)
    spots = _spots(old, point)
    index = int(np.argmin(np.linalg.norm(spots - point, axis=1)))
    piece = old.pieces[index]
    share = piece.nearest_mm(point) / piece.length_mm if piece.length_mm > 0.0 else 0.0
    if [type(one) for one in old.pieces] == [type(one) for one in new.pieces]:
        twin = new.pieces[index]
        at = twin.at(np.array([share * twin.length_mm]))[0]
    else:
        along = (float(old.starts_mm[index]) + share * piece.length_mm) / old.length_mm
        news = _spots(new, point)
        nearest = news[int(np.argmin(np.linalg.norm(news - point, axis=1)))]
        is_end = min(along, 1.0 - along) < _END_SHARE
        at = new.at(round(along) * new.length_mm)[0] if is_end else nearest
    return as_node(at + (point - spots[index]))


def _spots(path: FilletedPath, point: Vector) -> Points:
    """The place of each piece nearest to a point, shape (pieces, 3)."""
    return np.array([piece.at(np.array([piece.nearest_mm(point)]))[0] for piece in path.pieces])
