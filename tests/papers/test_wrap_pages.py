"""Wraps on paper: read back out of the PDF, cut out, laid round the tube, and held against the solid."""

import io
import math
import re
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.findings import UserError
from hoopwright.joints import Wrap
from hoopwright.papers import A4, LETTER, pdf_bytes, wrap_pages
from hoopwright.papers.wrap_block import CUT_LINE_MM, DATUM_LINE_MM
from hoopwright.papers.wrap_shape import OVERLAP_MM, wrap_shape

DATE = "2026-03-01"
FAR_MM = 900.0
JOINT = np.array([120.0, -340.0, 610.0])
"""Where the axes cross, or come nearest."""
WAY = np.array([2.0, 1.0, -2.0]) / 3.0
"""Along the branch toward its joint."""
DATUM = np.array([1.0, -2.0, 0.0]) / math.sqrt(5.0)
"""Square to the branch, toward its datum line."""


class Solid:
    """A branch that comes to its joint along `WAY`, and cylinders that it is cut to."""

    def __init__(self, end, od, *headers):
        self.end, self.radius = end, od / 2.0
        self.headers = []
        for od_h, angle, clock, offset in headers:
            # the header's axis: `angle` to the branch, turned by `clock` about it, moved aside by `offset`
            side = math.cos(math.radians(clock)) * DATUM + math.sin(math.radians(clock)) * np.cross(
                WAY, DATUM
            )
            along = math.cos(math.radians(angle)) * WAY + math.sin(math.radians(angle)) * side
            aside = np.cross(WAY, along) / np.linalg.norm(np.cross(WAY, along))
            self.headers.append((JOINT + offset * aside, along, od_h / 2.0))
        # travel runs from end A to end B, so toward the joint at end B and away from it at end A
        self.travel = WAY if end == "B" else -WAY

    def cuts(self, around_deg):
        """Distance from the joint back to where each generator first meets a header; NaN where it meets none."""
        found = []
        for around in np.radians(around_deg):
            out = math.cos(around) * DATUM + math.sin(around) * np.cross(self.travel, DATUM)
            met = []
            for point, along, radius in self.headers:
                start = JOINT + self.radius * out - point
                a, b = WAY - along * (WAY @ along), start - along * (start @ along)
                root = (a @ b) ** 2 - (a @ a) * (b @ b - radius**2)
                if root >= 0.0:
                    met.append((-(a @ b) - math.sqrt(root)) / (a @ a))
            found.append(-min(met) if met else math.nan)
        return np.array(found)

    def off_mm(self, points):
        """Distance of points from the nearest header's skin; negative inside it."""
        off = []
        for point, along, radius in self.headers:
            from_axis = points - point
            off.append(np.linalg.norm(from_axis - np.outer(from_axis @ along, along), axis=1) - radius)
        return np.min(off, axis=0)

    def wrap(self, back_mm=120.0, **changes):
        """The cope unrolled; the reference line is `back_mm` from the joint, which is `FAR_MM` from the other end."""
        around = np.arange(360.0)
        back = self.cuts(around)
        made = Wrap(
            bar_id="DB-1",
            end=self.end,
            headers=tuple("H" + "IJ"[k] for k in range(len(self.headers))),
            od_mm=2.0 * self.radius,
            around_deg=around,
            cut_mm=back_mm - back,
            reference_mm=FAR_MM - back_mm if self.end == "B" else back_mm,
            heel_deg=40.0,
            datum="outside of bend 1",
            mark="the mark of bend 1",
            mark_mm=FAR_MM / 2.0,
        )
        return replace(made, **changes)


