"""Drivers and door openings as a rule book looks at them, and what is measured between drivers and hoops."""

import math
from collections.abc import Iterator

import numpy as np

from hoopwright.bars import Bar, Node
from hoopwright.cage import Driver, Role, Side, side_of
from hoopwright.cage.door_opening import opening_corners, opening_left
from hoopwright.cage.driver_checks import HelmetLine, belt_angle_deg, helmet_line, rooms_to_bars
from hoopwright.geometry import Points
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.driver_facts import MIRRORED
from hoopwright.rules.facts import DriverFacts, HelmetRoom, Measured, OpeningFacts

_MIRROR = np.array([1.0, -1.0, 1.0])
_FRONT = (Role.SCREEN_BAR, Role.FRONT_HOOP)


def driver_facts(scene: Scene) -> tuple[DriverFacts, ...] | None:
    """Every driver as measured; None without any, since nobody drives no car."""
    return tuple(_driver(scene, one) for one in scene.cage.drivers) or None


def _driver(scene: Scene, driver: Driver) -> DriverFacts:
    line, rear, front = _line(scene, driver)
    has_helmet = driver.helmet_mm is not None and driver.helmet_radius_mm is not None
    rooms = None
    if has_helmet and scene.bars:
        rooms = tuple(
            HelmetRoom(bar_id=one.bar, room_mm=one.room_mm + driver.padding_mm, place_mm=one.place_mm)
            for one in rooms_to_bars(driver, scene.bars)
            if one.part == "helmet"
        )
    return DriverFacts(
        driver_id=driver.name,
        helmet_line_mm=None if line is None else line.room_mm,
        line_bars=(rear, front) if line is not None else (),
        seat_drop_ratio=1.0 if line is None else line.drop_ratio,
        brace_line_mm=_brace_line(scene, driver),
        level_mm=_level(scene, driver),
        belt_deg=belt_angle_deg(driver),
        rooms=rooms,
        exit_s=scene.measured(driver.name, "exit time"),
        helmet_place_mm=driver.helmet_mm,
        belt_place_mm=driver.shoulder_mm,
    )


def _line(scene: Scene, driver: Driver) -> tuple[HelmetLine | None, str, str]:
    """The straight edge with the least room, and the two bars that it lies on."""
    found = [
        (line, rear.member_id, front.member_id)
        for rear in scene.of_role(Role.MAIN_HOOP)
        for front in scene.of_role(*_FRONT)
        if (line := helmet_line(driver, scene.bars[rear.member_id], scene.bars[front.member_id])) is not None
    ]
    return min(found, key=lambda one: one[0].room_mm) if found else (None, "", "")


def _brace_line(scene: Scene, driver: Driver) -> float | None:
    """Room of the helmet under the line from the hoop's top, on its skin, to the lower end of a backstay; side view."""
    if driver.helmet_mm is None or driver.helmet_radius_mm is None:
        return None
    rooms = []
    for end in scene.meetings:
        if scene.role(end.bar_id) is not Role.BACKSTAY or scene.role(end.on) is not Role.MAIN_HOOP:
            continue
        points = scene.points(end.on)
        top = points[int(np.argmax(points[:, 2]))] + np.array([0.0, 0.0, scene.bars[end.on].tube.od_mm / 2.0])
        low = min(scene.bars[end.bar_id].nodes_mm, key=lambda node: node[2])
        along = np.array([low[0] - top[0], low[2] - top[2]])
        to_helmet = np.array([driver.helmet_mm[0] - top[0], driver.helmet_mm[2] - top[2]])
        length = float(np.linalg.norm(along))
        if along[0] < 0.0 and length > 1.0:
            # ahead of and below a line that falls to the rear is more room
            off = float(along[0] * to_helmet[1] - along[1] * to_helmet[0]) / length
            rooms.append(off - driver.helmet_radius_mm)
    return min(rooms) if rooms else None


def _level(scene: Scene, driver: Driver) -> float | None:
    """How far the top of the helmet lies below the top of the main hoop's tube."""
    hoops = scene.of_role(Role.MAIN_HOOP)
    if not hoops or driver.helmet_mm is None or driver.helmet_radius_mm is None:
        return None
    top = max(scene.top(hoop.member_id) + hoop.tube.od_mm / 2.0 for hoop in hoops)
    return top - driver.helmet_mm[2] - driver.helmet_radius_mm


