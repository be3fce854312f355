"""The floor drawing, put together again from the PDF's pages and measured like a bar."""

import io
import re

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.bars import Bar, as_nodes
from hoopwright.findings import UserError
from hoopwright.geometry import rotation_about
from hoopwright.papers import A4, LETTER, FloorMark, floor_pages, pdf_bytes
from hoopwright.papers.floor_plan import floor_plan
from hoopwright.tubes import TubeSize

DATE = "2026-03-01"
TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
HOOP = ((0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0))
SIDE = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150))


def bar(nodes=HOOP, name="MH"):
    return Bar(name=name, nodes_mm=as_nodes(np.array(nodes, float)), clr_mm=137.5, tube=TUBE)


def printed(one, size=A4, **how):
    return pdf_bytes(floor_pages(one, size, project="p", date=DATE, **how), title="floor", date=DATE)


def joined(pdf, pdf_paths):
    """All skin lines of the pages, laid cross on cross; right and up in mm."""
    reader = PdfReader(io.BytesIO(pdf))
    skin = []
    for number in range(1, len(reader.pages)):
        paths = pdf_paths(pdf, number)
        right, down = map(
            float, re.search(r"([\d.]+)\|([\d.]+)", reader.pages[number].extract_text()).groups()
        )
        ring = next(one.points for one in paths if one.curved and abs(np.ptp(one.points[:, 0]) - 4.0) < 1e-2)
        home = (ring.min(axis=0) + ring.max(axis=0)) / 2.0 - (right, -down)
        skin += [
            one.points - home
            for one in paths
            if abs(one.width - 0.5) < 1e-3 and not one.filled and not one.closed and not one.curved
        ]
    return skin


@pytest.mark.parametrize("size", [A4, LETTER], ids=["A4", "letter"])
def test_the_hoop_on_the_floor_has_the_widths_of_the_tape_checks(size, pdf_paths):
    pdf = printed(bar(), size)
    skin = np.vstack(joined(pdf, pdf_paths))
    wide, high = np.ptp(skin, axis=0)
    # greatest width over the knees 1323.1 and height 1107.5 over the feet's axis, as typed in the acceptance list;
    # the square end of a leaning foot goes lower by half the tube's diameter x sin(2.77 deg) = 1.09
    assert wide == pytest.approx(1323.1, abs=0.3)
    assert high == pytest.approx(1107.5 + 22.5 * np.sin(np.arctan2(30.0, 620.0)), abs=0.3)
    words = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    assert "1323.1 mm" in words
    assert "seen from the front" in words


def test_the_tube_is_as_wide_as_the_tube_all_along(pdf_paths):
    skin = np.vstack(joined(printed(bar()), pdf_paths))
    skin = skin - skin.min(axis=0)
    # the straight at the top: from the front the two skins lie 45 apart
    top = skin[(skin[:, 0] > 400.0) & (skin[:, 0] < 900.0)]
    high, low = top[:, 1].max(), top[top[:, 1] > 900.0][:, 1].min()
    assert high - low == pytest.approx(45.0, abs=0.01)


def test_the_drawing_is_seen_from_where_it_says():
    # a bar that no mirror leaves as it was: in plan from above, forward is up and the car's left at the left
    flat = ((0, 0, 0), (400, 0, 0), (700, 250, 0), (700, 600, 0))
    pages = floor_pages(bar(flat, "FL"), project="p", date=DATE)
    plan = floor_plan(bar(flat, "FL"))
    assert plan.seen_from == "above"
    way_in = plan.axis[1] - plan.axis[0]
    assert abs(way_in[0]) < 1e-9
    assert way_in[1] < 0.0  # forward goes up the page: down is positive
    assert plan.axis[-1][0] < plan.axis[0][0]  # left of the car is at the left
    assert len(pages) > 2
    side = floor_plan(bar(((0, 500, 0), (0, 500, 400), (-300, 500, 800), (-900, 500, 800)), "BS"))
    assert side.seen_from == "the left"
    assert side.axis[-1][0] > side.axis[0][0]  # rearward is to the right, seen from the left
    front = floor_plan(bar(((0, 100, 0), (0, 100, 600), (0, 600, 900)), "F"))
    assert front.seen_from == "the front"
    assert front.axis[-1][0] > front.axis[0][0]  # the car's left is to the right, seen from the front


def test_a_leaning_bar_is_drawn_in_its_own_plane(pdf_paths):
    leaning = np.array(HOOP, float) @ rotation_about([0.0, 1.0, 0.0], 17.0).T + (-900.0, 0.0, 50.0)
    upright, leant = (np.vstack(joined(printed(bar(nodes)), pdf_paths)) for nodes in (HOOP, leaning))
    assert np.ptp(leant, axis=0) == pytest.approx(np.ptp(upright, axis=0), abs=0.02)


def test_marks_ends_and_bends_are_named():
    pages = PdfReader(io.BytesIO(printed(bar(), marks=[FloorMark(words="mark 1", along_mm=586.3)]))).pages
    words = " ".join(page.extract_text() for page in pages[1:])
    assert words.count("mark 1") == 1
    assert all(f" {letter}" in words or f"{letter}\n" in words for letter in "AB")
    assert "row B, column" in words


def test_a_bar_that_does_not_lie_flat_is_refused():
    with pytest.raises(UserError, match="does not lie flat") as stopped:
        printed(bar(SIDE, "SB-L"))
    finding = stopped.value.findings[0]
    assert finding.code == "PAPER-101"
    nodes = np.array(SIDE, float)
    # distance from the best plane, by the smallest singular value's direction
    normal = np.linalg.svd(nodes - nodes.mean(axis=0))[2][-1]
    assert finding.measured == pytest.approx(np.abs((nodes - nodes.mean(axis=0)) @ normal).max())


def test_a_bent_bar_that_came_out_nearly_flat_is_drawn():
    nodes = np.array(HOOP, float)
    nodes[2, 0] += 3.0
    assert len(floor_pages(bar(nodes), project="p", date=DATE)) > 10


def test_a_straight_bar_lies_along_the_page():
    pages = floor_pages(bar(((0, 0, 0), (300, 400, 1200)), "HD"), project="p", date=DATE)
    assert all(page.width_mm > page.height_mm for page in pages)
    assert len(pages) == 1 + 5  # 1300 mm on turned pages that show 275 and share 10
