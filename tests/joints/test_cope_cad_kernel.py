"""Copes against a CAD kernel that cuts the solid branch with the solid headers.

Outside check: Open CASCADE through its Python binding OCP. It knows nothing of generators: the header is a section
swept or turned along its centreline, the branch a cylinder, and what is compared are the edges of its boolean cut,
unrolled. Places on its edges must lie within 0.02 mm of ours, and ours within 0.02 mm of its edges.
"""

import numpy as np
import pytest
from scipy.spatial import cKDTree

from hoopwright.geometry import Arc, fillet_path
from hoopwright.joints.cope import Branch, Header, OvalBend, cope_profile, straight_header, two_tubes

pytestmark = pytest.mark.slow
pytest.importorskip("OCP")

BACK_MM, BODY_MM = 150.0, 250.0
WITHIN_MM = 0.02


def point(place):
    from OCP.gp import gp_Pnt

    return gp_Pnt(*(float(value) for value in place))


def direction_of(vector):
    from OCP.gp import gp_Dir

    return gp_Dir(*(float(value) for value in vector))


def branch_solid(branch):
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2

    start = branch.origin_mm - BACK_MM * branch.direction
    axes = gp_Ax2(point(start), direction_of(branch.direction))
    return BRepPrimAPI_MakeCylinder(axes, branch.od_mm / 2.0, BACK_MM + BODY_MM).Shape()


def header_solids(header):
    """Each piece as its own solid: a cylinder, or an ellipse turned about the bend's axis."""
    bends = 0
    for piece in header.path.pieces:
        if isinstance(piece, Arc):
            yield turned(piece, header.od_mm, header.oval_of(bends))
            bends += 1
        elif piece.length_mm > 0.0:
            yield cylinder(piece, header.od_mm)


def cylinder(line, od_mm):
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder
    from OCP.gp import gp_Ax2

    middle, half = line.length_mm / 2.0, min(line.length_mm / 2.0, 1000.0)
    start = line.at(np.array([middle - half]))[0]
    axes = gp_Ax2(point(start), direction_of(line.direction))
    return BRepPrimAPI_MakeCylinder(axes, od_mm / 2.0, 2.0 * half).Shape()


def turned(arc, od_mm, oval):
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeRevol
    from OCP.gp import gp_Ax1, gp_Ax2, gp_Circ, gp_Elips

    start = arc.at(np.array([0.0]))[0]
    across = np.cross(arc.outward, arc.direction)
    if oval is None:
        section = gp_Circ(
            gp_Ax2(point(start), direction_of(arc.direction), direction_of(arc.outward)), od_mm / 2
        )
    else:
        in_plane_is_major = oval.in_plane_mm >= oval.across_mm
        major = arc.outward if in_plane_is_major else across
        axes = gp_Ax2(point(start), direction_of(arc.direction), direction_of(major))
        radii = sorted((oval.in_plane_mm / 2, oval.across_mm / 2))
        section = gp_Elips(axes, radii[1], radii[0])
    wire = BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(section).Edge()).Wire()
    face = BRepBuilderAPI_MakeFace(wire).Face()
    axis = gp_Ax1(point(arc.centre_mm), direction_of(across))
    return BRepPrimAPI_MakeRevol(face, axis, np.radians(arc.angle_deg)).Shape()


def cut_shape(branch, headers):
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut

    shape = branch_solid(branch)
    for header in headers:
        for solid in header_solids(header):
            cut = BRepAlgoAPI_Cut(shape, solid)
            assert cut.IsDone()
            shape = cut.Shape()
    return shape


def as_kind(name):
    """The kernel's cast, which its binding named with a tail before version 8."""
    from OCP.TopoDS import TopoDS

    return getattr(TopoDS, name, None) or getattr(TopoDS, f"{name}_s")


def pieces_of(shape, kind, cast):
    from OCP.TopExp import TopExp_Explorer

    explorer = TopExp_Explorer(shape, kind)
    while explorer.More():
        yield cast(explorer.Current())
        explorer.Next()


