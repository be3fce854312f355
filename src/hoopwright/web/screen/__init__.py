"""The screen at the bender: plain pages and JSON, so that it goes on while the network is away."""

from hoopwright.web.screen.routes import add_screen_routes

__all__ = ["add_screen_routes"]
