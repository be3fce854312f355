"""The chosen bar against shell and cage: gaps by region, the gap along it, what does not hold, and its sheet."""

from nicegui import run, ui

from hoopwright.findings import UserError
from hoopwright.jobs.bar_reports import BarReport, SheetStanding, report_bar
from hoopwright.shell.clearance import GapPlace
from hoopwright.web.bench import Bench
from hoopwright.web.picks import finding_list

MARK = "gap"
WAIT_S = 0.5
"""A person who drags on is not made to wait for the report of every place that he passed."""
_MOST = 8


def gaps_section(bench: Bench, bar_id: str, *, date: str) -> None:
    """Measure in the background and show what came of it.

    Args:
        bench: The page.
        bar_id: The bar.
        date: Today, ISO 8601.
    """
    box = ui.column().classes("w-full gap-1")
    with box:
        ui.label("Measuring ...").classes("hw-soft")
    version = bench.seen.version

    async def measure() -> None:
        if bench.tab not in ("", "Bar"):
            return
        waiting.deactivate()

        def made() -> BarReport:
            return report_bar(bench.desk.folder, bar_id, date=date, whole=bench.desk.whole_shell())

        try:
            report = await run.io_bound(made)
        except UserError as error:
            box.clear()
            with box:
                finding_list(bench, error.findings)
            return
        if report is None or bench.seen.version != version or bench.chosen != bar_id:
            return
        box.clear()
        with box:
            _report(bench, report)

    waiting = ui.timer(WAIT_S, measure, immediate=False)


def _report(bench: Bench, report: BarReport) -> None:
    if report.regions:
        ui.label("Gaps by region").classes("hw-head")
        ui.label("Click one to look there.").classes("hw-soft")
        for place in report.regions[:_MOST]:
            _row(bench, report.bar_id, place)
    if report.chart:
        with (
            ui.dialog().props('aria-label="Gap chart"') as dialog,
            ui.card().style("width: min(1100px, 94vw); max-width: 94vw"),
        ):
            ui.html(report.chart, sanitize=False).classes("hw-drawing")
            ui.button("Close", on_click=dialog.close).classes("hw-button")
        ui.html(report.chart, sanitize=False).classes("hw-drawing").props(
            f'role="img" aria-label="Gap along {report.bar_id}"'
        )
        ui.button("Larger", on_click=dialog.open).props('flat dense aria-label="Gap chart, larger"')
    _sheet(bench, report.sheet)
    if report.goes_along:
        ui.label("Goes along when it is moved").classes("hw-head")
        ui.label(", ".join(report.goes_along))
    ui.label("What does not hold").classes("hw-head")
    if report.findings:
        finding_list(bench, report.findings)
    else:
        ui.label("Nothing was found.")


def _row(bench: Bench, bar_id: str, place: GapPlace) -> None:
    limit_mm = bench.seen.project.cage.limits.gap_mm
    near = place.gap_mm < limit_mm - 0.05

    def look() -> None:
        line = [list(place.axis_mm), list(place.metal_mm)]
        words = f"{bar_id} {bench.length(place.gap_mm)}"
        bench.view.show_marks(MARK, [{"points_mm": line, "text": words, "through": True}])
        bench.view.look_at(place.metal_mm, 900.0)

    row = ui.element("button").classes("hw-item").on("click", look)
    with row, ui.row().classes("hw-row"):
        ui.label(bench.length(place.gap_mm) + (" !" if near else "")).classes(
            "hw-near" if near else "hw-hold"
        ).style("min-width: 74px")
        ui.label(place.region).classes("grow")
        ui.label(f"{bench.length(place.along_mm)} from A").classes("hw-soft").style("white-space: nowrap")


def _sheet(bench: Bench, sheet: SheetStanding) -> None:
    ui.label("Sheet").classes("hw-head")
    issued = "" if sheet.revision is None else f"revision {sheet.revision}, issued {sheet.date}"
    if sheet.state == "in force":
        ui.label(f"In force: {issued}.")
    elif sheet.state == "old":
        ui.label(
            f"OLD: {issued}. The bar or its calibration has changed since; do not bend from it."
        ).classes("hw-near")
    elif sheet.state == "never issued":
        ui.label("Never issued.")
    else:
        ui.label("Cannot be made now" + (f"; last one: {issued}." if issued else ".")).classes("hw-near")
        finding_list(bench, sheet.findings[:2])
