"""Bars carried into a simple cabin: ways held to a general collision library, orders, and what does not go."""

import sys
from dataclasses import replace

import numpy as np
import pytest

from hoopwright.bars import Bar, as_nodes, centreline, skin_mesh
from hoopwright.cage import Cage, End, Member, Role, bar_of
from hoopwright.findings import UserError
from hoopwright.joints.ways.body import edge_at, part_of
from hoopwright.joints.ways.carried import PLAY_MM, carried
from hoopwright.joints.ways.held import held_by_copes
from hoopwright.joints.ways.openings import openings_of
from hoopwright.joints.ways.order import Step, Workplace, check_order, ends_on, find_order, groups_of
from hoopwright.joints.ways.planner import need_planner
from hoopwright.joints.ways.told import (
    WouldHelp,
    check_gap,
    chosen_openings,
    held_finding,
    order_findings,
    step_findings,
)
from hoopwright.joints.ways.way import find_way
from hoopwright.shell.moving import SLACK_MM, between, free_share, make_surroundings, placed
from hoopwright.tubes import TubeSize

pytest.importorskip("ompl")
TUBE = TubeSize(od_mm=40.0, wall_mm=2.5)
SHELL_END, LEFT_DOOR = End(kind="shell", landing_mm=100.0), (-1500.0, -300.0, True, 150.0, 950.0)
RIGHT_DOOR = (-1500.0, -300.0, False, 150.0, 950.0)
CABIN = np.array([-900.0, 0.0, 550.0])


def member(name, role, nodes, end_a=SHELL_END, end_b=SHELL_END):
    return Member(
        member_id=name,
        role=role,
        nodes_mm=as_nodes(nodes),
        tube=TUBE,
        die="40",
        clr_mm=120.0,
        end_a=end_a,
        end_b=end_b,
    )


def on(name):
    return End(kind="bar", on=name, landing_mm=60.0)


def small_cage():
    """A hoop that stands on the floor, a bar across it, and a brace from the hoop's top to the floor behind."""
    hoop = [(-1100.0, 500.0, 0.0), (-1100.0, 500.0, 900.0), (-1100.0, -500.0, 900.0), (-1100.0, -500.0, 0.0)]
    return Cage(
        members=(
            member("MH", Role.MAIN_HOOP, hoop),
            member(
                "HB",
                Role.HARNESS_BAR,
                [(-1100.0, 500.0, 500.0), (-1100.0, -500.0, 500.0)],
                on("MH"),
                on("MH"),
            ),
            member(
                "BS", Role.BACKSTAY, [(-1100.0, 300.0, 900.0), (-1700.0, 300.0, 0.0)], on("MH"), SHELL_END
            ),
        )
    )


def workplace(bodies, cage, doors=(LEFT_DOOR, RIGHT_DOOR), landmarks=None, **how):
    shell = bodies.shell_of(bodies.as_scan(bodies.cabin_soup(openings=doors)))
    around = make_surroundings(
        shell, np.array([-1900.0, -800.0, -100.0]), np.array([100.0, 800.0, 1200.0]), most_cells=400_000
    )
    openings = openings_of(shell, landmarks or {}, CABIN)
    return shell, Workplace(cage=cage, around=around, openings=openings, gap_mm=3.0, **how)


@pytest.fixture(scope="module")
def cabin(bodies):
    return workplace(bodies, small_cage())


@pytest.fixture(scope="module")
def order(cabin):
    _, place = cabin
    return find_order(place, groups_of(place.cage, ()))


def short_skin(bar, off_mm=70.0):
    """The bar's skin without its last 70 mm at each end, which are cut to what they land on."""
    nodes = bar.nodes.copy()
    for end, inner in ((0, 1), (-1, -2)):
        way = nodes[inner] - nodes[end]
        nodes[end] += off_mm * way / np.linalg.norm(way)
    return skin_mesh(replace(bar, nodes_mm=as_nodes(nodes)), around=24)


def as_model(vertices, triangles):
    fcl = pytest.importorskip("fcl")
    model = fcl.BVHModel()
    model.beginModel(len(vertices), len(triangles))
    model.addSubModel(np.asarray(vertices, dtype=np.float64), np.asarray(triangles))
    model.endModel()
    return fcl.CollisionObject(model, fcl.Transform())


