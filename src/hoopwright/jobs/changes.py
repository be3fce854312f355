"""What was changed in a project, step by step, in words."""

from collections.abc import Mapping
from dataclasses import dataclass, replace

from hoopwright.cage import Cage, Member
from hoopwright.papers.words import listed
from hoopwright.store import Project, ProjectFolder
from hoopwright.store.folder import Opened

_MOST = 12
_NAMED = 6
NOTHING_DRAWN = ("nothing that is drawn",)
"""What an edit did that changed something else, such as the machine that the sheets are for."""


@dataclass(frozen=True, kw_only=True)
class Change:
    """One edit.

    Args:
        step: Place in the history that it led to.
        words: What it did.
    """

    step: int
    words: tuple[str, ...]


def what_changed(
    folder: ProjectFolder, *, most: int = _MOST, opened: Opened | None = None
) -> tuple[Change, ...]:
    """The last edits of a project, the newest first.

    Args:
        folder: The project.
        most: How many at most.
        opened: The project, where it is open already.
    """
    opened = folder.open() if opened is None else opened
    later, step = opened.project, opened.step
    changes = []
    for number, earlier in folder.before(opened, most):
        changes.append(Change(step=step, words=differences(earlier, later)))
        later, step = earlier, number
    return tuple(changes)


def next_steps(folder: ProjectFolder) -> tuple[str, str]:
    """What `undo` would take back and what `redo` would bring again, in words; empty where there is nothing."""
    opened = folder.open()
    before = [project for _, project in folder.before(opened, 1)]
    after = folder.undone(opened)
    back = ", ".join(differences(before[0], opened.project)) if before else ""
    again = "" if after is None else ", ".join(differences(opened.project, after))
    return back, again


def differences(earlier: Project, later: Project) -> tuple[str, ...]:
    """What differs between two states of a project, in words; never empty."""
    words = [*_scan_words(earlier, later), *_bar_words(earlier.cage, later.cage)]
    if dict(earlier.cage.landmarks) != dict(later.cage.landmarks):
        words.append(_landmark_words(earlier.cage, later.cage))
    if earlier.cage.limits != later.cage.limits:
        limits = later.cage.limits
        words.append(f"gap {limits.gap_mm:g} mm, clamp {limits.clamp_mm:g} mm")
    both = (earlier.cage, later.cage)
    parts = (
        ("driver", earlier.cage.drivers, later.cage.drivers),
        ("car's papers", earlier.car, later.car),
        ("holes", earlier.cage.holes, later.cage.holes),
        ("order of assembly", earlier.cage.order, later.cage.order),
        ("names of regions", earlier.named_places, later.named_places),
    )
    words += [f"{name} changed" for name, was, now in parts if was != now]
    if earlier.book != later.book:
        words.append("no book chosen" if later.book is None else f"book {later.book.book_id} chosen")
    words += _which(
        "landing of", *({f"{one.bar_id} {one.end}": one for one in cage.landings} for cage in both)
    )
    words += _which("gusset", *({one.name: one for one in cage.gussets} for cage in both))
    return tuple(words) or NOTHING_DRAWN


def _which(what: str, was: Mapping[str, object], now: Mapping[str, object]) -> list[str]:
    """Which of many came, went or changed, by name."""
    return [
        f"{what} {listed(names, _NAMED)} {verb}"
        for verb, names in (
            ("added", [name for name in now if name not in was]),
            ("taken out", [name for name in was if name not in now]),
            ("changed", [name for name in now if name in was and was[name] != now[name]]),
        )
        if names
    ]


def _scan_words(earlier: Project, later: Project) -> tuple[str, ...]:
    was, now = earlier.scan, later.scan
    if now is None:
        return () if was is None else (f"scan {was.source_name} taken out",)
    if was is None or was.sha256 != now.sha256 or was.unit != now.unit:
        return (f"scan {now.source_name} taken in as {now.unit}",)
    same = (was.to_vehicle.rotation == now.to_vehicle.rotation).all()
    if not same or (was.to_vehicle.shift_mm != now.to_vehicle.shift_mm).any():
        return (f"scan laid in other axes, by {now.aligned_by}",)
    return ()


def _bar_words(earlier: Cage, later: Cage) -> tuple[str, ...]:
    was = {member.member_id: member for member in earlier.members}
    now = {member.member_id: member for member in later.members}
    words = []
    for verb, names in (
        ("added", [name for name in now if name not in was]),
        ("taken out", [name for name in was if name not in now]),
        ("freed", [name for name in now if name in was and was[name].mirror_of and not now[name].mirror_of]),
        ("moved", [name for name in now if name in was and _moved(was[name], now[name])]),
        ("changed", [name for name in now if name in was and _otherwise(was[name], now[name])]),
    ):
        if names:
            words.append(f"{listed(names, _NAMED)} {verb}")
    return tuple(words)


def _moved(was: Member, now: Member) -> bool:
    return was.mirror_of == now.mirror_of and was.nodes_mm != now.nodes_mm


def _otherwise(was: Member, now: Member) -> bool:
    return replace(was, nodes_mm=now.nodes_mm, mirror_of=now.mirror_of, fit=now.fit) != now


def _landmark_words(earlier: Cage, later: Cage) -> str:
    names = [
        name
        for name in {**earlier.landmarks, **later.landmarks}
        if earlier.landmarks.get(name) != later.landmarks.get(name)
    ]
    return f"landmarks {listed(names, _NAMED)}"
