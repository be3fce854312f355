"""All papers of a small cage: what is made, what is left out and why, and that nothing of others is lost."""

import csv
import io
import json
import subprocess
import sys
from pathlib import Path

import numpy as np
import openpyxl
import pytest
import trimesh

from hoopwright.bars import centreline, hollow_skin
from hoopwright.cage import bars_of
from hoopwright.findings import UserError
from hoopwright.geometry import Arc
from hoopwright.jobs import step_papers
from hoopwright.jobs.glb_papers import rim_of
from hoopwright.jobs.joints import joints_of
from hoopwright.jobs.paper_files import PaperWishes, make_papers
from hoopwright.jobs.paper_source import file_word, paper_source
from hoopwright.joints.cope import OvalBend
from hoopwright.joints.meet import CutWishes
from hoopwright.store import ProjectFolder

DAY = "2026-03-01"
HOOP_ON_FLOOR = ((560, 0), (560, 620), (470, 1000), (-470, 1000), (-560, 620), (-560, 0))
TAPE = (
    "width: 1360: -900,680,620: -900,-680,620",
    "height: 1118: =-900,0,0: -900,0,1118",
    "length: 1800: 0,680,300: -1800,680,300",
)
STAY = "forward,left,up\n-900,300,1085\n-1650,300,300\n"


def write_stl(path, corners):
    facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = np.asarray(corners).reshape(-1, 9)
    path.write_bytes(b"cabin".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())


@pytest.fixture
def car(hoopwright, project, tmp_path):
    """The ready project with a backstay on the hoop."""
    nodes = tmp_path / "stay.csv"
    nodes.write_text(STAY, encoding="utf-8")
    hoopwright.keys(
        *("bar", "add", project, "BS-L", "--role", "backstay", "--nodes", nodes, "--tube", "38 x 2.5"),
        *("--end-a", "MH", "--end-b", "shell"),
    )
    return project


def made(project, out, **wishes):
    return make_papers(ProjectFolder(path=project), PaperWishes(date=DAY, out=out, **wishes))


def contents(folder):
    return {
        str(file.relative_to(folder)): file.read_bytes()
        for file in sorted(folder.rglob("*"))
        if file.is_file()
    }


def test_everything_that_can_be_made_is_made(car, tmp_path):
    pytest.importorskip("OCP")
    told = made(car, tmp_path / "out")
    names = {file.name for file in told.files}
    assert {"wraps/all-wraps.pdf", "wraps/BS-L-end-A.dxf", "floor/MH.pdf", "glb/the-whole-cage.glb"} <= names
    assert {"step/the-whole-cage.step", "step/MH.step", "step/BS-L.step", "tables/cage.xlsx"} <= names
    assert "floor/SB-L.pdf" not in names  # it does not lie flat
    assert ("SB-L",) in [finding.objects for finding in told.findings if finding.code == "PAPER-101"]
    assert [kind for kind, _ in told.skipped] == ["plates"]
    on_disk = contents(tmp_path / "out")
    assert set(on_disk) == names | {"made-files.json"}
    assert {file.name: file.size_bytes for file in told.files} == {name: len(on_disk[name]) for name in names}
    assert "FILE-102" not in {finding.code for finding in told.findings}


def test_the_same_again_gives_the_same_bytes_and_says_so(car, tmp_path):
    kinds = ("wraps", "floor", "glb", "tables")
    first = made(car, tmp_path / "one", kinds=kinds)
    before = contents(tmp_path / "one")
    again = made(car, tmp_path / "one", kinds=kinds)
    assert {file.state for file in first.files} == {"new"}
    assert {file.state for file in again.files} == {"as before"}
    assert contents(tmp_path / "one") == before
    made(car, tmp_path / "two", kinds=kinds)
    assert contents(tmp_path / "two") == before


def test_a_changed_bar_changes_identity_and_its_own_papers(hoopwright, car, tmp_path):
    first = made(car, tmp_path / "out", kinds=("wraps", "glb"))
    hoopwright.keys("bar", "move", car, "BS-L", "2", "--", "-1600,560,320")
    again = made(car, tmp_path / "out", kinds=("wraps", "glb"))
    assert again.identity != first.identity
    assert {file.state for file in again.files} == {"changed"}


