"""The seam of a joint: where a branch meets the skin of its header, and how a torch is held to it."""

import math
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import NDArray

from hoopwright.bars import Bar, centreline
from hoopwright.geometry import Arc, FilletedPath, Points, Vector, rotation_about, unit_vector
from hoopwright.joints.meet import EndCut

POINTS_AROUND = 72
_STEP_MM = 1.5
_HALVINGS = 40
_SQUARE = 1e-6
_GRAZING_MM = 0.1
SeamKind = Literal["bar", "shell"]


@dataclass(frozen=True, eq=False, kw_only=True)
class WeldSeam:
    """A closed seam round the end of a bar.

    Args:
        name: As the cut of that end: `MH/SB-L-B` is end B of `SB-L` on `MH`; `foot MH-A` on the shell.
        kind: Whether the end stands on a bar or on the shell.
        bars: The branch and its headers; the branch alone where it stands on the shell.
        end: Which end of the branch.
        around_deg: Place round the branch of each point, from the heel (the acute side), shape (n,).
        points_mm: The seam, vehicle frame, shape (n, 3).
        bisectors: Unit directions away from the seam in the middle between both skins, shape (n, 3).
        travels: Unit directions along the seam, shape (n, 3).
        outward: Unit directions out of the branch's skin, shape (n, 3).
    """

    name: str
    kind: SeamKind
    bars: tuple[str, ...]
    end: Literal["A", "B"]
    around_deg: Vector
    points_mm: Points
    bisectors: Points
    travels: Points
    outward: Points

    @property
    def middle_mm(self) -> Vector:
        """Middle of the seam, shape (3,)."""
        middle: Vector = self.points_mm.mean(axis=0)
        return middle

    def moved(self, rotation: NDArray[np.float64], shift_mm: Vector) -> "WeldSeam":
        """The seam after a rigid motion, shapes (3, 3) and (3,): rotation @ p + shift."""
        return WeldSeam(
            name=self.name,
            kind=self.kind,
            bars=self.bars,
            end=self.end,
            around_deg=self.around_deg,
            points_mm=self.points_mm @ rotation.T + shift_mm,
            bisectors=self.bisectors @ rotation.T,
            travels=self.travels @ rotation.T,
            outward=self.outward @ rotation.T,
        )


def seam_on_bar(branch: Bar, end: Literal["A", "B"], header: Bar, points: int = POINTS_AROUND) -> WeldSeam:
    """The seam of a branch's end on a header, skin on skin; where the branch overhangs, the seam has no points.

    Args:
        branch: The bar that is cut.
        end: Its end that lands on the header.
        header: The bar that runs through, bent or not.
        points: How many places round the branch.

    Raises:
        ValueError: For a bar that cannot be; `bars.check_shape` says it in words.
    """
    foot, away = _end_of(branch, end)
    path, radius = centreline(header), header.tube.od_mm / 2.0
    _, header_way, _ = nearest_on_path(path, foot[None])
    heel = _heel(away, header_way[0])
    around = np.arange(points) * 360.0 / points
    outward = np.stack([rotation_about(away, angle) @ heel for angle in around])
    lines = foot + branch.tube.od_mm / 2.0 * outward
    along = _first_touch(path, radius, lines, away, branch.tube.od_mm + header.tube.od_mm)
    met = np.isfinite(along)
    at = lines[met] + along[met, None] * away
    _, _, off = nearest_on_path(path, at)
    on_header = off / np.linalg.norm(off, axis=1, keepdims=True)
    return _seam(
        f"{header.name}/{branch.name}-{end}",
        "bar",
        (branch.name, header.name),
        end,
        around[met],
        at,
        outward[met],
        on_header,
    )


