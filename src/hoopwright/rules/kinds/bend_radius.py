"""Bend radius: the centreline radius of every bend, in diameters of the tube or as a length."""

from collections.abc import Iterator
from typing import Self

from pydantic import Field, model_validator

from hoopwright.findings import Verdict
from hoopwright.rules.facts import BarFacts
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Length, Ratio


class BendRadiusLimits(Limits):
    """Keys of a bend radius rule."""

    least_times_od_ratio: Ratio | None = Field(None, alias="least_times_od")
    least_mm: Length | None = Field(None, alias="least")

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if self.least_times_od_ratio is None and self.least_mm is None:
            msg = "the limit is missing: type least_times_od = 3, or least"
            raise ValueError(msg)
        return self


def words(limits: BendRadiusLimits, show: Show) -> str:
    """The requirement in words."""
    told = []
    if limits.least_times_od_ratio is not None:
        told.append(show.limit(limits.least_times_od_ratio, "x OD", "least"))
    if limits.least_mm is not None:
        told.append(show.limit(limits.least_mm, "mm", "least"))
    return f"centreline radius of bends {' and '.join(told)}"


def check(limits: BendRadiusLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the tightest bend of one bar against the limit."""
    if bar.bends is None or bar.tube is None:
        yield not_checked(bar.bar_id, "give its bends and its tube", place_mm=bar.place_mm)
        return
    if not bar.bends:
        yield Outcome(about=bar.bar_id, verdict=Verdict.NOT_APPLICABLE, note="it has no bend")
        return
    radii = [(bend.clr_mm, bend.place_mm) for bend in bar.bends if bend.clr_mm is not None]
    if len(radii) < len(bar.bends):
        yield not_checked(bar.bar_id, "give the centreline radius of every bend", place_mm=bar.place_mm)
        return
    tightest, place = min(radii, key=lambda one: one[0])
    bends = "1 bend" if len(radii) == 1 else f"{len(radii)} bends"
    how = f"tightest of {bends}: centreline radius {scope.show.measured(tightest, 'mm')}"
    todo = "Bend it on a die of a larger radius."
    if limits.least_times_od_ratio is not None:
        how += f" over diameter {scope.show.length(bar.tube.od_mm)}"
        yield held_against(
            tightest / bar.tube.od_mm,
            limits.least_times_od_ratio,
            "least",
            unit="x OD",
            about=bar.bar_id,
            how=how,
            todo=todo,
            place_mm=place,
        )
    if limits.least_mm is not None:
        yield held_against(
            tightest,
            limits.least_mm,
            "least",
            unit="mm",
            about=bar.bar_id,
            how=how,
            todo=todo,
            place_mm=place,
        )
