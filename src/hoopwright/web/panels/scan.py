"""The scan: taking it in, its size against the tape, its axes, left against right."""

from typing import Any

from nicegui import ui

from hoopwright.findings import Verdict
from hoopwright.jobs.scan_reports import ScanReport
from hoopwright.shell.sides import SidesReport
from hoopwright.web.bench import Bench
from hoopwright.web.panels.axes import axes_section
from hoopwright.web.panels.known import Known
from hoopwright.web.panels.taking_in import taking_in_section
from hoopwright.web.panels.tape import tape_section
from hoopwright.web.parts import table
from hoopwright.web.picks import finding_list

_TAPES = 3


def build(bench: Bench) -> None:
    """Fill the tab."""
    known = Known(bench)
    summary = ui.column().classes("w-full gap-2")
    taking_in_section(bench, known)
    with ui.column().classes("w-full gap-0") as with_scan:
        axes_section(bench, known)
        tape_section(bench, known)
        _sides_section(bench, known)

    def show() -> None:
        there = bench.seen.project.scan is not None
        with_scan.set_visibility(there)
        summary.clear()
        with summary:
            _summary(bench, known)
        _mark_nose(bench, known.report)

    known.when_changed(show)
    bench.when_changed(known.follow)
    bench.when_changed(show)
    show()
    ui.timer(0.1, known.follow, once=True)


def _summary(bench: Bench, known: Known) -> None:
    if bench.seen.project.scan is None:
        ui.label("Start with the scan").classes("hw-head")
        ui.label(
            "Take the scan of the bare shell in. You are asked its unit and which way is forward. "
            "Then hold a few tape distances against it, and lay a cage out under Cage."
        ).classes("hw-soft")
        return
    finding_list(bench, known.findings)
    report = known.report
    if report is None:
        if not known.findings:
            ui.label("Looking at the scan ...").classes("hw-soft").props('role="status"')
        return
    kind = f"{report.triangles:,} triangles" if report.triangles else f"{report.points:,} points (cloud)"
    ui.label(report.source_name).classes("hw-head")
    sides = " x ".join(f"{side / 1000.0:.3f}" for side in report.size_mm)
    ui.label(f"{kind}, read as {report.unit}: {sides} m")
    ui.label(_axes_words(bench, report)).classes("hw-soft")
    finding_list(bench, report.findings)
    if not bench.seen.project.cage.members:
        ui.label(_next(report)).classes("hw-hold")


def _next(report: ScanReport) -> str:
    if not report.tape:
        return "Next: see that the arrow points where the nose is, then hold three tape distances against the scan."
    if any(one.verdict is Verdict.FAIL for one in report.tape):
        return "Next: measure again what blocks the sheets, and change it below."
    if len(report.tape) < _TAPES:
        return f"Next: tape distances until there are {_TAPES}, then Cage: lay one out, or add a bar."
    return "Next: Cage. Lay one out, or add a bar."


def _axes_words(bench: Bench, report: ScanReport) -> str:
    lengths = [
        f"{name} {bench.length(high)} to {bench.length(low)}"
        for name, low, high in zip(("forward", "left", "up"), report.low_mm, report.high_mm, strict=True)
    ]
    how = {
        "symmetry": f"by symmetry, its mirror image within {bench.length(report.residual_mm)}",
        "landmarks": f"by landmarks, within {bench.length(report.residual_mm)}",
        "as given": "as they are in the file",
    }[report.aligned_by]
    return f"Vehicle axes {how}. In them it goes {', '.join(lengths)}."


def _sides_section(bench: Bench, known: Known) -> None:
    box = ui.column().classes("hw-section")

    def show() -> None:
        box.clear()
        with box:
            ui.label("Left against right").classes("hw-head")
            if known.report is None:
                looking = bench.seen.project.scan is not None and not known.findings
                ui.label("The scan is being looked at." if looking else "Comes with the scan.").classes(
                    "hw-soft"
                )
            elif known.report.sides is None:
                ui.label("Not known: no metal of one side answers the other.").classes("hw-soft")
            else:
                _sides(bench, known.report.sides)

    known.when_changed(show)
    bench.when_changed(show)
    show()


def _sides(bench: Bench, sides: SidesReport) -> None:
    ui.label(
        f"Typically {bench.length(sides.typical_mm)} apart, 95 % within {bench.length(sides.largest_mm)}; "
        f"{sides.matched_share:.0%} of the left side has metal that answers it."
    )
    if sides.parts:
        rows = [
            [part.part, f"{part.from_up_mm:.0f} to {part.to_up_mm:.0f}", _closer(bench, part.right_closer_mm)]
            for part in sides.parts
        ]
        with ui.expansion("Part by part").classes("w-full hw-fold"):
            table(["part of the side", "up, mm", "closer to the middle"], rows)
    ui.label("Mirrored bars are measured on their own side.").classes("hw-soft")


def _closer(bench: Bench, right_closer_mm: float) -> str:
    side = "right" if right_closer_mm >= 0.0 else "left"
    return f"{side} by {bench.length(abs(right_closer_mm))}"


def _mark_nose(bench: Bench, report: ScanReport | None) -> None:
    """Says in the picture which end is the nose."""
    marks: list[dict[str, Any]] = []
    if report is not None and bench.tab == "Scan":
        front, middle = report.high_mm[0], (report.low_mm[2] + report.high_mm[2]) / 2.0
        start, tip = (front + 80.0, 0.0, middle), (front + 420.0, 0.0, middle)
        marks = [
            {"points_mm": [start, tip], "text": "nose"},
            {"points_mm": [(tip[0] - 90.0, 60.0, middle), tip, (tip[0] - 90.0, -60.0, middle)]},
        ]
    bench.view.show_marks("nose", marks)
