"""Places on a hoop or a side bar where other bars end."""

import numpy as np

from hoopwright.bars import Bar, bend_table
from hoopwright.geometry import Vector, unit_vector


def top_end(hoop: Bar) -> tuple[Vector, Vector]:
    """Where the hoop's top straight begins on the left, just clear of the bend, and the way inward."""
    nodes = hoop.nodes
    inward = unit_vector(nodes[3] - nodes[2])
    table = bend_table(hoop)
    setback = hoop.clr_mm * float(np.tan(np.radians(table.angles_deg[1]) / 2.0))
    return nodes[2] + setback * inward, inward


def on_leg(bar: Bar, leg: int, along_mm: float) -> tuple[Vector, Vector]:
    """The place at a distance along one of a bar's legs from its first node, and the way along it."""
    nodes = bar.nodes
    direction = unit_vector(nodes[leg + 1] - nodes[leg])
    return nodes[leg] + along_mm * direction, direction


def crossing(a: Vector, b: Vector, c: Vector, d: Vector) -> Vector:
    """The place on the line from c to d nearest to the line from a to b."""
    along, across = unit_vector(b - a), unit_vector(d - c)
    cosine = float(along @ across)
    gap = a - c
    distance = (float(gap @ across) - cosine * float(gap @ along)) / (1.0 - cosine**2)
    place: Vector = c + distance * across
    return place
