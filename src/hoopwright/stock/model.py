"""The task in whole numbers: exact, so that nothing hangs on rounding."""

import math
from collections.abc import Sequence
from dataclasses import dataclass
from fractions import Fraction

from hoopwright.stock.pieces import CutTask, Piece, StickOffer, usable_mm

_PER_MM = 10**6
"""Steps of one mm. 1/64 in is a whole number of them, as is any decimal that people type."""
_PRICE_STEPS = 10_000
_SNAP = 1e-3


@dataclass(frozen=True, kw_only=True)
class Kind:
    """Sticks that are alike.

    Args:
        capacity: Length between the trims, and one kerf.
        cost: What one counts.
        count: How many there are; None for as many as are needed.
        batch: Number of its batch.
        offers: Places of its offers in the task.
    """

    capacity: int
    cost: int
    count: int | None
    batch: int
    offers: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Sort:
    """Pieces that are alike.

    Args:
        size: Length and one kerf.
        demand: How many.
        group: Number of the group that shares a batch, or -1.
        pieces: Places of its pieces in the task.
    """

    size: int
    demand: int
    group: int
    pieces: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Model:
    """Sorts of pieces, the longest first, and kinds of sticks.

    Args:
        sorts: What to cut.
        kinds: What to cut from; those that can hold nothing are left out.
        batches: How many batches there are.
        groups: How many groups of pieces share a batch; 0 where there is one batch only.
    """

    sorts: tuple[Sort, ...]
    kinds: tuple[Kind, ...]
    batches: int
    groups: int

    @property
    def cost_step(self) -> int:
        """What every cost is a multiple of."""
        return math.gcd(*(kind.cost for kind in self.kinds)) or 1


@dataclass(frozen=True, kw_only=True)
class Filled:
    """One stick with what is cut from it: its kind, and how many pieces of each sort."""

    kind: int
    counts: tuple[int, ...]


@dataclass(frozen=True, kw_only=True)
class Packing:
    """Sticks that hold every piece, and what they count together."""

    sticks: tuple[Filled, ...]
    cost: int


def packing(model: Model, sticks: Sequence[Filled]) -> Packing:
    """The sticks with their cost."""
    return Packing(sticks=tuple(sticks), cost=sum(model.kinds[stick.kind].cost for stick in sticks))


def is_whole(model: Model, found: Packing) -> bool:
    """Whether every piece is cut once, no stick is too full or used too often, and groups share a batch."""
    cut = [sum(stick.counts[k] for stick in found.sticks) for k in range(len(model.sorts))]
    if cut != [sort.demand for sort in model.sorts]:
        return False
    for number, kind in enumerate(model.kinds):
        used = [stick for stick in found.sticks if stick.kind == number]
        if kind.count is not None and len(used) > kind.count:
            return False
        if any(load(model, stick.counts) > kind.capacity for stick in used):
            return False
    return all(len(batches_of(model, found.sticks, group)) <= 1 for group in range(model.groups))


def batches_of(model: Model, sticks: Sequence[Filled], group: int) -> set[int]:
    """Batches that the pieces of a group are cut from."""
    return {
        model.kinds[stick.kind].batch
        for stick in sticks
        if any(count and sort.group == group for count, sort in zip(stick.counts, model.sorts, strict=True))
    }


def load(model: Model, counts: Sequence[int]) -> int:
    """What pieces take of a stick, each with its kerf."""
    return sum(count * sort.size for count, sort in zip(counts, model.sorts, strict=True))


