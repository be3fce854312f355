"""Plates under feet: area, sides, thickness, planes, and the plate on the other side."""

from collections.abc import Iterator
from dataclasses import replace
from typing import Self

from pydantic import Field, model_validator

from hoopwright.findings import Verdict
from hoopwright.rules.facts import FootFacts
from hoopwright.rules.kinds.limits import Limits, Sense, meets
from hoopwright.rules.kinds.outcome import BY_HAND, Outcome, by_hand, held_against, not_checked
from hoopwright.rules.kinds.scope import Scope
from hoopwright.rules.show import Show
from hoopwright.rules.typed_values import Area, Count, Length, Ratio

_FIELDS = {"thickness": "thickness_mm", "plate on the other side": "backing_mm"}


class PlateLimits(Limits):
    """Keys of a plate rule."""

    area_least_mm2: Area | None = Field(None, alias="area_least")
    area_most_mm2: Area | None = Field(None, alias="area_most")
    area_advised_mm2: Area | None = Field(None, alias="area_advised")
    contact: bool = False
    area_per_od_mm: Length | None = Field(None, alias="area_per_od")
    side_least_mm: Length | None = Field(None, alias="side_least")
    side_most_mm: Length | None = Field(None, alias="side_most")
    side_times_od_ratio: Ratio | None = Field(None, alias="side_times_od")
    thickness_least_mm: Length | None = Field(None, alias="thickness_least")
    thickness_most_mm: Length | None = Field(None, alias="thickness_most")
    thickness_of_wall: bool = False
    backing_least_mm: Length | None = Field(None, alias="backing_least")
    backing_equal: bool = False
    planes_least: Count | None = None
    planes_most: Count | None = None

    @model_validator(mode="after")
    def _has_a_limit(self) -> Self:
        if not any(getattr(self, name) for name in type(self).model_fields if name != "contact"):
            msg = "the limit is missing: type area_least, side_least, thickness_least or another"
            raise ValueError(msg)
        return self

    def parts(self) -> tuple[tuple[str, str, float | None, Sense], ...]:
        """Limits that are plain numbers: part, unit, limit and sense."""
        return (
            ("area", "area", self.area_least_mm2, "least"),
            ("area", "area", self.area_most_mm2, "most"),
            ("shortest side", "mm", self.side_least_mm, "least"),
            ("longest side", "mm", self.side_most_mm, "most"),
            ("thickness", "mm", self.thickness_least_mm, "least"),
            ("thickness", "mm", self.thickness_most_mm, "most"),
            ("plate on the other side", "mm", self.backing_least_mm, "least"),
            ("planes", "", self.planes_least, "least"),
            ("planes", "", self.planes_most, "most"),
        )


def words(limits: PlateLimits, show: Show) -> str:
    """The requirement in words."""
    told = [
        f"{part} {show.limit(value, unit, sense)}"
        for part, unit, value, sense in limits.parts()
        if value is not None
    ]
    told += (
        [] if limits.area_per_od_mm is None else [f"area >= diameter x {show.length(limits.area_per_od_mm)}"]
    )
    told += [] if limits.side_times_od_ratio is None else [f"sides >= {limits.side_times_od_ratio:g} x OD"]
    told += ["as thick as the tube's wall"] if limits.thickness_of_wall else []
    told += ["an equal plate on the other side"] if limits.backing_equal else []
    told += (
        []
        if limits.area_advised_mm2 is None
        else [f"area advised {show.limit(limits.area_advised_mm2, 'area', 'least')}"]
    )
    return f"plate: {', '.join(told)}"


def check(limits: PlateLimits, foot: FootFacts, scope: Scope) -> Iterator[Outcome]:
    """Hold the plate of one foot against each part of the rule."""
    for part, unit, limit, sense in limits.parts():
        if limit is not None:
            yield _held(foot, part, _value(limits, foot, part), limit, sense, unit, scope.show)
    if limits.area_advised_mm2 is not None:
        yield _advised(limits, foot, limits.area_advised_mm2)
    od_mm = None if foot.tube is None else foot.tube.od_mm
    wall_mm = None if foot.tube is None else foot.tube.wall_mm
    if limits.area_per_od_mm is not None:
        yield _of_tube(
            foot, "area", _value(limits, foot, "area"), od_mm, limits.area_per_od_mm, "area", scope.show
        )
    if limits.side_times_od_ratio is not None:
        side = _value(limits, foot, "shortest side")
        yield _of_tube(foot, "shortest side", side, od_mm, limits.side_times_od_ratio, "mm", scope.show)
    if limits.thickness_of_wall:
        yield _of_tube(foot, "thickness", foot.thickness_mm, wall_mm, 1.0, "mm", scope.show)
    if limits.backing_equal:
        yield _of_plate(foot, scope.show)


