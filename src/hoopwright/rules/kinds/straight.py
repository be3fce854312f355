"""Straight: a bar without bends, in space or as seen from the side."""

from collections.abc import Iterator
from typing import Literal

from pydantic import Field

from hoopwright.bars.bendable import NEARLY_STRAIGHT_DEG
from hoopwright.rules.facts import BarFacts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Angle


class StraightLimits(Limits):
    """Keys of a rule that wants a bar straight."""

    view: Literal["side", "true"] = "true"
    within_deg: Angle = Field(NEARLY_STRAIGHT_DEG, alias="within")


def words(limits: StraightLimits, show: Show) -> str:
    """The requirement in words."""
    return "straight" + (" in side view" if limits.view == "side" else "")


def check(limits: StraightLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the largest bend of one bar against what counts as straight."""
    if bar.bends is None:
        yield not_checked(bar.bar_id, "give its bends", place_mm=bar.place_mm)
        return
    seen: list[float] = []
    for bend in bar.bends:
        angle = bend.angle_deg if limits.view == "true" else bend.side_view_deg
        if angle is None and bend.angle_deg >= limits.within_deg:
            yield not_checked(bar.bar_id, "give its bends as seen from the side", place_mm=bar.place_mm)
            return
        seen.append(angle or 0.0)
    view = " in side view" if limits.view == "side" else ""
    yield held_against(
        max(seen, default=0.0),
        limits.within_deg,
        "most",
        unit="deg",
        about=bar.bar_id,
        how=f"its largest bend{view}; up to {limits.within_deg:g}° counts as straight, our choice",
        todo="Make it straight.",
        place_mm=bar.place_mm,
    )
