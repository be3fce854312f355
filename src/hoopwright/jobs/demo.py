"""The main job on an invented car, from scan to sheets."""

import math
import shutil
from collections import Counter
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path
from types import MappingProxyType
from typing import TYPE_CHECKING

from hoopwright.bars import Node
from hoopwright.cage import Limits
from hoopwright.democar import build_demo_scan, write_binary_stl
from hoopwright.democar.scenario import DemoScenario, demo_scenario, hidden_dies
from hoopwright.findings import Finding, Severity, UserError, Verdict
from hoopwright.fitting.layout import LayoutWishes
from hoopwright.jobs.calibrations import keep_calibration
from hoopwright.jobs.checks import check_project
from hoopwright.jobs.demo_hand_over import hand_over
from hoopwright.jobs.issuing_sheets import issue_sheets
from hoopwright.jobs.pictures import draw_pictures
from hoopwright.jobs.projects import lay_out, start_project
from hoopwright.jobs.scan_axes import ScanAnswers
from hoopwright.jobs.scans import add_tape, take_scan
from hoopwright.jobs.sheets import SheetWishes
from hoopwright.jobs.shells import scan_record
from hoopwright.progress import Progress, silent
from hoopwright.shell.axes import nearest_axis
from hoopwright.shell.records import TapeDistance, TapePlace
from hoopwright.store import ProjectFolder
from hoopwright.store.writing import write_whole
from hoopwright.tubes import TubeSize
from hoopwright.units import MM_PER_UNIT, format_length

if TYPE_CHECKING:
    from hoopwright.democar import DemoScan

_MARKER = "this-folder-is-a-demo.txt"
_PICKED = MappingProxyType(
    {
        "hoop_foot": "left_hoop_foot",
        "front_foot": "left_a_pillar_foot",
        "screen_corner": "left_a_pillar_top",
        "backstay_foot": "left_rear_strut_top",
    }
)
"""Landmark of the layout, and the place on the demo car that a person would pick for it."""


@dataclass(frozen=True, kw_only=True)
class DemoResult:
    """What the demo did.

    Args:
        told: What was done, one line each.
        look_at: Files worth a look, relative to the folder.
        findings: Of all steps.
    """

    told: tuple[str, ...]
    look_at: tuple[str, ...]
    findings: tuple[Finding, ...]


def run_demo(path: Path, *, date: str, progress: Progress = silent) -> DemoResult:
    """Make the demo car's scan and do the main job on it, up to the scrutineer's file.

    Args:
        path: Folder to make; a demo made before is made anew, anything else is refused.
        date: Day of issue for the sheets, ISO 8601.
        progress: Told how far it is.

    Raises:
        UserError: `DEMO-010` when the folder holds something else.
    """
    caged = run_demo_to_sheets(path, date=date, progress=progress)
    told = list(caged.told)
    files = hand_over(ProjectFolder(path=path), demo_scenario(), told, date=date, progress=progress)
    papers = sum(name.startswith("papers/") for name in caged.look_at)
    look_at = (*caged.look_at[:papers], *files, *caged.look_at[papers:])
    return DemoResult(told=tuple(told), look_at=look_at, findings=caged.findings)


def run_demo_to_sheets(path: Path, *, date: str, progress: Progress = silent) -> DemoResult:
    """Do the demo's first half: scan, calibration, cage and sheets, without driver, landings or rule book.

    Args:
        path: Folder to make; a demo made before is made anew, anything else is refused.
        date: Day of issue for the sheets, ISO 8601.
        progress: Told how far it is.

    Raises:
        UserError: `DEMO-010` when the folder holds something else.
    """
    _clear(path)
    scenario = demo_scenario()
    folder = ProjectFolder(path=path)
    told: list[str] = []
    findings: list[Finding] = []
    start_project(folder, scenario.car_name, Limits(gap_mm=12.0, clamp_mm=70.0))
    write_whole(path / _MARKER, b"Made by 'hoopwright demo', which makes it anew each time it runs.\n")
    progress("making the demo car", 0.0)
    scan = build_demo_scan(scenario.car, progress)
    file = path / scenario.scan_file
    write_binary_stl(file, scan.triangles, unit=scenario.scan_unit)
    told.append(f"scan of the {scenario.car_name} made: {len(scan.triangles):,} triangles, in {file.name}")
    _take_in(folder, file, scenario, scan, told, findings, progress)
    _calibrate(folder, scenario, told)
    _cage(folder, scan, told, findings, progress)
    wishes = SheetWishes(date=date, swings="clockwise", from_shop=False)
    issued = issue_sheets(folder, wishes, progress=progress)
    findings.extend(issued.findings)
    told.append(f"{len(issued.sheets)} bar sheets, an overview and a cut list written")
    pictures = draw_pictures(folder, progress=progress)
    told.append(f"{len(pictures)} pictures drawn")
    papers = tuple(f"papers/{name}.pdf" for name in ("bar-sheets", "overview", "cut-list"))
    return DemoResult(told=tuple(told), look_at=(*papers, *pictures), findings=tuple(findings))


