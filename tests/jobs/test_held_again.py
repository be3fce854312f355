"""A cage held to its book again after an answer: nothing is measured anew, and the rows are those of a full check."""

import shutil
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

import hoopwright.jobs.rule_facts.taken as taken_facts
from hoopwright.cage import Landing, put_landing
from hoopwright.findings import Verdict
from hoopwright.jobs.bar_values import mark_leg
from hoopwright.jobs.hand_measures import TypedMeasure, keep_measures
from hoopwright.jobs.rule_answers import answer_rule, confirm_rule
from hoopwright.jobs.rule_books import books_folder, pin_book
from hoopwright.jobs.rule_views import held_or_stop
from hoopwright.store import ProjectFolder

BOOK = """\
[book]
id = "my-club"
body = "My club"
edition = "2026"
unit = "mm"
provenance = "read"

[[rule]]
id = "wall"
kind = "tube size"
applies = "main hoop"
sizes = "45 x 2.5"

[[rule]]
id = "backstays"
kind = "angle"
of = "vertical"
applies = "backstay"
least = 30

[[rule]]
id = "leg-plate"
kind = "plate"
applies = "main hoop"
area_least = "60 cm2"
provenance = "not verified"

[[rule]]
id = "leg-bends"
kind = "bends"
applies = "main hoop"
part = "leg"
most = 1

[[rule]]
id = "asked"
kind = "question"
question = "Are all welds finished all round?"
"""
NODES = {
    "MH": ("main hoop", "-900,610,0 -900,640,620 -900,505,1085 -900,-505,1085 -900,-640,620 -900,-610,0"),
    "BS-L": ("backstay", "-900,505,1085 -1600,560,200"),
}


@pytest.fixture(scope="module")
def car_kept(hoopwright, bodies, tmp_path_factory):
    """A hoop and backstays in a shell of known section, a plate under each leg of the hoop."""
    folder = tmp_path_factory.mktemp("held")
    triangles = bodies.section_soup()
    rows = np.zeros(len(triangles), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("more", "<u2")])
    rows["corners"] = triangles
    (folder / "shell.stl").write_bytes(b"shell".ljust(80) + np.uint32(len(rows)).tobytes() + rows.tobytes())
    project = folder / "car"
    hoopwright.keys("new", project)
    hoopwright.keys("scan", project, folder / "shell.stl", "--unit", "mm", "--as-given")
    for name, (role, nodes) in NODES.items():
        (folder / "nodes.csv").write_text("\n".join(["forward,left,up", *nodes.split(), ""]))
        lands = ["--end-a", "shell", "--end-b", "shell"] if name == "MH" else ["--end-a", "MH"]
        hoopwright.keys("bar", "add", project, name, "--role", role, "--nodes", folder / "nodes.csv", *lands)
    car = ProjectFolder(path=project)
    opened = car.open()
    cage = put_landing(opened.project.cage, Landing(bar_id="MH", end="A", length_mm=120.0, width_mm=100.0))
    car.save(opened, replace(opened.project, cage=cage))
    books_folder(car).mkdir()
    (books_folder(car) / "my-club.toml").write_text(BOOK)
    pin_book(car, "my-club")
    return project


@pytest.fixture
def car(car_kept, tmp_path):
    return ProjectFolder(path=Path(shutil.copytree(car_kept, tmp_path / "car")))


@pytest.fixture
def measured(monkeypatch):
    """How often facts were taken anew."""
    times = []
    real = taken_facts.facts_of
    monkeypatch.setattr(taken_facts, "facts_of", lambda *args, **more: times.append(1) or real(*args, **more))
    return times


def verdicts(report):
    return {(row.rule_id, row.about): row.verdict for row in report.rows}


def same(report, other):
    return (report.rows, report.findings, report.confirmed) == (other.rows, other.findings, other.confirmed)


