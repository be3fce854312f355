"""Landings: what a leg stands on, fitted to the metal under it and unfolded flat.

The compiled kernels of the scan are slow to load, so what fits is imported from `fit` and `together`.
"""

from hoopwright.joints.landing.result import Face, FittedLanding, GapToMetal, LegCut, flat_parts_of

__all__ = ["Face", "FittedLanding", "GapToMetal", "LegCut", "flat_parts_of"]
