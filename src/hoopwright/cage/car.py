"""The car as a rule book asks for it: what it is called, what it weighs and on which basis, when it was homologated."""

import math
from collections.abc import Mapping
from dataclasses import dataclass, field
from enum import StrEnum
from types import MappingProxyType

from hoopwright.findings import Finding, Severity, UserError


class WeightBasis(StrEnum):
    """What a weight counts. Books differ, and the same car has one weight for each."""

    LISTED_WITH_DRIVER = "as listed by the club, driver included"
    WITHOUT_DRIVER = "as raced, without driver"
    RACE_READY_EMPTY = "race ready with full tank and spares, nobody in it"
    NO_FUEL_NO_DRIVER = "as raced, without fuel and driver"
    KERB = "kerb weight"


@dataclass(frozen=True, kw_only=True)
class Car:
    """What a rule book asks about the car and its build. What is not known stays empty, and is never guessed.

    Args:
        words: Make, model, year, in the person's words.
        chassis_number: As stamped.
        cage_number: Number stamped on the cage.
        builder: Who builds the cage.
        weights_kg: Weight for each basis that was weighed or looked up.
        engine_cm3: Swept volume in cubic centimetres.
        homologated: Day of homologation, ISO 8601; empty where there is none or it is not known.
        is_open: Whether the car has no roof; None until said.
        driver_side: Side of the driver's seat, `L` or `R`; empty until said.
    """

    words: str = ""
    chassis_number: str = ""
    cage_number: str = ""
    builder: str = ""
    weights_kg: Mapping[WeightBasis, float] = field(default_factory=lambda: MappingProxyType({}))
    engine_cm3: float | None = None
    homologated: str = ""
    is_open: bool | None = None
    driver_side: str = ""


_LEAST_KG, _MOST_KG = 50.0, 50_000.0


def check_car(car: Car) -> None:
    """Refuse a weight or an engine that no car has.

    Raises:
        UserError: `CAR-001`.
    """
    numbers = [
        (f"weight {basis.value}", kg, _LEAST_KG, _MOST_KG, "kg") for basis, kg in car.weights_kg.items()
    ]
    if car.engine_cm3 is not None:
        numbers.append(("engine", car.engine_cm3, 1.0, 50_000.0, "cm3"))
    for what, value, least, most, unit in numbers:
        if not (math.isfinite(value) and least <= value <= most):
            raise UserError(
                Finding(
                    code="CAR-001",
                    severity=Severity.STOP,
                    sentence=f"The {what} of {value:g} {unit} is not one of a car.",
                    todo=f"Type {least:g} to {most:g} {unit}. Check the unit.",
                    measured=value,
                    limit=most if value > most else least,
                    unit=unit,
                )
            )
