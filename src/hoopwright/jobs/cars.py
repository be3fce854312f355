"""The car as a rule book asks for it: typed, shown as understood, and kept."""

import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from types import MappingProxyType
from typing import Any

from hoopwright.cage import Car, WeightBasis, check_car
from hoopwright.jobs.typed import unreadable
from hoopwright.store import ProjectFolder
from hoopwright.units import KG_PER_POUND, MM_PER_INCH, parse_mass_kg
from hoopwright.units.amounts import THOUSANDS

BASIS_WORDS: Mapping[str, WeightBasis] = MappingProxyType({
    "listed": WeightBasis.LISTED_WITH_DRIVER,
    "listed with driver": WeightBasis.LISTED_WITH_DRIVER,
    "without driver": WeightBasis.WITHOUT_DRIVER,
    "race ready": WeightBasis.RACE_READY_EMPTY,
    "race ready empty": WeightBasis.RACE_READY_EMPTY,
    "no fuel no driver": WeightBasis.NO_FUEL_NO_DRIVER,
    "without fuel and driver": WeightBasis.NO_FUEL_NO_DRIVER,
    "kerb": WeightBasis.KERB,
    "curb": WeightBasis.KERB,
})  # fmt: skip
"""How a person names what a weight counts; `book_keys.BASES` of the rules has the first of each too."""
_WEIGHT = re.compile(r"(?P<amount>[\d.,]+\s*(?:kg|lbs?|lb\.)?)[\s,]+(?P<basis>[a-z][a-z ,-]*)")
_ENGINE = re.compile(r"(?P<number>\d+(?:[.,]\d+)?)\s*(?P<unit>cm3|ccm|cc|l|litres?|liters?|ci|cu in)?")
_CM3_PER_INCH3 = (MM_PER_INCH / 10.0) ** 3
_CLEARED: Mapping[str, Any] = MappingProxyType({
    "words": "", "chassis": "", "cage": "", "builder": "", "engine": None, "homologated": "", "roof": None,
    "driver-side": "",
})  # fmt: skip
_FIELDS = {"chassis": "chassis_number", "cage": "cage_number", "engine": "engine_cm3", "roof": "is_open"}


@dataclass(frozen=True, kw_only=True)
class TypedCar:
    """What was typed of a car; what is None stays as it was.

    Args:
        words: Make, model, year.
        chassis_number: As stamped.
        cage_number: Stamped on the cage.
        builder: Who builds the cage.
        weights_kg: Weights to add, or in the place of those on the same basis.
        engine_cm3: Swept volume.
        homologated: Day of homologation, ISO 8601.
        is_open: Whether the car has no roof.
        driver_side: `L` or `R`.
        cleared: What is taken back: names of `clearable`, or a basis of weight.
    """

    words: str | None = None
    chassis_number: str | None = None
    cage_number: str | None = None
    builder: str | None = None
    weights_kg: Mapping[WeightBasis, float] = field(default_factory=lambda: MappingProxyType({}))
    engine_cm3: float | None = None
    homologated: str | None = None
    is_open: bool | None = None
    driver_side: str | None = None
    cleared: Sequence[str] = ()


def describe_car(folder: ProjectFolder, typed: TypedCar) -> Car:
    """Keep what was typed of the car; with nothing typed, the car as it is kept.

    Raises:
        UserError: `CAR-001` for numbers that no car has; `TYPED-001` for something to clear that is not known.
    """
    opened = folder.open()
    car = _cleared(opened.project.car, typed.cleared)
    given = {key: value for key, value in vars(typed).items() if value is not None}
    for name in ("weights_kg", "cleared"):
        given.pop(name)
    weights = MappingProxyType({**car.weights_kg, **typed.weights_kg})
    car = replace(car, weights_kg=weights, **{k: _one_line(v) for k, v in given.items()})
    check_car(car)
    if car != opened.project.car:
        folder.save(opened, replace(opened.project, car=car))
    return car


def clearable() -> tuple[str, ...]:
    """What can be taken back."""
    return (*_CLEARED, "weight", *(basis for basis in BASIS_WORDS))


def typed_weight(text: str) -> tuple[WeightBasis, float]:
    """A weight and what it counts, such as `1180 kg kerb` or `2600 lb listed`.

    Returns:
        The basis, and the weight in kg.

    Raises:
        UserError: `TYPED-001` where the basis is missing or not known, `UNIT-003` for the number.
    """
    match = _WEIGHT.fullmatch(" ".join(text.lower().split()))
    basis = None if match is None else BASIS_WORDS.get(_plain(match["basis"]))
    if match is None or basis is None:
        known = ", ".join(f"'{words}'" for words in BASIS_WORDS)
        raise unreadable(
            text,
            f"a weight and what it counts, such as '1180 kg kerb'. Books differ in it; known are {known}",
        )
    return basis, parse_mass_kg(match["amount"])


def typed_engine_cm3(text: str) -> float:
    """A swept volume; a bare number is cm3, litres and cubic inches carry their unit.

    Raises:
        UserError: `TYPED-001`.
    """
    match = _ENGINE.fullmatch(text.strip().lower())
    if match is None or THOUSANDS.fullmatch(match["number"]):
        raise unreadable(text, "a swept volume, such as '1998', '2.0 l' or '302 ci'")
    unit = (match["unit"] or "cm3")[:2]
    factor = 1000.0 if unit[0] == "l" else _CM3_PER_INCH3 if unit in ("ci", "cu") else 1.0
    return float(match["number"].replace(",", ".")) * factor


def car_lines(car: Car) -> list[str]:
    """What is known of a car, a line for each, with what is not known."""
    weights = [
        f"weight, {basis.value}: {kg:.0f} kg ({kg / KG_PER_POUND:.0f} lb)"
        for basis, kg in car.weights_kg.items()
    ]
    roof = {None: "", True: "none", False: "there is one"}[car.is_open]
    side = {"": "", "L": "left", "R": "right"}[car.driver_side]
    rows = [
        ("car", car.words),
        ("chassis number", car.chassis_number),
        ("cage number", car.cage_number),
        ("builder", car.builder),
        ("engine", "" if car.engine_cm3 is None else f"{car.engine_cm3:g} cm3"),
        ("homologated", car.homologated),
        ("roof", roof),
        ("driver's side", side),
    ]
    return [
        *(f"{name}: {value or 'not said'}" for name, value in rows),
        *(weights or ["weight: not said; books differ in what it counts"]),
    ]


def _cleared(car: Car, names: Sequence[str]) -> Car:
    for name in names:
        key = " ".join(name.lower().split())
        if key in _CLEARED:
            car = replace(car, **{_FIELDS.get(key, key.replace("-", "_")): _CLEARED[key]})
        elif key == "weight" or key in BASIS_WORDS:
            left = {
                b: kg for b, kg in car.weights_kg.items() if key != "weight" and b is not BASIS_WORDS[key]
            }
            car = replace(car, weights_kg=MappingProxyType(left))
        else:
            raise unreadable(name, f"one of {', '.join(clearable())}")
    return car


def _plain(words: str) -> str:
    return " ".join(words.replace(",", " ").replace("-", " ").replace(" weight", " ").split())


def _one_line(value: Any) -> Any:
    return " ".join(value.split()) if isinstance(value, str) else value
