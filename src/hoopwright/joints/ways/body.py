"""A bar, or a part of several, as balls: its tube, and the edges of its coped or square ends."""

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, centreline
from hoopwright.cage import Cage, End, bar_of
from hoopwright.geometry import Capsule, FilletedPath, Points, Vector, unit_vector

SPACING_MM = 10.0
EDGE_POINTS = 12
_SAGITTA_MM = 0.1
_SHALLOW = 0.2


@dataclass(frozen=True, eq=False, kw_only=True)
class Part:
    """What is carried in as one piece.

    Args:
        names: Its bars; several are tacked together.
        places_mm: Centres of its balls at its place, shape (n, 3).
        radius_mm: Of each ball, shape (n,); 0 on the edge of an end.
        of_bar: Which of its bars each belongs to, shape (n,).
        along_mm: Distance of each from end A of its bar.
        at_landing: Which of them lie on a stretch that is trimmed or coped to what it lands on.
        from_mm: For those, a place farther inside the tube on the same line along it, shape (n, 3).
    """

    names: tuple[str, ...]
    places_mm: Points
    radius_mm: Vector
    of_bar: NDArray[np.int64]
    along_mm: Vector
    at_landing: NDArray[np.bool_]
    from_mm: Points

    @property
    def title(self) -> str:
        """What it is called: its bars joined with plus signs."""
        return "+".join(self.names)


def part_of(cage: Cage, names: Sequence[str]) -> Part:
    """Bars of a cage as one piece. Where a bar ends on another, its tube ends at the cope, not at the node.

    Raises:
        UserError: `CAGE-001` for a bar that is not there.
        ValueError: For a bar that cannot be; `bars.check_shape` says it in words.
    """
    rows = [_balls(cage, name, number) for number, name in enumerate(names)]
    joined = [np.concatenate([row[column] for row in rows]) for column in range(6)]
    return Part(
        names=tuple(names),
        places_mm=joined[0],
        radius_mm=joined[1],
        of_bar=joined[2].astype(np.int64),
        along_mm=joined[3],
        at_landing=joined[4].astype(bool),
        from_mm=joined[5],
    )


def as_capsules(bar: Bar) -> tuple[Capsule, ...]:
    """A bar in its place as capsules; arcs are broken so that no chord lies more than 0.1 mm off the axis."""
    path = centreline(bar)
    capsules = []
    for piece in path.pieces:
        turn_deg = getattr(piece, "angle_deg", 0.0)
        step_deg = math.degrees(2.0 * math.acos(1.0 - _SAGITTA_MM / bar.clr_mm)) if turn_deg else 1.0
        cuts = np.linspace(0.0, piece.length_mm, 1 + max(1, math.ceil(turn_deg / step_deg)))
        points = piece.at(cuts)
        for start, end in itertools.pairwise(points):
            capsules.append(
                Capsule(
                    name=bar.name, start_mm=tuple(start), end_mm=tuple(end), radius_mm=bar.tube.od_mm / 2.0
                )
            )
    return tuple(capsules)


def edge_at(cage: Cage, name: str, letter: str) -> Points:
    """Points round the edge of an end `A` or `B` as it is cut, vehicle frame, shape (n, 3)."""
    bar, member = bar_of(cage, name), cage.member(name)
    path, at_a = centreline(bar), letter == "A"
    end = member.end_a if at_a else member.end_b
    at_mm, sense = (0.0, 1.0) if at_a else (path.length_mm, -1.0)
    return _trimmed(cage, path, end, at_mm, sense, bar.tube.od_mm / 2.0).edge


def piece_of(part: Part, name: str, low_mm: float, high_mm: float) -> Part:
    """The stretch of one of its bars between two distances from end A."""
    keep = (part.of_bar == part.names.index(name)) & (part.along_mm >= low_mm) & (part.along_mm <= high_mm)
    return only(part, keep)


def only(part: Part, keep: NDArray[np.bool_]) -> Part:
    """The part with some of its balls, shape (n,)."""
    return replace(
        part,
        places_mm=part.places_mm[keep],
        radius_mm=part.radius_mm[keep],
        of_bar=part.of_bar[keep],
        along_mm=part.along_mm[keep],
        at_landing=part.at_landing[keep],
        from_mm=part.from_mm[keep],
    )


