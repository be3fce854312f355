"""Drivers of a project, and the bars held against them."""

from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Bar
from hoopwright.cage import Cage, Driver, Role, bars_of, check_driver
from hoopwright.cage.driver_checks import (
    VIEWS,
    belt_angle_deg,
    helmet_line,
    hidden_shares,
    nearest_bars,
    opening_left,
)
from hoopwright.findings import Finding, Severity, UserError, Verdict
from hoopwright.jobs.rows import CheckRow
from hoopwright.store import ProjectFolder

_FRONT = (Role.SCREEN_BAR, Role.FRONT_HOOP)
_OPENING = "door_opening_"


@dataclass(frozen=True, kw_only=True)
class DriverLimits:
    """What a driver is held to; a rule book or the person sets them.

    Args:
        helmet_room_mm: Room of the helmet under a straight edge over the bars.
        bar_room_mm: Room from a bar's padding to any part of the driver.
        belt_below_deg: How far the shoulder belt may fall toward its guide.
        belt_above_deg: How far it may rise toward it.
        hidden_share: Greatest share of a view that one bar may hide; None where nobody set one.
        circle_mm: Smallest circle that must pass through the door opening; None where nobody set one.
    """

    helmet_room_mm: float = 50.0
    bar_room_mm: float = 0.0
    belt_below_deg: float = 20.0
    belt_above_deg: float = 0.0
    hidden_share: float | None = None
    circle_mm: float | None = None


def set_driver(folder: ProjectFolder, name: str, **measured: object) -> Driver:
    """Add a driver, or lay newly measured places over the one of that name; None leaves what was there.

    Raises:
        UserError: `DRV-001`.
    """
    opened = folder.open()
    cage = opened.project.cage
    known = next((driver for driver in cage.drivers if driver.name == name), Driver(name=name))
    driver = replace(known, **{key: value for key, value in measured.items() if value is not None})  # type: ignore[arg-type]
    check_driver(driver)
    others = tuple(one for one in cage.drivers if one.name != name)
    folder.save(opened, replace(opened.project, cage=replace(cage, drivers=(*others, driver))))
    return driver


def remove_driver(folder: ProjectFolder, name: str) -> None:
    """Take a driver out.

    Raises:
        UserError: `DRV-002` when there is none of that name.
    """
    opened = folder.open()
    cage = opened.project.cage
    left = tuple(driver for driver in cage.drivers if driver.name != name)
    if len(left) == len(cage.drivers):
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
    folder.save(opened, replace(opened.project, cage=replace(cage, drivers=left)))


def check_drivers(
    folder: ProjectFolder, limits: DriverLimits
) -> tuple[tuple[CheckRow, ...], tuple[Finding, ...]]:
    """All checks of all drivers of a project; missing data ends as not checked.

    Raises:
        UserError: `DRV-003` for a limit that cannot be.
    """
    numbers = [value for value in vars(limits).values() if value is not None]
    if not all(np.isfinite(numbers)) or min(numbers) < 0.0 or max(numbers) > 5000.0:
        raise UserError(
            Finding(
                code="DRV-003",
                severity=Severity.STOP,
                sentence="A limit for the driver is negative, not finite or too large.",
                todo="Type limits as lengths and angles, such as 50 and 20.",
            )
        )
    return driver_rows(folder.open().project.cage, limits)


def driver_rows(cage: Cage, limits: DriverLimits) -> tuple[tuple[CheckRow, ...], tuple[Finding, ...]]:
    """One row for each check of each driver, and findings for what fails."""
    bars = bars_of(cage)
    drivers = cage.drivers or (Driver(name="driver"),)
    rows: list[CheckRow] = []
    findings: list[Finding] = []
    for driver in drivers:
        _helmet(cage, bars, driver, limits, rows, findings)
        _belt(driver, limits, rows, findings)
        _bodies(bars, driver, limits, rows, findings)
        _views(bars, driver, limits, rows)
    _openings(cage, bars, limits, rows)
    return tuple(rows), tuple(findings)


def _helmet(
    cage: Cage,
    bars: dict[str, Bar],
    driver: Driver,
    limits: DriverLimits,
    rows: list[CheckRow],
    findings: list[Finding],
) -> None:
    check = "helmet under a straight edge over the bars"
    rear = _first(cage, bars, (Role.MAIN_HOOP,))
    front = _first(cage, bars, _FRONT)
    line = None if rear is None or front is None else helmet_line(driver, rear, front)
    if line is None:
        missing = "no helmet measured" if driver.helmet_mm is None or driver.helmet_radius_mm is None else ""
        missing = missing or "needs a main hoop, and a screen bar or front hoop before it"
        rows.append(_unknown(driver.name, check, missing))
        return
    passed = line.room_mm >= limits.helmet_room_mm
    rows.append(_judged(driver.name, check, passed, line.room_mm, limits.helmet_room_mm, "mm"))
    if not passed:
        lower = (limits.helmet_room_mm - line.room_mm) * line.drop_ratio
        findings.append(
            Finding(
                code="DRV-010",
                sentence=f"Driver {driver.name}: the helmet is {line.room_mm:.1f} mm under a straight edge over "
                f"{rear.name if rear else ''} and {front.name if front else ''}, limit {limits.helmet_room_mm:g} mm.",
                todo=f"Lower the seat by {lower:.0f} mm or raise the bars. Padding counts too; a helmet moves far in a "
                "crash.",
                objects=(driver.name,),
                point_mm=driver.helmet_mm,
                measured=line.room_mm,
                limit=limits.helmet_room_mm,
                unit="mm",
            )
        )


