"""Scans as they come: wrong unit, far away, broken, half, two at once, points alone, changed behind one's back."""

import json
import shutil

import numpy as np
import pytest

GIVEN = ("--unit", "mm", "--as-given")


@pytest.fixture(scope="session")
def stl(tmp_path_factory):
    folder = tmp_path_factory.mktemp("stl")

    def write(name, corners):
        facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
        facets["corners"] = np.asarray(corners).reshape(-1, 9)
        path = folder / name
        path.write_bytes(b"shell".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())
        return path

    return write


def codes(keys):
    return {finding["code"] for finding in keys["findings"]}


def test_coordinates_around_a_million(hoopwright, bodies, empty, stl):
    """float32 as STL has it keeps 1/16 mm there; the offset comes off and is said."""
    far = stl("far.stl", bodies.section_soup() + np.array([1_000_000.0, 0.0, 0.0]))
    keys = hoopwright.keys("scan", empty, far, *GIVEN)
    assert keys["size_mm"] == pytest.approx([1800.0, 1360.0, 1118.0], abs=0.2)
    assert "SCAN-010" in codes(keys)


def test_what_was_found_on_the_way_in_is_told_with_tape_too(hoopwright, bodies, empty, stl):
    broken = bodies.section_soup()
    broken[7, 1, 2] = np.nan
    broken[11, 0, 0] = np.inf
    tape = ("--tape", "width: 1360: -900,680,300: -900,-680,300")
    keys = hoopwright.keys("scan", empty, stl("nan.stl", broken), *GIVEN, *tape)
    assert codes(keys) & {"SCAN-005", "SCAN-007"}
    assert keys["triangles"] == len(broken) - 2
    assert "SCAN-034" not in codes(keys)
    assert not codes(hoopwright.keys("scan", empty)) & {"SCAN-005", "SCAN-007"}


def test_nothing_but_nan_stops(hoopwright, bodies, empty, stl, state):
    before = state(empty)
    nothing = stl("all_nan.stl", np.full((100, 3, 3), np.nan))
    assert hoopwright.stops("scan", empty, nothing, *GIVEN) == ["SCAN-005"]
    assert state(empty) == before


@pytest.mark.parametrize(
    ("name", "content"),
    [
        ("empty.stl", b""),
        ("none.stl", b"shell".ljust(80) + b"\0\0\0\0"),
        ("cut.stl", b"shell".ljust(80) + b"\xff\0\0\0" + b"1234"),
        ("none.ply", b"ply\nformat ascii 1.0\nelement vertex 0\nproperty float x\nproperty float y\n"
                     b"property float z\nend_header\n"),
        ("none.obj", b"# nothing\n"),
        ("words.xyz", b"the car is red\n"),
        ("car.dwg", b"AC1032"),
    ],
)  # fmt: skip
def test_files_without_a_scan_stop(hoopwright, empty, tmp_path, state, name, content):
    before = state(empty)
    (tmp_path / name).write_bytes(content)
    (finding, *_) = hoopwright.keys("scan", empty, tmp_path / name, *GIVEN, status=1)["findings"]
    assert finding["code"] in {"SCAN-002", "SCAN-003", "SCAN-004"}
    assert name in finding["sentence"]
    assert state(empty) == before


def test_missing_file_stops(hoopwright, empty, tmp_path):
    assert hoopwright.stops("scan", empty, tmp_path / "none.stl", *GIVEN) == ["SCAN-001"]


def test_a_unit_that_makes_no_car_of_it_is_told_in_the_question(hoopwright, empty, bodies, stl):
    """Numbers fit for a 46 m long car in inches, 1.8 m in mm; nobody is at the keyboard."""
    (finding,) = hoopwright.keys("scan", empty, stl("mm.stl", bodies.section_soup()), status=1)["findings"]
    assert finding["code"] == "SCAN-012"
    assert "In millimetres it is 1.80 x 1.36 x 1.12 m" in finding["sentence"]


@pytest.mark.parametrize("unit", ["m", "ft"])
def test_a_unit_that_makes_a_monster_of_it_stops(hoopwright, empty, bodies, stl, state, unit):
    """1800 m in metres, 549 m in feet."""
    before = state(empty)
    scan = stl("mm.stl", bodies.section_soup())
    (finding,) = hoopwright.keys("scan", empty, scan, "--unit", unit, "--as-given", status=1)["findings"]
    assert finding["code"] == "SCAN-011"
    assert finding["measured"] == pytest.approx({"m": 1_800_000.0, "ft": 548_640.0}[unit], rel=1e-6)
    assert state(empty) == before


