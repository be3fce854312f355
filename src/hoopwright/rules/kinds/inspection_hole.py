"""Inspection holes: how many, how large, how far from welds and bends."""

from collections.abc import Iterator
from typing import Literal, Self

from pydantic import Field, model_validator

from hoopwright.rules.facts import Facts, HoleFacts
from hoopwright.rules.kinds.limits import Limits, Sense
from hoopwright.rules.kinds.outcome import BY_HAND, Outcome, by_hand, held_against, not_checked
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
        yield not_checked("", _give("BAR"))
        return
    holes = [
        hole
        for hole in facts.holes
        if hole.diameter_mm != 0.0
        and (not (scope.roles or scope.but) or (hole.role is not None and scope.takes(hole.role)))
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
        unseen = [bar_id for bar_id in facts.holes_unseen if _takes(scope, facts, bar_id)]
        if len(holes) < least and unseen:
            yield not_checked("", _give(unseen[0]), part="number")
            return
        yield held_against(len(holes), least, "least", part="number", how="counted", todo=todo)
        return
    if facts.bars is None:
        yield not_checked("", "give the bars of the cage", part="number")
        return
    for bar in facts.bars:
        if bar.role is None or not scope.takes(bar.role):
            continue
        if bar.bar_id in facts.holes_unseen:
            yield not_checked(bar.bar_id, _give(bar.bar_id), part="number", place_mm=bar.place_mm)
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


def _takes(scope: Scope, facts: Facts, bar_id: str) -> bool:
    """Whether a hole in a bar would count."""
    roles = [bar.role for bar in facts.bars or () if bar.bar_id == bar_id]
    return not (scope.roles or scope.but) or any(role is None or scope.takes(role) for role in roles)


def _give(bar_id: str) -> str:
    how = by_hand(bar_id, "inspection hole")
    return f"look for the inspection holes and give their diameter, 0 where there is none: {how}"


def _held(hole: HoleFacts, part: str, value: float | None, limit: float, sense: Sense) -> Outcome:
    if value is None:
        name = {"distance to weld": "hole to weld", "distance to bend": "hole to bend"}.get(
            part, "inspection hole"
        )
        give = f"give the {part} of its hole: {by_hand(hole.bar_id, name)}"
        return not_checked(hole.bar_id, give, part=part, place_mm=hole.place_mm)
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
