"""Quotes and comparisons of a project with a scan: gaps and verdicts are those of `check`, bent bars count as bent."""

import shutil
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.jobs.checks import check_project
from hoopwright.jobs.layout_figures import Sawing
from hoopwright.jobs.layouts_compared import compare_layouts, layout_named
from hoopwright.jobs.quantities import quantities_of
from hoopwright.store import ProjectFolder

DAY = "2026-03-14"
SHOULDERS = ("--tape", "feet 1252", "--tape", "knees 1317.4")


@pytest.fixture(autouse=True)
def nobodys_rates(monkeypatch, tmp_path):
    monkeypatch.setenv("HOOPWRIGHT_RATES", str(tmp_path / "none.toml"))


def compared(first, second, **options):
    return compare_layouts(layout_named(str(first)), layout_named(str(second)), date=DAY, **options)


def rows_of(made):
    return {row.what: (row.first, row.second) for row in made.rows}


def codes(made):
    return {finding.code for finding in made.findings}


def test_gaps_and_verdicts_are_those_of_the_checks(hoopwright, project):
    before = check_project(ProjectFolder(path=project))
    step = ProjectFolder(path=project).open().step
    hoopwright.keys("bar", "move", project, "SB-L", "3", "-880,540,1060")
    after = check_project(ProjectFolder(path=project))
    made = compared(f"{project}@{step}", project)
    rows = rows_of(made)
    for report, place in ((before, 0), (after, 1)):
        smallest = min(gaps.smallest.gap_mm for gaps in report.gaps.values())
        assert rows["smallest gap to the shell"][place] == pytest.approx(smallest)
        pooled = np.concatenate([gaps.gap_mm[gaps.judged] for gaps in report.gaps.values()])
        assert rows["mean gap to the shell"][place] == pytest.approx(pooled.mean())
        verdicts = [row.verdict.value for row in report.rows]
        assert rows["checks that pass"][place] == verdicts.count("pass")
        assert rows["checks that fail"][place] == verdicts.count("fail")
    assert rows["smallest gap to the shell"][0] != rows["smallest gap to the shell"][1]
    assert [(one.bar_id, one.kind) for one in made.changes] == [("SB-L", "changed"), ("SB-R", "changed")]
    assert all("node 3 moved 25" in words for one in made.changes for words in one.words)
    assert made.same == 1


def test_a_bent_bar_counts_as_it_was_bent(hoopwright, project):
    drawn = quantities_of(ProjectFolder(path=project))
    hoopwright.keys("asbent", project, "MH", *SHOULDERS, "--keep", "--date", DAY)
    bent = quantities_of(ProjectFolder(path=project))
    was, now = ({one.bar_id: one for one in found.mass.members} for found in (drawn, bent))
    assert (was["MH"].is_bent, now["MH"].is_bent) == (False, True)
    assert (now["SB-R"].mass, now["SB-R"].is_bent) == (was["SB-R"].mass, False)
    assert now["MH"].mass.centre_mm[2] != pytest.approx(was["MH"].mass.centre_mm[2], abs=0.1)
    assert drawn.identity != bent.identity


def test_tube_is_kept_apart_by_its_steel(project):
    folder = ProjectFolder(path=project)
    opened = folder.open()
    cage = opened.project.cage
    members = tuple(
        replace(member, steel="E355 drawn") if member.member_id == "SB-L" else member
        for member in cage.members
    )
    folder.save(opened, replace(opened.project, cage=replace(cage, members=members)))
    found = quantities_of(folder)
    # the bar that mirrors it is of the same steel; the hoop's was not said
    assert {(one.steel, one.bar_ids) for one in found.tubes} == {
        ("", ("MH",)),
        ("E355 drawn", ("SB-L", "SB-R")),
    }


def test_without_rates_neither_cost_nor_hours(project):
    rows = rows_of(compared(project, project))
    assert rows["cost of what is priced"] == (None, None)
    assert rows["hours that are known"] == (None, None)


def test_a_piece_longer_than_a_stick_leaves_the_count_out(project):
    made = compared(project, project, sawing=Sawing(stick_mm=2000.0))
    assert rows_of(made)["sticks to buy"] == (None, None)
    (told,) = [one for one in made.findings if one.code == "CUTS-004"][:1]
    assert told.objects == ("MH",)


def test_layouts_in_other_scans_are_told(hoopwright, project, bodies, tmp_path):
    from tests.jobs.conftest import write_stl

    other = tmp_path / "other"
    hoopwright.keys("new", other)
    write_stl(tmp_path / "other.stl", bodies.section_soup() * 1.001)
    hoopwright.keys("scan", other, tmp_path / "other.stl", "--unit", "mm", "--as-given")
    (tmp_path / "straight.csv").write_text("forward,left,up\n-900,600,300\n-900,-600,300\n", encoding="utf-8")
    hoopwright.keys("bar", "add", other, "DA", "--role", "dash bar", "--nodes", tmp_path / "straight.csv")
    made = compared(project, other)
    assert "CMP-003" in codes(made)
    assert {one.kind for one in made.changes} == {"added", "taken out"}


def test_a_scan_that_is_gone_leaves_gaps_out_and_all_else_there(project):
    shutil.rmtree(project / "scans")
    made = compared(project, project)
    rows = rows_of(made)
    assert rows["checks that pass"] == (None, None)
    assert rows["smallest gap to the shell"] == (None, None)
    assert rows["mass of all"][0] > 10.0
    assert "CMP-002" in codes(made)


def test_a_cost_without_the_same_lines_is_told(hoopwright, project, tmp_path):
    (tmp_path / "rates.toml").write_text(
        'currency = "crowns"\n[[tube]]\nod = 45\nwall = 2.5\nper_metre = 10\n', encoding="utf-8"
    )
    step = ProjectFolder(path=project).open().step
    (tmp_path / "x.csv").write_text("forward,left,up\n-900,600,300\n-900,-600,300\n", encoding="utf-8")
    hoopwright.keys(
        "bar", "add", project, "XB", "--role", "dash bar", "--nodes", tmp_path / "x.csv", "--tube", "38 x 2.5"
    )
    made = compared(f"{project}@{step}", project, given=tmp_path / "rates.toml")
    assert "CMP-004" in codes(made)
    assert rows_of(made)["lines not priced"][1] == rows_of(made)["lines not priced"][0] + 1


def test_nothing_of_a_project_changes(hoopwright, project, state, tmp_path):
    before = state(project)
    hoopwright.keys("quote", project, "--pdf", tmp_path / "q.pdf", "--date", DAY)
    hoopwright.keys("compare", project, project, "--pdf", tmp_path / "c.pdf", "--date", DAY)
    assert state(project) == before
