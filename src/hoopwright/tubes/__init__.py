"""Tube sizes, steels and section properties."""

from hoopwright.tubes.catalogue import STEEL_E_MPA, SoldSize, Steel, common_steels, sold_sizes
from hoopwright.tubes.section import STEEL_DENSITY_KG_PER_M3, SectionProperties, TubeSize, section_properties

__all__ = [
    "STEEL_DENSITY_KG_PER_M3",
    "STEEL_E_MPA",
    "SectionProperties",
    "SoldSize",
    "Steel",
    "TubeSize",
    "common_steels",
    "section_properties",
    "sold_sizes",
]
