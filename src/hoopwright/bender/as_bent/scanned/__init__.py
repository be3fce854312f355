"""A bar from points on its skin: where there is tube, its axis, its straights, and the fit of all of it."""

from hoopwright.bender.as_bent.scanned.matching import MatchedBar, match_scanned
from hoopwright.bender.as_bent.scanned.mesh_points import points_on_mesh
from hoopwright.bender.as_bent.scanned.scanned_bar import ScannedBar, bar_in_scan

__all__ = ["MatchedBar", "ScannedBar", "bar_in_scan", "match_scanned", "points_on_mesh"]
