"""Flat parts on paper, read back out of the PDF."""

import io
import re

import numpy as np
import pytest
from pypdf import PdfReader

from hoopwright.findings import UserError
from hoopwright.joints import FlatPart, Fold, RoundHole
from hoopwright.papers import A4, LETTER, flat_part_pages, pdf_bytes
from hoopwright.papers.arcs import with_bulges

DATE = "2026-03-01"


def rounded(wide, high, radius, steps=8):
    """A rectangle with round corners, counterclockwise."""
    corners = (
        (wide - radius, radius, -90),
        (wide - radius, high - radius, 0),
        (radius, high - radius, 90),
        (radius, radius, 180),
    )
    turned = np.linspace(0.0, 90.0, steps + 1)
    return np.vstack([
        np.column_stack([x + radius * np.cos(np.radians(a + turned)), y + radius * np.sin(np.radians(a + turned))])
        for x, y, a in corners
    ])  # fmt: skip


def plate(**changes):
    values = {
        "name": "MH foot A plate",
        "thickness_mm": 3.0,
        "outline_mm": np.add(rounded(120.0, 100.0, 12.0), (40.0, -15.0)),
        "holes": tuple(
            RoundHole(centre_mm=(x, y), diameter_mm=8.5)
            for x, y in ((55.0, 0.0), (145.0, 0.0), (145.0, 70.0))
        ),
        "notes": ("long side along the car",),
        "count": 2,
    }
    return FlatPart(**(values | changes))


def folded():
    return plate(
        name="SB-L foot folded plate",
        outline_mm=rounded(140.0, 170.0, 10.0),
        holes=(),
        folds=(
            Fold(start_mm=(0, 95), end_mm=(140, 95), angle_deg=88.5, inside_radius_mm=4.0, allowance_mm=8.1),
            Fold(start_mm=(0, 140), end_mm=(140, 140), angle_deg=-30, inside_radius_mm=4.0, allowance_mm=2.7),
        ),
    )


def long_wall():
    """Longer than a page: an L that no mirror or turn leaves as it was."""
    outline = np.array([(0, 0), (620, 0), (640, 60), (600, 330), (540, 330), (520, 90), (0, 70)], float)
    holes = (
        RoundHole(centre_mm=(560.0, 300.0), diameter_mm=20.0),
        RoundHole(centre_mm=(30.0, 30.0), diameter_mm=9.0),
    )
    return plate(name="box wall", outline_mm=outline, holes=holes)


def printed(parts, size=A4, **how):
    pages = flat_part_pages(parts, size, project="p", date=DATE, **how)
    return pdf_bytes(pages, title="flat parts", date=DATE)


def outline_of(paths):
    return max(
        (one for one in paths if one.closed and not one.filled and one.width > 0.4),
        key=lambda one: np.ptp(one.points),
    ).points


def circles_of(paths):
    """Centre and diameter of each hole."""
    rings = [one.points for one in paths if one.curved and one.width > 0.4]
    return [(ring.min(axis=0) / 2.0 + ring.max(axis=0) / 2.0, np.ptp(ring[:, 0])) for ring in rings]


@pytest.mark.parametrize("size", [A4, LETTER], ids=["A4", "letter"])
def test_outline_and_holes_are_where_the_part_has_them(size, pdf_paths):
    part = plate()
    paths = pdf_paths(printed([part], size))
    outline = outline_of(paths)
    moved = outline.min(axis=0) - part.outline_mm.min(axis=0)
    assert np.abs(outline[: len(part.outline_mm)] - moved - part.outline_mm).max() < 2e-3
    found = circles_of(paths)
    assert len(found) == 3
    for hole, (centre, diameter) in zip(part.holes, found, strict=True):
        assert centre - moved == pytest.approx(hole.centre_mm, abs=2e-3)
        assert diameter == pytest.approx(8.5, abs=2e-3)


def test_what_is_written_beside_a_part():
    words = " ".join(PdfReader(io.BytesIO(printed([plate(), folded()]))).pages[0].extract_text().split())
    assert "MH foot A plate" in words
    assert '3.0 mm (1/8") thick, 2 off; flat 120.0 mm (4 3/4") x 100.0 mm (3 15/16")' in words
    # from the corner of the part, not from the zero of its coordinates
    assert (
        'hole 3: 8.5 mm (5/16") across, its centre from 0: 105.0 mm (4 1/8") right, 85.0 mm (3 3/8") up'
        in words
    )
    words = " ".join(PdfReader(io.BytesIO(printed([folded()]))).pages[0].extract_text().split())
    assert "fold 1: 88.5° up (toward you), inside radius 4.0 mm" in words
    assert "fold 2: 30.0° down (away from you)" in words


