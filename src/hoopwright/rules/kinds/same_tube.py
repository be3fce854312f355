"""Same tube: a bar of the diameter and wall of another bar, or more."""

from collections.abc import Iterator
from typing import Self

from pydantic import Field, model_validator

from hoopwright.rules.facts import BarFacts
from hoopwright.rules.kinds.limits import Limits, meets
from hoopwright.rules.kinds.outcome import Outcome, judged, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show, one_of
from hoopwright.rules.typed_values import RoleList
from hoopwright.tubes import TubeSize


class SameTubeLimits(Limits):
    """Keys of a rule that wants a bar's tube like that of another."""

    like: RoleList = Field((), alias="as")
    or_more: bool = False

    @model_validator(mode="after")
    def _has_another(self) -> Self:
        if not self.like:
            msg = "the bars are missing whose tube it shall be: type as = [...]"
            raise ValueError(msg)
        return self


def words(limits: SameTubeLimits, show: Show) -> str:
    """The requirement in words."""
    return f"diameter and wall of the {one_of(limits.like)}" + (" or more" if limits.or_more else "")


def check(limits: SameTubeLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the nominal tube of one bar against that of each bar that it shall be like."""
    whose = one_of(limits.like)
    others = [one for one in scope.facts.bars or () if one.role in limits.like and one.bar_id != bar.bar_id]
    sizes = list(dict.fromkeys(one.tube for one in others))
    if bar.tube is None:
        yield not_checked(bar.bar_id, "give the size of its tube", place_mm=bar.place_mm)
        return
    if not sizes or None in sizes:
        yield not_checked(bar.bar_id, f"give the tube of the {whose}", place_mm=bar.place_mm)
        return
    wanted = [size for size in sizes if size is not None]
    passes = all(_like(bar.tube, size, or_more=limits.or_more) for size in wanted)
    shown = " and ".join(scope.show.tube(size) for size in wanted)
    yield Outcome(
        about=bar.bar_id,
        verdict=judged(passes),
        measured_words=scope.show.tube(bar.tube),
        limit_words=f"{shown}{' or more' if limits.or_more else ''}",
        how=f"nominal diameter and wall against those of the {whose}",
        todo="" if passes else f"Take {shown}.",
        place_mm=bar.place_mm,
    )


def _like(tube: TubeSize, wanted: TubeSize, *, or_more: bool) -> bool:
    pairs = ((tube.od_mm, wanted.od_mm), (tube.wall_mm, wanted.wall_mm))
    return all(meets(one, other, "least") and (or_more or meets(one, other, "most")) for one, other in pairs)
