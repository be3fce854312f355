"""A project's wraps from the PDF that is printed back onto the bars in the car."""

import io

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.bars import centreline
from hoopwright.jobs.paper_files import PaperWishes, make_papers
from hoopwright.jobs.paper_source import paper_source
from hoopwright.store import ProjectFolder

DAY = "2026-03-01"
STAY = "forward,left,up\n-900,300,1085\n-1650,240,300\n"
BENT = "forward,left,up\n-150,460,620\n-330,330,1060\n-900,220,1085\n"


@pytest.fixture
def car(hoopwright, project, tmp_path):
    """The ready project with a slanted backstay on the hoop, and a bent bar that comes to it from the front."""
    stay, bent = tmp_path / "stay.csv", tmp_path / "bent.csv"
    stay.write_text(STAY, encoding="utf-8")
    bent.write_text(BENT, encoding="utf-8")
    hoopwright.keys(
        *("bar", "add", project, "BS-L", "--role", "backstay", "--nodes", stay, "--tube", "38 x 2.5"),
        *("--end-a", "MH", "--end-b", "shell"),
    )
    hoopwright.keys(
        *("bar", "add", project, "RB-L", "--role", "roof bar", "--nodes", bent, "--tube", "45 x 2.5"),
        *("--end-a", "shell", "--end-b", "MH"),
    )
    hoopwright.keys("bar", "mirror", project, "RB-L", "RB-R")
    return ProjectFolder(path=project)


def cut_out(paths):
    """The line to cut, right of the datum line and up from the paper's lower edge."""
    cut = max((one for one in paths if not one.filled), key=lambda one: len(one.points)).points
    upright = [one for one in paths if len(one.points) == 2 and np.ptp(one.points[:, 0]) < 1e-3]
    datum = max((one for one in upright if one.width > 0.5), key=lambda one: np.ptp(one.points[:, 1]))
    return cut - (datum.points[0, 0], datum.points[:, 1].min())


@pytest.mark.parametrize(("bar_id", "end"), [("BS-L", "A"), ("RB-L", "B"), ("RB-R", "B")])
def test_a_printed_wrap_laid_round_its_bar_touches_its_header_all_round(
    car, bar_id, end, tmp_path, pdf_paths
):
    make_papers(car, PaperWishes(date=DAY, kinds=("wraps",), only=(bar_id,), out=tmp_path / "out"))
    (file,) = (tmp_path / "out" / "wraps").glob("*.pdf")
    words = " ".join(PdfReader(io.BytesIO(file.read_bytes())).pages[0].extract_text().split())
    assert f"{bar_id} end {end}" in words
    lower_mm = float(words.split("square round the tube ")[1].split()[0])
    source, _ = paper_source(car, date=DAY, only=(bar_id,))
    cut = source.cut(bar_id, end)
    right, up = cut_out(pdf_paths(file.read_bytes())).T
    # the tip's place on the tube and on the bar says how the marked tube lies along the end straight
    (tip, *_), way = cut.tips, 1.0 if end == "A" else -1.0
    inward = tip.inward_mm + way * (lower_mm - cut.tip_on_tube_mm) - up
    # printed side out: right, up (toward the end that is cut) and out of the tube are a right-handed set
    branch, radius = cut.branch, cut.branch.od_mm / 2.0
    aside = np.cross(-branch.direction, branch.datum)
    header = source.bars["MH"]
    axis = centreline(header)

    def off_mm(right_mm):
        turned = right_mm / radius
        out = np.outer(np.cos(turned), branch.datum) + np.outer(np.sin(turned), aside)
        points = branch.origin_mm + np.outer(inward, branch.direction) + radius * out
        off = np.array([axis.distance_to_mm(point) for point in points]) - header.tube.od_mm / 2.0
        return np.abs(off).max()

    assert off_mm(right) < 0.06  # the page says to a tenth where the paper goes
    if bar_id != "BS-L":  # its datum line is the heel, and a crossing cope is its own mirror image
        assert off_mm(-right) > 1.0
