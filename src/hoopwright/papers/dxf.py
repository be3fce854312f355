"""Wraps and flat parts to DXF."""

from hoopwright.joints import FlatPart, Wrap


def wrap_dxf(wrap: Wrap, date: str, *, paper_thickness_mm: float = 0.0) -> bytes:
    """A wrap at 1:1."""
    raise NotImplementedError


def flat_part_dxf(part: FlatPart, date: str) -> bytes:
    """A flat part at 1:1."""
    raise NotImplementedError
