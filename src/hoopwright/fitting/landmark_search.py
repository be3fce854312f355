"""Landmarks of a first cage sought in the scan by rays.

The search works in a frame that is level by the sills, since nothing else fixes the pitch of a scan; what a degree of
pitch would move, or what the two sides do not show alike, is told as doubtful.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import partial

import numpy as np

from hoopwright.bars import Node
from hoopwright.fitting.cabin_places import Seen, front_foot, hoop_foot, screen_corner
from hoopwright.fitting.cabin_rays import CabinRays, look_into_cabin
from hoopwright.fitting.side_edges import Arch, Attitude, attitude_of
from hoopwright.fitting.strut_tops import strut_top
from hoopwright.geometry import Transform, Vector
from hoopwright.shell.shell import Shell, make_shell

_SIDES_AGREE_MM = 60.0
_TRIED_DEG = 0.75
_STAYS_MM = 60.0
_HOOP_TOP_SHARE = 0.9
_HOOP_TOP_IN = 0.75
_OVER_FOOT_MM = 60.0
_NEAR_FOOT_MM = 120.0
_OVER_ARCH_MM = 60.0


@dataclass(frozen=True, kw_only=True)
class FoundLandmark:
    """A place found in the scan.

    Args:
        place_mm: On the left side, vehicle frame.
        why: What was found there, in words.
        doubt: Why it is not sure, in words; empty when it is.
    """

    place_mm: Node
    why: str
    doubt: str = ""

    @property
    def sure(self) -> bool:
        """Whether both sides of the shell show it at the same place, however the scan is pitched."""
        return not self.doubt


@dataclass(frozen=True, kw_only=True)
class LandmarkSearch:
    """What a scan gives and what it does not.

    Args:
        found: By name.
        missing: Why there is none, by name.
        climb_deg: How the sills climb toward the nose in the vehicle frame; None when no sill shows it.
    """

    found: Mapping[str, FoundLandmark]
    missing: Mapping[str, str]
    climb_deg: float | None


Sides = list[Seen | None]


def search_landmarks(shell: Shell) -> LandmarkSearch:
    """Landmarks of the left side that the scan shows, and why others are not shown.

    Args:
        shell: The scan in the vehicle frame.
    """
    lies = attitude_of(shell)
    turned = pitched(shell, lies.climb_deg or 0.0)
    level = make_shell(turned.prepared, turned.to_vehicle)
    stands = attitude_of(level)
    found, missing = _look(level, stands)
    others = [_look(pitched(level, turn), stands)[0] for turn in (-_TRIED_DEG, _TRIED_DEG)]
    back = level.to_vehicle.inverse().then(shell.to_vehicle)
    checked = {
        name: replace(
            one,
            place_mm=_node(back.points(one.place_mm)),
            doubt=one.doubt or lies.doubt or _moved(name, one, others),
        )
        for name, one in found.items()
    }
    return LandmarkSearch(found=checked, missing=missing, climb_deg=lies.climb_deg)


def pitched(shell: Shell, nose_down_deg: float) -> Shell:
    """The shell with its nose turned down about the vehicle frame's left axis, for rays only."""
    angle_rad = np.radians(nose_down_deg)
    cos, sin = np.cos(angle_rad), np.sin(angle_rad)
    turn = np.array([[cos, 0.0, sin], [0.0, 1.0, 0.0], [-sin, 0.0, cos]])
    was = shell.to_vehicle
    turned = Transform(
        rotation=turn @ was.rotation, shift_mm=turn @ was.shift_mm, source=was.source, target=was.target
    )
    return replace(shell, to_vehicle=turned)


