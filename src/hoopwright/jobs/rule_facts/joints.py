"""Joints between bars as a rule book looks at them, and how far the cage reaches."""

import math

from hoopwright.cage import EndLetter, EndMeeting
from hoopwright.cage.landmarks import FRONT_MOUNT, REAR_MOUNT
from hoopwright.geometry import Vector, angle_between_deg
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.joints.meet.cut_one import joint_name
from hoopwright.rules.facts import Extent, JointFacts

_ONE_PLACE_MM = 15.0
_GOES_ON_DEG = 20.0


def joint_facts(scene: Scene) -> tuple[JointFacts, ...]:
    """Every joint where ends meet a bar; ends that go on in one line on both sides of it make a crossing."""
    joints = []
    for header in scene.bars:
        for ends in _by_place(scene.joints_on(header)):
            joints += _joints_at(scene, header, ends)
    return tuple(joints)


def _by_place(ends: tuple[EndMeeting, ...]) -> list[list[EndMeeting]]:
    """Ends in groups that lie at one place."""
    groups: list[list[EndMeeting]] = []
    for end in ends:
        for group in groups:
            if math.dist(group[0].place_mm, end.place_mm) <= _ONE_PLACE_MM:
                group.append(end)
                break
        else:
            groups.append([end])
    return groups


def _joints_at(scene: Scene, header: str, ends: list[EndMeeting]) -> list[JointFacts]:
    crossing = [end for end in ends if any(_goes_on(scene, end, other) for other in ends if other is not end)]
    single = [[end] for end in ends if end not in crossing]
    return [_joint(scene, header, group) for group in ([crossing] if crossing else []) + single]


def _joint(scene: Scene, header: str, ends: list[EndMeeting]) -> JointFacts:
    bars = {header, *(end.bar_id for end in ends)}
    return JointFacts(
        joint_id=" and ".join(joint_name(end.on, end.bar_id, _letter(end)) for end in ends),
        roles=frozenset(scene.role(name) for name in bars),
        gussets=_gussets(scene, bars, ends[0]),
        is_crossing=len(ends) > 1,
        place_mm=ends[0].place_mm,
    )


def _letter(end: EndMeeting) -> EndLetter:
    return "A" if end.end == "A" else "B"


def _goes_on(scene: Scene, one: EndMeeting, other: EndMeeting) -> bool:
    return angle_between_deg(_way(scene, one), -_way(scene, other)) <= _GOES_ON_DEG


def _way(scene: Scene, end: EndMeeting) -> Vector:
    """Direction from an end into its bar."""
    nodes = scene.bars[end.bar_id].nodes
    first, second = (0, 1) if end.end == "A" else (-1, -2)
    way: Vector = nodes[second] - nodes[first]
    return way


def _gussets(scene: Scene, bars: set[str], end: EndMeeting) -> int:
    """Gussets between bars of a joint, of those joints of the same bars that they stand nearest to."""
    count = 0
    for gusset in scene.cage.gussets:
        if gusset.other is None or not {gusset.bar_id, gusset.other} <= bars:
            continue
        rivals = [one for one in scene.meetings if {one.bar_id, one.on} <= bars]
        nearest = min(rivals, key=lambda one: math.dist(one.place_mm, gusset.place_mm), default=end)
        count += math.dist(nearest.place_mm, end.place_mm) <= _ONE_PLACE_MM
    return count


def extent_of(scene: Scene) -> Extent | None:
    """How far the tubes reach, and the mounting points that were marked; None without bars."""
    if not scene.bars:
        return None
    reach = [
        (float(points[:, 0].min()) - radius, float(points[:, 0].max()) + radius)
        for name, bar in scene.bars.items()
        for points, radius in [(scene.points(name), bar.tube.od_mm / 2.0)]
    ]
    marks = scene.cage.landmarks
    return Extent(
        front_mm=max(high for _, high in reach),
        rear_mm=min(low for low, _ in reach),
        front_mount_mm=marks[FRONT_MOUNT][0] if FRONT_MOUNT in marks else None,
        rear_mount_mm=marks[REAR_MOUNT][0] if REAR_MOUNT in marks else None,
    )
