"""What a check knows of a driver and of a door opening."""

from dataclasses import dataclass

from hoopwright.cage.member import Role, Side
from hoopwright.rules.bar_facts import Place

MIRRORED = "the corners of its door opening are those of the other side, mirrored: measure it on the car"
"""Told where the opening of a side was taken as the mirror image of the other's."""


@dataclass(frozen=True, kw_only=True)
class HelmetRoom:
    """From a driver's helmet to one bar.

    Args:
        bar_id: The bar.
        room_mm: From the helmet to the bare tube.
        place_mm: Where on the bar.
    """

    bar_id: str
    room_mm: float
    place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class DriverFacts:
    """One driver.

    Args:
        driver_id: Who.
        helmet_line_mm: Room of the helmet under a straight edge over main hoop and the bar in front.
        line_bars: The two bars that the edge lies on.
        seat_drop_ratio: How much lower the seat must go for each mm that is missing.
        brace_line_mm: Room of the helmet to the line from main hoop top to the lower end of its braces.
        level_mm: How far the top of the helmet lies below the level of the main hoop's top.
        belt_deg: Fall of the shoulder belt from shoulder to guide, below horizontal positive.
        rooms: From the helmet to the bars near it; None where not measured.
        exit_s: Time in which the driver got out.
        helmet_place_mm: Centre of the helmet.
        belt_place_mm: Where the belt leaves the shoulder.
    """

    driver_id: str = "driver"
    helmet_line_mm: float | None = None
    line_bars: tuple[str, ...] = ()
    seat_drop_ratio: float = 1.0
    brace_line_mm: float | None = None
    level_mm: float | None = None
    belt_deg: float | None = None
    rooms: tuple[HelmetRoom, ...] | None = None
    exit_s: float | None = None
    helmet_place_mm: Place | None = None
    belt_place_mm: Place | None = None


@dataclass(frozen=True, kw_only=True)
class OpeningFacts:
    """A door opening.

    Args:
        side: Its side of the car.
        circle_mm: Greatest circle that passes.
        free_ratio: Share of its area that no bar covers.
        crossed_by: Roles of the bars that cross it, one for each bar.
        is_mirrored: Whether its corners were marked on the other side only, and the car was taken as alike on both.
        place_mm: Middle of the circle.
    """

    side: Side = ""
    circle_mm: float | None = None
    free_ratio: float | None = None
    crossed_by: tuple[Role, ...] | None = None
    is_mirrored: bool = False
    place_mm: Place | None = None