SOLIDS = {
    "crossing, end B": Solid("B", 38.0, (45.0, 55.0, 75.0, 0.0)),
    "crossing, end A": Solid("A", 38.0, (45.0, 55.0, 200.0, 0.0)),
    "offset, end B": Solid("B", 38.0, (45.0, 55.0, 310.0, 3.0)),
    "offset, end A": Solid("A", 38.0, (45.0, 55.0, 20.0, 3.0)),
    "deep": Solid("B", 50.0, (50.0, 30.0, 120.0, 0.0)),
    "two headers, end B": Solid("B", 38.0, (45.0, 55.0, 75.0, 0.0), (45.0, 80.0, 190.0, 2.0)),
    "two headers, end A": Solid("A", 50.0, (50.0, 70.0, 10.0, 0.0), (45.0, 60.0, 100.0, 0.0)),
}


def printed(wraps, size=A4, **how):
    wraps = wraps if isinstance(wraps, list) else [wraps]
    return pdf_bytes(wrap_pages(wraps, size, project="p", date=DATE, **how), title="wraps", date=DATE)


def cut_out(paths):
    """The line to cut, with right and up counted from the datum line and the paper's lower edge."""
    cut = max(
        (one for one in paths if one.width == pytest.approx(CUT_LINE_MM, abs=1e-3)),
        key=lambda p: len(p.points),
    )
    datum = next(
        one for one in paths if one.width == pytest.approx(DATUM_LINE_MM, abs=1e-3) and is_upright(one)
    )
    return cut.points - (datum.points[0, 0], datum.points[:, 1].min())


def is_upright(path):
    return len(path.points) == 2 and np.ptp(path.points[:, 0]) < 1e-3


def laid_round(flat, solid, lower_from_a_mm):
    """Where points of the paper come to lie: its printed face out, its top toward the end that is cut.

    Seen on the tube, right, up and out of it are a right-handed set; that alone says which way it winds.
    """
    out_at_datum, up = DATUM, WAY
    right = np.cross(up, out_at_datum)
    turned = flat[:, 0] / solid.radius
    out = np.outer(np.cos(turned), out_at_datum) + np.outer(np.sin(turned), right)
    end_a = JOINT - FAR_MM * WAY if solid.end == "B" else JOINT
    lower_edge = end_a + lower_from_a_mm * solid.travel
    return lower_edge + np.outer(flat[:, 1], up) + solid.radius * out


def seat_from_a_mm(pdf):
    """What the page says of where its lower edge goes."""
    words = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    return float(re.search(r"square round the tube ([\d.]+) mm", words)[1])


@pytest.mark.parametrize("size", [A4, LETTER], ids=["A4", "letter"])
@pytest.mark.parametrize("name", sorted(SOLIDS))
def test_a_wrap_cut_out_of_the_pdf_and_laid_round_the_tube_lies_on_the_headers(name, size, pdf_paths):
    solid = SOLIDS[name]
    pdf = printed(solid.wrap(), size)
    flat = cut_out(pdf_paths(pdf))
    turn = math.pi * 2.0 * solid.radius
    assert (flat[0, 0], flat[-1, 0]) == pytest.approx((-turn / 2.0, turn / 2.0), abs=2e-3)
    assert flat[0, 1] == pytest.approx(flat[-1, 1], abs=2e-3)
    assert len(flat) >= 360
    points = laid_round(flat, solid, seat_from_a_mm(pdf))
    assert np.abs(solid.off_mm(points)).max() < 0.01
    # a mirrored paper, or one that is wound with its face in, would not
    assert np.abs(solid.off_mm(laid_round(flat * (-1.0, 1.0), solid, seat_from_a_mm(pdf)))).max() > 2.0


def test_the_mark_beside_the_lower_edge_is_named_with_its_side():
    # end B: lower edge at 900 - 120 = 780 from A, the mark at 450; end A: at 120
    mark = '330.0 mm (13") from the mark of bend 1'
    for end, words in (
        ("B", f'780.0 mm (30 11/16") from end A, {mark} toward end B'),
        ("A", f'120.0 mm (4 3/4") from end A, {mark} toward end A'),
    ):
        pdf = printed(Solid(end, 38.0, (45.0, 55.0, 75.0, 0.0)).wrap())
        assert words in " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())


