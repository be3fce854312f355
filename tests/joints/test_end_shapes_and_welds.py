"""What cuts take off a tube, and how long welds are: against hand formulas, sums, and the CAD kernel."""

import math

import numpy as np
import pytest

from hoopwright.bars import Bar, bar_mass
from hoopwright.cage import Cage, End, Gusset, GussetKind, Landing, LandingKind, Member, Role, bar_of
from hoopwright.geometry import Plane
from hoopwright.joints import FlatPart
from hoopwright.joints.end_shapes import coped_end, sawn_end
from hoopwright.joints.gusset import find_corner, flat_gusset, folded_gusset
from hoopwright.joints.landing import Face, FittedLanding
from hoopwright.joints.meet import ends_of
from hoopwright.joints.weld_lengths import foot_weld_mm, gusset_weld_mm, landing_weld_mm
from hoopwright.tubes import TubeSize, section_properties

DENSITY = 7850e-9


def tube(od_mm):
    return TubeSize(od_mm=od_mm, wall_mm=2.5)


def tee(header_od_mm, branch_od_mm, angle_deg=90.0, offset_mm=0.0):
    """A branch of 400 mm on an endless header along x, leaning toward +x."""
    way = np.array([math.cos(math.radians(angle_deg)), 0.0, math.sin(math.radians(angle_deg))])
    foot = np.array([0.0, offset_mm, 0.0])
    return Cage(
        members=(
            Member(
                member_id="H",
                role=Role.DOOR_BAR,
                nodes_mm=((-800.0, 0.0, 0.0), (800.0, 0.0, 0.0)),
                tube=tube(header_od_mm),
                die="d",
                clr_mm=140.0,
            ),
            Member(
                member_id="B",
                role=Role.DOOR_BAR,
                nodes_mm=(tuple(foot), tuple(foot + 400.0 * way)),
                tube=tube(branch_od_mm),
                die="d",
                clr_mm=140.0,
                end_a=End(kind="bar", on="H"),
            ),
        )
    )


def cut_of(cage):
    (cut,) = ends_of(cage).ends
    return cut


def test_the_weld_of_equal_tubes_at_a_right_angle_is_one_ellipse():
    """The saddle of equal tubes is two half ellipses of r and r sqrt 2: together 4 r sqrt 2 E(1/2) = 7.6404 r.

    E(1/2) = 1.3506438810: Abramowitz and Stegun, table 17.1.
    """
    printed = 4.0 * math.sqrt(2.0) * 1.3506438810 * 22.5
    assert cut_of(tee(45.0, 45.0)).weld.length_mm == pytest.approx(printed, rel=1e-4)


@pytest.mark.parametrize(
    ("angle_deg", "offset_mm"), [(90.0, 0.0), (60.0, 0.0), (40.0, 0.0), (90.0, 2.0), (55.0, 3.0)]
)
def test_the_weld_is_the_line_of_two_cylinders_summed(angle_deg, offset_mm):
    """Generators of the branch cut with the header by its own quadratic, 100 000 round."""
    found = cut_of(tee(45.0, 38.0, angle_deg, offset_mm)).weld.length_mm
    a = math.radians(angle_deg)
    th = np.arange(100_000) * 2.0 * math.pi / 100_000
    # across the branch: y, and the direction square to both y and the branch
    start = np.outer(19.0 * np.cos(th), [0.0, 1.0, 0.0]) + np.outer(
        19.0 * np.sin(th), [-math.sin(a), 0.0, math.cos(a)]
    )
    start += [0.0, offset_mm, 0.0]
    height = np.sqrt(22.5**2 - start[:, 1] ** 2)  # of the header's skin over its axis
    s = (height - start[:, 2]) / math.sin(a)
    line = start + np.outer(s, [math.cos(a), 0.0, math.sin(a)])
    summed = np.linalg.norm(np.diff(line, axis=0, append=line[:1]), axis=1).sum()
    assert found == pytest.approx(summed, rel=1e-4)


@pytest.mark.parametrize("lean_deg", [0.0, 30.0, 60.0])
def test_a_leg_on_a_plane_is_welded_round_an_ellipse(lean_deg):
    """Ramanujan's second formula for the perimeter of an ellipse; true to 1e-5 at these."""
    b = 22.5
    a = b / math.cos(math.radians(lean_deg))
    h = ((a - b) / (a + b)) ** 2
    perimeter = math.pi * (a + b) * (1.0 + 3.0 * h / (10.0 + math.sqrt(4.0 - 3.0 * h)))
    assert foot_weld_mm(45.0, lean_deg) == pytest.approx(perimeter, rel=1e-5)


