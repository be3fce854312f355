"""The shop database: what outlives one car."""

from hoopwright.store.shop.place import NO_SHOP, PLACE_VARIABLE, ShopPlace, shop_place
from hoopwright.store.shop.shop import Shop
from hoopwright.store.shop.stored import Stored

__all__ = ["NO_SHOP", "PLACE_VARIABLE", "Shop", "ShopPlace", "Stored", "shop_place"]
