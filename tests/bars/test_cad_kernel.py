"""Length, mass and centre of mass against a CAD kernel that sweeps the tube section along the same lines and arcs.

Outside check: Open CASCADE through its Python binding OCP. It knows nothing of bend tables: the wire is
built from the nodes' tangent points, and length, volume and centre come from its own integration.
"""

import numpy as np
import pytest

from hoopwright.bars import Bar, bar_mass, bend_table, centreline, developed_mm
from hoopwright.geometry import Arc
from hoopwright.tubes import STEEL_DENSITY_KG_PER_M3, TubeSize, section_properties

pytestmark = pytest.mark.slow
pytest.importorskip("OCP")

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
BARS = {
    "side bar": [(-350, 640, 60), (-430, 655, 560), (-880, 525, 1125), (-1560, 505, 1150)],
    "main hoop": [(0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0)],
    "straight": [(0, 0, 0), (300, 400, 1200)],
    "three planes": [(0, 0, 0), (500, 0, 0), (500, 400, 0), (500, 400, 300), (200, 700, 300)],
}


def point(place):
    from OCP.gp import gp_Pnt

    return gp_Pnt(*(float(value) for value in place))


def wire_of(path):
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.GC import GC_MakeArcOfCircle

    wire = BRepBuilderAPI_MakeWire()
    for piece in path.pieces:
        start, middle, end = piece.at(np.linspace(0.0, piece.length_mm, 3))
        if isinstance(piece, Arc):
            curve = GC_MakeArcOfCircle(point(start), point(middle), point(end)).Value()
            wire.Add(BRepBuilderAPI_MakeEdge(curve).Edge())
        elif piece.length_mm > 0.0:
            wire.Add(BRepBuilderAPI_MakeEdge(point(start), point(end)).Edge())
    return wire.Wire()


def solid_mm3(path, wire, diameter_mm):
    """Volume of the swept disc, and its centre of mass."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakeWire
    from OCP.BRepGProp import BRepGProp
    from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipe
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir
    from OCP.GProp import GProp_GProps

    axes = gp_Ax2(point(path.at(0.0)[0]), gp_Dir(*path.directions_at(0.0)[0].tolist()))
    rim = BRepBuilderAPI_MakeEdge(gp_Circ(axes, diameter_mm / 2.0)).Edge()
    face = BRepBuilderAPI_MakeFace(BRepBuilderAPI_MakeWire(rim).Wire()).Face()
    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(BRepOffsetAPI_MakePipe(wire, face).Shape(), properties)
    middle = properties.CentreOfMass()
    return abs(properties.Mass()), np.array([middle.X(), middle.Y(), middle.Z()])


def wire_length_mm(wire):
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.LinearProperties_s(wire, properties)
    return properties.Mass()


@pytest.mark.parametrize("nodes", BARS.values(), ids=BARS.keys())
def test_length_and_mass_of_the_swept_tube(nodes):
    nodes_mm = tuple((float(f), float(le), float(u)) for f, le, u in nodes)
    bar = Bar(name="B", nodes_mm=nodes_mm, clr_mm=100.0, tube=TUBE)
    path = centreline(bar)
    wire = wire_of(path)
    assert developed_mm(bar) == pytest.approx(wire_length_mm(wire), rel=1e-6)
    assert bend_table(bar).developed_mm == pytest.approx(wire_length_mm(wire), rel=1e-6)
    outer_mm3, outer_at = solid_mm3(path, wire, TUBE.od_mm)
    inner_mm3, inner_at = solid_mm3(path, wire, TUBE.inside_mm)
    steel_mm3 = outer_mm3 - inner_mm3
    mass_kg = developed_mm(bar) / 1000.0 * section_properties(TUBE).kg_per_m
    assert mass_kg == pytest.approx(steel_mm3 * 1e-9 * STEEL_DENSITY_KG_PER_M3, rel=1e-6)
    mass = bar_mass(bar).mass
    assert mass.mass_kg == pytest.approx(mass_kg, rel=1e-9)
    middle = (outer_mm3 * outer_at - inner_mm3 * inner_at) / steel_mm3
    np.testing.assert_allclose(mass.centre_mm, middle, atol=1e-6)
