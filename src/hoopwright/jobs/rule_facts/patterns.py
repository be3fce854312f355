"""What bars together form: crosses, Vs and parallel bars on the hoop, the roof and the doors, and the layout.

The names are those of `rules.kinds.pattern.PATTERNS`.
"""

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

import numpy as np

from hoopwright.bars import Node
from hoopwright.cage import Member, Role, Side, side_of
from hoopwright.geometry import Vector, angle_between_deg
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.rules.facts import Measured, Pattern

_MEET_MM = 5.0
_GOES_ON_DEG = 5.0
_APEX_MM = 300.0
_INNER = (0.05, 0.95)
_DOWN, _REAR = np.array([0.0, 0.0, -1.0]), np.array([-1.0, 0.0, 0.0])


@dataclass(frozen=True, kw_only=True)
class Strut:
    """A bar, or two that lie in one line on both sides of a third that they end on, as one.

    Args:
        bars: Their names.
        ends_mm: Both far ends.
        headers: The bars that those land on; empty where one lands on none.
        od_mm: Largest diameter.
    """

    bars: tuple[str, ...]
    ends_mm: tuple[Node, Node]
    headers: tuple[str, str]
    od_mm: float


def patterns_of(scene: Scene) -> tuple[Pattern, ...]:
    """What the bars form at each place: one pattern for the hoop, the roof, each door and the layout.

    A V has its point downward on the hoop, and to the rear on the roof, as seen from above with the nose up.
    """
    hoop = struts_of(scene, scene.of_role(Role.HOOP_DIAGONAL))
    roof = struts_of(scene, scene.of_role(Role.ROOF_BAR))
    found = [_pattern("main hoop", hoop, _DOWN), _pattern("roof", roof, _REAR)]
    sides: tuple[Side, ...] = ("L", "R")
    for side in sides:
        doors = [one for one in scene.of_role(Role.DOOR_BAR) if side_of(scene.bars[one.member_id]) == side]
        found.append(replace(_pattern("door", struts_of(scene, doors), None), side=side))
    return (*found, Pattern(place="layout", name=_layout(scene)))


def apex_gaps(scene: Scene) -> Iterator[Measured]:
    """Between the ends of two bars that form a V, along the bar that both end on."""
    for role, apex in ((Role.ROOF_BAR, _REAR), (Role.HOOP_DIAGONAL, _DOWN)):
        for one, other in itertools.combinations(struts_of(scene, scene.of_role(role)), 2):
            for way in (apex, -apex):
                found = _apex(one, other, way)
                if found is None:
                    continue
                header, here, there = found
                apart = abs(scene.along(header, there) - scene.along(header, here))
                yield Measured(
                    name="apex gap",
                    about=" and ".join((*one.bars, *other.bars)),
                    role=role,
                    measured=apart,
                    other=math.dist(here, there),
                    place_mm=here,
                )


def struts_of(scene: Scene, members: Sequence[Member]) -> list[Strut]:
    """Bars as struts: two that go on in one line on both sides of the bar that they end on are one."""
    struts = [_strut(scene, one.member_id) for one in members]
    for one, other in itertools.combinations(list(struts), 2):
        joined = _joined(one, other)
        if joined is not None and one in struts and other in struts:
            struts.remove(one)
            struts[struts.index(other)] = joined
    return struts


def _strut(scene: Scene, name: str) -> Strut:
    member, nodes = scene.cage.member(name), scene.bars[name].nodes_mm
    headers = (member.end_a.on or "", member.end_b.on or "")
    return Strut(bars=(name,), ends_mm=(nodes[0], nodes[-1]), headers=headers, od_mm=member.tube.od_mm)


def _joined(one: Strut, other: Strut) -> Strut | None:
    for i, j in itertools.product((0, 1), (0, 1)):
        at, there = np.array(one.ends_mm[i]), np.array(other.ends_mm[j])
        far, far_other = np.array(one.ends_mm[1 - i]), np.array(other.ends_mm[1 - j])
        same_bar = one.headers[i] and one.headers[i] == other.headers[j]
        if same_bar and np.linalg.norm(at - there) <= _MEET_MM and _in_line(at - far, far_other - there):
            return Strut(
                bars=(*one.bars, *other.bars),
                ends_mm=(one.ends_mm[1 - i], other.ends_mm[1 - j]),
                headers=(one.headers[1 - i], other.headers[1 - j]),
                od_mm=max(one.od_mm, other.od_mm),
            )
    return None


def _in_line(first: Vector, second: Vector) -> bool:
    return angle_between_deg(first, second) <= _GOES_ON_DEG


def _pattern(place: str, struts: list[Strut], point: Vector | None) -> Pattern:
    """What the struts of one place form; `point` is where a V has its point, None where none is looked for."""
    name = {0: "none", 1: "one diagonal" if point is not None else "other"}.get(len(struts), "other")
    if len(struts) == 2:
        name = _of_two(struts[0], struts[1], point)
    elif (
        point is None
        and len(struts) > 2
        and not any(_cross(*pair) for pair in itertools.combinations(struts, 2))
    ):
        name = "parallel"
    return Pattern(place=place, name=name, bars=_names(struts))


def _of_two(one: Strut, other: Strut, point: Vector | None) -> str:
    if _cross(one, other):
        return "X"
    if point is None:
        return "parallel"
    if _apex(one, other, point) is not None:
        return "V"
    return "inverted V" if _apex(one, other, -point) is not None else "two diagonals"


def _apex(one: Strut, other: Strut, way: Vector) -> tuple[str, Node, Node] | None:
    """The header and both ends where two struts come together in a direction, and spread away from it."""
    i, j = (int(np.argmax([np.dot(end, way) for end in strut.ends_mm])) for strut in (one, other))
    header = one.headers[i]
    near = math.dist(one.ends_mm[i], other.ends_mm[j])
    far = math.dist(one.ends_mm[1 - i], other.ends_mm[1 - j])
    if not header or header != other.headers[j] or near > _APEX_MM or far < 2.0 * near + _APEX_MM:
        return None
    return header, one.ends_mm[i], other.ends_mm[j]


def _cross(one: Strut, other: Strut) -> bool:
    """Whether two struts pass each other between their ends, within what their tubes reach."""
    a, b = (np.array(end) for end in one.ends_mm)
    c, d = (np.array(end) for end in other.ends_mm)
    u, v, w = b - a, d - c, a - c
    uu, uv, vv, uw, vw = u @ u, u @ v, v @ v, u @ w, v @ w
    span = uu * vv - uv * uv
    if span < 1e-6 * uu * vv:
        return False
    s, t = (uv * vw - vv * uw) / span, (uu * vw - uv * uw) / span
    apart = float(np.linalg.norm(w + s * u - t * v))
    inside = all(_INNER[0] < share < _INNER[1] for share in (s, t))
    return inside and apart <= one.od_mm + other.od_mm


def _layout(scene: Scene) -> str:
    """Which hoops the cage is made of."""
    roles = [member.role for member in scene.cage.members]
    mains, fronts = roles.count(Role.MAIN_HOOP), roles.count(Role.FRONT_HOOP)
    halves, sides = roles.count(Role.SIDE_BAR), roles.count(Role.SIDE_HOOP)
    known = {
        (1, 1, 0, 0): "two hoops",
        (0, 0, 0, 2): "two side hoops",
        (1, 0, 2, 0): "hoop and half hoops",
    }
    return known.get((mains, fronts, halves, sides), "other" if roles else "none")


def _names(struts: Sequence[Strut]) -> tuple[str, ...]:
    return tuple(name for strut in struts for name in strut.bars)