def _clear(path: Path) -> None:
    if not path.exists() or (path.is_dir() and not any(path.iterdir())):
        return
    if path.is_dir() and (path / _MARKER).is_file():
        shutil.rmtree(path)
        return
    raise UserError(
        Finding(
            code="DEMO-010",
            severity=Severity.STOP,
            sentence=f"{path} holds something that is no demo. Nothing was touched.",
            todo="Name another folder: hoopwright demo FOLDER.",
            objects=(str(path),),
        )
    )


def _take_in(
    folder: ProjectFolder,
    file: Path,
    scenario: DemoScenario,
    scan: "DemoScan",
    told: list[str],
    findings: list[Finding],
    progress: Progress,
) -> None:
    """Answer the unit and the nose as the person in the scenario would, and type the tape distances."""
    nose = nearest_axis(scan.pose.directions([1.0, 0.0, 0.0]))
    report = take_scan(folder, file, ScanAnswers(unit=scenario.scan_unit, nose=nose), progress=progress)
    length, width, height = (side / 1000.0 for side in report.size_mm)
    told.append(
        f"taken in as {report.unit}: {length:.2f} x {width:.2f} x {height:.2f} m, axes by symmetry "
        f"(mirror image within {report.residual_mm:.1f} mm rms)"
    )
    to_car = _picking(folder, scan)
    add_tape(
        folder,
        [
            TapeDistance(
                name=reading.name,
                tape_mm=reading.read_mm,
                from_place=TapePlace(place_mm=to_car(reading.start_mm)),
                to_place=TapePlace(place_mm=to_car(reading.end_mm)),
            )
            for reading in scenario.tape
        ],
    )
    findings.extend(finding for finding in report.findings if finding.code != "SCAN-034")
    if report.sides is not None:
        told.append(
            f"left against right: typically {report.sides.typical_mm:.1f} mm, 95 % within "
            f"{report.sides.largest_mm:.1f} mm"
        )
    told.append(f"{len(scenario.tape)} tape distances typed")


def _picking(folder: ProjectFolder, scan: "DemoScan") -> Callable[[Node], Node]:
    """Where a true place of the demo car lies in the vehicle frame that was found, as a person picks it."""
    record = scan_record(folder.open().project)
    # the file is in metres as float32: it is taken in exactly as it was written
    assert math.isclose(MM_PER_UNIT[record.unit], 1000.0)  # noqa: S101

    def pick(place_mm: Node) -> Node:
        forward, left, up = record.to_vehicle.points(scan.pose.points(place_mm))
        return float(forward), float(left), float(up)

    return pick


def _calibrate(folder: ProjectFolder, scenario: DemoScenario, told: list[str]) -> None:
    for name, text in scenario.sample_bends.items():
        file = folder.path / name
        write_whole(file, text.encode())
        made = keep_calibration(folder, file)
        told.append(
            f"calibrated {made.name}: radius {format_length(made.clr_mm or 0.0)}, "
            f"start offset {format_length(made.start_offset_mm or 0.0)}, "
            f"tube for 90° {90 * (made.used_per_deg_mm or 0.0):.1f} mm"
        )


def _cage(
    folder: ProjectFolder, scan: "DemoScan", told: list[str], findings: list[Finding], progress: Progress
) -> None:
    pick = _picking(folder, scan)
    landmarks = {ours: pick(scan.landmarks[theirs]) for ours, theirs in _PICKED.items()}
    thick, thin = hidden_dies()
    wishes = LayoutWishes(
        lean_deg=4.0,
        hoop_tube=TubeSize(od_mm=thick.od_mm, wall_mm=thick.wall_mm),
        hoop_die=thick.name,
        hoop_clr_mm=137.5,
        brace_tube=TubeSize(od_mm=thin.od_mm, wall_mm=thin.wall_mm),
        brace_die=thin.name,
        brace_clr_mm=115.0,
        roof="v",
        dash_bar=True,
        sill_bars=True,
    )
    laid = lay_out(folder, landmarks, wishes, progress=progress)
    findings.extend(laid.findings)
    report = check_project(folder, progress=progress)
    findings.extend(report.findings)
    gaps = [gaps.smallest.gap_mm for gaps in report.gaps.values() if gaps.smallest is not None]
    ended = Counter(row.verdict for row in report.rows)
    told.append(
        f"cage laid out: {len(laid.cage.members)} bars, smallest gap {min(gaps):.1f} mm, "
        f"{len(report.rows)} checks, {ended[Verdict.FAIL]} failed, {ended[Verdict.NOT_CHECKED]} not checked"
    )
