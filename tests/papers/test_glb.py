"""GLB files, taken apart by hand after ISO/IEC 12113 (header, chunks, accessors), not by what writes them."""

import json
import struct

import numpy as np
import pytest

from hoopwright.bars import Bar, EndRim, centreline, developed_mm, hollow_skin, skin_mesh
from hoopwright.papers.glb import LookMesh, glb_bytes
from hoopwright.papers.plate_mesh import prism_mesh
from hoopwright.tubes import TubeSize, section_properties

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
HOOP = (
    (-900, 610, 0),
    (-900, 640, 620),
    (-900, 505, 1085),
    (-900, -505, 1085),
    (-900, -640, 620),
    (-900, -610, 0),
)
SIDE = ((-350, 640, 60), (-430, 655, 560), (-880, 525, 1080), (-1560, 505, 1085))
TYPES = {5126: np.dtype("<f4"), 5125: np.dtype("<u4"), 5123: np.dtype("<u2"), 5121: np.dtype("u1")}


def bar(name, nodes):
    return Bar(name=name, nodes_mm=tuple(tuple(map(float, n)) for n in nodes), clr_mm=137.5, tube=TUBE)


def look(one, material, colour, **rims):
    skin = hollow_skin(one, **rims)
    return LookMesh(
        name=one.name,
        vertices_mm=skin.vertices_mm,
        triangles=skin.triangles,
        normals=skin.normals,
        colour=colour,
        material=material,
    )


def taken_apart(content):
    magic, version, length = struct.unpack("<4sII", content[:12])
    assert (magic, version, length) == (b"glTF", 2, len(content))
    size, kind = struct.unpack("<I4s", content[12:20])
    assert kind == b"JSON"
    tree = json.loads(content[20 : 20 + size])
    binary_size, kind = struct.unpack("<I4s", content[20 + size : 28 + size])
    assert kind == b"BIN\0"
    assert size % 4 == binary_size % 4 == 0
    binary = content[28 + size : 28 + size + binary_size]

    def values(number):
        accessor = tree["accessors"][number]
        view = tree["bufferViews"][accessor["bufferView"]]
        start = view.get("byteOffset", 0) + accessor.get("byteOffset", 0)
        wide = {"SCALAR": 1, "VEC3": 3}[accessor["type"]]
        flat = np.frombuffer(binary, TYPES[accessor["componentType"]], accessor["count"] * wide, start)
        return flat.reshape(-1, wide)

    return tree, values


@pytest.fixture
def content():
    meshes = [
        look(bar("MH", HOOP), "main hoop", (230, 159, 0)),
        look(bar("SB-L", SIDE), "side bar", (0, 114, 178)),
    ]
    return glb_bytes(meshes, title="car", date="2026-03-01", made_from="0123456789")


def test_nodes_are_named_and_coloured_by_role(content):
    tree, _ = taken_apart(content)
    drawn = [node for node in tree["nodes"] if "mesh" in node]
    assert [node["name"] for node in drawn] == ["MH", "SB-L"]
    assert not any(set(node) & {"matrix", "scale", "rotation", "translation"} for node in drawn)
    materials = [
        tree["materials"][tree["meshes"][node["mesh"]]["primitives"][0]["material"]] for node in drawn
    ]
    assert [material["name"] for material in materials] == ["main hoop", "side bar"]
    colour = materials[0]["pbrMetallicRoughness"]["baseColorFactor"]
    assert colour == pytest.approx(
        [0.7913, 0.3467, 0.0, 1.0], abs=0.003
    )  # of sRGB 230, 159, 0, in linear light
    assert tree["asset"]["version"] == "2.0"
    assert tree["scenes"][0]["extras"]["made_from"] == "0123456789"


def test_places_are_metres_with_y_up_and_the_front_along_z(content):
    tree, values = taken_apart(content)
    for node, nodes in zip([n for n in tree["nodes"] if "mesh" in n], (HOOP, SIDE), strict=True):
        primitive = tree["meshes"][node["mesh"]]["primitives"][0]
        places = values(primitive["attributes"]["POSITION"]).astype(np.float64) * 1000.0
        vehicle = places[:, [2, 0, 1]]
        skin = skin_mesh(bar(node["name"], nodes), around=36).vertices_mm
        np.testing.assert_allclose(vehicle.min(axis=0), skin.min(axis=0), atol=0.01)
        np.testing.assert_allclose(vehicle.max(axis=0), skin.max(axis=0), atol=0.01)
        accessor = tree["accessors"][primitive["attributes"]["POSITION"]]
        np.testing.assert_allclose(np.array(accessor["max"]) * 1000.0, places.max(axis=0), atol=1e-3)


