"""Pages to PNG previews."""

import io
import itertools
import math
from collections.abc import Iterator

from PIL import Image, ImageDraw, ImageFont

from hoopwright.papers.drawing import Circle, Item, Page, Point, Polygon, Polyline, Text
from hoopwright.papers.face import face_file, writable
from hoopwright.papers.lettering import SHARE_BEFORE, font_size, width_mm

_OVERSAMPLED = 3


def png_bytes(page: Page, *, dots_per_inch: float = 100.0) -> bytes:
    """The page as a grey PNG of about `dots_per_inch`."""
    scale = dots_per_inch / 25.4 * _OVERSAMPLED
    size = (round(page.width_mm * scale), round(page.height_mm * scale))
    image = Image.new("L", size, 255)
    draw = ImageDraw.Draw(image)
    for photo in page.photos:
        box = photo.box
        wide, high = max(1, round(box.width_mm * scale)), max(1, round(box.height_mm * scale))
        shown = Image.open(io.BytesIO(photo.jpeg)).convert("L").resize((wide, high))
        image.paste(shown, (round(box.left_mm * scale), round(box.top_mm * scale)))
    for item in page.items:
        _draw(image, draw, item, scale)
    small = image.resize((size[0] // _OVERSAMPLED, size[1] // _OVERSAMPLED), Image.Resampling.BOX)
    out = io.BytesIO()
    small.save(out, "PNG", optimize=False)
    return out.getvalue()


def _draw(image: Image.Image, draw: ImageDraw.ImageDraw, item: Item, scale: float) -> None:
    match item:
        case Polyline():
            _polyline(draw, item, scale)
        case Polygon():
            draw.polygon([(x * scale, y * scale) for x, y in item.points_mm], fill=item.ink)
        case Circle():
            (x, y), r = item.centre_mm, item.radius_mm + item.width_mm / 2.0
            box = [(x - r) * scale, (y - r) * scale, (x + r) * scale, (y + r) * scale]
            draw.ellipse(box, fill=item.fill, outline="black", width=round(item.width_mm * scale))
        case Text():
            _text(image, item, scale)


def _polyline(draw: ImageDraw.ImageDraw, item: Polyline, scale: float) -> None:
    points = (*item.points_mm, item.points_mm[0]) if item.closed else item.points_mm
    width = max(1, round(item.width_mm * scale))
    for piece in _dashes(points, item.dash_mm) if item.dash_mm else [points]:
        dots = [(x * scale, y * scale) for x, y in piece]
        draw.line(dots, fill=item.ink, width=width, joint="curve")
        if item.round_ends:
            for x, y in (dots[0], dots[-1]):
                r = width / 2.0
                draw.ellipse([x - r, y - r, x + r, y + r], fill=item.ink)


def _dashes(points: tuple[Point, ...], dash_mm: tuple[float, ...]) -> Iterator[tuple[Point, Point]]:
    """The drawn pieces of a dashed line, from its start."""
    pattern = itertools.cycle(dash_mm if len(dash_mm) % 2 == 0 else dash_mm * 2)
    left, drawn = next(pattern), True
    for (x0, y0), (x1, y1) in itertools.pairwise(points):
        length, done = math.hypot(x1 - x0, y1 - y0), 0.0
        while done < length - 1e-9:
            step = min(left, length - done)
            if drawn:
                a, b = done / length, (done + step) / length
                yield ((x0 + a * (x1 - x0), y0 + a * (y1 - y0)), (x0 + b * (x1 - x0), y0 + b * (y1 - y0)))
            done, left = done + step, left - step
            if left <= 1e-9:
                left, drawn = next(pattern), not drawn


def _text(image: Image.Image, item: Text, scale: float) -> None:
    words = writable(item.text)
    if not words.strip():
        return
    font = ImageFont.truetype(str(face_file(bold=item.bold)), font_size(item.height_mm) * scale)
    left, top, _right, bottom = font.getbbox(words, anchor="ls")
    wide = max(1, math.ceil(font.getlength(words)))
    stamp = Image.new("L", (wide + 4, max(1, math.ceil(bottom - top) + 4)), 0)
    ImageDraw.Draw(stamp).text((2 - min(0, left), 2 - top), words, fill=255, font=font, anchor="ls")
    wanted = width_mm(item.text, item.height_mm, bold=item.bold) * scale
    stamp = stamp.resize((max(1, round(stamp.width * wanted / wide)), stamp.height))
    share = SHARE_BEFORE[item.anchor]
    corner = (-share * wanted, top - 2.0)
    _paste(image, stamp, corner, item, scale)


def _paste(image: Image.Image, stamp: Image.Image, corner: Point, item: Text, scale: float) -> None:
    """Paste upright words, or words turned in the plane about their anchor."""
    x, y = item.at_mm[0] * scale, item.at_mm[1] * scale
    middle = (corner[0] + stamp.width / 2.0, corner[1] + stamp.height / 2.0)
    turn_rad = math.radians(-item.turn_deg)
    turned = stamp.rotate(item.turn_deg, expand=True) if item.turn_deg else stamp
    at_x = x + middle[0] * math.cos(turn_rad) - middle[1] * math.sin(turn_rad) - turned.width / 2.0
    at_y = y + middle[0] * math.sin(turn_rad) + middle[1] * math.cos(turn_rad) - turned.height / 2.0
    image.paste(0 if item.ink == "black" else 255, (round(at_x), round(at_y)), turned)
