"""Sheets follow what is known: bars that exist, an order that was found, where the operator stands."""

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.cage import bar_of
from hoopwright.jobs.bent_cage import cage_that_exists
from hoopwright.jobs.opened_sheets import open_sheet
from hoopwright.store import ProjectFolder

SHOULDERS = ("--tape", "feet 1252", "--tape", "knees 1317.4")
HARNESS = "forward,left,up\n-900,577,900\n-900,-577,900\n"
ROOM = 'axis_height_mm = 900\nclamp_mm = 100\nswings = "clockwise"\n[[operator]]\nname = "left of the tail"\n\
ahead_mm = -600\nleft_mm = -700\n'


def text_of(path):
    return " ".join(" ".join(page.extract_text() for page in PdfReader(path).pages).split())


def by_bar(made):
    return {sheet["bar_id"]: (sheet["revision"], sheet["identity"]) for sheet in made["sheets"]}


@pytest.fixture
def landed(hoopwright, project, tmp_path):
    """The ready project with a bar across the hoop, both ends on it."""
    nodes = tmp_path / "hb.csv"
    nodes.write_text(HARNESS, encoding="utf-8")
    hoopwright.keys("bar", "add", project, "HB", "--role", "harness bar", "--nodes", nodes, "--end-a", "MH",
                    "--end-b", "MH")  # fmt: skip
    return project


def test_a_bar_as_bent_makes_its_sheet_and_those_of_bars_on_it_old(hoopwright, landed):
    first = by_bar(hoopwright.keys("sheets", landed, "--date", "2026-03-01"))
    kept = hoopwright.keys("asbent", landed, "MH", *SHOULDERS, "--keep", "--date", "2026-03-14")
    for name, in_force in (("MH", False), ("HB", False), ("SB-L", True)):
        assert open_sheet(ProjectFolder(path=landed), name, "2026-03-15").in_force is in_force
    made = hoopwright.keys("sheets", landed, "--date", "2026-03-15")
    second = by_bar(made)
    assert {name: revision for name, (revision, _) in second.items()} == {
        "MH": 2,
        "HB": 2,
        "SB-L": 1,
        "SB-R": 1,
    }
    assert second["MH"][1] != first["MH"][1]
    assert second["SB-L"] == first["SB-L"]
    codes = [finding["code"] for finding in made["findings"]]
    assert codes.count("SHEET-017") == 1
    assert codes.count("SHEET-018") == 2
    assert "SHEET-018" in text_of(landed / "papers" / "HB.pdf")
    assert "OLD" in text_of(landed / "papers" / "old" / "MH-revision-1.pdf")
    # closed form: feet of the ends on the straight lines between knee and shoulder, drawn and as bent
    project = ProjectFolder(path=landed).open().project
    cages = project.cage, cage_that_exists(project, project.cage).cage
    ends = np.array(project.cage.member("HB").nodes_mm)
    moved = [one["measured"] for one in made["findings"] if one["code"] == "SHEET-018"]
    for end, (knee, shoulder), told in zip(ends, ((1, 2), (4, 3)), moved, strict=True):
        feet = []
        for cage in cages:
            nodes = np.array(bar_of(cage, "MH").nodes_mm)
            way = (nodes[shoulder] - nodes[knee]) / np.linalg.norm(nodes[shoulder] - nodes[knee])
            feet.append(nodes[knee] + way * np.dot(end - nodes[knee], way))
        assert told == pytest.approx(np.linalg.norm(feet[1] - feet[0]), abs=0.6)
        assert told > 0.1
    assert kept["kept"]


def test_measured_again_and_dropped_each_change_the_sheet(hoopwright, landed):
    first = by_bar(hoopwright.keys("sheets", landed))
    hoopwright.keys("asbent", landed, "MH", *SHOULDERS, "--keep", "--date", "2026-03-14")
    second = by_bar(hoopwright.keys("sheets", landed))
    hoopwright.keys("asbent", landed, "MH", "--tape", "feet 1240", "--tape", "knees 1310", "--keep", "--date",
                    "2026-03-16")  # fmt: skip
    third = by_bar(hoopwright.keys("sheets", landed))
    hoopwright.keys("asbent", landed, "MH", "--drop", "--date", "2026-03-17")
    fourth = by_bar(hoopwright.keys("sheets", landed))
    for name in ("MH", "HB"):
        assert [made[name][0] for made in (first, second, third, fourth)] == [1, 2, 3, 4]
        assert fourth[name][1] == first[name][1], "the drawn bar again, so the same sheet again"
    assert fourth["SB-L"] == first["SB-L"]


def test_issued_again_with_nothing_new_is_the_same_sheet_to_the_byte(hoopwright, landed):
    hoopwright.keys("asbent", landed, "MH", *SHOULDERS, "--keep", "--date", "2026-03-14")
    hoopwright.keys("sheets", landed, "--date", "2026-03-15")
    before = {file.name: file.read_bytes() for file in (landed / "papers").glob("*.pdf")}
    hoopwright.keys("sheets", landed, "--date", "2026-03-15")
    assert before == {file.name: file.read_bytes() for file in (landed / "papers").glob("*.pdf")}


def test_the_operators_place_of_the_room_is_where_the_pictures_are_seen_from(hoopwright, project, tmp_path):
    room = tmp_path / "room.toml"
    room.write_text(ROOM, encoding="utf-8")
    hoopwright.keys("sheets", project, "--bar", "MH")
    from_the_tail = text_of(project / "papers" / "MH.pdf")
    assert from_the_tail.count("seen from behind the tail") == 4
    hoopwright.keys("sheets", project, "--bar", "MH", "--room", room)
    assert "seen from the left of the tail, eyes at 1.6 m" in text_of(project / "papers" / "MH.pdf")


def test_a_printed_step_holds_its_readings_and_its_slip_number(hoopwright, project):
    sheet = hoopwright.keys("sheets", project, "--bar", "SB-L")["sheets"][0]
    first, second = sheet["steps"]
    assert first["readings"] == []
    assert [one["bend"] for one in second["readings"]] == [1]
    assert second["readings"][0]["rotation_deg"] == pytest.approx(second["turn_tube_deg"])
    words = text_of(project / "papers" / "SB-L.pdf")
    for step in sheet["steps"]:
        assert f"slip check {step['slip']['drawn_mm']:.1f} mm" in words
    # closed form: the blank is its straights, its trims and what the slip checks say the bends use
    used = sum(step["slip"]["drawn_mm"] for step in sheet["steps"])
    assert sheet["blank_mm"] == pytest.approx(
        used + sum(sheet["straights_mm"]) + sheet["trim_a_mm"] + sheet["trim_b_mm"]
    )
