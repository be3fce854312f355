"""A cutting plan from a list of pieces."""

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.progress import Progress, silent
from hoopwright.stock import (
    CutPlan,
    CutRules,
    CutTask,
    Goal,
    Piece,
    StickOffer,
    longest_piece,
    plan_cuts,
    with_spares,
)
from hoopwright.stock.reading import ListedPiece, read_pieces
from hoopwright.tubes import TubeSize, section_properties
from hoopwright.units import MM_PER_UNIT

SPARE_LIMIT_S = 5.0


@dataclass(frozen=True, kw_only=True)
class StickPrice:
    """What a stick costs.

    Args:
        amount: In the person's own money.
        per_metre: Whether it is for a metre; for a stick otherwise.
    """

    amount: float
    per_metre: bool = True

    def of(self, length_mm: float) -> float:
        """Price of a stick of that length."""
        return self.amount * length_mm / MM_PER_UNIT["m"] if self.per_metre else self.amount


@dataclass(frozen=True, kw_only=True)
class SawWishes:
    """What is asked.

    Args:
        offers: Sticks to buy and offcuts at hand.
        kerf_mm: What the saw takes between two parts.
        trim_mm: Taken off each end of a whole stick.
        goal: `least` or `fewest`.
        tube: Tube of pieces whose row says none, for masses; None where not known.
        price: Of sticks whose offer says none.
        spares: Names of pieces to cut one more of, counted apart.
        time_limit_s: How long to look for a better plan, for each tube size.
    """

    offers: tuple[StickOffer, ...]
    kerf_mm: float
    trim_mm: float = 0.0
    goal: Goal = "least"
    tube: TubeSize | None = None
    price: StickPrice | None = None
    spares: tuple[str, ...] = ()
    time_limit_s: float = 30.0


@dataclass(frozen=True, kw_only=True)
class GroupCuts:
    """The cuts of one tube size and steel.

    Args:
        tube: Its size; None where not known.
        steel: Its steel; empty where not said.
        plan: Without spares.
        spare: Piece that a spare is proposed of.
        spared: The plan with the spares that were asked for, else with the one that is proposed; None where that one
            cannot be cut from the sticks at hand.
        spares_asked: Whether spares were asked for.
    """

    tube: TubeSize | None
    steel: str
    plan: CutPlan
    spare: Piece
    spared: CutPlan | None
    spares_asked: bool

    @property
    def title(self) -> str:
        """Size and steel in words."""
        return group_title(self.tube, self.steel)

    @property
    def to_saw(self) -> CutPlan:
        """What is to be sawn: with the spares that were asked for."""
        return self.spared if self.spares_asked and self.spared is not None else self.plan


@dataclass(frozen=True, kw_only=True)
class CutsFound:
    """Cutting plans of a list.

    Args:
        name: Of the list.
        groups: By tube size and steel.
        wishes: What was asked.
        findings: What a person should know.
    """

    name: str
    groups: tuple[GroupCuts, ...]
    wishes: SawWishes
    findings: tuple[Finding, ...] = field(default=())


def numbered_on(groups: Sequence[GroupCuts]) -> tuple[GroupCuts, ...]:
    """The same groups with sticks numbered on from one to the next, so that a number is one stick."""
    made, plain, spared = [], 0, 0
    for group in groups:
        plan = _from(group.plan, plain)
        more = None if group.spared is None else _from(group.spared, spared)
        plain += len(plan.sticks)
        spared += len(plan.sticks) if more is None else len(more.sticks)
        made.append(replace(group, plan=plan, spared=more))
    return tuple(made)


def _from(plan: CutPlan, before: int) -> CutPlan:
    sticks = tuple(replace(stick, number=stick.number + before) for stick in plan.sticks)
    return replace(plan, sticks=sticks)


def group_title(tube: TubeSize | None, steel: str) -> str:
    """Tube size and steel in words; empty where neither is known."""
    return " ".join(filter(None, ("" if tube is None else f"{tube} mm", steel)))


def mass_kg(tube: TubeSize | None, length_mm: float) -> float | None:
    """Mass of a length of tube; None where the size is not known."""
    return None if tube is None else section_properties(tube).kg_per_m * length_mm / MM_PER_UNIT["m"]


