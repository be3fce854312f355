"""Bars as bent in a project: kept as records, checked in the place of the drawn ones."""

import json

import numpy as np
import pytest

from hoopwright.bars import skin_mesh
from hoopwright.bender.as_bent import BendErrors, bar_with
from hoopwright.cage import bar_of
from hoopwright.store import ProjectFolder

DAY = ("--date", "2026-03-14")
SHOULDERS = ("--tape", "feet 1252", "--tape", "knees 1317.4")


def file_of(project):
    return json.loads((project / "cage.json").read_text(encoding="utf-8"))


def row(keys, about, check):
    (found,) = [one for one in keys["checks"] if (one["about"], one["check"]) == (about, check)]
    return found


def codes(keys):
    return [finding["code"] for finding in keys["findings"]]


def test_acceptance_of_a_taped_hoop(hoopwright, project):
    keys = hoopwright.keys("asbent", project, "MH", *SHOULDERS)
    knees, shoulders = (kind["over_deg"] for kind in keys["kinds"])
    assert shoulders == pytest.approx(0.34, abs=0.05)
    assert abs(knees) <= 0.05
    keys = hoopwright.keys("asbent", project, "MH", "--tape", "feet 1252", "--tape", "knees 1322.7")
    assert keys["kinds"][0]["over_deg"] == pytest.approx(0.60, abs=0.05)
    keys = hoopwright.keys("asbent", project, "MH", "--tape", "feet 1252")
    assert not keys["can_tell"]
    assert keys["next_distance"]["key"] == "knees"


def test_looking_keeps_nothing(hoopwright, project, state):
    before = state(project)
    hoopwright.keys("asbent", project, "MH", *SHOULDERS)
    hoopwright.keys("asbent", project, "SB-L", "--reading", "1 34.5", "--reading", "2 49.0 -26")
    assert state(project) == before


def test_a_kept_bar_is_checked_as_it_exists_with_the_drawn_value_beside(hoopwright, project):
    drawn = hoopwright.keys("check", project)
    made = hoopwright.keys("asbent", project, "MH", *SHOULDERS, "--keep", *DAY)
    assert made["kept"]
    bent = hoopwright.keys("check", project)
    was, now = (row(keys, "MH", "gap to the shell") for keys in (drawn, bent))
    assert now["measured"] != pytest.approx(was["measured"], abs=0.05)
    assert f"as drawn {was['measured']:.1f}, as bent {now['measured']:.1f}" in now["where"]
    assert row(bent, "SB-R", "gap to the shell") == row(drawn, "SB-R", "gap to the shell")
    # by the gap's own definition: the highest metal of the bar rose by what the fit says of its height
    rose = next(one for one in made["distances"] if one["key"] == "height")
    roof = {name: next(p["gap_mm"] for p in keys["gaps"]["MH"]["regions"] if "roof" in p["region"])
            for name, keys in (("drawn", drawn), ("bent", bent))}  # fmt: skip
    assert roof["drawn"] - roof["bent"] == pytest.approx(rose["bent_mm"] - rose["drawn_mm"], abs=0.1)


def test_drawn_bar_comes_back_and_the_records_stay(hoopwright, project):
    drawn = hoopwright.keys("check", project)
    hoopwright.keys("asbent", project, "MH", *SHOULDERS, "--keep", *DAY)
    hoopwright.keys("asbent", project, "MH", "--drop", *DAY)
    assert hoopwright.keys("check", project)["checks"] == drawn["checks"]
    records = file_of(project)["as_bent"]
    assert [one["source"] for one in records] == ["tape", "drawn"]
    assert [entry["tape_mm"] for entry in records[0]["tape"]] == [1252.0, 1317.4]
    again = hoopwright.run("asbent", project, "MH", "--drop", "--json")
    assert again.status == 1
    assert "ASBENT-045" in again.out


def test_undo_leaves_the_record(hoopwright, project):
    hoopwright.keys("bar", "move", project, "SB-L", "2", "-430,650,560")
    hoopwright.keys("asbent", project, "MH", *SHOULDERS, "--keep", *DAY)
    hoopwright.keys("undo", project)
    assert [one["bar_id"] for one in file_of(project)["as_bent"]] == ["MH"]


def test_a_table_alone_is_kept_too_and_its_findings_are_told(hoopwright, project):
    ran = hoopwright.run("asbent", project, "MH", *SHOULDERS, "--keep", "--csv", *DAY)
    assert ran.out.startswith("straight_mm,rotation_deg,angle_deg\n")
    assert "ASBENT-011" in ran.err
    assert [one["bar_id"] for one in file_of(project)["as_bent"]] == ["MH"]


def test_what_hangs_on_it_is_named(hoopwright, project):
    hoopwright.keys("sheets", project)
    keys = hoopwright.keys(
        "asbent", project, "SB-L", "--reading", "1 34.5", "--reading", "2 49", "--keep", *DAY
    )
    (told,) = [finding for finding in keys["findings"] if finding["code"] == "ASBENT-043"]
    assert "SB-R is its mirror and stays as drawn" in told["sentence"]
    assert "sheets issued for SB-L" in told["sentence"]


