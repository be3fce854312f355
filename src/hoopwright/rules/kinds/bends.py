"""Bends of a bar: how many, how much together, how much each; of the whole bar or of its leg."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Literal, Self

from pydantic import Field, model_validator

from hoopwright.rules.facts import BarFacts, BendFacts
from hoopwright.rules.kinds.limits import Limits, Sense, meets
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Angle, Count
from hoopwright.units import shown


class BendsLimits(Limits):
    """Keys of a rule on bends."""

    most: Count | None = None
    sum_least_deg: Angle | None = Field(None, alias="sum_least")
    sum_most_deg: Angle | None = Field(None, alias="sum_most")
    angle_most_deg: Angle | None = Field(None, alias="angle_most")
    part: Literal["whole", "leg"] = "whole"

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if all(getattr(self, name) is None for name in type(self).model_fields if name != "part"):
            msg = "the limit is missing: type most, sum_least, sum_most or angle_most"
            raise ValueError(msg)
        return self

    def sums(self) -> Iterator[tuple[float, Sense]]:
        """Limits of the sum with their sense."""
        if self.sum_least_deg is not None:
            yield self.sum_least_deg, "least"
        if self.sum_most_deg is not None:
            yield self.sum_most_deg, "most"


def words(limits: BendsLimits, show: Show) -> str:
    """The requirement in words."""
    told = [] if limits.most is None else [f"bends <= {limits.most}"]
    told += [f"sum of their angles {show.limit(limit, 'deg', sense)}" for limit, sense in limits.sums()]
    told += (
        [] if limits.angle_most_deg is None else [f"each {show.limit(limits.angle_most_deg, 'deg', 'most')}"]
    )
    return ", ".join(told) + (" in its leg" if limits.part == "leg" else "")


def check(limits: BendsLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the bends of one bar against each limit."""
    if bar.bends is None:
        yield not_checked(bar.bar_id, "give its bends", place_mm=bar.place_mm)
        return
    if limits.part == "leg":
        yield from _in_leg(limits, bar, bar.bends)
        return
    yield from _held(limits, bar, bar.bends, "bends of the bar")


def _in_leg(limits: BendsLimits, bar: BarFacts, bends: tuple[BendFacts, ...]) -> Iterator[Outcome]:
    """Bends that may lie in the leg, as long as nobody marked where it ends, count neither for nor against."""
    within = tuple(bend for bend in bends if bend.in_leg)
    unknown = tuple(bend for bend in bends if bend.in_leg is None)
    if not unknown:
        marked = f"bends in the part marked as leg{f', {bar.leg_words}' if bar.leg_words else ''}"
        yield from _held(limits, bar, within, marked)
        return
    without = tuple(_held(limits, bar, within, "bends in the leg"))
    with_all = tuple(_held(limits, bar, (*within, *unknown), "bends of the bar, wherever the leg ends"))
    for one, other in zip(without, with_all, strict=True):
        if one.verdict is other.verdict:
            yield replace(other, place_mm=bar.place_mm)
        else:
            give = f"mark where its leg ends: 'hoopwright bar leg PROJECT {bar.bar_id} LENGTH'"
            yield not_checked(bar.bar_id, give, part=one.part, place_mm=bar.place_mm)


def _held(limits: BendsLimits, bar: BarFacts, bends: tuple[BendFacts, ...], how: str) -> Iterator[Outcome]:
    place = next((bend.place_mm for bend in bends if bend.place_mm is not None), bar.place_mm)
    if limits.most is not None:
        yield held_against(
            len(bends),
            limits.most,
            "most",
            about=bar.bar_id,
            part="count",
            how=how,
            todo=f"Fit it with {len(bends) - limits.most} bend(s) fewer there.",
            place_mm=place,
        )
    for limit, sense in limits.sums():
        yield _sum(bar, bends, limit, sense, how)
    if limits.angle_most_deg is not None:
        largest = max((bend.angle_deg for bend in bends), default=0.0)
        yield held_against(
            largest,
            limits.angle_most_deg,
            "most",
            unit="deg",
            about=bar.bar_id,
            part="each",
            how=f"largest of the {how}",
            todo="Flatten that bend, or split it.",
            place_mm=place,
        )


def _sum(bar: BarFacts, bends: tuple[BendFacts, ...], limit: float, sense: Sense, how: str) -> Outcome:
    """The sum with every bend positive decides; with bends the other way counted negative it is shown beside it."""
    total = sum(bend.angle_deg for bend in bends)
    net = abs(sum(-bend.angle_deg if bend.is_reverse else bend.angle_deg for bend in bends))
    outcome = held_against(
        total,
        limit,
        sense,
        unit="deg",
        about=bar.bar_id,
        part="sum",
        how=f"{how}, every angle counted as positive",
        todo=f"The sum is {shown(abs(total - limit), 1)}° too {'small' if sense == 'least' else 'large'}.",
        place_mm=bar.place_mm,
    )
    if not any(bend.is_reverse for bend in bends):
        return outcome
    differ = meets(total, limit, sense) is not meets(net, limit, sense)
    note = (
        "bends the other way, counted as negative, would end otherwise: ask how the body counts"
        if differ
        else ""
    )
    return replace(
        outcome, other=net, other_how="with bends the other way negative", note=note, is_advisory=differ
    )
