"""The bar that exists: from a tape, from readings at the bender, or from a scan of it."""

from hoopwright.jobs.as_bent.bent_bar import BentBar, DistanceRow, distance_rows, drawn_bar_of
from hoopwright.jobs.as_bent.drawn import bends_csv, draw_bent
from hoopwright.jobs.as_bent.kept import drop_bent, keep_bent
from hoopwright.jobs.as_bent.measured import bar_from_bend_readings, bar_from_tape
from hoopwright.jobs.as_bent.scanned import bar_from_scan, scan_of_bar

__all__ = [
    "BentBar",
    "DistanceRow",
    "bar_from_bend_readings",
    "bar_from_scan",
    "bar_from_tape",
    "bends_csv",
    "distance_rows",
    "draw_bent",
    "drawn_bar_of",
    "drop_bent",
    "keep_bent",
    "scan_of_bar",
]
