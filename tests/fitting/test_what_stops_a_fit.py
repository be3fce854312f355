"""What stops a fit or must be told of it: each is caught with its place and number, in a section that is known."""

from dataclasses import replace

import pytest

from hoopwright.bars import Bar
from hoopwright.findings import UserError
from hoopwright.fitting.bar_task import BarTask, FitEnd
from hoopwright.fitting.binding import what_binds
from hoopwright.fitting.ground import survey
from hoopwright.fitting.not_scanned import not_scanned
from hoopwright.fitting.tradeoff import fit_bar
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
SIDE = BarTask(
    name="SB",
    tube=TUBE,
    clr_mm=137.5,
    end_a=FitEnd(place_mm=(-150.0, 630.0, 60.0)),
    end_b=FitEnd(place_mm=(-1500.0, 480.0, 1080.0)),
    gap_mm=6.0,
)


def stopped(shell, task):
    with pytest.raises(UserError) as stop:
        survey(shell, task)
    return stop.value.findings[0]


def test_a_gap_wider_than_the_car_is_told_with_the_most_that_there_is(section_shell):
    found = stopped(section_shell, replace(SIDE, gap_mm=900.0))
    assert found.code == "FIT-038"
    assert found.limit == 900.0
    # half the width of the section, less half the tube, is more than any place in it has
    assert 200.0 < found.measured < 680.0 - 22.5


def test_a_gap_without_room_along_the_way_tells_how_much_there_is(section_shell):
    long = [replace(end, landing_mm=500.0) for end in (SIDE.end_a, SIDE.end_b)]
    task = replace(SIDE, end_a=long[0], end_b=long[1])
    found = stopped(section_shell, replace(task, gap_mm=380.0))
    assert found.code == "FIT-031"
    assert 0.0 < found.measured < 380.0
    assert survey(section_shell, replace(task, gap_mm=found.measured * 0.9)) is not None


def test_a_way_through_an_opening_is_named_where_it_leaves(bodies):
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(openings=[(-1000, -500, True, 100, 600)])))
    task = replace(SIDE, rough_mm=((-500.0, 640.0, 250.0), (-750.0, 800.0, 350.0), (-1000.0, 640.0, 450.0)))
    found = stopped(shell, task)
    assert found.code == "FIT-039"
    assert "through an opening on the left side" in found.sentence
    # the wall stands at 680 and the pick 800 out: the bend's corner is cut by the radius
    assert found.point_mm[1] == pytest.approx(680.0, abs=15.0)
    assert 30.0 < found.measured <= 120.0
    # where the wall is whole the same way goes through metal
    whole = bodies.shell_of(bodies.as_scan(bodies.section_soup()))
    assert "through 'left" in stopped(whole, task).sentence


def test_picks_on_the_skin_do_not_leave_the_car(section_shell):
    task = replace(SIDE, rough_mm=((-400.0, 690.0, 350.0), (-900.0, 690.0, 600.0), (-1300.0, 580.0, 1000.0)))
    assert survey(section_shell, task) is not None


def test_an_end_deep_in_metal_is_told_with_its_landing(section_shell):
    # 150 mm behind the wall: room begins 180 mm away, the landing is 100 mm
    task = replace(SIDE, end_a=FitEnd(place_mm=(-150.0, 830.0, 300.0), landing_mm=100.0))
    found = stopped(section_shell, task)
    assert found.code == "FIT-049"
    assert found.limit == 100.0
    assert found.measured == pytest.approx(150.0 + 28.5, abs=35.0)
    assert survey(section_shell, replace(task, end_a=FitEnd(place_mm=(-150.0, 700.0, 300.0)))) is not None


def test_the_side_that_was_not_scanned_is_told_with_its_stretch(bodies):
    shell = bodies.shell_of(bodies.as_scan(bodies.section_soup(openings=[(-1300, -500, True, 0, 1000)])))
    bar = Bar(name="X", nodes_mm=((-200.0, 645.0, 300.0), (-1600.0, 645.0, 300.0)), clr_mm=137.5, tube=TUBE)
    [found] = not_scanned(shell, bar, (60.0, 60.0))
    assert found.code == "FIT-047"
    # five rays fan out, so that the edges of the hole are seen from 20 mm steps
    assert found.measured == pytest.approx(800.0, abs=60.0)
    assert "the other side of the car shows metal there" in found.sentence
    right = replace(bar, nodes_mm=tuple((f, -left, up) for f, left, up in bar.nodes_mm))
    assert not_scanned(shell, right, (60.0, 60.0)) == ()


def test_the_limit_that_binds_is_named_with_what_would_do(section_shell):
    # legs of 1100 mm and bends of 137.5 mm radius do not go under a roof at 1118
    foot = (-900.0, 610.0, 0.0)
    hoop = BarTask(
        name="MH",
        tube=TUBE,
        clr_mm=137.5,
        end_a=FitEnd(place_mm=foot),
        end_b=FitEnd(place_mm=(-900.0, -610.0, 0.0)),
        gap_mm=8.0,
        clamp_mm=1100.0,
        rough_mm=(
            (-900.0, 640.0, 620.0),
            (-900.0, 505.0, 1085.0),
            (-900.0, -505.0, 1085.0),
            (-900.0, -640.0, 620.0),
        ),
        plane=(foot, (1.0, 0.0, 0.0)),
        symmetric=True,
    )
    offer = fit_bar(section_shell, hoop, (2,)).offers[0]
    assert not offer.holds
    found = what_binds(section_shell, hoop, offer)
    assert found.code == "FIT-048"
    needed = float(found.sentence.split("a clamp of ")[1].split(" ")[0])
    # with that clamp there is a hoop that holds, as said; the roof leaves a leg less than its height
    assert 0.0 <= needed < 1118.0 - 22.5 - 8.0
    assert fit_bar(section_shell, replace(hoop, clamp_mm=max(0.0, needed - 1.0)), (2,)).offers[0].holds
