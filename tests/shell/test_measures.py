"""Tape, size and unit, left against right, region names, outline and the light mesh, on the known section."""

import numpy as np
import pytest

from hoopwright.findings import Severity, Verdict
from hoopwright.shell.display import make_display_mesh
from hoopwright.shell.nearest import nearest_metal
from hoopwright.shell.records import NamedPlace, TapeDistance, TapePlace
from hoopwright.shell.sides import compare_sides
from hoopwright.shell.sizing import propose_units
from hoopwright.shell.tape import compare_tape
from hoopwright.shell.tree import build_tree
from hoopwright.units import MM_PER_UNIT


def width(tape_mm, name="inside width at 620"):
    """The section is 1360 wide at up 620; places a little off the metal are laid on it."""
    places = [TapePlace(place_mm=(-900.0, left, 600.0)) for left in (671.0, -688.0)]
    return TapeDistance(name=name, tape_mm=tape_mm, from_place=places[0], to_place=places[1])


@pytest.mark.parametrize(
    ("tape_mm", "severity", "verdict"),
    [
        (1360.0, None, Verdict.PASS),
        (1362.7, None, Verdict.PASS),  # 1.98 mm per metre
        (1357.3, None, Verdict.PASS),  # 1.99
        (1362.9, Severity.WARNING, Verdict.PASS),  # 2.13
        (1356.0, Severity.WARNING, Verdict.PASS),  # 2.95
        (1364.5, Severity.STOP, Verdict.FAIL),  # 3.30
        (1372.0, Severity.STOP, Verdict.FAIL),  # 8.7, as acceptance A1 types it
        (0.0, Severity.STOP, Verdict.FAIL),
        (-1360.0, Severity.STOP, Verdict.FAIL),
        (float("nan"), Severity.STOP, Verdict.FAIL),
    ],
)
def test_tape_within_2_is_fine_to_3_a_warning_over_3_a_stop(section_shell, tape_mm, severity, verdict):
    (result,), findings = compare_tape(section_shell, [width(tape_mm)])
    assert result.scan_mm == pytest.approx(1360.0, abs=0.1)
    assert result.verdict is verdict
    if severity is None:
        assert findings == ()
        assert result.difference_mm == pytest.approx(1360.0 - tape_mm, abs=0.1)
        return
    (finding,) = findings
    assert finding.code == "SCAN-030"
    assert finding.severity is severity
    assert "inside width at 620" in finding.sentence
    assert finding.objects == ("inside width at 620",)
    assert finding.limit == (3.0 if severity is Severity.STOP else 2.0)


def test_tape_from_a_datum_and_the_name_of_the_one_that_is_wrong(section_shell):
    roof = TapeDistance(
        name="floor line to roof",
        tape_mm=1117.6,
        from_place=TapePlace(place_mm=(-900.0, 0.0, 0.0), on_metal=False),
        to_place=TapePlace(place_mm=(-900.0, 0.0, 1110.0)),
    )
    length = TapeDistance(
        name="length",
        tape_mm=1800.0,
        from_place=TapePlace(place_mm=(0.0, 680.0, 300.0)),
        to_place=TapePlace(place_mm=(-1800.0, 680.0, 300.0)),
    )
    results, findings = compare_tape(section_shell, [roof, width(1372.0), length])
    assert [abs(r.difference_mm) < 1.0 for r in results] == [True, False, True]
    assert [f.objects for f in findings] == [("inside width at 620",)]


def test_tape_with_an_end_in_the_air_is_not_checked(section_shell):
    lost = TapeDistance(
        name="to nowhere",
        tape_mm=700.0,
        from_place=TapePlace(place_mm=(-900.0, 0.0, 400.0)),
        to_place=TapePlace(place_mm=(-900.0, 680.0, 400.0)),
    )
    (result,), (finding,) = compare_tape(section_shell, [lost])
    assert result.verdict is Verdict.NOT_CHECKED
    assert result.scan_mm is None
    assert finding.code == "SCAN-031"
    assert "to nowhere" in finding.sentence


