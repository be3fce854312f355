"""Flat parts against a handbook's worked example, and folded up again in space by a way of their own."""

import itertools
import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hoopwright.joints.landing.panels import Panel, PanelHole, Sheet, area_of_mm2
from hoopwright.joints.landing.unfold import allowance_mm, setback_mm, unfold

UP = np.array([0.0, 0.0, 1.0])


def flat_area(outline):
    after = np.roll(outline, -1, axis=0)
    return float((outline[:, 0] * after[:, 1] - outline[:, 1] * after[:, 0]).sum()) / 2.0


def crosses_itself(outline):
    def side(a, b, c):
        return (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0])

    edges = list(zip(outline, np.roll(outline, -1, axis=0), strict=True))
    for (i, (a, b)), (j, (c, d)) in itertools.combinations(enumerate(edges), 2):
        if j - i in (1, len(edges) - 1):
            continue
        if side(a, b, c) * side(a, b, d) < -1e-9 and side(c, d, a) * side(c, d, b) < -1e-9:
            return True
    return False


def angle_plate(long, wide, tall, angle_deg, sheet):
    """A sole in the level plane, folded up along its edge at across 0."""
    corners = np.array([[0.0, 0.0, 0.0], [long, 0.0, 0.0], [long, wide, 0.0], [0.0, wide, 0.0]])
    turn = math.radians(angle_deg)
    away = np.array([0.0, -math.cos(turn), math.sin(turn)])
    normal = np.array([0.0, math.sin(turn), math.cos(turn)])
    wall = np.array([corners[1], corners[0], corners[0] + tall * away, corners[1] + tall * away])
    child = Panel(name="wall", outline_mm=wall, normal=normal)
    return Panel(name="sole", outline_mm=corners, normal=UP, hung=((0, child),))


def folded_up(part, sheet, middle):
    """Corners of a flat part in space: each flap carried round its bend on the neutral line, as the metal goes.

    The root lies in the level plane with its outer face down; `middle` is a place on it.
    """
    places = np.column_stack([part.outline_mm, np.zeros(len(part.outline_mm))])
    for fold in part.folds:
        start, end = np.array(fold.start_mm), np.array(fold.end_mm)
        along = (end - start) / np.linalg.norm(end - start)
        out = np.array([along[1], -along[0]])
        out = out if (middle - start) @ out < 0.0 else -out
        turn = math.radians(abs(fold.angle_deg))
        outer = sheet.inside_radius_mm + sheet.thickness_mm
        neutral = sheet.inside_radius_mm + sheet.k_ratio * sheet.thickness_mm
        assert fold.allowance_mm == pytest.approx(turn * neutral, abs=1e-9)
        off = (part.outline_mm - start) @ out
        along_mm = (part.outline_mm - start) @ along
        beyond = off > fold.allowance_mm / 2.0 - 1e-6
        beyond &= (along_mm > -sheet.thickness_mm * 4) & (
            along_mm < np.linalg.norm(end - start) + sheet.thickness_mm * 4
        )
        centre = start - out * fold.allowance_mm / 2.0
        for k in np.flatnonzero(beyond):
            far = off[k] - fold.allowance_mm / 2.0
            level = centre + along * along_mm[k] + out * (outer * math.sin(turn) + far * math.cos(turn))
            height = outer - outer * math.cos(turn) + far * math.sin(turn)
            places[k] = [*level, height]
    return places


def test_a_handbook_channel_comes_out_flat():
    """FAA-H-8083-31, chapter 4, bending a U-channel: 0.040 in sheet, radius 0.16: setback 0.2, flats 0.8, 1.6, 0.8."""
    sheet = Sheet(thickness_mm=0.040, inside_radius_mm=0.16, k_ratio=0.447)
    assert setback_mm(90.0, sheet, outside=True) == pytest.approx(0.2, abs=1e-12)
    allowance = allowance_mm(90.0, sheet)
    # its formula, (0.01743 R + 0.0078 T) for each degree, rounds the degree down by 0.13 %
    assert allowance == pytest.approx((0.01743 * 0.16 + 0.0078 * 0.040) * 90.0, abs=5e-4)
    base = np.array([[0.0, 0.0, 0.0], [5.0, 0.0, 0.0], [5.0, 2.0, 0.0], [0.0, 2.0, 0.0]])
    near = np.array([base[1], base[0], base[0] + UP, base[1] + UP])
    far = np.array([base[3], base[2], base[2] + UP, base[3] + UP])
    channel = Panel(
        name="channel",
        outline_mm=base,
        normal=UP,
        hung=(
            (0, Panel(name="near", outline_mm=near, normal=np.array([0.0, 1.0, 0.0]))),
            (2, Panel(name="far", outline_mm=far, normal=np.array([0.0, -1.0, 0.0]))),
        ),
    )
    part = unfold(channel, sheet, name="U", metal_is_above=True)
    wide = np.ptp(part.outline_mm[:, 1])
    assert wide == pytest.approx(0.8 + allowance + 1.6 + allowance + 0.8, abs=1e-9)


def test_a_second_published_allowance():
    """A sheet-metal workbook's example, 90 degrees: 0.050 in sheet, radius 0.032: allowance 0.085, deduction 0.079."""
    sheet = Sheet(thickness_mm=0.050, inside_radius_mm=0.032, k_ratio=0.447)
    allowance = allowance_mm(90.0, sheet)
    assert allowance == pytest.approx(0.085, abs=6e-4)
    assert 2.0 * setback_mm(90.0, sheet, outside=True) - allowance == pytest.approx(0.079, abs=6e-4)


