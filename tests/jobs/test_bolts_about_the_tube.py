"""The angle between neighbouring bolts of a foot, worked out by hand from where their holes are."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar
from hoopwright.cage import Cage, End, Foot, Landing, LandingKind, Member, Role
from hoopwright.geometry import Plane, unit_vector
from hoopwright.jobs.landings import LandedFoot
from hoopwright.jobs.rule_facts.bolts import bolt_measures, spacing_deg
from hoopwright.jobs.rule_facts.scene import Scene
from hoopwright.joints.flat import FlatPart
from hoopwright.joints.landing import Face, FittedLanding
from hoopwright.joints.landing.fit import fit_landing
from hoopwright.store import Project
from hoopwright.store.build_records import HandMeasure
from hoopwright.tubes import TubeSize

UP = np.array([0.0, 0.0, 1.0])
CORNERS = ((50.0, 30.0, 0.0), (-50.0, 30.0, 0.0), (-50.0, -30.0, 0.0), (50.0, -30.0, 0.0))
TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
NODES = ((0.0, 0.0, 0.0), (0.0, 0.0, 600.0))


def plate(bolts_mm, plane=None):
    plane = plane or Plane.through((0.0, 0.0, 0.0), (0.0, 0.0, 1.0))
    outline = np.array([(60, 40, 0), (-60, 40, 0), (-60, -40, 0), (60, -40, 0)], dtype=float)
    part = FlatPart(name="p", thickness_mm=3.0, outline_mm=outline[:, :2])
    face = Face(name="sole", region="", plane=plane, outline_mm=outline, area_mm2=9600.0, gap=None)
    landing = Landing(bar_id="MH", end="A", kind=LandingKind.PLATE, bolts=len(bolts_mm), bolt_mm=8.0)
    return FittedLanding(
        landing=landing, bar_id="MH", end="A", length_mm=120.0, width_mm=80.0, wall_mm=0.0, faces=(face,),
        area_mm2=9600.0, mass_kg=part.mass_kg, moved_mm=(0.0, 0.0), cut=None, parts=(part,), findings=(),
        bolts_mm=tuple(bolts_mm),
    )  # fmt: skip


def test_bolts_at_the_corners_of_a_plate_under_an_upright_leg():
    # from the middle, the corners stand at atan(30/50) to either side of the long axis
    least = 2.0 * math.degrees(math.atan2(30.0, 50.0))
    assert spacing_deg(plate(CORNERS), np.zeros(3), UP) == pytest.approx((least, least))


def test_three_bolts_evenly_and_two_across():
    even = [
        (40.0 * math.cos(t), 40.0 * math.sin(t), 0.0) for t in (0.0, 2.0 * math.pi / 3, 4.0 * math.pi / 3)
    ]
    assert spacing_deg(plate(even), np.zeros(3), UP) == pytest.approx((120.0, 120.0))
    assert spacing_deg(plate(CORNERS[::2]), np.zeros(3), UP) == pytest.approx((180.0, 180.0))


def test_a_leaning_leg_sees_the_plate_foreshortened():
    # leaning 60 degrees toward the long axis: its 50 become 25 along the tube, the 30 across stay
    axis = np.array([math.sin(math.radians(60.0)), 0.0, math.cos(math.radians(60.0))])
    along, square = spacing_deg(plate(CORNERS), 100.0 * axis, axis)
    assert along == pytest.approx(2.0 * math.degrees(math.atan2(25.0, 30.0)))
    assert square == pytest.approx(2.0 * math.degrees(math.atan2(30.0, 50.0)))


def test_a_bolt_under_the_tube_or_a_leg_along_the_plate_has_no_angle():
    assert spacing_deg(plate([(0.2, 0.0, 0.0), (50.0, 0.0, 0.0)]), np.zeros(3), UP) is None
    assert spacing_deg(plate(CORNERS), np.zeros(3), np.array([1.0, 0.0, 0.05])) is None


def measured(fitted, *, counted=None):
    """What is told of foot A of a bar that stands on a bolted plate."""
    member = Member(
        member_id="MH", role=Role.MAIN_HOOP, nodes_mm=NODES, tube=TUBE, die="x", clr_mm=137.5,
        end_a=End(kind="shell"),
    )  # fmt: skip
    landing = Landing(bar_id="MH", end="A", kind=LandingKind.PLATE, bolts=4, bolt_mm=8.0)
    hand = HandMeasure(
        about="MH foot A", name="bolts", bend=0, measured=counted, other=None, date="2026-01-01"
    )
    scene = Scene(
        project=Project(name="car"), cage=Cage(members=(member,), landings=(landing,)), paths={}, meetings=(),
        bars={"MH": Bar(name="MH", nodes_mm=NODES, clr_mm=137.5, tube=TUBE)},
        by_hand={} if counted is None else {("MH foot A", "bolts", 0): hand},
    )  # fmt: skip
    landed = (LandedFoot(foot=Foot(bar_id="MH", end="A", landing=landing), fitted=fitted, findings=()),)
    return list(bolt_measures(scene, landed))


def test_a_fitted_plate_is_measured_and_one_that_is_not_says_how_to():
    (found,) = measured(plate(CORNERS))
    assert (found.about, found.role) == ("MH foot A", Role.MAIN_HOOP)
    assert found.measured == pytest.approx(2.0 * math.degrees(math.atan2(30.0, 50.0)))
    for unknown in (measured(None), measured(plate(CORNERS), counted=3.0)):
        (found,) = unknown
        assert found.measured is None
        assert found.missing == (
            "measure it by hand: hoopwright measured PROJECT 'MH foot A' --value 'bolt spacing=...'"
        )
    assert measured(plate(CORNERS), counted=0.0) == []


def test_a_plate_on_a_level_floor_tells_where_its_bolts_are(bodies):
    cabin = bodies.shell_of(bodies.as_scan(bodies.cabin_soup()))
    nodes = ((-900.0, 200.0, 0.0), (-900.0, 200.0, 500.0))
    bar = Bar(name="L", nodes_mm=nodes, clr_mm=137.5, tube=TUBE)
    landing = Landing(bar_id="L", end="A", length_mm=160.0, width_mm=100.0, bolts=4, bolt_mm=8.0)
    fitted = fit_landing(cabin, bar, landing)
    # two diameters in from each edge: 64 and 34 from the leg, on the floor at 0
    offsets = np.abs(np.array(fitted.bolts_mm) - bar.nodes[0])
    assert np.sort(offsets, axis=1) == pytest.approx(np.tile([0.0, 34.0, 64.0], (4, 1)), abs=1e-3)
    least = 2.0 * math.degrees(math.atan2(34.0, 64.0))
    found = spacing_deg(fitted, bar.nodes[0], unit_vector(bar.nodes[1] - bar.nodes[0]))
    assert found == pytest.approx((least, least), abs=1e-3)
