"""`hoopwright scan`: take a scan in, prove its size, see what is known of it."""

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from hoopwright.cli import typed
from hoopwright.cli.output import (
    AsJson,
    ShownProgress,
    is_terminal,
    progress_bar,
    show,
    stopping_on_findings,
    table_text,
)

if TYPE_CHECKING:
    from hoopwright.jobs.questions import Ask, Question
    from hoopwright.jobs.scan_reports import ScanReport
    from hoopwright.shell.records import ScanLandmark


def scan(
    project: Annotated[Path, typer.Argument(help="Project folder.")],
    file: Annotated[
        Path | None, typer.Argument(help="Scan: STL, PLY, OBJ, GLB, E57, LAS, LAZ, XYZ, PTS or PTX.")
    ] = None,
    unit: Annotated[str | None, typer.Option(help="Unit of the file: mm, cm, m, in or ft.")] = None,
    nose: Annotated[
        str | None, typer.Option(help="The file's axis nearest to the car's nose, such as +x.")
    ] = None,
    up: Annotated[str | None, typer.Option(help="The file's axis nearest to up, such as +z.")] = None,
    landmarks: Annotated[
        Path | None,
        typer.Option(
            help="Align by landmarks: CSV with the columns name, scan_x, scan_y, scan_z, forward, left, up, twin."
        ),
    ] = None,
    as_given: Annotated[
        bool, typer.Option("--as-given", help="The file is already in vehicle axes.")
    ] = False,
    tape: Annotated[
        list[str] | None,
        typer.Option(
            help="Tape distance 'name: length: F,L,U: F,L,U'; '=F,L,U' is a datum, not metal. Repeatable."
        ),
    ] = None,
    region: Annotated[list[str] | None, typer.Option(help="Name a region: 'name=F,L,U'. Repeatable.")] = None,
    aligned: Annotated[
        Path | None, typer.Option(help="Write the body in vehicle axes as PLY, to find places in a viewer.")
    ] = None,
    yes: Annotated[
        bool, typer.Option("--yes", help="Take every proposal (unit, nose) as your answer.")
    ] = False,
    as_json: AsJson = False,
) -> None:
    """Take a scan into the project, or tell what is known of the one that is there."""
    from hoopwright.jobs import scans
    from hoopwright.jobs.scan_axes import ScanAnswers
    from hoopwright.jobs.scan_reports import scan_report
    from hoopwright.store import ProjectFolder

    if file is None and (unit or nose or up or landmarks or as_given or yes):
        raise typer.BadParameter("these options go with a scan file", param_hint="FILE")
    with stopping_on_findings(as_json):
        folder = ProjectFolder(path=project)
        distances = [typed.tape_distance(text) for text in tape or ()]
        places = [typed.named_region(text) for text in region or ()]
        with progress_bar(as_json) as progress:
            taken = None
            if file is not None:
                answers = ScanAnswers(
                    unit=unit,
                    nose=nose,
                    up=up,
                    as_given=as_given,
                    landmarks=_landmarks(landmarks, unit),
                )
                ask = _ask(progress, yes=yes, as_json=as_json)
                taken = scans.take_scan(folder, file, answers, ask=ask, progress=progress)
            if distances:
                scans.add_tape(folder, distances)
            if places:
                scans.name_places(folder, places)
            if aligned is not None:
                scans.write_aligned(folder, aligned)
            report = taken
            if report is None or distances or places:
                report = scan_report(folder, taken=taken, progress=progress)
        show(as_json, lambda: _keys(report), _text(report), report.findings)


def _landmarks(file: Path | None, unit: str | None) -> "tuple[ScanLandmark, ...]":
    if file is None:
        return ()
    if unit is None:
        raise typer.BadParameter("the places in the scan need its unit: add --unit", param_hint="--landmarks")
    return typed.scan_landmarks(file, typed.one_of(unit, ("mm", "cm", "m", "in", "ft"), "a unit"))


def _ask(progress: ShownProgress, *, yes: bool, as_json: bool) -> "Ask":
    def take_proposal(question: "Question") -> str | None:
        if not question.is_likely:
            return None
        progress.pause()
        print(f"{question.sentence} Taken: {question.proposal}.", file=sys.stderr)
        return question.proposal

    def prompt(question: "Question") -> str | None:
        if as_json or not is_terminal(sys.stdin):
            return None
        progress.pause()
        print(question.sentence, file=sys.stderr)
        shown = "/".join(question.choices)
        return str(typer.prompt(f"{question.about} [{shown}]", default=question.proposal, err=True))

    return take_proposal if yes else prompt


def _keys(report: "ScanReport") -> dict[str, Any]:
    return {
        "source": report.source_name,
        "unit": report.unit,
        "triangles": report.triangles,
        "points": report.points,
        "size_mm": list(report.size_mm),
        "low_mm": list(report.low_mm),
        "high_mm": list(report.high_mm),
        "aligned_by": report.aligned_by,
        "residual_mm": report.residual_mm,
        "landmark_residuals_mm": report.landmark_residuals_mm,
        "right_closer_mm": report.sides.right_closer_mm if report.sides else None,
        "sides": [vars(part) for part in report.sides.parts] if report.sides else [],
        "tape": [
            {
                "name": result.distance.name,
                "tape_mm": result.distance.tape_mm,
                "scan_mm": result.scan_mm,
                "difference_mm": result.difference_mm,
                "per_metre_mm": result.per_metre_mm,
                "verdict": result.verdict.value,
            }
            for result in report.tape
        ],
    }


def _text(report: "ScanReport") -> str:
    length, width, height = (side / 1000.0 for side in report.size_mm)
    kind = f"{report.triangles:,} triangles" if report.triangles else f"{report.points:,} points (cloud)"
    lines = [
        f"{report.source_name}: {kind}, read as {report.unit}; {length:.3f} x {width:.3f} x {height:.3f} m",
        f"vehicle axes {_axes_words(report)}",
        "in them the body goes from " + _box_words(report),
    ]
    if report.landmark_residuals_mm:
        lines += [
            f"  {name:<24} off by {value:.1f} mm" for name, value in report.landmark_residuals_mm.items()
        ]
    if report.sides:
        sides = report.sides
        lines.append(
            f"left against right: typically {sides.typical_mm:.1f} mm, 95 % within {sides.largest_mm:.1f} mm "
            f"({sides.matched_share:.0%} of the left has a counterpart)"
        )
    if report.tape:
        rows = [
            [
                r.distance.name,
                f"{r.distance.tape_mm:.1f}",
                "-" if r.scan_mm is None else f"{r.scan_mm:.1f}",
                "-" if r.difference_mm is None else f"{r.difference_mm:+.1f}",
                "-" if r.per_metre_mm is None else f"{r.per_metre_mm:.2f}",
                r.verdict.value,
            ]
            for r in report.tape
        ]
        lines += ["", table_text(["tape", "tape mm", "scan mm", "scan - tape", "mm per m", ""], rows)]
    return "\n".join(lines)


def _box_words(report: "ScanReport") -> str:
    (rear, right, low), (front, left, high) = report.low_mm, report.high_mm
    return (
        f"forward {round(front)} to {round(rear)}, left {round(left)} to {round(right)}, "
        f"up {round(low)} to {round(high)} mm"
    )


def _axes_words(report: "ScanReport") -> str:
    if report.aligned_by == "symmetry":
        return f"by symmetry (mirror image within {report.residual_mm:.1f} mm rms)"
    if report.aligned_by == "landmarks":
        return f"by landmarks (within {report.residual_mm:.1f} mm rms)"
    return "as given in the file"
