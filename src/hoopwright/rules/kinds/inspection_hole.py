"""Inspection holes: how many, how large, how far from welds and bends."""

from collections.abc import Iterator
from typing import Literal, Self

from pydantic import Field, model_validator

from hoopwright.rules.facts import Facts, HoleFacts
from hoopwright.rules.kinds.limits import Limits, Sense
from hoopwright.rules.kinds.outcome import BY_HAND, Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Count, Length


class InspectionHoleLimits(Limits):
    """Keys of a rule on inspection holes."""

    least: Count | None = None
    per: Literal["cage", "bar"] = "cage"
    diameter_least_mm: Length | None = Field(None, alias="diameter_least")
    diameter_most_mm: Length | None = Field(None, alias="diameter_most")
    to_weld_least_mm: Length | None = Field(None, alias="to_weld_least")
    to_bend_least_mm: Length | None = Field(None, alias="to_bend_least")

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if self.least is None and all(limit is None for _, _, limit, _ in self.lengths()):
            msg = "the limit is missing: type least, diameter_least or another"
            raise ValueError(msg)
        return self

    def lengths(self) -> tuple[tuple[str, str, float | None, Sense], ...]:
        """Limits of one hole: part, field of the facts, limit and sense."""
        return (
            ("diameter", "diameter_mm", self.diameter_least_mm, "least"),
            ("diameter", "diameter_mm", self.diameter_most_mm, "most"),
            ("distance to weld", "to_weld_mm", self.to_weld_least_mm, "least"),
            ("distance to bend", "to_bend_mm", self.to_bend_least_mm, "least"),
        )


def words(limits: InspectionHoleLimits, show: Show) -> str:
    """The requirement in words."""
    told = [] if limits.least is None else [f"number >= {limits.least} in the {limits.per}"]
    told += [
        f"{part} {show.limit(limit, 'mm', sense)}"
        for part, _, limit, sense in limits.lengths()
        if limit is not None
    ]
    return f"inspection hole: {', '.join(told)}"


def check(limits: InspectionHoleLimits, facts: Facts, scope: Scope) -> Iterator[Outcome]:
    """Count the holes of the rule's bars, and hold each against the limits."""
    if facts.holes is None:
        yield not_checked("", "give the inspection holes")
        return
    holes = [
        hole
        for hole in facts.holes
        if not (scope.roles or scope.but) or (hole.role is not None and scope.takes(hole.role))
    ]
    if limits.least is not None:
        yield from _counted(limits, limits.least, holes, facts, scope)
    for hole in holes:
        for part, field, limit, sense in limits.lengths():
            if limit is not None:
                yield _held(hole, part, getattr(hole, field), limit, sense)


def _counted(
    limits: InspectionHoleLimits, least: int, holes: list[HoleFacts], facts: Facts, scope: Scope
) -> Iterator[Outcome]:
    todo = "Drill one where it weakens nothing."
    if limits.per == "cage":
        yield held_against(len(holes), least, "least", part="number", how="counted", todo=todo)
        return
    if facts.bars is None:
        yield not_checked("", "give the bars of the cage", part="number")
        return
    for bar in facts.bars:
        if bar.role is None or not scope.takes(bar.role):
            continue
        there = sum(hole.bar_id == bar.bar_id for hole in holes)
        yield held_against(
            there,
            least,
            "least",
            about=bar.bar_id,
            part="number",
            how="counted",
            todo=todo,
            place_mm=bar.place_mm,
        )


def _held(hole: HoleFacts, part: str, value: float | None, limit: float, sense: Sense) -> Outcome:
    if value is None:
        return not_checked(hole.bar_id, f"give the {part} of its hole", part=part, place_mm=hole.place_mm)
    return held_against(
        value,
        limit,
        sense,
        unit="mm",
        about=hole.bar_id,
        part=part,
        how=BY_HAND,
        todo="Weld it shut and drill another, after asking the body.",
        place_mm=hole.place_mm,
    )