def test_tape_between_two_datums_proves_nothing(section_shell):
    typed = TapeDistance(
        name="floor line to datum",
        tape_mm=1118.0,
        from_place=TapePlace(place_mm=(-900.0, 0.0, 0.0), on_metal=False),
        to_place=TapePlace(place_mm=(-900.0, 0.0, 1118.0), on_metal=False),
    )
    (result,), (finding,) = compare_tape(section_shell, [typed])
    assert result.verdict is Verdict.NOT_CHECKED
    assert finding.code == "SCAN-031"


def car_box(bodies, size_mm, unit, askew=True):
    """Points over a box of that size, in that unit, askew."""
    rng = np.random.default_rng(1)
    points = rng.uniform(-0.5, 0.5, (20_000, 3))
    axis = rng.integers(0, 3, len(points))
    points[np.arange(len(points)), axis] = np.sign(points[np.arange(len(points)), axis]) * 0.5
    points *= size_mm
    if askew:
        turn = np.linalg.qr(rng.normal(size=(3, 3)))[0]
        points = points @ turn.T + 700.0
    return bodies.as_cloud(points / MM_PER_UNIT[unit])


@pytest.mark.parametrize("unit", ["mm", "cm", "m", "in", "ft"])
@pytest.mark.parametrize(
    "size_mm", [(4100.0, 1700.0, 1300.0), (4700.0, 1850.0, 1400.0), (2300.0, 1400.0, 1150.0)]
)
def test_the_unit_is_proposed_with_the_size_that_follows(bodies, unit, size_mm):
    """A car and a cabin alone, in all five units."""
    proposals = propose_units(car_box(bodies, size_mm, unit))
    assert proposals[0].unit == unit
    assert sorted(p.unit for p in proposals) == sorted(MM_PER_UNIT)
    assert proposals[0].is_believable
    assert proposals[0].size_mm == pytest.approx(size_mm, rel=0.03)
    assert not any(p.is_believable for p in proposals[1:])
    for proposal in proposals:
        factor = MM_PER_UNIT[proposal.unit] / MM_PER_UNIT[unit]
        assert proposal.size_mm[0] == pytest.approx(proposals[0].size_mm[0] * factor)


def test_acceptance_section_in_inches_is_an_inch_scan(bodies):
    scan = bodies.as_scan(bodies.section_soup() / 25.4)
    best = propose_units(scan)[0]
    assert best.unit == "in"
    assert best.size_mm == pytest.approx((1800.0, 1360.0, 1118.0), rel=0.03)


def test_stray_points_do_not_change_the_unit(bodies):
    scan = car_box(bodies, (4100.0, 1700.0, 1300.0), "m")
    strays = np.random.default_rng(2).uniform(-300.0, 300.0, (20, 3))
    with_strays = bodies.as_cloud(np.concatenate([scan.points, strays]))
    best = propose_units(with_strays)[0]
    assert best.unit == "m"
    assert best.size_mm[0] < 6000.0


@pytest.mark.parametrize("in_mm", [0.0, 6.0, -4.0])
def test_left_against_right(bodies, in_mm):
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(right_in_mm=in_mm)))
    report = compare_sides(shell)
    assert report.right_closer_mm == pytest.approx(in_mm, abs=0.3)
    assert report.typical_mm == pytest.approx(abs(in_mm), abs=0.3)
    assert report.matched_share > 0.9
    assert len(report.parts) == 9
    for part in report.parts:
        assert part.right_closer_mm == pytest.approx(in_mm, abs=0.5)
        assert part.area_m2 > 0.0


def test_one_side_alone_has_no_difference(bodies):
    soup = bodies.section_soup()
    assert compare_sides(bodies.shell_of(bodies.as_scan(soup[soup[:, :, 1].min(axis=1) > 0.0]))) is None


