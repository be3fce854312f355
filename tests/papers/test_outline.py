"""Hidden lines, held against a ray cast by brute force through triangle meshes of the same tubes."""

from dataclasses import replace

import numpy as np
import pytest
from benchmarks.papers import twenty_bars

from hoopwright.bars import Bar, centreline, skin_mesh
from hoopwright.cage import bars_of
from hoopwright.geometry import Plane
from hoopwright.papers.outline import (
    SolidTube,
    outline_runs,
    seen_of_sheets,
    seen_places,
    sheet_of_faces,
    sheet_of_strip,
)
from hoopwright.papers.views import VIEW_NAMES, view
from hoopwright.tubes import TubeSize

TUBE = TubeSize(od_mm=45.0, wall_mm=2.5)
OFF_SKIN_MM = 0.15
FROM_CHANGE_MM = 3.0
GRAZES_MM = 0.5
"""A line of sight that another tube, thicker or thinner by this much, would hide or let through grazes it: not judged.
The drawing takes tubes 0.3 mm thinner, and meshes are flat between their lines."""


def bar(name, *nodes, od=45.0, clr=137.5):
    nodes = tuple(tuple(map(float, node)) for node in nodes)
    return Bar(name=name, nodes_mm=nodes, clr_mm=clr, tube=TubeSize(od_mm=od, wall_mm=2.5))


def tube(made, **how):
    return SolidTube(path=centreline(made), od_mm=made.tube.od_mm, **how)


def length(points):
    return float(np.linalg.norm(np.diff(points, axis=0), axis=1).sum())


def total(runs, state, number):
    return sum(length(run.points_mm) for run in runs if run.state == state and run.tube == number)


class Rays:
    """Whether any triangle lies toward the viewer of a place: all triangles are tried."""

    def __init__(self, bars, seen, grown_mm=0.0):
        self.seen, self.toward = seen, np.cross(seen.across, seen.upward)
        made = [replace(one, tube=replace(one.tube, od_mm=one.tube.od_mm + 2.0 * grown_mm)) for one in bars]
        meshes = [skin_mesh(one, around=48, arc_step_deg=4.0) for one in made]
        corners = np.concatenate([mesh.vertices_mm[mesh.triangles] for mesh in meshes])
        self.tube = np.repeat(np.arange(len(meshes)), [len(mesh.triangles) for mesh in meshes])
        self.flat = np.stack([corners @ seen.across, corners @ seen.upward], axis=-1)
        self.depth = corners @ self.toward
        self.low, self.high = self.flat.min(axis=1), self.flat.max(axis=1)

    def before(self, place):
        """The tubes that stand between a place and the viewer."""
        at = np.array([place @ self.seen.across, place @ self.seen.upward])
        near = np.flatnonzero(((self.low <= at) & (at <= self.high)).all(axis=1))
        a, b, c = (self.flat[near, k] for k in range(3))
        twice = _cross(b - a, c - a)
        near, a, b, c, twice = (one[np.abs(twice) > 1e-9] for one in (near, a, b, c, twice))
        u, v = _cross(b - at, c - at) / twice, _cross(c - at, a - at) / twice
        inside = (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0)
        depth = self.depth[near]
        hit = u * depth[:, 0] + v * depth[:, 1] + (1.0 - u - v) * depth[:, 2]
        return set(self.tube[near[inside & (hit > place @ self.toward + 1e-6)]].tolist())


def _cross(a, b):
    return a[..., 0] * b[..., 1] - a[..., 1] * b[..., 0]


def samples(run, every_mm):
    """Places along a run, away from its ends."""
    steps = np.linalg.norm(np.diff(run.points_mm, axis=0), axis=1)
    along = np.concatenate([[0.0], np.cumsum(steps)])
    if along[-1] < 2.0 * FROM_CHANGE_MM + 0.5:
        return np.empty((0, 3))
    count = max(2, int(along[-1] / every_mm))
    at = np.linspace(FROM_CHANGE_MM, along[-1] - FROM_CHANGE_MM, count)
    return np.column_stack([np.interp(at, along, run.points_mm[:, axis]) for axis in range(3)])


