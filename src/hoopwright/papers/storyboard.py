"""A storyboard: pictures with their words, one to a landscape page."""

import io
from collections.abc import Sequence

from PIL import Image
from reportlab.lib.pagesizes import A4, landscape
from reportlab.lib.units import mm
from reportlab.lib.utils import ImageReader
from reportlab.pdfgen.canvas import Canvas

from hoopwright.papers.face import writable
from hoopwright.papers.lettering import face
from hoopwright.papers.pdf import pdf_date

_EDGE_MM, _FOOT_MM, _LETTER_MM = 10.0, 12.0, 2.4


def storyboard_pdf(pictures: Sequence[bytes], cautions: Sequence[str], *, title: str, date: str) -> bytes:
    """The pictures as one PDF; the same pictures give the same bytes.

    Args:
        pictures: PNG files, at least one.
        cautions: Lines at the foot of every page.
        title: Title of the document.
        date: Day of issue, ISO 8601; the clock is never read.

    Raises:
        ValueError: For a date that is not ISO 8601.
    """
    out = io.BytesIO()
    canvas = Canvas(out, invariant=1, pageCompression=1, pagesize=landscape(A4))
    canvas.setTitle(title)
    canvas.setAuthor("")
    canvas.setCreator("hoopwright")
    stamp = pdf_date(date)
    canvas.setDateFormatter(lambda *_now: stamp)
    wide, tall = landscape(A4)
    room = (wide - 2.0 * _EDGE_MM * mm, tall - (2.0 * _EDGE_MM + _FOOT_MM) * mm)
    for number, png in enumerate(pictures, start=1):
        image = Image.open(io.BytesIO(png)).convert("RGB")
        scale = min(room[0] / image.width, room[1] / image.height)
        size = (image.width * scale, image.height * scale)
        left, top = (wide - size[0]) / 2.0, tall - _EDGE_MM * mm
        canvas.drawImage(ImageReader(image), left, top - size[1], size[0], size[1])
        canvas.setFont(face(bold=False), 1.1 * _LETTER_MM * mm)
        words = (*cautions, f"{title}, {date}, page {number} of {len(pictures)}")
        for row, line in enumerate(words):
            canvas.drawString(
                _EDGE_MM * mm, (_EDGE_MM + 1.6 * _LETTER_MM * (len(words) - 1 - row)) * mm, writable(line)
            )
        canvas.showPage()
    canvas.save()
    return out.getvalue()
