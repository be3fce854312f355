"""Landings as typed: list, set one or all, show, remove, undo."""

import math

import numpy as np
import pytest


@pytest.fixture(scope="session")
def cabin_scan(bodies, tmp_path_factory):
    corners = bodies.cabin_soup()
    facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = corners.reshape(-1, 9)
    path = tmp_path_factory.mktemp("cabin") / "cabin.stl"
    path.write_bytes(b"shell".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())
    return path


@pytest.fixture
def standing(hoopwright, project, cabin_scan, tmp_path):
    """A hoop on the floor beside both side walls, and a leg with its mirror far from any wall."""
    hoopwright.keys("scan", project, cabin_scan, "--unit", "mm", "--as-given")
    nodes = tmp_path / "nodes.csv"
    nodes.write_text(
        "forward,left,up\n-900,615,0\n-900,635,620\n-900,505,1080\n-900,-505,1080\n-900,-635,620\n-900,-615,0\n"
    )
    both = ("--end-a", "shell", "--end-b", "shell")
    hoopwright.keys(
        "bar", "add", project, "MH", "--role", "main hoop", "--nodes", nodes, "--tube", "45 x 2.5", *both
    )
    nodes.write_text("forward,left,up\n-400,300,0\n-500,300,500\n")
    hoopwright.keys(
        "bar", "add", project, "SB-L", "--role", "side bar", "--nodes", nodes, "--tube", "38 x 2.5",
        "--end-a", "shell",
    )  # fmt: skip
    hoopwright.keys("bar", "mirror", project, "SB-L", "SB-R")
    return project


def kinds(keys):
    return {
        (foot["bar_id"], foot["end"]): foot["landing"] and foot["landing"]["kind"] for foot in keys["feet"]
    }


def test_all_feet_at_once_and_undone(hoopwright, standing):
    bare = hoopwright.keys("landing", standing)
    assert set(kinds(bare).values()) == {None}
    told = hoopwright.keys("landing", "set", standing, "--all")
    assert kinds(told) == {
        ("MH", "A"): "folded plate",
        ("MH", "B"): "folded plate",
        ("SB-L", "A"): "plate",
        ("SB-R", "A"): "plate",
    }
    assert kinds(hoopwright.keys("landing", "list", standing)) == kinds(told)
    for foot in told["feet"]:
        for face in foot["fitted"]["faces"]:
            assert face["gap"]["largest_mm"] < 0.1
    hoopwright.keys("undo", standing)
    assert kinds(hoopwright.keys("landing", standing)) == kinds(bare)


def test_one_foot_with_sizes(hoopwright, standing):
    told = hoopwright.keys(
        "landing", "set", standing, "SB-L", "A", "--kind", "plate", "--length", "5 in", "--width", "4 in",
        "--thickness", "1/8", "--bolts", "4", "--bolt", "8", "--area", "120",
    )  # fmt: skip
    fitted = told["fitted"]
    assert fitted["area_mm2"] == pytest.approx(127.0 * 101.6, rel=1e-4)
    (part,) = fitted["parts"]
    assert part["thickness_mm"] == pytest.approx(3.175)
    assert len(part["holes"]) == 4
    # a leg leaning by a fifth: cut at atan(1/5), longest to the front or the rear
    assert fitted["leg_cut"]["angle_deg"] == pytest.approx(math.degrees(math.atan(0.2)), abs=1e-3)
    kept = hoopwright.keys("landing", "set", standing, "SB-L", "A", "--width", "120")
    assert kept["landing"]["length_mm"] == pytest.approx(127.0)
    assert kept["landing"]["width_mm"] == 120.0
    mirrored = hoopwright.keys("landing", "show", standing, "SB-R", "A")
    assert mirrored["landing"]["length_mm"] == pytest.approx(127.0)
    assert mirrored["fitted"]["faces"][0]["outline_mm"][0][1] < 0.0


def test_kinds_follow_each_other(hoopwright, standing):
    box = hoopwright.keys("landing", "set", standing, "MH", "A", "--kind", "box", "--height", "60")
    assert box["fitted"]["faces"][0]["name"] == "top"
    plate = hoopwright.keys("landing", "set", standing, "MH", "A", "--kind", "folded")
    assert plate["landing"]["height_mm"] == 0.0
    assert len(plate["fitted"]["parts"][0]["folds"]) == 1


def test_removed(hoopwright, standing):
    hoopwright.keys("landing", "set", standing, "MH", "A")
    hoopwright.keys("landing", "remove", standing, "MH", "A")
    assert kinds(hoopwright.keys("landing", standing))["MH", "A"] is None
    assert hoopwright.stops("landing", "remove", standing, "MH", "A") == ["LAND-003"]


def test_what_is_refused_changes_nothing(hoopwright, standing):
    hoopwright.keys("landing", "set", standing, "SB-L", "A")
    before = (standing / "cage.json").read_bytes()
    for words, code in (
        (("SB-L", "A", "--kind", "folded"), "LAND-016"),
        (("SB-L", "A", "--length", "0"), "LAND-001"),
        (("SB-L", "A", "--length", "nan"), "UNIT-001"),
        (("SB-L", "A", "--length", "3000"), "LAND-001"),
        (("SB-L", "A", "--area", "big"), "TYPED-001"),
        (("SB-L", "A", "--kind", "slab"), "TYPED-001"),
        (("SB-L", "C"), "TYPED-001"),
        (("SB-L", "B"), "LAND-002"),
        (("SB-R", "A"), "CAGE-006"),
        (("XX", "A"), "CAGE-001"),
        (("--all", "--thickness", "0.125"), "LAND-001"),
    ):
        assert hoopwright.stops("landing", "set", standing, *words) == [code], words
    assert hoopwright.stops("landing", "show", standing, "SB-L", "B") == ["LAND-005"]
    assert (standing / "cage.json").read_bytes() == before
    assert hoopwright.run("landing", "set", standing).status == 2
    assert hoopwright.run("landing", "set", standing, "MH", "A", "--all").status == 2


def test_without_scan_or_feet(hoopwright, project, tmp_path):
    assert hoopwright.stops("landing", "set", project, "--all") == ["SCAN-014"]


def test_in_words(hoopwright, standing):
    ran = hoopwright.run("landing", "set", standing, "--all")
    assert ran.status == 0
    assert "folded plate" in ran.out
    assert "rule book" in ran.out
    shown = hoopwright.run("landing", "show", standing, "MH", "A")
    assert "folds 90" in shown.out
    assert "datum line" in shown.out