def wrong_places(bars, tubes, seen, every_mm):
    """Sampled places at which the drawing and the rays disagree, and how many were tried, or grazed and not judged."""
    true, thick, thin = (Rays(bars, seen, grown) for grown in (0.0, GRAZES_MM, -GRAZES_MM))
    wrong, tried = [], {"seen": 0, "hidden": 0, "grazed": 0}
    for run in outline_runs(tubes, seen):
        path = tubes[run.tube].path
        for place in samples(run, every_mm):
            along = path.nearest_mm(place)
            axis, travel = path.at(along)[0], path.directions_at(along)[0]
            out = (place - axis) / np.linalg.norm(place - axis)
            assert np.linalg.norm(place - axis) == pytest.approx(tubes[run.tube].od_mm / 2.0, abs=0.1)
            at = [place + OFF_SKIN_MM * out + way * travel for way in (-GRAZES_MM, GRAZES_MM)]
            own = {run.tube}
            answers = {bool(thick.before(one) - own or true.before(one) & own) for one in at}
            answers |= {bool(thin.before(one) - own or true.before(one) & own) for one in at}
            if len(answers) > 1:
                tried["grazed"] += 1
                continue
            tried[run.state] += 1
            if answers != {run.state == "hidden"}:
                wrong.append((run.tube, run.state, place.round(1).tolist()))
    return wrong, tried


def check_cage(name, every_mm):
    bars = list(bars_of(twenty_bars()).values())
    # ends that are open show what a coped one hides, so that more lines are tried
    wrong, tried = wrong_places(bars, [tube(one) for one in bars], view(name), every_mm)
    assert wrong == []
    return tried


@pytest.mark.parametrize("name", ["top", "oblique left"])
def test_drawn_lines_are_seen_or_hidden_as_a_ray_says(name):
    tried = check_cage(name, 80.0)
    assert tried["seen"] > 300
    assert tried["hidden"] > 40
    assert tried["grazed"] < 0.15 * tried["seen"]


@pytest.mark.slow
@pytest.mark.parametrize("name", VIEW_NAMES)
def test_every_drawn_line_is_seen_or_hidden_as_a_ray_says(name):
    """Seen square from the side, a cage that is its own mirror image covers itself: many lines of sight graze there."""
    tried = check_cage(name, 15.0)
    assert tried["seen"] > 1000
    assert tried["hidden"] > 200
    assert tried["grazed"] < (1.0 if "side" in name else 0.15) * tried["seen"]


@pytest.mark.parametrize("name", ["side", "front", "oblique left"])
def test_a_tube_that_bends_over_itself_hides_itself(name):
    loop = bar("L", (0, 300, 0), (0, 300, 700), (0, -300, 750), (-260, -320, 60), (-320, 320, 300))
    wrong, tried = wrong_places([loop], [tube(loop)], view(name), 8.0)
    assert wrong == []
    assert tried["hidden"] > 20


def test_a_tube_behind_another_is_hidden_over_its_diameter():
    """Seen from the left, an upright tube of 45 mm stands before a level one: both its sides are hidden over 45 mm."""
    behind = bar("B", (-500, 0, 300), (500, 0, 300), od=38.0)
    before = bar("F", (0, 200, 0), (0, 200, 600))
    runs = outline_runs([tube(behind), tube(before)], view("side"))
    hidden = [run for run in runs if run.tube == 0 and run.state == "hidden"]
    # the drawing takes the tube before it 0.3 mm thinner on each side
    assert [float(np.ptp(run.points_mm[:, 0])) for run in hidden] == pytest.approx([44.4, 44.4], abs=0.05)
    assert all(run.state == "seen" for run in runs if run.tube == 1 and length(run.points_mm) > 200)


def test_what_lies_in_the_metal_of_another_tube_is_left_out():
    """A branch that ends on the axis of a header: its sides end at the header's skin."""
    header = bar("H", (-400, 0, 0), (400, 0, 0))
    for name, od, up in (("side", 45.0, 22.5), ("front", 20.0, np.sqrt(22.5**2 - 10.0**2))):
        branch = bar("B", (0, 0, 0), (0, 0, 500), od=od)
        runs = outline_runs([tube(header), tube(branch, cut_a=True)], view(name))
        sides = [run.points_mm for run in runs if run.tube == 1 and np.ptp(run.points_mm[:, 2]) > 100]
        # seen across the header its sides lie over the crest; seen along it, half its diameter off the crest
        assert [float(side[:, 2].min()) for side in sides] == pytest.approx([up, up], abs=0.4)


