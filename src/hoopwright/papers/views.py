"""Lines of the car laid flat in a box on the page."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Literal

import numpy as np
from numpy.typing import ArrayLike, NDArray

from hoopwright.geometry import Points, unit_vector
from hoopwright.papers.drawing import Box, Items, Point, Polygon, Text, line, texts
from hoopwright.papers.lettering import text_box

ViewName = Literal[
    "side", "right side", "front", "rear", "top", "oblique left", "oblique right", "oblique rear right"
]

# Where the viewer looks, in the vehicle frame. In the side and top views the front of the car is on the left.
_LOOKS: dict[ViewName, tuple[float, float, float]] = {
    "side": (0.0, -1.0, 0.0),
    "right side": (0.0, 1.0, 0.0),
    "front": (-1.0, 0.0, 0.0),
    "rear": (1.0, 0.0, 0.0),
    "top": (0.0, 0.0, -1.0),
    "oblique left": (-0.62, -0.70, -0.36),
    "oblique right": (-0.62, 0.70, -0.36),
    "oblique rear right": (0.62, 0.70, -0.36),
}
_TITLES: dict[ViewName, str] = {
    "side": "from the left",
    "right side": "from the right",
    "front": "from the front",
    "rear": "from behind",
    "top": "from above",
    "oblique left": "from the front left",
    "oblique right": "from the front right",
    "oblique rear right": "from the rear right",
}
_ARROW_MM = 7.0
_STRAIGHT_ON_BONUS = 1.05
VIEW_NAMES: tuple[ViewName, ...] = tuple(_LOOKS)


@dataclass(frozen=True, eq=False, kw_only=True)
class View:
    """A way of looking at the car.

    Args:
        name: Its name.
        across: What runs to the right on the paper, unit, vehicle frame, shape (3,).
        upward: What runs up on the paper.
    """

    name: ViewName
    across: NDArray[np.float64]
    upward: NDArray[np.float64]

    @property
    def title(self) -> str:
        """Where the viewer stands, in words."""
        return _TITLES[self.name]

    def flat(self, points_mm: ArrayLike) -> Points:
        """Points of shape (n, 3) as (right, up), shape (n, 2), car mm."""
        points = np.asarray(points_mm, dtype=np.float64).reshape(-1, 3)
        return np.stack([points @ self.across, points @ self.upward], axis=1)


@dataclass(frozen=True, eq=False, kw_only=True)
class Fit:
    """A view laid in a box: paper = middle + scale x (flat - flat middle)."""

    view: View
    scale: float
    flat_middle_mm: NDArray[np.float64]
    paper_middle_mm: Point

    def points(self, points_mm: ArrayLike) -> tuple[Point, ...]:
        """Points of the vehicle frame on the paper."""
        flat = (self.view.flat(points_mm) - self.flat_middle_mm) * self.scale
        right, down = self.paper_middle_mm
        return tuple((float(right + a), float(down - b)) for a, b in flat)


def view(name: ViewName) -> View:
    """The view of that name."""
    looking = unit_vector(_LOOKS[name])
    across = np.array([-1.0, 0.0, 0.0]) if name == "top" else unit_vector(np.cross(looking, (0.0, 0.0, 1.0)))
    return View(name=name, across=across, upward=np.cross(across, looking))


def fit_view(seen: View, lines_mm: Iterable[ArrayLike], box: Box) -> Fit:
    """Lay the lines in the box as large as they go, one scale in both directions."""
    flats = [seen.flat(points) for points in lines_mm]
    flat = np.concatenate(flats) if flats else np.zeros((1, 2))
    low, high = flat.min(axis=0), flat.max(axis=0)
    wide, tall = np.maximum(high - low, 1e-6)
    return Fit(
        view=seen,
        scale=float(min(box.width_mm / wide, box.height_mm / tall)),
        flat_middle_mm=(low + high) / 2.0,
        paper_middle_mm=box.middle_mm,
    )


def fullest_view(points_mm: ArrayLike, names: Sequence[ViewName]) -> View:
    """The view among `names` that foreshortens the line least; straight-on views before oblique ones."""

    def shown(name: ViewName) -> float:
        length = float(np.linalg.norm(np.diff(view(name).flat(points_mm), axis=0), axis=1).sum())
        return length * (1.0 if name.startswith("oblique") else _STRAIGHT_ON_BONUS)

    return view(max(names, key=shown))


def axis_arrows(seen: View, corner_mm: Point) -> Items:
    """Arrows `front`, `up` and where it helps `left`, right of and above a corner of the page."""
    loose = _axis_arrows(seen, (0.0, 0.0))
    boxes = [text_box(text) for text in texts(loose)]
    shift = -min(0.0, *(box.left_mm for box in boxes)) if boxes else 0.0
    drop = max(0.0, *(box.bottom_mm for box in boxes)) if boxes else 0.0
    return _axis_arrows(seen, (corner_mm[0] + shift, corner_mm[1] - drop))


def _axis_arrows(seen: View, start_mm: Point) -> Items:
    return tuple(
        item
        for axis, word in (((1.0, 0.0, 0.0), "front"), ((0.0, 0.0, 1.0), "up"), ((0.0, 1.0, 0.0), "left"))
        for item in _axis_arrow(seen, axis, word, start_mm)
    )


def _axis_arrow(seen: View, axis: tuple[float, float, float], word: str, start_mm: Point) -> Items:
    flat = seen.flat(axis)[0]
    shown = float(np.linalg.norm(flat))
    if shown < 0.3 or (word == "left" and seen.name not in ("front", "rear", "top")):
        return ()
    along = np.array([flat[0], -flat[1]]) / shown
    start = np.array(start_mm)
    tip = start + along * _ARROW_MM
    side = np.array([-along[1], along[0]])
    base = tip - along * 2.2
    label = tip + along * 1.2
    anchor: Literal["left", "middle", "right"] = (
        "middle" if abs(along[0]) < 0.5 else "left" if along[0] > 0 else "right"
    )
    drop = 1.0 if abs(along[1]) < 0.5 else 2.4 if along[1] > 0 else -0.4
    return (
        line(_pair(start), _pair(base), width_mm=0.5),
        Polygon(points_mm=(_pair(tip), _pair(base + side * 1.0), _pair(base - side * 1.0))),
        Text(at_mm=(float(label[0]), float(label[1]) + drop), text=word, height_mm=2.2, anchor=anchor),
    )


def _pair(point: NDArray[np.float64]) -> Point:
    return (float(point[0]), float(point[1]))
