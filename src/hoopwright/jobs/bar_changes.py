"""What became of each bar from one layout to another."""

from collections.abc import Iterator
from dataclasses import dataclass
from typing import Literal

import numpy as np

from hoopwright.cage import Cage, End, bar_of
from hoopwright.jobs.cage_masses import CageMass
from hoopwright.units import format_length

ChangeKind = Literal["added", "taken out", "changed", "as before"]
_SHOWN_MM, _SHOWN_RADIUS_MM = 0.05, 0.05


@dataclass(frozen=True, kw_only=True)
class BarChange:
    """What became of a bar.

    Args:
        bar_id: The bar; one of the same name in the other layout is the same bar.
        kind: What became of it.
        words: What changed, each in words.
        first_kg: What it weighed in the first; None where it was not there.
        second_kg: What it weighs in the second; None where it is not there.
    """

    bar_id: str
    kind: ChangeKind
    words: tuple[str, ...]
    first_kg: float | None
    second_kg: float | None


def bar_changes(
    first: Cage, second: Cage, first_mass: CageMass, second_mass: CageMass
) -> tuple[BarChange, ...]:
    """Every bar of either layout, in the order of the second, those that were taken out last.

    Args:
        first: The one, as it exists.
        second: The other.
        first_mass: What its bars weigh.
        second_mass: Likewise.
    """
    was = {one.bar_id: one.mass.mass_kg for one in first_mass.members}
    now = {one.bar_id: one.mass.mass_kg for one in second_mass.members}
    names = [member.member_id for member in second.members]
    names += [member.member_id for member in first.members if member.member_id not in second]
    return tuple(_change(name, first, second, was.get(name), now.get(name)) for name in names)


def _change(
    name: str, first: Cage, second: Cage, first_kg: float | None, second_kg: float | None
) -> BarChange:
    words: tuple[str, ...] = ()
    if name not in first:
        kind: ChangeKind = "added"
        words = (_what(second, name),)
    elif name not in second:
        kind = "taken out"
        words = (_what(first, name),)
    else:
        words = tuple(_differences(name, first, second))
        kind = "changed" if words else "as before"
    return BarChange(bar_id=name, kind=kind, words=words, first_kg=first_kg, second_kg=second_kg)


def _what(cage: Cage, name: str) -> str:
    member = cage.member(name)
    return f"{member.role.value}, {member.tube}"


def _differences(name: str, first: Cage, second: Cage) -> Iterator[str]:
    was, now = first.member(name), second.member(name)
    for before, after, what in (
        (was.role.value, now.role.value, "role"),
        (str(was.tube), str(now.tube), "tube"),
        (was.steel or "none said", now.steel or "none said", "steel"),
        (was.die, now.die, "die"),
        (_end(was.end_a), _end(now.end_a), "end A on"),
        (_end(was.end_b), _end(now.end_b), "end B on"),
    ):
        if before != after:
            yield f"{what}: {before}, now {after}"
    bar, other = bar_of(first, name), bar_of(second, name)
    if bar.bend_count != other.bend_count:
        yield f"bends: {bar.bend_count}, now {other.bend_count}"
        return
    if bar.bend_count and abs(bar.clr_mm - other.clr_mm) > _SHOWN_RADIUS_MM:
        yield f"radius: {format_length(bar.clr_mm)}, now {format_length(other.clr_mm)}"
    moved = np.linalg.norm(bar.nodes - other.nodes, axis=1)
    far_mm, many = float(moved.max()), int((moved > _SHOWN_MM).sum())
    if many:
        most = f"node {int(moved.argmax()) + 1}"
        yield (
            f"{most} moved {far_mm:.1f} mm"
            if many == 1
            else f"{many} nodes moved, {most} most, {far_mm:.1f} mm"
        )


def _end(end: End) -> str:
    return end.on or end.kind