def driver_measures(scene: Scene) -> Iterator[Measured]:
    """Named distances between drivers and hoops; those whose places were not measured are left out."""
    for driver in scene.cage.drivers:
        level = _level(scene, driver)
        for hoop in scene.of_role(Role.MAIN_HOOP):
            if level is not None:
                yield _of(scene, "hoop above helmet", hoop.member_id, level)
            if driver.helmet_mm is not None and driver.helmet_radius_mm is not None:
                away = scene.paths[hoop.member_id].distance_to_mm(driver.helmet_mm)
                yield _of(
                    scene,
                    "helmet to hoop",
                    hoop.member_id,
                    away - driver.helmet_radius_mm - hoop.tube.od_mm / 2.0,
                )
        if driver.shoulder_mm is not None:
            for bar in scene.of_role(Role.HARNESS_BAR):
                points = scene.points(bar.member_id)
                near = points[int(np.argmin(np.abs(points[:, 1] - driver.shoulder_mm[1])))]
                yield _of(scene, "bar below shoulders", bar.member_id, driver.shoulder_mm[2] - float(near[2]))
        if driver.wheel_mm is not None:
            yield from _wheel(scene, driver, driver.wheel_mm)


def _wheel(scene: Scene, driver: Driver, wheel_mm: Node) -> Iterator[Measured]:
    for hoop in scene.of_role(Role.FRONT_HOOP):
        points = scene.points(hoop.member_id)
        over = points[points[:, 2] > wheel_mm[2]]
        if len(over):
            near = over[int(np.argmin(np.abs(over[:, 1] - wheel_mm[1])))]
            yield _of(scene, "hoop to steering wheel", hoop.member_id, abs(float(near[0]) - wheel_mm[0]))
        if driver.wheel_radius_mm is not None and driver.wheel_tilt_deg is not None:
            rim = wheel_mm[2] + driver.wheel_radius_mm * math.cos(math.radians(driver.wheel_tilt_deg))
            top = scene.top(hoop.member_id) + hoop.tube.od_mm / 2.0
            yield _of(scene, "hoop above steering wheel", hoop.member_id, top - rim)


def opening_facts(scene: Scene) -> tuple[OpeningFacts, ...] | None:
    """What the bars leave of the door openings; None without corners as landmarks.

    Corners are marked on one side; those of the other are taken as their mirror images.
    """
    corners = opening_corners(scene.cage.landmarks)
    if corners is None or not scene.bars:
        return None
    other = _opening(scene, corners * _MIRROR, is_mirrored=True)
    found = [one for one in (_opening(scene, corners), other) if one is not None]
    return tuple(sorted(found, key=lambda one: one.side)) or None


def _opening(scene: Scene, corners: Points, *, is_mirrored: bool = False) -> OpeningFacts | None:
    padding = max((driver.padding_mm for driver in scene.cage.drivers), default=0.0)
    left = opening_left(corners, scene.bars, padding)
    if left is None:
        return None
    middle = float(corners[:, 1].mean())
    return OpeningFacts(
        side=_side_of(corners),
        circle_mm=left.circle_mm,
        free_ratio=left.free_share,
        crossed_by=tuple(scene.role(name) for name in left.crossed_by),
        is_mirrored=is_mirrored,
        place_mm=(left.circle_at_mm[0], middle, left.circle_at_mm[1]),
    )


def _side_of(corners: Points) -> Side:
    return "L" if float(corners[:, 1].mean()) > 0.0 else "R"


def opening_measures(scene: Scene) -> Iterator[Measured]:
    """How high each door bar crosses the opening on its side, as a share of the opening's height.

    The opening of the side without corners is taken as the mirror image of the other.
    """
    name = "height in door opening"
    corners = opening_corners(scene.cage.landmarks)
    for member in scene.of_role(Role.DOOR_BAR):
        bar = scene.bars[member.member_id]
        share = None if corners is None else _height_share(scene, bar, corners)
        missing = (
            "" if share is not None else f"give the corners of the door opening on the side of {bar.name}"
        )
        yield Measured(
            name=name, about=bar.name, role=member.role, measured=share, missing=missing,
            note="" if corners is None or side_of(bar) == _side_of(corners) else MIRRORED,
            place_mm=scene.middle(bar.name),
        )  # fmt: skip


def _height_share(scene: Scene, bar: Bar, corners: Points) -> float | None:
    if not side_of(bar) or len(set(np.sign(corners[:, 1]))) > 1:
        return None
    points = scene.points(bar.name)
    within = (points[:, 0] >= corners[:, 0].min()) & (points[:, 0] <= corners[:, 0].max())
    low, high = float(corners[:, 2].min()), float(corners[:, 2].max())
    if not within.any() or high - low < 1.0:
        return None
    return (float(points[within, 2].max()) - low) / (high - low)


def _of(scene: Scene, name: str, bar_id: str, distance_mm: float) -> Measured:
    return Measured(
        name=name, about=bar_id, role=scene.role(bar_id), measured=distance_mm, place_mm=scene.middle(bar_id)
    )
