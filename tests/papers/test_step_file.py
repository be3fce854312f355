"""STEP files of tubes, read back by the CAD kernel in a fresh process, and as plain ISO 10303-21 text.

Outside check of the copes: the volume of the coped tube by integration of the cope's ordinates, which are those of two
cylinders that cross (the intersection of a line with a cylinder, school geometry).
"""

import json
import math
import re
import subprocess
import sys

import numpy as np
import pytest
from scipy.integrate import dblquad
from scipy.optimize import brentq

from hoopwright.bars import Bar, centreline, developed_mm, skin_mesh
from hoopwright.findings import UserError
from hoopwright.geometry import Plane
from hoopwright.papers.kernel import require_kernel, volume_mm3
from hoopwright.papers.plate_solids import PlateFace, plate_solids
from hoopwright.papers.step_file import StepPart, step_bytes
from hoopwright.papers.tube_solids import SolidBar, part_of_path, tube_solid
from hoopwright.tubes import TubeSize, section_properties

pytest.importorskip("OCP")

HEADER = TubeSize(od_mm=48.3, wall_mm=2.6)
BRANCH = TubeSize(od_mm=45.0, wall_mm=2.5)
HOOP = ((0, 610, 0), (0, 640, 620), (0, 505, 1085), (0, -505, 1085), (0, -640, 620), (0, -610, 0))

READ = """
import json, sys
from OCP.Bnd import Bnd_Box
from OCP.BRepBndLib import BRepBndLib
from OCP.BRepCheck import BRepCheck_Analyzer
from OCP.BRepGProp import BRepGProp
from OCP.GProp import GProp_GProps
from OCP.Quantity import Quantity_Color
from OCP.STEPCAFControl import STEPCAFControl_Reader
from OCP.TCollection import TCollection_ExtendedString
from OCP.TDF import TDF_Label
from OCP.TDataStd import TDataStd_Name
from OCP.TDocStd import TDocStd_Document
from OCP.TopAbs import TopAbs_ShapeEnum
from OCP.XCAFDoc import XCAFDoc_ColorType, XCAFDoc_DocumentTool, XCAFDoc_ShapeTool
import OCP.collections

document = TDocStd_Document(TCollection_ExtendedString("read"))
reader = STEPCAFControl_Reader()
reader.SetNameMode(True)
reader.SetColorMode(True)
assert int(reader.ReadFile(sys.argv[1])) == 1
assert reader.Transfer(document)
shapes = XCAFDoc_DocumentTool.ShapeTool_s(document.Main())
colours = XCAFDoc_DocumentTool.ColorTool_s(document.Main())

def name(label):
    found = TDataStd_Name()
    return found.Get().ToExtString() if label.FindAttribute(TDataStd_Name.GetID_s(), found) else ""

def told(label):
    shape = shapes.GetShape_s(label)
    box, properties, colour = Bnd_Box(), GProp_GProps(), Quantity_Color()
    BRepBndLib.AddOptimal_s(shape, box, True, False)
    BRepGProp.VolumeProperties_s(shape, properties, 1e-7)
    kind = XCAFDoc_ColorType.XCAFDoc_ColorSurf
    has = colours.GetColor(shape, kind, colour) or colours.GetColor(shape, XCAFDoc_ColorType.XCAFDoc_ColorGen, colour)
    low, high = box.CornerMin(), box.CornerMax()
    return {
        "name": name(label),
        "solid": shape.ShapeType() == TopAbs_ShapeEnum.TopAbs_SOLID,
        "valid": BRepCheck_Analyzer(shape).IsValid(),
        "volume_mm3": properties.Mass(),
        "low_mm": [low.X(), low.Y(), low.Z()],
        "high_mm": [high.X(), high.Y(), high.Z()],
        "red": colour.Red() if has else None,
    }

free = OCP.collections.Sequence_TDF_Label()
shapes.GetFreeShapes(free)
roots = [free.Value(k) for k in range(1, free.Length() + 1)]
parts = []
for root in roots:
    inside = OCP.collections.Sequence_TDF_Label()
    if not XCAFDoc_ShapeTool.GetComponents_s(root, inside):
        parts.append(told(root))
    for k in range(1, inside.Length() + 1):
        referred = TDF_Label()
        XCAFDoc_ShapeTool.GetReferredShape_s(inside.Value(k), referred)
        parts.append(told(referred))
print("@" + json.dumps({"roots": [name(root) for root in roots], "parts": parts}))
"""


@pytest.fixture
def read_back(tmp_path):
    """What the kernel reads of a file, in a process that knows nothing of the writing."""

    def read(content):
        file = tmp_path / "read.step"
        file.write_bytes(content)
        done = subprocess.run(
            [sys.executable, "-c", READ, str(file)], capture_output=True, text=True, check=False
        )
        assert done.returncode == 0, done.stderr
        return json.loads(done.stdout.rpartition("@")[2])

    return read


