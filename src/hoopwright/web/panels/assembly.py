"""How each bar gets into the car, and in which order."""

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.assembly import AssemblyReport, plan_assembly
from hoopwright.joints.ways.order import Step
from hoopwright.web.bench import Bench
from hoopwright.web.entries import length_entry, text_entry
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.picks import finding_list, older, pick_table, show_place


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = Made[AssemblyReport]()
    gap = length_entry("Clearance that a bar keeps on its way", value="3")
    tacked = text_entry("Bars that go in as one piece", hint="none; such as SB-L+SC+SB-R, HD+HB-L")
    keep = ui.checkbox("Keep the order in the project", value=False).props("dense")

    async def look(use: str) -> None:
        try:
            gap_mm = gap.maybe()
        except UserError as error:
            bench.say(error.findings)
            return
        groups = tuple(
            tuple(name.strip() for name in words.split("+"))
            for words in tacked.text.split(",")
            if words.strip()
        )
        kept, bar = bool(keep.value) and use != "bar", bench.chosen if use == "bar" else None
        if use == "bar" and bar is None:
            ui.notify("Choose a bar in the list first.")
            return
        await make(
            bench,
            state,
            f"Looking for the way in of {bar}" if bar else "Looking for an order of assembly",
            lambda folder, progress: plan_assembly(
                folder,
                bar=bar,
                gap_mm=3.0 if gap_mm is None else gap_mm,
                use="auto" if use == "auto" else "",
                tacked=groups,
                keep=kept,
                progress=progress,
            ),
            edits=kept,
        )

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Find an order", on_click=lambda: look("auto")).classes("hw-button")
        ui.button("Check the project's", on_click=lambda: look("")).props("flat dense")
        ui.button("Only the chosen bar", on_click=lambda: look("bar")).props("flat dense")
    fill_part(
        bench, lambda: (id(state.report), bench.seen.version, bench.units), lambda: _report(bench, state)
    )


def _report(bench: Bench, state: Made[AssemblyReport]) -> None:
    report = state.report
    if report is None:
        order = bench.seen.project.cage.order
        words = (
            f"The project's order: {', '.join(order)}." if order else "No order is kept in the project yet."
        )
        ui.label(words).classes("hw-soft")
        return
    older(bench, state.version, "Look again.")

    def pick(number: int) -> None:
        step = report.steps[number]
        tight, foul = step.way.tightest, step.way.foul
        place = tight.place_mm if tight is not None else None
        if place is None and foul is not None:
            forward, left, up = (float(x) for x in foul.place_mm)
            place = (forward, left, up)
        show_place(bench, place, f"{'+'.join(step.group)}: tightest", bar_id=step.group[0], across_mm=2500.0)
        track = [list(at) for at in report.track_mm(step)]
        marks = [{"points_mm": track, "text": "way of its middle", "through": True}] if track else []
        bench.view.show_marks("way", marks)

    pick_table(
        ["", "bar", "goes", "tightest"],
        [_row(bench, report, number, step) for number, step in enumerate(report.steps, start=1)],
        pick,
        classes=["" if step.way.found else "fail" for step in report.steps],
        widths=(34, 74, 0, 120),
    )
    if report.kept:
        ui.label("The order is kept in the project.")
    finding_list(bench, report.findings)


def _row(bench: Bench, report: AssemblyReport, number: int, step: Step) -> list[str]:
    way, name = step.way, "+".join(step.group)
    if not way.found:
        return [str(number), name, "✗ no way found", ""]
    tight = way.tightest
    near = (
        ""
        if tight is None
        else f"{bench.length(tight.clearance_mm)}\n{tight.to or report.region_of(tight.triangle)}"
    )
    return [str(number), name, f"✓ through {way.through}\n{report.whence(step)}", near]
