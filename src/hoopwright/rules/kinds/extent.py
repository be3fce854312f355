"""Extent: how far the cage reaches beyond the suspension mounting points."""

from collections.abc import Iterator
from typing import Self

from pydantic import Field, model_validator

from hoopwright.rules.facts import Extent, Facts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import SignedLength


class ExtentLimits(Limits):
    """Keys of a rule on how far a cage reaches."""

    beyond_front_most_mm: SignedLength | None = Field(None, alias="beyond_front_most")
    beyond_rear_most_mm: SignedLength | None = Field(None, alias="beyond_rear_most")

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if self.beyond_front_most_mm is None and self.beyond_rear_most_mm is None:
            msg = "the limit is missing: type beyond_front_most or beyond_rear_most"
            raise ValueError(msg)
        return self

    def ends(self) -> tuple[tuple[str, float | None], ...]:
        """Each end of the car with its limit."""
        return (("front", self.beyond_front_most_mm), ("rear", self.beyond_rear_most_mm))


def words(limits: ExtentLimits, show: Show) -> str:
    """The requirement in words."""
    told = [f"{end} {show.limit(limit, 'mm', 'most')}" for end, limit in limits.ends() if limit is not None]
    return f"cage beyond the suspension mounting points: {', '.join(told)}"


def check(limits: ExtentLimits, facts: Facts, scope: Scope) -> Iterator[Outcome]:
    """Hold each end of the cage against its limit."""
    extent = facts.extent or Extent()
    beyond = {
        "front": _minus(extent.front_mm, extent.front_mount_mm),
        "rear": _minus(extent.rear_mount_mm, extent.rear_mm),
    }
    for end, limit in limits.ends():
        if limit is None:
            continue
        value = beyond[end]
        if value is None:
            yield not_checked("", f"give the {end} suspension mounting points and the cage", part=end)
            continue
        yield held_against(
            value,
            limit,
            "most",
            unit="mm",
            part=end,
            how="along the car, from the tube's skin to the mounting point; negative is inside",
            todo="Shorten the cage there.",
        )


def _minus(one: float | None, other: float | None) -> float | None:
    return None if one is None or other is None else one - other