def test_a_bar_that_is_gone_moves_to_old(hoopwright, car, tmp_path):
    made(car, tmp_path / "out", kinds=("wraps",))
    hoopwright.keys(
        "bar", "add", car, "XB", "--role", "roof bar", "--nodes", tmp_path / "stay.csv", "--end-a", "MH"
    )
    made(car, tmp_path / "out", kinds=("wraps",))
    hoopwright.keys("bar", "remove", car, "XB")
    told = made(car, tmp_path / "out", kinds=("wraps",))
    assert told.old == ("wraps/XB-end-A.dxf",)
    assert (tmp_path / "out/old/wraps/XB-end-A.dxf").is_file()
    assert not (tmp_path / "out/wraps/XB-end-A.dxf").exists()


def test_a_file_of_somebody_else_stops_it_and_nothing_is_written(car, state):
    (car / "papers/tables").mkdir(parents=True)
    (car / "papers/tables/nodes.csv").write_text("mine", encoding="utf-8")
    before = state(car)
    with pytest.raises(UserError) as stopped:
        made(car, None, kinds=("glb", "tables"))
    assert [finding.code for finding in stopped.value.findings] == ["FILE-103"]
    assert state(car) == before


def test_bar_sheets_and_papers_live_side_by_side(hoopwright, car):
    hoopwright.keys("sheets", car, "--date", DAY, "--placeholder")
    made(car, None, kinds=("wraps", "tables"))
    hoopwright.keys("sheets", car, "--date", DAY, "--placeholder")
    told = made(car, None, kinds=("wraps", "tables"))
    assert {file.state for file in told.files} == {"as before"}
    assert (car / "papers/MH.pdf").is_file()


def test_only_one_bar(car, tmp_path):
    told = made(car, tmp_path / "out", kinds=("wraps", "glb"), only=("BS-L",))
    assert {file.name for file in told.files} == {
        "wraps/wraps-BS-L.pdf",
        "wraps/BS-L-end-A.dxf",
        "glb/BS-L.glb",
    }


def test_tables_of_one_bar_leave_those_of_the_cage_alone(car, tmp_path):
    made(car, tmp_path / "out", kinds=("tables",))
    before = contents(tmp_path / "out")
    told = made(car, tmp_path / "out", kinds=("tables",), only=("MH",))
    after = contents(tmp_path / "out")
    assert {name: after[name] for name in before if name != "made-files.json"} == {
        name: content for name, content in before.items() if name != "made-files.json"
    }
    assert all(file.name.startswith("tables/MH/") for file in told.files)


def test_nothing_to_cut_by_comes_out_while_the_size_of_the_scan_is_not_proven(hoopwright, files, tmp_path):
    """Held to what sheets are; what is for looking is made all the same."""
    car = tmp_path / "car"
    hoopwright.keys("new", car)
    hoopwright.keys("scan", car, files / "shell.stl", "--unit", "mm", "--as-given")
    hoopwright.keys("bar", "add", car, "MH", "--role", "main hoop", "--nodes", files / "hoop.csv")
    told = made(car, tmp_path / "out", kinds=("floor", "glb"))
    assert [kind for kind, _ in told.skipped] == ["floor"]
    assert {file.kind for file in told.files} == {"glb"}
    with pytest.raises(UserError) as stopped:
        made(car, tmp_path / "out", kinds=("floor",))
    assert stopped.value.findings[0].code == "SHEET-011"


@pytest.fixture
def landed(hoopwright, bodies, tmp_path):
    """A hoop on the floor of a cabin, a plate under each foot."""
    car = tmp_path / "landed"
    write_stl(tmp_path / "cabin.stl", bodies.cabin_soup(piece_mm=40.0))
    nodes = tmp_path / "hoop.csv"
    nodes.write_text(
        "forward,left,up\n" + "".join(f"-900,{left},{up}\n" for left, up in HOOP_ON_FLOOR), encoding="utf-8"
    )
    hoopwright.keys("new", car)
    tape = [word for one in TAPE for word in ("--tape", one)]
    hoopwright.keys("scan", car, tmp_path / "cabin.stl", "--unit", "mm", "--as-given", *tape)
    hoopwright.keys(
        *("bar", "add", car, "MH", "--role", "main hoop", "--nodes", nodes),
        *("--end-a", "shell", "--end-b", "shell"),
    )
    hoopwright.keys("landing", "set", car, "--all", "--kind", "plate", "--length", "120", "--width", "80")
    return car


