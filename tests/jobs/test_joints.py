"""The joints of a project: as drawn, and on bars as they came out."""

import numpy as np
import pytest

from hoopwright.bars import centreline
from hoopwright.cage import bar_of
from hoopwright.jobs.joints import joints_of
from hoopwright.joints.meet import on_tube_mm
from hoopwright.store import ProjectFolder

SHOULDERS = ("--tape", "feet 1252", "--tape", "knees 1317.4")


@pytest.fixture
def with_bars(hoopwright, project, tmp_path):
    """A cross bar and a sloping bar that lands on both, besides hoop and side bars."""
    for name, nodes, ends in (
        ("X", "-900,625.16,313.3\n-900,-625.16,313.3\n", ("--end-a", "MH", "--end-b", "MH")),
        ("V", "-900,0,313.3\n-900,450,1085\n", ("--end-a", "X", "--end-b", "MH")),
        ("W", "-900,0,313.3\n-900,-450,1085\n", ("--end-a", "X", "--end-b", "MH")),
    ):
        file = tmp_path / f"{name}.csv"
        file.write_text("forward,left,up\n" + nodes, encoding="utf-8")
        plain = ("--role", "harness bar", "--nodes", file, "--tube", "38 x 2.5", "--die", "38")
        hoopwright.keys("bar", "add", project, name, *plain, *ends)
    return project


def lies_on(report, cut):
    """Greatest distance of the cut's edge from the nearest of its headers' skins."""
    points = cut.branch.skin_mm(cut.profile.around_deg, cut.profile.along_mm)
    points = points[~np.isnan(points).any(axis=1)]
    gaps = []
    for header in cut.headers:
        bar = bar_of(report.cuts.cage, header.bar_id)
        path = centreline(bar)
        gaps.append([path.distance_to_mm(point) - bar.tube.od_mm / 2.0 for point in points])
    return float(np.abs(np.min(gaps, axis=0)).max())


def test_every_joint_in_the_order_of_the_copes(hoopwright, with_bars):
    keys = hoopwright.keys("joints", with_bars)
    joints = {one["name"]: one for one in keys["joints"]}
    assert list(joints) == ["MH/X-A", "MH/X-B", "X/V-A", "MH/V-B", "X/W-A", "MH/W-B"]
    assert [one["cope"] for one in keys["joints"]] == [1, 2, 3, 4, 5, 6]
    assert [header["bar_id"] for header in joints["X/W-A"]["headers"]] == ["X", "V"]
    assert joints["X/V-A"]["later"] == ["W"]
    assert keys["order"].index("V") < keys["order"].index("W")
    (bar,) = [one for one in keys["bars"] if one["bar"] == "X"]
    assert bar["cut_mm"] < bar["tube_mm"]
    turned = hoopwright.keys("joints", with_bars, "--order", "MH, X, W, V")
    joints = {one["name"]: one for one in turned["joints"]}
    assert [header["bar_id"] for header in joints["X/V-A"]["headers"]] == ["X", "W"]


def test_the_card_of_one_bar(hoopwright, with_bars):
    keys = hoopwright.keys("joints", with_bars, "W", "--root-gap", "1", "--root-gap", "X/W-A: 0.5")
    first, last = keys["joints"]
    assert (first["root_gap_mm"], last["root_gap_mm"]) == (0.5, 1.0)
    assert len(first["wrap"]["cut_mm"]) == 360
    assert first["hole_saw"] is None
    assert [saw["header"] for saw in first["hole_saws"]] == ["X", "V"]
    assert {length["key"] for length in keys["lengths"]} >= {
        "tip to tip along the tube",
        "along the datum line",
    }
    ran = hoopwright.run("joints", with_bars, "W")
    assert "cut to X at" in ran.out
    assert "and to V at" in ran.out
    assert "datum line" in ran.out
    assert "its line square round the tube" in ran.out


def test_copes_follow_the_hoop_as_it_came_out(hoopwright, with_bars):
    folder = ProjectFolder(path=with_bars)
    drawn = joints_of(folder)
    hoopwright.keys("asbent", with_bars, "MH", *SHOULDERS, "--keep", "--date", "2026-03-14")
    exists = joints_of(folder)
    assert exists.bent == ("MH",)
    assert "JOINT-016" in {found.code for found in exists.findings}
    for was, now in zip(drawn.cuts.ends, exists.cuts.ends, strict=True):
        assert was.name == now.name
        assert lies_on(exists, now) < 0.01, now.name
        # the straight bars were aimed at it: axes still meet
        assert abs(now.main.offset_mm) < 0.05, now.name
    lengths = [report.cuts.bar("X").cut_mm for report in (drawn, exists)]
    # the hoop came out narrower where the cross bar lands
    assert lengths[0] - lengths[1] > 1.0
    hoopwright.keys("asbent", with_bars, "MH", "--drop", "--date", "2026-03-15")
    again = joints_of(folder)
    assert again.cuts.bar("X").cut_mm == lengths[0]


