"""Landings: what a leg stands on, fitted to the metal under it and unfolded flat."""

from hoopwright.joints.landing.result import Face, FittedLanding, GapToMetal, LegCut, flat_parts_of

__all__ = ["Face", "FittedLanding", "GapToMetal", "LegCut", "flat_parts_of"]
