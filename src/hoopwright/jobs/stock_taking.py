"""Recording that a plan was sawn: sticks used, offcuts back on the rack, and which bar came from which stick."""

import math
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, replace

from hoopwright.bender import Stick
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.cut_papers import LEAST_OFFCUT_MM
from hoopwright.jobs.sawn_plans import (
    gone_note,
    is_left_by,
    is_sawn_by,
    left_note,
    note_before,
    sawn_note,
)
from hoopwright.jobs.shops import open_shop
from hoopwright.jobs.stock import ProjectStock, StockWishes, stock_of
from hoopwright.progress import Progress, silent
from hoopwright.stock import CutStick
from hoopwright.store import ProjectFolder
from hoopwright.store.build_records import TubeUsed
from hoopwright.store.shop import Shop


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

    Args:
        folder: The project.
        wishes: As they were for the plan.
        date: Day, ISO 8601.
        plan: Identity of the plan that was sawn; another one is refused. Without, the plan as it is now.
        least_mm: Length from which what is left goes back to the rack.
        progress: Told how far it is.

    Raises:
        UserError: `STOCK-010` where sticks must be bought first, `STOCK-011` where the plan is another one now;
            `SHOP-...` where the shop was changed meanwhile. Nothing is recorded then.
    """
    found = stock_of(folder, wishes, progress=progress)
    _refuse(found, plan)
    with open_shop(wishes.shop) as shop:
        pairs = _pairs(shop, found, least_mm)
        shop.use_sticks(pairs)
        used = _tubes_used(shop, found, date)
    opened = folder.open()
    tubes = (*opened.project.tubes_used, *used)
    folder.record(opened, replace(opened.project, tubes_used=tubes))
    return Taken(
        identity=found.identity,
        used=tuple(stick for stick, _ in pairs),
        offcuts=tuple(left for _, left in pairs if left is not None),
        bars=tuple(one.bar_id for one in used),
        findings=found.findings,
    )


def put_back(folder: ProjectFolder, identity: str, *, shop: str | None, date: str) -> Taken:
    """Take a recording back: its sticks count as kept again, its offcuts as gone, its bars as not cut.

    Args:
        folder: The project.
        identity: Of the plan that was recorded.
        shop: The shop; the person's own without.
        date: Day, ISO 8601.

    Raises:
        UserError: `STOCK-012` where nothing was recorded by that plan, `STOCK-013` where an offcut of it was used.
    """
    project = folder.open().project
    with open_shop(shop) as opened_shop:
        every = opened_shop.sticks(used=True)
        sticks = [stick for stick in every if is_sawn_by(stick, project.name, identity)]
        names = {stick.label for stick in sticks}
        offcuts = [stick for stick in every if stick.cut_from in names and is_left_by(stick, identity)]
        _refuse_back(identity, sticks, offcuts)
        again = [
            replace(stick, state="kept", note=note_before(stick.note, project.name, identity))
            for stick in sticks
        ]
        gone = [replace(stick, state="used", note=gone_note(stick.note, identity)) for stick in offcuts]
        opened_shop.use_sticks([(stick, None) for stick in (*gone, *again)])
    bars = [used.bar_id for used in project.tube_of.values() if used.stick in names]
    opened = folder.open()
    none = (
        TubeUsed(bar_id=bar, batch="", stick="", steel="", heat_number="", certificate="", date=date)
        for bar in bars
    )
    folder.record(opened, replace(opened.project, tubes_used=(*opened.project.tubes_used, *none)))
    return Taken(identity=identity, used=tuple(again), offcuts=tuple(gone), bars=tuple(bars))


def _pairs(shop: Shop, found: ProjectStock, least_mm: float) -> list[tuple[Stick, Stick | None]]:
    labels = {stick.label for stick in shop.sticks(used=True)}
    pairs: list[tuple[Stick, Stick | None]] = []
    for cut in _cut_sticks(found):
        stick, left = shop.stick(cut.offer.label), None
        if stick.state == "used":
            raise _changed(found.project, found.identity, f"stick '{stick.label}' was used meanwhile")
        if cut.rest_mm >= max(least_mm, 1.0):
            label = _free_label(stick.label, labels)
            labels.add(label)
            left = Stick(
                label=label,
                batch=stick.batch,
                length_mm=math.floor(cut.rest_mm * 10.0) / 10.0,
                cut_from=stick.label,
                note=left_note(found.identity),
            )
        note = sawn_note(stick.note, found.project, found.identity)
        pairs.append((replace(stick, state="used", note=note), left))
    return pairs


def _free_label(label: str, taken: Iterable[str]) -> str:
    """The stick's label with a letter, as `stick use` gives it; the first that is free."""
    known = set(taken)
    letters = "abcdefghijklmnopqrstuvwxyz"
    return next(
        f"{label}{letter}{number}"
        for number in ("", *range(1, 10_000))
        for letter in letters
        if f"{label}{letter}{number}" not in known
    )


