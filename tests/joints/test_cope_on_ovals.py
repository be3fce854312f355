"""Copes on oval bends and on long bent headers: what must hold whatever the numbers."""

import numpy as np
import pytest
from hypothesis import example, given, settings
from hypothesis import strategies as st

from hoopwright.geometry import Arc, fillet_path, rotation_about
from hoopwright.joints.cope import Branch, Header, OvalBend, cope_profile, cutting
from hoopwright.joints.cope.within_reach import pieces_within_reach

PATH = fillet_path([(0, 0, 0), (0, 0, 600), (520, 0, 900), (700, 500, 1000)], [137.5, 100.0])
OD_MM = 45.0


def past_oval_mm(header, points_mm):
    """By hand, apart from the code under test: outside (over 0) or inside the skin, 0 on it."""
    least = np.full(len(points_mm), np.inf)
    bends = 0
    for index, piece in enumerate(PATH.pieces):
        if isinstance(piece, Arc):
            oval = header.oval_bends[bends]
            bends += 1
            axis = np.cross(piece.outward, piece.direction)
            offset = points_mm - piece.centre_mm
            flat = offset - np.outer(offset @ axis, axis)
            turn = np.arctan2(flat @ piece.direction, flat @ piece.outward)
            within = (turn >= 0.0) & (turn <= np.radians(piece.angle_deg))
            from_end = np.minimum(turn, np.radians(piece.angle_deg) - turn) * piece.radius_mm
            share = np.clip(from_end / min(OD_MM, piece.length_mm / 4.0), 0.0, 1.0)
            share = 3.0 * share**2 - 2.0 * share**3
            a = (1.0 - share) * OD_MM / 2.0 + share * oval.in_plane_mm / 2.0
            b = (1.0 - share) * OD_MM / 2.0 + share * oval.across_mm / 2.0
            out = np.linalg.norm(flat, axis=1) - piece.radius_mm
            value = (np.sqrt((out / a) ** 2 + ((offset @ axis) / b) ** 2) - 1.0) * OD_MM / 2.0
        else:
            offset = points_mm - piece.start_mm
            along = offset @ piece.direction
            within = (along >= 0.0) | (index == 0)
            within &= (along <= piece.length_mm) | (index == len(PATH.pieces) - 1)
            value = np.linalg.norm(offset - np.outer(along, piece.direction), axis=1) - OD_MM / 2.0
        least = np.where(within, np.minimum(least, value), least)
    return least


def on_the_path(share, tilt, turn, od_mm):
    along_mm = share * PATH.length_mm
    place, tangent = PATH.at(along_mm)[0], PATH.directions_at(along_mm)[0]
    square = np.cross(tangent, [0.31, -0.52, 0.79])
    square = rotation_about(tangent, turn) @ (square / np.linalg.norm(square))
    aside = np.cross(tangent, square)
    return Branch(
        origin_mm=place, direction=rotation_about(aside, tilt) @ square, datum=aside, od_mm=od_mm, wall_mm=2.5
    )


ovals = st.tuples(st.floats(40.0, 47.0), st.floats(42.0, 48.0)).map(
    lambda two: OvalBend(in_plane_mm=two[0], across_mm=two[1])
)
shares, tilts, turns = st.floats(0.2, 0.8), st.floats(-50, 50), st.floats(-180.0, 180.0)


@settings(max_examples=50)
@given(shares, tilts, turns, st.sampled_from([25.0, 38.0, 45.0]), ovals, ovals)
@example(
    0.45,
    0.0,
    0.0,
    45.0,
    OvalBend(in_plane_mm=45.0, across_mm=45.0),
    OvalBend(in_plane_mm=43.0, across_mm=46.0),
)
@example(
    0.45,
    0.0,
    90.0,
    45.0,
    OvalBend(in_plane_mm=43.0, across_mm=46.0),
    OvalBend(in_plane_mm=43.0, across_mm=46.0),
)
def test_every_cut_lies_on_the_oval_skin_and_the_body_outside(share, tilt, turn, od_mm, one, other):
    branch = on_the_path(share, tilt, turn, od_mm)
    header = Header(name="H", path=PATH, od_mm=OD_MM, oval_bends=(one, other))
    profile = cope_profile(branch, [header], points=48)
    cut = ~np.isnan(profile.along_mm)
    points = branch.skin_mm(profile.around_deg[cut], profile.along_mm[cut])
    assert np.abs(past_oval_mm(header, points)).max() < 1e-6
    for farther_mm in (0.01, 0.1, 1.0, 3.0, 10.0, 30.0):
        assert past_oval_mm(header, points + farther_mm * branch.direction).min() > -1e-6
    whole = np.arange(-80.0, 80.0, 0.5)
    for around_deg in profile.around_deg[~cut]:
        assert past_oval_mm(header, branch.skin_mm([around_deg] * len(whole), whole)).min() > -1e-6


@settings(max_examples=30)
@given(shares, tilts, turns, st.sampled_from([25.0, 38.0, 45.0]))
def test_an_oval_of_a_round_section_is_round(share, tilt, turn, od_mm):
    branch = on_the_path(share, tilt, turn, od_mm)
    circle = OvalBend(in_plane_mm=OD_MM, across_mm=OD_MM)
    oval = cope_profile(
        branch, [Header(name="H", path=PATH, od_mm=OD_MM, oval_bends=(circle, circle))], points=48
    )
    plain = cope_profile(branch, [Header(name="H", path=PATH, od_mm=OD_MM)], points=48)
    assert oval.along_mm == pytest.approx(plain.along_mm, abs=1e-6, nan_ok=True)


@settings(max_examples=40)
@given(st.floats(-0.1, 1.1), tilts, turns, st.floats(-60.0, 60.0), st.booleans())
def test_a_piece_out_of_reach_is_never_cut(share, tilt, turn, aside_mm, is_endless):
    """All pieces solved, none left out: the same lines run inside the same pieces."""
    branch = on_the_path(min(max(share, 0.0), 1.0), tilt, turn, 38.0)
    moved = branch.origin_mm + aside_mm * branch.datum
    branch = Branch(origin_mm=moved, direction=branch.direction, datum=branch.datum, od_mm=38.0)
    header = Header(name="H", path=PATH, od_mm=OD_MM, is_endless=is_endless)
    rays = cutting.rays_of(branch, np.arange(0.0, 360.0, 2.0), 19.0)
    every = tuple(range(len(PATH.pieces)))
    reached = pieces_within_reach(branch, header)
    for index in set(every) - set(reached):
        start, _, _ = cutting._stretches(rays, header, [index])
        assert not np.isfinite(start).any()