def test_legs_stand_on_their_plates_in_every_file(landed, tmp_path):
    """Two plates of 120 x 80 x 3; the legs end on top of them, 3 mm over the floor."""
    pytest.importorskip("OCP")
    told = made(landed, tmp_path / "out")
    names = {file.name for file in told.files}
    assert {"plates/all-plates.pdf", "plates/MH-foot-A-plate.dxf", "wraps/MH-end-A.dxf"} <= names
    rows = read_csv(tmp_path / "out", "landings")
    assert [(row["bar"], row["end"], row["kind"]) for row in rows] == [
        ("MH", "A", "plate"),
        ("MH", "B", "plate"),
    ]
    assert [float(row["mass [kg]"]) for row in rows] == pytest.approx(
        [0.12 * 0.08 * 0.003 * 7850.0] * 2, abs=0.002
    )
    step = (tmp_path / "out/step/the-whole-cage.step").read_text("ascii")
    assert step.count("= MANIFOLD_SOLID_BREP") == 3
    assert "PRODUCT('MH foot A plate'" in step
    tree = trimesh.load(tmp_path / "out/glb/the-whole-cage.glb")
    low = {
        name: tree.geometry[tree.graph[name][1]].bounds[0][1] * 1000.0 for name in tree.graph.nodes_geometry
    }
    assert low["MH"] == pytest.approx(3.0, abs=0.1)
    assert low["MH foot A plate"] == pytest.approx(0.0, abs=0.1)


@pytest.mark.parametrize("end", ["A", "B"])
def test_a_drawn_cope_lies_on_its_header_all_round(hoopwright, car, tmp_path, end):
    """On a bent bar, whose datum line is not its heel, so that a mirrored cope would show."""
    nodes = [(-1750, 560, 60), (-1650, 560, 320), (-900, 100, 1085)]
    file = tmp_path / "bent.csv"
    rows = nodes if end == "B" else nodes[::-1]
    file.write_text("forward,left,up\n" + "".join(f"{f},{le},{u}\n" for f, le, u in rows), encoding="utf-8")
    hoopwright.keys(
        *("bar", "add", car, "XB", "--role", "backstay", "--nodes", file),
        *("--tube", "38 x 2.5", "--die", "38", "--clr", "100", f"--end-{end.lower()}", "MH"),
    )
    source, _ = paper_source(ProjectFolder(path=car), date=DAY)
    cut = source.cut("XB", end)
    skin = hollow_skin(source.bars["XB"], **{f"rim_{end.lower()}": rim_of(cut)})
    rings = (len(skin.vertices_mm) - 4 * 36) // 2
    rim = skin.vertices_mm[:36] if end == "A" else skin.vertices_mm[rings - 36 : rings]
    hoop = centreline(source.bars["MH"])
    off = [hoop.distance_to_mm(place) for place in rim]
    np.testing.assert_allclose(off, source.bars["MH"].tube.od_mm / 2.0, atol=0.02)


def test_a_bar_that_becomes_no_solid_is_left_out_and_told(car, tmp_path, monkeypatch):
    pytest.importorskip("OCP")

    def fails_once(wanted, others, whole=step_papers.tube_solid):
        if wanted.bar.name == "SB-L":
            raise ValueError("the CAD kernel makes no solid of it")
        return whole(wanted, others)

    monkeypatch.setattr(step_papers, "tube_solid", fails_once)
    told = made(car, tmp_path / "out", kinds=("step",))
    assert "step/SB-L.step" not in {file.name for file in told.files}
    assert "FILE-108" in {finding.code for finding in told.findings}


