"""In which order bars go in: found by taking the finished cage apart, or checked as it was typed.

What comes out of the finished cage while all others stay goes in last. A bar goes in after the bars that it ends on.
Method: assembly by disassembly, as in L. Homem de Mello and A. Sanderson, IEEE Trans. Robotics and
Automation 6 (1990) 188.
"""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from hoopwright.cage import Cage, Role, bar_of
from hoopwright.geometry import Capsule
from hoopwright.joints.ways.body import as_capsules, part_of
from hoopwright.joints.ways.openings import ShellOpening
from hoopwright.joints.ways.way import LOOKS, SEED, TRIALS, Way, find_way
from hoopwright.progress import Progress, silent
from hoopwright.shell.moving import Surroundings

Group = tuple[str, ...]
_QUICK = 1500
_SHORT = 1000
_MORE_ROOM = (2.0, 4.0, 8.0)
_ACROSS_MM = 100.0
_USUAL: Mapping[Role, int] = {
    role: rank
    for rank, role in enumerate((
        Role.MAIN_HOOP, Role.SIDE_HOOP, Role.FRONT_HOOP, Role.SIDE_BAR, Role.SCREEN_BAR, Role.BACKSTAY,
        Role.HOOP_DIAGONAL, Role.HARNESS_BAR, Role.PILLAR_BAR, Role.ROOF_BAR, Role.DASH_BAR,
        Role.STRUT_LINK, Role.SILL_BAR, Role.DOOR_BAR, Role.OTHER,
    ))
}  # fmt: skip


@dataclass(frozen=True, eq=False, kw_only=True)
class Workplace:
    """What ways are looked for in.

    Args:
        cage: With bars as they exist.
        around: The metal of the shell.
        openings: In the order of trying.
        gap_mm: Clearance on the way.
        seed: Of the random numbers.
        trials: How often trees are grown at most, for each opening.
    """

    cage: Cage
    around: Surroundings
    openings: tuple[ShellOpening, ...]
    gap_mm: float
    seed: int = SEED
    trials: int = TRIALS

    def way_of(
        self, group: Group, there: Sequence[str], trials: int | None = None, *, looks: int = LOOKS
    ) -> Way:
        """The way of a group past the bars that are there."""
        around = self.around.with_capsules(_standing(self.cage, there))
        part = part_of(self.cage, group)
        left = float(part.places_mm[:, 1].mean())
        # the door on its own side before the one across the car
        nearer = sorted(self.openings, key=lambda one: left * one.outward[1] < -_ACROSS_MM)
        return find_way(
            around,
            part,
            nearer,
            gap_mm=self.gap_mm,
            seed=self.seed,
            trials=trials or self.trials,
            looks=looks,
        )

    def with_more_room(self, step: "Step") -> "Step":
        """The step with a way that keeps more clear of everything, where one is soon found through its opening."""
        openings = tuple(one for one in self.openings if one.name == step.way.through)
        for times in _MORE_ROOM if step.way.found else ():
            wider = replace(self, gap_mm=times * self.gap_mm, openings=openings)
            way = wider.way_of(step.group, step.there, _SHORT, looks=1)
            if not way.found:
                break
            step = replace(step, way=way)
        return step


@dataclass(frozen=True, eq=False, kw_only=True)
class Step:
    """One step of the order.

    Args:
        group: What is carried in.
        there: Bars that are in already.
        way: What was found for it.
        too_early_for: Bars that one of its bars ends on and that are not in yet.
    """

    group: Group
    there: tuple[str, ...]
    way: Way
    too_early_for: tuple[str, ...] = ()


def groups_of(cage: Cage, tacked: Sequence[Group]) -> tuple[Group, ...]:
    """Tacked parts, and every other bar by itself, in the cage's order."""
    part_by_bar = {name: group for group in tacked for name in group}
    groups = [part_by_bar.get(member.member_id, (member.member_id,)) for member in cage.members]
    return tuple(dict.fromkeys(groups))


def ends_on(cage: Cage, group: Group) -> tuple[str, ...]:
    """Bars outside a group that its bars end on."""
    found = [
        end.on
        for name in group
        for end in (cage.member(name).end_a, cage.member(name).end_b)
        if end.kind == "bar" and end.on is not None and end.on not in group
    ]
    return tuple(dict.fromkeys(found))


def find_order(place: Workplace, groups: Sequence[Group], *, progress: Progress = silent) -> tuple[Step, ...]:
    """An order in which everything goes in, first to last.

    Where nothing that may come out finds a way, the one that usually goes in last is set aside as a step without a way.
    """
    left, steps = list(groups), list[Step]()
    while left:
        progress(f"taking out: {len(left)} left", 1.0 - len(left) / len(groups))
        steps.append(_taken_out(place, left))
        left.remove(steps[-1].group)
    return tuple(reversed(steps))


def _taken_out(place: Workplace, left: Sequence[Group]) -> Step:
    """What comes out of what is left, and how."""
    needed = {name for group in left for name in ends_on(place.cage, group)}
    loose = [group for group in left if not needed.intersection(group)] or list(left)
    loose.sort(key=lambda group: _usual(place.cage, group), reverse=True)
    blocked: Step | None = None
    for trials in (min(_QUICK, place.trials), place.trials):
        for group in loose:
            there = tuple(name for other in left if other != group for name in other)
            step = Step(group=group, there=there, way=place.way_of(group, there, trials))
            if step.way.found:
                return step
            blocked = blocked or step
        if place.trials <= _QUICK:
            break
    assert blocked is not None  # noqa: S101 - something is left, so something was tried
    return blocked


def _usual(cage: Cage, group: Group) -> tuple[int, int]:
    names = [member.member_id for member in cage.members]
    return max((_USUAL[cage.member(name).role], names.index(name)) for name in group)


def check_order(place: Workplace, order: Sequence[Group], *, progress: Progress = silent) -> tuple[Step, ...]:
    """The steps of an order as it was typed, each with its way past those before it."""
    there: tuple[str, ...] = ()
    steps = []
    for number, group in enumerate(order):
        progress(f"carrying in {'+'.join(group)}", number / len(order))
        early = tuple(name for name in ends_on(place.cage, group) if name not in there)
        steps.append(Step(group=group, there=there, way=place.way_of(group, there), too_early_for=early))
        there = (*there, *group)
    return tuple(steps)


def would_help(place: Workplace, step: Step, *, progress: Progress = silent) -> tuple[str, ...]:
    """Bars of which one alone, left until later, gives the group of a step a way."""
    helpful = []
    needed = {name for other in step.there for name in ends_on(place.cage, (other,))}
    may_wait = [name for name in step.there if name not in needed.union(ends_on(place.cage, step.group))]
    for number, name in enumerate(may_wait):
        progress(f"without {name}", number / len(may_wait))
        others = tuple(other for other in step.there if other != name)
        if place.way_of(step.group, others, min(_QUICK, place.trials)).found:
            helpful.append(name)
    return tuple(helpful)


def _standing(cage: Cage, names: Sequence[str]) -> tuple[Capsule, ...]:
    return tuple(capsule for name in names for capsule in as_capsules(bar_of(cage, name)))
