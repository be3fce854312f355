"""Cutting plans as JSON carries them."""

from collections.abc import Iterable, Sequence
from typing import Any

from hoopwright.jobs.cuts import CutsFound, GroupCuts, mass_kg
from hoopwright.stock import CutPlan
from hoopwright.tubes import TubeSize


def cuts_keys(found: CutsFound) -> dict[str, Any]:
    """The plans as JSON carries them."""
    plans = [group.plan for group in found.groups]
    parts_mm, sticks_mm = sum(p.parts_mm for p in plans), sum(p.sticks_mm for p in plans)
    return {
        "sticks": [
            keys for group in found.groups for keys in stick_keys(group.plan, group.tube, group.steel)
        ],
        **plan_sums(plans),
        "parts_mm": parts_mm,
        "sticks_mm": sticks_mm,
        "mass_kg": _sum(mass_kg(group.tube, group.plan.parts_mm) for group in found.groups),
        "sticks_mass_kg": _sum(mass_kg(group.tube, group.plan.sticks_mm) for group in found.groups),
        "price": _sum(plan.price for plan in plans),
        "spares": [spare_keys(group) for group in found.groups],
    }


def plan_sums(plans: Sequence[CutPlan]) -> dict[str, Any]:
    """Counts, bound, waste and proof of plans together."""
    parts_mm, sticks_mm = sum(p.parts_mm for p in plans), sum(p.sticks_mm for p in plans)
    return {
        "stick_count": sum(plan.stick_count for plan in plans),
        "offcut_count": sum(plan.offcut_count for plan in plans),
        "lower_bound": sum(plan.lower_bound for plan in plans),
        "waste_ratio": 1.0 - parts_mm / sticks_mm,
        "proven_optimal": all(plan.proven_optimal for plan in plans),
        "gap_ratio": max(plan.gap_ratio for plan in plans),
    }


def stick_keys(plan: CutPlan, tube: TubeSize | None, steel: str) -> list[dict[str, Any]]:
    """Sticks as JSON carries them."""
    return [
        {
            "number": stick.number,
            "source": stick.offer.source,
            "label": stick.offer.label,
            "length_mm": stick.offer.length_mm,
            "tube": "" if tube is None else str(tube),
            "steel": steel,
            "batch": stick.offer.batch if stick.offer.label else "",
            "heat_number": stick.offer.heat_number,
            "parts": [{"name": part.name, "length_mm": part.length_mm} for part in stick.parts],
            "rest_mm": stick.rest_mm,
        }
        for stick in plan.sticks
    ]


def spare_keys(group: GroupCuts) -> dict[str, Any]:
    """Spares as JSON carries them: what is proposed, and the plan with it or with those asked for."""
    spared = group.spared
    return {
        "tube": "" if group.tube is None else str(group.tube),
        "steel": group.steel,
        "proposed": group.spare.name,
        "length_mm": group.spare.length_mm,
        "asked": group.spares_asked,
        "with_spares": None
        if spared is None
        else {**plan_sums([spared]), "sticks": stick_keys(spared, group.tube, group.steel)},
    }


def _sum(values: Iterable[float | None]) -> float | None:
    """The sum; None where one is not known."""
    every = list(values)
    known = [value for value in every if value is not None]
    return sum(known) if len(known) == len(every) else None