def _balls(cage: Cage, name: str, number: int) -> tuple[np.ndarray, ...]:
    bar, member = bar_of(cage, name), cage.member(name)
    path, radius = centreline(bar), bar.tube.od_mm / 2.0
    length = path.length_mm
    back = [
        _trimmed(cage, path, end, 0.0 if at_a else length, 1.0 if at_a else -1.0, radius)
        for at_a, end in ((True, member.end_a), (False, member.end_b))
    ]
    low, high = back[0].axis_mm, length - back[1].axis_mm
    if high - low < 2.0 * radius:
        low, high = 0.0, length
    count = max(2, math.ceil((high - low - 2.0 * radius) / SPACING_MM) + 1)
    along = (
        np.linspace(low + radius, high - radius, count)
        if high - low > 2.0 * radius
        else np.array([length / 2.0])
    )
    edges = [(np.zeros(len(back[0].edge)), back[0].edge), (np.full(len(back[1].edge), length), back[1].edge)]
    places = np.concatenate([path.at(along), *(edge for _, edge in edges)])
    at = np.concatenate([along, *(one for one, _ in edges)])
    radii = np.concatenate([np.full(len(along), radius), np.zeros(len(at) - len(along))])
    landings = [
        _landing_mm(end, trimmed) for end, trimmed in zip((member.end_a, member.end_b), back, strict=True)
    ]
    at_landing = (at < landings[0]) | (at > length - landings[1])
    inside = np.clip(np.where(at < length / 2.0, landings[0], length - landings[1]), 0.0, length)
    off_axis = places - path.at(at)
    return places, radii, np.full(len(at), number), at, at_landing, path.at(inside) + off_axis


@dataclass(frozen=True, eq=False, kw_only=True)
class _Trimmed:
    """Where the tube ends: how far the round of its last ball lies behind the drawn end, and points of its edge."""

    axis_mm: float
    edge: Points


def _trimmed(cage: Cage, path: FilletedPath, end: End, at_mm: float, sense: float, radius: float) -> _Trimmed:
    place, along = path.at([at_mm])[0], path.directions_at([at_mm])[0] * sense
    side = unit_vector(np.cross(along, np.eye(3)[int(np.argmin(np.abs(along)))]))
    turn_rad = np.linspace(0.0, 2.0 * math.pi, EDGE_POINTS, endpoint=False)[:, None]
    rim = radius * (np.cos(turn_rad) * side + np.sin(turn_rad) * np.cross(along, side))
    if end.kind != "bar" or end.on is None:
        return _Trimmed(axis_mm=0.0, edge=place + rim)
    header = bar_of(cage, end.on)
    header_path, header_radius = centreline(header), header.tube.od_mm / 2.0
    on = header_path.nearest_mm(place)
    axis = header_path.directions_at([on])[0]
    return _coped(place, along, rim, header_path.at([on])[0], axis, header_radius, radius)


def _coped(
    place: Vector, along: Vector, rim: Points, on: Vector, axis: Vector, header_radius: float, radius: float
) -> _Trimmed:
    """The end cut to a straight header: where each line of its skin meets the header's skin."""
    across = along - axis * float(along @ axis)
    sine = float(np.linalg.norm(across))
    if sine < _SHALLOW:
        return _Trimmed(axis_mm=header_radius / _SHALLOW, edge=np.empty((0, 3)))
    offset = place + rim - on
    offset = offset - np.multiply.outer(offset @ axis, axis)
    # |offset + t across| = header radius, the larger t: the side from which the bar comes
    b = offset @ across
    c = (offset**2).sum(axis=1) - header_radius**2
    inside = b * b - sine**2 * c
    met = inside >= 0.0
    t = (-b[met] + np.sqrt(inside[met])) / sine**2
    # the ball at the end touches the header where the header is square to it, less where the bar comes aslant
    return _Trimmed(
        axis_mm=max(0.0, (header_radius + radius) / sine - radius),
        edge=(place + rim)[met] + t[:, None] * along,
    )


def _landing_mm(end: End, trimmed: _Trimmed) -> float:
    return 0.0 if end.kind == "free" else max(end.landing_mm, trimmed.axis_mm + 1.0)
