"""Recording that a plan was sawn: sticks used, offcuts back on the rack, and which bar came from which stick."""

import math
import secrets
from collections.abc import Sequence
from dataclasses import dataclass, replace

from hoopwright.bender import Stick
from hoopwright.findings import Finding
from hoopwright.jobs.cut_papers import LEAST_OFFCUT_MM
from hoopwright.jobs.kept_plans import PlanToSaw, kept_plan
from hoopwright.jobs.sawn_plans import (
    gone_note,
    is_left_by,
    is_sawn_by,
    left_note,
    note_before,
    sawn_note,
)
from hoopwright.jobs.shop_sticks import free_label
from hoopwright.jobs.shops import open_shop
from hoopwright.jobs.stock import StockWishes, stock_of
from hoopwright.jobs.taking_refusals import (
    changed,
    refuse_back,
    refuse_bought,
    refuse_other_bars,
    refuse_other_stick,
)
from hoopwright.jobs.tubes_used import not_cut
from hoopwright.jobs.unfinished_takings import finish_locked, finish_taking, record_taking
from hoopwright.progress import Progress, silent
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import TubeUsed
from hoopwright.store.shop import Shop
from hoopwright.store.takings import Taking, taking_locked


@dataclass(frozen=True, kw_only=True)
class Taken:
    """What was recorded.

    Args:
        identity: Of the plan; what takes it back.
        used: Sticks that count as used.
        offcuts: What went back to the rack.
        bars: Bars that have a tube now.
        findings: What a person should know.
    """

    identity: str
    used: tuple[Stick, ...]
    offcuts: tuple[Stick, ...]
    bars: tuple[str, ...]
    findings: tuple[Finding, ...] = ()


def take_stock(
    folder: ProjectFolder,
    wishes: StockWishes,
    *,
    date: str,
    plan: str | None = None,
    least_mm: float = LEAST_OFFCUT_MM,
    progress: Progress = silent,
) -> Taken:
    """Record the plan of a project as sawn: in the shop all or nothing, then in the project.

    A plan that was shown is recorded as it was shown, whatever would be found now. Where a recording was broken off, it
    is finished first; if it was of this plan, that is all.

    Args:
        folder: The project.
        wishes: As they were for the plan; a plan that is kept needs but the shop of them.
        date: Day, ISO 8601.
        plan: Identity of the plan that was sawn; another one is refused. Without, the plan as it is now.
        least_mm: Length from which what is left goes back to the rack.
        progress: Told how far it is.

    Raises:
        UserError: `STOCK-010` where sticks must be bought first, `STOCK-011` where the plan is another one now;
            `SHOP-...` where the shop was changed meanwhile. Nothing is recorded then. `STOCK-015` as `finish_taking`,
            `STOCK-017` where the project could not be written after the shop.
    """
    before = finish_taking(folder, wishes.shop)
    if before.taking is not None and not before.taking.back and plan in (None, before.taking.plan):
        return _taken(before.taking, before.findings)
    planned = _plan_to_saw(folder, wishes, plan, progress)
    refuse_bought(planned)
    with taking_locked(folder), open_shop(wishes.shop) as shop:
        done = finish_locked(folder, wishes.shop)  # another window may have been broken off meanwhile
        project = folder.open().project
        key = secrets.token_hex(4)
        pairs = _pairs(shop, planned, least_mm, key)
        refuse_other_bars(folder, project, planned)
        taking = Taking(
            key=key,
            back=False,
            plan=planned.identity,
            shop=str(shop.place),
            sticks=tuple(stick for stick, _ in pairs),
            offcuts=tuple(left for _, left in pairs if left is not None),
            tubes=tuple(_tubes_used(shop, planned, date)),
            known=len(project.tubes_used),
        )
        record_taking(folder, shop, taking)
    return _taken(taking, (*before.findings, *done.findings, *planned.findings))