def test_a_cope_takes_off_what_lies_in_the_header():
    """Square tee, 38 on 45: the mean over branch and wall of sqrt(R^2 - y^2), as a sum of cells."""
    cage = tee(45.0, 38.0)
    found = bar_mass(bar_of(cage, "B"), [coped_end(cut_of(cage))])
    radius = np.sqrt(16.5**2 + (np.arange(400) + 0.5) / 400.0 * (19.0**2 - 16.5**2))
    around = (np.arange(1000) + 0.5) * 2.0 * math.pi / 1000.0
    start = np.sqrt(22.5**2 - np.outer(radius, np.cos(around)) ** 2)
    assert found.length_mm == pytest.approx(400.0 - start.mean(), abs=1e-3)
    height = ((start + 400.0) / 2.0 * (400.0 - start)).mean() / (400.0 - start).mean()
    assert found.mass.centre_mm == pytest.approx((0.0, 0.0, height), abs=1e-3)


def test_a_leg_sawn_to_a_leaning_plane_loses_its_mean():
    bar = Bar(name="L", nodes_mm=((0, 0, 0), (0, 0, 600)), clr_mm=140.0, tube=tube(45.0))
    plane = Plane.through((0.0, 0.0, 25.0), (0.5, 0.2, 1.0))
    found = bar_mass(bar, [sawn_end(bar, "A", plane)])
    assert found.length_mm == pytest.approx(575.0, abs=1e-9)
    assert found.mass.mass_kg == pytest.approx(0.575 * section_properties(tube(45.0)).kg_per_m)
    # the plane falls toward +x and +y, so more tube stands there
    assert found.mass.centre_mm[0] > 0.0
    assert found.mass.centre_mm[1] > 0.0


def landing(kind, faces=(), outline=((0, 0), (120, 0), (120, 100), (0, 100)), bolts=0):
    part = FlatPart(name="p", thickness_mm=3.0, outline_mm=np.array(outline, dtype=float))
    return FittedLanding(
        landing=Landing(bar_id="B", end="A", kind=kind, bolts=bolts, bolt_mm=8.0 if bolts else 0.0),
        bar_id="B", end="A", length_mm=120.0, width_mm=100.0, wall_mm=0.0, faces=tuple(faces), area_mm2=0.0,
        mass_kg=part.mass_kg, moved_mm=(0.0, 0.0), cut=None, parts=(part,), findings=(),
    )  # fmt: skip


def test_a_plate_is_welded_round_its_outline_and_a_bolted_one_is_not():
    assert landing_weld_mm(landing(LandingKind.PLATE)) == pytest.approx(440.0)
    assert landing_weld_mm(landing(LandingKind.PLATE, bolts=4)) == 0.0


def box_faces(walls=4, height=40.0):
    """A box of 120 x 100 on a level floor, its walls a sheet of 3 mm in at each end."""
    corners = np.array([[0, 0, height], [120, 0, height], [120, 100, height], [0, 100, height]], dtype=float)
    plane = Plane.through((0.0, 0.0, height), (0.0, 0.0, 1.0))

    def face(name, outline):
        return Face(name=name, region="", plane=plane, outline_mm=outline, area_mm2=0.0, gap=None)

    yield face("top", corners)
    for k in range(walls):
        start, end = corners[k], corners[(k + 1) % 4]
        along = (end - start) / np.linalg.norm(end - start)
        first, last = start + 3.0 * along, end - 3.0 * along
        down = np.array([0.0, 0.0, -height])
        yield face(f"wall {k}", np.array([last, first, first + down, last + down]))


def test_a_box_is_welded_below_and_once_at_each_corner():
    # lower edges 4 x (side - 6), four seams of 40, and at the top what the folds leave open at the corners
    found = landing_weld_mm(landing(LandingKind.BOX, box_faces()))
    assert found == pytest.approx((440.0 - 24.0) + 4 * 40.0 + 24.0)


