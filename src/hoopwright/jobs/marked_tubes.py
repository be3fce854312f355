"""Tubes as their sheets have them marked: where bends start, what they use, and which marks are on them."""

import math
from collections.abc import Sequence

from hoopwright.bars import BendTable, centreline, check_shape
from hoopwright.bender import BarSheet, BendStep
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

    A bar that was bent has the marks of the drawn one, and its bends start and use what came out. Bars that cannot be
    are left out.

    Raises:
        UserError: `CAL-...` and `SHOP-...` for files that cannot be read.
    """
    calibrations, shop = calibrations_at_hand(folder, members), shop_at_hand()
    bent = {record.bar_id: record.table for record in project.as_bent_in_force}
    tubes = {}
    for member in members:
        last = project.last_issued(member.member_id)
        wishes = SheetWishes(
            date="",
            order=None if last is None else last.order,
            swings=None if last is None else last.swings,
        )
        try:
            sheet = sheet_of(project, member, calibrations, wishes, shop)
            tubes[member.member_id] = tube_of_sheet(sheet, bent.get(member.member_id))
        except UserError:
            bar = bar_of(project.cage, member.member_id)
            if not stopping(check_shape(bar)):
                tubes[member.member_id] = drawn_tube(
                    centreline(bar), trim_a_mm=member.end_a.trim_mm, trim_b_mm=member.end_b.trim_mm
                )
    return tubes


def tube_of_sheet(sheet: BarSheet, bent: BendTable | None = None) -> MarkedTube:
    """What a sheet puts on the tube.

    Args:
        sheet: The sheet.
        bent: The bar as it came out, where it was measured: a bend that turned more used more tube, and drew it from
            the side that did not lead.
    """
    steps = [step for step in sheet.steps if step.target_deg >= STRAIGHT_THROUGH_DEG]
    steps.sort(key=lambda step: step.bend)
    marks = [TubeMark(name=f"the mark of bend {step.bend}", at_mm=step.mark_mm) for step in steps]
    more = [_more_mm(step, sheet, bent) for step in steps]
    return MarkedTube(
        blank_mm=sheet.blank_mm,
        trim_a_mm=sheet.trim_a_mm,
        trim_b_mm=sheet.trim_b_mm,
        starts_mm=tuple(
            step.start_mm - (extra if step.fed_from == "B" else 0.0)
            for step, extra in zip(steps, more, strict=True)
        ),
        used_mm=tuple(
            sheet.tube_used_mm[step.bend - 1] + extra for step, extra in zip(steps, more, strict=True)
        ),
        marks=tuple(sorted(marks, key=lambda mark: mark.at_mm)),
        sheet=sheet.identity,
    )


def _more_mm(step: BendStep, sheet: BarSheet, bent: BendTable | None) -> float:
    """Tube that a bend used more than its sheet says, along the axis as in `bender.as_bent`."""
    if bent is None or len(bent.angles_deg) != len(sheet.table.angles_deg):
        return 0.0
    return math.radians(bent.angles_deg[step.bend - 1] - step.target_deg) * sheet.table.clr_mm
