"""Drivers of a project, and the bars held against them."""

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace
from typing import Any

from hoopwright.bars import Node
from hoopwright.cage import Cage, Driver, driver_of
from hoopwright.cage import clear_driver as without_measured
from hoopwright.cage import remove_driver as without_driver
from hoopwright.cage import set_driver as with_driver
from hoopwright.cage.door_opening import with_opening
from hoopwright.cage.driver_checks import VIEWS, View
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.driver_measures import Measured, measure_drivers
from hoopwright.jobs.driver_rows import DriverLimits, driver_rows
from hoopwright.jobs.rows import CheckRow
from hoopwright.store import ProjectFolder

_MOST = 5000.0


@dataclass(frozen=True, eq=False, kw_only=True)
class DriverReport:
    """Everything that was checked of the drivers.

    Args:
        rows: One row for each check.
        measured: What lies between the drivers and the bars.
        windows_deg: Window of each view: azimuth from and to (left positive), elevation from and to.
        findings: What fails.
    """

    rows: tuple[CheckRow, ...]
    measured: Measured
    windows_deg: dict[View, tuple[float, float, float, float]]
    findings: tuple[Finding, ...]


def set_driver(folder: ProjectFolder, name: str, **measured: Any) -> Driver:
    """Add a driver, or lay newly measured places over the one of that name; None leaves what was there.

    Raises:
        UserError: `DRV-001`.
    """
    opened = folder.open()
    cage = opened.project.cage
    name = name.strip()
    known = next((driver for driver in cage.drivers if driver.name == name), Driver(name=name))
    driver = replace(known, **{key: value for key, value in measured.items() if value is not None})
    folder.save(opened, replace(opened.project, cage=with_driver(cage, driver)))
    return driver


def keep_driver(folder: ProjectFolder, driver: Driver) -> Driver:
    """Keep a driver whole, as a form holds him: what is None in it is not measured any more.

    Raises:
        UserError: `DRV-001`.
    """
    opened = folder.open()
    driver = replace(driver, name=driver.name.strip())
    folder.save(opened, replace(opened.project, cage=with_driver(opened.project.cage, driver)))
    return driver


def drivers_of(folder: ProjectFolder, name: str | None = None) -> tuple[Driver, ...]:
    """The drivers of a project, or the one of that name.

    Raises:
        UserError: `DRV-002` when there is none of that name.
    """
    cage = folder.open().project.cage
    return cage.drivers if name is None else (driver_of(cage, name.strip()),)


def clear_driver(folder: ProjectFolder, name: str, measured: Sequence[str]) -> Driver:
    """Take single measured values of a driver back, so that what needs them is not checked.

    Args:
        folder: The project.
        name: Who.
        measured: What to clear: `helmet`, `helmet-radius`, `eye`, ...

    Raises:
        UserError: `DRV-002` when there is none of that name; `DRV-004` for what is not measured of a driver.
    """
    opened = folder.open()
    name = name.strip()
    words = [word.strip().lower().replace("_", "-").removeprefix("--") for word in measured]
    cage = without_measured(opened.project.cage, name, words)
    folder.save(opened, replace(opened.project, cage=cage))
    return driver_of(cage, name)


def remove_driver(folder: ProjectFolder, name: str) -> None:
    """Take a driver out.

    Raises:
        UserError: `DRV-002` when there is none of that name.
    """
    opened = folder.open()
    folder.save(opened, replace(opened.project, cage=without_driver(opened.project.cage, name.strip())))


def check_drivers(
    folder: ProjectFolder, limits: DriverLimits, opening_mm: Sequence[Node] = ()
) -> DriverReport:
    """All checks of all drivers of a project, with the bars as they will be bent; missing data ends as not checked.

    Args:
        folder: The project.
        limits: What the drivers are held to.
        opening_mm: Corners of a door opening in order, in the place of the project's landmarks.

    Raises:
        UserError: `DRV-003` for a limit that cannot be.
    """
    numbers = [value for value in vars(limits).values() if value is not None]
    if not all(math.isfinite(value) and 0.0 <= value <= _MOST for value in numbers):
        raise UserError(
            Finding(
                code="DRV-003",
                severity=Severity.STOP,
                sentence="A limit for the driver is negative, not finite or too large.",
                todo="Type limits as lengths and angles, such as 50 and 20.",
            )
        )
    cage = as_bent(folder, folder.open().project.cage)
    return _report(with_opening(cage, opening_mm) if opening_mm else cage, limits)


def _report(cage: Cage, limits: DriverLimits) -> DriverReport:
    measured = measure_drivers(cage)
    rows, findings = driver_rows(cage, measured, limits)
    return DriverReport(
        rows=tuple(rows), measured=measured, windows_deg=dict(VIEWS), findings=tuple(findings)
    )
