"""What a person should know of a fitted bar besides its gaps: its twin's side, what was not scanned, what binds."""

from dataclasses import dataclass

from hoopwright.bars import Node, check_shape, mirrored
from hoopwright.cage import Cage, side_of
from hoopwright.findings import Finding, stopping
from hoopwright.fitting.binding import what_binds
from hoopwright.fitting.measuring import measure_bar
from hoopwright.fitting.not_scanned import not_scanned
from hoopwright.fitting.offers import Offer, TradeOff
from hoopwright.fitting.placing import HELD_WITHIN_MM
from hoopwright.fitting.side_regions import compare_regions
from hoopwright.shell.shell import Shell

_NEAR_MM = 60.0


@dataclass(frozen=True, kw_only=True)
class TwinGap:
    """The least gap of a fitted bar's mirror on its own side.

    Args:
        twin_id: The mirrored bar.
        gap_mm: Its least gap.
        along_mm: From end A.
        place_mm: On its axis, vehicle frame.
        region: The metal there.
        closer_mm: How much closer that is than its counterpart on the fitted side; None where nothing is opposite.
    """

    twin_id: str
    gap_mm: float
    along_mm: float
    place_mm: Node
    region: str
    closer_mm: float | None


def shown_offer(found: TradeOff, chosen: Offer | None) -> Offer | None:
    """The offer that is spoken of: the one that is taken, else the nearest that holds, else the least short."""
    if chosen is not None or not found.offers:
        return chosen
    holding = [offer for offer in found.offers if offer.holds]
    if holding:
        return min(holding, key=lambda offer: offer.mean_gap_mm)
    bent = [offer for offer in found.offers if offer.bends] or list(found.offers)
    return max(bent, key=lambda offer: offer.smallest_gap_mm)


def twin_gap(shell: Shell, cage: Cage, found: TradeOff, offer: Offer) -> TwinGap | None:
    """The least gap of the mirror of an offer, when its bar has a mirror."""
    twin_id = next((one.member_id for one in cage.members if one.mirror_of == found.task.name), None)
    twin = None if twin_id is None else mirrored(offer.bar, twin_id)
    if twin is None or stopping(check_shape(twin)):
        return None
    landing_a_mm, landing_b_mm = found.task.landings_mm
    gaps = measure_bar(shell, twin, landing_a_mm=landing_a_mm, landing_b_mm=landing_b_mm)
    if gaps.smallest is None:
        return None
    [nearest] = compare_regions(shell, gaps, within_mm=gaps.smallest.gap_mm + _NEAR_MM, most=1)
    return TwinGap(
        twin_id=twin.name,
        gap_mm=nearest.gap_mm,
        along_mm=nearest.along_mm,
        place_mm=nearest.axis_mm,
        region=nearest.region,
        closer_mm=nearest.closer_mm,
    )


def fit_findings(
    shell: Shell, found: TradeOff, offer: Offer | None, twin: TwinGap | None
) -> tuple[Finding, ...]:
    """What a person should know of the offer that is spoken of."""
    if offer is None:
        return ()
    told = [*not_scanned(shell, offer.bar, found.task.landings_mm)]
    if not offer.holds:
        told.append(what_binds(shell, found.task, offer))
    if twin is not None and twin.gap_mm < found.task.gap_mm - HELD_WITHIN_MM:
        told.append(_twin_short(twin, offer, found.task.gap_mm))
    return tuple(told)


def closer_here(twin: TwinGap) -> str:
    """How much closer the other side is, in words."""
    if twin.closer_mm is None:
        return f"{twin.region}, nothing scanned opposite"
    how = "closer" if twin.closer_mm >= 0.0 else "farther"
    return f"{twin.region} {abs(twin.closer_mm):.0f} mm {how} here"


def _twin_short(twin: TwinGap, offer: Offer, gap_mm: float) -> Finding:
    side = {"L": "left", "R": "right"}.get(side_of(mirrored(offer.bar, twin.twin_id)), "other")
    return Finding(
        code="FIT-045",
        sentence=f"{twin.twin_id}, the mirror on the {side} side, would keep {twin.gap_mm:.1f} mm of the {gap_mm:g} mm "
        f"asked, {twin.along_mm:.0f} mm from end A: {closer_here(twin)}.",
        todo=f"Take this bar, then 'hoopwright bar other-side PROJECT {twin.twin_id}': moved with its bends "
        "as they are (--shift), fitted to its own side (--refit), or both as one with the gap that both hold (--keep).",
        objects=(twin.twin_id, twin.region),
        point_mm=twin.place_mm,
        measured=twin.gap_mm,
        limit=gap_mm,
        unit="mm",
    )
