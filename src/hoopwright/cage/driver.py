"""A driver in the car: the places that bars are held against."""

import math
from dataclasses import dataclass

from hoopwright.bars import Node
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry.capsules import Capsule

_FARTHEST_MM = 20_000.0
_SHOULDER_MM, _HIP_MM, _LEG_MM = 70.0, 120.0, 65.0


@dataclass(frozen=True, kw_only=True)
class Driver:
    """One driver as measured in the fixed seat; what is None was not measured, and is not checked.

    Args:
        name: Who.
        helmet_mm: Centre of the helmet, vehicle frame.
        helmet_radius_mm: Radius of the helmet as a sphere.
        eye_mm: Between the eyes.
        shoulder_mm: Where the belt leaves the left shoulder.
        guide_mm: Where that belt goes over its guide or harness bar.
        hip_mm: Hip point.
        knee_mm: Left knee.
        shin_mm: Left ankle; the shin runs from the knee to it.
        wheel_mm: Centre of the steering wheel.
        wheel_radius_mm: Its radius.
        padding_mm: Padding on the bars, which counts in the room.
    """

    name: str
    helmet_mm: Node | None = None
    helmet_radius_mm: float | None = None
    eye_mm: Node | None = None
    shoulder_mm: Node | None = None
    guide_mm: Node | None = None
    hip_mm: Node | None = None
    knee_mm: Node | None = None
    shin_mm: Node | None = None
    wheel_mm: Node | None = None
    wheel_radius_mm: float | None = None
    padding_mm: float = 0.0

    def bodies(self) -> tuple[Capsule, ...]:
        """What was measured of the driver, as capsules: both sides about the driver's own middle.

        Shoulder, hip and leg get 70, 120 and 65 mm round their place (common practice, no source).
        """
        found = []
        if self.helmet_mm is not None and self.helmet_radius_mm is not None:
            found.append(_ball("helmet", self.helmet_mm, self.helmet_radius_mm))
        if self.wheel_mm is not None and self.wheel_radius_mm is not None:
            found.append(_ball("steering wheel", self.wheel_mm, self.wheel_radius_mm))
        if self.hip_mm is not None:
            found.append(_ball("hips", self.hip_mm, _HIP_MM))
        for side in (1.0, -1.0):
            hand = "left" if side > 0 else "right"
            if self.shoulder_mm is not None:
                found.append(_ball(f"{hand} shoulder", self._other(self.shoulder_mm, side), _SHOULDER_MM))
            if self.knee_mm is not None:
                knee = self._other(self.knee_mm, side)
                foot = knee if self.shin_mm is None else self._other(self.shin_mm, side)
                name = f"{hand} knee" if self.shin_mm is None else f"{hand} knee and shin"
                found.append(Capsule(name=name, start_mm=knee, end_mm=foot, radius_mm=_LEG_MM))
        return tuple(found)

    def _other(self, place: Node, side: float) -> Node:
        """A place, or its twin about the driver's own middle where that is known from helmet or hips."""
        middle = next((known[1] for known in (self.helmet_mm, self.hip_mm) if known is not None), place[1])
        return place if side > 0 else (place[0], 2.0 * middle - place[1], place[2])


def check_driver(driver: Driver) -> None:
    """Stop on numbers that no driver has.

    Raises:
        UserError: `DRV-001`.
    """
    lengths = {"helmet radius": driver.helmet_radius_mm, "wheel radius": driver.wheel_radius_mm}
    for name, value in lengths.items():
        if value is not None and not 20.0 <= value <= 400.0:
            raise _refuse(driver, f"the {name} is {value:g} mm, outside 20 to 400 mm")
    if not 0.0 <= driver.padding_mm <= 150.0:
        raise _refuse(driver, f"the padding is {driver.padding_mm:g} mm, outside 0 to 150 mm")
    for name, place in vars(driver).items():
        if isinstance(place, tuple) and not all(math.isfinite(x) and abs(x) < _FARTHEST_MM for x in place):
            raise _refuse(driver, f"{name.removesuffix('_mm')} is no place in a car")
    if not driver.name.strip() or len(driver.name) > 40:
        raise _refuse(driver, "a driver needs a name of up to 40 letters")


def _refuse(driver: Driver, why: str) -> UserError:
    return UserError(
        Finding(
            code="DRV-001",
            severity=Severity.STOP,
            sentence=f"Driver '{driver.name}' cannot be: {why}.",
            todo="Correct it; lengths are in mm unless a unit is typed.",
            objects=(driver.name,),
        )
    )


def _ball(name: str, place: Node, radius_mm: float) -> Capsule:
    return Capsule(name=name, start_mm=place, end_mm=place, radius_mm=radius_mm)
