"""Tubes as a line drawing: their outlines in a view, parted into what is seen and what other tubes hide."""

from hoopwright.papers.outline.curves import SolidTube
from hoopwright.papers.outline.hiding import Run, outline_runs, seen_places

__all__ = ["Run", "SolidTube", "outline_runs", "seen_places"]