def _look(shell: Shell, stands: Attitude) -> tuple[dict[str, FoundLandmark], dict[str, str]]:
    """Places in the frame as it is, and why others are not there."""
    found: dict[str, FoundLandmark] = {}
    missing: dict[str, str] = {}
    names = ("hoop_foot", "front_foot", "screen_corner", "backstay_foot", "front_strut")
    cabin = look_into_cabin(shell)
    if cabin is None:
        return found, dict.fromkeys(names, "the scan shows no roof with a floor under it")

    def keep(name: str, look: Callable[[int], Seen | None], without: str) -> Node | None:
        one = _of_both([look(side) for side in (1, -1)])
        if one is None:
            missing[name] = without
            return None
        found[name] = one
        return one.place_mm

    keep("screen_corner", lambda side: screen_corner(cabin, side), "no A-pillar shows under the roof's front")
    hoop = keep(
        "hoop_foot",
        lambda side: hoop_foot(cabin, side),
        "beside the cabin no metal stands behind an opening, or no floor lies under it",
    )
    if hoop is None:
        return found, {
            **missing,
            **dict.fromkeys(set(names) - {*found, *missing}, "it is sought from hoop_foot"),
        }
    keep("front_foot", lambda side: front_foot(cabin, side, hoop), "the floor does not climb to a bulkhead")
    for name, arch, where in (
        ("backstay_foot", stands.rear_arch, "rear"),
        ("front_strut", stands.front_arch, "front"),
    ):
        if arch is None:
            missing[name] = f"no {where} wheel arch shows where the axle is"
            continue
        look = partial(_strut_top, cabin, hoop, arch, where)
        if keep(name, look, f"no flat metal stands clear near the {where} axle") is not None:
            found[name] = _if_a_tower(found[name], arch)
    if "backstay_foot" in found:
        found["backstay_foot"] = _if_seen_from(cabin, hoop, found["backstay_foot"])
    return found, missing


def _strut_top(cabin: CabinRays, hoop: Node, arch: Arch, where: str, side: int) -> Seen | None:
    return strut_top(cabin, side, arch.forward_mm, hoop[1], where)


def _if_a_tower(top: FoundLandmark, arch: Arch) -> FoundLandmark:
    """A strut top, doubtful when it is no higher than a wheel house needs to be."""
    over = top.place_mm[2] - arch.up_mm
    if top.doubt or over > _OVER_ARCH_MM:
        return top
    return replace(
        top,
        doubt=f"it is {over:.0f} mm above the wheel arch, so that it is the wheel house alone and no tower stands on "
        "it",
    )


def _of_both(sides: Sides) -> FoundLandmark | None:
    """The mean of what the two sides show; sure when they agree, left out when neither shows it."""
    seen = [one.place_mm * [1.0, np.sign(one.place_mm[1]), 1.0] for one in sides if one is not None]
    whys = [one.why for one in sides if one is not None]
    if not seen:
        return None
    apart = float(np.linalg.norm(seen[0] - seen[-1]))
    doubt = "only one side shows it" if len(seen) == 1 else ""
    if apart >= _SIDES_AGREE_MM:
        doubt = f"the two sides show it {apart:.0f} mm apart"
    place = seen[0] if doubt else np.mean(seen, axis=0)
    return FoundLandmark(place_mm=_node(place), why=whys[0], doubt=doubt)


def _if_seen_from(cabin: CabinRays, hoop: Node, foot: FoundLandmark) -> FoundLandmark:
    """The foot of a backstay, doubtful when metal lies between it and the top of the hoop."""
    top = np.array([hoop[0], _HOOP_TOP_IN * hoop[1], cabin.up_mm(_HOOP_TOP_SHARE)])
    way = np.add(foot.place_mm, (0.0, 0.0, _OVER_FOOT_MM)) - top
    length = float(np.linalg.norm(way))
    hit = cabin.shell.first_hits(top[None], (way / length)[None], reach_mm=length - _NEAR_FOOT_MM)
    if foot.doubt or not np.isfinite(hit.distance_mm[0]):
        return foot
    at = ", ".join(f"{value:.0f}" for value in hit.place_mm[0])
    return replace(foot, doubt=f"metal at {at} mm lies between it and the top of the hoop")


def _moved(name: str, one: FoundLandmark, others: Sequence[Mapping[str, FoundLandmark]]) -> str:
    """Doubt about a place that another pitch moves, or that it does not show."""
    for turn, other in zip((-_TRIED_DEG, _TRIED_DEG), others, strict=True):
        if name not in other:
            return f"with the scan pitched by {abs(turn):g}° it is not shown"
        angle_rad = np.radians(turn)
        forward, left, up = other[name].place_mm
        unturned = (
            np.cos(angle_rad) * forward - np.sin(angle_rad) * up,
            left,
            np.sin(angle_rad) * forward + np.cos(angle_rad) * up,
        )
        off = float(np.linalg.norm(np.subtract(unturned, one.place_mm)))
        if off > _STAYS_MM:
            return f"with the scan pitched by {abs(turn):g}° it is shown {off:.0f} mm away"
    return ""


def _node(place: Vector) -> Node:
    forward, left, up = place
    return float(forward), float(left), float(up)
