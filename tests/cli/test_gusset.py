"""`hoopwright gusset`, as typed."""

import json

import pytest


@pytest.fixture
def project(hoopwright, tmp_path):
    """Two bars that meet, without a scan."""
    folder = tmp_path / "car"
    hoopwright.keys("new", folder)
    for name, role, nodes in (
        ("MH", "main hoop", "-1500,0,300\n-1500,0,1100"),
        ("BS", "backstay", "-1500,0,800\n-2200,0,300"),
    ):
        file = tmp_path / f"{name}.csv"
        file.write_text(f"forward,left,up\n{nodes}\n")
        hoopwright.keys("bar", "add", folder, name, "--role", role, "--nodes", file)
    return folder


def gussets(hoopwright, project, *words):
    return hoopwright.keys("gusset", "list", project, *words)["gussets"]


def test_added_listed_undone_and_removed(hoopwright, project):
    (added,) = hoopwright.keys("gusset", "add", project, "G1", "MH", "BS", "--hole", "20")["gussets"]
    assert added["kind"] == "flat gusset"
    assert added["angle_deg"] == pytest.approx(54.46, abs=0.01)  # the sharper of the two corners
    assert len(added["holes"]) == 1
    assert [one["name"] for one in gussets(hoopwright, project)] == ["G1"]
    hoopwright.run("undo", project)
    assert gussets(hoopwright, project) == []
    hoopwright.run("redo", project)
    hoopwright.keys("gusset", "remove", project, "G1")
    assert gussets(hoopwright, project) == []


def test_the_typed_limits_are_judged(hoopwright, project):
    hoopwright.keys("gusset", "add", project, "G1", "MH", "BS", "--leg", "85", "--sheet", "1")
    (one,) = gussets(hoopwright, project, "--least-leg", "2", "--most-leg", "4", "--least-sheet", "1")
    assert {size["what"]: size["verdict"] for size in one["sizes"]} == {
        "least leg": "fail",
        "most leg": "pass",
        "least thickness": "pass",
    }
    (bare,) = gussets(hoopwright, project)
    assert {size["verdict"] for size in bare["sizes"]} == {"not checked"}


def test_a_gusset_follows_its_bars(hoopwright, project):
    hoopwright.keys("gusset", "add", project, "G1", "MH", "BS")
    hoopwright.keys("bar", "move", project, "BS", "2", "--", "-2200,0,800")
    (moved,) = gussets(hoopwright, project)
    assert moved["angle_deg"] == pytest.approx(90.0)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("G1", "MH", "NONE"), "CAGE-001"),
        (("G1", "MH", "MH"), "GUSSET-002"),
        (("G1", "MH", "BS", "--leg", "2"), "GUSSET-001"),
        (("G1", "MH", "BS", "--leg", "580"), "GUSSET-004"),
        (("G1", "MH", "BS", "--kind", "round"), "TYPED-001"),
        (("T1", "MH"), "SCAN-014"),
    ],
)
def test_what_cannot_be_is_not_kept(hoopwright, project, words, code):
    before = (project / "cage.json").read_bytes()
    assert hoopwright.stops("gusset", "add", project, *words) == [code]
    assert (project / "cage.json").read_bytes() == before


def test_a_name_that_is_taken_stops(hoopwright, project):
    hoopwright.keys("gusset", "add", project, "G1", "MH", "BS")
    assert hoopwright.stops("gusset", "add", project, "G1", "MH", "BS") == ["GUSSET-008"]
    assert hoopwright.stops("gusset", "add", project, " ", "MH", "BS") == ["GUSSET-011"]
    assert hoopwright.stops("gusset", "remove", project, "G2") == ["GUSSET-009"]


def test_a_bar_takes_its_gussets_with_it(hoopwright, project):
    hoopwright.keys("gusset", "add", project, "G1", "MH", "BS")
    hoopwright.keys("bar", "remove", project, "BS")
    assert json.loads((project / "cage.json").read_bytes())["gussets"] == []