def test_the_mirror_of_a_bent_bar_stays_as_drawn(hoopwright, project):
    drawn = hoopwright.keys("check", project)
    hoopwright.keys("asbent", project, "SB-L", "--reading", "1 35.5", "--reading", "2 48", "--keep", *DAY)
    bent = hoopwright.keys("check", project)
    assert (
        row(bent, "SB-R", "gap to the shell")["measured"]
        == row(drawn, "SB-R", "gap to the shell")["measured"]
    )
    left = [row(keys, "SB-L", "gap to the shell")["measured"] for keys in (drawn, bent)]
    assert left[0] != pytest.approx(left[1], abs=0.1)


def test_a_tape_that_cannot_tell_is_not_kept(hoopwright, project, state):
    before = state(project)
    ran = hoopwright.run("asbent", project, "MH", "--tape", "feet 1252", "--keep", "--json")
    assert ran.status == 1
    assert "ASBENT-044" in ran.out
    assert state(project) == before


def test_a_bar_that_is_drawn_anew_is_told(hoopwright, project):
    hoopwright.keys("asbent", project, "SB-L", "--reading", "1 34.5", "--reading", "2 49", "--keep", *DAY)
    hoopwright.keys("bar", "move", project, "SB-L", "2", "-430,650,540")
    assert "ASBENT-041" in codes(hoopwright.keys("check", project))
    hoopwright.keys("bar", "add-node", project, "SB-L", "2", "-600,600,760")
    assert "ASBENT-042" in codes(hoopwright.keys("check", project))


def scan_file(project, tmp_path, errors, unit_mm=1.0):
    """The hoop or side bar with errors, as a mesh in an inch or mm file."""
    bar = bar_of(ProjectFolder(path=project).open().project.cage, "SB-L")
    skin = skin_mesh(bar_with(bar, errors))
    corners = skin.vertices_mm[skin.triangles].reshape(-1, 9) / unit_mm
    facets = np.zeros(len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", 9), ("tag", "<u2")])
    facets["corners"] = corners
    file = tmp_path / "bar.stl"
    file.write_bytes(b"bar".ljust(80) + np.uint32(len(facets)).tobytes() + facets.tobytes())
    return file


def test_a_scan_in_inches_is_matched_and_kept(hoopwright, project, tmp_path):
    errors = BendErrors(angles_deg=(0.5, -0.4), rotations_deg=(0.0, 0.7), straights_mm=(0.0, 0.0, 0.0))
    file = scan_file(project, tmp_path, errors, unit_mm=25.4)
    keys = hoopwright.keys("asbent", project, "SB-L", "--scan", file, "--unit", "in", "--keep", *DAY)
    assert keys["over_deg"] == pytest.approx((0.5, -0.4), abs=0.1)
    (record,) = file_of(project)["as_bent"]
    assert (record["source"], record["file"]) == ("scan", "bar.stl")
    alone = hoopwright.keys("asbent", "--scan", file, "--unit", "in")
    assert sorted(alone["angles_deg"]) == pytest.approx(sorted(keys["as_bent"]["angles_deg"]), abs=1e-9)
    table = hoopwright.run("asbent", "--scan", file, "--unit", "in", "--csv").out
    assert table.startswith("straight_mm,rotation_deg,angle_deg\n")


def test_a_scan_without_a_unit_stops(hoopwright, project, tmp_path):
    errors = BendErrors(angles_deg=(0.0, 0.0), rotations_deg=(0.0, 0.0), straights_mm=(0.0, 0.0, 0.0))
    ran = hoopwright.run("asbent", "--scan", scan_file(project, tmp_path, errors), "--json")
    assert ran.status == 1
    assert "ASBENT-040" in ran.out


@pytest.mark.parametrize(
    ("content", "words"),
    [
        ("bend,angle\n1,34\n", "header"),
        ("bend,angle_deg\none,34\n", "line 2"),
        ("bend,angle_deg\n1,thirty\n", "line 2"),
        ("", "header"),
    ],
)
def test_readings_that_cannot_be_read(hoopwright, project, tmp_path, content, words):
    file = tmp_path / "readings.csv"
    file.write_text(content, encoding="utf-8")
    ran = hoopwright.run("asbent", project, "SB-L", "--readings", file, "--json")
    assert ran.status == 1
    assert "TYPED-002" in ran.out
    assert words in ran.out


def test_readings_of_a_file_are_those_typed(hoopwright, project, tmp_path):
    file = tmp_path / "readings.csv"
    file.write_text("bend;angle_deg;rotation_deg\n1;34,5;\n2;49,0;-26,0\n", encoding="utf-8")
    from_file = hoopwright.keys("asbent", project, "SB-L", "--readings", file)
    typed = hoopwright.keys("asbent", project, "SB-L", "--reading", "1 34.5", "--reading", "2 49 -26")
    assert from_file["nodes_mm"] == typed["nodes_mm"]
    assert from_file["as_bent"]["rotations_deg"] == pytest.approx((0.0, -26.0))


@pytest.mark.parametrize(
    ("typed", "key", "tape_mm"),
    [
        ("feet 1252", "feet", 1252.0),
        ('feet 49 1/4"', "feet", 1250.95),
        ("knees: 1317,4 mm", "knees", 1317.4),
        ("diagonal A = 61.5 in", "diagonal A", 1562.1),
    ],
)
def test_tape_as_people_type_it(hoopwright, project, typed, key, tape_mm):
    keys = hoopwright.keys("asbent", project, "MH", "--tape", typed)
    taken = {one["key"]: one["tape_mm"] for one in keys["distances"] if one["tape_mm"] is not None}
    assert taken == pytest.approx({key: tape_mm})
