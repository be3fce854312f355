"""Helmet: its room under a line over the bars."""

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from hoopwright.rules.facts import DriverFacts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Length

Line = Literal["front bar", "brace", "level"]
_LINES: dict[str, str] = {
    "front bar": "straight edge over the tops of the main hoop and the bar in front",
    "brace": "line from the main hoop's top to the lower end of its braces",
    "level": "level of the main hoop's top",
}


class HelmetLimits(Limits):
    """Keys of a helmet rule."""

    least_mm: Length = Field(alias="least")
    line: Line = "front bar"
    strict: bool = False


def words(limits: HelmetLimits, show: Show) -> str:
    """The requirement in words."""
    return f"helmet under the {_LINES[limits.line]} {show.limit(limits.least_mm, 'mm', 'least', strict=limits.strict)}"


def check(limits: HelmetLimits, driver: DriverFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the room of one driver's helmet against the limit."""
    room = {"front bar": driver.helmet_line_mm, "brace": driver.brace_line_mm, "level": driver.level_mm}[
        limits.line
    ]
    if room is None:
        give = "give the helmet's middle and radius, a main hoop and the bar in front of it"
        yield not_checked(driver.driver_id, give, place_mm=driver.helmet_place_mm)
        return
    # only the straight edge was measured with its slope; for the other lines the seat is taken to go down as far
    slope = driver.seat_drop_ratio if limits.line == "front bar" else 1.0
    lower = scope.show.for_the_shop((limits.least_mm - room) * slope)
    bars = f" ({' and '.join(driver.line_bars)})" if driver.line_bars and limits.line == "front bar" else ""
    yield held_against(
        room,
        limits.least_mm,
        "least",
        strict=limits.strict,
        unit="mm",
        about=driver.driver_id,
        how=f"from the helmet to the {_LINES[limits.line]}{bars}, in side view",
        todo=f"Lower the seat by {lower} or raise the bars.",
        place_mm=driver.helmet_place_mm,
    )
