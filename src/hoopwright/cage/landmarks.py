"""Named places that a person picks on the shell: which names are used, and edits of them."""

import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import replace
from types import MappingProxyType

from hoopwright.bars import Node
from hoopwright.cage.cage import Cage
from hoopwright.findings import Finding, Severity, UserError

LEFT_LANDMARKS: Mapping[str, str] = MappingProxyType({
    "hoop_foot": "on the floor beside the left sill, where the main hoop is to stand",
    "front_foot": "on the floor in the left front corner, behind the bulkhead, where the side bar is to stand",
    "screen_corner": "inside the left A-pillar near its top, under the front edge of the roof",
    "backstay_foot": "on flat metal of the left rear strut top, where the backstay is to stand",
    "front_strut": "on flat metal of the left front strut top, for strut links of a cage with eight feet",
})  # fmt: skip
"""Landmarks of the left side that a first cage is laid out from, and where a person puts each."""
FRONT_MOUNT, REAR_MOUNT = "front_mount", "rear_mount"
_MOUNTS: Mapping[str, str] = MappingProxyType({
    FRONT_MOUNT: "where the front suspension takes its vertical load, for books that limit how far a cage reaches",
    REAR_MOUNT: "where the rear suspension takes its vertical load, for the same",
})  # fmt: skip
OPENING_WORDS = "a corner of a door opening, 1, 2, 3, ... in order round it, all on one side"
OTHER_OPENING_WORDS = "a corner of that opening, 1, 2, 3, ... in order round it, for bars that come in there"
_OPENING = re.compile(r"door_opening_\d{1,3}")
_OTHER_OPENING = re.compile(r"[a-z][a-z_]*_opening_\d{1,3}")
_NAME = re.compile(r"[a-z][a-z0-9_]{0,39}")
_FARTHEST_MM = 20_000.0


def where_to_put(name: str) -> str | None:
    """Where a landmark of that name goes, in words; None for a name that nothing uses."""
    if _OPENING.fullmatch(name):
        return OPENING_WORDS
    return (
        LEFT_LANDMARKS.get(name)
        or _MOUNTS.get(name)
        or (OTHER_OPENING_WORDS if _OTHER_OPENING.fullmatch(name) else None)
    )


def set_landmarks(cage: Cage, places_mm: Mapping[str, Node]) -> tuple[Cage, tuple[Finding, ...]]:
    """The cage with these landmarks added, or in the place of those of the same names.

    A right-hand place where a left-hand one is wanted is mirrored, since cages are laid out on the left.

    Args:
        cage: The cage.
        places_mm: By name, vehicle frame.

    Returns:
        The cage, and what a person should know: `MARK-003` for a mirrored place, `MARK-005` for a name that no
        command uses.

    Raises:
        UserError: `MARK-001` for a name or a place that cannot be.
    """
    for name, place in places_mm.items():
        _refuse_what_cannot_be(name, place)
    mirrored = [name for name, place in places_mm.items() if name in LEFT_LANDMARKS and place[1] < 0.0]
    placed = {
        name: (forward, -left if name in mirrored else left, up)
        for name, (forward, left, up) in places_mm.items()
    }
    findings = [_mirrored(name, placed[name]) for name in mirrored]
    findings += [_unused(name) for name in placed if where_to_put(name) is None]
    return replace(cage, landmarks=MappingProxyType({**cage.landmarks, **placed})), tuple(findings)


def remove_landmarks(cage: Cage, names: Sequence[str]) -> Cage:
    """The cage without these landmarks.

    Raises:
        UserError: `MARK-004` when there is none of a name.
    """
    for name in names:
        if name not in cage.landmarks:
            known = ", ".join(cage.landmarks) or "none yet"
            raise UserError(
                Finding(
                    code="MARK-004",
                    severity=Severity.STOP,
                    sentence=f"There is no landmark '{name}' in the project.",
                    todo=f"The landmarks are: {known}.",
                    objects=(name,),
                )
            )
    left = {name: place for name, place in cage.landmarks.items() if name not in names}
    return replace(cage, landmarks=MappingProxyType(left))


def _refuse_what_cannot_be(name: str, place: Node) -> None:
    if not _NAME.fullmatch(name):
        raise _stop(
            name,
            f"A landmark cannot be named {name[:60]!r}.",
            "Use up to 40 small letters, digits and underscores, a letter first. Names that commands use: "
            f"{', '.join(LEFT_LANDMARKS)}, door_opening_1, door_opening_2, ...",
        )
    if not all(math.isfinite(value) and abs(value) <= _FARTHEST_MM for value in place):
        at = ", ".join(f"{value:g}" for value in place)
        raise _stop(
            name,
            f"Landmark {name} at {at} mm is no place on a car: the limit is {_FARTHEST_MM:g} mm from zero.",
            "Check the place and its unit; lengths are in mm unless a unit is typed.",
        )


def _stop(name: str, sentence: str, todo: str) -> UserError:
    return UserError(
        Finding(code="MARK-001", severity=Severity.STOP, sentence=sentence, todo=todo, objects=(name,))
    )


def _mirrored(name: str, place: Node) -> Finding:
    return Finding(
        code="MARK-003",
        severity=Severity.NOTE,
        sentence=f"{name} was typed on the right side ({-place[1]:g} left); it is kept mirrored, at {place[1]:g} left.",
        todo="Cages are laid out on the left; type a left place if the sides of the shell differ there.",
        objects=(name,),
        point_mm=place,
    )


def _unused(name: str) -> Finding:
    return Finding(
        code="MARK-005",
        severity=Severity.NOTE,
        sentence=f"Landmark {name} is kept, but no command uses that name.",
        todo=f"Names that commands use: {', '.join(LEFT_LANDMARKS)}, door_opening_1, door_opening_2, ...",
        objects=(name,),
    )