def model_of(task: CutTask) -> Model:
    """The task in whole numbers."""
    kerf_mm = task.rules.kerf_mm
    sizes = [_steps_up(piece.length_mm + kerf_mm) for piece in task.pieces]
    room = [_steps_down(usable_mm(offer, task.rules) + kerf_mm) for offer in task.offers]
    batches = {name: n for n, name in enumerate(dict.fromkeys(offer.batch for offer in task.offers))}
    groups = _groups(task.pieces) if len(batches) > 1 else {}
    kinds = _kinds(task, room, min(sizes), batches)
    step = math.gcd(*sizes, *(kind.capacity for kind in kinds)) or 1
    return Model(
        sorts=tuple(_sorts(task, sizes, groups, step)),
        kinds=tuple(_stepped(kind, step) for kind in kinds),
        batches=len(batches),
        groups=len(groups),
    )


def _groups(pieces: Sequence[Piece]) -> dict[str, int]:
    counts: dict[str, int] = {}
    for piece in pieces:
        counts[piece.together] = counts.get(piece.together, 0) + piece.count
    words = [word for word, count in counts.items() if word and count > 1]
    return {word: number for number, word in enumerate(words)}


def _sorts(task: CutTask, sizes: Sequence[int], groups: dict[str, int], step: int) -> list[Sort]:
    alike: dict[tuple[int, int], list[int]] = {}
    for place, piece in enumerate(task.pieces):
        alike.setdefault((sizes[place], groups.get(piece.together, -1)), []).append(place)
    return [
        Sort(
            size=size // step,
            demand=sum(task.pieces[place].count for place in places),
            group=group,
            pieces=tuple(sorted(places, key=lambda place: (task.pieces[place].name, place))),
        )
        for (size, group), places in sorted(alike.items(), key=lambda one: (-one[0][0], one[0][1]))
    ]


def _kinds(task: CutTask, room: Sequence[int], least: int, batches: dict[str, int]) -> list[Kind]:
    costs = _costs(task)
    alike: dict[tuple[int, int, int, bool], list[int]] = {}
    for place, offer in enumerate(task.offers):
        if offer.count != 0 and room[place] >= least:
            key = (room[place], costs[place], batches[offer.batch], offer.count is None)
            alike.setdefault(key, []).append(place)
    kinds = []
    for (capacity, cost, batch, endless), places in alike.items():
        count = None if endless else sum(task.offers[place].count or 0 for place in places)
        kinds.append(Kind(capacity=capacity, cost=cost, count=count, batch=batch, offers=tuple(places)))
    return sorted(kinds, key=lambda kind: (kind.cost, kind.capacity, kind.batch))


def _stepped(kind: Kind, step: int) -> Kind:
    return Kind(
        capacity=kind.capacity // step,
        cost=kind.cost,
        count=kind.count,
        batch=kind.batch,
        offers=kind.offers,
    )


def _costs(task: CutTask) -> list[int]:
    """What each offer counts; a stick on the rack half, an offcut nothing."""
    share = {"buy": 2, "rack": 1, "offcut": 0}
    counted = [_worth(task, offer) * share[offer.source] for offer in task.offers]
    step = math.gcd(*counted) or 1
    return [cost // step for cost in counted]


def _worth(task: CutTask, offer: StickOffer) -> int:
    if task.rules.goal == "fewest":
        return 1
    if all(one.price is not None for one in task.offers if one.source == "buy") and _buys(task):
        if offer.price is not None:
            return round(offer.price * _PRICE_STEPS)
        per_mm = min((one.price or 0.0) / one.length_mm for one in task.offers if one.source == "buy")
        return round(per_mm * offer.length_mm * _PRICE_STEPS)
    return round(offer.length_mm * 100.0)


def _buys(task: CutTask) -> bool:
    return any(offer.source == "buy" for offer in task.offers)


def _steps_up(length_mm: float) -> int:
    """Whole steps, never less than the length; what binary numbers lack or add is no length."""
    exact = Fraction(length_mm) * _PER_MM
    near = round(exact)
    return near if abs(exact - near) < _SNAP else math.ceil(exact)


def _steps_down(length_mm: float) -> int:
    exact = Fraction(length_mm) * _PER_MM
    near = round(exact)
    return near if abs(exact - near) < _SNAP else math.floor(exact)