def test_without_the_cad_kernel_the_rest_is_made(car, tmp_path, monkeypatch):
    monkeypatch.setattr("importlib.util.find_spec", lambda _name: None)
    told = made(car, tmp_path / "out", kinds=("tables", "step"))
    assert [kind for kind, _ in told.skipped] == ["step"]
    assert "FILE-101" in {finding.code for finding in told.findings}
    with pytest.raises(UserError) as stopped:
        made(car, tmp_path / "out", kinds=("step",))
    assert stopped.value.findings[0].code == "FILE-101"


def test_an_empty_cage_stops(empty, tmp_path):
    with pytest.raises(UserError) as stopped:
        made(empty, tmp_path / "out")
    assert stopped.value.findings[0].code == "FILE-105"
    assert not (tmp_path / "out").exists()


def read_csv(folder, name):
    return list(csv.DictReader(io.StringIO((folder / f"tables/{name}.csv").read_text("utf-8"))))


def test_tables_say_what_the_commands_say(hoopwright, car, tmp_path):
    """Read back by other libraries, held against what sheets and joints print."""
    made(car, tmp_path / "out", kinds=("tables",))
    issued = {
        one["bar_id"]: one for one in hoopwright.keys("sheets", car, "--date", DAY, "--placeholder")["sheets"]
    }
    members = {row["bar"]: row for row in read_csv(tmp_path / "out", "members")}
    assert list(members) == ["MH", "SB-L", "SB-R", "BS-L"]
    assert (members["SB-R"]["mirrors"], members["BS-L"]["end A on"]) == ("SB-L", "MH")
    bends = [row for row in read_csv(tmp_path / "out", "bends") if row["bar"] == "MH"]
    assert [float(row["straight before [mm]"]) for row in bends] == pytest.approx(
        issued["MH"]["straights_mm"], abs=0.006
    )
    assert [float(row["bend angle [deg]"]) for row in bends[:-1]] == pytest.approx(
        issued["MH"]["angles_deg"], abs=0.006
    )
    cuts = {row["bar"]: row for row in read_csv(tmp_path / "out", "cut-list")}
    assert float(cuts["MH"]["blank [mm]"]) == pytest.approx(issued["MH"]["blank_mm"], abs=0.006)
    (joint,) = read_csv(tmp_path / "out", "joints")
    assert (joint["bar"], joint["end"], joint["cut to"]) == ("BS-L", "A", "MH")
    assert float(joint["angle of axes [deg]"]) == pytest.approx(90.0, abs=0.01)
    nodes = [row for row in read_csv(tmp_path / "out", "nodes") if row["bar"] == "BS-L"]
    assert [float(nodes[1][f"{axis} [mm]"]) for axis in ("forward", "left", "up")] == [-1650.0, 300.0, 300.0]
    book = openpyxl.load_workbook(tmp_path / "out/tables/cage.xlsx")
    assert book.sheetnames == [
        "about",
        "members",
        "bends",
        "nodes",
        "joints",
        "cut-list",
        "landings",
        "gussets",
    ]
    assert book["cut-list"].cell(2, 5).value == pytest.approx(issued["MH"]["blank_mm"], abs=0.006)


def test_a_bar_as_bent_stands_in_the_files_as_it_came_out(hoopwright, car, tmp_path):
    readings = [word for one in ("1 3", "2 68", "3 70", "4 3") for word in ("--reading", one)]
    hoopwright.keys("asbent", car, "MH", *readings, "--keep", "--date", DAY)
    told = made(car, tmp_path / "out", kinds=("tables",))
    members = {row["bar"]: row for row in read_csv(tmp_path / "out", "members")}
    assert (members["MH"]["stands as"], members["SB-L"]["stands as"]) == ("bent", "drawn")
    assert "ASBENT-043" in {finding.code for finding in told.findings}


@pytest.mark.parametrize(
    ("name", "word"), [("MH/SB-L-B", "MH-SB-L-B"), ("MH foot A plate", "MH-foot-A-plate"), ("../x", "x")]
)
def test_names_become_plain_file_names(name, word):
    assert file_word(name) == word


