"""Ovality: smallest over largest outside width, measured in a bend after bending."""

from collections.abc import Iterator

from pydantic import Field

from hoopwright.findings import Verdict
from hoopwright.rules.facts import BarFacts
from hoopwright.rules.kinds.limits import Limits, meets
from hoopwright.rules.kinds.outcome import Outcome, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Ratio

_GIVE = "measure the smallest and the largest width in each bend"


class OvalityLimits(Limits):
    """Keys of an ovality rule."""

    least_ratio: Ratio = Field(alias="least", gt=0.0, le=1.0)


def words(limits: OvalityLimits, show: Show) -> str:
    """The requirement in words."""
    return f"smallest over largest width in a bend {show.limit(limits.least_ratio, '', 'least')}"


def check(limits: OvalityLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the flattest measured bend of one bar against the limit; it passes when every bend was measured."""
    if bar.bends is None:
        yield not_checked(bar.bar_id, _GIVE, place_mm=bar.place_mm)
        return
    if not bar.bends:
        yield Outcome(about=bar.bar_id, verdict=Verdict.NOT_APPLICABLE, note="it has no bend")
        return
    measured = [
        (bend.narrow_mm / bend.wide_mm, bend)
        for bend in bar.bends
        if bend.narrow_mm is not None and bend.wide_mm is not None and 0.0 < bend.narrow_mm <= bend.wide_mm
    ]
    if not measured:
        yield not_checked(bar.bar_id, _GIVE, place_mm=bar.place_mm)
        return
    ratio, bend = min(measured, key=lambda one: one[0])
    some = f"{len(measured)} of {len(bar.bends)} bends measured"
    if len(measured) < len(bar.bends) and meets(ratio, limits.least_ratio, "least"):
        yield not_checked(bar.bar_id, f"{some}: {_GIVE}", place_mm=bar.place_mm)
        return
    show = scope.show
    yield held_against(
        ratio,
        limits.least_ratio,
        "least",
        about=bar.bar_id,
        how=f"{show.measured(bend.narrow_mm or 0.0, 'mm')} over {show.measured(bend.wide_mm or 0.0, 'mm')}; {some}",
        todo="Bend another: with a mandrel, a better fitting die, or slower.",
        place_mm=bend.place_mm or bar.place_mm,
    )
