"""First places for bars inside a shell."""

from hoopwright.fitting.layout import FirstLayout, LayoutWishes, lay_out_cage
from hoopwright.fitting.pull import PullResult, Slide, pull_inside

__all__ = ["FirstLayout", "LayoutWishes", "PullResult", "Slide", "lay_out_cage", "pull_inside"]
