"""Parts that follow each other down the page and go on over the next: words, tables, whatever can be drawn."""

from hoopwright.papers.flow.parts import Drawn, Part, drawn_items, end_mm, flow, page_with
from hoopwright.papers.flow.word_parts import heading, paragraph, space, titled
from hoopwright.papers.flow.wrapped_table import RULED, table_parts
from hoopwright.papers.tables import Column

__all__ = [
    "RULED",
    "Column",
    "Drawn",
    "Part",
    "drawn_items",
    "end_mm",
    "flow",
    "heading",
    "page_with",
    "paragraph",
    "space",
    "table_parts",
    "titled",
]
