"""A cope's wrap as it comes out of the printer: true to size, and in its place round the branch."""

import io
import math

import numpy as np
import pytest
from pypdf import PdfReader
from trimesh.path.exchange.dxf import load_dxf

BRANCH_MM, HEADER_MM, ANGLE_DEG = 38.0, 45.0, 55.0
COLUMNS_MM = (40.77, 36.42, 25.39, 14.71, 12.08, 13.38, 14.16)
"""Along the branch from the crossing of the axes, every 30 degrees from the heel."""


@pytest.fixture(params=["A4", "letter"])
def size(request):
    return request.param


@pytest.fixture
def cope(hoopwright, tmp_path):
    def run(*wishes):
        file = tmp_path / "wrap.pdf"
        tubes = ("--header-od", HEADER_MM, "--branch-od", BRANCH_MM, "--angle", ANGLE_DEG)
        keys = hoopwright.keys("cope", *tubes, "--paper", file, "--date", "2026-03-01", *wishes)
        assert keys["files"] == [str(file)]
        return keys, file.read_bytes()

    return run


def test_the_columns_are_on_the_sheet_in_their_order(cope):
    _, pdf = cope()
    words = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    table = words[words.index("along to the cut") + len("along to the cut") :].split()
    # the rest of the way round the branch is the mirror image
    shown = [float(word) for word in table[:12]]
    assert shown == pytest.approx([*COLUMNS_MM, *COLUMNS_MM[-2:0:-1]], abs=0.1)


def test_the_wrap_is_as_wide_as_the_tube_is_round(cope, size, pdf_paths):
    _, pdf = cope("--paper-size", size)
    assert width_mm(pdf_paths(pdf)) == pytest.approx(119.4, abs=0.05)


def test_the_100_mm_bars_are_true_on_paper(cope, size, pdf_paths):
    _, pdf = cope("--paper-size", size)
    reader = PdfReader(io.BytesIO(pdf))
    assert reader.trailer["/Root"]["/ViewerPreferences"]["/PrintScaling"] == "/None"
    wide, high = (210.0, 297.0) if size == "A4" else (215.9, 279.4)
    box = reader.pages[0].mediabox
    assert (float(box.width), float(box.height)) == pytest.approx(
        (wide / 25.4 * 72, high / 25.4 * 72), abs=1e-3
    )
    bars = [np.ptp(one.points, axis=0) for one in pdf_paths(pdf) if one.filled]
    assert sum(bar == pytest.approx((100.0, 2.4), abs=1e-3) for bar in bars) == 1
    assert sum(bar == pytest.approx((2.4, 100.0), abs=1e-3) for bar in bars) == 1


@pytest.mark.parametrize("offset_mm", [0.0, 3.0, -3.0])
def test_the_paper_cut_out_and_laid_round_the_branch_lies_on_the_header(cope, offset_mm, pdf_paths):
    keys, pdf = cope("--offset", offset_mm)
    words = " ".join(PdfReader(io.BytesIO(pdf)).pages[0].extract_text().split())
    lower_mm = float(words.split("square round the tube ")[1].split()[0])
    right, up = cut_out(pdf_paths(pdf)).T
    # the branch runs up from the header; the header's axis leans from it by 55 toward the heel, which faces the
    # reader. The printed face is out: right on the paper is right as the reader sees it, and up on it is toward the
    # header, so the paper is upside down for this reader: turn the page, and with it right to left
    turned = -right / (BRANCH_MM / 2.0)
    out, aside = np.cos(turned), np.sin(turned)
    along = lower_mm - up
    # axes: toward the reader (the heel), to the reader's right, up along the branch; 90 degrees from the heel by the
    # right hand about up is to the right, and the offset moves the branch to there
    points = np.column_stack([BRANCH_MM / 2.0 * out, BRANCH_MM / 2.0 * aside + offset_mm, along])
    lean = math.radians(ANGLE_DEG)
    header = np.array([math.sin(lean), 0.0, math.cos(lean)])
    from_axis = np.linalg.norm(np.cross(points, header), axis=1)
    assert np.abs(from_axis - HEADER_MM / 2.0).max() < 0.02
    assert np.ptp(along) == pytest.approx(keys["depth_mm"], abs=0.01)


def test_a_thicker_wrap_is_longer(cope, pdf_paths):
    _, pdf = cope("--paper-thickness", "0.5")
    assert width_mm(pdf_paths(pdf)) == pytest.approx(math.pi * 38.5, abs=0.01)


def test_the_same_wrap_for_a_machine(hoopwright, tmp_path):
    file = tmp_path / "wrap.dxf"
    tubes = ("--header-od", HEADER_MM, "--branch-od", BRANCH_MM, "--angle", ANGLE_DEG)
    depth_mm = hoopwright.keys("cope", *tubes, "--dxf", file, "--date", "2026-03-01")["depth_mm"]
    with file.open("rb") as stream:
        path = load_dxf(stream)
    outline = next(one for one in path["entities"] if one.layer == "CUT")
    right, up = np.asarray(path["vertices"])[outline.points].T
    assert np.ptp(right) == pytest.approx(math.pi * BRANCH_MM + 12.0, abs=1e-6)  # and the overlap
    edge = up[up > 30.0]
    assert np.ptp(edge) == pytest.approx(depth_mm, abs=0.01)


def test_a_file_that_cannot_be_written_is_said(hoopwright, tmp_path):
    tubes = ("--header-od", HEADER_MM, "--branch-od", BRANCH_MM, "--angle", ANGLE_DEG)
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    assert hoopwright.stops("cope", *tubes, "--paper", tmp_path / "file" / "wrap.pdf") == ["STORE-002"]
    thick = ("--paper", tmp_path / "wrap.pdf", "--paper-thickness", "40")
    assert hoopwright.stops("cope", *tubes, *thick) == ["PAPER-102"]
    assert not (tmp_path / "wrap.pdf").exists()


def cut_out(paths):
    """The heavy line, right of the datum line and up from the paper's lower edge."""
    cut = max((one for one in paths if not one.filled), key=lambda one: len(one.points)).points
    upright = [one for one in paths if len(one.points) == 2 and np.ptp(one.points[:, 0]) < 1e-3]
    datum = max((one for one in upright if one.width > 0.5), key=lambda one: np.ptp(one.points[:, 1]))
    return cut - (datum.points[0, 0], datum.points[:, 1].min())


def width_mm(paths):
    return float(np.ptp(cut_out(paths)[:, 0]))
