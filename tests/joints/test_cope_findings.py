"""What a cope says to a person, and what stops it."""

import numpy as np
import pytest

from hoopwright.findings import UserError
from hoopwright.geometry import fillet_path
from hoopwright.joints.cope import (
    Branch,
    Header,
    OvalBend,
    cope_profile,
    straight_header,
    taken_from_acute_side,
    two_tubes,
)

PATH = fillet_path([(0, 0, 0), (0, 0, 600), (600, 0, 600)], [137.5])


def made(angle_deg=60.0, *, header_mm=45.0, branch_mm=38.0, offset_mm=0.0, wall_mm=None, **how):
    branch, header = two_tubes(
        header_od_mm=header_mm,
        branch_od_mm=branch_mm,
        angle_deg=angle_deg,
        offset_mm=offset_mm,
        wall_mm=wall_mm,
    )
    return cope_profile(branch, [header], **how)


def stopped(**numbers):
    with pytest.raises(UserError) as caught:
        made(**numbers)
    return caught.value.findings


def codes(profile):
    return [finding.code for finding in profile.findings]


def branch_at(origin, direction, od_mm=38.0):
    direction = np.array(direction, dtype=float) / np.linalg.norm(direction)
    datum = np.cross(direction, [0.2, 0.3, 0.93])
    return Branch(
        origin_mm=np.array(origin, dtype=float),
        direction=direction,
        datum=datum / np.linalg.norm(datum),
        od_mm=od_mm,
        name="B",
    )


def test_a_plain_joint_says_nothing():
    assert made().findings == ()


@pytest.mark.parametrize(
    ("numbers", "code"),
    [
        ({"header_mm": float("nan")}, "COPE-001"),
        ({"branch_mm": 0.0}, "COPE-001"),
        ({"branch_mm": -38.0}, "COPE-001"),
        ({"header_mm": 1e9}, "COPE-001"),
        ({"offset_mm": float("inf")}, "COPE-001"),
        ({"cut": "square"}, "COPE-001"),
        ({"angle_deg": 0.0}, "COPE-002"),
        ({"angle_deg": float("nan")}, "COPE-002"),
        ({"angle_deg": 180.0}, "COPE-002"),
        ({"angle_deg": -30.0}, "COPE-002"),
        ({"angle_deg": 3.0}, "COPE-003"),
        ({"angle_deg": 177.0}, "COPE-003"),
        ({"offset_mm": 41.6}, "COPE-007"),
        ({"offset_mm": -1e6}, "COPE-007"),
        ({"points": 0}, "COPE-012"),
        ({"points": 10**9}, "COPE-012"),
        ({"wall_mm": 19.0, "cut": "square"}, "TUBE-001"),
        ({"wall_mm": 0.0, "cut": "square"}, "TUBE-001"),
        ({"wall_mm": float("nan"), "cut": "square"}, "TUBE-001"),
    ],
)
def test_what_stops(numbers, code):
    findings = stopped(**numbers)
    assert [finding.code for finding in findings] == [code]
    assert findings[0].todo
    assert findings[0].severity == "stop"


def test_three_degrees_says_from_where_it_goes():
    (finding,) = stopped(angle_deg=3.0)
    assert (finding.measured, finding.limit, finding.unit) == (pytest.approx(3.0), 5.0, "deg")
    assert "30° or more" in finding.todo


def test_axes_that_miss_say_how_far_to_move():
    (finding,) = stopped(offset_mm=50.0)
    assert (finding.measured, finding.limit) == (pytest.approx(50.0), 41.5)
    assert "46.5 mm" in finding.todo  # to 3.5 mm, where it lands with its whole width
    assert made(offset_mm=50.0 - 46.5).findings == ()


def test_under_30_degrees():
    (finding,) = made(29.0).findings
    assert finding.code == "COPE-004"
    assert (finding.measured, finding.limit) == (pytest.approx(29.0), 30.0)
    assert made(30.0).findings == ()


def test_overhang_and_the_nearest_that_works():
    (finding,) = made(55.0, offset_mm=5.0).findings
    assert finding.code == "COPE-005"
    assert finding.measured == pytest.approx(1.5, abs=1e-6)
    assert "3.5 mm or less" in finding.todo
    assert "35.0 mm or less" in finding.todo
    assert made(55.0, offset_mm=3.5).findings == ()
    assert made(55.0, offset_mm=5.0, branch_mm=35.0).findings == ()


def test_no_branch_of_nothing_is_a_way_out():
    (finding,) = made(55.0, offset_mm=-41.0).findings
    assert "branch of" not in finding.todo
    assert "Bring the axes from 41.0 mm to 3.5 mm or less of each other, or close" in finding.todo


def test_a_branch_wider_than_its_header():
    profile = made(branch_mm=45.0, header_mm=38.0)
    (finding,) = profile.findings
    assert finding.code == "COPE-006"
    assert (finding.measured, finding.limit) == (45.0, 38.0)
    assert "overhangs it by 3.5 mm" in finding.sentence
    assert np.isnan(profile.along_mm[90])
    assert np.isfinite(profile.along_mm[0])


