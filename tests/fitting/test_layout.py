"""A first cage in a plain closed cabin and in the demo car: clear of the metal, and bendable."""

import numpy as np
import pytest

from hoopwright.bars import centreline, check_bendable
from hoopwright.cage import Driver, Limits, Role, bars_of
from hoopwright.democar import DemoCar, build_demo_scan
from hoopwright.findings import Severity, UserError
from hoopwright.fitting import LayoutWishes, lay_out_cage
from hoopwright.fitting.measuring import as_tube
from hoopwright.geometry import Transform
from hoopwright.shell.clearance import measure_gaps

CABIN = {
    "hoop_foot": (-1000.0, 640.0, 5.0),
    "front_foot": (-150.0, 640.0, 60.0),
    "screen_corner": (-500.0, 560.0, 1080.0),
    "backstay_foot": (-1700.0, 450.0, 300.0),
}


def check_cage(shell, layout, limits):
    """Judged as a stranger would: every bar on its own, finely, with libraries' distances behind it."""
    bars = bars_of(layout.cage)
    for name, bar in bars.items():
        member = layout.cage.member(name)
        tube = as_tube(bar, landing_a_mm=member.end_a.landing_mm, landing_b_mm=member.end_b.landing_mm)
        gaps = measure_gaps(shell, [tube], spacing_mm=1.0)[0]
        assert gaps.smallest is None or gaps.smallest.gap_mm > limits.gap_mm - 0.1, name
        assert gaps.crossings == (), name
        assert gaps.outside == (), name
        stops = [f for f in check_bendable(bar, clamp_mm=limits.clamp_mm) if f.severity is Severity.STOP]
        assert stops == [], name
    return bars


@pytest.fixture(scope="module")
def cabin(bodies):
    return bodies.shell_of(bodies.as_scan(bodies.cabin_soup(piece_mm=40.0)))


@pytest.mark.parametrize("gap_mm", [10.0, pytest.param(25.0, marks=pytest.mark.slow)])
def test_in_a_plain_cabin(cabin, gap_mm):
    limits = Limits(gap_mm=gap_mm, clamp_mm=60.0)
    layout = lay_out_cage(cabin, CABIN, LayoutWishes(lean_deg=3.0, limits=limits))
    assert layout.findings == ()
    bars = check_cage(cabin, layout, limits)
    roles = [member.role for member in layout.cage.members]
    for role, count in (
        (Role.MAIN_HOOP, 1), (Role.SIDE_BAR, 2), (Role.BACKSTAY, 2), (Role.SCREEN_BAR, 1),
        (Role.HOOP_DIAGONAL, 1),
    ):  # fmt: skip
        assert roles.count(role) == count, role
    # whole, or in pieces where another bar passes
    assert roles.count(Role.HARNESS_BAR) >= 1
    assert roles.count(Role.DOOR_BAR) >= 2
    nodes = bars["MH"].nodes
    # in one plane that leans 3 degrees rearward, and symmetric
    assert nodes[:, 0] + np.tan(np.radians(3.0)) * (nodes[:, 2] - nodes[0, 2]) == pytest.approx(nodes[0, 0])
    assert nodes[0] == pytest.approx(nodes[-1] * [1.0, -1.0, 1.0])
    assert layout.cage.landmarks["hoop_foot"] == CABIN["hoop_foot"]
    assert layout.cage.limits == limits


@pytest.fixture(scope="module")
def plain(cabin):
    return lay_out_cage(cabin, CABIN, LayoutWishes())


def test_every_end_on_a_bar_lies_on_that_bar(plain):
    layout, bars = plain, bars_of(plain.cage)
    ends = 0
    for member in layout.cage.members:
        nodes = bars[member.member_id].nodes
        for end, place in ((member.end_a, nodes[0]), (member.end_b, nodes[-1])):
            if end.kind == "bar":
                path = as_tube(bars[end.on]).path
                on = path.at(np.linspace(0.0, path.length_mm, 20_000))
                assert np.linalg.norm(on - place, axis=1).min() < 25.0, (member.member_id, end.on)
                ends += 1
    assert ends >= 10


