"""Which bars an end is cut to: the bar that it lands on, and others that are there before it."""

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray
from scipy.spatial import cKDTree

from hoopwright.cage import Cage, EndLetter
from hoopwright.geometry import Points, Vector, unit_vector
from hoopwright.joints.meet.solid_tube import SolidTube

LOOKED_AT_MM = 400.0
"""So far from an end its neighbours are looked at: heels of 10° between usual tubes are shorter."""
_AROUND = 48
_STEP_MM = 1.0
_UNDER_SKIN_MM = 0.02
_NEAR_CUT_MM = 3.0
_AXIS_STEP_MM = 5.0


@dataclass(frozen=True, kw_only=True)
class MetBars:
    """What meets at one end.

    Args:
        bar_id: The bar that ends.
        end: Which of its ends.
        main: The bar that it lands on.
        further: Bars that are there before it and that its end would run into, in the order of assembly.
        later: Bars whose ends run into it there and that are cut to it.
        is_mutual: Whether the bar that it lands on ends here too, on this bar.
        clear_mm: Along its axis from the drawn end to where it has come clear of all of them.
        is_clear: Whether it comes clear of them at all before its middle, or within 400 mm.
    """

    bar_id: str
    end: EndLetter
    main: str
    further: tuple[str, ...]
    later: tuple[str, ...]
    is_mutual: bool
    clear_mm: float
    is_clear: bool


@dataclass(frozen=True, eq=False)
class _EndSkin:
    """Points on the skin of an end of a bar, row by row from the drawn end inward."""

    along_mm: Vector
    axis_mm: Points
    skin_mm: Points
    cut_mm: float
    past_main: NDArray[np.bool_]

    @property
    def longest_mm(self) -> float:
        return float(self.along_mm[-1])


def landings_on_bars(cage: Cage) -> tuple[tuple[str, EndLetter, str], ...]:
    """Every end that lands on a bar of the cage, in the cage's order: bar, end, and what it lands on."""
    found: list[tuple[str, EndLetter, str]] = []
    for member in cage.members:
        letters: tuple[EndLetter, EndLetter] = ("A", "B")
        for letter, end in zip(letters, (member.end_a, member.end_b), strict=True):
            if end.kind == "bar" and end.on is not None and end.on in cage and end.on != member.member_id:
                found.append((member.member_id, letter, end.on))
    return tuple(found)


def all_met_bars(cage: Cage, solids: Mapping[str, SolidTube], order: Sequence[str]) -> tuple[MetBars, ...]:
    """What meets at every end that lands on a bar, in the cage's order.

    Args:
        cage: The cage.
        solids: Its bars, by name.
        order: Order of assembly of all of them.
    """
    landings = landings_on_bars(cage)
    ends = {(bar, end): _end_skin(solids[bar], end, solids[on]) for bar, end, on in landings}
    trees = {name: _axis_tree(solid) for name, solid in solids.items()}
    into: dict[tuple[str, EndLetter], dict[str, float]] = {}
    for (bar, end), skin in ends.items():
        on = next(main for name, letter, main in landings if (name, letter) == (bar, end))
        others = [name for name in solids if name not in (bar, on)]
        near = [name for name in others if _may_touch(skin, solids[bar], solids[name], trees[name])]
        found = {name: _runs_into_mm(skin, solids[name]) for name in near}
        into[bar, end] = {name: reach for name, reach in found.items() if reach is not None}
    return tuple(_met(cage, landing, into, ends, order) for landing in landings)


def _met(
    cage: Cage,
    landing: tuple[str, EndLetter, str],
    into: Mapping[tuple[str, EndLetter], Mapping[str, float]],
    ends: Mapping[tuple[str, EndLetter], _EndSkin],
    order: Sequence[str],
) -> MetBars:
    bar, end, main = landing
    skin = ends[bar, end]
    further, later, clear = [], [], skin.cut_mm
    for name in sorted(into[bar, end], key=order.index):
        lands_on_it = any(who == name and on == bar for who, _, on in landings_on_bars(cage))
        also_ends = lands_on_it or any(bar in into.get((name, letter), {}) for letter in ("A", "B"))
        if also_ends and (lands_on_it or order.index(name) > order.index(bar)):
            later.append(name)
        else:
            further.append(name)
            clear = max(clear, into[bar, end][name])
    return MetBars(
        bar_id=bar,
        end=end,
        main=main,
        further=tuple(further),
        later=tuple(later),
        is_mutual=_is_mutual(cage, bar, main, ends, skin),
        clear_mm=clear,
        is_clear=clear < skin.longest_mm - _STEP_MM,
    )


