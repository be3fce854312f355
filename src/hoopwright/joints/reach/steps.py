"""The order of welding in words, step by step."""

from collections.abc import Sequence
from dataclasses import dataclass

from hoopwright.joints.reach.moving import Move, Place
from hoopwright.joints.reach.reached import SeamReach
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
        left_deg: Degrees of each of the joints that stay out of the torch's reach in it, of a foot where it is drawn;
            empty where none are welded.
    """

    what: str
    joints: tuple[str, ...] = ()
    bars: tuple[str, ...] = ()
    left_deg: tuple[float, ...] = ()


def plan_steps(plan: WeldPlan) -> tuple[PlanStep, ...]:
    """The order of welding."""
    steps = [*_low_steps(plan), *_aside_steps(plan), *_back_steps(plan)]
    steps += [
        PlanStep(
            what=f"In place, weld {_with_left((joint.planned,))} before {listed(joint.early_before)} "
            f"{'goes' if len(joint.early_before) == 1 else 'go'} in.{_what_left_means((joint.planned,))}",
            joints=(joint.seam.name,),
            bars=joint.early_before,
            left_deg=(joint.planned.left_deg,),
        )
        for joint in plan.joints
        if joint.when is When.BEFORE
    ]
    rest = _reaches_when(plan, When.IN_PLACE)
    moved = plan.low or plan.aside
    if rest:
        steps.append(
            PlanStep(
                what=f"{'After lifting, in place' if moved else 'In place'}, in the order of assembly, weld "
                f"{_with_left(rest)}.{_what_left_means(rest)} {_CAUTION}",
                joints=_names(rest),
                left_deg=_left(rest),
            )
        )
    return (*steps, *_feet_steps(plan))


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
    low = _reaches_when(plan, When.LOW)
    what = f"There {_weld(low)} {_CAUTION}" if low else "There weld what lies on the part's top."
    return [*steps, PlanStep(what=what, joints=_names(low), left_deg=_left(low))]


def _aside_steps(plan: WeldPlan) -> list[PlanStep]:
    if plan.aside is None:
        return []
    bars, reaches = tuple(plan.aside.part.bars), _reaches_when(plan, When.ASIDE)
    more = tuple(name for name in bars if plan.low is None or name not in plan.low.part.bars)
    tack = f"Tack {listed(more)} to it, and bring" if more and plan.low else f"Tack {listed(bars)}, and bring"
    tack = tack if more or plan.low is None else "Bring"
    return [
        PlanStep(
            what=f"{tack} the part {place_words(plan.aside.place)}. {_move_words(plan.aside.move)} There "
            f"{_weld(reaches)}",
            joints=_names(reaches),
            bars=bars,
            left_deg=_left(reaches),
        )
    ]


def _back_steps(plan: WeldPlan) -> list[PlanStep]:
    station = plan.low or plan.aside
    if station is None:
        return []
    new, there = (
        tuple(f"{leg.bar_id} {leg.end}" for leg in plan.legs if (leg.up_mm > 0.0) is is_new)
        for is_new in (True, False)
    )
    set_on = [f"pedestals of {station.pedestal_mm:g} mm under {listed(new)}"] if new else []
    set_on += [f"the boxes that are under {listed(there)} already"] if there else []
    what = "Bring the part back to its place"
    what += f" and set it on {' and on '.join(set_on)}" if set_on else ""
    return [
        PlanStep(
            what=f"{what}. Check lean, widths, diagonals and doors, then tack the feet.",
            bars=tuple(station.part.bars),
        )
    ]


def _feet_steps(plan: WeldPlan) -> list[PlanStep]:
    """Feet on pedestals apart from those that have none; what is left of a foot is known where it was tried."""
    up_mm = {(leg.bar_id, leg.end): leg.up_mm for leg in plan.legs}
    on = tuple(one for one in plan.feet if (one.seam.bars[0], one.seam.end) in up_mm)
    # a foot whose pedestal is still to come was tried where it is drawn
    tried = tuple(one for one in plan.feet if not up_mm.get((one.seam.bars[0], one.seam.end)))
    rest = tuple(one for one in plan.feet if one not in on)
    said = [f"on their pedestals: {_with_left(on, tried)}"] if on else []
    said += [f"to their plates or boxes: {_with_left(rest)}"] if rest else []
    if not said:
        return []
    what = f"Last, weld the feet {'; '.join(said)}.{_what_left_means(tried)}"
    return [PlanStep(what=what, joints=_names((*on, *rest)), left_deg=_left((*on, *rest)))]


def _reaches_when(plan: WeldPlan, when: When) -> tuple[SeamReach, ...]:
    return tuple(joint.planned for joint in plan.joints if joint.when is when)


def _names(reaches: Sequence[SeamReach]) -> tuple[str, ...]:
    return tuple(one.seam.name for one in reaches)


def _left(reaches: Sequence[SeamReach]) -> tuple[float, ...]:
    return tuple(one.left_deg for one in reaches)


def _weld(reaches: Sequence[SeamReach]) -> str:
    """What is welded, as a sentence: all round, or with what is left of each."""
    if not any(_left(reaches)):
        return f"weld all round {listed(_names(reaches))}."
    others = " Weld the others all round." if not all(_left(reaches)) else ""
    return f"weld {_with_left(reaches)}.{_what_left_means(reaches)}{others}"


def _with_left(reaches: Sequence[SeamReach], tried: Sequence[SeamReach] | None = None) -> str:
    """Names, each with how many degrees are left of it and where."""
    known = reaches if tried is None else tried
    return listed(
        [
            f"{one.seam.name} ({one.left_deg:.0f}° left: {stretch_words(one)})"
            if one.left_deg and one in known
            else one.seam.name
            for one in reaches
        ]
    )


def _what_left_means(reaches: Sequence[SeamReach]) -> str:
    return (
        " Left is what the torch does not reach there, from the heel on in degrees."
        if any(_left(reaches))
        else ""
    )


def stretch_words(reach: SeamReach) -> str:
    """The stretches that are not reached, such as `262 to 292, 340 to 10`."""
    return ", ".join(
        f"{low:.0f} to {high if high <= 360.0 else high - 360.0:.0f}" for low, high in reach.unreached_deg
    )


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
