"""Whether a torch gets to every joint, and where the cage stands while the rest is welded."""

from collections.abc import Sequence
from dataclasses import dataclass, replace

from hoopwright.bars import Bar, Node, bend_table, check_shape
from hoopwright.cage import Cage, bars_of, end_meetings, feet_of, usual_hole_mm
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.fitting.holes import cut_for_bars
from hoopwright.jobs.bent_cage import cage_that_exists
from hoopwright.jobs.calibrations import as_bent, calibration_for, calibrations_at_hand
from hoopwright.jobs.going_along import loosened
from hoopwright.jobs.meetings import loose_end
from hoopwright.jobs.sheet_metal import SheetMetal, sheet_metal, shown_plates, surfaces_of
from hoopwright.jobs.shells import open_whole_shell
from hoopwright.joints.reach import (
    Leg,
    PlanStep,
    Torch,
    WeldPlan,
    Wish,
    plan_findings,
    plan_steps,
    plan_welding,
    plate_triangles,
    with_pedestals,
)
from hoopwright.progress import Progress, silent
from hoopwright.shell.shell import Shell
from hoopwright.store import ProjectFolder


@dataclass(frozen=True, kw_only=True)
class FloorHole:
    """What lets a foot through the floor in place of a pedestal.

    Args:
        bar_id: The bar.
        end: The end that stands there.
        place_mm: Where its axis meets the floor, vehicle frame.
        diameter_mm: How wide.
        deep_mm: How far the foot goes below the floor.
    """

    bar_id: str
    end: str
    place_mm: Node
    diameter_mm: float
    deep_mm: float


@dataclass(frozen=True, kw_only=True)
class ChangedBar:
    """A bar whose legs are cut for pedestals.

    Args:
        bar_id: The bar.
        straights_mm: Its straights when it is cut.
        blank_mm: Tube to cut for it, with its trims.
        by_calibration: Whether the tube that its bends use is measured; else the arcs of its axis are counted.
    """

    bar_id: str
    straights_mm: tuple[float, ...]
    blank_mm: float
    by_calibration: bool


@dataclass(frozen=True, eq=False, kw_only=True)
class ReachReport:
    """What was found.

    Args:
        plan: Reach of every joint, and the places.
        steps: The order of welding.
        changed: Bars whose legs are cut, mirrored ones with them.
        holes: Holes in the floor that would do in place of pedestals.
        shell: The shell that was tried in.
        bars: The bars that were tried.
        taken: Feet under which pedestals were put into the cage, such as `MH A`.
        findings: What a person should know.
    """

    plan: WeldPlan
    steps: tuple[PlanStep, ...]
    changed: tuple[ChangedBar, ...]
    holes: tuple[FloorHole, ...]
    shell: Shell
    bars: dict[str, Bar]
    taken: tuple[str, ...]
    findings: tuple[Finding, ...]


def weld_reach(
    folder: ProjectFolder,
    *,
    torch: Torch,
    wish: Wish,
    take: bool = False,
    progress: Progress = silent,
) -> ReachReport:
    """Try a torch at every joint of a project, and plan the welding.

    Bars that were bent and measured count as they exist; all others with their finished radius where it is known.

    Args:
        folder: The project.
        torch: The torch.
        wish: Room that it needs, or a place to try.
        take: Whether the pedestals are put into the cage, and its legs end on them; one edit, which `undo` takes back.
        progress: Told how far it is.

    Raises:
        UserError: `REACH-001` and `REACH-002` for numbers that cannot be, `REACH-012` when there is nothing to take,
            `REACH-013` when all that could be taken is bent already,
            `SCAN-014` without a scan, `BAR-...` for a bar that cannot be.
    """
    opened = folder.open()
    project = opened.project
    existing = cage_that_exists(project, as_bent(folder, project.cage))
    cage, bars = existing.cage, bars_of(existing.cage)
    stops = [stop for bar in bars.values() for stop in stopping(check_shape(bar))]
    if stops:
        raise UserError(*stops)
    shell = cut_for_bars(open_whole_shell(folder, project, progress=progress), cage).shell
    metal = sheet_metal(folder, project, cage, bars, progress=progress)
    plates = plate_triangles(
        surfaces_of(shown_plates(metal)), frozenset(made.part.name for made in metal.gussets)
    )
    plan = plan_welding(cage, bars, shell, torch=torch, wish=wish, plates=plates, progress=progress)
    loose = [loose_end(end) for end in end_meetings(cage) if not end.meets]
    findings = [*loose, *plan_findings(plan), *_cloud(shell), *_not_there(cage, metal)]
    legs = _legs(plan)
    put: tuple[Leg, ...] = ()
    if take:
        put, told = _take(folder, project.cage, legs, existing.bent)
        findings += told
    progress("planned", 1.0)
    return ReachReport(
        plan=plan,
        steps=plan_steps(plan),
        changed=_changed(folder, cage, plan),
        holes=_holes(plan, bars),
        shell=shell,
        bars=bars,
        taken=tuple(f"{leg.bar_id} {leg.end}" for leg in put),
        findings=tuple(findings),
    )


def _legs(plan: WeldPlan) -> tuple[Leg, ...]:
    """The legs of everything that is moved, each once."""
    found: dict[tuple[str, str], Leg] = {}
    for station in (plan.low, plan.aside):
        for leg in station.part.legs if station is not None else ():
            found.setdefault((leg.bar_id, leg.end), leg)
    return tuple(found.values())


