import io
import itertools
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.bars import Bar
from hoopwright.bender import Machine, b_to_a, make_bar_sheet, middle_outward
from hoopwright.bender.calibration import Calibration, Springback
from hoopwright.bender.step_poses import SHOWN_TAIL_MM, step_poses
from hoopwright.papers.bar_page import bar_pages
from hoopwright.papers.bar_text import bar_text
from hoopwright.papers.bend_cards import bend_cards, card_groups
from hoopwright.papers.bend_pose import OperatorEye, bend_pose, crossed
from hoopwright.papers.drawing import A4, LETTER, Box, Circle, Polyline, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.overview import overlap
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.tubes import TubeSize
from hoopwright.units import format_inches

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
CALIBRATION = Calibration(
    name="test", die="45", batch="", date="", tube=TUBE, clr_mm=137.5, clr_sd_mm=0.3, used_per_deg_mm=2.3556,
    used_per_deg_sd_mm=0.004, start_offset_mm=11.5, start_offset_sd_mm=0.4,
    springback=Springback(
        constant_deg=0.777, per_command_deg=0.0301, covariance=((0.01, 0.0), (0.0, 1e-5)), scatter_sd_deg=0.25
    ),
)  # fmt: skip
SIDE = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))
SEVEN = (
    (0, 0, 0), (400, 0, 0), (760, 250, 60), (1150, 280, 330), (1500, 20, 420),
    (1900, -60, 700), (2300, 150, 780), (2600, 500, 640), (3050, 520, 500),
)  # fmt: skip
BOX = Box(left_mm=0.0, top_mm=0.0, width_mm=95.0, height_mm=90.0)


def sheet_of(nodes, order=None, swings="clockwise"):
    bar = Bar(name="x", nodes_mm=tuple(tuple(map(float, n)) for n in nodes), clr_mm=137.5, tube=TUBE)
    return make_bar_sheet(
        bar, CALIBRATION, bar_id="SB-R", title="side bar", side="R", order=order,
        trim_a_mm=30.0, trim_b_mm=20.0, date="2026-03-01", machine=Machine(name="m", swings=swings, clamp_mm=0.0),
    )  # fmt: skip


def pages_of(sheet, car, **options):
    return bar_pages(sheet, car, project="p", poses=step_poses(sheet), **options)


def words_of(pages):
    reader = PdfReader(io.BytesIO(pdf_bytes(pages, title="t", date="2026-03-01")))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
@pytest.mark.parametrize("unit", ["mm", "in"])
@pytest.mark.parametrize("swings", ["clockwise", "anticlockwise"])
@pytest.mark.parametrize(("nodes", "order"), [(SIDE, None), (SIDE, b_to_a(2)), (SEVEN, middle_outward(7))])
def test_words_on_cards_stay_on_the_paper_and_off_each_other(nodes, order, swings, car, paper, unit):
    sheet = sheet_of(nodes, order, swings)
    pages = pages_of(sheet, car, paper=paper, unit=unit)
    planned = len(bar_pages(sheet, car, project="p", paper=paper, unit=unit))
    assert len(pages) == planned + -(-len(sheet.steps) // 3)
    for page in pages[planned:]:
        boxes = [(text.text, text_box(text)) for text in texts(page.items)]
        for words, box in boxes:
            assert box.left_mm > 3.0, words
            assert box.right_mm < paper.width_mm - 5.0, words
            assert box.top_mm > 3.0, words
            assert box.bottom_mm < paper.height_mm - 4.0, words
        for (first, a), (second, b) in itertools.combinations(boxes, 2):
            assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)


def test_every_card_says_its_readings_its_band_and_its_slip_number(car):
    sheet = sheet_of(SEVEN, middle_outward(7))
    words, text = words_of(pages_of(sheet, car)[3:]), " ".join(bar_text(sheet, project="p").split())
    cards = words_of(pages_of(sheet, car)[1:])
    assert len(words) < len(cards)
    for step in sheet.steps:
        low, high = (
            step.command_deg - 1.96 * step.command_sd_deg,
            step.command_deg + 1.96 * step.command_sd_deg,
        )
        assert f"95 % band of that reading: {low:.1f}° to {high:.1f}°" in cards
        slip = f"slip check {step.slip.drawn_mm:.1f} mm ({format_inches(step.slip.drawn_mm)})"
        for said in (cards, text):
            assert slip in said
            for reading in step.readings:
                assert (
                    f"protractor on bend {reading.bend} " in said
                    or f"protractor on bend {reading.bend}:" in said
                )
                assert f"{abs(reading.rotation_deg):.1f}°" in said or reading.rotation_deg == 0.0
        assert [r.bend for r in step.readings][-1:] == (
            [] if step.step == 1 else [sheet.steps[step.step - 2].bend]
        )