def test_normals_stand_out_of_the_steel(content):
    """Each face is wound the way that its vertices' normals point, which viewers light and cull by."""
    tree, values = taken_apart(content)
    for mesh in tree["meshes"]:
        primitive = mesh["primitives"][0]
        places = values(primitive["attributes"]["POSITION"]).astype(np.float64)
        normals = values(primitive["attributes"]["NORMAL"]).astype(np.float64)
        corners = values(primitive["indices"]).reshape(-1, 3)
        np.testing.assert_allclose(np.linalg.norm(normals, axis=1), 1.0, atol=1e-5)
        a, b, c = (places[corners[:, k]] for k in range(3))
        facing = np.cross(b - a, c - a)
        assert np.all(np.einsum("ij,ij->i", facing, normals[corners].mean(axis=1)) > 0.0)


def test_same_meshes_same_bytes(content):
    meshes = [
        look(bar("MH", HOOP), "main hoop", (230, 159, 0)),
        look(bar("SB-L", SIDE), "side bar", (0, 114, 178)),
    ]
    assert glb_bytes(meshes, title="car", date="2026-03-01", made_from="0123456789") == content


def volume_mm3(skin):
    a, b, c = (skin.vertices_mm[skin.triangles[:, k]] for k in range(3))
    return float(np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0)


def test_the_mesh_holds_the_steel_of_the_tube():
    one = bar("MH", HOOP)
    fine = hollow_skin(one, around=360, arc_step_deg=0.5)
    steel = section_properties(TUBE).area_mm2 * developed_mm(one)
    assert volume_mm3(fine) == pytest.approx(steel, rel=1e-3)


def test_a_rim_lies_where_the_cut_is_whichever_side_it_counts_from():
    """A slanting plane through the end: every rim point must lie in it, at both ends."""
    one = bar("SB-L", SIDE)
    path = centreline(one)
    normal = np.array([0.3, 0.5, 0.8])
    rims, places = {}, {}
    for letter, at in (("a", 0.0), ("b", path.length_mm)):
        travel, place = path.directions_at(at)[0], path.at(at)[0]
        side = np.cross(travel, (0.2, 0.1, 1.0))
        side /= np.linalg.norm(side)
        turns = np.linspace(0.0, 2.0 * np.pi, 720, endpoint=False)[:, None]
        rim = 22.5 * (np.cos(turns) * side + np.sin(turns) * np.cross(travel, side))
        inward = travel if letter == "a" else -travel
        rims[f"rim_{letter}"] = EndRim(side=side, inward_mm=-(rim @ normal) / (inward @ normal) + 30.0)
        places[letter] = place + 30.0 * inward
    skin = hollow_skin(one, around=36, **rims)
    rings = (len(skin.vertices_mm) - 4 * 36) // 2
    for letter, ring in (("a", skin.vertices_mm[:36]), ("b", skin.vertices_mm[rings - 36 : rings])):
        assert np.abs((ring - places[letter]) @ normal).max() < 0.02


def test_nothing_to_write_is_an_error():
    with pytest.raises(ValueError, match="at least one"):
        glb_bytes([], title="car", date="2026-03-01")


@pytest.mark.parametrize("way", [1, -1])
@pytest.mark.parametrize(
    "flat",
    [
        [(0, 0), (80, 0), (80, 50), (0, 50)],
        [(0, 0), (80, 0), (80, 10), (10, 10), (10, 60), (0, 60)],  # an L
        [(0, 0), (40, 20), (80, 0), (60, 40), (80, 80), (40, 60), (0, 80), (20, 40)],  # a star
    ],
)
def test_a_plate_holds_its_area_times_its_thickness(flat, way):
    """Closed and wound outward: its volume by the divergence theorem is positive and that of the sheet."""
    flat = np.array(flat[::way], dtype=float)
    turn = np.linalg.qr(np.array([[1.0, 0.3, -0.2], [0.1, 1.0, 0.5], [-0.4, 0.2, 1.0]]))[0]
    outline = np.column_stack([flat, np.zeros(len(flat))]) @ turn.T + (300.0, -200.0, 50.0)
    vertices, triangles = prism_mesh(outline, 3.0 * turn[:, 2])
    a, b, c = (vertices[triangles[:, k]] - outline[0] for k in range(3))
    x, y = flat.T
    area = abs(x @ np.roll(y, -1) - y @ np.roll(x, -1)) / 2.0
    assert np.einsum("ij,ij->i", a, np.cross(b, c)).sum() / 6.0 == pytest.approx(3.0 * area, rel=1e-9)


def test_an_outline_without_area_is_an_error():
    line = np.array([(0, 0, 0), (10, 10, 0), (20, 20, 0)], dtype=float)
    with pytest.raises(ValueError, match="no area"):
        prism_mesh(line, np.array([0.0, 0.0, 1.0]))
