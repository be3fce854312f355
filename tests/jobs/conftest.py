"""Projects that are ready to work on. Scans are given in vehicle axes, so that nothing is waited for."""

import shutil

import numpy as np
import pytest

SAMPLES = """\
od_mm = 45.0
wall_mm = 2.5
die = "45"
[[angle]]
command_deg = 20.0
released_deg = 18.6
[[angle]]
command_deg = 90.0
released_deg = 86.5
[[plain]]
clr_mm = 137.5
used_per_deg_mm = 2.3556
start_offset_mm = 11.5
"""
HOOP = "forward,left,up\n" + "".join(
    f"-900,{left},{up}\n"
    for left, up in ((610, 0), (640, 620), (505, 1085), (-505, 1085), (-640, 620), (-610, 0))
)
SIDE_BAR = "forward,left,up\n-350,640,60\n-430,655,560\n-880,525,1080\n-1560,505,1085\n"
TAPE = (
    "width: 1360: -900,680,620: -900,-680,620",
    "height: 1118: =-900,0,0: -900,0,1118",
    "length: 1800: 0,680,300: -1800,680,300",
)


def write_stl(path, corners):
    facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = np.asarray(corners).reshape(-1, 9)
    path.write_bytes(b"shell".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())
    return path


def write_ply_points(path, points):
    head = f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\n"
    head += "".join(f"property float {axis}\n" for axis in "xyz") + "end_header\n"
    path.write_bytes(head.encode() + np.asarray(points, dtype="<f4").tobytes())
    return path


@pytest.fixture(scope="session")
def files(bodies, tmp_path_factory):
    folder = tmp_path_factory.mktemp("files")
    write_stl(folder / "shell.stl", bodies.section_soup())
    (folder / "samples.toml").write_text(SAMPLES, encoding="utf-8")
    (folder / "hoop.csv").write_text(HOOP, encoding="utf-8")
    (folder / "side_bar.csv").write_text(SIDE_BAR, encoding="utf-8")
    return folder


@pytest.fixture(scope="session")
def tape_words():
    """Three distances on the section, as words of `hoopwright scan`."""
    return [word for one in TAPE for word in ("--tape", one)]


@pytest.fixture(scope="session")
def ready(hoopwright, files, tape_words, tmp_path_factory):
    """Scan, tape, calibration, and three bars: MH, SB-L and its mirror SB-R."""
    project = tmp_path_factory.mktemp("ready") / "car"
    hoopwright.keys("new", project)
    hoopwright.keys("scan", project, files / "shell.stl", "--unit", "mm", "--as-given", *tape_words)
    hoopwright.keys("calibrate", files / "samples.toml", "--project", project)
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    hoopwright.keys("bar", "add", project, "SB-L", "--role", "side bar", "--nodes", files / "side_bar.csv")
    hoopwright.keys("bar", "mirror", project, "SB-L", "SB-R")
    return project


@pytest.fixture
def project(ready, tmp_path):
    """A copy of the ready project to work on."""
    return shutil.copytree(ready, tmp_path / "car")


@pytest.fixture
def empty(hoopwright, tmp_path):
    hoopwright.keys("new", tmp_path / "empty")
    return tmp_path / "empty"


@pytest.fixture
def state():
    """Every file of a project with its content, caches and the lock left out."""

    def state_of(project):
        return {
            str(file.relative_to(project)): file.read_bytes()
            for file in sorted(project.rglob("*"))
            if file.is_file() and ".cache" not in str(file) and file.name != ".lock"
        }

    return state_of
