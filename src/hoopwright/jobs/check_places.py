"""Where in the car a row of the checks is."""

from hoopwright.bars import Node
from hoopwright.jobs.checks import CheckReport
from hoopwright.jobs.rows import CheckRow


def place_of_row(report: CheckReport, row: CheckRow) -> Node | None:
    """The place that a row speaks of, vehicle frame; None where it has none.

    The nearest metal of a gap, where a bar crosses or leaves the shell, else the place of the first finding on the
    same bar and of the same measured value.
    """
    gaps = report.gaps.get(row.about)
    if gaps is not None:
        if row.check == "gap to the shell" and gaps.smallest is not None:
            return _node(gaps.smallest.axis_mm)
        if row.check == "goes through no metal" and gaps.crossings:
            return _node(gaps.crossings[0].axis_mm)
        if row.check == "inside the outline" and gaps.outside:
            return _node(max(gaps.outside, key=lambda stretch: stretch.worst_mm).place_mm)
        if row.check == "room outward" and gaps.unseen:
            return _node(gaps.unseen[0].place_mm)
    for finding in report.findings:
        if row.about in finding.objects and finding.point_mm is not None and row.measured is not None:
            if finding.measured == row.measured:
                return finding.point_mm
    return None


def _node(place: tuple[float, float, float]) -> Node:
    forward, left, up = place
    return float(forward), float(left), float(up)
