"""A flat section: the body's lines, the bars cut through, and their gaps."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.geometry import Points
from hoopwright.papers.chart import label
from hoopwright.papers.drawing import Anchor, Box, Circle, Item, Page, Polyline, filled, line
from hoopwright.papers.lettering import text_box
from hoopwright.units import LengthUnit, format_length, shown

_WIDE_MM, _MARGIN_MM, _HEAD_MM = 200.0, 10.0, 22.0
_LOWEST_MM, _HIGHEST_MM = 60.0, 190.0
_FOOT_MM = 12.0
_TEXT_MM = 3.0


@dataclass(frozen=True, kw_only=True)
class SectionGap:
    """A gap to write beside a bar.

    Args:
        name: The bar.
        gap_mm: The gap.
        axis_mm: On its axis: right and up on the drawing, in mm of the car.
        metal_mm: The nearest metal there; None where that does not lie in the section.
    """

    name: str
    gap_mm: float
    axis_mm: tuple[float, float]
    metal_mm: tuple[float, float] | None


def section_page(
    shell_mm: Sequence[Points],
    bars_mm: Sequence[tuple[str, Points]],
    gaps: Sequence[SectionGap],
    *,
    title: str,
    unit: LengthUnit = "mm",
) -> Page:
    """A drawing as large as the page is wide, with its scale.

    Args:
        shell_mm: Lines of the body: right and up, mm of the car, each of shape (n, 2).
        bars_mm: Outlines of bars, with their names.
        gaps: Gaps to write.
        title: What it is.
        unit: Of the gaps.
    """
    drawn = [*shell_mm, *(outline for _, outline in bars_mm)]
    head = label(title, _MARGIN_MM, 9.0, height_mm=4.2, bold=True)
    if not drawn:
        empty = label("Nothing is cut here: neither scan nor bar.", _MARGIN_MM, 20.0)
        return Page(width_mm=_WIDE_MM, height_mm=30.0, items=(head, empty))
    points = np.concatenate(drawn)
    low, high = points.min(axis=0), points.max(axis=0)
    wide, tall = np.maximum(high - low, 1.0)
    scale = min((_WIDE_MM - 2.0 * _MARGIN_MM) / wide, _HIGHEST_MM / tall)
    height = max(_LOWEST_MM, tall * scale)
    shift = (_WIDE_MM - wide * scale) / 2.0

    def at(place: Sequence[float]) -> tuple[float, float]:
        return (
            shift + (float(place[0]) - float(low[0])) * scale,
            _HEAD_MM + height - (float(place[1]) - float(low[1])) * scale,
        )

    items: list[Item] = [head]
    items += [Polyline(points_mm=tuple(map(at, one)), width_mm=0.3) for one in shell_mm if len(one) > 1]
    items += [Polyline(points_mm=tuple(map(at, one)), width_mm=0.7) for _, one in bars_mm if len(one) > 1]
    items += _gap_words(gaps, at, unit)
    foot = _HEAD_MM + height + _FOOT_MM - 3.0
    words = f"scale 1 : {shown(1.0 / scale, 1)}; thin: body, bold: bars; (!) the nearest metal lies out of this section"
    items.append(label(words, _MARGIN_MM, foot, height_mm=2.6))
    return Page(width_mm=_WIDE_MM, height_mm=_HEAD_MM + height + _FOOT_MM, items=tuple(items))


def _gap_words(
    gaps: Sequence[SectionGap], at: Callable[[Sequence[float]], tuple[float, float]], unit: LengthUnit
) -> list[Item]:
    """Each gap with a line to its metal, and its words where no others are."""
    items: list[Item] = []
    taken = [_round(at(gap.axis_mm)) for gap in gaps]
    for gap in gaps:
        x, y = at(gap.axis_mm)
        if gap.metal_mm is not None:
            items.append(line((x, y), at(gap.metal_mm), width_mm=0.4))
        items.append(Circle(centre_mm=(x, y), radius_mm=0.7, width_mm=0.25, fill="black"))
        mark = "" if gap.metal_mm is not None else " (!)"
        words = f"{gap.name} {format_length(gap.gap_mm, unit)}{mark}"
        anchor: Anchor = "right" if x > _WIDE_MM / 2.0 else "left"
        for step in (0, 1, -1, 2, -2, 3, -3, 4, -4, 5):
            aside = -4.0 if anchor == "right" else 4.0
            text = label(words, x + aside, y + 1.0 + step * 4.4, anchor=anchor, height_mm=_TEXT_MM)
            box = text_box(text).inset(-0.5)
            if not any(_meet(box, other) for other in taken):
                break
        taken.append(box)
        items += [filled(box, "white"), text]
    return items


def _round(place: tuple[float, float]) -> Box:
    return Box(left_mm=place[0] - 1.6, top_mm=place[1] - 1.6, width_mm=3.2, height_mm=3.2)


def _meet(one: Box, other: Box) -> bool:
    apart = (
        one.right_mm < other.left_mm
        or other.right_mm < one.left_mm
        or one.bottom_mm < other.top_mm
        or other.bottom_mm < one.top_mm
    )
    return not apart
