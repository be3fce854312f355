"""Edits of holes for bars: each takes a cage and returns another; and where the holes of every bar are."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar, Node, as_node, centreline, check_shape
from hoopwright.cage.cage import Cage
from hoopwright.cage.hole import Hole, check_hole
from hoopwright.cage.resolve import bar_of
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.geometry import Vector

_STILL_MM = 1e-6


@dataclass(frozen=True, kw_only=True)
class BarHole:
    """A hole of one bar, mirrored bars included.

    Args:
        hole: The hole, with the name of the bar that passes and the place on its side.
        number: Its number among those of its bar, from 1.
        direction: The bar's travel there, unit length: the hole's axis.
        off_mm: How far its place lies off the bar's axis.
    """

    hole: Hole
    number: int
    direction: Node
    off_mm: float


def add_hole(cage: Cage, hole: Hole) -> Cage:
    """The cage with one more hole, laid onto the axis of its bar.

    Raises:
        UserError: `CAGE-001` without such a bar, `CAGE-006` for a mirrored one, `HOLE-001` for a hole that cannot
            be, and what `bars.check_shape` says of a bar that has no axis.
    """
    bar = _bar_of_its_own(cage, hole.bar_id)
    check_hole(hole, bar.tube.od_mm)
    return replace(cage, holes=(*cage.holes, replace(hole, place_mm=_on_axis(bar, hole.place_mm)[0])))


def remove_hole(cage: Cage, bar_id: str, number: int) -> Cage:
    """The cage without one hole, counted from 1 among those of its bar.

    Raises:
        UserError: `CAGE-001`, `CAGE-006`, `HOLE-002` without such a hole.
    """
    _bar_of_its_own(cage, bar_id)
    own = [hole for hole in cage.holes if hole.bar_id == bar_id]
    if not 1 <= number <= len(own):
        raise UserError(
            Finding(
                code="HOLE-002",
                severity=Severity.STOP,
                sentence=f"Bar {bar_id} has no hole {number}; it has {len(own)}.",
                todo=f"List them with 'hoopwright bar holes PROJECT {bar_id}'.",
                objects=(bar_id,),
                measured=float(number),
                limit=float(len(own)),
            )
        )
    gone = own[number - 1]
    return replace(cage, holes=tuple(hole for hole in cage.holes if hole is not gone))


def holes_of(cage: Cage) -> tuple[BarHole, ...]:
    """Every hole of every bar that has an axis, bar by bar; a mirrored bar has those of the bar that it mirrors."""
    found = []
    for member in cage.members:
        own = [hole for hole in cage.holes if hole.bar_id == (member.mirror_of or member.member_id)]
        if not own or stopping(check_shape(bar := bar_of(cage, member.member_id))):
            continue
        for number, hole in enumerate(own, start=1):
            forward, left, up = hole.place_mm
            place = (forward, -left, up) if member.mirror_of else hole.place_mm
            at, direction, off_mm = _on_axis_there(bar, place)
            found.append(
                BarHole(
                    hole=replace(hole, bar_id=bar.name, place_mm=at),
                    number=number,
                    direction=direction,
                    off_mm=off_mm,
                )
            )
    return tuple(found)


def holes_gone_along(before: Cage, after: Cage) -> tuple[Cage, Mapping[str, float]]:
    """The cage with the holes of changed bars laid onto their new axes, and how far each bar's went at most, in mm."""
    went: dict[str, float] = {}
    holes = []
    for hole in after.holes:
        now = bar_of(after, hole.bar_id)
        changed = hole.bar_id in before and bar_of(before, hole.bar_id) != now
        if changed and not stopping(check_shape(now)):
            place, far = _on_axis(now, hole.place_mm)
            if far > _STILL_MM:
                went[hole.bar_id] = max(far, went.get(hole.bar_id, 0.0))
                hole = replace(hole, place_mm=place)  # noqa: PLW2901 - the hole as it is now
        holes.append(hole)
    return replace(after, holes=tuple(holes)), went


def _bar_of_its_own(cage: Cage, bar_id: str) -> Bar:
    member = cage.member(bar_id)
    if member.mirror_of is not None:
        raise UserError(
            Finding(
                code="CAGE-006",
                severity=Severity.STOP,
                sentence=f"Bar '{bar_id}' is the mirror of '{member.mirror_of}' and has no holes of its own.",
                todo=f"Change the holes of '{member.mirror_of}', or free '{bar_id}' from the mirror first.",
                objects=(bar_id,),
            )
        )
    bar = bar_of(cage, bar_id)
    stops = stopping(check_shape(bar))
    if stops:
        raise UserError(*stops)
    return bar


def _on_axis(bar: Bar, place: Node) -> tuple[Node, float]:
    at, _, off_mm = _on_axis_there(bar, place)
    return at, off_mm


def _on_axis_there(bar: Bar, place: Node) -> tuple[Node, Node, float]:
    """The place on a bar's axis nearest to another, the travel there, and how far apart the two are."""
    path = centreline(bar)
    along = np.array([path.nearest_mm(place)])
    at: Vector = path.at(along)[0]
    return as_node(at), as_node(path.directions_at(along)[0]), float(np.linalg.norm(at - np.array(place)))