def _cut_sticks(found: ProjectStock) -> list[CutStick]:
    return [stick for group in found.groups for stick in group.to_saw.sticks]


def _tubes_used(shop: Shop, found: ProjectStock, date: str) -> list[TubeUsed]:
    batches = {batch.name: batch for batch in shop.batches(retired=True)}
    bars = {piece.name for group in found.groups for piece in group.plan.task.pieces}
    return [
        TubeUsed(
            bar_id=part.name,
            batch=cut.offer.batch,
            stick=cut.offer.label,
            steel=batches[cut.offer.batch].steel,
            heat_number=batches[cut.offer.batch].heat_number,
            certificate=batches[cut.offer.batch].certificate,
            date=date,
        )
        for cut in _cut_sticks(found)
        for part in cut.parts
        if part.name in bars
    ]


def _refuse(found: ProjectStock, plan: str | None) -> None:
    if plan is not None and plan != found.identity:
        raise _changed(
            found.project, plan, f"it is {found.identity} now, since a bar, the shop or an option changed"
        )
    if found.order:
        lines = [
            f"{one.count} of {one.length_mm:g} mm, tube {one.tube} {one.steel}".rstrip()
            for one in found.order
        ]
        raise _stop(
            "STOCK-010",
            f"The plan of {found.project} has sticks that are not in the shop: {'; '.join(lines)}; nothing was "
            "recorded.",
            "Put them on the rack with batch and heat number ('Tube that came' under Sticks, or 'hoopwright batch add' "
            "and 'hoopwright stick add'), plan again, and record the plan that is made of them.",
            found.project,
        )


def _changed(project: str, plan: str, why: str) -> UserError:
    return _stop(
        "STOCK-011",
        f"Plan {plan} is not the plan of {project} any more: {why}. Nothing was recorded.",
        "Plan again with what the plan was made with, or mark single sticks with 'hoopwright stick use'.",
        plan,
    )


def _refuse_back(identity: str, sticks: Sequence[Stick], offcuts: Sequence[Stick]) -> None:
    if not sticks:
        raise _stop(
            "STOCK-012",
            f"No stick in the shop was recorded as sawn by plan {identity} for this project.",
            "Look at 'hoopwright stick show --used': the note of each says by which plan it was sawn.",
            identity,
        )
    sawn = [stick.label for stick in offcuts if stick.state == "used"]
    if sawn:
        raise _stop(
            "STOCK-013",
            f"{', '.join(sawn)}: left by plan {identity} and used since, so that its stick cannot be whole again.",
            "Add what is really there with 'hoopwright stick add'.",
            *sawn,
        )


def _stop(code: str, sentence: str, todo: str, *objects: str) -> UserError:
    return UserError(
        Finding(code=code, severity=Severity.STOP, sentence=sentence, todo=todo, objects=objects)
    )
