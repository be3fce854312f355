"""What hangs on what: which bars are tacked together to be moved, and the seams of a cage."""

from collections.abc import Iterable

import numpy as np

from hoopwright.bars import Bar
from hoopwright.cage import Cage, EndLetter, Landing, landing_at
from hoopwright.findings import UserError
from hoopwright.geometry import Vector, fit_plane, unit_vector
from hoopwright.joints.landing.fit import fit_landing
from hoopwright.joints.meet import assembly_order, ends_of
from hoopwright.joints.reach.legs import feet_of
from hoopwright.joints.reach.seam import WeldSeam, seam_of_cut, seam_on_bar, seam_on_plane
from hoopwright.shell.shell import Shell

_ROUND_FOOT_MM = 40.0
_PLATE_MM = 3.0
_SQUARE_ENOUGH = 0.5
_LEAST_POINTS = 8


def headers_of(cage: Cage, name: str) -> tuple[str, ...]:
    """The bars that a bar ends on."""
    member = cage.member(name)
    return tuple(
        end.on
        for end in (member.end_a, member.end_b)
        if end.kind == "bar" and end.on is not None and end.on in cage
    )


def held_together(cage: Cage, bars: Iterable[str]) -> frozenset[str]:
    """The bars, those that they end on, and the mirror image of each: what is tacked together."""
    found: set[str] = set()
    todo = list(bars)
    while todo:
        name = todo.pop()
        if name in found:
            continue
        found.add(name)
        twin = cage.member(name).mirror_of
        mirrors = [member.member_id for member in cage.members if member.mirror_of == name]
        todo += [*headers_of(cage, name), *mirrors, *([twin] if twin else [])]
    return frozenset(found)


def seams_of(cage: Cage, bars: dict[str, Bar]) -> tuple[WeldSeam, ...]:
    """The seam of every end that lands on a bar, in the order of assembly: as it is coped, to all its headers.

    An end that cannot be coped has the seam on the bar that it lands on alone; one that does not meet it has none.
    """
    cuts = {(cut.bar_id, cut.end): cut for cut in ends_of(cage).ends}
    found = []
    for name, letter, on in landed_ends(cage):
        cut = cuts.get((name, letter))
        seam = seam_on_bar(bars[name], letter, bars[on]) if cut is None else seam_of_cut(cut)
        if len(seam.points_mm) >= _LEAST_POINTS:
            found.append(seam)
    return tuple(found)


def landed_ends(cage: Cage) -> tuple[tuple[str, EndLetter, str], ...]:
    """Every end that lands on a bar, and the bar, in the order of assembly."""
    letters: tuple[EndLetter, EndLetter] = ("A", "B")
    found: list[tuple[str, EndLetter, str]] = []
    for name in assembly_order(cage):
        member = cage.member(name)
        for letter, end in zip(letters, (member.end_a, member.end_b), strict=True):
            if end.kind == "bar" and end.on is not None and end.on in cage and end.on != name:
                found.append((name, letter, end.on))
    return tuple(found)


def foot_seams(shell: Shell, cage: Cage, bars: dict[str, Bar]) -> tuple[WeldSeam, ...]:
    """The seam of every foot on its landing, or on a flat plate on the metal under it where none was chosen."""
    found = []
    for name, letter in feet_of(cage, assembly_order(cage)):
        landing = landing_at(cage, name, letter)
        stands = None if landing is None else _on_landing(bars[name], letter, landing, shell)
        bar, normal = stands or _on_plate(bars[name], letter, shell)
        found.append(seam_on_plane(bar, letter, normal))
    return tuple(found)


def _on_landing(bar: Bar, letter: EndLetter, landing: Landing, shell: Shell) -> tuple[Bar, Vector] | None:
    """The bar with its foot on its fitted landing, and the landing's normal there; None where it cannot be fitted."""
    try:
        plane = fit_landing(shell, bar, landing).cut.plane
    except UserError:
        # `hoopwright landing` tells why
        return None
    nodes = bar.nodes.copy()
    at, inner = (0, 1) if letter == "A" else (-1, -2)
    away = unit_vector(nodes[inner] - nodes[at])
    nodes[at] = nodes[at] - away * float(plane.distance_mm(nodes[at])) / float(plane.normal @ away)
    return bar.with_nodes(nodes), plane.normal


def _on_plate(bar: Bar, letter: str, shell: Shell) -> tuple[Bar, Vector]:
    """The bar with its foot in the upper face of its plate, and the plate's normal."""
    nodes = bar.nodes.copy()
    at = 0 if letter == "A" else -1
    foot, inner = nodes[at].copy(), nodes[1 if letter == "A" else -2]
    away = (inner - foot) / np.linalg.norm(inner - foot)
    level = np.array([0.0, 0.0, 1.0])
    grid = [(f, s) for f in (-1.0, 0.0, 1.0) for s in (-1.0, 0.0, 1.0)]
    round_foot = foot + _ROUND_FOOT_MM * np.array([[f, s, 0.0] for f, s in grid])
    metal = shell.nearest(round_foot, reach_mm=3.0 * _ROUND_FOOT_MM).place_mm
    metal = metal[np.isfinite(metal).all(axis=1)]
    spread = metal - metal.mean(axis=0) if len(metal) else metal
    if len(metal) < len(grid) or np.linalg.svd(spread)[1][1] < _ROUND_FOOT_MM / 2.0:
        return bar, level
    plane, _ = fit_plane(metal)
    normal = plane.normal * np.sign(float(plane.normal @ away) or 1.0)
    if float(normal @ away) < _SQUARE_ENOUGH:
        return bar, level
    over = float((foot - metal.mean(axis=0)) @ normal)
    # an end drawn in the metal stands on a plate that lies on it
    lift = max(0.0, _PLATE_MM - over) / float(normal @ away)
    nodes[at] = foot + lift * away
    return bar.with_nodes(nodes), normal
