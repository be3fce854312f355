"""Landings on a cabin whose every plane is known: floor at 0, side walls at 680, end walls at 0 and -1800."""

import math
import re

import numpy as np
import pytest

from hoopwright.bars import Bar
from hoopwright.cage import Cage, Landing, LandingKind, Member, Role
from hoopwright.findings import UserError
from hoopwright.joints.landing.fit import fit_landing, usual_landing
from hoopwright.joints.landing.together import held_together
from hoopwright.joints.landing.told_gaps import moved_words
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)


def leg(foot, top=None, name="T"):
    foot = np.array(foot, dtype=float)
    top = foot + np.array([0.0, 0.0, 500.0]) if top is None else np.array(top, dtype=float)
    return Bar(name=name, nodes_mm=(tuple(foot), tuple(top)), clr_mm=137.5, tube=TUBE)


def sheet(u, v, place):
    """Triangles of a sheet over two rasters; `place` takes two arrays to places."""
    grid = place(*np.meshgrid(u, v, indexing="ij"))
    a, b, c, d = grid[:-1, :-1], grid[1:, :-1], grid[1:, 1:], grid[:-1, 1:]
    return np.stack([np.stack([a, b, c], axis=2), np.stack([a, c, d], axis=2)], axis=2).reshape(-1, 3, 3)


def floor(height=lambda x, y: 0.0 * x, *, hole=None, y_to=680.0):
    x, y = np.arange(-1800.0, 1.0, 10.0), np.arange(-y_to, y_to + 1.0, 10.0)
    soup = sheet(x, y, lambda u, v: np.stack([u, v, height(u, v)], axis=-1))
    if hole is not None:
        middle = soup.mean(axis=1)
        (x0, y0), radius = hole
        soup = soup[np.hypot(middle[:, 0] - x0, middle[:, 1] - y0) > radius]
    return soup


@pytest.fixture(scope="module")
def cabin(bodies):
    return bodies.shell_of(bodies.as_scan(bodies.cabin_soup()))


@pytest.fixture
def with_floor(bodies):
    def build(soup, *more):
        return bodies.shell_of(bodies.as_scan(np.concatenate([bodies.section_soup(), soup, *more])))

    return build


def codes(fitted):
    return [found.code for found in fitted.findings]


def of(fitted, code):
    return next(found for found in fitted.findings if found.code == code)


def test_a_folded_plate_lies_on_floor_and_wall(cabin):
    fitted = fit_landing(
        cabin, leg((-900.0, 620.0, 0.0)), Landing(
            bar_id="T", end="A", kind=LandingKind.FOLDED, length_mm=120.0, width_mm=110.0, wall_mm=60.0
        ),
    )  # fmt: skip
    sole, wall = fitted.faces
    assert np.abs(sole.outline_mm[:, 2]).max() < 1e-3
    assert np.abs(wall.outline_mm[:, 1] - 680.0).max() < 1e-3
    assert sole.area_mm2 == pytest.approx(120.0 * 110.0, rel=1e-5)
    assert wall.area_mm2 == pytest.approx(120.0 * 60.0, rel=1e-5)
    assert fitted.area_mm2 == pytest.approx(20_400.0, rel=1e-5)
    for face in fitted.faces:
        assert face.gap.largest_mm < 0.01
        assert face.gap.seen_ratio == 1.0
    (part,) = fitted.parts
    assert part.folds[0].angle_deg == pytest.approx(90.0, abs=0.01)
    # both to the mold line, less twice the setback of 6, and the allowance
    allowance = math.pi / 2.0 * (3.0 + 0.447 * 3.0)
    sides = sorted(np.ptp(part.outline_mm, axis=0))
    assert sides == pytest.approx([120.0, 110.0 + 60.0 - 12.0 + allowance], abs=0.05)
    assert fitted.cut.shorten_mm == pytest.approx(3.0, abs=0.01)
    assert fitted.findings == ()


def test_the_side_is_of_no_account(cabin):
    """The mirrored foot has the mirrored plate."""
    left, right = (
        fit_landing(
            cabin, leg((-900.0, side * 620.0, 0.0)), Landing(bar_id="T", end="A", kind=LandingKind.FOLDED)
        )
        for side in (1.0, -1.0)
    )
    assert left.area_mm2 == pytest.approx(right.area_mm2, rel=1e-4)
    assert np.abs(right.faces[1].outline_mm[:, 1] + 680.0).max() < 1e-3


def test_usual_kinds(cabin):
    assert usual_landing(cabin, leg((-900.0, 620.0, 0.0)), "A").kind is LandingKind.FOLDED
    assert usual_landing(cabin, leg((-900.0, 300.0, 0.0)), "A").kind is LandingKind.PLATE


