"""Everything of a cage that is cut from sheet."""

from hoopwright.jobs.paper_source import PaperSource
from hoopwright.joints import FlatPart
from hoopwright.progress import Progress, silent


def plate_parts(source: PaperSource, *, progress: Progress = silent) -> tuple[FlatPart, ...]:
    """The flat parts of landings and gussets."""
    return ()