@pytest.mark.slow
def test_a_90_m_car_is_shown_and_refused_by_its_tape(hoopwright, empty, bodies, stl, files):
    """A whole car in mm read as inches: the size is on the screen, and no sheet leaves."""
    car = stl("car.stl", bodies.section_soup(piece_mm=300.0) * 1.97)
    tape = ("--tape", "length: 3546: 0,1339,300: -3546,1339,300")
    keys = hoopwright.keys("scan", empty, car, "--unit", "in", "--as-given", *tape)
    assert keys["size_mm"][0] == pytest.approx(1800.0 * 1.97 * 25.4, rel=1e-4)
    assert "SCAN-031" in codes(keys)  # no metal of a car that large lies where the tape was held
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    hoopwright.keys("calibrate", files / "samples.toml", "--project", empty)
    assert hoopwright.stops("sheets", empty) == ["SHEET-011", "SCAN-031"]


def test_one_half_is_said(hoopwright, bodies, empty, stl):
    soup = bodies.section_soup()
    left = soup[(soup[..., 1] > -1.0).all(axis=1)]
    keys = hoopwright.keys("scan", empty, stl("left.stl", left), *GIVEN)
    assert codes(keys) & {"SCAN-033", "SCAN-037"}
    assert keys["right_closer_mm"] is None or "SCAN-037" in codes(keys)


@pytest.mark.parametrize("apart", [(0.0, 2200.0, 0.0), (2600.0, 0.0, 0.0), (2400.0, 1800.0, 200.0)])
def test_two_cars_stop(hoopwright, bodies, empty, stl, state, apart):
    before = state(empty)
    soup = bodies.section_soup()
    two = stl("two.stl", np.concatenate([soup, soup + np.array(apart)]))
    (finding,) = hoopwright.keys("scan", empty, two, "--unit", "mm", "--nose", "+x", status=1)["findings"]
    assert finding["code"] == "SCAN-036"
    assert finding["measured"] == 2.0
    assert "two.stl" in finding["sentence"]
    assert finding["sentence"].count(" x ") == 4
    assert state(empty) == before


def test_two_cars_with_axes_given_are_a_warning(hoopwright, bodies, empty, stl):
    soup = bodies.section_soup()
    two = stl("two.stl", np.concatenate([soup, soup + np.array([0.0, 2200.0, 0.0])]))
    keys = hoopwright.keys("scan", empty, two, *GIVEN)
    (finding,) = (one for one in keys["findings"] if one["code"] == "SCAN-036")
    assert finding["severity"] == "warning"


def test_a_box_beside_the_car_is_no_second_car(hoopwright, bodies, empty, stl):
    soup = bodies.section_soup()
    keys = hoopwright.keys("scan", empty, stl("box.stl", np.concatenate([soup, soup * 0.4 + 3000.0])), *GIVEN)
    assert "SCAN-036" not in codes(keys)


@pytest.fixture
def cloud(hoopwright, bodies, empty, files, tmp_path):
    """The section as points 8 mm apart, each written twice."""
    points = bodies.section_soup(piece_mm=8.0)[:, 0]
    head = f"ply\nformat binary_little_endian 1.0\nelement vertex {len(points)}\n"
    head += "".join(f"property float {axis}\n" for axis in "xyz") + "end_header\n"
    file = tmp_path / "cloud.ply"
    file.write_bytes(head.encode() + points.astype("<f4").tobytes())
    report = hoopwright.keys("scan", empty, file, *GIVEN)
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    return empty, report


@pytest.mark.parametrize("count", [1, 2, 500])
def test_two_bare_specks_are_not_stumbled_on(hoopwright, empty, tmp_path, count):
    places = [(0.0, 0.0, 0.0)] * count + [(4417.0, 1500.0, 1200.0)] * count
    (tmp_path / "specks.xyz").write_text("\n".join("{:g} {:g} {:g}".format(*at) for at in places))
    report = hoopwright.keys("scan", empty, tmp_path / "specks.xyz", *GIVEN)
    assert (report["triangles"], report["points"]) == (0, len(places))


def test_a_cloud_is_measured_and_its_limits_said(hoopwright, cloud):
    project, report = cloud
    assert (report["triangles"], report["points"] > 50_000) == (0, True)
    check = hoopwright.keys("check", project)
    rows = {row["check"]: row for row in check["checks"] if row["about"] == "MH"}
    assert rows["goes through no metal"]["verdict"] == "not checked"
    # to points at most 8 mm apart in a flat roof: from 10.5 + 0 up to what half a cell's diagonal adds
    assert 10.4 < rows["gap to the shell"]["measured"] < 11.2
    (finding,) = (one for one in check["findings"] if one["code"] == "CHECK-006")
    assert finding["measured"] == pytest.approx(8.0, abs=1.0)
    assert "mm apart" in finding["sentence"]