def seam_of_cut(cut: EndCut, points: int = POINTS_AROUND) -> WeldSeam:
    """The seam of an end as it is coped, to all its headers.

    Args:
        cut: The cut of the end.
        points: How many places round the branch at most; the first at the heel.
    """
    weld, count = cut.weld, len(cut.weld.points_mm)
    heel = round(cut.clocking.heel_deg / 360.0 * count)
    chosen = (heel + np.arange(0, count, max(1, count // points))) % count
    chosen = chosen[np.isfinite(weld.points_mm[chosen]).all(axis=1)]
    return _seam(
        cut.name,
        "bar",
        (cut.bar_id, *(header.bar_id for header in cut.headers)),
        cut.end,
        np.mod((chosen - heel) * 360.0 / count, 360.0),
        weld.points_mm[chosen],
        weld.branch_out[chosen],
        weld.header_out[chosen],
    )


def seam_on_plane(
    branch: Bar, end: Literal["A", "B"], normal: Vector, points: int = POINTS_AROUND
) -> WeldSeam:
    """The seam of a foot on a flat plate.

    Args:
        branch: The bar that stands on it.
        end: Its end that stands on the plate, in the plate's upper face.
        normal: Unit normal of the plate, on the bar's side.
        points: How many places round the bar.
    """
    foot, away = _end_of(branch, end)
    around = np.arange(points) * 360.0 / points
    leaning = away - normal * float(away @ normal)
    heel = _heel(away, leaning if np.linalg.norm(leaning) > _SQUARE else np.array([1.0, 0.0, 0.0]))
    outward = np.stack([rotation_about(away, angle) @ heel for angle in around])
    lines = foot + branch.tube.od_mm / 2.0 * outward
    at = lines - np.multiply.outer(((lines - foot) @ normal) / float(away @ normal), away)
    on_plate = np.broadcast_to(normal, at.shape)
    return _seam(f"foot {branch.name}-{end}", "shell", (branch.name,), end, around, at, outward, on_plate)


def _seam(
    name: str,
    kind: SeamKind,
    bars: tuple[str, ...],
    end: Literal["A", "B"],
    around: Vector,
    at: Points,
    outward: Points,
    other_skin: Points,
) -> WeldSeam:
    """Between two skins whose unit normals are known, the middle of the open angle is the sum of both."""
    middle = outward + other_skin
    size = np.linalg.norm(middle, axis=1, keepdims=True)
    middle = np.where(size > _SQUARE, middle / np.maximum(size, _SQUARE), outward)
    following = np.roll(at, -1, axis=0) - np.roll(at, 1, axis=0)
    travels = following - middle * (following * middle).sum(axis=1, keepdims=True)
    length = np.linalg.norm(travels, axis=1, keepdims=True)
    return WeldSeam(
        name=name,
        kind=kind,
        bars=bars,
        end=end,
        around_deg=around,
        points_mm=at,
        bisectors=middle,
        travels=travels / np.maximum(length, 1e-12),
        outward=outward,
    )


def _end_of(bar: Bar, end: str) -> tuple[Vector, Vector]:
    """The end, and the unit direction from it into the bar."""
    nodes = bar.nodes if end == "A" else bar.nodes[::-1]
    return nodes[0], unit_vector(nodes[1] - nodes[0])


def _heel(away: Vector, header_way: Vector) -> Vector:
    """Unit direction square to the branch toward its acute side with the header."""
    toward = header_way * (1.0 if float(away @ header_way) >= 0.0 else -1.0)
    across = toward - away * float(away @ toward)
    if np.linalg.norm(across) > _SQUARE:
        return unit_vector(across)
    return unit_vector(np.cross(away, np.eye(3)[int(np.argmin(np.abs(away)))]))


def _first_touch(path: FilletedPath, radius_mm: float, lines: Points, away: Vector, far_mm: float) -> Vector:
    """How far along the branch, coming in from outside, each line of its skin first meets the header's skin."""
    reach = far_mm * 3.0
    steps = np.linspace(reach, -far_mm, max(2, math.ceil((reach + far_mm) / _STEP_MM)))
    places = lines[:, None] + steps[None, :, None] * away
    depth = _depth(path, radius_mm, places.reshape(-1, 3)).reshape(places.shape[:2])
    inside = depth <= 0.0
    # a branch as thick as its header only grazes it at its sides: there the nearest place counts
    grazing = ~inside.any(axis=1) & (depth.min(axis=1) < _GRAZING_MM)
    inside[grazing, np.argmin(depth[grazing], axis=1)] = True
    first = np.argmax(inside, axis=1)
    met = inside.any(axis=1) & (first > 0)
    out, into = steps[np.maximum(first - 1, 0)], steps[first]
    for _ in range(_HALVINGS):
        half = (out + into) / 2.0
        is_in = _depth(path, radius_mm, lines + half[:, None] * away) <= 0.0
        out, into = np.where(is_in, out, half), np.where(is_in, half, into)
    return np.where(met, np.where(grazing, steps[first], (out + into) / 2.0), np.nan)


def _depth(path: FilletedPath, radius_mm: float, points: Points) -> Vector:
    """Distance from the skin, below 0 inside."""
    _, _, off = nearest_on_path(path, points)
    depth: Vector = np.linalg.norm(off, axis=1) - radius_mm
    return depth


def nearest_on_path(path: FilletedPath, points: Points) -> tuple[Points, Points, Points]:
    """Place on a path nearest to each point, travel there, and the way from it to the point; each shape (n, 3)."""
    best2 = np.full(len(points), np.inf)
    place, travel = np.empty(points.shape), np.empty(points.shape)
    for piece in path.pieces:
        if isinstance(piece, Arc):
            off = points - piece.centre_mm
            turned = np.arctan2(off @ piece.direction, off @ piece.outward)
            middle = math.radians(piece.angle_deg) / 2.0
            beyond = np.remainder(turned - middle + math.pi, 2.0 * math.pi) - math.pi
            along = piece.radius_mm * (middle + np.clip(beyond, -middle, middle))
        else:
            along = np.clip((points - piece.start_mm) @ piece.direction, 0.0, piece.length_mm)
        at = piece.at(along)
        apart2 = ((points - at) ** 2).sum(axis=1)
        closer = apart2 < best2
        best2[closer], place[closer] = apart2[closer], at[closer]
        travel[closer] = piece.direction_at(along)[closer]
    return place, travel, points - place