def test_a_corner_takes_two_folds_or_says_so(cabin):
    """Near the front wall at 0 the sole would run into it: a second fold, or a finding where one is allowed."""
    bar = leg((-40.0, 630.0, 0.0))
    asked = Landing(bar_id="T", end="A", kind=LandingKind.FOLDED, length_mm=140.0, width_mm=110.0)
    two = fit_landing(cabin, bar, asked)
    assert [face.name for face in two.faces] == ["sole", "wall", "second wall"]
    assert len(two.parts[0].folds) == 2
    assert np.abs(two.faces[2].outline_mm[:, 0]).max() < 1e-3
    assert two.faces[0].outline_mm[:, 0].max() == pytest.approx(0.0, abs=1e-3)
    once = Landing(**{**vars(asked), "most_folds": 1})
    moved = fit_landing(cabin, bar, once)
    assert "LAND-013" not in codes(moved)
    assert moved.faces[0].outline_mm[:, 0].max() < 0.0
    found = of(fit_landing(cabin, leg((-28.0, 630.0, 0.0)), once), "LAND-013")
    assert (found.measured, found.limit) == (2.0, 1.0)
    assert "shorter" in found.todo
    assert "2 folds, and 1 is allowed" in found.sentence


def test_a_flat_plate_moves_off_the_wall_while_the_leg_stands_on_it(cabin):
    fitted = fit_landing(
        cabin, leg((-900.0, 630.0, 0.0)), Landing(bar_id="T", end="A", length_mm=120.0, width_mm=120.0)
    )
    outline = fitted.faces[0].outline_mm
    assert outline[:, 1].max() <= 680.0
    assert outline[:, 1].max() >= 630.0 + 22.5 + 10.0
    assert "LAND-013" not in codes(fitted)


def test_a_plate_over_a_hole(with_floor):
    shell = with_floor(floor(hole=((-930.0, 300.0), 45.0)))
    fitted = fit_landing(
        shell, leg((-900.0, 300.0, 0.0)), Landing(bar_id="T", end="A", length_mm=120.0, width_mm=100.0)
    )
    found = of(fitted, "LAND-011")
    assert found.measured > 5.0
    better = of(fitted, "LAND-028")
    assert 10.0 < better.measured < 120.0


def walked(todo):
    """The way that a todo says to move a foot, in vehicle axes."""
    ways = {
        "forward": (0, 1),
        "back": (0, -1),
        "left": (1, 1),
        "right": (1, -1),
        "up": (2, 1),
        "down": (2, -1),
    }
    shift = np.zeros(3)
    for length, name in re.findall(r"(\d+) mm (\w+)", todo):
        axis, sign = ways[name]
        shift[axis] += sign * float(length)
    return shift


def test_a_way_is_told_as_one_walks_it():
    assert moved_words(np.array([-50.2, -80.0, 0.2])) == "50 mm back and 80 mm right"
    assert moved_words(np.array([12.0, 7.0, -3.0])) == "12 mm forward, 7 mm left and 3 mm down"
    assert moved_words(np.array([0.1, 7.0, 0.0])) == "7 mm left"


def test_the_place_that_is_named_works(with_floor):
    shell = with_floor(floor(hole=((-930.0, 300.0), 45.0)))
    asked = Landing(bar_id="T", end="A", length_mm=120.0, width_mm=100.0)
    shift = walked(of(fit_landing(shell, leg((-900.0, 300.0, 0.0)), asked), "LAND-028").todo)
    assert np.abs(shift).max() > 10.0
    there = fit_landing(shell, leg(np.array([-900.0, 300.0, 0.0]) + shift), asked)
    assert there.faces[0].gap.seen_ratio == 1.0
    assert there.faces[0].gap.largest_mm <= 1.5


def test_off_the_scan(cabin):
    with pytest.raises(UserError) as stopped:
        fit_landing(cabin, leg((-900.0, 300.0, 900.0), (-900.0, 300.0, 600.0)), Landing(bar_id="T", end="A"))
    assert stopped.value.findings[0].code == "LAND-010"


def test_a_cloud(bodies):
    points = bodies.cabin_soup().mean(axis=1)
    shell = bodies.shell_of(bodies.as_cloud(points))
    with pytest.raises(UserError) as stopped:
        fit_landing(shell, leg((-900.0, 300.0, 0.0)), Landing(bar_id="T", end="A"))
    assert stopped.value.findings[0].code == "LAND-012"


