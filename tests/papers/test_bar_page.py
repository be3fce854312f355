import io
import itertools
from dataclasses import replace

import pytest
from pypdf import PdfReader

from hoopwright.findings import Finding
from hoopwright.papers.bar_page import bar_pages
from hoopwright.papers.bar_text import bar_text
from hoopwright.papers.car_lines import CarLines
from hoopwright.papers.drawing import A4, LETTER, Polyline, texts
from hoopwright.papers.lettering import text_box
from hoopwright.papers.overview import overlap
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.papers.words import clock_words, signed_angle
from hoopwright.units import format_inches

PROJECT = "blue coupe"
FORBIDDEN = ("safe", "legal", "approved")


def pages_of(sheet, car, **options):
    return bar_pages(sheet, car, project=PROJECT, **options)


def pdf_words(pages):
    reader = PdfReader(io.BytesIO(pdf_bytes(pages, title="t", date="2026-03-01")))
    return " ".join(" ".join(page.extract_text() for page in reader.pages).split())


def many_notes(count):
    sentence = (
        "The straight before this bend is only just as long as the clamp of the machine needs it to be."
    )
    return tuple(
        Finding(code=f"BEND-{100 + k}", sentence=sentence, todo="Hold it with care.") for k in range(count)
    )


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
@pytest.mark.parametrize("unit", ["mm", "in"])
def test_words_are_on_the_page_and_never_on_each_other(sheet, car, paper, unit):
    for page in pages_of(sheet, car, paper=paper, unit=unit):
        boxes = [(text.text, text_box(text)) for text in texts(page.items)]
        for words, box in boxes:
            assert box.left_mm > 3.0, words
            assert box.right_mm < paper.width_mm - 5.0, words
            assert box.top_mm > 3.0, words
            assert box.bottom_mm < paper.height_mm - 4.0, words
        for (first, a), (second, b) in itertools.combinations(boxes, 2):
            assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)


@pytest.mark.parametrize("unit", ["mm", "in"])
def test_every_number_of_the_sheet_can_be_read_back(sheet, car, unit):
    words = pdf_words(pages_of(sheet, car, unit=unit))
    lengths = [sheet.blank_mm, sheet.trim_a_mm, sheet.trim_b_mm, *(check.value_mm for check in sheet.checks)]
    for step in sheet.steps:
        lengths += [step.mark_mm, step.straight_after_mm]
        alone = step.mark_from_b_mm, step.start_mm
        for length in alone:
            assert (f"{length:.1f}" if unit == "mm" else format_inches(length)) in words
        for angle in (
            f"{step.command_deg:.1f}°",
            f"{step.target_deg:.2f}°",
            f"± {step.command_sd_deg:.1f}°",
        ):
            assert angle in words
        if step.turn_tube_deg:
            assert f"{abs(step.turn_tube_deg):.1f}°" in words
            assert signed_angle(step.rotation_step_deg) in words
            assert signed_angle(step.rotation_total_deg) in words
            assert clock_words(step.leg_clock) in words
    for length in lengths:
        assert f"{length:.1f}" in words
        assert format_inches(length) in words
    for known in (sheet.bar_id, sheet.title, sheet.date):
        assert known in words
    for known in (sheet.die, sheet.batch, sheet.calibration_name):
        assert (known in words) == bool(sheet.steps), "a straight bar hangs on no calibration"
    assert sheet.identity in words
    assert f"revision {sheet.revision}" in words


def test_the_hoop_sheet_says_what_was_worked_out_by_hand(hoop, car):
    words = pdf_words(pages_of(hoop, car))
    for number in ("3212.0 mm", "616.3", "1018.9", "1996.3", "2528.1", "627.8", "1030.4", "2007.8", "2539.6"):
        assert number in words
    for angle in ("18.96°", "73.81°", "1265.0 mm", "1323.1 mm", "1107.5 mm"):
        assert angle in words


def test_the_right_side_bar_warns_of_the_wrong_turn(sheets, car):
    words = pdf_words(pages_of(sheets["side bar"](), car))
    assert 'Turned the wrong way, end B lands 471 mm (18 9/16") off.' in words
    assert "27.0°" in words
    assert "clockwise" in words.replace("anticlockwise", "")


def test_a_left_turn_is_named_and_drawn_the_other_way(sheets, car):
    right = sheets["side bar"]()
    left = sheets["side bar"](steps=tuple(_turned(step) for step in right.steps))
    assert "anticlockwise" in pdf_words(pages_of(left, car))
    assert "anticlockwise" not in pdf_words(pages_of(right, car))
    assert pages_of(left, car)[0].items != pages_of(right, car)[0].items


def _turned(step):
    return replace(step, turn_tube_deg=None if step.turn_tube_deg is None else -step.turn_tube_deg)


def test_the_turn_end_for_end_stands_before_its_bend(sheets, car):
    words = [text.text for text in texts(pages_of(sheets["seven bends"](), car)[0].items)]
    at = words.index("TURN THE TUBE END FOR END: end B goes through the die first")
    assert words.index("4.") < at < words.index("5.")


