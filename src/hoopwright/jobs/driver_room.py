"""The room of a cage's drivers, which bars keep clear of."""

from dataclasses import replace

from hoopwright.cage import Cage
from hoopwright.geometry.capsules import Capsule


def drivers_room(cage: Cage) -> tuple[Capsule, ...]:
    """Everything measured of the drivers, with the padding that goes on the bar."""
    return tuple(
        replace(body, radius_mm=body.radius_mm + driver.padding_mm)
        for driver in cage.drivers
        for body in driver.bodies()
    )
