"""What a person's scatter does to a bar: of a project, or of a bend table alone."""

from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.bars import Bar, nodes_from_table, read_bends_csv
from hoopwright.bender import (
    Calibration,
    Order,
    bend_numbers,
    default_order,
    placeholder_calibration,
    read_calibration,
)
from hoopwright.bender.bend_job import BendJob, BendSettings, plan_job
from hoopwright.bender.sheet_stops import refuse_inputs
from hoopwright.bender.tolerance.report import Tolerance, tolerance_of
from hoopwright.bender.tolerance.sources import USUAL, HandScatter
from hoopwright.bender.tolerance.tape import TAPE_SD_MM
from hoopwright.cage import bar_of
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.calibrations import calibration_for, calibrations_at_hand
from hoopwright.jobs.sheets import order_named
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize


@dataclass(frozen=True, kw_only=True)
class ToleranceWishes:
    """What is asked.

    Args:
        scatter: The person's.
        from_calibration: Whether the calibration's scatter of one bend takes the place of the angle's, and its own
            uncertainty is added.
        order: Order of bending, as on sheets; None for that of the last sheet, or the default.
        tape_sd_mm: Standard deviation of a tape reading.
        trials: How many bars to draw at random.
        seed: Seed of the random numbers.
    """

    scatter: HandScatter
    from_calibration: bool = False
    order: str | None = None
    tape_sd_mm: float = TAPE_SD_MM
    trials: int = 2000
    seed: int = 1


@dataclass(frozen=True, kw_only=True)
class ToleranceFound:
    """What was found, and where the scatter comes from.

    Args:
        bar: Its name.
        tolerance: What was found.
        angle_source: Where the scatter of the angle comes from, in words.
        findings: What a person should know.
    """

    bar: str
    tolerance: Tolerance
    angle_source: str
    findings: tuple[Finding, ...]


def tolerance_of_member(folder: ProjectFolder, member_id: str, wishes: ToleranceWishes) -> ToleranceFound:
    """Of a bar of a project, as its sheet would have it bent.

    Raises:
        UserError: `CAGE-001`, `BAR-...`, `TOL-001` to `TOL-004`.
    """
    project = folder.open().project
    member, bar = project.cage.member(member_id), bar_of(project.cage, member_id)
    calibration = calibration_for(calibrations_at_hand(folder, (member,)), member, placeholder=True)
    last = project.last_issued(member_id)
    wish = wishes.order or (last.order if last is not None else "auto")
    bar = replace(bar, clr_mm=bend_numbers(calibration).clr_mm)
    feeds = order_named(bar.bend_count, wish) or default_order(bar)
    trims = (member.end_a.trim_mm, member.end_b.trim_mm)
    return _found(bar, calibration, feeds, trims, wishes)


def tolerance_of_table(
    file: Path,
    *,
    clr_mm: float | None,
    tube: TubeSize,
    trims_mm: tuple[float, float],
    calibration_file: Path | None,
    wishes: ToleranceWishes,
) -> ToleranceFound:
    """Of a bend table in a CSV file; forward, left and up are those of its own frame.

    Raises:
        UserError: `CSV-...`, `BAR-...`, `CAL-...`, `SHEET-004` for a trim, `TOL-001` to `TOL-004`, `TOL-006`
            without a radius.
    """
    if calibration_file is not None:
        numbers = read_calibration(calibration_file)
        tube = numbers.tube
    elif clr_mm is not None:
        numbers = placeholder_calibration(tube, clr_mm)
    else:
        raise UserError(
            Finding(
                code="TOL-006",
                severity=Severity.STOP,
                sentence=f"{file.name} is taken as a bend table, which says no radius.",
                todo="Give --clr or --calibration; for a bar of a project, name it after the project folder.",
                objects=(str(file),),
            )
        )
    radius = bend_numbers(numbers).clr_mm
    table = read_bends_csv(file, radius)
    bar = Bar(name=file.stem, nodes_mm=nodes_from_table(table), clr_mm=radius, tube=tube)
    refuse_inputs(bar, numbers, *trims_mm)
    feeds = order_named(bar.bend_count, wishes.order or "auto") or default_order(bar)
    return _found(bar, numbers, feeds, trims_mm, wishes)


def _found(
    bar: Bar, calibration: Calibration, feeds: Order, trims_mm: tuple[float, float], wishes: ToleranceWishes
) -> ToleranceFound:
    job, settings = _job(bar, calibration, feeds, trims_mm)
    scatter, source = wishes.scatter, USUAL
    if wishes.from_calibration:
        scatter, source = _scatter_of(calibration, scatter)
    tolerance = tolerance_of(
        job,
        settings,
        scatter,
        calibration=calibration if wishes.from_calibration else None,
        tape_sd_mm=wishes.tape_sd_mm,
        trials=wishes.trials,
        seed=wishes.seed,
    )
    findings = tuple(_short_trims(bar, tolerance))
    return ToleranceFound(bar=bar.name, tolerance=tolerance, angle_source=source, findings=findings)


def _job(
    bar: Bar, calibration: Calibration, feeds: Order, trims_mm: tuple[float, float]
) -> tuple[BendJob, BendSettings]:
    return plan_job(bar, bend_numbers(calibration), feeds, trim_a_mm=trims_mm[0], trim_b_mm=trims_mm[1])


def _scatter_of(calibration: Calibration, scatter: HandScatter) -> tuple[HandScatter, str]:
    if not calibration.calibrated or calibration.springback is None:
        raise UserError(
            Finding(
                code="TOL-004",
                severity=Severity.STOP,
                sentence=f"Calibration '{calibration.name}' has no springback line, so it knows no scatter.",
                todo="Bend two or more angles and read each under load and after release, or leave --from-calibration "
                "out.",
                objects=(calibration.name,),
            )
        )
    angle = calibration.springback.scatter_sd_deg
    return replace(scatter, angle_sd_deg=angle), f"calibration '{calibration.name}'"


def _short_trims(bar: Bar, tolerance: Tolerance) -> tuple[Finding, ...]:
    return tuple(
        Finding(
            code="TOL-005",
            sentence=f"Bar {bar.name}: end {trim.end} has {trim.planned_mm:g} mm of trim; for 95 of 100 to be long "
            f"enough it needs {trim.needed_mm:.1f} mm with this scatter.",
            todo="Leave more trim there.",
            objects=(bar.name,),
            measured=trim.planned_mm,
            limit=trim.needed_mm,
            unit="mm",
        )
        for trim in tolerance.trims
        if trim.planned_mm < trim.needed_mm
    )