def test_openings_are_seen_where_they_were_cut(cabin):
    _, place = cabin
    assert [one.name for one in place.openings] == ["door-left", "door-right"]
    left = place.openings[0]
    assert left.outward[1] > 0.99
    assert left.wide_mm == pytest.approx(1200.0, abs=130.0)
    assert left.high_mm == pytest.approx(800.0, abs=130.0)
    assert left.middle_mm[0] == pytest.approx(-900.0, abs=80.0)


def test_typed_corners_take_the_place_of_what_is_seen(cabin):
    shell, _ = cabin
    corners = {
        f"door_opening_{k}": place
        for k, place in enumerate(
            [
                (-300.0, 680.0, 150.0),
                (-1500.0, 680.0, 150.0),
                (-1500.0, 600.0, 950.0),
                (-300.0, 600.0, 950.0),
            ],
            1,
        )
    }
    found = {one.name: one for one in openings_of(shell, corners, CABIN)}
    assert found["door-left"].typed
    assert found["door-right"].typed
    assert found["door-left"].wide_mm == pytest.approx(1200.0)
    assert found["door-right"].outward[1] < -0.9


def test_an_order_is_found_in_which_bars_come_after_those_they_end_on(cabin, order):
    _, place = cabin
    assert order[0].group == ("MH",)
    assert {name for step in order for name in step.group} == {"MH", "HB", "BS"}
    for step in order:
        assert step.way.found
        assert set(ends_on(place.cage, step.group)) <= set(step.there)


def test_a_general_collision_library_finds_no_contact_on_any_way(cabin, order):
    """python-fcl, triangles against triangles, every 3 mm: the raw mesh, and the bars that are in already."""
    fcl = pytest.importorskip("fcl")
    shell, place = cabin
    corners = shell.prepared.tree.corners.reshape(-1, 3).astype(np.float64)
    metal = as_model(corners, np.arange(len(corners)).reshape(-1, 3))
    for step in order:
        skin = short_skin(bar_of(place.cage, step.group[0]))
        middle = step.way.carried.body.middle_mm
        there = [short_skin(bar_of(place.cage, name), 0.0) for name in step.there]
        obstacles = [metal, *(as_model(one.vertices_mm, one.triangles) for one in there)]
        moved = as_model(skin.vertices_mm - middle, skin.triangles)
        for start, end in zip(step.way.fine[:-1], step.way.fine[1:], strict=True):
            for share in np.linspace(0.0, 1.0, 5):
                pose = between(start, end, float(share))
                x, y, z, w = pose[3:]
                moved.setTransform(fcl.Transform(np.array([w, x, y, z]), pose[:3] + middle))
                for obstacle in obstacles:
                    result = fcl.CollisionResult()
                    fcl.collide(moved, obstacle, fcl.CollisionRequest(), result)
                    assert not result.is_collision, (step.group, share)


def test_a_way_ends_at_the_place_and_starts_outside(order):
    for step in order:
        way = step.way
        assert np.allclose(way.poses[-1], [0.0, 0.0, 0.0, 0.0, 0.0, 0.0, 1.0])
        places = placed(way.carried.part.places_mm, way.carried.body.middle_mm, way.poses[0])
        assert (np.abs(places[:, 1]) > 680.0).all()
        assert way.tightest.clearance_mm >= 3.0 - 0.5


def test_ears_rub_on_their_headers_by_no_more_than_the_play(cabin, order):
    """Whatever is cut to the hoop, its end's edge never goes deeper into the hoop than 1 mm and the slack of a step."""
    _, place = cabin
    hoop = centreline(bar_of(place.cage, "MH"))
    for name in ("HB", "BS"):
        way = next(step.way for step in order if step.group == (name,))
        edge = np.concatenate([edge_at(place.cage, name, letter) for letter in ("A", "B")])
        for pose in way.fine[::2]:
            there = placed(edge, way.carried.body.middle_mm, pose)
            assert min(hoop.distance_to_mm(point) for point in there) >= 20.0 - PLAY_MM - SLACK_MM - 0.05


