"""Marking a printed sheet's file as old."""

import io
import math

from pypdf import PdfReader, PdfWriter
from pypdf.errors import PyPdfError
from reportlab.lib.units import mm

from hoopwright.findings import Finding, Severity, UserError
from hoopwright.papers.drawing import Box, Items, Page, Polyline, Text, filled
from hoopwright.papers.lettering import height_to_fit
from hoopwright.papers.lettering import width_mm as lettering_width
from hoopwright.papers.pdf import pdf_bytes

_STROKE_MM = 3.5
_LABEL_SHARE = 0.19
_ROUND = tuple(
    (0.5 + 0.5 * math.sin(math.radians(a)), 0.5 - 0.5 * math.cos(math.radians(a))) for a in range(0, 361, 10)
)
_STROKES = (
    _ROUND,
    ((0.0, 0.0), (0.0, 1.0), (0.9, 1.0)),
    (
        (0.0, 1.0),
        (0.0, 0.0),
        (0.45, 0.0),
        (0.8, 0.12),
        (1.0, 0.35),
        (1.0, 0.65),
        (0.8, 0.88),
        (0.45, 1.0),
        (0.0, 1.0),
    ),
)


def stamp_old(sheet: bytes, text: str) -> bytes:
    """The PDF of a sheet with OLD across every page; what it said stays readable.

    The same sheet and text give the same bytes.

    Args:
        sheet: The PDF as it was issued.
        text: What to say beside OLD, such as `replaced by revision 3`.

    Raises:
        UserError: `PAPER-002` when it cannot be read as a PDF.
    """
    try:
        writer = PdfWriter(clone_from=PdfReader(io.BytesIO(sheet)))
        for page in writer.pages:
            wide, high = float(page.mediabox.width) / mm, float(page.mediabox.height) / mm
            page.merge_page(PdfReader(io.BytesIO(_overlay(wide, high, text))).pages[0])
    except (PyPdfError, ValueError) as error:
        raise _unreadable(error) from error
    out = io.BytesIO()
    writer.write(out)
    return out.getvalue()


def _overlay(width_mm: float, height_mm: float, text: str) -> bytes:
    """OLD in strokes as wide as the page, legible between them, and the reason in a black box."""
    words = f"OLD: {text}" if text else "OLD"
    height = height_to_fit(words, width_mm - 40.0, 6.0, bold=True)
    wide = lettering_width(words, height, bold=True) + 8.0
    label = Box(
        left_mm=(width_mm - wide) / 2.0, top_mm=height_mm * _LABEL_SHARE, width_mm=wide, height_mm=12.0
    )
    at = (width_mm / 2.0, label.middle_mm[1] + height / 2.0)
    items: Items = (
        *_letters(
            Box(left_mm=16.0, top_mm=height_mm * 0.25, width_mm=width_mm - 32.0, height_mm=height_mm * 0.5)
        ),
        filled(label),
        Text(at_mm=at, text=words, height_mm=height, anchor="middle", bold=True, ink="white"),
    )
    return pdf_bytes(
        [Page(width_mm=width_mm, height_mm=height_mm, items=items)], title="old", date="2000-01-01"
    )


def _letters(box: Box) -> tuple[Polyline, ...]:
    """O, L and D as strokes, each in its third of the box."""
    drawn = []
    for number, strokes in enumerate(_STROKES):
        left = box.left_mm + (number + 0.12) * box.width_mm / 3.0
        points = tuple(
            (left + across * box.width_mm * 0.25, box.top_mm + down * box.height_mm)
            for across, down in strokes
        )
        drawn.append(Polyline(points_mm=points, width_mm=_STROKE_MM, round_ends=True))
    return tuple(drawn)


def _unreadable(error: Exception) -> UserError:
    return UserError(
        Finding(
            code="PAPER-002",
            severity=Severity.STOP,
            sentence=f"The sheet issued before cannot be read as a PDF: {error}.",
            todo="Take it out of the papers folder, and issue again; nothing was written.",
        )
    )