def test_an_overhang_too_small_to_show_is_not_told():
    profile = made(90.0, header_mm=45.0, branch_mm=45.0, offset_mm=0.02)
    assert profile.overhang_mm == pytest.approx(0.02, abs=1e-6)
    assert profile.findings == ()


def test_a_header_that_takes_no_part():
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=60.0)
    aside = straight_header(name="aside", through_mm=[0, 200, 0], direction=[1, 0, 0.2], od_mm=45.0)
    along = straight_header(name="along", through_mm=[0, 0, 400], direction=[1, 0, 0.2], od_mm=45.0)
    profile = cope_profile(branch, [header, aside, along])
    assert codes(profile) == ["COPE-008", "COPE-008"]
    assert [finding.objects[1] for finding in profile.findings] == ["aside", "along"]
    assert profile.findings[0].measured == pytest.approx(200.0 - 41.5)
    assert "400 mm along" in profile.findings[1].sentence
    assert profile.along_mm == pytest.approx(cope_profile(branch, [header]).along_mm)


def test_a_parallel_tube_beside_it_does_not_stop_a_cope():
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=60.0)
    beside = straight_header(name="beside", through_mm=[0, 100, 0], direction=branch.direction, od_mm=45.0)
    assert codes(cope_profile(branch, [header, beside])) == ["COPE-008"]
    inside = straight_header(name="inside", through_mm=[0, 1, 0], direction=branch.direction, od_mm=45.0)
    with pytest.raises(UserError, match="COPE-003"):
        cope_profile(branch, [header, inside])


def test_on_a_bend_whose_ovality_is_not_known():
    arc = PATH.pieces[1]
    place = arc.at(np.array([arc.length_mm / 2.0]))[0]
    branch = branch_at(place, place - arc.centre_mm)
    profile = cope_profile(branch, [Header(name="MH", path=PATH, od_mm=45.0)])
    (finding,) = profile.findings
    assert finding.code == "COPE-010"
    assert finding.sentence.startswith("B lands on bend 1 of MH")
    measured = Header(name="MH", path=PATH, od_mm=45.0, oval_bends=(OvalBend(in_plane_mm=43, across_mm=46),))
    told = cope_profile(branch, [measured])
    assert codes(told) == ["COPE-009"]
    assert not np.allclose(told.along_mm, profile.along_mm, atol=0.5)
    apart_mm = np.abs(told.along_mm - profile.along_mm).max()
    assert 0.5 < apart_mm < 2.0


def test_on_a_straight_beside_a_bend_nothing_is_said_of_it():
    profile = cope_profile(branch_at((0, 0, 200), (1, 0, 0.2)), [Header(name="MH", path=PATH, od_mm=45.0)])
    assert profile.findings == ()


def test_past_the_end_of_a_header():
    profile = cope_profile(branch_at((0, 0, 10), (1, 0, 0)), [Header(name="MH", path=PATH, od_mm=45.0)])
    (finding,) = profile.findings
    assert finding.code == "COPE-011"
    assert finding.measured == pytest.approx(9.0, abs=1e-2)
    assert "9.0 mm past the start of MH" in finding.sentence


def test_a_bend_tighter_than_its_tube_and_ovals_that_cannot_be():
    tight = Header(name="MH", path=fillet_path([(0, 0, 0), (0, 0, 600), (600, 0, 600)], [20.0]), od_mm=45.0)
    oval = Header(name="MH", path=PATH, od_mm=45.0, oval_bends=(OvalBend(in_plane_mm=4.3, across_mm=46.0),))
    for header, code in ((tight, "COPE-013"), (oval, "COPE-001")):
        with pytest.raises(UserError) as caught:
            cope_profile(branch_at((0, 0, 300), (1, 0, 0)), [header])
        assert [finding.code for finding in caught.value.findings] == [code]


def test_directions_that_are_none():
    good = branch_at((0, 0, 300), (1, 0, 0))
    header = Header(name="MH", path=PATH, od_mm=45.0)
    for wrong in (
        {"direction": np.array([2.0, 0.0, 0.0])},
        {"datum": good.direction},
        {"origin_mm": np.array([np.nan, 0, 0])},
    ):
        branch = Branch(**(vars(good) | wrong))
        with pytest.raises(UserError, match="COPE-001"):
            cope_profile(branch, [header])
    with pytest.raises(UserError, match="no header"):
        cope_profile(good, [])


def test_an_angle_from_the_other_side():
    assert taken_from_acute_side(90.0) is None
    assert "120° was taken as 60°" in taken_from_acute_side(120.0).sentence
    assert made(120.0, offset_mm=2.0).along_mm == pytest.approx(made(60.0, offset_mm=2.0).along_mm)
