"""Folded gussets in STEP and GLB files, against their flat parts."""

import math
import re
from dataclasses import replace

import numpy as np
import pytest
import trimesh

from hoopwright.bars import Bar
from hoopwright.cage import USUAL_K_RATIO, Gusset, GussetKind
from hoopwright.jobs.paper_files import PaperWishes, make_papers
from hoopwright.jobs.sheet_metal import SheetMetal, shown_plates
from hoopwright.joints.gusset import find_corner, folded_gusset
from hoopwright.papers.folded_sheet import folded_mesh, folded_solid
from hoopwright.papers.kernel import is_valid, volume_mm3
from hoopwright.store import ProjectFolder
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
POST = Bar(name="POST", nodes_mm=((0, 0, -500), (0, 0, 500)), clr_mm=137.5, tube=TUBE)
ASKED = Gusset(
    name="G1",
    kind=GussetKind.FOLDED,
    bar_id="POST",
    other="ARM",
    place_mm=(60.0, 0.0, 60.0),
    leg_mm=120.0,
    thickness_mm=2.0,
    hole_mm=0.0,
)


def made(angle_deg, apart_mm=0.0, thickness_mm=2.0):
    turn = math.radians(angle_deg)
    nodes = ((0, apart_mm, 0), (600 * math.sin(turn), apart_mm, 600 * math.cos(turn)))
    arm = Bar(name="ARM", nodes_mm=nodes, clr_mm=137.5, tube=TubeSize(od_mm=38.0, wall_mm=2.5))
    half = math.radians(angle_deg / 2.0)
    corner = find_corner(POST, arm, (90 * math.sin(half), 0.0, 90 * math.cos(half)))
    return folded_gusset(replace(ASKED, thickness_mm=thickness_mm), corner)


def by_the_flat_mm3(one):
    """Flat area x thickness, and what the folds have more.

    Their middle is longer than the neutral line by
    angle x (1/2 - K) x thickness (a ring's area is its angle x middle radius x thickness).
    """
    t = one.gusset.thickness_mm
    lengths = [math.dist(fold.start_mm, fold.end_mm) for fold in one.part.folds]
    more = sum(lengths) * math.pi / 2.0 * (0.5 - USUAL_K_RATIO) * t
    return (one.part.outline_area_mm2 + more) * t


@pytest.mark.parametrize(
    ("angle", "apart", "thickness"), [(90.0, 0.0, 2.0), (60.0, 0.0, 1.5), (110.0, 4.0, 2.0)]
)
def test_solid_and_mesh_hold_as_much_steel_as_the_flat_part(angle, apart, thickness):
    pytest.importorskip("OCP")
    one = made(angle, apart, thickness)
    (plate,) = shown_plates(SheetMetal(gussets=(one,)))
    solid = folded_solid(plate.folded)
    assert is_valid(solid)
    # the ends of a fold are no straight lines across it
    assert volume_mm3(solid) == pytest.approx(by_the_flat_mm3(one), rel=1e-3)
    vertices, triangles = folded_mesh(plate.folded)
    mesh = trimesh.Trimesh(vertices, triangles)
    assert mesh.is_watertight
    assert mesh.is_winding_consistent
    assert mesh.volume == pytest.approx(volume_mm3(solid), rel=2e-3)


@pytest.mark.parametrize("angle", [60.0, 90.0])
def test_the_sheet_stands_out_of_both_tubes(angle):
    """Along whole edges, between the points of the outline too: a chord would cut 0.5 mm into the tube."""
    one = made(angle)
    corners = one.folded.corners_mm
    between = (corners[:-1] + corners[1:]) / 2.0
    turn = math.radians(angle)
    ways = {22.5: np.array([0.0, 0.0, 1.0]), 19.0: np.array([math.sin(turn), 0.0, math.cos(turn)])}
    for radius, way in ways.items():
        off = np.linalg.norm(np.cross(between.reshape(-1, 3), way), axis=1)
        assert off.min() > radius - 0.02


def test_a_folded_gusset_stands_in_both_files(hoopwright, project, tmp_path):
    pytest.importorskip("OCP")
    nodes = tmp_path / "stay.csv"
    nodes.write_text("forward,left,up\n-900,300,1085\n-1650,300,300\n", encoding="utf-8")
    hoopwright.keys(
        *("bar", "add", project, "BS-L", "--role", "backstay", "--nodes", nodes, "--tube", "38 x 2.5"),
        *("--end-a", "MH", "--end-b", "shell"),
    )
    hoopwright.keys("gusset", "add", project, "G1", "MH", "BS-L", "--kind", "folded", "--sheet", "1.5")
    told = make_papers(
        ProjectFolder(path=project),
        PaperWishes(date="2026-03-01", out=tmp_path / "out", kinds=("step", "glb", "plates")),
    )
    assert "FILE-107" not in {finding.code for finding in told.findings}
    step = (tmp_path / "out/step/the-whole-cage.step").read_text("ascii")
    assert re.search(r"PRODUCT\('G1 folded gusset'", step)
    tree = trimesh.load(tmp_path / "out/glb/the-whole-cage.glb")
    assert "G1 folded gusset" in tree.graph.nodes_geometry