def bar(name, nodes, tube, clr_mm=137.5):
    return Bar(name=name, nodes_mm=tuple(tuple(map(float, n)) for n in nodes), clr_mm=clr_mm, tube=tube)


def uncut_mm3(one):
    return section_properties(one.tube).area_mm2 * developed_mm(one)


def branch_at(angle_deg, offset_mm=0.0, length_mm=400.0, tube=BRANCH):
    """A straight branch from the axis of a header that lies along forward, `offset_mm` beside it."""
    angle_rad = math.radians(angle_deg)
    start = np.array([0.0, offset_mm, 0.0])
    along = np.array([math.cos(angle_rad), 0.0, math.sin(angle_rad)])
    return bar("B", (start, start + length_mm * along), tube)


def cope_mm3(branch, header_radius_mm, angle_deg, offset_mm):
    """Steel that the cope takes, by integration over the wall of the branch."""
    angle_rad = math.radians(angle_deg)

    def along_mm(around_rad, radius_mm):
        across, toward = radius_mm * math.sin(around_rad) + offset_mm, radius_mm * math.cos(around_rad)
        height = math.sqrt(header_radius_mm**2 - across**2)
        return radius_mm * (height - toward * math.cos(angle_rad)) / math.sin(angle_rad)

    inside, outside = branch.tube.inside_mm / 2.0, branch.tube.od_mm / 2.0
    return dblquad(along_mm, inside, outside, 0.0, 2.0 * math.pi, epsabs=1e-4)[0]


def references(text):
    """Entities that a file defines, and those that it speaks of."""
    data = re.sub(r"'(?:[^']|'')*'", "''", text.partition("DATA;")[2])
    defined = {int(n) for n in re.findall(r"(?m)^#(\d+) = ", data)}
    return defined, {int(n) for n in re.findall(r"#(\d+)", data)}


@pytest.mark.parametrize(
    "nodes", [HOOP, ((0, 0, 0), (500, 0, 0), (500, 400, 0), (500, 400, 300), (200, 700, 300))]
)
def test_an_uncut_bar_has_the_volume_of_its_section_and_length(read_back, nodes):
    one = bar("MH", nodes, BRANCH, clr_mm=100.0)
    solid = tube_solid(SolidBar(bar=one), {})
    assert solid.findings == ()
    read = read_back(step_bytes([StepPart(name="MH", shape=solid.shape)], name="car", date="2026-03-01"))
    (part,) = read["parts"]
    assert (part["name"], part["solid"], part["valid"]) == ("MH", True, True)
    assert part["volume_mm3"] == pytest.approx(uncut_mm3(one), rel=1e-9)
    skin = skin_mesh(one, around=360, arc_step_deg=0.5).vertices_mm
    np.testing.assert_allclose(part["low_mm"], skin.min(axis=0), atol=0.02)
    np.testing.assert_allclose(part["high_mm"], skin.max(axis=0), atol=0.02)


@pytest.mark.parametrize(
    ("angle_deg", "offset_mm", "tube"),
    [
        (90.0, 0.0, BRANCH),
        (55.0, 0.0, BRANCH),
        (55.0, 1.4, BRANCH),
        (30.0, 0.0, BRANCH),
        (72.0, 6.0, TubeSize(od_mm=35.0, wall_mm=2.0)),
        (90.0, 0.0, HEADER),  # two tubes of one diameter
        (50.0, 0.0, HEADER),
    ],
)
def test_a_coped_end_has_lost_what_the_ordinates_say(read_back, angle_deg, offset_mm, tube):
    header = bar("H", ((-600, 0, 0), (600, 0, 0)), HEADER)
    branch = branch_at(angle_deg, offset_mm, tube=tube)
    solid = tube_solid(SolidBar(bar=branch, cut_a=("H",)), {"H": header})
    assert solid.findings == ()
    read = read_back(step_bytes([StepPart(name="B", shape=solid.shape)], name="car", date="2026-03-01"))
    (part,) = read["parts"]
    wanted = uncut_mm3(branch) - cope_mm3(branch, HEADER.od_mm / 2.0, angle_deg, offset_mm)
    assert part["valid"]
    assert part["volume_mm3"] == pytest.approx(wanted, abs=0.05)  # of 130,000; a cope takes 5,000 and more