def test_no_wall_in_reach(cabin):
    asked = Landing(bar_id="T", end="A", kind=LandingKind.FOLDED, width_mm=100.0)
    with pytest.raises(UserError) as stopped:
        fit_landing(cabin, leg((-900.0, 520.0, 0.0)), asked)
    (found,) = stopped.value.findings
    assert found.code == "LAND-016"
    assert found.measured == pytest.approx(160.0, abs=0.5)


def test_a_bead_stands_through_by_its_height(with_floor):
    """A bead of 6 mm across the plate: the plate lies on the floor beside it, and the bead is named with its place."""
    bead = floor(lambda x, y: 6.0 * np.exp(-(((x + 870.0) / 8.0) ** 2)))
    fitted = fit_landing(
        with_floor(bead),
        leg((-900.0, 300.0, 0.0)),
        Landing(bar_id="T", end="A", length_mm=200.0, width_mm=100.0),
    )
    found = of(fitted, "LAND-019")
    assert found.measured == pytest.approx(6.0, abs=0.5)
    assert found.point_mm[0] == pytest.approx(-870.0, abs=4.0)
    assert abs(fitted.faces[0].plane.normal[2]) > math.cos(math.radians(0.5))


def test_a_bead_is_kept_off_where_the_leg_lets_it(with_floor):
    bead = floor(lambda x, y: 6.0 * np.exp(-(((x + 840.0) / 8.0) ** 2)))
    fitted = fit_landing(
        with_floor(bead),
        leg((-900.0, 300.0, 0.0)),
        Landing(bar_id="T", end="A", length_mm=120.0, width_mm=100.0),
    )
    assert fitted.faces[0].gap.largest_mm < 1.0
    assert fitted.faces[0].outline_mm[:, 0].max() < -840.0 - 8.0


def test_a_crowned_floor_is_shared_out(with_floor):
    """On a sphere of radius R a plate of half diagonal c lies c2 / 4R off at most each way: the least that can be."""
    radius = 2000.0
    crowned = floor(lambda x, y: -((x + 900.0) ** 2 + (y - 300.0) ** 2) / (2.0 * radius))
    fitted = fit_landing(
        with_floor(crowned),
        leg((-900.0, 300.0, 0.0)),
        Landing(bar_id="T", end="A", length_mm=120.0, width_mm=100.0),
    )
    sag = (60.0**2 + 50.0**2) / (2.0 * radius)
    assert fitted.faces[0].gap.largest_mm == pytest.approx(sag / 2.0, abs=0.12)


@pytest.fixture
def with_ledge(with_floor):
    """A step of 40 mm up to a ledge that is 80 mm deep."""
    x, y = np.arange(-1800.0, 1.0, 10.0), np.arange(600.0, 681.0, 10.0)
    riser = sheet(x, np.arange(0.0, 41.0, 5.0), lambda u, v: np.stack([u, 600.0 + 0.0 * u, v], axis=-1))
    ledge = sheet(x, y, lambda u, v: np.stack([u, v, 40.0 + 0.0 * u], axis=-1))
    return with_floor(floor(y_to=600.0), riser, ledge)


LEDGE = Landing(
    bar_id="T", end="A", kind=LandingKind.FOLDED, length_mm=120.0, width_mm=110.0, wall_mm=90.0, most_folds=1
)


def test_a_low_wall_ends_a_plate_of_one_fold(with_ledge):
    fitted = fit_landing(with_ledge, leg((-900.0, 550.0, 0.0)), LEDGE)
    found = of(fitted, "LAND-014")
    assert fitted.wall_mm == pytest.approx(40.0, abs=4.5)
    assert found.limit == 90.0


def test_a_second_fold_goes_over_the_wall(with_ledge):
    """Up 40 and over 50: the second fold lies the other way, its faces on its inside."""
    fitted = fit_landing(with_ledge, leg((-900.0, 550.0, 0.0)), Landing(**{**vars(LEDGE), "most_folds": 2}))
    sole, wall, over = fitted.faces
    assert over.name == "over the wall"
    assert np.abs(over.outline_mm[:, 2] - 40.0).max() < 1e-3
    assert np.abs(wall.outline_mm[:, 1] - 600.0).max() < 1e-3
    assert over.outline_mm[:, 1].max() == pytest.approx(650.0, abs=0.01)
    assert [face.area_mm2 for face in (sole, wall, over)] == pytest.approx(
        [13_200.0, 4800.0, 6000.0], rel=1e-4
    )
    assert all(face.gap.largest_mm < 0.01 for face in fitted.faces)
    assert "LAND-014" not in codes(fitted)
    (part,) = fitted.parts
    assert [fold.angle_deg for fold in part.folds] == pytest.approx([90.0, -90.0], abs=0.01)
    # setbacks: 6 on the outside of the first bend, 3 on the inside of the second
    allowance = math.pi / 2.0 * (3.0 + 0.447 * 3.0)
    developed = 110.0 + 40.0 + 50.0 - 2.0 * 6.0 - 2.0 * 3.0 + 2.0 * allowance
    assert sorted(np.ptp(part.outline_mm, axis=0)) == pytest.approx([120.0, developed], abs=0.05)


