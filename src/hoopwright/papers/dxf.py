"""Wraps and flat parts to DXF in mm at 1:1, for the machine that cuts: the same input gives the same bytes.

What is cut lies on `CUT` and `HOLE`; `UNCUT` is where a wrap bridges what no header cuts;
`FOLD`, `MARK` and `TEXT` are to be switched off or engraved.
"""

import io
import re
import uuid
from collections.abc import Iterable, Sequence
from datetime import datetime
from typing import TYPE_CHECKING

from hoopwright.joints import FlatPart, Wrap
from hoopwright.papers.arcs import with_bulges
from hoopwright.papers.face import writable
from hoopwright.papers.wrap_outline import kept_edges
from hoopwright.papers.wrap_shape import WrapShape, wrap_shape
from hoopwright.papers.wrap_words import OVERHANGS, heading, seat_words
from hoopwright.units import format_length, shown

if TYPE_CHECKING:
    from ezdxf.document import Drawing

_VERSION = "R2010"
_MM = 4
_METRIC = 1
_LAYERS = {"CUT": 7, "UNCUT": 6, "HOLE": 5, "FOLD": 3, "MARK": 1, "TEXT": 8}
"""Layer and colour by number."""
_TEXT_MM = 3.0
_STEP_DEG = 30
Corner = tuple[float, float]


def wrap_dxf(wrap: Wrap, date: str, *, paper_thickness_mm: float = 0.0) -> bytes:
    """A wrap lying flat with its printed face up: right and up as on paper, from the foot of its left edge.

    `CUT` has the outline of what stays, its overlap included, closed; where no header cuts the tube `UNCUT` has the
    line from one edge of the cut to the next, and `CUT` is open there. `MARK` the datum line, the seam, the
    reference line and ticks each 30 degrees.

    Args:
        wrap: The cope, unrolled.
        date: Day of issue, ISO 8601.
        paper_thickness_mm: Of what is wrapped round the tube.

    Raises:
        UserError: `PAPER-102` for numbers that no template can be made of.
        ValueError: For a date that is not ISO 8601.
    """
    shape = wrap_shape(wrap, paper_thickness_mm=paper_thickness_mm)
    name = f"wrap {heading(shape)}"
    document = _new()
    space = document.modelspace()
    for edge in kept_edges(shape):
        layer = "CUT" if edge.is_cut else "UNCUT"
        space.add_lwpolyline(edge.points_mm.tolist(), close=edge.closed, dxfattribs={"layer": layer})
    for start, end in _wrap_marks(shape):
        space.add_line(start, end, dxfattribs={"layer": "MARK"})
    lines = [heading(shape), "this side out", seat_words(shape, "mm"), f"datum line: {wrap.datum}"]
    if shape.bridges:
        lines.append(f"layer UNCUT: {OVERHANGS}")
    _write(document, lines, (3.0, shape.lower_mm - 3.0 - _TEXT_MM))
    return _bytes(document, name, date)


def flat_part_dxf(part: FlatPart, date: str) -> bytes:
    """A flat part as it is cut, seen from the face toward which a positive fold goes up.

    `CUT` has the outline, closed, with arcs where its points lie on one; `HOLE` circles; `FOLD` the middle of
    each bend zone.

    Args:
        part: The part.
        date: Day of issue, ISO 8601.

    Raises:
        ValueError: For a date that is not ISO 8601.
    """
    document = _new()
    space = document.modelspace()
    space.add_lwpolyline(with_bulges(part.outline_mm), format="xyb", close=True, dxfattribs={"layer": "CUT"})
    for hole in part.holes:
        space.add_circle(hole.centre_mm, hole.diameter_mm / 2.0, dxfattribs={"layer": "HOLE"})
    for fold in part.folds:
        space.add_line(fold.start_mm, fold.end_mm, dxfattribs={"layer": "FOLD"})
    left, low = (float(value) for value in part.outline_mm.min(axis=0))
    _write(document, part_lines(part), (left, low - 3.0 - _TEXT_MM))
    return _bytes(document, part.name, date)


def part_lines(part: FlatPart) -> tuple[str, ...]:
    """What is written beside a flat part."""
    folds = tuple(
        f"fold {number}: {shown(abs(fold.angle_deg), 1)} deg {'up' if fold.angle_deg > 0.0 else 'down'}, "
        f"inside radius {format_length(fold.inside_radius_mm)}"
        for number, fold in enumerate(part.folds, start=1)
    )
    return (f"{part.name}, {part.thickness_mm:g} mm thick, {part.count} off", *folds, *part.notes)


def _wrap_marks(shape: WrapShape) -> Iterable[tuple[Corner, Corner]]:
    low, turn = shape.lower_mm, shape.turn_mm
    middle = shape.right_mm(0.0)
    yield (middle, low), (middle, shape.stays_to_mm(0.0))
    yield (turn, low), (turn, shape.stays_to_mm(180.0))
    if low < 0.0:
        yield (0.0, 0.0), (turn, 0.0)
    for around in range(0, 360, _STEP_DEG):
        right = shape.right_mm(around)
        yield (right, low), (right, low + 3.0)


def _new() -> "Drawing":
    from ezdxf.filemanagement import new  # most of a second

    document = new(_VERSION, units=_MM)
    document.header["$MEASUREMENT"] = _METRIC
    for name, colour in _LAYERS.items():
        document.layers.add(name, color=colour)
    return document


def _write(document: "Drawing", lines: Sequence[str], at: Corner) -> None:
    for row, words in enumerate(lines):
        place = (at[0], at[1] - row * _TEXT_MM * 1.7)
        text = document.modelspace().add_text(writable(words), height=_TEXT_MM, dxfattribs={"layer": "TEXT"})
        text.set_placement(place)


def _bytes(document: "Drawing", name: str, date: str) -> bytes:
    """The file, with what the library takes from the clock and from chance replaced.

    Identities and days come from name and date. The classes are sorted: the library adds them from a set.
    """
    from ezdxf.document import CREATED_BY_EZDXF, WRITTEN_BY_EZDXF
    from ezdxf.lldxf.tagwriter import TagWriter
    from ezdxf.tools.juliandate import juliandate

    day = _day(date)
    document.commit_pending_changes()
    document.update_all()
    document.classes.classes = dict(sorted(document.classes.classes.items()))
    identity = f"hoopwright:{name}:{date}"
    for number, variable in enumerate(("$FINGERPRINTGUID", "$VERSIONGUID")):
        guid = uuid.uuid5(uuid.NAMESPACE_URL, f"{identity}:{number}")
        document.header[variable] = f"{{{guid}}}".upper()
    for variable in ("$TDCREATE", "$TDUCREATE", "$TDUPDATE", "$TDUUPDATE"):
        document.header[variable] = juliandate(day)
    written = document.ezdxf_metadata()
    for key in (CREATED_BY_EZDXF, WRITTEN_BY_EZDXF):
        written[key] = date
    out = io.StringIO()
    document.export_sections(TagWriter(out, write_handles=True, dxfversion=document.dxfversion))
    return document.encode(out.getvalue())


def _day(date: str) -> datetime:
    match = re.match(r"(\d{4})-(\d{2})-(\d{2})", date)
    if match is None:
        msg = f"'{date}' is no ISO 8601 date"
        raise ValueError(msg)
    year, month, day = map(int, match.groups())
    return datetime(year, month, day)
