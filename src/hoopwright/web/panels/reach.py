"""What a torch reaches of every joint, and where the cage stands while the rest is welded."""

from nicegui import ui

from hoopwright.findings import UserError
from hoopwright.jobs.reach import ReachReport, weld_reach
from hoopwright.joints.reach import SeamReach, Station, Torch, Wish
from hoopwright.web.bench import Bench
from hoopwright.web.entries import Entry, length_entry
from hoopwright.web.made import Made, fill_part, make
from hoopwright.web.number_entries import angle_entry
from hoopwright.web.picks import finding_list, older, pick_table, show_place

_LENGTHS = {
    "nozzle_od_mm": "Nozzle: outside diameter",
    "nozzle_length_mm": "Nozzle: straight length to the neck",
    "handle_od_mm": "Handle: diameter",
    "handle_length_mm": "Handle: length that must find room",
    "stick_out_mm": "From the nozzle's end to the seam",
}
_ANGLES = {
    "neck_deg": "Neck: between nozzle and handle",
    "lean_deg": "Lean out of the middle of the joint, either side",
    "travel_deg": "Lean along the seam, either side",
}
_WHOLE = 0.995


def build(bench: Bench) -> None:
    """Fill the part of the tab."""
    state = Made[ReachReport]()
    needs = length_entry(
        "Room over the tube that the torch needs", hint="not typed: the torch is tried at every joint"
    )
    drop = length_entry("How far the tacked part is let down", hint="not typed: heights are tried")
    shift = length_entry("How far it is slid forward, backward below 0", hint="not typed: tried")
    tilt = angle_entry("How far its front goes down", hint="not typed: tried")
    with ui.expansion("The torch"):
        ui.label("Sizes of a usual torch (common practice, no source) until you type yours.").classes(
            "hw-soft"
        )
        usual = Torch()
        sizes: dict[str, Entry[float]] = {
            **{key: length_entry(label, value=f"{getattr(usual, key):g}") for key, label in _LENGTHS.items()},
            **{key: angle_entry(label, value=f"{getattr(usual, key):g}") for key, label in _ANGLES.items()},
        }

    def asked() -> tuple[Torch, Wish]:
        torch = Torch(**{key: value for key, one in sizes.items() if (value := one.maybe()) is not None})
        wish = Wish(
            needs_mm=needs.maybe(), drop_mm=drop.maybe(), shift_mm=shift.maybe(), tilt_deg=tilt.maybe()
        )
        return torch, wish

    async def try_it(*, take: bool) -> None:
        try:
            torch, wish = asked()
        except UserError as error:
            bench.say(error.findings)
            return
        await make(
            bench,
            state,
            "Trying the torch at every joint",
            lambda folder, progress: weld_reach(folder, torch=torch, wish=wish, take=take, progress=progress),
            edits=take,
        )

    with ui.row().classes("w-full items-center gap-2"):
        ui.button("Try the torch", on_click=lambda: try_it(take=False)).classes("hw-button")
        put = ui.button("Put the pedestals in", on_click=lambda: try_it(take=True)).props("flat dense")

    def show() -> None:
        report = state.report
        low = None if report is None else report.plan.low or report.plan.aside
        put.set_visibility(low is not None and bool(low.part.legs))
        _report(bench, state)

    fill_part(bench, lambda: (id(state.report), bench.seen.version, bench.units), show)


def _report(bench: Bench, state: Made[ReachReport]) -> None:
    report = state.report
    if report is None:
        ui.label("Not tried yet.").classes("hw-soft")
        return
    older(bench, state.version, "Try the torch again.")
    plan = report.plan
    rows: list[tuple[SeamReach, list[str]]] = [
        (
            joint.in_place,
            [
                joint.seam.name,
                _shares(joint.in_place, joint.planned),
                "\n".join(filter(None, (joint.when.value, _way(joint.in_place)))),
            ],
        )
        for joint in plan.joints
    ]
    rows += [(foot, [foot.seam.name, _share(foot), _way(foot)]) for foot in plan.feet]

    def pick(number: int) -> None:
        seam = rows[number][0].seam
        forward, left, up = (float(x) for x in seam.points_mm[0])
        show_place(bench, (forward, left, up), seam.name, bar_id=seam.bars[0], across_mm=400.0)
        ring = [[float(x) for x in point] for point in seam.points_mm]
        bench.view.show_marks("seam", [{"points_mm": [*ring, ring[0]], "through": True}])

    if rows:
        pick_table(
            ["joint", "reached", "welded; in the way"],
            [cells for _, cells in rows],
            pick,
            classes=["" if seam.share >= _WHOLE else "open" for seam, _ in rows],
            widths=(110, 110, 0),
        )
    if plan.needed_drop_mm is not None and plan.rooms:
        least = plan.rooms[0]
        ui.label(
            f"Room over {least.about}: {bench.length(least.gap_mm)} to '{least.region}', so "
            f"{bench.length(plan.needed_drop_mm)} lower."
        )
    for name, station in (("Lower", plan.low), ("Aside", plan.aside)):
        if station is not None:
            _station(bench, name, station)
    for bar in report.changed:
        how = "" if bar.by_calibration else ", by the arcs of its axis: not calibrated"
        straights = ", ".join(bench.length(one) for one in bar.straights_mm)
        ui.label(f"{bar.bar_id}: straights {straights}; blank {bench.length(bar.blank_mm)}{how}")
    if report.steps:
        ui.label("Order of welding").classes("hw-head")
        with ui.element("ol").classes("hw-steps"):
            for step in report.steps:
                with ui.element("li"):
                    ui.label(step.what)
    if report.taken:
        ui.label(f"Pedestals put under {', '.join(report.taken)}; issue the sheets of those bars anew.")
    finding_list(bench, report.findings)
    ui.label("Reached means that the torch as typed finds room, and nothing of the weld.").classes("hw-soft")


def _share(reach: SeamReach) -> str:
    return f"{'✓' if reach.share >= _WHOLE else '△'} {100.0 * reach.share:.0f} %"


def _shares(now: SeamReach, planned: SeamReach) -> str:
    return _share(now) if planned is now else f"{_share(now)}\nthen {_share(planned)}"


def _way(reach: SeamReach) -> str:
    return "; ".join(f"{name} {degrees:.0f}°" for name, degrees in reach.blockers[:2])


def _station(bench: Bench, name: str, station: Station) -> None:
    place = station.place
    said = [
        f"{bench.length(place.drop_mm)} down" if place.drop_mm else "",
        f"{bench.length(abs(place.shift_mm))} {'forward' if place.shift_mm > 0 else 'back'}"
        if place.shift_mm
        else "",
        f"front {'down' if place.tilt_deg > 0 else 'up'} by {abs(place.tilt_deg):g}°"
        if place.tilt_deg
        else "",
    ]
    ui.label(f"{name}: {', '.join(filter(None, said))}; {', '.join(station.part.bars)}").classes("hw-head")
    contact = station.move.contact
    ui.label("✓ the move touches nothing" if contact is None else f"✗ the move touches {contact.region}")
    for leg in station.part.legs:
        ui.label(
            f"pedestal of {bench.length(station.pedestal_mm)} under {leg.bar_id} {leg.end}: last straight "
            f"{bench.length(leg.straight_mm)} to {bench.length(leg.new_straight_mm)}"
        )
