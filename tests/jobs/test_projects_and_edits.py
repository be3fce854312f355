"""Edits that cannot be are refused and change nothing; nothing measured or issued is lost."""

import json
import subprocess
import sys
from concurrent.futures import ThreadPoolExecutor

import pytest

from hoopwright.jobs.calibrations import keep_calibration
from hoopwright.store import ProjectFolder


def intent(project):
    return json.loads((project / "cage.json").read_text(encoding="utf-8"))


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("move", "MH", "2", "--", "-900,505,980"), "BAR-003"),  # the bends of knee and shoulder overlap
        (("move", "MH", "3", "--", "-900,640,620"), "BAR-002"),  # onto its neighbour
        (("move", "MH", "9", "--", "-900,640,620"), "CAGE-005"),
        (("move", "MH", "0", "--", "-900,640,620"), "CAGE-005"),
        (("move", "XX", "1", "--", "-900,640,620"), "CAGE-001"),
        (("move", "SB-R", "1", "--", "-900,640,620"), "CAGE-006"),
        (("move", "MH", "2", "--", "-900,640"), "TYPED-001"),
        (("move", "MH", "2", "--", "-900,640,high"), "UNIT-001"),
        (("add-node", "SB-L", "1", "--", "-352,640,555"), "BAR-003"),
        (("remove-node", "MH", "9"), "CAGE-005"),
        (("mirror", "SB-L", "SB-R"), "CAGE-002"),
        (("mirror", "SB-R", "SB-X"), "CAGE-006"),
        (("mirror", "SB-L", "../../x"), "CAGE-009"),
        (("remove", "SB-L"), "CAGE-004"),
        (("free", "MH"), "CAGE-006"),
    ],
)
def test_refused_edits_change_nothing(hoopwright, project, state, words, code):
    before = state(project)
    verb, bar_id, *rest = words
    assert hoopwright.stops("bar", verb, project, bar_id, *rest) == [code]
    assert state(project) == before


@pytest.mark.parametrize(
    ("options", "code"),
    [
        (("MH", "--role", "main hoop"), "CAGE-002"),
        (("../x", "--role", "main hoop"), "CAGE-009"),
        (("N1", "--role", "wing"), "TYPED-001"),
        (("N1", "--role", "main hoop", "--clr", "600"), "BAR-003"),
        (("N1", "--role", "main hoop", "--tube", "45 x 30"), "TUBE-001"),
        (("N1", "--role", "main hoop", "--tube", "45"), "TYPED-001"),
    ],
)
def test_refused_bars_change_nothing(hoopwright, project, files, state, options, code):
    before = state(project)
    words = ("bar", "add", project, *options, "--nodes", files / "hoop.csv")
    assert code in hoopwright.stops(*words)
    assert state(project) == before


def test_layout_never_takes_the_place_of_bars(hoopwright, project, state):
    before = state(project)
    foot = ("--landmark", "hoop_foot=-900,590,0")
    assert hoopwright.stops("layout", project, *foot) == ["CAGE-008"]
    assert state(project) == before


def test_layout_names_what_is_missing(hoopwright, empty, files):
    hoopwright.keys("scan", empty, files / "shell.stl", "--unit", "mm", "--as-given")
    finding, *reasons = hoopwright.keys("layout", empty, status=1)["findings"]
    assert finding["code"] == "FIT-003"
    # each of them is told with why the scan does not give it
    assert {reason["code"] for reason in reasons} <= {"FIT-055", "FIT-057"}
    assert set(finding["objects"]) <= {name for reason in reasons for name in reason["objects"]}
    assert "hoop_foot" in finding["sentence"] + finding["todo"]


def test_moving_the_left_moves_the_right(hoopwright, project):
    hoopwright.keys("bar", "move", project, "SB-L", "3", "--", "-880,520,1075")
    bars = {bar["bar_id"]: bar for bar in hoopwright.keys("bar", "list", project)["bars"]}
    assert bars["SB-L"]["nodes_mm"][2] == [-880.0, 520.0, 1075.0]
    assert bars["SB-R"]["nodes_mm"][2] == [-880.0, -520.0, 1075.0]
    hoopwright.keys("bar", "free", project, "SB-R")
    hoopwright.keys("bar", "move", project, "SB-L", "3", "--", "-880,500,1070")
    bars = {bar["bar_id"]: bar for bar in hoopwright.keys("bar", "list", project)["bars"]}
    assert bars["SB-R"]["nodes_mm"][2] == [-880.0, -520.0, 1075.0]


