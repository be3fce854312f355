"""What the shop holds of the tube that a project needs."""

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from typing import Any

from hoopwright.bender import Stick, TubeBatch, same_tube
from hoopwright.findings import Finding, Severity, UserError
from hoopwright.jobs.batch_numbers import number_findings
from hoopwright.jobs.shop_if_there import shop_if_there
from hoopwright.jobs.shops import refuse_missing
from hoopwright.jobs.stock_pieces import Size, blanks_of
from hoopwright.jobs.unfinished_takings import look_at_taking
from hoopwright.stock import StickOffer
from hoopwright.stock.rates import same_steel
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize

Rack = dict[Size, list[tuple[Stick, TubeBatch]]]
"""Sticks with their batches, by tube size and steel."""


@dataclass(frozen=True, kw_only=True)
class RackSticks:
    """What the shop holds of one tube size and steel.

    Args:
        tube: The size.
        steel: The steel that the bars ask for; empty where they ask for none.
        sticks: Sticks and offcuts, by label.
    """

    tube: TubeSize
    steel: str
    sticks: tuple[Stick, ...]


def rack_sticks(rack: Rack) -> tuple[RackSticks, ...]:
    """What the shop holds for each size."""
    return tuple(
        RackSticks(tube=tube, steel=steel, sticks=tuple(stick for stick, _ in found))
        for (tube, steel), found in rack.items()
    )


def as_offer(stick: Stick, batch: TubeBatch) -> StickOffer:
    """A stick on the rack as a plan takes it."""
    return StickOffer(
        length_mm=stick.length_mm,
        count=1,
        source="offcut" if stick.cut_from else "rack",
        label=stick.label,
        batch=stick.batch,
        heat_number=batch.heat_number,
    )


def rack_for(sizes: Iterable[Size], shop: str | None) -> tuple[Rack, tuple[Finding, ...]]:
    """Sticks of the shop for each size; one whose steel is not known is none where the bars ask for a steel.

    Args:
        sizes: Tube sizes and steels that bars ask for.
        shop: The shop; the person's own without.

    Raises:
        UserError: `SHOP-...` for a shop that cannot be read, or that is named and not there.
    """
    found: Rack = {size: [] for size in sizes}
    unknown = []
    for stick, batch in sticks_on_rack(shop):
        of_size = [size for size in found if same_tube(size[0], batch.tube)]
        fits = [size for size in of_size if not size[1] or same_steel(size[1], batch.steel)]
        # where some bars ask for this very steel and others for none, those that ask have it
        fits.sort(key=lambda size: not size[1])
        if fits:
            found[fits[0]].append((stick, batch))
        elif of_size:
            unknown.append(stick.label)
    told = number_findings({batch.name: batch for rows in found.values() for _, batch in rows}.values())
    if not unknown:
        return found, told
    return found, (
        *told,
        Finding(
            code="STOCK-005",
            severity=Severity.NOTE,
            sentence=f"{', '.join(unknown)}: right size, but the batch is of another steel than the bars ask for, or "
            "says none; not used.",
            todo="Say the steel of the batch with 'hoopwright batch change', if it is the right one.",
            objects=tuple(unknown),
        ),
    )


def sticks_on_rack(where: str | None = None) -> list[tuple[Stick, TubeBatch]]:
    """All sticks and offcuts that the shop holds, each with its batch; none where there is no shop yet.

    Args:
        where: The shop; the person's own without.

    Raises:
        UserError: `SHOP-...` for a shop that cannot be read, or that is named and not there.
    """
    refuse_missing(where)
    with shop_if_there(where) as shop:
        if shop is None:
            return []
        batches = {batch.name: batch for batch in shop.batches()}
        return [(stick, batches[stick.batch]) for stick in shop.sticks() if stick.batch in batches]


def rack_of(
    folder: ProjectFolder, *, only: tuple[str, ...] = (), shop: str | None = None
) -> tuple[tuple[RackSticks, ...], tuple[Finding, ...]]:
    """What the shop holds for the bars of a project that are still to be cut.

    Raises:
        UserError: `STOCK-002` where nothing is left to cut; `SHOP-...`.
    """
    before = look_at_taking(folder, shop)
    try:
        blanks = blanks_of(folder, folder.open().project, only=only)
    except UserError as error:
        raise UserError(*error.findings, *before) from error
    rack, told = rack_for(blanks.pieces, shop)
    return rack_sticks(rack), (*before, *blanks.findings, *told)


def rack_keys(found: Sequence[RackSticks]) -> list[dict[str, Any]]:
    """What the shop holds as JSON carries it."""
    return [
        {
            "tube": str(one.tube),
            "steel": one.steel,
            "sticks": [
                {
                    "label": stick.label,
                    "length_mm": stick.length_mm,
                    "batch": stick.batch,
                    "is_offcut": bool(stick.cut_from),
                }
                for stick in one.sticks
            ],
        }
        for one in found
    ]
