"""Places of a cage that a photo can show, and how a file's name tells which."""

import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from hoopwright.cage import Cage, feet_of
from hoopwright.jobs.hand_measures import foot_name
from hoopwright.joints.meet import joint_name

WHOLE = (
    "cage from the left",
    "cage from the right",
    "cage from the front",
    "cage from behind",
    "number stamped",
)
"""Photos of the whole that every file has a place for."""


@dataclass(frozen=True, kw_only=True)
class PhotoPlaces:
    """What a photo can show.

    Args:
        slots: Places that the file has a slot for even without a photo: the whole, joints, feet.
        bars: Bars; a photo of one gets a slot of its own.
        also: Other names of places.
    """

    slots: tuple[str, ...]
    bars: tuple[str, ...]
    also: Mapping[str, str]

    def of(self, words: str) -> tuple[str, str] | None:
        """The place whose name the words begin with, the longest such, and the words that follow; None without."""
        said = _letters(words)
        best: tuple[int, str] | None = None
        for name, place in (
            *((place, place) for place in (*self.slots, *self.bars)),
            *self.also.items(),
        ):
            key = _letters(name)
            if said[: len(key)] == key and (best is None or len(key) > best[0]):
                best = (len(key), place)
        if best is None:
            return None
        return best[1], " ".join(_words(words)[best[0] :])


def photo_places(cage: Cage) -> PhotoPlaces:
    """The places of a cage; a joint is also known by its branch: `SB-L-B to MH`, and `SB-L to MH` where only one."""
    joints = []
    also: dict[str, str] = {}
    pairs: dict[str, list[str]] = {}
    for member in cage.members:
        for end, kind in (("A", member.end_a), ("B", member.end_b)):
            if kind.kind != "bar" or kind.on is None:
                continue
            name = joint_name(kind.on, member.member_id, "A" if end == "A" else "B")
            joints.append(name)
            also[f"{member.member_id}-{end} to {kind.on}"] = name
            pairs.setdefault(f"{member.member_id} to {kind.on}", []).append(name)
    also.update({words: names[0] for words, names in pairs.items() if len(names) == 1})
    feet = [foot_name(foot.bar_id, foot.end) for foot in feet_of(cage)]
    return PhotoPlaces(
        slots=(*WHOLE, *joints, *feet),
        bars=tuple(member.member_id for member in cage.members),
        also=MappingProxyType(also),
    )


def _letters(words: str) -> tuple[str, ...]:
    return tuple(word.lower() for word in _words(words))


def _words(words: str) -> list[str]:
    return re.findall(r"[^\W_]+", words)
