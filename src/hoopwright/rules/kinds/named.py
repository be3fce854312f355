"""Distance, angle and ratio: a named measure between parts of a cage, held against a limit."""

import math
from collections.abc import Iterator
from typing import Literal, Self

from pydantic import Field, model_validator

from hoopwright.findings import Verdict
from hoopwright.rules.facts import BarFacts, Measured, Place
from hoopwright.rules.kinds.limits import LeastAndMost, Sense, meets
from hoopwright.rules.kinds.outcome import Outcome, judged, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.measures import MEASURES, Dimension
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Angle, Ratio, SignedLength, Text

VERTICAL = "vertical"
_UNITS: dict[str, str] = {"distance": "mm", "angle": "deg", "ratio": ""}
_SHORTEST_MM = 1.0
NEARLY_UPRIGHT_DEG = 1.0
"""A bar that leads forward or rearward by less cannot be told from one that does not: our choice, no source."""
_UPRIGHT_DEG = 0.05  # shown as 0.0


class _Named(LeastAndMost):
    of: Text
    strict: bool = False
    warn_at_limit: bool = False

    def limits(self) -> Iterator[tuple[float, Sense]]:
        """Each limit that was typed, with its sense."""
        for name, field in type(self).model_fields.items():
            value = getattr(self, name)
            if field.alias in ("least", "most") and value is not None:
                yield value, "least" if field.alias == "least" else "most"

    def _refuse_unknown(self, dimension: Dimension, *more: str) -> None:
        known = [name for name, meaning in MEASURES.items() if meaning.dimension == dimension] + list(more)
        if self.of not in known:
            msg = f"'{self.of[:60]}' is not a known {dimension}; known are: {', '.join(known)}"
            raise ValueError(msg)


class DistanceLimits(_Named):
    """Keys of a distance rule."""

    least_mm: SignedLength | None = Field(None, alias="least")
    most_mm: SignedLength | None = Field(None, alias="most")

    @model_validator(mode="after")
    def _known(self) -> Self:
        self._refuse_unknown("distance")
        return self


class AngleLimits(_Named):
    """Keys of an angle rule; `of = "vertical"` is a bar's own angle."""

    least_deg: Angle | None = Field(None, alias="least")
    most_deg: Angle | None = Field(None, alias="most")
    view: Literal["side", "true"] | None = None
    way: Literal["rearward", "forward"] | None = None

    @model_validator(mode="after")
    def _known(self) -> Self:
        self._refuse_unknown("angle", VERTICAL)
        if self.of != VERTICAL and (self.view or self.way):
            msg = 'view and way go with of = "vertical"'
            raise ValueError(msg)
        return self


class RatioLimits(_Named):
    """Keys of a ratio rule."""

    least_ratio: Ratio | None = Field(None, alias="least")
    most_ratio: Ratio | None = Field(None, alias="most")

    @model_validator(mode="after")
    def _known(self) -> Self:
        self._refuse_unknown("ratio")
        return self


def dimension_of(limits: _Named) -> Dimension:
    """What a rule limits."""
    if isinstance(limits, DistanceLimits):
        return "distance"
    return "angle" if isinstance(limits, AngleLimits) else "ratio"


def words(limits: _Named, show: Show) -> str:
    """The requirement in words."""
    unit = _UNITS[dimension_of(limits)]
    ranges = " and ".join(
        show.limit(value, unit, sense, strict=limits.strict) for value, sense in limits.limits()
    )
    way = f", going {limits.way}" if isinstance(limits, AngleLimits) and limits.way else ""
    what = "angle to the vertical" if limits.of == VERTICAL else limits.of
    return f"{what} {ranges}{way}"


def check_measure(limits: _Named, measured: Measured, scope: Scope) -> Iterator[Outcome]:
    """Hold one named measure against its limits."""
    meaning = MEASURES[limits.of]
    if measured.measured is None:
        yield not_checked(
            measured.about, measured.missing or f"give {meaning.give}", place_mm=measured.place_mm
        )
        return
    unit = _UNITS[meaning.dimension]
    for limit, sense in limits.limits():
        passes = meets(measured.measured, limit, sense, strict=limits.strict)
        at_limit = passes and limits.warn_at_limit and meets(limit, measured.measured, sense)
        yield Outcome(
            about=measured.about,
            verdict=judged(passes),
            measured=measured.measured,
            limit=limit,
            sense=sense,
            unit=unit,
            other=measured.other,
            other_how=meaning.other if measured.other is not None else "",
            how=meaning.how,
            todo="" if passes else _short_by(measured.measured, limit, sense, unit, scope.show),
            note="; ".join(
                one
                for one in (measured.note, "equal to the limit: the book may mean less" if at_limit else "")
                if one
            ),
            is_advisory=at_limit,
            place_mm=measured.place_mm,
        )


