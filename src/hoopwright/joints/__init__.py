"""Copes, landings, gussets, weld reach and ways into the car."""

from hoopwright.joints.flat import FlatPart, Fold, RoundHole
from hoopwright.joints.wrap import Wrap

__all__ = ["FlatPart", "Fold", "RoundHole", "Wrap"]
