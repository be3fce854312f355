"""Drivers held against the bars: one row for each check, and a finding for each that fails."""

from collections.abc import Iterator
from dataclasses import dataclass

from hoopwright.bars import Bar
from hoopwright.cage import Cage, Driver, Role, bars_of
from hoopwright.cage.door_opening import opening_corners, opening_left
from hoopwright.cage.driver_checks import (
    VIEWS,
    HelmetLine,
    HiddenView,
    RoomToBar,
    View,
    belt_angle_deg,
    helmet_line,
    nearest_bars,
)
from hoopwright.findings import Finding, Verdict
from hoopwright.jobs.driver_measures import Measured
from hoopwright.jobs.rows import CheckRow
from hoopwright.units import shown

_FRONT = (Role.SCREEN_BAR, Role.FRONT_HOOP)
_HELMET = "helmet under a straight edge over the bars"
_EXIT = "door opening left: greatest circle"
_ROUNDING = 1e-9
Judged = Iterator[tuple[CheckRow, Finding | None]]


@dataclass(frozen=True, kw_only=True)
class DriverLimits:
    """What a driver is held to; a rule book or the person sets them. The defaults are common practice, no source.

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


def driver_rows(cage: Cage, measured: Measured, limits: DriverLimits) -> tuple[list[CheckRow], list[Finding]]:
    """One row for each check of each driver, and findings for what fails; without drivers nothing is checked."""
    bars = measured.bars
    judged: list[tuple[CheckRow, Finding | None]] = []
    for driver in cage.drivers or (Driver(name="driver"),):
        judged += _helmet(cage, bars, driver, limits)
        judged += _belt(driver, limits)
        judged += _bodies(measured, driver, limits)
        for view in VIEWS:
            judged += _view(measured, driver, limits, view)
    judged += _opening(cage, bars, limits)
    judged += [
        (_unknown(name, "driver to this bar", "the bar cannot be bent"), None)
        for name in bars_of(cage)
        if name not in bars
    ]
    return [row for row, _ in judged], [finding for _, finding in judged if finding is not None]


def _helmet(cage: Cage, bars: dict[str, Bar], driver: Driver, limits: DriverLimits) -> Judged:
    missing = driver.not_measured().get("helmet")
    rears, fronts = _of_roles(cage, bars, (Role.MAIN_HOOP,)), _of_roles(cage, bars, _FRONT)
    if missing or not rears or not fronts:
        why = f"not measured: {missing}" if missing else "needs a main hoop, and a screen bar or front hoop"
        yield _unknown(driver.name, _HELMET, why), None
        return
    lines = [
        (line, rear, front)
        for rear in rears
        for front in fronts
        if (line := helmet_line(driver, rear, front)) is not None
    ]
    if not lines:
        why = "no hoop and bar further forward both pass across above the helmet"
        yield _unknown(driver.name, _HELMET, why), None
        return
    line, rear, front = min(lines, key=lambda one: one[0].room_mm)
    row = CheckRow(
        about=driver.name,
        check=_HELMET,
        verdict=_verdict(line.room_mm >= limits.helmet_room_mm - _ROUNDING),
        measured=line.room_mm,
        limit=limits.helmet_room_mm,
        unit="mm",
        where=f"{rear.name} and {front.name}{'' if line.between else '; the helmet is not between them'}",
    )
    yield row, _too_low(driver, line, rear.name, front.name, limits) if _fails(row) else None


def _too_low(driver: Driver, line: HelmetLine, rear: str, front: str, limits: DriverLimits) -> Finding:
    lower_mm = (limits.helmet_room_mm - line.room_mm) * line.drop_ratio
    under = f"is {shown(line.room_mm, 1)} mm under"
    at = under if line.room_mm >= 0.0 else f"stands {shown(-line.room_mm, 1)} mm through"
    return Finding(
        code="DRV-010",
        sentence=f"Driver {driver.name}: the helmet {at} a straight edge over {rear} and {front}, limit "
        f"{limits.helmet_room_mm:g} mm.",
        todo=f"Lower the seat by {shown(lower_mm, 0)} mm or raise the bars. Padding counts too; a helmet moves far in "
        "a crash.",
        objects=(driver.name, rear, front),
        point_mm=driver.helmet_mm,
        measured=line.room_mm,
        limit=limits.helmet_room_mm,
        unit="mm",
    )


def _belt(driver: Driver, limits: DriverLimits) -> Judged:
    angle = belt_angle_deg(driver)
    if angle is None:
        places = {"shoulder": driver.shoulder_mm, "belt guide": driver.guide_mm}
        missing = ", ".join(name for name, place in places.items() if place is None)
        why = f"not measured: {missing}" if missing else "shoulder and guide are one place"
        yield _unknown(driver.name, "shoulder belt", why), None
        return
    above = angle < 0.0
    way = "above" if above else "below"
    measured, limit = (-angle, limits.belt_above_deg) if above else (angle, limits.belt_below_deg)
    row = CheckRow(
        about=driver.name,
        check=f"shoulder belt {way} horizontal",
        verdict=_verdict(measured <= limit + _ROUNDING),
        measured=measured,
        limit=limit,
        unit="deg",
        where="the guide lies before the shoulder"
        if measured > 90.0
        else "from shoulder to guide, in side view",
    )
    yield row, _too_steep(driver, way, measured, limit) if _fails(row) else None


def _too_steep(driver: Driver, way: str, measured_deg: float, limit_deg: float) -> Finding:
    allowed = f"limit {limit_deg:g}°" if limit_deg > 0.0 else f"and may never go {way}"
    return Finding(
        code="DRV-011",
        sentence=f"Driver {driver.name}: the shoulder belt goes {shown(measured_deg, 1)}° {way} horizontal to "
        f"its guide, {allowed}.",
        todo="Move the harness bar or guide; ask the belt maker's instructions and the rule book.",
        objects=(driver.name,),
        point_mm=driver.guide_mm,
        measured=measured_deg,
        limit=limit_deg,
        unit="deg",
    )


def _bodies(measured: Measured, driver: Driver, limits: DriverLimits) -> Judged:
    rooms = measured.rooms.get(driver.name, ())
    if not rooms:
        why = "no bar to hold against" if driver.bodies() else "nothing of the driver's body was measured"
        yield _unknown(driver.name, "room to the bars", why), None
        return
    for one in nearest_bars(rooms):
        row = CheckRow(
            about=driver.name,
            check=f"{one.part} to bars with padding",
            verdict=_verdict(one.room_mm >= limits.bar_room_mm - _ROUNDING),
            measured=one.room_mm,
            limit=limits.bar_room_mm,
            unit="mm",
            where=f"{one.bar} at {', '.join(f'{shown(x, 0)}' for x in one.place_mm)} mm",
        )
        yield row, _too_near(driver, one, limits) if _fails(row) else None
    for part, missing in driver.not_measured().items():
        yield _unknown(driver.name, f"{part} to bars with padding", f"not measured: {missing}"), None


def _too_near(driver: Driver, one: RoomToBar, limits: DriverLimits) -> Finding:
    within = f"comes within {shown(one.room_mm, 1)} mm of"
    comes = within if one.room_mm >= 0.0 else f"lies {shown(-one.room_mm, 1)} mm inside"
    return Finding(
        code="DRV-012",
        sentence=f"Driver {driver.name}: bar {one.bar} with {driver.padding_mm:g} mm of padding {comes} the "
        f"{one.part}, limit {limits.bar_room_mm:g} mm.",
        todo="Move the bar or the seat. Limbs move far in a crash.",
        objects=(driver.name, one.bar),
        point_mm=one.place_mm,
        measured=one.room_mm,
        limit=limits.bar_room_mm,
        unit="mm",
    )


def _view(measured: Measured, driver: Driver, limits: DriverLimits, view: View) -> Judged:
    check = f"share of the {view} view hidden by one bar"
    hidden = measured.views.get(driver.name, {}).get(view)
    if hidden is None or not measured.bars:
        why = "not measured: eye" if driver.eye_mm is None else "no bar to hold against"
        yield _unknown(driver.name, check, why), None
        return
    worst = max(hidden.share_by_bar, key=lambda name: hidden.share_by_bar[name])
    percent = 100.0 * hidden.share_by_bar[worst]
    limit = None if limits.hidden_share is None else 100.0 * limits.hidden_share
    row = CheckRow(
        about=driver.name,
        check=check,
        verdict=Verdict.NOT_CHECKED if limit is None else _verdict(percent <= limit + _ROUNDING),
        measured=percent,
        limit=limit,
        unit="%",
        where=_hidden_words(hidden, worst, view) + ("; no limit was typed" if limit is None else ""),
    )
    yield row, _hides(driver, view, worst, percent, limit) if _fails(row) and limit is not None else None


def _hidden_words(hidden: HiddenView, worst: str, view: View) -> str:
    west, east, low, high = VIEWS[view]
    together = f"all bars {shown(100.0 * hidden.together_share, 1)} %"
    return f"{worst}; {together} of {west:g} to {east:g}° (left positive) by {low:g} to {high:g}°"


def _hides(driver: Driver, view: View, worst: str, percent: float, limit: float) -> Finding:
    return Finding(
        code="DRV-013",
        sentence=f"Driver {driver.name}: bar {worst} hides {shown(percent, 1)} % of the {view} view, "
        f"limit {limit:g} %.",
        todo="Move the bar toward a pillar, or away from the eye; sit in it and look before welding.",
        objects=(driver.name, worst),
        point_mm=driver.eye_mm,
        measured=percent,
        limit=limit,
        unit="%",
    )


def _opening(cage: Cage, bars: dict[str, Bar], limits: DriverLimits) -> Judged:
    corners = opening_corners(cage.landmarks)
    if corners is None or not bars:
        needed = "needs landmarks door_opening_1, 2, 3, ... round the opening"
        yield _unknown("exit", _EXIT, needed if corners is None else "no bar to hold against"), None
        return
    padding_mm = max((driver.padding_mm for driver in cage.drivers), default=0.0)
    left = opening_left(corners, bars, padding_mm)
    if left is None:
        yield (
            _unknown("exit", _EXIT, "the door_opening landmarks are no opening on one side of the car"),
            None,
        )
        return
    across = f"crossed by {', '.join(left.crossed_by)}" if left.crossed_by else "no bar crosses it"
    free = f"{shown(100 * left.free_share, 0)} % of the opening is free"
    where = f"{free}, {across}; try it with the real driver, belts on"
    limit = limits.circle_mm
    row = CheckRow(
        about="exit",
        check=_EXIT,
        verdict=Verdict.NOT_CHECKED if limit is None else _verdict(left.circle_mm >= limit - _ROUNDING),
        measured=left.circle_mm,
        limit=limit,
        unit="mm",
        where=where + ("; no limit was typed" if limit is None else ""),
    )
    finding = Finding(
        code="DRV-014",
        sentence=f"A circle of {shown(left.circle_mm, 0)} mm is the greatest that passes the door opening between the "
        f"bars, limit {limit or 0.0:g} mm.",
        todo="Lower or bow out the bars in the opening, and try the exit with the real driver.",
        objects=left.crossed_by,
        point_mm=(left.circle_at_mm[0], float(corners[:, 1].mean()), left.circle_at_mm[1]),
        measured=left.circle_mm,
        limit=limit,
        unit="mm",
    )
    yield row, finding if _fails(row) else None


def _of_roles(cage: Cage, bars: dict[str, Bar], roles: tuple[Role, ...]) -> list[Bar]:
    found = (member for member in cage.members if member.role in roles)
    return [bars[member.member_id] for member in found if member.member_id in bars]


def _verdict(holds: bool) -> Verdict:
    return Verdict.PASS if holds else Verdict.FAIL


def _fails(row: CheckRow) -> bool:
    return row.verdict is Verdict.FAIL


def _unknown(about: str, check: str, why: str) -> CheckRow:
    return CheckRow(about=about, check=check, verdict=Verdict.NOT_CHECKED, where=why)