def test_fold_lines_lie_in_the_middle_of_their_zone(pdf_paths):
    part = folded()
    paths = pdf_paths(printed([part]))
    low = outline_of(paths).min(axis=0)
    across = [
        one.points - low
        for one in paths
        if len(one.points) == 2 and abs(np.ptp(one.points[:, 0]) - 140) < 1e-2
    ]
    ups = sorted(float(one[0, 1]) for one in across if one[0, 1] > 1.0)
    assert ups == pytest.approx([95 - 4.05, 95, 95 + 4.05, 140 - 1.35, 140, 140 + 1.35], abs=2e-3)


@pytest.mark.parametrize("size", [A4, LETTER], ids=["A4", "letter"])
def test_a_large_part_is_whole_when_its_pages_lie_cross_on_cross(size, pdf_paths):
    part = long_wall()
    pdf = printed([part], size)
    reader = PdfReader(io.BytesIO(pdf))
    assert "how the pages lie" in reader.pages[0].extract_text()
    corners, rings = [], []
    for number in range(1, len(reader.pages)):
        paths = pdf_paths(pdf, number)
        right, down = map(
            float, re.search(r"([\d.]+)\|([\d.]+)", reader.pages[number].extract_text()).groups()
        )
        cross = next(one.points for one in paths if one.curved and np.ptp(one.points[:, 0]) < 4.1)
        home = (cross.min(axis=0) + cross.max(axis=0)) / 2.0 - (right, -down)
        corners += [
            one.points - home
            for one in paths
            if abs(one.width - 0.5) < 1e-3 and not one.curved and not one.filled
        ]
        rings += [(centre - home, diameter) for centre, diameter in circles_of(paths)]
    whole = np.vstack(corners)
    for corner in part.outline_mm - part.outline_mm.min(axis=0):
        assert np.linalg.norm(whole - whole.min(axis=0) - corner, axis=1).min() < 0.15
    for hole in part.holes:
        assert any(
            np.linalg.norm(centre - whole.min(axis=0) - hole.centre_mm) < 0.15
            and abs(diameter - hole.diameter_mm) < 1e-2
            for centre, diameter in rings
        )


def test_no_words_lie_over_each_other(overlapping):
    gusset = FlatPart(
        name="gusset 1",
        thickness_mm=2.0,
        outline_mm=np.array([(0, 0), (70, 0), (70, 6), (6, 70), (0, 70)], float),
        holes=(RoundHole(centre_mm=(22, 22), diameter_mm=20),),
        count=4,
    )
    for size in (A4, LETTER):
        for unit in ("mm", "in"):
            for page in flat_part_pages([plate(), folded(), gusset], size, project="p", date=DATE, unit=unit):
                assert overlapping(page) == []


@pytest.mark.parametrize(
    ("changes", "words"),
    [
        ({"outline_mm": np.array([(0.0, 0.0), (10.0, 0.0)])}, "fewer than three"),
        ({"outline_mm": np.array([(0.0, 0.0), (10.0, np.nan), (5.0, 5.0)])}, "numbers"),
        ({"outline_mm": rounded(120.0, 100.0, 12.0)[::-1]}, "clockwise"),
        ({"outline_mm": rounded(120.0, 100.0, 12.0) * 1000.0}, "limit is 5000 mm"),
        ({"holes": (RoundHole(centre_mm=(50.0, 50.0), diameter_mm=0.0),)}, "hole"),
        ({"thickness_mm": np.inf}, "numbers"),
        (
            {
                "folds": (
                    Fold(start_mm=(1, 1), end_mm=(1, 1), angle_deg=90, inside_radius_mm=3, allowance_mm=5),
                )
            },
            "fold",
        ),
    ],
)
def test_a_part_that_cannot_be_drawn_is_refused(changes, words):
    with pytest.raises(UserError, match=words) as stopped:
        printed([plate(**changes)])
    assert stopped.value.findings[0].code == "PAPER-103"


def test_arcs_are_found_again_in_points():
    corners = with_bulges(rounded(120.0, 100.0, 12.0))
    arcs = [corner for corner in corners if corner[2]]
    # a quarter turn: bulge tan(90 / 4), DXF reference, LWPOLYLINE group 42
    assert len(corners) == 8
    assert [arc[2] for arc in arcs] == pytest.approx([np.tan(np.radians(22.5))] * 4)
    inward = rounded(120.0, 100.0, 12.0)
    inward[:, 0] = -inward[:, 0]
    assert all(corner[2] <= 0.0 for corner in with_bulges(inward))


@pytest.mark.parametrize(
    "outline",
    [
        np.array([(0, 0), (70, 0), (70, 6), (6, 70), (0, 70)], float),
        np.array([(0, 0), (50, 0), (50, 50), (0, 50)], float),
        np.column_stack([np.linspace(0, 60, 12), np.linspace(0, 60, 12) ** 2 / 40.0])[::-1],
    ],
)
def test_straight_corners_and_other_curves_stay_points(outline):
    corners = with_bulges(outline)
    assert [corner[2] for corner in corners] == [0.0] * len(outline)
    assert {corner[:2] for corner in corners} == {tuple(map(float, point)) for point in outline}