def test_a_box_against_a_wall_of_the_car_is_welded_along_it():
    # the wall of edge 3 (100 long) is missing: its two neighbours end in seams of their own, the top lies against it
    found = landing_weld_mm(landing(LandingKind.BOX, box_faces(walls=3)))
    assert found == pytest.approx((340.0 - 18.0) + 2 * 40.0 + 2 * 40.0 + (440.0 - 322.0))


def corner_of(gusset):
    first = Bar(name="A", nodes_mm=((0, 0, 0), (500, 0, 0)), clr_mm=140.0, tube=tube(45.0))
    second = Bar(name="B", nodes_mm=((0, 0, 0), (0, 0, 500)), clr_mm=140.0, tube=tube(45.0))
    return find_corner(first, second, gusset.place_mm)


def test_a_flat_gusset_is_welded_on_both_faces_of_both_legs():
    gusset = Gusset(
        name="G",
        kind=GussetKind.FLAT,
        bar_id="A",
        other="B",
        place_mm=(60, 0, 60),
        leg_mm=80.0,
        thickness_mm=3.0,
    )
    # each leg of 80 less the relief of 12 at the corner
    assert gusset_weld_mm(flat_gusset(gusset, corner_of(gusset))) == pytest.approx(4.0 * 68.0)


def test_a_folded_gusset_is_welded_along_both_tubes():
    gusset = Gusset(
        name="G",
        kind=GussetKind.FOLDED,
        bar_id="A",
        other="B",
        place_mm=(60, 0, 60),
        leg_mm=80.0,
        thickness_mm=2.0,
    )
    made = folded_gusset(gusset, corner_of(gusset))
    # the part's outline is both of these lines, in the flat, and the two free ends of its sides
    outline = made.part.outline_mm
    around = np.linalg.norm(np.diff(outline, axis=0, append=outline[:1]), axis=1)
    level = np.abs(np.diff(outline[:, 1], append=outline[:1, 1])) < 1e-9
    assert gusset_weld_mm(made) == pytest.approx(around[~level].sum(), rel=0.03)


# The kernel -------------------------------------------------------------------------------------------------


def cylinder(start, way, radius, length):
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    axes = gp_Ax2(gp_Pnt(*map(float, start)), gp_Dir(*map(float, way)))
    return BRepPrimAPI_MakeCylinder(axes, radius, length).Shape()


@pytest.mark.slow
@pytest.mark.parametrize(
    ("angle_deg", "offset_mm", "branch_od_mm"),
    [(90.0, 0.0, 38.0), (45.0, 0.0, 38.0), (50.0, 2.5, 38.0), (70.0, 0.0, 45.0)],
)
def test_coped_tube_and_weld_against_the_kernel(angle_deg, offset_mm, branch_od_mm):
    pytest.importorskip("OCP")
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Common, BRepAlgoAPI_Cut, BRepAlgoAPI_Section
    from OCP.BRepGProp import BRepGProp
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeBox
    from OCP.gp import gp_Pnt
    from OCP.GProp import GProp_GProps

    cage = tee(45.0, branch_od_mm, angle_deg, offset_mm)
    bar, cut = bar_of(cage, "B"), cut_of(cage)
    foot = bar.nodes[0]
    way = (bar.nodes[1] - foot) / 400.0
    outer, inner = (
        cylinder(foot, way, radius, 400.0) for radius in (branch_od_mm / 2.0, branch_od_mm / 2.0 - 2.5)
    )
    header = cylinder((-800.0, 0.0, 0.0), (1.0, 0.0, 0.0), 22.5, 1600.0)
    wanted = BRepPrimAPI_MakeBox(gp_Pnt(-900.0, -200.0, 0.0), 1800.0, 400.0, 900.0).Shape()
    kept = BRepAlgoAPI_Common(
        BRepAlgoAPI_Cut(BRepAlgoAPI_Cut(outer, inner).Shape(), header).Shape(), wanted
    ).Shape()
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(kept, properties)
    middle = properties.CentreOfMass()
    found = bar_mass(bar, [coped_end(cut)]).mass
    assert found.mass_kg == pytest.approx(properties.Mass() * DENSITY, rel=1e-5)
    np.testing.assert_allclose(found.centre_mm, [middle.X(), middle.Y(), middle.Z()], atol=0.01)
    line = GProp_GProps()
    BRepGProp.LinearProperties_s(BRepAlgoAPI_Section(outer, header).Shape(), line)
    assert cut.weld.length_mm == pytest.approx(line.Mass(), rel=2e-4)