def test_a_bar_through_a_cloud_is_never_passed(hoopwright, cloud):
    project, _ = cloud
    hoopwright.keys("bar", "move", project, "MH", "3", "--", "-900,505,1170")
    rows = {
        r["check"]: r["verdict"] for r in hoopwright.keys("check", project)["checks"] if r["about"] == "MH"
    }
    assert rows["goes through no metal"] == "not checked"
    assert rows["gap to the shell"] == "fail"


def test_a_mesh_passes_or_fails_its_crossings(hoopwright, project):
    rows = hoopwright.keys("check", project, "--bar", "MH")["checks"]
    assert next(r for r in rows if r["check"] == "goes through no metal")["verdict"] == "pass"
    hoopwright.keys("bar", "move", project, "MH", "3", "--", "-900,505,1170")
    keys = hoopwright.keys("check", project, "--bar", "MH")
    assert next(r for r in keys["checks"] if r["check"] == "goes through no metal")["verdict"] == "fail"
    assert "CHECK-002" in codes(keys)
    assert keys["gaps"]["MH"]["smallest_gap_mm"] < 0.0


def test_without_a_scan_gaps_are_not_checked(hoopwright, empty, files):
    hoopwright.keys("bar", "add", empty, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    rows = hoopwright.keys("check", empty)["checks"]
    of_bar = {row["check"]: row["verdict"] for row in rows if row["about"] == "MH"}
    assert of_bar == {
        "can be bent": "pass",
        "die is of the tube's size": "not checked",
        "gap to the shell": "not checked",
    }
    # nothing of a driver was typed, which is never a pass
    assert {row["verdict"] for row in rows if row["about"] != "MH"} == {"not checked"}


def test_a_deleted_cache_costs_time_alone(hoopwright, project):
    before = hoopwright.keys("check", project)
    for cache in (project / "scans").glob("*.cache"):
        shutil.rmtree(cache)
    assert hoopwright.keys("check", project) == before
    assert list((project / "scans").glob("*.cache"))


@pytest.mark.parametrize("damage", [b"", b"\x93NUMPY", b"x" * 4096])
def test_a_damaged_cache_is_made_again(hoopwright, project, damage):
    before = hoopwright.keys("check", project)
    (cache,) = (project / "scans").glob("*.cache")
    (cache / "tree.corners.npy").write_bytes(damage)
    assert hoopwright.keys("check", project) == before


def test_a_changed_scan_is_seen_when_it_is_read_again(hoopwright, project):
    (kept,) = (project / "scans").glob("*.stl")
    content = bytearray(kept.read_bytes())
    content[5000] ^= 1
    kept.write_bytes(content)
    for cache in (project / "scans").glob("*.cache"):
        shutil.rmtree(cache)
    assert hoopwright.stops("check", project) == ["SCAN-015"]
    kept.unlink()
    assert hoopwright.stops("sheets", project) == ["SCAN-015"]


def test_the_file_is_kept_as_given(hoopwright, project, files):
    (kept,) = (project / "scans").glob("*.stl")
    assert kept.read_bytes() == (files / "shell.stl").read_bytes()
    assert json.loads((project / "cage.json").read_text())["scan"]["source_name"] == "shell.stl"


def test_bars_that_run_into_each_other_are_measured_all_the_same(hoopwright, project):
    """The side bars of this project cut 6 mm into the hoop, which says nothing of their gap to the shell."""
    keys = hoopwright.keys("check", project)
    assert {"MH", "SB-L", "SB-R"} == set(keys["gaps"])
    assert keys["gaps"]["MH"]["smallest_gap_mm"] == pytest.approx(10.5, abs=0.3)


def test_a_bar_that_cannot_be_bent_is_not_measured(hoopwright, project, tmp_path):
    short = tmp_path / "short.csv"
    short.write_text(
        "forward,left,up\n-100,0,300\n-600,0,300\n-600,310,300\n-100,310,300\n", encoding="utf-8"
    )
    hoopwright.keys("bar", "add", project, "X", "--role", "door bar", "--nodes", short)
    keys = hoopwright.keys("check", project)
    rows = {row["check"]: row["verdict"] for row in keys["checks"] if row["about"] == "X"}
    assert rows["can be bent"] == "fail"
    assert rows["gap to the shell"] == "not checked"
    assert "X" not in keys["gaps"]