def test_a_box_stands_on_the_floor(cabin):
    asked = Landing(bar_id="T", end="A", kind=LandingKind.BOX, height_mm=80.0, length_mm=100.0, width_mm=90.0)
    fitted = fit_landing(cabin, leg((-900.0, 300.0, 0.0)), asked)
    top, *walls = fitted.faces
    assert np.abs(top.outline_mm[:, 2] - 80.0).max() < 1e-3
    assert top.area_mm2 == pytest.approx(9000.0, rel=1e-5)
    assert len(walls) == 4
    for wall in walls:
        assert np.abs(wall.outline_mm[2:, 2]).max() < 1e-3
        assert wall.gap.largest_mm < 0.01
    assert fitted.cut.shorten_mm == pytest.approx(80.0, abs=0.01)
    assert len(fitted.parts[0].folds) == 4
    assert fitted.findings == ()


def test_a_box_beside_the_wall_has_no_wall_of_its_own_there(cabin):
    asked = Landing(
        bar_id="T", end="A", kind=LandingKind.BOX, height_mm=80.0, length_mm=100.0, width_mm=140.0
    )
    fitted = fit_landing(cabin, leg((-900.0, 630.0, 0.0)), asked)
    assert fitted.faces[0].outline_mm[:, 1].max() == pytest.approx(680.0, abs=1e-3)
    assert [face.name for face in fitted.faces] == ["top", "right wall", "front wall", "rear wall"]


def test_a_square_box_on_a_leaning_leg(cabin):
    bar = leg((-900.0, 300.0, 0.0), (-700.0, 300.0, 500.0))
    asked = Landing(bar_id="T", end="A", kind=LandingKind.BOX, height_mm=90.0, is_square=True)
    fitted = fit_landing(cabin, bar, asked)
    assert fitted.cut.angle_deg == pytest.approx(0.0, abs=1e-6)
    level = fit_landing(cabin, bar, Landing(**{**vars(asked), "is_square": False}))
    assert level.cut.angle_deg == pytest.approx(math.degrees(math.atan2(200.0, 500.0)), abs=1e-6)
    for wall in fitted.faces[1:]:
        assert np.abs(wall.outline_mm[2:, 2]).max() < 1e-3


def test_a_wanted_area_is_reached_or_missed_with_numbers(cabin):
    bar = leg((-900.0, 300.0, 0.0))
    grown = fit_landing(cabin, bar, Landing(bar_id="T", end="A", area_mm2=20_000.0))
    assert grown.area_mm2 >= 20_000.0
    short = fit_landing(
        cabin, bar, Landing(bar_id="T", end="A", length_mm=110.0, width_mm=108.0, area_mm2=12_000.0)
    )
    found = of(short, "LAND-017")
    assert (found.measured, found.limit) == (pytest.approx(118.8, abs=0.01), 120.0)


def test_a_leg_over_the_edge_or_in_the_wall(cabin):
    small = fit_landing(
        cabin, leg((-900.0, 300.0, 0.0)), Landing(bar_id="T", end="A", length_mm=40.0, width_mm=60.0)
    )
    assert of(small, "LAND-021").measured == pytest.approx(-2.5, abs=0.05)
    leaning = leg((-900.0, 640.0, 0.0), (-900.0, 690.0, 300.0))
    folded = fit_landing(cabin, leaning, Landing(bar_id="T", end="A", kind=LandingKind.FOLDED, wall_mm=90.0))
    assert "LAND-022" in codes(folded)


def test_an_end_in_the_air(cabin):
    fitted = fit_landing(cabin, leg((-900.0, 300.0, 30.0)), Landing(bar_id="T", end="A"))
    found = of(fitted, "LAND-023")
    assert found.measured == pytest.approx(-30.0, abs=0.1)
    assert "in the air" in found.sentence
    assert fitted.cut.shorten_mm == pytest.approx(-27.0, abs=0.1)


