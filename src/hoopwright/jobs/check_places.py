"""Where in the car a row of the checks is."""

from hoopwright.bars import Node
from hoopwright.cage import Cage, Driver, bar_of
from hoopwright.jobs.checks import CheckReport
from hoopwright.jobs.drivers import DriverReport
from hoopwright.jobs.rows import CheckRow


def place_of_row(report: CheckReport, row: CheckRow, cage: Cage) -> Node | None:
    """The place that a row speaks of, vehicle frame; None where it has none.

    What a rule of the book looked at, the nearest metal of a gap, where a bar crosses or leaves the shell, the place of
    the finding with the same measured value, else the end of the bar that the row names, else the bar's middle.
    """
    return (
        _of_its_rule(report, row)
        or _on_its_gaps(report, row)
        or _of_its_finding(report, row)
        or _on_its_bar(row, cage)
    )


def place_of_driver_row(report: DriverReport, driver: Driver, row: CheckRow) -> Node | None:
    """The place that a row on a driver speaks of: on the bar that is near, else what of the driver is checked."""
    rooms = report.measured.rooms.get(driver.name, ())
    near = next((one.place_mm for one in rooms if one.room_mm == row.measured), None)
    if near is not None:
        return near
    parts = {"belt": driver.guide_mm or driver.shoulder_mm, "view": driver.eye_mm, "helmet": driver.helmet_mm}
    return next((place for word, place in parts.items() if word in row.check), None)


def _of_its_rule(report: CheckReport, row: CheckRow) -> Node | None:
    """The rows of the rule book stand last, in the order of the book."""
    rules = () if report.held is None else report.held.rows
    last = report.rows[len(report.rows) - len(rules) :]
    return next((one.place_mm for one, shown in zip(rules, last, strict=True) if shown is row), None)


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