def test_the_paper_goes_once_round_and_overlaps(pdf_paths):
    # 119.4 round a tube of 38, as typed in the acceptance list
    paths = pdf_paths(printed(SOLIDS["crossing, end B"].wrap()))
    outline = max(
        (one for one in paths if one.closed and not one.filled), key=lambda one: np.ptp(one.points[:, 0])
    )
    cut = cut_out(paths)
    assert np.ptp(cut[:, 0]) == pytest.approx(119.4, abs=0.05)
    assert np.ptp(outline.points[:, 0]) == pytest.approx(math.pi * 38.0 + OVERLAP_MM, abs=2e-3)
    thick = pdf_paths(printed(SOLIDS["crossing, end B"].wrap(), paper_thickness_mm=0.2))
    assert np.ptp(cut_out(thick)[:, 0]) == pytest.approx(math.pi * 38.2, abs=2e-3)


@pytest.mark.parametrize("size", [A4, LETTER], ids=["A4", "letter"])
def test_both_100_mm_bars_are_on_each_page(size, pdf_paths):
    wraps = [SOLIDS[name].wrap() for name in sorted(SOLIDS)] + [wide_wrap()]
    pdf = printed(wraps, size)
    reader = PdfReader(io.BytesIO(pdf))
    assert len(reader.pages) > 3
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    for number, page in enumerate(reader.pages):
        sides = sorted((float(page.mediabox.width) / 72.0 * 25.4, float(page.mediabox.height) / 72.0 * 25.4))
        assert sides == pytest.approx([size.width_mm, size.height_mm], abs=1e-3)
        spans = [np.ptp(one.points, axis=0) for one in pdf_paths(pdf, number) if one.filled]
        for axis in (0, 1):
            bars = [span for span in spans if abs(span[axis] - 100.0) < 1e-3 and span[1 - axis] < 3.0]
            assert len(bars) == 1, (number, axis)


def wide_wrap():
    return Solid("B", 114.3, (120.0, 60.0, 30.0, 0.0)).wrap(back_mm=180.0)


def test_a_wrap_larger_than_the_page_is_whole_when_its_pages_lie_cross_on_cross(pdf_paths):
    wrap = wide_wrap()
    pdf = printed(wrap)
    reader = PdfReader(io.BytesIO(pdf))
    pieces = []
    for number in range(1, len(reader.pages)):
        right, down = map(
            float, re.search(r"([\d.]+)\|([\d.]+)", reader.pages[number].extract_text()).groups()
        )
        paths = pdf_paths(pdf, number)
        cross = next(
            one.points.mean(axis=0) for one in paths if one.curved and np.ptp(one.points[:, 0]) < 4.1
        )
        cuts = [one.points for one in paths if one.width == pytest.approx(CUT_LINE_MM, abs=1e-3)]
        pieces += [(cut - cross) * (1.0, -1.0) + (right, down) for cut in cuts]
    shape = wrap_shape(wrap)
    flat = shape.cuts[0] * (1.0, -1.0)
    joined = np.vstack(pieces)
    joined -= joined[np.argmin(joined[:, 0])] - flat[0]
    assert joined[:, 0].max() == pytest.approx(math.pi * 114.3, abs=0.06)  # crosses are named to a tenth
    assert np.abs(np.interp(joined[:, 0], flat[:, 0], flat[:, 1]) - joined[:, 1]).max() < 0.1


def test_no_words_lie_over_each_other(overlapping):
    wraps = [SOLIDS[name].wrap() for name in sorted(SOLIDS)] + [wide_wrap(), half_cut(), bridged()]
    wraps += [Solid("B", od, (45.0, 60.0, 0.0, 0.0)).wrap() for od in (10.0, 16.0, 19.05)]
    for size in (A4, LETTER):
        for unit in ("mm", "in"):
            for page in wrap_pages(wraps, size, project="p", date=DATE, unit=unit):
                assert overlapping(page) == []