def test_an_answer_measures_nothing_anew_and_ends_as_a_full_check(car, measured):
    first = held_or_stop(car)
    assert verdicts(first)["asked", ""] is Verdict.NOT_CHECKED
    answer_rule(car, "asked", "fail", "one weld is open", by="Anna", date="2026-01-01")
    again = held_or_stop(car, before=first)
    assert len(measured) == 1
    assert verdicts(again)["asked", ""] is Verdict.FAIL
    assert same(again, held_or_stop(car))
    assert not same(again, first)
    answer_rule(car, "asked", "not checked", "", by="", date="2026-01-02")
    assert same(held_or_stop(car, before=again), first)


def test_a_confirmed_rule_that_asks_for_plates_has_them_fitted(car, measured):
    first = held_or_stop(car)
    confirm_rule(car, "leg-plate")
    again = held_or_stop(car, before=first)
    assert len(measured) == 2
    assert same(again, held_or_stop(car))
    assert ("leg-plate", "MH foot A") in verdicts(again)


@pytest.mark.parametrize("what", ["a bar", "a number by hand", "a calibration"])
def test_what_facts_hang_on_has_them_taken_anew(car, measured, what):
    first = held_or_stop(car)
    opened = car.open()
    if what == "a bar":
        cage = opened.project.cage
        moved = replace(cage.member("BS-L"), nodes_mm=((-900.0, 505.0, 1085.0), (-1200.0, 560.0, 200.0)))
        members = tuple(moved if one.member_id == "BS-L" else one for one in cage.members)
        car.save(opened, replace(opened.project, cage=replace(cage, members=members)))
    elif what == "a number by hand":
        keep_measures(car, "MH", [TypedMeasure(name="wall", text="2.1")], date="2026-01-01")
    else:
        die = opened.project.cage.member("MH").die
        samples = f'od_mm = 45.0\nwall_mm = 2.5\ndie = "{die}"\n[[plain]]\nclr_mm = 150.0\n'
        (car.calibrations / "001-samples.toml").write_text(samples)
    again = held_or_stop(car, before=first)
    assert len(measured) == 2
    assert same(again, held_or_stop(car))
    if what == "a bar":
        assert verdicts(again)["backstays", "BS-L"] is Verdict.FAIL
        assert verdicts(first)["backstays", "BS-L"] is Verdict.PASS


@pytest.mark.parametrize(
    "marks",
    [
        [(700.0, "A")],
        [(700.0, "A"), (1300.0, "A")],
        [(700.0, "A"), (700.0, "B")],
        [(1300.0, "B"), (None, None)],
        [(700.0, "A"), (700.0, "A")],
    ],
)
def test_a_leg_that_is_marked_measures_nothing_anew_and_ends_as_a_full_check(car, measured, marks):
    report = held_or_stop(car)
    for leg_mm, leg_from in marks:
        before = report
        mark_leg(car, "MH", leg_mm, leg_from)
        report = held_or_stop(car, before=before)
        assert len(measured) == 1
    full = held_or_stop(car)
    assert len(measured) == 2
    assert same(report, full)
    assert report.known.facts == full.known.facts
    assert report.known.made_of == full.known.made_of


def test_how_a_leg_is_marked_decides_its_rule(car, measured):
    ends = {}
    report = held_or_stop(car)
    for leg_mm in (None, 300.0, 1400.0):
        mark_leg(car, "MH", leg_mm)
        report = held_or_stop(car, before=report)
        ends[leg_mm] = verdicts(report)["leg-bends", "MH"]
    assert ends == {None: Verdict.NOT_CHECKED, 300.0: Verdict.PASS, 1400.0: Verdict.FAIL}
    assert len(measured) == 1


def test_a_leg_and_a_bar_changed_together_have_all_taken_anew(car, measured):
    first = held_or_stop(car)
    mark_leg(car, "MH", 700.0)
    keep_measures(car, "MH", [TypedMeasure(name="wall", text="2.1")], date="2026-01-01")
    again = held_or_stop(car, before=first)
    assert len(measured) == 2
    assert same(again, held_or_stop(car))