def test_a_cope_on_a_bend_of_its_header(read_back):
    """The header is a true torus there: each generator is cut where its distance from the arc is the radius."""
    header = bar("H", ((0, -500, 0), (0, 0, 0), (500, 0, 0)), HEADER)
    axis = centreline(header)
    middle = axis.at(axis.length_mm / 2.0)[0]
    outward = np.array([-1.0, 1.0, 0.6]) / np.linalg.norm([-1.0, 1.0, 0.6])
    branch = bar("B", (middle, middle + 300.0 * outward), BRANCH)
    solid = tube_solid(SolidBar(bar=branch, cut_a=("H",)), {"H": header})
    assert solid.findings == ()
    side = np.cross(outward, (0.0, 0.0, 1.0))
    side /= np.linalg.norm(side)
    radii = np.polynomial.legendre.leggauss(5)
    half = (BRANCH.od_mm - BRANCH.inside_mm) / 4.0
    around_rad = np.linspace(0.0, 2.0 * math.pi, 180, endpoint=False)
    lost = 0.0
    for at, weight in zip(*radii, strict=True):
        radius = (BRANCH.od_mm + BRANCH.inside_mm) / 4.0 + half * at
        for turn in around_rad:
            start = middle + radius * (math.cos(turn) * side + math.sin(turn) * np.cross(outward, side))

            def beyond(along, start=start):
                return axis.distance_to_mm(start + along * outward) - HEADER.od_mm / 2.0

            lost += weight * half * radius * brentq(beyond, 0.0, 150.0) * 2.0 * math.pi / len(around_rad)
    assert solid.volume_mm3 == pytest.approx(uncut_mm3(branch) - lost, rel=1e-4)


@pytest.mark.parametrize(("tilt_deg", "up_mm"), [(0.0, 40.0), (12.6, -5.0), (56.8, 30.0), (56.8, -90.0)])
def test_a_sawn_leg_is_as_long_as_its_axis_up_to_the_plane(read_back, tilt_deg, up_mm):
    """Whatever its slant, a plane takes from a tube as much as it leaves on the other side of the axis."""
    leg = bar("L", ((0, 0, 0), (0, 60, 500), (300, 60, 900)), BRANCH)
    along = centreline(leg).directions_at(0.0)[0]
    tilt_rad = math.radians(tilt_deg)
    normal = math.cos(tilt_rad) * along + math.sin(tilt_rad) * np.array([1.0, 0.0, 0.0])
    plane = Plane.through(up_mm * along, normal)
    solid = tube_solid(SolidBar(bar=leg, saw_a=plane), {})
    assert solid.findings == ()
    read = read_back(step_bytes([StepPart(name="L", shape=solid.shape)], name="car", date="2026-03-01"))
    wanted = section_properties(BRANCH).area_mm2 * (developed_mm(leg) - up_mm)
    assert read["parts"][0]["volume_mm3"] == pytest.approx(wanted, rel=1e-6)


def test_a_folded_plate_is_one_solid_and_faces_apart_stay_apart():
    sole = PlateFace(
        outline_mm=np.array([(0, 0, 0), (135, 0, 0), (135, 90, 0), (0, 90, 0)], dtype=float),
        through_mm=np.array([0.0, 0.0, 3.0]),
    )
    wall = PlateFace(
        outline_mm=np.array([(0, 90, 0), (135, 90, 0), (135, 90, 60), (0, 90, 60)], dtype=float),
        through_mm=np.array([0.0, -3.0, 0.0]),
    )
    (whole,) = plate_solids([sole, wall])
    assert volume_mm3(whole) == pytest.approx(135.0 * 3.0 * (90.0 + 60.0 - 3.0), rel=1e-9)
    far = PlateFace(outline_mm=wall.outline_mm + 500.0, through_mm=wall.through_mm)
    assert len(plate_solids([sole, far])) == 2


def test_two_headers_at_one_end_both_cut(read_back):
    first = bar("H1", ((-600, 0, 0), (600, 0, 0)), HEADER)
    second = bar("H2", ((0, 0, 0), (400, 0, 400)), HEADER)
    branch = branch_at(90.0)
    others = {"H1": first, "H2": second}
    one = tube_solid(SolidBar(bar=branch, cut_a=("H1",)), others)
    both = tube_solid(SolidBar(bar=branch, cut_a=("H1", "H2")), others)
    assert both.findings == ()
    assert both.volume_mm3 < one.volume_mm3 - 1000.0


def test_a_cage_is_an_assembly_of_named_coloured_parts(read_back):
    hoop = bar("MH", HOOP, BRANCH)
    stay = bar("BS-L", ((0, 505, 1085 - 150), (-900, 480, 300)), BRANCH)
    solids = [
        tube_solid(SolidBar(bar=hoop), {}),
        tube_solid(SolidBar(bar=stay, cut_a=("MH",)), {"MH": hoop}),
    ]
    parts = [
        StepPart(name=solid.name, shape=solid.shape, colour=colour)
        for solid, colour in zip(solids, ((230, 159, 0), (0, 114, 178)), strict=True)
    ]
    content = step_bytes(parts, name="Müller's car", date="2026-03-01", made_from="0123456789")
    read = read_back(content)
    assert read["roots"] == ["Müller's car"]
    assert [part["name"] for part in read["parts"]] == ["MH", "BS-L"]
    assert all(part["valid"] and part["solid"] for part in read["parts"])
    assert [part["red"] for part in read["parts"]] == pytest.approx([0.7913, 0.0], abs=1e-3)  # linear light


