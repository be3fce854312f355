"""A driver in the car: the places that bars are held against."""

import math
from collections.abc import Iterable
from dataclasses import dataclass, replace
from itertools import pairwise

import numpy as np

from hoopwright.bars import Node, as_node
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry.capsules import Capsule

_FARTHEST_MM = 20_000.0
_SHOULDER_MM, _HIP_MM, _LEG_MM, _HANDS_MM = 70.0, 120.0, 65.0, 45.0
_RIM_CHORDS = 24
WHEEL = "steering wheel"


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
        wheel_tilt_deg: Lean of the wheel's face from upright, its top to the front: 0 is upright, 90 is flat.
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
    wheel_tilt_deg: float | None = None
    padding_mm: float = 0.0

    def bodies(self) -> tuple[Capsule, ...]:
        """What was measured of the driver, as capsules; the right side only where the driver's middle is known.

        Shoulder, hip and leg get 70, 120 and 65 mm round their place (common practice, no source). The wheel is its rim
        with 45 mm round it for hands (common practice, no source), or, without its tilt, a ball that holds any rim.
        """
        found = []
        if self.helmet_mm is not None and self.helmet_radius_mm is not None:
            found.append(_ball("helmet", self.helmet_mm, self.helmet_radius_mm))
        if self.wheel_mm is not None and self.wheel_radius_mm is not None:
            found.extend(_wheel(self.wheel_mm, self.wheel_radius_mm, self.wheel_tilt_deg))
        if self.hip_mm is not None:
            found.append(_ball("hips", self.hip_mm, _HIP_MM))
        for hand in ("left", "right"):
            shoulder, knee, shin = (
                self._on_side(place, hand) for place in (self.shoulder_mm, self.knee_mm, self.shin_mm)
            )
            if shoulder is not None:
                found.append(_ball(f"{hand} shoulder", shoulder, _SHOULDER_MM))
            if knee is not None:
                found.append(_ball(f"{hand} knee", knee, _LEG_MM))
            if knee is not None and shin is not None:
                found.append(Capsule(name=f"{hand} shin", start_mm=knee, end_mm=shin, radius_mm=_LEG_MM))
        return tuple(found)

    def not_measured(self) -> dict[str, str]:
        """Parts of the driver that no bar can be held against, each with what is missing for it."""
        missing = {
            "helmet": _without(helmet=self.helmet_mm, helmet_radius=self.helmet_radius_mm),
            WHEEL: _without(wheel=self.wheel_mm, wheel_radius=self.wheel_radius_mm),
            "hips": _without(hip=self.hip_mm),
        }
        middle = "" if self.middle_mm is not None else "helmet, hip or eye, for the driver's middle"
        for hand in ("left", "right"):
            other = middle if hand == "right" else ""
            missing[f"{hand} shoulder"] = _without(shoulder=self.shoulder_mm) or other
            missing[f"{hand} knee"] = _without(knee=self.knee_mm) or other
            missing[f"{hand} shin"] = _without(knee=self.knee_mm, shin=self.shin_mm) or other
        return {part: why for part, why in missing.items() if why}

    @property
    def middle_mm(self) -> float | None:
        """How far left the driver's own middle lies: that of helmet, else hips, else eyes; None when unknown."""
        known = (place for place in (self.helmet_mm, self.hip_mm, self.eye_mm) if place is not None)
        return next((place[1] for place in known), None)

    def _on_side(self, place: Node | None, hand: str) -> Node | None:
        """A place of the left side, or its twin about the driver's own middle."""
        if place is None or hand == "left":
            return place
        return None if self.middle_mm is None else (place[0], 2.0 * self.middle_mm - place[1], place[2])


def padded_bodies(drivers: Iterable[Driver]) -> tuple[Capsule, ...]:
    """Everything measured of some drivers, each part larger by the padding that goes on the bars."""
    return tuple(
        replace(body, radius_mm=body.radius_mm + driver.padding_mm)
        for driver in drivers
        for body in driver.bodies()
    )


def check_driver(driver: Driver) -> None:
    """Stop on numbers that no driver has.

    Raises:
        UserError: `DRV-001`.
    """
    lengths = {"helmet radius": driver.helmet_radius_mm, "wheel radius": driver.wheel_radius_mm}
    for name, value in lengths.items():
        if value is not None and not 20.0 <= value <= 400.0:
            raise _refuse(driver, f"the {name} is {value:g} mm, outside 20 to 400 mm")
    if driver.wheel_tilt_deg is not None and not 0.0 <= driver.wheel_tilt_deg <= 90.0:
        raise _refuse(driver, f"the wheel's tilt is {driver.wheel_tilt_deg:g}°, outside 0 to 90")
    if not 0.0 <= driver.padding_mm <= 150.0:
        raise _refuse(driver, f"the padding is {driver.padding_mm:g} mm, outside 0 to 150 mm")
    for name, place in vars(driver).items():
        if isinstance(place, tuple) and not all(math.isfinite(x) and abs(x) < _FARTHEST_MM for x in place):
            raise _refuse(driver, f"{name.removesuffix('_mm')} is no place in a car")
    if not driver.name.strip() or len(driver.name) > 40 or not driver.name.isprintable():
        raise _refuse(driver, "a driver needs a name of up to 40 letters on one line")


def _refuse(driver: Driver, why: str) -> UserError:
    return UserError(
        Finding(
            code="DRV-001",
            severity=Severity.STOP,
            sentence=f"Driver {driver.name[:40]!r} cannot be: {why}.",
            todo="Correct it; lengths are in mm unless a unit is typed.",
            objects=(driver.name,),
        )
    )


def _ball(name: str, place: Node, radius_mm: float) -> Capsule:
    return Capsule(name=name, start_mm=place, end_mm=place, radius_mm=radius_mm)


def _wheel(place: Node, radius_mm: float, tilt_deg: float | None) -> list[Capsule]:
    """The rim as chords round its circle."""
    if tilt_deg is None:
        return [_ball(WHEEL, place, radius_mm)]
    tilt, turns = np.radians(tilt_deg), np.linspace(0.0, 2.0 * np.pi, _RIM_CHORDS + 1)
    across, upward = np.array([0.0, 1.0, 0.0]), np.array([np.sin(tilt), 0.0, np.cos(tilt)])
    rim = place + radius_mm * (np.outer(np.cos(turns), across) + np.outer(np.sin(turns), upward))
    return [
        Capsule(name=WHEEL, start_mm=as_node(one), end_mm=as_node(two), radius_mm=_HANDS_MM)
        for one, two in pairwise(rim)
    ]


def _without(**measured: object) -> str:
    """What of some places and sizes is missing, in words; empty when all are there."""
    return ", ".join(name.replace("_", " ") for name, value in measured.items() if value is None)
