"""Tube sizes, steels and section properties."""

from hoopwright.tubes.section import STEEL_DENSITY_KG_PER_M3, SectionProperties, TubeSize, section_properties

__all__ = ["STEEL_DENSITY_KG_PER_M3", "SectionProperties", "TubeSize", "section_properties"]
