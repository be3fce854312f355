"""In which order a bar is bent so that it goes through the bender's room."""

from dataclasses import dataclass, replace
from pathlib import Path

from hoopwright.bars import Bar, BendTable, bend_table, check_shape, nodes_from_table, read_bends_csv
from hoopwright.bender import Calibration, Order, Swing, command_angle, read_calibration
from hoopwright.bender.room.files import EXAMPLE, read_room, room_from_keys, room_from_text
from hoopwright.bender.room.found import OrderSearch
from hoopwright.bender.room.handling import PlannedStep
from hoopwright.bender.room.search import find_order
from hoopwright.bender.room.standing import StandingBender
from hoopwright.bender.room.step_check import BendingTask
from hoopwright.bender.room.told import room_findings, step_lines, what_fails
from hoopwright.bender.room.turning import turn_findings
from hoopwright.bender.room.ways_out import WayOut, ways_out
from hoopwright.cage import Member, bar_of
from hoopwright.findings import Finding, Severity, UserError, stopping
from hoopwright.jobs.calibrations import calibration_for, calibrations_at_hand
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize, section_properties

_SHOWN_WALL_SHARE = 0.05


@dataclass(frozen=True, kw_only=True)
class OrderReport:
    """The orders of one bar in one room.

    Args:
        task: The bar as it was swept.
        bender: The bender in its room.
        search: What was found.
        helpful: What would help, where no order works.
        findings: What a person should know.
    """

    task: BendingTask
    bender: StandingBender
    search: OrderSearch
    helpful: tuple[WayOut, ...]
    findings: tuple[Finding, ...]


def order_of_table(
    file: Path, room: str, *, clr_mm: float, od_mm: float, calibration: Path | None = None
) -> OrderReport:
    """The orders of a bend table without a project.

    Args:
        file: CSV of bends, trims in the end straights.
        room: Room file, or `shop`; see `room_named`.
        clr_mm: Centreline radius.
        od_mm: Outside diameter.
        calibration: Sample bends or a printed calibration, for the angle under load; the finished angle without.

    Raises:
        UserError: `CSV-...`, `BAR-...`, `CAL-...` and `ROOM-...` for what cannot be.
    """
    bender = room_named(room)
    tube = TubeSize(od_mm=od_mm, wall_mm=od_mm * _SHOWN_WALL_SHARE)
    bar = Bar(
        name=file.stem, nodes_mm=nodes_from_table(read_bends_csv(file, clr_mm)), clr_mm=clr_mm, tube=tube
    )
    known = None if calibration is None else read_calibration(calibration)
    return _with_shape(bar, report_of(task_of(bar, bender, known), bender))


def order_of_bar(folder: ProjectFolder, name: str, room: str) -> OrderReport:
    """The orders of a project's bar, at its calibrated radius where there is a calibration.

    Raises:
        UserError: `STORE-...`, `CAGE-001`, `BAR-...`, `CAL-...` and `ROOM-...` for what cannot be.
    """
    return order_of_bar_in(folder, name, room_named(room))


def order_of_bar_in(folder: ProjectFolder, name: str, bender: StandingBender) -> OrderReport:
    """The orders of a project's bar in a room that is read already; raises as `order_of_bar`."""
    cage = folder.open().project.cage
    member = cage.member(name)
    calibration = calibration_for(calibrations_at_hand(folder, (member,)), member, placeholder=True)
    bar = bar_of(cage, name)
    return _with_shape(bar, report_of(member_task(bar, member, calibration, bender), bender))


def _with_shape(bar: Bar, report: OrderReport) -> OrderReport:
    """The report with what is to be known of the bar's shape, such as a bend that is nearly straight."""
    return replace(report, findings=(*check_shape(bar), *report.findings))


def member_task(bar: Bar, member: Member, calibration: Calibration, bender: StandingBender) -> BendingTask:
    """A member as it is swept: with its trims, at its calibrated radius."""
    trims = (member.end_a.trim_mm, member.end_b.trim_mm)
    return task_of(bar, bender, calibration, trims_mm=trims)


def task_of(
    bar: Bar,
    bender: StandingBender,
    calibration: Calibration | None,
    *,
    trims_mm: tuple[float, float] = (0.0, 0.0),
) -> BendingTask:
    """A bar as it is swept.

    Args:
        bar: The bar.
        bender: The bender in its room.
        calibration: Radius and angles under load; the bar's own radius and the finished angles without.
        trims_mm: Tube left beyond end A and end B.

    Raises:
        UserError: `BAR-...` for a bar that cannot be.
    """
    if calibration is not None and calibration.clr_mm is not None:
        bar = replace(bar, clr_mm=calibration.clr_mm)
    stops = stopping(check_shape(bar))
    if stops:
        raise UserError(*stops)
    table = bend_table(bar)
    first, *inner, last = table.straights_mm if bar.bend_count else (*table.straights_mm, 0.0)
    with_trims = replace(table, straights_mm=(first + trims_mm[0], *inner, last + trims_mm[1]))
    return BendingTask(
        name=bar.name,
        table=with_trims,
        od_mm=bar.tube.od_mm,
        kg_per_m=section_properties(bar.tube).kg_per_m,
        swings_deg=_swings_deg(table, calibration),
        clamp_mm=bender.clamp_mm,
        tail_mm=bender.tail_needed_mm,
        keep_clear_mm=bender.keep_clear_mm,
    )


