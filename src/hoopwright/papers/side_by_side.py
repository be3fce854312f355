"""Pictures beside each other, each with a caption, under a common heading."""

import io
from collections.abc import Sequence

from PIL import Image, ImageDraw, ImageFont

from hoopwright.papers.face import face_file, writable
from hoopwright.papers.picture import GROUND_COLOUR

_HEADING_PX, _CAPTION_PX, _LETTER_PX, _MARGIN_PX = 34, 30, 20, 16


def side_by_side_png(pictures: Sequence[tuple[str, bytes]], heading: Sequence[str]) -> bytes:
    """One PNG of several.

    Args:
        pictures: Caption and PNG of each, from left to right.
        heading: Lines over all of them; one that is too long is broken.
    """
    images = [(caption, Image.open(io.BytesIO(png)).convert("RGB")) for caption, png in pictures]
    width = sum(image.width for _, image in images)
    font, bold = (ImageFont.truetype(str(face_file(bold=b)), _LETTER_PX) for b in (False, True))
    lines = [
        (place == 0, words)
        for place, line in enumerate(heading)
        for words in _broken(writable(line), bold if place == 0 else font, width - 2 * _MARGIN_PX)
    ]
    top = _MARGIN_PX + _HEADING_PX * len(lines)
    tall = max(image.height for _, image in images)
    page = Image.new("RGB", (width, top + tall + _CAPTION_PX), GROUND_COLOUR)
    draw = ImageDraw.Draw(page)
    for place, (is_first, words) in enumerate(lines):
        at = (_MARGIN_PX, _MARGIN_PX + place * _HEADING_PX)
        draw.text(at, words, fill="black", font=bold if is_first else font)
    left = 0
    for caption, image in images:
        page.paste(image, (left, top + (tall - image.height) // 2))
        draw.text((left + _MARGIN_PX, top + tall), writable(caption), fill="black", font=font)
        left += image.width
    out = io.BytesIO()
    page.save(out, "PNG")
    return out.getvalue()


def _broken(words: str, font: ImageFont.FreeTypeFont, width_px: float) -> list[str]:
    """A line broken between words so that each part is at most so wide."""
    lines = [""]
    for word in words.split():
        longer = f"{lines[-1]} {word}".strip()
        if lines[-1] and font.getlength(longer) > width_px:
            lines.append(word)
        else:
            lines[-1] = longer
    return lines
