"""What holds and what does not, for the whole cage: asked for, and then clicked through."""

from dataclasses import dataclass
from typing import Literal

from nicegui import ui

from hoopwright.findings import Verdict
from hoopwright.jobs.check_places import place_of_row
from hoopwright.jobs.checks import CheckReport, check_project
from hoopwright.jobs.rows import CheckRow
from hoopwright.units import told_in
from hoopwright.web.bench import Bench
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.picks import (
    EDGES,
    ORDER,
    SIGNS,
    finding_list,
    numbers_of,
    older,
    pick_table,
    show_place,
)

Shown = Literal["all", "failed", "not checked"]


@dataclass
class _State(Made[CheckReport]):
    """What this page last checked."""

    shown: Shown = "all"
    bar_only: bool = False


def build(bench: Bench) -> None:
    """Fill the tab."""
    state = _State()

    async def check() -> None:
        await make(
            bench,
            state,
            "Checking the cage",
            lambda folder, progress: check_project(folder, progress=progress),
        )

    with ui.row().classes("hw-row"):
        ui.button("Check the cage", on_click=check).classes("hw-button")
        ui.label("Measured value against typed limit; nothing more is said.").classes("hw-soft")

    def key() -> tuple[object, ...]:
        chosen = bench.chosen if state.bar_only else None
        return (id(state.report), bench.seen.version, bench.units, state.shown, state.bar_only, chosen)

    fill_part(bench, key, lambda: _report(bench, state))


def _report(bench: Bench, state: _State) -> None:
    report = state.report
    if report is None:
        bars = len(bench.seen.project.cage.members)
        words = "Not checked yet." if bars else "No bars to check yet. Lay a cage out first."
        ui.label(words).classes("hw-soft")
        return
    older(bench, state.version, "Check the cage again.")
    counts = {verdict: sum(row.verdict is verdict for row in report.rows) for verdict in Verdict}
    choices: dict[Shown, str] = {
        "all": f"all {len(report.rows)}",
        "failed": f"✗ {counts[Verdict.FAIL]} failed",
        "not checked": f"? {counts[Verdict.NOT_CHECKED]} not checked",
    }

    def choose(shown: Shown) -> None:
        state.shown = shown
        bench.tell()

    ui.toggle(choices, value=state.shown, on_change=lambda event: choose(event.value)).props(
        'dense no-caps role="group" aria-label="Which checks are listed"'
    )

    def only_chosen(value: bool) -> None:
        state.bar_only = value
        bench.tell()

    ui.checkbox(
        "only the chosen bar", value=state.bar_only, on_change=lambda event: only_chosen(bool(event.value))
    ).props("dense")
    ui.label(f"✓ {counts[Verdict.PASS]} pass").classes("hw-soft")
    _table(bench, report, [row for row in report.rows if _is_shown(bench, state, row)])
    ui.label("Findings").classes("hw-head")
    findings = [
        one
        for one in report.findings
        if not state.bar_only or not bench.chosen or bench.chosen in one.objects
    ]
    finding_list(bench, findings, none="Nothing else was found.")


def _is_shown(bench: Bench, state: _State, row: CheckRow) -> bool:
    if state.bar_only and bench.chosen is not None and row.about != bench.chosen:
        return False
    wanted = {"failed": Verdict.FAIL, "not checked": Verdict.NOT_CHECKED}.get(state.shown)
    return wanted is None or row.verdict is wanted


def _table(bench: Bench, report: CheckReport, rows: list[CheckRow]) -> None:
    if not rows:
        ui.label("None of these.").classes("hw-soft")
        return
    names = [member.member_id for member in bench.seen.project.cage.members]
    places = {name: number for number, name in enumerate(names)}
    rows = sorted(rows, key=lambda row: (places.get(row.about, len(places)), ORDER.index(row.verdict)))

    def pick(number: int) -> None:
        row = rows[number]
        place = place_of_row(report, row, bench.seen.project.cage)
        show_place(bench, place, f"{row.about}: {row.check}", bar_id=row.about)

    pick_table(
        ["of", "check", "ends in"],
        [
            [
                row.about,
                _check(bench, row),
                "\n".join(filter(None, (SIGNS[row.verdict], numbers_of(bench, row)))),
            ]
            for row in rows
        ],
        pick,
        classes=[EDGES.get(row.verdict, "") for row in rows],
        widths=(78, 0, 130),
    )


def _check(bench: Bench, row: CheckRow) -> str:
    return f"{row.check}\n{told_in(row.where, bench.units)}" if row.where else row.check
