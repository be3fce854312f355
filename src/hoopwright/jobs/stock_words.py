"""A cutting plan in words, as a page tells it."""

from collections import Counter

from hoopwright.jobs.cuts import GroupCuts, mass_kg
from hoopwright.units import MM_PER_UNIT

_PERCENT = 100.0


def proof_words(group: GroupCuts) -> str:
    """How many sticks, and whether fewer can do."""
    plan = group.to_saw
    offcuts = f" and {_counted(plan.offcut_count, 'offcut')}" if plan.offcut_count else ""
    if not plan.proven_optimal:
        proof = f"△ not proven; no plan has under {plan.lower_bound}"
    elif plan.stick_count:
        proof = "✓ proven: no plan takes fewer"
    else:
        proof = "✓ proven best"
    return f"{_counted(plan.stick_count, 'stick')}{offcuts}. {proof}."


def parts_words(group: GroupCuts) -> str:
    """Metres, mass, waste, and what the saw was taken to take."""
    plan = group.to_saw
    mass = mass_kg(group.tube, plan.parts_mm)
    return ", ".join(
        (
            f"{plan.parts_mm / MM_PER_UNIT['m']:.3f} m of parts",
            *(() if mass is None else (f"{mass:.1f} kg",)),
            f"{_PERCENT * plan.waste_ratio:.1f} % waste",
            f"the saw taking {plan.task.rules.kerf_mm:g} mm",
        )
    )


def spare_words(group: GroupCuts, name: str) -> str:
    """The spare that is proposed, and what it takes.

    Args:
        group: The plan of its size.
        name: The bar and why, in words.
    """
    if group.spares_asked:
        return f"The spare is in it: {name}"
    if group.spared is None:
        return f"A spare is proposed, not counted: {name}. These sticks do not hold it."
    more = group.spared.stick_count - group.plan.stick_count
    with_it = (
        f"with it {_counted(group.spared.stick_count, 'stick')}, {more} more"
        if more > 0
        else "it fits into the same sticks"
    )
    return f"A spare is proposed, not counted; {with_it}: {name}"


def bought_words(group: GroupCuts) -> str:
    """What is bought for a plan: sticks, mass and price."""
    plan = group.to_saw
    lengths = Counter(stick.offer.length_mm for stick in plan.bought)
    mass = mass_kg(group.tube, sum(length_mm * count for length_mm, count in lengths.items()))
    return ", ".join(
        (
            " and ".join(f"{count} x {length_mm:g} mm" for length_mm, count in sorted(lengths.items())),
            *(() if mass is None else (f"{mass:.1f} kg",)),
            "not priced" if plan.price is None else f"{plan.price:.2f}",
        )
    )


def _counted(count: int, what: str) -> str:
    return f"{count} {what}" if count == 1 else f"{count} {what}s"