def order_through(
    bar: Bar, member: Member, calibration: Calibration, bender: StandingBender, swings: Swing
) -> tuple[Order, tuple[Finding, ...]]:
    """The order for a member's sheet on a level bend plane, and what a person must know of it.

    Raises:
        UserError: `SHEET-015` when no order goes, `SHEET-016` when the bender stands level in no set-up.
    """
    if 0.0 not in bender.tilts_deg:
        why = f"bender {bender.name} never stands level, and sheets are for a level bend plane"
        raise UserError(
            _no_sheet("SHEET-016", bar.name, why, "Put 0 among its tilts, or issue without the room.")
        )
    level = replace(bender, swings=(swings,), tilts_deg=(0.0,))
    report = report_of(member_task(bar, member, calibration, level), level)
    graver = tuple(one for one in report.findings if one.severity is not Severity.NOTE)
    if report.search.chosen is None:
        why = f"no order goes through the room of bender {bender.name}"
        todo = "Bend it as what helps says, or issue without the room."
        raise UserError(_no_sheet("SHEET-015", bar.name, why, todo), *graver)
    return report.search.chosen.feeds, graver


def _no_sheet(code: str, bar: str, why: str, todo: str) -> Finding:
    return Finding(
        code=code, severity=Severity.STOP, sentence=f"Bar {bar}: {why}.", todo=todo, objects=(bar,)
    )


def report_of(task: BendingTask, bender: StandingBender) -> OrderReport:
    """Search, and what helps where nothing works."""
    search = find_order(task, bender)
    helpful = () if search.chosen else ways_out(task, bender, search.orders)
    turns = () if search.chosen is None else turn_findings(task, bender, search.chosen)
    return OrderReport(
        task=task,
        bender=bender,
        search=search,
        helpful=helpful,
        findings=(*room_findings(task, bender, search, helpful), *turns),
    )


def _indented(step: PlannedStep, name_set_up: bool) -> list[str]:
    first, *rest = step_lines(step, name_set_up=name_set_up)
    return [f"  {step.step}. {first}", *(f"     {line}" for line in rest)]


def room_named(words: str) -> StandingBender:
    """The bender in its room: of a file, or of the shop.

    Args:
        words: Name of a room file; `shop` for the one bender that the shop has described, `shop:NAME` for another.

    Raises:
        UserError: `ROOM-...`; `ROOM-015` when the shop has no such description.
    """
    word, _, name = words.partition(":")
    if word != "shop":
        return read_room(Path(words))
    described = {one.name: one for one in shop_at_hand().benders.values() if one.stand}
    chosen = described.get(name) if name else next(iter(described.values()), None)
    if chosen is None or (not name and len(described) > 1):
        raise UserError(_no_description(name, tuple(described)))
    return room_from_keys(chosen.stand, f"bender {chosen.name}")


def described_benders() -> tuple[str, ...]:
    """Names of the shop's benders of which it says how they stand.

    Raises:
        UserError: `SHOP-...` when there is a shop and it cannot be read.
    """
    return tuple(one.name for one in shop_at_hand().benders.values() if one.stand)


def typed_room(text: str) -> StandingBender:
    """The bender of a room file's text, as it was pasted or typed.

    Raises:
        UserError: `ROOM-001`, `ROOM-003`, `ROOM-004`.
    """
    return room_from_text(text, "the room as typed")


def _no_description(name: str, described: tuple[str, ...]) -> Finding:
    known = ", ".join(described) or "none yet"
    return Finding(
        code="ROOM-015",
        severity=Severity.STOP,
        sentence=f"The shop does not say how bender '{name}' stands."
        if name
        else f"The shop describes {len(described)} benders in their rooms, so none can be taken unnamed.",
        todo=f"Described are: {known}. Name one, 'shop:NAME', or add it: 'hoopwright bender change NAME --stand FILE'.",
    )


def example_room() -> str:
    """A room file to fill in."""
    return EXAMPLE


def order_in_words(report: OrderReport) -> tuple[str, ...]:
    """The chosen order step by step, or the nearest one; what stops the others, and what helps."""
    search, several = report.search, len(report.bender.set_ups) > 1
    shown = search.chosen or search.nearest
    lines = []
    if shown is not None:
        head = "chosen" if search.chosen else "nearest, does not go"
        lines = [
            f"{head}: {shown.name}",
            *(line for step in shown.steps for line in _indented(step, several)),
        ]
    for one in search.orders:
        worst = one.worst
        if worst is not None and one is not shown:
            feed = worst.check.feed
            lines.append(
                f"{one.name} does not go: bend {feed.bend}, end {feed.fed_from} leading: {what_fails(worst.check)}"
            )
    return (*lines, *(f"what helps: {way.what} (then {way.order})" for way in report.helpful))


def _swings_deg(table: BendTable, calibration: Calibration | None) -> tuple[float, ...]:
    if calibration is None or calibration.springback is None:
        return table.angles_deg
    return tuple(command_angle(calibration, angle).command_deg for angle in table.angles_deg)
