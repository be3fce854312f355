"""What a tape takes on a bar before anything was measured."""

from hoopwright.jobs.as_bent import DistanceRow, distance_rows, drawn_bar_of
from hoopwright.store import ProjectFolder


def distances_to_tape(folder: ProjectFolder, bar_id: str) -> tuple[DistanceRow, ...]:
    """Every distance that a tape takes on a finished bar, with what it should be; empty for a straight bar.

    Raises:
        UserError: `CAGE-001`; `CAL-...`; `STORE-...` for a project that cannot be read.
    """
    drawn = drawn_bar_of(folder, folder.open().project, bar_id)
    return distance_rows(drawn, drawn, ())
