"""The bar that exists: from a tape, from readings at the bender, from a scan of it."""

from hoopwright.bender.as_bent.bent_bar import (
    BendErrors,
    TakenFrom,
    bar_with,
    check_bent_table,
    laid_on,
    no_errors,
    table_with,
)
from hoopwright.bender.as_bent.distances import BarDistance, bar_distances
from hoopwright.bender.as_bent.readings import BendReading, ReadBar, bar_from_readings
from hoopwright.bender.as_bent.scatter import Kind, Scatter, kinds_of
from hoopwright.bender.as_bent.tape_entries import TapeEntry, chosen, range_mm
from hoopwright.bender.as_bent.tape_fit import TapeFit, fit_tape
from hoopwright.bender.as_bent.telling import KindResult, NextDistance, Told, what_it_tells

__all__ = [
    "BarDistance",
    "BendErrors",
    "BendReading",
    "Kind",
    "KindResult",
    "NextDistance",
    "ReadBar",
    "Scatter",
    "TakenFrom",
    "TapeEntry",
    "TapeFit",
    "Told",
    "bar_distances",
    "bar_from_readings",
    "bar_with",
    "check_bent_table",
    "chosen",
    "fit_tape",
    "kinds_of",
    "laid_on",
    "no_errors",
    "range_mm",
    "table_with",
    "what_it_tells",
]