def test_undo_and_redo_of_every_edit(hoopwright, project):
    drawn = [hoopwright.keys("bar", "list", project)]
    for words in (
        ("move", project, "MH", "2", "--", "-900,638,620"),
        ("add-node", project, "MH", "3", "--", "-900,0,1090"),
        ("remove", project, "SB-R"),
    ):
        hoopwright.keys("bar", *words)
        drawn.append(hoopwright.keys("bar", "list", project))
    for earlier in drawn[-2::-1]:
        hoopwright.keys("undo", project)
        assert hoopwright.keys("bar", "list", project) == earlier
    for later in drawn[1:]:
        hoopwright.keys("redo", project)
        assert hoopwright.keys("bar", "list", project) == later
    assert hoopwright.stops("redo", project) == ["STORE-007"]


def test_undo_keeps_what_was_measured_and_issued(hoopwright, project):
    hoopwright.keys("bar", "move", project, "MH", "2", "--", "-900,638,620")
    hoopwright.keys("scan", project, "--tape", "roof again: 1118: =-300,0,0: -300,0,1118")
    hoopwright.keys("sheets", project, "--date", "2026-03-01")
    before = intent(project)
    hoopwright.keys("undo", project)
    after = intent(project)
    assert after["tape"] == before["tape"]
    assert after["issued"] == before["issued"]
    assert len(after["issued"]) == 3
    assert after["members"] != before["members"]


def test_tape_typed_again_follows_the_old_record(hoopwright, project):
    kept = len(intent(project)["tape"])
    hoopwright.keys("scan", project, "--tape", "width: 1361: -900,680,620: -900,-680,620")
    records = intent(project)["tape"]
    assert [one["tape_mm"] for one in records if one["name"] == "width"] == [1360.0, 1361.0]
    assert len(records) == kept + 1
    shown = hoopwright.keys("scan", project)["tape"]
    assert [row["tape_mm"] for row in shown if row["name"] == "width"] == [1361.0]


@pytest.mark.parametrize(
    "tape", ["a: 0: 0,0,0: 1,1,1", "a: 50 m: 0,0,0: 1,1,1", "a: 1000: 0,0,0", ": 9: 0,0,0: 0,0,9"]
)
def test_tape_that_cannot_be_read_changes_nothing(hoopwright, project, state, tape):
    before = state(project)
    assert hoopwright.stops("scan", project, "--tape", tape) == ["TYPED-001"]
    assert state(project) == before


def test_every_kept_sample_file_stays(hoopwright, project, files, tmp_path):
    """Another file of the same name is another record, and the last one kept counts."""
    other = tmp_path / "samples.toml"
    text = (files / "samples.toml").read_text(encoding="utf-8").replace("137.5", "150.0")
    other.write_text(text, encoding="utf-8")
    hoopwright.keys("calibrate", other, "--project", project)
    hoopwright.keys("calibrate", other, "--project", project)
    kept = sorted((project / "calibrations").iterdir())
    assert [file.read_bytes() for file in kept] == [(files / "samples.toml").read_bytes(), other.read_bytes()]
    made = {sheet["bar_id"]: sheet["clr_mm"] for sheet in hoopwright.keys("sheets", project)["sheets"]}
    assert made["MH"] == pytest.approx(150.0)
    hoopwright.keys("calibrate", files / "samples.toml", "--project", project)
    made = {sheet["bar_id"]: sheet["clr_mm"] for sheet in hoopwright.keys("sheets", project)["sheets"]}
    assert made["MH"] == pytest.approx(137.5)


def test_sample_files_of_one_name_kept_at_once_all_stay(project, files, tmp_path):
    text = (files / "samples.toml").read_text(encoding="utf-8")
    one_each = []
    for number in range(12):
        (tmp_path / f"{number}").mkdir()
        one_each.append(tmp_path / f"{number}" / "same.toml")
        one_each[-1].write_text(f"{text}# {number}\n", encoding="utf-8")
    with ThreadPoolExecutor(12) as at_once:
        list(at_once.map(lambda file: keep_calibration(ProjectFolder(path=project), file), one_each))
    kept = [file.read_bytes() for file in (project / "calibrations").glob("*-same.toml")]
    assert sorted(kept) == sorted(file.read_bytes() for file in one_each)


def test_calibration_of_a_bad_file_keeps_nothing(hoopwright, project, state, tmp_path):
    bad = tmp_path / "bad.toml"
    bad.write_text("od_mm = 45.0\n", encoding="utf-8")
    before = state(project)
    hoopwright.keys("calibrate", bad, "--project", project, status=1)
    assert state(project) == before


def test_a_project_is_never_started_over(hoopwright, project, state):
    before = state(project)
    assert hoopwright.stops("new", project) == ["STORE-001"]
    assert state(project) == before


