"""Photos into a PDF as the JPEG that they are: neither unpacked nor written in letters."""

import hashlib
import io

from PIL import Image
from reportlab.lib.units import mm
from reportlab.pdfbase.pdfdoc import PDFImageXObject
from reportlab.pdfgen.canvas import Canvas

from hoopwright.papers.drawing import PlacedPhoto

_COLOURS = {"L": "DeviceGray", "RGB": "DeviceRGB"}


def draw_photo(canvas: Canvas, photo: PlacedPhoto, page_height_mm: float) -> None:
    """Put a photo on the page; the same one on many pages is in the file once.

    The library's own way unpacks each photo for its name and writes it in base 85, which takes most of the time of a
    file with many; here the name is the hash of the bytes.

    Args:
        canvas: The PDF.
        photo: The photo, grey or in three colours.
        page_height_mm: Of the page.
    """
    name = hashlib.sha256(photo.jpeg).hexdigest()[:32]
    if not canvas.hasForm(name):
        _add(canvas, name, photo.jpeg)
    box = photo.box
    canvas.saveState()
    canvas.translate(box.left_mm * mm, (page_height_mm - box.bottom_mm) * mm)
    canvas.scale(box.width_mm * mm, box.height_mm * mm)
    canvas.doForm(name)
    canvas.restoreState()


def _add(canvas: Canvas, name: str, jpeg: bytes) -> None:
    """A stream of the kind DCTDecode: ISO 32000-1, 7.4.8."""
    with Image.open(io.BytesIO(jpeg), formats=("JPEG",)) as image:
        size, mode = image.size, image.mode
    made = PDFImageXObject(name)
    made.width, made.height = size
    made.bitsPerComponent, made.colorSpace = 8, _COLOURS[mode]
    made.streamContent, made._filters, made.mask = jpeg, ("DCTDecode",), None
    canvas._setXObjects(made)
    canvas._doc.Reference(made, canvas._doc.getXObjectName(name))
    canvas._doc.addForm(name, made)
