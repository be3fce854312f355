"""Ways and orders as findings: what does not go, and what would help."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars import as_node
from hoopwright.cage import Cage
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.joints.ways.held import Held
from hoopwright.joints.ways.openings import ShellOpening
from hoopwright.joints.ways.order import Step
from hoopwright.joints.ways.way import Way

LEAST_GAP_MM, MOST_GAP_MM = 0.5, 100.0
_SIDES = (("ahead", "behind"), ("the left", "the right"), ("above", "below"))
_SHARE = 0.5


@dataclass(frozen=True, kw_only=True)
class WouldHelp:
    """What gives a part a way that has none.

    Args:
        later: Bars of which one alone, left until later, is enough.
        alone: Whether it has a way into the empty shell.
        in_two: Whether each half has a way into the empty shell, cut at its middle; None when not asked.
        searched: Whether any of this was looked for.
    """

    later: tuple[str, ...] = ()
    alone: bool = False
    in_two: bool | None = None
    searched: bool = True


def whence(way: Way) -> str:
    """Whence a part comes to its place over the last 100 mm, in words."""
    shift, turned_deg = way.last_stretch
    size = float(np.linalg.norm(shift))
    sides = [
        words[0 if value > 0.0 else 1]
        for value, words in zip(shift, _SIDES, strict=True)
        if size > 1.0 and abs(value) >= _SHARE * size
    ]
    comes = f"from {' and '.join(sides)}" if sides else "in its place"
    return comes if turned_deg < 1.0 else f"{comes}, turned by {turned_deg:.0f}° over the last 100 mm"


def opening_words(name: str) -> str:
    """An opening as it is said."""
    known = {
        "door-left": "the left door",
        "door-right": "the right door",
        "rear-door-left": "the left rear door",
        "rear-door-right": "the right rear door",
        "screen": "the screen opening",
        "tailgate": "the tailgate",
        "roof": "the roof",
    }
    return known.get(name, f"the opening '{name}'")


def check_gap(gap_mm: float) -> None:
    """Refuse a clearance on the way that cannot be.

    Raises:
        UserError: `WAY-011`.
    """
    if not LEAST_GAP_MM <= gap_mm <= MOST_GAP_MM:
        raise UserError(
            Finding(
                code="WAY-011",
                severity=Severity.STOP,
                sentence=f"A clearance of {gap_mm:g} mm on the way in cannot be: the limits are {LEAST_GAP_MM:g} mm "
                f"and {MOST_GAP_MM:g} mm.",
                todo="Check the unit; 3 mm is usual.",
                measured=gap_mm,
                limit=MOST_GAP_MM if gap_mm > MOST_GAP_MM else LEAST_GAP_MM,
                unit="mm",
            )
        )


def chosen_openings(openings: Sequence[ShellOpening], through: Sequence[str]) -> tuple[ShellOpening, ...]:
    """The openings that were asked for, or all.

    Raises:
        UserError: `WAY-002` when none is known, `WAY-003` for one that is not.
    """
    names = [one.name for one in openings]
    if not openings:
        raise UserError(
            Finding(
                code="WAY-002",
                severity=Severity.STOP,
                sentence="No opening of the shell is known: none was typed, and none is seen from the cabin.",
                todo="Put landmarks at its corners: door_opening_1, 2, 3 (or screen_, tailgate_), or scan the shell "
                "with doors and glass out.",
            )
        )
    for name in through:
        if name not in names:
            raise UserError(
                Finding(
                    code="WAY-003",
                    severity=Severity.STOP,
                    sentence=f"No opening '{name}' is known.",
                    todo=f"Known are: {', '.join(names)}. Others are typed as landmarks NAME_opening_1, 2, 3, ...",
                    objects=(name,),
                )
            )
    return tuple(one for name in (through or names) for one in openings if one.name == name)


def step_findings(
    step: Step, help_: WouldHelp, openings: Sequence[ShellOpening], region_of: Callable[[int], str]
) -> tuple[Finding, ...]:
    """What a person should know of one step."""
    found = [_too_early(step)] if step.too_early_for else []
    way = step.way
    if way.foul is not None:
        found.append(_fouls(way, region_of))
    elif not way.found and way.off == 0:
        found.append(_stays(step, help_))
    elif not way.found:
        found.append(_no_way(step, help_, openings))
    return tuple(found)


def held_finding(held: Held, way: Way) -> Finding:
    """How a bar that its copes hold at both ends gets to its place."""
    ends = " and ".join(f"{end.on} ({end.ears_mm:.0f} mm round it)" for end in held.ends)
    slides = (
        f"straight it only slides along them ({', '.join(f'{x:.2f}' for x in held.along)})"
        if held.along is not None
        else "straight it does not come off at all"
    )
    goes = f"It goes in {whence(way)}." if way.found else "No way in was found."
    return Finding(
        code="WAY-008",
        severity=Severity.NOTE,
        sentence=f"{held.name} is coped at both ends, to {ends}: {slides}. {goes}",
        todo="Try it dry before the next bar is tacked; ears that are ground back let it go in straight.",
        objects=(held.name, *(end.on for end in held.ends)),
        measured=max(end.ears_mm for end in held.ends),
        unit="mm",
    )


def order_findings(cage: Cage, names: Sequence[str]) -> tuple[Finding, ...]:
    """What is wrong with an order as typed, apart from its ways.

    Raises:
        UserError: `CAGE-001` for a bar that is not there, `WAY-006` for one that comes twice.
    """
    for name in names:
        cage.member(name)
    twice = sorted({name for name in names if list(names).count(name) > 1})
    if twice:
        raise UserError(
            Finding(
                code="WAY-006",
                severity=Severity.STOP,
                sentence=f"The order names {', '.join(twice)} more than once.",
                todo="Name each bar once; join those that go in tacked together with a plus sign.",
                objects=tuple(twice),
            )
        )
    left = tuple(member.member_id for member in cage.members if member.member_id not in names)
    if not left:
        return ()
    return (
        Finding(
            code="WAY-007",
            sentence=f"The order leaves out {', '.join(left)}; they were taken to go in after all others.",
            todo="Name every bar, or find an order (--order auto).",
            objects=left,
        ),
    )


def opening_findings(openings: Sequence[ShellOpening], is_cloud: bool) -> tuple[Finding, ...]:
    """What the ways are built on."""
    seen = [one for one in openings if not one.typed]
    found = []
    if seen:
        sizes = "; ".join(f"{one.name} about {one.wide_mm:.0f} x {one.high_mm:.0f} mm" for one in seen)
        found.append(
            Finding(
                code="WAY-009",
                severity=Severity.NOTE,
                sentence=f"Openings seen from the cabin in the scan: {sizes}. What was not scanned counts as open.",
                todo="Doors, glass, seats and dash must be out as they were when it was scanned.",
                objects=tuple(one.name for one in seen),
            )
        )
    if is_cloud:
        found.append(
            Finding(
                code="WAY-010",
                sentence="The scan is a cloud of points: a way may pass between points through metal.",
                todo="Make a mesh of the points first.",
            )
        )
    return tuple(found)


def _too_early(step: Step) -> Finding:
    bars = ", ".join(step.too_early_for)
    return Finding(
        code="WAY-005",
        sentence=f"{'+'.join(step.group)} goes in before {bars}, which it ends on.",
        todo=f"Put {bars} before it, or tack them together (--tacked {'+'.join((*step.group, *step.too_early_for))}).",
        objects=(*step.group, *step.too_early_for),
    )


def _fouls(way: Way, region_of: Callable[[int], str]) -> Finding:
    foul = way.foul
    assert foul is not None  # noqa: S101 - asked by the caller
    into = foul.into or f"the shell ('{region_of(foul.triangle)}')"
    return Finding(
        code="WAY-004",
        sentence=f"{foul.name} cuts {foul.depth_mm:.1f} mm into {into} where it is drawn, {foul.along_mm:.0f} mm from "
        "end A: no way in was looked for.",
        todo="Mend the place first; 'hoopwright check' shows gaps and bars that run through each other.",
        objects=(foul.name, *((foul.into,) if foul.into else ())),
        point_mm=as_node(foul.place_mm),
        measured=-foul.depth_mm,
        limit=0.0,
        unit="mm",
    )


def _stays(step: Step, help_: WouldHelp) -> Finding:
    return Finding(
        code="WAY-012",
        sentence=f"{'+'.join(step.group)} was not brought off its place among the bars that are in by then, neither "
        "straight nor by small turns. That is no proof that it cannot be.",
        todo=_todo(help_),
        objects=step.group,
    )


def _no_way(step: Step, help_: WouldHelp, openings: Sequence[ShellOpening]) -> Finding:
    name, tried = "+".join(step.group), ", ".join(one.name for one in openings)
    part = step.way.carried.part
    along, radius = part.places_mm @ _axes(step.way).T, part.radius_mm[:, None]
    spans = sorted((along + radius).max(axis=0) - (along - radius).min(axis=0), reverse=True)
    size = " x ".join(f"{span:.0f}" for span in spans)
    widest = max(openings, key=lambda one: min(one.wide_mm, one.high_mm))
    return Finding(
        code="WAY-013",
        sentence=f"No way in was found for {name} ({size} mm) through {tried} in {step.way.trials} trials. That is no "
        f"proof that there is none. The widest opening, {widest.name}, is about {widest.wide_mm:.0f} x "
        f"{widest.high_mm:.0f} mm.",
        todo=_todo(help_),
        objects=step.group,
        measured=float(step.way.trials),
    )


def _axes(way: Way) -> np.ndarray:
    places = way.carried.part.places_mm
    return np.linalg.svd(places - places.mean(axis=0), full_matrices=False)[2]


def _todo(help_: WouldHelp) -> str:
    if not help_.searched:
        return "Ask for this bar alone to see what would help, or look longer (--trials)."
    if help_.later:
        return f"It goes when one of these is left until later: {', '.join(help_.later)}."
    if help_.alone:
        return "It goes into the empty shell: put it in before what stands in its way, or tack bars together."
    if help_.in_two:
        return "In two pieces, cut at its middle, it goes into the empty shell. Ask whether the rules allow a joint."
    return "Not even the empty shell let it in. Look longer (--trials), or widen the opening."
