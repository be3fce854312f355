"""Openings of a shell that a bar may come in by: typed by their corners, or found by looking out of the cabin."""

import re
from collections.abc import Mapping
from dataclasses import dataclass, replace

import numpy as np
from scipy.sparse import coo_array
from scipy.sparse.csgraph import connected_components
from scipy.spatial import cKDTree

from hoopwright.bars import Node
from hoopwright.geometry import Points, Vector, unit_vector
from hoopwright.shell.shell import Shell

_CORNER = re.compile(r"([a-z][a-z_]*)_opening_(\d{1,3})")
_RAYS = 6000
_NEXT_DEG = 3.2
_LEAST_MM, _DOOR_MM = 250.0, 450.0
_FEWEST = 8
_SIDES: Mapping[str, tuple[float, float, float]] = {
    "door-left": (0.0, 1.0, 0.0),
    "door-right": (0.0, -1.0, 0.0),
    "screen": (1.0, 0.0, 0.0),
    "tailgate": (-1.0, 0.0, 0.0),
    "roof": (0.0, 0.0, 1.0),
}
OPENING_NAMES = ("door-left", "door-right", "rear-door-left", "rear-door-right", "screen", "tailgate", "roof")


@dataclass(frozen=True, eq=False, kw_only=True)
class ShellOpening:
    """An opening that a bar may come in by.

    Args:
        name: Such as `door-left`, `screen`.
        middle_mm: Its middle, vehicle frame.
        outward: Unit direction out of the car.
        wide_mm: Its width, level.
        high_mm: Its height, along its own slope.
        typed: Whether its corners were typed; else it was found by looking out of the cabin.
    """

    name: str
    middle_mm: Node
    outward: Node
    wide_mm: float
    high_mm: float
    typed: bool


def openings_of(shell: Shell, landmarks: Mapping[str, Node], cabin_mm: Vector) -> tuple[ShellOpening, ...]:
    """Every opening that is known, by name; typed corners before what is found.

    Args:
        shell: The scan.
        landmarks: Corners `door_opening_1`, `screen_opening_1`, `tailgate_opening_1`, ...; a door's count for both
            sides.
        cabin_mm: A place in the cabin, such as the middle of the cage.
    """
    found = {one.name: one for one in _typed(landmarks, cabin_mm)}
    for one in _seen(shell, cabin_mm):
        found.setdefault(one.name, one)
    return tuple(found[name] for name in sorted(found, key=_rank))


def _rank(name: str) -> tuple[int, str]:
    return (OPENING_NAMES.index(name) if name in OPENING_NAMES else len(OPENING_NAMES), name)


def _typed(landmarks: Mapping[str, Node], cabin_mm: Vector) -> list[ShellOpening]:
    corners: dict[str, list[Node]] = {}
    for name, place in landmarks.items():
        if met := _CORNER.fullmatch(name):
            corners.setdefault(met[1], []).append(place)
    made = []
    for name, places in corners.items():
        if len(places) < 3:
            continue
        points = np.array(places)
        if name != "door":
            made.append(_opening(name.replace("_", "-"), points, cabin_mm, typed=True))
            continue
        for side, word in ((1.0, "door-left"), (-1.0, "door-right")):
            own = np.abs(points) * [0.0, side, 0.0] + points * [1.0, 0.0, 1.0]
            made.append(_opening(word, own, cabin_mm, typed=True))
    return made


def _opening(name: str, edge_mm: Points, cabin_mm: Vector, *, typed: bool) -> ShellOpening:
    """The plane that lies best through places round an opening, and how wide and high they stand apart in it."""
    middle = (edge_mm.min(axis=0) + edge_mm.max(axis=0)) / 2.0
    normal = np.linalg.svd(edge_mm - edge_mm.mean(axis=0))[2][2]
    outward = normal if float(normal @ (middle - cabin_mm)) >= 0.0 else -normal
    level = np.cross((0.0, 0.0, 1.0), outward)
    level = unit_vector(level) if np.linalg.norm(level) > 0.2 else np.array([0.0, 1.0, 0.0])
    spans = [float(np.ptp(edge_mm @ axis)) for axis in (level, np.cross(outward, level))]
    return ShellOpening(
        name=name,
        middle_mm=(float(middle[0]), float(middle[1]), float(middle[2])),
        outward=(float(outward[0]), float(outward[1]), float(outward[2])),
        wide_mm=spans[0],
        high_mm=spans[1],
        typed=typed,
    )


def _seen(shell: Shell, cabin_mm: Vector) -> list[ShellOpening]:
    """The largest patch of each side through which the outside is seen."""
    rays = _even_directions(_RAYS)
    hits = shell.first_hits(np.broadcast_to(cabin_mm, rays.shape), rays)
    open_rays = rays[~np.isfinite(hits.distance_mm) & (rays[:, 2] > -0.5)]
    if not len(open_rays):
        return []
    pairs = cKDTree(open_rays).query_pairs(2.0 * np.sin(np.radians(_NEXT_DEG) / 2.0), output_type="ndarray")
    links = coo_array((np.ones(len(pairs)), (pairs[:, 0], pairs[:, 1])), shape=(len(open_rays),) * 2)
    _, patch_of = connected_components(links, directed=False)
    low, high = shell.body_box()
    patches: dict[str, list[tuple[int, ShellOpening]]] = {}
    for patch in np.unique(patch_of):
        own = open_rays[patch_of == patch]
        edge = _on_outline(shell, cabin_mm, own, float(np.linalg.norm(high - low)))
        mean = unit_vector(own.mean(axis=0))
        name = max(_SIDES, key=lambda side: float(mean @ np.array(_SIDES[side])))
        made = _opening(name, edge, cabin_mm, typed=False) if len(edge) >= _FEWEST else None
        if made is not None and min(made.wide_mm, made.high_mm) >= _LEAST_MM:
            patches.setdefault(name, []).append((len(own), made))
    return [one for name, found in patches.items() for one in _named(name, found)]


def _named(name: str, found: list[tuple[int, ShellOpening]]) -> list[ShellOpening]:
    """Of one side: the largest patch, and of doors the foremost and the one behind it."""
    doors = [one for _, one in found if one.wide_mm >= _DOOR_MM and one.high_mm >= _DOOR_MM]
    if not name.startswith("door") or len(doors) < 2:
        return [max(found, key=lambda pair: pair[0])[1]]
    front, rear = sorted(doors, key=lambda one: -one.middle_mm[0])[:2]
    return [front, replace(rear, name=f"rear-{name}")]


def _on_outline(shell: Shell, cabin_mm: Vector, rays: Points, far_mm: float) -> Points:
    """Where rays leave the outline of the shell; by halving."""
    near, far = np.zeros(len(rays)), np.full(len(rays), far_mm)
    for _ in range(14):
        middle = (near + far) / 2.0
        margin, _ = shell.envelope.margin_mm(cabin_mm + middle[:, None] * rays)
        inside = ~(margin < 0.0) & ~np.isnan(margin)
        near, far = np.where(inside, middle, near), np.where(inside, far, middle)
    return cabin_mm + near[:, None] * rays


def _even_directions(count: int) -> Points:
    """Directions spread evenly over the sphere along a spiral (R. Swinbank and J. Purser, 2006), shape (count, 3)."""
    up = 1.0 - (2.0 * np.arange(count) + 1.0) / count
    turn_rad = np.arange(count) * np.pi * (3.0 - np.sqrt(5.0))
    level = np.sqrt(1.0 - up * up)
    return np.stack([level * np.cos(turn_rad), level * np.sin(turn_rad), up], axis=1)
