"""A hoop with its sheet, ready to be bent, as A3 and A7 have it."""

import pytest

HOOP = "-900,610,0\n-900,640,620\n-900,505,1085\n-900,-505,1085\n-900,-640,620\n-900,-610,0\n"
CALIBRATION = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
[[plain]]
clr_mm = 137.5
used_per_deg_mm = 2.3556
start_offset_mm = 11.5
constant_deg = 0.777
per_command_deg = 0.0301
"""


@pytest.fixture
def hoop_project(hoopwright, tmp_path):
    car = tmp_path / "car"
    hoopwright.keys("new", car)
    (tmp_path / "hoop.csv").write_text("forward,left,up\n" + HOOP)
    (tmp_path / "cal.toml").write_text(CALIBRATION)
    hoop = ("MH", "--role", "main hoop", "--nodes", tmp_path / "hoop.csv", "--trim-a", "30", "--trim-b", "30")
    hoopwright.keys("bar", "add", car, *hoop)
    hoopwright.keys("calibrate", tmp_path / "cal.toml", "--project", car)
    hoopwright.keys("sheets", car, "--order", "A to B", "--swings", "clockwise")
    return car