def test_a_way_in_is_a_way_out(cabin, order):
    _, place = cabin
    step = order[0]
    around = place.around.with_capsules(())
    for start, end in zip(step.way.poses[:-1], step.way.poses[1:], strict=True):
        assert free_share(around, step.way.carried.body, end, start) >= 1.0


def test_the_same_question_has_the_same_answer(cabin, order):
    _, place = cabin
    again = place.way_of(order[1].group, order[1].there)
    assert [tuple(pose) for pose in again.poses] == [tuple(pose) for pose in order[1].way.poses]


def test_the_mirrored_bar_goes_the_mirrored_way(cabin, order):
    """The cabin is its own mirror image: every pose of the left brace, mirrored, is free for the right one."""
    _, place = cabin
    step = next(one for one in order if one.group == ("BS",))
    other = replace(
        place.cage.member("BS"),
        nodes_mm=as_nodes(place.cage.member("BS").nodes_mm * np.array([1.0, -1.0, 1.0])),
    )
    cage = replace(place.cage, members=(place.cage.members[0], place.cage.members[1], other))
    mirrored = carried(
        replace(place, cage=cage).around.with_capsules(place.around.with_capsules(()).capsules),
        part_of(cage, ["BS"]),
        3.0,
    )
    flip = np.array([1.0, -1.0, 1.0, -1.0, 1.0, -1.0, 1.0])
    around = place.around.with_capsules(())
    for start, end in zip(step.way.poses[:-2], step.way.poses[1:-1], strict=True):
        # the walls' triangles are cut otherwise on the two sides, and the balls round the edge start elsewhere
        assert free_share(around, replace(mirrored.body, gap_mm=1.5), start * flip, end * flip) >= 1.0


def test_a_part_tacked_together_goes_in_as_one(cabin):
    _, place = cabin
    groups = groups_of(place.cage, (("MH", "HB"),))
    assert groups == (("MH", "HB"), ("BS",))
    assert ends_on(place.cage, ("MH", "HB")) == ()
    steps = find_order(place, groups)
    assert [step.group for step in steps] == [("MH", "HB"), ("BS",)]
    assert all(step.way.found for step in steps)


def test_a_typed_order_with_a_bar_before_its_header_is_told(cabin):
    _, place = cabin
    steps = check_order(place, (("HB",), ("MH",), ("BS",)))
    assert steps[0].too_early_for == ("MH",)
    codes = [one.code for one in step_findings(steps[0], WouldHelp(), place.openings, str)]
    assert codes == ["WAY-005"]
    assert steps[2].too_early_for == ()


def test_orders_that_cannot_be():
    cage = small_cage()
    with pytest.raises(UserError) as twice:
        order_findings(cage, ("MH", "HB", "MH"))
    assert [one.code for one in twice.value.findings] == ["WAY-006"]
    assert [one.code for one in order_findings(cage, ("MH", "BS"))] == ["WAY-007"]
    assert order_findings(cage, ("MH", "HB", "BS")) == ()
    with pytest.raises(UserError) as unknown:
        order_findings(cage, ("MH", "XX"))
    assert [one.code for one in unknown.value.findings] == ["CAGE-001"]


def test_a_closed_cabin_has_no_opening(bodies):
    _, place = workplace(bodies, small_cage(), doors=())
    assert place.openings == ()
    with pytest.raises(UserError) as none:
        chosen_openings(place.openings, ())
    assert [one.code for one in none.value.findings] == ["WAY-002"]


def test_an_opening_that_is_not_known(cabin):
    _, place = cabin
    with pytest.raises(UserError) as unknown:
        chosen_openings(place.openings, ("screen",))
    assert [one.code for one in unknown.value.findings] == ["WAY-003"]
    assert [one.name for one in chosen_openings(place.openings, ("door-right",))] == ["door-right"]


@pytest.mark.parametrize("gap_mm", [0.0, -3.0, 0.49, 101.0, float("nan"), float("inf")])
def test_clearances_that_cannot_be(gap_mm):
    with pytest.raises(UserError) as refused:
        check_gap(gap_mm)
    assert [one.code for one in refused.value.findings] == ["WAY-011"]


