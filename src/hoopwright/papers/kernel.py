"""Tubes in the CAD kernel: sections swept along lines and arcs, cuts, volumes.

The kernel comes with the extra `cad`. It is loaded by these functions only, since it is large.
"""

import importlib.util
from collections.abc import Sequence
from typing import Any

import numpy as np
from numpy.typing import NDArray

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.geometry import Arc, FilletedPath, Points, Vector

_SEWN_MM = 1e-6


def require_kernel() -> None:
    """See that the CAD kernel is there.

    Raises:
        UserError: `FILE-101` without it.
    """
    if importlib.util.find_spec("OCP") is None:
        raise UserError(
            Finding(
                code="FILE-101",
                severity=Severity.STOP,
                sentence="STEP files need the CAD kernel, which is not installed.",
                todo="Install it with: pip install 'hoopwright[cad]'. All other papers are made without it.",
            )
        )


def swept_tube(path: FilletedPath, od_mm: float, inside_mm: float = 0.0) -> Any:
    """A round section along a path, with square ends: cylinders and tori exactly.

    Args:
        path: The axis.
        od_mm: Outside diameter.
        inside_mm: Inside diameter; 0 is a full bar.

    Returns:
        The kernel's solid.

    Raises:
        ValueError: Where the kernel makes no solid of it.
    """
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace
    from OCP.BRepOffsetAPI import BRepOffsetAPI_MakePipe
    from OCP.Standard import Standard_Failure

    try:
        face = BRepBuilderAPI_MakeFace(_rim(path, od_mm))
        if inside_mm > 0.0:
            hole = _rim(path, inside_mm)
            hole.Reverse()
            face.Add(hole)
        return BRepOffsetAPI_MakePipe(_wire(path), face.Face()).Shape()
    except Standard_Failure as error:
        msg = f"the CAD kernel makes no solid of it: {error}"
        raise ValueError(msg) from error


def _wire(path: FilletedPath) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.GC import GC_MakeArcOfCircle

    wire = BRepBuilderAPI_MakeWire()
    for piece in path.pieces:
        start, middle, end = (_point(place) for place in piece.at(np.linspace(0.0, piece.length_mm, 3)))
        if isinstance(piece, Arc):
            wire.Add(BRepBuilderAPI_MakeEdge(GC_MakeArcOfCircle(start, middle, end).Value()).Edge())
        elif piece.length_mm > 0.0:
            wire.Add(BRepBuilderAPI_MakeEdge(start, end).Edge())
    return wire.Wire()


def _rim(path: FilletedPath, diameter_mm: float) -> Any:
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge, BRepBuilderAPI_MakeWire
    from OCP.gp import gp_Ax2, gp_Circ, gp_Dir

    along = path.directions_at(0.0)[0]
    axes = gp_Ax2(_point(path.at(0.0)[0]), gp_Dir(*(float(value) for value in along)))
    return BRepBuilderAPI_MakeWire(BRepBuilderAPI_MakeEdge(gp_Circ(axes, diameter_mm / 2.0)).Edge()).Wire()


def _point(place_mm: Vector) -> Any:
    from OCP.gp import gp_Pnt

    return gp_Pnt(*(float(value) for value in place_mm))


def prism(outline_mm: Points, along_mm: Vector) -> Any:
    """A flat outline drawn out along a vector.

    Args:
        outline_mm: Corners without the first again, in one plane within the kernel's tolerance; shape (n, 3).
        along_mm: How far and where to, shape (3,).

    Returns:
        The kernel's solid.

    Raises:
        ValueError: Where the outline makes no face.
    """
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeFace, BRepBuilderAPI_MakePolygon
    from OCP.BRepPrimAPI import BRepPrimAPI_MakePrism
    from OCP.gp import gp_Vec

    polygon = BRepBuilderAPI_MakePolygon()
    for corner in outline_mm:
        polygon.Add(_point(corner))
    polygon.Close()
    face = BRepBuilderAPI_MakeFace(polygon.Wire(), True)
    if not face.IsDone():
        msg = "the outline is not flat"
        raise ValueError(msg)
    return BRepPrimAPI_MakePrism(face.Face(), gp_Vec(*(float(value) for value in along_mm))).Shape()


def fused(shapes: Sequence[Any]) -> tuple[Any, ...]:
    """Solids that touch or overlap as one; those that do not stay apart."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Fuse

    whole = shapes[0]
    for shape in shapes[1:]:
        made = BRepAlgoAPI_Fuse(whole, shape)
        if not made.IsDone():
            return tuple(shapes)
        whole = made.Shape()
    return _solids_in(whole)


def cut_solids(shape: Any, tool: Any) -> tuple[Any, ...]:
    """What is left of a shape outside a tool, piece by piece; empty where the kernel fails."""
    from OCP.BRepAlgoAPI import BRepAlgoAPI_Cut
    from OCP.Standard import Standard_Failure

    try:
        made = BRepAlgoAPI_Cut(shape, tool)
        return _solids_in(made.Shape()) if made.IsDone() else ()
    except Standard_Failure:
        return ()


def _solids_in(shape: Any) -> tuple[Any, ...]:
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopExp import TopExp_Explorer

    explorer = TopExp_Explorer(shape, TopAbs_ShapeEnum.TopAbs_SOLID)
    found = []
    while explorer.More():
        found.append(explorer.Current())
        explorer.Next()
    return tuple(found)


def volume_mm3(shape: Any) -> float:
    """Volume of a solid, by the kernel's own integration."""
    from OCP.BRepGProp import BRepGProp
    from OCP.GProp import GProp_GProps

    properties = GProp_GProps()
    BRepGProp.VolumeProperties_s(shape, properties)
    return float(properties.Mass())