def _short_by(measured: float, limit: float, sense: Sense, unit: str, show: Show) -> str:
    amount = show.measured(abs(measured - limit), unit)
    return f"It is {amount} too {'small' if sense == 'least' else 'large'}."


def check_vertical(limits: AngleLimits, bar: BarFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold a bar's angle to the vertical against its limits, in side view and true.

    The side view is never the larger, so it decides where the book asks for a least angle, and the true angle where
    it asks for a most; the other is shown. A book that says which one it means sets `view`.
    """
    if bar.down_mm is None or math.hypot(*bar.down_mm) < _SHORTEST_MM:
        yield not_checked(bar.bar_id, "give where its two ends are", place_mm=bar.place_mm)
        return
    forward, left, up = bar.down_mm
    if up > 0.0:
        give = "give the vector from its upper to its lower end: this one goes up"
        yield not_checked(bar.bar_id, give, place_mm=bar.place_mm)
        return
    true = math.degrees(math.atan2(math.hypot(forward, left), -up))
    side = math.degrees(math.atan2(abs(forward), -up)) if math.hypot(forward, up) >= _SHORTEST_MM else true
    for limit, sense in limits.limits():
        view = limits.view or ("side" if sense == "least" else "true")
        decides, other = (side, true) if view == "side" else (true, side)
        passes = meets(decides, limit, sense, strict=limits.strict)
        yield Outcome(
            about=bar.bar_id,
            verdict=judged(passes),
            measured=decides,
            limit=limit,
            sense=sense,
            unit="deg",
            other=other,
            other_how="true angle in space" if view == "side" else "in side view",
            how="in side view" if view == "side" else "true angle in space",
            todo="" if passes else _move_words(bar.down_mm, limit, sense, view, scope.show),
            note=""
            if limits.view or meets(other, limit, sense, strict=limits.strict) is passes
            else "the two ways of measuring end differently: ask how the body measures",
            place_mm=bar.place_mm,
        )
    if limits.way is not None:
        yield _way(limits.way, bar, bar.down_mm, scope.show)


def _way(way: str, bar: BarFacts, down_mm: Place, show: Show) -> Outcome:
    """An upright bar leads neither way; one that leads as wanted by less than a build can be off is not decided."""
    forward, _, up = down_mm
    lean_deg = math.degrees(math.atan2(abs(forward), -up)) if abs(forward) > 0.0 else 0.0
    lean = show.measured(lean_deg, "deg", NEARLY_UPRIGHT_DEG, "least")
    goes = "neither" if lean_deg < _UPRIGHT_DEG else "rearward" if forward < 0.0 else "forward"
    verdict = judged(goes == way)
    todo = "" if goes == way else f"Lead it {way}."
    if goes == way and not meets(lean_deg, NEARLY_UPRIGHT_DEG, "least"):
        verdict = Verdict.NOT_CHECKED
        todo = (
            f"it leads {way} by {lean} only, and under {NEARLY_UPRIGHT_DEG:g}° a build can be off as much "
            "(our choice, the book gives none): measure it on the car, or lead it further"
        )
    return Outcome(
        about=bar.bar_id,
        part="way",
        verdict=verdict,
        measured_words=f"{goes}, {lean}",
        limit_words=way,
        how="from its upper to its lower end, from the vertical in side view",
        todo=todo,
        place_mm=bar.place_mm,
    )


def _move_words(down_mm: Place, limit_deg: float, sense: Sense, view: str, show: Show) -> str:
    forward, left, up = down_mm
    if up >= 0.0 or limit_deg >= 90.0:
        return "Move its ends."
    level = abs(forward) if view == "side" else math.hypot(forward, left)
    move_mm = abs(-up * math.tan(math.radians(limit_deg)) - level)
    way = "further out from its upper end" if sense == "least" else "nearer below its upper end"
    return f"Move its lower end {show.for_the_shop(math.ceil(move_mm))} {way}, at its height."