def test_regions_are_named_by_lie_and_by_the_person(bodies, section_shell):
    names = section_shell.region_names
    assert len(set(names)) == len(names) == section_shell.prepared.regions.count
    assert any(name.startswith("roof, up 1118") for name in names)
    assert sum(name.startswith("left wall") for name in names) == 2
    assert sum(name.startswith("right wall") for name in names) == 2
    named = bodies.shell_of(
        bodies.as_scan(bodies.section_soup()),
        named_places=[
            NamedPlace(name="driver's door", place_mm=(-900.0, 670.0, 300.0)),
            NamedPlace(name="far off", place_mm=(-900.0, 0.0, 300.0)),
        ],
    )
    assert named.region_names.count("driver's door") == 1
    assert "far off" not in named.region_names
    found = named.nearest(np.array([[-400.0, 660.0, 100.0]]))
    assert named.region_names[named.prepared.regions.of_triangle[found.triangle[0]]] == "driver's door"


def test_regions_cover_each_flat_once(section_shell):
    """Five flats and two chamfers, each one region; areas are those of the drawing."""
    regions = section_shell.prepared.regions
    areas = sorted(regions.area_mm2[1:] / 1e6, reverse=True)
    wall, lean, roof = 1.8 * 0.62, 1.8 * np.hypot(0.124, 0.462), 1.8 * 1.0
    chamfer = 1.8 * np.hypot(0.056, 0.036)
    assert areas == pytest.approx([roof, wall, wall, lean, lean, chamfer, chamfer], rel=0.15)
    assert sum(areas) + regions.area_mm2[0] / 1e6 == pytest.approx(
        roof + 2 * (wall + lean + chamfer), rel=1e-3
    )


def test_outline(section_shell):
    outline = section_shell.envelope
    assert outline.half_width_mm(-900.0) == pytest.approx(680.0, abs=1.0)
    points = np.array([(-900.0, 0.0, 500.0), (-900.0, 670.0, 300.0), (-900.0, 700.0, 300.0), (-900, 0, 1138)])
    margin, outward = outline.margin_mm(points)
    assert margin == pytest.approx([500.0, 10.0, -20.0, -20.0], abs=8.0)
    assert outward[2] == pytest.approx((0.0, 1.0, 0.0), abs=1e-9)
    assert outward[3] == pytest.approx((0.0, 0.0, 1.0), abs=1e-9)
    beyond, way = outline.margin_mm(np.array([(300.0, 0.0, 500.0), (-2000.0, 0.0, 500.0)]))
    assert beyond == pytest.approx([-300.0, -200.0], abs=16.0)
    assert way == pytest.approx(np.array([(1.0, 0.0, 0.0), (-1.0, 0.0, 0.0)]))


def test_the_light_mesh_keeps_its_count_and_stays_on_the_metal(bodies):
    scan = bodies.as_scan(bodies.section_soup(piece_mm=8.0) / 25.4)
    assert len(scan.triangles) > 150_000
    light = make_display_mesh(scan, 25.4, wanted=20_000)
    assert 5_000 < len(light.triangles) <= 20_000
    assert light.triangles.max() < len(light.points_mm)
    tree = build_tree((scan.points * np.float32(25.4)), scan.triangles)
    off = nearest_metal(tree, light.points_mm).distance_mm
    assert off.max() < 2.0
    middles = light.points_mm[light.triangles].mean(axis=1)
    assert np.quantile(nearest_metal(tree, middles).distance_mm, 0.99) < 2.0
    assert light.points_mm.max(axis=0) == pytest.approx([0.0, 680.0, 1118.0], abs=2.0)


def test_a_small_mesh_is_drawn_as_it_is_and_a_cloud_thinned(bodies):
    scan = bodies.as_scan(bodies.section_soup())
    light = make_display_mesh(scan, 1.0)
    assert np.array_equal(light.triangles, scan.triangles)
    cloud = bodies.as_cloud(np.random.default_rng(3).random((50_000, 3)))
    thin = make_display_mesh(cloud, 1000.0, wanted=10_000)
    assert 9_000 < len(thin.points_mm) <= 10_000
    assert len(thin.triangles) == 0
