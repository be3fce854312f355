"""Tubes and sheets as a line drawing: their outlines in a view, parted into what is seen and what others hide."""

from hoopwright.papers.outline.curves import SolidTube
from hoopwright.papers.outline.hiding import Run, outline_runs, seen_of_sheets, seen_places
from hoopwright.papers.outline.sheets import Sheet, sheet_of_faces, sheet_of_strip

__all__ = [
    "Run",
    "Sheet",
    "SolidTube",
    "outline_runs",
    "seen_of_sheets",
    "seen_places",
    "sheet_of_faces",
    "sheet_of_strip",
]