def cuts_of_file(file: Path, wishes: SawWishes, *, progress: Progress = silent) -> CutsFound:
    """Plan the cuts of a list of pieces.

    Args:
        file: CSV with name, length_mm, count, and where wanted tube, steel, together, spare.
        wishes: What is asked.
        progress: Told how far it is.

    Raises:
        UserError: `CUTS-...` for what cannot be, with file and line; `STOCK-001` for offcuts or counted sticks where
            the list has several tube sizes.
    """
    listed, told = read_pieces(file)
    found = cuts_of_pieces(file.stem, listed, wishes, progress=progress)
    return replace(found, findings=(*told, *found.findings))


def cuts_of_pieces(
    name: str, listed: Sequence[ListedPiece], wishes: SawWishes, *, progress: Progress = silent
) -> CutsFound:
    """Plan the cuts of pieces that were read.

    Args:
        name: Of the list.
        listed: The pieces, of one tube size and steel or of several.
        wishes: What is asked.
        progress: Told how far it is.

    Raises:
        UserError: `CUTS-...` for what cannot be; `STOCK-001` for offcuts or counted sticks where the list has several
            tube sizes.
    """
    offers = tuple(_offer(offer, number, wishes.price) for number, offer in enumerate(wishes.offers))
    rows: dict[tuple[TubeSize | None, str], list[ListedPiece]] = {}
    for one in listed:
        rows.setdefault((one.tube or wishes.tube, one.steel), []).append(one)
    if len(rows) > 1 and any(offer.count is not None for offer in offers):
        raise UserError(_several_sizes(rows))
    unknown = [name for name in wishes.spares if name not in {one.piece.name for one in listed}]
    if unknown:
        with_spares(CutTask(pieces=tuple(one.piece for one in listed), offers=offers), unknown)
    groups = [
        _group(tube, steel, some, offers, wishes, progress)
        for (tube, steel), some in sorted(rows.items(), key=lambda row: (str(row[0][0]), row[0][1]))
    ]
    findings = tuple(finding for group in groups for finding in group.plan.findings)
    return CutsFound(name=name, groups=numbered_on(groups), wishes=wishes, findings=findings)


def _offer(offer: StickOffer, number: int, price: StickPrice | None) -> StickOffer:
    """An offcut without a batch may be of any: it is none that a group could share with another."""
    if offer.source != "buy":
        return replace(offer, batch=offer.batch or f"offcut {number + 1}")
    if offer.price is None and price is not None:
        return replace(offer, price=price.of(offer.length_mm))
    return offer


def _group(
    tube: TubeSize | None,
    steel: str,
    rows: Sequence[ListedPiece],
    offers: tuple[StickOffer, ...],
    wishes: SawWishes,
    progress: Progress,
) -> GroupCuts:
    rules = CutRules(
        kerf_mm=wishes.kerf_mm, trim_mm=wishes.trim_mm, goal=wishes.goal, time_limit_s=wishes.time_limit_s
    )
    task = CutTask(
        pieces=tuple(row.piece for row in rows), offers=offers, rules=rules, what=group_title(tube, steel)
    )
    plan = plan_cuts(task, progress=progress)
    own = {row.piece.name for row in rows}
    asked = [name for name in wishes.spares if name in own]
    asked += [row.piece.name for row in rows for _ in range(row.spares)]
    spare = longest_piece(task.pieces)
    return GroupCuts(
        tube=tube,
        steel=steel,
        plan=plan,
        spare=spare,
        spared=spared_plan(task, asked or [spare.name], asked=bool(asked), progress=progress),
        spares_asked=bool(asked),
    )


def spared_plan(
    task: CutTask, names: Sequence[str], *, asked: bool, progress: Progress = silent
) -> CutPlan | None:
    """The plan with one more piece for each name; None for spares that were not asked for and cannot be cut.

    Raises:
        UserError: `CUTS-...` for spares that were asked for.
    """
    limit_s = task.rules.time_limit_s if asked else min(SPARE_LIMIT_S, task.rules.time_limit_s)
    spared = with_spares(replace(task, rules=replace(task.rules, time_limit_s=limit_s)), names)
    try:
        return plan_cuts(spared, progress=progress)
    except UserError:
        if asked:
            raise
        return None


def _several_sizes(rows: dict[tuple[TubeSize | None, str], list[ListedPiece]]) -> Finding:
    names = [group_title(*key) or "no size" for key in rows]
    return Finding(
        code="STOCK-001",
        severity=Severity.STOP,
        sentence=f"The list has {len(names)} tube sizes and steels ({', '.join(names)}); offcuts and sticks that are "
        "counted are of one of them, and nothing says of which.",
        todo="Make a list for each size, or give only the lengths that can be bought without a count.",
        objects=tuple(names),
    )
