"""The shop database: what outlives one car."""

from hoopwright.store.shop.shop import Shop
from hoopwright.store.shop.stored import Stored
from hoopwright.store.shop_place import NO_SHOP, PLACE_VARIABLE, ShopPlace, shop_place

__all__ = ["NO_SHOP", "PLACE_VARIABLE", "Shop", "ShopPlace", "Stored", "shop_place"]