def test_the_file_is_whole_and_says_nothing_of_this_machine(tmp_path):
    solids = [tube_solid(SolidBar(bar=bar(name, HOOP, BRANCH)), {}) for name in ("MH", "FH")]
    parts = [StepPart(name=solid.name, shape=solid.shape, colour=(230, 159, 0)) for solid in solids]
    text = step_bytes(parts, name="car", date="2026-03-01", made_from="0123456789").decode("ascii")
    assert text.startswith("ISO-10303-21;\nHEADER;\n")
    assert text.rstrip().endswith("END-ISO-10303-21;")
    assert "FILE_NAME('car','2026-03-01T00:00:00'" in text
    assert "AUTOMOTIVE_DESIGN" in text
    assert "0123456789" in text
    assert "SI_UNIT(.MILLI.,.METRE.)" in text
    assert "tmp" not in text
    assert "Open CASCADE" not in text
    defined, spoken_of = references(text)
    assert spoken_of <= defined
    assert len(re.findall(r"= MANIFOLD_SOLID_BREP", text)) == 2
    assert len(re.findall(r"= TOROIDAL_SURFACE", text)) >= 8


def test_the_same_solids_give_the_same_bytes_in_every_process():
    program = (
        "import hashlib\nfrom hoopwright.bars import Bar\nfrom hoopwright.tubes import TubeSize\n"
        "from hoopwright.papers.tube_solids import SolidBar, tube_solid\n"
        "from hoopwright.papers.step_file import StepPart, step_bytes\n"
        "tube = TubeSize(od_mm=45.0, wall_mm=2.5)\n"
        f"h = Bar(name='MH', nodes_mm={HOOP!r}, clr_mm=137.5, tube=tube)\n"
        "b = Bar(name='B', nodes_mm=((0, 300, 1085), (-700, 300, 400)), clr_mm=137.5, tube=tube)\n"
        "parts = [StepPart(name=s.name, shape=s.shape, colour=(9, 9, 9)) for s in (tube_solid(SolidBar(bar=h), {}),"
        " tube_solid(SolidBar(bar=b, cut_a=('MH',)), {'MH': h}))]\n"
        "content = step_bytes(parts, name='car', date='2026-03-01')\n"
        "print(hashlib.sha256(content).hexdigest())\n"
    )
    ran = [
        subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout
        for _ in range(3)
    ]
    assert len(set(ran)) == 1
    assert len(ran[0].split()) == 1, "the kernel talks on stdout"


def test_an_end_that_misses_its_header_stands_uncut_and_is_told():
    header = bar("H", ((-600, 0, 0), (600, 0, 0)), HEADER)
    branch = bar("B", ((0, 0, 200), (0, 0, 600)), BRANCH)
    solid = tube_solid(SolidBar(bar=branch, cut_a=("H",)), {"H": header})
    assert [finding.code for finding in solid.findings] == ["FILE-102"]
    assert solid.volume_mm3 == pytest.approx(uncut_mm3(branch), rel=1e-9)


def test_a_bar_that_runs_along_its_header_is_not_halved():
    """Two bars in one line: cutting would leave two stumps of it."""
    header, along = (bar(name, ((-900, 0, 0), (900, 0, 0)), BRANCH) for name in ("H", "B"))
    solid = tube_solid(SolidBar(bar=along, cut_a=("H",)), {"H": header})
    assert [finding.code for finding in solid.findings] == ["FILE-102"]
    assert solid.volume_mm3 == pytest.approx(uncut_mm3(along), rel=1e-9)


def test_without_the_kernel_the_finding_says_how_to_get_it(monkeypatch):
    monkeypatch.setattr("importlib.util.find_spec", lambda _name: None)
    with pytest.raises(UserError) as stopped:
        require_kernel()
    (finding,) = stopped.value.findings
    assert finding.code == "FILE-101"
    assert "hoopwright[cad]" in finding.todo


def test_a_part_of_a_path_lies_on_the_path():
    axis = centreline(bar("MH", HOOP, BRANCH))
    part = part_of_path(axis, 300.0, 1700.0)
    assert part.length_mm == pytest.approx(1400.0)
    at = np.linspace(0.0, 1400.0, 50)
    np.testing.assert_allclose(part.at(at), axis.at(at + 300.0), atol=1e-9)
    beyond = part_of_path(axis, -50.0, axis.length_mm + 70.0)
    assert beyond.length_mm == pytest.approx(axis.length_mm + 120.0)
    np.testing.assert_allclose(beyond.at(0.0)[0], axis.at(-50.0)[0], atol=1e-9)
