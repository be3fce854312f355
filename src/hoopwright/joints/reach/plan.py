"""The plan of welding: what is reached in place, what lower or aside, and in which order."""

from collections.abc import Sequence
from dataclasses import replace

from hoopwright.bars import Bar
from hoopwright.cage import Cage
from hoopwright.findings import Finding
from hoopwright.joints.meet.assembly_order import assembly_order
from hoopwright.joints.reach.hanging import foot_seams, held_together, landed_ends, seams_of
from hoopwright.joints.reach.moving import Place
from hoopwright.joints.reach.obstacles import BarRods, rods_of
from hoopwright.joints.reach.plate_obstacles import NO_PLATES, PlateTriangles
from hoopwright.joints.reach.reached import SeamReach, reach_of
from hoopwright.joints.reach.room_over import RoomOver, rooms_over
from hoopwright.joints.reach.seam import WeldSeam
from hoopwright.joints.reach.search import best_aside, best_drop
from hoopwright.joints.reach.stations import (
    CageInShell,
    Station,
    part_of,
    pivot_of,
    reach_there,
    station_at,
    without_flat_legs,
)
from hoopwright.joints.reach.torch import Torch, check_torch
from hoopwright.joints.reach.weld_plan import JointReach, WeldPlan, When
from hoopwright.joints.reach.wish import Wish, check_wish, pedestal_mm
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell


def plan_welding(
    cage: Cage,
    bars: dict[str, Bar],
    shell: Shell,
    *,
    torch: Torch,
    wish: Wish,
    plates: PlateTriangles = NO_PLATES,
    progress: Progress = silent,
) -> WeldPlan:
    """Find what the torch reaches of every joint, and a plan for what it does not reach in place.

    Args:
        cage: The cage, bars as bent in the place of drawn ones.
        bars: Its bars.
        shell: The shell with its holes cut.
        torch: The torch.
        wish: What is asked.
        plates: Landings and gussets in their places; a part that is moved has none of them yet.
        progress: Told how far it is.

    Raises:
        UserError: `REACH-001`, `REACH-002`.
        ValueError: For a bar that cannot be; `bars.check_shape` says it in words.
    """
    check_torch(torch)
    check_wish(wish)
    inside = CageInShell(cage=cage, bars=bars, shell=shell, torch=torch)
    order = assembly_order(cage)
    seams, rods = seams_of(cage, bars), rods_of(bars)
    joints = []
    for number, seam in enumerate(seams):
        progress("trying the torch at every joint", number / max(1, len(seams)))
        joints.append(_in_place(inside, seam, rods, plates, order))
    rooms = rooms_over(shell, cage, bars, seams)
    drop = _needed_drop_mm(wish, rooms)
    tight = frozenset(
        room.about for room in rooms if wish.needs_mm is not None and room.gap_mm < wish.needs_mm
    )
    low, touching = _low(inside, wish, rooms, drop, _short(joints), progress)
    if low is not None:
        joints = [_with_low(inside, joint, low) for joint in joints]
    aside, touching_aside = _aside(inside, wish, low, touching, _short(joints), progress)
    if aside is not None:
        joints = [_with_aside(inside, joint, aside) for joint in joints]
    return WeldPlan(
        torch=torch,
        wish=wish,
        order=order,
        rooms=rooms,
        needed_drop_mm=drop,
        joints=tuple(_decided(joint, tight) for joint in joints),
        feet=tuple(_foot_in_place(inside, seam, rods, plates) for seam in foot_seams(shell, cage, bars)),
        low=low,
        aside=aside,
        touching=(*touching, *touching_aside),
        without_seam=tuple(
            end for end in landed_ends(cage) if end[:2] not in {(s.bars[0], s.end) for s in seams}
        ),
        left_out=_left_out(
            inside, [joint for joint in joints if joint.seam.name in tight], _short(joints), wish, low
        ),
    )


def _foot_in_place(inside: CageInShell, seam: WeldSeam, rods: BarRods, plates: PlateTriangles) -> SeamReach:
    """A foot on its landing, which is the other side of its own seam; gussets are not there yet."""
    own = f"{seam.bars[0]} foot {seam.end} "
    without = plates.late | {name for name in plates.names if name.startswith(own)}
    return reach_of(seam, inside.torch, inside.shell, rods, plates=plates, without=without)


def _in_place(
    inside: CageInShell, seam: WeldSeam, rods: BarRods, plates: PlateTriangles, order: Sequence[str]
) -> JointReach:
    """The reach with all there and, where something is in the way that goes in later, before that."""
    order = (*order, *(name for name in plates.names if name in plates.late))
    whole = reach_of(seam, inside.torch, inside.shell, rods, plates=plates)
    blank = JointReach(in_place=whole, early=None, early_before=(), low=None, aside=None, when=When.IN_PLACE)
    last = max(order.index(name) for name in seam.bars)
    later = frozenset(order[last + 1 :])
    if whole.is_whole or not later & set(whole.in_the_way):
        return blank
    early = reach_of(seam, inside.torch, inside.shell, rods, plates=plates, without=later, alone=whole.alone)
    if early.short_points >= whole.short_points:
        return blank
    before = tuple(name for name in order if name in later and name in set(whole.in_the_way))
    return replace(blank, early=early, early_before=before)