def half_cut(back_mm=120.0):
    return Solid("B", 25.4, (45.0, 70.0, 30.0, 14.0)).wrap(back_mm)


def bridged():
    left_out = half_cut()
    missing = np.isnan(left_out.cut_mm)
    bridge = np.interp(
        left_out.around_deg, left_out.around_deg[~missing], left_out.cut_mm[~missing], period=360.0
    )
    return replace(left_out, bridge_mm=bridge)


def test_generators_that_are_not_cut_are_left_out_of_the_line(pdf_paths):
    wrap = half_cut()
    missing = np.isnan(wrap.cut_mm)
    assert 20 < missing.sum() < 200
    pdf = printed(wrap)
    cuts = [one.points for one in pdf_paths(pdf) if one.width == pytest.approx(CUT_LINE_MM, abs=1e-3)]
    drawn = sum(np.ptp(cut[:, 0]) for cut in cuts if len(cut) > 5)
    share = 1.0 - (missing.sum() + 1) / 360.0
    assert drawn == pytest.approx(share * math.pi * 25.4, abs=0.01)
    assert "not cut here" in PdfReader(io.BytesIO(pdf)).pages[0].extract_text()


def test_what_no_header_cuts_is_dashed_without_heights_and_with_words(pdf_paths):
    missing = np.isnan(half_cut().cut_mm)
    pdf = printed(bridged())
    paths = pdf_paths(pdf)
    cuts = [one.points for one in paths if one.width == pytest.approx(CUT_LINE_MM, abs=1e-3)]
    share = 1.0 - (missing.sum() + 1) / 360.0
    assert sum(np.ptp(cut[:, 0]) for cut in cuts if len(cut) > 5) == pytest.approx(
        share * math.pi * 25.4, abs=0.01
    )
    dashed = [one for one in paths if len(one.points) == missing.sum() + 2 and not one.closed]
    assert [one.width for one in dashed] == pytest.approx([0.35], abs=1e-3)
    words = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    assert "not cut here" in words
    assert "Dashes: no header cuts the tube there: it overhangs." in words
    assert "close the opening with a plate" in words


def test_a_cut_near_the_reference_line_gets_more_paper_below_it():
    wrap = SOLIDS["crossing, end B"].wrap(back_mm=45.0)
    shape = wrap_shape(wrap)
    assert shape.lower_mm < 0.0
    assert shape.lower_mm % 5.0 == 0.0
    assert seat_from_a_mm(printed(wrap)) == pytest.approx(FAR_MM - 45.0 + shape.lower_mm)


def test_several_wraps_share_a_page_and_all_are_there():
    wraps = [replace(half_cut(75.0), bar_id=f"DB-{k}") for k in range(9)]
    pages = PdfReader(io.BytesIO(printed(wraps))).pages
    assert len(pages) <= 3
    words = " ".join(page.extract_text() for page in pages)
    assert all(f"DB-{k} end B" in words for k in range(9))


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"od_mm": math.nan}, "outside diameter"),
        ({"od_mm": 0.0}, "outside diameter"),
        ({"cut_mm": np.full(360, math.nan)}, "no cut"),
        ({"cut_mm": np.full(360, 1e6)}, "no cut"),
        ({"around_deg": np.arange(360.0) * 0.5}, "even steps"),
        ({"around_deg": np.arange(4) * 90.0, "cut_mm": np.zeros(4)}, "even steps"),
        ({"reference_mm": math.inf}, "reference"),
    ],
)
def test_numbers_that_make_no_paper_are_refused(changes, words):
    with pytest.raises(UserError, match=words) as stopped:
        printed(SOLIDS["crossing, end B"].wrap(**changes))
    assert stopped.value.findings[0].code == "PAPER-102"


def test_a_thick_paper_is_refused():
    with pytest.raises(UserError, match="paper"):
        printed(SOLIDS["crossing, end B"].wrap(), paper_thickness_mm=38.0)