def test_an_uncalibrated_sheet_is_stamped_and_a_second_issue_names_the_first(sheets, car):
    first, second = (pdf_words(pages_of(sheets[name](), car)) for name in ("hoop", "second issue"))
    assert "NOT CALIBRATED" in second
    assert "replaces revision 1, now old" in second
    assert "BEND-021" in second
    assert "NOT CALIBRATED" not in first
    assert "now old" not in first


def test_up_to_seven_bends_are_one_page_and_more_go_on(sheets, car):
    seven = sheets["seven bends"]()
    for paper, unit in itertools.product((A4, LETTER), ("mm", "in")):
        assert len(pages_of(seven, car, paper=paper, unit=unit)) == 1
    eight = sheets["seven bends"](steps=(*seven.steps, _eighth(seven.steps[-1])))
    pages = pages_of(eight, car)
    assert len(pages) == 2
    assert "8." in [text.text for text in texts(pages[1].items)]
    assert "The bending goes on after step 7: see the next page." in pdf_words(pages[:1])


def _eighth(step):
    return replace(step, step=8, bend=8)


@pytest.mark.parametrize("count", [1, 4, 12, 70])
def test_no_note_is_lost(sheets, car, count):
    sheet = sheets["hoop"](findings=many_notes(count))
    pages = pages_of(sheet, car)
    words = pdf_words(pages)
    for finding in sheet.findings:
        assert finding.code in words
    if len(pages) > 1:
        assert f"{count} notes" in pdf_words(pages[:1])


def test_bar_and_side_are_25_mm_high(sheets, car):
    words = {
        text.text: text for text in texts(pages_of(sheets["side bar"](), car)[0].items) if text.height_mm > 20
    }
    assert {words["SB-R"].height_mm, words["R"].height_mm} == {25.0}


def test_marks_and_angles_are_large(hoop, car):
    heights = {
        text.text: text.height_mm for text in texts(pages_of(hoop, car)[0].items) if text.height_mm > 5
    }
    assert heights["616.3"] >= 7.0
    assert heights["76.9°"] >= 7.0


def test_nothing_is_too_small_or_too_fine_to_copy(sheet, car):
    for page in pages_of(sheet, car, paper=LETTER, unit="in"):
        assert min(text.height_mm for text in texts(page.items)) >= 1.7
        assert min(item.width_mm for item in page.items if isinstance(item, Polyline)) >= 0.25


def test_no_sheet_promises_anything(sheet, car):
    for words in (pdf_words(pages_of(sheet, car)), bar_text(sheet, project=PROJECT)):
        assert not [word for word in FORBIDDEN if word in words.lower()]
        assert "scrutineer" in words


def test_a_missing_springback_line_is_said(sheets, car):
    hoop = sheets["hoop"]()
    bare = sheets["hoop"](steps=tuple(replace(s, command_deg=None, command_sd_deg=None) for s in hoop.steps))
    assert "no springback yet" in pdf_words(pages_of(bare, car))


def test_odd_names_do_not_break_the_page(sheets, car):
    sheet = replace(
        sheets["hoop"](), bar_id="DOOR-BAR-UPPER-LEFT-2", title="long " * 30, batch="плавка 7", side="L"
    )
    page = pages_of(sheet, car)[0]
    assert all(text_box(text).right_mm < A4.width_mm - 5.0 for text in texts(page.items))
    assert "DOOR-BAR-UPPER-LEFT-2" in pdf_words([page])


def test_the_terminal_text_carries_the_same_numbers(sheet):
    words = bar_text(sheet, project=PROJECT)
    for step in sheet.steps:
        for length in (step.mark_mm, step.mark_from_b_mm, step.start_mm, step.straight_after_mm):
            assert f"{length:.1f} mm ({format_inches(length)})" in words
        assert f"bend to {step.command_deg:.1f}°" in words
    assert f"hoopwright:{PROJECT}/{sheet.bar_id}/{sheet.identity}" in words
    assert f"cut {sheet.blank_mm:.1f} mm" in words


@pytest.mark.parametrize("paper", [A4, LETTER], ids=["A4", "letter"])
def test_the_fullest_sheet_still_has_its_pictures(sheets, car, paper):
    seven = replace(sheets["seven bends"](), calibrated=False, findings=many_notes(3), revision=12)
    page = pages_of(seven, car, paper=paper, unit="in")[0]
    boxes = [(text.text, text_box(text)) for text in texts(page.items)]
    for (first, a), (second, b) in itertools.combinations(boxes, 2):
        assert not overlap(a.inset(0.05), b.inset(0.05)), (first, second)


def test_a_car_without_lines_still_gives_a_sheet(hoop):
    pages = pages_of(hoop, CarLines(shell=(), bars=()))
    assert "3212.0 mm" in pdf_words(pages)


def test_the_bar_is_bold_among_the_others_and_the_shell_is_dashed(hoop, car):
    drawn = [item for item in pages_of(hoop, car)[0].items if isinstance(item, Polyline)]
    bold = max(item.width_mm for item in drawn if len(item.points_mm) > 10 and item.round_ends)
    thin = [item.width_mm for item in drawn if item.round_ends and item.width_mm < bold]
    assert len(thin) == len(car.bars) - 1
    assert bold > 3 * max(thin)
    assert sum(bool(item.dash_mm) and item.width_mm == 0.25 for item in drawn) == len(car.shell)
