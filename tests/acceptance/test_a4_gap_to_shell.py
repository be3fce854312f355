"""Gaps of the hoop to the shell, by region and place; true distances from the section's own lines."""

import pytest


def gaps_in(hoopwright, files, folder, scan):
    project = folder / "car"
    hoopwright.keys("new", project)
    report = hoopwright.keys("scan", project, files / scan, "--unit", "mm", "--as-given")
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    return report, hoopwright.keys("check", project)


@pytest.fixture(scope="module")
def straight(hoopwright, files, tmp_path_factory):
    return gaps_in(hoopwright, files, tmp_path_factory.mktemp("a4"), "shell_mm.stl")[1]


@pytest.fixture(scope="module")
def skew(hoopwright, files, tmp_path_factory):
    return gaps_in(hoopwright, files, tmp_path_factory.mktemp("a4"), "shell_asym6.stl")


def region(check, *, left, up):
    """The region whose metal nearest to the hoop lies in a range of left and up."""
    (found,) = (
        place
        for place in check["gaps"]["MH"]["regions"]
        if left[0] <= place["metal_mm"][1] <= left[1] and up[0] <= place["metal_mm"][2] <= up[1]
    )
    return found


ROOF = {"left": (-490, 490), "up": (1117, 1119)}
LEFT = {
    "upper wall": {"left": (560, 679), "up": (630, 1075)},
    "lower wall": {"left": (679, 681), "up": (0, 619)},
    "chamfer": {"left": (495, 560), "up": (1083, 1117)},
}


def right(where, by_mm=0.0):
    low, high = where["left"]
    return {"left": (-high + by_mm - 1.0, -low + by_mm + 1.0), "up": where["up"]}


def test_smallest_gap_of_each_region(straight):
    assert region(straight, **ROOF)["gap_mm"] == pytest.approx(10.5, abs=0.3)
    for side in (lambda where: where, right):
        assert region(straight, **side(LEFT["upper wall"]))["gap_mm"] == pytest.approx(16.6, abs=0.3)
        assert region(straight, **side(LEFT["lower wall"]))["gap_mm"] == pytest.approx(18.4, abs=0.3)
        assert region(straight, **side(LEFT["chamfer"]))["gap_mm"] == pytest.approx(36.6, abs=0.5)


def test_each_gap_has_its_place(straight):
    upper = region(straight, **LEFT["upper wall"])
    assert upper["axis_mm"] == pytest.approx([-900.0, 634.0, 639.0], abs=1.5)
    assert upper["along_mm"] == pytest.approx(640.0, abs=3.0)
    roof = region(straight, **ROOF)
    assert roof["axis_mm"][2] == pytest.approx(1085.0, abs=0.1)
    names = [place["region"] for place in straight["gaps"]["MH"]["regions"]]
    assert len(set(names)) == len(names) == 7


def test_the_smallest_is_held_against_the_gap_that_was_asked(straight):
    (row,) = (row for row in straight["checks"] if row["check"] == "gap to the shell")
    assert row["verdict"] == "pass"
    assert row["measured"] == pytest.approx(10.5, abs=0.3)
    assert row["limit"] == 10.0
    assert "roof" in row["where"]
    crossing = next(row for row in straight["checks"] if row["check"] == "goes through no metal")
    assert crossing["verdict"] == "pass"


def test_the_mesh_may_be_as_coarse_as_it_likes(hoopwright, files, straight, tmp_path):
    coarse = gaps_in(hoopwright, files, tmp_path, "shell_coarse.stl")[1]
    for where in (ROOF, *LEFT.values()):
        assert region(coarse, **where)["gap_mm"] == pytest.approx(
            region(straight, **where)["gap_mm"], abs=0.01
        )


def test_a_side_6_mm_in_shows_on_that_side_alone(skew):
    _, check = skew
    assert region(check, **right(LEFT["upper wall"], 6.0))["gap_mm"] == pytest.approx(10.8, abs=0.3)
    assert region(check, **right(LEFT["lower wall"], 6.0))["gap_mm"] == pytest.approx(12.4, abs=0.3)
    assert region(check, **LEFT["upper wall"])["gap_mm"] == pytest.approx(16.6, abs=0.3)
    assert region(check, **LEFT["lower wall"])["gap_mm"] == pytest.approx(18.4, abs=0.3)


def test_the_skew_is_said(skew):
    report, _ = skew
    (finding,) = (one for one in report["findings"] if one["code"] == "SCAN-032")
    assert "The right side is 6.0 mm closer" in finding["sentence"]
    assert finding["measured"] == pytest.approx(6.0, abs=0.1)
    assert report["right_closer_mm"] == pytest.approx(6.0, abs=0.1)
