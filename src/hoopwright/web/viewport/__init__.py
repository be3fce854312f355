"""The 3D view as an element of a page."""

from hoopwright.web.viewport.viewport import Viewport

__all__ = ["Viewport"]
