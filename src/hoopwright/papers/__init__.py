"""Sheets as primitives in paper millimetres, and writers that know no domain."""

from hoopwright.papers.bar_page import bar_pages
from hoopwright.papers.bar_text import bar_text
from hoopwright.papers.bend_pose import OperatorEye
from hoopwright.papers.car_lines import CarBar, CarLines
from hoopwright.papers.cope_sheet import cope_pages
from hoopwright.papers.cut_list import CutPiece, SizeTotal, cut_list_pages, cut_pieces, size_totals
from hoopwright.papers.drawing import A4, LETTER, Page, PaperSize
from hoopwright.papers.dxf import flat_part_dxf, wrap_dxf
from hoopwright.papers.flat_part_pages import flat_part_pages
from hoopwright.papers.floor_pages import FloorMark, floor_pages
from hoopwright.papers.floor_plan import NOT_FLAT
from hoopwright.papers.old import stamp_old
from hoopwright.papers.overview import overview_pages
from hoopwright.papers.pdf import pdf_bytes
from hoopwright.papers.png import png_bytes
from hoopwright.papers.svg import svg_text
from hoopwright.papers.wrap_pages import wrap_pages

__all__ = [
    "A4",
    "LETTER",
    "NOT_FLAT",
    "CarBar",
    "CarLines",
    "CutPiece",
    "FloorMark",
    "OperatorEye",
    "Page",
    "PaperSize",
    "SizeTotal",
    "bar_pages",
    "bar_text",
    "cope_pages",
    "cut_list_pages",
    "cut_pieces",
    "flat_part_dxf",
    "flat_part_pages",
    "floor_pages",
    "overview_pages",
    "pdf_bytes",
    "png_bytes",
    "size_totals",
    "stamp_old",
    "svg_text",
    "wrap_dxf",
    "wrap_pages",
]
