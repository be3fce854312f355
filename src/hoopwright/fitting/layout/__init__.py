"""A complete first cage from a handful of landmarks and choices: `lay_out_cage`."""

from hoopwright.fitting.layout.cage import LANDMARKS, lay_out_cage, wanted_landmarks
from hoopwright.fitting.layout.wishes import FirstLayout, LayoutWishes

__all__ = ["LANDMARKS", "FirstLayout", "LayoutWishes", "lay_out_cage", "wanted_landmarks"]
