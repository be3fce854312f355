"""`hoopwright tolerance` on a bar of a project and on a bend table."""

import pytest

HOOP = (
    "forward,left,up\n-900,610,0\n-900,640,620\n-900,505,1085\n-900,-505,1085\n-900,-640,620\n-900,-610,0\n"
)
BENDS = "straight_mm,rotation_deg,angle_deg\n467.6,0,31.63\n631.2,-26.96,49.76\n617.0,,\n"


@pytest.fixture
def car(hoopwright, project, tmp_path, samples):
    (tmp_path / "hoop.csv").write_text(HOOP)
    hoop = ("MH", "--role", "main hoop", "--nodes", tmp_path / "hoop.csv", "--trim-a", "30", "--trim-b", "5")
    hoopwright.keys("bar", "add", project, *hoop)
    hoopwright.keys("calibrate", samples, "--project", project)
    return project


def test_a_bar_of_a_project(hoopwright, car):
    keys = hoopwright.keys("tolerance", car, "MH", "--angle-sd", "0.25")
    assert [(one["end"], one["placing"]) for one in keys["regions"]] == [
        ("A", "held"), ("B", "held"), ("A", "fitted"), ("B", "fitted"),
    ]  # fmt: skip
    assert [finding["code"] for finding in keys["findings"]] == ["TOL-005"]  # 5 mm at end B is too little
    assert keys["trims"][1]["needed_mm"] > 5.0
    assert keys["angle_source"] == "common practice, no source"
    assert keys == hoopwright.keys("tolerance", car, "MH")  # the same seed, the same answer


def test_the_scatter_of_the_calibration(hoopwright, car):
    keys = hoopwright.keys("tolerance", car, "MH", "--from-calibration")
    assert keys["angle_source"].startswith("calibration")
    assert {row["kind"] for row in keys["shares"]} >= {"calibration", "springback line"}


def test_a_bend_table_alone(hoopwright, tmp_path):
    file = tmp_path / "side_bar.csv"
    file.write_text(BENDS)
    keys = hoopwright.keys(
        "tolerance", file, "--clr", "137.5", "--trim-a", "30", "--trim-b", "30", "--seed", "4"
    )
    assert keys["bar"] == "side_bar"
    assert keys["tape"][0]["end_after_mm"] < keys["tape"][0]["end_before_mm"]
    words = hoopwright.run("tolerance", file, "--clr", "137.5").out
    for said in (
        "95 of 100 land within",
        "measure first",
        "until after a test fit",
        "common practice, no source",
    ):
        assert said in words
    assert hoopwright.stops("tolerance", file) == ["TOL-006"]
    assert hoopwright.stops("tolerance", file, "--clr", "137.5", "--from-calibration") == ["TOL-004"]
    assert hoopwright.stops("tolerance", file, "--clr", "137.5", "--angle-sd", "-1") == ["TOL-001"]
