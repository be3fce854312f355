"""A plain chart: two axes with round ticks, and marks laid on them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.papers.drawing import Anchor, Box, Circle, Item, Point, Polygon, Polyline, Text

TEXT_MM, _TICKS = 3.4, 6


@dataclass(frozen=True, kw_only=True)
class Chart:
    """Where numbers lie on the page.

    Args:
        box: The area between the axes.
        across: Least and greatest value from left to right.
        upward: Least and greatest value from the bottom up.
    """

    box: Box
    across: tuple[float, float]
    upward: tuple[float, float]

    def at(self, x: float, y: float) -> Point:
        """The point of two values, held inside the chart."""
        shares = [
            min(1.0, max(0.0, (value - low) / (high - low)))
            for value, (low, high) in ((x, self.across), (y, self.upward))
        ]
        return (
            self.box.left_mm + shares[0] * self.box.width_mm,
            self.box.bottom_mm - shares[1] * self.box.height_mm,
        )

    def frame(self, across_ticks: Sequence[float]) -> list[Item]:
        """Axes, and ticks with their numbers."""
        box = self.box
        items: list[Item] = [
            Polyline(
                points_mm=(
                    (box.left_mm, box.top_mm),
                    (box.left_mm, box.bottom_mm),
                    (box.right_mm, box.bottom_mm),
                ),
                width_mm=0.5,
            )
        ]
        for value in across_ticks:
            x, y = self.at(value, self.upward[0])
            items += [
                Polyline(points_mm=((x, y), (x, y + 2.0)), width_mm=0.35),
                label(f"{value:g}", x, y + 7.0, anchor="middle"),
            ]
        for value in round_ticks(*self.upward):
            x, y = self.at(self.across[0], value)
            items += [
                Polyline(points_mm=((x - 2.0, y), (x, y)), width_mm=0.35),
                label(f"{value:g}", x - 3.0, y + TEXT_MM / 2.0, anchor="right"),
            ]
        return items

    def level(self, value: float, name: str) -> list[Item]:
        """A dashed line across the chart with its name at the right."""
        left, right = self.at(self.across[0], value), self.at(self.across[1], value)
        return [
            Polyline(points_mm=(left, right), width_mm=0.35, dash_mm=(3.0, 2.0)),
            label(name, right[0] + 2.0, right[1] + TEXT_MM / 2.0),
        ]


def round_ticks(low: float, high: float) -> list[float]:
    """Round values from low to high, about six of them."""
    rough = max(high - low, 1e-9) / _TICKS
    power = 10.0 ** math.floor(math.log10(rough))
    step = next(factor * power for factor in (1.0, 2.0, 5.0, 10.0) if factor * power >= rough)
    first = math.ceil(low / step - 1e-9)
    return [index * step for index in range(first, math.floor(high / step + 1e-9) + 1)]


def mark(point: Point, kind: str) -> Item:
    """A mark of one series: disc, ring or square."""
    x, y = point
    if kind == "square":
        return Polygon(
            points_mm=((x - 1.5, y - 1.5), (x + 1.5, y - 1.5), (x + 1.5, y + 1.5), (x - 1.5, y + 1.5))
        )
    return Circle(centre_mm=point, radius_mm=1.6, width_mm=0.5, fill="black" if kind == "disc" else "white")


def label(
    text: str,
    right_mm: float,
    down_mm: float,
    *,
    anchor: Anchor = "left",
    bold: bool = False,
    height_mm: float = TEXT_MM,
) -> Text:
    """Words on a chart, on their base line."""
    return Text(text=text, at_mm=(right_mm, down_mm), height_mm=height_mm, anchor=anchor, bold=bold)