def body_of(shape, branch):
    """The solid that the branch's far end belongs to."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps
    from OCP.TopAbs import TopAbs_SOLID

    def along(solid):
        properties = GProp_GProps()
        BRepGProp.VolumeProperties_s(solid, properties)
        middle = properties.CentreOfMass()
        return np.array([middle.X(), middle.Y(), middle.Z()]) @ branch.direction

    return max(pieces_of(shape, TopAbs_SOLID, as_kind("Solid")), key=along)


def skin_edges(solid, branch):
    """Edges on the branch's skin, each as places unrolled: round it and along it in mm, shape (n, 2)."""
    from OCP.BRepAdaptor import BRepAdaptor_Curve
    from OCP.TopAbs import TopAbs_EDGE

    for edge in pieces_of(solid, TopAbs_EDGE, as_kind("Edge")):
        curve = BRepAdaptor_Curve(edge)
        places = [
            curve.Value(value) for value in np.linspace(curve.FirstParameter(), curve.LastParameter(), 1000)
        ]
        offset = np.array([(place.X(), place.Y(), place.Z()) for place in places]) - branch.origin_mm
        along = offset @ branch.direction
        x, y = offset @ branch.datum, offset @ branch.sideways
        on_skin = np.abs(np.hypot(x, y) - branch.od_mm / 2.0) < 1e-3
        # the seam of the cylinder runs along it, and its ends square round it
        seam = np.ptp(x) < 1e-6 and np.ptp(y) < 1e-6
        ends = np.ptp(along) < 1e-9 and max(abs(along)) > 100.0
        if on_skin.all() and not seam and not ends:
            around = np.unwrap(np.arctan2(y, x))
            yield np.stack([around * branch.od_mm / 2.0, along], axis=1)


def unrolled(profile, radius_mm):
    """A profile three times round, since edges may start anywhere."""
    around = np.concatenate([profile.around_deg + turn for turn in (-360.0, 0.0, 360.0)])
    return np.stack([np.radians(around) * radius_mm, np.tile(profile.along_mm, 3)], axis=1)


def far_from_line(points, line):
    """Distance of each point (n, 2) to a line through close points (m, 2): to the legs beside the nearest one."""
    _, nearest = cKDTree(line).query(points)
    worst = np.full(len(points), np.inf)
    for first in (nearest - 1, nearest):
        index = np.clip(first, 0, len(line) - 2)
        start, leg = line[index], line[index + 1] - line[index]
        length2 = np.maximum(np.sum(leg**2, axis=1), 1e-30)
        share = np.clip(np.sum((points - start) * leg, axis=1) / length2, 0.0, 1.0)
        worst = np.minimum(worst, np.linalg.norm(start + share[:, None] * leg - points, axis=1))
    return worst


def held_against_the_kernel(branch, headers):
    """The profile, after both lines were seen to lie on each other."""
    profile = cope_profile(branch, headers, points=7200)
    assert not np.isnan(profile.along_mm).any()
    radius_mm = branch.od_mm / 2.0
    ours = unrolled(profile, radius_mm)
    edges = list(skin_edges(body_of(cut_shape(branch, headers), branch), branch))
    assert max(far_from_line(edge, ours).max() for edge in edges) < WITHIN_MM
    turn_mm = 2.0 * np.pi * radius_mm
    once = unrolled(profile, radius_mm)[7200:14400:40]
    theirs = [edge + np.array([turn * turn_mm, 0.0]) for edge in edges for turn in (-1, 0, 1)]
    assert np.min([far_from_line(once, edge) for edge in theirs], axis=0).max() < WITHIN_MM
    return profile


@pytest.mark.parametrize(
    ("header_mm", "branch_mm", "angle_deg", "offset_mm"),
    [(45, 38, 55, 0), (45, 38, 55, 3), (45, 45, 90, 0), (45, 45, 40, 0), (45, 25, 25, -7), (60, 38, 90, 9)],
)
def test_one_straight_header(header_mm, branch_mm, angle_deg, offset_mm):
    branch, header = two_tubes(
        header_od_mm=header_mm, branch_od_mm=branch_mm, angle_deg=angle_deg, offset_mm=offset_mm
    )
    held_against_the_kernel(branch, [header])


