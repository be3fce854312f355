"""A place on a page where a file is dropped or chosen."""

from hoopwright.web.dropping.dropping import DropPlace

__all__ = ["DropPlace"]
