"""Mass and centre of mass of a bar: exact along straights and arcs, and at ends that are cut to a shape."""

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from hoopwright.bars.bar import Bar, Node, as_node, centreline
from hoopwright.geometry import Arc, Line, Points, Vector, cross
from hoopwright.tubes import STEEL_DENSITY_KG_PER_M3, TubeSize, section_properties
from hoopwright.units import KG_PER_M3_TO_KG_PER_MM3

_LAYERS = 3


@dataclass(frozen=True, kw_only=True)
class Mass:
    """A mass and where its middle is.

    Args:
        mass_kg: Mass; 0 for nothing, whose centre is the origin.
        centre_mm: Centre of mass, vehicle frame.
    """

    mass_kg: float
    centre_mm: Node


@dataclass(frozen=True, kw_only=True)
class BarMass:
    """What a bar weighs between its cuts.

    Args:
        mass: Mass and centre.
        length_mm: Length of straight tube of the same mass: between the cuts, each taken at its mean round the tube.
    """

    mass: Mass
    length_mm: float


@dataclass(frozen=True, kw_only=True, eq=False)
class ShapedEnd:
    """An end that is not cut square where it is drawn.

    Args:
        origin_mm: The drawn end on the axis, vehicle frame, shape (3,).
        inward: Unit direction from it into the bar, shape (3,).
        side: Unit direction square to it from which angles round the tube count, right-hand rule about `inward`.
        cut_mm: From the drawn end inward to the cut, negative where the tube goes on beyond; a row for each radius of
            `layer_radii_mm`, in even steps round the tube without a closing one; shape (layers, n).
    """

    origin_mm: Vector
    inward: Vector
    side: Vector
    cut_mm: Points


def layer_radii_mm(tube: TubeSize) -> Vector:
    """Radii through the wall at which the cut of an end is asked for, from the inside out; shape (layers,).

    They are Gauss points of the radius squared, since equal steps of that are equal areas of the section.
    """
    inside2, outside2 = (tube.inside_mm / 2.0) ** 2, (tube.od_mm / 2.0) ** 2
    places, _ = np.polynomial.legendre.leggauss(_LAYERS)
    return np.asarray(np.sqrt((inside2 + outside2) / 2.0 + (outside2 - inside2) / 2.0 * places))


def bar_mass(bar: Bar, ends: Sequence[ShapedEnd] = ()) -> BarMass:
    """Mass and centre of a bar of its whole nominal section.

    A bend counts with the section that the tube had before: what the wall gains inside it loses outside, and what
    stretching takes from it is not counted.

    Args:
        bar: The bar, bent along true arcs.
        ends: Its shaped ends; an end that is not among them is square where it is drawn.

    Raises:
        ValueError: For a bar that cannot be; `check_shape` says it in words.

    Source: second theorem of Pappus for the volume of a bend; its centre lies at R + I / (A R) from the bend's axis,
        R the centreline radius, A and I area and second moment of the section, since what lies farther out is longer.
    """
    section = section_properties(bar.tube)
    pieces = [_piece(piece, section.area_mm2, section.i_mm4) for piece in centreline(bar).pieces]
    pieces += [_taken_off(end, bar.tube) for end in ends]
    volume = math.fsum(part for part, _ in pieces)
    moment = np.sum([first for _, first in pieces], axis=0)
    return BarMass(
        mass=Mass(
            mass_kg=volume * STEEL_DENSITY_KG_PER_M3 * KG_PER_M3_TO_KG_PER_MM3,
            centre_mm=as_node(moment / volume),
        ),
        length_mm=volume / section.area_mm2,
    )


def all_together(masses: Sequence[Mass]) -> Mass:
    """Several masses as one."""
    total = math.fsum(one.mass_kg for one in masses)
    if total <= 0.0:
        return Mass(mass_kg=0.0, centre_mm=(0.0, 0.0, 0.0))
    moment = np.sum([one.mass_kg * np.array(one.centre_mm) for one in masses], axis=0)
    return Mass(mass_kg=total, centre_mm=as_node(moment / total))


def _piece(piece: Line | Arc, area_mm2: float, i_mm4: float) -> tuple[float, Vector]:
    """Volume of a straight or a bend, and volume times centre."""
    volume = area_mm2 * piece.length_mm
    if isinstance(piece, Line):
        return volume, volume * (piece.start_mm + piece.length_mm / 2.0 * piece.direction)
    half_rad = math.radians(piece.angle_deg) / 2.0
    away_mm = piece.radius_mm + i_mm4 / (area_mm2 * piece.radius_mm)
    way = math.cos(half_rad) * piece.outward + math.sin(half_rad) * piece.direction
    return volume, volume * (piece.centre_mm + away_mm * math.sin(half_rad) / half_rad * way)


def _taken_off(end: ShapedEnd, tube: TubeSize) -> tuple[float, Vector]:
    """Volume between the drawn end and the cut, negative, and that times its centre."""
    cut, radii = np.asarray(end.cut_mm), layer_radii_mm(tube)
    around_rad = np.arange(cut.shape[1]) * 2.0 * math.pi / cut.shape[1]
    _, weights = np.polynomial.legendre.leggauss(_LAYERS)
    area_mm2 = section_properties(tube).area_mm2
    share = np.repeat(weights[:, None] / 2.0 / cut.shape[1], cut.shape[1], axis=1) * area_mm2
    along = float((share * cut**2 / 2.0).sum())
    to_side = float((share * cut * radii[:, None] * np.cos(around_rad)).sum())
    across = float((share * cut * radii[:, None] * np.sin(around_rad)).sum())
    volume = float((share * cut).sum())
    moment = volume * end.origin_mm + along * end.inward + to_side * end.side
    return -volume, -(moment + across * cross(end.inward, end.side))
