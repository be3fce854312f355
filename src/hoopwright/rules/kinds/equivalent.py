"""A tube that is as good as a reference: in bending stiffness, bending strength or area.

Stiffness is E I and strength in bending Sy I / (OD / 2). All steels have one E, so that stiffness compares I.
"""

from collections.abc import Iterator
from typing import Annotated, Literal, Self

from pydantic import BeforeValidator, Field, model_validator

from hoopwright.rules.facts import BarFacts, Certificate
from hoopwright.rules.kinds.limits import Limits
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Length, Number, Tube, as_list
from hoopwright.tubes import STEEL_E_MPA, section_properties

Quality = Literal["stiffness", "strength", "area"]


class EquivalentLimits(Limits):
    """Keys of a rule that allows tubes as good as a reference."""

    reference: Tube
    reference_yield_mpa: Number | None = Field(None, alias="reference_yield")
    reference_e_mpa: Number = Field(STEEL_E_MPA, alias="reference_e")
    of: Annotated[tuple[Quality, ...], BeforeValidator(as_list), Field(min_length=1)]
    wall_least_mm: Length | None = Field(None, alias="wall_least")
    carbon_least_percent: Number | None = Field(None, alias="carbon_least")

    @model_validator(mode="after")
    def _has_a_yield(self) -> Self:
        if "strength" in self.of and self.reference_yield_mpa is None:
            msg = "strength needs reference_yield, in MPa"
            raise ValueError(msg)
        return self


def words(limits: EquivalentLimits, show: Show) -> str:
    """The requirement in words."""
    return f"at least as good as {show.tube(limits.reference)} in {' and '.join(limits.of)}"


def check(limits: EquivalentLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold one bar against the reference, each quality as a share of it."""
    if bar.tube is None:
        yield not_checked(bar.bar_id, "give the size of its tube", place_mm=bar.place_mm)
        return
    certificate = bar.certificate or Certificate()
    ours, theirs = section_properties(bar.tube), section_properties(limits.reference)
    for quality in limits.of:
        share: float | None
        if quality == "area":
            share = ours.area_mm2 / theirs.area_mm2
        elif quality == "stiffness":
            share = STEEL_E_MPA * ours.i_mm4 / (limits.reference_e_mpa * theirs.i_mm4)
        elif certificate.yield_mpa is None or limits.reference_yield_mpa is None:
            yield not_checked(bar.bar_id, "give the yield strength from its certificate", part=quality)
            continue
        else:
            share = certificate.yield_mpa * ours.z_mm3 / (limits.reference_yield_mpa * theirs.z_mm3)
        yield held_against(
            share,
            1.0,
            "least",
            about=bar.bar_id,
            part=quality,
            how="share of the reference, from nominal sizes; both are steel",
            todo="Take a larger tube, a thicker wall or a stronger steel.",
            place_mm=bar.place_mm,
        )
    yield from _least(bar, "wall", bar.tube.wall_mm, limits.wall_least_mm, "mm")
    yield from _least(bar, "carbon", certificate.carbon_percent, limits.carbon_least_percent, "%")


def _least(
    bar: BarFacts, part: str, value: float | None, limit: float | None, unit: str
) -> Iterator[Outcome]:
    if limit is None:
        return
    if value is None:
        yield not_checked(bar.bar_id, f"give the {part} from its certificate", part=part)
        return
    yield held_against(value, limit, "least", unit=unit, about=bar.bar_id, part=part, place_mm=bar.place_mm)