def test_no_cards_without_poses_and_none_for_a_straight_bar(car):
    straight = sheet_of(((0, 0, 0), (900, 0, 0)))
    assert step_poses(straight) == ()
    assert len(pages_of(straight, car)) == 1


def test_the_pose_keeps_the_length_of_the_tube_and_swings_to_the_machines_side():
    """Closed form: the pulled side is as long as the arc and the leading side; the swing is to the right, y < 0."""
    for swings, side in (("clockwise", -1.0), ("anticlockwise", 1.0)):
        for pose in step_poses(sheet_of(SIDE, swings=swings)):
            lead, swung = (
                np.linalg.norm(np.diff(p, axis=0), axis=1).sum() for p in (pose.lead_mm, pose.swung_mm)
            )
            assert swung - lead == pytest.approx(137.5 * np.radians(pose.step.target_deg), rel=1e-3)
            assert side * (pose.swung_mm[-1] - pose.lead_mm[-1])[1] > 50.0
            assert np.ptp(np.linalg.norm(pose.sweep_mm[:, :2], axis=1)) < 1e-6
            if pose.is_tail_cut:
                assert pose.tail_mm[-1][0] == pytest.approx(-SHOWN_TAIL_MM)


@pytest.mark.parametrize("swings", ["clockwise", "anticlockwise"])
def test_from_the_tail_the_pulled_side_is_drawn_on_the_side_to_which_it_swings(swings):
    pose = step_poses(sheet_of(SIDE, swings=swings))[0]
    dashed = next(
        one for one in bend_pose(pose, OperatorEye(), BOX) if isinstance(one, Polyline) and one.dash_mm
    )
    start, end = dashed.points_mm[0], dashed.points_mm[-1]
    assert (end[0] > start[0]) == (swings == "clockwise")
    assert end[1] < start[1], "ahead is up the page"


@pytest.mark.parametrize("looking", [(0.0, 0.0, -1.0), (1.0, 0.0, 0.0), (-0.3, -0.9, -0.4), (0.5, 0.8, -0.3)])
def test_any_place_of_the_operator_gives_a_picture_within_its_box(looking):
    for pose in step_poses(sheet_of(SEVEN, middle_outward(7))):
        for item in bend_pose(pose, OperatorEye(looking=looking, words="from the bench"), BOX):
            points = (
                item.points_mm if hasattr(item, "points_mm") else [getattr(item, "centre_mm", (1.0, 1.0))]
            )
            grown = item.radius_mm if isinstance(item, Circle) else 0.0
            for right, down in points:
                assert right - grown >= -0.01
                assert right + grown <= BOX.width_mm + 0.01
                assert down - grown >= -0.01
                assert down + grown <= BOX.height_mm + 0.01


def test_same_sheet_same_bytes_and_the_eye_is_named(car):
    sheet = sheet_of(SIDE)
    eye = OperatorEye(looking=(-0.3, -0.9, -0.4), words="seen from the bench, eyes at 1.6 m")
    one, two = (pdf_bytes(pages_of(sheet, car, eye=eye), title="t", date="2026-03-01") for _ in range(2))
    assert one == two
    assert "seen from the bench, eyes at 1.6 m" in words_of(pages_of(sheet, car, eye=eye))
    assert "seen from behind the tail" in words_of(pages_of(sheet, car))


@pytest.mark.parametrize(
    ("count", "sizes"), [(0, []), (1, [1]), (3, [3]), (4, [2, 2]), (7, [2, 2, 3]), (8, [2, 3, 3])]
)
def test_cards_are_shared_out_evenly_in_their_order(count, sizes):
    groups = card_groups(list(range(count)))
    assert [len(group) for group in groups] == sizes
    assert [one for group in groups for one in group] == list(range(count))


@pytest.mark.parametrize("swings", ["clockwise", "anticlockwise"])
def test_the_clock_is_put_where_no_line_runs(swings):
    for pose in step_poses(sheet_of(SEVEN, middle_outward(7), swings)):
        drawn = bend_pose(pose, OperatorEye(), BOX)
        items = bend_cards(
            [pose], OperatorEye(), Box(left_mm=0.0, top_mm=0.0, width_mm=189.0, height_mm=90.0), "mm"
        )
        if pose.step.leg_clock is None:
            continue
        face = next(one for one in items if isinstance(one, Circle) and one.radius_mm == 6.0)
        right, down = face.centre_mm
        over = Box(left_mm=right - 6.0, top_mm=down - 6.0, width_mm=12.0, height_mm=12.0)
        assert crossed(drawn, over) == 0, pose.step.step


def test_without_a_springback_line_no_angle_is_made_up(car):
    sheet = sheet_of(SIDE)
    blind = replace(
        sheet, steps=tuple(replace(s, command_deg=None, command_sd_deg=None) for s in sheet.steps)
    )
    words = words_of(pages_of(blind, car)[1:])
    assert "gauge reads ? under load" in words
    assert "no springback known yet" in words