def test_bolts_have_their_room(cabin):
    bar = leg((-900.0, 300.0, 0.0))
    asked = Landing(bar_id="T", end="A", length_mm=140.0, width_mm=120.0, bolts=4, bolt_mm=8.0)
    fitted = fit_landing(cabin, bar, asked)
    holes = fitted.parts[0].holes
    assert [hole.diameter_mm for hole in holes] == [9.0] * 4
    sides = np.ptp(fitted.parts[0].outline_mm, axis=0)
    for hole in holes:
        at = np.array(hole.centre_mm)
        assert np.minimum(at, sides - at).min() == pytest.approx(16.0, abs=1e-6)
    assert "LAND-024" not in codes(fitted)
    tight = fit_landing(
        cabin, bar, Landing(**{**vars(asked), "length_mm": 70.0, "width_mm": 70.0, "bolt_mm": 12.0})
    )
    assert "LAND-024" in codes(tight)


def test_the_door_opening_is_kept_free(cabin):
    rim = {
        f"door_opening_{k}": place
        for k, place in enumerate(
            [(-600.0, 680.0, 75.0), (-1300.0, 680.0, 75.0), (-1300.0, 640.0, 800.0), (-600.0, 640.0, 800.0)],
            start=1,
        )
    }
    asked = Landing(bar_id="T", end="A", kind=LandingKind.FOLDED, wall_mm=70.0)
    near = fit_landing(cabin, leg((-900.0, 620.0, 0.0)), asked, landmarks=rim)
    assert of(near, "LAND-025").measured == pytest.approx(5.0, abs=0.5)
    clear = fit_landing(
        cabin, leg((-900.0, 620.0, 0.0)), Landing(**{**vars(asked), "wall_mm": 45.0}), landmarks=rim
    )
    assert "LAND-025" not in codes(clear)


def test_plates_that_overlap_and_sides_that_differ(cabin):
    asked = {"end": "A", "length_mm": 120.0, "width_mm": 100.0}
    one = fit_landing(cabin, leg((-900.0, 300.0, 0.0), name="P"), Landing(bar_id="P", **asked))
    other = fit_landing(cabin, leg((-820.0, 300.0, 0.0), name="Q"), Landing(bar_id="Q", **asked))
    apart = fit_landing(cabin, leg((-700.0, 300.0, 0.0), name="R"), Landing(bar_id="R", **asked))
    members = [
        Member(
            member_id=name,
            role=Role.SIDE_BAR,
            tube=TUBE,
            die="45",
            clr_mm=137.5,
            nodes_mm=((0, 0, 0), (1, 0, 0)),
        )
        for name in "PQR"
    ]
    cage = Cage(members=tuple(members))
    told = held_together(cage, [one, other, apart])
    assert [found.code for found in told] == ["LAND-026"]
    assert told[0].measured == pytest.approx(40.0, rel=0.12)
    twins = Cage(
        members=(
            members[0],
            Member(member_id="Q", role=Role.SIDE_BAR, tube=TUBE, die="45", clr_mm=137.5, mirror_of="P"),
        )
    )
    longer = fit_landing(
        cabin,
        leg((-700.0, -300.0, 0.0), name="Q"),
        Landing(bar_id="Q", end="A", length_mm=140.0, width_mm=100.0),
    )
    (found,) = held_together(twins, [one, longer])
    assert found.code == "LAND-027"
    assert "length 120 mm and 140 mm" in found.sentence


@pytest.mark.parametrize(("radius", "told"), [(4.0, False), (20.0, True)])
def test_a_rounded_corner_wants_a_rounder_fold(with_floor, radius, told):
    """A floor that runs into the wall at 680 with a rounding: a fold of 3 mm inside and 3 mm sheet fits 6 mm."""

    def height(x, y):
        into = np.clip(np.abs(y) - (680.0 - radius), 0.0, radius)
        return radius - np.sqrt(np.maximum(radius**2 - into**2, 0.0))

    x = np.arange(-1800.0, 1.0, 20.0)
    y = np.unique(np.concatenate([np.arange(-680.0, 681.0, 10.0), np.linspace(680.0 - radius, 680.0, 60)]))
    soup = sheet(x, y, lambda u, v: np.stack([u, v, height(u, v)], axis=-1))
    asked = Landing(bar_id="T", end="A", kind=LandingKind.FOLDED)
    fitted = fit_landing(with_floor(soup), leg((-900.0, 615.0, 0.0)), asked)
    assert ("LAND-029" in codes(fitted)) == told
    if told:
        found = of(fitted, "LAND-029")
        assert found.limit == pytest.approx(radius - 3.0, abs=2.0)
        better = Landing(**{**vars(asked), "inside_radius_mm": found.limit})
        assert "LAND-029" not in codes(fit_landing(with_floor(soup), leg((-900.0, 600.0, 0.0)), better))
