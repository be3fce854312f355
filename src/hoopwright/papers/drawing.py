"""What a page is made of: lines, areas, circles and words in paper millimetres.

Points are (right, down) from the top left corner of the page.
"""

import math
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Literal

Point = tuple[float, float]
Ink = Literal["black", "white"]
Anchor = Literal["left", "middle", "right"]

FINEST_LINE_MM = 0.25


@dataclass(frozen=True, kw_only=True)
class PaperSize:
    """A sheet of paper, upright."""

    name: str
    width_mm: float
    height_mm: float


A4 = PaperSize(name="A4", width_mm=210.0, height_mm=297.0)
"""Source: ISO 216."""
LETTER = PaperSize(name="letter", width_mm=215.9, height_mm=279.4)
"""Source: ANSI/ASME Y14.1, 8 1/2 by 11 in."""


@dataclass(frozen=True, kw_only=True)
class Box:
    """A rectangle on the page, from its top left corner."""

    left_mm: float
    top_mm: float
    width_mm: float
    height_mm: float

    @property
    def right_mm(self) -> float:
        """Its right edge."""
        return self.left_mm + self.width_mm

    @property
    def bottom_mm(self) -> float:
        """Its lower edge."""
        return self.top_mm + self.height_mm

    @property
    def middle_mm(self) -> Point:
        """Its middle."""
        return (self.left_mm + self.width_mm / 2.0, self.top_mm + self.height_mm / 2.0)

    @property
    def corners_mm(self) -> tuple[Point, ...]:
        """Its corners, clockwise from the top left."""
        return (
            (self.left_mm, self.top_mm),
            (self.right_mm, self.top_mm),
            (self.right_mm, self.bottom_mm),
            (self.left_mm, self.bottom_mm),
        )

    def inset(self, by_mm: float) -> "Box":
        """The same box, smaller by `by_mm` on each side."""
        return Box(
            left_mm=self.left_mm + by_mm,
            top_mm=self.top_mm + by_mm,
            width_mm=self.width_mm - 2.0 * by_mm,
            height_mm=self.height_mm - 2.0 * by_mm,
        )


@dataclass(frozen=True, kw_only=True)
class Polyline:
    """A line through points; `round_ends` rounds its ends and corners."""

    points_mm: tuple[Point, ...]
    width_mm: float = 0.35
    dash_mm: tuple[float, ...] = ()
    closed: bool = False
    round_ends: bool = False
    ink: Ink = "black"


@dataclass(frozen=True, kw_only=True)
class Polygon:
    """A filled area."""

    points_mm: tuple[Point, ...]
    ink: Ink = "black"


@dataclass(frozen=True, kw_only=True)
class Circle:
    """A circle: its line, and its area where `fill` names an ink."""

    centre_mm: Point
    radius_mm: float
    width_mm: float = 0.35
    fill: Ink | None = None


@dataclass(frozen=True, kw_only=True)
class Text:
    """One line of words.

    Args:
        at_mm: On the base line: the left end, middle or right end of the words, by `anchor`.
        text: The words.
        height_mm: Height of a capital letter.
        anchor: What `at_mm` is.
        bold: Bold face.
        ink: Black, or white on a black area.
        turn_deg: Turn about `at_mm`, counterclockwise as read.
    """

    at_mm: Point
    text: str
    height_mm: float = 2.5
    anchor: Anchor = "left"
    bold: bool = False
    ink: Ink = "black"
    turn_deg: float = 0.0


Item = Polyline | Polygon | Circle | Text
Items = tuple[Item, ...]


@dataclass(frozen=True, kw_only=True)
class PlacedPhoto:
    """A photo that fills a box.

    Args:
        box: Where it lies, of the same shape as the photo.
        jpeg: The photo, JPEG; it goes into a PDF as it is.
    """

    box: Box
    jpeg: bytes


@dataclass(frozen=True, kw_only=True)
class Page:
    """One page and what is on it, in the order of drawing; photos lie under all else."""

    width_mm: float
    height_mm: float
    items: Items
    photos: tuple[PlacedPhoto, ...] = ()


def frame(box: Box, *, width_mm: float = 0.35, dash_mm: tuple[float, ...] = ()) -> Polyline:
    """The outline of a box."""
    return Polyline(points_mm=box.corners_mm, width_mm=width_mm, dash_mm=dash_mm, closed=True)


def filled(box: Box, ink: Ink = "black") -> Polygon:
    """A box as a filled area."""
    return Polygon(points_mm=box.corners_mm, ink=ink)


def line(
    start_mm: Point, end_mm: Point, *, width_mm: float = 0.35, dash_mm: tuple[float, ...] = ()
) -> Polyline:
    """A straight line."""
    return Polyline(points_mm=(start_mm, end_mm), width_mm=width_mm, dash_mm=dash_mm)


def arc_points(centre_mm: Point, radius_mm: float, start_deg: float, turn_deg: float) -> tuple[Point, ...]:
    """Points of an arc; angles clockwise on the paper from twelve o'clock."""
    steps = max(2, math.ceil(abs(turn_deg) / 8.0))
    angles = (math.radians(start_deg + turn_deg * k / steps) for k in range(steps + 1))
    return tuple(
        (centre_mm[0] + radius_mm * math.sin(a), centre_mm[1] - radius_mm * math.cos(a)) for a in angles
    )


def texts(items: Iterable[Item]) -> tuple[Text, ...]:
    """The words among `items`."""
    return tuple(item for item in items if isinstance(item, Text))
