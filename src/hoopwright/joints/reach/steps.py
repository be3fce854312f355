"""The order of welding in words, step by step."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.joints.reach.moving import Move, Place
from hoopwright.joints.reach.weld_plan import WeldPlan, When

_CAUTION = (
    "Short runs on opposite sides, and let it cool; look at widths, diagonals and doors at every stop "
    "(common practice, no source)."
)


@dataclass(frozen=True, kw_only=True)
class PlanStep:
    """One step of the welding.

    Args:
        what: What is done, as a person reads it.
        joints: The joints that are welded in it.
        bars: The bars that are tacked, moved or fitted in it.
    """

    what: str
    joints: tuple[str, ...] = ()
    bars: tuple[str, ...] = ()


def plan_steps(plan: WeldPlan) -> tuple[PlanStep, ...]:
    """The order of welding."""
    steps = [*_low_steps(plan), *_aside_steps(plan), *_back_steps(plan)]
    steps += [
        PlanStep(
            what=f"In place, weld {joint.seam.name} before {listed(joint.early_before)} "
            f"{'goes' if len(joint.early_before) == 1 else 'go'} in.",
            joints=(joint.seam.name,),
            bars=joint.early_before,
        )
        for joint in plan.joints
        if joint.when is When.BEFORE
    ]
    rest = names_when(plan, When.IN_PLACE)
    moved = plan.low or plan.aside
    if rest:
        steps.append(
            PlanStep(
                what=f"{'After lifting, in place' if moved else 'In place'}, in the order of assembly, weld "
                f"{listed(rest)}. {_CAUTION}",
                joints=rest,
            )
        )
    feet = tuple(one.seam.name for one in plan.feet)
    if feet:
        under = "on their pedestals" if plan.low and plan.low.part.legs else "to their plates"
        steps.append(PlanStep(what=f"Last, weld the feet {under}: {listed(feet)}.", joints=feet))
    return tuple(steps)


def names_when(plan: WeldPlan, when: When) -> tuple[str, ...]:
    """Joints that are welded then, in the order of assembly."""
    return tuple(joint.seam.name for joint in plan.joints if joint.when is when)


def _low_steps(plan: WeldPlan) -> list[PlanStep]:
    if plan.low is None:
        return []
    bars, place = tuple(plan.low.part.bars), place_words(plan.low.place)
    tacks = tuple(joint.seam.name for joint in plan.joints if set(joint.seam.bars) <= set(bars))
    first = f"Tack in place: {listed(bars)}"
    first += f", at {listed(tacks)}. " if tacks else ". "
    first += "Tack the feet lightly; these tacks are broken again."
    steps = [
        PlanStep(what=first, joints=(), bars=bars),
        PlanStep(
            what=f"Break the tacks of the feet and bring the part {place}. {_move_words(plan.low.move)} "
            "Support it; two people.",
            bars=bars,
        ),
    ]
    low = names_when(plan, When.LOW)
    what = (
        f"There weld all round {listed(low)}. {_CAUTION}"
        if low
        else "There weld what lies on the part's top."
    )
    return [*steps, PlanStep(what=what, joints=low)]


def _aside_steps(plan: WeldPlan) -> list[PlanStep]:
    if plan.aside is None:
        return []
    bars, joints = tuple(plan.aside.part.bars), names_when(plan, When.ASIDE)
    more = tuple(name for name in bars if plan.low is None or name not in plan.low.part.bars)
    tack = f"Tack {listed(more)} to it, and bring" if more and plan.low else f"Tack {listed(bars)}, and bring"
    tack = tack if more or plan.low is None else "Bring"
    return [
        PlanStep(
            what=f"{tack} the part {place_words(plan.aside.place)}. {_move_words(plan.aside.move)} There weld "
            f"{listed(joints)}.",
            joints=joints,
            bars=bars,
        )
    ]


def _back_steps(plan: WeldPlan) -> list[PlanStep]:
    station = plan.low or plan.aside
    if station is None:
        return []
    feet = tuple(f"{leg.bar_id} {leg.end}" for leg in station.part.legs)
    what = "Bring the part back to its place"
    what += f" and set it on pedestals of {station.pedestal_mm:g} mm under {listed(feet)}" if feet else ""
    return [
        PlanStep(
            what=f"{what}. Check lean, widths, diagonals and doors, then tack the feet.",
            bars=tuple(station.part.bars),
        )
    ]


def place_words(place: Place) -> str:
    """Such as `50 mm down, 100 mm back and tilted 2° front up`."""
    words = []
    if place.drop_mm:
        words.append(f"{place.drop_mm:g} mm down")
    if place.shift_mm:
        words.append(f"{abs(place.shift_mm):g} mm {'forward' if place.shift_mm > 0.0 else 'back'}")
    if place.tilt_deg:
        words.append(
            f"tilted {abs(place.tilt_deg):g}° with its front {'down' if place.tilt_deg > 0.0 else 'up'}"
        )
    return listed(tuple(words)) or "where it is"


def _move_words(move: Move) -> str:
    near = move.nearest
    if near is None or not near.region:
        return "On the way nothing scanned is near it."
    at = "" if near.at.is_last else f" when it stands {place_words(near.at.rounded())}"
    return f"On the way it comes nearest to '{near.region}': {near.bar_id} by {near.gap_mm:.1f} mm{at}."


def listed(names: Sequence[str]) -> str:
    """Names as a person lists them: `A, B and C`."""
    if len(names) < 2:
        return "".join(names)
    return f"{', '.join(names[:-1])} and {names[-1]}"