def _left_out(
    inside: CageInShell,
    tight: Sequence[JointReach],
    short: Sequence[SeamReach],
    wish: Wish,
    low: Station | None,
) -> tuple[Finding, ...]:
    """Legs of bars with joints that stay short or have less room than asked, which cannot be cut for the pedestals."""
    height = low.pedestal_mm if low is not None else wish.pedestal_step_mm
    there = set(low.part.bars) if low is not None else set()
    seams = [*(joint.seam for joint in tight), *(one.seam for one in short)]
    return part_of(inside, {name for seam in seams for name in seam.bars} - there, height).problems


def _needed_drop_mm(wish: Wish, rooms: Sequence[RoomOver]) -> float | None:
    """The room that is asked less the least that is there; 0 where there is enough, or nothing above."""
    if wish.needs_mm is None:
        return None
    least = min((room.gap_mm for room in rooms), default=wish.needs_mm)
    return max(0.0, wish.needs_mm - least)


def _short(joints: Sequence[JointReach]) -> tuple[SeamReach, ...]:
    """Joints that nothing found so far lets the torch reach all round, with the most that is reached of each."""
    best = [replace(_decided(joint).planned, seam=joint.seam) for joint in joints]
    return tuple(one for one in best if not one.is_whole)


def _low(
    inside: CageInShell,
    wish: Wish,
    rooms: Sequence[RoomOver],
    needed_mm: float | None,
    short: Sequence[SeamReach],
    progress: Progress,
) -> tuple[Station | None, tuple[Station, ...]]:
    """Where the part is lowered to: by the room asked, as typed, or by trying."""
    typed = wish.drop_mm if wish.drop_mm is not None else needed_mm
    if typed is None and wish.shift_mm is None and wish.tilt_deg is None:
        return best_drop(inside, short, wish, progress=progress) if short else (None, ())
    height = pedestal_mm(typed or 0.0, wish.pedestal_step_mm)
    if wish.needs_mm is not None:
        tight = [name for room in rooms if room.gap_mm < wish.needs_mm for name in room.bars]
    else:
        tight = [name for one in short for name in one.seam.bars] or list(inside.bars)
    names = without_flat_legs(inside, held_together(inside.cage, tight), height)
    is_moved = height > 0.0 or bool(wish.shift_mm) or bool(wish.tilt_deg)
    if not names or not is_moved:
        return None, ()
    place = Place(
        # a needed drop is rounded up to the pedestal, so that the part stands on the floor while it is low
        drop_mm=height if wish.needs_mm is not None else wish.drop_mm or 0.0,
        shift_mm=wish.shift_mm or 0.0,
        tilt_deg=wish.tilt_deg or 0.0,
        about_mm=pivot_of(inside, names),
    )
    station = station_at(inside, part_of(inside, names, height), place, height)
    return (station, ()) if station.move.is_free else (None, (station,))


def _aside(
    inside: CageInShell,
    wish: Wish,
    low: Station | None,
    touching: Sequence[Station],
    short: Sequence[SeamReach],
    progress: Progress,
) -> tuple[Station | None, tuple[Station, ...]]:
    """A place aside for what is short even so, unless the place was typed."""
    typed = (wish.needs_mm, wish.drop_mm, wish.shift_mm, wish.tilt_deg)
    if not short or any(value is not None for value in typed):
        return None, ()
    start = low.place if low is not None else touching[0].place if touching else Place()
    return best_aside(inside, short, low, start, wish, progress=progress)


def _with_low(inside: CageInShell, joint: JointReach, low: Station) -> JointReach:
    if not set(joint.seam.bars) <= set(low.part.bars):
        return joint
    return replace(joint, low=reach_there(inside, low.part, low.place, [joint.in_place])[0])


def _with_aside(inside: CageInShell, joint: JointReach, aside: Station) -> JointReach:
    if not set(joint.seam.bars) <= set(aside.part.bars):
        return joint
    return replace(joint, aside=reach_there(inside, aside.part, aside.place, [joint.in_place])[0])


def _decided(joint: JointReach, tight: frozenset[str] = frozenset()) -> JointReach:
    """In place where all is reached there; else where all is reached; else where most is, in place first.

    A joint with less room over it than was asked is welded low where that reaches no less.
    """
    if (
        joint.seam.name in tight
        and joint.low is not None
        and joint.low.short_points <= joint.in_place.short_points
    ):
        return replace(joint, when=When.LOW)
    choices = (
        (When.IN_PLACE, joint.in_place),
        (When.BEFORE, joint.early),
        (When.LOW, joint.low),
        (When.ASIDE, joint.aside),
    )
    made = [(when, reach) for when, reach in choices if reach is not None]
    best = min(made, key=lambda one: 0 if one[1].is_whole else one[1].short_points)
    return replace(joint, when=best[0])