def _belt(driver: Driver, limits: DriverLimits, rows: list[CheckRow], findings: list[Finding]) -> None:
    angle = belt_angle_deg(driver)
    if angle is None:
        rows.append(_unknown(driver.name, "shoulder belt", "needs shoulder and belt guide"))
        return
    above = angle < 0.0
    measured, limit = (-angle, limits.belt_above_deg) if above else (angle, limits.belt_below_deg)
    way = "above" if above else "below"
    passed = measured <= limit + 1e-9
    rows.append(_judged(driver.name, f"shoulder belt {way} horizontal", passed, measured, limit, "deg"))
    if not passed:
        findings.append(
            Finding(
                code="DRV-011",
                sentence=f"Driver {driver.name}: the shoulder belt goes {measured:.1f}° {way} horizontal to its guide, "
                f"limit {limit:g}°.",
                todo="Move the harness bar or guide; ask the belt maker's instructions and the rule book.",
                objects=(driver.name,),
                point_mm=driver.guide_mm,
                measured=measured,
                limit=limit,
                unit="deg",
            )
        )


def _bodies(
    bars: dict[str, Bar],
    driver: Driver,
    limits: DriverLimits,
    rows: list[CheckRow],
    findings: list[Finding],
) -> None:
    near = nearest_bars(driver, bars)
    if not near:
        why = "no bars yet" if driver.bodies() else "nothing of the driver was measured"
        rows.append(_unknown(driver.name, "room to the bars", why))
    for one in near:
        passed = one.room_mm >= limits.bar_room_mm
        rows.append(
            CheckRow(
                about=driver.name,
                check=f"{one.part} to bars with padding",
                verdict=Verdict.PASS if passed else Verdict.FAIL,
                measured=one.room_mm,
                limit=limits.bar_room_mm,
                unit="mm",
                where=f"{one.bar} at {', '.join(f'{x:.0f}' for x in one.place_mm)}",
            )
        )
        if not passed:
            findings.append(
                Finding(
                    code="DRV-012",
                    sentence=f"Driver {driver.name}: bar {one.bar} with {driver.padding_mm:g} mm of padding comes "
                    f"within {one.room_mm:.1f} mm of the {one.part}, limit {limits.bar_room_mm:g} mm.",
                    todo="Move the bar or the seat. Limbs move far in a crash.",
                    objects=(driver.name, one.bar),
                    point_mm=one.place_mm,
                    measured=one.room_mm,
                    limit=limits.bar_room_mm,
                    unit="mm",
                )
            )


def _views(bars: dict[str, Bar], driver: Driver, limits: DriverLimits, rows: list[CheckRow]) -> None:
    for view in VIEWS:
        check = f"share of the {view} view hidden by one bar"
        shares = hidden_shares(driver, bars, view)
        if not shares:
            rows.append(_unknown(driver.name, check, "needs an eye point and bars"))
            continue
        worst = max(shares, key=lambda name: shares[name])
        percent = 100.0 * shares[worst]
        if limits.hidden_share is None:
            verdict, limit = Verdict.NOT_CHECKED, None
            where = f"{worst}; no limit was typed"
        else:
            limit = 100.0 * limits.hidden_share
            verdict, where = (Verdict.PASS if percent <= limit else Verdict.FAIL), worst
        rows.append(
            CheckRow(
                about=driver.name, check=check, verdict=verdict, measured=percent, limit=limit, unit="%",
                where=where,
            )
        )  # fmt: skip


def _openings(cage: Cage, bars: dict[str, Bar], limits: DriverLimits, rows: list[CheckRow]) -> None:
    check = "door opening left: greatest circle"
    names = sorted(name for name in cage.landmarks if name.startswith(_OPENING))
    if len(names) < 3:
        rows.append(_unknown("exit", check, f"needs landmarks {_OPENING}1, 2, 3, ... round the opening"))
        return
    left = opening_left(np.array([cage.landmarks[name] for name in names]), bars)
    where = f"{100 * left.free_share:.0f} % of the opening is free; try it with the real driver, belts on"
    if limits.circle_mm is None:
        rows.append(
            CheckRow(
                about="exit", check=check, verdict=Verdict.NOT_CHECKED, measured=left.circle_mm, unit="mm",
                where=f"{where}; no limit was typed",
            )
        )  # fmt: skip
        return
    rows.append(
        CheckRow(
            about="exit",
            check=check,
            verdict=Verdict.PASS if left.circle_mm >= limits.circle_mm else Verdict.FAIL,
            measured=left.circle_mm,
            limit=limits.circle_mm,
            unit="mm",
            where=where,
        )
    )


def _first(cage: Cage, bars: dict[str, Bar], roles: tuple[Role, ...]) -> Bar | None:
    return next((bars[member.member_id] for member in cage.members if member.role in roles), None)


def _unknown(about: str, check: str, why: str) -> CheckRow:
    return CheckRow(about=about, check=check, verdict=Verdict.NOT_CHECKED, where=why)


def _judged(about: str, check: str, passed: bool, measured: float, limit: float, unit: str) -> CheckRow:
    verdict = Verdict.PASS if passed else Verdict.FAIL
    return CheckRow(about=about, check=check, verdict=verdict, measured=measured, limit=limit, unit=unit)