def _value(limits: PlateLimits, foot: FootFacts, part: str) -> float | None:
    if part == "area":
        return foot.contact_mm2 if limits.contact else area_of(foot)
    if part == "thickness":
        return foot.thickness_mm
    if part == "plate on the other side":
        return foot.backing_mm
    if not foot.planes_mm:
        return None
    if part == "planes":
        return float(len(foot.planes_mm))
    sides = [side for plane in foot.planes_mm for side in plane]
    return min(sides) if part == "shortest side" else max(sides)


def area_of(foot: FootFacts) -> float | None:
    """Area of a plate in all its planes, mm2; from its sides where it is not given."""
    if foot.area_mm2 is not None or not foot.planes_mm:
        return foot.area_mm2
    return sum(one * other for one, other in foot.planes_mm)


def _held(
    foot: FootFacts, part: str, value: float | None, limit: float, sense: Sense, unit: str, show: Show
) -> Outcome:
    if value is None:
        return not_checked(foot.bar_id, _give(foot, part), part=part, place_mm=foot.place_mm)
    return held_against(
        value,
        limit,
        sense,
        unit=unit,
        about=foot.bar_id,
        part=part,
        how=_how(foot, part, show),
        todo=f"Make it {show.measured(abs(value - limit), unit)} {'more' if sense == 'least' else 'less'}.",
        place_mm=foot.place_mm,
    )


def _give(foot: FootFacts, part: str) -> str:
    """What to give where a part of a plate is not known, and how it is measured by hand."""
    what = "sides" if part in ("shortest side", "longest side", "planes") else part
    names = {"thickness": "plate thickness", "plate on the other side": "backing plate"}
    how = by_hand(foot.bar_id, names.get(part, "plate length"))
    more = "" if part in names else " --value 'plate width=...'"
    return f"give the {what} of the plate, or measure a flat one: {how}{more}"


def _how(foot: FootFacts, part: str, show: Show) -> str:
    if part == "area" and foot.planes_mm:
        planes = " + ".join(f"{show.length(one)} x {show.length(other)}" for one, other in foot.planes_mm)
        return f"{planes}, {BY_HAND if 'planes_mm' in foot.by_hand else 'developed'}"
    if _FIELDS.get(part, "planes_mm") in foot.by_hand:
        return BY_HAND
    return "of each flat part" if part in ("shortest side", "longest side") else "as made or drawn"


def _advised(limits: PlateLimits, foot: FootFacts, advised_mm2: float) -> Outcome:
    area = _value(limits, foot, "area")
    if area is None:
        return not_checked(foot.bar_id, _give(foot, "area"), part="area advised", place_mm=foot.place_mm)
    outcome = held_against(
        area, advised_mm2, "least", unit="area", about=foot.bar_id, part="area advised", how="advice only"
    )
    below = not meets(area, advised_mm2, "least")
    note = "less than the book advises" if below else ""
    return replace(outcome, verdict=Verdict.PASS, is_advisory=below, note=note, place_mm=foot.place_mm)


def _of_tube(
    foot: FootFacts,
    part: str,
    value: float | None,
    size_mm: float | None,
    factor: float,
    unit: str,
    show: Show,
) -> Outcome:
    """A limit that is a multiple of the tube's diameter or wall."""
    if size_mm is None:
        return not_checked(foot.bar_id, "give the tube of the bar", part=part, place_mm=foot.place_mm)
    return _held(foot, part, value, size_mm * factor, "least", unit, show)


def _of_plate(foot: FootFacts, show: Show) -> Outcome:
    part = "plate on the other side"
    if foot.thickness_mm is None:
        return not_checked(foot.bar_id, _give(foot, "thickness"), part=part, place_mm=foot.place_mm)
    return _held(foot, part, foot.backing_mm, foot.thickness_mm, "least", "mm", show)
