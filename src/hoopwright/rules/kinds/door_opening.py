"""Door opening: what the bars leave free of it."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Self

from pydantic import Field, model_validator

from hoopwright.rules.driver_facts import MIRRORED
from hoopwright.rules.facts import OpeningFacts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Length, Ratio


class DoorOpeningLimits(Limits):
    """Keys of a rule on door openings."""

    circle_least_mm: Length | None = Field(None, alias="circle_least")
    free_least_ratio: Ratio | None = Field(None, alias="free_least")

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if self.circle_least_mm is None and self.free_least_ratio is None:
            msg = "the limit is missing: type circle_least or free_least"
            raise ValueError(msg)
        return self

    def parts(self) -> tuple[tuple[str, str, str, float | None], ...]:
        """Part, field of the facts, unit and limit."""
        return (
            ("greatest circle that passes", "circle_mm", "mm", self.circle_least_mm),
            ("share left free", "free_ratio", "", self.free_least_ratio),
        )


def words(limits: DoorOpeningLimits, show: Show) -> str:
    """The requirement in words."""
    told = [
        f"{part} {show.limit(limit, unit, 'least')}"
        for part, _, unit, limit in limits.parts()
        if limit is not None
    ]
    return f"door opening: {', '.join(told)}"


def check(limits: DoorOpeningLimits, opening: OpeningFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold one door opening against each limit."""
    for outcome in _checked(limits, opening):
        note = MIRRORED if opening.is_mirrored else ""
        yield replace(
            outcome,
            side=opening.side,
            place_mm=opening.place_mm,
            note=note,
            is_advisory=opening.is_mirrored,
        )


def _checked(limits: DoorOpeningLimits, opening: OpeningFacts) -> Iterator[Outcome]:
    about = f"door opening {opening.side}".strip()
    for part, field, unit, limit in limits.parts():
        if limit is None:
            continue
        value = getattr(opening, field)
        if value is None:
            yield not_checked(about, "give the corners of the door opening", part=part)
            continue
        yield held_against(
            value,
            limit,
            "least",
            unit=unit,
            about=about,
            part=part,
            how="in side view, with padding where it was given",
            todo="Move the bars that cross it.",
        )
