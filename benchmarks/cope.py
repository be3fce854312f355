"""Copes, and the same cut by a CAD kernel's boolean in the same run.

python -m benchmarks.cope     # the ratio needs the extra `cad`
"""

from collections.abc import Callable, Sequence
from functools import partial

import numpy as np

from benchmarks.timing import best_of, line
from hoopwright.geometry import Arc, Line, fillet_path
from hoopwright.joints.cope import Branch, Header, OvalBend, cope_profile, straight_header, two_tubes

_BODY_MM = 250.0


def main() -> None:
    """Measure and print."""
    for name, branch, headers, target in _joints():
        ours_s = best_of(partial(cope_profile, branch, headers), runs=20)
        line(name, ours_s * 1e3, "ms", target)
        try:
            kernel_s = best_of(_kernel_cut(branch, headers), runs=3)
        except ImportError:
            print("  the ratio to a CAD kernel needs the extra 'cad'")
            continue
        line("  a CAD kernel's boolean cut over it", kernel_s / ours_s, "x", "at least 100 x, one header")


def _joints() -> Sequence[tuple[str, Branch, list[Header], str]]:
    branch, header = two_tubes(header_od_mm=45.0, branch_od_mm=38.0, angle_deg=55.0, offset_mm=3.0)
    walled = Branch(**(vars(branch) | {"wall_mm": 2.5}))
    third = straight_header(name="third", through_mm=[0, 0, 0], direction=[0.2, 1.0, 0.7], od_mm=38.0)
    path = fillet_path([(0, 0, 0), (0, 0, 600), (600, 0, 600)], [137.5])
    arc = path.pieces[1]
    assert isinstance(arc, Arc)
    middle = np.array([arc.length_mm / 2.0])
    place, tangent = arc.at(middle)[0], arc.direction_at(middle)[0]
    out = (place - arc.centre_mm) / arc.radius_mm
    on_bend = Branch(origin_mm=place, direction=out, datum=tangent, od_mm=38.0)
    equal = Branch(**(vars(on_bend) | {"od_mm": 45.0}))
    aside = straight_header(name="aside", through_mm=place, direction=np.cross(out, tangent), od_mm=45.0)
    bent = Header(name="bent", path=path, od_mm=45.0)
    oval = Header(name="bent", path=path, od_mm=45.0, oval_bends=(OvalBend(in_plane_mm=43, across_mm=46),))
    return (
        ("one straight header, 360 points", walled, [header], "under 5 ms"),
        ("two straight headers", walled, [header, third], "under 50 ms"),
        ("a bent header", on_bend, [bent], "under 50 ms"),
        ("a bent header, equal tubes", equal, [bent], "under 50 ms"),
        ("a bent oval header", on_bend, [oval], "under 50 ms"),
        ("a bent header and a straight one, equal tubes", equal, [bent, aside], "under 50 ms"),
    )


def _kernel_cut(branch: Branch, headers: Sequence[Header]) -> Callable[[], object]:
    """The boolean alone: the solids are made before."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder

    start = branch.origin_mm - _BODY_MM * branch.direction
    body = BRepPrimAPI_MakeCylinder(_axes(start, branch.direction), branch.od_mm / 2.0, 2.0 * _BODY_MM)
    solids = [solid for header in headers for solid in _header_solids(header)]

    def cut() -> object:
        shape = body.Shape()
        for solid in solids:
            shape = BRepAlgoAPI_Cut(shape, solid).Shape()
        return shape

    return cut


def _header_solids(header: Header) -> list[object]:
    from OCP.BRepPrimAPI import BRepPrimAPI_MakeCylinder, BRepPrimAPI_MakeTorus

    solids = []
    for piece in header.path.pieces:
        if isinstance(piece, Line):
            half_mm = min(piece.length_mm / 2.0, 500.0)
            start = piece.at(np.array([piece.length_mm / 2.0 - half_mm]))[0]
            made = BRepPrimAPI_MakeCylinder(_axes(start, piece.direction), header.od_mm / 2.0, 2.0 * half_mm)
        else:
            across = np.cross(piece.outward, piece.direction)
            made = BRepPrimAPI_MakeTorus(
                _axes(piece.centre_mm, across, piece.outward),
                piece.radius_mm,
                header.od_mm / 2.0,
                float(np.radians(piece.angle_deg)),
            )
        solids.append(made.Shape())
    return solids


def _axes(place: np.ndarray, along: np.ndarray, across: np.ndarray | None = None) -> object:
    from OCP.gp import gp_Ax2, gp_Dir, gp_Pnt

    directions = [gp_Dir(*one.tolist()) for one in (along, across) if one is not None]
    return gp_Ax2(gp_Pnt(*place.tolist()), *directions)


if __name__ == "__main__":
    main()