def test_a_seam_is_seen_on_the_near_half_only():
    header = bar("H", (0, -400, 0), (0, 400, 0))
    branch = bar("B", (0, 0, 0), (500, 0, 0), od=30.0)
    turn = np.linspace(0.0, 2.0 * np.pi, 121)
    left, up = 15.0 * np.cos(turn), 15.0 * np.sin(turn)
    seam = np.column_stack([np.sqrt(22.5**2 - up**2), left, up])
    runs = outline_runs([tube(header), tube(branch, cut_a=True, seams=(seam,))], view("top"))
    on_seam = [run for run in runs if run.tube == 1 and run.points_mm[:, 0].max() < 23.0]
    seen = np.concatenate([run.points_mm for run in on_seam if run.state == "seen"])
    hidden = np.concatenate([run.points_mm for run in on_seam if run.state == "hidden"])
    # a line within 0.3 mm of the skin counts as on it: 15 mm less 0.3 is reached 3 mm under the middle
    assert seen[:, 2].min() > -3.1
    assert hidden[:, 2].max() < 0.1
    assert np.ptp(seen[:, 1]) == pytest.approx(30.0, abs=0.5)


def test_a_straight_along_the_view_is_a_ring():
    """Both its ends and its skin lie on one circle of the view."""
    runs = outline_runs([tube(bar("P", (0, 0, 0), (0, 0, 600)))], view("top"))
    for run in runs:
        assert np.hypot(run.points_mm[:, 0], run.points_mm[:, 1]) == pytest.approx(22.5)
    above = [run for run in runs if run.points_mm[0, 2] == pytest.approx(600.0)]
    assert [run.state for run in above] == ["seen"]
    assert length(above[0].points_mm) == pytest.approx(np.pi * 45.0, rel=1e-3)


def test_the_near_side_of_a_hidden_tube_is_not_among_the_seen_places():
    wide = bar("W", (-500, 300, 300), (500, 300, 300), od=120.0)
    thin = bar("T", (-200, 0, 300), (200, 0, 300), od=30.0)
    shown = seen_places([tube(wide), tube(thin)], view("side"))
    assert shown[1] == ()
    assert length(shown[0][0]) == pytest.approx(1000.0)


def test_where_a_bend_passes_the_line_of_sight_the_outline_goes_round_the_tube():
    """A leg that leans out and in again, seen from above: its outline at the knee lies on its skin, not across."""
    leg = bar("K", (0, 610, 0), (0, 640, 620), (0, 505, 1085))
    for run in outline_runs([tube(leg)], view("top")):
        steps = np.linalg.norm(np.diff(run.points_mm, axis=0), axis=1)
        assert steps.max() < 6.0
        for place in run.points_mm:
            assert centreline(leg).distance_to_mm(place) == pytest.approx(22.5, abs=0.05)


def test_nothing_is_drawn_of_nothing():
    assert outline_runs([], view("side")) == ()


def standing():
    """Twenty bars whose feet are sawn level to stand on folded plates, and a gusset in a corner of the hoop."""
    cage = twenty_bars()
    bars, tubes, sheets = [], [], []
    for name, one in bars_of(cage).items():
        nodes, saws = list(one.nodes_mm), {}
        for letter, end, last, inner in (
            ("saw_a", cage.member(name).end_a, 0, 1),
            ("saw_b", cage.member(name).end_b, -1, -2),
        ):
            if end.kind != "shell":
                continue
            foot = np.array(nodes[last])
            saws[letter] = Plane.through(foot, (0.0, 0.0, 1.0))
            nodes[last] = tuple((foot + 0.08 * (foot - np.array(nodes[inner]))).tolist())
            sheets.append(folded_plate(foot))
        bars.append(replace(one, nodes_mm=tuple(nodes)))
        tubes.append(tube(bars[-1], **saws))
    hoop = bars[0].nodes
    corner, ways = hoop[2], (hoop[1] - hoop[2], hoop[3] - hoop[2])
    legs = [corner + 140.0 * way / np.linalg.norm(way) for way in ways]
    return bars, tubes, [*sheets, sheet_of_faces([np.array([corner, *legs])])]


