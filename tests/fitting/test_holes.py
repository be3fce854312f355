"""Holes for bars against a body whose walls are flat: what is proposed, and what a fit sees."""

from dataclasses import replace

import numpy as np
import pytest

from hoopwright.bars import Bar
from hoopwright.cage import Cage, Limits, Member, Role, add_hole, add_member, holes_of
from hoopwright.fitting.holes import cut_for_bars, propose_holes, shell_to_fit
from hoopwright.fitting.measuring import measure_bar
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=38.0, wall_mm=2.5)


def straight(a, b):
    return Bar(name="SK-L", nodes_mm=(a, b), clr_mm=115.0, tube=TUBE)


def caged(bar, holes):
    member = Member(
        member_id="SK-L", role=Role.STRUT_LINK, nodes_mm=bar.nodes_mm, tube=TUBE, die="38", clr_mm=115.0
    )
    cage = add_member(Cage(limits=Limits(gap_mm=10.0)), member)
    for hole in holes:
        cage = add_hole(cage, hole)
    return cage


@pytest.mark.parametrize("rise_mm", [0.0, 150.0, 280.0])
def test_a_bar_out_through_a_wall_gets_one_hole_that_lets_it_pass(section_shell, rise_mm):
    """The wall stands at left 680; the hole must reach over the slant of the bar to it."""
    bar = straight((-911.0, 400.0, 200.0), (-911.0 - rise_mm, 800.0, 203.0))
    found = propose_holes(section_shell, bar, gap_mm=10.0, landings_mm=(0.0, 0.0), both_sides=True)
    (hole,) = found.holes
    assert found.skins == 2
    assert hole.place_mm[1] == pytest.approx(680.0, abs=12.0)
    for gaps in found.measured:
        assert gaps.crossings == ()
        assert gaps.smallest is None or gaps.smallest.gap_mm >= 9.95
        assert gaps.edges[0].gap_mm == pytest.approx(5.0, abs=0.05)
    # what was proposed is what the cage's own cut comes to
    cut = cut_for_bars(section_shell, caged(bar, found.holes))
    again = measure_bar(cut.shell, bar)
    assert again.crossings == ()
    assert again.edges[0].gap_mm == pytest.approx(found.measured[0].edges[0].gap_mm, abs=1e-3)


def test_a_bar_that_needs_no_hole_gets_none(section_shell):
    bar = straight((-911.0, 400.0, 200.0), (-911.0, -400.0, 203.0))
    found = propose_holes(section_shell, bar, gap_mm=10.0, landings_mm=(0.0, 0.0), both_sides=False)
    assert (found.holes, found.skins) == ((), 0)


def test_a_fit_may_go_aside_from_its_hole_but_other_bars_may_not(section_shell):
    bar = straight((-911.0, 400.0, 200.0), (-911.0, 800.0, 203.0))
    found = propose_holes(section_shell, bar, gap_mm=10.0, landings_mm=(0.0, 0.0), both_sides=False)
    cage = caged(bar, found.holes)
    aside = bar.with_nodes(bar.nodes + np.array([15.0, 0.0, 0.0]))
    assert measure_bar(cut_for_bars(section_shell, cage).shell, aside).edges[0].gap_mm < 0.0
    wide = measure_bar(shell_to_fit(section_shell, cage, "SK-L"), aside)
    assert wide.edges == ()
    assert wide.smallest is None or wide.smallest.gap_mm >= 10.0
    other = replace(aside, name="MH")
    assert measure_bar(shell_to_fit(section_shell, cage, "MH"), other).smallest.gap_mm < 0.0


def test_a_bar_that_cannot_be_bent_has_no_holes_and_stops_nothing(section_shell):
    bar = straight((-911.0, 400.0, 200.0), (-911.0, 800.0, 203.0))
    found = propose_holes(section_shell, bar, gap_mm=10.0, landings_mm=(0.0, 0.0), both_sides=False)
    cage = caged(bar, found.holes)
    folded = replace(cage.member("SK-L"), nodes_mm=((0.0, 0.0, 0.0), (100.0, 0.0, 0.0), (0.0, 0.0, 0.0)))
    assert holes_of(replace(cage, members=(folded,))) == ()
    assert cut_for_bars(section_shell, replace(cage, members=(folded,))).shell is section_shell
