"""Where in the car a row of the checks is."""

from hoopwright.bars import Node
from hoopwright.cage import Cage, bar_of
from hoopwright.jobs.checks import CheckReport
from hoopwright.jobs.rows import CheckRow


def place_of_row(report: CheckReport, row: CheckRow, cage: Cage) -> Node | None:
    """The place that a row speaks of, vehicle frame; None where it has none.

    The nearest metal of a gap, where a bar crosses or leaves the shell, the place of the finding with the same measured
    value, else the end of the bar that the row names, else the bar's middle.
    """
    return _on_its_gaps(report, row) or _of_its_finding(report, row) or _on_its_bar(row, cage)


def _on_its_gaps(report: CheckReport, row: CheckRow) -> Node | None:
    gaps = report.gaps.get(row.about)
    if gaps is None:
        return None
    if row.check == "gap to the shell" and gaps.smallest is not None:
        return gaps.smallest.axis_mm
    if row.check == "goes through no metal" and gaps.crossings:
        return gaps.crossings[0].axis_mm
    if row.check == "inside the outline" and gaps.outside:
        return max(gaps.outside, key=lambda stretch: stretch.worst_mm).place_mm
    if row.check == "room outward" and gaps.unseen:
        return gaps.unseen[0].place_mm
    return None


def _of_its_finding(report: CheckReport, row: CheckRow) -> Node | None:
    if row.measured is None:
        return None
    found = (
        finding.point_mm
        for finding in report.findings
        if row.about in finding.objects and finding.measured == row.measured and finding.point_mm is not None
    )
    return next(found, None)


def _on_its_bar(row: CheckRow, cage: Cage) -> Node | None:
    if row.about not in cage:
        return None
    nodes = bar_of(cage, row.about).nodes_mm
    if row.check.startswith("end A"):
        return nodes[0]
    if row.check.startswith("end B"):
        return nodes[-1]
    before, after = nodes[(len(nodes) - 1) // 2], nodes[len(nodes) // 2]
    forward, left, up = ((a + b) / 2.0 for a, b in zip(before, after, strict=True))
    return forward, left, up