def test_without_the_planner_it_says_how_to_get_it(monkeypatch):
    monkeypatch.setitem(sys.modules, "ompl", None)
    with pytest.raises(UserError) as missing:
        need_planner()
    assert [one.code for one in missing.value.findings] == ["WAY-001"]
    assert "hoopwright[motion]" in missing.value.findings[0].todo


def test_a_bar_drawn_through_a_wall_is_not_looked_for(cabin):
    _, place = cabin
    through = member("X", Role.DOOR_BAR, [(-100.0, 0.0, 500.0), (-100.0, 900.0, 500.0)], End(), End())
    cage = replace(place.cage, members=(*place.cage.members, through))
    way = replace(place, cage=cage).way_of(("X",), ())
    assert not way.found
    assert way.foul.depth_mm == pytest.approx(20.0, abs=1.0)
    step = Step(group=("X",), there=(), way=way)
    assert [one.code for one in step_findings(step, WouldHelp(), place.openings, lambda _: "wall")] == [
        "WAY-004"
    ]


def test_a_ring_too_large_for_its_hole_is_told_without_claiming_proof(bodies):
    slit = (-1000.0, -400.0, True, 300.0, 620.0)
    _, place = workplace(bodies, small_cage(), doors=(slit,), trials=150)
    way = place.way_of(("MH",), ())
    assert not way.found
    step = Step(group=("MH",), there=(), way=way)
    found = step_findings(step, WouldHelp(in_two=True), place.openings, str)
    assert [one.code for one in found] == ["WAY-013"]
    assert "no proof" in found[0].sentence
    assert "two pieces" in found[0].todo


def test_a_bar_wedged_in_by_others_stays(cabin):
    """Posts round a short bar on every side, nearer than the clearance that it keeps."""
    _, place = cabin
    inner = member("IN", Role.DASH_BAR, [(-600.0, -150.0, 500.0), (-600.0, 150.0, 500.0)], End(), End())
    cage = [inner]
    for k, (f, u) in enumerate([(-560.5, 500.0), (-639.5, 500.0), (-600.0, 539.5), (-600.0, 460.5)]):
        at = [(f, -200.0, u), (f, 200.0, u)]
        cage.append(member(f"P{k}", Role.DASH_BAR, at, End(), End()))
    for k, side in enumerate((-191.0, 191.0)):
        cage.append(
            member(f"Q{k}", Role.DASH_BAR, [(-600.0, side, 300.0), (-600.0, side, 700.0)], End(), End())
        )
    boxed = replace(place, cage=Cage(members=tuple(cage)), trials=100)
    there = tuple(one.member_id for one in cage[1:])
    way = boxed.way_of(("IN",), there)
    assert not way.found
    assert way.off == 0 or way.trials > 0


def test_copes_between_parallel_bars_hold():
    held = held_by_copes(small_cage(), "HB")
    assert held.is_held
    assert np.abs(held.along) == pytest.approx([0.0, 0.0, 1.0], abs=0.02)
    # a tube coped to one of its own size reaches round it by its radius: R - sqrt(R^2 - r^2) = R
    assert [end.ears_mm for end in held.ends] == pytest.approx([20.0, 20.0], abs=0.3)
    brace = held_by_copes(small_cage(), "BS")
    assert not brace.is_held


def test_what_holds_it_is_told(cabin, order):
    step = next(one for one in order if one.group == ("HB",))
    told = held_finding(held_by_copes(small_cage(), "HB"), step.way)
    assert told.code == "WAY-008"
    assert "coped at both ends" in told.sentence
    assert "turned by" in told.sentence


def test_a_free_rod_needs_no_landing(cabin):
    _, place = cabin
    bar = Bar(name="R", nodes_mm=((-900.0, -200.0, 500.0), (-900.0, 200.0, 500.0)), clr_mm=100.0, tube=TUBE)
    rod = member("R", Role.DASH_BAR, bar.nodes_mm, End(), End())
    cage = Cage(members=(rod,))
    way = find_way(
        place.around.with_capsules(()), part_of(cage, ["R"]), place.openings, gap_mm=20.0, seed=3, trials=2000
    )
    assert way.found
    assert way.straight
    assert way.tightest.clearance_mm >= 20.0 - 0.5
