"""Edits of who drives: each takes a cage and returns another."""

from dataclasses import replace

from hoopwright.cage.cage import Cage
from hoopwright.cage.driver import Driver, check_driver
from hoopwright.findings import Finding, Severity, UserError


def driver_of(cage: Cage, name: str) -> Driver:
    """The driver of that name.

    Raises:
        UserError: `DRV-002` when there is none.
    """
    for driver in cage.drivers:
        if driver.name == name:
            return driver
    known = ", ".join(driver.name for driver in cage.drivers) or "none yet"
    raise UserError(
        Finding(
            code="DRV-002",
            severity=Severity.STOP,
            sentence=f"There is no driver '{name}' in the project.",
            todo=f"The drivers are: {known}.",
            objects=(name,),
        )
    )


def set_driver(cage: Cage, driver: Driver) -> Cage:
    """The cage with a driver in the place of the one of that name, or with one more.

    Raises:
        UserError: `DRV-001` for a number that no driver has.
    """
    check_driver(driver)
    if all(one.name != driver.name for one in cage.drivers):
        return replace(cage, drivers=(*cage.drivers, driver))
    drivers = tuple(driver if one.name == driver.name else one for one in cage.drivers)
    return replace(cage, drivers=drivers)


def remove_driver(cage: Cage, name: str) -> Cage:
    """The cage without a driver.

    Raises:
        UserError: `DRV-002` when there is none of that name.
    """
    gone = driver_of(cage, name)
    return replace(cage, drivers=tuple(one for one in cage.drivers if one is not gone))
