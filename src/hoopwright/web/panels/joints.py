"""Joints: what is cut to what, what the feet stand on, gussets, what a torch reaches, and the order of assembly."""

import math
from dataclasses import dataclass

from nicegui import ui

from hoopwright.jobs.joints import JointsReport, joints_of
from hoopwright.jobs.paper_previews import wrap_preview
from hoopwright.joints.meet import EndCut
from hoopwright.joints.meet.hand_cut import HandCut
from hoopwright.units import shown
from hoopwright.web.bench import Bench
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.panels import assembly, gussets, landings, reach
from hoopwright.web.parts import table
from hoopwright.web.picks import finding_list, older, pick_table, show_place, svg_pages


@dataclass
class _State(Made[JointsReport]):
    """What this page last cut."""

    joint: str | None = None
    wrap: str | None = None


def build(bench: Bench) -> None:
    """Fill the tab."""
    with ui.expansion("Copes", value=True):
        _copes(bench)
    for words, fill in (
        ("Landings of the feet", landings.build),
        ("Gussets and ties", gussets.build),
        ("Reach of the torch", reach.build),
        ("Getting it in: order of assembly", assembly.build),
    ):
        with ui.expansion(words):
            fill(bench)


def _copes(bench: Bench) -> None:
    state = _State()

    async def cut() -> None:
        await make(
            bench, state, "Cutting the joints", lambda folder, progress: joints_of(folder, progress=progress)
        )

    ui.button("Cut the joints", on_click=cut).classes("hw-button")
    fill_part(bench, lambda: (id(state.report), bench.seen.version, bench.units), lambda: _list(bench, state))
    fill_part(
        bench,
        lambda: (id(state.report), bench.units, state.joint, state.wrap),
        lambda: _card(bench, state),
    )


def _list(bench: Bench, state: _State) -> None:
    report = state.report
    if report is None:
        ui.label("Which tube runs through, which is cut and how: cut the joints to see.").classes("hw-soft")
        return
    older(bench, state.version, "Cut the joints again.")
    ends = report.cuts.ends
    if not ends:
        ui.label("No end is coped: none lands on a bar that it meets.").classes("hw-soft")

    def pick(number: int) -> None:
        cut = ends[number]
        state.joint, state.wrap = cut.name, None
        show_place(bench, cut.main.place_mm, cut.name, bar_id=cut.bar_id, across_mm=400.0)
        bench.tell()

    if ends:
        pick_table(
            ["joint", "angle", "deep", "hole saw"],
            [
                [
                    cut.name,
                    f"{shown(cut.main.angle_deg, 1)}°",
                    bench.length(cut.depth_mm),
                    _saw(bench, report.by_hand[cut.name]),
                ]
                for cut in ends
            ],
            pick,
            widths=(0, 66, 78, 78),
        )
    if report.cuts.uncut:
        ui.label(f"Not cut: {', '.join(report.cuts.uncut)}; the findings say why.")
    finding_list(bench, report.findings)


def _saw(bench: Bench, hand: HandCut) -> str:
    return "no" if hand.one_saw is None else bench.length(hand.one_saw.saw_mm)


def _card(bench: Bench, state: _State) -> None:
    report = state.report
    ends = () if report is None else report.cuts.ends
    chosen = next((one for one in ends if one.name == state.joint), None)
    if report is None or chosen is None:
        if ends:
            ui.label("Choose a joint to see both ends of its bar.").classes("hw-soft")
        return
    bar = report.bar(chosen.bar_id)
    ui.label(f"Bar {bar.bar_id}").classes("hw-head")
    ui.label(
        f"{bench.length(bar.cut_mm)} along the tube from tip to tip, of a tube of {bench.length(bar.tube.blank_mm)}"
    )
    ui.label(f"Datum line: {bar.datum.words}")
    table(["measure", ""], [[one.words, bench.length(one.value_mm)] for one in bar.lengths])
    for cut in bar.ends:
        _end(bench, state, report, cut)


def _end(bench: Bench, state: _State, report: JointsReport, cut: EndCut) -> None:
    ui.label(f"End {cut.end}: {cut.name}, cope {cut.number}").classes("hw-head")
    for line in _words(bench, cut, report.by_hand[cut.name]):
        ui.label(line)

    def show() -> None:
        state.wrap = None if state.wrap == cut.name else cut.name
        bench.tell()

    is_shown = state.wrap == cut.name
    ui.button("Hide the wrap" if is_shown else "Show the wrap", on_click=show).props(
        f'flat dense aria-label="{"Hide" if is_shown else "Show"} the wrap of end {cut.end}"'
    )
    if is_shown:
        pages = wrap_preview(cut.wrap, project=bench.seen.project.name, unit=bench.units)
        svg_pages(pages, f"Wrap of {cut.name}; print it from Papers, never from this picture")


def _words(bench: Bench, cut: EndCut, hand: HandCut) -> list[str]:
    lines = []
    for header in cut.headers:
        what = "cut to" if header.is_main else "and to"
        bend = f", on its bend {header.bend}" if header.bend is not None else ""
        if header.bend is None and math.isfinite(header.to_bend_mm):
            bend = f", {bench.length(header.to_bend_mm)} from its nearest bend"
        along = bench.length(header.along_mm)
        lines.append(f"{what} {header.bar_id} at {shown(header.angle_deg, 1)}°, {along} from its end A{bend}")
    clock = cut.clocking
    lines.append(
        f"heel {shown(clock.heel_deg, 1)}° from the datum line, {bench.length(clock.heel_mm)} round the skin"
    )
    lines += [
        f"  {shown(turn, 1, sign=True)}° from the outside of bend {bend}"
        for bend, turn in clock.from_bends_deg
    ]
    short = cut.saw_off_mm < 0.0
    left = bench.length(abs(cut.saw_off_mm))
    lines.append(f"the tube is {left} too short" if short else f"saw {left} off, square, before coping")
    lines.append(f"tip {bench.length(cut.from_mark_mm)} from {cut.mark}")
    for saw in hand.saws:
        lines.append(
            f"hole saw {bench.length(saw.saw_mm)}, {shown(saw.from_square_deg, 1)}° from square, offset "
            f"{bench.length(abs(saw.offset_mm))}"
            if saw.does_it
            else f"hole saw: no, {saw.why_not}"
        )
    return lines