def folded_plate(foot):
    """A sole of 120 by 90 mm, 3 mm under a foot, and a wall of 70 mm outward of it."""
    out = 45.0 if foot[1] > 0.0 else -45.0
    low = foot - np.array((0.0, 0.0, 3.0))
    inner, outer = ([low + np.array((side, way, 0.0)) for side in (-60.0, 60.0)] for way in (-out, out))
    top = [point + np.array((0.0, 0.0, 70.0)) for point in outer]
    return sheet_of_faces([np.array([*inner, *outer[::-1]]), np.array([*outer, *top[::-1]])])


class SawnRays(Rays):
    """Rays that also meet sheets, and that pass through what is sawn off a tube."""

    def __init__(self, bars, tubes, sheets, seen, grown_mm):
        super().__init__(bars, seen, grown_mm)
        planes = [saw for one in tubes for saw in (one.saw_a, one.saw_b) if saw is not None]
        self.planes = {
            number: [saw for saw in (one.saw_a, one.saw_b) if saw is not None]
            for number, one in enumerate(tubes)
        }
        assert len(planes) == len(sheets) - 1
        self.bars, self.sheets = len(bars), sheets

    def before(self, place, margin_mm=1e-6):
        found = {number for number in super().before(place) if self._left(number, place)}
        for number, sheet in enumerate(self.sheets, start=self.bars):
            flat = np.stack([sheet.triangles @ self.seen.across, sheet.triangles @ self.seen.upward], axis=-1)
            at = np.array([place @ self.seen.across, place @ self.seen.upward])
            a, b, c = (flat[:, k] for k in range(3))
            twice = _cross(b - a, c - a)
            sheet_triangles = np.abs(twice) > 1e-9
            a, b, c, twice = (one[sheet_triangles] for one in (a, b, c, twice))
            u, v = _cross(b - at, c - at) / twice, _cross(c - at, a - at) / twice
            depth = (sheet.triangles @ self.toward)[sheet_triangles]
            hit = u * depth[:, 0] + v * depth[:, 1] + (1.0 - u - v) * depth[:, 2]
            if ((u >= 0.0) & (v >= 0.0) & (u + v <= 1.0) & (hit > place @ self.toward + margin_mm)).any():
                found.add(number)
        return found

    def _left(self, number, place):
        """Whether any hit on a tube is on what the saw left of it."""
        planes = self.planes[number]
        if not planes:
            return True
        kept = self.tube == number
        whole = (self.tube, self.flat, self.depth, self.low, self.high)
        at = np.array([place @ self.seen.across, place @ self.seen.upward])
        near = np.flatnonzero(kept & ((self.low <= at) & (at <= self.high)).all(axis=1))
        a, b, c = (whole[1][near, k] for k in range(3))
        twice = _cross(b - a, c - a)
        near, a, b, c, twice = (one[np.abs(twice) > 1e-9] for one in (near, a, b, c, twice))
        u, v = _cross(b - at, c - at) / twice, _cross(c - at, a - at) / twice
        inside = (u >= 0.0) & (v >= 0.0) & (u + v <= 1.0)
        depth = self.depth[near]
        hit = (u * depth[:, 0] + v * depth[:, 1] + (1.0 - u - v) * depth[:, 2])[inside]
        ahead = hit[hit > place @ self.toward + 1e-6] - place @ self.toward
        points = place + np.multiply.outer(ahead, self.toward)
        return bool(np.logical_and.reduce([saw.distance_mm(points) >= 0.0 for saw in planes]).any())


@pytest.mark.parametrize("name", ["side", "top", "oblique left", "oblique rear right"])
def test_plates_and_sawn_legs_are_seen_or_hidden_as_a_ray_says(name):
    bars, tubes, sheets = standing()
    seen = view(name)
    toward = np.cross(seen.across, seen.upward)
    true, *rays = (SawnRays(bars, tubes, sheets, seen, grown) for grown in (0.0, GRAZES_MM, -GRAZES_MM))
    tried, wrong = {"seen": 0, "hidden": 0, "grazed": 0}, []
    for run in outline_runs(tubes, seen, sheets):
        of_sheet = run.tube >= len(tubes)
        for place in samples(run, 6.0 if of_sheet else 60.0):
            at = near = place
            if not of_sheet:
                path = tubes[run.tube].path
                along = path.nearest_mm(place)
                axis = path.at(along)[0]
                out = (place - axis) / np.linalg.norm(place - axis)
                at, near = place + (OFF_SKIN_MM + GRAZES_MM) * out, place + OFF_SKIN_MM * out
            shifts = [way * GRAZES_MM for way in (seen.across, -seen.across, seen.upward, -seen.upward)]
            answers = {
                bool(
                    ray.before(at + shift + (1.5 * toward if of_sheet else 0.0))
                    - ({run.tube} if not of_sheet else set())
                )
                for ray in rays
                for shift in shifts
            }
            if not of_sheet and true.before(near) & {run.tube}:
                # on its own far side
                answers = {True}
            if len(answers) > 1:
                tried["grazed"] += 1
                continue
            tried[run.state] += 1
            if answers != {run.state == "hidden"}:
                wrong.append((run.tube, run.state, place.round(1).tolist()))
    assert wrong == []
    assert tried["seen"] > 250
    assert tried["hidden"] > 60


