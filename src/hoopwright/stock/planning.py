"""From a task to a cutting plan, and the spare that is proposed with it."""

import math
from collections.abc import Sequence
from dataclasses import replace

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.progress import Progress, silent
from hoopwright.stock.model import Filled, Model, model_of, packing
from hoopwright.stock.pieces import CutTask, Piece, StickOffer, check_task, usable_mm
from hoopwright.stock.plan import CutPart, CutPlan, CutStick
from hoopwright.stock.search import Outcome, search
from hoopwright.stock.tidying import gather_rests

_ORDER = ("offcut", "rack", "buy")


def plan_cuts(task: CutTask, *, progress: Progress = silent) -> CutPlan:
    """The plan that counts least, as far as it is found in the time given; it says whether that is proven.

    Args:
        task: What to cut and from what.
        progress: Told how far it is.

    Raises:
        UserError: `CUTS-001` to `CUTS-004` for what cannot be; `CUTS-005` where the sticks do not suffice.
    """
    check_task(task)
    model = model_of(task)
    outcome = search(model, task.rules.time_limit_s, progress=progress)
    if outcome.best is None:
        raise UserError(_not_enough(task, outcome))
    # gathering may empty a stick, so the plan that is cut is the one that is counted
    tidied = packing(model, gather_rests(model, outcome.best.sticks))
    sticks, cost = _sticks(task, model, tidied.sticks), tidied.cost
    plan = CutPlan(
        task=task,
        sticks=sticks,
        lower_bound=_sticks_at_least(task, model, outcome.bound),
        proven_optimal=cost <= outcome.bound,
        gap_ratio=0.0 if cost <= outcome.bound else 1.0 - outcome.bound / cost,
    )
    return replace(plan, findings=tuple(_told(plan)))


def with_spares(task: CutTask, names: Sequence[str]) -> CutTask:
    """The task with one more piece for each name, called `NAME spare`.

    Raises:
        UserError: `CUTS-006` for a name that no piece has.
    """
    known = {piece.name: piece for piece in task.pieces}
    missing = [name for name in names if name not in known]
    if missing:
        raise UserError(
            Finding(
                code="CUTS-006",
                severity=Severity.STOP,
                sentence=f"There is no piece '{missing[0]}' to cut a spare of.",
                todo=f"The pieces are {', '.join(known)}.",
                objects=tuple(missing),
            )
        )
    counts = {name: list(names).count(name) for name in dict.fromkeys(names)}
    spares = tuple(replace(known[name], name=f"{name} spare", count=count) for name, count in counts.items())
    return replace(task, pieces=(*task.pieces, *spares))


def longest_piece(pieces: Sequence[Piece]) -> Piece:
    """The longest piece, the first by name among equals: what a spare is proposed of where nothing else is known."""
    return min(pieces, key=lambda piece: (-piece.length_mm, piece.name))


def _sticks_at_least(task: CutTask, model: Model, bound: int) -> int:
    """Whole sticks that no plan is below, from what no plan counts less than."""
    dearest = max((kind.cost for kind in model.kinds if _source(task, kind.offers) != "offcut"), default=0)
    return math.ceil(bound / dearest) if dearest else 0


def _source(task: CutTask, offers: Sequence[int]) -> str:
    return task.offers[offers[0]].source


def _sticks(task: CutTask, model: Model, filled: Sequence[Filled]) -> tuple[CutStick, ...]:
    """Sticks with names and labels: offcuts, rack, bought; of each those with the longest parts first."""
    ordered = sorted(
        filled,
        key=lambda one: (
            _ORDER.index(_source(task, model.kinds[one.kind].offers)),
            model.kinds[one.kind].capacity,
            one.kind,
            tuple(-count for count in one.counts),
        ),
    )
    names = {k: _names(task, sort.pieces) for k, sort in enumerate(model.sorts)}
    offers = {number: _one_by_one(task, kind.offers) for number, kind in enumerate(model.kinds)}
    sticks = []
    for number, one in enumerate(ordered, start=1):
        parts = [names[k].pop(0) for k, count in enumerate(one.counts) for _ in range(count)]
        offer = offers[one.kind].pop(0) if model.kinds[one.kind].count is not None else None
        if offer is None:
            offer = replace(task.offers[model.kinds[one.kind].offers[0]], count=1)
        sticks.append(_stick(task, number, offer, parts))
    return tuple(sticks)


def _stick(task: CutTask, number: int, offer: StickOffer, parts: Sequence[CutPart]) -> CutStick:
    kerf_mm = task.rules.kerf_mm
    left_mm = usable_mm(offer, task.rules) - sum(part.length_mm + kerf_mm for part in parts)
    # under a thousandth there is nothing that could be held
    return CutStick(
        number=number, offer=offer, parts=tuple(parts), rest_mm=left_mm if left_mm > 1e-3 else 0.0
    )


def _names(task: CutTask, places: Sequence[int]) -> list[CutPart]:
    pieces = [task.pieces[place] for place in places]
    return [CutPart(name=p.name, length_mm=p.length_mm) for p in pieces for _ in range(p.count)]


def _one_by_one(task: CutTask, places: Sequence[int]) -> list[StickOffer]:
    offers = sorted((task.offers[place] for place in places), key=lambda offer: (offer.label, offer.batch))
    return [replace(offer, count=1) for offer in offers for _ in range(offer.count or 0)]


def _told(plan: CutPlan) -> list[Finding]:
    about = f"{plan.task.what}: " if plan.task.what else ""
    found = []
    if not plan.proven_optimal:
        found.append(
            Finding(
                code="CUTS-007",
                sentence=f"{about}{plan.stick_count} sticks, and no plan has under {plan.lower_bound}; in "
                f"{plan.task.rules.time_limit_s:g} s it was not proven that this is the best. It counts at most "
                f"{100.0 * plan.gap_ratio:.2g} % more than the best.",
                todo="Give it longer (--time-limit), or saw by this plan.",
                measured=float(plan.stick_count),
                limit=float(plan.lower_bound),
                unit="sticks",
            )
        )
    words = dict.fromkeys(piece.together for piece in plan.task.pieces if piece.together)
    bought = {part.name for stick in plan.bought for part in stick.parts}
    shared = [
        word
        for word in words
        if bought & {piece.name for piece in plan.task.pieces if piece.together == word}
    ]
    if shared:
        found.append(
            Finding(
                code="CUTS-008",
                severity=Severity.NOTE,
                sentence=f"{about}{', '.join(shared)} share a batch and are cut from sticks that are to be bought.",
                todo="Order these sticks of one heat, and look at the heat numbers when they come.",
                objects=tuple(shared),
            )
        )
    return found


def _not_enough(task: CutTask, outcome: Outcome) -> Finding:
    about = f"{task.what}: " if task.what else ""
    have_mm = sum(offer.length_mm * (offer.count or 0) for offer in task.offers)
    need_mm = sum((piece.length_mm + task.rules.kerf_mm) * piece.count for piece in task.pieces)
    why = (
        "no plan cuts every piece from the sticks that there are"
        if outcome.none_there
        else f"no plan was found in {task.rules.time_limit_s:g} s that cuts every piece from the sticks that there are"
    )
    batches = ", with the pieces that share a batch from one" if any(p.together for p in task.pieces) else ""
    return Finding(
        code="CUTS-005",
        severity=Severity.STOP,
        sentence=f"{about}{why}{batches}: pieces with their cuts are {need_mm:.0f} mm, sticks {have_mm:.0f} mm.",
        todo="Allow more sticks, or sticks of a length that can be bought.",
        measured=have_mm,
        limit=need_mm,
        unit="mm",
    )
