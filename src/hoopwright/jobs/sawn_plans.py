"""Which plans were recorded as sawn: told by the notes of their sticks, and by the tube of each bar."""

import re
from dataclasses import dataclass

from hoopwright.bender import Stick
from hoopwright.bender.shop_values import LONGEST_NOTE
from hoopwright.jobs.shops import open_shop
from hoopwright.store import ProjectFolder
from hoopwright.store.shop_place import shop_place

_BETWEEN = "; "
_KEY = ", taking "
_NAME_LETTERS = 60
_SAWN = re.compile(rf"(?:^|{_BETWEEN})sawn for (?P<project>.+), plan (?P<plan>\w+)(?:{_KEY}\w+)?$")
"""A note that ends as `sawn_note` has it, whatever the project."""


@dataclass(frozen=True, kw_only=True)
class SawnPlan:
    """A plan that was recorded and not taken back.

    Args:
        identity: Of the plan; what takes it back.
        date: Day of the recording, ISO 8601.
        sticks: Labels of the sticks that were sawn.
        bars: Bars of the project that have their tube from them.
        offcuts: Labels of what is left of them and lies on the rack.
    """

    identity: str
    date: str
    sticks: tuple[str, ...]
    bars: tuple[str, ...]
    offcuts: tuple[str, ...]


def sawn_plans(folder: ProjectFolder, *, shop: str | None = None) -> tuple[SawnPlan, ...]:
    """The plans of a project that were recorded, the last first; a plan none of whose bars stands any more is not.

    Args:
        folder: The project.
        shop: The shop; the person's own without.

    Raises:
        UserError: `SHOP-...` for a shop that cannot be read.
    """
    place = shop_place(shop)
    if place is None or not place.is_there:
        return ()
    project = folder.open().project
    with open_shop(shop) as opened:
        every = opened.sticks(used=True)
    sawn: dict[str, list[str]] = {}
    for stick in every:
        identity = _plan_of(stick, project.name)
        if identity:
            sawn.setdefault(identity, []).append(stick.label)
    order = {used.stick: number for number, used in enumerate(project.tube_of.values())}
    plans = []
    for identity, labels in sawn.items():
        bars = [used for used in project.tube_of.values() if used.stick in labels]
        if bars:
            plans.append(
                SawnPlan(
                    identity=identity,
                    date=max(used.date for used in bars),
                    sticks=tuple(labels),
                    bars=tuple(used.bar_id for used in bars),
                    offcuts=tuple(
                        one.label for one in every if one.state == "kept" and is_left_by(one, identity)
                    ),
                )
            )
    return tuple(sorted(plans, key=lambda plan: max(order.get(s, -1) for s in plan.sticks), reverse=True))


def sawn_note(note: str, project: str, identity: str, key: str) -> str:
    """The note of a stick that a plan was sawn from: what stood there stays before it.

    Args:
        note: As it stood.
        project: Name of the project.
        identity: Of the plan.
        key: Of this recording alone, so that the shop can tell whether it has it.
    """
    mark = f"{_mark(project, identity)}{_KEY}{key}"
    room = LONGEST_NOTE - len(mark) - len(_BETWEEN)
    return f"{note[:room]}{_BETWEEN}{mark}" if note else mark


def note_before(note: str, project: str, identity: str) -> str:
    """The note as it was before `sawn_note`."""
    before, found, _ = note.rpartition(_mark(project, identity))
    return before.removesuffix(_BETWEEN) if found else note


def is_sawn_by(stick: Stick, project: str, identity: str) -> bool:
    """Whether a stick counts as sawn by a plan of a project; older recordings have no key."""
    _, found, key = stick.note.rpartition(_mark(project, identity))
    is_last = key == "" or (key.startswith(_KEY) and key.removeprefix(_KEY).isalnum())
    return stick.state == "used" and bool(found) and is_last


def sawn_for(stick: Stick) -> str:
    """The plan of whatever project that a used stick was sawn by, in words; empty where it was marked by hand."""
    found = _SAWN.search(stick.note) if stick.state == "used" else None
    return f"plan {found['plan']} of {found['project']}" if found else ""


def left_note(identity: str) -> str:
    """The note of an offcut that a plan left."""
    return f"left by plan {identity}"


def is_left_by(stick: Stick, identity: str) -> bool:
    """Whether a plan left this offcut, used since or not; one that was put back with its plan is none."""
    return stick.note == left_note(identity) or stick.note.startswith(f"{left_note(identity)}{_BETWEEN}")


def gone_note(note: str, identity: str) -> str:
    """The note of an offcut whose stick is whole again."""
    return f"put back: {identity}{_BETWEEN}{note}"[:LONGEST_NOTE]


def _mark(project: str, identity: str) -> str:
    return f"sawn for {project[:_NAME_LETTERS]}, plan {identity}"


def _plan_of(stick: Stick, project: str) -> str:
    """Identity of the plan of a project that a stick was last sawn by; empty for none."""
    _, found, last = stick.note.rpartition(_mark(project, ""))
    identity = last.partition(_KEY)[0]
    return identity if found and is_sawn_by(stick, project, identity) else ""
