"""A bar: its nodes, its bend table, its centreline and its skin."""

from hoopwright.bars.bar import Bar, Node, as_node, as_nodes, centreline, developed_mm, mirrored, reversed_bar
from hoopwright.bars.bend_table import BendTable, bend_table, nodes_from_table
from hoopwright.bars.bendable import check_bendable, check_shape
from hoopwright.bars.compare import end_miss_mm, lay_table
from hoopwright.bars.csv_tables import read_bends_csv, read_nodes_csv, write_bends_csv, write_nodes_csv
from hoopwright.bars.hollow_skin import EndRim, HollowSkin, hollow_skin
from hoopwright.bars.mass import BarMass, Mass, ShapedEnd, all_together, bar_mass, layer_radii_mm
from hoopwright.bars.skin import SkinMesh, skin_mesh

__all__ = [
    "Bar",
    "BarMass",
    "BendTable",
    "EndRim",
    "HollowSkin",
    "Mass",
    "Node",
    "ShapedEnd",
    "SkinMesh",
    "all_together",
    "as_node",
    "as_nodes",
    "bar_mass",
    "bend_table",
    "centreline",
    "check_bendable",
    "check_shape",
    "developed_mm",
    "end_miss_mm",
    "hollow_skin",
    "lay_table",
    "layer_radii_mm",
    "mirrored",
    "nodes_from_table",
    "read_bends_csv",
    "read_nodes_csv",
    "reversed_bar",
    "skin_mesh",
    "write_bends_csv",
    "write_nodes_csv",
]
