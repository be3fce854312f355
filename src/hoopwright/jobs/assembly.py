"""Getting it in: the way of every bar through an opening to its place, and the order of assembly."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from typing import Literal

import numpy as np

from hoopwright.bars import Node, as_node, check_shape
from hoopwright.cage import Cage, bars_of
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.jobs.bent_cage import cage_that_exists
from hoopwright.jobs.calibrations import as_bent
from hoopwright.jobs.shells import open_shell
from hoopwright.joints.ways.body import part_of, piece_of
from hoopwright.joints.ways.held import Held, held_by_copes
from hoopwright.joints.ways.openings import ShellOpening, openings_of
from hoopwright.joints.ways.order import (
    Group,
    Step,
    Workplace,
    check_order,
    ends_on,
    find_order,
    groups_of,
    would_help,
)
from hoopwright.joints.ways.planner import need_planner
from hoopwright.joints.ways.told import (
    WouldHelp,
    check_gap,
    chosen_openings,
    held_finding,
    opening_findings,
    order_findings,
    step_findings,
    whence,
)
from hoopwright.joints.ways.way import SEED, TRIALS, find_way
from hoopwright.progress import Progress, silent
from hoopwright.shell.moving import make_surroundings, region_triangles
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder

GAP_MM = 3.0
"""Clearance that a bar keeps on its way in (common practice, no source)."""
_AROUND_MM = 600.0


@dataclass(frozen=True, eq=False, kw_only=True)
class AssemblyReport:
    """Ways in, and the order of assembly.

    Args:
        shell: The shell with the holes of the cage's bars.
        place: What the ways were looked for in.
        openings: Openings that are known.
        steps: In the order of assembly; one alone where one bar was asked for.
        held: Bars that their copes hold at both ends.
        is_order: Whether the steps are the whole order.
        kept: Whether the order was kept in the project.
        findings: What a person should know.
    """

    shell: Shell
    place: Workplace
    openings: tuple[ShellOpening, ...]
    steps: tuple[Step, ...]
    held: Mapping[str, Held]
    is_order: bool
    kept: bool
    findings: tuple[Finding, ...]

    def region_of(self, triangle: int) -> str:
        """Name of the region of a triangle that a way comes near."""
        return _region(self.shell, triangle)

    def track_mm(self, step: Step) -> tuple[Node, ...]:
        """Where the middle of a part goes, from outside to its place, vehicle frame; empty without a way."""
        middle = np.asarray(step.way.carried.body.middle_mm, dtype=float)
        return tuple(as_node(middle + pose[:3]) for pose in step.way.fine)

    def whence(self, step: Step) -> str:
        """Whence a part comes to its place over the last 100 mm, in words."""
        return whence(step.way)


def plan_assembly(
    folder: ProjectFolder,
    *,
    bar: str | None = None,
    through: Sequence[str] = (),
    gap_mm: float = GAP_MM,
    order: Sequence[Group] | None = None,
    use: Literal["", "auto", "typed"] = "",
    tacked: Sequence[Group] = (),
    keep: bool = False,
    seed: int = SEED,
    trials: int = TRIALS,
    progress: Progress = silent,
) -> AssemblyReport:
    """The way in of one bar, or the order of assembly of all with a way for each.

    Args:
        folder: The project.
        bar: One bar, past those that are in before it; the whole cage without.
        through: Openings to try, in this order; all that are known without.
        gap_mm: Clearance on the way.
        order: An order to check; the project's own without, where it has one.
        use: `auto` looks for an order even where the project has one, `typed` stops where it has none.
        tacked: Bars that go in as one piece.
        keep: Keep the order in the project.
        seed: Of the random numbers.
        trials: How often the planner's trees are grown at most, for each opening.
        progress: Told how far it is.

    Raises:
        UserError: `WAY-001` without the planner, `WAY-002`, `WAY-003`, `WAY-006`, `WAY-011`, `WAY-014` to `WAY-016`,
            `CAGE-001`, `BAR-...` for a bar that cannot be, and what stops the scan from being opened.
    """
    need_planner()
    check_gap(gap_mm)
    opened = folder.open()
    existing = cage_that_exists(opened.project, as_bent(folder, opened.project.cage))
    cage = existing.cage
    _check_bars(cage, tacked)
    names = tuple(name for group in order or () for name in group) or (() if use == "auto" else cage.order)
    if use == "typed" and not names:
        raise UserError(_no_order())
    told = list(order_findings(cage, names)) if names else []
    if bar is not None:
        cage.member(bar)
    shell = open_shell(folder, opened.project, progress=progress)
    progress("measuring the shell", 0.05)
    place, openings = _workplace(shell, cage, through, gap_mm, seed, trials)
    groups = groups_of(cage, tacked)
    typed = _in_order(groups if order is None else order, names, groups)
    if bar is not None:
        steps: tuple[Step, ...] = (_one(place, bar, groups, typed),)
    elif names:
        steps = check_order(place, typed, progress=progress)
    else:
        steps = find_order(place, groups, progress=progress)
    steps = tuple(_with_more_room(place, steps, progress))
    kept = keep and bar is None
    if kept:
        flat = tuple(name for step in steps for name in step.group)
        folder.save(opened, replace(opened.project, cage=replace(opened.project.cage, order=flat)))
    held = {name: one for name in bars_of(cage) if (one := held_by_copes(cage, name)).is_held}
    findings = [*opening_findings(place.openings, shell.prepared.is_cloud), *told]
    for step in steps:
        helps = _what_helps(place, step, bar is not None, progress)
        findings += step_findings(step, helps, place.openings, lambda t: _region(shell, t))
        if not step.way.straight and len(step.group) == 1:
            findings += [held_finding(held[name], step.way) for name in step.group if name in held]
    progress("done", 1.0)
    return AssemblyReport(
        shell=shell,
        place=place,
        openings=openings,
        steps=steps,
        held=held,
        is_order=bar is None,
        kept=kept,
        findings=(*findings, *_plates_left_out(cage), *existing.findings),
    )


def _with_more_room(place: Workplace, steps: Sequence[Step], progress: Progress) -> Iterator[Step]:
    for number, step in enumerate(steps):
        progress(f"more room for {'+'.join(step.group)}", number / len(steps))
        yield place.with_more_room(step)


def _plates_left_out(cage: Cage) -> tuple[Finding, ...]:
    """Landings and gussets are taken to go in after the bars."""
    if not cage.landings and not cage.gussets:
        return ()
    return (
        Finding(
            code="WAY-017",
            severity=Severity.NOTE,
            sentence=f"{len(cage.landings)} chosen landings and {len(cage.gussets)} gussets are not in the way here: "
            "they are taken to go in after the bars.",
            todo="Tack landings and gussets on once the bars are in their places, or leave room for them by hand.",
        ),
    )


def _no_order() -> Finding:
    return Finding(
        code="WAY-016",
        severity=Severity.STOP,
        sentence="The project has no order of assembly yet.",
        todo="Find one (--order auto --keep), or type it (--order MH,SB-L,SB-R).",
    )


def _check_bars(cage: Cage, tacked: Sequence[Group]) -> None:
    stops = [one for bar in bars_of(cage).values() for one in stopping(check_shape(bar))]
    if stops:
        raise UserError(*stops)
    if not cage.members:
        raise UserError(
            Finding(
                code="WAY-015",
                severity=Severity.STOP,
                sentence="The cage has no bar yet.",
                todo="Lay one out with 'hoopwright layout', or add bars with 'hoopwright bar add'.",
            )
        )
    names = [cage.member(name).member_id for group in tacked for name in group]
    twice = sorted({name for name in names if names.count(name) > 1})
    if twice:
        raise UserError(
            Finding(
                code="WAY-014",
                severity=Severity.STOP,
                sentence=f"{', '.join(twice)} is in a tacked part twice.",
                todo="Name each bar in one part only.",
                objects=tuple(twice),
            )
        )


def _workplace(
    shell: Shell, cage: Cage, through: Sequence[str], gap_mm: float, seed: int, trials: int
) -> tuple[Workplace, tuple[ShellOpening, ...]]:
    nodes = np.concatenate([bar.nodes for bar in bars_of(cage).values()])
    low, high = nodes.min(axis=0), nodes.max(axis=0)
    openings = openings_of(shell, cage.landmarks, (low + high) / 2.0)
    chosen = chosen_openings(openings, through)
    place = Workplace(
        cage=cage,
        around=make_surroundings(shell, low - _AROUND_MM, high + _AROUND_MM),
        openings=chosen,
        gap_mm=gap_mm,
        seed=seed,
        trials=trials,
    )
    return place, openings


def _in_order(order: Sequence[Group], names: Sequence[str], groups: Sequence[Group]) -> tuple[Group, ...]:
    """Groups in the order of the names, those that it leaves out after all others."""
    rank = {name: number for number, name in enumerate(names)}
    own = [group for group in order if any(name in rank for name in group)]
    taken = {name for group in own for name in group}
    own += [group for group in groups if not taken.intersection(group)]
    return tuple(sorted(own, key=lambda group: min(rank.get(name, len(rank)) for name in group)))


def _one(place: Workplace, bar: str, groups: Sequence[Group], typed: Sequence[Group]) -> Step:
    """One bar past those that are in before it: by the order, or all that do not hang on it."""
    group = next(one for one in typed if bar in one)
    if place.cage.order:
        there = tuple(name for one in typed[: typed.index(group)] for name in one)
    else:
        later = set(group)
        while more := {
            name
            for one in groups
            for name in one
            if name not in later and later.intersection(ends_on(place.cage, one))
        }:
            later |= more
        there = tuple(name for one in groups for name in one if name not in later)
    early = tuple(name for name in ends_on(place.cage, group) if name not in there)
    return Step(group=group, there=there, way=place.way_of(group, there), too_early_for=early)


def _what_helps(place: Workplace, step: Step, alone: bool, progress: Progress) -> WouldHelp:
    """What would help a step without a way; looked for where it alone was asked for."""
    if step.way.found or step.way.foul is not None or not alone:
        return WouldHelp(searched=False)
    later = would_help(place, step, progress=progress)
    if later:
        return WouldHelp(later=later)
    if step.there and place.way_of(step.group, ()).found:
        return WouldHelp(alone=True)
    return WouldHelp(in_two=_in_two(place, step) if len(step.group) == 1 else None)


def _in_two(place: Workplace, step: Step) -> bool:
    part = part_of(place.cage, step.group)
    middle = float(part.along_mm.max()) / 2.0
    halves = (piece_of(part, step.group[0], low, high) for low, high in ((0.0, middle), (middle, np.inf)))
    empty = place.around.with_capsules(())
    return all(
        find_way(empty, half, place.openings, gap_mm=place.gap_mm, seed=place.seed, trials=place.trials).found
        for half in halves
    )


def _region(shell: Shell, triangle: int) -> str:
    """Name of the region of a triangle of the surroundings."""
    if triangle < 0:
        return "shell"
    own = region_triangles(shell)[triangle]
    return shell.region_names[int(shell.prepared.regions.of_triangle[own])]
