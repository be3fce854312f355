"""What a case of a rule types, and the facts that it makes.

What the rule looks at is typed flat beside `expect`; everything else under its own key (`car`, `bars`, `feet`, ...).
"""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Any, Literal

from pydantic import Field

from hoopwright.cage.car import Car, WeightBasis
from hoopwright.findings import Verdict
from hoopwright.rules.case_tables import (
    BarKeys,
    CarKeys,
    DriverKeys,
    ExtentKeys,
    FootKeys,
    GussetKeys,
    HoleKeys,
    JointKeys,
    MeasureKeys,
    OpeningKeys,
    PatternKeys,
)
from hoopwright.rules.facts import Facts
from hoopwright.rules.kinds.kind import About
from hoopwright.rules.typed_values import BookKeys, Mass, Text


class CaseKeys(BookKeys):
    """A case, but for what is typed flat."""

    name: Text = ""
    expect: Verdict
    advised: bool | None = None
    basis: Literal["read", "memory"] = "read"
    car: CarKeys | None = None
    weight_kg: Mass | None = Field(None, alias="weight")
    bars: tuple[BarKeys, ...] | None = None
    measures: tuple[MeasureKeys, ...] | None = None
    feet: tuple[FootKeys, ...] | None = None
    gussets: tuple[GussetKeys, ...] | None = None
    joints: tuple[JointKeys, ...] | None = None
    holes: tuple[HoleKeys, ...] | None = None
    drivers: tuple[DriverKeys, ...] | None = None
    openings: tuple[OpeningKeys, ...] | None = None
    extent: ExtentKeys | None = None
    patterns: tuple[PatternKeys, ...] | None = None


FLAT: Mapping[About, tuple[str, type[BookKeys]]] = MappingProxyType({
    "bar": ("bars", BarKeys),
    "measure": ("measures", MeasureKeys),
    "foot": ("feet", FootKeys),
    "gusset": ("gussets", GussetKeys),
    "joint": ("joints", JointKeys),
    "driver": ("drivers", DriverKeys),
    "opening": ("openings", OpeningKeys),
})  # fmt: skip
"""Which list the flat keys of a case go to, and what they are."""


def facts_of(keys: CaseKeys, *, basis: WeightBasis | None, unit: str, of: str) -> Facts:
    """The facts of a case.

    Args:
        keys: What it types.
        basis: What the book's weights count.
        unit: Of bare lengths.
        of: Measure that the rule is about, for measures that name none.
    """
    lists: dict[str, Any] = {}
    for name in ("bars", "feet", "gussets", "joints", "holes", "drivers", "openings", "patterns"):
        typed = getattr(keys, name)
        lists[name] = None if typed is None else tuple(one.facts() for one in typed)
    measures = None if keys.measures is None else tuple(one.facts(unit, of) for one in keys.measures)
    extent = None if keys.extent is None else keys.extent.facts()
    return Facts(car=_car(keys, basis), measures=measures, extent=extent, **lists)


def _car(keys: CaseKeys, basis: WeightBasis | None) -> Car:
    car = keys.car or CarKeys.model_validate({})
    weight = keys.weight_kg if keys.weight_kg is not None else car.weight_kg
    weights = {} if weight is None or basis is None else {basis: weight}
    return Car(
        weights_kg=MappingProxyType(weights),
        engine_cm3=car.engine_cm3,
        homologated=car.homologated,
        is_open=car.open,
        driver_side=car.driver_side,
    )