def _changed(folder: ProjectFolder, cage: Cage, plan: WeldPlan) -> tuple[ChangedBar, ...]:
    bars = {
        leg.bar_id: station.part.bars[leg.bar_id]
        for station in (plan.aside, plan.low)
        if station is not None
        for leg in station.part.legs
    }
    members = [cage.member(name) for name in bars]
    calibrations = calibrations_at_hand(folder, members)
    changed = []
    for member in members:
        bar = bars[member.member_id]
        table = bend_table(bar)
        used = calibration_for(calibrations, member, placeholder=True).used_per_deg_mm
        bends = table.arcs_mm if used is None else tuple(used * angle for angle in table.angles_deg)
        trims = member.end_a.trim_mm + member.end_b.trim_mm
        changed.append(
            ChangedBar(
                bar_id=bar.name,
                straights_mm=table.straights_mm,
                blank_mm=sum(table.straights_mm) + sum(bends) + trims,
                by_calibration=used is not None,
            )
        )
    return tuple(changed)


def _holes(plan: WeldPlan, bars: dict[str, Bar]) -> tuple[FloorHole, ...]:
    """Holes straight under the feet, which let them down as they are."""
    if plan.low is None or plan.low.place.drop_mm <= 0.0:
        return ()
    return tuple(
        FloorHole(
            bar_id=leg.bar_id,
            end=leg.end,
            place_mm=leg.foot_mm,
            diameter_mm=usual_hole_mm(bars[leg.bar_id].tube.od_mm),
            deep_mm=plan.low.place.drop_mm,
        )
        for leg in plan.low.part.legs
        if leg.up_mm > 0.0
    )


def _take(
    folder: ProjectFolder, drawn: Cage, legs: Sequence[Leg], bent: Sequence[str]
) -> tuple[tuple[Leg, ...], list[Finding]]:
    """Put the pedestals into the drawn cage and save it, as one edit; bars that are bent already are left alone.

    A bar as bent is laid with its ends where the drawn ones are, so a drawn leg that is cut would lift it.
    """
    cut = [leg for leg in legs if leg.up_mm > 0.0]
    fixed = {
        name for leg in cut for name in _alike(drawn, leg.bar_id) if _alike(drawn, leg.bar_id) & set(bent)
    }
    to_put = tuple(leg for leg in cut if leg.bar_id not in fixed)
    told = [_exists(leg) for leg in cut if leg.bar_id in fixed]
    if not to_put:
        raise UserError(*(replace(one, severity=Severity.STOP) for one in told or [_nothing_to_take()]))
    opened = folder.open()
    cage = with_pedestals(drawn, to_put)
    folder.save(opened, replace(opened.project, cage=cage))
    names = dict.fromkeys(leg.bar_id for leg in to_put)
    return to_put, [*told, *(finding for name in names for finding in loosened(cage, name))]


def _alike(cage: Cage, name: str) -> set[str]:
    """A bar, the one that it mirrors, and those that mirror either."""
    own = cage.member(name).mirror_of or name
    return {own, *(member.member_id for member in cage.members if member.mirror_of == own)}


def _nothing_to_take() -> Finding:
    return Finding(
        code="REACH-012",
        severity=Severity.STOP,
        sentence="There is no pedestal to put: nothing is lowered, or the boxes are there already.",
        todo="Leave --take out, or type the drop with --drop or the room with --needs.",
    )


def _exists(leg: Leg) -> Finding:
    short_mm = leg.straight_mm - leg.new_straight_mm
    return Finding(
        code="REACH-013",
        sentence=f"Bar {leg.bar_id} or its mirror is bent already, so its end {leg.end} stays as drawn in the cage: a "
        f"pedestal of {leg.up_mm:.0f} mm needs {short_mm:.1f} mm cut off it.",
        todo="Cut it at the test fit, measure the bar again with 'hoopwright asbent', and choose its box with "
        "'hoopwright landing'.",
        objects=(leg.bar_id,),
        point_mm=leg.new_foot_mm,
        measured=short_mm,
        unit="mm",
    )


def _not_there(cage: Cage, metal: SheetMetal) -> tuple[Finding, ...]:
    """Landings and gussets that were chosen and cannot be made, so that nothing of them is in the way."""
    made = {(one.bar_id, one.end) for one in metal.landings}
    names = [
        f"{foot.bar_id} foot {foot.end}"
        for foot in feet_of(cage)
        if foot.landing is not None and (foot.bar_id, foot.end) not in made
    ]
    names += sorted({one.name for one in cage.gussets} - {one.gusset.name for one in metal.gussets})
    if not names:
        return ()
    return (
        Finding(
            code="REACH-016",
            severity=Severity.NOTE,
            sentence=f"Not counted as in the way, since they cannot be made as they were chosen: {', '.join(names)}.",
            todo="'hoopwright landing PROJECT' and 'hoopwright gusset list PROJECT' tell why.",
            objects=tuple(names),
        ),
    )


def _cloud(shell: Shell) -> tuple[Finding, ...]:
    if not shell.prepared.is_cloud:
        return ()
    return (
        Finding(
            code="REACH-014",
            sentence=f"The scan is a cloud of points about {shell.prepared.spacing_mm:.1f} mm apart: a torch is seen "
            "to meet metal only where it meets a point.",
            todo="Make a mesh of the points first where it is tight.",
            measured=shell.prepared.spacing_mm,
            unit="mm",
        ),
    )