def put_back(folder: ProjectFolder, identity: str, *, shop: str | None, date: str) -> Taken:
    """Take a recording back: its sticks count as kept again, its offcuts as gone, its bars as not cut.

    Args:
        folder: The project.
        identity: What `take_stock` told.
        shop: The shop.
        date: Day, ISO 8601.

    Raises:
        UserError: `STOCK-012` when nothing was recorded by that plan, `STOCK-013` when an offcut of it was used since;
            `STOCK-015`, `STOCK-017` as `take_stock`.
    """
    with taking_locked(folder), open_shop(shop) as opened_shop:
        done = finish_locked(folder, shop)
        if done.taking is not None and done.taking.back and done.taking.plan == identity:
            return _taken(done.taking, done.findings)
        project = folder.open().project
        every = opened_shop.sticks(used=True)
        sticks = [stick for stick in every if is_sawn_by(stick, project.name, identity)]
        names = {stick.label for stick in sticks}
        offcuts = [stick for stick in every if stick.cut_from in names and is_left_by(stick, identity)]
        refuse_back(identity, sticks, offcuts)
        bars = [used.bar_id for used in project.tube_of.values() if used.stick in names]
        taking = Taking(
            key=secrets.token_hex(4),
            back=True,
            plan=identity,
            shop=str(opened_shop.place),
            sticks=tuple(
                replace(stick, state="kept", note=note_before(stick.note, project.name, identity))
                for stick in sticks
            ),
            offcuts=tuple(
                replace(stick, state="used", note=gone_note(stick.note, identity)) for stick in offcuts
            ),
            tubes=tuple(not_cut(bar, date) for bar in bars),
            known=len(project.tubes_used),
        )
        record_taking(folder, opened_shop, taking)
    return _taken(taking, done.findings)


def _taken(taking: Taking, findings: Sequence[Finding]) -> Taken:
    return Taken(
        identity=taking.plan,
        used=taking.sticks,
        offcuts=taking.offcuts,
        bars=tuple(used.bar_id for used in taking.tubes),
        findings=tuple(findings),
    )


def _plan_to_saw(
    folder: ProjectFolder, wishes: StockWishes, plan: str | None, progress: Progress
) -> PlanToSaw:
    """The plan that was shown; where it is not kept any more, the one of these options, if it is the same."""
    kept = None if plan is None else kept_plan(folder, plan)
    if kept is not None:
        return kept
    found = stock_of(folder, wishes, progress=progress)
    if plan not in (None, found.identity):
        raise changed(
            found.project,
            str(plan),
            f"it is {found.identity} now, since a bar, the shop or an option changed",
        )
    return found.to_saw


def _pairs(shop: Shop, plan: PlanToSaw, least_mm: float, key: str) -> list[tuple[Stick, Stick | None]]:
    labels = {stick.label for stick in shop.sticks(used=True)}
    pairs: list[tuple[Stick, Stick | None]] = []
    for cut in plan.sticks:
        stick, left = shop.stick(cut.label), None
        refuse_other_stick(plan, cut, stick)
        if cut.rest_mm >= max(least_mm, 1.0):
            label = free_label(stick.label, labels)
            labels.add(label)
            left = Stick(
                label=label,
                batch=stick.batch,
                length_mm=math.floor(cut.rest_mm * 10.0) / 10.0,
                cut_from=stick.label,
                note=left_note(plan.identity),
            )
        note = sawn_note(stick.note, plan.project, plan.identity, key)
        pairs.append((replace(stick, state="used", note=note), left))
    return pairs


def _tubes_used(shop: Shop, plan: PlanToSaw, date: str) -> list[TubeUsed]:
    batches = {batch.name: batch for batch in shop.batches(retired=True)}
    return [
        TubeUsed(
            bar_id=part.name,
            batch=cut.batch,
            stick=cut.label,
            steel=batches[cut.batch].steel,
            heat_number=batches[cut.batch].heat_number,
            certificate=batches[cut.batch].certificate,
            date=date,
        )
        for cut in plan.sticks
        for part in cut.parts
        if part.name in plan.cut_from
    ]
