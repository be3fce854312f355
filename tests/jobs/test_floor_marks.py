import pytest

from hoopwright.bars import Bar, centreline
from hoopwright.jobs.floor_marks import floor_marks
from hoopwright.joints.meet import MarkedTube, TubeMark
from hoopwright.tubes import TubeSize

HOOP = ((0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0))
ANGLES_DEG = (18.96, 73.81, 73.81, 18.96)
STARTS_MM = (627.8, 1030.4, 2007.8, 2539.6)
MARKS_MM = (616.3, 1018.9, 1996.3, 2528.1)
"""The acceptance hoop: 30 mm trim, tube used 2.3556 mm per degree, start offset 11.5, fed from A."""


@pytest.fixture
def hoop():
    nodes = tuple(tuple(map(float, node)) for node in HOOP)
    return Bar(name="MH", nodes_mm=nodes, clr_mm=137.5, tube=TubeSize(od_mm=45.0, wall_mm=2.5))


def marked(marks=MARKS_MM):
    return MarkedTube(
        blank_mm=3212.0,
        trim_a_mm=30.0,
        trim_b_mm=30.0,
        starts_mm=STARTS_MM,
        used_mm=tuple(2.3556 * angle for angle in ANGLES_DEG),
        marks=tuple(TubeMark(name=f"the mark of bend {k}", at_mm=at) for k, at in enumerate(marks, 1)),
    )


def test_a_mark_stays_its_offset_before_its_bend(hoop):
    path = centreline(hoop)
    found = floor_marks(marked(), hoop)
    assert [mark.words for mark in found] == [f"mark of bend {k}" for k in range(1, 5)]
    # fed from A each mark lies the start offset before the tangent point, however much tube the bends before it used
    tangents = path.starts_mm[1::2]
    for mark, start in zip(found, tangents, strict=False):
        assert mark.along_mm == pytest.approx(start - 11.5, abs=0.15)


def test_a_mark_within_a_bend_goes_round_with_it(hoop):
    path = centreline(hoop)
    middle = STARTS_MM[1] + 2.3556 * ANGLES_DEG[1] / 2.0
    (mark,) = floor_marks(marked((middle,)), hoop)
    assert mark.along_mm == pytest.approx(path.starts_mm[3] + path.pieces[3].length_mm / 2.0, abs=0.15)


def test_marks_in_what_is_trimmed_off_are_left_out(hoop):
    assert floor_marks(marked((10.0, 3200.0)), hoop) == ()


def test_a_tube_with_other_bends_has_no_marks_here(hoop):
    assert floor_marks(marked(), hoop.with_nodes(HOOP[:4])) == ()