def test_a_bent_branch_is_counted_from_the_marks_of_its_sheet(hoopwright, project, tmp_path):
    """What lies between the last bend's mark and the tip: offset, tube used and the straight up to the cut."""
    nodes = tmp_path / "nodes.csv"
    nodes.write_text(
        "forward,left,up\n-200,640,60\n-280,655,560\n-500,525,1060\n-900,450,1085\n", encoding="utf-8"
    )
    more = ("--role", "side bar", "--nodes", nodes, "--end-b", "MH", "--trim-b", "40")
    hoopwright.keys("bar", "add", project, "S", *more)
    sheet = next(one for one in hoopwright.keys("sheets", project)["sheets"] if one["bar_id"] == "S")
    cut = joints_of(ProjectFolder(path=project)).cuts.bar("S").ends[0]
    last = max(sheet["steps"], key=lambda step: step["bend"])
    past = sheet["straights_mm"][-1] - cut.tips[0].inward_mm
    used = last["target_deg"] * 2.3556
    assert cut.mark == "the mark of bend 2"
    assert cut.from_mark_mm == pytest.approx(last["start_mm"] + used + past - last["mark_mm"], abs=1e-6)
    assert cut.tip_on_tube_mm + cut.saw_off_mm == pytest.approx(sheet["blank_mm"])
    keys = hoopwright.keys("joints", project, "S")
    assert keys["sheet"] == sheet["identity"]
    assert [one["bend"] for one in keys["bends"]] == [1, 2]
    assert keys["bends"][1]["outside_deg"] == pytest.approx(sheet["rotations_total_deg"][1])
    assert "outside of bend 1" in keys["datum"]


def test_a_bent_branch_that_came_out_otherwise_keeps_its_tube(hoopwright, project, tmp_path):
    """Tube is not lost: from the end of the tube to the trim mark at B it is what the sheet cut, less the trim."""
    nodes = tmp_path / "nodes.csv"
    nodes.write_text(
        "forward,left,up\n-200,640,60\n-280,655,560\n-500,525,1060\n-900,450,1085\n", encoding="utf-8"
    )
    more = ("--role", "side bar", "--nodes", nodes, "--end-b", "MH", "--trim-b", "40")
    hoopwright.keys("bar", "add", project, "S", *more)
    hoopwright.keys("sheets", project)
    folder = ProjectFolder(path=project)
    drawn = joints_of(folder).cuts.bar("S")
    reading = ("--reading", "1 29.6", "--reading", "2 58.5", "--keep", "--date", "2026-03-14")
    hoopwright.keys("asbent", project, "S", *reading)
    bent = joints_of(folder).cuts.bar("S")
    assert bent.tube.marks == drawn.tube.marks
    assert bent.tube.used_mm != drawn.tube.used_mm
    path = centreline(bar_of(joints_of(folder).cuts.cage, "S"))
    assert on_tube_mm(bent.tube, path, "B", 0.0) == pytest.approx(bent.tube.blank_mm - 40.0, abs=1e-6)
    assert on_tube_mm(bent.tube, path, "A", 0.0) == pytest.approx(30.0, abs=1e-6)


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("ZZ",), "CAGE-001"),
        (("MH",), "JOINT-011"),
        (("--root-gap", "nan"), "UNIT-001"),
        (("--root-gap", "1 in"), "JOINT-012"),
        (("--root-gap", "MH/ZZ-A: 1"), "JOINT-014"),
        (("--ovality", "MH: 40.9 x 46.2"), "TYPED-001"),
        (("--ovality", "MH 9: 40.9 x 46.2"), "JOINT-014"),
        (("--saw", "1"), "JOINT-015"),
        (("--order", "MH, ZZ"), "JOINT-014"),
        (("--cut", "round"), "TYPED-001"),
    ],
)
def test_what_cannot_be_is_refused(hoopwright, with_bars, words, code):
    assert hoopwright.stops("joints", with_bars, *words) == [code]


def test_a_measured_bend_is_taken(hoopwright, project, tmp_path):
    nodes = tmp_path / "nodes.csv"
    nodes.write_text("forward,left,up\n-900,470,1066\n-1500,400,200\n", encoding="utf-8")
    hoopwright.keys("bar", "add", project, "B", "--role", "backstay", "--nodes", nodes, "--end-a", "MH")
    plain = hoopwright.keys("joints", project)
    assert "COPE-010" in [found["code"] for found in plain["findings"]]
    typed = hoopwright.keys("joints", project, "--ovality", "MH 2: 43.1 x 46.2")
    assert "COPE-010" not in [found["code"] for found in typed["findings"]]
    assert plain["joints"][0]["headers"][0]["bend"] == 2
    assert plain["joints"][0]["depth_mm"] != typed["joints"][0]["depth_mm"]


def test_a_cage_without_joints(hoopwright, project):
    assert hoopwright.keys("joints", project)["joints"] == []
    assert "no end of the cage is coped" in hoopwright.run("joints", project).out


def test_a_sharp_end_fails_the_check(hoopwright, project, tmp_path):
    nodes = tmp_path / "nodes.csv"
    nodes.write_text("forward,left,up\n-900,625.16,313.3\n-780,610,580\n", encoding="utf-8")
    hoopwright.keys("bar", "add", project, "B", "--role", "backstay", "--nodes", nodes, "--end-a", "MH")
    keys = hoopwright.keys("check", project, "--bar", "B")
    (row,) = [one for one in keys["checks"] if one["check"] == "end A angle on MH"]
    along, leg = np.array([120.0, -15.16, 266.7]), np.array([0.0, 30.0, 620.0])
    angle = np.degrees(np.arccos(along @ leg / np.linalg.norm(along) / np.linalg.norm(leg)))
    assert row["verdict"] == "fail"
    assert row["measured"] == pytest.approx(angle)
    assert row["limit"] == 30.0
    assert "COPE-004" in [found["code"] for found in keys["findings"]]
