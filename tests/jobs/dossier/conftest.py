"""A cage whose bars meet, for the scrutineer's file."""

import shutil

import pytest

HOOP = "forward,left,up\n" + "".join(
    f"-1560,{left},{up}\n"
    for left, up in ((610, 0), (640, 620), (505, 1085), (-505, 1085), (-640, 620), (-610, 0))
)
SIDE_BAR = "forward,left,up\n-350,640,60\n-430,655,560\n-880,525,1080\n-1560,300,1085\n"


@pytest.fixture(scope="session")
def joined(hoopwright, files, tape_words, tmp_path_factory):
    """Scan, tape, calibration; a hoop on its feet, and side bars from the shell to it."""
    folder = tmp_path_factory.mktemp("joined")
    project = folder / "car"
    (folder / "hoop.csv").write_text(HOOP, encoding="utf-8")
    (folder / "side.csv").write_text(SIDE_BAR, encoding="utf-8")
    hoopwright.keys("new", project)
    hoopwright.keys("scan", project, files / "shell.stl", "--unit", "mm", "--as-given", *tape_words)
    hoopwright.keys("calibrate", files / "samples.toml", "--project", project)
    feet = ("--end-a", "shell", "--end-b", "shell")
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", folder / "hoop.csv", *feet)
    ends = ("--end-a", "shell", "--end-b", "MH")
    hoopwright.keys(
        "bar", "add", project, "SB-L", "--role", "side bar", "--nodes", folder / "side.csv", *ends
    )
    hoopwright.keys("bar", "mirror", project, "SB-L", "SB-R")
    return project


@pytest.fixture
def project(joined, tmp_path):
    return shutil.copytree(joined, tmp_path / "car")
