"""The seam of a branch on a header, against the closed form of two crossing cylinders and the skins themselves."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar, centreline
from hoopwright.cage import Cage, End, Member, Role, bars_of
from hoopwright.joints.reach.hanging import seams_of
from hoopwright.joints.reach.seam import nearest_on_path, seam_on_bar, seam_on_plane
from hoopwright.tubes import TubeSize


def bar(name, *nodes, od_mm=45.0):
    return Bar(name=name, nodes_mm=nodes, clr_mm=137.5, tube=TubeSize(od_mm=od_mm, wall_mm=2.5))


def member(name, role, *nodes, od_mm=45.0, a=None, b=None):
    return Member(
        member_id=name,
        role=role,
        nodes_mm=nodes,
        tube=TubeSize(od_mm=od_mm, wall_mm=2.5),
        die="45",
        clr_mm=137.5,
        end_a=a or End(),
        end_b=b or End(),
    )


@pytest.mark.parametrize("angle_deg", [90.0, 55.0, 35.0])
def test_along_the_branch_it_is_the_closed_form_of_two_cylinders(angle_deg):
    """Source: along = (sqrt(R^2 - r^2 sin^2 a) - r cos a cos t) / sin t from the crossing, a from the toe."""
    header = bar("H", (-500.0, 0.0, 0.0), (500.0, 0.0, 0.0))
    tilt = math.radians(angle_deg)
    away = np.array([math.cos(tilt), 0.0, math.sin(tilt)])
    branch = bar("B", (0.0, 0.0, 0.0), tuple(400.0 * away), od_mm=38.0)
    seam = seam_on_bar(branch, "A", header)
    around = np.radians(seam.around_deg)
    # the heel is the acute side, so along is greatest at 0
    wanted = (
        np.sqrt(22.5**2 - (19.0 * np.sin(around)) ** 2) + 19.0 * np.cos(around) * math.cos(tilt)
    ) / math.sin(tilt)
    assert seam.points_mm @ away == pytest.approx(wanted, abs=1e-6)
    if angle_deg == 55.0:
        # the published columns of a 38 on 45 at 55 degrees, every 30 degrees from the heel
        assert (seam.points_mm @ away)[::6][:7] == pytest.approx(
            [40.77, 36.42, 25.39, 14.71, 12.08, 13.38, 14.16], abs=0.01
        )


def test_on_a_bent_header_every_point_lies_on_both_skins():
    header = bar("H", (0.0, 600.0, 0.0), (0.0, 600.0, 1000.0), (0.0, -600.0, 1000.0))
    path = centreline(header)
    middle = path.at([float(path.starts_mm[1]) + 100.0])[0]
    branch = bar("B", tuple(middle), (400.0, 100.0, 500.0), od_mm=38.0)
    seam = seam_on_bar(branch, "A", header)
    assert len(seam.points_mm) == 72
    _, _, off = nearest_on_path(path, seam.points_mm)
    assert np.linalg.norm(off, axis=1) == pytest.approx(22.5, abs=1e-6)
    axis = np.subtract((400.0, 100.0, 500.0), middle)
    axis = axis / np.linalg.norm(axis)
    rest = seam.points_mm - middle
    rest = rest - np.outer(rest @ axis, axis)
    assert np.linalg.norm(rest, axis=1) == pytest.approx(19.0, abs=1e-9)


def test_the_middle_of_the_joint_lies_between_both_skins():
    header = bar("H", (-500.0, 0.0, 0.0), (500.0, 0.0, 0.0))
    seam = seam_on_bar(bar("B", (0.0, 0.0, 0.0), (0.0, 0.0, 400.0), od_mm=38.0), "A", header)
    _, _, off = nearest_on_path(centreline(header), seam.points_mm)
    on_header = off / np.linalg.norm(off, axis=1, keepdims=True)
    to_header = (seam.bisectors * on_header).sum(axis=1)
    to_branch = (seam.bisectors * seam.outward).sum(axis=1)
    assert to_header == pytest.approx(to_branch, abs=1e-9)
    assert (to_header > 0.0).all()
    assert np.abs((seam.travels * seam.bisectors).sum(axis=1)).max() < 1e-9
    # at the crown of a square joint the corner is square, so the middle is at 45 degrees
    assert seam.bisectors[0] == pytest.approx([math.sqrt(0.5), 0.0, math.sqrt(0.5)], abs=1e-9)


def test_a_branch_as_thick_as_its_header_still_has_a_whole_seam():
    header = bar("H", (-500.0, 0.0, 0.0), (500.0, 0.0, 0.0))
    seam = seam_on_bar(bar("B", (0.0, 0.0, 0.0), (0.0, 0.0, 400.0)), "A", header)
    assert len(seam.points_mm) == 72
    assert seam.points_mm[18] == pytest.approx([0.0, 22.5, 0.0], abs=0.8)


def test_a_branch_beside_its_header_has_a_seam_only_where_it_meets():
    header = bar("H", (-500.0, 0.0, 0.0), (500.0, 0.0, 0.0))
    seam = seam_on_bar(bar("B", (0.0, 15.0, 0.0), (0.0, 15.0, 400.0), od_mm=38.0), "A", header)
    assert 0 < len(seam.points_mm) < 72
    assert (np.abs(seam.points_mm[:, 1]) <= 22.5 + 1e-6).all()


def test_a_foot_on_a_plate_is_an_ellipse():
    leaning = bar("L", (0.0, 0.0, 0.0), (100.0, 0.0, 500.0))
    seam = seam_on_plane(leaning, "A", np.array([0.0, 0.0, 1.0]))
    assert seam.points_mm[:, 2] == pytest.approx(0.0, abs=1e-9)
    assert np.ptp(seam.points_mm[:, 1]) == pytest.approx(45.0, abs=0.1)
    assert np.ptp(seam.points_mm[:, 0]) == pytest.approx(45.0 * math.hypot(100.0, 500.0) / 500.0, abs=0.1)


def test_the_seam_of_a_cope_is_the_seam_of_the_skins():
    """Two independent ways to the same curve: the cope's own profile, and stepping in along the branch's skin."""
    members = (
        member("MH", Role.MAIN_HOOP, (-900, 610, 0), (-900, 640, 620), (-900, 505, 1085), (-900, -505, 1085)),
        member("SB", Role.SIDE_BAR, (-300, 500, 1000), (-900, 420, 1085), b=End(kind="bar", on="MH")),
        member(
            "HB",
            Role.HARNESS_BAR,
            (-900, 633, 700),
            (-900, -300, 600),
            od_mm=38.0,
            a=End(kind="bar", on="MH"),
        ),
    )
    cage = Cage(members=members)
    bars = bars_of(cage)
    for seam in seams_of(cage, bars):
        name, end = seam.bars[0], seam.end
        own = seam_on_bar(bars[name], end, bars["MH"], points=720)
        assert seam.name == own.name
        apart = np.linalg.norm(seam.points_mm[:, None] - own.points_mm[None], axis=2)
        # points of the finer seam are under 0.5 mm apart
        assert apart.min(axis=1).max() < 0.3
        at = apart.argmin(axis=1)
        assert (seam.bisectors * own.bisectors[at]).sum(axis=1).min() > 0.999
        assert own.around_deg[at[0]] in (0.0, pytest.approx(359.5, abs=1.0), pytest.approx(0.5, abs=1.0))


def test_a_branch_between_two_headers_has_one_seam_on_both():
    members = (
        member("H", Role.MAIN_HOOP, (-900, -400, 1000), (-900, 400, 1000)),
        member("L", Role.ROOF_BAR, (-300, 300, 1000), (-900, 0, 1000), od_mm=38.0, b=End(kind="bar", on="H")),
        member(
            "R", Role.ROOF_BAR, (-300, -300, 1000), (-900, 0, 1000), od_mm=38.0, b=End(kind="bar", on="H")
        ),
    )
    cage = Cage(members=members)
    by_name = {seam.name: seam for seam in seams_of(cage, bars_of(cage))}
    assert by_name["H/L-B"].bars == ("L", "H")
    assert by_name["H/R-B"].bars == ("R", "H", "L")
