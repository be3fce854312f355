"""Section: least second moment, area, diameter and wall, all of which a tube must have."""

from collections.abc import Iterator
from typing import Self

from pydantic import Field, model_validator

from hoopwright.findings import Verdict
from hoopwright.rules.facts import BarFacts
from hoopwright.rules.kinds.limits import Limits, meets
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.kinds.tube_size import Sizes
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Area, Length, Number
from hoopwright.tubes import section_properties


class SectionLimits(Limits):
    """Keys of a section rule."""

    i_least_mm4: Number | None = Field(None, alias="i_least")
    area_least_mm2: Area | None = Field(None, alias="area_least")
    od_least_mm: Length | None = Field(None, alias="od_least")
    wall_least_mm: Length | None = Field(None, alias="wall_least")
    rounded: bool = False
    also: Sizes = ()

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if all(value is None for _, _, value in self.parts()):
            msg = "the limit is missing: type i_least, area_least, od_least or wall_least"
            raise ValueError(msg)
        return self

    def parts(self) -> tuple[tuple[str, str, float | None], ...]:
        """Each part of the rule with its unit and its limit."""
        return (
            ("I", "mm4", self.i_least_mm4),
            ("area", "mm2", self.area_least_mm2),
            ("diameter", "mm", self.od_least_mm),
            ("wall", "mm", self.wall_least_mm),
        )


def words(limits: SectionLimits, show: Show) -> str:
    """The requirement in words."""
    told = [
        f"{name} {show.limit(value, unit, 'least')}"
        for name, unit, value in limits.parts()
        if value is not None
    ]
    return f"section: {', '.join(told)}"


def check(limits: SectionLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the section of one bar, from its nominal size, against each limit."""
    if bar.tube is None:
        yield not_checked(bar.bar_id, "give the size of its tube", place_mm=bar.place_mm)
        return
    for size in limits.also:
        if meets(bar.tube.od_mm, size.tube.od_mm, "least") and meets(
            bar.tube.wall_mm, size.tube.wall_mm, "least"
        ):
            yield Outcome(
                about=bar.bar_id,
                verdict=Verdict.PASS,
                measured_words=scope.show.tube(bar.tube),
                limit_words=scope.show.tube(size.tube),
                how="a size that the book names itself",
                place_mm=bar.place_mm,
            )
            return
    section = section_properties(bar.tube)
    values = {
        "I": round(section.i_mm4) if limits.rounded else section.i_mm4,
        "area": section.area_mm2,
        "diameter": bar.tube.od_mm,
        "wall": bar.tube.wall_mm,
    }
    for name, unit, limit in limits.parts():
        if limit is not None:
            yield held_against(
                values[name],
                limit,
                "least",
                unit=unit,
                about=bar.bar_id,
                part=name,
                how="from the nominal size"
                + (", rounded to whole mm4" if name == "I" and limits.rounded else ""),
                todo="Take a larger tube or a thicker wall.",
                place_mm=bar.place_mm,
            )