@pytest.mark.parametrize("limits", [("--gap", "-1"), ("--gap", "300"), ("--clamp", "5 m")])
def test_limits_that_cannot_be(hoopwright, tmp_path, limits):
    assert hoopwright.stops("new", tmp_path / "car", *limits) == ["CAGE-007"]
    assert not (tmp_path / "car").exists()


@pytest.mark.parametrize(
    "words",
    [("scan",), ("check",), ("sheets",), ("layout",), ("undo",), ("redo",), ("bar", "list")],
    ids=" ".join,
)
def test_a_folder_without_a_project_stops(hoopwright, tmp_path, words):
    assert hoopwright.stops(*words, tmp_path) == ["STORE-005"]
    assert list(tmp_path.iterdir()) == []


def with_member(number, **changes):
    def change(keys):
        keys["members"][number] |= changes

    return change


HOSTILE = {
    "newer version": lambda keys: keys.update(version=99),
    "no version": lambda keys: keys.pop("version"),
    "extra key": lambda keys: keys.update(run="rm -rf /"),
    "members no list": lambda keys: keys.update(members=7),
    "text for a number": lambda keys: keys.update(gap_mm="ten"),
    "name that leaves the folder": with_member(0, member_id="../../x"),
    "no such role": with_member(0, role="wing"),
    "node with two places": with_member(0, nodes_mm=[[1, 2], [3, 4]]),
    "mirror of nothing": with_member(2, mirror_of="ZZ"),
    "mirror of itself": with_member(2, mirror_of="SB-R"),
    "mirror of a mirror": with_member(1, mirror_of="SB-R", nodes_mm=[]),
    "no nodes": with_member(0, nodes_mm=[]),
    "tube that is none": with_member(0, wall_mm=40.0),
    "scan elsewhere": lambda keys: keys["scan"].update(file="../../../etc/hostname"),
    "unit that is none": lambda keys: keys["scan"].update(unit="parsec"),
    "turn that is none": lambda keys: keys["scan"].update(rotation=[[2, 0, 0], [0, 1, 0], [0, 0, 1]]),
    "two of one name": lambda keys: keys["members"].append(keys["members"][0]),
}


@pytest.mark.parametrize("name", HOSTILE)
def test_hostile_project_files_stop_and_stay(hoopwright, project, state, name):
    keys = intent(project)
    HOSTILE[name](keys)
    (project / "cage.json").write_text(json.dumps(keys), encoding="utf-8")
    before = state(project)
    for words in (("check", project), ("sheets", project), ("bar", "list", project), ("undo", project)):
        codes = hoopwright.stops(*words)
        assert codes[0].startswith(("STORE-", "TUBE-", "CAGE-", "BAR-")), (words, codes)
        assert state(project) == before
    assert not list(project.parent.glob("x*"))


@pytest.mark.parametrize(
    "content",
    [b"", b"{", b"[]", b"null", b"\xff\xfe", b"[" * 100_000, b'{"version": 1e999}', b'{"version": NaN}'],
)
def test_project_files_that_are_none_stop(hoopwright, project, content):
    (project / "cage.json").write_bytes(content)
    assert hoopwright.stops("check", project) == ["STORE-003"]
    assert (project / "cage.json").read_bytes() == content


def test_two_processes_at_once_lose_nothing(hoopwright, empty, files):
    """Each adds bars; whoever comes second is told, tries again, and no bar is lost."""
    program = (
        "import sys\nfrom typer.testing import CliRunner\nfrom hoopwright.cli.main import app\n"
        "project, nodes, name = sys.argv[1:]\n"
        "for number in range(8):\n"
        "    words = ['bar', 'add', project, f'{name}{number}', '--role', 'door bar', '--nodes', nodes]\n"
        "    for _ in range(200):\n"
        "        ran = CliRunner().invoke(app, words, catch_exceptions=False)\n"
        "        if ran.exit_code == 0:\n"
        "            break\n"
        "        assert 'STORE-006' in ran.stderr, ran.stderr\n"
        "    else:\n"
        "        sys.exit('never got through')\n"
    )
    both = [
        subprocess.Popen([sys.executable, "-c", program, str(empty), str(files / "hoop.csv"), name])
        for name in ("A", "B")
    ]
    assert [process.wait(timeout=120) for process in both] == [0, 0]
    names = {bar["bar_id"] for bar in hoopwright.keys("bar", "list", empty)["bars"]}
    assert names == {f"{name}{number}" for name in "AB" for number in range(8)}
    assert intent(empty)["step"] == 17
    assert len(list((empty / "history").glob("*.json"))) == 16
