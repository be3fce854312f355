"""The sheet of a bar as it would be issued: what is asked of it, its order and its numbers."""

from dataclasses import dataclass, replace

from hoopwright.bars import Bar
from hoopwright.bender import (
    BarSheet,
    Calibration,
    Order,
    Swing,
    a_to_b,
    b_to_a,
    make_bar_sheet,
    middle_outward,
    order_from_text,
    placeholder_calibration,
)
from hoopwright.bender.room.standing import StandingBender
from hoopwright.cage import Member, bar_of, side_of
from hoopwright.findings import Finding
from hoopwright.jobs.bent_notes import bent_notes
from hoopwright.jobs.calibrations import calibration_for
from hoopwright.jobs.hole_rows import hole_notes
from hoopwright.jobs.orders import order_through
from hoopwright.jobs.shop_at_hand import ShopAtHand, machine_for
from hoopwright.store import Project
from hoopwright.units import LengthUnit


@dataclass(frozen=True, kw_only=True)
class SheetWishes:
    """How sheets are wanted.

    Args:
        date: Day of issue, ISO 8601.
        only: Bars; all without.
        order: `auto`, `A to B`, `B to A`, `middle outward`, or a list such as `2 from A, 1 from B`; None for that of
            the bar's last sheet, and `auto` where there is none.
        swings: Which way the bender swings the leading end, seen from above; as the project knows it without.
        paper: `A4` or `letter`.
        unit: Unit of the large figures.
        placeholder: Whether a bar without a calibration gets a sheet stamped "not calibrated".
        room: The bender in its room; `auto` is then the order that goes through it.
        shop_address: Where phones in the shop come in, such as `http://192.168.1.20:8642/`: the square code of a sheet
            then opens its bar there. Empty where none do: the code says which sheet it is.
        from_shop: Whether machine and die are taken from the shop where the project says nothing of them.
    """

    date: str
    only: tuple[str, ...] = ()
    order: str | None = None
    swings: Swing | None = None
    paper: str = "A4"
    unit: LengthUnit = "mm"
    placeholder: bool = False
    room: StandingBender | None = None
    shop_address: str = ""
    from_shop: bool = True


def sheet_of(
    project: Project,
    member: Member,
    calibrations: tuple[Calibration, ...],
    wishes: SheetWishes,
    shop: ShopAtHand,
) -> BarSheet:
    """The sheet of one member as it would be issued, with the revision that it would have.

    Raises:
        UserError: `CAL-...`, `SHEET-...` and `BAR-...` for bars that cannot be bent.
    """
    bar = bar_of(project.cage, member.member_id)
    machine = machine_for(project, member, shop, swings=swing_of(project, wishes)).machine
    calibration = _calibration(bar, member, calibrations, wishes)
    order = order_named(bar.bend_count, order_asked(project, member.member_id, wishes))
    crossed: tuple[Finding, ...] = ()
    if wishes.room is not None and bar.bend_count and wishes.order in (None, "auto"):
        order, crossed = order_through(bar, member, calibration, wishes.room, machine.swings)
    first = make_bar_sheet(
        bar,
        calibration,
        bar_id=member.member_id,
        title=member.role.value,
        machine=machine,
        side=side_of(bar),
        order=order,
        trim_a_mm=member.end_a.trim_mm,
        trim_b_mm=member.end_b.trim_mm,
        date=wishes.date,
        notes=(*hole_notes(project.cage, member.member_id), *bent_notes(project, member.member_id)),
    )
    first = replace(first, findings=(*first.findings, *crossed))
    last = project.last_issued(member.member_id)
    if last is None:
        return first
    same = last.identity == first.identity
    return replace(
        first, revision=last.revision if same else last.revision + 1, date=last.date if same else first.date
    )


def _calibration(
    bar: Bar, member: Member, calibrations: tuple[Calibration, ...], wishes: SheetWishes
) -> Calibration:
    if bar.bend_count:
        return calibration_for(calibrations, member, placeholder=wishes.placeholder)
    # a straight bar has nothing that a calibration could change
    straight = placeholder_calibration(member.tube, member.clr_mm, die=member.die)
    return replace(straight, name="none needed (straight)", calibrated=True)


def order_named(bends: int, wish: str) -> Order | None:
    """The order of that name, or None for the default one of the bar."""
    orders = {"A to B": a_to_b, "B to A": b_to_a, "middle outward": middle_outward}
    if not bends or wish == "auto":
        return None
    return orders[wish](bends) if wish in orders else order_from_text(wish, bends)


def order_asked(project: Project, bar_id: str, wishes: SheetWishes) -> str:
    """The order that is wished for, else that of the bar's last sheet: a new sheet is not bent in another by itself."""
    last = project.last_issued(bar_id)
    return wishes.order or (last.order if last is not None else "auto")


def swing_of(project: Project, wishes: SheetWishes) -> Swing | None:
    """Which way the leading end swings: as wished, as the room's bender can, as the project knows."""
    known = wishes.swings or project.swings
    if wishes.room is None or known in wishes.room.swings:
        return known
    return wishes.swings or wishes.room.swings[0]
