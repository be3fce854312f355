"""Tube that came into the shop: its batch and its sticks, kept together."""

from hoopwright.bender import Stick, TubeBatch
from hoopwright.jobs.shop_sticks import refuse_count
from hoopwright.jobs.shops import open_shop


def take_delivery(
    batch: TubeBatch, *, length_mm: float, count: int, where: str | None = None
) -> tuple[Stick, ...]:
    """Keep sticks that came, and their batch where it is new; labels are the batch and numbers that no stick has.

    Args:
        batch: As its certificate has it.
        length_mm: Of each stick.
        count: How many came.
        where: The shop; the one at hand without.

    Returns:
        The sticks as kept.

    Raises:
        UserError: `SHOP-041` for a count that cannot be; `SHOP-001` to `SHOP-003` for what cannot be kept;
            `SHOP-024` where the batch is kept with other values.
    """
    refuse_count(count)
    with open_shop(where) as shop:
        return tuple(stored.record for stored in shop.take_in(batch, length_mm=length_mm, count=count))
