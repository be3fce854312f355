"""Edits of who drives: each takes a cage and returns another."""

from collections.abc import Sequence
from dataclasses import fields, replace

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


def clear_driver(cage: Cage, name: str, measured: Sequence[str]) -> Cage:
    """The cage with single values of a driver as if they had never been measured.

    Args:
        cage: The cage.
        name: Who.
        measured: What to clear, as it is typed: `helmet`, `helmet-radius`, `padding`, ...

    Raises:
        UserError: `DRV-002` when there is no such driver; `DRV-004` for what is not measured of a driver.
    """
    driver = driver_of(cage, name)
    bare = Driver(name=driver.name)
    keys = {
        field.name.removesuffix("_mm").removesuffix("_deg").replace("_", "-"): field.name
        for field in fields(Driver)
        if field.name != "name"
    }
    unknown = [word for word in measured if word not in keys]
    if unknown:
        raise UserError(
            Finding(
                code="DRV-004",
                severity=Severity.STOP,
                sentence=f"'{', '.join(unknown)}' names nothing that is measured of a driver; {driver.name} stays as "
                "before.",
                todo=f"Clear one or more of: {', '.join(keys)}.",
                objects=tuple(unknown),
            )
        )
    return set_driver(cage, replace(driver, **{keys[word]: getattr(bare, keys[word]) for word in measured}))
