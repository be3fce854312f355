"""What the tabs ask: places of checks, drivers as lines, typed samples, what bends the bars, what undo takes back."""

import itertools

import numpy as np
import pytest

from hoopwright.bars import check_shape
from hoopwright.cage import Driver, bar_of
from hoopwright.findings import UserError
from hoopwright.jobs.bending_setups import setups_of, sticks_of
from hoopwright.jobs.cage_bars import move_bar_node
from hoopwright.jobs.calibrations import calibrate, fit_typed, keep_samples, kept_calibrations
from hoopwright.jobs.cars import TypedCar, describe_car
from hoopwright.jobs.changes import next_steps
from hoopwright.jobs.check_places import place_of_driver_row, place_of_row
from hoopwright.jobs.checks import check_project
from hoopwright.jobs.driver_lines import driver_lines
from hoopwright.jobs.driver_rows import DriverLimits
from hoopwright.jobs.drivers import check_drivers, keep_driver
from hoopwright.jobs.joints import joints_of
from hoopwright.jobs.learning_chart import springback_svg
from hoopwright.jobs.orders import example_room, order_of_bar_in, typed_room
from hoopwright.jobs.paper_previews import wrap_preview
from hoopwright.jobs.projects import redo, undo
from hoopwright.jobs.room_texts import example_parts, room_text, with_thing
from hoopwright.jobs.rule_books import pin_book
from hoopwright.jobs.shells import open_shell
from hoopwright.jobs.views import DRAWN_MM, view_bars
from hoopwright.store import ProjectFolder

HELMET = (-1330.0, 300.0, 1010.0)
TYPED = {
    "od_mm": "45",
    "wall_mm": "2,5 mm",
    "die": "45",
    "name": "first batch / 45",
    "angle": [
        {"command_deg": "20", "released_deg": "18.6"},
        {"command_deg": "45", "released_deg": "42.9"},
        {"command_deg": "90", "released_deg": "86.5"},
    ],
    "leg": [
        {
            "cut_mm": "90 cm",
            "mark_mm": "300",
            "released_deg": "90",
            "leg_a_mm": "471.5",
            "leg_b_mm": "536,5",
        }
    ],
    "u": [{"outside_mm": "320.0"}],
}
FILE = """
od_mm = 45.0
wall_mm = 2.5
die = "45"
name = "first batch / 45"
[[angle]]
command_deg = 20.0
released_deg = 18.6
[[angle]]
command_deg = 45.0
released_deg = 42.9
[[angle]]
command_deg = 90.0
released_deg = 86.5
[[leg]]
cut_mm = 900.0
mark_mm = 300.0
leg_a_mm = 471.5
leg_b_mm = 536.5
[[u]]
outside_mm = 320.0
"""


@pytest.fixture
def folder(small):
    return ProjectFolder(path=small)


def test_every_row_of_a_bar_has_its_place(folder):
    report, cage = check_project(folder), folder.open().project.cage
    for row in report.rows:
        if row.about not in cage:
            continue
        place = np.array(place_of_row(report, row, cage))
        nodes = np.array(bar_of(cage, row.about).nodes_mm)
        # on the bar: no farther from its straights than a bend cuts off its corner
        assert min(_distance(place, a, b) for a, b in itertools.pairwise(nodes)) < 60.0, row


def test_a_gap_and_an_end_are_shown_where_they_are(folder):
    report, cage = check_project(folder), folder.open().project.cage
    gap = next(row for row in report.rows if row.about == "MH" and row.check == "gap to the shell")
    assert place_of_row(report, gap, cage) == report.gaps["MH"].smallest.axis_mm
    end = next(row for row in report.rows if row.about == "BS-L" and row.check.startswith("end A"))
    assert place_of_row(report, end, cage) == cage.member("BS-L").nodes_mm[0]


def _distance(place, a, b):
    share = np.clip(np.dot(place - a, b - a) / np.dot(b - a, b - a), 0.0, 1.0)
    return float(np.linalg.norm(place - a - share * (b - a)))


