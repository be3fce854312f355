"""A file of many sections on one set of pages: cover, drawing, tables that go on, fields to fill in, photos."""

from hoopwright.papers.dossier.cover import Cover, CoverField
from hoopwright.papers.dossier.drawing_pages import DrawnMember, DrawnSheet
from hoopwright.papers.dossier.file_pages import DossierFile, Section, dossier_pages
from hoopwright.papers.dossier.form_parts import fill_in, ruled_lines, signature_lines, tick_lines
from hoopwright.papers.dossier.page_frame import page_room
from hoopwright.papers.dossier.rule_lines import RuleLine, rule_parts
from hoopwright.papers.dossier.slots import PhotoSlot, slot_parts
from hoopwright.papers.flow import RULED, Column, Part, heading, paragraph, space, table_parts

__all__ = [
    "RULED",
    "Column",
    "Cover",
    "CoverField",
    "DossierFile",
    "DrawnMember",
    "DrawnSheet",
    "Part",
    "PhotoSlot",
    "RuleLine",
    "Section",
    "dossier_pages",
    "fill_in",
    "heading",
    "page_room",
    "paragraph",
    "rule_parts",
    "ruled_lines",
    "signature_lines",
    "slot_parts",
    "space",
    "table_parts",
    "tick_lines",
]
