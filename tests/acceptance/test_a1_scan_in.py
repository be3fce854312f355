"""A tilted scan in inches, in size and place. Every number follows from the section that was drawn out."""

import numpy as np
import pytest

from hoopwright.geometry import Plane
from hoopwright.jobs.shells import open_shell
from hoopwright.shell.sections import section_lines
from hoopwright.store import ProjectFolder

WIDTH = "inside width: {}: -900,680,620: -900,-680,620"
TAPE = (
    WIDTH.format(1360),
    "roof underside: 1118: =-900,0,0: -900,0,1118",
    "length: 1800: 0,680,300: -1800,680,300",
)


@pytest.fixture(scope="module")
def project(hoopwright, files, tmp_path_factory):
    """Unit and nose answered, three tape distances typed."""
    project = tmp_path_factory.mktemp("a1") / "car"
    hoopwright.keys("new", project)
    tape = [word for one in TAPE for word in ("--tape", one)]
    scan = files / "shell_inch_tilted.stl"
    hoopwright.keys("scan", project, scan, "--unit", "in", "--nose", "+x", *tape)
    return project


def test_unit_is_asked_with_the_size_that_follows(hoopwright, files, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    scan = files / "shell_inch_tilted.stl"
    (finding,) = hoopwright.keys("scan", tmp_path / "car", scan, status=1)["findings"]
    assert finding["code"] == "SCAN-012"
    assert "Best guess: in." in finding["sentence"]
    assert "In inches it is 1.80 x 1.36 x 1.12 m" in finding["sentence"]
    assert "--unit in" in finding["todo"]
    assert hoopwright.stops("scan", tmp_path / "car") == ["SCAN-014"]  # nothing was taken in


def test_which_way_is_forward_is_asked(hoopwright, files, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    scan = files / "shell_inch_tilted.stl"
    (finding,) = hoopwright.keys("scan", tmp_path / "car", scan, "--unit", "in", status=1)["findings"]
    assert finding["code"] == "SCAN-013"
    assert "+x" in finding["sentence"]
    assert "-x" in finding["sentence"]
    assert "The shape does not tell" in finding["sentence"]


def evenly(line):
    """Places every few millimetres along a line of corners."""
    at = np.arange(len(line))
    share = np.linspace(0.0, len(line) - 1.0, 400 * (len(line) - 1) + 1)
    return np.stack([np.interp(share, at, line[:, axis]) for axis in range(3)], axis=1)


@pytest.mark.parametrize("forward", [-60.0, -450.0, -900.0, -1350.0, -1740.0])
def test_section_lies_where_the_car_has_it(project, forward):
    opened = open_shell(ProjectFolder(path=project), ProjectFolder(path=project).open().project)
    corners = section_lines(opened, Plane(np.array([1.0, 0.0, 0.0]), forward))
    places = np.concatenate([evenly(line) for line in corners])
    left, up = places[:, 1], places[:, 2]
    for side in (1.0, -1.0):
        wall = (side * left > 0) & (up < 619.5)
        assert wall.sum() > 20
        assert np.abs(left[wall] - side * 680.0).max() < 0.5
    roof = np.abs(left) < 499.0
    assert roof.sum() > 20
    assert np.abs(up[roof] - 1118.0).max() < 0.5
    assert abs(up.min()) < 0.5


def test_each_tape_value_is_shown_with_its_difference(hoopwright, project):
    keys = hoopwright.keys("scan", project)
    assert keys["unit"] == "in"
    assert keys["size_mm"] == pytest.approx([1800.0, 1360.0, 1118.0], abs=0.5)
    assert [row["name"] for row in keys["tape"]] == ["inside width", "roof underside", "length"]
    assert [row["tape_mm"] for row in keys["tape"]] == [1360.0, 1118.0, 1800.0]
    for row in keys["tape"]:
        assert abs(row["difference_mm"]) < 1.0
        assert row["verdict"] == "pass"
    assert "roof underside" in hoopwright.run("scan", project).out


def test_a_wrong_tape_value_refuses_sheets_by_name(hoopwright, project, files):
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    hoopwright.keys("calibrate", files / "cal-1.toml", "--project", project)
    hoopwright.keys("scan", project, "--tape", WIDTH.format(1372))
    (finding,) = hoopwright.keys("sheets", project, status=1)["findings"]
    assert finding["code"] == "SCAN-030"
    assert "'inside width'" in finding["sentence"]
    assert finding["measured"] == pytest.approx(12.0 / 1.372, abs=0.05)
    assert finding["limit"] == 3.0
    assert not list((project / "papers").glob("*.pdf"))
    hoopwright.keys("scan", project, "--tape", WIDTH.format(1360))
    assert [sheet["bar_id"] for sheet in hoopwright.keys("sheets", project)["sheets"]] == ["MH"]
