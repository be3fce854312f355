"""Pages to SVG, one user unit to a paper millimetre."""

import base64
from xml.sax.saxutils import escape

from hoopwright.papers.drawing import Circle, Item, Page, PlacedPhoto, Point, Polygon, Polyline, Text
from hoopwright.papers.face import writable
from hoopwright.papers.lettering import SHARE_BEFORE, SQUEEZE, font_size, width_mm


def svg_text(page: Page) -> str:
    """The page as an SVG document with its size in mm."""
    wide, high = _number(page.width_mm), _number(page.height_mm)
    body = "\n".join((*map(_photo, page.photos), *map(_element, page.items)))
    return (
        f'<svg xmlns="http://www.w3.org/2000/svg" width="{wide}mm" height="{high}mm" '
        f'viewBox="0 0 {wide} {high}" font-family="DejaVu Sans, Bitstream Vera Sans, Verdana, sans-serif">\n'
        f'<rect width="{wide}" height="{high}" fill="white"/>\n{body}\n</svg>\n'
    )


def _photo(photo: PlacedPhoto) -> str:
    left, top, wide, high = map(
        _number, (photo.box.left_mm, photo.box.top_mm, photo.box.width_mm, photo.box.height_mm)
    )
    return (
        f'<image x="{left}" y="{top}" width="{wide}" height="{high}" preserveAspectRatio="none" '
        f'href="data:image/jpeg;base64,{base64.b64encode(photo.jpeg).decode()}"/>'
    )


def _element(item: Item) -> str:
    match item:
        case Polyline():
            return _polyline(item)
        case Polygon():
            return f'<polygon points="{_points(item.points_mm)}" fill="{item.ink}"/>'
        case Circle():
            right, down = map(_number, item.centre_mm)
            return (
                f'<circle cx="{right}" cy="{down}" r="{_number(item.radius_mm)}" '
                f'fill="{item.fill or "none"}" stroke="black" stroke-width="{_number(item.width_mm)}"/>'
            )
        case Text():
            return _text(item)


def _polyline(item: Polyline) -> str:
    name = "polygon" if item.closed else "polyline"
    dash = f' stroke-dasharray="{" ".join(map(_number, item.dash_mm))}"' if item.dash_mm else ""
    ends = ' stroke-linecap="round" stroke-linejoin="round"' if item.round_ends else ""
    return (
        f'<{name} points="{_points(item.points_mm)}" fill="none" stroke="{item.ink}" '
        f'stroke-width="{_number(item.width_mm)}"{dash}{ends}/>'
    )


def _text(item: Text) -> str:
    """Words from their left end: viewers do not agree on anchors under a squeeze."""
    right, down = map(_number, item.at_mm)
    before = SHARE_BEFORE[item.anchor] * width_mm(item.text, item.height_mm, bold=item.bold)
    turn = f" rotate({_number(-item.turn_deg)})" if item.turn_deg else ""
    weight = ' font-weight="bold"' if item.bold else ""
    return (
        f'<text transform="translate({right} {down}){turn} translate({_number(-before)} 0) scale({SQUEEZE} 1)" '
        f'xml:space="preserve" font-size="{_number(font_size(item.height_mm))}" fill="{item.ink}"{weight}>'
        f"{escape(writable(item.text))}</text>"
    )


def _points(points_mm: tuple[Point, ...]) -> str:
    return " ".join(f"{_number(right)},{_number(down)}" for right, down in points_mm)


def _number(value: float) -> str:
    return f"{round(value, 4) + 0.0:g}" if abs(value) < 1e4 else f"{value:.4f}"
