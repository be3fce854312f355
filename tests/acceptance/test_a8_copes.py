"""Copes by their numbers: depth, ordinates, offset, overhang, and a branch on two tubes at once."""

import numpy as np
import pytest

from hoopwright.joints.cope import cope_profile, straight_header, two_tubes

COLUMNS_MM = [40.77, 36.42, 25.39, 14.71, 12.08, 13.38, 14.16]


def cope(hoopwright, *words, header="45", branch="38", angle="55"):
    return hoopwright.keys("cope", "--header-od", header, "--branch-od", branch, "--angle", angle, *words)


def test_38_on_45_at_55_degrees(hoopwright):
    keys = cope(hoopwright, "--points", "12")
    assert keys["depth_mm"] == pytest.approx(28.72, abs=0.005)
    assert [one["along_mm"] for one in keys["points"]][:7] == pytest.approx(COLUMNS_MM, abs=0.005)
    assert keys["findings"] == []


def test_the_table_for_a_person_has_the_same_columns(hoopwright):
    ran = hoopwright.run("cope", "--header-od", "45", "--branch-od", "38", "--angle", "55")
    rows = [line.split() for line in ran.out.splitlines()[2:14]]
    assert [float(row[2]) for row in rows][:7] == COLUMNS_MM
    assert [float(row[0]) for row in rows] == [30.0 * k for k in range(12)]
    assert "depth 28.72 mm" in ran.out
    assert "wrap 119.4 mm wide" in ran.out


def test_offset_3(hoopwright):
    assert cope(hoopwright, "--offset", "3")["depth_mm"] == pytest.approx(35.80, abs=0.005)


def test_offset_5_overhangs(hoopwright):
    (finding,) = cope(hoopwright, "--offset", "5")["findings"]
    assert finding["severity"] == "warning"
    assert finding["measured"] == pytest.approx(1.5, abs=1e-6)
    assert "overhangs the header by 1.5 mm" in finding["sentence"]


def test_equal_tubes_square(hoopwright):
    keys = cope(hoopwright, branch="45", angle="90")
    assert keys["depth_mm"] == pytest.approx(22.5, abs=1e-6)


def test_a_third_tube_that_meets_both():
    """The cut of a branch on two tubes lies on the skin of one and outside the other, all round."""
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=55.0)
    third_axis = np.array([0.2, 1.0, 0.7]) / np.linalg.norm([0.2, 1.0, 0.7])
    third = straight_header(name="third", through_mm=[0, 0, 0], direction=third_axis, od_mm=38.0)
    profile = cope_profile(branch, [header, third])
    assert set(profile.header_index.tolist()) == {0, 1}
    points = branch.skin_mm(profile.around_deg, profile.along_mm)
    header_axis = header.path.pieces[0].direction
    to_header, to_third = (
        np.linalg.norm(np.cross(points, axis), axis=1) - radius_mm
        for axis, radius_mm in ((header_axis, 22.5), (third_axis, 19.0))
    )
    assert np.abs(np.minimum(to_header, to_third)).max() < 1e-6