@given(
    st.floats(60.0, 300.0), st.floats(50.0, 200.0), st.floats(30.0, 150.0),
    st.floats(20.0, 140.0), st.floats(1.0, 4.0), st.floats(0.5, 6.0), st.floats(0.3, 0.5),
)  # fmt: skip
def test_folded_up_again_every_corner_lies_on_its_plane(long, wide, tall, angle, thick, radius, k):
    sheet = Sheet(thickness_mm=thick, inside_radius_mm=radius, k_ratio=k)
    back = setback_mm(angle, sheet, outside=True)
    if back > 0.8 * min(wide, tall):
        return
    part = unfold(angle_plate(long, wide, tall, angle, sheet), sheet, name="P", metal_is_above=True)
    assert part.folds[0].angle_deg == pytest.approx(angle, abs=1e-9)
    (fold,) = part.folds
    # the sole lies above the fold in the flat
    middle = np.array(fold.start_mm) + np.array([long / 2.0, wide / 2.0])
    made = folded_up(part, sheet, middle)
    corner = np.array(fold.start_mm)[1] + fold.allowance_mm / 2.0 - back
    turn = math.radians(angle)
    off_wall = (made[:, 1] - corner) * math.sin(turn) + made[:, 2] * math.cos(turn)
    on_sole, on_wall = np.abs(made[:, 2]) < 1e-6, np.abs(off_wall) < 1e-6
    assert (on_sole | on_wall).all()
    assert made[on_sole, 1].max() - corner == pytest.approx(wide, abs=1e-6)
    reach = np.linalg.norm(made[:, 1:] - [corner, 0.0], axis=1)[on_wall & ~on_sole]
    assert reach.max() == pytest.approx(tall, abs=1e-6)


@given(st.floats(30.0, 150.0), st.floats(20.0, 100.0))
def test_the_flat_area_is_that_of_the_faces_less_what_the_bend_saves(angle, tall):
    """Seen from the mold lines a fold takes off twice the setback and gives the allowance."""
    sheet = Sheet(thickness_mm=3.0, inside_radius_mm=3.0, k_ratio=0.447)
    back = setback_mm(angle, sheet, outside=True)
    if back >= tall:
        return
    root = angle_plate(120.0, 100.0, tall, angle, sheet)
    part = unfold(root, sheet, name="P", metal_is_above=True)
    faces = area_of_mm2(root.outline_mm) + area_of_mm2(root.hung[0][1].outline_mm)
    saved = 120.0 * (2.0 * back - allowance_mm(angle, sheet))
    assert flat_area(part.outline_mm) == pytest.approx(faces - saved, rel=1e-9)


def box_panels(long, wide, deeps, thick):
    """A level top with four walls, the depths at its corners given; the walls end a sheet short of each other."""
    top = np.array([[0.0, 0.0, 0.0], [long, 0.0, 0.0], [long, wide, 0.0], [0.0, wide, 0.0]])
    hung = []
    for k in range(4):
        a, b = top[k], top[(k + 1) % 4]
        on = (b - a) / np.linalg.norm(b - a)
        first, last = a + thick * on, b - thick * on
        deep = [deeps[k], deeps[(k + 1) % 4]]
        outline = np.array([last, first, first - deep[0] * UP, last - deep[1] * UP])
        hung.append((k, Panel(name=f"wall {k}", outline_mm=outline, normal=np.cross(on, UP))))
    return Panel(name="top", outline_mm=top, normal=UP, hung=tuple(hung))


@given(
    st.floats(60.0, 200.0), st.floats(60.0, 200.0), st.tuples(*[st.floats(30.0, 120.0)] * 4), st.floats(1.5, 4.0)
)  # fmt: skip
def test_a_box_folds_up_closed(long, wide, deeps, thick):
    """Folded up, the lower corners of neighbouring walls meet as in space: one sheet from the corner each."""
    sheet = Sheet(thickness_mm=thick, inside_radius_mm=thick, k_ratio=0.447)
    root = box_panels(long, wide, deeps, thick)
    part = unfold(root, sheet, name="B", metal_is_above=False)
    assert len(part.folds) == 4
    assert all(fold.angle_deg == pytest.approx(-90.0) for fold in part.folds)
    assert not crosses_itself(part.outline_mm)
    assert flat_area(part.outline_mm) > 0.0
    middle = np.mean([np.add(fold.start_mm, fold.end_mm) / 2.0 for fold in part.folds], axis=0)
    made = folded_up(part, sheet, middle)
    lower = made[made[:, 2] > setback_mm(90.0, sheet, outside=True) + 1.0]
    wanted = np.concatenate([panel.outline_mm[2:] for _, panel in root.hung])
    assert len(lower) == len(wanted)
    ours = np.sort([np.linalg.norm(a - b) for a, b in itertools.combinations(lower, 2)])
    theirs = np.sort([np.linalg.norm(a - b) for a, b in itertools.combinations(wanted, 2)])
    assert ours == pytest.approx(theirs, abs=1e-6)


def test_holes_and_mass_of_a_flat_plate():
    corners = np.array([[5.0, 1.0, 2.0], [125.0, 1.0, 2.0], [125.0, 101.0, 2.0], [5.0, 101.0, 2.0]])
    hole = PanelHole(centre_mm=np.array([25.0, 21.0, 2.0]), diameter_mm=9.0)
    sheet = Sheet(thickness_mm=3.0, inside_radius_mm=3.0, k_ratio=0.447)
    part = unfold(
        Panel(name="sole", outline_mm=corners, normal=UP, holes=(hole,)), sheet, name="P", metal_is_above=True
    )
    assert part.holes[0].centre_mm == pytest.approx((20.0, 20.0))
    assert part.mass_kg == pytest.approx((120.0 * 100.0 - math.pi * 81.0 / 4.0) * 3.0 * 7.85e-6)