def test_the_same_wishes_give_the_same_cage_and_right_landmarks_are_taken_for_left(cabin, plain):
    right = {name: (f, -left, up) for name, (f, left, up) in CABIN.items()}
    assert bars_of(lay_out_cage(cabin, right, LayoutWishes()).cage) == bars_of(plain.cage)


def test_a_missing_landmark_and_no_roof_are_told(cabin, bodies):
    with pytest.raises(UserError) as stopped:
        lay_out_cage(cabin, {k: v for k, v in CABIN.items() if k != "front_foot"}, LayoutWishes())
    (finding,) = stopped.value.findings
    assert finding.code == "FIT-003"
    assert "front_foot" in finding.sentence
    soup = bodies.section_soup()
    open_top = bodies.shell_of(bodies.as_scan(soup[soup[:, :, 2].max(axis=1) < 1000.0]))
    with pytest.raises(UserError) as stopped:
        lay_out_cage(open_top, CABIN, LayoutWishes())
    assert [f.code for f in stopped.value.findings] == ["FIT-002"]


@pytest.mark.slow
def test_in_the_demo_car(bodies):
    car = build_demo_scan(DemoCar(spacing_mm=20.0))
    shell = bodies.shell_of(
        bodies.as_scan(car.triangles),
        Transform(
            rotation=car.pose.inverse().rotation,
            shift_mm=car.pose.inverse().shift_mm,
            source="scan",
            target="vehicle",
        ),
    )
    places = {
        "hoop_foot": car.landmarks["left_hoop_foot"],
        "front_foot": car.landmarks["left_a_pillar_foot"],
        "screen_corner": car.landmarks["left_a_pillar_top"],
        "backstay_foot": car.landmarks["left_rear_strut_top"],
    }
    layout = lay_out_cage(shell, places, LayoutWishes())
    stops = [finding for finding in layout.findings if finding.severity is Severity.STOP]
    assert stops == []
    check_cage(shell, layout, LayoutWishes().limits)


def helmet(place_mm, padding_mm=25.0):
    return Driver(name="Ada", helmet_mm=place_mm, helmet_radius_mm=140.0, padding_mm=padding_mm)


def room_of(cage, driver):
    """Least room from every bar's padded skin to the helmet, by plain distances to a dense axis."""
    rooms = {}
    for name, bar in bars_of(cage).items():
        axis = centreline(bar).at(np.linspace(0.0, centreline(bar).length_mm, 4000))
        away = np.linalg.norm(axis - np.array(driver.helmet_mm), axis=1).min()
        rooms[name] = away - driver.helmet_radius_mm - bar.tube.od_mm / 2.0 - driver.padding_mm
    return rooms


@pytest.mark.parametrize("name", ["SB-L", "DB1-L"])
def test_bars_keep_their_padding_clear_of_a_driver_or_are_told(cabin, plain, name):
    """A helmet that reaches into a bar of the plain layout: the bar goes round it, or it is told."""
    forward, left, up = (float(x) for x in bars_of(plain.cage)[name].nodes[:2].mean(axis=0))
    driver = helmet((forward, left - (140.0 + 22.5 + 25.0 - 12.0), up))
    before = room_of(plain.cage, driver)[name]
    assert before < -5.0
    layout = lay_out_cage(cabin, CABIN, LayoutWishes(), drivers=(driver,))
    assert layout.cage.drivers == (driver,)
    rooms = room_of(layout.cage, driver)
    told = {finding.objects[0]: finding for finding in layout.findings if finding.code == "FIT-058"}
    for bar, room in rooms.items():
        assert (room < -0.05) == (bar in told), bar
        if bar in told:
            assert told[bar].measured == pytest.approx(room + 25.0, abs=0.1)
            assert told[bar].limit == 25.0
    assert rooms[name] > before + 4.0 or name in told


def test_a_driver_who_fills_the_cabin_is_told(cabin):
    driver = helmet((-1000.0, 0.0, 1050.0), padding_mm=30.0)
    layout = lay_out_cage(cabin, CABIN, LayoutWishes(), drivers=(driver,))
    (finding,) = [f for f in layout.findings if f.code == "FIT-058" and f.objects[0] == "MH"]
    assert "helmet" in finding.sentence
    assert finding.measured < 30.0
