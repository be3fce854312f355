"""Ties: their cut edge lies on the scanned metal."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar
from hoopwright.cage import Gusset, GussetKind
from hoopwright.findings import UserError
from hoopwright.joints.gusset import pillar_tie
from hoopwright.tubes import TubeSize

# the walls of the section shell stand at left +-680 up to 620, then lean in to the roof
UPRIGHT = Bar(
    name="SB-L",
    nodes_mm=((-800.0, 640.0, 50.0), (-800.0, 640.0, 700.0)),
    clr_mm=137.5,
    tube=TubeSize(od_mm=45.0, wall_mm=2.5),
)
LEANING = UPRIGHT.with_nodes(((-800.0, 640.0, 50.0), (-800.0, 560.0, 590.0)))


def tie(place=(-800.0, 640.0, 300.0), **sizes):
    usual = {"leg_mm": 120.0, "thickness_mm": 2.0}
    return Gusset(
        name="T1", kind=GussetKind.TIE, bar_id="SB-L", other=None, place_mm=place, **{**usual, **sizes}
    )


def test_a_tie_to_a_flat_wall_is_a_rectangle(section_shell):
    made = pillar_tie(tie(), UPRIGHT, section_shell)
    x, y = made.part.outline_mm.T
    assert (x.min(), x.max()) == (-60.0, 60.0)
    assert y.max() == pytest.approx(680.0 - 640.0 - 22.5, abs=0.05)
    assert np.count_nonzero(y > 1.0) == 2  # straight: no more than its two corners
    assert made.gap_mm < 0.05


def test_a_tie_follows_the_wall_where_the_bar_leans(section_shell):
    made = pillar_tie(tie((-800.0, 600.0, 320.0)), LEANING, section_shell)
    on_wall = made.outline_mm[made.part.outline_mm[:, 1] > 1.0]
    assert section_shell.nearest(on_wall).distance_mm.max() < 0.05
    axis = (LEANING.nodes[1] - LEANING.nodes[0]) / np.linalg.norm(LEANING.nodes[1] - LEANING.nodes[0])
    on_bar = made.outline_mm[made.part.outline_mm[:, 1] <= 1.0] - LEANING.nodes[0]
    assert np.linalg.norm(np.cross(on_bar, axis), axis=1) == pytest.approx(22.5)


@pytest.mark.parametrize(
    ("wrong", "code"),
    [
        ({"leg_mm": 5000.0}, "GUSSET-001"),
        ({"thickness_mm": math.nan}, "GUSSET-001"),
        ({"leg_mm": 500.0, "place": (-800.0, 640.0, 120.0)}, "GUSSET-004"),
        ({"thickness_mm": 12.0, "bar": (-800.0, 660.0)}, "GUSSET-007"),
        ({"bar": (-800.0, 300.0)}, "GUSSET-007"),
    ],
)
def test_ties_that_cannot_be_stop(section_shell, wrong, code):
    forward, left = wrong.pop("bar", (-800.0, 640.0))
    bar = UPRIGHT.with_nodes(((forward, left, 50.0), (forward, left, 700.0)))
    with pytest.raises(UserError) as refused:
        pillar_tie(tie(**{"place": (forward, left, 300.0), **wrong}), bar, section_shell)
    assert [one.code for one in refused.value.findings] == [code]


def test_the_place_that_is_told_goes(section_shell):
    with pytest.raises(UserError) as refused:
        pillar_tie(tie((-800.0, 640.0, 60.0)), UPRIGHT, section_shell)
    told = refused.value.findings[0].todo.rsplit(" ", 1)[1]
    pillar_tie(tie(tuple(float(one) for one in told.split(","))), UPRIGHT, section_shell)


def test_the_sheet_of_a_tie_is_held_to_its_limit_and_its_length_is_no_leg(section_shell):
    from hoopwright.cage import Cage, Member, Role
    from hoopwright.findings import Verdict
    from hoopwright.jobs.gussets import gussets_of
    from hoopwright.joints.gusset import GussetLimits

    member = Member(
        member_id="SB-L",
        role=Role.SIDE_BAR,
        nodes_mm=UPRIGHT.nodes_mm,
        tube=UPRIGHT.tube,
        die="45",
        clr_mm=137.5,
    )
    limits = GussetLimits(least_leg_ratio=4.0, most_leg_ratio=4.5, least_thickness_mm=2.5)
    (listed,) = gussets_of(Cage(members=(member,), gussets=(tie(),)), section_shell, limits)
    assert {size.what: size.verdict for size in listed.sizes} == {
        "least leg": Verdict.NOT_CHECKED,
        "most leg": Verdict.NOT_CHECKED,
        "least thickness": Verdict.FAIL,
    }
