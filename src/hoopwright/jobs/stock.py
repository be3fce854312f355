"""The sticks of a project: what the rack holds of its sizes, the cutting plan over it, and what to buy."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from hoopwright.bender import Stick, TubeBatch
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.cuts import (
    GroupCuts,
    StickPrice,
    group_title,
    mass_kg,
    numbered_on,
    spared_plan,
)
from hoopwright.jobs.kept_plans import PlanToSaw, keep_plan, plan_file_keys, plan_to_saw
from hoopwright.jobs.quotes import rates_known
from hoopwright.jobs.rack import RackSticks, as_offer, rack_for, rack_sticks
from hoopwright.jobs.spares import SpareProposal, propose_spare
from hoopwright.jobs.stick_rates import USUAL_STICK_MM, kerf_for, sticks_to_buy
from hoopwright.jobs.stock_pieces import Blanks, Size, blanks_of
from hoopwright.jobs.unfinished_takings import look_at_taking
from hoopwright.progress import Progress, silent
from hoopwright.stock import CutRules, CutTask, Goal, StickOffer, plan_cuts
from hoopwright.stock.rates import Rates
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize


@dataclass(frozen=True, kw_only=True)
class StockWishes:
    """How the sticks of a project are wanted.

    Args:
        offers: Sticks that can be bought; those of the rates, else 6 m ones without an end, where none are named.
        kerf_mm: What the saw takes between two parts; that of the rates, else the usual one, for None.
        trim_mm: Taken off each end of a whole stick.
        goal: `least` or `fewest`.
        price: Of sticks whose offer says none; that of the rates without.
        only: Bars; without, all that no stick was taken for.
        together: Groups of bars that share a batch, beside mirrored pairs.
        spares: Whether the spares that are proposed are cut too.
        rack: Whether sticks and offcuts of the shop are used.
        shop: The shop; the person's own without.
        time_limit_s: How long to look for a better plan, for each tube size.
    """

    offers: tuple[StickOffer, ...] = ()
    kerf_mm: float | None = None
    trim_mm: float = 0.0
    goal: Goal = "least"
    price: StickPrice | None = None
    only: tuple[str, ...] = ()
    together: tuple[tuple[str, ...], ...] = ()
    spares: bool = False
    rack: bool = True
    shop: str | None = None
    time_limit_s: float = 10.0


@dataclass(frozen=True, kw_only=True)
class OrderLine:
    """Sticks to buy.

    Args:
        tube: The size.
        steel: The steel that the bars ask for; empty where they ask for none.
        length_mm: Length of one.
        count: How many.
        mass_kg: All of them together.
        price: All of them together, in the person's own money; None where it is not known.
        share_a_batch: Bars on them that share a batch.
    """

    tube: TubeSize
    steel: str
    length_mm: float
    count: int
    mass_kg: float
    price: float | None
    share_a_batch: tuple[str, ...]


@dataclass(frozen=True, kw_only=True)
class ProjectStock:
    """The sticks of a project.

    Args:
        project: Its name.
        groups: Plans by tube size and steel.
        rack: What the shop holds for each.
        spares: The spare proposed for each.
        order: What to buy.
        wishes: What was asked.
        to_saw: All that is sawn from what, as it is recorded once it was.
        left_out: Bars that are not in it, with the reason.
        findings: What a person should know.
    """

    project: str
    groups: tuple[GroupCuts, ...]
    rack: tuple[RackSticks, ...]
    spares: tuple[SpareProposal, ...]
    order: tuple[OrderLine, ...]
    wishes: StockWishes
    to_saw: PlanToSaw
    left_out: tuple[tuple[str, str], ...]
    findings: tuple[Finding, ...]

    @property
    def identity(self) -> str:
        """Of the plan: ten digits of a hash over all that is sawn from what."""
        return self.to_saw.identity


def stock_of(folder: ProjectFolder, wishes: StockWishes, *, progress: Progress = silent) -> ProjectStock:
    """Plan the cuts of a project over what is on the rack and what can be bought.

    A recording that was broken off is finished first, and the plan is kept by its identity for the taking of it.

    Raises:
        UserError: `STOCK-002` where nothing is left to cut; `CUTS-...` for what cannot be; `SHOP-...` for a shop that
            cannot be read; `CAGE-001` for a bar that is not there.
    """
    before = look_at_taking(folder, wishes.shop)
    try:
        return _planned(folder, wishes, before, progress)
    except UserError as error:
        raise UserError(*error.findings, *before) from error


def _planned(
    folder: ProjectFolder, wishes: StockWishes, before: Sequence[Finding], progress: Progress
) -> ProjectStock:
    project = folder.open().project
    progress("making the sheets", 0.02)
    blanks = blanks_of(folder, project, only=wishes.only, together=wishes.together)
    rack, told = rack_for(blanks.pieces, wishes.shop) if wishes.rack else ({}, ())
    rates = rates_known(None, folder).rates
    groups, spares = [], []
    for number, (size, pieces) in enumerate(blanks.pieces.items()):
        progress(f"planning {group_title(*size)}", 0.1 + 0.8 * number / len(blanks.pieces))
        spare = propose_spare(folder, pieces, blanks.sheets)
        group = _group(size, blanks, spare, rack, wishes, rates)
        groups.append(group)
        spares.append(spare)
    findings = (
        *blanks.findings,
        *told,
        *_usual_stick(wishes, rates, groups),
        *_other_batches(blanks, groups),
        *(f for group in groups for f in group.to_saw.findings),
    )
    kept = plan_file_keys(project, groups, findings)
    keep_plan(folder, kept)
    progress("planned", 1.0)
    return ProjectStock(
        project=project.name,
        groups=numbered_on(groups),
        rack=rack_sticks(rack),
        spares=tuple(spares),
        order=tuple(line for group in groups for line in _order_lines(group)),
        wishes=wishes,
        to_saw=plan_to_saw(kept),
        left_out=blanks.left_out,
        findings=(*before, *findings),
    )


def _group(
    size: Size,
    blanks: Blanks,
    spare: SpareProposal,
    rack: Mapping[Size, Sequence[tuple[Stick, TubeBatch]]],
    wishes: StockWishes,
    rates: Rates,
) -> GroupCuts:
    pieces = blanks.pieces[size]
    task = CutTask(
        pieces=pieces,
        offers=(
            *sticks_to_buy(wishes.offers, wishes.price, rates, *size),
            *(as_offer(stick, batch) for stick, batch in rack.get(size, ())),
        ),
        rules=CutRules(
            kerf_mm=kerf_for(wishes.kerf_mm, rates),
            trim_mm=wishes.trim_mm,
            goal=wishes.goal,
            time_limit_s=wishes.time_limit_s,
        ),
        what=group_title(*size),
    )
    return GroupCuts(
        tube=size[0],
        steel=size[1],
        plan=plan_cuts(task),
        spare=next(piece for piece in pieces if piece.name == spare.bar_id),
        spared=spared_plan(task, [spare.bar_id], asked=wishes.spares),
        spares_asked=wishes.spares,
    )


def _usual_stick(wishes: StockWishes, rates: Rates, groups: Sequence[GroupCuts]) -> tuple[Finding, ...]:
    """That a length was taken which nobody named."""
    taken = [
        group.title
        for group in groups
        if group.to_saw.bought and group.tube is not None and rates.stick_mm(group.tube, group.steel) is None
    ]
    if wishes.offers or not taken:
        return ()
    return (
        Finding(
            code="STOCK-006",
            severity=Severity.NOTE,
            sentence=f"{', '.join(taken)}: no stick to buy was named; sticks of {USUAL_STICK_MM:g} mm were taken.",
            todo="Name what your supplier has: in your rates, or in 'Sticks that can be bought' under Sticks "
            "(--stick).",
            objects=tuple(taken),
        ),
    )


def _other_batches(blanks: Blanks, groups: Sequence[GroupCuts]) -> list[Finding]:
    """Bars that would be bent by numbers of another batch than they are sawn from."""
    other: dict[tuple[str, str], list[str]] = {}
    for group in groups:
        for stick in group.to_saw.sticks:
            for part in stick.parts:
                sheet = blanks.sheets.get(part.name)
                if sheet is None or not sheet.steps or not sheet.batch or stick.offer.source == "buy":
                    continue
                if stick.offer.batch != sheet.batch and stick.offer.heat_number != sheet.batch:
                    other.setdefault((sheet.batch, stick.offer.batch), []).append(part.name)
    return [
        Finding(
            code="STOCK-007",
            sentence=f"{', '.join(bars)}: sawn from batch '{sawn}', and calibrated with '{known}'. Another batch "
            "springs back otherwise.",
            todo="Bend samples of the new batch before these bars, or name sticks of the batch that is calibrated.",
            objects=tuple(bars),
        )
        for (known, sawn), bars in other.items()
    ]


def _order_lines(group: GroupCuts) -> list[OrderLine]:
    """What to buy for one size, each length by itself."""
    assert group.tube is not None  # noqa: S101
    together = {piece.name: piece.together for piece in group.to_saw.task.pieces}
    lengths = dict.fromkeys((stick.offer.length_mm, stick.offer.price) for stick in group.to_saw.bought)
    lines = []
    for length_mm, price in lengths:
        sticks = [s for s in group.to_saw.bought if (s.offer.length_mm, s.offer.price) == (length_mm, price)]
        shared = dict.fromkeys(together[part.name] for stick in sticks for part in stick.parts)
        lines.append(
            OrderLine(
                tube=group.tube,
                steel=group.steel,
                length_mm=length_mm,
                count=len(sticks),
                mass_kg=mass_kg(group.tube, length_mm * len(sticks)) or 0.0,
                price=None if price is None else price * len(sticks),
                share_a_batch=tuple(word for word in shared if word),
            )
        )
    return lines
