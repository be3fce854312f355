"""The sticks of a project as JSON carries them."""

from typing import Any

from hoopwright.jobs.cut_keys import plan_sums, stick_keys
from hoopwright.jobs.rack import rack_keys
from hoopwright.jobs.stock import ProjectStock


def stock_keys(found: ProjectStock) -> dict[str, Any]:
    """The plan of a project as JSON carries it."""
    plans = [group.to_saw for group in found.groups]
    return {
        "project": found.project,
        "identity": found.identity,
        "sticks": [keys for g in found.groups for keys in stick_keys(g.to_saw, g.tube, g.steel)],
        **plan_sums(plans),
        "kerf_mm": found.groups[0].plan.task.rules.kerf_mm,
        "rack": rack_keys(found.rack),
        "spares": [
            {
                **vars(spare),
                "asked": group.spares_asked,
                "stick_count_with_it": None if group.spared is None else group.spared.stick_count,
                "to_buy_with_it": None if group.spared is None else len(group.spared.bought),
            }
            for spare, group in zip(found.spares, found.groups, strict=True)
        ],
        "order": order_keys(found),
        **order_sums(found),
        "left_out": [{"bar": bar, "why": why} for bar, why in found.left_out],
    }


def order_keys(found: ProjectStock) -> list[dict[str, Any]]:
    """What to buy as JSON carries it."""
    return [
        {**vars(line), "tube": str(line.tube), "share_a_batch": list(line.share_a_batch)}
        for line in found.order
    ]


def order_sums(found: ProjectStock) -> dict[str, Any]:
    """What to buy all together; the price is null while one is not known."""
    prices = [line.price for line in found.order]
    known = [price for price in prices if price is not None]
    return {
        "to_buy_count": sum(line.count for line in found.order),
        "to_buy_mass_kg": sum(line.mass_kg for line in found.order),
        "to_buy_price": sum(known) if len(known) == len(prices) else None,
    }