def test_a_leg_that_is_sawn_ends_in_the_plane_of_the_saw():
    """Sawn at 45°, an upright leg of 45 mm ends in an ellipse of 45 by 63.6 mm, and nothing of it lies beyond."""
    leg = bar("L", (0, 0, -60), (0, 0, 500))
    saw = Plane.through((0.0, 0.0, 0.0), (0.0, 1.0, 1.0))
    runs = outline_runs([tube(leg, saw_a=saw)], view("oblique left"))
    every = np.concatenate([run.points_mm for run in runs])
    assert saw.distance_mm(every).min() > -1e-6
    cut = np.concatenate(
        [run.points_mm for run in runs if np.abs(saw.distance_mm(run.points_mm)).max() < 1e-6]
    )
    # chords between the points of the ring lie up to 0.02 mm inside it
    assert np.hypot(cut[:, 0], cut[:, 1]) == pytest.approx(22.5, abs=0.03)
    assert np.ptp(cut[:, 0]) == pytest.approx(45.0, abs=0.1)
    assert np.linalg.norm(np.ptp(cut[:, 1:], axis=0)) == pytest.approx(45.0 * np.sqrt(2.0), abs=0.1)


def test_an_edge_that_two_faces_share_is_drawn_once():
    plate = folded_plate(np.array([0.0, 600.0, 3.0]))
    assert sum(length(line) for line in plate.lines) == pytest.approx(2 * (120 + 90) + 2 * 70 + 120)
    areas = np.linalg.norm(
        np.cross(
            plate.triangles[:, 1] - plate.triangles[:, 0], plate.triangles[:, 2] - plate.triangles[:, 0]
        ),
        axis=1,
    )
    assert areas.sum() / 2.0 == pytest.approx(120 * 90 + 120 * 70)


def test_a_plate_hides_what_is_behind_it_and_is_hidden_by_a_tube():
    """Seen from the left, a plate of 200 mm stands before one tube and behind another."""
    square = np.array([(-100.0, 0.0, 0.0), (100.0, 0.0, 0.0), (100.0, 0.0, 400.0), (-100.0, 0.0, 400.0)])
    behind, before = (
        bar("B", (-500, -100, 200), (500, -100, 200)),
        bar("F", (-300, 100, 300), (300, 100, 300)),
    )
    runs = outline_runs([tube(behind), tube(before)], view("side"), [sheet_of_faces([square])])
    hidden = [run for run in runs if run.state == "hidden"]
    tubes_hidden = [float(np.ptp(run.points_mm[:, 0])) for run in hidden if run.tube == 0]
    assert tubes_hidden == pytest.approx([200.0, 200.0], abs=0.05)
    edges_hidden = [float(np.ptp(run.points_mm[:, 2])) for run in hidden if run.tube == 2]
    assert edges_hidden == pytest.approx([44.4, 44.4], abs=0.05)


def test_a_strip_is_drawn_round_its_edge():
    turn = np.linspace(0.0, np.pi / 2.0, 10)
    first = np.column_stack([50.0 * np.cos(turn), np.zeros(10), 50.0 * np.sin(turn)])
    strip = sheet_of_strip(first, first + np.array((0.0, 80.0, 0.0)))
    assert length(strip.lines[0]) == pytest.approx(2 * 80.0 + 2 * length(first))
    assert len(strip.triangles) == 18
    (seen_all,) = seen_of_sheets([], view("top"), [strip])
    assert np.ptp(seen_all, axis=0)[1] == pytest.approx(80.0, rel=0.15)