def test_two_headers():
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=60.0, offset_mm=1.0)
    third = straight_header(name="third", through_mm=[0, 0, 5], direction=[0.2, 1.0, 0.7], od_mm=38.0)
    profile = held_against_the_kernel(branch, [header, third])
    assert set(profile.header_index.tolist()) == {0, 1}


BEND = fillet_path([(0, 0, 0), (0, 0, 600), (520, 0, 900)], [137.5])


def on_the_bend(share, *, od_mm=38.0, toward=(0.0, 0.0, 0.0), side=1.0, aside_mm=0.0):
    """A branch on the bend: from its centre outward (side 1) or inward (-1), tilted toward something."""
    arc = BEND.pieces[1]
    place = arc.at(np.array([share * arc.length_mm]))[0]
    out = side * (place - arc.centre_mm) / arc.radius_mm + np.array(toward)
    direction = out / np.linalg.norm(out)
    datum = np.cross(direction, [0.3, 0.9, -0.2])
    datum /= np.linalg.norm(datum)
    return Branch(
        origin_mm=place + aside_mm * np.array([0.0, 1.0, 0.0]), direction=direction, datum=datum, od_mm=od_mm
    )


@pytest.mark.parametrize(
    "branch",
    [
        on_the_bend(0.5),
        on_the_bend(0.5, side=-1.0),
        on_the_bend(0.5, toward=(0.0, 5.0, 0.0)),
        on_the_bend(0.5, toward=(0.3, 0.6, -0.4), aside_mm=2.0),
        on_the_bend(0.02, toward=(0.2, 0.9, 0.0)),
        on_the_bend(0.95, side=-1.0, toward=(0.0, -0.5, 0.3)),
        on_the_bend(0.5, od_mm=45.0, side=-1.0),
    ],
    ids=["out", "in", "from the side", "askew", "across the start", "across the end", "equal tubes"],
)
def test_a_bent_header(branch):
    held_against_the_kernel(branch, [Header(name="bent", path=BEND, od_mm=45.0)])


@pytest.mark.parametrize(
    "oval", [OvalBend(in_plane_mm=42.6, across_mm=46.4), OvalBend(in_plane_mm=46, across_mm=44)]
)
@pytest.mark.parametrize("side", [1.0, -1.0])
def test_an_oval_bend(oval, side):
    """In the middle of a bend, where its section is the measured one."""
    path = fillet_path([(0, 0, 0), (0, 0, 600), (600, 0, 600)], [137.5])
    arc = path.pieces[1]
    place = arc.at(np.array([arc.length_mm / 2.0]))[0]
    out = side * (place - arc.centre_mm) / arc.radius_mm + np.array([0.0, 0.3, 0.0])
    direction = out / np.linalg.norm(out)
    datum = np.cross(direction, [0.0, 1.0, 0.0])
    branch = Branch(origin_mm=place, direction=direction, datum=datum / np.linalg.norm(datum), od_mm=38.0)
    header = Header(name="bent", path=path, od_mm=45.0, oval_bends=(oval,))
    profile = held_against_the_kernel(branch, [header])
    assert [finding.code for finding in profile.findings] == ["COPE-009"]


def test_the_comparison_sees_a_wrong_cut():
    """A header a twentieth of a millimetre larger is seen."""
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=55.0)
    _, larger = two_tubes(header_od_mm=45.1, branch_od_mm=38.0, angle_deg=55.0)
    profile = cope_profile(branch, [larger], points=7200)
    edges = skin_edges(body_of(cut_shape(branch, [header]), branch), branch)
    assert max(far_from_line(edge, unrolled(profile, 19.0)).max() for edge in edges) > WITHIN_MM
