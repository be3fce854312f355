"""Sections, picked places, the report of a bar and a fit that is kept: what the page asks of the jobs."""

import numpy as np
import pytest

from hoopwright.bars import centreline
from hoopwright.cage import End, bar_of, move_node
from hoopwright.findings import UserError
from hoopwright.jobs.bar_edits import set_bar_end, set_bar_tube
from hoopwright.jobs.bar_reports import report_bar
from hoopwright.jobs.fit_tasks import FitWishes
from hoopwright.jobs.fits import fit_member, keep_offer, with_offer
from hoopwright.jobs.measured_places import Spot, apart, spot_on_bar, spot_on_shell
from hoopwright.jobs.projects import undo
from hoopwright.jobs.view_sections import section_at_station, section_of_bar
from hoopwright.jobs.views import changed_bars
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize
from hoopwright.web.desk import Desk

ROOF_UP_MM = 1118.0
WALL_LEFT_MM = 680.0


@pytest.fixture
def desk(small):
    return Desk(ProjectFolder(path=small))


@pytest.fixture
def cage(desk):
    return desk.seen().project.cage


@pytest.fixture
def shell(desk):
    return desk.shell()


def test_a_section_at_a_station_follows_the_body(cage, shell):
    made = section_at_station(cage, shell, -500.0)
    points = np.concatenate(made.shell_mm)
    assert np.allclose(points[:, 0], -500.0, atol=1e-6)
    assert points[:, 2].max() == pytest.approx(ROOF_UP_MM, abs=0.01)
    assert np.abs(points[:, 1]).max() == pytest.approx(WALL_LEFT_MM, abs=0.01)
    assert made.bars_mm == ()  # no bar is so far forward


def test_what_is_cut_of_a_bar_lies_on_its_skin_and_its_gap_is_the_exact_one(cage, shell):
    made = section_at_station(cage, shell, -1200.0)
    outlines = dict(made.bars_mm)
    assert set(outlines) == {"BS-L", "BS-R"}
    path = centreline(bar_of(cage, "BS-L"))
    gap = next(gap for gap in made.gaps if gap.bar_id == "BS-L")
    assert gap.axis_mm[0] == pytest.approx(-1200.0, abs=1e-6)
    assert path.distance_to_mm(gap.axis_mm) == pytest.approx(0.0, abs=1e-6)
    assert gap.gap_mm == pytest.approx(float(shell.nearest(np.array([gap.axis_mm])).distance_mm[0]) - 22.5)
    # every point of the outline lies on the skin, within the chord of 48 sides
    off = [path.distance_to_mm(point) - 22.5 for point in outlines["BS-L"]]
    assert max(map(abs, off)) < 0.06


def test_the_section_of_a_hoop_shows_the_gaps_of_the_known_section(cage, shell):
    """Roof, upper wall and lower wall of A4 in the project's acceptance figures: 10.5, 16.6 and 18.4."""
    made = section_of_bar(cage, shell, "MH")
    gaps = sorted(gap.gap_mm for gap in made.gaps if gap.bar_id == "MH")
    assert gaps[0] == pytest.approx(10.5, abs=0.3)
    for wanted in (16.6, 18.4):
        assert min(abs(gap - wanted) for gap in gaps) < 0.3
    assert all(gap.in_plane for gap in made.gaps if gap.bar_id == "MH")
    assert "<svg" in made.drawing
    assert "MH 10.5 mm" in made.drawing


def test_a_bar_that_lies_in_no_plane_has_no_section(cage, shell):
    bent = move_node(cage, "MH", 3, (-800.0, 505.0, 1085.0))
    with pytest.raises(UserError) as refused:
        section_of_bar(bent, shell, "MH")
    assert refused.value.findings[0].code == "WEB-060"


def test_a_section_without_a_scan_shows_the_bars_alone(cage):
    made = section_at_station(cage, None, -1200.0)
    assert made.shell_mm == ()
    assert made.gaps == ()
    assert len(made.bars_mm) == 2


def test_a_picked_place_lies_on_the_full_scan(shell):
    spot = spot_on_shell(shell, (-500.0, 100.0, ROOF_UP_MM - 3.0), (0.0, 0.0, 1.0))
    assert spot.place_mm == pytest.approx((-500.0, 100.0, ROOF_UP_MM), abs=1e-3)


