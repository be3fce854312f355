"""Tubes as their sheets have them marked: where bends start, what they use, and which marks are on them."""

from collections.abc import Sequence

from hoopwright.bars import centreline, check_shape
from hoopwright.bender import BarSheet
from hoopwright.cage import Member, bar_of
from hoopwright.findings import UserError, stopping
from hoopwright.geometry import STRAIGHT_THROUGH_DEG
from hoopwright.jobs.calibrations import calibrations_at_hand
from hoopwright.jobs.sheets import SheetWishes, sheet_of
from hoopwright.jobs.shop_at_hand import shop_at_hand
from hoopwright.joints.meet import MarkedTube, TubeMark, drawn_tube
from hoopwright.store import Project, ProjectFolder


def marked_tubes(folder: ProjectFolder, project: Project, members: Sequence[Member]) -> dict[str, MarkedTube]:
    """The tube of each member as its sheet has it marked, by name; reckoned along the axis where no sheet can be.

    A bar that was bent is marked as it was drawn. Bars that cannot be at all are left out.

    Raises:
        UserError: `CAL-...` and `SHOP-...` for files that cannot be read.
    """
    calibrations, shop = calibrations_at_hand(folder, members), shop_at_hand()
    tubes = {}
    for member in members:
        last = project.last_issued(member.member_id)
        wishes = SheetWishes(
            date="",
            order=None if last is None else last.order,
            swings=None if last is None else last.swings,
        )
        try:
            tubes[member.member_id] = tube_of_sheet(sheet_of(project, member, calibrations, wishes, shop))
        except UserError:
            bar = bar_of(project.cage, member.member_id)
            if not stopping(check_shape(bar)):
                tubes[member.member_id] = drawn_tube(
                    centreline(bar), trim_a_mm=member.end_a.trim_mm, trim_b_mm=member.end_b.trim_mm
                )
    return tubes


def tube_of_sheet(sheet: BarSheet) -> MarkedTube:
    """What a sheet puts on the tube."""
    steps = sorted(sheet.steps, key=lambda step: step.bend)
    bent = [step for step in steps if step.target_deg >= STRAIGHT_THROUGH_DEG]
    marks = [TubeMark(name=f"the mark of bend {step.bend}", at_mm=step.mark_mm) for step in bent]
    return MarkedTube(
        blank_mm=sheet.blank_mm,
        trim_a_mm=sheet.trim_a_mm,
        trim_b_mm=sheet.trim_b_mm,
        starts_mm=tuple(step.start_mm for step in bent),
        used_mm=tuple(sheet.tube_used_mm[step.bend - 1] for step in bent),
        marks=tuple(sorted(marks, key=lambda mark: mark.at_mm)),
        sheet=sheet.identity,
    )
