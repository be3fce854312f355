"""The shop to look into, where there is one: looking makes none, and without one its database is not even imported."""

import contextlib
from collections.abc import Iterator
from typing import TYPE_CHECKING

from hoopwright.store.shop_place import shop_place

if TYPE_CHECKING:
    from hoopwright.store.shop import Shop


@contextlib.contextmanager
def shop_if_there(where: str | None = None) -> Iterator["Shop | None"]:
    """The shop that was named, or the person's own; None where there is none yet, or none is wanted.

    Args:
        where: The shop; the person's own without.

    Raises:
        UserError: `SHOP-020` to `SHOP-023` for a shop that is there and cannot be read.
    """
    place = shop_place(where)
    if place is None or not place.is_there:
        yield None
        return
    from hoopwright.store.shop import Shop

    with Shop.open(place) as shop:
        yield shop
