"""Belts: how far the shoulder straps fall from the shoulder to their guide, or rise."""

from collections.abc import Iterator
from dataclasses import replace

from pydantic import Field

from hoopwright.rules.facts import DriverFacts
from hoopwright.rules.kinds.limits import Limits, meets
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Angle

_UPRIGHT_DEG = 90.0


class BeltsLimits(Limits):
    """Keys of a belts rule."""

    below_most_deg: Angle = Field(alias="below_most")
    above_most_deg: Angle = Field(0.0, alias="above_most")
    below_advised_deg: Angle | None = Field(None, alias="below_advised")


def words(limits: BeltsLimits, show: Show) -> str:
    """The requirement in words."""
    above = (
        f"{show.limit(limits.above_most_deg, 'deg', 'most')} above"
        if limits.above_most_deg
        else "never above"
    )
    advised = (
        ""
        if limits.below_advised_deg is None
        else f", advised {show.limit(limits.below_advised_deg, 'deg', 'most')}"
    )
    return (
        f"shoulder belt {show.limit(limits.below_most_deg, 'deg', 'most')} below horizontal, {above}{advised}"
    )


def check(limits: BeltsLimits, driver: DriverFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the shoulder belt of one driver against the limits."""
    angle = driver.belt_deg
    if angle is None:
        yield not_checked(
            driver.driver_id, "give the shoulder and the belt's guide", place_mm=driver.belt_place_mm
        )
        return
    is_above = angle < 0.0
    limit = limits.above_most_deg if is_above else limits.below_most_deg
    outcome = held_against(
        abs(angle),
        limit,
        "most",
        unit="deg",
        about=driver.driver_id,
        part="above" if is_above else "below",
        how="from shoulder to guide in side view, "
        + ("above horizontal" if is_above else "below horizontal")
        + ("; the guide lies before the shoulder" if abs(angle) > _UPRIGHT_DEG else ""),
        todo="Lower the guide." if is_above else "Raise the guide or move it back.",
        place_mm=driver.belt_place_mm,
    )
    advised = limits.below_advised_deg
    if advised is not None and not is_above and not meets(angle, advised, "most"):
        note = f"the book advises {scope.show.limit(advised, 'deg', 'most')}"
        outcome = replace(outcome, is_advisory=True, note=note)
    yield outcome