def is_valid(shape: Any) -> bool:
    """Whether the kernel finds nothing wrong with a solid."""
    from OCP.BRepCheck import BRepCheck_Analyzer

    return bool(BRepCheck_Analyzer(shape).IsValid())


def ring_solid(rings_mm: Sequence[Points]) -> Any:
    """A ring whose section has its corners on closed smooth lines, straight between neighbours and last to first.

    Args:
        rings_mm: Points of each line in even steps without the first again, all alike; shape (n, 3) each.

    Returns:
        The kernel's solid.

    Raises:
        ValueError: Where the kernel makes no solid of it.
    """
    edges = [_closed_line(ring) for ring in rings_mm]
    return _sewn(list(zip(edges, [*edges[1:], edges[0]], strict=True)))


def strip_solid(corners_mm: NDArray[np.float64], pieces: Sequence[tuple[int, int]]) -> Any:
    """A strip of four corners' section, smooth along each piece, with flat ends.

    Args:
        corners_mm: Sections in a row, shape (n, 4, 3); neighbouring corners of two sections lie on lines that make a
            ruled face.
        pieces: First and last section of each smooth piece.

    Returns:
        The kernel's solid.

    Raises:
        ValueError: Where the kernel makes no solid of it.
    """
    pairs: list[tuple[Any, Any]] = []
    for first, last in pieces:
        edges = [_line(corners_mm[first : last + 1, corner]) for corner in range(4)]
        pairs += zip(edges, [*edges[1:], edges[0]], strict=True)
    for end in (corners_mm[0], corners_mm[-1]):
        pairs.append((_line(end[:2]), _line(end[[3, 2]])))
    return _sewn(pairs)


def _sewn(pairs: Sequence[tuple[Any, Any]]) -> Any:
    """The solid inside faces that are each ruled between two edges."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeSolid, BRepBuilderAPI_Sewing
    from OCP.BRepFill import BRepFill
    from OCP.Standard import Standard_Failure
    from OCP.TopAbs import TopAbs_ShapeEnum
    from OCP.TopoDS import TopoDS

    try:
        sewing = BRepBuilderAPI_Sewing(_SEWN_MM)
        for one, other in pairs:
            sewing.Add(BRepFill.Face_s(one, other))
        sewing.Perform()
        shell = sewing.SewedShape()
        if shell.ShapeType() != TopAbs_ShapeEnum.TopAbs_SHELL:
            msg = "the CAD kernel makes no closed shell of it"
            raise ValueError(msg)
        solid = BRepBuilderAPI_MakeSolid(TopoDS.Shell(shell)).Solid()
    except Standard_Failure as error:
        msg = f"the CAD kernel makes no solid of it: {error}"
        raise ValueError(msg) from error
    return solid if volume_mm3(solid) > 0.0 else solid.Reversed()


def _line(points_mm: Points) -> Any:
    """A smooth line through points, as an edge; straight through two."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.collections import HArray1_double, HArray1_gp_Pnt
    from OCP.GeomAPI import GeomAPI_Interpolate

    if len(points_mm) == 2:
        return BRepBuilderAPI_MakeEdge(_point(points_mm[0]), _point(points_mm[1])).Edge()
    through, evenly = HArray1_gp_Pnt(1, len(points_mm)), HArray1_double(1, len(points_mm))
    for number, place in enumerate(points_mm, start=1):
        through.SetValue(number, _point(place))
        evenly.SetValue(number, number / len(points_mm))
    made = GeomAPI_Interpolate(through, evenly, False, _SEWN_MM)
    made.Perform()
    return BRepBuilderAPI_MakeEdge(made.Curve()).Edge()


def _closed_line(points_mm: Points) -> Any:
    """A smooth line through points and back to the first, as an edge."""
    from OCP.BRepBuilderAPI import BRepBuilderAPI_MakeEdge
    from OCP.collections import HArray1_double, HArray1_gp_Pnt
    from OCP.GeomAPI import GeomAPI_Interpolate

    through = HArray1_gp_Pnt(1, len(points_mm))
    for number, place in enumerate(points_mm, start=1):
        through.SetValue(number, _point(place))
    evenly = HArray1_double(1, len(points_mm) + 1)
    for number in range(len(points_mm) + 1):
        evenly.SetValue(number + 1, number / len(points_mm))
    made = GeomAPI_Interpolate(through, evenly, True, _SEWN_MM)
    made.Perform()
    return BRepBuilderAPI_MakeEdge(made.Curve()).Edge()
