"""Gussets: their legs, sheet, cut-out and hole, in diameters of the largest tube joined."""

from collections.abc import Iterator
from typing import Self

from pydantic import Field, model_validator

from hoopwright.rules.facts import GussetFacts
from hoopwright.rules.kinds.limits import Limits, Sense
from hoopwright.rules.kinds.outcome import Outcome, held_against, judged, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Length, Ratio


class GussetLimits(Limits):
    """Keys of a gusset rule."""

    leg_least_times_od_ratio: Ratio | None = Field(None, alias="leg_least_times_od")
    leg_most_times_od_ratio: Ratio | None = Field(None, alias="leg_most_times_od")
    thickness_least_mm: Length | None = Field(None, alias="thickness_least")
    thickness_most_mm: Length | None = Field(None, alias="thickness_most")
    cutout_most_times_od_ratio: Ratio | None = Field(None, alias="cutout_most_times_od")
    hole_most_times_od_ratio: Ratio | None = Field(None, alias="hole_most_times_od")
    folded: bool = False

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if not any(getattr(self, name) for name in type(self).model_fields):
            msg = "the limit is missing: type leg_least_times_od, thickness_least or another"
            raise ValueError(msg)
        return self

    def of_od(self) -> tuple[tuple[str, float | None, Sense], ...]:
        """Limits in diameters of the largest tube: part, limit and sense."""
        return (
            ("shortest leg", self.leg_least_times_od_ratio, "least"),
            ("longest leg", self.leg_most_times_od_ratio, "most"),
            ("cut-out", self.cutout_most_times_od_ratio, "most"),
            ("hole", self.hole_most_times_od_ratio, "most"),
        )

    def lengths(self) -> tuple[tuple[str, float | None, Sense], ...]:
        """Limits that are lengths."""
        return (
            ("thickness", self.thickness_least_mm, "least"),
            ("thickness", self.thickness_most_mm, "most"),
        )


def words(limits: GussetLimits, show: Show) -> str:
    """The requirement in words."""
    told = [
        f"{part} {show.limit(limit, 'x OD', sense)}"
        for part, limit, sense in limits.of_od()
        if limit is not None
    ]
    told += [
        f"{part} {show.limit(limit, 'mm', sense)}"
        for part, limit, sense in limits.lengths()
        if limit is not None
    ]
    return f"gusset: {', '.join([*told, *(['folded'] if limits.folded else [])])}"


def check(limits: GussetLimits, gusset: GussetFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold one gusset against each part of the rule."""
    values = {
        "shortest leg": min(gusset.legs_mm, default=None) if gusset.legs_mm is not None else None,
        "longest leg": max(gusset.legs_mm, default=None) if gusset.legs_mm is not None else None,
        "cut-out": gusset.cutout_mm,
        "hole": gusset.hole_mm,
        "thickness": gusset.thickness_mm,
    }
    limited = [
        (part, None if limit is None or gusset.largest_od_mm is None else limit * gusset.largest_od_mm, sense)
        for part, limit, sense in limits.of_od()
        if limit is not None
    ]
    limited += [(part, limit, sense) for part, limit, sense in limits.lengths() if limit is not None]
    for part, limit_mm, sense in limited:
        value = values[part]
        if limit_mm is None or value is None:
            give = f"give its {part}" if limit_mm is not None else "give the tubes that it joins"
            yield not_checked(gusset.name, give, part=part, place_mm=gusset.place_mm)
            continue
        yield held_against(
            value,
            limit_mm,
            sense,
            unit="mm",
            about=gusset.name,
            part=part,
            how="as drawn; of the largest tube joined where the limit goes by it",
            todo=f"Make it {scope.show.measured(abs(value - limit_mm), 'mm')} "
            f"{'more' if sense == 'least' else 'less'}.",
            place_mm=gusset.place_mm,
        )
    if limits.folded:
        yield _folded(gusset)


def _folded(gusset: GussetFacts) -> Outcome:
    if gusset.is_folded is None:
        return not_checked(gusset.name, "say whether it is folded", part="folded", place_mm=gusset.place_mm)
    return Outcome(
        about=gusset.name,
        part="folded",
        verdict=judged(gusset.is_folded),
        measured_words="folded" if gusset.is_folded else "flat",
        limit_words="folded",
        how="as drawn",
        todo="" if gusset.is_folded else "Make it of sheet bent to a U.",
        place_mm=gusset.place_mm,
    )