def test_a_picked_place_lies_on_the_skin_of_a_bar(cage):
    # along the car at the harness bar's axis height, the near side of its skin
    spot = spot_on_bar(cage, "HB", (500.0, 100.0, 450.0), (-1.0, 0.0, 0.0))
    assert spot.place_mm == pytest.approx((-900.0 + 22.5, 100.0, 450.0), abs=1e-3)
    # off its axis, where the skin is met aslant: 22.5^2 = 10^2 + x^2
    spot = spot_on_bar(cage, "HB", (500.0, 100.0, 460.0), (-1.0, 0.0, 0.0))
    assert spot.place_mm[0] == pytest.approx(-900.0 + np.sqrt(22.5**2 - 10.0**2), abs=2e-3)
    with pytest.raises(UserError) as refused:
        spot_on_bar(cage, "HB", (500.0, 100.0, 480.0), (-1.0, 0.0, 0.0))
    assert refused.value.findings[0].code == "WEB-061"


def test_two_places_are_so_far_apart():
    found = apart(Spot(place_mm=(0.0, 0.0, 0.0), on="a"), Spot(place_mm=(2.0, -3.0, 6.0), on="b"))
    assert (found.straight_mm, found.forward_mm, found.left_mm, found.up_mm) == (7.0, 2.0, -3.0, 6.0)


def test_the_report_of_a_bar(desk):
    report = report_bar(desk.folder, "MH", date="2026-03-14", whole=desk.whole_shell())
    assert report.regions[0].gap_mm == pytest.approx(10.5, abs=0.3)
    assert [place.gap_mm for place in report.regions] == sorted(place.gap_mm for place in report.regions)
    assert set(report.goes_along) == {"BS-L end A", "BS-R end A", "HB end A"}
    assert "<svg" in report.chart
    assert report.sheet.state == "cannot be made"  # it has no calibration
    straight = report_bar(desk.folder, "HB", date="2026-03-14")
    assert straight.sheet.state == "never issued"
    assert straight.goes_along == ()


def test_ends_and_tube_are_changed_in_the_project_and_undone(desk):
    thin = TubeSize(od_mm=38.0, wall_mm=2.5)
    set_bar_tube(desk.folder, "BS-L", tube=thin, die="38", clr_mm=114.0)
    set_bar_end(desk.folder, "BS-L", "B", End(kind="shell", trim_mm=30.0, landing_mm=100.0))
    cage = desk.seen().project.cage
    assert cage.member("BS-R").tube == thin
    assert cage.member("BS-R").end_b.trim_mm == 30.0
    undo(desk.folder)
    undo(desk.folder)
    assert desk.seen().project.cage.member("BS-R").tube != thin
    with pytest.raises(UserError) as refused:
        set_bar_tube(desk.folder, "MH", tube=thin, die="38", clr_mm=12.0)
    assert refused.value.findings[0].code == "CAGE-025"


def test_a_fit_is_looked_at_first_and_kept_after(desk):
    before = desk.seen().project.cage
    report = fit_member(desk.folder, "HB", FitWishes(gap_mm=8.0), bends=(0,), whole=desk.whole_shell())
    assert desk.seen().project.cage == before
    assert [offer.bends for offer in report.found.offers] == [0]
    after, _ = with_offer(before, report.member, report.found, report.found.offers[0])
    tried = changed_bars(before, after, desk.shell())
    keep_offer(desk.folder, report, 0)
    kept = desk.seen().project.cage.member("HB")
    assert kept.fit is not None
    assert kept.nodes_mm == after.member("HB").nodes_mm
    for bar in tried:
        assert np.allclose(bar.nodes_mm, bar_of(desk.seen().project.cage, bar.bar_id).nodes_mm)
    with pytest.raises(UserError) as refused:
        keep_offer(desk.folder, report, 3)
    assert refused.value.findings[0].code == "FIT-037"


def test_one_scan_is_held_and_not_two(desk):
    assert desk.whole_shell() is desk.whole_shell()
    assert desk.shell().prepared is desk.whole_shell().prepared
    assert desk.shown()[1] is desk.shell()