def test_a_driver_is_drawn_as_measured():
    driver = Driver(name="Anna", helmet_mm=HELMET, helmet_radius_mm=140.0, eye_mm=(-1250.0, 300.0, 1000.0))
    lines = driver_lines(driver)
    rings = [np.array(line.places_mm) for line in lines if len(line.places_mm) > 2]
    assert len(rings) == 3
    for ring in rings:
        assert np.linalg.norm(ring - HELMET, axis=1) == pytest.approx(140.0)
    assert [line.words for line in lines if line.words] == ["helmet", "eyes"]
    # the words stand at the top of the helmet
    (named,) = [line for line in lines if line.words == "helmet"]
    assert named.places_mm[len(named.places_mm) // 2][2] == pytest.approx(HELMET[2] + 140.0)
    assert driver_lines(Driver(name="Anna")) == ()


def test_a_check_of_the_driver_is_shown_where_it_is(folder):
    guide = (-1500.0, 300.0, 450.0)
    keep_driver(
        folder,
        Driver(
            name="Anna",
            helmet_mm=HELMET,
            helmet_radius_mm=140.0,
            shoulder_mm=(-1300.0, 400.0, 500.0),
            guide_mm=guide,
        ),
    )
    report = check_drivers(folder, DriverLimits())
    (driver,) = folder.open().project.cage.drivers
    places = {row.check: place_of_driver_row(report, driver, row) for row in report.rows}
    assert places["shoulder belt below horizontal"] == guide
    assert places["helmet under a straight edge over the bars"] == HELMET
    assert places["share of the forward view hidden by one bar"] is None  # no eye was measured
    nearest = min(report.measured.rooms["Anna"], key=lambda one: one.room_mm if one.part == "helmet" else 1e9)
    assert places["helmet to bars with padding"] == nearest.place_mm


def test_what_is_emptied_in_the_form_is_not_measured_any_more(folder):
    keep_driver(folder, Driver(name=" Anna ", helmet_mm=HELMET, helmet_radius_mm=140.0))
    kept = keep_driver(folder, Driver(name="Anna", helmet_mm=HELMET))
    (driver,) = folder.open().project.cage.drivers
    assert driver == kept
    assert driver.helmet_radius_mm is None
    with pytest.raises(UserError) as refused:
        keep_driver(folder, Driver(name="Anna", helmet_radius_mm=5.0))
    assert refused.value.findings[0].code == "DRV-001"
    assert folder.open().project.cage.drivers == (driver,)


def test_typed_samples_say_what_the_same_file_says(tmp_path):
    (tmp_path / "samples.toml").write_text(FILE)
    typed, filed = fit_typed(TYPED), calibrate(tmp_path / "samples.toml")
    assert typed.keys == filed.keys
    assert typed.suggestion == filed.suggestion
    # a worked example: legs and U by hand give radius 137.5, offset 11.5, 212.0 mm for 90 degrees
    assert typed.calibration.clr_mm == pytest.approx(137.5, abs=0.1)
    assert typed.calibration.start_offset_mm == pytest.approx(11.5, abs=0.1)
    assert 90.0 * typed.calibration.used_per_deg_mm == pytest.approx(212.0, abs=0.1)


def test_typed_samples_are_kept_as_they_are(folder):
    samples = fit_typed(TYPED).calibration.samples
    keep_samples(folder, samples)
    keep_samples(folder, samples)
    (kept,) = kept_calibrations(folder)
    assert kept.samples == samples
    assert [file.name for file in folder.calibrations.iterdir()] == ["001-first-batch---45.toml"]


def test_a_number_that_cannot_be_read_is_named():
    wrong = {**TYPED, "u": [{"outside_mm": "a lot"}]}
    with pytest.raises(UserError) as refused:
        fit_typed(wrong)
    assert "outside_mm" in refused.value.findings[0].sentence


def test_the_chart_of_samples_needs_angles():
    assert springback_svg(fit_typed(TYPED).calibration.samples).startswith("<svg")
    assert springback_svg(fit_typed({**TYPED, "angle": []}).calibration.samples) is None


def test_what_bends_the_bars(folder):
    (setup,) = setups_of(folder)
    assert setup.bars == ("MH",)  # the others are straight
    assert not setup.calibration.calibrated
    member = folder.open().project.cage.member("MH")
    samples = fit_typed({**TYPED, "die": member.die}).calibration.samples
    keep_samples(folder, samples)
    (setup,) = setups_of(folder)
    assert setup.calibration.clr_mm == pytest.approx(137.5, abs=0.1)
    assert sticks_of(folder) == ()


def test_the_order_in_a_typed_room(folder):
    report = order_of_bar_in(folder, "MH", typed_room(example_room()))
    assert report.task.name == "MH"
    assert report.search.orders
    with pytest.raises(UserError) as refused:
        typed_room("height = ")
    assert refused.value.findings[0].code == "ROOM-003"


def test_a_room_is_typed_in_fields(folder):
    """Fields and things together are the file that was taken apart; what is typed in a field holds."""
    example = example_parts()
    assert typed_room(room_text(example.things, example.values)) == typed_room(example_room())
    assert typed_room(room_text(example_room(), {})) == typed_room(example_room())
    lower = typed_room(room_text(example_room(), {"axis_height_mm": 850.0, "ceiling_mm": 2300.0}))
    by_text = example_room().replace("axis_height_mm = 900 ", "axis_height_mm = 850 ")
    assert lower == typed_room(by_text.replace("ceiling_mm = 2400", "ceiling_mm = 2300"))
    bare = {"axis_height_mm": 900.0, "clamp_mm": 120.0, "swings": "both", "tilt_deg": [0.0, 90.0]}
    empty = typed_room(room_text("", bare))
    assert len(empty.set_ups) == 4
    assert empty.solids == ()
    posts = with_thing(with_thing("", "post"), "operator")
    furnished = typed_room(room_text(posts, bare))
    assert [one.name for one in furnished.solids] == ["steel post", "operator's place"]
    with pytest.raises(UserError) as refused:
        typed_room(room_text(posts, {"clamp_mm": 120.0, "swings": "both"}))
    assert "axis_height_mm" in refused.value.findings[0].sentence


def test_a_wrap_is_previewed_as_it_is_printed(folder):
    report = joints_of(folder)
    pages = wrap_preview(report.cuts.ends[0].wrap, project="car")
    assert len(pages) == 1
    assert 'width="210mm" height="297mm"' in pages[0]


def test_words_of_a_project_cannot_become_code_in_a_preview(folder):
    (page,) = wrap_preview(joints_of(folder).cuts.ends[0].wrap, project="<img src=x onerror=alert(1)>")
    assert "<img" not in page
    assert "&lt;img" in page


def test_undo_and_redo_say_what_they_do(folder):
    move_bar_node(folder, "BS-L", 2, (-1600.0, 540.0, 210.0))
    back, again = next_steps(folder)
    assert back == "BS-L moved"
    assert again == ""
    undo(folder)
    assert next_steps(folder)[1] == "BS-L moved"
    redo(folder)
    assert next_steps(folder) == (back, "")


def test_undo_says_that_it_takes_the_car_or_the_book_back(folder):
    """Else it reads as if there were nothing to take back."""
    describe_car(folder, TypedCar(words="blue coupe"))
    assert next_steps(folder)[0] == "car's papers changed"
    pin_book(folder, "ara-rally-2026")
    assert next_steps(folder)[0] == "book ara-rally-2026 chosen"
    assert check_shape(bar_of(folder.open().project.cage, "BS-L")) == ()


def test_the_list_of_bars_tells_the_gap_that_a_check_tells(small):
    """Backstays land on the hoop and are nearest to the shell where their gap begins to count."""
    folder = ProjectFolder(path=small)
    project = folder.open().project
    views = view_bars(project.cage, open_shell(folder, project))
    checked = check_project(folder).gaps
    assert {view.bar_id for view in views} == set(checked) == {"MH", "BS-L", "BS-R", "HB"}
    for view in views:
        assert view.nearest == checked[view.bar_id].smallest
        # what is drawn of it shows that place too
        steps_mm = np.linalg.norm(np.diff(view.path_mm, axis=0), axis=1)
        assert steps_mm.max() <= DRAWN_MM + 1e-9
        assert view.gap_mm[view.judged].min() == pytest.approx(view.nearest.gap_mm, abs=0.3)
