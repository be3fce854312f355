"""Finding a place in which the torch reaches more: lower, then slid forward or back, then tilted."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace
from itertools import product

from hoopwright.joints.reach.hanging import held_together
from hoopwright.joints.reach.moving import Place
from hoopwright.joints.reach.reached import SeamReach
from hoopwright.joints.reach.stations import (
    CageInShell,
    Station,
    part_of,
    pivot_of,
    reach_there,
    station_at,
    without_flat_legs,
)
from hoopwright.joints.reach.wish import Wish, pedestal_mm
from hoopwright.progress import Progress, silent

SHIFTS_MM = (0.0, 50.0, -50.0, 100.0, -100.0, 150.0, -150.0)
TILTS_DEG = (0.0, 2.0, -2.0, 4.0, -4.0)
_WORTH_POINTS = 3
"""A joint is moved for when at least this many more of its points are reached: 15 degrees of 72 points."""
_WAYS_TRIED = 6


@dataclass(frozen=True, eq=False, kw_only=True)
class Candidate:
    """A place that was tried.

    Args:
        place: The place.
        pedestal_mm: Height of the pedestals that it takes.
        names: The bars that were moved there.
        reaches: What the torch reaches of the seams that were asked for.
        gained: Points that each seam gains, by its name; those that are worth moving for.
    """

    place: Place
    pedestal_mm: float
    names: frozenset[str]
    reaches: tuple[SeamReach, ...]
    gained: Mapping[str, int]

    @property
    def whole_count(self) -> int:
        """How many seams are reached all round."""
        return sum(one.is_whole for one in self.reaches)


def best_drop(
    inside: CageInShell, short: Sequence[SeamReach], wish: Wish, *, progress: Progress = silent
) -> tuple[Station | None, tuple[Station, ...]]:
    """The least drop at which most of the short seams are reached, with a way there.

    Args:
        inside: What is asked of.
        short: The seams that are not reached all round, as reached so far.
        wish: The steps and the greatest drop.
        progress: Told how far it is.

    Returns:
        The station, or None where lowering helps nothing, and those that were better but cannot be moved to.
    """
    step = wish.pedestal_step_mm
    drops = [step * k for k in range(1, int(wish.most_drop_mm / step + 1e-9) + 1)]
    tried = []
    for number, drop in enumerate(drops):
        progress("trying lower places", number / len(drops))
        tried.append(_tried_at(inside, short, Place(drop_mm=drop), drop))
        if tried[-1].whole_count == len(short):
            break
    return _first_free(inside, tried)


def best_aside(
    inside: CageInShell,
    short: Sequence[SeamReach],
    low: Station | None,
    start: Place,
    wish: Wish,
    *,
    progress: Progress = silent,
) -> tuple[Station | None, tuple[Station, ...]]:
    """The least shift and tilt from a low place at which most of the seams that are short there are reached.

    Args:
        inside: What is asked of.
        short: The seams that are not reached all round, as reached so far.
        low: Where the part was lowered to; all that was welded there goes along.
        start: The low place.
        wish: The step of pedestals.
        progress: Told how far it is.
    """
    along = frozenset(low.part.bars) if low is not None else frozenset()
    pivot = pivot_of(inside, held_together(inside.cage, _bars_of(short)) | along)
    height = pedestal_mm(start.drop_mm, wish.pedestal_step_mm)
    tried = []
    ways = [way for way in product(SHIFTS_MM, TILTS_DEG) if way != (0.0, 0.0) and _is_tried(*way)]
    ways.sort(key=lambda way: (abs(way[0]) / 50.0 + abs(way[1]), way))
    for number, (shift, tilt) in enumerate(ways):
        progress("trying places aside", number / len(ways))
        place = replace(start, shift_mm=shift, tilt_deg=tilt, about_mm=pivot)
        tried.append(_tried_at(inside, short, place, height, along))
        if tried[-1].whole_count == len(short):
            break
    return _first_free(inside, tried, along)


def _is_tried(shift_mm: float, tilt_deg: float) -> bool:
    """Shifts and tilts alone, and both together only where both are small."""
    return 0.0 in (shift_mm, tilt_deg) or (abs(shift_mm) <= 100.0 and abs(tilt_deg) <= 2.0)


def _bars_of(reaches: Sequence[SeamReach]) -> list[str]:
    return [name for one in reaches for name in one.seam.bars]


def _tried_at(
    inside: CageInShell,
    short: Sequence[SeamReach],
    place: Place,
    height_mm: float,
    along: frozenset[str] = frozenset(),
) -> Candidate:
    names = without_flat_legs(inside, held_together(inside.cage, _bars_of(short)), height_mm) | along
    before = {one.seam.name: one.short_points for one in short if set(one.seam.bars) <= names}
    asked = [one for one in short if one.seam.name in before]
    reaches = reach_there(inside, part_of(inside, names, height_mm), place, asked)
    gained = {one.seam.name: before[one.seam.name] - one.short_points for one in reaches}
    return Candidate(
        place=place,
        pedestal_mm=height_mm,
        names=names,
        reaches=reaches,
        gained={name: points for name, points in gained.items() if points >= _WORTH_POINTS},
    )


def _first_free(
    inside: CageInShell, tried: Sequence[Candidate], along: frozenset[str] = frozenset()
) -> tuple[Station | None, tuple[Station, ...]]:
    """The best place that the part can be moved to, with the bars that something is gained for and those along."""
    order = {id(one): number for number, one in enumerate(tried)}
    worth = [one for one in tried if one.gained]
    worth.sort(key=lambda one: (-one.whole_count, -sum(one.gained.values()), order[id(one)]))
    touching: list[Station] = []
    for candidate in worth:
        bars = [
            name for one in candidate.reaches if one.seam.name in candidate.gained for name in one.seam.bars
        ]
        names = (held_together(inside.cage, bars) & candidate.names) | along
        if len(touching) >= _WAYS_TRIED or _goes_farther(candidate.place, names, touching):
            continue
        part = part_of(inside, names, candidate.pedestal_mm)
        station = station_at(inside, part, candidate.place, candidate.pedestal_mm)
        if station.move.is_free:
            return station, tuple(touching)
        touching.append(station)
    return None, tuple(touching)


def _goes_farther(place: Place, names: frozenset[str], touching: Sequence[Station]) -> bool:
    """Whether a straight way down passes a place where bars of the same part have touched already."""
    if place.shift_mm or place.tilt_deg:
        return False
    return any(
        one.move.contact is not None
        and one.move.contact.bar_id in names
        and not (one.place.shift_mm or one.place.tilt_deg)
        and place.drop_mm >= one.move.contact.at.drop_mm
        for one in touching
    )
