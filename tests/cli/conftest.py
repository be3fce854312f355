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
command_deg = 45.0
released_deg = 42.9
[[angle]]
command_deg = 90.0
released_deg = 86.5
[[leg]]
cut_mm = 900.0
mark_mm = 300.0
released_deg = 90.0
leg_a_mm = 471.5
leg_b_mm = 536.5
[[u]]
outside_mm = 320.0
"""


@pytest.fixture
def samples(tmp_path):
    file = tmp_path / "samples.toml"
    file.write_text(SAMPLES, encoding="utf-8")
    return file


@pytest.fixture(scope="session")
def inch_scan(bodies, tmp_path_factory):
    """The section as a small binary STL whose numbers are inches, its nose along +x."""
    corners = bodies.section_soup(piece_mm=120.0) / 25.4
    facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = corners.reshape(-1, 9)
    file = tmp_path_factory.mktemp("scan") / "shell.stl"
    file.write_bytes(b"shell".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())
    return file


@pytest.fixture
def project(hoopwright, tmp_path):
    hoopwright.keys("new", tmp_path / "car")
    return tmp_path / "car"


HOOP = "forward,left,up\n-900,610,0\n-900,610,1085\n-900,-610,1085\n-900,-610,0\n"


@pytest.fixture
def hoop_held_to(hoopwright, project, tmp_path):
    """Pins a book, given as its text, to a project that has one main hoop, MH, of two right angles."""
    nodes = tmp_path / "hoop.csv"
    nodes.write_text(HOOP, encoding="utf-8")
    hoopwright.keys("bar", "add", project, "MH", "--role", "main hoop", "--nodes", nodes)

    def held(book):
        file = tmp_path / "book.toml"
        file.write_text(book, encoding="utf-8")
        hoopwright.keys("rules", "pin", project, file)
        return project

    return held