def test_json_is_alone_on_stdout_while_the_kernel_writes(car, tmp_path):
    pytest.importorskip("OCP")
    program = [sys.executable, "-m", "hoopwright", "papers", car, "--kind", "step", "--date", DAY, "--json"]
    done = subprocess.run([*program, "--out", tmp_path / "out"], capture_output=True, check=True)
    keys = json.loads(done.stdout)
    assert {Path(file["name"]).parent.name for file in keys["files"]} == {"step"}
    assert keys["skipped"] == []


GAPPED = (
    CutWishes(root_gap_mm=1.2),
    CutWishes(cut="square"),
    CutWishes(cut="radial", root_gaps_mm={"MH/BS-L-A": 0.8}),
    CutWishes(root_gap_mm=0.5, oval_bends={("MH", 2): OvalBend(in_plane_mm=41.0, across_mm=49.0)}),
)


@pytest.mark.parametrize("wishes", GAPPED)
def test_wraps_and_solids_are_cut_as_the_card_says(hoopwright, car, tmp_path, wishes):
    """The card's profile on the wrap; in the STEP file its points lie on the edge of the solid, outside and round."""
    pytest.importorskip("OCP")
    if wishes.oval_bends:
        nodes = tmp_path / "oval.csv"
        hoop = centreline(bars_of(ProjectFolder(path=car).open().project.cage)["MH"])
        bend = [piece for piece in hoop.pieces if isinstance(piece, Arc)][1]
        middle = ",".join(map(str, bend.at(np.array([bend.length_mm / 2.0]))[0]))
        nodes.write_text(f"forward,left,up\n{middle}\n-1650,560,300\n", encoding="utf-8")
        hoopwright.keys("bar", "remove", car, "BS-L")
        hoopwright.keys(
            *("bar", "add", car, "BS-L", "--role", "backstay", "--nodes", nodes, "--tube", "38 x 2.5"),
            *("--end-a", "MH", "--end-b", "shell"),
        )
    folder = ProjectFolder(path=car)
    (card,) = joints_of(folder, wishes).cuts.ends
    plain, _ = paper_source(folder, date=DAY)
    source, _ = paper_source(folder, date=DAY, cut=wishes)
    assert source.identity != plain.identity
    (cut,) = source.cuts
    np.testing.assert_allclose(cut.profile.along_mm, card.profile.along_mm)
    assert np.abs(cut.profile.along_mm - plain.cuts[0].profile.along_mm).max() > 0.05
    np.testing.assert_allclose(cut.wrap.cut_mm, card.wrap.cut_mm)
    told = made(car, tmp_path / "out", kinds=("step", "wraps"), cut=wishes)
    assert told.identity == source.identity
    assert "FILE-102" not in {finding.code for finding in told.findings}
    edge = edges_mm(tmp_path / "out/step/BS-L.step", cut.branch)
    np.testing.assert_allclose(edge, cut.profile.bridged_mm[::30], atol=0.01)


def edges_mm(file, branch):
    """Where lines on the outside of an end first meet the solid that a STEP file holds, by the kernel alone."""
    from OCP.gp import gp_Dir, gp_Lin, gp_Pnt
    from OCP.IntCurvesFace import IntCurvesFace_ShapeIntersector
    from OCP.STEPControl import STEPControl_Reader

    reader = STEPControl_Reader()
    reader.ReadFile(str(file))
    reader.TransferRoots()
    meets = IntCurvesFace_ShapeIntersector()
    meets.Load(reader.OneShape(), 1e-7)
    found = []
    for side in branch.sides(np.arange(0.0, 360.0, 30.0)):
        start = branch.origin_mm + (branch.od_mm / 2.0 - 1e-3) * side - 200.0 * branch.direction
        meets.Perform(gp_Lin(gp_Pnt(*map(float, start)), gp_Dir(*map(float, branch.direction))), 0.0, 400.0)
        found.append(min(meets.WParameter(k) for k in range(1, meets.NbPnt() + 1)) - 200.0)
    return found


def test_wishes_for_a_joint_that_is_not_there_stop_papers(car, tmp_path):
    with pytest.raises(UserError) as stopped:
        made(car, tmp_path / "out", cut=CutWishes(root_gaps_mm={"MH/ZZ-A": 1.0}))
    assert stopped.value.findings[0].code == "JOINT-014"
    assert not (tmp_path / "out").exists()