def _is_mutual(
    cage: Cage, bar: str, main: str, ends: Mapping[tuple[str, EndLetter], _EndSkin], skin: _EndSkin
) -> bool:
    """Whether the bar that an end lands on ends on this bar, at the same place."""
    near_mm = 2.0 * float(np.linalg.norm(skin.skin_mm[0] - skin.axis_mm[0])) + skin.cut_mm
    return any(
        who == main
        and on == bar
        and float(np.linalg.norm(ends[who, letter].axis_mm[0] - skin.axis_mm[0])) < near_mm
        for who, letter, on in landings_on_bars(cage)
    )


def _end_skin(solid: SolidTube, end: EndLetter, main: SolidTube) -> _EndSkin:
    path = solid.path
    reach = min(path.length_mm / 2.0, LOOKED_AT_MM)
    along = np.linspace(0.0, reach, max(2, math.ceil(reach / _STEP_MM) + 1))
    on_path = along if end == "A" else path.length_mm - along
    axis, travels = path.at(on_path), path.directions_at(on_path)
    skin = _rings(axis, travels, solid.radius_mm).reshape(-1, 3)
    in_main = main.holds(skin).reshape(len(along), _AROUND)
    in_main[_group_end(in_main) :] = False
    # what lies nearer to the end than the main header's skin is cut away
    past_main = ~np.logical_or.accumulate(in_main[::-1], axis=0)[::-1]
    rows_in = np.flatnonzero(in_main.any(axis=1))
    cut = float(along[rows_in[-1]]) if len(rows_in) else 0.0
    return _EndSkin(along_mm=along, axis_mm=axis, skin_mm=skin, cut_mm=cut, past_main=past_main)


def _rings(axis_mm: Points, travels: Points, radius_mm: float) -> Vector:
    """Points round the axis, row by row without twist; shape (n, around, 3)."""
    sides = np.empty_like(travels)
    side = np.eye(3)[int(np.argmin(np.abs(travels[0])))]
    turns = np.flatnonzero(np.append(True, np.any(travels[1:] != travels[:-1], axis=1)))
    for first, stop in zip(turns, (*turns[1:], len(travels)), strict=True):
        side = unit_vector(side - travels[first] * float(side @ travels[first]))
        sides[first:stop] = side
    turn_rad = np.linspace(0.0, 2.0 * math.pi, _AROUND, endpoint=False)[None, :, None]
    others = np.cross(travels, sides)
    rings: Vector = axis_mm[:, None] + radius_mm * (
        np.cos(turn_rad) * sides[:, None] + np.sin(turn_rad) * others[:, None]
    )
    return rings


def _group_end(inside_rows: NDArray[np.bool_]) -> int:
    """Where the first unbroken group of rows with anything inside ends; 0 without one."""
    rows = np.asarray(inside_rows.any(axis=1))
    inside = np.flatnonzero(rows)
    if not len(inside):
        return 0
    outside = np.flatnonzero(~rows[inside[0] :])
    return int(inside[0] + outside[0]) if len(outside) else len(rows)


def _axis_tree(solid: SolidTube) -> "cKDTree[None]":
    return cKDTree(solid.path.at(solid.path.even_distances(_AXIS_STEP_MM)))


def _may_touch(skin: _EndSkin, own: SolidTube, other: SolidTube, tree: "cKDTree[None]") -> bool:
    distance, _ = tree.query(skin.axis_mm)
    return float(np.min(distance)) < own.radius_mm + other.radius_mm + _AXIS_STEP_MM


def _runs_into_mm(skin: _EndSkin, other: SolidTube) -> float | None:
    """How far from the drawn end the end runs in another bar beside its main header; None where it does not.

    A bar that it runs into farther along is no part of the joint.
    """
    inside = other.holds(skin.skin_mm, deeper_mm=_UNDER_SKIN_MM).reshape(skin.past_main.shape)
    past = inside & skin.past_main
    stop = _group_end(past)
    if not stop or skin.along_mm[int(np.argmax(past.any(axis=1)))] > skin.cut_mm + _NEAR_CUT_MM:
        return None
    return float(skin.along_mm[stop - 1])
