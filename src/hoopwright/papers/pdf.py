"""Pages to PDF at true scale: the same pages give the same bytes."""

import io
import re
from collections.abc import Sequence

from reportlab.lib.units import mm
from reportlab.pdfgen.canvas import Canvas
from reportlab.pdfgen.pathobject import PDFPathObject

from hoopwright.papers.drawing import Circle, Item, Page, Point, Polygon, Polyline, Text
from hoopwright.papers.face import writable
from hoopwright.papers.lettering import SHARE_BEFORE, SQUEEZE, face, font_size, width_mm
from hoopwright.papers.pdf_photos import draw_photo

_INK = {"black": 0.0, "white": 1.0}


def pdf_bytes(pages: Sequence[Page], *, title: str, date: str) -> bytes:
    """The pages as one PDF, one paper millimetre to a millimetre, with print scaling off.

    Args:
        pages: At least one.
        title: Title of the document.
        date: Day of issue, ISO 8601 (`2026-03-01`); the clock is never read.

    Raises:
        ValueError: Without pages, or for a date that is not ISO 8601.
    """
    if not pages:
        msg = "a PDF needs at least one page"
        raise ValueError(msg)
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1)
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setCreator("hoopwright")
    stamp = pdf_date(date)
    canvas.setDateFormatter(lambda *_now: stamp)
    canvas.setViewerPreference("PrintScaling", "None")
    for page in pages:
        canvas.setPageSize((page.width_mm * mm, page.height_mm * mm))
        for photo in page.photos:
            draw_photo(canvas, photo, page.height_mm)
        for item in page.items:
            _draw(canvas, item, page.height_mm)
        canvas.showPage()
    canvas.save()
    return out.getvalue()


def pdf_date(date: str) -> str:
    """A day, ISO 8601, as a PDF carries it.

    Raises:
        ValueError: For a date that is not ISO 8601.
    """
    match = re.match(r"(\d{4})-(\d{2})-(\d{2})", date)
    if match is None:
        msg = f"'{date}' is no ISO 8601 date"
        raise ValueError(msg)
    return f"D:{''.join(match.groups())}000000Z"


def _draw(canvas: Canvas, item: Item, page_height_mm: float) -> None:
    match item:
        case Polyline():
            _polyline(canvas, item, page_height_mm)
        case Polygon():
            canvas.setFillGray(_INK[item.ink])
            outline = _path(canvas, item.points_mm, page_height_mm)
            outline.close()
            canvas.drawPath(outline, stroke=0, fill=1)
        case Circle():
            _circle(canvas, item, page_height_mm)
        case Text():
            _text(canvas, item, page_height_mm)


def _path(canvas: Canvas, points_mm: Sequence[Point], page_height_mm: float) -> PDFPathObject:
    outline = canvas.beginPath()
    for index, (right, down) in enumerate(points_mm):
        move = outline.moveTo if index == 0 else outline.lineTo
        move(right * mm, (page_height_mm - down) * mm)
    return outline


def _polyline(canvas: Canvas, item: Polyline, page_height_mm: float) -> None:
    canvas.setStrokeGray(_INK[item.ink])
    canvas.setLineWidth(item.width_mm * mm)
    canvas.setDash([part * mm for part in item.dash_mm], 0)
    canvas.setLineCap(1 if item.round_ends else 0)
    canvas.setLineJoin(1 if item.round_ends else 0)
    outline = _path(canvas, item.points_mm, page_height_mm)
    if item.closed:
        outline.close()
    canvas.drawPath(outline, stroke=1, fill=0)


def _circle(canvas: Canvas, item: Circle, page_height_mm: float) -> None:
    right, down = item.centre_mm
    canvas.setStrokeGray(_INK["black"])
    canvas.setLineWidth(item.width_mm * mm)
    canvas.setDash([], 0)
    if item.fill is not None:
        canvas.setFillGray(_INK[item.fill])
    canvas.circle(
        right * mm,
        (page_height_mm - down) * mm,
        item.radius_mm * mm,
        stroke=int(item.width_mm > 0.0),
        fill=int(item.fill is not None),
    )


def _text(canvas: Canvas, item: Text, page_height_mm: float) -> None:
    right, down = item.at_mm
    share = SHARE_BEFORE[item.anchor]
    canvas.saveState()
    canvas.setFillGray(_INK[item.ink])
    canvas.translate(right * mm, (page_height_mm - down) * mm)
    if item.turn_deg:
        canvas.rotate(item.turn_deg)
    words = canvas.beginText(-share * width_mm(item.text, item.height_mm, bold=item.bold) * mm, 0.0)
    words.setFont(face(bold=item.bold), font_size(item.height_mm) * mm)
    words.setHorizScale(100.0 * SQUEEZE)
    words.textOut(writable(item.text))
    canvas.drawText(words)
    canvas.restoreState()
